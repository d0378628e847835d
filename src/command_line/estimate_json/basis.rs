//! What an estimate was made from, and where its places lie.

use crate::drawing::Drawing;
use crate::estimate::{Break, QuickVariant, Wanted, breaks};
use crate::geometry::Point;
use crate::job::{Confirmed, Job};
use crate::library::Library;
use crate::plan::PathCache;
use crate::units::Money;
use std::path::PathBuf;

/// What an estimate was made from.
pub(in crate::command_line) struct EstimateBasis<'a> {
    /// The drawing.
    pub drawing: &'a Drawing,
    /// What was decided.
    pub job: &'a Job,
    /// What of it was given for this drawing.
    pub confirmed: Confirmed,
    /// What it rests on.
    pub library: &'a Library,
    /// Wire paths laid so far.
    pub cache: &'a PathCache,
    /// What contours side by side cost as openings, wire by wire; nothing where that is no question.
    pub as_openings: &'a [Option<Money>],
    /// Whether other ways are wanted.
    pub alternatives: bool,
    /// A finish or tolerance that was asked for.
    pub wanted: Option<Wanted>,
    /// Files of the shop that it rests on.
    pub files: &'a [PathBuf],
    /// Lots that a price is wanted for.
    pub breaks: &'a [u32],
    /// Variants that were asked for beside it.
    pub variants: &'a [QuickVariant],
}

impl EstimateBasis<'_> {
    /// What a part costs in each lot; `None` where nobody asked, or the wire cannot do it.
    pub(in crate::command_line) fn ladder(&self, candidate: usize) -> Option<Vec<Break>> {
        if self.breaks.is_empty() {
            return None;
        }
        let profile = &self.drawing.profile;
        breaks(
            profile,
            self.job,
            self.library,
            self.cache,
            candidate,
            self.breaks,
        )
    }
}

/// A place of the profile in the coordinates of the drawing, mm.
pub(super) fn absolute(asked: &EstimateBasis<'_>, p: Point) -> [f64; 2] {
    (p + asked.drawing.profile.origin()).xy()
}
