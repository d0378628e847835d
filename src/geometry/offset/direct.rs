//! The parallel curve without search, where it can be proved right.
//!
//! Every segment is moved sideways. Neighbours that move apart are joined by an arc around their vertex;
//! where they run into each other they are cut at their common point X, and what is used up between two of
//! them is left out. Such an arc is cut like a segment where what was next to it is used up. In most contours
//! that is the answer, and these conditions together prove it:
//!
//! 1. the contour S meets itself nowhere, nor does the chain P that was made, and both run
//!    counter-clockwise;
//! 2. what was cut off at X is a stretch C of S nowhere nearer to X than d, and with the two radii from X to
//!    its ends it goes around a region R that lies on the wire's side of S; nor does any part of C turn
//!    towards the wire by a half turn. (Two straight neighbours keep to this by themselves.)
//!
//! Why: let every point of S that was kept sweep its normal of length d. The swept strips, the sectors at
//! corners and the regions at cuts all lie on one side, and their boundaries together are S and P; all else
//! cancels. So the number of them over a place is the difference between how often S and P wind around it,
//! by 1 either 0 or 1. A point of P nearer than d to S would lie inside one of them and so have two on one
//! side. A place at least d from S that P leaves out would lie in exactly one, and it can be no strip and no
//! sector, which reach no farther than d: it would be the region R of a cut. Then the place Q of R that is
//! farthest from C is at least d away from it, and is none of the radii, where X alone is as far. So it lies
//! inside, and the places of C that are nearest to Q are in no half of the circle around Q that goes through
//! them. The lines from Q to them stay in R: if one crossed the radius to an end F of C, then two ways
//! across, from Q to F and from X to the place, would together be shorter than these two lines, and one of
//! them too short. So they cut R into sectors, each with a part of C that turns by the sector's angle, from
//! one tangent of the circle to the next (Hopf's theorem on the turning of simple closed curves). The sector
//! with X in it is at most a half turn; so the part of C in all the others turns by a half turn or more.

mod side;

use super::vote::within_bounds;
use crate::geometry::contour::{Contour, Vertex};
use crate::geometry::point::Point;
use crate::geometry::simple::is_simple;
use crate::progress::look;
use side::{DirectedSegment, Joint, Meeting, moved_chord};
use std::f64::consts::PI;

/// Least share of a segment that is left between its two cuts.
const LEAST_LEFT: f64 = 1e-6;
/// Rounding of a distance, mm.
const ROUNDING: f64 = 1e-9;
/// Most that a part of what is cut off turns towards the wire: a half turn, but for the rounding of the directions.
const MOST_TURN: f64 = PI - 1e-6;

/// The parallel curve of a counter-clockwise contour (positive distance inside, mm), where proved right; `simple` says
/// whether the contour meets itself nowhere.
pub(super) fn direct(
    source: &Contour,
    distance: f64,
    simple: &dyn Fn() -> bool,
) -> Option<Contour> {
    if source.len() < 3 {
        return None;
    }
    let laid = |sides: &Sides<'_>| chain(sides, &kept_sides(sides)?);
    let found =
        laid(&Sides::segments(source, distance)).or_else(|| laid(&Sides::all(source, distance)))?;
    let (whole, around) = source.signed_area_and_length();
    let (area, length) = found.signed_area_and_length();
    let proved = area > 0.0
        && within_bounds(whole, around, distance, area, length)
        && is_simple(&found)
        && simple();
    proved.then_some(found)
}

/// A side of the contour.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Place {
    Segment(usize),
    /// Where a segment begins and the wire goes around.
    Vertex(usize),
}

/// The sides of a contour, each of which becomes a piece of its parallel.
struct Sides<'a> {
    source: &'a Contour,
    distance: f64,
    /// Where they are; nothing where they are all its segments.
    places: Option<Vec<Place>>,
}

