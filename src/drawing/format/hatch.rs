//! The boundaries of a HATCH: polylines with bulges, or edges that are lines, arcs, parts of ellipses
//! and splines. Codes and their order are those of the DXF reference, HATCH, "boundary path data".

use super::entity::{Edges, FlatVertex, Shape, SplineData, Vec3, sweep};
use super::fields::{Fields, Rejected};
use std::f64::consts::TAU;

/// Bits of code 92: the path is a polyline; it goes around a text and is not drawn.
const POLYLINE: i64 = 2;
const AROUND_TEXT: i64 = 8;
const UP: Vec3 = [0.0, 0.0, 1.0];

/// All boundaries of a HATCH.
pub fn edges(fields: &mut Fields<'_, '_>) -> Result<Box<Edges>, Rejected> {
    let (normal, elevation) = (fields.normal()?, fields.height(30));
    let start = fields.pairs.iter().position(|p| p.code == 91);
    let mut walk = Walk {
        next: start.ok_or_else(|| fields.incomplete())?,
        fields,
        elevation,
    };
    let mut shapes = Vec::new();
    for _ in 0..walk.count(91)? {
        let flags = walk.whole(92)?;
        let before = shapes.len();
        if flags & POLYLINE != 0 {
            shapes.push(walk.polyline()?);
        } else {
            for _ in 0..walk.count(93)? {
                shapes.push(walk.edge()?);
            }
        }
        if flags & AROUND_TEXT != 0 {
            shapes.truncate(before);
        }
        if walk.whole_if(97).is_some() {
            while walk.is_at(330) {
                walk.next += 1;
            }
        }
    }
    if shapes.is_empty() {
        return Err(walk.fields.incomplete());
    }
    Ok(Box::new(Edges { shapes, normal }))
}

/// Goes through the pairs in their order.
struct Walk<'w, 'a, 'p> {
    fields: &'w mut Fields<'a, 'p>,
    next: usize,
    elevation: f64,
}

