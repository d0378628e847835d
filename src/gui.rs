//! The window: one sentence for the job, the drawing, the wires side by side, and why.
//!
//! Read [`app`] first: panels look at the state and ask for [`state::Action`]s, which are carried out in
//! one place after the frame is laid out. Nothing slow runs here; see [`worker`].

pub mod app;
pub mod canvas;
pub mod commands;
pub mod crash_report;
pub mod desk;
pub mod keeper;
pub mod laid;
mod latest;
pub mod learning;
pub mod open_file;
pub mod open_files;
pub mod own_library;
pub mod page;
pub mod pages;
pub mod pair;
pub mod panels;
pub mod paper;
pub mod picture;
pub mod planning;
pub mod quoting;
mod readers;
pub mod reading;
mod saved;
pub mod scene;
mod set_free;
pub mod shelf;
pub mod starting;
pub mod state;
pub mod sweeps;
pub mod tasks;
pub mod theme;
pub mod undo;
pub mod version;
pub mod watch;
pub mod widgets;
pub mod wire_table;
pub mod worker;
pub mod worth;

pub use app::{App, Start};
pub use starting::{Graphics, NoWindow, run};
