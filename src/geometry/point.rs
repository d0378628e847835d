//! Points and directions in the plane of the drawing, in millimetres.

use serde::{Deserialize, Serialize};
use std::ops::{Add, Mul, Neg, Sub};

/// A point, or the vector from the origin to it, in mm.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Point {
    /// To the right, mm.
    pub x: f64,
    /// Upwards, mm.
    pub y: f64,
}

impl Point {
    /// The origin.
    pub const ORIGIN: Self = Self { x: 0.0, y: 0.0 };

    /// A point from its coordinates in mm.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }
    /// The unit vector at an angle (radians, counter-clockwise from +x).
    pub fn at_angle(angle: f64) -> Self {
        Self::new(angle.cos(), angle.sin())
    }
    /// Distance to another point, mm.
    pub fn distance(self, other: Self) -> f64 {
        (other - self).norm()
    }
    /// Length as a vector, mm.
    pub fn norm(self) -> f64 {
        let squared = self.dot(self);
        // Beyond 1e±150 the squares leave the range of numbers; else the root is quicker than hypot.
        if squared.is_normal() {
            squared.sqrt()
        } else {
            self.x.hypot(self.y)
        }
    }
    /// Scalar product.
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }
    /// z of the vector product: positive where `other` lies to the left of `self`.
    pub fn cross(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }
    /// Turned a quarter to the left.
    #[must_use]
    pub fn left(self) -> Self {
        Self::new(-self.y, self.x)
    }
    /// The direction of this vector with length 1; the zero vector stays.
    #[must_use]
    pub fn unit(self) -> Self {
        let n = self.norm();
        if n > 0.0 { self * (1.0 / n) } else { self }
    }
    /// The point a fraction `t` of the way to `other`.
    #[must_use]
    pub fn lerp(self, other: Self, t: f64) -> Self {
        self + (other - self) * t
    }
    /// Signed angle from this direction to another, radians in (−π, π], left positive.
    pub fn turn_to(self, other: Self) -> f64 {
        self.cross(other).atan2(self.dot(other))
    }
    /// Angle of this vector from +x, radians.
    pub fn angle(self) -> f64 {
        self.y.atan2(self.x)
    }
    /// Whether both coordinates are numbers.
    pub fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }
}

impl Add for Point {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        Self::new(self.x + o.x, self.y + o.y)
    }
}
impl Sub for Point {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        Self::new(self.x - o.x, self.y - o.y)
    }
}
impl Mul<f64> for Point {
    type Output = Self;
    fn mul(self, f: f64) -> Self {
        Self::new(self.x * f, self.y * f)
    }
}
impl Neg for Point {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.x, -self.y)
    }
}

/// An upright box, mm. Empty when nothing was put in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Lower left corner.
    pub min: Point,
    /// Upper right corner.
    pub max: Point,
}

impl Bounds {
    /// Nothing inside.
    pub const EMPTY: Self = Self {
        min: Point::new(f64::INFINITY, f64::INFINITY),
        max: Point::new(f64::NEG_INFINITY, f64::NEG_INFINITY),
    };
    /// Whether nothing was put in.
    pub fn is_empty(&self) -> bool {
        self.min.x > self.max.x
    }
    /// Grown to hold a point.
    pub fn include(&mut self, p: Point) {
        self.min = Point::new(self.min.x.min(p.x), self.min.y.min(p.y));
        self.max = Point::new(self.max.x.max(p.x), self.max.y.max(p.y));
    }
    /// Grown to hold another box.
    pub fn include_bounds(&mut self, other: &Self) {
        if !other.is_empty() {
            self.include(other.min);
            self.include(other.max);
        }
    }
    /// Width and height, mm; zero when empty.
    pub fn size(&self) -> Point {
        if self.is_empty() {
            Point::ORIGIN
        } else {
            self.max - self.min
        }
    }
    /// Length of the diagonal, mm.
    pub fn diagonal(&self) -> f64 {
        self.size().norm()
    }
    /// Whether it has a point in common with another box, an edge enough.
    pub fn meets(&self, other: &Self) -> bool {
        self.min.x <= other.max.x
            && other.min.x <= self.max.x
            && self.min.y <= other.max.y
            && other.min.y <= self.max.y
    }
    /// The middle; the origin when empty.
    pub fn centre(&self) -> Point {
        if self.is_empty() {
            Point::ORIGIN
        } else {
            (self.min + self.max) * 0.5
        }
    }
    /// Distance from a point to the corner that is farthest from it, mm.
    pub fn farthest(&self, p: Point) -> f64 {
        let along = |low: f64, high: f64, at: f64| (at - low).abs().max((high - at).abs());
        let (x, y) = (
            along(self.min.x, self.max.x, p.x),
            along(self.min.y, self.max.y, p.y),
        );
        x.hypot(y)
    }
    /// Whether a point is inside or on the edge.
    pub fn contains(&self, p: Point) -> bool {
        p.x >= self.min.x && p.x <= self.max.x && p.y >= self.min.y && p.y <= self.max.y
    }
    /// Grown by a margin on every side, mm.
    #[must_use]
    pub fn grown(&self, margin: f64) -> Self {
        Self {
            min: self.min - Point::new(margin, margin),
            max: self.max + Point::new(margin, margin),
        }
    }
    /// Moved by a vector.
    #[must_use]
    pub fn moved(&self, by: Point) -> Self {
        Self {
            min: self.min + by,
            max: self.max + by,
        }
    }
}
