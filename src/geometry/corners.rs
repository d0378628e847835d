//! What a machinist would call a corner, and the radii of the rest.
//!
//! Works on lines and arcs; short chords of a drawn arc must have become that arc again before.

use super::contour::Contour;
use super::point::Point;
use super::walk::Walk;
use crate::progress::look;

/// Turns below this are no event at all, radians: noise of writing coordinates with few digits.
const SMALLEST_EVENT: f64 = 0.25_f64.to_radians();
/// Turns of a corner, together, radians: what turns less is a bend that a machinist does not count (judgement).
const SMALLEST_CORNER: f64 = 20.0_f64.to_radians();
/// Arcs up to this radius can be a corner's rounding, mm; larger ones are a contour of their own (judgement).
const LARGEST_CORNER_RADIUS: f64 = 0.5;
/// Events this near belong together, mm: chamfers and short lines that a drawing leaves at a corner (judgement), …
const CLUSTER_GAP: f64 = 0.03;
/// … or nearer than this share of the radius that they form so far.
const CLUSTER_GAP_IN_RADII: f64 = 0.35;
/// No cluster turns further than a little more than half a turn, radians: the narrow end of a slot is one corner, a small
/// hole is none.
const LARGEST_CLUSTER: f64 = 3.3;
/// A cluster rounder than this is a fillet, mm: below it no wire can tell the difference.
pub const SHARP_RADIUS: f64 = 0.005;

/// How a corner is made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CornerKind {
    /// Two curves meet at an angle.
    Sharp,
    /// Rounded with a small radius, mm.
    Fillet {
        /// mm.
        radius: f64,
    },
}

/// A corner or a small fillet of a contour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corner {
    /// Where, mm.
    pub at: Point,
    /// Distance of its middle along the contour from vertex 0, mm.
    pub along: f64,
    /// Length over which it turns, mm.
    pub length: f64,
    /// Angle turned, radians, left positive.
    pub turn: f64,
    /// How it is made.
    pub kind: CornerKind,
}

impl Corner {
    /// Whether it counts as a corner.
    pub fn is_sharp(&self) -> bool {
        self.kind == CornerKind::Sharp
    }
}

/// A tangent jump (`from` = `to`) or a tight arc.
#[derive(Clone, Copy)]
struct Event {
    from: f64,
    to: f64,
    turn: f64,
    segment: usize,
}

/// Corners and small fillets in the order of the contour.
pub fn corners(contour: &Contour) -> Vec<Corner> {
    let (events, walk) = events(contour);
    let total = walk.length();
    let n = events.len();
    if n == 0 {
        return Vec::new();
    }
    // Begin behind a gap, so that no cluster straddles the seam.
    let start = (0..n)
        .find(|&k| {
            let before = events[(k + n - 1) % n];
            let gap = events[k].from - before.to + if k == 0 { total } else { 0.0 };
            gap > CLUSTER_GAP || before.turn * events[k].turn < 0.0
        })
        .unwrap_or(0);
    let event = |k: usize| {
        let mut e = events[(start + k) % n];
        if start + k >= n {
            e.from += total;
            e.to += total;
        }
        e
    };
    let mut out = Vec::new();
    let mut k = 0;
    while k < n {
        look();
        let first = event(k);
        let (mut turn, mut to) = (first.turn, first.to);
        let mut next = k + 1;
        while next < n {
            let e = event(next);
            let gap = CLUSTER_GAP.max(CLUSTER_GAP_IN_RADII * (to - first.from) / turn.abs());
            let joins = e.from - to <= gap
                && e.turn * turn > 0.0
                && turn.abs() + e.turn.abs() < LARGEST_CLUSTER;
            if !joins {
                break;
            }
            turn += e.turn;
            to = e.to;
            next += 1;
        }
        if turn.abs() >= SMALLEST_CORNER {
            let length = to - first.from;
            let radius = length / turn.abs();
            let kind = if radius <= SHARP_RADIUS {
                CornerKind::Sharp
            } else {
                CornerKind::Fillet { radius }
            };
            let s = contour.segment(first.segment);
            let at = if next == k + 1 && length > 0.0 {
                s.point_at(s.length() / 2.0)
            } else if length > 0.0 {
                walk.point_at(first.from + length / 2.0)
            } else {
                s.a
            };
            out.push(Corner {
                at,
                along: (first.from + length / 2.0) % total,
                length,
                turn,
                kind,
            });
        }
        k = next;
    }
    out.sort_by(|a, b| a.along.total_cmp(&b.along));
    out
}

