//! `kerfcast-cli measure`: what a drawing holds, as a table or as JSON.

use super::inputs;
use super::measure_json::write_object;
use super::measure_table::write_text;
use super::outcome::{Failure, Outcome};
use super::reading::Reading;
use std::io::Write;
use std::path::PathBuf;

/// Arguments of `measure`.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    #[command(flatten)]
    reading: Reading,
    /// Write JSON: an array, an object for each file in the order given.
    #[arg(long)]
    json: bool,
    /// Drawings to measure: files, folders, patterns, or - for standard input.
    #[arg(value_name = "FILE", required = true)]
    files: Vec<PathBuf>,
}

/// Measures the files in order. Each is written before the next one is read.
///
/// # Errors
/// An output that cannot be written.
pub fn run(arguments: &Arguments, out: &mut impl Write) -> Result<Outcome, Failure> {
    let keep = arguments.reading.keep();
    let mut outcome = Outcome::Done;
    let files = inputs::drawings(&arguments.files)?;
    for (k, file) in files.iter().enumerate() {
        let result = arguments.reading.open(file);
        if result.is_err() {
            outcome = Outcome::SomeFailed;
        }
        if arguments.json {
            out.write_all(if k == 0 { b"[\n" } else { b",\n" })?;
            write_object(out, file, result.as_ref(), keep)?;
        } else {
            write_text(out, file, result.as_ref(), keep)?;
        }
        if k + 1 == files.len() {
            // The system takes all of it back at once when the program ends; block by block it costs a fiftieth of the reading.
            std::mem::forget(result);
        }
    }
    if arguments.json {
        writeln!(out, "\n]")?;
    }
    Ok(outcome)
}
