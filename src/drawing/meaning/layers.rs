//! The layers of a drawing.

use std::sync::Arc;

/// A layer of the drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Layer {
    /// As written.
    pub name: Arc<str>,
    /// Colour number, 1 to 255.
    pub colour: i16,
    /// Neither off nor frozen.
    pub visible: bool,
    /// Number of curves on it.
    pub curves: usize,
}
