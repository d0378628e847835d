//! Canonical pairs → entities, by the `dxf` crate.
//!
//! It is fed in batches: its 816 bytes an entity never add up, and a cancelled reading stops between
//! two of them. Each entity carries its number as its handle, so one that the crate drops is missed.

use super::entity::{FlatVertex, InsertData, Shape, SplineData, Vec3};
use dxf::entities::{EntityType, Polyline};
use std::f64::consts::TAU;

/// Decodes a batch; pairs of entity number and shape. An entity without use for a profile gives none.
pub fn decode(canonical: &[u8]) -> Vec<(u64, Shape)> {
    let mut file = Vec::with_capacity(canonical.len() + 128);
    file.extend_from_slice(b"AutoCAD Binary DXF\r\n\x1a\0");
    for (code, word) in [(0_i16, "SECTION"), (2, "ENTITIES")] {
        put(&mut file, code, word);
    }
    file.extend_from_slice(canonical);
    for (code, word) in [(0_i16, "ENDSEC"), (0, "EOF")] {
        put(&mut file, code, word);
    }
    // A refusal is no loss in silence: entities without a shape are counted and named by the caller.
    let Ok(drawing) = dxf::Drawing::load(&mut file.as_slice()) else {
        return Vec::new();
    };
    drawing
        .entities()
        .filter_map(|e| Some((e.common.handle.0, shape(&e.specific, e.common.elevation)?)))
        .collect()
}

fn put(file: &mut Vec<u8>, code: i16, word: &str) {
    file.extend_from_slice(&code.to_le_bytes());
    file.extend_from_slice(word.as_bytes());
    file.push(0);
}

fn shape(entity: &EntityType, elevation: f64) -> Option<Shape> {
    Some(match entity {
        EntityType::Line(l) => Shape::Line(point(&l.p1), point(&l.p2)),
        EntityType::Circle(c) => Shape::Arc {
            centre: point(&c.center),
            radius: c.radius,
            start: 0.0,
            sweep: TAU,
            normal: vector(&c.normal),
        },
        EntityType::Arc(a) => Shape::Arc {
            centre: point(&a.center),
            radius: a.radius,
            start: a.start_angle.to_radians(),
            sweep: sweep((a.end_angle - a.start_angle).rem_euclid(360.0).to_radians()),
            normal: vector(&a.normal),
        },
        EntityType::Ellipse(e) => Shape::Ellipse {
            centre: point(&e.center),
            major: vector(&e.major_axis),
            ratio: e.minor_axis_ratio,
            start: e.start_parameter,
            sweep: sweep((e.end_parameter - e.start_parameter).rem_euclid(TAU)),
            normal: vector(&e.normal),
        },
        EntityType::LwPolyline(p) => Shape::Flat {
            vertices: p
                .vertices
                .iter()
                .map(|v| FlatVertex {
                    at: [v.x, v.y],
                    bulge: v.bulge,
                })
                .collect(),
            closed: p.flags & 1 != 0,
            elevation,
            normal: vector(&p.extrusion_direction),
        },
        EntityType::Polyline(p) => polyline(p),
        EntityType::Spline(s) => Shape::Spline(Box::new(SplineData {
            degree: usize::try_from(s.degree_of_curve).unwrap_or(0),
            knots: s.knot_values.clone(),
            control: s.control_points.iter().map(point).collect(),
            weights: s.weight_values.clone(),
            fit: s.fit_points.iter().map(point).collect(),
            start_tangent: point(&s.start_tangent),
            end_tangent: point(&s.end_tangent),
            closed: s.flags & 1 != 0,
        })),
        EntityType::Insert(i) => Shape::Insert(Box::new(InsertData {
            block: i.name.parse().ok()?,
            at: point(&i.location),
            scale: [i.x_scale_factor, i.y_scale_factor, i.z_scale_factor],
            rotation: i.rotation.to_radians(),
            columns: u32::try_from(i.column_count).unwrap_or(1).max(1),
            rows: u32::try_from(i.row_count).unwrap_or(1).max(1),
            spacing: [i.column_spacing, i.row_spacing],
            normal: vector(&i.extrusion_direction),
        })),
        EntityType::ModelPoint(p) => Shape::Point(point(&p.location)),
        _ => return None,
    })
}

/// A curve that ends where it starts runs all the way round.
fn sweep(turned: f64) -> f64 {
    if turned < 1e-12 { TAU } else { turned }
}

/// Bits of POLYLINE code 70 (DXF reference): 1 closed, 8 in space.
/// Bit 16 of VERTEX code 70 marks a point of the spline's frame, which is no part of the curve.
fn polyline(p: &Polyline) -> Shape {
    let closed = p.flags & 1 != 0;
    let vertices = p.vertices().filter(|v| v.flags & 16 == 0);
    if p.flags & 8 != 0 {
        return Shape::Chain {
            vertices: vertices.map(|v| point(&v.location)).collect(),
            closed,
        };
    }
    Shape::Flat {
        vertices: vertices
            .map(|v| FlatVertex {
                at: [v.location.x, v.location.y],
                bulge: v.bulge,
            })
            .collect(),
        closed,
        elevation: p.location.z,
        normal: vector(&p.normal),
    }
}

fn point(p: &dxf::Point) -> Vec3 {
    [p.x, p.y, p.z]
}

fn vector(v: &dxf::Vector) -> Vec3 {
    [v.x, v.y, v.z]
}
