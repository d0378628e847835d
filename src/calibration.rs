//! Learning from finished cuts: reading the log, fitting it, judging the fit, saying it in words.
//!
//! What is learned is plain data, [`Knowledge`](crate::library::Knowledge); laid into a library's `learned` it
//! changes every estimate, and taken out again it leaves none behind.

pub mod assessment;
mod cut_row;
pub mod cuts;
pub mod day;
pub mod fit;
pub mod gaussian;
pub mod logging;
pub mod words;

pub use assessment::{Assessment, assess};
pub use cuts::{Cut, CutsError, CutsRead, RowFault, read_cuts};
pub use day::Day;
pub use fit::{MachineFit, RowFit, WhyCut, fit, latest_machine, why_cut_differs};
pub use logging::{Done, LessThanWasted, write_cuts};
pub use words::what_was_learned;
