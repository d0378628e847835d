//! One wire's estimate, and several side by side.
//!
//! Pure functions of profile, job and library: nothing is remembered between two calls but the wire
//! paths, which do not depend on thickness, prices or material.

pub mod alternatives;
mod as_openings;
pub mod at_stake;
pub mod breaks;
pub mod by_the_clock;
pub mod changes;
pub mod compare;
pub mod cost;
pub mod doubts;
mod drill_list;
pub mod drilling;
pub mod explain;
pub mod obstacle;
pub mod obstacles;
mod on_machine;
pub mod one_wire;
pub mod pass_advice;
pub mod question;
pub mod quick_variant;
pub mod range;
pub mod revision;
pub mod set;
pub mod slugs;
mod step_doubts;
mod step_slopes;
pub mod sweep;
pub mod terms;
mod tight_places;
pub mod together;
mod too_close;
pub mod variants;
pub mod wanted;
pub mod what_matters;
pub mod why_different;
pub mod worth;

pub use as_openings::{as_openings, compare_either_way};
pub use at_stake::{AtStake, Quotable, at_stake};
pub use breaks::{Break, breaks};
pub use by_the_clock::{
    Alone, ByTheClock, Doing, Repeats, Stint, best_begin, by_the_clock, tabs_together,
};
pub use compare::{Comparison, Difference, compare, estimate_all};
pub use drill_list::{DrillHole, drill_csv, drill_list};
pub use explain::explain;
pub use obstacle::{About, NamedContour, Obstacle, ObstacleKind, WhyNothing};
pub use pass_advice::{
    Advice, OtherPlan, PassPlan, Wanted, advise, advise_each, other_wires, pass_plans,
    price_of_last_pass,
};
pub use question::Question;
pub use quick_variant::{QuickVariant, VariantWire};
pub use range::Ranged;
pub use revision::{ChangePrice, PricedRevision, priced};
pub use set::{Copies, SetOfParts, set_of_parts};
pub use slugs::{FreePart, NotEroded, Slug, SlugCaution};
pub use sweep::{Axis, Sweep, SweepPoint, sweep, sweep_point};
pub use variants::{Variants, variants};
pub use wanted::{Aim, Answer, TriedPlan, Way, Wish, wanted_plan};
pub use what_matters::{Mattering, what_matters};
pub use why_different::{
    Actual, WhyDifferent, WireSplit, log_mean_split, why_actual, why_different,
};

pub use cost::{Cost, CostLine, Plate};

use self::doubts::Doubts;
use crate::geometry::{Contour, Point};
use crate::job::Candidate;
use crate::plan::schedule::PlannedStart;
use crate::plan::timeline::{Timeline, TimelineBasis};
use crate::plan::{ContourPlan, Share, Step, StepKind};
use crate::process::Finish;
use crate::process::PassNumber;
use crate::profile::Profile;
use crate::units::{Area, Feed, Length, Mass, Minutes, RunOff};
use std::collections::HashMap;
use std::ops::Mul;
use std::sync::Arc;

/// A place of a contour that a wire and pass plan leave standing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UncutSpot {
    /// Contour of the profile.
    pub contour: usize,
    /// The deepest point, mm about the profile's origin.
    pub at: Point,
    /// How far the contour lies beyond the wire's reach.
    pub depth: Length,
    /// Area left standing.
    pub area: Area,
    /// Whether a sharp corner of the drawing explains it (then every round wire leaves as much).
    pub sharp: bool,
    /// The drawn radius where a corner or a rounding explains it; 0 for a sharp corner.
    pub radius: Option<Length>,
    /// Where walls lie too near to each other for the wire: their distance, if it could be measured.
    pub width: Option<Length>,
}

impl UncutSpot {
    /// Whether an obstacle says of it what there is to say, so that nothing else need.
    pub fn is_told_by(&self, o: &Obstacle) -> bool {
        o.contour() == Some(self.contour)
            && match &o.kind {
                ObstacleKind::InsideRadius { radius, .. } => {
                    self.radius.is_some() && self.sharp == obstacle::is_as_good_as_sharp(*radius)
                }
                ObstacleKind::NarrowPlace { .. } | ObstacleKind::NeckClosed { .. } => {
                    self.radius.is_none()
                }
                ObstacleKind::SelfCrossing { .. } => true,
                _ => false,
            }
    }
}

/// One pass as it is run, all contours alike.
#[derive(Debug, Clone, PartialEq)]
pub struct PassRun {
    /// Wire centre to drawn contour.
    pub offset: Length,
    /// Feed where the path runs straight.
    pub feed: Feed,
    /// Wire used a minute.
    pub run_off: RunOff,
    /// Depth c of the corner slowdown.
    pub corner_slowdown: f64,
    /// Closed wire paths of all contours, without lead-in, overlap and tab.
    pub length: Length,
    /// Minutes over all contours, with lead-in, overlap, tab and corners.
    pub minutes: Minutes,
}

