//! The pairs of one entity → its geometry.
//!
//! Straight from the tolerant pass: a value that a strict reader would refuse the file for costs one
//! entity at most, and nothing is held twice.

use super::entity::{FlatVertex, InsertData, Kind, Shape, SplineData, sweep};
use super::fields::{Fields, Rejected};
use super::{hatch, mline};
use std::f64::consts::TAU;

/// Bits of POLYLINE code 70 (DXF reference): 1 closed, 8 in space.
const CLOSED: i64 = 1;
const IN_SPACE: i64 = 8;
/// Bit of VERTEX code 70: a point of a spline's frame, which is no part of the curve.
const FRAME_POINT: i64 = 16;

/// The geometry of an entity; `block` is the number of the block of an INSERT. A POLYLINE comes without
/// its vertices, see [`add_vertex`].
pub fn decode(kind: Kind, block: u32, fields: &mut Fields<'_, '_>) -> Result<Shape, Rejected> {
    match kind {
        Kind::Line => Ok(Shape::Line(fields.point(10)?, fields.point(11)?)),
        Kind::Point => fields.point(10).map(Shape::Point),
        Kind::Circle => Ok(Shape::Arc {
            centre: fields.point(10)?,
            radius: fields.must(40)?,
            start: 0.0,
            sweep: TAU,
            normal: fields.normal()?,
        }),
        Kind::Arc => {
            let (centre, radius) = (fields.point(10)?, fields.must(40)?);
            let (start, end) = (fields.must(50)?, fields.must(51)?);
            Ok(Shape::Arc {
                centre,
                radius,
                start: start.to_radians(),
                sweep: sweep((end - start).rem_euclid(360.0).to_radians()),
                normal: fields.normal()?,
            })
        }
        Kind::Ellipse => {
            let (centre, major, ratio) = (fields.point(10)?, fields.point(11)?, fields.must(40)?);
            let (start, end) = (fields.good(41, 0.0)?, fields.good(42, TAU)?);
            Ok(Shape::Ellipse {
                centre,
                major,
                ratio,
                start,
                sweep: sweep((end - start).rem_euclid(TAU)),
                normal: fields.normal()?,
            })
        }
        Kind::LwPolyline => Ok(Shape::Flat {
            closed: fields.whole(70)? & CLOSED != 0,
            elevation: fields.height(38),
            normal: fields.normal()?,
            vertices: flat_vertices(fields)?,
        }),
        Kind::Polyline => polyline(fields),
        Kind::Spline => spline(fields).map(|s| Shape::Spline(Box::new(s))),
        Kind::Insert => insert(block, fields).map(|i| Shape::Insert(Box::new(i))),
        Kind::Hatch => hatch::edges(fields).map(Shape::Edges),
        Kind::MLine => mline::elements(fields).map(Shape::Edges),
    }
}

fn polyline(fields: &mut Fields<'_, '_>) -> Result<Shape, Rejected> {
    let flags = fields.whole(70)?;
    let closed = flags & CLOSED != 0;
    let (elevation, normal) = (fields.height(30), fields.normal()?);
    Ok(if flags & IN_SPACE != 0 {
        Shape::Chain {
            vertices: Vec::new(),
            closed,
        }
    } else {
        Shape::Flat {
            vertices: Vec::new(),
            closed,
            elevation,
            normal,
        }
    })
}

/// Adds a VERTEX to its POLYLINE.
pub fn add_vertex(shape: &mut Shape, fields: &mut Fields<'_, '_>) -> Result<(), Rejected> {
    let flags = fields.whole(70)?;
    let (at, bulge) = (fields.point(10)?, fields.good(42, 0.0)?);
    if flags & FRAME_POINT != 0 {
        return Ok(());
    }
    match shape {
        Shape::Flat { vertices, .. } => vertices.push(FlatVertex {
            at: [at[0], at[1]],
            bulge,
        }),
        Shape::Chain { vertices, .. } => vertices.push(at),
        _ => {}
    }
    Ok(())
}

/// The vertices of an LWPOLYLINE, or of a boundary of a HATCH.
pub fn flat_vertices(fields: &mut Fields<'_, '_>) -> Result<Vec<FlatVertex>, Rejected> {
    let pairs = fields.pairs;
    let mut vertices = Vec::with_capacity(pairs.iter().filter(|p| p.code == 10).count());
    // The vertex that is being read, and whether its second coordinate has come.
    let mut open: Option<(FlatVertex, bool)> = None;
    for pair in pairs {
        match (pair.code, &mut open) {
            (10, _) => {
                let at = [fields.number(pair)?, 0.0];
                finish(
                    open.replace((FlatVertex { at, bulge: 0.0 }, false)),
                    &mut vertices,
                    fields,
                )?;
            }
            (20, Some((vertex, complete))) => {
                vertex.at[1] = fields.number(pair)?;
                *complete = true;
            }
            (42, Some((vertex, _))) => vertex.bulge = fields.number(pair)?,
            _ => {}
        }
    }
    finish(open, &mut vertices, fields)?;
    Ok(vertices)
}

fn finish(
    open: Option<(FlatVertex, bool)>,
    vertices: &mut Vec<FlatVertex>,
    fields: &Fields<'_, '_>,
) -> Result<(), Rejected> {
    match open {
        Some((_, false)) => Err(fields.incomplete()),
        Some((vertex, true)) => {
            vertices.push(vertex);
            Ok(())
        }
        None => Ok(()),
    }
}

fn spline(fields: &mut Fields<'_, '_>) -> Result<SplineData, Rejected> {
    let mut data = SplineData {
        closed: fields.whole(70)? & CLOSED != 0,
        degree: usize::try_from(fields.whole(71)?).unwrap_or(0),
        ..SplineData::default()
    };
    // Splines lie in space as they are: a normal is read for its faults only.
    fields.normal()?;
    let pairs = fields.pairs;
    let count = |code| pairs.iter().filter(|p| p.code == code).count();
    data.knots.reserve_exact(count(40));
    data.control.reserve_exact(count(10));
    for (i, pair) in pairs.iter().enumerate() {
        match pair.code {
            40 => data.knots.push(fields.number(pair)?),
            41 => data.weights.push(fields.number(pair)?),
            10 => data.control.push(fields.triple(i)?),
            11 => data.fit.push(fields.triple(i)?),
            12 => data.start_tangent = fields.triple(i)?,
            13 => data.end_tangent = fields.triple(i)?,
            _ => {}
        }
    }
    Ok(data)
}

fn insert(block: u32, fields: &mut Fields<'_, '_>) -> Result<InsertData, Rejected> {
    let count = |n: i64| u32::try_from(n).unwrap_or(1).max(1);
    Ok(InsertData {
        block,
        columns: count(fields.whole(70)?),
        rows: count(fields.whole(71)?),
        at: [
            fields.good(10, 0.0)?,
            fields.good(20, 0.0)?,
            fields.height(30),
        ],
        scale: [
            fields.good(41, 1.0)?,
            fields.good(42, 1.0)?,
            fields.good(43, 1.0)?,
        ],
        spacing: [fields.good(44, 0.0)?, fields.good(45, 0.0)?],
        rotation: fields.good(50, 0.0)?.to_radians(),
        normal: fields.normal()?,
    })
}
