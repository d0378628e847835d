//! Which pass plan is usually enough for a finish or a tolerance, and what its last pass costs.

use super::compare;
use crate::job::{Candidate, Job};
use crate::library::{Library, Wire};
use crate::plan::PathCache;
use crate::process::finish::roughness_um;
use crate::profile::Profile;
use crate::units::{Length, Minutes, Money};
use serde::{Deserialize, Serialize};

/// A plan with what it usually leaves.
#[derive(Debug, Clone, PartialEq)]
pub struct PassPlan {
    /// Passes, 1 the rough alone.
    pub passes: usize,
    /// Usual roughness Ra afterwards, low and high, µm.
    pub roughness_um: [f64; 2],
    /// Usual tolerance afterwards, low and high, mm.
    pub tolerance_mm: [f64; 2],
}

/// Every plan of a library with a wire, rough only first.
///
/// Tolerance is that of the pass table: no wire is taken to change it.
pub fn pass_plans(library: &Library, wire: &Wire) -> Vec<PassPlan> {
    library
        .passes
        .iter()
        .enumerate()
        .map(|(k, row)| PassPlan {
            passes: k + 1,
            roughness_um: roughness_um(row, wire),
            tolerance_mm: row.tolerance_mm,
        })
        .collect()
}

/// What the part must come to.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Wanted {
    /// Roughness Ra at most, µm.
    pub roughness_um: Option<f64>,
    /// Tolerance at most, mm.
    pub tolerance_mm: Option<f64>,
}

/// The smallest plans for what is wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// Usually enough: even the worse end of what is usual meets it. `None` where no plan does.
    pub usually_enough: Option<PassPlan>,
    /// A smaller plan that may be enough: the better end of what is usual meets it.
    pub perhaps_enough: Option<PassPlan>,
}

/// A plan that other wires of the job need.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OtherPlan {
    /// Its passes; `None` where no plan is usually enough.
    pub passes: Option<usize>,
    /// Names of the wires.
    pub wires: Vec<String>,
}

/// The smallest plans with each wire of the job, in the order of its candidates.
///
/// `None` where the library lacks the wire.
pub fn advise_each(job: &Job, library: &Library, wanted: &Wanted) -> Vec<Option<Advice>> {
    let wires = job.candidates.iter().map(|c| library.wire(&c.wire));
    wires.map(|w| Some(advise(library, w?, wanted))).collect()
}

/// Where another wire of the job needs another plan than `wire` does: in the order of the plans, none last.
pub fn other_wires(job: &Job, library: &Library, wanted: &Wanted, wire: &str) -> Vec<OtherPlan> {
    let passes_of = |a: Advice| a.usually_enough.map(|p| p.passes);
    let own = library
        .wire(wire)
        .map(|w| passes_of(advise(library, w, wanted)));
    let mut plans: Vec<OtherPlan> = Vec::new();
    for (c, advice) in job.candidates.iter().zip(advise_each(job, library, wanted)) {
        let Some(passes) = advice.map(passes_of).filter(|p| Some(*p) != own) else {
            continue;
        };
        let place = plans.iter().position(|p| p.passes == passes);
        let place = place.unwrap_or_else(|| {
            let wires = Vec::new();
            plans.push(OtherPlan { passes, wires });
            plans.len() - 1
        });
        if !plans[place].wires.contains(&c.wire) {
            plans[place].wires.push(c.wire.clone());
        }
    }
    plans.sort_by_key(|p| p.passes.unwrap_or(usize::MAX));
    plans
}

/// The smallest plans of a library for what is wanted with a wire. With nothing wanted, the rough alone.
pub fn advise(library: &Library, wire: &Wire, wanted: &Wanted) -> Advice {
    let plans = pass_plans(library, wire);
    // `end` 0 the better, 1 the worse end of what is usual. What is no number is met by no plan.
    let meets = |p: &PassPlan, end: usize| {
        wanted
            .roughness_um
            .is_none_or(|ra| p.roughness_um[end] <= ra)
            && wanted.tolerance_mm.is_none_or(|t| p.tolerance_mm[end] <= t)
    };
    let usually_enough = plans.iter().find(|p| meets(p, 1)).cloned();
    let enough = usually_enough.as_ref().map_or(usize::MAX, |p| p.passes);
    let perhaps_enough = plans
        .iter()
        .find(|p| p.passes < enough && meets(p, 0))
        .cloned();
    Advice {
        usually_enough,
        perhaps_enough,
    }
}

