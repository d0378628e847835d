//! The estimate of one candidate.

use super::cost::{CostBasis, hole_minutes, parts_per_week};
use super::obstacles::examine;
use super::range::{Doubts, Overhead, Slopes, ranged};
use super::{Estimate, Figures, Obstacle, PassRun, Slug, WirePath};
use crate::job::{Candidate, Job};
use crate::plan::paths::{PathCache, PathWanted, ShapeId, wire_side};
use crate::plan::schedule::{ContourPaths, lay_paths, schedule};
use crate::plan::{Share, Step, StepKind};
use crate::process::Library;
use crate::process::cutting_rate::RoughConditions;
use crate::process::passes::{Pass, passes, slug_inset};
use crate::profile::{Profile, Role};
use crate::units::{Area, Length, Minutes, Money, prism_mass, wire_mass};
use std::sync::Arc;

/// The conditions of the rough for a candidate; `None` where the library lacks its wire or the material.
pub fn conditions<'a>(
    job: &Job,
    candidate: &Candidate,
    library: &'a Library,
) -> Option<RoughConditions<'a>> {
    let conditions = RoughConditions::new(
        library.material(&job.material)?,
        library.wire(&candidate.wire)?,
        candidate.diameter,
        job.thickness,
        job.flushing,
    );
    Some(conditions.in_library(library))
}

/// Time, wire and cost of one candidate. `shapes` are the identities of the profile's contours.
pub(super) fn estimate(
    profile: &Profile,
    shapes: &[ShapeId],
    job: &Job,
    library: &Library,
    candidate: &Candidate,
    cache: &PathCache,
) -> Estimate {
    let faults = job.faults(library);
    let conditions = conditions(job, candidate, library);
    let (Some(conditions), true) = (conditions, faults.is_empty()) else {
        return impossible(
            candidate,
            faults
                .iter()
                .map(|f| blocker("job", f.to_string()))
                .collect(),
        );
    };
    let plan = passes(job.passes, &conditions, library);
    let paths = lay_paths(profile, shapes, job, &plan, cache);
    if paths.is_empty() {
        let message = if profile.contours.is_empty() {
            "The drawing has no closed contour to cut. Look at the findings for open ends, or raise the join gap."
        } else {
            "No contour is in the cut. Tick at least one."
        };
        return impossible(
            candidate,
            vec![blocker("nothing-to-cut", message.to_owned())],
        );
    }
    let (uncut, obstacles) = examine(profile, job, library, candidate, &plan, &paths);
    let wire_paths = paths.iter().flat_map(wire_paths).collect();
    let figures = (!obstacles.iter().any(|o| o.blocks)).then(|| {
        let steps = schedule(profile, job, library, &plan, &paths);
        let slugs = slugs(profile, shapes, job, &conditions, &plan, &paths, cache);
        figures(job, library, &conditions, &plan, &paths, steps, slugs)
    });
    Estimate {
        candidate: candidate.clone(),
        paths: wire_paths,
        obstacles,
        uncut,
        figures,
    }
}

fn impossible(candidate: &Candidate, obstacles: Vec<Obstacle>) -> Estimate {
    Estimate {
        candidate: candidate.clone(),
        paths: Vec::new(),
        obstacles,
        uncut: Vec::new(),
        figures: None,
    }
}

fn blocker(code: &'static str, message: String) -> Obstacle {
    Obstacle {
        code,
        message,
        at: None,
        contour: None,
        blocks: true,
    }
}

fn wire_paths(p: &ContourPaths) -> impl Iterator<Item = WirePath> + '_ {
    p.passes.iter().enumerate().map(|(k, path)| WirePath {
        contour: p.contour,
        pass: k + 1,
        loops: Arc::clone(&path.loops),
        confirmed: path.confirmed,
    })
}

/// What comes loose from each opening: the drawn contour less the rough's offset and half its kerf.
fn slugs(
    profile: &Profile,
    shapes: &[ShapeId],
    job: &Job,
    conditions: &RoughConditions<'_>,
    plan: &[Pass],
    paths: &[ContourPaths],
    cache: &PathCache,
) -> Vec<Slug> {
    let Some(rough) = plan.first() else {
        return Vec::new();
    };
    let inset = slug_inset(conditions.diameter, rough);
    let openings: Vec<PathWanted<'_>> = paths
        .iter()
        .filter(|p| p.role == Role::Opening)
        .map(|p| PathWanted {
            shape: shapes[p.contour],
            contour: &profile.contours[p.contour].shape,
            side: wire_side(p.role),
            offset: inset,
        })
        .collect();
    cache.prepare(&openings);
    paths
        .iter()
        .filter(|p| p.role == Role::Opening)
        .zip(&openings)
        .map(|(p, wanted)| {
            // Parts that were cut out of the slug before are gone from it.
            let inner: f64 = (0..profile.contours.len())
                .filter(|&k| {
                    profile.contours[k].parent == Some(p.contour) && job.cuts(&profile.contours[k])
                })
                .map(|k| profile.contours[k].drawn_area.mm2())
                .sum();
            let area = Area::from_mm2((cache.path(wanted).area - inner).max(0.0));
            Slug {
                contour: p.contour,
                area,
                mass: prism_mass(area, job.thickness, conditions.material.density()),
            }
        })
        .collect()
}

