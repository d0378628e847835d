//! How one thing is laid on another in the plane: perhaps turned over, then turned, then shifted; never stretched.

use super::{Contour, Point, Segment};

/// A rigid motion of the plane: x to −x where it is mirrored, then a turn about the origin, then a shift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Motion {
    /// Whether it turns over: a left turn becomes a right turn.
    pub mirrored: bool,
    /// Counter-clockwise, radians.
    pub turn: f64,
    /// After the turn, mm.
    pub shift: Point,
}

impl Motion {
    /// Everything stays where it is.
    pub const NONE: Self = Self {
        mirrored: false,
        turn: 0.0,
        shift: Point::ORIGIN,
    };

    /// Where a point comes to lie.
    pub fn point(&self, p: Point) -> Point {
        self.direction(p) + self.shift
    }
    /// Where a direction, or a difference of two points, comes to point.
    pub fn direction(&self, p: Point) -> Point {
        let x = if self.mirrored { -p.x } else { p.x };
        let (sin, cos) = self.turn.sin_cos();
        Point::new(cos * x - sin * p.y, sin * x + cos * p.y)
    }
    /// A line or arc where it comes to lie.
    pub fn segment(&self, s: &Segment) -> Segment {
        let bulge = if self.mirrored { -s.bulge } else { s.bulge };
        Segment::new(self.point(s.a), self.point(s.b), bulge)
    }
    /// A contour where it comes to lie, still counter-clockwise where it was so before.
    pub fn contour(&self, c: &Contour) -> Contour {
        let moved: Vec<Segment> = c.segments().map(|s| self.segment(&s)).collect();
        let moved = Contour::from_segments(&moved);
        if self.mirrored {
            moved.reversed()
        } else {
            moved
        }
    }
    /// This one, and then a small turn about the origin and a shift.
    #[must_use]
    pub fn then(&self, turn: f64, shift: Point) -> Self {
        let more = Self {
            mirrored: false,
            turn,
            shift,
        };
        Self {
            mirrored: self.mirrored,
            turn: self.turn + turn,
            shift: more.point(self.shift),
        }
    }
    /// The motion that takes everything back.
    #[must_use]
    pub fn back(&self) -> Self {
        // Turned over first, the turn runs the other way: M·R(t) = R(−t)·M.
        let turn = if self.mirrored { self.turn } else { -self.turn };
        let mut out = Self {
            turn,
            shift: Point::ORIGIN,
            ..*self
        };
        out.shift = -out.direction(self.shift);
        out
    }
    /// The turn within half a turn either way, degrees.
    pub fn degrees(&self) -> f64 {
        let degrees = self.turn.to_degrees().rem_euclid(360.0);
        if degrees > 180.0 {
            degrees - 360.0
        } else {
            degrees
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back_is_nowhere() {
        for mirrored in [false, true] {
            let m = Motion {
                mirrored,
                turn: 2.1,
                shift: Point::new(31.0, -7.0),
            };
            for p in [Point::new(3.0, 4.0), Point::new(-120.0, 0.5)] {
                assert!(m.back().point(m.point(p)).distance(p) < 1e-12);
                assert!(m.point(m.back().point(p)).distance(p) < 1e-12);
            }
        }
    }

    #[test]
    fn lengths_and_areas_stay_and_a_contour_keeps_its_sense() {
        let c = Contour::new(vec![
            super::super::Vertex {
                at: Point::ORIGIN,
                bulge: 0.0,
            },
            super::super::Vertex {
                at: Point::new(10.0, 0.0),
                bulge: 0.4,
            },
            super::super::Vertex {
                at: Point::new(10.0, 5.0),
                bulge: -0.2,
            },
        ]);
        for mirrored in [false, true] {
            let m = Motion {
                mirrored,
                turn: -0.7,
                shift: Point::new(-5.0, 2.0),
            };
            let moved = m.contour(&c);
            assert!((moved.signed_area() - c.signed_area()).abs() < 1e-12);
            assert!((moved.length() - c.length()).abs() < 1e-12);
        }
    }

    #[test]
    fn a_turn_is_told_the_short_way() {
        let turned = |degrees: f64| Motion {
            turn: degrees.to_radians(),
            ..Motion::NONE
        };
        assert!((turned(270.0).degrees() + 90.0).abs() < 1e-9);
        assert!((turned(-180.0).degrees() - 180.0).abs() < 1e-9);
        assert!((turned(725.0).degrees() - 5.0).abs() < 1e-9);
    }
}
