//! Why a round wire leaves a place of a contour standing: a sharp corner, a drawn radius, or walls too near.

use crate::geometry::corners::{Corner, CornerKind, SHARP_RADIUS};
use crate::geometry::reach::Unreached;
use crate::geometry::walk::Walk;
use crate::geometry::{Contour, Segment};
use crate::profile::Role;
use crate::progress::look;
use std::f64::consts::PI;

/// A corner may stand a tenth deeper than straight sides make it: its sides may bend.
const BENT_SIDES: f64 = 1.1;
/// Walls face each other when their directions differ by less than 26° from opposite (cosine).
const FACING: f64 = -0.9;
/// Turns up to this have a depth of their own; beyond it the sides are as good as parallel, radians.
const LARGEST_TURN: f64 = 170.0 / 180.0 * PI;
/// A rounding that turns farther is taken to turn this far, radians: its depth grows without bound.
const LARGEST_ROUNDING: f64 = 150.0 / 180.0 * PI;
/// Most places of a span from which its width is measured.
const MOST_PROBES: usize = 48;

/// Why a place stays.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Cause {
    /// A sharp corner: every round wire leaves as much of it as its angle says.
    Sharp,
    /// A radius drawn smaller than the wire leaves, mm.
    Radius(f64),
    /// Walls nearer to each other than the wire needs; their distance where it could be measured, mm.
    Narrow(Option<f64>),
}

/// How deep a corner stands for each mm of the wire centre's distance: 1/cos(t/2) − 1.
///
/// `turn` is the angle t between its sides' directions, radians. A circle of radius r that touches both
/// sides has its centre r/cos(t/2) from the corner.
fn corner_depth(turn: f64) -> f64 {
    if turn < PI {
        1.0 / (turn / 2.0).cos() - 1.0
    } else {
        f64::INFINITY
    }
}

/// A contour with what the questions about its places need.
pub(super) struct DrawnShape<'a> {
    walk: Walk,
    /// By distance along.
    corners: &'a [Corner],
    /// 1 where left turns are towards the wire, −1 where right turns are.
    way: f64,
}

impl<'a> DrawnShape<'a> {
    pub(super) fn new(shape: &Contour, corners: &'a [Corner], role: Role) -> Self {
        Self {
            walk: Walk::new(shape),
            corners,
            way: if role == Role::Opening { 1.0 } else { -1.0 },
        }
    }

    /// Whether two spans share some of the contour.
    pub(super) fn overlap(&self, a: &Unreached, b: &Unreached) -> bool {
        let total = self.walk.length();
        [-total, 0.0, total]
            .iter()
            .any(|shift| a.from + shift < b.to && a.to + shift > b.from)
    }

    /// Corners within a span.
    fn corners_in(&self, span: &Unreached) -> impl Iterator<Item = &Corner> {
        let total = self.walk.length();
        [-total, 0.0, total].into_iter().flat_map(move |shift| {
            let from = self
                .corners
                .partition_point(|c| c.along + shift < span.from - 1e-6);
            self.corners[from..]
                .iter()
                .take_while(move |c| c.along + shift <= span.to + 1e-6)
        })
    }

    /// The largest turn towards the wire of a sharp corner within a span, radians; 0 without one.
    fn sharp_turn(&self, span: &Unreached) -> f64 {
        self.corners_in(span)
            .filter(|c| c.is_sharp())
            .map(|c| c.turn * self.way)
            .fold(0.0, f64::max)
    }

    /// How far a span turns towards the wire from end to end, radians in (−π, π].
    fn whole_turn(&self, span: &Unreached) -> f64 {
        let mut ends = None;
        for (_, s) in self.walk.parts(span.from, span.to) {
            let first = ends.map_or(s.start_direction(), |e: (_, _)| e.0);
            ends = Some((first, s.end_direction()));
        }
        ends.map_or(0.0, |(first, last)| first.turn_to(last) * self.way)
    }

    /// Smallest radius towards the wire within a span, mm, where it is smaller than `reach`.
    fn radius(&self, span: &Unreached, reach: f64) -> Option<f64> {
        let arcs = self
            .walk
            .parts(span.from, span.to)
            .filter(|(_, s)| s.curvature() * self.way > 0.0)
            .map(|(_, s)| s.radius());
        let fillets = self.corners_in(span).filter_map(|c| match c.kind {
            CornerKind::Fillet { radius } if c.turn * self.way > 0.0 => Some(radius),
            _ => None,
        });
        // A rounding of short lines has no arc; where there is one, it is what was drawn.
        let smallest = arcs.min_by(f64::total_cmp);
        let smallest = smallest.or_else(|| fillets.min_by(f64::total_cmp));
        smallest.filter(|r| *r < reach)
    }

