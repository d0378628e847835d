//! Curves become contours: doubles are laid aside, ends are joined, contours are nested and looked over.

mod box_index;
mod carriers;
mod contours;
mod crossings;
mod duplicates;
mod edges;
mod ends;
mod faces;
mod graph;
mod neighbours;
mod offers;
mod rows;
mod sides;

pub(crate) use box_index::BoxIndex;
pub use contours::Status;
pub(crate) use contours::{Rules, assemble};
pub(crate) use offers::takes_edges;
pub use offers::{Offer, OfferKind};