/// The figures of a wire that can do the job; medians a part unless said.
#[derive(Debug, Clone, PartialEq)]
pub struct Figures {
    /// Everything in order; every total is a sum of these.
    pub steps: Vec<Step>,
    /// Steps before which a part is loaded: the first, and in a set the first of each piece.
    pub loads: Vec<usize>,
    /// What a part takes beside the machine's time: loading and aligning before it, dressing at the bench after it.
    pub beside: Vec<Step>,
    /// Time a part.
    pub minutes: Ranged<Minutes>,
    /// Of that, with somebody standing there.
    pub attended: Minutes,
    /// Each pass.
    pub passes: Vec<PassRun>,
    /// What the job's own passes usually leave on this wire.
    pub finish: Finish,
    /// Wire a part.
    pub wire: Ranged<Length>,
    /// Its mass.
    pub wire_mass: Mass,
    /// Parts in the lot.
    pub quantity: u32,
    /// Spools for the whole lot, unrounded.
    pub spools: f64,
    /// Cost a part.
    pub cost: Cost,
    /// Whole parts in a week at the shop's uptime.
    pub parts_per_week: u64,
    /// The same at the ends of the time's range: fewest and most.
    pub parts_per_week_range: (u64, u64),
    /// Parts in a week with the share of one that is left over.
    pub parts_per_week_exactly: f64,
    /// Start holes a part.
    pub start_holes: usize,
    /// How often each contour is cut, where parts are wanted in unequal numbers.
    pub copies: Copies,
    /// The plates that parts are taken from, each as often as it says, where their mass is paid: one but for a set.
    pub plates: Vec<(Plate, u32)>,
    /// Where each contour is begun, and the tab that holds its piece, in cutting order.
    pub starts: Vec<PlannedStart>,
    /// Conditions and passes of the contours; 0 is the job's own. Steps name theirs by index.
    pub plans: Vec<ContourPlan>,
    /// What comes loose from each opening that is not eroded away; one of no area where the kerf takes it all.
    pub slugs: Vec<Slug>,
    /// The parts that come free, one an outline.
    pub parts: Vec<FreePart>,
    /// How far off it may be, and why.
    pub doubts: Doubts,
}

/// Minutes of every share, in the order of [`Share::ALL`].
pub type Shares = [Minutes; Share::ALL.len()];

impl Figures {
    /// Minutes of one share.
    pub fn share(&self, share: Share) -> Minutes {
        self.steps.iter().map(|s| s.share(share)).sum()
    }
    /// Minutes of every share, in one walk through the steps.
    pub fn shares(&self) -> Shares {
        let mut sums = Shares::default();
        for step in &self.steps {
            for (sum, share) in sums.iter_mut().zip(Share::ALL) {
                *sum += step.share(share);
            }
        }
        sums
    }
    /// Minutes beside the machine's time of a part: loading, or dressing.
    pub fn beside_minutes(&self, kind: StepKind) -> Minutes {
        let own = self.beside.iter().filter(|s| s.kind == kind);
        own.map(|s| s.minutes).sum()
    }
    /// Wire beside what runs off in cutting: wasted at threadings and at expected breaks, and the allowance.
    pub fn wasted_wire(&self) -> Length {
        let beside = |s: &&Step| {
            matches!(
                s.kind,
                StepKind::Threading | StepKind::Breaks | StepKind::Allowance
            )
        };
        self.steps.iter().filter(beside).map(|s| s.wire).sum()
    }
    /// The plate that a part is taken from, where its mass is paid and it is no set.
    pub fn plate(&self) -> Option<&Plate> {
        match self.plates.as_slice() {
            [(plate, 1)] => Some(plate),
            _ => None,
        }
    }
    /// What the median of the whole lies above the sum of the others' medians: minutes and wire; none where one term is
    /// all there is.
    pub fn allowance(&self) -> Option<&Step> {
        self.steps.iter().find(|s| s.kind == StepKind::Allowance)
    }
    /// Minutes of a pass with their range; `None` where the plan has no such pass.
    pub fn pass_minutes(&self, pass: PassNumber) -> Option<Ranged<Minutes>> {
        let run = self.passes.get(pass.place())?;
        let sd = if pass.is_rough() {
            self.doubts.rough_log_sd
        } else {
            self.doubts.skims_log_sd
        };
        Some(range::ranged(run.minutes, sd))
    }
    /// Mass of the wire a part, with the range of its length.
    pub fn wire_mass_ranged(&self) -> Ranged<Mass> {
        self.as_uncertain_as_the_wire(self.wire_mass)
    }
    /// Spools for the whole lot, unrounded, with the range of the wire's length.
    pub fn spools_ranged(&self) -> Ranged<f64> {
        self.as_uncertain_as_the_wire(self.spools)
    }
    /// Wire for the whole lot.
    pub fn wire_of_lot(&self) -> Ranged<Length> {
        self.as_uncertain_as_the_wire(self.wire.median * f64::from(self.quantity))
    }
    /// Mass of the wire for the whole lot.
    pub fn wire_mass_of_lot(&self) -> Ranged<Mass> {
        self.as_uncertain_as_the_wire(self.wire_mass * f64::from(self.quantity))
    }
    fn as_uncertain_as_the_wire<T: Copy + Mul<f64, Output = T>>(&self, median: T) -> Ranged<T> {
        let share = |end: Length| end / self.wire.median;
        Ranged {
            median,
            low: median * share(self.wire.low),
            high: median * share(self.wire.high),
        }
    }
}

