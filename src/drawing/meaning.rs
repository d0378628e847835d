//! What the drawing says beyond its curves: its unit, its colours, what is perhaps not to be cut, and
//! what there is to know before it is quoted from.

pub(crate) mod colours;
mod findings;
mod frames;
pub(crate) mod proposals;
mod scaling;
pub(crate) mod stand_ins;
mod units;

pub use colours::colour_words;
pub(crate) use findings::{Fault, Findings};
pub use findings::{Finding, Severity, Verdict};
pub use proposals::{Answer, Proposal, ProposalKey, ProposalKind};
pub(crate) use scaling::scale;
pub(crate) use stand_ins::StandIn;
pub use units::{Unit, UnitChoice, UnitSource, Units, size_text};
