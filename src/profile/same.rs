//! Parts of one drawing that have the same outline: shifted, turned or mirrored copies of each other,
//! however their curves are chopped into pieces.
//!
//! Lengths and areas are compared first. Then the middles are laid on each other, and every turn at which
//! the distances of one contour from the middle agree all around is tried: it is refined by least squares
//! (Gauss and Newton on a shift and a turn), and holds if every point of either part lies on the other.

use super::{Part, Profile};
use crate::geometry::walk::Walk;
use crate::geometry::{Bounds, Contour, Point, Segment, Vertex};
use crate::progress::look;
use static_aabb2d_index::{StaticAABB2DIndex, StaticAABB2DIndexBuilder};
use std::cell::OnceCell;
use std::collections::BTreeSet;
use std::f64::consts::FRAC_PI_2;

/// Outlines are the same where no point lies further than this off the other, mm: what is lost when a
/// curve is written as short chords, and far below anything that would be machined differently.
pub(super) const SAME: f64 = 0.005;
/// A chain of chords may be shorter than its curve by this share, as 29 chords to a full turn are, and rounding may add as
/// many mm.
const LENGTH_SHARE: f64 = 2e-3;
const LENGTH_ROUNDING: f64 = 0.02;
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
/// Share of the fit's own weight by which shift and turn are held back: it decides only what nothing else does.
const HELD_BACK: f64 = 1e-9;
/// Contours of a part that are looked at to find the one that is least like itself turned.
const MOST_ANCHORS: usize = 12;
/// Turns that are tried for a pair of parts: a wheel with more equal teeth is compared no further.
const MOST_TURNS: usize = 128;
/// Pairs of a drawing that are compared at every turn, not only as drawn and by quarter turns.
const MOST_SEARCHES: usize = 200;
/// Pairs of a drawing that are compared at all.
const MOST_PAIRS: usize = 20_000;

/// Parts of a drawing with the same outline and openings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SameParts {
    /// Two or more, ascending: indices into the list of parts.
    pub parts: Vec<usize>,
    /// How many of them are mirrored against the first; a part that is its own mirror image is not.
    pub mirrored: usize,
}

/// Which parts are copies of each other; parts without one are in no group.
///
/// Ends early, with nothing, where `stop` says so. In a drawing of very many different parts of one size
/// not every pair is compared.
pub fn same_parts(profile: &Profile, parts: &[Part], stop: &dyn Fn() -> bool) -> Vec<SameParts> {
    if parts.len() < 2 {
        return Vec::new();
    }
    let (mut pairs, mut searches) = (MOST_PAIRS, MOST_SEARCHES);
    let mut groups: Vec<(Outline, SameParts)> = Vec::new();
    // Groups by their number of contours and the length of these, so that only what may have the sizes is looked at.
    let mut by_size: BTreeSet<(usize, u64, usize)> = BTreeSet::new();
    for (k, part) in parts.iter().enumerate() {
        let Some(outline) = Outline::of(profile, part) else {
            continue;
        };
        if stop() {
            return Vec::new();
        }
        let (count, length) = (outline.loops.len(), outline.length());
        let slack = 1.01 * (LENGTH_ROUNDING * count as f64 + LENGTH_SHARE * length);
        // Bits of positive numbers ascend as these do.
        let key = |length: f64| (count, length.max(0.0).to_bits());
        let from = key(length - slack);
        let to = key(length + slack);
        let near = by_size.range((from.0, from.1, 0)..=(to.0, to.1, usize::MAX));
        let mut near: Vec<usize> = near.map(|n| n.2).collect();
        near.sort_unstable();
        let mut known = None;
        for g in near {
            look();
            let first = &groups[g].0;
            if stop() {
                return Vec::new();
            }
            if pairs == 0 {
                break;
            }
            if !first.has_sizes_of(&outline) {
                continue;
            }
            pairs -= 1;
            if let Some(mirrored) = outline.is_same(first, &mut searches) {
                known = Some((g, mirrored));
                break;
            }
        }
        if let Some((g, mirrored)) = known {
            groups[g].1.parts.push(k);
            groups[g].1.mirrored += usize::from(mirrored);
        } else {
            let alone = SameParts {
                parts: vec![k],
                mirrored: 0,
            };
            by_size.insert((count, key(length).1, groups.len()));
            groups.push((outline, alone));
        }
    }
    let groups = groups.into_iter().map(|g| g.1);
    groups.filter(|g| g.parts.len() > 1).collect()
}

/// The contours of a part about their common middle.
struct Outline {
    loops: Vec<Loop>,
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
    fn about(&self, at: Point, reach: f64) -> impl Iterator<Item = &Segment> {
        let b = Bounds { min: at, max: at }.grown(reach);
        let found = self.index.query_iter(b.min.x, b.min.y, b.max.x, b.max.y);
        found.map(|k| &self.segments[k])
    }
}

