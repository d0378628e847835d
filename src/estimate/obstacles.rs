//! What a wire leaves standing, what it cannot do, and what would have to change.

use super::obstacle::is_as_good_as_sharp;
use super::tight_places::{Cause, DrawnShape};
use super::too_close::too_close;
use super::{About, NamedContour, Obstacle, ObstacleKind, UncutSpot};
use crate::geometry::Point;
use crate::geometry::corners::Corner;
use crate::geometry::reach::Unreached;
use crate::job::{Candidate, Job, TightRadii, contour_key};
use crate::library::Library;
use crate::plan::Plans;
use crate::plan::contour_paths::ContourPaths;
use crate::plan::paths::{PathCache, ShapeId};
use crate::plan::start_holes::{HoleRule, HoledStart, hole_rule, may_start_from_edge};
use crate::process::finish::finish;
use crate::process::passes::{DiameterFactors, Pass};
use crate::profile::{Profile, ProfileContour, TOO_LARGE};
use crate::progress::look;
use crate::units::{Area, Length};
use std::sync::Arc;

/// A contour in the cut that is larger than anything that is cut: its unit is wrong, and a path along it says nothing.
pub fn too_large(profile: &Profile, job: &Job, candidate: &Candidate) -> Option<Obstacle> {
    let side = |c: &ProfileContour| {
        let size = c.bounds.size();
        size.x.max(size.y)
    };
    let is_it = |c: &ProfileContour| side(c) > TOO_LARGE && job.cuts(c);
    let index = profile.contours().iter().position(is_it)?;
    Some(Obstacle {
        kind: ObstacleKind::TooLarge {
            size: Length::from_mm(side(&profile.contours()[index])),
        },
        about: About::Contour(NamedContour {
            index,
            role: job.role(profile, index),
        }),
        at: None,
        diameter: candidate.diameter,
    })
}

/// Spots left standing and obstacles of one wire.
#[allow(clippy::too_many_arguments)] // All of it is read, none of it belongs together.
pub fn examine(
    profile: &Profile,
    job: &Job,
    library: &Library,
    candidate: &Candidate,
    plans: &Plans,
    paths: &[ContourPaths],
    starts: &[Option<HoledStart>],
    cache: &PathCache,
    shapes: &[ShapeId],
) -> (Vec<UncutSpot>, Vec<Obstacle>) {
    let mut obstacles = thickness_obstacles(profile, job, library, candidate, plans, paths);
    obstacles.extend(finish_obstacle(job, library, candidate));
    let mut uncut = Vec::new();
    let mut crossing = Vec::new();
    for p in paths {
        look();
        let drawn = &profile.contours()[p.contour];
        let passes = plans.all[p.plan].passes.as_slice();
        let way = path_obstacle(p, drawn, passes, candidate);
        let closed = way.as_ref().is_some_and(Obstacle::blocks);
        let mut own: Vec<Obstacle> = way.into_iter().collect();
        if !closed {
            let start = starts[p.contour].as_ref();
            own.extend(no_start_hole(
                p, start, profile, job, library, plans, candidate,
            ));
        }
        let has_paths = p.passes.iter().all(|p| !p.loops.is_empty());
        if has_paths || !closed {
            let corners = || cache.corners(shapes[p.contour], &drawn.shape);
            let (spots, found) = places_obstacles(
                (drawn, p, passes),
                &corners,
                (library, candidate, job.tight_radii),
                closed,
            );
            uncut.extend(spots);
            own.extend(found);
        }
        // Scribble has no path, and its place says more than that it crosses itself.
        let intricate = own.iter().any(|o| o.kind == ObstacleKind::TooIntricate);
        if !intricate && cache.crosses_itself(shapes[p.contour], &drawn.shape) {
            let kind = ObstacleKind::SelfCrossing {
                has_path: !own.iter().any(Obstacle::blocks),
            };
            crossing.push(Obstacle {
                kind,
                about: About::Contour(NamedContour::of(p)),
                at: None,
                diameter: candidate.diameter,
            });
        } else {
            obstacles.extend(own);
        }
    }
    obstacles.extend(too_close(profile, plans, paths, candidate, cache, shapes));
    // A fault of the drawing is told before anything of the wire.
    crossing.extend(obstacles);
    (uncut, crossing)
}

