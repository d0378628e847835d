//! Which pass plan is usually enough for a finish or a tolerance, and what its last pass costs.

use super::compare;
use crate::job::{Candidate, Job, passes_words};
use crate::plan::PathCache;
use crate::process::Library;
use crate::profile::Profile;
use crate::units::{Length, Minutes, Money};

/// A plan by its name.
#[derive(Debug, Clone, PartialEq)]
pub struct PassPlan {
    /// Passes, 1 the rough alone.
    pub passes: usize,
    /// "rough and two skims".
    pub name: String,
    /// Usual roughness Ra afterwards, low and high, µm.
    pub roughness_um: [f64; 2],
    /// Usual tolerance afterwards, low and high, mm.
    pub tolerance_mm: [f64; 2],
}

/// Every plan of a library, rough only first.
pub fn pass_plans(library: &Library) -> Vec<PassPlan> {
    library
        .passes
        .iter()
        .enumerate()
        .map(|(k, row)| PassPlan {
            passes: k + 1,
            name: passes_words(k + 1),
            roughness_um: row.roughness_um,
            tolerance_mm: row.tolerance_mm,
        })
        .collect()
}

/// What the part must come to.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
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

impl Advice {
    /// In one sentence; the ranges are common practice, no promise of a machine.
    pub fn words(&self) -> String {
        let perhaps = self
            .perhaps_enough
            .as_ref()
            .map(|p| format!(" On a good day {} does.", p.name))
            .unwrap_or_default();
        match &self.usually_enough {
            Some(p) => format!("Usually enough: {}.{perhaps}", p.name),
            None => format!(
                "No plan of the library is usually enough for that.{perhaps} Plan a finishing operation, or ask for less."
            ),
        }
    }
}

/// The smallest plans of a library for what is wanted. With nothing wanted, the rough alone.
pub fn advise(library: &Library, wanted: &Wanted) -> Advice {
    let plans = pass_plans(library);
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
        assert_eq!(pass_plans(l)[3].name, "rough and three skims");
    }
}
