//! How one drawing is laid over another so that most of their lines fall on each other.
//!
//! What both may have in common says how: contours as large as each other, arcs of one radius, corners of one angle,
//! long edges. Pairs of such marks give angles, for each angle the marks vote for a shift, and the motions with most
//! votes are refined by least squares on the lines that meet, so that what was changed does not pull. The one
//! under which most of both drawings lies on the other holds; where several do equally, the one that moves least.

use super::Profile;
use super::same::{Fit, Loop, SAME, middle, samples};
use crate::geometry::boxes::Boxes;
use crate::geometry::{Bounds, Contour, Motion, Point, Segment};
use crate::progress::{Cancelled, Progress};
use std::collections::HashMap;
use std::f64::consts::FRAC_PI_2;

/// Marks of a drawing that are looked at, the weightiest first.
const MOST_MARKS: usize = 300;
/// Marks that occur least often, of which pairs give angles.
const RARE: usize = 9;
/// Counterparts of a mark that are tried.
const COUNTERPARTS: usize = 10;
/// Directions of long edges that give angles.
const DIRECTIONS: usize = 8;
/// Angles for which the marks vote, those found most often first.
const ANGLES: usize = 48;
/// Motions that are refined, and those that are looked at in full.
const REFINED: usize = 24;
/// Angles nearer than this are one, radians: a twentieth of a millimetre at a quarter of a metre.
const ONE_ANGLE: f64 = 2e-4;
/// Points of a drawing for a quick look, for the least squares, and for the last word.
const QUICK: usize = 150;
const FITTED: usize = 600;
const JUDGED: usize = 1500;
/// A corner turns by at least this, radians.
const CORNER: f64 = 0.1;
/// How far points may be off the line in each step of refining, mm; the last ones again and again.
const REACH: [f64; 9] = [1.0, 0.3, 0.1, 0.03, 0.01, 2e-3, 2e-4, 2e-5, 2e-6];
/// A step that would keep fewer than this share of the points of the step before is not taken: the lines agree no better.
const KEPT: f64 = 0.6;
/// Two motions are as good as each other within this share of the lines.
const AS_GOOD: f64 = 2e-3;

/// The lines of some contours, to look up what lies near a point.
pub(super) struct Lines {
    segments: Vec<Segment>,
    /// Contour of each segment.
    owners: Vec<usize>,
    boxes: Boxes,
    /// Box around all.
    pub(super) bounds: Bounds,
    length: f64,
}

impl Lines {
    /// Of contours or open curves with their numbers.
    pub(super) fn of<S: IntoIterator<Item = Segment>>(
        curves: impl IntoIterator<Item = (usize, S)>,
    ) -> Self {
        let (mut segments, mut owners, mut length) = (Vec::new(), Vec::new(), 0.0);
        for (owner, curve) in curves {
            for s in curve {
                length += s.length();
                segments.push(s);
                owners.push(owner);
            }
        }
        let mut bounds = Bounds::EMPTY;
        segments
            .iter()
            .for_each(|s| bounds.include_bounds(&s.bounds()));
        Self {
            boxes: Boxes::of(segments.iter().map(Segment::bounds)),
            segments,
            owners,
            bounds,
            length,
        }
    }
    fn around(&self, at: Point, reach: f64) -> Vec<usize> {
        let b = Bounds { min: at, max: at };
        self.boxes.meeting(&b.grown(reach))
    }
    /// The nearest point of the lines and the direction across them there; none beyond a reach.
    fn nearest(&self, at: Point, reach: f64) -> Option<(Point, Point)> {
        let (mut best, mut found) = (reach, None);
        for k in self.around(at, reach) {
            let (on, along) = self.segments[k].nearest(at);
            let d = on.distance(at);
            if d <= best {
                (best, found) = (d, Some((on, self.segments[k].direction_at(along).left())));
            }
        }
        found
    }
    /// Contours whose line passes within [`SAME`] of a point, each once.
    pub(super) fn owners_at(&self, at: Point) -> Vec<usize> {
        let mut out = Vec::new();
        for k in self.around(at, SAME) {
            let owner = self.owners[k];
            if !out.contains(&owner) && self.segments[k].nearest_point(at).distance(at) <= SAME {
                out.push(owner);
            }
        }
        out
    }
    /// Points at about equal distances along all lines, about as many as asked for.
    fn points(&self, count: usize) -> Vec<Point> {
        let step = self.length / count as f64;
        let mut out = Vec::with_capacity(count);
        let (mut before, mut next) = (0.0, 0.5 * step);
        for s in &self.segments {
            let l = s.length();
            while next < before + l && step > 0.0 {
                out.push(s.point_at(next - before));
                next += step;
            }
            before += l;
        }
        out
    }
    /// The share of some points, moved, that lie on the lines within a tolerance.
    fn share_on(&self, points: &[Point], motion: &Motion, tolerance: f64) -> f64 {
        let on = |p: &&Point| self.nearest(motion.point(**p), tolerance).is_some();
        points.iter().filter(on).count() as f64 / points.len().max(1) as f64
    }
}

