//! Contours so near to each other that the rough of one cuts into the other.

use super::{About, NamedContour, Obstacle, ObstacleKind};
use crate::geometry::Contour;
use crate::geometry::clearance::{Gap, come_nearer};
use crate::job::Candidate;
use crate::plan::Plans;
use crate::plan::contour_paths::ContourPaths;
use crate::plan::paths::{PathCache, ShapeId};
use crate::process::passes::{kerf, slug_inset};
use crate::profile::{Profile, Role};
use crate::progress::look;
use crate::units::Length;

/// Nearer than the kerf by less than this is rounding, mm.
const ROUNDING: f64 = 1e-6;

/// One contour whose rough cuts into another.
struct CutInto {
    by: NamedContour,
    into: NamedContour,
    gap: Gap,
    /// How far the rough's kerf reaches from its own contour.
    reach: Length,
}

/// Every contour that the rough beside another one would cut into, each named once.
///
/// Contours that are not in the cut hold nothing that stays.
pub(super) fn too_close(
    profile: &Profile,
    plans: &Plans,
    paths: &[ContourPaths],
    candidate: &Candidate,
    cache: &PathCache,
    shapes: &[ShapeId],
) -> Vec<Obstacle> {
    if paths.len() < 2 {
        return Vec::new();
    }
    let reach = |p: &ContourPaths| {
        plans.all[p.plan]
            .passes
            .first()
            .map_or(Length::ZERO, |rough| slug_inset(candidate.diameter, rough))
    };
    let farthest = paths.iter().map(reach).fold(Length::ZERO, Length::max);
    let drawn: Vec<&Contour> = profile.contours().iter().map(|c| &c.shape).collect();
    let mut of_contour: Vec<Option<&ContourPaths>> = vec![None; profile.contours().len()];
    paths.iter().for_each(|p| of_contour[p.contour] = Some(p));
    let mut cuts: Vec<CutInto> = Vec::new();
    for gap in cache.gaps(shapes, &drawn, farthest).iter() {
        look();
        let (Some(a), Some(b)) = (of_contour[gap.a], of_contour[gap.b]) else {
            continue;
        };
        let ways = [(a, b), (b, a)].into_iter();
        let worst = ways
            .filter(|(p, other)| {
                gap.nearby.distance < reach(p).mm() - ROUNDING
                    && runs_towards(profile, p, other.contour)
                    && cuts_into(p, other, drawn[other.contour], plans, candidate)
            })
            .max_by(|x, y| reach(x.0).mm().total_cmp(&reach(y.0).mm()));
        cuts.extend(worst.map(|(p, other)| CutInto {
            by: NamedContour::of(p),
            into: NamedContour::of(other),
            gap: *gap,
            reach: reach(p),
        }));
    }
    cuts.sort_by(|x, y| x.gap.nearby.distance.total_cmp(&y.gap.nearby.distance));
    let mut told = vec![false; profile.contours().len()];
    cuts.retain(|c| {
        let (by, into) = (c.by.index, c.into.index);
        let new = !told[by] || !told[into];
        told[by] = true;
        told[into] = true;
        new
    });
    cuts.iter()
        .map(|c| Obstacle {
            kind: ObstacleKind::TooClose {
                into: c.into,
                apart: Length::from_mm(c.gap.nearby.distance),
                reach: c.reach,
            },
            about: About::Contour(c.by),
            at: Some(c.gap.nearby.from.lerp(c.gap.nearby.to, 0.5)),
            diameter: candidate.diameter,
        })
        .collect()
}

/// Whether the wire of `p` runs on the side on which another contour lies.
fn runs_towards(profile: &Profile, p: &ContourPaths, other: usize) -> bool {
    let lies_on = if profile.lies_in(other, p.contour) {
        Role::Opening
    } else {
        Role::Outline
    };
    p.role == lies_on
}

/// Whether the kerf along the rough of `p` takes anything of what `other` keeps.
fn cuts_into(
    p: &ContourPaths,
    other: &ContourPaths,
    drawn: &Contour,
    plans: &Plans,
    candidate: &Candidate,
) -> bool {
    let (Some(path), Some(rough)) = (p.passes.first(), plans.all[p.plan].passes.first()) else {
        return false;
    };
    let half = (kerf(candidate.diameter, rough) / 2.0).mm() - ROUNDING;
    if come_nearer(&path.loops, std::slice::from_ref(drawn), half) {
        return true;
    }
    // A path that keeps its distance may still run on the wrong side all the way.
    path.loops.iter().any(|l| {
        l.vertices().first().is_some_and(|v| {
            let inside = drawn.winding(v.at) != 0;
            inside == (other.role == Role::Outline)
        })
    })
}
