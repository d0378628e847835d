//! What is to be cut: closed contours with their place in the nesting, and what would not close.
//!
//! A profile is what the drawing says, freed of its file format. It knows nothing of wires, passes or
//! of what the user decides; roles follow only once [`Keep`] is known.

use crate::geometry::{Bounds, Contour, Point, Segment};
use crate::units::{Area, Length};
use serde::{Deserialize, Serialize};

mod parts;
mod same;
pub use parts::Part;
pub use same::{SameParts, same_parts};

/// What stays of the outermost contours.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Keep {
    /// The inside: a part or a punch is cut out of a plate.
    #[default]
    Inside,
    /// The outside: openings are cut into a plate, such as a die.
    Outside,
}

/// What a closed contour bounds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Role {
    /// Material inside is kept; the wire runs outside.
    Outline,
    /// A hole in the material; the wire runs inside and a slug comes loose.
    Opening,
}

impl Role {
    /// The role by nesting depth (0 outermost): parity, turned when the outside is kept.
    pub fn at_depth(depth: usize, keep: Keep) -> Self {
        if depth.is_multiple_of(2) == (keep == Keep::Inside) {
            Self::Outline
        } else {
            Self::Opening
        }
    }
    /// The word shown to a person and written in JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::Outline => "outline",
            Self::Opening => "opening",
        }
    }
}

/// One closed contour of the drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct ProfileContour {
    /// Lines and arcs, counter-clockwise, mm about [`Profile::origin`]; short chords of a drawn arc
    /// have become that arc again.
    pub shape: Contour,
    /// True length of the drawn curves before any arc fitting; bridged gaps do not count.
    pub drawn_length: Length,
    /// Area inside the drawn curves.
    pub drawn_area: Area,
    /// Number of contours around this one.
    pub depth: usize,
    /// The contour directly around this one.
    pub parent: Option<usize>,
    /// Layer of its first curve, as written in the drawing.
    pub layer: String,
    /// Curves of the drawing that form it, in order: indices into the drawing's list of curves.
    pub curves: Vec<usize>,
}

/// A chain of curves that closes no contour.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenChain {
    /// Its lines and arcs in order, mm about [`Profile::origin`].
    pub segments: Vec<Segment>,
    /// True length of the drawn curves.
    pub drawn_length: Length,
    /// Layer of its first curve.
    pub layer: String,
    /// Curves of the drawing that form it, in order.
    pub curves: Vec<usize>,
}

/// The contours of one drawing.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Profile {
    /// Where the profile's own origin lies in drawing coordinates, mm.
    ///
    /// Contours are kept about a near origin, so that a part drawn far away keeps its digits.
    pub origin: Point,
    /// Closed contours in the order in which the drawing names their first curve.
    pub contours: Vec<ProfileContour>,
    /// What would not close.
    pub open: Vec<OpenChain>,
}

impl Profile {
    /// Box around everything, mm about [`Profile::origin`].
    pub fn bounds(&self) -> Bounds {
        let mut b = Bounds::EMPTY;
        for c in &self.contours {
            b.include_bounds(&c.shape.bounds());
        }
        for chain in &self.open {
            chain
                .segments
                .iter()
                .for_each(|s| b.include_bounds(&s.bounds()));
        }
        b
    }
    /// Role of a contour.
    pub fn role(&self, contour: usize, keep: Keep) -> Role {
        Role::at_depth(self.contours[contour].depth, keep)
    }
}
