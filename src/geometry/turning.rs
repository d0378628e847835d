//! How much a path turns inside a sliding window, and what that costs.
//!
//! θ(x) is the sum of absolute direction changes inside a window of length s centred at x. The machine
//! runs at the share r = 1 − c·(1 − cos min(θ, π))/2 of its feed there. θ is piecewise linear along lines
//! and arcs with jumps at corners, so the time is integrated exactly, and a finely chopped arc costs the
//! same as the arc.

use super::contour::Contour;
use std::f64::consts::PI;

/// A place where θ changes: by a jump at once, and by a change of its slope from there on.
#[derive(Clone, Copy)]
struct Change {
    at: f64,
    jump: f64,
    slope: f64,
}

/// Length in mm that a closed path seems longer by because corners slow it: ∫ (1/r − 1) dx.
///
/// Divided by the feed it is the time that corners add. `window` in mm, `slowdown` c in 0 … 1 (below 1).
pub fn corner_excess(path: &Contour, window: f64, slowdown: f64) -> f64 {
    let turning = Turning::of(path);
    if turning.total <= 0.0 || window <= 0.0 || slowdown <= 0.0 {
        return 0.0;
    }
    let half = window / 2.0;
    let mut theta = turning.cumulative(half) - turning.cumulative(-half);
    let mut slope = turning.curvature_before(half) - turning.curvature_before(-half);
    // A change enters the window half a window before its place and leaves half a window behind it.
    let mut enter = turning.shifted(-half, 1.0).peekable();
    let mut leave = turning.shifted(half, -1.0).peekable();
    let (mut x, mut excess) = (0.0, 0.0);
    loop {
        let change = match (enter.peek(), leave.peek()) {
            (Some(a), Some(b)) if a.at <= b.at => enter.next(),
            (_, Some(_)) => leave.next(),
            (_, None) => enter.next(),
        };
        let to = change.map_or(turning.total, |c| c.at);
        if to > x {
            excess += stretch(to - x, theta, slope, slowdown);
            theta += slope * (to - x);
            x = to;
        }
        let Some(c) = change else { break };
        theta = (theta + c.jump).max(0.0);
        slope += c.slope;
    }
    excess.max(0.0)
}

/// Corners as jumps and |curvature| as slopes, along a closed path from vertex 0.
struct Turning {
    changes: Vec<Change>,
    /// |Curvature| just before vertex 0, 1/mm.
    seam_curvature: f64,
    /// Length of the path, mm.
    total: f64,
    /// Turning once around, radians.
    whole: f64,
}

impl Turning {
    fn of(path: &Contour) -> Self {
        let n = path.len();
        if n == 0 {
            return Self {
                changes: Vec::new(),
                seam_curvature: 0.0,
                total: 0.0,
                whole: 0.0,
            };
        }
        let before = path.segment(n - 1);
        let seam_curvature = before.curvature().abs();
        let (mut direction, mut curvature) = (before.end_direction(), seam_curvature);
        let (mut along, mut whole) = (0.0, 0.0);
        let mut changes = Vec::with_capacity(n);
        for s in path.segments() {
            let k = s.curvature().abs();
            let jump = direction.turn_to(s.start_direction()).abs();
            changes.push(Change {
                at: along,
                jump,
                slope: k - curvature,
            });
            whole += jump + s.sweep().abs();
            direction = s.end_direction();
            curvature = k;
            along += s.length();
        }
        Self {
            changes,
            seam_curvature,
            total: along,
            whole,
        }
    }

    /// Turning from vertex 0 up to but not at x, taken around; negative before vertex 0.
    fn cumulative(&self, x: f64) -> f64 {
        let turns = (x / self.total).floor();
        let end = x - turns * self.total;
        let (mut sum, mut curvature, mut at) = (0.0, self.seam_curvature, 0.0);
        for c in self.changes.iter().take_while(|c| c.at < end) {
            sum += curvature * (c.at - at) + c.jump;
            curvature += c.slope;
            at = c.at;
        }
        turns * self.whole + sum + curvature * (end - at)
    }

