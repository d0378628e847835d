//! What a wire leaves standing, what it cannot do, and what would have to change.

use super::{Obstacle, UncutSpot};
use crate::geometry::corners::Corner;
use crate::geometry::reach::Unreached;
use crate::job::{Candidate, Job};
use crate::plan::Plans;
use crate::plan::contour_paths::ContourPaths;
use crate::plan::paths::{PathCache, ShapeId};
use crate::process::Library;
use crate::process::finish::finish;
use crate::process::passes::{DiameterFactors, Pass};
use crate::profile::{Profile, ProfileContour, Role};
use crate::reason::short;
use crate::units::{Area, Length};

/// A drawn radius counts as made when no more than this is left in it, mm: the finest pass's tolerance.
pub(super) const STANDING_ALLOWED: f64 = 0.003;
/// How far beyond its usual thickness a wire is still planned for.
const THICKNESS_LIMIT: f64 = 1.5;

/// Spots left standing and obstacles of one wire.
#[allow(clippy::too_many_arguments)] // All of it is read, none of it belongs together.
pub fn examine(
    profile: &Profile,
    job: &Job,
    library: &Library,
    candidate: &Candidate,
    plans: &Plans,
    paths: &[ContourPaths],
    cache: &PathCache,
    shapes: &[ShapeId],
) -> (Vec<UncutSpot>, Vec<Obstacle>) {
    let mut obstacles = Vec::new();
    obstacles.extend(thickness_obstacle(job.thickness, None, library, candidate));
    obstacles.extend(finish_obstacle(job, library, candidate));
    for p in paths.iter().filter(|p| p.plan != 0) {
        let own = plans.all[p.plan].thickness;
        if own != job.thickness {
            obstacles.extend(thickness_obstacle(own, Some(p.contour), library, candidate));
        }
    }
    let mut uncut = Vec::new();
    for p in paths {
        let drawn = &profile.contours[p.contour];
        let passes = plans.all[p.plan].passes.as_slice();
        if let Some(o) = path_obstacle(p, drawn, passes, candidate) {
            let blocks = o.blocks;
            obstacles.push(o);
            if blocks && p.passes.iter().any(|p| p.loops.is_empty()) {
                continue;
            }
        }
        let (Some(path), Some(last)) = (p.passes.last(), passes.last()) else {
            continue;
        };
        let standing = path.standing(&drawn.shape);
        if standing.is_empty() {
            continue;
        }
        let found = cache.corners(shapes[p.contour], &drawn.shape);
        let total = drawn.shape.length();
        let spots: Vec<(UncutSpot, &Unreached)> = standing
            .iter()
            .map(|u| {
                let spot = UncutSpot {
                    contour: p.contour,
                    at: u.at,
                    depth: Length::from_mm(u.depth),
                    area: Area::from_mm2(u.area),
                    sharp: found.iter().any(|c| c.is_sharp() && lies_in(c, u, total)),
                };
                (spot, u)
            })
            .collect();
        obstacles.extend(radius_obstacle(&spots, drawn, p, library, candidate, last));
        uncut.extend(spots.into_iter().map(|(s, _)| s));
    }
    (uncut, obstacles)
}

fn lies_in(corner: &Corner, span: &Unreached, total: f64) -> bool {
    [-total, 0.0].iter().any(|shift| {
        let at = corner.along + shift;
        at >= span.from - 1e-6 && at <= span.to + 1e-6
    })
}

fn thickness_obstacle(
    thickness: Length,
    contour: Option<usize>,
    library: &Library,
    candidate: &Candidate,
) -> Option<Obstacle> {
    let usual = DiameterFactors::at(candidate.diameter, library).usual_max_thickness;
    let thickness = thickness.mm();
    (thickness > usual).then(|| {
        let blocks = thickness > THICKNESS_LIMIT * usual;
        let end = if blocks { "Take a thicker wire." } else { "Ask whether your machine holds it, or take a thicker wire." };
        Obstacle {
            code: "too-thick",
            message: format!(
                "{thickness} mm is more than a {} mm wire usually cuts ({usual} mm of steel, common practice). {end}",
                candidate.diameter.mm()
            ),
            at: None,
            contour,
            blocks,
        }
    })
}

/// A skim run slower than this wire is known to bear.
fn finish_obstacle(job: &Job, library: &Library, candidate: &Candidate) -> Option<Obstacle> {
    let wire = library.wire(&candidate.wire)?;
    let finish = finish(job.passes, wire, candidate.diameter, candidate.run, library)?;
    let slow = finish.in_doubt?;
    Some(Obstacle {
        code: "finish-in-doubt",
        message: format!(
            "Skim {} runs {} m/min of wire. With {} about {} m/min usually keep the finish (judgement), so this one \
             may come out rougher. Try it on a test piece, or run the skims faster.",
            slow.skim,
            short(slow.run_off.m_per_min()),
            candidate.wire,
            short(slow.least.m_per_min()),
        ),
        at: None,
        contour: None,
        blocks: false,
    })
}

