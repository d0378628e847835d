//! The estimate as a page to hand on or print: the drawing, what was assumed, the wires side by side, what the
//! figures rest on, and what to beware of.
//!
//! One self-contained HTML file without scripts. Every figure comes from the estimate's own list of steps and lines
//! of cost; nothing is computed here.

mod drawing;
mod page;
mod tables;

pub use page::html;

use crate::estimate::Comparison;
use crate::job::{Candidate, Confirmed, Job};
use crate::library::Library;
use crate::measures::Measures;
use crate::profile::Profile;
use crate::reason::short;
use crate::units::Minutes;
use crate::words::style::worth_showing;
use crate::words::{System, ways};

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
    /// The estimates.
    pub comparison: &'a Comparison,
    /// The candidate whose path is drawn and whose figures are unfolded.
    pub shown: usize,
}

/// Hours and minutes, no finer than an estimate deserves: "5 h 10 min".
pub fn clock(minutes: Minutes) -> String {
    let shown = worth_showing(minutes).min_value();
    if shown < 60.0 {
        return format!("{} min", short(shown));
    }
    let whole = shown.round() as u64;
    format!("{} h {:02} min", whole / 60, whole % 60)
}

/// A share as more or less: "−12.6 %".
pub fn percent(share: f64) -> String {
    if !share.is_finite() {
        return "–".to_owned();
    }
    format!("{:+.1} %", share * 100.0).replace('-', "−")
}

/// A probability, never 0 or 100: "82 %", "more than 99 %".
pub fn probability(p: f64) -> String {
    match p {
        p if p > 0.99 => "more than 99 %".to_owned(),
        p if p < 0.01 => "less than 1 %".to_owned(),
        p if p.is_finite() => format!("{:.0} %", p * 100.0),
        _ => "–".to_owned(),
    }
}

/// A candidate by name, diameter and, where it is not the usual way, how it is run.
pub fn candidate_name(c: &Candidate) -> String {
    let run = ways::of_running(c.run, System::Metric);
    let gap = if run.is_empty() { "" } else { ", " };
    format!("{} Ø {} mm{gap}{run}", c.wire, short(c.diameter.mm()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_and_shares_read_well() {
        let clock = |m| clock(Minutes::from_min(m));
        // As in the window.
        assert_eq!(clock(312.4), "5 h 10 min");
        assert_eq!(clock(59.4), "59 min");
        assert_eq!(clock(59.7), "1 h 00 min");
        assert_eq!(clock(4.26), "4.3 min");
        assert_eq!(percent(f64::NAN), "–");
        assert_eq!(percent(-0.3106), "−31.1 %");
        assert_eq!(percent(0.04), "+4.0 %");
        assert_eq!(probability(0.998), "more than 99 %");
        assert_eq!(probability(0.82), "82 %");
    }
}
