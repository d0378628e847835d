//! The list of steps: everything the machine and the person beside it do, in order.
//!
//! This list is the heart. Totals are its sums, charts stack it, the time slider plays it and the
//! report prints it, so that no two of them can disagree.

use crate::process::PassNumber;
use crate::units::{Length, Minutes};

/// What is done in a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum StepKind {
    /// Rapid travel, wire cut, to the next start.
    Move,
    /// Wire threaded at a start hole.
    Threading,
    /// From the start hole to the path, at reduced feed.
    LeadIn,
    /// From one contour to the next through the waste, the wire still threaded, at the rough's feed.
    Across,
    /// Rings that erode the waste of a small opening away, at the rough's feed.
    Erode,
    /// One pass along its path, but for the tab. Pass 1 is the rough.
    Pass,
    /// The stretch left standing to hold the piece, and a little past its end so that no mark stays. Its rough lets
    /// the piece go.
    Tab,
    /// The machine stops, and somebody secures the piece before its tab is cut: with a magnet, a wedge or a clamp.
    Secure,
    /// A slug that has been cut off is taken out; somebody stands there.
    SlugStop,
    /// The part itself, cut off, is taken out; somebody stands there.
    PartStop,
    /// The wire breaks and is threaded again, in expectation.
    Breaks,
    /// By how much the median of the whole lies above the sum of the steps' medians: what runs long runs farther than what
    /// runs short.
    Allowance,
    /// A part is loaded and aligned, between two parts and so not in the time of one.
    Loading,
    /// The stretch where a part's tab was is dressed by hand at the bench, beside the machine.
    Dressing,
}

/// The parts that a total is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Share {
    /// Feed over the path as if it ran straight, rough.
    Rough,
    /// The same for the skims.
    Skims,
    /// What corners and tight arcs add.
    Corners,
    /// Threading.
    Threading,
    /// Stops at which a slug or the part comes free.
    SlugStops,
    /// Rapid moves.
    Moves,
    /// Expected wire breaks.
    Breaks,
    /// What lies between the sum of all others and the median of the whole.
    Allowance,
}

impl Share {
    /// In the order in which they are stacked.
    pub const ALL: [Self; 8] = [
        Self::Rough,
        Self::Skims,
        Self::Corners,
        Self::Threading,
        Self::SlugStops,
        Self::Moves,
        Self::Breaks,
        Self::Allowance,
    ];
    /// As named in a legend.
    pub fn words(self) -> &'static str {
        match self {
            Self::Rough => say!("rough"),
            Self::Skims => say!("skims"),
            Self::Corners => say!("corners"),
            Self::Threading => say!("threading"),
            Self::SlugStops => say!("slug stops"),
            Self::Moves => say!("moves"),
            Self::Breaks => say!("breaks"),
            Self::Allowance => say!("allowance"),
        }
    }
}

/// One step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// What is done.
    pub kind: StepKind,
    /// Which pass; `None` where it does not apply.
    pub pass: Option<PassNumber>,
    /// Contour of the profile; `None` for what belongs to none.
    pub contour: Option<usize>,
    /// Open chain of the profile that is cut on its line.
    pub open: Option<usize>,
    /// Whose conditions and passes hold: index into the figures' plans, 0 the job's own.
    pub plan: usize,
    /// Length travelled.
    pub length: Length,
    /// All minutes, corners included.
    pub minutes: Minutes,
    /// Of those, what corners and tight arcs add.
    pub corner_minutes: Minutes,
    /// Wire used.
    pub wire: Length,
    /// Whether somebody must stand there.
    pub attended: bool,
}

impl Step {
    /// Minutes that a share takes of this step.
    pub fn share(&self, share: Share) -> Minutes {
        let straight = self.minutes - self.corner_minutes;
        let own = match self.kind {
            StepKind::Move => Share::Moves,
            StepKind::Threading => Share::Threading,
            StepKind::Secure | StepKind::SlugStop | StepKind::PartStop => Share::SlugStops,
            // Beside the machine's time: in no share of it.
            StepKind::Loading | StepKind::Dressing => return Minutes::ZERO,
            StepKind::Breaks => Share::Breaks,
            StepKind::Allowance => Share::Allowance,
            StepKind::LeadIn | StepKind::Across | StepKind::Erode => Share::Rough,
            StepKind::Pass | StepKind::Tab => {
                if self.is_rough() {
                    Share::Rough
                } else {
                    Share::Skims
                }
            }
        };
        if share == Share::Corners {
            self.corner_minutes
        } else if share == own {
            straight
        } else {
            Minutes::ZERO
        }
    }
    /// Whether it belongs to the rough.
    pub fn is_rough(&self) -> bool {
        self.pass == Some(PassNumber::ROUGH)
    }
    /// Whether it belongs to a skim.
    pub fn is_skim(&self) -> bool {
        self.pass.is_some_and(|p| !p.is_rough())
    }
    /// Whether a piece is let go by it: the rough of a tab. Waste that the kerf takes has a tab of no length.
    pub fn lets_go(&self) -> bool {
        self.kind == StepKind::Tab && self.is_rough()
    }
    /// What is done, in words: "rough", "skim 2", "slug out", …
    pub fn words(&self) -> String {
        let pass = || self.pass.unwrap_or(PassNumber::ROUGH).to_string();
        match self.kind {
            StepKind::Move => say!("move").to_owned(),
            StepKind::Threading => say!("threading").to_owned(),
            StepKind::LeadIn => say!("lead-in").to_owned(),
            StepKind::Across => say!("across the waste").to_owned(),
            StepKind::Erode => say!("waste burnt out").to_owned(),
            StepKind::Pass if self.attended => say!("{}, watched", pass()),
            StepKind::Pass => pass(),
            StepKind::Tab if self.lets_go() && self.attended => say!("tab cut-off").to_owned(),
            StepKind::Tab => say!("tab, {}", pass()),
            StepKind::Secure => say!("stop before cut-off").to_owned(),
            StepKind::SlugStop => say!("slug out").to_owned(),
            StepKind::PartStop => say!("part out").to_owned(),
            StepKind::Breaks => say!("expected wire breaks").to_owned(),
            StepKind::Allowance => say!("allowance for what runs long").to_owned(),
            StepKind::Loading => say!("loading and aligning").to_owned(),
            StepKind::Dressing => say!("tab dressed by hand").to_owned(),
        }
    }
}
