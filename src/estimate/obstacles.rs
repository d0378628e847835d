//! What a wire leaves standing, what it cannot do, and what would have to change.

use super::tight_places::{Cause, DrawnShape};
use super::too_close::too_close;
use super::{Obstacle, UncutSpot};
use crate::geometry::reach::Unreached;
use crate::job::{Candidate, Job, passes_words};
use crate::library::Library;
use crate::plan::Plans;
use crate::plan::contour_paths::ContourPaths;
use crate::plan::paths::{PathCache, ShapeId};
use crate::process::finish::finish;
use crate::process::passes::{DiameterFactors, Pass};
use crate::profile::{Profile, ProfileContour};
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
    let mut obstacles = thickness_obstacles(profile, job, library, candidate, plans, paths);
    obstacles.extend(finish_obstacle(job, library, candidate));
    let mut uncut = Vec::new();
    for p in paths {
        let drawn = &profile.contours[p.contour];
        let passes = plans.all[p.plan].passes.as_slice();
        let way = path_obstacle(p, drawn, passes, candidate);
        let closed = way.as_ref().is_some_and(|o| o.blocks);
        obstacles.extend(way);
        if closed && p.passes.iter().any(|p| p.loops.is_empty()) {
            continue;
        }
        let (Some(rough), Some(path)) = (p.passes.first(), p.passes.last()) else {
            continue;
        };
        let [after_rough, standing] = [rough, path].map(|path| path.standing(&drawn.shape));
        if after_rough.is_empty() && standing.is_empty() {
            continue;
        }
        let corners = cache.corners(shapes[p.contour], &drawn.shape);
        let plan = PlanOfContour {
            shape: DrawnShape::new(&drawn.shape, &corners, p.role),
            paths: p,
            passes,
            library,
            candidate,
        };
        let places = plan.places(standing);
        uncut.extend(places.iter().map(|((spot, _), _)| *spot));
        obstacles.extend(plan.radius_obstacle(&places));
        // A neck that closes says it all.
        if !closed {
            obstacles.extend(plan.narrow_obstacle(&places));
            obstacles.extend(plan.rough_obstacle(after_rough, &places));
        }
    }
    obstacles.extend(too_close(profile, plans, paths, candidate, cache, shapes));
    (uncut, obstacles)
}

/// One for the job's thickness where anything is cut in it, one for every contour and curve with another.
fn thickness_obstacles(
    profile: &Profile,
    job: &Job,
    library: &Library,
    candidate: &Candidate,
    plans: &Plans,
    paths: &[ContourPaths],
) -> Vec<Obstacle> {
    let chains: Vec<usize> = (0..profile.open.len())
        .filter(|&k| job.cuts_on_line(&profile.open[k]))
        .collect();
    let of_chain = |k: usize| plans.all[plans.of_chain[k]].thickness;
    let of_contour = |p: &ContourPaths| plans.all[p.plan].thickness;
    let obstacle = |thickness| thickness_obstacle(thickness, library, candidate);
    let mut out = Vec::new();
    if paths.iter().any(|p| of_contour(p) == job.thickness)
        || chains.iter().any(|&k| of_chain(k) == job.thickness)
    {
        out.extend(obstacle(job.thickness));
    }
    let own = paths.iter().filter(|p| of_contour(p) != job.thickness);
    out.extend(own.filter_map(|p| {
        Some(Obstacle {
            contour: Some(p.contour),
            ..obstacle(of_contour(p))?
        })
    }));
    let own = chains.iter().filter(|&&k| of_chain(k) != job.thickness);
    out.extend(own.filter_map(|&k| {
        let found = obstacle(of_chain(k))?;
        Some(Obstacle {
            message: format!("Open curve {}: {}", k + 1, found.message),
            at: profile.open[k].segments.first().map(|s| s.a),
            ..found
        })
    }));
    out
}

fn thickness_obstacle(
    thickness: Length,
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
            contour: None,
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
    let name = name(p);
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

/// A place that stays, and the stretch of the contour that it is.
type Place<'a> = (UncutSpot, &'a Unreached);

