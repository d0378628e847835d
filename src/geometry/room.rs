//! Where a closed contour has most room inside.

use super::contour::Contour;
use super::path_index::PathIndex;
use super::point::{Bounds, Point};
use crate::progress::look;
use cavalier_contours::core::math::Vector2;
use cavalier_contours::polyline::PlineSource;
use std::cell;
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// The answer has at least this share of the largest room that there is.
const GOOD_ENOUGH: f64 = 0.98;
/// Cells looked at, at most: a long slot is equally wide all along and would be divided for ever.
const MOST_CELLS: usize = 1000;
/// Squares along the longer side of the box at first, at most; a thin strip would have thousands.
const MOST_AT_FIRST: f64 = 64.0;
/// Room that is more by less than this is no more, mm.
const NO_MORE: f64 = 1e-9;

/// A square to be looked into.
struct Cell {
    middle: Point,
    half: f64,
    /// Most room that a place in it can have, mm.
    at_most: f64,
}

impl PartialEq for Cell {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}
impl Eq for Cell {}
impl PartialOrd for Cell {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Cell {
    fn cmp(&self, other: &Self) -> Ordering {
        self.at_most.total_cmp(&other.at_most)
    }
}

/// The last places of which the depth is known: nearer to one of them than the contour, a place lies on the same side.
#[derive(Default)]
struct Sides {
    last: cell::Cell<[(Point, f64); 8]>,
    next: cell::Cell<usize>,
}

impl Sides {
    /// Whether a place lies inside; `None` where that has to be found out.
    fn of(&self, p: Point) -> Option<bool> {
        let mut last = self.last.get().into_iter();
        let near = |(at, depth): &(Point, f64)| p.distance(*at) < depth.abs() * (1.0 - 1e-9);
        last.find(near).map(|(_, depth)| depth > 0.0)
    }
    fn keep(&self, p: Point, depth: f64) {
        let mut last = self.last.get();
        let next = self.next.get();
        last[next] = (p, depth);
        self.last.set(last);
        self.next.set((next + 1) % last.len());
    }
}

/// How deep places lie inside a contour, mm; negative outside it. Lines and arcs are measured exactly.
pub fn depth_in(contour: &Contour) -> impl Fn(Point) -> f64 {
    let circle = contour.as_circle();
    let any = || {
        let index = PathIndex::new(std::slice::from_ref(contour));
        (index, contour.to_polyline())
    };
    let any = circle.is_none().then(any);
    let sides = Sides::default();
    move |p: Point| match (circle, &any) {
        (Some((centre, radius)), _) => radius - p.distance(centre),
        (None, Some((index, outline))) => {
            let winding = || outline.winding_number(Vector2::new(p.x, p.y));
            let distance = index.distance(p);
            let depth = match sides.of(p) {
                Some(inside) if inside => distance,
                Some(_) => -distance,
                None if winding() == 0 => -distance,
                None => distance,
            };
            sides.keep(p, depth);
            depth
        }
        (None, None) => f64::NEG_INFINITY,
    }
}

/// About the roomiest place of a box, and its room in mm; `None` where there is none above 0.
///
/// `room` changes by no more than the way between two places, and is nowhere more than `most` (mm). Where `enough` (mm)
/// may still be found it is looked for longer. Squares are divided, the most promising first, as in V. Agafonkin, "A new
/// algorithm for finding a visual center of a polygon", 2016 (from memory).
pub fn roomiest(
    bounds: Bounds,
    (enough, most): (f64, f64),
    room: impl Fn(Point) -> f64,
) -> Option<(Point, f64)> {
    let size = bounds.size();
    let (long, short) = (size.x.max(size.y), size.x.min(size.y));
    // Also false for what is no number.
    if !(short > 0.0 && long.is_finite()) {
        return None;
    }
    let side = short.max(long / MOST_AT_FIRST);
    let mut cells = BinaryHeap::new();
    let cell = |middle: Point, half: f64, room: f64| Cell {
        middle,
        half,
        at_most: room + half * std::f64::consts::SQRT_2,
    };
    let middle = bounds.min.lerp(bounds.max, 0.5);
    let mut best = (middle, room(middle));
    let better = |best: &mut (Point, f64), at: Point| {
        let r = room(at);
        // Of equals the first found stays, whatever rounding says.
        if r > best.1 + NO_MORE {
            *best = (at, r);
        }
        r
    };
    let count = |length: f64| (length / side).ceil().max(1.0) as usize;
    let (columns, rows) = (count(size.x), count(size.y));
    for k in 0..columns * rows {
        let (x, y) = ((k % columns) as f64, (k / columns) as f64);
        let at = bounds.min + Point::new((x + 0.5) * side, (y + 0.5) * side);
        let r = better(&mut best, at);
        cells.push(cell(at, side / 2.0, r));
    }
    let mut looked = 0;
    while let Some(c) = cells.pop() {
        look();
        looked += 1;
        let may_be_enough = best.1 < enough && c.at_most >= enough;
        if best.1 > 0.0 && c.at_most * GOOD_ENOUGH <= best.1 && !may_be_enough
            || looked > MOST_CELLS
            || best.1 >= most
        {
            break;
        }
        if c.at_most <= 0.0 {
            break;
        }
        let half = c.half / 2.0;
        for (x, y) in [(-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)] {
            let at = c.middle + Point::new(x * half, y * half);
            let r = better(&mut best, at);
            cells.push(cell(at, half, r));
        }
    }
    (best.1 > 0.0).then_some(best)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Vertex;

    /// Centre of about the largest circle inside a contour, and its radius.
    fn most_room(contour: &Contour) -> Option<(Point, f64)> {
        roomiest(contour.bounds(), (0.0, f64::INFINITY), depth_in(contour))
    }

    #[test]
    fn the_largest_circle_inside_is_found() {
        // A circle: its centre. A square: half its side. A right triangle with legs 3 and 4: r = 1 (Euclid IV.4).
        let (at, r) = most_room(&Contour::circle(Point::new(3.0, -2.0), 0.281)).unwrap();
        assert!(at.distance(Point::new(3.0, -2.0)) < 1e-9 && (r - 0.281).abs() < 1e-9);
        let square = Contour::polygon(&[(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)]);
        let (at, r) = most_room(&square).unwrap();
        assert!(at.distance(Point::new(1.0, 1.0)) < 1e-9 && (r - 1.0).abs() < 1e-9);
        let triangle = Contour::polygon(&[(0.0, 0.0), (4.0, 0.0), (0.0, 3.0)]);
        let (at, r) = most_room(&triangle).unwrap();
        assert!((0.98..=1.0 + 1e-9).contains(&r) && at.distance(Point::new(1.0, 1.0)) < 0.05);
    }

    #[test]
    fn a_slot_with_a_round_eye_has_its_room_in_the_eye() {
        // A slot 0.2 wide that ends in a circle of radius 0.5 about the origin.
        let x = -(0.25_f64 - 0.01).sqrt();
        let sweep = 2.0 * std::f64::consts::PI - 2.0 * (0.1_f64 / 0.5).asin();
        let v = |x, y, bulge| Vertex {
            at: Point::new(x, y),
            bulge,
        };
        let c = Contour::new(vec![
            v(-20.0, -0.1, 0.0),
            v(x, -0.1, (sweep / 8.0).tan()),
            v(0.5, 0.0, (sweep / 8.0).tan()),
            v(x, 0.1, 0.0),
            v(-20.0, 0.1, 0.0),
        ]);
        let (at, r) = most_room(&c).unwrap();
        assert!((0.98 * 0.5..=0.5 + 1e-9).contains(&r), "{r}");
        assert!(at.norm() < 0.02, "{at:?}");
    }

    #[test]
    fn what_holds_no_place_has_none() {
        assert!(most_room(&Contour::new(Vec::new())).is_none());
        assert!(most_room(&Contour::polygon(&[(0.0, 0.0), (4.0, 0.0)])).is_none());
        // A hair 80 long and a thousandth wide ends, and lies inside.
        let hair = Contour::polygon(&[(0.0, 0.0), (80.0, 30.0), (80.0, 30.001), (0.0, 0.001)]);
        assert!(most_room(&hair).is_none_or(|(at, r)| hair.winding(at) != 0 && r < 0.0006));
    }

    /// Asked about many places one after the other it says what it says of each when asked for the first time.
    #[test]
    fn what_was_asked_before_changes_no_depth() {
        // A comb: near its teeth the side changes from place to place.
        let mut points = vec![(0.0, -3.0), (20.0, -3.0)];
        for k in (0..20).rev() {
            let x = f64::from(k);
            points.extend([(x + 0.6, 0.0), (x + 0.3, 4.0), (x, 0.0)]);
        }
        let comb = Contour::polygon(&points);
        let asked = depth_in(&comb);
        let (mut inside, mut outside) = (0, 0);
        for k in 0..4000 {
            // The golden angle: neither even nor random, and back and forth by small and large steps.
            let (turn, out) = (2.399_963 * f64::from(k), f64::from(k % 97) / 60.0);
            let at = Point::new(f64::from(k / 200), 1.0) + Point::at_angle(turn) * out;
            let depth = asked(at);
            assert_eq!(depth, depth_in(&comb)(at), "{at:?}");
            assert_eq!(depth > 0.0, comb.winding(at) != 0, "{at:?}");
            inside += u32::from(depth > 0.0);
            outside += u32::from(depth < 0.0);
        }
        assert!(inside > 1000 && outside > 1000, "{inside} {outside}");
    }
}