/// What the passes of one contour leave standing, and what that means.
fn places_obstacles(
    (drawn, p, passes): (&ProfileContour, &ContourPaths, &[Pass]),
    corners: &dyn Fn() -> Arc<Vec<Corner>>,
    (library, candidate, tight_radii): (&Library, &Candidate, TightRadii),
    closed: bool,
) -> (Vec<UncutSpot>, Vec<Obstacle>) {
    let (Some(rough), Some(path)) = (p.passes.first(), p.passes.last()) else {
        return Default::default();
    };
    let [after_rough, after_last] = [rough, path].map(|path| path.uncut(&drawn.shape));
    if after_rough.is_empty() && after_last.is_empty() {
        return Default::default();
    }
    let corners = corners();
    let plan = PlanOfContour {
        shape: DrawnShape::new(&drawn.shape, &corners, p.role),
        paths: p,
        passes,
        library,
        candidate,
        tight_radii,
    };
    let places = plan.places(after_last);
    let mut found: Vec<Obstacle> = [true, false]
        .into_iter()
        .filter_map(|sharp| plan.radius_obstacle(&places, sharp))
        .collect();
    // A neck that closes says it all.
    if !closed {
        found.extend(plan.narrow_obstacle(&places));
        found.extend(plan.rough_obstacle(after_rough, &places));
    }
    let spots = places.iter().map(|((spot, _), _)| *spot).collect();
    (spots, found)
}

/// A contour in whose waste no start hole fits; a warning where the user's own hole is tight.
fn no_start_hole(
    p: &ContourPaths,
    start: Option<&HoledStart>,
    profile: &Profile,
    job: &Job,
    library: &Library,
    plans: &Plans,
    candidate: &Candidate,
) -> Option<Obstacle> {
    let start = start.filter(|s| !s.fits)?;
    let rule = hole_rule(job, library, plans, p.plan, candidate.diameter)?;
    let rough = plans.all[p.plan].passes.first()?;
    let room = start.start.room;
    // From the wall there is as much room for every wire; a thinner one and its gap take less of it.
    let of = |d: Length| DiameterFactors::at(d, library).gap_and_stock;
    let beyond = (rough.offset - candidate.diameter * 0.5).mm() / of(candidate.diameter);
    let gap = rough.gap.mm() / of(candidate.diameter);
    let could = library.diameters.iter().rev().find(|d| {
        let wire = Length::from_mm(d.diameter_mm);
        let other = HoleRule {
            wire,
            half_kerf: wire * 0.5 + Length::from_mm(gap * of(wire)),
            ..rule
        };
        let offset = wire.mm() / 2.0 + beyond * of(wire);
        let has = Length::from_mm(room.mm() + rough.offset.mm() - offset);
        wire < candidate.diameter && other.largest(has).is_some()
    });
    let key = contour_key(&profile.contours()[p.contour]);
    let role = job.role(profile, p.contour);
    Some(Obstacle {
        kind: ObstacleKind::NoStartHole {
            smallest: rule.smallest(),
            needs: rule.smallest().map(|d| rule.needs(d)),
            room,
            thinner: could.map(|d| Length::from_mm(d.diameter_mm)),
            own: job.choice(key).hole.is_some(),
            edge: may_start_from_edge(profile, job, p.contour),
        },
        about: About::Contour(NamedContour {
            index: p.contour,
            role,
        }),
        at: Some(start.start.hole),
        diameter: candidate.diameter,
    })
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
    let chains: Vec<usize> = (0..profile.open().len())
        .filter(|&k| job.cuts_on_line(&profile.open()[k]))
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
            about: About::Contour(NamedContour::of(p)),
            ..obstacle(of_contour(p))?
        })
    }));
    let own = chains.iter().filter(|&&k| of_chain(k) != job.thickness);
    out.extend(own.filter_map(|&k| {
        Some(Obstacle {
            about: About::OpenCurve(k),
            at: profile.open()[k].segments.first().map(|s| s.a),
            ..obstacle(of_chain(k))?
        })
    }));
    out
}

