//! Every wire and every order by the clock.

use super::DetailWanted;
use crate::estimate::alternatives::{WayOfCutting, estimated_ways};
use crate::estimate::{ByTheClock, Estimate, best_begin, by_the_clock, compare, tabs_together};
use crate::job::Job;
use crate::units::Minutes;

/// The job by the clock.
pub struct Clocks {
    /// In the order of the candidates; `None` where a wire cannot do the job.
    pub wires: Vec<Option<ByTheClock>>,
    /// Every order of the wire shown.
    pub ways: Vec<(WayOfCutting, ByTheClock)>,
    /// A begin that lets the wire shown stand less, and what it then stands.
    pub better: Option<(f64, Minutes)>,
    /// The lot on the wire shown with the tabs of all its parts cut together at the end, where that is done earlier.
    pub together: Option<ByTheClock>,
}

/// Answers on the worker.
pub(super) fn clocks(wanted: &DetailWanted) -> Clocks {
    let library = &*wanted.library;
    let (profile, job, cache) = (&wanted.profile, &*wanted.job, &wanted.cache);
    let comparison = compare(profile, job, library, cache);
    let walk = |e: &Estimate, job: &Job| {
        let f = e.figures.as_ref()?;
        by_the_clock(f, &e.candidate, job, library)
    };
    let shown = comparison.estimates.get(wanted.wire);
    Clocks {
        wires: comparison.estimates.iter().map(|e| walk(e, job)).collect(),
        ways: estimated_ways(profile, job, library, wanted.wire, cache)
            .into_iter()
            .filter_map(|(way, e)| Some((way, walk(&e, job)?)))
            .collect(),
        together: shown
            .and_then(|e| tabs_together(e.figures.as_ref()?, &e.candidate, job, library)),
        better: shown.and_then(|e| best_begin(e.figures.as_ref()?, &e.candidate, job, library)),
    }
}
