//! What keeps a wire from a job, or wants a second look before it is quoted: kinds and values, no sentences.

use crate::geometry::Point;
use crate::geometry::corners::SHARP_RADIUS;
use crate::job::{JobFault, TightRadii};
use crate::plan::contour_paths::ContourPaths;
use crate::profile::Role;
use crate::units::{Length, Mass, RunOff};

/// How far beyond its usual thickness a wire is still planned for (judgement).
const THICKNESS_LIMIT: f64 = 1.5;

/// Whether a corner rounded so little counts as sharp: no round wire makes it.
pub(super) fn is_as_good_as_sharp(radius: Length) -> bool {
    /// Rounding of a radius, mm.
    const ROUNDING: f64 = 1e-9;
    radius.mm() <= SHARP_RADIUS + ROUNDING
}

/// Why a wire cannot do the job, or should not without a second look.
#[derive(Debug, Clone, PartialEq)]
pub struct Obstacle {
    /// What it is, with its values.
    pub kind: ObstacleKind,
    /// What it concerns.
    pub about: About,
    /// Where, mm about the profile's origin; `None` when it concerns the whole job.
    pub at: Option<Point>,
    /// Diameter of the wire that meets it.
    pub diameter: Length,
}

/// What an obstacle concerns.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum About {
    /// The whole job.
    Job,
    /// One contour.
    Contour(NamedContour),
    /// An open curve that is cut on its line, by its index in the profile.
    OpenCurve(usize),
}

/// A contour and what it bounds, which is how people call it: "opening 2".
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NamedContour {
    /// Index in the profile, 0 the first; people count from 1.
    pub index: usize,
    /// What it bounds in this job.
    pub role: Role,
}

impl NamedContour {
    /// The contour of these paths.
    pub(super) fn of(paths: &ContourPaths) -> Self {
        Self {
            index: paths.contour,
            role: paths.role,
        }
    }
}

/// Why nothing is cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WhyNothing {
    /// The drawing has no closed contour.
    NoContour,
    /// Every contour is left out.
    AllLeftOut,
}

