//! Points of the drawing and points of the profile: the two frames that must not be taken for each other.
//!
//! A profile keeps its points about a datum of its own near the part, so that a part far from the drawing's zero keeps
//! its digits. Only a datum leads from one to the other: `point + datum` lies on the drawing, `place - datum` in the profile.

use super::point::Point;
use std::ops::{Add, Sub};

/// A point in the coordinates of the drawing, mm: what is shown, written, and told as a place.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct DrawingPoint(Point);

impl DrawingPoint {
    /// From the drawing's own coordinates, mm.
    pub fn new(x: f64, y: f64) -> Self {
        Self(Point::new(x, y))
    }
    /// Abscissa, mm.
    pub fn x(self) -> f64 {
        self.0.x
    }
    /// Ordinate, mm.
    pub fn y(self) -> f64 {
        self.0.y
    }
    /// Both coordinates, mm, as files and lists carry them.
    pub fn xy(self) -> [f64; 2] {
        [self.0.x, self.0.y]
    }
    /// Distance to another place, mm.
    pub fn distance(self, other: Self) -> f64 {
        self.0.distance(other.0)
    }
    /// Whether both coordinates are numbers.
    pub fn is_finite(self) -> bool {
        self.0.is_finite()
    }
}

/// Where the zero of a profile lies on its drawing, mm.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Datum(Point);

impl Datum {
    /// A zero at that place of the drawing.
    pub fn at(place: DrawingPoint) -> Self {
        Self(place.0)
    }
    /// The place on the drawing.
    pub fn place(self) -> DrawingPoint {
        DrawingPoint(self.0)
    }
    /// The datum moved by so much.
    #[must_use]
    pub fn moved(self, by: Point) -> Self {
        Self(self.0 + by)
    }
}

impl Add<Datum> for Point {
    type Output = DrawingPoint;
    fn add(self, datum: Datum) -> DrawingPoint {
        DrawingPoint(self + datum.0)
    }
}

impl Sub<Datum> for DrawingPoint {
    type Output = Point;
    fn sub(self, datum: Datum) -> Point {
        self.0 - datum.0
    }
}

/// From one place to another.
impl Sub for DrawingPoint {
    type Output = Point;
    fn sub(self, other: Self) -> Point {
        self.0 - other.0
    }
}

/// From one zero to another.
impl Sub for Datum {
    type Output = Point;
    fn sub(self, other: Self) -> Point {
        self.0 - other.0
    }
}
