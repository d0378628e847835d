//! Start holes are holes: where each contour is begun, and how wide its hole may be.

use super::contour_paths::ContourPaths;
use super::contour_plan::Plans;
use super::paths::ShapeId;
use super::starts::{Start, StartWanted};
use crate::geometry::boxes::Boxes;
use crate::geometry::room::depth_in;
use crate::geometry::{Bounds, Contour, Point};
use crate::job::{Job, contour_key};
use crate::library::Library;
use crate::profile::{Profile, Role};
use crate::progress::look;
use crate::units::Length;
use std::cell::OnceCell;
use std::collections::HashMap;
use std::hash::{DefaultHasher, Hash, Hasher};

/// A start hole is at least so much wider than the wire, mm (judgement).
const WIDER_THAN_WIRE: f64 = 0.2;
/// Rounding of positions, mm.
const ROUNDING: f64 = 1e-6;

/// What a start hole of one wire's rough has to keep to.
#[derive(Debug, Clone, Copy)]
pub struct HoleRule<'a> {
    /// Diameters that the shop drills.
    pub sizes: &'a [Length],
    /// Between the hole's edge and the kerf.
    pub stock: Length,
    /// Diameter of the wire.
    pub wire: Length,
    /// Half the kerf of the rough.
    pub half_kerf: Length,
}

/// The narrowest hole that a wire goes through.
pub fn least_width(wire: Length) -> Length {
    wire + Length::from_mm(WIDER_THAN_WIRE)
}

fn takes(hole: Length, wire: Length) -> bool {
    hole.mm() >= least_width(wire).mm() - ROUNDING
}

/// The smallest of the shop's holes that a wire goes through; `None` where it drills none so wide.
pub fn smallest_hole(sizes: &[Length], wire: Length) -> Option<Length> {
    let wide = sizes.iter().copied().filter(|d| takes(*d, wire));
    wide.reduce(Length::min)
}

impl HoleRule<'_> {
    /// From the path to the middle of a hole at the least.
    pub fn needs(&self, hole: Length) -> Length {
        hole * 0.5 + self.stock + self.half_kerf
    }
    /// The largest hole that fits where the path is `room` away.
    pub fn largest(&self, room: Length) -> Option<Length> {
        let fitting = self.sizes.iter().copied().filter(|d| self.is_fit(*d, room));
        fitting.reduce(Length::max)
    }
    /// Whether a hole takes this wire and leaves the stock beside the kerf.
    pub fn is_fit(&self, hole: Length, room: Length) -> bool {
        takes(hole, self.wire) && self.needs(hole).mm() <= room.mm() + ROUNDING
    }
    /// The smallest hole that this wire goes through; `None` where the shop drills none.
    pub fn smallest(&self) -> Option<Length> {
        smallest_hole(self.sizes, self.wire)
    }
}

/// Where a contour is begun, and through which hole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HoledStart {
    /// Hole, place and lead-in.
    pub start: Start,
    /// Diameter of the hole, the smallest where none fits; `None` from the blank's edge.
    pub hole: Option<Length>,
    /// Whether the hole lies in the waste as it should; so does a start from the edge.
    pub fits: bool,
}

/// The rule for a plan's rough.
pub fn hole_rule<'a>(
    job: &'a Job,
    library: &Library,
    plans: &Plans,
    plan: usize,
    wire: Length,
) -> Option<HoleRule<'a>> {
    let rough = plans.all.get(plan)?.passes.first()?;
    Some(HoleRule {
        sizes: &job.shop.hole_sizes,
        stock: Length::from_mm(library.overheads.hole_stock.value),
        wire,
        half_kerf: wire * 0.5 + rough.gap,
    })
}

/// Where each contour of the profile is begun with a wire; `None` for one that is not cut, and without a path.
///
/// Asked once for a wire: the steps and what keeps the wire out both rest on the answer.
pub fn holed_starts(
    paths: &[ContourPaths],
    profile: &Profile,
    job: &Job,
    library: &Library,
    plans: &Plans,
    wire: Length,
) -> Vec<Option<HoledStart>> {
    let around = Surroundings::of(profile, job);
    let mut starts = vec![None; profile.contours().len()];
    for p in paths {
        look();
        starts[p.contour] = holed_start(p, &around, profile, job, library, plans, wire);
    }
    starts
}

