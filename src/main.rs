//! Opens the window.
#![cfg_attr(not(debug_assertions), windows_subsystem = "windows")]

use clap::{Parser, ValueEnum};
use kerfcast::gui::{self, Start};
use std::path::PathBuf;
use std::process::ExitCode;

/// How long a wire EDM job runs, how much wire it uses and what it costs.
#[derive(Parser)]
#[command(version, about)]
struct Arguments {
    /// Drawings (DXF) to open; without any, a sample.
    files: Vec<PathBuf>,
    /// Dark or light, instead of what was chosen last.
    #[arg(long, value_enum)]
    theme: Option<Theme>,
    /// The shop's own library, laid over the built-in one and kept there, instead of the one kept for you.
    #[arg(long, value_name = "FILE")]
    library: Option<PathBuf>,
}

#[derive(Clone, Copy, ValueEnum)]
enum Theme {
    Dark,
    Light,
}

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let start = Start {
        files: arguments.files,
        theme: arguments.theme.map(|t| match t {
            Theme::Dark => egui::Theme::Dark,
            Theme::Light => egui::Theme::Light,
        }),
        library: arguments.library,
        ..Start::default()
    };
    match gui::run(start) {
        Ok(()) => ExitCode::SUCCESS,
        Err(e) => {
            eprintln!("kerfcast: no window can be opened: {e}");
            eprintln!("hint: kerfcast-cli estimates without a window");
            ExitCode::FAILURE
        }
    }
}
