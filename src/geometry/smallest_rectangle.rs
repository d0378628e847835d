//! The smallest rectangle around a contour, turned as it likes: the blank that a part needs.

use super::{Contour, Point};
use geo::{ConvexHull, Coord, LineString, MinimumRotatedRect, MultiPoint};

/// Arcs are taken as chords within this, mm, and the sides grow by as much on either end.
const SAGITTA: f64 = 1e-3;

/// A rectangle that may be turned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rectangle {
    /// Longer side, mm.
    pub length: f64,
    /// Shorter side, mm.
    pub width: f64,
    /// Direction of the longer side, radians from +x, in [0, π).
    pub angle: f64,
}

/// The rectangle of least area that holds contours, within 2 µm; `None` where they span no area.
///
/// One side lies along an edge of the hull (Freeman and Shapira 1975); `geo` finds it.
pub fn smallest_rectangle<'a>(
    contours: impl IntoIterator<Item = &'a Contour>,
) -> Option<Rectangle> {
    rectangle_around(contours.into_iter().flat_map(|c| c.flattened(SAGITTA)))
}

/// The same around points that lie on contours within a micrometre.
pub fn rectangle_around(points: impl IntoIterator<Item = Point>) -> Option<Rectangle> {
    let points = points.into_iter().map(|p| Coord { x: p.x, y: p.y });
    let found = LineString(points.collect()).minimum_rotated_rect()?;
    let corners: Vec<Point> = found
        .exterior()
        .coords()
        .map(|c| Point::new(c.x, c.y))
        .collect();
    let [a, b, c, ..] = corners[..] else {
        return None;
    };
    let (one, other) = (b - a, c - b);
    let (long, short) = if one.norm() >= other.norm() {
        (one, other)
    } else {
        (other, one)
    };
    let grown = |side: f64| side + 2.0 * SAGITTA;
    let angle = long.angle().rem_euclid(std::f64::consts::PI);
    (short.norm() > 0.0).then(|| Rectangle {
        length: grown(long.norm()),
        width: grown(short.norm()),
        // Rounding may turn −0 into π itself.
        angle: if angle >= std::f64::consts::PI {
            0.0
        } else {
            angle
        },
    })
}

/// Whether points fit into `x` by `y`, mm, when they may be turned: tried at the angle of every edge of their hull, where the
/// box of least area lies, and at every whole degree, which finds a long piece its place across the corners.
pub fn fits_within(points: &[Point], x: f64, y: f64) -> bool {
    let all: MultiPoint<f64> = points.iter().map(|p| (p.x, p.y)).collect();
    let hull = all.convex_hull();
    let hull: Vec<Point> = hull
        .exterior()
        .coords()
        .map(|c| Point::new(c.x, c.y))
        .collect();
    let edges = hull.windows(2).map(|pair| (pair[1] - pair[0]).angle());
    let degrees = (0..180).map(|d| f64::from(d).to_radians());
    edges.chain(degrees).any(|angle| {
        let along = Point::at_angle(angle);
        let across = along.left();
        let extent = |axis: Point| {
            let places = hull.iter().map(|p| p.dot(axis));
            let (low, high) = places.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
                (l.min(v), h.max(v))
            });
            high - low
        };
        let (a, b) = (extent(along), extent(across));
        a <= x && b <= y || a <= y && b <= x
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_turned_rectangle_is_found_again_and_never_larger_than_the_upright_box() {
        for degrees in [0.0, 13.0, 45.0, 89.0, 120.0] {
            let turn = Point::at_angle(f64::to_radians(degrees));
            let at = |x: f64, y: f64| {
                let p = turn * x + turn.left() * y;
                (p.x, p.y)
            };
            let c = Contour::polygon(&[at(0.0, 0.0), at(80.0, 0.0), at(80.0, 30.0), at(0.0, 30.0)]);
            let r = smallest_rectangle([&c]).expect("a rectangle");
            assert!((r.length - 80.0).abs() < 3e-3 && (r.width - 30.0).abs() < 3e-3);
            assert!((r.angle.to_degrees() - degrees).abs() < 1e-6);
            let size = c.bounds().size();
            assert!(r.length * r.width <= size.x * size.y * (1.0 + 1e-3));
        }
        // A bar of 500 × 10 lies across the corners of 400 × 400 (their diagonal is 566) and not of 300 × 300 (424).
        let bar = [(0.0, 0.0), (500.0, 0.0), (500.0, 10.0), (0.0, 10.0)];
        let bar = bar.map(|(x, y)| Point::new(x, y));
        assert!(fits_within(&bar, 400.0, 400.0) && !fits_within(&bar, 300.0, 300.0));
        assert!(fits_within(&bar, 10.0, 500.0) && !fits_within(&bar, 9.0, 501.0));
        // A circle fits in the square of its diameter.
        let circle = Contour::circle(Point::ORIGIN, 10.0);
        let r = smallest_rectangle([&circle]).expect("a square");
        assert!((r.length - 20.0).abs() < 5e-3 && (r.width - 20.0).abs() < 5e-3);
    }
}