/// Something that both drawings may have.
#[derive(Clone, Copy)]
struct Mark {
    kind: Kind,
    /// Length of the contour, signed radius or turn: what has to agree.
    value: f64,
    at: Point,
    weight: f64,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Contour,
    Arc,
    Corner,
}

impl Mark {
    fn is_like(&self, other: &Self) -> bool {
        let slack = match self.kind {
            Kind::Contour => 2e-3 * self.value.abs() + 0.02,
            Kind::Arc => 1e-3 * self.value.abs() + 2e-3,
            Kind::Corner => 2e-3,
        };
        self.kind == other.kind && (self.value - other.value).abs() <= slack
    }
}

/// A drawing as it is looked at.
struct Seen {
    shapes: Vec<Contour>,
    middles: Vec<Point>,
    lines: Lines,
    marks: Vec<Mark>,
    /// Directions of its edges, the longest in all first.
    directions: Vec<f64>,
}

/// Middle of a line, which does not depend on how its curves are chopped.
pub(super) fn middle_of(line: impl IntoIterator<Item = Segment>) -> Point {
    let (mut moment, mut length, mut first) = (Point::ORIGIN, 0.0, None);
    for s in line {
        let l = s.length();
        moment = moment + middle(&s) * l;
        length += l;
        first = first.or(Some(s.a));
    }
    if length > 0.0 {
        moment * (1.0 / length)
    } else {
        first.unwrap_or(Point::ORIGIN)
    }
}

impl Seen {
    fn of(shapes: Vec<Contour>) -> Self {
        let lines = Lines::of(shapes.iter().map(Contour::segments).enumerate());
        let middles: Vec<Point> = shapes.iter().map(|c| middle_of(c.segments())).collect();
        let mut marks = Vec::new();
        let mut edges: Vec<(f64, f64)> = Vec::new();
        let whole = lines.bounds.diagonal().max(f64::MIN_POSITIVE);
        for (c, at) in shapes.iter().zip(&middles) {
            marks.push(Mark {
                kind: Kind::Contour,
                value: c.length(),
                at: *at,
                weight: 4.0,
            });
            let segments: Vec<Segment> = c.segments().collect();
            for (k, s) in segments.iter().enumerate() {
                let weight = s.length() / whole;
                if let Some(centre) = s.centre() {
                    let value = s.radius() * s.bulge.signum();
                    // A centre far away says little and costs digits.
                    if s.radius() < 2.0 * whole {
                        marks.push(Mark {
                            kind: Kind::Arc,
                            value,
                            at: centre,
                            weight: 0.5 + weight,
                        });
                    }
                } else if s.chord() > 0.0 {
                    edges.push(((s.b - s.a).angle(), s.chord()));
                }
                let next = &segments[(k + 1) % segments.len()];
                let turn = s.end_direction().turn_to(next.start_direction());
                if turn.abs() > CORNER {
                    marks.push(Mark {
                        kind: Kind::Corner,
                        value: turn,
                        at: s.b,
                        weight: 0.2 + weight.min(next.length() / whole),
                    });
                }
            }
        }
        marks.sort_by(|a, b| b.weight.total_cmp(&a.weight));
        marks.truncate(MOST_MARKS);
        Self {
            directions: longest_directions(edges),
            shapes,
            middles,
            lines,
            marks,
        }
    }
    fn turned_over(&self) -> Self {
        let over = Motion {
            mirrored: true,
            ..Motion::NONE
        };
        Self::of(self.shapes.iter().map(|c| over.contour(c)).collect())
    }
}

