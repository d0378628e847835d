//! Several wires side by side, and each against the baseline.

use super::cost::break_even_gain;
use super::one_wire::{estimate, wanted_of};
use super::terms::Against;
use super::{Estimate, Figures};
use crate::job::Job;
use crate::library::Library;
use crate::plan::contour_paths::lay_all;
use crate::plan::paths::{PathCache, ShapeId};
use crate::profile::Profile;
use crate::progress::{piece, side_by_side};
use crate::units::Money;

/// Estimates of all candidates, in the job's order.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Comparison {
    /// One per candidate.
    pub estimates: Vec<Estimate>,
    /// The one that the others are held against.
    pub baseline: usize,
    /// Against the baseline; `None` for the baseline itself and where either cannot do it. Empty after [`estimate_all`].
    pub differences: Vec<Option<Difference>>,
}

/// One against another. Ranges hold about 68 %.
///
/// What both share cancels (see [`super::terms`]): the same drawing twice differs by exactly nothing, and between two
/// wires only what is their own stays in doubt. The scatter from one cut to the next stands apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difference {
    /// Of the time.
    pub minutes: Against,
    /// Of the wire, by length.
    pub wire: Against,
    /// Of the cost of a part, the freed machine hours sold at the machine's rate. Where either costs nothing (no rates)
    /// or less (scrap above the price of the wire) there is no share: it is shown as “–”.
    pub cost: Against,
    /// Of what is really spent on a part, the freed machine hours not sold: wire, consumables, start holes and
    /// attended work.
    pub cash: Against,
    /// By how much the cost of a part differs, the freed hours sold.
    pub cost_amount: Money,
    /// By how much what is really spent on a part differs.
    pub cash_amount: Money,
    /// Value of a machine hour at which neither is better: above it the faster one pays, below it the one that spends
    /// less. `None` where one is both.
    pub turns_at_rate: Option<Money>,
    /// Gain in speed (0.05 is 5 % more feed) from which the first pays, the freed hours sold; below 0 it pays even where
    /// it is slower by that. No number where an hour costs nothing.
    pub pays_from_gain: f64,
}

impl Difference {
    /// Of `a` against `b`, in one library: two wires, two jobs, the same wire run in two ways.
    pub fn between(a: &Figures, b: &Figures, library: &Library) -> Self {
        let (x, y) = (&a.doubts.terms, &b.doubts.terms);
        let medians = |of: &dyn Fn(&Figures) -> f64| (of(a), of(b));
        let cost = medians(&|f| f.cost.part.median.amount());
        let cash = medians(&|f| f.cost.unsold.median.amount());
        let cash_amount = cash.0 - cash.1;
        let hours = (b.minutes.median - a.minutes.median).hours();
        let rate = cash_amount / hours;
        Self {
            minutes: x.minutes.held_against(
                &y.minutes,
                medians(&|f| f.minutes.median.min_value()),
                library,
            ),
            wire: x
                .wire
                .held_against(&y.wire, medians(&|f| f.wire.median.m()), library),
            cost: x.cost.held_against(&y.cost, cost, library),
            cash: x.cash.held_against(&y.cash, cash, library),
            cost_amount: Money::from_amount(cost.0 - cost.1),
            cash_amount: Money::from_amount(cash_amount),
            turns_at_rate: (rate.is_finite() && rate > 0.0).then(|| Money::from_amount(rate)),
            pays_from_gain: pays_from_gain(a, b),
        }
    }
}

/// Gain in speed from which `a` pays against `b`, see [`break_even_gain`].
fn pays_from_gain(a: &Figures, b: &Figures) -> f64 {
    // Machine and consumables an hour are the same for both; wire an hour is its own price times its own use.
    let by_the_hour = |f: &Figures, m: Money| m.amount() / f.minutes.median.hours();
    let machine = by_the_hour(a, a.cost.machine + a.cost.consumables);
    let wire = |f: &Figures| (1.0, by_the_hour(f, f.cost.wire));
    break_even_gain(machine, wire(b), wire(a))
}