/// What a plan takes beyond the plan with one pass less, a part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LastPass {
    /// Time.
    pub minutes: Minutes,
    /// Wire.
    pub wire: Length,
    /// Cost.
    pub cost: Money,
}

/// What the last pass of a plan adds; `None` for the rough alone, and where the candidate cannot do one of both.
///
/// Another number of passes shifts every offset, so both plans are laid out in full.
pub fn price_of_last_pass(
    profile: &Profile,
    job: &Job,
    library: &Library,
    candidate: &Candidate,
    passes: usize,
    cache: &PathCache,
) -> Option<LastPass> {
    let of = |passes: usize| {
        let job = Job {
            passes,
            candidates: vec![candidate.clone()],
            baseline: 0,
            ..job.clone()
        };
        let one = compare(profile, &job, library, cache)
            .estimates
            .into_iter()
            .next()?;
        one.figures
    };
    let less = passes.checked_sub(1).filter(|&p| p > 0)?;
    let (more, less) = (of(passes)?, of(less)?);
    Some(LastPass {
        minutes: more.minutes.median - less.minutes.median,
        wire: more.wire.median - less.wire.median,
        cost: more.cost.part.median - less.cost.part.median,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_smallest_plan_that_is_usually_enough() {
        // Usual Ra afterwards (common practice, from memory): 2.0–3.2, 1.2–1.8, 0.7–1.0, 0.4–0.6, 0.2–0.35, 0.12–0.25.
        let l = Library::built_in();
        let passes = |ra: Option<f64>, t: Option<f64>| {
            let a = advise(
                l,
                &l.wires[0],
                &Wanted {
                    roughness_um: ra,
                    tolerance_mm: t,
                },
            );
            let of = |p: Option<PassPlan>| p.map(|p| p.passes);
            (of(a.usually_enough), of(a.perhaps_enough))
        };
        assert_eq!(passes(None, None), (Some(1), None));
        assert_eq!(passes(Some(3.2), None), (Some(1), None));
        assert_eq!(passes(Some(0.8), None), (Some(4), Some(3)));
        assert_eq!(passes(Some(0.1), None), (None, None));
        assert_eq!(passes(None, Some(0.005)), (Some(3), None));
        // Both: the finer one decides.
        assert_eq!(passes(Some(3.2), Some(0.003)), (Some(4), Some(3)));
        assert_eq!(passes(Some(f64::NAN), None), (None, None));
        assert_eq!(pass_plans(l, &l.wires[0])[3].passes, 4);
    }

    #[test]
    fn a_wire_with_a_better_finish_may_need_a_pass_less() {
        // By hand: skim 2 leaves 0.7 to 1.0 with plain brass; with zinc-coated brass √0.7·0.9 = 0.7530, times
        // e^hypot(½·ln(1/0.7), ½·ln 1.25) = e^0.2104, is 0.929 at its worse end.
        let l = Library::built_in();
        let job = Job {
            candidates: vec![
                Candidate::new("hard plain brass", 0.25),
                Candidate::new("zinc-coated brass", 0.25),
                Candidate::new("no such wire", 0.25),
            ],
            ..Job::starting(l)
        };
        let wanted = Wanted {
            roughness_um: Some(0.95),
            tolerance_mm: None,
        };
        let passes: Vec<_> = advise_each(&job, l, &wanted)
            .into_iter()
            .map(|a| a?.usually_enough.map(|p| p.passes))
            .collect();
        assert_eq!(passes, [Some(4), Some(3), None]);
        assert_eq!(
            other_wires(&job, l, &wanted, "hard plain brass"),
            [OtherPlan {
                passes: Some(3),
                wires: vec!["zinc-coated brass".to_owned()],
            }]
        );
        assert!(other_wires(&job, l, &Wanted::default(), "hard plain brass").is_empty());
        let zinc = l.wire("zinc-coated brass").unwrap();
        assert!((pass_plans(l, zinc)[2].roughness_um[1] - 0.9293).abs() < 5e-4);
    }
}
