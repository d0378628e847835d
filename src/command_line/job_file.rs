//! `job`: job files made from drawings and lists, and shown.

mod show;

use super::conditions::Conditions;
use super::cores::pool;
use super::outcome::{Failure, Outcome};
use super::output::Overwrite;
use super::quote;
use super::visible::tell_of;
use crate::enquiry::{Enquiry, Item, ListRow, answer_read, list};
use crate::job::Job;
use crate::library::Library;
use crate::words::{job_files, reading, saving};
use rayon::prelude::*;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What to do with job files.
#[derive(Debug, clap::Subcommand)]
pub(super) enum Command {
    /// Make a job file from drawings, or from a list with quantities.
    New(Box<New>),
    /// Show a job file: every item with verdict, time, wire and cost, and what all come to.
    Show(show::Arguments),
    /// Write its quote for the customer, or its set-up sheets for the shop, as a PDF file.
    Quote(Box<quote::OfJob>),
}

/// Arguments of `job new`.
#[derive(Debug, clap::Args)]
pub(super) struct New {
    /// The job file that is made.
    #[arg(value_name = "OUT.kerfcast")]
    out: PathBuf,
    /// Drawings, one item each.
    #[arg(required_unless_present = "list", value_name = "FILE")]
    files: Vec<PathBuf>,
    /// A table with one item a row: drawing, quantity, thickness_mm, material, passes, flushing, keep, scale, units,
    /// wire, note. Empty cells take the option or the default; paths are those beside the table.
    #[arg(long, value_name = "ITEMS.csv", conflicts_with = "files")]
    list: Option<PathBuf>,
    /// Who asks for the quote.
    #[arg(long, value_name = "NAME")]
    customer: Option<String>,
    #[command(flatten)]
    overwrite: Overwrite,
    #[command(flatten)]
    with: Conditions,
}

/// A drawing to be taken in, with its row of a list.
pub(super) struct Asked {
    /// Where it lies.
    pub path: PathBuf,
    /// As it was written.
    pub name: String,
    /// What the list says of it.
    pub row: Option<ListRow>,
}

/// The drawings of a list, which lie beside it.
///
/// # Errors
/// The list is refused, with line and column.
pub(super) fn listed(path: &Path, library: &Library) -> Result<Vec<Asked>, Failure> {
    let refused =
        |what: &dyn std::fmt::Display| Failure::Call(format!("{}: {what}", path.display()));
    let bytes = std::fs::read(path).map_err(|e| refused(&saving::system_says(&e)))?;
    let rows = list::read(&bytes, library).map_err(|fault| refused(&job_files::list(&fault)))?;
    let folder = path.parent().unwrap_or(Path::new(""));
    let asked = rows.into_iter().map(|row| Asked {
        path: folder.join(&row.drawing),
        name: row.drawing.clone(),
        row: Some(row),
    });
    Ok(asked.collect())
}

/// Runs what was asked.
///
/// # Errors
/// The call is wrong, or the output cannot be written.
pub(super) fn run(command: &Command, out: &mut impl Write) -> Result<Outcome, Failure> {
    match command {
        Command::New(args) => new(args, out),
        Command::Show(args) => show::run(args, out),
        Command::Quote(args) => quote::run_of_job(args, out),
    }
}

fn new(args: &New, out: &mut impl Write) -> Result<Outcome, Failure> {
    let library = args.with.own.library()?;
    let job = args.with.job_or_assumed(&library)?;
    let asked = if let Some(list) = &args.list {
        listed(list, &library)?
    } else {
        let one = |path: &PathBuf| Asked {
            path: path.clone(),
            name: path.display().to_string(),
            row: None,
        };
        args.files.iter().map(one).collect()
    };
    let inputs = asked.iter().map(|a| a.path.as_path());
    let inputs: Vec<&Path> = inputs.chain(args.list.as_deref()).collect();
    args.overwrite.check(&args.out, &inputs)?;
    let items: Vec<Result<Item, String>> = pool(asked.len())?.install(|| {
        let all = asked.par_iter();
        all.map(|a| item(args, a, &job, &library)).collect()
    });
    let mut enquiry = Enquiry::new(Arc::new(library));
    enquiry.quote.customer = args.customer.clone().unwrap_or_default();
    let mut outcome = Outcome::Done;
    for (asked, item) in asked.iter().zip(items) {
        match item {
            Ok(item) => enquiry.items.push(item),
            Err(message) => {
                outcome = Outcome::SomeFailed;
                tell_of(Path::new(&asked.name), &message);
            }
        }
    }
    if enquiry.items.is_empty() {
        return Err(Failure::Call(
            say!("None of the drawings can be taken in, so no job file is made.").to_owned(),
        ));
    }
    if let Err(fault) = enquiry.save(&args.out) {
        tell_of(&args.out, &job_files::refused(&fault));
        return Ok(Outcome::SomeFailed);
    }
    let count = crate::words::style::count(enquiry.items.len(), say!("item"), say!("items"));
    writeln!(out, "{}: {count}.", args.out.display())?;
    Ok(outcome)
}

/// Read and estimated once, so that the file says what it came to.
fn item(args: &New, asked: &Asked, job: &Job, library: &Library) -> Result<Item, String> {
    let mut item = args
        .with
        .item(&asked.path, job, asked.row.as_ref(), library)?;
    let drawing = args.with.read(&mut item)?;
    let answered = answer_read(drawing, &item.job, library)
        .map_err(|e| format!("{} {}", reading::problem(&e), reading::hint(&e)))?;
    item.seen = item.row(&answered).seen();
    Ok(item)
}