/// What stands in the way, with its values.
#[derive(Debug, Clone, PartialEq)]
pub enum ObstacleKind {
    /// A decision that cannot be estimated.
    Job(JobFault),
    /// Nothing is cut.
    NothingToCut(WhyNothing),
    /// The work is thicker than the wire usually cuts.
    TooThick {
        /// The work's.
        thickness: Length,
        /// Up to which the wire is usually used, in steel.
        usual: Length,
    },
    /// A skim run slower than this wire is known to bear.
    FinishInDoubt {
        /// Skim, 1 the first.
        skim: usize,
        /// The wire speed planned for it.
        run_off: RunOff,
        /// The lowest that usually keeps the finish.
        least: RunOff,
        /// Name of the wire in the library.
        wire: String,
    },
    /// The contour crosses or touches itself, so what is inside is not clear; told instead of what the wire makes of it.
    SelfCrossing {
        /// Whether a wire path comes of it all the same.
        has_path: bool,
    },
    /// No path of some pass fits into the contour at all.
    CannotEnter {
        /// Width that this pass's path needs.
        needs: Length,
    },
    /// A neck of the contour lets no path of some pass through.
    NeckClosed {
        /// Width that this pass's path needs.
        needs: Length,
    },
    /// No start hole fits into the waste.
    NoStartHole {
        /// The smallest that this wire goes through; `None` where the shop drills none.
        smallest: Option<Length>,
        /// From the wire's path to its middle, at the least.
        needs: Option<Length>,
        /// From the path to where there is most room.
        room: Length,
        /// The largest listed diameter that could be started, where one could.
        thinner: Option<Length>,
        /// Whether the user has set the hole, and so knows that it is there.
        own: bool,
        /// Whether it may be begun from the edge of the blank instead.
        edge: bool,
    },
    /// The contour is so intricate that no path is laid along it.
    TooIntricate,
    /// The contour is larger than anything that is cut, so that no path is laid at all.
    TooLarge {
        /// The longer side of its box.
        size: Length,
    },
    /// Two computations of a path do not agree.
    PathUnsure,
    /// A drawn inside radius smaller than the plan leaves; a sharp corner is one of 0.
    InsideRadius {
        /// As drawn, at the worst place.
        radius: Length,
        /// Places where the same holds.
        places: usize,
        /// The radius that the plan leaves.
        leaves: Length,
        /// How deep the worst place stands.
        depth: Length,
        /// What the job says of such places.
        said: TightRadii,
        /// The largest listed diameter that makes it, where one does.
        thinner: Option<Length>,
    },
    /// Walls nearer to each other than the last pass needs.
    NarrowPlace {
        /// Their distance at the worst place, where it could be measured.
        width: Option<Length>,
        /// Places where the same holds.
        places: usize,
        /// Width that the plan's rough needs.
        needs: Length,
        /// The largest listed diameter that enters, where one does.
        thinner: Option<Length>,
    },
    /// Walls that a skim would enter, but not the rough before it.
    RoughCannotFollow {
        /// Their distance at the worst place, where it could be measured.
        width: Option<Length>,
        /// Places where the same holds.
        places: usize,
        /// Width that the plan's rough needs.
        needs: Length,
        /// Most passes of a plan whose rough enters, where the width is known and one does.
        most_passes: Option<usize>,
    },
    /// The rough beside this contour cuts into another one.
    TooClose {
        /// The other one.
        into: NamedContour,
        /// Distance between both; 0 where they meet.
        apart: Length,
        /// How far the rough's kerf reaches from its own contour.
        reach: Length,
    },
    /// The machine's guides do not take this wire.
    DiameterNotTaken {
        /// What they take.
        takes: Vec<Length>,
        /// Name of the machine.
        machine: String,
    },
    /// However it is turned, the wire has farther to go than the machine travels.
    BeyondTravel {
        /// Sides of the smallest box of its paths and start holes, the longer first.
        needs: (Length, Length),
        /// Travel in x and y, where it is said.
        travel: [Option<Length>; 2],
        /// Name of the machine.
        machine: String,
    },
    /// The work is thicker than the machine takes.
    TooHigh {
        /// The thickest that is cut.
        thickness: Length,
        /// The machine's.
        most: Length,
        /// Its name.
        machine: String,
    },
    /// The plate is heavier than the machine carries.
    TooHeavy {
        /// Of the plate around what is cut, at the least.
        mass: Mass,
        /// The machine's.
        most: Mass,
        /// Its name.
        machine: String,
    },
    /// A taper steeper than the machine leans its wire.
    TaperTooSteep {
        /// The steepest of the job, degrees.
        degrees: f64,
        /// The machine's, degrees.
        most: f64,
        /// Its name.
        machine: String,
    },
    /// The wire is not among those on hand for the machine.
    NotOnHand {
        /// Name of the wire in the library.
        wire: String,
        /// Name of the machine.
        machine: String,
    },
    /// The spool that is loaded is not among those on hand for the machine.
    SpoolNotOnHand {
        /// Its common name.
        spool: String,
        /// Name of the machine.
        machine: String,
    },
    /// The job names a machine that the shop does not have, so nothing is held against it.
    UnknownMachine {
        /// As the job names it.
        name: String,
    },
}

impl ObstacleKind {
    /// Whether the job cannot be done so; else it is a warning.
    pub fn blocks(&self) -> bool {
        match self {
            Self::TooThick { thickness, usual } => *thickness > *usual * THICKNESS_LIMIT,
            Self::FinishInDoubt { .. }
            | Self::PathUnsure
            | Self::BeyondTravel { .. }
            | Self::TooHigh { .. }
            | Self::TooHeavy { .. }
            | Self::TaperTooSteep { .. }
            | Self::NotOnHand { .. }
            | Self::SpoolNotOnHand { .. }
            | Self::UnknownMachine { .. } => false,
            Self::SelfCrossing { has_path } => !has_path,
            Self::InsideRadius { said, .. } => *said == TightRadii::Required,
            Self::NoStartHole { own, .. } => !own,
            Self::Job(_)
            | Self::NothingToCut(_)
            | Self::CannotEnter { .. }
            | Self::NeckClosed { .. }
            | Self::NarrowPlace { .. }
            | Self::RoughCannotFollow { .. }
            | Self::TooIntricate
            | Self::TooLarge { .. }
            | Self::DiameterNotTaken { .. }
            | Self::TooClose { .. } => true,
        }
    }