/// Directions by the length of the edges that point there; of each the longest edge's own.
fn longest_directions(mut edges: Vec<(f64, f64)>) -> Vec<f64> {
    const ONE_DIRECTION: f64 = 2e-3;
    edges.sort_by(|a, b| b.1.total_cmp(&a.1));
    let mut bins: HashMap<i64, (f64, f64)> = HashMap::new();
    for (angle, length) in edges {
        let bin = (angle / ONE_DIRECTION).round() as i64;
        bins.entry(bin).or_insert((angle, 0.0)).1 += length;
    }
    let mut all: Vec<(f64, f64)> = bins.into_values().collect();
    all.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.total_cmp(&b.0)));
    all.truncate(DIRECTIONS);
    all.into_iter().map(|d| d.0).collect()
}

/// Angles by how often they were found.
#[derive(Default)]
struct Angles(HashMap<i64, (f64, f64)>);

impl Angles {
    fn add(&mut self, angle: f64, weight: f64) {
        let full = std::f64::consts::TAU;
        let bin = (angle.rem_euclid(full) / ONE_ANGLE).round() as i64;
        self.0.entry(bin).or_insert((angle, 0.0)).1 += weight;
    }
    fn best(self) -> Vec<f64> {
        let mut all: Vec<(i64, (f64, f64))> = self.0.into_iter().collect();
        all.sort_by(|a, b| b.1.1.total_cmp(&a.1.1).then(a.0.cmp(&b.0)));
        all.into_iter().take(ANGLES).map(|a| a.1.0).collect()
    }
}

/// Angles under which marks and edges of one may lie on those of the other.
fn angles(a: &Seen, b: &Seen) -> Vec<f64> {
    let mut found = Angles::default();
    for quarter in 0..4 {
        found.add(FRAC_PI_2 * f64::from(quarter), 1e6);
    }
    for (i, from) in a.directions.iter().enumerate() {
        for (k, to) in b.directions.iter().enumerate() {
            found.add(to - from, 3.0 / (1.0 + i as f64 + k as f64));
        }
    }
    // The marks that are least often there leave the fewest to try.
    let alike = |m: &Mark| b.marks.iter().filter(|n| m.is_like(n)).count();
    let mut rare: Vec<(usize, Mark)> = a.marks.iter().map(|m| (alike(m), *m)).collect();
    rare.retain(|m| m.0 > 0);
    rare.sort_by(|x, y| x.0.cmp(&y.0).then(y.1.weight.total_cmp(&x.1.weight)));
    rare.truncate(RARE);
    let near = 0.02 * a.lines.bounds.diagonal();
    for (i, (_, m)) in rare.iter().enumerate() {
        for (_, n) in &rare[i + 1..] {
            let d = n.at - m.at;
            if d.norm() < near {
                continue;
            }
            let counterparts = |of: Mark| {
                let all = b.marks.iter().filter(move |x| of.is_like(x));
                all.take(COUNTERPARTS)
            };
            for p in counterparts(*m) {
                for q in counterparts(*n) {
                    let e = q.at - p.at;
                    if (e.norm() - d.norm()).abs() < 0.02 + 1e-4 * d.norm() {
                        found.add(e.angle() - d.angle(), 1.0);
                    }
                }
            }
        }
    }
    found.best()
}

