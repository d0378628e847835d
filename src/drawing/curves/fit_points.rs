//! Splines that are given by the points they pass through alone.

use super::frame::Frame;
use crate::drawing::format::{SplineData, Vec3};
use crate::geometry::Point;

/// A cubic with continuous curvature through the points, its parameter the length of the chords; ends
/// along the given tangents, or without curvature there.
pub fn through_fit_points(data: &SplineData, frame: &Frame) -> Option<Vec<[Point; 4]>> {
    let mut points: Vec<Point> = data.fit.iter().map(|&p| frame.point(p)).collect();
    points.dedup();
    if data.closed && points.first() != points.last() {
        points.push(*points.first()?);
    }
    let n = points.len();
    if n < 2 {
        return None;
    }
    let h: Vec<f64> = points.windows(2).map(|p| p[0].distance(p[1])).collect();
    let tangent = |v: Vec3| {
        let d = frame.direction(v);
        (d.norm() > 0.0).then(|| d.unit())
    };
    let slopes = slopes(
        &points,
        &h,
        tangent(data.start_tangent),
        tangent(data.end_tangent),
    );
    Some(
        (0..n - 1)
            .map(|i| {
                let third = h[i] / 3.0;
                let inner = [
                    points[i] + slopes[i] * third,
                    points[i + 1] - slopes[i + 1] * third,
                ];
                [points[i], inner[0], inner[1], points[i + 1]]
            })
            .collect(),
    )
}

/// Derivatives at the points of the interpolating cubic: a tridiagonal system, solved by elimination
/// (C. de Boor, A Practical Guide to Splines, chapter IV).
fn slopes(points: &[Point], h: &[f64], start: Option<Point>, end: Option<Point>) -> Vec<Point> {
    let n = points.len();
    let chord = |i: usize| (points[i + 1] - points[i]) * (1.0 / h[i]);
    // Row i: below·m[i−1] + middle·m[i] + above·m[i+1] = right.
    let mut rows: Vec<(f64, f64, f64, Point)> = Vec::with_capacity(n);
    rows.push(match start {
        Some(t) => (0.0, 1.0, 0.0, t),
        None => (0.0, 2.0, 1.0, chord(0) * 3.0),
    });
    for i in 1..n - 1 {
        let right = (chord(i - 1) * h[i] + chord(i) * h[i - 1]) * 3.0;
        rows.push((h[i], 2.0 * (h[i - 1] + h[i]), h[i - 1], right));
    }
    rows.push(match end {
        Some(t) => (0.0, 1.0, 0.0, t),
        None => (1.0, 2.0, 0.0, chord(n - 2) * 3.0),
    });
    for i in 1..n {
        let factor = rows[i].0 / rows[i - 1].1;
        rows[i].1 -= factor * rows[i - 1].2;
        rows[i].3 = rows[i].3 - rows[i - 1].3 * factor;
    }
    let mut m = vec![Point::ORIGIN; n];
    for i in (0..n).rev() {
        let next = if i + 1 < n {
            m[i + 1] * rows[i].2
        } else {
            Point::ORIGIN
        };
        m[i] = (rows[i].3 - next) * (1.0 / rows[i].1);
    }
    m
}
