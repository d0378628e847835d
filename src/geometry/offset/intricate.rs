//! Contours so intricate that no wire follows them, and no search for their parallel ends in sensible time.
//!
//! The search lays a raw parallel, cuts it wherever it meets itself, and throws most of the pieces away. Its
//! time and memory grow with the number of these meetings. On what machines cut there are few; scribble, and
//! noise finer than the wire, have millions. Three measures bound them, each far beyond any part:
//!
//! - the contour crosses itself more than [`MOST_CROSSINGS`] times;
//! - it has more than [`FEW_SEGMENTS`] and turns, on every stretch as long as the distance, by more than
//!   [`MOST_TURNING`] on average;
//! - more than [`MOST_NEIGHBOURS`] pairs of its segments come as near to each other as the distance.

use crate::geometry::contour::Contour;
use crate::geometry::point::{Bounds, Point};
use crate::geometry::simple::segments_meet;
use crate::progress::look;
use static_aabb2d_index::{Control, StaticAABB2DIndexBuilder};

/// Contours of so few segments are searched whatever they look like: the search ends within a tenth of a second.
const ALWAYS_SEARCHED: usize = 64;
/// Crossings of a contour with itself. A drawing with one has no clear inside; with a thousand it is scribble.
const MOST_CROSSINGS: usize = 1000;
/// Below so many segments much turning costs little.
const FEW_SEGMENTS: usize = 2000;
/// Radians on a stretch as long as the distance. A knurl of half a millimetre, the finest that is cut, turns by
/// less than 1 beside a usual wire; half a turn on each such stretch is noise.
const MOST_TURNING: f64 = 3.0;
/// Pairs of segments as near as the distance: some seconds of searching.
const MOST_NEIGHBOURS: usize = 4_000_000;

/// The place where a contour is too intricate for a parallel at a distance, mm; `None` where one can be searched.
pub(super) fn too_intricate(contour: &Contour, distance: f64) -> Option<Point> {
    if contour.len() <= ALWAYS_SEARCHED {
        return None;
    }
    turns_too_much(contour, distance).or_else(|| meets_too_much(contour, distance))
}

/// Where it turns most, if it turns too much on average.
fn turns_too_much(contour: &Contour, distance: f64) -> Option<Point> {
    let n = contour.len();
    if n <= FEW_SEGMENTS {
        return None;
    }
    let (mut all, mut length, mut most) = (0.0, 0.0, (0.0, 0));
    let mut before = contour.segment(n - 1).directions().1;
    for (k, s) in contour.segments().enumerate() {
        let (start, end) = s.directions();
        let turn = before.turn_to(start).abs() + s.sweep().abs();
        all += turn;
        length += s.length();
        if turn > most.0 {
            most = (turn, k);
        }
        before = end;
    }
    (all * distance > MOST_TURNING * length).then(|| contour.vertices()[most.1].at)
}

/// Where the count of crossings, or of near segments, passes what is searched.
fn meets_too_much(contour: &Contour, distance: f64) -> Option<Point> {
    let n = contour.len();
    let boxes: Vec<Bounds> = contour.segments().map(|s| s.bounds()).collect();
    let mut builder = StaticAABB2DIndexBuilder::new(n);
    for b in &boxes {
        builder.add(b.min.x, b.min.y, b.max.x, b.max.y);
    }
    // Only a wrong count is an error, and the count is right.
    let index = builder.build().ok()?;
    let (mut crossings, mut neighbours) = (0_usize, 0_usize);
    let mut stack = Vec::new();
    for (i, own) in boxes.iter().enumerate() {
        if i % 64 == 0 {
            look();
        }
        let b = own.grown(distance);
        let mut place = None;
        let mut meets = |j: usize| {
            if j <= i {
                return Control::Continue;
            }
            neighbours += 1;
            if own.meets(&boxes[j]) && segments_meet(contour, i, j) {
                crossings += 1;
            }
            if neighbours > MOST_NEIGHBOURS || crossings > MOST_CROSSINGS {
                place = Some(contour.vertices()[i].at);
                return Control::Break(());
            }
            Control::Continue
        };
        let _: Control<()> = index
            .visit_query_with_stack(b.min.x, b.min.y, b.max.x, b.max.y, &mut meets, &mut stack);
        if place.is_some() {
            return place;
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::contour::Vertex;
    use std::f64::consts::TAU;

    fn polygon(points: impl Iterator<Item = Point>) -> Contour {
        Contour::new(points.map(|at| Vertex { at, bulge: 0.0 }).collect())
    }

    /// The star {n/k} crosses itself n·(k − 1) times: each edge meets 2(k − 1) others, every crossing counted twice.
    #[test]
    fn crossings_are_counted() {
        let star = |n: usize, k: usize| {
            polygon((0..n).map(|i| Point::at_angle(TAU * (i * k) as f64 / n as f64) * 50.0))
        };
        assert!(too_intricate(&star(101, 10), 0.1).is_none());
        assert!(too_intricate(&star(101, 12), 0.1).is_some());
    }

    /// Teeth finer than the wire, not those that a wire can cut.
    #[test]
    fn noise_is_told_from_teeth() {
        let teeth = |count: usize, pitch: f64, height: f64| {
            let up = |k: usize| if k.is_multiple_of(2) { 0.0 } else { height };
            let top = (0..2 * count).map(move |k| Point::new(pitch * k as f64, -up(k)));
            let back = [
                Point::new(2.0 * pitch * count as f64, 40.0),
                Point::new(0.0, 40.0),
            ];
            polygon(top.chain(back))
        };
        assert!(too_intricate(&teeth(3000, 0.5, 1.0), 0.13).is_none());
        assert!(too_intricate(&teeth(3000, 0.005, 0.05), 0.13).is_some());
    }

    #[test]
    fn a_circle_of_many_chords_is_not_intricate() {
        let n = 20_000;
        let circle =
            polygon((0..n).map(|k| Point::at_angle(TAU * f64::from(k) / f64::from(n)) * 20.0));
        assert!(too_intricate(&circle, 0.13).is_none());
    }
}
