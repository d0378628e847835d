//! A smooth parametric curve becomes arcs that meet without a kink (biarcs).
//!
//! Two arcs that leave both ends along their tangents and meet with a common tangent replace a piece
//! of the curve; the piece is halved until the arcs lie within the tolerance. The choice of equal
//! tangent lengths is that of K. M. Bolton, "Biarc curves", Computer-Aided Design 7 (1975).

use super::point::Point;
use super::segment::Segment;

/// Farthest distance between a drawn curve and its arcs, mm: a tenth of a micrometre, a tenth of what
/// the finest machines resolve.
pub const TOLERANCE: f64 = 1e-4;

/// The tolerance for a curve of a size, mm: [`TOLERANCE`], but no finer than a billionth of the size,
/// so that a curve of absurd size does not become absurdly many arcs.
pub fn tolerance_for(size: f64) -> f64 {
    TOLERANCE.max(1e-9 * size)
}

/// Halvings of a piece before it is taken as a straight line. The distance falls with the cube of the
/// piece, so these gain twelve digits; what needs more is no smooth curve, and would never end.
const DEEPEST: u32 = 14;
/// Points of a piece that are compared with its arcs: the distance of a smooth curve from a biarc has few bends, so
/// that little can hide between them (judgement).
const SAMPLES: u32 = 16;
/// Those in the middles of the two arcs are compared first: there the curve is furthest off, if it is.
const MIDDLES: [u32; 2] = [SAMPLES / 4, 3 * SAMPLES / 4];
/// The derivative vanishes at an end where it leads no further than this share of the way to the middle.
const STANDS_STILL: f64 = 1e-9;
/// There the direction is that to a point this share of the way in: near enough for the tangent, far enough for digits.
const NEARBY: f64 = 1e-4;
/// Twice 1 − cos of the angle between two directions that are one: 1e-7 rad, where the root below would lose all digits.
const ONE_DIRECTION: f64 = 1e-14;
/// Then a way across both, not along them, allows no two arcs.
const ACROSS: f64 = 1e-15;

/// Position and derivative at a parameter.
pub type Sample = (Point, Point);

/// Lines and arcs within `tolerance` mm of the curve `f` from parameter `from` to `to`, meeting at
/// equal tangents. The first starts exactly at `f(from)` and the last ends exactly at `f(to)`.
///
/// The curve must have a continuous tangent in between; cut it at its kinks before.
pub fn arcs(f: &impl Fn(f64) -> Sample, from: f64, to: f64, tolerance: f64) -> Vec<Segment> {
    let mut out = Vec::new();
    let start = End::at(f, from, to - from);
    let end = End::at(f, to, from - to);
    fit(f, &start, &end, tolerance, DEEPEST, &mut out);
    out
}

/// One end of a piece: parameter, position, unit direction of travel.
#[derive(Clone, Copy)]
struct End {
    t: f64,
    at: Point,
    direction: Point,
}

impl End {
    /// `inward` is the parameter step that leads into the piece; it decides where the derivative
    /// vanishes, as it does at an end with coinciding control points.
    fn at(f: &impl Fn(f64) -> Sample, t: f64, inward: f64) -> Self {
        let (at, d) = f(t);
        let mut direction = d.unit();
        let reach = (f(t + inward).0 - at).norm();
        if d.norm() * inward.abs() <= STANDS_STILL * reach {
            let near = f(t + inward * NEARBY).0;
            direction = ((near - at) * inward.signum()).unit();
        }
        Self { t, at, direction }
    }
}

fn fit(
    f: &impl Fn(f64) -> Sample,
    start: &End,
    end: &End,
    tolerance: f64,
    depth: u32,
    out: &mut Vec<Segment>,
) {
    if let Some(pair) = biarc(start, end)
        && is_near(f, start, end, &pair, tolerance)
    {
        out.extend(pair);
        return;
    }
    // Pieces below the tolerance are points for all purposes.
    let is_point = start.at.distance(end.at) <= tolerance
        && f(0.5 * (start.t + end.t)).0.distance(start.at) <= tolerance;
    if depth == 0 || is_point {
        out.push(Segment::line(start.at, end.at));
        return;
    }
    let t = 0.5 * (start.t + end.t);
    let middle = End::at(f, t, end.t - t);
    fit(f, start, &middle, tolerance, depth - 1, out);
    fit(f, &middle, end, tolerance, depth - 1, out);
}

