//! The parallel curve without search, where it can be proved right.
//!
//! Every segment is moved sideways. Neighbours that move apart are joined by an arc; where they run into
//! each other they are cut at their common point X, and what is used up between two of them is left out. In
//! most contours that is the answer, and these conditions together prove it:
//!
//! 1. the contour S meets itself nowhere, nor does the chain P that was made, and both run
//!    counter-clockwise;
//! 2. what was cut off at X is a stretch C of S no shorter than d from X and no longer than π·d, and with
//!    the two radii from X to its ends it goes around a region that lies on the wire's side of S. (Two
//!    straight neighbours keep to this by themselves, but for the length, which they do not need.)
//!
//! Why: let every point of S that was kept sweep its normal of length d. The swept strips, the sectors at
//! corners and the regions at cuts all lie on one side, and their boundaries together are S and P; all else
//! cancels. So the number of them over a place is the difference between how often S and P wind around it,
//! by 1 either 0 or 1. A point of P nearer than d to S would lie inside one of them and so have two on one
//! side. A place at least d from S that P leaves out would lie in exactly one, and it can be no strip, which
//! reaches no farther than d; seen from it the two radii of a cut span less than a half turn, so C would
//! span more than one at a distance of at least d and be longer than π·d.

mod side;

use super::vote::within_bounds;
use crate::geometry::contour::{Contour, Vertex};
use crate::geometry::simple::is_simple;
use crate::progress::look;
use side::{DirectedSegment, Joint, Meeting, moved_chord};
use std::f64::consts::PI;

/// Least share of a segment that is left between its two cuts.
const LEAST_LEFT: f64 = 1e-6;
/// Rounding of a distance, mm.
const ROUNDING: f64 = 1e-9;

/// The parallel curve of a counter-clockwise contour (positive distance inside, mm), where proved right.
pub(super) fn direct(source: &Contour, distance: f64) -> Option<Contour> {
    if source.len() < 3 {
        return None;
    }
    let kept = kept_sides(source, distance)?;
    let found = chain(source, distance, &kept)?;
    let (whole, around) = source.signed_area_and_length();
    let (area, length) = found.signed_area_and_length();
    let proved = area > 0.0
        && within_bounds(whole, around, distance, area, length)
        && is_simple(&found)
        && is_simple(source);
    proved.then_some(found)
}

/// A segment of which something is left, and its joint with the one kept before it.
struct Kept {
    segment: usize,
    before: Joint,
}

/// What is left, once around; the first one's joint is that with the last.
fn kept_sides(source: &Contour, distance: f64) -> Option<Vec<Kept>> {
    let n = source.len();
    let side = |i: usize| DirectedSegment::of(source.segment(i), distance);
    // Begin with what is least likely to be used up.
    let longest = (0..n)
        .map(|i| (i, moved_chord(&source.segment(i), distance)))
        .max_by(|a, b| a.1.total_cmp(&b.1))?
        .0;
    let first = side(longest)?;
    let mut kept = vec![Kept {
        segment: longest,
        before: Joint::NONE,
    }];
    kept.reserve(n);
    let mut last = first;
    for k in 1..=n {
        if k % 256 == 1 {
            look();
        }
        let i = (longest + k) % n;
        let closing = k == n;
        let Some(next) = side(i) else {
            continue;
        };
        loop {
            let top = kept.last()?;
            let neighbours = (top.segment + 1) % n == i;
            let meeting = Joint::between(&last, &next, distance, neighbours);
            let second_goes = match meeting {
                Meeting::At(joint) if has_left(&last, top.before.cut.1 + joint.cut.0) => {
                    if closing {
                        kept[0].before = joint;
                    } else {
                        kept.push(Kept {
                            segment: i,
                            before: joint,
                        });
                        last = next;
                    }
                    break;
                }
                Meeting::At(_) | Meeting::FirstUsedUp => false,
                Meeting::SecondUsedUp => true,
                Meeting::Nowhere => next.moved_length(distance) <= last.moved_length(distance),
            };
            if second_goes && !closing {
                break;
            }
            // The last one is used up; the first one must not be.
            kept.pop();
            last = side(kept.last()?.segment)?;
        }
    }
    let end_cut = kept.get(1).map_or(0.0, |k| k.before.cut.0);
    if kept.len() < 2 || !has_left(&first, kept[0].before.cut.1 + end_cut) {
        return None;
    }
    // In the contour's own order, so that it does not matter which segment is the longest.
    let lowest = kept.iter().position(|k| k.segment < longest).unwrap_or(0);
    kept.rotate_left(lowest);
    Some(kept)
}

fn has_left(side: &DirectedSegment, cut: f64) -> bool {
    cut < side.length * (1.0 - LEAST_LEFT)
}

