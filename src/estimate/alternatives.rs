//! The same job cut in another order: what each order takes in time and attendance.

use super::one_wire::estimate;
use super::{Estimate, Figures};
use crate::job::{CutOff, CuttingOrder, Job, Travel};
use crate::library::Library;
use crate::plan::StepKind;
use crate::plan::paths::{PathCache, ShapeId};
use crate::profile::Profile;
use crate::units::Minutes;

/// One way to go about the job on one wire.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WayOfCutting {
    /// Each contour in turn, or all roughs first.
    pub order: CuttingOrder,
    /// When slugs are cut off, where no contour says otherwise.
    pub cut_off: CutOff,
    /// How the wire gets from one contour to the next.
    pub travel: Travel,
    /// Time a part.
    pub minutes: Minutes,
    /// Of that, with somebody standing there.
    pub attended: Minutes,
    /// How long the machine runs before somebody is needed for the first time.
    pub alone: Minutes,
    /// Threadings.
    pub threadings: usize,
    /// Start holes.
    pub start_holes: usize,
    /// Whether the job as it stands is cut so.
    pub chosen: bool,
}

impl WayOfCutting {
    fn of(job: &Job, chosen: bool, f: &Figures) -> Self {
        // Threaded by hand, the first threading is still a part of setting the job going.
        let alone = f.steps.iter().skip_while(|s| s.attended);
        let alone = alone.take_while(|s| !s.attended).map(|s| s.minutes);
        Self {
            order: job.order,
            cut_off: job.cut_off,
            travel: job.travel,
            minutes: f.steps.iter().map(|s| s.minutes).sum(),
            attended: f.attended,
            alone: alone.sum(),
            threadings: f
                .steps
                .iter()
                .filter(|s| s.kind == StepKind::Threading)
                .count(),
            start_holes: f.start_holes,
            chosen,
        }
    }
}

/// Every way that differs from the others, for one candidate, in a fixed order; empty when it cannot do the job.
///
/// No geometry is laid for it but the paths that the job itself needs.
pub fn ways_of_cutting(
    profile: &Profile,
    job: &Job,
    library: &Library,
    candidate: usize,
    cache: &PathCache,
) -> Vec<WayOfCutting> {
    estimated_ways(profile, job, library, candidate, cache)
        .into_iter()
        .map(|(way, _)| way)
        .collect()
}

/// The same, each with its estimate.
pub fn estimated_ways(
    profile: &Profile,
    job: &Job,
    library: &Library,
    candidate: usize,
    cache: &PathCache,
) -> Vec<(WayOfCutting, Estimate)> {
    let library = &*job.library_on_machine(library);
    let Some(candidate) = job.candidates.get(candidate) else {
        return Vec::new();
    };
    let shapes: Vec<ShapeId> = profile
        .contours()
        .iter()
        .map(|c| ShapeId::of(&c.shape))
        .collect();
    let mut out: Vec<(WayOfCutting, Estimate)> = Vec::new();
    for order in [CuttingOrder::EachInTurn, CuttingOrder::RoughsFirst] {
        for cut_off in [CutOff::AfterSkims, CutOff::BeforeSkims] {
            for travel in [Travel::Rethread, Travel::KeepThreaded] {
                let other = Job {
                    order,
                    travel,
                    cut_off,
                    ..job.clone()
                };
                let chosen = order == job.order && cut_off == job.cut_off && travel == job.travel;
                let e = estimate(profile, &shapes, &other, library, candidate, cache);
                let Some(f) = e.figures.as_ref() else {
                    continue;
                };
                let way = WayOfCutting::of(&other, chosen, f);
                let same = |o: &Estimate| o.figures.as_ref().is_some_and(|o| o.steps == f.steps);
                match out.iter_mut().find(|(_, o)| same(o)) {
                    Some((known, _)) => known.chosen |= chosen,
                    None => out.push((way, e)),
                }
            }
        }
    }
    out
}
