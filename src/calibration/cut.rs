//! A finished cut.

use super::against_quote::AgainstQuote;
use super::day::Day;
use crate::job::Candidate;
use crate::library::{Flushing, Library};
use crate::process::cutting_rate::RoughConditions;
use crate::units::{Length, Minutes};

/// A finished cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// Row of the table without its header, counted from 1.
    pub row: usize,
    /// Line of the file, counted from 1.
    pub line: u64,
    /// When.
    pub date: Day,
    /// Machine, as the shop calls it; may be empty.
    pub machine: String,
    /// Name in the library.
    pub material: String,
    /// Wire by its name in the library, and diameter.
    pub wire: Candidate,
    /// Thickness of the work.
    pub thickness: Length,
    /// How well the dielectric reached the cut.
    pub flushing: Flushing,
    /// Passes, 1 the rough alone.
    pub passes: usize,
    /// Drawn length cut.
    pub cut_length: Length,
    /// Actual minutes of cutting, corners included, without stops and threading.
    pub cutting_minutes: Minutes,
    /// Wire used in cutting, without what is wasted at threadings, where it was noted.
    pub wire_used: Option<Length>,
    /// Remark.
    pub note: String,
    /// Marked as wrong or unusual: shown, but not learned from.
    pub outlier: bool,
    /// Path of each pass, what corners seem to add included, where the drawing was known. Without it every
    /// pass is taken to be as long as `cut_length`.
    pub pass_path: Option<Vec<Length>>,
    /// What was quoted for it, where that is known.
    pub quoted: Option<AgainstQuote>,
}

impl Cut {
    /// The conditions it was cut in, with nothing learned; `None` where the library lacks wire or material.
    pub fn conditions<'a>(&self, library: &'a Library) -> Option<RoughConditions<'a>> {
        let conditions = RoughConditions::new(
            library.material(&self.material)?,
            library.wire(&self.wire.wire)?,
            self.wire.diameter,
            self.thickness,
            self.flushing,
        );
        Some(RoughConditions {
            learned: None,
            ..conditions.in_library(library)
        })
    }
}
