//! Contours, chains and marks as entities of the format.

use crate::geometry::{Contour, Datum, Point, Segment};
use dxf::entities::{Circle, Entity, EntityType, Line, LwPolyline, ModelPoint, Text};

/// Where the entities come to lie: absolute drawing coordinates in the file's unit.
#[derive(Debug, Clone, Copy)]
pub(super) struct Placed {
    /// The profile's own origin, mm.
    pub origin: Datum,
    /// Length of the file's unit, mm.
    pub unit_mm: f64,
}

impl Placed {
    pub(super) fn point(self, p: Point) -> dxf::Point {
        let at = p + self.origin;
        dxf::Point::new(at.x() / self.unit_mm, at.y() / self.unit_mm, 0.0)
    }
    fn vertex(self, at: Point, bulge: f64) -> dxf::LwPolylineVertex {
        let at = self.point(at);
        dxf::LwPolylineVertex {
            x: at.x,
            y: at.y,
            bulge,
            ..Default::default()
        }
    }
    /// A closed chain: a circle where it is one, else a closed polyline with its arcs as bulges.
    pub(super) fn closed(self, contour: &Contour) -> EntityType {
        if let Some((centre, radius)) = as_circle(contour) {
            return self.circle(centre, radius);
        }
        let vertices = contour.vertices().iter();
        let mut line = LwPolyline {
            vertices: vertices.map(|v| self.vertex(v.at, v.bulge)).collect(),
            ..Default::default()
        };
        line.set_is_closed(true);
        EntityType::LwPolyline(line)
    }
    /// A chain with two ends; a single straight one is a line.
    pub(super) fn open(self, segments: &[Segment]) -> Option<EntityType> {
        let (first, last) = (segments.first()?, segments.last()?);
        if segments.len() == 1 && first.bulge == 0.0 {
            return Some(self.line(first.a, first.b));
        }
        let starts = segments.iter().map(|s| self.vertex(s.a, s.bulge));
        let line = LwPolyline {
            vertices: starts.chain([self.vertex(last.b, 0.0)]).collect(),
            ..Default::default()
        };
        Some(EntityType::LwPolyline(line))
    }
    pub(super) fn line(self, a: Point, b: Point) -> EntityType {
        EntityType::Line(Line::new(self.point(a), self.point(b)))
    }
    fn circle(self, centre: Point, radius: f64) -> EntityType {
        EntityType::Circle(Circle::new(self.point(centre), radius / self.unit_mm))
    }
    /// A point: a place without a size.
    pub(super) fn mark(self, at: Point) -> EntityType {
        EntityType::ModelPoint(ModelPoint::new(self.point(at)))
    }
    /// A line of text, `height` in mm, from its lower left corner.
    pub(super) fn text(self, at: Point, height: f64, words: String) -> EntityType {
        EntityType::Text(Text {
            location: self.point(at),
            text_height: height / self.unit_mm,
            value: words,
            ..Default::default()
        })
    }
}

/// An entity on a layer.
pub(super) fn on_layer(layer: &str, specific: EntityType) -> Entity {
    let mut entity = Entity::new(specific);
    entity.common.layer = layer.to_owned();
    entity
}

/// Centre and radius of a circle made of two half turns.
fn as_circle(contour: &Contour) -> Option<(Point, f64)> {
    let [a, b] = contour.vertices() else {
        return None;
    };
    (a.bulge == 1.0 && b.bulge == 1.0).then(|| ((a.at + b.at) * 0.5, 0.5 * a.at.distance(b.at)))
}
