//! Affine maps of space: an entity's own plane (OCS), a block in its place, the drawing's unit.

use crate::drawing::format::Vec3;
use crate::geometry::{Datum, Point};

/// An affine map: columns are the images of the axes, then the image of the origin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    x: Vec3,
    y: Vec3,
    z: Vec3,
    origin: Vec3,
}

/// Components of a normal below which the DXF reference's arbitrary axis rule takes the world's y.
const ARBITRARY_AXIS: f64 = 1.0 / 64.0;

impl Frame {
    /// Changes nothing.
    pub const WORLD: Self = Self {
        x: [1.0, 0.0, 0.0],
        y: [0.0, 1.0, 0.0],
        z: [0.0, 0.0, 1.0],
        origin: [0.0; 3],
    };

    /// Multiplies by a factor, then moves: the drawing's unit to mm about a near datum.
    pub fn unit(factor: f64, datum: Datum) -> Self {
        let [x, y] = datum.place().xy();
        Self {
            x: [factor, 0.0, 0.0],
            y: [0.0, factor, 0.0],
            z: [0.0, 0.0, factor],
            origin: [-x, -y, 0.0],
        }
    }
    /// From an entity's own plane to the world, by its normal (arbitrary axis rule of the DXF
    /// reference). A normal of no length counts as (0, 0, 1).
    pub fn of_normal(normal: Vec3) -> Self {
        let Some(z) = unit(normal) else {
            return Self::WORLD;
        };
        let near_z = z[0].abs() < ARBITRARY_AXIS && z[1].abs() < ARBITRARY_AXIS;
        let helper = if near_z {
            [0.0, 1.0, 0.0]
        } else {
            [0.0, 0.0, 1.0]
        };
        let x = unit(cross(helper, z)).unwrap_or([1.0, 0.0, 0.0]);
        Self {
            x,
            y: cross(z, x),
            z,
            origin: [0.0; 3],
        }
    }
    /// Scales, turns about z (radians) and moves, in this order.
    pub fn placed(scale: Vec3, rotation: f64, at: Vec3) -> Self {
        let (s, c) = exact_sin_cos(rotation);
        Self {
            x: [c * scale[0], s * scale[0], 0.0],
            y: [-s * scale[1], c * scale[1], 0.0],
            z: [0.0, 0.0, scale[2]],
            origin: at,
        }
    }
    /// First moves by a vector, then does what this does.
    #[must_use]
    pub fn after_moving(&self, by: Vec3) -> Self {
        Self {
            origin: self.space(by),
            ..*self
        }
    }
    /// First the inner map, then this one.
    #[must_use]
    pub fn after(&self, inner: &Self) -> Self {
        Self {
            x: self.vector(inner.x),
            y: self.vector(inner.y),
            z: self.vector(inner.z),
            origin: self.space(inner.origin),
        }
    }
    /// Image of a point, in space.
    pub fn space(&self, p: Vec3) -> Vec3 {
        add(self.vector(p), self.origin)
    }
    /// Image of a vector, in space.
    pub fn vector(&self, v: Vec3) -> Vec3 {
        add(
            add(times(self.x, v[0]), times(self.y, v[1])),
            times(self.z, v[2]),
        )
    }
    /// Image of a point, seen from above.
    pub fn point(&self, p: Vec3) -> Point {
        let q = self.space(p);
        Point::new(q[0], q[1])
    }
    /// Image of a vector, seen from above.
    pub fn direction(&self, v: Vec3) -> Point {
        let q = self.vector(v);
        Point::new(q[0], q[1])
    }
    /// The factor by which lengths in the xy plane grow where it is the same in all directions and
    /// the plane stays level; negative when mirrored.
    pub fn similarity(&self) -> Option<f64> {
        let (u, v) = (
            Point::new(self.x[0], self.x[1]),
            Point::new(self.y[0], self.y[1]),
        );
        let (a, b) = (u.norm(), v.norm());
        let even = (a - b).abs() <= 1e-12 * a.max(b) && u.dot(v).abs() <= 1e-12 * a * b;
        let level = self.x[2].abs() <= 1e-9 * a && self.y[2].abs() <= 1e-9 * b;
        (even && level && a > 0.0).then(|| if u.cross(v) < 0.0 { -a } else { a })
    }
    /// Whether the xy plane is seen under an angle.
    pub fn is_tilted(&self) -> bool {
        let size = |v: Vec3| v[0].hypot(v[1]);
        self.x[2].abs() > 1e-9 * size(self.x) || self.y[2].abs() > 1e-9 * size(self.y)
    }
}

/// Sine and cosine that are exact at quarter turns, so that turned blocks stay level.
fn exact_sin_cos(angle: f64) -> (f64, f64) {
    let quarters = angle / std::f64::consts::FRAC_PI_2;
    if (quarters - quarters.round()).abs() < 1e-14 {
        return match quarters.round().rem_euclid(4.0) as u8 {
            0 => (0.0, 1.0),
            1 => (1.0, 0.0),
            2 => (0.0, -1.0),
            _ => (-1.0, 0.0),
        };
    }
    angle.sin_cos()
}

/// Vector product.
pub fn cross(a: Vec3, b: Vec3) -> Vec3 {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

/// Sum.
pub fn add(a: Vec3, b: Vec3) -> Vec3 {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}

/// Multiple.
pub fn times(v: Vec3, f: f64) -> Vec3 {
    [v[0] * f, v[1] * f, v[2] * f]
}

/// Length 1 in the same direction; `None` for the zero vector.
pub fn unit(v: Vec3) -> Option<Vec3> {
    let n = (v[0] * v[0] + v[1] * v[1] + v[2] * v[2]).sqrt();
    (n > 0.0 && n.is_finite()).then(|| times(v, 1.0 / n))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::DrawingPoint;

    #[test]
    fn a_normal_downwards_mirrors_x() {
        // DXF reference, arbitrary axis: (0,0,-1) gives Ax = (0,1,0) × (0,0,-1) = (-1,0,0).
        let f = Frame::of_normal([0.0, 0.0, -1.0]);
        assert_eq!(f.point([3.0, 2.0, 0.0]), Point::new(-3.0, 2.0));
        assert_eq!(f.similarity(), Some(-1.0));
        assert!(!f.is_tilted());
    }

    #[test]
    fn maps_follow_each_other() {
        let inner = Frame::placed(
            [2.0, 2.0, 1.0],
            std::f64::consts::FRAC_PI_2,
            [10.0, 0.0, 0.0],
        );
        let outer = Frame::unit(25.4, Datum::at(DrawingPoint::new(1.0, 1.0)));
        // (1,0) → doubled (2,0) → turned (0,2) → moved (10,2) → in mm (254, 50.8) → about (1,1).
        let p = outer.after(&inner).point([1.0, 0.0, 0.0]);
        assert!((p - Point::new(253.0, 49.8)).norm() < 1e-12);
        assert_eq!(
            Frame::placed([2.0, 3.0, 1.0], 0.4, [0.0; 3]).similarity(),
            None
        );
        assert!(Frame::of_normal([0.0, 1.0, 1.0]).is_tilted());
    }
}