fn path_obstacle(
    p: &ContourPaths,
    drawn: &ProfileContour,
    passes: &[Pass],
    candidate: &Candidate,
) -> Option<Obstacle> {
    let name = format!("{} {}", capital(p.role.word()), p.contour + 1);
    let at = drawn.shape.vertices().first().map(|v| v.at);
    let contour = Some(p.contour);
    let empty = p.passes.iter().position(|path| path.loops.is_empty());
    if let Some(k) = empty {
        let need = passes[k].offset * 2.0;
        return Some(Obstacle {
            code: "cannot-enter",
            message: format!(
                "{name} is too narrow for a {} mm wire: its path needs {:.3} mm. Take a thinner wire or fewer passes, or widen it.",
                candidate.diameter.mm(),
                need.mm()
            ),
            at,
            contour,
            blocks: true,
        });
    }
    if let Some(k) = p.passes.iter().position(|path| path.loops.len() > 1) {
        let width = passes[k].offset * 2.0;
        let at = p.passes[k]
            .loops
            .get(1)
            .and_then(|l| l.vertices().first().map(|v| v.at))
            .or(at);
        return Some(Obstacle {
            code: "neck-closed",
            message: format!(
                "{name} has a neck narrower than {:.3} mm, where a {} mm wire does not pass. Take a thinner wire or fewer passes, or widen the neck.",
                width.mm(),
                candidate.diameter.mm()
            ),
            at,
            contour,
            blocks: true,
        });
    }
    p.passes.iter().any(|path| !path.confirmed).then(|| Obstacle {
        code: "path-unsure",
        message: format!(
            "Two computations of the wire path along {} do not agree. Check the contour for crossings, and the path on the drawing before you quote.",
            name.to_lowercase()
        ),
        at,
        contour,
        blocks: false,
    })
}

/// A drawn radius, or a place without a corner, that this wire leaves standing.
fn radius_obstacle(
    spots: &[(UncutSpot, &Unreached)],
    drawn: &ProfileContour,
    p: &ContourPaths,
    library: &Library,
    candidate: &Candidate,
    last: &Pass,
) -> Option<Obstacle> {
    let unmade: Vec<_> = spots
        .iter()
        .filter(|(s, _)| !s.sharp && s.depth.mm() > STANDING_ALLOWED)
        .collect();
    let worst = unmade
        .iter()
        .max_by(|a, b| a.0.depth.mm().total_cmp(&b.0.depth.mm()))?;
    let leaves = last.offset.mm();
    let drawn_radius = drawn_radius_at(drawn, worst.1, p.role);
    let places = if unmade.len() == 1 {
        "one place".to_owned()
    } else {
        format!("{} places", unmade.len())
    };
    let name = format!("{} {}", capital(p.role.word()), p.contour + 1);
    // How deep a spot is for each mm by which the wire's radius exceeds the drawn one: set by its angle.
    let steepness = drawn_radius.map(|r| worst.0.depth.mm() / (leaves - r));
    let fits = drawn_radius.zip(steepness).and_then(|(r, k)| {
        let made = |leaves: f64| (leaves - r) * k <= STANDING_ALLOWED;
        largest_diameter(&made, last, candidate, library)
    });
    let advice = fits.map_or_else(
        || format!("Open the radius to {leaves:.3} mm, or take a thinner wire."),
        |d| format!("Take a wire of {d} mm or less, or open the radius to {leaves:.3} mm."),
    );
    let what = drawn_radius.map_or_else(
        || "a place too narrow".to_owned(),
        |r| format!("an inside radius of {} mm", crate::reason::short(r)),
    );
    Some(Obstacle {
        code: "inside-radius",
        message: format!(
            "{name} has {what} in {places}; a {} mm wire leaves {leaves:.3} mm after this plan. {advice}",
            candidate.diameter.mm()
        ),
        at: Some(worst.0.at),
        contour: Some(p.contour),
        blocks: true,
    })
}

/// Smallest drawn radius towards the wire within a span.
fn drawn_radius_at(drawn: &ProfileContour, span: &Unreached, role: Role) -> Option<f64> {
    let way = if role == Role::Opening { 1.0 } else { -1.0 };
    let total = drawn.shape.length();
    let mut start = 0.0;
    let mut smallest: Option<f64> = None;
    for s in drawn.shape.segments() {
        let end = start + s.length();
        let overlaps = [-total, 0.0]
            .iter()
            .any(|shift| end + shift > span.from && start + shift < span.to);
        if overlaps && s.curvature() * way > 0.0 {
            smallest = Some(smallest.map_or(s.radius(), |r: f64| r.min(s.radius())));
        }
        start = end;
    }
    smallest
}

/// Largest listed diameter whose radius left by the last pass of the same plan is good enough.
fn largest_diameter(
    made: &dyn Fn(f64) -> bool,
    last: &Pass,
    candidate: &Candidate,
    library: &Library,
) -> Option<f64> {
    let own = DiameterFactors::at(candidate.diameter, library).gap_and_stock;
    let gap_at_quarter = last.gap.mm() / own;
    library
        .diameters
        .iter()
        .filter(|d| made(d.diameter_mm / 2.0 + gap_at_quarter * d.gap_and_stock.value))
        .map(|d| d.diameter_mm)
        .max_by(f64::total_cmp)
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or_else(String::new, |c| {
        c.to_uppercase().collect::<String>() + letters.as_str()
    })
}
