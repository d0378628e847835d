//! What every estimate rests on: materials, wires, diameters, passes, what comes on top of cutting, spools, each value with
//! its unit, range and standing; the shop's own over the built-in ones; and what finished cuts have taught, as plain data.

mod cells;
mod edit;
mod file;
mod file_v1;
mod flushing;
pub mod knowledge;
mod parts;
mod tables;
mod thickness_curve;

pub use cells::{Entry, put};
pub use edit::LibraryTable;
pub use file::{CellFault, LibraryFileError, UserLibrary};
pub use flushing::Flushing;
pub use knowledge::{Factor, Knowledge};
pub use parts::{Change, Content, LibraryCell};
pub use tables::{
    Caution, Diameter, Library, LibraryError, Material, Overheads, PassRow, Spool, Wire,
};
pub use thickness_curve::{CurvePoint, ThicknessCurve};