fn figures(
    job: &Job,
    library: &Library,
    conditions: &RoughConditions<'_>,
    plan: &[Pass],
    paths: &[ContourPaths],
    steps: Vec<Step>,
    slugs: Vec<Slug>,
) -> Figures {
    let total: Minutes = steps.iter().map(|s| s.minutes).sum();
    let attended: Minutes = steps.iter().filter(|s| s.attended).map(|s| s.minutes).sum();
    let wire: Length = steps.iter().map(|s| s.wire).sum();
    let share = |share| {
        steps
            .iter()
            .map(|s| s.share(share))
            .sum::<Minutes>()
            .min_value()
    };
    let of_kind = |kind| {
        steps
            .iter()
            .filter(|s| s.kind == kind)
            .map(|s| s.minutes)
            .sum::<Minutes>()
            .min_value()
    };
    let skims: f64 = steps
        .iter()
        .filter(|s| s.pass.is_some_and(|p| p > 1))
        .map(|s| s.minutes.min_value())
        .sum();
    let cutting = share(Share::Rough) + share(Share::Skims) + share(Share::Corners);
    let skim_share = if cutting > 0.0 { skims / cutting } else { 0.0 };
    let cutting_slopes = Slopes::of_cutting(conditions, skim_share);
    let whole = total.min_value().max(f64::MIN_POSITIVE);
    let minutes_slopes = Slopes {
        overheads: vec![
            (Overhead::Threading, of_kind(StepKind::Threading) / whole),
            (Overhead::Stops, share(Share::SlugStops) / whole),
            (Overhead::Moves, of_kind(StepKind::Move) / whole),
            (Overhead::Breaks, of_kind(StepKind::Breaks) / whole),
        ],
        ..cutting_slopes.times(cutting / whole)
    };
    let wire_slopes = Slopes::of_wire(&cutting_slopes);
    let pass_log_sd = |share| Slopes::of_cutting(conditions, share).log_sd(library);
    let mass = wire_mass(wire, conditions.diameter, conditions.wire.density());
    let start_holes = paths.len();
    let drilling = hole_minutes(job.thickness, conditions.material, library) * start_holes as f64;
    let cost = CostBasis {
        shop: &job.shop,
        quantity: job.quantity,
        minutes: total,
        attended,
        wire_mass: mass,
        price_factor: conditions.wire.price_factor.value,
        holes: job.shop.labour_rate * drilling.hours(),
    };
    let (cost, cost_slopes) = cost.with_range(&minutes_slopes, &wire_slopes, library);
    let minutes = ranged(total, minutes_slopes.log_sd(library));
    let wire = ranged(wire, wire_slopes.log_sd(library));
    let spool = library
        .spools
        .iter()
        .find(|s| s.name == job.shop.spool)
        .or(library.spools.first());
    let passes = pass_runs(plan, paths, &steps);
    Figures {
        minutes,
        attended,
        passes,
        wire,
        wire_mass: mass,
        spools: spool.map_or(0.0, |s| {
            mass.kg() * f64::from(job.quantity) / s.net_mass.value
        }),
        parts_per_week: parts_per_week(total, job.shop.uptime),
        parts_per_week_range: (
            parts_per_week(minutes.high, job.shop.uptime),
            parts_per_week(minutes.low, job.shop.uptime),
        ),
        doubts: Doubts {
            minutes: minutes_slopes,
            wire: wire_slopes,
            cost: cost_slopes,
            rough_log_sd: pass_log_sd(0.0),
            skims_log_sd: pass_log_sd(1.0),
            cutting_log_sd: pass_log_sd(skim_share),
        },
        cost,
        start_holes,
        slugs,
        steps,
    }
}

fn pass_runs(plan: &[Pass], paths: &[ContourPaths], steps: &[Step]) -> Vec<PassRun> {
    plan.iter()
        .enumerate()
        .map(|(k, p)| PassRun {
            offset: p.offset,
            feed: p.feed,
            run_off: p.run_off,
            corner_slowdown: p.corner_slowdown,
            length: paths
                .iter()
                .filter_map(|c| c.passes.get(k))
                .map(|l| l.length)
                .sum(),
            minutes: steps
                .iter()
                .filter(|s| s.pass == Some(k + 1))
                .map(|s| s.minutes)
                .sum(),
        })
        .collect()
}

/// Money for the start holes of one part, apart from everything else.
pub fn holes_cost(job: &Job, library: &Library, holes: usize) -> Option<Money> {
    let material = library.material(&job.material)?;
    let minutes = hole_minutes(job.thickness, material, library) * holes as f64;
    Some(job.shop.labour_rate * minutes.hours())
}
