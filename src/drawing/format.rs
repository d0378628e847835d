//! The file: bytes become pairs of codes, pairs become records, records become checked entities.
//!
//! `group_codes` reads what customers send, `scan` finds header, layers, blocks and entities, `decode`
//! with `fields` makes each one's geometry, `hatch` and `mline` that of what may stand in for curves.

mod annotations;
mod binary_codes;
mod decode;
mod entity;
mod error;
mod fields;
mod group_codes;
mod hatch;
mod hints;
pub mod limits;
mod mline;
mod noticed;
mod plain_text;
mod record;
mod scan;
mod text;
mod values;

pub(crate) use crate::progress::Cancelled;
pub use crate::progress::Progress;
pub(crate) use annotations::{Annotations, DimensionEntity, Measuring, TextEntity};
pub(crate) use entity::{Entity, FlatVertex, InsertData, Kind, Shape, SplineData, Vec3};
pub use error::{FileKind, ReadError};
pub(crate) use error::{check_form, not_a_drawing};
pub(crate) use group_codes::without_byte_order_mark;
pub(crate) use hints::Hint;
pub(crate) use limits::{
    BEYOND_MACHINES, FARTHEST, KEPT_PLACES, LARGEST_NUMBER, SPLINE_DEGREE, TOO_LARGE,
};
pub(crate) use noticed::{Entry, Noticed, Value};
pub use noticed::{Fault, Severity};
pub(crate) use plain_text::{plain_line, plain_paragraphs};
pub(crate) use scan::{SHARE, Scan, scan};