    /// |Curvature| just before x, taken around, 1/mm.
    fn curvature_before(&self, x: f64) -> f64 {
        let x = x.rem_euclid(self.total);
        let passed = self.changes.iter().take_while(|c| c.at < x);
        self.seam_curvature + passed.map(|c| c.slope).sum::<f64>()
    }

    /// The changes moved along the path, in order from 0, taken around; `sign` −1 undoes them.
    fn shifted(&self, shift: f64, sign: f64) -> impl Iterator<Item = Change> {
        let place = move |c: &Change| (c.at + shift).rem_euclid(self.total);
        let n = self.changes.len();
        // Moving keeps the cyclic order: begin where it wraps.
        let first = (1..n)
            .find(|&k| place(&self.changes[k]) < place(&self.changes[k - 1]))
            .unwrap_or(0);
        (0..n).map(move |k| {
            let c = self.changes[(first + k) % n];
            Change {
                at: place(&c),
                jump: sign * c.jump,
                slope: sign * c.slope,
            }
        })
    }
}

/// ∫ (1/r − 1) dx over a stretch on which θ runs linearly.
fn stretch(length: f64, theta: f64, slope: f64, c: f64) -> f64 {
    let end = theta + slope * length;
    let full = 1.0 / (1.0 - c) - 1.0;
    if theta.max(end) > PI && (theta - PI) * (end - PI) < 0.0 {
        // Split where the half turn is reached: beyond it the feed falls no further.
        let to_pi = (PI - theta) / slope;
        return if theta < PI {
            stretch(to_pi, theta, slope, c) + full * (length - to_pi)
        } else {
            full * to_pi + stretch(length - to_pi, PI, slope, c)
        };
    }
    if theta >= PI && end >= PI {
        return full * length;
    }
    let (a, b) = (theta.clamp(0.0, PI), end.clamp(0.0, PI));
    if (b - a).abs() < 1e-7 {
        let middle = 0.5 * (a + b);
        return length * (1.0 / (1.0 - c * (1.0 - middle.cos()) / 2.0) - 1.0);
    }
    // ∫ dθ / (1 − c(1 − cos θ)/2) = 2/√(1−c) · atan(√(1−c) · tan(θ/2)), a standard integral.
    let root = (1.0 - c).sqrt();
    let primitive = |t: f64| 2.0 / root * (root * (t / 2.0).sin()).atan2((t / 2.0).cos());
    length * ((primitive(b) - primitive(a)) / (b - a) - 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Point, Vertex};

    /// Polygon with one corner of interest far from others cannot close, so compare whole shapes by hand.
    fn by_hand(turns: &[f64], window: f64, c: f64) -> f64 {
        turns
            .iter()
            .map(|t| window * (1.0 / (1.0 - c * (1.0 - t.cos()) / 2.0) - 1.0))
            .sum()
    }

    #[test]
    fn sharp_corners_add_exactly_the_window_each() {
        let square = Contour::polygon(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]);
        let expected = by_hand(&[PI / 2.0; 4], 0.75, 0.65);
        assert!((corner_excess(&square, 0.75, 0.65) - expected).abs() < 1e-12);
        let triangle = Contour::polygon(&[(0.0, 0.0), (30.0, 0.0), (15.0, 15.0 * 3.0_f64.sqrt())]);
        let expected = by_hand(&[PI / 1.5; 3], 1.5, 0.65);
        assert!((corner_excess(&triangle, 1.5, 0.65) - expected).abs() < 1e-12);
    }

    #[test]
    fn a_circle_is_slowed_evenly() {
        // θ = s/R everywhere.
        for r in [0.2, 0.4, 2.0, 50.0] {
            let c = Contour::circle(Point::new(3.0, 4.0), r);
            let theta = (0.7_f64 / r).min(PI);
            let expected = c.length() * (1.0 / (1.0 - 0.65 * (1.0 - theta.cos()) / 2.0) - 1.0);
            assert!(
                (corner_excess(&c, 0.7, 0.65) - expected).abs() < 1e-9 * expected.max(1.0),
                "{r}"
            );
        }
    }

    #[test]
    fn a_chopped_circle_costs_what_the_circle_costs() {
        let r = 2.0;
        let n = 720;
        let points: Vec<(f64, f64)> = (0..n)
            .map(|k| {
                let a = 2.0 * PI * f64::from(k) / f64::from(n);
                (r * a.cos(), r * a.sin())
            })
            .collect();
        let exact = corner_excess(&Contour::circle(Point::ORIGIN, r), 0.7, 0.65);
        let chopped = corner_excess(&Contour::polygon(&points), 0.7, 0.65);
        assert!((chopped / exact - 1.0).abs() < 1e-2, "{chopped} {exact}");
    }

    #[test]
    fn start_and_direction_do_not_matter() {
        let v = |x, y, bulge| Vertex {
            at: Point::new(x, y),
            bulge,
        };
        let shape = vec![
            v(0.0, 0.0, 0.0),
            v(10.0, 0.0, 0.4),
            v(10.0, 6.0, -0.3),
            v(4.0, 6.0, 0.0),
            v(4.0, 6.4, 0.9),
            v(0.0, 3.0, 0.0),
        ];
        let c = Contour::new(shape.clone());
        let reference = corner_excess(&c, 0.9, 0.65);
        assert!((corner_excess(&c.reversed(), 0.9, 0.65) - reference).abs() < 1e-9);
        for k in 1..shape.len() {
            let mut turned = shape.clone();
            turned.rotate_left(k);
            let e = corner_excess(&Contour::new(turned), 0.9, 0.65);
            assert!((e - reference).abs() < 1e-9, "{k}: {e} {reference}");
        }
    }

    #[test]
    fn a_numerical_integral_agrees() {
        // Independent of the closed form: sum θ over a fine grid by brute force.
        let v = |x, y, bulge| Vertex {
            at: Point::new(x, y),
            bulge,
        };
        let c = Contour::new(vec![
            v(0.0, 0.0, 0.2),
            v(8.0, 0.0, 0.0),
            v(8.0, 5.0, -0.5),
            v(3.0, 5.0, 0.1),
            v(0.0, 4.0, 0.0),
        ]);
        let (window, slow) = (1.3, 0.65);
        let total = c.length();
        let n = 400_000;
        let h = total / f64::from(n);
        // Turning per cell of the grid.
        let mut cell = vec![0.0; n as usize];
        let mut along = 0.0;
        let mut before = c.segment(c.len() - 1).end_direction();
        for s in c.segments() {
            cell[((along / h) as usize).min(n as usize - 1)] +=
                before.turn_to(s.start_direction()).abs();
            before = s.end_direction();
            let k = s.curvature().abs();
            let (a, b) = ((along / h) as usize, ((along + s.length()) / h) as usize);
            for x in cell.iter_mut().take(b.min(n as usize)).skip(a) {
                *x += k * h;
            }
            along += s.length();
        }
        let w = (window / h / 2.0) as usize;
        let m = n as usize;
        let mut theta: f64 = (0..=2 * w).map(|j| cell[(m + j - w) % m]).sum();
        let mut excess = 0.0;
        for i in 0..m {
            excess += h * (1.0 / (1.0 - slow * (1.0 - theta.clamp(0.0, PI).cos()) / 2.0) - 1.0);
            theta += cell[(i + w + 1) % m] - cell[(m + i - w) % m];
        }
        let exact = corner_excess(&c, window, slow);
        assert!((exact / excess - 1.0).abs() < 1e-3, "{exact} {excess}");
    }
}