impl Comparison {
    /// Holds every candidate against the baseline.
    fn find_differences(&mut self, library: &Library) {
        let held = self.estimates.get(self.baseline);
        let held = held.and_then(|e| e.figures.as_ref());
        let all = self.estimates.iter().enumerate();
        let differences = all.map(|(k, e)| {
            let figures = e.figures.as_ref().filter(|_| k != self.baseline)?;
            Some(Difference::between(figures, held?, library))
        });
        self.differences = differences.collect();
    }
    /// A candidate against the baseline; `None` for the baseline itself and where either cannot do it.
    pub fn difference(&self, candidate: usize) -> Option<Difference> {
        self.differences.get(candidate).copied().flatten()
    }
    /// Candidates that can do it, to choose the best from: those that make every drawn radius, where any does.
    pub fn ranked(&self) -> impl Iterator<Item = (usize, &Figures)> {
        let possible = || self.estimates.iter().filter(|e| e.is_possible());
        let some_make_all = possible().any(|e| !e.leaves_a_radius());
        let all = self.estimates.iter().enumerate();
        all.filter(move |(_, e)| !(some_make_all && e.leaves_a_radius()))
            .filter_map(|(k, e)| Some((k, e.figures.as_ref()?)))
    }
    /// The candidate with the lowest cost of a part among those that can do it, see [`Self::ranked`].
    pub fn cheapest(&self) -> Option<usize> {
        self.best_by(|f| f.cost.part.median.amount())
    }
    /// The candidate to quote with where nobody chose one: the cheapest of those that are on hand, where any is.
    pub fn to_quote(&self) -> Option<usize> {
        let on_hand = |k: &usize| self.estimates[*k].is_on_hand();
        let cost = |f: &Figures| f.cost.part.median.amount();
        best_of(self.ranked().filter(|(k, _)| on_hand(k)), cost).or_else(|| self.cheapest())
    }
    /// The candidate with the shortest time among those that can do it, see [`Self::ranked`].
    pub fn fastest(&self) -> Option<usize> {
        self.best_by(|f| f.minutes.median.min_value())
    }
    fn best_by(&self, of: impl Fn(&Figures) -> f64) -> Option<usize> {
        best_of(self.ranked(), of)
    }
}

/// The candidate of the least.
fn best_of<'a>(
    some: impl Iterator<Item = (usize, &'a Figures)>,
    of: impl Fn(&Figures) -> f64,
) -> Option<usize> {
    some.map(|(k, f)| (k, of(f)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(k, _)| k)
}

/// Estimates every candidate of the job, wires side by side on all cores.
///
/// Wire paths that the cache does not have are laid first; after that a change of thickness, price or material costs no
/// geometry.
pub fn compare(profile: &Profile, job: &Job, library: &Library, cache: &PathCache) -> Comparison {
    let library = &*job.library_on_machine(library);
    let mut all = on_machine(profile, job, library, cache);
    all.find_differences(library);
    all
}

/// The same, and no differences from the baseline: for who wants the best of the wires alone.
pub fn estimate_all(
    profile: &Profile,
    job: &Job,
    library: &Library,
    cache: &PathCache,
) -> Comparison {
    on_machine(profile, job, &job.library_on_machine(library), cache)
}

/// The same, by the library as it is on the job's machine.
fn on_machine(profile: &Profile, job: &Job, library: &Library, cache: &PathCache) -> Comparison {
    let shapes: Vec<ShapeId> = profile
        .contours()
        .iter()
        .map(|c| ShapeId::of(&c.shape))
        .collect();
    // All at once, so that no core waits for the last path of one wire.
    piece(0, 2, || {
        let wires = job.candidates.iter();
        lay_all(
            wires.flat_map(|c| wanted_of(profile, &shapes, job, library, c)),
            cache,
        );
    });
    let estimates = piece(1, 2, || {
        side_by_side(job.candidates.len(), |k| {
            let candidate = &job.candidates[k];
            estimate(profile, &shapes, job, library, candidate, cache)
        })
    });
    Comparison {
        baseline: job.baseline.min(estimates.len().saturating_sub(1)),
        estimates,
        differences: Vec::new(),
    }
}
