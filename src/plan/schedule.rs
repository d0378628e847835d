//! The steps of one part on one wire.

mod cutting;
mod moving;

use super::contour_paths::ContourPaths;
use super::contour_plan::Plans;
use super::holding::{Holds, LARGEST_TAB, Piece, tab_needed};
use super::links::Links;
use super::paths::PathCache;
use super::sequence::cutting_order;
use super::start_holes::HoledStart;
use super::starts::Start;
use super::steps::{Step, StepKind};
use super::visits::{Act, acts};
use crate::geometry::Point;
use crate::job::{CuttingOrder, Job, Travel, contour_key};
use crate::library::Library;
use crate::profile::{Profile, Role};
use crate::progress::look;
use crate::units::{Length, Minutes};

/// Where a contour is begun and what holds its piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlannedStart {
    /// Contour of the profile.
    pub contour: usize,
    /// Hole, place and lead-in.
    pub start: Start,
    /// Tab left between rough and cut-off.
    pub tab: Length,
    /// What the piece's weight needs.
    pub tab_needed: Length,
    /// How the tab holds its piece.
    pub holds: Holds,
    /// Diameter of its start hole; `None` from the blank's edge and where the wire stays threaded.
    pub hole: Option<Length>,
    /// Whether the wire is threaded here; else it comes across the waste from the contour before.
    pub threaded: bool,
}

/// The wire that is threaded.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thread {
    /// Its diameter.
    pub diameter: Length,
    /// Whether somebody threads it by hand.
    pub by_hand: bool,
}

/// What is known of each contour of the profile before its steps are.
#[derive(Debug, Clone, Copy)]
pub struct Known<'a> {
    /// Where it is begun.
    pub starts: &'a [Option<HoledStart>],
    /// What comes loose.
    pub pieces: &'a [Option<Piece>],
    /// Orders found before.
    pub cache: &'a PathCache,
}

/// The steps of a part, and where its contours are begun.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Schedule {
    /// In order.
    pub steps: Vec<Step>,
    /// Steps before which a part is loaded: the first, and in a set the first of each piece.
    pub loads: Vec<usize>,
    /// Beside the machine's time of a part: loading before it, dressing after it.
    pub beside: Vec<Step>,
    /// In the order in which the contours are first visited.
    pub starts: Vec<PlannedStart>,
}

/// Everything the machine and the person beside it do for one part, in order.
///
/// For each contour: thread, lead in, rough and skims up to the tab that holds the piece. From the cut of the tab
/// nothing holds it, so the machine stops, somebody secures the piece, stays while the tab is cut, and takes the
/// piece out. In an opening the wire is then threaded again (nobody reaches in beside a live wire; common
/// practice), and the tab's stretch is skimmed on the frame with nobody needed. A part that has come free cannot be
/// skimmed: its stretch keeps the rough's finish and is dressed at the bench, or skimmed before it is taken out
/// where the shop clamps it. With the cut-off before the skims they run all the way round. When all roughs come
/// first, every contour is visited again for its skims and for its cut-off, unless the wire is still in it. Curves
/// that are cut on the line come before everything else. What is light enough may drop alone, where the shop says
/// so. `thread` is the wire that is threaded.
pub fn schedule(
    profile: &Profile,
    job: &Job,
    library: &Library,
    plans: &Plans,
    paths: &[ContourPaths],
    known: Known<'_>,
    thread: Thread,
) -> Schedule {
    let Known {
        starts,
        pieces,
        cache,
    } = known;
    let mut s = Scheduler {
        profile,
        job,
        library,
        plans,
        pieces,
        thread,
        out: Schedule::default(),
        at: None,
        within: None,
    };
    s.cut_on_lines();
    let mut of_contour: Vec<Option<&ContourPaths>> = vec![None; profile.contours().len()];
    paths.iter().for_each(|p| of_contour[p.contour] = Some(p));
    let order: Vec<(&ContourPaths, HoledStart)> = {
        let hole = |k: usize| starts[k].map_or(Point::ORIGIN, |s| s.start.hole);
        let order = cutting_order(profile, job, cache, hole);
        let both = |k: usize| of_contour[k].zip(starts[k]);
        order.into_iter().filter_map(both).collect()
    };
    match job.order {
        CuttingOrder::EachInTurn => s.each_in_turn(&order),
        CuttingOrder::RoughsFirst => s.roughs_first(&order),
    }
    let breaks = expected_breaks(&s.out.steps, library);
    s.out.steps.extend(breaks);
    s.out.beside = s.beside();
    s.out.loads = vec![0];
    s.out
}