impl<'a> Sides<'a> {
    /// The segments alone; the wire goes from one to the next around what is between them.
    fn segments(source: &'a Contour, distance: f64) -> Self {
        Self {
            source,
            distance,
            places: None,
        }
    }
    /// With the vertices that the wire goes around as sides of their own: that is longer, and needed where what is next to
    /// a vertex is used up, and the arc around it meets what comes then.
    fn all(source: &'a Contour, distance: f64) -> Self {
        let n = source.len();
        let mut places = Vec::with_capacity(2 * n);
        for i in 0..n {
            let vertex = Place::Vertex(i);
            if Self::side_at(source, distance, vertex).is_some() {
                places.push(vertex);
            }
            places.push(Place::Segment(i));
        }
        Self {
            source,
            distance,
            places: Some(places),
        }
    }
    fn side_at(source: &Contour, distance: f64, place: Place) -> Option<DirectedSegment> {
        match place {
            Place::Segment(i) => DirectedSegment::of(source.segment(i), distance),
            Place::Vertex(i) => {
                let n = source.len();
                let (before, after) = (source.segment((i + n - 1) % n), source.segment(i));
                let (out, on) = (before.directions().1, after.directions().0);
                DirectedSegment::of_vertex(after.a, out, on, distance)
            }
        }
    }
    fn len(&self) -> usize {
        self.places
            .as_ref()
            .map_or_else(|| self.source.len(), Vec::len)
    }
    fn place(&self, k: usize) -> Place {
        self.places.as_ref().map_or(Place::Segment(k), |p| p[k])
    }
    /// `None` where nothing is left of an arc, or it has no length.
    fn side(&self, k: usize) -> Option<DirectedSegment> {
        Self::side_at(self.source, self.distance, self.place(k))
    }
    /// Bulge of what is left of a moved side after a cut of a length.
    fn moved_bulge(&self, k: usize, cut: f64) -> Option<f64> {
        let (sweep, length, whole) = match self.place(k) {
            Place::Segment(i) => {
                let s = self.source.segment(i);
                if s.is_straight() {
                    return Some(0.0);
                }
                (s.sweep(), s.length(), s.bulge)
            }
            Place::Vertex(_) => {
                let side = self.side(k)?;
                let turn = -side.length / self.distance;
                (turn, side.length, (0.25 * turn).tan())
            }
        };
        Some(if cut == 0.0 {
            whole
        } else {
            (sweep * (1.0 - cut / length) / 4.0).tan()
        })
    }
    /// The segment that has the longest chord once moved: the least likely to be used up.
    fn longest(&self) -> Option<usize> {
        let chord = |k| match self.place(k) {
            Place::Segment(i) => Some((k, moved_chord(&self.source.segment(i), self.distance))),
            Place::Vertex(_) => None,
        };
        let all = (0..self.len()).filter_map(chord);
        all.max_by(|a, b| a.1.total_cmp(&b.1)).map(|l| l.0)
    }
}

/// A side of which something is left, and its joint with the one kept before it.
struct Kept {
    side: usize,
    before: Joint,
}

