//! The paths of every contour that is cut, pass by pass.

use super::contour_plan::Plans;
use super::erosion::rings;
use super::paths::{LaidPath, PathCache, PathWanted, ShapeId, wire_side};
use crate::job::{BurnOut, Job, Waste, contour_key};
use crate::process::passes::{kerf, slug_inset};
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

/// The paths to be laid of one contour that is cut.
#[derive(Debug)]
pub struct WantedPaths<'a> {
    /// Index in the profile.
    contour: usize,
    /// What it bounds.
    role: Role,
    /// Whether other contours that are cut lie directly inside.
    holds_others: bool,
    /// One a pass, then the edge of the slug where there may be none: with others in it the waste has somewhere to hold.
    paths: Vec<PathWanted<'a>>,
    /// How many of these are passes.
    passes: usize,
}

/// Every path that the contours which are cut want with a wire, but for rings.
///
/// `shapes` are the identities of the profile's contours.
pub fn wanted_paths<'a>(
    profile: &'a Profile,
    shapes: &[ShapeId],
    job: &Job,
    plans: &Plans,
    diameter: Length,
) -> Vec<WantedPaths<'a>> {
    let contours = profile.contours();
    let mut holds_others = vec![false; contours.len()];
    let cut = || (0..contours.len()).filter(|&k| job.cuts(&contours[k]));
    for parent in cut().filter_map(|k| contours[k].parent) {
        holds_others[parent] = true;
    }
    cut()
        .map(|k| {
            let role = job.role(profile, k);
            let at = |offset: Length| PathWanted {
                shape: shapes[k],
                contour: &contours[k].shape,
                side: wire_side(role),
                offset,
            };
            let passes = plans.contour(k).passes.as_slice();
            let alone = role == Role::Opening && !holds_others[k];
            let edge = passes.first().filter(|_| alone);
            let edge = edge.map(|rough| at(slug_inset(diameter, rough)));
            WantedPaths {
                contour: k,
                role,
                holds_others: holds_others[k],
                paths: passes.iter().map(|p| at(p.offset)).chain(edge).collect(),
                passes: passes.len(),
            }
        })
        .collect()
}

/// Lays the paths of several wires at once, or of one, on all cores; what is laid stays in the cache.
pub fn lay_all<'a>(wanted: impl IntoIterator<Item = WantedPaths<'a>>, cache: &PathCache) {
    let all: Vec<PathWanted<'_>> = wanted.into_iter().flat_map(|w| w.paths).collect();
    cache.lay(&all);
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
    let wanted = wanted_paths(profile, shapes, job, plans, diameter);
    let all: Vec<PathWanted<'_>> = wanted
        .iter()
        .flat_map(|w| w.paths.iter().copied())
        .collect();
    let mut laid = cache.lay(&all).into_iter();
    wanted
        .into_iter()
        .map(|w| {
            look();
            let k = w.contour;
            let plan = plans.contour(k);
            let passes: Vec<Arc<LaidPath>> = laid.by_ref().take(w.passes).collect();
            let edge = laid.by_ref().take(w.paths.len() - w.passes).next();
            let small = || {
                let Some(slug) = edge.as_ref().filter(|_| job.burn_out != BurnOut::Nothing) else {
                    return false;
                };
                let size = slug.pieces().iter().map(|p| p.size);
                let size = size.fold(Length::ZERO, Length::max);
                let area = Area::from_mm2(slug.area.max(0.0));
                let mass: Mass = prism_mass(area, plan.thickness, density);
                job.burn_out.takes(size, mass)
            };
            let own = job.choice(contour_key(&profile.contours()[k])).waste;
            let erode = w.role == Role::Opening
                && !w.holds_others
                && own.map_or_else(small, |waste| waste == Waste::Erode);
            let rough = plan.passes.first().zip(w.paths.first()).filter(|_| erode);
            let eroded = rough.and_then(|(p, path)| rings(path, kerf(diameter, p), cache));
            let taken = edge.is_some_and(|e| e.pieces().is_empty());
            ContourPaths {
                contour: k,
                role: w.role,
                plan: plans.of_contour[k],
                passes,
                rings: eroded.or_else(|| taken.then(Vec::new)),
                holds_others: w.holds_others,
            }
        })
        .collect()
}
