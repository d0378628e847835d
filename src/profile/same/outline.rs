//! The contours of a part about their common middle, and whether they lie on those of another.

use super::placing::{Fit, Place};
use crate::geometry::walk::Walk;
use crate::geometry::{Bounds, Contour, Point, Segment};
use crate::profile::{Part, Profile};
use static_aabb2d_index::{StaticAABB2DIndex, StaticAABB2DIndexBuilder};
use std::cell::{Cell, OnceCell};
use std::f64::consts::FRAC_PI_2;

/// Outlines are the same where no point lies further than this off the other, mm: what is lost when a
/// curve is written as short chords, and far below anything that would be machined differently.
pub(in crate::profile) const SAME: f64 = 0.005;
/// A chain of chords may be shorter than its curve by this share, as 29 chords to a full turn are, and rounding may add as
/// many mm.
pub(super) const LENGTH_SHARE: f64 = 2e-3;
pub(super) const LENGTH_ROUNDING: f64 = 0.02;
/// Corners so near are drawn alike, mm, and arcs of such bulges: an arc of a half turn and 4 m lies then within [`SAME`].
const DRAWN_ALIKE: f64 = 1e-3;
const BULGE_ALIKE: f64 = 1e-6;
/// Points of a contour whose distances from the middle are compared: one to 0.7°, so that a tooth of a wheel of 100 has five.
const POINTS: usize = 512;
/// Points of a part that a turn is refined with.
const FITTED_POINTS: usize = 400;
/// Points of a part that are looked at in the end, beside the ends and middles of all segments.
const LOOKED_AT: usize = 2000;
/// Steps of refining; each about squares the error.
const STEPS: usize = 8;
/// Refining has come to its end where a step moves by less than this share of [`SAME`].
const SETTLED: f64 = 1e-3;
/// Contours of a part that are looked at to find the one that is least like itself turned.
const MOST_ANCHORS: usize = 12;
/// Turns that are tried for a pair of parts: a wheel with more equal teeth is compared no further.
const MOST_TURNS: usize = 128;

/// The contours of a part about their common middle.
pub(super) struct Outline {
    pub(super) loops: Vec<Loop>,
    line: OnceCell<Option<Line>>,
    /// Lengths and areas of the contours, each ascending, mm and mm².
    lengths: Vec<f64>,
    areas: Vec<f64>,
    /// Largest distance from the middle, mm.
    radius: f64,
}

/// The line of a part, made once a part of its sizes is found.
struct Line {
    segments: Vec<Segment>,
    index: StaticAABB2DIndex<f64>,
}

impl Line {
    /// Segments whose boxes come so near to a place.
    fn about(&self, at: Point, reach: f64) -> impl Iterator<Item = usize> {
        let b = Bounds { min: at, max: at }.grown(reach);
        self.index.query_iter(b.min.x, b.min.y, b.max.x, b.max.y)
    }
}

/// One contour of a part.
pub(in crate::profile) struct Loop {
    shape: Contour,
    length: f64,
    area: f64,
    /// Made once a part of its sizes is found: most have none, and these are many.
    samples: OnceCell<Samples>,
}

/// Points of a contour.
struct Samples {
    /// At equal distances along it.
    points: Vec<Point>,
    /// How far each is from the middle, mm.
    radii: Vec<f64>,
}

