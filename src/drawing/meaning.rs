//! What the drawing says beyond its curves: its unit, its layers and colours, what is perhaps not to be
//! cut, and what there is to know before it is quoted from.

pub(crate) mod asking;
pub(crate) mod colours;
mod dimensions;
mod findings;
mod frames;
mod held_against;
mod hinted;
mod layers;
mod notes;
mod proposals;
mod same_again;
mod scale;
mod scaling;
pub(crate) mod stand_ins;
mod units;
pub mod words;

pub use dimensions::{Dimension, DimensionKind};
pub(crate) use findings::Findings;
pub use findings::{About, Finding, StandInKind, Verdict};
pub(crate) use held_against::drawn_scale;
pub use layers::Layer;
pub(crate) use notes::notes;
pub use notes::{Note, NoteKind};
pub use proposals::{
    Answer, Proposal, ProposalKey, ProposalKind, Reason, proposal_id, proposal_key,
};
pub use scale::{DrawnScale, Scale, ScaleChoice, ScaleSource, scale_in_cell, scale_said};
pub(crate) use scaling::{report as report_units, scale};
pub use units::{HeaderUnit, Prefers, Unit, UnitChoice, UnitSource, Units};
