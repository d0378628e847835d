//! Start holes: how many, how long their drilling takes, and how sure that is.

use super::range::{Overhead, Slopes};
use super::set::Copies;
use super::terms::Terms;
use crate::library::{Library, Material};
use crate::plan::schedule::PlannedStart;
use crate::plan::{ContourPlan, Step, StepKind};
use crate::process::cutting_rate::RoughConditions;
use crate::units::{Length, Minutes};
use std::collections::HashSet;

/// Minutes to set up and drill one start hole.
pub fn hole_minutes(thickness: Length, material: &Material, library: &Library) -> Minutes {
    let o = &library.overheads;
    let feed = if material.is_carbide() {
        &o.hole_drilling_carbide
    } else {
        &o.hole_drilling
    };
    Minutes::from_min(o.hole_setup.value + thickness.mm() / feed.value)
}

/// Start holes a part, by the thickness they go through, in the order in which they are first needed.
///
/// A contour that is visited again is threaded in the same hole.
pub(super) fn holes_by_thickness(
    steps: &[Step],
    starts: &[PlannedStart],
    plans: &[ContourPlan],
    copies: &Copies,
) -> Vec<(Length, usize)> {
    // What is begun from the blank's edge, or from the contour before, has no hole of its own.
    let without = starts.iter().filter(|s| s.hole.is_none());
    let mut known: HashSet<(Option<usize>, Option<usize>)> =
        without.map(|s| (Some(s.contour), None)).collect();
    let mut out: Vec<(Length, usize)> = Vec::new();
    for s in steps.iter().filter(|s| s.kind == StepKind::Threading) {
        if !known.insert((s.contour, s.open)) {
            continue;
        }
        let thickness = plans[s.plan].thickness;
        let count = copies.of(s.contour, s.open) as usize;
        match out.iter_mut().find(|o| o.0 == thickness) {
            Some(o) => o.1 += count,
            None => out.push((thickness, count)),
        }
    }
    out
}

/// Time to drill the start holes of a part, given by thickness.
pub(super) fn drilling(
    holes: &[(Length, usize)],
    conditions: &RoughConditions<'_>,
    library: &Library,
) -> Minutes {
    let each = |t: Length| hole_minutes(t, conditions.material, library);
    holes.iter().map(|&(t, n)| each(t) * n as f64).sum()
}

/// Minutes to drill the start holes, by what they move with.
pub(super) fn hole_terms(
    holes: &[(Length, usize)],
    conditions: &RoughConditions<'_>,
    library: &Library,
) -> Terms {
    let slopes = hole_slopes(holes, conditions, library);
    let minutes = drilling(holes, conditions, library).min_value();
    let shares = slopes.overheads.iter();
    let mut terms = Terms::default();
    shares.for_each(|&(o, share)| terms.add(minutes * share, &Slopes::of_overheads(&[(o, 1.0)])));
    terms
}

/// Slopes of the time to drill start holes: their set-up and the drilling.
pub(super) fn hole_slopes(
    holes: &[(Length, usize)],
    conditions: &RoughConditions<'_>,
    library: &Library,
) -> Slopes {
    let all = drilling(holes, conditions, library).min_value();
    if all <= 0.0 {
        return Slopes::default();
    }
    let count: usize = holes.iter().map(|h| h.1).sum();
    let setup = library.overheads.hole_setup.value * count as f64 / all;
    let drilling = if conditions.material.is_carbide() {
        Overhead::HoleDrillingCarbide
    } else {
        Overhead::HoleDrilling
    };
    Slopes::of_overheads(&[(Overhead::HoleSetup, setup), (drilling, 1.0 - setup)])
}
