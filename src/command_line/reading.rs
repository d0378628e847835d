//! How to read the drawings of a call, and what is written for one that cannot be read.

use crate::drawing::{ReadError, ReadOptions, UnitChoice};
use crate::profile::Keep;
use crate::units::Length;
use clap::ValueEnum;
use serde::Serialize;

/// Arguments that say how to read a drawing.
#[derive(Debug, clap::Args)]
pub struct Reading {
    /// Unit of the drawings: auto, mm, in, ft, cm, m, um, thou or none (taken as mm).
    #[arg(long, value_name = "UNIT", default_value = "auto")]
    units: UnitChoice,
    /// Loose ends up to this far apart are joined, mm.
    #[arg(long, value_name = "MM", default_value = "0.02", value_parser = gap)]
    join_gap: f64,
    /// What stays of the outermost contours: their inside (a part) or their outside (a die opening).
    #[arg(long, value_enum, default_value = "inside")]
    keep: KeepWord,
}

impl Reading {
    /// As the reader wants it.
    pub fn options(&self) -> ReadOptions {
        ReadOptions {
            units: self.units,
            join_gap: Length::from_mm(self.join_gap),
            ..ReadOptions::default()
        }
    }
    /// What stays.
    pub fn keep(&self) -> Keep {
        match self.keep {
            KeepWord::Inside => Keep::Inside,
            KeepWord::Outside => Keep::Outside,
        }
    }
}

/// The word for what stays.
pub fn keep_word(keep: Keep) -> &'static str {
    match keep {
        Keep::Inside => "inside",
        Keep::Outside => "outside",
    }
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum KeepWord {
    Inside,
    Outside,
}

fn gap(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(v) if v.is_finite() && (0.0..=1000.0).contains(&v) => Ok(v),
        _ => Err("a length in mm from 0 to 1000 is needed".to_owned()),
    }
}

/// A file that could not be read.
#[derive(Debug, Serialize)]
pub struct Failed {
    file: String,
    error: ErrorText,
}

#[derive(Debug, Serialize)]
struct ErrorText {
    message: String,
    hint: &'static str,
}

impl Failed {
    /// The file.
    pub fn file(&self) -> &str {
        &self.file
    }
    /// What is wrong.
    pub fn message(&self) -> &str {
        &self.error.message
    }
    /// A file that was read, but cannot do what was asked.
    pub fn because(file: String, message: String, hint: &'static str) -> Self {
        Self {
            file,
            error: ErrorText { message, hint },
        }
    }
    /// What is written for an error.
    pub fn new(file: String, error: &ReadError) -> Self {
        Self {
            file,
            error: ErrorText {
                message: error.to_string(),
                hint: error.hint(),
            },
        }
    }
}
