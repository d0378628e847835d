//! Which steps a band of the time can show apart, so that no frame goes through all of a hundred thousand.

use crate::plan::timeline::Timeline;
use crate::plan::{Step, StepKind};
use crate::units::Minutes;
use std::ops::Range;

/// What is shorter than this share of the whole time is seen in no band: an eighth of a point in one of 4096.
const GRAIN: f64 = 1.0 / (8.0 * 4096.0);

/// What can be seen of a list of steps; all of it where none is very short.
#[derive(Debug, Clone, PartialEq)]
pub struct Seen {
    /// Steps that, with the shorter ones right before them, take a share that can be seen.
    pub steps: Vec<usize>,
    /// Visits to one contour that take so long, by their steps.
    pub visits: Vec<Range<usize>>,
    /// Steps with somebody there that lie so far apart.
    pub attended: Vec<usize>,
}

impl Seen {
    /// Of all steps and their times.
    pub fn new(steps: &[Step], timeline: &Timeline) -> Self {
        let grain = timeline.total() * GRAIN;
        let mut seen = Self {
            steps: Vec::new(),
            visits: Vec::new(),
            attended: Vec::new(),
        };
        let mut last = Minutes::ZERO;
        let mut last_attended: Option<Minutes> = None;
        for (k, s) in steps.iter().enumerate() {
            let (from, to) = (timeline.start_of(k), timeline.start_of(k + 1));
            if to - last >= grain {
                seen.steps.push(k);
                last = to;
            }
            let middle = (from + to) * 0.5;
            let attended = s.attended && s.kind != StepKind::Breaks;
            if attended && last_attended.is_none_or(|l| middle - l >= grain) {
                seen.attended.push(k);
                last_attended = Some(middle);
            }
        }
        let mut k = 0;
        for visit in steps.chunk_by(|a, b| (a.contour, a.open) == (b.contour, b.open)) {
            let end = k + visit.len();
            if timeline.start_of(end) - timeline.start_of(k) >= grain {
                seen.visits.push(k..end);
            }
            k = end;
        }
        seen
    }
}