/// What lies where in a profile, looked at once for all of its contours.
struct Surroundings {
    boxes: Vec<Bounds>,
    /// Middle of everything.
    middle: Point,
    /// The innermost contour around each that is cut, too.
    around: Vec<Option<usize>>,
    /// What is cut directly inside such a contour, or in none.
    families: HashMap<Option<usize>, Family>,
}

/// Contours that are cut side by side.
struct Family {
    members: Vec<usize>,
    /// Their boxes, where they are many.
    index: Option<Boxes>,
}

/// So many boxes are looked at one by one.
const FEW: usize = 16;

impl Surroundings {
    fn of(profile: &Profile, job: &Job) -> Self {
        let contours = profile.contours();
        let boxes: Vec<Bounds> = contours.iter().map(|c| c.bounds).collect();
        let mut inwards: Vec<usize> = (0..contours.len()).collect();
        inwards.sort_by_key(|&k| contours[k].depth);
        let mut around: Vec<Option<usize>> = vec![None; contours.len()];
        let mut members: HashMap<Option<usize>, Vec<usize>> = HashMap::new();
        for k in inwards {
            around[k] = contours[k].parent.and_then(|p| {
                let is_cut = job.cuts(&contours[p]);
                if is_cut { Some(p) } else { around[p] }
            });
            if job.cuts(&contours[k]) {
                members.entry(around[k]).or_default().push(k);
            }
        }
        let family = |(around, members): (Option<usize>, Vec<usize>)| {
            let many = members.len() > FEW;
            let index = many.then(|| Boxes::of(members.iter().map(|&k| boxes[k])));
            (around, Family { members, index })
        };
        Self {
            families: members.into_iter().map(family).collect(),
            middle: profile.bounds().centre(),
            boxes,
            around,
        }
    }
    /// What is cut directly inside a contour.
    fn inside(&self, contour: usize) -> Vec<usize> {
        let family = self.families.get(&Some(contour));
        family.map_or_else(Vec::new, |f| f.members.clone())
    }
    /// What is cut beside a contour and reaches into a box.
    ///
    /// What lies in one of these is farther off than it, and no place outside of it is nearer.
    fn beside(&self, contour: usize, near: &Bounds) -> Vec<usize> {
        let Some(family) = self.families.get(&self.around[contour]) else {
            return Vec::new();
        };
        let mut found: Vec<usize> = if let Some(index) = &family.index {
            let places = index.meeting(near).into_iter();
            places.map(|k| family.members[k]).collect()
        } else {
            let all = family.members.iter().copied();
            all.filter(|&k| self.boxes[k].meets(near)).collect()
        };
        found.retain(|&k| k != contour);
        found
    }
}

/// What else is cut near a start and must not be cut into.
struct KeptOff<'a> {
    /// Whether it goes around the start: then the start has to lie in it.
    encloses: bool,
    /// A place outside of this box is far enough from it.
    reach: Bounds,
    shape: &'a Contour,
    /// How deep a place lies in it, made once it is asked about: mostly the box says enough.
    depth: OnceCell<DepthIn<'a>>,
}

/// How deep a place lies inside a contour, mm; negative outside it.
type DepthIn<'a> = Box<dyn Fn(Point) -> f64 + 'a>;

impl KeptOff<'_> {
    /// Whether a place lies inside, and how far it is from the contour, mm.
    fn lies(&self, at: Point) -> (bool, f64) {
        let made = || -> DepthIn<'_> { Box::new(depth_in(self.shape)) };
        let depth = self.depth.get_or_init(made)(at);
        (depth > 0.0, depth.abs())
    }
}

