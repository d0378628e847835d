//! Several wires side by side, and each against the baseline.

use super::one_wire::estimate;
use super::range::{Slopes, normal_probability};
use super::{Estimate, Figures};
use crate::job::Job;
use crate::library::Library;
use crate::plan::paths::{PathCache, ShapeId};
use crate::profile::Profile;

/// Estimates of all candidates, in the job's order.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Comparison {
    /// One per candidate.
    pub estimates: Vec<Estimate>,
    /// The one that the others are held against.
    pub baseline: usize,
    /// Against the baseline; `None` for the baseline itself and where either cannot do it.
    pub differences: Vec<Option<Difference>>,
}

/// One against another, as shares: −0.31 is 31 % less. Ranges hold about 68 %.
///
/// What both share (machine, material, thickness, flushing) cancels, so a range here is narrower than those
/// of the two figures; that each is a cut of its own stays in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difference {
    /// Of the time.
    pub minutes: f64,
    /// Of the wire, by length.
    pub wire: f64,
    /// Of the cost of a part. Where either costs nothing (no rates) or less (scrap above the price of the wire), there
    /// is no share: this, its range and its probability are no numbers, and are shown as “–”.
    pub cost: f64,
    /// Range of `minutes`, low and high.
    pub minutes_range: (f64, f64),
    /// Range of `wire`.
    pub wire_range: (f64, f64),
    /// Range of `cost`.
    pub cost_range: (f64, f64),
    /// Probability, 0 … 1, that it takes less time.
    pub probability_faster: f64,
    /// That it uses less wire, by length.
    pub probability_less_wire: f64,
    /// That a part costs less.
    pub probability_cheaper: f64,
}

impl Difference {
    /// Of `a` against `b`, in one library: two wires, two jobs, the same wire run in two ways.
    pub fn between(a: &Figures, b: &Figures, library: &Library) -> Self {
        let one = |x: f64, y: f64, of: fn(&Figures) -> &Slopes| {
            if x <= 0.0 || y <= 0.0 {
                return (f64::NAN, (f64::NAN, f64::NAN), f64::NAN);
            }
            let log = (x / y).ln();
            let sd = of(a).log_sd_against(of(b), library);
            let probability = if sd > 0.0 {
                normal_probability(-log / sd)
            } else {
                0.5
            };
            let range = ((log - sd).exp_m1(), (log + sd).exp_m1());
            (x / y - 1.0, range, probability)
        };
        let (minutes, minutes_range, probability_faster) = one(
            a.minutes.median.min_value(),
            b.minutes.median.min_value(),
            |f| &f.doubts.minutes,
        );
        let (wire, wire_range, probability_less_wire) =
            one(a.wire.median.mm(), b.wire.median.mm(), |f| &f.doubts.wire);
        let (cost, cost_range, probability_cheaper) = one(
            a.cost.part.median.amount(),
            b.cost.part.median.amount(),
            |f| &f.doubts.cost,
        );
        Self {
            minutes,
            wire,
            cost,
            minutes_range,
            wire_range,
            cost_range,
            probability_faster,
            probability_less_wire,
            probability_cheaper,
        }
    }
}

impl Comparison {
    /// A candidate against the baseline; `None` for the baseline itself and where either cannot do it.
    pub fn difference(&self, candidate: usize) -> Option<Difference> {
        self.differences.get(candidate).copied().flatten()
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
    let estimates: Vec<Estimate> = job
        .candidates
        .iter()
        .map(|c| estimate(profile, &shapes, job, library, c, cache))
        .collect();
    let baseline = job.baseline.min(job.candidates.len().saturating_sub(1));
    let held = estimates.get(baseline).and_then(|e| e.figures.as_ref());
    let differences = estimates
        .iter()
        .enumerate()
        .map(|(k, e)| {
            let figures = e.figures.as_ref().filter(|_| k != baseline)?;
            Some(Difference::between(figures, held?, library))
        })
        .collect();
    Comparison {
        estimates,
        baseline,
        differences,
    }
}