/// What is left, once around; the first one's joint is that with the last.
fn kept_sides(sides: &Sides<'_>) -> Option<Vec<Kept>> {
    let (n, distance) = (sides.len(), sides.distance);
    // Begin with what is least likely to be used up.
    let longest = sides.longest()?;
    let first = sides.side(longest)?;
    let mut kept = vec![Kept {
        side: longest,
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
        let Some(next) = sides.side(i) else {
            continue;
        };
        loop {
            let top = kept.last()?;
            let neighbours = (top.side + 1) % n == i;
            let meeting = Joint::between(&last, &next, distance, neighbours);
            let second_goes = match meeting {
                Meeting::At(joint) if has_left(&last, top.before.cut.1 + joint.cut.0) => {
                    if closing {
                        kept[0].before = joint;
                    } else {
                        kept.push(Kept {
                            side: i,
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
            last = sides.side(kept.last()?.side)?;
        }
    }
    let end_cut = kept.get(1).map_or(0.0, |k| k.before.cut.0);
    if kept.len() < 2 || !has_left(&first, kept[0].before.cut.1 + end_cut) {
        return None;
    }
    // In the contour's own order, so that it does not matter which segment is the longest.
    let lowest = kept.iter().position(|k| k.side < longest).unwrap_or(0);
    kept.rotate_left(lowest);
    Some(kept)
}

fn has_left(side: &DirectedSegment, cut: f64) -> bool {
    cut < side.length * (1.0 - LEAST_LEFT)
}

/// The moved sides between their joints; `None` where a cut does not keep to its conditions.
fn chain(sides: &Sides<'_>, kept: &[Kept]) -> Option<Contour> {
    let mut out: Vec<Vertex> = Vec::with_capacity(kept.len() + kept.len() / 2 + 8);
    for (k, this) in kept.iter().enumerate() {
        if k % 256 == 1 {
            look();
        }
        let next = &kept[(k + 1) % kept.len()];
        let (before, after) = (&this.before, &next.before);
        let cut = before.cut.1 + after.cut.0;
        out.push(Vertex {
            at: before.start,
            bulge: sides.moved_bulge(this.side, cut)?,
        });
        if after.arc != 0.0 {
            out.push(Vertex {
                at: after.end,
                bulge: after.arc,
            });
        }
        if after.bends && !cut_is_sound(sides, this.side, next.side, after) {
            return None;
        }
    }
    Some(Contour::new(out))
}

/// How far a stretch turns, and the most that any part of it does, radians.
#[derive(Default)]
struct Turned {
    /// Of the part that ends here and turns the most.
    here: f64,
    /// Of any part.
    at_most: f64,
}

impl Turned {
    fn by(&mut self, turn: f64) {
        self.here = (self.here + turn).max(0.0);
        self.at_most = self.at_most.max(self.here);
    }
}

/// The second condition, for the cut between two sides.
fn cut_is_sound(sides: &Sides<'_>, from: usize, to: usize, joint: &Joint) -> bool {
    let (source, distance) = (sides.source, sides.distance);
    let n = source.len();
    let (x, reach) = (joint.end, distance.abs());
    // A vertex is an end of what is cut off, a segment is cut through.
    let (first, cut_first) = match sides.place(from) {
        Place::Segment(i) => (i, Some(joint.cut.0)),
        Place::Vertex(i) => (i, None),
    };
    let (last, cut_last) = match sides.place(to) {
        Place::Segment(i) => (i, Some(joint.cut.1)),
        Place::Vertex(i) => ((i + n - 1) % n, None),
    };
    let count = (last + n - first) % n;
    let two_segments = count == 1 && cut_first.is_some() && cut_last.is_some();
    let (mut most, mut doubled) = (Turned::default(), 0.0);
    let mut before: Option<Point> = None;
    for k in 0..=count {
        let s = source.segment((first + k) % n);
        // Of two segments a straight one is met square to its foot.
        if !(s.is_straight() && two_segments) && s.nearest_point(x).distance(x) < reach - ROUNDING {
            return false;
        }
        let whole = s.length();
        let begin = cut_first.filter(|_| k == 0).map_or(0.0, |c| whole - c);
        let end = cut_last.filter(|_| k == count).unwrap_or(whole);
        let part = if begin == 0.0 && end == whole {
            s
        } else {
            s.part(begin, end)
        };
        let (out, back) = part.directions();
        let at_vertex = before.map_or(0.0, |b| b.turn_to(out));
        if back != Point::ORIGIN {
            before = Some(back);
        }
        for turn in [at_vertex, part.sweep()] {
            most.by(turn * distance.signum());
        }
        if most.at_most > MOST_TURN {
            return false;
        }
        doubled += (part.a - x).cross(part.b - x) + 2.0 * part.area_beyond_chord();
    }
    doubled * distance > 0.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::offset_buffer::buffer_offset;

    fn laid(contour: &Contour, distance: f64) -> Option<Contour> {
        direct(contour, distance, &|| is_simple(contour))
    }

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
        let found = laid(&c, 0.3).unwrap();
        assert_eq!(found.len(), 4);
        assert!((found.area() - 9.4 * 5.4).abs() < 1e-12);
        assert!((found.length() - 2.0 * (9.4 + 5.4)).abs() < 1e-12);
    }

    /// A parallel that was proved against `geo`'s buffer, whose chords lie within 0.000 02 mm of their arcs.
    fn agrees_with_the_buffer(contour: &Contour, distance: f64) {
        let found = laid(contour, distance).expect("proved");
        let [other] = &buffer_offset(contour, distance).expect("a buffer")[..] else {
            panic!("one loop")
        };
        let (area, length) = (found.area() - other.area(), found.length() - other.length());
        assert!(
            area.abs() < 1e-3 && length.abs() < 1e-3,
            "{distance}: {area} {length}"
        );
    }

    #[test]
    fn a_pointed_corner_between_flanks_that_bend() {
        // 6° at the tip, 30 deep: what is cut off there is many times as long as the wire is thick.
        for bulge in [0.01, -0.01] {
            let wedge = Contour::new(vec![
                vertex(0.0, 0.0, bulge),
                vertex(30.0, -1.6, 0.0),
                vertex(30.0, 1.6, -bulge),
            ]);
            for distance in [0.05, 0.131, 0.219, -0.131] {
                agrees_with_the_buffer(&wedge, distance);
            }
        }
    }

    #[test]
    fn an_outline_in_steps_that_turn_to_and_fro() {
        // Each step is shorter than what its neighbours take of it, and lies behind a vertex that the wire goes around.
        let plate = Contour::polygon(&[
            (0.0, 0.0),
            (10.0, 0.0),
            (10.0, 4.0),
            (10.0006, 4.003),
            (10.0079, 4.086),
            (10.0036, 4.105),
            (10.0, 8.0),
            (9.98, 8.0004),
            (9.981, 8.02),
            (0.0, 8.0),
        ]);
        for distance in [0.105, 0.131, 0.219, -0.105, -0.131, -0.219] {
            agrees_with_the_buffer(&plate, distance);
        }
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
        assert!(laid(&neck, 0.05).is_some());
        assert!(laid(&neck, 0.131).is_none());
        let slot = Contour::polygon(&[(0.0, 0.0), (10.0, 0.0), (10.0, 0.2), (0.0, 0.2)]);
        assert!(laid(&slot, 0.131).is_none());
        let eight = Contour::polygon(&[(0.0, 0.0), (9.0, 9.0), (9.0, 1.0), (-3.0, 9.0)]);
        assert!(laid(&eight, 0.1).is_none() && laid(&eight, -0.1).is_none());
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
        assert!(laid(&chamber, -0.131).is_none());
        assert!(laid(&chamber, -0.05).is_some());
    }
}