/// A closed wire path and the contour it belongs to.
#[derive(Debug, Clone, PartialEq)]
pub struct WirePath {
    /// Contour of the profile.
    pub contour: usize,
    /// Which pass.
    pub pass: PassNumber,
    /// The wire centre's way, mm about the profile's origin; more than one loop where a neck closes.
    pub loops: Arc<Vec<Contour>>,
    /// Whether two independent computations agreed on it.
    pub confirmed: bool,
}

/// The lower edge of a contour that is cut with a taper.
#[derive(Debug, Clone, PartialEq)]
pub struct LowerEdge {
    /// Contour of the profile.
    pub contour: usize,
    /// Usually one loop; none where the taper closes the contour before it reaches the lower face.
    pub loops: Arc<Vec<Contour>>,
    /// Whether it is proved or two independent computations agreed on it.
    pub confirmed: bool,
}

/// One candidate's estimate.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    /// The wire and its diameter.
    pub candidate: Candidate,
    /// Wire paths, pass by pass, contour by contour.
    pub paths: Vec<WirePath>,
    /// Rings that erode waste away, contour by contour, the innermost first.
    pub rings: Vec<WirePath>,
    /// Lower edges of the contours that are cut with a taper; the drawn ones are the upper.
    pub lower_edges: Vec<LowerEdge>,
    /// What blocks or needs a second look.
    pub obstacles: Vec<Obstacle>,
    /// Places left standing.
    pub uncut: Vec<UncutSpot>,
    /// `None` when an obstacle blocks.
    pub figures: Option<Figures>,
}

impl Estimate {
    /// Whether this wire can do the job.
    pub fn is_possible(&self) -> bool {
        self.figures.is_some()
    }
    /// Whether every drawn inside radius comes out as drawn, within what the plan's last pass holds anyway.
    pub fn is_as_drawn(&self) -> bool {
        let leaves = |o: &Obstacle| matches!(o.kind, ObstacleKind::InsideRadius { .. });
        !self.obstacles.iter().any(leaves)
    }
    /// Whether it leaves a radius larger than drawn that another round wire might make, and nobody accepted that.
    pub fn leaves_a_radius(&self) -> bool {
        self.obstacles.iter().any(|o| o.kind.is_unmade_radius())
    }
    /// Whether its wire is on hand for the machine, or nothing is known of that.
    pub fn is_on_hand(&self) -> bool {
        let lacks = |o: &Obstacle| matches!(o.kind, ObstacleKind::NotOnHand { .. });
        !self.obstacles.iter().any(lacks)
    }
    /// Where the wire is at any moment; `None` when the wire cannot do the job.
    ///
    /// A few milliseconds at 100 000 segments: build it once an estimate, not once a frame.
    pub fn timeline(&self, profile: &Profile) -> Option<Timeline> {
        let f = self.figures.as_ref()?;
        let basis = TimelineBasis {
            profile,
            steps: &f.steps,
            starts: &f.starts,
            plans: &f.plans,
        };
        let index: HashMap<(usize, PassNumber), &WirePath> = self
            .paths
            .iter()
            .map(|p| ((p.contour, p.pass), p))
            .collect();
        Some(Timeline::new(
            &basis,
            |contour, pass| index.get(&(contour, pass)).map(|p| p.loops.as_slice()),
            |contour| {
                let own = self.rings.iter().filter(|r| r.contour == contour);
                own.flat_map(|r| r.loops.iter()).collect()
            },
        ))
    }
    /// What blocks.
    pub fn blockers(&self) -> impl Iterator<Item = &Obstacle> {
        self.obstacles.iter().filter(|o| o.blocks())
    }
}
