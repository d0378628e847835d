//! What the drawing says beyond its curves: its unit, its layers and colours, what is perhaps not to be
//! cut, and what there is to know before it is quoted from.

pub(crate) mod asking;
pub(crate) mod colours;
mod findings;
mod frames;
mod hinted;
mod layers;
mod proposals;
mod scaling;
pub(crate) mod stand_ins;
mod units;

pub(crate) use findings::Findings;
pub use findings::{About, Finding, Verdict};
pub use layers::Layer;
pub use proposals::{Answer, Proposal, ProposalKey, ProposalKind, Reason};
pub(crate) use scaling::{report as report_units, scale};
pub use stand_ins::StandInKind;
pub use units::{HeaderUnit, Prefers, Unit, UnitChoice, UnitSource, Units};
