//! A quick variant of a job: the same drawing with larger inside radii, scaled, mirrored, without an opening, in another
//! thickness or with other passes. Kept beside the job as what was asked for.

use crate::units::Length;
use serde::{Deserialize, Serialize};

/// One thing that a variant has otherwise.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Edit {
    /// Every length of the drawing times this, about the middle of its box.
    Scale(f64),
    /// The drawing turned over, left to right about the middle of its box.
    Mirror,
    /// Inside radii and corners of everything that is cut at least this large, where there is room.
    InsideRadii(Length),
    /// A contour out of the cut, by [`super::contour_key`].
    LeaveOut(usize),
    /// Thickness of the work.
    Thickness(Length),
    /// Passes, 1 the rough alone.
    Passes(usize),
}

/// What a variant has otherwise, and what the user calls it.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Variant {
    /// The user's own name; empty where what it has otherwise names it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// In the order in which they are made.
    pub edits: Vec<Edit>,
}

impl Edit {
    /// By how much a drawing may be scaled.
    pub const SCALE: std::ops::RangeInclusive<f64> = 0.01..=100.0;
    /// Inside radii that can be asked for, mm.
    pub const RADIUS_MM: std::ops::RangeInclusive<f64> = 0.001..=100.0;

    /// Whether it can be made: its number is one, and within its range. Thickness and passes are judged with the job.
    pub fn is_sane(&self) -> bool {
        match self {
            Self::Scale(by) => Self::SCALE.contains(by),
            Self::InsideRadii(r) => Self::RADIUS_MM.contains(&r.mm()),
            Self::Mirror | Self::LeaveOut(_) | Self::Thickness(_) | Self::Passes(_) => true,
        }
    }
}

impl Variant {
    /// Most variants that one job keeps.
    pub const MOST: usize = 24;

    /// Of one change.
    pub fn of(edit: Edit) -> Self {
        Self {
            name: String::new(),
            edits: vec![edit],
        }
    }
}