    /// The radius that a place was drawn with, mm, where a corner or a rounding explains it.
    pub(super) fn drawn_radius(&self, span: &Unreached, cause: Cause) -> Option<f64> {
        match cause {
            // A rounding that small counts as a sharp corner, and yet has its radius.
            Cause::Sharp => Some(
                self.radius(span, SHARP_RADIUS * (1.0 + 1e-9))
                    .unwrap_or(0.0),
            ),
            Cause::Radius(r) => Some(r),
            Cause::Narrow(_) => None,
        }
    }

    /// Smallest distance across the void between walls of a span that face each other, mm, where it is
    /// smaller than `limit`. The two sides of one corner do not face each other.
    pub(super) fn width(&self, span: &Unreached, limit: f64) -> Option<f64> {
        let parts: Vec<(usize, Segment)> = self.walk.parts(span.from, span.to).collect();
        let n = self.walk.segments().len();
        let every = parts.len().div_ceil(MOST_PROBES).max(1);
        let mut smallest: Option<f64> = None;
        for (k, s) in parts.iter().step_by(every) {
            look();
            let length = s.length();
            for at in [0.25, 0.5, 0.75] {
                let p = s.point_at(at * length);
                let direction = s.direction_at(at * length);
                let into_void = direction.left() * self.way;
                for (j, other) in &parts {
                    let next_to_it = (k + 1) % n == *j || (j + 1) % n == *k;
                    if k == j || next_to_it {
                        continue;
                    }
                    let (q, along) = other.nearest(p);
                    let across = q - p;
                    let d = across.norm();
                    let faces = across.dot(into_void) >= -FACING * d
                        && direction.dot(other.direction_at(along)) <= FACING;
                    if d > 1e-6 && d < smallest.unwrap_or(limit) && faces {
                        smallest = Some(d);
                    }
                }
            }
        }
        smallest
    }

    /// Why a span stays when the wire's centre keeps `reach` mm from the contour.
    pub(super) fn cause(&self, span: &Unreached, reach: f64) -> Cause {
        let leaves = |turn: f64| BENT_SIDES * reach * corner_depth(turn);
        let sharp = self.sharp_turn(span);
        if sharp > 0.0 && span.depth <= leaves(sharp) {
            return Cause::Sharp;
        }
        let width = self.width(span, 2.0 * reach);
        if width.is_some() {
            return Cause::Narrow(width);
        }
        // Where the sides bend towards each other, what stands lies between the tangents at its ends.
        let turn = self.whole_turn(span);
        if sharp > 0.0 && (0.0..=LARGEST_TURN).contains(&turn) && span.depth <= leaves(turn) {
            return Cause::Sharp;
        }
        self.radius(span, reach)
            .map_or(Cause::Narrow(None), Cause::Radius)
    }

    /// How much deeper a span stands than its corner or radius makes it, mm; 0 or less where that explains it.
    pub(super) fn unexplained(&self, span: &Unreached, reach: f64) -> f64 {
        let leaves = |turn: f64| BENT_SIDES * reach * corner_depth(turn);
        let sharp = self.sharp_turn(span);
        if sharp > 0.0 && span.depth <= leaves(sharp) {
            return 0.0;
        }
        let turn = self.whole_turn(span);
        let bends = (0.0..=LARGEST_TURN).contains(&turn);
        if bends && span.depth <= leaves(turn) && self.width(span, 2.0 * reach).is_none() {
            return 0.0;
        }
        // A rounding of radius ρ stands (r − ρ)(1/cos(t/2) − 1) deep.
        let rounding = self.radius(span, reach).map_or(0.0, |r| {
            (reach - r) * corner_depth(turn.abs().min(LARGEST_ROUNDING))
        });
        span.depth - rounding
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn depths_of_corners_by_hand() {
        assert!((corner_depth(PI / 2.0) - (2.0_f64.sqrt() - 1.0)).abs() < 1e-12);
        // Sides at 60°: the centre lies two radii away.
        assert!((corner_depth(PI * 2.0 / 3.0) - 1.0).abs() < 1e-12);
        assert!(corner_depth(PI).is_infinite());
    }
}
