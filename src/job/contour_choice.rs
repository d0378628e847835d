//! What the user decides for one contour, apart from the job.

use crate::geometry::Point;
use crate::library::Flushing;
use crate::units::{Length, Mass};
use serde::{Deserialize, Serialize};

/// When the piece that the tab holds is cut off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CutOff {
    /// Skims first; the tab is cut and skimmed last.
    #[default]
    AfterSkims,
    /// The slug leaves after the rough; then the skims run all the way round.
    ///
    /// Only for openings without other cut contours inside: anything else would fall away before its skims.
    BeforeSkims,
}

/// Which openings are burnt out because they are small.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum BurnOut {
    /// None but those that are decided one by one.
    #[default]
    Nothing,
    /// Where the slug's longer side is at most this long.
    UpToSize(Length),
    /// Where the slug weighs at most this much.
    UpToMass(Mass),
}

impl BurnOut {
    /// Whether a slug of this size and mass is burnt out.
    pub fn takes(self, size: Length, mass: Mass) -> bool {
        match self {
            Self::Nothing => false,
            Self::UpToSize(most) => size <= most,
            Self::UpToMass(most) => mass <= most,
        }
    }
    /// Its limit is a length or mass.
    pub fn is_sane(self) -> bool {
        match self {
            Self::Nothing => true,
            Self::UpToSize(most) => (0.0..=1000.0).contains(&most.mm()),
            Self::UpToMass(most) => (0.0..=1e6).contains(&most.kg()),
        }
    }
}

/// In which order the parts of a lot are let go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LotOrder {
    /// A part is loaded, cut and taken out, then the next.
    #[default]
    PartByPart,
    /// All parts lie on the machine at once, in one blank or side by side; their tabs stay until all else is cut.
    TabsTogether,
}

/// What becomes of the waste in an opening.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Waste {
    /// It comes loose as a slug, and somebody takes it out.
    #[default]
    Slug,
    /// The wire erodes all of it, ring by ring from the inside: longer, but nobody has to be there.
    Erode,
}

/// Whether all contours are roughed before the first skim.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CuttingOrder {
    /// Each contour is finished before the next is begun: fewest threadings.
    #[default]
    EachInTurn,
    /// Every contour is roughed, then every contour skimmed, then every piece cut off.
    ///
    /// Stress leaves the work before the skims, and all stops come together at the end.
    RoughsFirst,
}

/// How the wire gets from one contour to the next.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Travel {
    /// The wire is cut, travels and is threaded in the next start hole.
    #[default]
    Rethread,
    /// Between contours in the same waste the wire stays threaded and cuts its way across, where that is
    /// short and nothing that stays lies between; elsewhere it is threaded anew.
    KeepThreaded,
}

/// What was decided for one contour. The default leaves everything to the job.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct ContourChoice {
    /// Passes, never more than the job has.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub passes: Option<usize>,
    /// Thickness of the work here.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub thickness: Option<Length>,
    /// Flushing here.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub flushing: Option<Flushing>,
    /// How far the wire leans, degrees; positive where the lower contour is smaller.
    pub taper_degrees: f64,
    /// The wire runs on the other side of the contour than its role says.
    pub turned: bool,
    /// An open curve is cut on the line (without effect on a closed contour).
    pub on_line: bool,
    /// Where the wire is threaded, mm about the profile's origin.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hole: Option<Point>,
    /// Whether an outline is begun from the edge of the blank, without a hole; `None` as the job says.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from_edge: Option<bool>,
    /// Where the path is joined: distance along the drawn contour from vertex 0.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub join: Option<Length>,
    /// Tab that holds the piece.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tab: Option<Length>,
    /// When the tab is cut.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cut_off: Option<CutOff>,
    /// Slug or erosion (without effect on an outline); `None` by the size that the job burns out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub waste: Option<Waste>,
}

impl ContourChoice {
    /// Everything as the job says.
    pub const AS_THE_JOB: Self = Self {
        passes: None,
        thickness: None,
        flushing: None,
        taper_degrees: 0.0,
        turned: false,
        on_line: false,
        hole: None,
        from_edge: None,
        join: None,
        tab: None,
        cut_off: None,
        waste: None,
    };
    /// Largest lean allowed, degrees: beyond it the rule for the speed says nothing (judgement).
    pub const MOST_TAPER_DEGREES: f64 = 45.0;
    /// Lengths that a tab may have, mm.
    pub const TAB_MM: std::ops::RangeInclusive<f64> = 0.0..=1000.0;
}