/// One contour under its plan.
struct PlanOfContour<'a> {
    shape: DrawnShape<'a>,
    paths: &'a ContourPaths,
    passes: &'a [Pass],
    library: &'a Library,
    candidate: &'a Candidate,
}

impl PlanOfContour<'_> {
    /// Wire centre to contour in the last pass, mm.
    fn leaves(&self) -> f64 {
        self.passes.last().map_or(0.0, |p| p.offset.mm())
    }

    /// Wire centre to contour in the rough, mm.
    fn rough(&self) -> f64 {
        self.passes.first().map_or(0.0, |p| p.offset.mm())
    }

    fn name(&self) -> String {
        name(self.paths)
    }

    /// What the last pass leaves standing, place by place.
    fn places<'s>(&self, standing: &'s [Unreached]) -> Vec<(Place<'s>, Cause)> {
        standing
            .iter()
            .map(|u| {
                let cause = self.shape.cause(u, self.leaves());
                let spot = UncutSpot {
                    contour: self.paths.contour,
                    at: u.at,
                    depth: Length::from_mm(u.depth),
                    area: Area::from_mm2(u.area),
                    sharp: cause == Cause::Sharp,
                    width: match cause {
                        Cause::Narrow(width) => width.map(Length::from_mm),
                        _ => None,
                    },
                };
                ((spot, u), cause)
            })
            .collect()
    }

    /// Drawn radii that this wire does not make.
    fn radius_obstacle(&self, places: &[(Place<'_>, Cause)]) -> Option<Obstacle> {
        let unmade = places.iter().filter_map(|((spot, _), cause)| match cause {
            Cause::Radius(r) if spot.depth.mm() > STANDING_ALLOWED => Some((spot, *r)),
            _ => None,
        });
        let (count, worst) = count_and_worst(unmade, |(spot, _)| spot.depth.mm());
        let (spot, radius) = worst?;
        let leaves = self.leaves();
        // How deep a spot is for each mm by which the wire's radius exceeds the drawn one: set by its angle.
        let steepness = spot.depth.mm() / (leaves - radius);
        let made = |leaves: f64| (leaves - radius) * steepness <= STANDING_ALLOWED;
        let advice = self.fitting(&made, self.passes.last()).map_or_else(
            || format!("Open the radius to {leaves:.3} mm, or take a thinner wire."),
            |d| format!("Take a wire of {d} mm or less, or open the radius to {leaves:.3} mm."),
        );
        let message = format!(
            "{} has an inside radius of {} mm in {}; a {} mm wire leaves {leaves:.3} mm after this plan. {advice}",
            self.name(),
            crate::reason::short(radius),
            in_places(count),
            self.candidate.diameter.mm()
        );
        Some(self.blocker("inside-radius", message, spot.at))
    }

    /// Places whose walls lie too near to each other for the wire.
    fn narrow_obstacle(&self, places: &[(Place<'_>, Cause)]) -> Option<Obstacle> {
        let narrow = places.iter().filter_map(|((spot, _), cause)| match cause {
            Cause::Narrow(width) if spot.depth.mm() > STANDING_ALLOWED => Some((spot, *width)),
            _ => None,
        });
        let (count, worst) = count_and_worst(narrow, |(spot, _)| spot.depth.mm());
        let (spot, width) = worst?;
        let needs = 2.0 * self.rough();
        let thinner = width
            .and_then(|w| self.fitting(&|offset| 2.0 * offset <= w, self.passes.first()))
            .map_or_else(
                || "Take a thinner wire".to_owned(),
                |d| format!("Take a wire of {d} mm or less"),
            );
        let wide = width.map_or(String::new(), |w| format!(" {w:.3} mm wide"));
        let message = format!(
            "{} has a place{wide} that a {} mm wire does not enter, in {}; its plan needs {needs:.3} mm. {thinner}, or \
             widen it to {needs:.3} mm.",
            self.name(),
            self.candidate.diameter.mm(),
            in_places(count),
        );
        Some(self.blocker("narrow-place", message, spot.at))
    }

    /// Places that the rough does not enter, but a later pass does: it would cut them from the solid.
    ///
    /// A later pass takes what the plan leaves for it and a little more in a corner, as its angle says. More
    /// than twice its planned stock is no skim any more (judgement).
    fn rough_obstacle(
        &self,
        after_rough: &[Unreached],
        places: &[(Place<'_>, Cause)],
    ) -> Option<Obstacle> {
        let next = self.passes.get(1)?;
        let rough = self.rough();
        let blocked_anyway = |u: &Unreached| {
            places.iter().any(|((spot, own), cause)| {
                *cause != Cause::Sharp
                    && spot.depth.mm() > STANDING_ALLOWED
                    && self.shape.overlap(own, u)
            })
        };
        let solid = after_rough
            .iter()
            .filter(|u| u.depth > next.stock.mm())
            .filter(|u| self.shape.unexplained(u, rough) > next.stock.mm() && !blocked_anyway(u));
        let (count, worst) = count_and_worst(solid, |u| u.depth);
        let worst = worst?;
        let needs = 2.0 * rough;
        let width = self.shape.width(worst, needs);
        let otherwise = match width.map(|w| self.most_passes(w)) {
            None => "take a thinner wire or fewer passes".to_owned(),
            Some(None) => "take a thinner wire".to_owned(),
            Some(Some(n)) => format!("plan {} there, or take a thinner wire", passes_words(n)),
        };
        let wide = width.map_or(String::new(), |w| format!(" {w:.3} mm wide"));
        let message = format!(
            "{} has a place{wide} that the rough of a {} mm wire does not enter, in {}; a later pass would cut it from \
             the solid. Widen it to {needs:.3} mm, or {otherwise}.",
            self.name(),
            self.candidate.diameter.mm(),
            in_places(count),
        );
        Some(self.blocker("rough-cannot-follow", message, worst.at))
    }

    /// Most passes of this plan whose rough enters a place of a width, mm; `None` where none does.
    fn most_passes(&self, width: f64) -> Option<usize> {
        let gap = self.passes.first()?.gap;
        (1..self.passes.len()).rev().find(|&n| {
            let stock: Length = self.passes[1..n].iter().map(|p| p.stock).sum();
            let offset = self.candidate.diameter / 2.0 + gap + stock;
            2.0 * offset.mm() <= width
        })
    }

    /// Largest listed diameter whose wire centre, in a pass of the same plan, lies near enough to the contour.
    fn fitting(&self, made: &dyn Fn(f64) -> bool, pass: Option<&Pass>) -> Option<f64> {
        let own = DiameterFactors::at(self.candidate.diameter, self.library).gap_and_stock;
        let beyond_radius = (pass?.offset - self.candidate.diameter / 2.0).mm() / own;
        self.library
            .diameters
            .iter()
            .filter(|d| made(d.diameter_mm / 2.0 + beyond_radius * d.gap_and_stock.value))
            .map(|d| d.diameter_mm)
            .max_by(f64::total_cmp)
    }

    fn blocker(&self, code: &'static str, message: String, at: crate::geometry::Point) -> Obstacle {
        Obstacle {
            code,
            message,
            at: Some(at),
            contour: Some(self.paths.contour),
            blocks: true,
        }
    }
}

fn count_and_worst<T: Copy>(
    places: impl Iterator<Item = T>,
    depth: impl Fn(T) -> f64,
) -> (usize, Option<T>) {
    let all: Vec<T> = places.collect();
    let worst = all
        .iter()
        .copied()
        .max_by(|a, b| depth(*a).total_cmp(&depth(*b)));
    (all.len(), worst)
}

fn in_places(count: usize) -> String {
    if count == 1 {
        "one place".to_owned()
    } else {
        format!("{count} places")
    }
}

/// Outline or opening, by its number.
fn name(p: &ContourPaths) -> String {
    format!("{} {}", capital(p.role.word()), p.contour + 1)
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or_else(String::new, |c| {
        c.to_uppercase().collect::<String>() + letters.as_str()
    })
}
