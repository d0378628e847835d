//! What the drawing says beyond its curves: its unit, its colours, what is perhaps not to be cut, and
//! what there is to know before it is quoted from.

pub(crate) mod colours;
mod dimensions;
mod findings;
mod frames;
mod held_against;
mod notes;
pub(crate) mod proposals;
mod scale;
mod scaling;
pub(crate) mod stand_ins;
mod units;
pub mod words;

pub use colours::colour_words;
pub use dimensions::{Dimension, DimensionKind};
pub(crate) use findings::{Fault, Findings};
pub use findings::{Finding, Severity, Verdict};
pub(crate) use held_against::drawn_scale;
pub(crate) use notes::notes;
pub use notes::{Note, NoteKind};
pub use proposals::{Answer, Proposal, ProposalKey, ProposalKind};
pub use scale::{DrawnScale, Scale, ScaleChoice, ScaleSource, scale_in_cell, scale_said};
pub(crate) use scaling::scale;
pub(crate) use stand_ins::StandIn;
pub use units::{Unit, UnitChoice, UnitSource, Units, size_text};