impl Loop {
    pub(in crate::profile) fn of(shape: Contour) -> Self {
        Self {
            length: shape.length(),
            area: shape.area(),
            samples: OnceCell::new(),
            shape,
        }
    }
    fn samples(&self) -> &Samples {
        self.samples.get_or_init(|| {
            let walk = Walk::new(&self.shape);
            let at = |k: usize| walk.point_at(self.step() * k as f64);
            let points: Vec<Point> = (0..POINTS).map(at).collect();
            let radii = points.iter().map(|p| p.norm()).collect();
            Samples { points, radii }
        })
    }
    fn step(&self) -> f64 {
        self.length / POINTS as f64
    }
    pub(in crate::profile) fn has_size_of(&self, other: &Self) -> bool {
        are_near(self.length, other.length)
            && (self.area - other.area).abs() <= area_slack(self.length)
    }
    /// Shifts along another contour at which the distances from the middle agree best, with their error.
    ///
    /// A distance from the middle changes by no more than the way along the contour, so that the right
    /// shift, at most half a step off, can't be off by more than half a step.
    pub(in crate::profile) fn shifts(&self, other: &Self) -> Vec<(usize, f64)> {
        let (radii, others) = (&self.samples().radii, &other.samples().radii);
        let n = radii.len();
        let most = 0.5 * self.step() + 2.0 * SAME;
        let error = |k: usize| {
            let mut sum = 0.0;
            for (i, r) in radii.iter().enumerate() {
                let off = (r - others[(i + k) % n]).abs();
                if off > most {
                    return f64::INFINITY;
                }
                sum += off * off;
            }
            sum
        };
        let errors: Vec<f64> = (0..n).map(error).collect();
        let is_least = |k: &usize| {
            let here = errors[*k];
            here.is_finite() && here <= errors[(k + n - 1) % n] && here < errors[(k + 1) % n]
        };
        let least = (0..n).filter(is_least).map(|k| (k, errors[k]));
        let mut found: Vec<(usize, f64)> = least.collect();
        // On a circle about the middle every turn is as good as another.
        if found.is_empty() && errors[0].is_finite() {
            found.push((0, errors[0]));
        }
        found
    }
    /// The turn that lays the points on those of another, so far along it, radians.
    pub(in crate::profile) fn turn(&self, other: &Self, shift: usize) -> f64 {
        let (points, others) = (&self.samples().points, &other.samples().points);
        let n = points.len();
        let (mut sine, mut cosine) = (0.0, 0.0);
        for (i, p) in points.iter().enumerate() {
            let q = others[(i + shift) % n];
            sine += p.cross(q);
            cosine += p.dot(q);
        }
        f64::atan2(sine, cosine)
    }
}

fn are_near(a: f64, b: f64) -> bool {
    (a - b).abs() <= LENGTH_ROUNDING + LENGTH_SHARE * a.max(b)
}

/// What two outlines may differ in area along a length, mm².
fn area_slack(length: f64) -> f64 {
    SAME * length
}

