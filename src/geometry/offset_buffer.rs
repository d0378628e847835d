//! The polygon buffer of `geo` as a second opinion on parallel curves.
//!
//! It flattens arcs and is some hundred times slower, but has not been seen wrong, so it decides where
//! the arc-keeping computation does not agree with itself.

use super::contour::{Contour, Vertex};
use super::point::Point;
use geo::algorithm::buffer::{Buffer, BufferStyle, LineJoin};
use geo::{Coord, LineString, Polygon};

/// Flattening before the buffer, mm: far below what a machine can place.
const SAGITTA: f64 = 2e-4;
/// Angle of a chord in the buffer's own arcs, radians: 314 chords to a full turn. Around a corner at 0.3 mm, a wide offset,
/// the chords lie at most 0.000 02 mm inside the arc.
const ARC_STEP: f64 = 0.02;
/// Rings that enclose less are crumbs of the buffer's own rounding, mm².
const CRUMB: f64 = 1e-9;

/// The parallel curve as closed chains of chords; positive distance inside, mm.
///
/// `None` where the buffer itself gave up.
pub fn buffer_offset(source: &Contour, distance: f64) -> Option<Vec<Contour>> {
    let ring: Vec<Coord<f64>> = source
        .flattened(SAGITTA)
        .iter()
        .map(|p| Coord { x: p.x, y: p.y })
        .collect();
    let polygon = Polygon::new(LineString(ring), Vec::new());
    let style = BufferStyle::new(-distance).line_join(LineJoin::Round(ARC_STEP));
    let run = std::panic::AssertUnwindSafe(|| polygon.buffer_with_style(style));
    let result = std::panic::catch_unwind(run).ok()?;
    let mut loops = Vec::new();
    for p in &result {
        loops.extend(ring_to_contour(p.exterior(), 1.0));
        for hole in p.interiors() {
            loops.extend(ring_to_contour(hole, -1.0));
        }
    }
    Some(loops)
}

/// A ring as a contour that runs the given way (1 counter-clockwise); `None` where it encloses nothing.
fn ring_to_contour(ring: &LineString<f64>, sign: f64) -> Option<Contour> {
    let mut points: Vec<Point> = ring.0.iter().map(|c| Point::new(c.x, c.y)).collect();
    if points.first() == points.last() {
        points.pop();
    }
    if points.len() < 3 {
        return None;
    }
    let c = Contour::new(
        points
            .into_iter()
            .map(|at| Vertex { at, bulge: 0.0 })
            .collect(),
    );
    let area = c.signed_area();
    if area.abs() < CRUMB {
        return None;
    }
    Some(if area * sign < 0.0 { c.reversed() } else { c })
}