fn events(contour: &Contour) -> (Vec<Event>, Walk) {
    let n = contour.len();
    let mut out = Vec::new();
    let walk = Walk::new(contour);
    let mut along = 0.0;
    if n == 0 {
        return (out, walk);
    }
    let mut incoming = contour.segment(n - 1).end_direction();
    for i in 0..n {
        look();
        let s = contour.segment(i);
        let turn = incoming.turn_to(s.start_direction());
        if turn.abs() >= SMALLEST_EVENT {
            out.push(Event {
                from: along,
                to: along,
                turn,
                segment: i,
            });
        }
        let length = s.length();
        if !s.is_straight() && s.radius() <= LARGEST_CORNER_RADIUS {
            out.push(Event {
                from: along,
                to: along + length,
                turn: s.sweep(),
                segment: i,
            });
        }
        along += length;
        incoming = s.end_direction();
    }
    (out, walk)
}

/// Smallest radius of the contour that bends towards the wire, mm; 0 with a sharp corner that way.
///
/// `wire_inside` on a counter-clockwise contour: left turns are the ones the wire has to round.
/// `None` where nothing bends that way.
pub fn tightest_inside_radius(
    contour: &Contour,
    corners: &[Corner],
    wire_inside: bool,
) -> Option<f64> {
    let way = if wire_inside { 1.0 } else { -1.0 };
    let at_corners = corners
        .iter()
        .filter(|c| c.turn * way > 0.0)
        .map(|c| match c.kind {
            CornerKind::Sharp => 0.0,
            CornerKind::Fillet { radius } => radius,
        });
    let along_arcs = contour
        .segments()
        .filter(|s| s.curvature() * way > 0.0)
        // Bits of an arc shorter than a corner's turn are part of a corner or of a smooth curve.
        .map(|s| s.radius())
        .filter(|r| *r > LARGEST_CORNER_RADIUS);
    at_corners.chain(along_arcs).min_by(f64::total_cmp)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Vertex;
    use std::f64::consts::FRAC_PI_8;

    #[test]
    fn a_square_has_four_corners_a_rounded_one_none() {
        let square = Contour::polygon(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]);
        let found = corners(&square);
        assert_eq!(found.len(), 4);
        assert!(
            found
                .iter()
                .all(|c| c.is_sharp() && (c.turn.to_degrees() - 90.0).abs() < 1e-9)
        );
        assert_eq!(tightest_inside_radius(&square, &found, true), Some(0.0));
        assert_eq!(tightest_inside_radius(&square, &found, false), None);
        let q = FRAC_PI_8.tan();
        let v = |x, y, bulge| Vertex {
            at: Point::new(x, y),
            bulge,
        };
        let rounded = Contour::new(vec![
            v(0.1, 0.0, 0.0),
            v(9.9, 0.0, q),
            v(10.0, 0.1, 0.0),
            v(10.0, 9.9, q),
            v(9.9, 10.0, 0.0),
            v(0.1, 10.0, q),
            v(0.0, 9.9, 0.0),
            v(0.0, 0.1, q),
        ]);
        let found = corners(&rounded);
        assert_eq!(found.iter().filter(|c| c.is_sharp()).count(), 0);
        let tightest = tightest_inside_radius(&rounded, &found, true);
        assert!(
            tightest.is_some_and(|r| (r - 0.1).abs() < 1e-9),
            "{tightest:?}"
        );
    }

    #[test]
    fn a_chamfer_has_two_corners() {
        let c = Contour::polygon(&[
            (0.0, 0.0),
            (10.0, 0.0),
            (10.0, 9.0),
            (9.0, 10.0),
            (0.0, 10.0),
        ]);
        assert_eq!(corners(&c).iter().filter(|c| c.is_sharp()).count(), 5);
    }

    #[test]
    fn reversing_changes_the_sign_only() {
        let c = Contour::polygon(&[
            (0.0, 0.0),
            (10.0, 0.0),
            (10.0, 9.0),
            (4.0, 2.0),
            (0.0, 10.0),
        ]);
        let (a, b) = (corners(&c), corners(&c.reversed()));
        assert_eq!(a.len(), b.len());
        let sum = |v: &[Corner]| v.iter().map(|c| c.turn).sum::<f64>();
        assert!((sum(&a) + sum(&b)).abs() < 1e-9);
    }

    #[test]
    fn a_circle_has_none() {
        assert!(corners(&Contour::circle(Point::ORIGIN, 5.0)).is_empty());
        let c = Contour::circle(Point::ORIGIN, 5.0);
        assert_eq!(tightest_inside_radius(&c, &[], true), Some(5.0));
    }
}