/// The moved segments between their joints; `None` where a cut does not keep to its conditions.
fn chain(source: &Contour, distance: f64, kept: &[Kept]) -> Option<Contour> {
    let mut out: Vec<Vertex> = Vec::with_capacity(kept.len() + kept.len() / 2 + 8);
    for (k, this) in kept.iter().enumerate() {
        if k % 256 == 1 {
            look();
        }
        let next = &kept[(k + 1) % kept.len()];
        let (before, after) = (&this.before, &next.before);
        let s = source.segment(this.segment);
        let cut = before.cut.1 + after.cut.0;
        let bulge = match (s.is_straight(), cut == 0.0) {
            (true, _) => 0.0,
            (false, true) => s.bulge,
            (false, false) => (s.sweep() * (1.0 - cut / s.length()) / 4.0).tan(),
        };
        out.push(Vertex {
            at: before.start,
            bulge,
        });
        if after.arc != 0.0 {
            out.push(Vertex {
                at: after.end,
                bulge: after.arc,
            });
        }
        if after.bends && !cut_is_sound(source, distance, this.segment, next.segment, after) {
            return None;
        }
    }
    Some(Contour::new(out))
}

/// The second condition, for the cut between two segments.
fn cut_is_sound(source: &Contour, distance: f64, from: usize, to: usize, joint: &Joint) -> bool {
    let n = source.len();
    let (x, reach) = (joint.end, distance.abs());
    let count = (to + n - from) % n;
    let (mut length, mut doubled) = (0.0, 0.0);
    for k in 0..=count {
        let s = source.segment((from + k) % n);
        // A straight neighbour is met square to its foot.
        if (!s.is_straight() || count > 1) && s.nearest_point(x).distance(x) < reach - ROUNDING {
            return false;
        }
        let whole = s.length();
        let part = match k {
            0 => s.part(whole - joint.cut.0, whole),
            k if k == count => s.part(0.0, joint.cut.1),
            _ => s,
        };
        length += part.length();
        if length > PI * reach {
            return false;
        }
        doubled += (part.a - x).cross(part.b - x) + 2.0 * part.area_beyond_chord();
    }
    doubled * distance > 0.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point;

    fn vertex(x: f64, y: f64, bulge: f64) -> Vertex {
        Vertex {
            at: Point::new(x, y),
            bulge,
        }
    }

    #[test]
    fn a_corner_rounded_tighter_than_the_distance_becomes_sharp() {
        // 10 × 6 with r = 0.1 inwards by 0.3: 9.4 × 5.4, sharp.
        let q = (PI / 8.0).tan();
        let c = Contour::new(vec![
            vertex(0.1, 0.0, 0.0),
            vertex(9.9, 0.0, q),
            vertex(10.0, 0.1, 0.0),
            vertex(10.0, 5.9, q),
            vertex(9.9, 6.0, 0.0),
            vertex(0.1, 6.0, q),
            vertex(0.0, 5.9, 0.0),
            vertex(0.0, 0.1, q),
        ]);
        let found = direct(&c, 0.3).unwrap();
        assert_eq!(found.len(), 4);
        assert!((found.area() - 9.4 * 5.4).abs() < 1e-12);
        assert!((found.length() - 2.0 * (9.4 + 5.4)).abs() < 1e-12);
    }

    #[test]
    fn what_it_cannot_prove_it_leaves() {
        // A neck that closes, a slot without room, a contour that crosses itself, a chamber behind a mouth.
        let neck = Contour::polygon(&[
            (0.0, 0.0),
            (10.0, 0.0),
            (10.0, 4.9),
            (12.0, 4.9),
            (12.0, 0.0),
            (22.0, 0.0),
            (22.0, 10.0),
            (12.0, 10.0),
            (12.0, 5.1),
            (10.0, 5.1),
            (10.0, 10.0),
            (0.0, 10.0),
        ]);
        assert!(direct(&neck, 0.05).is_some());
        assert!(direct(&neck, 0.131).is_none());
        let slot = Contour::polygon(&[(0.0, 0.0), (10.0, 0.0), (10.0, 0.2), (0.0, 0.2)]);
        assert!(direct(&slot, 0.131).is_none());
        let eight = Contour::polygon(&[(0.0, 0.0), (9.0, 9.0), (9.0, 1.0), (-3.0, 9.0)]);
        assert!(direct(&eight, 0.1).is_none() && direct(&eight, -0.1).is_none());
        let chamber = Contour::polygon(&[
            (0.0, 0.0),
            (20.0, 0.0),
            (20.0, 9.9),
            (15.0, 9.9),
            (15.0, 5.0),
            (5.0, 5.0),
            (5.0, 15.0),
            (15.0, 15.0),
            (15.0, 10.1),
            (20.0, 10.1),
            (20.0, 20.0),
            (0.0, 20.0),
        ]);
        assert!(direct(&chamber, -0.131).is_none());
        assert!(direct(&chamber, -0.05).is_some());
    }
}
