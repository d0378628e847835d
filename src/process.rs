//! What erosion does: how fast, with what gap, how the corners slow it, and where each number is from.

pub mod cautions;
pub mod corner_slowdown;
pub mod cutting_rate;
pub mod finish;
pub mod flushing;
pub mod knowledge;
pub mod library;
mod library_cells;
mod library_edit;
pub mod library_file;
mod library_parts;
mod library_v1;
pub mod passes;
pub mod thickness_curve;
pub mod wire_run;

pub use crate::standing::{Standing, Value};
pub use finish::Finish;
pub use flushing::Flushing;
pub use knowledge::{Factor, Knowledge};
pub use library::{Caution, Library, Material, Wire};
pub use library_cells::{Entry, put};
pub use library_edit::LibraryTable;
pub use library_file::{CellFault, LibraryFileError, UserLibrary};
pub use library_parts::{Change, Content, LibraryCell};
pub use thickness_curve::{CurvePoint, ThicknessCurve};
pub use wire_run::WireRun;
