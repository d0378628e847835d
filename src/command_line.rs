//! The headless command: what the window does, for folders of drawings, for scripts and for checks.
//!
//! No logic of its own: it calls the functions that the panels call and writes what they return.

mod batch;
mod clock;
mod compare;
mod conditions;
mod cores;
mod doubt;
mod estimate;
mod estimate_json;
mod estimate_table;
mod export;
mod inputs;
mod job;
mod job_file;
mod ladder;
mod learn;
mod manual;
mod measure;
mod measure_json;
mod measure_table;
mod outcome;
mod output;
mod own;
mod plan;
mod quick_variants;
mod quote;
mod reading;
mod shop;
mod stopping;
mod table;
mod together;
mod visible;
pub mod window;
mod worth;

use crate::language::{self, Language};
use clap::{ArgMatches, CommandFactory, FromArgMatches, Parser, Subcommand};
use outcome::{Failure, Outcome};
use std::ffi::OsString;
use std::io::{self, Write};
use std::process::ExitCode;
use visible::{Visible, tell};

/// How long a wire EDM job runs, how much wire it uses and what it costs.
#[derive(Debug, Parser)]
#[command(name = "kerfcast-cli", version, after_help = EXIT_STATUS)]
struct Arguments {
    /// The language of what is told, en or de; without it the shop's, else the system's. JSON and tables for programs are
    /// always English, and so is this help.
    #[arg(long, global = true, value_name = "TAG", value_parser = spoken)]
    language: Option<Language>,
    #[command(subcommand)]
    command: Command,
}

/// What the exit status says.
const EXIT_STATUS: &str = key!(
    "Exit status: 0 all done; 1 some file failed (the others are written all the same); 2 the call is \
wrong; 3 all done, but for some drawing the verdict is not to quote; 130 stopped by Ctrl-C.\n\nEstimates rest on the shop's own library, rates and \
finished cuts as the window keeps them; --no-shop leaves them out."
);

#[derive(Debug, Subcommand)]
enum Command {
    /// Measure drawings: contours, lengths, areas, corners, and what the import found.
    Measure(measure::Arguments),
    /// Estimate time, wire and cost on several wires, side by side.
    Estimate(estimate::Arguments),
    /// Job files: drawings with everything decided for them, and the figures they rest on.
    #[command(subcommand)]
    Job(job_file::Command),
    /// Estimate every drawing of a folder or list, on all cores; a table that is taken up again where it was left.
    Batch(batch::Arguments),
    /// Compare two drawings or two jobs: which minutes, where the wire goes, and how sure that is.
    Compare(compare::Arguments),
    /// What it is worth: two runs whose time and wire are known, in parts, wire and money.
    Worth(worth::Arguments),
    /// Write the contours for the next program: a clean drawing, and wire paths as a planning aid where asked.
    Export(export::Arguments),
    /// Search the cheapest way that reaches a finish and a tolerance and is done in time.
    Plan(plan::Arguments),
    /// Several parts together: plates in a stack, pieces in a plate, the blank that a piece needs.
    Together(together::Arguments),
    /// Write a quote for the customer, or the set-up sheet for the shop, as a PDF file.
    Quote(quote::Arguments),
    /// Learn from finished cuts: what they say about machine, materials and wires, and how good estimates then are.
    Learn(learn::Arguments),
    /// The user's guide: the method, what every figure means, how to calibrate, cautions.
    Guide,
    /// Write manual pages and completions, for packages.
    #[command(hide = true)]
    Manual(manual::Arguments),
}

fn spoken(text: &str) -> Result<Language, String> {
    Language::of_tag(text).ok_or_else(|| say!("en or de is needed").to_owned())
}

/// Whether a program will read what is written: JSON, CSV, the table of a batch.
fn is_for_programs(matches: &ArgMatches) -> bool {
    let asks = |flag| matches!(matches.try_get_one::<bool>(flag), Ok(Some(true)));
    let table = |(name, below): (&str, &ArgMatches)| name == "batch" || is_for_programs(below);
    asks("json") || asks("csv") || matches.subcommand().is_some_and(table)
}

/// Runs the command with its arguments, the program's name first.
///
/// Exit status 0: all done; 1: some file failed; 2: the call is wrong; 3: all done, but for some drawing the verdict is
/// not to quote. A reader of the output that
/// closes early is no error.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let read = Arguments::command().try_get_matches_from(arguments);
    let arguments = read.and_then(|matches| {
        let arguments = Arguments::from_arg_matches(&matches)?;
        let chosen = arguments.language.or_else(own::language);
        language::speak(if is_for_programs(&matches) {
            Language::English
        } else {
            chosen.unwrap_or_else(Language::of_system)
        });
        Ok(arguments)
    });
    let arguments = match arguments {
        Ok(arguments) => arguments,
        Err(error) => {
            // Help and version come this way too, with status 0. Nothing can be said where printing fails.
            let _ = error.print();
            return ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(2));
        }
    };
    stopping::heed();
    let mut out = io::BufWriter::new(Visible::new(io::stdout().lock()));
    let result = match arguments.command {
        Command::Measure(arguments) => measure::run(&arguments, &mut out),
        Command::Estimate(arguments) => estimate::run(&arguments, &mut out),
        Command::Job(command) => job_file::run(&command, &mut out),
        Command::Batch(arguments) => batch::run(&arguments, &mut out),
        Command::Compare(arguments) => compare::run(&arguments, &mut out),
        Command::Worth(arguments) => worth::run(&arguments, &mut out),
        Command::Export(arguments) => export::run(&arguments, &mut out),
        Command::Plan(arguments) => plan::run(&arguments, &mut out),
        Command::Together(arguments) => together::run(&arguments, &mut out),
        Command::Quote(arguments) => quote::run(&arguments, &mut out),
        Command::Learn(arguments) => learn::run(&arguments, &mut out),
        Command::Guide => out
            .write_all(crate::words::guide::text().as_bytes())
            .map(|()| Outcome::Done)
            .map_err(Failure::from),
        Command::Manual(arguments) => manual::run(
            &arguments,
            Arguments::command(),
            window::Arguments::command(),
        ),
    };
    match result.and_then(|outcome| Ok(out.flush().map(|()| outcome)?)) {
        Ok(Outcome::Done) => ExitCode::SUCCESS,
        Ok(Outcome::SomeFailed) => ExitCode::from(1),
        Ok(Outcome::NotToQuote) => ExitCode::from(3),
        Err(Failure::Call(message)) => {
            tell(&message);
            ExitCode::from(2)
        }
        Err(Failure::Output(error)) if error.kind() == io::ErrorKind::BrokenPipe => {
            ExitCode::SUCCESS
        }
        Err(Failure::Output(error)) => {
            tell(&say!("The output could not be written: {error}."));
            ExitCode::from(1)
        }
    }
}