fn thickness_obstacle(
    thickness: Length,
    library: &Library,
    candidate: &Candidate,
) -> Option<Obstacle> {
    let factors = DiameterFactors::at(candidate.diameter, library);
    let usual = Length::from_mm(factors.usual_max_thickness);
    let kind = ObstacleKind::TooThick { thickness, usual };
    (thickness > usual).then(|| Obstacle::of_job(kind, candidate.diameter))
}

/// A skim run slower than this wire is known to bear.
fn finish_obstacle(job: &Job, library: &Library, candidate: &Candidate) -> Option<Obstacle> {
    let wire = library.wire(&candidate.wire)?;
    let finish = finish(job.passes, wire, candidate.diameter, candidate.run, library)?;
    let slow = finish.in_doubt?;
    let kind = ObstacleKind::FinishInDoubt {
        skim: slow.skim,
        run_off: slow.run_off,
        least: slow.least,
        wire: candidate.wire.clone(),
    };
    Some(Obstacle::of_job(kind, candidate.diameter))
}

fn path_obstacle(
    p: &ContourPaths,
    drawn: &ProfileContour,
    passes: &[Pass],
    candidate: &Candidate,
) -> Option<Obstacle> {
    let at = drawn.shape.vertices().first().map(|v| v.at);
    let obstacle = |kind, at| Obstacle {
        kind,
        about: About::Contour(NamedContour::of(p)),
        at,
        diameter: candidate.diameter,
    };
    let intricate = p.passes.iter().find_map(|path| path.intricate);
    if intricate.is_some() {
        return Some(obstacle(ObstacleKind::TooIntricate, intricate));
    }
    let empty = p.passes.iter().position(|path| path.loops.is_empty());
    if let Some(k) = empty {
        let needs = passes[k].offset * 2.0;
        return Some(obstacle(ObstacleKind::CannotEnter { needs }, at));
    }
    if let Some(k) = p.passes.iter().position(|path| path.loops.len() > 1) {
        let needs = passes[k].offset * 2.0;
        let second = p.passes[k].loops.get(1);
        let at = second
            .and_then(|l| l.vertices().first().map(|v| v.at))
            .or(at);
        return Some(obstacle(ObstacleKind::NeckClosed { needs }, at));
    }
    let unsure = p.passes.iter().any(|path| !path.confirmed);
    unsure.then(|| obstacle(ObstacleKind::PathUnsure, at))
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
    tight_radii: TightRadii,
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

    /// How exactly the last pass makes the wall anyway, mm: what stands less high is no place of its own.
    fn tolerance(&self) -> f64 {
        let last = self.passes.len().checked_sub(1);
        let row = last.and_then(|k| self.library.passes.get(k));
        row.map_or(0.0, |row| row.tolerance_mm[1])
    }

    /// What the last pass leaves standing beyond its tolerance, place by place.
    fn places<'s>(&self, uncut: &'s [Unreached]) -> Vec<(Place<'s>, Cause)> {
        let tolerance = self.tolerance();
        uncut
            .iter()
            .filter(|u| u.depth > tolerance)
            .map(|u| {
                let cause = self.shape.cause(u, self.leaves());
                let radius = self.shape.drawn_radius(u, cause).map(Length::from_mm);
                let spot = UncutSpot {
                    contour: self.paths.contour,
                    at: u.at,
                    depth: Length::from_mm(u.depth),
                    area: Area::from_mm2(u.area),
                    sharp: radius.is_some_and(is_as_good_as_sharp),
                    radius,
                    width: match cause {
                        Cause::Narrow(width) => width.map(Length::from_mm),
                        _ => None,
                    },
                };
                ((spot, u), cause)
            })
            .collect()
    }

    /// Drawn radii that this wire does not make; sharp corners or the others.
    fn radius_obstacle(&self, places: &[(Place<'_>, Cause)], sharp: bool) -> Option<Obstacle> {
        let unmade = places.iter().filter(|((spot, _), _)| spot.sharp == sharp);
        let unmade = unmade.filter_map(|((spot, _), _)| Some((spot, spot.radius?.mm())));
        let (count, worst) = count_and_worst(unmade, |(spot, _)| spot.depth.mm());
        let (spot, radius) = worst?;
        let leaves = self.leaves();
        // How deep a spot is for each mm by which the wire's radius exceeds the drawn one: set by its angle.
        let steepness = spot.depth.mm() / (leaves - radius);
        let made = |leaves: f64| (leaves - radius) * steepness <= self.tolerance();
        let kind = ObstacleKind::InsideRadius {
            radius: Length::from_mm(radius),
            places: count,
            leaves: Length::from_mm(leaves),
            depth: spot.depth,
            said: self.tight_radii,
            thinner: if sharp {
                None
            } else {
                self.fitting(&made, self.passes.last())
            },
        };
        Some(self.obstacle(kind, spot.at))
    }

    /// Places whose walls lie too near to each other for the wire.
    fn narrow_obstacle(&self, places: &[(Place<'_>, Cause)]) -> Option<Obstacle> {
        let narrow = places.iter().filter_map(|((spot, _), cause)| match cause {
            Cause::Narrow(width) => Some((spot, *width)),
            _ => None,
        });
        let (count, worst) = count_and_worst(narrow, |(spot, _)| spot.depth.mm());
        let (spot, width) = worst?;
        let kind = ObstacleKind::NarrowPlace {
            width: width.map(Length::from_mm),
            places: count,
            needs: Length::from_mm(2.0 * self.rough()),
            thinner: width
                .and_then(|w| self.fitting(&|offset| 2.0 * offset <= w, self.passes.first())),
        };
        Some(self.obstacle(kind, spot.at))
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
            places
                .iter()
                .any(|((_, own), cause)| *cause != Cause::Sharp && self.shape.overlap(own, u))
        };
        let solid = after_rough
            .iter()
            .filter(|u| u.depth > next.stock.mm())
            .filter(|u| self.shape.unexplained(u, rough) > next.stock.mm() && !blocked_anyway(u));
        let (count, worst) = count_and_worst(solid, |u| u.depth);
        let worst = worst?;
        let needs = 2.0 * rough;
        let width = self.shape.width(worst, needs);
        let kind = ObstacleKind::RoughCannotFollow {
            width: width.map(Length::from_mm),
            places: count,
            needs: Length::from_mm(needs),
            most_passes: width.and_then(|w| self.most_passes(w)),
        };
        Some(self.obstacle(kind, worst.at))
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
    fn fitting(&self, made: &dyn Fn(f64) -> bool, pass: Option<&Pass>) -> Option<Length> {
        let own = DiameterFactors::at(self.candidate.diameter, self.library).gap_and_stock;
        let beyond_radius = (pass?.offset - self.candidate.diameter / 2.0).mm() / own;
        self.library
            .diameters
            .iter()
            .filter(|d| made(d.diameter_mm / 2.0 + beyond_radius * d.gap_and_stock.value))
            .map(|d| d.diameter_mm)
            .max_by(f64::total_cmp)
            .map(Length::from_mm)
    }

    fn obstacle(&self, kind: ObstacleKind, at: Point) -> Obstacle {
        Obstacle {
            kind,
            about: About::Contour(NamedContour::of(self.paths)),
            at: Some(at),
            diameter: self.candidate.diameter,
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