impl Outline {
    pub(super) fn of(profile: &Profile, part: &Part) -> Option<Self> {
        let shapes = part
            .contours
            .iter()
            .map(|&k| profile.contours[k].shape.clone());
        Self::about_middle(shapes.collect())
    }
    /// About the middle of its line, which does not depend on how the curves are chopped.
    fn about_middle(shapes: Vec<Contour>) -> Option<Self> {
        let (mut moment, mut length) = (Point::ORIGIN, 0.0);
        for s in shapes.iter().flat_map(Contour::segments) {
            let l = s.length();
            moment = moment + middle(&s) * l;
            length += l;
        }
        if length <= 0.0 || !length.is_finite() {
            return None;
        }
        let away = moment * (-1.0 / length);
        let moved = shapes.into_iter().map(|c| c.moved(away));
        Some(Self::as_placed(moved.collect()))
    }
    fn as_placed(shapes: Vec<Contour>) -> Self {
        let mut bounds = Bounds::EMPTY;
        let all = shapes.iter().map(Contour::bounds);
        all.for_each(|b| bounds.include_bounds(&b));
        let loops: Vec<Loop> = shapes.into_iter().map(Loop::of).collect();
        let sorted = |of: fn(&Loop) -> f64| {
            let mut list: Vec<f64> = loops.iter().map(of).collect();
            list.sort_by(f64::total_cmp);
            list
        };
        Self {
            lengths: sorted(|l| l.length),
            areas: sorted(|l| l.area),
            radius: bounds.min.norm().max(bounds.max.norm()),
            loops,
            line: OnceCell::new(),
        }
    }
    fn line(&self) -> Option<&Line> {
        let made = self.line.get_or_init(|| {
            let shapes = self.loops.iter().map(|l| &l.shape);
            let segments: Vec<Segment> = shapes.flat_map(Contour::segments).collect();
            let mut builder = StaticAABB2DIndexBuilder::new(segments.len());
            for b in segments.iter().map(Segment::bounds) {
                builder.add(b.min.x, b.min.y, b.max.x, b.max.y);
            }
            // Only a wrong count is an error, and the count is right.
            let index = builder.build().ok()?;
            Some(Line { segments, index })
        });
        made.as_ref()
    }
    fn mirrored(&self) -> Self {
        let over = |p: Point| Point::new(-p.x, p.y);
        let mirrored = |l: &Loop| {
            let segments: Vec<Segment> = l
                .shape
                .segments()
                .map(|s| Segment::new(over(s.a), over(s.b), -s.bulge))
                .collect();
            Contour::from_segments(&segments).reversed()
        };
        Self::as_placed(self.loops.iter().map(mirrored).collect())
    }
    pub(super) fn length(&self) -> f64 {
        self.lengths.iter().sum()
    }
    /// Whether contours and openings are as many and as large.
    pub(super) fn has_sizes_of(&self, other: &Self) -> bool {
        let pairs = |a: &[f64], b: &[f64], near: &dyn Fn(f64, f64) -> bool| {
            a.len() == b.len() && a.iter().zip(b).all(|(a, b)| near(*a, *b))
        };
        let slack = area_slack(self.length());
        pairs(&self.lengths, &other.lengths, &are_near)
            && pairs(&self.areas, &other.areas, &|a, b| (a - b).abs() <= slack)
    }
    /// Whether it is the same part, and then whether only as a mirror image.
    pub(super) fn is_same(&self, other: &Self, searches: &mut usize) -> Option<bool> {
        if self.is_drawn_alike(other) || self.at_quarter_turns(other) {
            return Some(false);
        }
        let mirrored = self.mirrored();
        if *searches == 0 {
            return mirrored.at_quarter_turns(other).then_some(true);
        }
        *searches -= 1;
        if self.at_any_turn(other) {
            return Some(false);
        }
        (mirrored.at_quarter_turns(other) || mirrored.at_any_turn(other)).then_some(true)
    }
    /// Whether contours and corners are the same in the same order, as in a block set twice, however it was turned: then
    /// the corner farthest from the middle says by how much, and no turn need be looked for.
    fn is_drawn_alike(&self, other: &Self) -> bool {
        let counts = |o: &Self| o.loops.iter().map(|l| l.shape.len()).collect::<Vec<_>>();
        if counts(self) != counts(other) {
            return false;
        }
        let pairs = || {
            let loops = self.loops.iter().zip(&other.loops);
            loops.flat_map(|(a, b)| a.shape.vertices().iter().zip(b.shape.vertices()))
        };
        let farthest = pairs().max_by(|a, b| a.0.at.norm().total_cmp(&b.0.at.norm()));
        let turn = farthest.map_or(0.0, |(a, b)| a.at.turn_to(b.at));
        let place = Place::turned(turn);
        let mut pairs = pairs();
        pairs.all(|(a, b)| {
            place.to(a.at).distance(b.at) <= DRAWN_ALIKE && (a.bulge - b.bulge).abs() <= BULGE_ALIKE
        })
    }
    /// As most copies lie: shifted, by quarter turns.
    fn at_quarter_turns(&self, other: &Self) -> bool {
        (0..4).any(|k| self.fits(other, FRAC_PI_2 * f64::from(k), 20.0 * SAME))
    }
    fn at_any_turn(&self, other: &Self) -> bool {
        let Some(anchor) = self.anchor() else {
            return false;
        };
        let mut turns: Vec<(f64, f64)> = other
            .loops
            .iter()
            .filter(|l| anchor.has_size_of(l))
            .flat_map(|l| {
                let shifts = anchor.shifts(l).into_iter();
                shifts.map(move |(k, error)| (error, anchor.turn(l, k)))
            })
            .collect();
        turns.sort_by(|a, b| a.0.total_cmp(&b.0));
        let near = anchor.samples().radii.iter().copied().fold(0.0, f64::max);
        let lever = (self.radius / near.max(SAME)).max(1.0);
        let reach = (2.0 * anchor.step() * lever).min(0.1 * self.radius);
        turns
            .into_iter()
            .take(MOST_TURNS)
            .any(|(_, turn)| self.fits(other, turn, reach))
    }
    /// The contour that leaves the fewest turns to try.
    fn anchor(&self) -> Option<&Loop> {
        let mut tried: Vec<&Loop> = Vec::new();
        for l in &self.loops {
            if tried.len() < MOST_ANCHORS && !tried.iter().any(|t| t.has_size_of(l)) {
                tried.push(l);
            }
        }
        let turns = |l: &&Loop| {
            let alike = self.loops.iter().filter(|o| l.has_size_of(o)).count();
            let (least, most) = l
                .samples()
                .radii
                .iter()
                .fold((f64::INFINITY, 0.0_f64), |(a, b), r| (a.min(*r), b.max(*r)));
            // A circle about the middle says nothing about the turn.
            if most - least <= 4.0 * SAME {
                usize::MAX
            } else {
                alike * l.shifts(l).len().max(1)
            }
        };
        tried.into_iter().min_by_key(turns)
    }
    /// Whether it lies on another after a turn, refined; at first points may be so far off, mm.
    fn fits(&self, other: &Self, turn: f64, reach: f64) -> bool {
        self.refined(other, turn, reach)
            .is_some_and(|place| self.lies_on(other, place))
    }
    fn refined(&self, other: &Self, turn: f64, reach: f64) -> Option<Place> {
        let count: usize = self.loops.len() * POINTS;
        let every = count.div_ceil(FITTED_POINTS);
        let points: Vec<Point> = self
            .loops
            .iter()
            .flat_map(|l| &l.samples().points)
            .copied()
            .step_by(every)
            .collect();
        let mut place = Place::turned(turn);
        let mut reach = reach.max(4.0 * SAME);
        for _ in 0..STEPS {
            let mut fit = Fit::default();
            let mut missed = 0;
            for p in &points {
                let at = place.to(*p);
                match other.nearest(at, reach) {
                    Some((on, normal)) => fit.add(at, on, normal),
                    None => missed += 1,
                }
                if 4 * missed > points.len() {
                    return None;
                }
            }
            let (angle, shift) = fit.solved(self.radius)?;
            place = place.then(angle, shift);
            if angle.abs() * self.radius + shift.norm() < SETTLED * SAME {
                break;
            }
            reach = (0.5 * reach).max(4.0 * SAME);
        }
        Some(place)
    }
    /// The nearest point of the line and the direction across it there; none beyond a reach.
    fn nearest(&self, at: Point, reach: f64) -> Option<(Point, Point)> {
        let (mut best, mut found) = (reach, None);
        let line = self.line()?;
        line.about(at, reach).for_each(|k| {
            let d = line.segments[k].nearest_point(at).distance(at);
            if d <= best {
                (best, found) = (d, Some(k));
            }
        });
        let s = &line.segments[found?];
        let (on, along) = s.nearest(at);
        Some((on, s.direction_at(along).left()))
    }
    /// Whether every point of either lies on the other.
    fn lies_on(&self, other: &Self, place: Place) -> bool {
        let spacing = self.length() / LOOKED_AT as f64;
        // Mostly a point lies on the same segment as the one before it, or on a neighbour of that.
        let last = Cell::new(0_usize);
        let on = |line: &Line, p: Point| {
            let lies = |k: usize| {
                let s = line.segments.get(k);
                s.is_some_and(|s| s.nearest_point(p).distance(p) <= SAME)
            };
            let beside = [last.get(), last.get() + 1, last.get().wrapping_sub(1)];
            let found = beside
                .into_iter()
                .find(|&k| lies(k))
                .or_else(|| line.about(p, SAME).find(|&k| lies(k)));
            last.set(found.unwrap_or(0));
            found.is_some()
        };
        let (Some(own), Some(others)) = (self.line(), other.line()) else {
            return false;
        };
        samples(&own.segments, spacing).all(|p| on(others, place.to(p)))
            && samples(&others.segments, spacing).all(|p| on(own, place.back(p)))
    }
}

/// Start, middle and points between, no further apart than a spacing, mm, of each segment.
pub(in crate::profile) fn samples(
    segments: &[Segment],
    spacing: f64,
) -> impl Iterator<Item = Point> + '_ {
    segments.iter().flat_map(move |s| {
        let length = s.length();
        let pieces = ((length / spacing).ceil() as usize).clamp(2, LOOKED_AT);
        (0..pieces).map(move |k| s.point_at(length * k as f64 / pieces as f64))
    })
}

/// Middle of a segment's line: that of an arc lies between the arc and its centre, at sin(h)/h of the
/// radius, h half its sweep.
pub(in crate::profile) fn middle(s: &Segment) -> Point {
    match s.centre() {
        Some(centre) if !s.is_straight() => {
            let half = 0.5 * s.sweep().abs();
            let top = s.point_at(0.5 * s.length());
            centre + (top - centre) * (half.sin() / half)
        }
        _ => s.a.lerp(s.b, 0.5),
    }
}
