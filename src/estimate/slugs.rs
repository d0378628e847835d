//! What comes loose from the openings, and what to beware of.

use super::{Slug, SlugCaution};
use crate::geometry::Bounds;
use crate::geometry::offset::Side;
use crate::job::{Job, Shop};
use crate::plan::Plans;
use crate::plan::paths::{PathCache, PathWanted, ShapeId, wire_side};
use crate::plan::schedule::ContourPaths;
use crate::process::cutting_rate::RoughConditions;
use crate::process::passes::slug_inset;
use crate::profile::{Profile, Role};
use crate::units::{Area, Length, Mass, prism_mass};

/// What comes loose from each opening: the drawn contour less the rough's offset and half its kerf, less
/// the parts that were cut out of it before with the kerf around them.
pub(super) fn slugs(
    profile: &Profile,
    shapes: &[ShapeId],
    job: &Job,
    conditions: &RoughConditions<'_>,
    plans: &Plans,
    paths: &[ContourPaths],
    cache: &PathCache,
) -> Vec<Slug> {
    let edge = |p: &ContourPaths| {
        let rough = plans.all[p.plan].passes.first()?;
        Some(PathWanted {
            shape: shapes[p.contour],
            contour: &profile.contours[p.contour].shape,
            side: wire_side(p.role),
            offset: slug_inset(conditions.diameter, rough),
        })
    };
    let mut of_contour: Vec<Option<&ContourPaths>> = vec![None; profile.contours.len()];
    paths.iter().for_each(|p| of_contour[p.contour] = Some(p));
    let openings: Vec<(&ContourPaths, PathWanted<'_>)> = paths
        .iter()
        .filter(|p| p.role == Role::Opening && p.rings.is_none())
        .filter_map(|p| Some((p, edge(p)?)))
        .collect();
    let mut gone = vec![0.0; profile.contours.len()];
    let mut wanted: Vec<PathWanted<'_>> = openings.iter().map(|o| o.1).collect();
    let holders = openings
        .iter()
        .filter(|(p, _)| p.holds_others)
        .map(|o| o.0.contour);
    let holders: std::collections::HashSet<usize> = holders.collect();
    let inner: Vec<(usize, PathWanted<'_>)> = paths
        .iter()
        .filter_map(|p| {
            let parent = profile.contours[p.contour].parent?;
            holders.contains(&parent).then_some(())?;
            Some((
                parent,
                PathWanted {
                    side: Side::Outside,
                    ..edge(p)?
                },
            ))
        })
        .collect();
    wanted.extend(inner.iter().map(|i| i.1));
    cache.prepare(&wanted);
    for (parent, w) in &inner {
        gone[*parent] += cache.path(w).area;
    }
    openings
        .iter()
        .map(|(p, wanted)| {
            let edge = cache.path(wanted);
            let area = Area::from_mm2((edge.area - gone[p.contour]).max(0.0));
            let thickness = plans.all[p.plan].thickness;
            let mass = prism_mass(area, thickness, conditions.material.density());
            let mut bounds = Bounds::EMPTY;
            edge.loops
                .iter()
                .for_each(|l| bounds.include_bounds(&l.bounds()));
            let size = if edge.loops.is_empty() {
                0.0
            } else {
                bounds.size().x.max(bounds.size().y)
            };
            let size = Length::from_mm(size);
            Slug {
                contour: p.contour,
                area,
                mass,
                size,
                caution: slug_caution(area, mass, size, &job.shop),
            }
        })
        .collect()
}

fn slug_caution(area: Area, mass: Mass, size: Length, shop: &Shop) -> Option<SlugCaution> {
    if mass >= shop.heavy_slug {
        Some(SlugCaution::MayFall)
    } else if area > Area::ZERO && size <= shop.jamming_slug {
        Some(SlugCaution::MayJam)
    } else {
        None
    }
}
