//! What the window's program is called with; it stands here so that `manual` can write its page as well.

use crate::language::Language;
use clap::{Parser, ValueEnum};
use std::path::PathBuf;

/// How long a wire EDM job runs, how much wire it uses and what it costs.
#[derive(Debug, Parser)]
#[command(name = "kerfcast", version, after_help = BESIDE)]
pub struct Arguments {
    /// Drawings (DXF), job files and lists to open; without any, a sample.
    pub files: Vec<PathBuf>,
    /// Dark or light, instead of what was chosen last.
    #[arg(long, value_enum)]
    pub theme: Option<Theme>,
    /// The shop's own library, laid over the built-in one and kept there, instead of the one kept for you.
    #[arg(long, value_name = "FILE")]
    pub library: Option<PathBuf>,
    /// The language, en or de, where the shop has chosen none; without it the system's.
    #[arg(long, value_name = "TAG", value_parser = super::spoken)]
    pub language: Option<Language>,
    /// What draws the window. Without it, OpenGL, and software where there is no OpenGL.
    #[arg(long, value_enum)]
    pub graphics: Option<DrawnBy>,
}

/// What stands below the options.
const BESIDE: &str = "The guide is in the window (F1). kerfcast-cli does the same without a window, for folders and scripts.";

/// Colours of the window.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Theme {
    /// Light on dark.
    Dark,
    /// Dark on light.
    Light,
}

/// What draws the window.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum DrawnBy {
    /// OpenGL, by the graphics card or by a library that draws in software.
    Opengl,
    /// The system's own graphics, in software where there is no other.
    Software,
}
