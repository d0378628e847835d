//! Arcs of circles and ellipses in any affine frame.

use super::quadrature::{Measure, joined, measure};
use crate::drawing::format::LARGEST_NUMBER;
use crate::geometry::{Point, Segment, biarc};
use std::f64::consts::{FRAC_PI_2, TAU};

/// `centre + u·cos t + v·sin t` from `start` through `sweep` (radians, either way).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conic {
    /// The middle, mm.
    pub centre: Point,
    /// Half axis at t = 0, mm.
    pub u: Point,
    /// Half axis at a quarter turn, mm; needs not be square to `u`.
    pub v: Point,
    /// Parameter of the start, radians.
    pub start: f64,
    /// Change of the parameter, radians, at most a full turn.
    pub sweep: f64,
}

/// Share below which two half axes count as equal, square or parallel.
const ALIKE: f64 = 1e-12;

impl Conic {
    /// Position and derivative at a parameter.
    pub fn at(&self, t: f64) -> biarc::Sample {
        let (s, c) = t.sin_cos();
        (
            self.centre + self.u * c + self.v * s,
            self.v * c - self.u * s,
        )
    }
    /// Whether no point of it lies beyond any drawing.
    pub fn is_within_bounds(&self) -> bool {
        // Undefined sums are not below the bound either.
        self.centre.norm() + self.u.norm() + self.v.norm() <= LARGEST_NUMBER
    }
    /// Lines and arcs within the biarc tolerance, and the true measure; `None` when seen edge on.
    pub fn cut(&self) -> Option<(Vec<Segment>, Measure)> {
        let (a, b) = (self.u.norm(), self.v.norm());
        let turn = self.u.cross(self.v);
        if turn.abs() <= ALIKE * a * b || !turn.is_finite() || !self.is_within_bounds() {
            return None;
        }
        if (a - b).abs() <= ALIKE * a && self.u.dot(self.v).abs() <= ALIKE * a * b {
            return Some(self.circular(a, turn.signum()));
        }
        let pieces = (self.sweep.abs() / FRAC_PI_2).ceil().max(1.0) as u32;
        let step = self.sweep / f64::from(pieces);
        let scale = self.centre.norm() + a + b;
        // Far out, halving ends at the rounding of the place.
        let tolerance = biarc::tolerance_for(a + b).max(16.0 * f64::EPSILON * scale);
        let full = (self.sweep.abs() - TAU).abs() < 1e-12;
        let closing = self.at(self.start).0;
        let (mut segments, mut measures) = (Vec::new(), Vec::new());
        for k in 0..pieces {
            // Within one turn, so that a parameter far beyond it keeps its digits.
            let from = self.start.rem_euclid(TAU) + step * f64::from(k);
            let f = |t: f64| {
                let (p, d) = self.at(from + step * t);
                (p, d * step)
            };
            let mut arcs = biarc::arcs(&f, 0.0, 1.0, tolerance);
            if full
                && k + 1 == pieces
                && let Some(last) = arcs.last_mut()
            {
                last.b = closing;
            }
            measures.push((f(0.0).0, f(1.0).0, measure(&f, 0.0, 1.0, scale)));
            segments.append(&mut arcs);
        }
        Some((segments, joined(measures)))
    }

    fn circular(&self, radius: f64, side: f64) -> (Vec<Segment>, Measure) {
        let sweep = self.sweep * side;
        let start = (self.at(self.start).0 - self.centre).angle();
        let segments = Segment::arc(self.centre, radius, start, sweep);
        let area = 0.5 * radius * radius * (sweep - sweep.sin());
        (
            segments,
            Measure {
                length: radius * sweep.abs(),
                area,
            },
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    #[test]
    fn a_mirrored_circle_runs_clockwise() {
        let c = Conic {
            centre: Point::ORIGIN,
            u: Point::new(-3.0, 0.0),
            v: Point::new(0.0, 3.0),
            start: 0.0,
            sweep: TAU,
        };
        let (segments, m) = c.cut().unwrap();
        assert_eq!(segments.len(), 2);
        assert!((m.length - 6.0 * PI).abs() < 1e-12 && (m.area + 9.0 * PI).abs() < 1e-12);
    }

    #[test]
    fn a_sheared_circle_keeps_its_area() {
        // Shear has determinant 1: area π r².
        let c = Conic {
            centre: Point::new(100.0, 0.0),
            u: Point::new(2.0, 0.0),
            v: Point::new(1.0, 2.0),
            start: 0.7,
            sweep: TAU,
        };
        let (segments, m) = c.cut().unwrap();
        assert_eq!(segments[0].a, segments.last().unwrap().b);
        assert!((m.area - 4.0 * PI).abs() < 1e-10);
        let arcs: f64 = segments.iter().map(Segment::length).sum();
        assert!((arcs - m.length).abs() < 1e-4);
        let flat = Conic {
            v: Point::new(4.0, 0.0),
            ..c
        };
        assert!(flat.cut().is_none());
    }
}
