//! What comes loose inside the edge that a kerf leaves, piece by piece.

use super::holding::centroid;
use crate::geometry::{Bounds, Contour, Point};
use crate::progress::look;
use crate::units::{Area, Length};

/// A crumb whose longer side is no longer fits into the start hole and about into the kerf: it is flushed out
/// like other debris, and nobody waits for it (judgement).
pub const SMALLEST_SLUG: Length = Length::from_mm(0.3);

/// A piece of waste as its edge says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoosePiece {
    /// Which loop of the edge it is.
    pub of_loop: usize,
    /// Area inside, with whatever lies in it.
    pub area: Area,
    /// Longer side of the box around it.
    pub size: Length,
    /// Centre of gravity, mm about the profile's origin.
    pub centroid: Point,
}

/// The pieces that come loose inside a slug's edge; none where the kerf takes all of the waste, several where
/// a neck of it is narrower than what the kerf takes.
pub fn pieces(edge: &[Contour]) -> Vec<LoosePiece> {
    let piece = |(of_loop, l): (usize, &Contour)| {
        look();
        let size = longer_side(&l.bounds());
        let area = l.signed_area();
        (area > 0.0 && size > SMALLEST_SLUG).then(|| LoosePiece {
            of_loop,
            area: Area::from_mm2(area),
            size,
            centroid: centroid(l),
        })
    };
    edge.iter().enumerate().filter_map(piece).collect()
}

/// Longer side of a box.
pub fn longer_side(bounds: &Bounds) -> Length {
    let size = bounds.size();
    Length::from_mm(size.x.max(size.y))
}
