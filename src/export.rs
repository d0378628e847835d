//! What leaves for the next program: the contours as they are cut, as a clean drawing.
//!
//! Each contour is one closed curve of lines and arcs on the layer of its role: gaps that were joined are closed,
//! what was drawn twice is there once, chopped arcs are arcs again. Wire paths and start holes are added where they
//! are asked for, on layers of their own whose names say that they are a planning aid and no machine program.

mod dxf_entities;
mod dxf_file;
mod svg;

pub use dxf_file::{ExportError, Exported, dxf};
pub use svg::svg;

use crate::drawing::Unit;
use crate::estimate::Estimate;
use crate::job::Job;
use crate::profile::{Profile, Role};

/// What is written.
#[derive(Debug, Clone, Copy)]
pub struct Content<'a> {
    /// The contours.
    pub profile: &'a Profile,
    /// Which of them are cut, and what they bound.
    pub job: &'a Job,
    /// The wire whose paths and start holes go with them.
    pub paths: Option<&'a Estimate>,
    /// The unit of all lengths, said in the header.
    pub unit: Unit,
}

/// A layer of the written drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Layer {
    /// Bounds material that is kept.
    Outline,
    /// A hole in the material.
    Opening,
    /// Cut along its line.
    OnLine,
    /// Closes no contour and is not cut.
    Open,
    /// Where a tapered contour comes out below.
    LowerEdge,
    /// Where the wire is threaded.
    StartHole,
    /// From a start hole to the path.
    LeadIn,
    /// Rings that burn waste out.
    BurnOut,
    /// The wire centre's way in a pass, 1 the rough.
    Path(usize),
    /// What is said of the planning aid.
    Note,
}

impl Layer {
    /// Of a contour.
    pub fn of(role: Role) -> Self {
        match role {
            Role::Outline => Self::Outline,
            Role::Opening => Self::Opening,
        }
    }
    /// Whether it is a plan of the wire's way, and nothing of the part.
    pub fn is_planning_aid(self) -> bool {
        match self {
            Self::Outline | Self::Opening | Self::OnLine | Self::Open | Self::LowerEdge => false,
            Self::StartHole | Self::LeadIn | Self::BurnOut | Self::Path(_) | Self::Note => true,
        }
    }
    /// Its name in the file.
    pub fn name(self) -> String {
        let own = match self {
            Self::Outline => "OUTLINE".to_owned(),
            Self::Opening => "OPENING".to_owned(),
            Self::OnLine => "ON_LINE".to_owned(),
            Self::Open => "OPEN".to_owned(),
            Self::LowerEdge => "LOWER_EDGE".to_owned(),
            Self::StartHole => "START_HOLE".to_owned(),
            Self::LeadIn => "LEAD_IN".to_owned(),
            Self::BurnOut => "BURN_OUT".to_owned(),
            Self::Path(1) => "WIRE_ROUGH".to_owned(),
            Self::Path(pass) => format!("WIRE_SKIM_{}", pass.saturating_sub(1)),
            Self::Note => "NOTE".to_owned(),
        };
        if self.is_planning_aid() {
            format!("PLANNING_AID_{own}")
        } else {
            own
        }
    }
    /// Colour number of the layer, 1 to 255, so that neighbours differ.
    fn colour(self) -> u8 {
        match self {
            Self::Outline => 7,
            Self::Opening => 5,
            Self::OnLine => 4,
            Self::Open => 8,
            Self::LowerEdge => 6,
            Self::StartHole => 1,
            Self::LeadIn => 30,
            Self::BurnOut => 40,
            Self::Path(pass) => [3, 92, 94, 96, 98, 100][pass.saturating_sub(1).min(5)],
            Self::Note => 9,
        }
    }
}
