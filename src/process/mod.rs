//! What erosion does: how fast, with what gap, how the corners slow it, and where each number is from.

pub mod library;
pub mod standing;

pub use library::{Caution, Library, Material, Wire};
pub use standing::{Standing, Value};