    /// The fixed word for JSON; it never changes, whatever the sentence says.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Job(_) => "job",
            Self::NothingToCut(_) => "nothing-to-cut",
            Self::TooThick { .. } => "too-thick",
            Self::FinishInDoubt { .. } => "finish-in-doubt",
            Self::SelfCrossing { .. } => "self-crossing",
            Self::CannotEnter { .. } => "cannot-enter",
            Self::NeckClosed { .. } => "neck-closed",
            Self::NoStartHole { .. } => "no-start-hole",
            Self::TooIntricate => "too-intricate",
            Self::TooLarge { .. } => "too-large",
            Self::PathUnsure => "path-unsure",
            Self::InsideRadius { .. } => "inside-radius",
            Self::NarrowPlace { .. } => "narrow-place",
            Self::RoughCannotFollow { .. } => "rough-cannot-follow",
            Self::TooClose { .. } => "too-close",
            Self::DiameterNotTaken { .. } => "diameter-not-taken",
            Self::BeyondTravel { .. } => "beyond-travel",
            Self::TooHigh { .. } => "too-high",
            Self::TooHeavy { .. } => "too-heavy",
            Self::TaperTooSteep { .. } => "taper-too-steep",
            Self::NotOnHand { .. } => "not-on-hand",
            Self::SpoolNotOnHand { .. } => "spool-not-on-hand",
            Self::UnknownMachine { .. } => "unknown-machine",
        }
    }

    /// Whether a radius was drawn that this wire does not make, and nobody accepted that. No round wire makes a sharp
    /// corner, so it tells none from another.
    pub fn is_unmade_radius(&self) -> bool {
        match self {
            Self::InsideRadius { radius, said, .. } => {
                !is_as_good_as_sharp(*radius) && *said != TightRadii::Accepted
            }
            _ => false,
        }
    }

    /// Whether the machine or what is on hand for it stands in the way, and nothing of drawing or plan.
    pub fn is_of_the_machine(&self) -> bool {
        matches!(
            self,
            Self::DiameterNotTaken { .. }
                | Self::BeyondTravel { .. }
                | Self::TooHigh { .. }
                | Self::TooHeavy { .. }
                | Self::TaperTooSteep { .. }
                | Self::NotOnHand { .. }
                | Self::SpoolNotOnHand { .. }
                | Self::UnknownMachine { .. }
        )
    }

    /// Whether the part does not fit on its machine, whatever the wire.
    pub fn is_misfit(&self) -> bool {
        matches!(
            self,
            Self::BeyondTravel { .. }
                | Self::TooHigh { .. }
                | Self::TooHeavy { .. }
                | Self::TaperTooSteep { .. }
                | Self::UnknownMachine { .. }
        )
    }

    /// Whether the drawing keeps the wire from making it, and no thickness or decision.
    pub fn is_of_the_drawing(&self) -> bool {
        self.is_unmade_radius()
            || matches!(
                self,
                Self::CannotEnter { .. }
                    | Self::NeckClosed { .. }
                    | Self::NoStartHole { .. }
                    | Self::NarrowPlace { .. }
                    | Self::RoughCannotFollow { .. }
                    | Self::TooIntricate
                    | Self::TooLarge { .. }
                    | Self::TooClose { .. }
            )
    }

    /// Whether the widest path of the contour's plan has to pass a place and does not.
    pub fn is_too_narrow(&self) -> bool {
        matches!(
            self,
            Self::CannotEnter { .. } | Self::NeckClosed { .. } | Self::RoughCannotFollow { .. }
        )
    }
}

impl Obstacle {
    /// About the whole job.
    pub(super) fn of_job(kind: ObstacleKind, diameter: Length) -> Self {
        Self {
            kind,
            about: About::Job,
            at: None,
            diameter,
        }
    }
    /// Whether the job cannot be done so; else it is a warning.
    pub fn blocks(&self) -> bool {
        self.kind.blocks()
    }
    /// The fixed word for JSON.
    pub fn code(&self) -> &'static str {
        self.kind.code()
    }
    /// Index of the contour concerned.
    pub fn contour(&self) -> Option<usize> {
        match self.about {
            About::Contour(c) => Some(c.index),
            About::Job | About::OpenCurve(_) => None,
        }
    }
}
