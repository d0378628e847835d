//! Learning from finished cuts: reading the log, fitting it, judging the fit, and what is worth saying of it.
//!
//! What is learned is plain data, [`Knowledge`](crate::library::Knowledge); laid into a library's `learned` it
//! changes every estimate, and taken out again it leaves none behind.

pub mod against_quote;
pub mod assessment;
pub mod cut;
mod cut_row;
pub mod cuts;
pub mod day;
pub mod fit;
pub mod gaussian;
pub mod lessons;
pub mod log;
pub mod logging;
pub mod quotes;
pub mod row_fault;
mod whole_run;

pub use against_quote::AgainstQuote;
pub use assessment::{Assessment, assess};
pub use cut::Cut;
pub use cuts::{CutsError, CutsRead};
pub use day::Day;
pub use fit::{MachineFit, RowFit, WhyCut, far_off, fit, latest_machine, why_cut_differs};
pub use lessons::{Lesson, what_was_learned};
pub use log::{Edit, Log, RowText, read_cuts};
pub use logging::{Done, LessThanWasted, is_of_another_speed, wire_if_run, write_cuts};
pub use quotes::{QuotedCut, QuotedGroup, quotes};
pub use row_fault::{Column, RowFault, RowFaultKind};
