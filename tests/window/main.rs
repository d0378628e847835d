//! The window, driven by accessible names as a person would find them.

#![cfg(feature = "window")]

#[path = "../calling/mod.rs"]
mod calling;
#[path = "../snapshots/canvas.rs"]
mod canvas;
#[path = "../harness/mod.rs"]
mod harness;
#[path = "../shared/mod.rs"]
mod shared;

mod belief;
mod by_the_clock;
mod choices;
mod contour;
mod disks;
mod enquiry;
mod import;
mod layout;
mod learning;
mod library;
mod machines;
mod moved;
mod notes;
mod pictures;
mod plan;
mod quote;
mod shop_files;
mod variants;
mod whole;
mod worth;
