//! Lines, arcs and closed contours in f64 millimetres: pure mathematics, no drawing and no machine.
//!
//! Read `point`, `segment` and `contour` first; everything else works on them.

pub mod arc_recovery;
pub mod biarc;
pub mod boxes;
pub mod clearance;
pub mod contour;
pub mod corners;
pub mod hits;
pub mod inside_radii;
pub mod motion;
pub mod nesting;
pub mod offset;
pub mod offset_buffer;
pub mod on_drawing;
pub mod path_index;
pub mod point;
pub mod reach;
mod ready;
pub mod room;
pub mod route;
pub mod segment;
pub mod simple;
pub mod smallest_rectangle;
pub mod turning;
pub mod walk;

pub use contour::{Contour, Vertex};
pub use motion::Motion;
pub use on_drawing::{Datum, DrawingPoint};
pub use point::{Bounds, Point};
pub use segment::Segment;
