//! How far an estimated drawing may be believed, for a row of a table.

use crate::drawing::Drawing;
use crate::estimate::{Comparison, Quotable};

/// May it be quoted, and what the import found, in a row of a table.
pub(super) struct Doubt {
    /// The fixed word.
    pub verdict: &'static str,
    /// Codes, each with its count.
    pub findings: String,
}

impl Doubt {
    /// Of an estimated drawing.
    pub fn of(drawing: &Drawing, comparison: &Comparison) -> Self {
        let found = drawing.findings.iter();
        let found: Vec<String> = found.map(|f| format!("{} {}", f.code(), f.count)).collect();
        Self {
            verdict: Quotable::of(drawing.verdict, Some(comparison)).word(),
            findings: found.join(", "),
        }
    }
}
