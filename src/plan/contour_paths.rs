//! The paths of every contour that is cut, pass by pass.

use super::contour_plan::Plans;
use super::erosion::{pieces, rings};
use super::paths::{LaidPath, PathCache, PathWanted, ShapeId, wire_side};
use crate::job::{BurnOut, Job, Waste, contour_key};
use crate::process::passes::{Pass, kerf, slug_inset};
use crate::profile::{Profile, Role};
use crate::progress::look;
use crate::units::{Area, Density, Length, Mass, prism_mass};
use std::sync::Arc;

/// The paths of one contour, the rough first.
#[derive(Debug, Clone)]
pub struct ContourPaths {
    /// Index in the profile.
    pub contour: usize,
    /// What it bounds.
    pub role: Role,
    /// Index of its plan.
    pub plan: usize,
    /// One path a pass.
    pub passes: Vec<Arc<LaidPath>>,
    /// Rings that erode the waste away, the innermost first, or none of them where the kerf of the rough takes
    /// all of it; `None` where a slug comes loose.
    pub rings: Option<Vec<Arc<LaidPath>>>,
    /// Whether other contours that are cut lie directly inside.
    pub holds_others: bool,
}

/// Lays the paths of every contour that is cut, pass by pass.
///
/// `shapes` are the identities of the profile's contours; `density` is the material's, for openings that are burnt
/// out by the mass of their slug.
pub fn lay_paths(
    profile: &Profile,
    shapes: &[ShapeId],
    job: &Job,
    plans: &Plans,
    diameter: Length,
    density: Density,
    cache: &PathCache,
) -> Vec<ContourPaths> {
    let wanted = |k: usize, p: &Pass| PathWanted {
        shape: shapes[k],
        contour: &profile.contours()[k].shape,
        side: wire_side(job.role(profile, k)),
        offset: p.offset,
    };
    let cut: Vec<usize> = (0..profile.contours().len())
        .filter(|&k| job.cuts(&profile.contours()[k]))
        .collect();
    let mut holds_others = vec![false; profile.contours().len()];
    for &k in &cut {
        if let Some(parent) = profile.contours()[k].parent {
            holds_others[parent] = true;
        }
    }
    // The edge of the slug, where there may be none: with others in it the waste has somewhere to hold.
    let edge = |k: usize| {
        let alone = job.role(profile, k) == Role::Opening && !holds_others[k];
        let rough = plans.contour(k).passes.first().filter(|_| alone)?;
        Some(PathWanted {
            offset: slug_inset(diameter, rough),
            ..wanted(k, rough)
        })
    };
    let all: Vec<PathWanted<'_>> = cut
        .iter()
        .flat_map(|&k| {
            let passes = plans.contour(k).passes.iter().map(move |p| wanted(k, p));
            passes.chain(edge(k))
        })
        .collect();
    cache.prepare(&all);
    cut.into_iter()
        .map(|k| {
            look();
            let plan = plans.contour(k);
            let role = job.role(profile, k);
            let small = || {
                let Some(edge) = edge(k).filter(|_| job.burn_out != BurnOut::Nothing) else {
                    return false;
                };
                let slug = cache.path(&edge);
                let size = pieces(&slug).map(|l| l.bounds().size());
                let size = size.fold(0.0_f64, |most, s| most.max(s.x).max(s.y));
                let area = Area::from_mm2(slug.area.max(0.0));
                let mass: Mass = prism_mass(area, plan.thickness, density);
                job.burn_out.takes(Length::from_mm(size), mass)
            };
            let own = job.choice(contour_key(&profile.contours()[k])).waste;
            let erode = role == Role::Opening
                && !holds_others[k]
                && own.map_or_else(small, |waste| waste == Waste::Erode);
            let rough = plan.passes.first().filter(|_| erode);
            let eroded = rough.and_then(|p| rings(&wanted(k, p), kerf(diameter, p), cache));
            let taken = || edge(k).is_some_and(|e| pieces(&cache.path(&e)).next().is_none());
            ContourPaths {
                contour: k,
                role,
                plan: plans.of_contour[k],
                passes: plan
                    .passes
                    .iter()
                    .map(|p| cache.path(&wanted(k, p)))
                    .collect(),
                rings: eroded.or_else(|| taken().then(Vec::new)),
                holds_others: holds_others[k],
            }
        })
        .collect()
}
