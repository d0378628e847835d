//! What a parallel curve is.

use crate::geometry::contour::Contour;
use crate::geometry::point::Point;

/// On which side of the contour the parallel curve lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Side {
    /// Inside: the wire in an opening.
    Inside,
    /// Outside: the wire around an outline.
    Outside,
}

/// A parallel curve.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Offset {
    /// Closed loops; none where nothing is left, several where a neck closes.
    ///
    /// Counter-clockwise, except pockets that an outside curve encloses: those run clockwise.
    pub loops: Vec<Contour>,
    /// Whether it is proved right, or two independent computations agree on it.
    pub confirmed: bool,
    /// Where the contour is so intricate that no parallel is laid at all; then there are no loops.
    pub intricate: Option<Point>,
}

impl Offset {
    /// One that is proved right.
    pub(super) fn certain(loops: Vec<Contour>) -> Self {
        Self {
            loops,
            confirmed: true,
            intricate: None,
        }
    }
    /// Length of all loops, mm.
    pub fn length(&self) -> f64 {
        self.loops.iter().map(Contour::length).sum()
    }
    /// Area inside, pockets taken off, mm².
    pub fn area(&self) -> f64 {
        self.loops.iter().map(Contour::signed_area).sum()
    }
}
