//! What the drawing would have to allow for a thicker, faster wire, and what that would save.

use super::one_wire::{conditions, estimate, figures_as_if_made};
use super::{Estimate, Figures, Obstacle, ObstacleKind};
use crate::geometry::Point;
use crate::job::{Candidate, Job};
use crate::library::Library;
use crate::plan::Plans;
use crate::plan::paths::{PathCache, ShapeId};
use crate::process::passes::{passes, slug_inset};
use crate::profile::Profile;
use crate::units::{Length, Minutes, Money};

/// What a place of the drawing would have to become.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Needed {
    /// An inside radius of at least this.
    Radius(Length),
    /// A slot, a neck or the waste between two contours at least this wide.
    Width(Length),
}

/// A place of the drawing that keeps a wire out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// Contour of the profile.
    pub contour: usize,
    /// Where, mm about the profile's origin.
    pub at: Point,
    /// What it would have to become.
    pub needed: Needed,
}

/// The next larger wire that the drawing keeps out.
#[derive(Debug, Clone, PartialEq)]
pub struct NextWire {
    /// The wire and its diameter.
    pub candidate: Candidate,
    /// Everything that would have to change.
    pub changes: Vec<Change>,
    /// What else keeps it out, such as start holes that have no room; no change of the shape is known for these.
    pub others: Vec<Obstacle>,
    /// Time a part with it, were all that changed; the lengths of paths hardly differ.
    pub minutes: Minutes,
    /// Time that it saves a part; negative where it saves none.
    pub saves: Minutes,
    /// Cost that it saves a part.
    pub saves_cost: Money,
}

fn shapes(profile: &Profile) -> Vec<ShapeId> {
    profile
        .contours()
        .iter()
        .map(|c| ShapeId::of(&c.shape))
        .collect()
}

/// The smallest inside radius that a wire leaves after the job's last pass: d/2 + gap.
///
/// `None` where the library lacks the wire or the material.
pub fn radius_left(job: &Job, candidate: &Candidate, library: &Library) -> Option<Length> {
    let c = conditions(job, candidate, library)?;
    passes(job.passes, &c, library).last().map(|p| p.offset)
}

fn makes_everything(e: &Estimate) -> bool {
    !e.obstacles.iter().any(|o| o.kind.is_of_the_drawing())
}

fn with_diameter(wire: &str, diameter_mm: f64) -> Candidate {
    Candidate::new(wire, diameter_mm)
}

/// The largest listed diameter of a wire that makes every radius and passes every slot of the drawing.
///
/// Whether it is used in such thickness is another question; `None` when even the thinnest cannot.
pub fn largest_diameter(
    profile: &Profile,
    job: &Job,
    library: &Library,
    wire: &str,
    cache: &PathCache,
) -> Option<Length> {
    let library = &*job.library_on_machine(library);
    let shapes = shapes(profile);
    let listed = library.diameters.iter().rev();
    listed
        .map(|d| with_diameter(wire, d.diameter_mm))
        .find(|c| {
            let e = estimate(profile, &shapes, job, library, c, cache);
            !e.paths.is_empty() && makes_everything(&e)
        })
        .map(|c| c.diameter)
}

/// The next listed diameter of the same wire that the drawing keeps out, what would let it in, and what that saves.
///
/// `None` when every larger one is possible, or this one is not.
pub fn next_larger(
    profile: &Profile,
    job: &Job,
    library: &Library,
    candidate: &Candidate,
    cache: &PathCache,
) -> Option<NextWire> {
    let library = &*job.library_on_machine(library);
    let shapes = shapes(profile);
    let own = estimate(profile, &shapes, job, library, candidate, cache);
    let now: &Figures = own.figures.as_ref()?;
    let larger = library
        .diameters
        .iter()
        .filter(|d| d.diameter_mm > candidate.diameter.mm() + 1e-9);
    let (next, blocked) = larger
        .map(|d| with_diameter(&candidate.wire, d.diameter_mm).running(candidate.run))
        .map(|c| {
            let e = estimate(profile, &shapes, job, library, &c, cache);
            (c, e)
        })
        .find(|(_, e)| !makes_everything(e))?;
    let then = figures_as_if_made(profile, &shapes, job, library, &next, candidate, cache)?;
    let sum = |f: &Figures| f.steps.iter().map(|s| s.minutes).sum::<Minutes>();
    let changes = changes(profile, job, library, &next, &blocked);
    let told = |o: &Obstacle| {
        let at = o.contour();
        changes.iter().any(|c| Some(c.contour) == at)
    };
    let others = blocked.obstacles.iter();
    let others = others.filter(|o| o.blocks() && o.kind.is_of_the_drawing() && !told(o));
    Some(NextWire {
        others: others.cloned().collect(),
        changes,
        candidate: next,
        minutes: sum(&then),
        saves: sum(now) - sum(&then),
        saves_cost: now.cost.part.median - then.cost.part.median,
    })
}

fn changes(
    profile: &Profile,
    job: &Job,
    library: &Library,
    wire: &Candidate,
    blocked: &Estimate,
) -> Vec<Change> {
    let Some(c) = conditions(job, wire, library) else {
        return Vec::new();
    };
    let plans = Plans::of(profile, job, &c, library);
    let passes = |contour: usize| plans.contour(contour).passes.as_slice();
    let wide = |contour: usize| {
        let offsets = passes(contour).iter().map(|p| p.offset);
        Needed::Width(offsets.fold(Length::ZERO, Length::max) * 2.0)
    };
    let between = |contour: usize| {
        let rough = passes(contour).first();
        Needed::Width(rough.map_or(Length::ZERO, |p| slug_inset(wire.diameter, p)))
    };
    let mut out: Vec<Change> = Vec::new();
    for o in blocked.obstacles.iter().filter(|o| o.blocks()) {
        let (Some(contour), Some(at)) = (o.contour(), o.at) else {
            continue;
        };
        if o.kind.is_too_narrow() {
            let needed = wide(contour);
            out.push(Change {
                contour,
                at,
                needed,
            });
        }
    }
    let narrow: Vec<usize> = out.iter().map(|c| c.contour).collect();
    let tight = blocked
        .uncut
        .iter()
        .filter(|u| !u.sharp && !narrow.contains(&u.contour));
    out.extend(tight.map(|u| Change {
        contour: u.contour,
        at: u.at,
        needed: if u.width.is_some() {
            wide(u.contour)
        } else {
            let last = passes(u.contour).last();
            Needed::Radius(last.map_or(Length::ZERO, |p| p.offset))
        },
    }));
    let is_close = |o: &&Obstacle| matches!(o.kind, ObstacleKind::TooClose { .. });
    let close = blocked.obstacles.iter().filter(is_close);
    out.extend(close.filter_map(|o| {
        let (contour, at) = (o.contour()?, o.at?);
        let needed = between(contour);
        Some(Change {
            contour,
            at,
            needed,
        })
    }));
    out
}