/// No place on a flat arc is rounded so far outside the arc's box, mm.
const ROUNDING: f64 = 0.01;

/// A step of nothing, to be filled.
fn blank(kind: StepKind) -> Step {
    Step {
        kind,
        pass: None,
        contour: None,
        open: None,
        plan: 0,
        length: Length::ZERO,
        minutes: Minutes::ZERO,
        corner_minutes: Minutes::ZERO,
        wire: Length::ZERO,
        attended: false,
    }
}

struct Scheduler<'a> {
    profile: &'a Profile,
    job: &'a Job,
    library: &'a Library,
    plans: &'a Plans,
    pieces: &'a [Option<Piece>],
    thread: Thread,
    out: Schedule,
    at: Option<Point>,
    /// The contour in whose kerf the wire still is.
    within: Option<usize>,
}

impl Scheduler<'_> {
    /// What comes loose at a contour, unless its waste is eroded away or taken by the kerf.
    pub(super) fn piece(&self, p: &ContourPaths) -> Option<Piece> {
        let own = self.pieces.get(p.contour).copied().flatten();
        own.filter(|_| p.rings.is_none())
    }

    /// Whether the piece is so light that the shop lets it drop with nobody there.
    pub(super) fn drops_alone(&self, p: &ContourPaths) -> bool {
        let limit = self.job.shop.drops_alone;
        self.piece(p).is_some_and(|piece| piece.mass < limit)
    }

    /// Whether pieces come loose during the rough that nobody wants to drop alone.
    pub(super) fn falls_apart(&self, p: &ContourPaths) -> bool {
        self.piece(p).is_some_and(|piece| piece.count > 1) && !self.drops_alone(p)
    }

    fn acts(&self, p: &ContourPaths) -> Vec<Act> {
        acts(p, self.job, self.profile, self.falls_apart(p))
    }

    /// The tab that a contour is begun with.
    fn planned(
        &self,
        p: &ContourPaths,
        start: Start,
        hole: Option<Length>,
        threaded: bool,
    ) -> PlannedStart {
        let shortest = Length::from_mm(self.library.overheads.tab.value);
        let mut planned = PlannedStart {
            contour: p.contour,
            start,
            tab: Length::ZERO,
            tab_needed: Length::ZERO,
            holds: Holds::Well,
            hole,
            threaded,
        };
        if p.rings.is_some() {
            return planned;
        }
        let path = p.passes.iter().map(|p| p.length);
        let most = path.reduce(Length::min).unwrap_or(Length::ZERO) * LARGEST_TAB;
        let drawn = &self.profile.contours()[p.contour];
        let rough = p.passes.first().and_then(|r| r.loops.first());
        let mut needed = shortest;
        if let (Some(piece), Some(rough)) = (self.piece(p), rough) {
            let thickness = self.plans.all[p.plan].thickness;
            let stress = self.library.overheads.tab_stress.value;
            let needs = |reach| tab_needed(piece.mass, reach, thickness, stress, shortest);
            // Most pieces are so light that the shortest tab holds them from anywhere.
            let farthest = drawn.bounds.farthest(piece.centroid) + ROUNDING;
            if needs(Length::from_mm(farthest)) > shortest {
                let around = rough.length();
                // The tab's middle moves with its length: a few rounds settle it.
                for _ in 0..4 {
                    let middle = start.along - needed.min(most).mm() / 2.0;
                    let on_path = rough.point_at(middle.rem_euclid(around));
                    let at = drawn.shape.nearest(on_path).map_or(on_path, |n| n.at);
                    let before = needed;
                    needed = needs(Length::from_mm(at.distance(piece.centroid)));
                    if needed == before {
                        break;
                    }
                }
            }
        }
        let choice = self.job.choice(contour_key(drawn));
        planned.tab = choice.tab.unwrap_or(needed).min(most);
        planned.tab_needed = needed;
        planned.holds = Holds::of(planned.tab, needed, shortest, most);
        planned
    }

    /// Loading before the part, and dressing of what could not be skimmed on it.
    fn beside(&self) -> Vec<Step> {
        let o = &self.library.overheads;
        let attended = |kind, minutes: f64| Step {
            minutes: Minutes::from_min(minutes),
            attended: true,
            ..blank(kind)
        };
        let mut out = vec![attended(StepKind::Loading, o.loading.value)];
        let mut tabs = vec![0; self.profile.contours().len()];
        let cut = self.out.steps.iter().filter(|s| s.kind == StepKind::Tab);
        cut.filter_map(|s| s.contour).for_each(|k| tabs[k] += 1);
        let undressed = |k: usize| {
            let passes = self.plans.contour(k).passes.len();
            self.job.role(self.profile, k) == Role::Outline && tabs[k] < passes
        };
        for start in self.out.starts.iter().filter(|s| undressed(s.contour)) {
            out.push(Step {
                contour: Some(start.contour),
                plan: self.plans.of_contour[start.contour],
                length: start.tab,
                ..attended(StepKind::Dressing, o.dressing.value)
            });
        }
        out
    }

    fn each_in_turn(&mut self, order: &[(&ContourPaths, HoledStart)]) {
        let mut last: Option<Start> = None;
        let stays = self.job.travel == Travel::KeepThreaded;
        let links = stays.then(|| Links::of(self.profile));
        for &(p, own) in order {
            let links = links.as_ref().filter(|_| p.rings.is_none());
            let linked = links.zip(last).and_then(|(links, last)| {
                let path = p.passes.first()?.loops.first()?;
                let rough = self.plans.all[p.plan].passes.first()?;
                links.start(last.join, path, rough.offset)
            });
            let start = linked.unwrap_or(own.start);
            let hole = own.hole.filter(|_| linked.is_none());
            let planned = self.planned(p, start, hole, linked.is_none());
            self.out.starts.push(planned);
            for (i, act) in self.acts(p).into_iter().enumerate() {
                look();
                if i == 0 {
                    self.begin(p, &start, linked.is_none());
                } else {
                    self.come_back(p, &start);
                }
                self.act(p, act, &planned);
            }
            self.at = Some(start.join);
            last = Some(start);
        }
    }

    /// Round after round of one kind of work: a contour with fewer passes waits for the others, and no piece
    /// comes free while something in it is still to be cut.
    fn roughs_first(&mut self, order: &[(&ContourPaths, HoledStart)]) {
        for round in Act::ROUNDS {
            let mut visits: Vec<&(&ContourPaths, HoledStart)> = order.iter().collect();
            if round == [Act::CutOff] {
                // Inner before outer, and of what lies side by side a part after the slugs.
                let depth = |p: &ContourPaths| self.profile.contours()[p.contour].depth;
                visits.sort_by_key(|(p, _)| (std::cmp::Reverse(depth(p)), p.role == Role::Outline));
            }
            for (p, own) in visits {
                look();
                let start = &own.start;
                let planned = self.planned(p, *start, own.hole, true);
                for act in self.acts(p).into_iter().filter(|a| round.contains(a)) {
                    if matches!(act, Act::Rough | Act::RoughAndOut) {
                        self.out.starts.push(planned);
                        self.begin(p, start, true);
                    } else {
                        self.come_back(p, start);
                    }
                    self.act(p, act, &planned);
                    self.at = Some(start.join);
                }
            }
        }
    }
}

/// Breaks an hour of roughing, each with its re-threading: an expectation, not a forecast of one.
fn expected_breaks(steps: &[Step], library: &Library) -> Option<Step> {
    let o = &library.overheads;
    let roughing: Minutes = steps
        .iter()
        .filter(|s| s.is_rough())
        .map(|s| s.minutes)
        .sum();
    let count = roughing.hours() * o.breaks_in_rough.value;
    (count > 0.0).then(|| Step {
        minutes: Minutes::from_min(count * o.rethreading_after_break.value),
        wire: Length::from_m(count * o.threading_waste.value),
        attended: true,
        ..blank(StepKind::Breaks)
    })
}
