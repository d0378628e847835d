//! How near contours come to each other.

use super::boxes::Boxes;
use super::contour::Contour;
use super::path_index::PathIndex;
use super::point::{Bounds, Point};
use super::segment::Segment;
use crate::progress::look;
use std::cell::OnceCell;

/// Rounding of a distance, mm.
const ROUNDING: f64 = 1e-9;

/// The nearest places of two things.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearby {
    /// mm; 0 where they cross.
    pub distance: f64,
    /// On the first, mm.
    pub from: Point,
    /// On the second, mm.
    pub to: Point,
}

/// Two contours nearer to each other than was asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// Index of the first contour.
    pub a: usize,
    /// Index of the second, larger than the first.
    pub b: usize,
    /// Where and how near.
    pub nearby: Nearby,
}

/// The nearest places of two segments.
///
/// The nearest points of two lines or arcs that do not meet lie at an end of one of them or on the line
/// through a centre; all of these are tried.
pub fn between(a: &Segment, b: &Segment) -> Nearby {
    let mut best = Nearby {
        distance: f64::INFINITY,
        from: a.a,
        to: b.a,
    };
    let mut try_from = |p: Point| {
        let from = a.nearest_point(p);
        let to = b.nearest_point(from);
        let distance = from.distance(to);
        if distance < best.distance {
            best = Nearby { distance, from, to };
        }
    };
    [a.a, a.b, b.a, b.b].into_iter().for_each(&mut try_from);
    if let Some(c) = b.centre() {
        try_from(c);
    }
    if let Some(c) = a.centre() {
        try_from(b.nearest_point(c));
    }
    meetings(a, b).into_iter().flatten().for_each(try_from);
    best
}

/// Where the whole lines or circles of two segments meet.
fn meetings(a: &Segment, b: &Segment) -> [Option<Point>; 2] {
    match (a.centre(), b.centre()) {
        (None, None) => {
            let (along, other) = (a.b - a.a, b.b - b.a);
            let across = along.cross(other);
            let t = (b.a - a.a).cross(other) / across;
            [(across != 0.0).then(|| a.a + along * t), None]
        }
        (None, Some(c)) => line_and_circle(a, c, b.radius()),
        (Some(c), None) => line_and_circle(b, c, a.radius()),
        (Some(ca), Some(cb)) => {
            let (apart, ra, rb) = (ca.distance(cb), a.radius(), b.radius());
            let along = (apart * apart + ra * ra - rb * rb) / (2.0 * apart);
            let way = (cb - ca).unit();
            both_sides(ca + way * along, way.left(), ra * ra - along * along)
        }
    }
}

fn line_and_circle(line: &Segment, centre: Point, radius: f64) -> [Option<Point>; 2] {
    let way = (line.b - line.a).unit();
    let foot = line.a + way * (centre - line.a).dot(way);
    let d = centre - foot;
    both_sides(foot, way, radius * radius - d.dot(d))
}

fn both_sides(middle: Point, way: Point, squared: f64) -> [Option<Point>; 2] {
    let half = (squared >= 0.0).then(|| way * squared.sqrt());
    [half.map(|h| middle + h), half.map(|h| middle - h)]
}

/// The nearest places of two sets of closed paths that come nearer than `limit` mm; `None` where none do.
pub fn closest(a: &[Contour], b: &[Contour], limit: f64) -> Option<Nearby> {
    closest_to(
        a.iter().flat_map(Contour::segments),
        &PathIndex::new(b),
        limit,
    )
}

fn closest_to(
    segments: impl Iterator<Item = Segment>,
    index: &PathIndex,
    limit: f64,
) -> Option<Nearby> {
    let mut best: Option<Nearby> = None;
    for s in segments {
        look();
        let within = best.map_or(limit, |b| b.distance);
        for other in index.meeting(&s.bounds().grown(within)) {
            let found = between(&s, other);
            if found.distance < best.map_or(limit, |b| b.distance) {
                best = Some(found);
            }
        }
    }
    best
}

/// Whether two sets of closed paths come nearer than `limit` mm.
pub fn come_nearer(a: &[Contour], b: &[Contour], limit: f64) -> bool {
    if let ([p], [q]) = (a, b)
        && let (Some(p), Some(q)) = (p.as_circle(), q.as_circle())
    {
        return between_circles(p, q) < limit;
    }
    closest(a, b, limit).is_some()
}

/// Distance of two whole circles, each given by its centre and radius, mm; 0 where they cross.
fn between_circles((c, r): (Point, f64), (d, s): (Point, f64)) -> f64 {
    let apart = c.distance(d);
    (apart - r - s).max((r - s).abs() - apart).max(0.0)
}

