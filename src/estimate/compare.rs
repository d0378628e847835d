//! Several wires side by side, and each against the baseline.

use super::one_wire::estimate;
use super::{Estimate, Figures};
use crate::job::Job;
use crate::plan::paths::{PathCache, ShapeId};
use crate::process::Library;
use crate::profile::Profile;

/// Estimates of all candidates, in the job's order.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Comparison {
    /// One per candidate.
    pub estimates: Vec<Estimate>,
    /// The one that the others are held against.
    pub baseline: usize,
}

/// A candidate against the baseline, as shares: −0.31 is 31 % less.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difference {
    /// Of the time.
    pub minutes: f64,
    /// Of the wire, by length.
    pub wire: f64,
    /// Of the cost of a part.
    pub cost: f64,
}

impl Comparison {
    /// A candidate against the baseline; `None` for the baseline itself and where either cannot do it.
    pub fn difference(&self, candidate: usize) -> Option<Difference> {
        if candidate == self.baseline {
            return None;
        }
        let figures = |k: usize| self.estimates.get(k)?.figures.as_ref();
        let (a, b): (&Figures, &Figures) = (figures(candidate)?, figures(self.baseline)?);
        let share = |x: f64, y: f64| x / y - 1.0;
        Some(Difference {
            minutes: share(a.minutes.median.min_value(), b.minutes.median.min_value()),
            wire: share(a.wire.median.mm(), b.wire.median.mm()),
            cost: share(a.cost.part.median.amount(), b.cost.part.median.amount()),
        })
    }
    /// The candidate with the lowest cost of a part among those that can do it.
    pub fn cheapest(&self) -> Option<usize> {
        self.best_by(|f| f.cost.part.median.amount())
    }
    /// The candidate with the shortest time among those that can do it.
    pub fn fastest(&self) -> Option<usize> {
        self.best_by(|f| f.minutes.median.min_value())
    }
    fn best_by(&self, of: impl Fn(&Figures) -> f64) -> Option<usize> {
        let possible = self.estimates.iter().enumerate();
        possible
            .filter_map(|(k, e)| Some((k, of(e.figures.as_ref()?))))
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(k, _)| k)
    }
}

/// Estimates every candidate of the job.
///
/// Wire paths that the cache does not have are laid first, on all cores; after that a change of thickness,
/// price or material costs no geometry.
pub fn compare(profile: &Profile, job: &Job, library: &Library, cache: &PathCache) -> Comparison {
    let shapes: Vec<ShapeId> = profile
        .contours
        .iter()
        .map(|c| ShapeId::of(&c.shape))
        .collect();
    Comparison {
        estimates: job
            .candidates
            .iter()
            .map(|c| estimate(profile, &shapes, job, library, c, cache))
            .collect(),
        baseline: job.baseline.min(job.candidates.len().saturating_sub(1)),
    }
}
