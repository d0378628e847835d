//! The estimate as a page to hand on or print: the drawing, what was assumed, the wires side by side, what the
//! figures rest on, and what to beware of.
//!
//! One self-contained HTML file without scripts. Every figure comes from the estimate's own list of steps and lines
//! of cost; nothing is computed here.

mod drawing;
pub mod escaped;
mod page;
mod tables;

pub use page::html;

use crate::drawing::Drawing;
use crate::estimate::Comparison;
use crate::job::{Confirmed, Job};
use crate::library::Library;
use crate::measures::Measures;
use crate::profile::Profile;
use crate::units::Money;
use crate::words::Style;

/// What a report is made of.
#[derive(Debug, Clone, Copy)]
pub struct Report<'a> {
    /// Name of the drawing.
    pub name: &'a str,
    /// The day it is written, year-month-day; empty for none.
    pub date: &'a str,
    /// The contours.
    pub profile: &'a Profile,
    /// Their measures with what stays as in the job.
    pub measures: &'a Measures,
    /// What was decided.
    pub job: &'a Job,
    /// What of it was given for this drawing.
    pub confirmed: Confirmed,
    /// What the figures rest on.
    pub library: &'a Library,
    /// What was read, with the questions that are still open.
    pub drawing: &'a Drawing,
    /// The estimates.
    pub comparison: &'a Comparison,
    /// What contours side by side cost as openings, wire by wire; nothing where that is no question.
    pub as_openings: &'a [Option<Money>],
    /// The candidate whose path is drawn and whose figures are unfolded.
    pub shown: usize,
    /// mm or inch.
    pub style: Style,
}

impl Report<'_> {
    /// Pieces that one estimate cuts.
    fn pieces(&self) -> usize {
        self.job.pieces(self.profile, &self.drawing.parts)
    }
}
