//! Entities become curves: insertions are expanded, and each curve becomes lines and arcs with its true
//! length and area.

mod annotations;
mod blocks;
mod conic;
mod curve;
mod fit_points;
mod frame;
mod quadrature;
mod spline;

pub(crate) use annotations::{PlacedDimension, PlacedText};
pub(crate) use blocks::{Expanded, StandIn, expand};
pub use curve::Curve;
pub(crate) use curve::{Span, of_segment};
pub(crate) use quadrature::{Measure, joined};
