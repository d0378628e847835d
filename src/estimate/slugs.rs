//! What comes loose from each opening: its area, mass and size, and what to beware of.

use super::{Slug, SlugCaution};
use crate::geometry::Bounds;
use crate::job::{Job, Shop};
use crate::plan::Plans;
use crate::plan::contour_paths::ContourPaths;
use crate::plan::contour_plan::inside_by;
use crate::plan::paths::{LaidPath, PathCache, PathWanted, ShapeId};
use crate::process::cutting_rate::RoughConditions;
use crate::process::passes::slug_inset;
use crate::profile::{Profile, Role};
use crate::units::{Area, Length, Mass, prism_mass};
use std::sync::Arc;

/// Heights at which a leaning slug is measured, as shares from the top, with their weights: the prismoidal
/// formula V = H·(A₀ + 4·Aₘ + A₁)/6 (handbook formula, from memory), exact for cones and pyramids.
const LEVELS: [(f64, f64); 3] = [(0.0, 1.0 / 6.0), (0.5, 4.0 / 6.0), (1.0, 1.0 / 6.0)];

/// The slugs of a job: each opening's drawn contour less the rough's offset and half its kerf, less the
/// parts that were cut out of it before with the kerf around them.
///
/// The kerf counts as wide in a leaning cut as in an upright one.
pub(super) fn slugs(
    profile: &Profile,
    shapes: &[ShapeId],
    job: &Job,
    conditions: &RoughConditions<'_>,
    plans: &Plans,
    paths: &[ContourPaths],
    cache: &PathCache,
) -> Vec<Slug> {
    // The rim of a piece of waste at a height, on the waste's side of a contour.
    let rim = |p: &ContourPaths, level: f64| {
        let plan = &plans.all[p.plan];
        let inset = slug_inset(conditions.diameter, plan.passes.first()?);
        let inset = match p.role {
            Role::Opening => inset,
            Role::Outline => -inset,
        };
        let drawn = &profile.contours[p.contour].shape;
        Some(inside_by(
            shapes[p.contour],
            drawn,
            inset + plan.lean() * level,
        ))
    };
    let leans = |p: &ContourPaths| plans.all[p.plan].taper_degrees != 0.0;
    let mut inside: Vec<Vec<&ContourPaths>> = vec![Vec::new(); profile.contours.len()];
    for p in paths {
        if let Some(parent) = profile.contours[p.contour].parent {
            inside[parent].push(p);
        }
    }
    let openings: Vec<&ContourPaths> = paths
        .iter()
        .filter(|p| p.role == Role::Opening && p.rings.is_none())
        .collect();
    let levels_of = |p: &ContourPaths| {
        let upright = !leans(p) && !inside[p.contour].iter().any(|q| leans(q));
        if upright {
            &[(0.0, 1.0)][..]
        } else {
            &LEVELS[..]
        }
    };
    let wanted: Vec<PathWanted<'_>> = openings
        .iter()
        .flat_map(|p| {
            let pieces = std::iter::once(*p).chain(inside[p.contour].iter().copied());
            pieces.flat_map(|q| levels_of(p).iter().map(move |l| (q, l.0)))
        })
        .filter_map(|(q, level)| rim(q, level))
        .collect();
    cache.prepare(&wanted);
    let laid = |p: &ContourPaths, level: f64| rim(p, level).map(|w| cache.path(&w));
    let area_at = |p: &ContourPaths, level: f64| {
        let area = |q: &ContourPaths| laid(q, level).map_or(0.0, |l| l.area);
        let gone: f64 = inside[p.contour].iter().map(|q| area(q)).sum();
        (area(p) - gone).max(0.0)
    };
    openings
        .iter()
        .map(|p| {
            let mean: f64 = levels_of(p).iter().map(|l| l.1 * area_at(p, l.0)).sum();
            let thickness = plans.all[p.plan].thickness;
            let mass = prism_mass(
                Area::from_mm2(mean),
                thickness,
                conditions.material.density(),
            );
            let area = Area::from_mm2(area_at(p, 0.0));
            let size = levels_of(p)
                .iter()
                .filter_map(|l| laid(p, l.0))
                .map(|l| longer_side(&l))
                .fold(Length::ZERO, Length::max);
            Slug {
                contour: p.contour,
                area,
                mass,
                size,
                caution: slug_caution(mass, size, &job.shop),
            }
        })
        .collect()
}

/// Longer side of the box around a path; 0 without one.
fn longer_side(path: &Arc<LaidPath>) -> Length {
    let mut bounds = Bounds::EMPTY;
    path.loops
        .iter()
        .for_each(|l| bounds.include_bounds(&l.bounds()));
    let size = bounds.size();
    Length::from_mm(size.x.max(size.y))
}

fn slug_caution(mass: Mass, size: Length, shop: &Shop) -> Option<SlugCaution> {
    if mass >= shop.heavy_slug {
        Some(SlugCaution::MayFall)
    } else if mass.kg() > 0.0 && size <= shop.jamming_slug {
        Some(SlugCaution::MayJam)
    } else {
        None
    }
}
