//! The window: one sentence for the job, the drawing, the wires side by side, and why.
//!
//! Read [`app`] first: panels look at the state and ask for [`state::Action`]s, which are carried out in
//! one place after the frame is laid out. Nothing slow runs here; see [`worker`].

pub mod app;
pub mod canvas;
pub mod commands;
pub mod learning;
pub mod open_file;
pub mod open_files;
pub mod own_library;
pub mod page;
pub mod pages;
pub mod pair;
pub mod panels;
pub mod reading;
pub mod scene;
pub mod shelf;
pub mod state;
pub mod sweeps;
pub mod tasks;
pub mod theme;
pub mod undo;
pub mod widgets;
pub mod wire_table;
pub mod worker;
pub mod worth;

pub use app::{App, Start};

use egui::ViewportBuilder;

/// Opens the window and returns when it is closed.
///
/// # Errors
/// When no window can be opened, such as without a display.
pub fn run(start: Start) -> eframe::Result {
    let options = eframe::NativeOptions {
        viewport: ViewportBuilder::default()
            .with_app_id("kerfcast")
            .with_title("Kerfcast")
            .with_inner_size([1280.0, 800.0])
            .with_min_inner_size([960.0, 600.0])
            .with_drag_and_drop(true),
        ..Default::default()
    };
    eframe::run_native(
        "kerfcast",
        options,
        Box::new(move |cc| Ok(Box::new(App::new(cc, start)))),
    )
}