/// Every pair of contours nearer to each other than `limit` mm.
///
/// Boxes first, then the segments of the smaller against an index of the larger: a plate of a thousand
/// openings costs little more than its boxes.
pub fn gaps(contours: &[&Contour], limit: f64) -> Vec<Gap> {
    let boxes: Vec<Bounds> = contours.iter().map(|c| c.bounds()).collect();
    let index = Boxes::of(boxes.iter().copied());
    // A circle's box holds all that lies in the circle: rings within rings are told apart without a look at arcs.
    let circles: Vec<Option<(Point, f64)>> = contours.iter().map(|c| c.as_circle()).collect();
    let far_apart = |a: usize, b: usize| match (circles[a], circles[b]) {
        (Some(p), Some(q)) => between_circles(p, q) > limit + ROUNDING,
        _ => false,
    };
    let indices: Vec<OnceCell<PathIndex>> = contours.iter().map(|_| OnceCell::new()).collect();
    let mut out = Vec::new();
    for (a, own) in boxes.iter().enumerate().filter(|(_, b)| !b.is_empty()) {
        look();
        let mut near = Vec::new();
        index.visit(&own.grown(limit), |b| {
            if b > a && !far_apart(a, b) {
                near.push(b);
            }
        });
        near.sort_unstable();
        for b in near {
            look();
            let swapped = contours[a].len() > contours[b].len();
            let (small, large) = if swapped { (b, a) } else { (a, b) };
            let segments = indices[large]
                .get_or_init(|| PathIndex::new(std::slice::from_ref(contours[large])));
            if let Some(found) = closest_to(contours[small].segments(), segments, limit) {
                let nearby = if swapped {
                    Nearby {
                        from: found.to,
                        to: found.from,
                        ..found
                    }
                } else {
                    found
                };
                out.push(Gap { a, b, nearby });
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{FRAC_PI_2, PI};

    fn square(x: f64, y: f64, side: f64) -> Contour {
        Contour::polygon(&[(x, y), (x + side, y), (x + side, y + side), (x, y + side)])
    }

    #[test]
    fn distances_of_lines_and_arcs_by_hand() {
        let p = Point::new;
        let near = |a: &Segment, b: &Segment, expected: f64| {
            for n in [between(a, b), between(b, a)] {
                assert!((n.distance - expected).abs() < 1e-12, "{n:?} {expected}");
                assert!((n.from.distance(n.to) - n.distance).abs() < 1e-12);
            }
        };
        let floor = Segment::line(p(0.0, 0.0), p(10.0, 0.0));
        near(&floor, &Segment::line(p(2.0, 0.3), p(8.0, 1.0)), 0.3);
        near(&floor, &Segment::line(p(13.0, 4.0), p(13.0, 9.0)), 5.0);
        near(&floor, &Segment::line(p(5.0, -1.0), p(5.0, 1.0)), 0.0);
        // A half turn of radius 2 about (5, 2.5) that hangs down to y = 0.5.
        let bowl = Segment::arc(p(5.0, 2.5), 2.0, PI, PI)[0];
        near(&floor, &bowl, 0.5);
        near(&Segment::line(p(0.0, 1.0), p(10.0, 1.0)), &bowl, 0.0);
        // Two circles side by side, one within the other, and crossing.
        let arc = |x: f64, r: f64| Segment::arc(p(x, 0.0), r, -FRAC_PI_2, PI)[0];
        let back = Segment::arc(p(7.0, 0.0), 2.0, FRAC_PI_2, PI)[0];
        near(&arc(0.0, 4.0), &back, 1.0);
        near(&arc(1.0, 1.0), &arc(0.0, 2.5), 0.5);
        near(
            &arc(0.0, 4.0),
            &Segment::arc(p(5.0, 0.0), 2.0, FRAC_PI_2, PI)[0],
            0.0,
        );
    }

    #[test]
    fn only_near_contours_are_pairs() {
        let a = square(0.0, 0.0, 10.0);
        let b = square(10.3, 0.0, 10.0);
        let c = Contour::circle(Point::new(5.0, 5.0), 4.8);
        let d = square(40.0, 0.0, 1.0);
        let found = gaps(&[&a, &b, &c, &d], 0.5);
        let pairs: Vec<_> = found.iter().map(|g| (g.a, g.b)).collect();
        assert_eq!(pairs, [(0, 1), (0, 2)]);
        assert!((found[0].nearby.distance - 0.3).abs() < 1e-12);
        assert!((found[0].nearby.from.x - 10.0).abs() < 1e-12);
        assert!((found[0].nearby.to.x - 10.3).abs() < 1e-12);
        assert!((found[1].nearby.distance - 0.2).abs() < 1e-12);
        assert!(gaps(&[&a, &b], 0.3).is_empty());
        assert!(closest(&[a], &[b], 0.31).is_some());
    }

    #[test]
    fn circles_are_as_far_apart_as_their_arcs() {
        let circle = |x: f64, r: f64| Contour::circle(Point::new(x, 1.0), r);
        for (p, q) in [
            (circle(0.0, 4.0), circle(9.0, 2.0)),
            (circle(0.0, 4.0), circle(1.0, 2.0)),
            (circle(1.0, 2.0), circle(0.0, 4.0)),
            (circle(0.0, 4.0), circle(5.0, 2.0)),
            (circle(0.0, 4.0), circle(0.0, 3.5)),
        ] {
            let [c, d] = [&p, &q].map(|c| c.as_circle().unwrap());
            let apart = between_circles(c, d);
            let (p, q) = ([p], [q]);
            let plain = closest(&p, &q, 100.0).unwrap().distance;
            assert!((apart - plain).abs() < 1e-12, "{apart} {plain}");
            assert!(!come_nearer(&p, &q, apart));
            assert!(come_nearer(&p, &q, apart + 1e-9));
        }
    }

    #[test]
    fn every_pair_of_a_grid_is_found_and_no_other() {
        // 12 × 12 squares 0.25 mm apart: 2 · 12 · 11 neighbours; diagonal ones lie 0.25·√2 apart.
        let all: Vec<Contour> = (0..144)
            .map(|k| square(f64::from(k % 12) * 3.25, f64::from(k / 12) * 3.25, 3.0))
            .collect();
        let all: Vec<&Contour> = all.iter().collect();
        assert_eq!(gaps(&all, 0.3).len(), 2 * 12 * 11);
        assert_eq!(gaps(&all, 0.4).len(), 2 * 12 * 11 + 2 * 11 * 11);
    }
}