/// Whether samples of the curve lie within the tolerance of the arcs.
///
/// Distances are taken from the circle that stands on the sample's side of the joint; no angle is
/// needed, and this is where most of the time goes.
fn is_near(
    f: &impl Fn(f64) -> Sample,
    start: &End,
    end: &End,
    pair: &[Segment; 2],
    tolerance: f64,
) -> bool {
    let circles = pair.map(|s| (s, s.centre(), s.radius()));
    let joint = pair[0].b;
    let across = pair[0].directions().1;
    let others = (1..SAMPLES).filter(|k| !MIDDLES.contains(k));
    MIDDLES.into_iter().chain(others).all(|k| {
        let t = start.t + (end.t - start.t) * f64::from(k) / f64::from(SAMPLES);
        let p = f(t).0;
        let (segment, centre, radius) = &circles[usize::from((p - joint).dot(across) > 0.0)];
        let distance = match centre {
            Some(centre) => (p.distance(*centre) - radius).abs(),
            None => (segment.b - segment.a).unit().cross(p - segment.a).abs(),
        };
        distance <= tolerance
    })
}

/// The two arcs of equal tangent lengths between two ends; `None` where they would turn more than
/// half a turn or do not exist.
fn biarc(start: &End, end: &End) -> Option<[Segment; 2]> {
    let v = end.at - start.at;
    let sum = start.direction + end.direction;
    let spread = 2.0 * (1.0 - start.direction.dot(end.direction));
    let along = v.dot(sum);
    let d = if spread < ONE_DIRECTION {
        if along.abs() < ACROSS {
            return None;
        }
        v.dot(v) / (2.0 * along)
    } else {
        (-along + (along * along + spread * v.dot(v)).sqrt()) / spread
    };
    if d.is_nan() || d <= 0.0 {
        return None;
    }
    let joint = (start.at + start.direction * d).lerp(end.at - end.direction * d, 0.5);
    let first = bulge_leaving(start.at, joint, start.direction);
    let second = -bulge_leaving(end.at, joint, -end.direction);
    let usable = |b: f64| b.is_finite() && b.abs() <= 1.0;
    (usable(first) && usable(second)).then(|| {
        [
            Segment::new(start.at, joint, first),
            Segment::new(joint, end.at, second),
        ]
    })
}

/// Bulge of the arc from `a` to `b` that leaves `a` in a unit direction: the tangent of half the angle from it to the chord,
/// sin ÷ (1 + cos).
fn bulge_leaving(a: Point, b: Point, direction: Point) -> f64 {
    let chord = b - a;
    direction.cross(chord) / (chord.norm() + direction.dot(chord))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{PI, TAU};

    #[test]
    fn a_quarter_circle_stays_one() {
        let f = |t: f64| (Point::at_angle(t) * 10.0, Point::at_angle(t).left() * 10.0);
        let arcs = arcs(&f, 0.0, PI / 2.0, TOLERANCE);
        assert_eq!(arcs.len(), 2);
        assert!(arcs.iter().all(|s| (s.radius() - 10.0).abs() < 1e-9));
    }

    #[test]
    fn arcs_follow_a_wave_and_meet_smoothly() {
        let f = |t: f64| (Point::new(t, 5.0 * t.sin()), Point::new(1.0, 5.0 * t.cos()));
        let arcs = arcs(&f, 0.0, TAU, TOLERANCE);
        for pair in arcs.windows(2) {
            assert_eq!(pair[0].b, pair[1].a);
            assert!(
                pair[0]
                    .end_direction()
                    .turn_to(pair[1].start_direction())
                    .abs()
                    < 1e-6
            );
        }
        for k in 0..=1000 {
            let p = f(TAU * f64::from(k) / 1000.0).0;
            let d = arcs
                .iter()
                .map(|s| s.nearest_point(p).distance(p))
                .fold(f64::INFINITY, f64::min);
            // Sixteen samples a piece find the largest deviation but for a few per cent.
            assert!(d <= 1.1 * TOLERANCE, "{d}");
        }
    }
}