/// Shifts for which the marks of one, turned, vote.
fn shifts(a: &Seen, b: &Seen, turn: f64) -> Vec<Point> {
    /// Two votes are for the same shift within this, mm.
    const CELL: f64 = 0.05;
    const BEST: usize = 2;
    let turned = Motion {
        turn,
        ..Motion::NONE
    };
    let mut votes: HashMap<(i64, i64), (f64, Point)> = HashMap::new();
    for m in &a.marks {
        let at = turned.point(m.at);
        for n in b.marks.iter().filter(|n| m.is_like(n)) {
            let d = n.at - at;
            let cell = ((d.x / CELL).round() as i64, (d.y / CELL).round() as i64);
            votes.entry(cell).or_insert((0.0, d)).0 += m.weight.min(n.weight);
        }
    }
    let mut all: Vec<_> = votes.into_iter().collect();
    all.sort_by(|x, y| y.1.0.total_cmp(&x.1.0).then(x.0.cmp(&y.0)));
    let mut out: Vec<Point> = all.into_iter().take(BEST).map(|v| v.1.1).collect();
    // Where nothing at all is alike, the boxes on each other.
    let mut bounds = Bounds::EMPTY;
    for p in a.lines.points(QUICK) {
        bounds.include(turned.point(p));
    }
    if !bounds.is_empty() && !b.lines.bounds.is_empty() {
        out.push(b.lines.bounds.centre() - bounds.centre());
    }
    out
}

/// Motions that lay a contour on one as large, by the distances from its middle.
fn by_single_contours(a: &Seen, b: &Seen) -> Vec<Motion> {
    const LOOKED_AT: usize = 6;
    const TURNS: usize = 6;
    let about_own = |s: &Seen, k: usize| Loop::of(s.shapes[k].moved(-s.middles[k]));
    let size = |c: &Contour| (c.length(), c.area());
    let sizes: Vec<(f64, f64)> = b.shapes.iter().map(size).collect();
    let mut rare: Vec<(Vec<usize>, usize)> = Vec::new();
    for (k, c) in a.shapes.iter().enumerate() {
        if c.as_circle().is_some() {
            continue;
        }
        let (length, area) = size(c);
        let like = |s: &(f64, f64)| {
            (s.0 - length).abs() < 0.02 + 2e-3 * length && (s.1 - area).abs() < 0.01 * length
        };
        let alike: Vec<usize> = (0..sizes.len()).filter(|j| like(&sizes[*j])).collect();
        if !alike.is_empty() {
            rare.push((alike, k));
        }
    }
    rare.sort_by(|x, y| x.0.len().cmp(&y.0.len()).then(x.1.cmp(&y.1)));
    let mut out = Vec::new();
    for (alike, k) in rare.into_iter().take(LOOKED_AT) {
        let own = about_own(a, k);
        for j in alike.into_iter().take(LOOKED_AT) {
            let other = about_own(b, j);
            let mut found = own.shifts(&other);
            found.sort_by(|x, y| x.1.total_cmp(&y.1));
            for (shift, _) in found.into_iter().take(TURNS) {
                let turned = Motion {
                    turn: own.turn(&other, shift),
                    ..Motion::NONE
                };
                out.push(Motion {
                    shift: b.middles[j] - turned.point(a.middles[k]),
                    ..turned
                });
            }
        }
    }
    out
}

/// The motion with the lines that meet laid on each other as well as can be.
fn refined(points: &[Point], lines: &Lines, start: Motion, reach: f64) -> Motion {
    let mut best = start;
    let radius = points.iter().fold(1e-6_f64, |r, p| r.max(p.norm()));
    let mut kept = 0;
    for step in [3.0 * reach, reach].into_iter().chain(REACH) {
        if step > 3.0 * reach {
            continue;
        }
        // Twice each: the first step shows what the second one meets.
        for _ in 0..2 {
            let (mut fit, mut met) = (Fit::default(), 0);
            for p in points {
                let at = best.point(*p);
                if let Some((on, normal)) = lines.nearest(at, step) {
                    fit.add(at, on, normal);
                    met += 1;
                }
            }
            if met < 4 || f64::from(met) < KEPT * f64::from(kept) && step < SAME {
                return best;
            }
            kept = met;
            let Some((turn, shift)) = fit.solved(radius) else {
                return best;
            };
            best = best.then(turn, shift);
        }
    }
    best
}

