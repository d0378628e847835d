//! How figures are written: units, numbers, heads and sentences, the same for the window, the report and the command.
//!
//! - [`library`]: what is wrong with a library.
//! - [`figures`]: the one table of what a wire's figures are called, how they are written and where they go.
//! - [`style`]: every number with its unit, in mm or inch. Whoever shows a number asks a [`Style`].
//! - [`system`]: mm or inch, and what one is in the other.
//! - [`typed`]: numbers as people type them.
//! - [`within`]: lengths and speeds within a sentence.
//! - [`obstacles`], [`job_faults`], [`uncut`]: what keeps a wire from a job, and what it does not reach.
//! - [`job_files`]: what is wrong with a job file or a list of drawings.
//! - [`cautions`], [`loose_pieces`]: what can hurt somebody.
//! - [`cuts`]: what is wrong with a finished cut.
//! - [`clock`]: what is said of a job by the clock.
//! - [`pass_advice`], [`ways`], [`variants`], [`lessons`]: advice, ways to go about a job, what differs, what was learned.
//! - [`parts`]: several parts of one drawing, and a set of them.
//! - [`changes`]: what undo takes back.
//! - [`at_stake`]: what a price is for, and what of it is still in question.
//! - [`quoting`], [`wanted`], [`together`]: what a quote says beside its figures, the plan that is wanted, parts together.
//! - [`findings`], [`offers`], [`reading`]: what the import found, would mend, and how it read a drawing.
//! - [`reasons`]: what the figures of an explanation are called and rest on.
//! - [`guide`]: the user's guide.
//! - [`start_faults`]: why no window can be opened.
//!
//! The rooms below hold numbers and kinds; what they are called and how they read is said here, once.

pub mod against_quote;
pub mod at_stake;
pub mod cautions;
pub mod changes;
pub mod clock;
mod counted;
pub mod cuts;
pub mod figures;
pub mod findings;
pub mod guide;
pub mod job_faults;
pub mod job_files;
pub mod lessons;
pub mod library;
pub mod loose_pieces;
pub mod obstacles;
pub mod offers;
pub mod parts;
pub mod pass_advice;
pub mod quoting;
pub mod rates;
pub mod reading;
pub mod reasons;
pub mod saving;
pub mod start_faults;
pub mod style;
pub mod system;
pub mod together;
pub mod typed;
pub mod uncut;
pub mod variants;
pub mod wanted;
pub mod ways;
pub mod wires;
pub mod within;
pub mod worth;

pub use style::Style;
pub use system::System;
