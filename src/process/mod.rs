//! What erosion does: how fast, with what gap, how the corners slow it, and where each number is from.

pub mod corner_slowdown;
pub mod cutting_rate;
pub mod flushing;
pub mod library;
pub mod passes;

pub use crate::standing::{Standing, Value};
pub use flushing::Flushing;
pub use library::{Caution, Library, Material, Wire};