/// The motion that lays the most of one profile's lines on the other's: from coordinates about the origin of `before`
/// to those about the origin of `after`. Only contours that are cut count.
///
/// `None` where either has no contour that is cut.
///
/// # Errors
/// It was cancelled.
pub fn best_motion(
    (before, cut_before): (&Profile, &[bool]),
    (after, cut_after): (&Profile, &[bool]),
    progress: &Progress,
) -> Result<Option<Motion>, Cancelled> {
    /// Shares of the work: looking for motions, and refining the best of them.
    const LOOKING: f64 = 0.4;
    let shapes = |p: &Profile, cut: &[bool]| -> Vec<Contour> {
        let all = p.contours.iter().zip(cut).filter(|c| *c.1);
        all.map(|c| c.0.shape.clone()).collect()
    };
    let a = Seen::of(shapes(before, cut_before));
    let b = Seen::of(shapes(after, cut_after));
    if a.shapes.is_empty() || b.shapes.is_empty() {
        return Ok(None);
    }
    let as_drawn = Motion {
        shift: before.origin.place() - after.origin,
        ..Motion::NONE
    };
    let whole = a.lines.bounds.diagonal().max(b.lines.bounds.diagonal());
    let coarse = (2e-3 * whole).max(0.05);
    let quick = a.lines.points(QUICK);
    let over = a.turned_over();
    let mut tried: Vec<(f64, Motion)> = Vec::new();
    for (half, (mirrored, seen)) in [(false, &a), (true, &over)].into_iter().enumerate() {
        progress.check()?;
        let turns = angles(seen, &b);
        let count = turns.len().max(1) as f64;
        let voted = turns.into_iter().enumerate().flat_map(|(k, turn)| {
            let far = 0.5 * (half as f64 + k as f64 / count);
            let shifts = shifts(seen, &b, turn).into_iter();
            shifts.map(move |shift| {
                let motion = Motion {
                    mirrored: false,
                    turn,
                    shift,
                };
                (far, motion)
            })
        });
        let single = by_single_contours(seen, &b).into_iter();
        let single = single.map(|motion| (0.5 * (half + 1) as f64, motion));
        for (far, motion) in voted.chain(single) {
            progress.step(LOOKING * far)?;
            let motion = Motion { mirrored, ..motion };
            tried.push((b.lines.share_on(&quick, &motion, coarse), motion));
        }
    }
    tried.sort_by(|x, y| y.0.total_cmp(&x.0));
    tried.truncate(REFINED);
    let (fitted, own, theirs) = (
        a.lines.points(FITTED),
        a.lines.points(JUDGED),
        b.lines.points(JUDGED),
    );
    let mut best: Option<(f64, Motion)> = None;
    let laid = tried.into_iter();
    let laid = laid.map(|(_, start)| refined(&fitted, &b.lines, start, 3.0 * coarse));
    let count = (laid.len() + 1) as f64;
    for (k, motion) in std::iter::once(as_drawn).chain(laid).enumerate() {
        progress.step(LOOKING + (1.0 - LOOKING) * k as f64 / count)?;
        let there = b.lines.share_on(&own, &motion, SAME);
        let score = 0.5 * (there + a.lines.share_on(&theirs, &motion.back(), SAME));
        let is_better = |(s, m): &(f64, Motion)| {
            let less = effort(&motion, &as_drawn) < effort(m, &as_drawn);
            score > s + AS_GOOD || (score > s - AS_GOOD && less)
        };
        if best.as_ref().is_none_or(is_better) {
            best = Some((score, motion));
        }
    }
    Ok(best.map(|b| b.1))
}

/// How much a motion does beyond leaving the drawing where it was drawn: turned over, turned, shifted.
fn effort(m: &Motion, as_drawn: &Motion) -> (bool, i64, i64) {
    let shift = (m.shift - as_drawn.shift).norm();
    let tenths = |v: f64| (v * 10.0).round() as i64;
    (m.mirrored, tenths(m.degrees().abs()), tenths(shift * 10.0))
}

/// Points of a line at which it is held against another: both ends and the middle of every segment, and no further
/// apart than a share of its length.
pub(super) fn looked_at(line: &[Segment]) -> Vec<Point> {
    const POINTS: f64 = 96.0;
    let length: f64 = line.iter().map(Segment::length).sum();
    samples(line, length / POINTS).collect()
}