fn holed_start(
    p: &ContourPaths,
    around: &Surroundings,
    profile: &Profile,
    job: &Job,
    library: &Library,
    plans: &Plans,
    wire: Length,
) -> Option<HoledStart> {
    let drawn = &profile.contours()[p.contour];
    let choice = job.choice(contour_key(drawn));
    let rule = hole_rule(job, library, plans, p.plan, wire)?;
    let from_edge = may_start_from_edge(profile, job, p.contour)
        && choice.from_edge.unwrap_or(job.outlines_from_edge);
    let wanted = StartWanted {
        lead_in: Length::from_mm(library.overheads.lead_in.value),
        hole: choice.hole.filter(|h| h.is_finite()),
        join: choice.join.map(|along| drawn.shape.point_at(along.mm())),
        enough: rule.smallest().map_or(Length::ZERO, |d| rule.needs(d)),
        towards: Some(around.middle),
    };
    let path = p.passes.first()?;
    let rough = plans.all[p.plan].passes.first()?;
    // What else is cut must not be cut into: beside an outline it may lie anywhere, in an opening in its waste.
    let keep = rough.offset.mm();
    let reach = wanted.lead_in.mm() + keep;
    let others: Vec<usize> = match p.role {
        Role::Opening => around.inside(p.contour),
        Role::Outline => {
            let near = around.boxes[p.contour].grown(2.0 * reach);
            let mut others = around.beside(p.contour, &near);
            // Whatever is around that one is farther off.
            others.extend(around.around[p.contour]);
            others
        }
    };
    let mut kept_off = DefaultHasher::new();
    keep.to_bits().hash(&mut kept_off);
    others
        .iter()
        .for_each(|k| ShapeId::of(&profile.contours()[*k].shape).hash(&mut kept_off));
    let enclosing = around.around[p.contour].filter(|_| p.role == Role::Outline);
    let kept: Vec<KeptOff<'_>> = others
        .iter()
        .map(|&k| KeptOff {
            encloses: enclosing == Some(k),
            reach: around.boxes[k].grown(reach),
            shape: &profile.contours()[k].shape,
            depth: OnceCell::new(),
        })
        .collect();
    let free = |hole: Point| {
        let mut room = f64::INFINITY;
        for other in &kept {
            if !other.encloses && !other.reach.contains(hole) {
                continue;
            }
            let (inside, distance) = other.lies(hole);
            if inside != other.encloses {
                return 0.0;
            }
            room = room.min(distance - keep);
        }
        room.max(0.0)
    };
    let mut start = path.start(&wanted, kept_off.finish(), &free)?;
    if let Some(innermost) = p.rings.as_ref().and_then(|r| r.first()) {
        // Eroding begins in the middle of the waste.
        let first = innermost.loops.first()?.nearest(start.hole)?.at;
        let rough = path.loops.first()?;
        let room = |hole| Length::from_mm(rough.nearest(hole).map_or(0.0, |n| n.distance));
        // Where the innermost ring leaves a hole too little room, its middle may have enough.
        let hole = match wanted.hole {
            Some(own) => own,
            None if rule.largest(room(first)).is_none() => start.hole,
            None => first,
        };
        start = Start {
            hole,
            lead_in: Length::from_mm(hole.distance(first)),
            room: room(hole),
            ..start
        };
    }
    if from_edge {
        return Some(HoledStart {
            start,
            hole: None,
            fits: true,
        });
    }
    let drawn = wanted.hole.and_then(|h| drawn_hole(profile, job, h));
    let fitting = match drawn {
        Some(d) => Some(d).filter(|d| rule.is_fit(*d, start.room)),
        None => rule.largest(start.room),
    };
    Some(HoledStart {
        start,
        hole: fitting.or(drawn).or(rule.smallest()),
        fits: fitting.is_some(),
    })
}

/// Whether a contour can be begun from the edge of the blank: an outline with nothing around it that is cut.
pub fn may_start_from_edge(profile: &Profile, job: &Job, contour: usize) -> bool {
    let mut around = profile.contours()[contour].parent;
    while let Some(k) = around.filter(|k| !job.cuts(&profile.contours()[*k])) {
        around = profile.contours()[k].parent;
    }
    job.role(profile, contour) == Role::Outline && around.is_none()
}

/// Diameter of the hole that is drawn at a place as a circle which is not cut itself.
fn drawn_hole(profile: &Profile, job: &Job, at: Point) -> Option<Length> {
    let shown = profile.contours().iter().filter(|c| !job.cuts(c));
    shown
        .filter_map(|c| {
            let bounds = c.bounds;
            let size = bounds.size();
            let round = std::f64::consts::PI / 4.0 * size.x * size.y;
            let is_here = bounds.centre().distance(at) < 1e-3;
            let is_circle =
                (size.x - size.y).abs() < 1e-3 && (c.shape.area() - round).abs() < 1e-3 * round;
            (is_here && is_circle).then(|| Length::from_mm(size.x))
        })
        .reduce(Length::min)
}
