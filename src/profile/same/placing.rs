//! A turn and a shift, and the best of them by least squares (Gauss and Newton): points are brought onto a line.

use crate::geometry::Point;

/// Share of the fit's own weight by which shift and turn are held back: it decides only what nothing else does.
const HELD_BACK: f64 = 1e-9;

/// A turn about the middle and a shift after it.
#[derive(Clone, Copy)]
pub(super) struct Place {
    cos: f64,
    sin: f64,
    shift: Point,
}

impl Place {
    pub(super) fn turned(angle: f64) -> Self {
        Self {
            cos: angle.cos(),
            sin: angle.sin(),
            shift: Point::ORIGIN,
        }
    }
    fn rotated(&self, p: Point) -> Point {
        Point::new(
            self.cos * p.x - self.sin * p.y,
            self.sin * p.x + self.cos * p.y,
        )
    }
    pub(super) fn to(&self, p: Point) -> Point {
        self.rotated(p) + self.shift
    }
    pub(super) fn back(&self, p: Point) -> Point {
        let p = p - self.shift;
        Point::new(
            self.cos * p.x + self.sin * p.y,
            self.cos * p.y - self.sin * p.x,
        )
    }
    pub(super) fn then(&self, angle: f64, shift: Point) -> Self {
        let more = Self::turned(angle);
        Self {
            cos: more.cos * self.cos - more.sin * self.sin,
            sin: more.sin * self.cos + more.cos * self.sin,
            shift: more.rotated(self.shift) + shift,
        }
    }
}

/// Least squares for a small turn and shift that bring points onto a line, each across it.
#[derive(Default)]
pub(in crate::profile) struct Fit {
    /// Normal matrix and right side for shift x, shift y and turn.
    m: [[f64; 3]; 3],
    right: [f64; 3],
}

impl Fit {
    pub(in crate::profile) fn add(&mut self, at: Point, on: Point, normal: Point) {
        let row = [normal.x, normal.y, at.cross(normal)];
        let off = (on - at).dot(normal);
        for (i, r) in row.iter().enumerate() {
            for (j, c) in row.iter().enumerate() {
                self.m[i][j] += r * c;
            }
            self.right[i] += r * off;
        }
    }
    /// The turn in radians and the shift; a little is held back, so that a circle turns nowhere.
    pub(in crate::profile) fn solved(mut self, radius: f64) -> Option<(f64, Point)> {
        let weight = self.m[0][0] + self.m[1][1];
        for (k, unit) in [1.0, 1.0, radius * radius].into_iter().enumerate() {
            self.m[k][k] += HELD_BACK * weight * unit;
        }
        let det = |m: &[[f64; 3]; 3]| {
            m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1])
                - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
                + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
        };
        let whole = det(&self.m);
        let mut solved = [0.0; 3];
        for (k, value) in solved.iter_mut().enumerate() {
            let mut m = self.m;
            for (row, right) in m.iter_mut().zip(self.right) {
                row[k] = right;
            }
            *value = det(&m) / whole;
        }
        let [x, y, turn] = solved;
        solved
            .iter()
            .all(|v| v.is_finite())
            .then(|| (turn, Point::new(x, y)))
    }
}