/// One contour of a part.
pub(super) struct Loop {
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
    pub(super) fn of(shape: Contour) -> Self {
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
    pub(super) fn has_size_of(&self, other: &Self) -> bool {
        are_near(self.length, other.length)
            && (self.area - other.area).abs() <= area_slack(self.length)
    }
    /// Shifts along another contour at which the distances from the middle agree best, with their error.
    ///
    /// A distance from the middle changes by no more than the way along the contour, so that the right
    /// shift, at most half a step off, can't be off by more than half a step.
    pub(super) fn shifts(&self, other: &Self) -> Vec<(usize, f64)> {
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
    pub(super) fn turn(&self, other: &Self, shift: usize) -> f64 {
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

/// A turn about the middle and a shift after it.
#[derive(Clone, Copy)]
struct Place {
    cos: f64,
    sin: f64,
    shift: Point,
}

impl Place {
    fn turned(angle: f64) -> Self {
        Self {
            cos: angle.cos(),
            sin: angle.sin(),
            shift: Point::ORIGIN,
        }
    }
    fn rotated(&self, p: Point) -> Point {
        Point::new(
            self.cos * p.x - self.sin * p.y,
            self.sin * p.x + self.cos * p.y,
        )
    }
    fn to(&self, p: Point) -> Point {
        self.rotated(p) + self.shift
    }
    fn back(&self, p: Point) -> Point {
        let p = p - self.shift;
        Point::new(
            self.cos * p.x + self.sin * p.y,
            self.cos * p.y - self.sin * p.x,
        )
    }
    fn then(&self, angle: f64, shift: Point) -> Self {
        let more = Self::turned(angle);
        Self {
            cos: more.cos * self.cos - more.sin * self.sin,
            sin: more.sin * self.cos + more.cos * self.sin,
            shift: more.rotated(self.shift) + shift,
        }
    }
}

impl Outline {
    fn of(profile: &Profile, part: &Part) -> Option<Self> {
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
    fn length(&self) -> f64 {
        self.lengths.iter().sum()
    }
    /// Whether contours and openings are as many and as large.
    fn has_sizes_of(&self, other: &Self) -> bool {
        let pairs = |a: &[f64], b: &[f64], near: &dyn Fn(f64, f64) -> bool| {
            a.len() == b.len() && a.iter().zip(b).all(|(a, b)| near(*a, *b))
        };
        let slack = area_slack(self.length());
        pairs(&self.lengths, &other.lengths, &are_near)
            && pairs(&self.areas, &other.areas, &|a, b| (a - b).abs() <= slack)
    }
    /// Whether it is the same part, and then whether only as a mirror image.
    fn is_same(&self, other: &Self, searches: &mut usize) -> Option<bool> {
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
    /// Whether contours and corners are the same in the same order, as in a block set twice: no turn need be looked for.
    fn is_drawn_alike(&self, other: &Self) -> bool {
        let alike = |a: &Vertex, b: &Vertex| {
            a.at.distance(b.at) <= DRAWN_ALIKE && (a.bulge - b.bulge).abs() <= BULGE_ALIKE
        };
        let mut loops = self.loops.iter().zip(&other.loops);
        self.loops.len() == other.loops.len()
            && loops.all(|(a, b)| {
                let (a, b) = (a.shape.vertices(), b.shape.vertices());
                a.len() == b.len() && a.iter().zip(b).all(|(a, b)| alike(a, b))
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
        line.about(at, reach).for_each(|s| {
            let d = s.nearest_point(at).distance(at);
            if d <= best {
                (best, found) = (d, Some(s));
            }
        });
        let s = found?;
        let (on, along) = s.nearest(at);
        Some((on, s.direction_at(along).left()))
    }
    /// Whether every point of either lies on the other.
    fn lies_on(&self, other: &Self, place: Place) -> bool {
        let spacing = self.length() / LOOKED_AT as f64;
        let on = |line: &Line, p: Point| {
            let mut about = line.about(p, SAME);
            about.any(|s| s.nearest_point(p).distance(p) <= SAME)
        };
        let (Some(own), Some(others)) = (self.line(), other.line()) else {
            return false;
        };
        samples(&own.segments, spacing).all(|p| on(others, place.to(p)))
            && samples(&others.segments, spacing).all(|p| on(own, place.back(p)))
    }
}

/// Start, middle and points between, no further apart than a spacing, mm, of each segment.
pub(super) fn samples(segments: &[Segment], spacing: f64) -> impl Iterator<Item = Point> + '_ {
    segments.iter().flat_map(move |s| {
        let length = s.length();
        let pieces = ((length / spacing).ceil() as usize).clamp(2, LOOKED_AT);
        (0..pieces).map(move |k| s.point_at(length * k as f64 / pieces as f64))
    })
}

/// Middle of a segment's line: that of an arc lies between the arc and its centre, at sin(h)/h of the
/// radius, h half its sweep.
pub(super) fn middle(s: &Segment) -> Point {
    match s.centre() {
        Some(centre) if !s.is_straight() => {
            let half = 0.5 * s.sweep().abs();
            let top = s.point_at(0.5 * s.length());
            centre + (top - centre) * (half.sin() / half)
        }
        _ => s.a.lerp(s.b, 0.5),
    }
}

/// Least squares for a small turn and shift that bring points onto a line, each across it.
#[derive(Default)]
pub(super) struct Fit {
    /// Normal matrix and right side for shift x, shift y and turn.
    m: [[f64; 3]; 3],
    right: [f64; 3],
}

impl Fit {
    pub(super) fn add(&mut self, at: Point, on: Point, normal: Point) {
        let row = [normal.x, normal.y, at.cross(normal)];
        let off = (on - at).dot(normal);
        for (i, r) in row.iter().enumerate() {
            for (j, c) in row.iter().enumerate() {
                self.m[i][j] += r * c;
            }
            self.right[i] += r * off;
        }
    }
    /// The turn in radians and the shift; a little is held back, so that a circle turns nowhere.
    pub(super) fn solved(mut self, radius: f64) -> Option<(f64, Point)> {
        let weight = self.m[0][0] + self.m[1][1];
        for (k, unit) in [1.0, 1.0, radius * radius].into_iter().enumerate() {
            self.m[k][k] += HELD_BACK * weight * unit;
        }
        let det = |m: &[[f64; 3]; 3]| {
            m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1])
                - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
                + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
        };
        let whole = det(&self.m);
        let mut solved = [0.0; 3];
        for (k, value) in solved.iter_mut().enumerate() {
            let mut m = self.m;
            for (row, right) in m.iter_mut().zip(self.right) {
                row[k] = right;
            }
            *value = det(&m) / whole;
        }
        let [x, y, turn] = solved;
        solved
            .iter()
            .all(|v| v.is_finite())
            .then(|| (turn, Point::new(x, y)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Progress, ReadOptions, read};
    use crate::samples;

    /// Parts side by side; each is a list of contours.
    fn sheet(parts: &[Vec<Contour>]) -> (Profile, Vec<Part>) {
        let mut list: Vec<Part> = Vec::new();
        for shapes in parts {
            let first = list
                .last()
                .map_or(0, |p| p.contours[p.contours.len() - 1] + 1);
            let mut bounds = Bounds::EMPTY;
            shapes
                .iter()
                .for_each(|s| bounds.include_bounds(&s.bounds()));
            list.push(Part {
                contours: (first..first + shapes.len()).collect(),
                open: Vec::new(),
                bounds,
            });
        }
        (Profile::of_shapes(parts.iter().flatten().cloned()), list)
    }

    fn groups(parts: &[Vec<Contour>]) -> Vec<SameParts> {
        let (profile, list) = sheet(parts);
        same_parts(&profile, &list, &|| false)
    }

    fn moved(shapes: &[Contour], by: impl Fn(Point) -> Point, mirrored: bool) -> Vec<Contour> {
        let one = |c: &Contour| {
            let bulge = if mirrored { -1.0 } else { 1.0 };
            let segments: Vec<Segment> = c
                .segments()
                .map(|s| Segment::new(by(s.a), by(s.b), bulge * s.bulge))
                .collect();
            Contour::from_segments(&segments).counter_clockwise()
        };
        shapes.iter().map(one).collect()
    }

    fn turned(degrees: f64) -> impl Fn(Point) -> Point {
        let place = Place::turned(degrees.to_radians());
        move |p| place.to(p) + Point::new(341.0, -87.5)
    }

    /// The same curves begun elsewhere and cut into unequal pieces.
    fn chopped(c: &Contour) -> Contour {
        let segments: Vec<Segment> = c.segments().collect();
        let n = segments.len();
        let pieces = (0..n).map(|k| (k + n / 3) % n).flat_map(|k| {
            let s = &segments[k];
            let l = s.length();
            let at = [0.0, 0.13, 0.2, 0.71, 1.0].map(|f| f * l);
            at.windows(2)
                .map(|w| s.part(w[0], w[1]))
                .collect::<Vec<_>>()
        });
        let pieces: Vec<Segment> = pieces.collect();
        Contour::from_segments(&pieces)
    }

    fn sample(name: &str) -> Vec<Contour> {
        let s = samples::ALL.iter().find(|s| s.name == name);
        let bytes = s.expect("the sample is there").bytes;
        let d = read(bytes, &ReadOptions::default(), &Progress::default());
        let contours = d.expect("it reads").profile.contours;
        contours.into_iter().map(|c| c.shape).collect()
    }

    #[test]
    fn copies_of_the_samples_are_known_however_they_lie_and_are_chopped() {
        for s in samples::ALL {
            let part = sample(s.name);
            for degrees in [0.0, 90.0, 180.0, 0.3, 17.0, 123.4] {
                let copy = moved(&part, turned(degrees), false);
                let found = groups(&[part.clone(), copy.clone()]);
                assert_eq!(found.len(), 1, "{} turned by {degrees}", s.name);
                assert_eq!(found[0].mirrored, 0, "{} turned by {degrees}", s.name);
                let rough: Vec<Contour> = copy.iter().map(chopped).collect();
                let found = groups(&[part.clone(), rough]);
                assert_eq!(found.len(), 1, "{} chopped, by {degrees}", s.name);
            }
            for degrees in [0.0, 90.0, 41.0] {
                let turn = turned(degrees);
                let over = |p: Point| turn(Point::new(p.x, -p.y));
                let found = groups(&[part.clone(), moved(&part, over, true)]);
                assert_eq!(found.len(), 1, "{} mirrored, by {degrees}", s.name);
            }
        }
    }

    #[test]
    fn chords_that_stray_by_a_micron_are_still_the_same() {
        let part = sample("latch-cam.dxf");
        let chords = |c: &Contour| {
            let list: Vec<(f64, f64)> = c.flattened(1e-3).iter().map(|p| (p.x, p.y)).collect();
            Contour::polygon(&list)
        };
        let copy = moved(&part, turned(64.0), false);
        assert_eq!(groups(&[part, copy.iter().map(chords).collect()]).len(), 1);
    }

    #[test]
    fn a_hole_moved_by_five_hundredths_makes_another_part() {
        let mut tried = 0;
        for s in samples::ALL {
            let part = sample(s.name);
            if part.len() < 2 {
                continue;
            }
            tried += 1;
            for degrees in [0.0, 33.0] {
                let mut copy = moved(&part, turned(degrees), false);
                let last = copy.len() - 1;
                copy[last] = copy[last].moved(Point::new(0.04, 0.03));
                assert!(
                    groups(&[part.clone(), copy]).is_empty(),
                    "{} turned by {degrees}",
                    s.name
                );
            }
        }
        assert!(tried >= 3, "samples with openings");
    }

    /// A plate without any symmetry but for its mirror image.
    fn plate(hole: (f64, f64)) -> Vec<Contour> {
        vec![
            Contour::polygon(&[
                (0.0, 0.0),
                (30.0, 0.0),
                (30.0, 12.0),
                (12.0, 20.0),
                (0.0, 20.0),
            ]),
            Contour::circle(Point::new(hole.0, hole.1), 3.0),
        ]
    }

    #[test]
    fn mirror_images_are_told_from_turned_copies() {
        let part = plate((7.0, 6.0));
        let over = |p: Point| Point::new(100.0 - p.x, p.y);
        let copies = [
            part.clone(),
            moved(&part, over, true),
            moved(&part, turned(211.0), false),
            plate((7.0, 6.05)),
        ];
        let found = groups(&copies);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].parts, [0, 1, 2]);
        assert_eq!(found[0].mirrored, 1);
        // A ring is its own mirror image.
        let ring = vec![
            Contour::circle(Point::ORIGIN, 10.0),
            Contour::circle(Point::ORIGIN, 4.0),
        ];
        let copy = moved(&ring, |p| Point::new(50.0 - p.x, p.y), true);
        assert_eq!(groups(&[ring, copy])[0].mirrored, 0);
    }

    #[test]
    fn a_wheel_of_sixty_teeth_is_turned_until_its_hole_fits() {
        let teeth: Vec<(f64, f64)> = (0..240)
            .map(|k| {
                let r = if k % 4 < 2 { 30.0 } else { 27.5 };
                let p = Point::at_angle(f64::from(k) * 1.5_f64.to_radians()) * r;
                (p.x, p.y)
            })
            .collect();
        let wheel = |at: Point| vec![Contour::polygon(&teeth), Contour::circle(at, 2.0)];
        let part = wheel(Point::new(15.0, 0.0));
        let copy = moved(&part, turned(71.0), false);
        assert_eq!(groups(&[part.clone(), copy]).len(), 1);
        // By a third of a tooth the hole fits nowhere.
        let other = wheel(Point::at_angle(2.0_f64.to_radians()) * 15.0);
        assert!(groups(&[part, other]).is_empty());
    }

    #[test]
    fn stopped_it_says_nothing() {
        let (profile, list) = sheet(&[plate((7.0, 6.0)), plate((7.0, 6.0))]);
        assert!(same_parts(&profile, &list, &|| true).is_empty());
    }
}