impl Walk<'_, '_, '_> {
    fn is_at(&self, code: i32) -> bool {
        self.fields
            .pairs
            .get(self.next)
            .is_some_and(|p| p.code == code)
    }
    fn real(&mut self, code: i32) -> Result<f64, Rejected> {
        if !self.is_at(code) {
            return Err(self.fields.incomplete());
        }
        let pair = self.fields.pairs[self.next];
        self.next += 1;
        self.fields.number(&pair)
    }
    fn real_if(&mut self, code: i32, default: f64) -> Result<f64, Rejected> {
        if self.is_at(code) {
            self.real(code)
        } else {
            Ok(default)
        }
    }
    fn whole(&mut self, code: i32) -> Result<i64, Rejected> {
        self.whole_if(code).ok_or_else(|| self.fields.incomplete())
    }
    fn whole_if(&mut self, code: i32) -> Option<i64> {
        let pair = self
            .fields
            .pairs
            .get(self.next)
            .filter(|p| p.code == code)?;
        self.next += 1;
        pair.value.whole()
    }
    /// How many of something follow: never more than there are pairs.
    fn count(&mut self, code: i32) -> Result<usize, Rejected> {
        let left = self.fields.pairs.len() - self.next;
        let count = usize::try_from(self.whole(code)?).ok();
        count
            .filter(|n| *n <= left)
            .ok_or_else(|| self.fields.incomplete())
    }
    fn flat(&mut self, code: i32) -> Result<[f64; 2], Rejected> {
        Ok([self.real(code)?, self.real(code + 10)?])
    }
    fn point(&mut self, code: i32) -> Result<Vec3, Rejected> {
        let [x, y] = self.flat(code)?;
        Ok([x, y, self.elevation])
    }

    /// A boundary is closed whatever its flag says: it bounds an area.
    fn polyline(&mut self) -> Result<Shape, Rejected> {
        self.whole(72)?;
        self.whole_if(73);
        let vertices = (0..self.count(93)?)
            .map(|_| {
                Ok(FlatVertex {
                    at: self.flat(10)?,
                    bulge: self.real_if(42, 0.0)?,
                })
            })
            .collect::<Result<_, Rejected>>()?;
        Ok(Shape::Flat {
            vertices,
            closed: true,
            elevation: self.elevation,
            normal: UP,
        })
    }

    fn edge(&mut self) -> Result<Shape, Rejected> {
        match self.whole(72)? {
            1 => Ok(Shape::Line(self.point(10)?, self.point(11)?)),
            2 => {
                let (centre, radius) = (self.point(10)?, self.real(40)?);
                let (start, sweep) = self.angles()?;
                Ok(Shape::Arc {
                    centre,
                    radius,
                    start,
                    sweep,
                    normal: UP,
                })
            }
            3 => {
                let (centre, [x, y], ratio) = (self.point(10)?, self.flat(11)?, self.real(40)?);
                let (start, sweep) = self.angles()?;
                Ok(Shape::Ellipse {
                    centre,
                    major: [x, y, 0.0],
                    ratio,
                    start: parameter(start, ratio),
                    sweep: parameter(start + sweep, ratio) - parameter(start, ratio),
                    normal: UP,
                })
            }
            4 => self.spline(),
            _ => Err(self.fields.incomplete()),
        }
    }

    /// Start and counter-clockwise sweep, radians. Those of a clockwise edge are measured clockwise.
    fn angles(&mut self) -> Result<(f64, f64), Rejected> {
        let (from, to) = (self.real(50)?, self.real(51)?);
        let counter_clockwise = self.whole_if(73) != Some(0);
        let (from, to) = if counter_clockwise {
            (from, to)
        } else {
            (-to, -from)
        };
        let turned = sweep((to - from).rem_euclid(360.0).to_radians());
        Ok((from.to_radians(), turned))
    }

    fn spline(&mut self) -> Result<Shape, Rejected> {
        let degree = usize::try_from(self.whole(94)?).unwrap_or(0);
        self.whole_if(73);
        let periodic = self.whole_if(74);
        let (knots, control) = (self.count(95)?, self.count(96)?);
        let mut data = SplineData {
            degree,
            closed: periodic == Some(1),
            ..SplineData::default()
        };
        for _ in 0..knots {
            data.knots.push(self.real(40)?);
        }
        for _ in 0..control {
            data.control.push(self.point(10)?);
            if self.is_at(42) {
                data.weights.push(self.real(42)?);
            }
        }
        if self.is_at(97) && self.fits_follow() {
            for _ in 0..self.count(97)? {
                data.fit.push(self.point(11)?);
            }
            if self.is_at(12) {
                data.start_tangent = self.point(12)?;
                data.end_tangent = self.point(13)?;
                data.start_tangent[2] = 0.0;
                data.end_tangent[2] = 0.0;
            }
        }
        Ok(Shape::Spline(Box::new(data)))
    }

    /// Code 97 counts fit points here and, after the last edge, the objects that the boundary came
    /// from; older files have no fit points.
    fn fits_follow(&self) -> bool {
        let pairs = self.fields.pairs;
        let follows = pairs.get(self.next + 1).map(|p| p.code);
        let none = pairs[self.next].value.whole() == Some(0);
        // A count of 0 belongs to the spline where another count or another edge follows it.
        follows == Some(11) || none && matches!(follows, Some(97 | 72 | 12))
    }
}

/// The parameter of an ellipse at an angle seen from its centre, on the same turn.
fn parameter(angle: f64, ratio: f64) -> f64 {
    let turns = (angle / TAU).floor() * TAU;
    let (s, c) = (angle - turns).sin_cos();
    let within = (s / ratio.max(f64::MIN_POSITIVE)).atan2(c).rem_euclid(TAU);
    turns + within
}
