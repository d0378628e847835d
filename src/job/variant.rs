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

/// What a variant has otherwise, and what the user calls it. It may hold any number of edits, as [`Variant::with`] puts
/// them in: larger inside radii, in another thickness, without an opening.
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

    /// What of several edits is made first. What is left out is not rounded, and a radius that is asked for is that of the
    /// drawing as it is cut, however it was scaled.
    fn rank(&self) -> u8 {
        match self {
            Self::LeaveOut(_) => 0,
            Self::Scale(_) => 1,
            Self::Mirror => 2,
            Self::InsideRadii(_) => 3,
            Self::Thickness(_) => 4,
            Self::Passes(_) => 5,
        }
    }
    /// Whether a variant can have only one of both: the later one then holds.
    fn excludes(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::LeaveOut(a), Self::LeaveOut(b)) => a == b,
            _ => self.rank() == other.rank(),
        }
    }
    /// Whether it is a decision of the job, which the drawing need not be changed for.
    pub fn is_of_the_job(&self) -> bool {
        matches!(
            self,
            Self::LeaveOut(_) | Self::Thickness(_) | Self::Passes(_)
        )
    }
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
    /// Longest name, characters.
    pub const LONGEST_NAME: usize = 60;

    /// Of one change.
    pub fn of(edit: Edit) -> Self {
        Self {
            name: String::new(),
            edits: vec![edit],
        }
    }
    /// With one more edit; it takes the place of one of its kind. Edits stand in the order in which they are made,
    /// whatever order they were asked for in.
    #[must_use]
    pub fn with(mut self, edit: Edit) -> Self {
        self.edits.retain(|e| !edit.excludes(e));
        self.edits.push(edit);
        self.edits.sort_by_key(Edit::rank);
        self
    }
    /// With another name, without blanks around it and no longer than [`Self::LONGEST_NAME`]; an empty one takes the
    /// name away.
    #[must_use]
    pub fn called(mut self, name: &str) -> Self {
        let name: String = name.trim().chars().take(Self::LONGEST_NAME).collect();
        self.name = name.trim_end().to_owned();
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_variant_is_the_same_whatever_order_its_edits_were_asked_for_in() {
        let edits = [
            Edit::Passes(2),
            Edit::InsideRadii(Length::from_mm(0.3)),
            Edit::LeaveOut(4),
            Edit::Scale(1.1),
            Edit::LeaveOut(2),
        ];
        let of = |list: &[Edit]| list.iter().fold(Variant::default(), |v, e| v.with(*e));
        let mut back = edits;
        back.reverse();
        let (a, b) = (of(&edits), of(&back));
        let ranks = |v: &Variant| v.edits.iter().map(Edit::rank).collect::<Vec<_>>();
        assert_eq!(ranks(&a), [0, 0, 1, 3, 5]);
        assert_eq!(ranks(&a), ranks(&b));
        // A second one of a kind takes the place of the first; another contour is another edit.
        let again = a.clone().with(Edit::Scale(2.0)).with(Edit::LeaveOut(4));
        assert_eq!(again.edits.len(), a.edits.len());
        assert!(again.edits.contains(&Edit::Scale(2.0)));
    }

    #[test]
    fn a_name_has_no_blanks_around_it_and_an_end() {
        let of = |name: &str| Variant::of(Edit::Mirror).called(name).name;
        assert_eq!(of("  other hand "), "other hand");
        assert_eq!(of(" \t "), "");
        assert_eq!(of(&"x".repeat(500)).chars().count(), Variant::LONGEST_NAME);
    }
}
