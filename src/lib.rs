//! Kerfcast: how long a wire EDM job runs, how much wire it uses and what it costs.
//!
//! The map of the house, in reading order:
//!
//! 1. [`units`]: lengths, feeds, minutes and money that cannot be mixed up.
//! 2. [`geometry`]: lines, arcs, contours, offsets, corners, reach; pure mathematics in mm.
//! 3. [`profile`]: what is to be cut.
//! 4. [`library`]: materials, wires, passes, overheads, each value with its standing; [`process`]: what erosion does with them.
//! 5. [`reason`]: why a figure is what it is.
//! 6. [`job`]: what the user decides.
//! 7. [`plan`]: wire paths and the list of steps.
//! 8. [`estimate`]: one wire's time, wire and cost, and several side by side.
//! 9. [`calibration`]: what finished cuts teach; [`enquiry`]: what is kept of the work, from the question to the cut.
//! 10. [`words`]: units, number formats and sentences; everything above yields kinds and values.
//! 11. [`report`]: the estimate as a page to print.
//! 12. [`export`]: the contours for the next program.
//!
//! Beside them: [`notes`] tells what the words of a drawing say about the job, [`files`] reads and
//! [`safe_file`] saves without ever leaving half a file; [`shop_files`] are library, rates and cuts of the shop,
//! [`progress`] stops long work, [`toml_change`] changes them line by line, and [`numbers`] reads numbers as people write them.

// What `say!` expands to names this package by its name, here as well.
#[allow(unused_extern_crates)]
extern crate self as kerfcast_core;
#[macro_use]
extern crate kerfcast_say;

pub mod calibration;
pub mod command_line;
pub mod drawing;
pub mod enquiry;
pub mod estimate;
pub mod export;
pub mod files;
pub mod geometry;
pub mod job;
pub mod language;
pub mod library;
pub mod measures;
pub mod notes;
pub mod numbers;
pub mod plan;
pub mod process;
pub mod profile;
pub mod progress;
pub mod quote;
pub mod reason;
pub mod report;
pub mod safe_file;
pub mod samples;
pub mod shop_files;
pub mod standing;
pub mod toml_change;
pub mod units;
pub mod words;
