//! `quote` and `job quote`: what a customer gets, or what the shop keeps beside the machine, as a PDF file.

use super::conditions::Conditions;
use super::cores::pool;
use super::inputs;
use super::ladder::{Ladder, quantities};
use super::outcome::{Failure, Outcome};
use super::output::{Overwrite, write};
use super::own::Own;
use super::visible::tell_of;
use crate::calibration::Day;
use crate::drawing::Progress;
use crate::enquiry::{Enquiry, Item, QuoteWords, answer_read};
use crate::job::Job;
use crate::library::Library;
use crate::quote::layout::laid;
use crate::quote::pages::{Image, Paper};
use crate::quote::pdf::pdf;
use crate::quote::stationery::Stationery;
use crate::quote::{Depth, Quote, Quoted, customer, shop};
use crate::words::{Style, System, job_files, reading};
use clap::ValueEnum;
use rayon::prelude::*;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// How a quote is written, whatever it is made from.
#[derive(Debug, clap::Args)]
struct Sheet {
    /// The file to write.
    #[arg(long, value_name = "OUT.pdf")]
    pdf: PathBuf,
    /// For the customer, without any of the shop's rates, or for the shop: set-up sheet, start holes, order, cost.
    #[arg(long = "for", value_enum, default_value = "customer")]
    reader: Reader,
    /// Quantities of the ladder beside the job's own, such as 1,5,20,100. Default: those of the shop's words.
    #[arg(long, value_name = "N,N,…", value_parser = quantities)]
    breaks: Option<Ladder>,
    /// Number of the quote. Default: that of the job file, else the day and the first drawing's name.
    #[arg(long, value_name = "TEXT")]
    number: Option<String>,
    /// Whom it is for. Default: whom the job file names.
    #[arg(long, value_name = "NAME")]
    customer: Option<String>,
    /// The day it is written, such as 2026-11-25. Default: that of the job file, else today.
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    date: Option<Day>,
    /// The shop's letterhead and words, instead of those that the window keeps.
    #[arg(long, value_name = "QUOTE.toml")]
    stationery: Option<PathBuf>,
    /// Size of the paper. Default: that of the shop's words, else A4.
    #[arg(long, value_enum)]
    paper: Option<PaperArg>,
    /// For the shop: why the figures are what they are.
    #[arg(long)]
    reasons: bool,
    /// Lengths and masses in inches and pounds.
    #[arg(long)]
    inch: bool,
    #[command(flatten)]
    overwrite: Overwrite,
}

/// Arguments of `quote`.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Drawings, an item each.
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    #[command(flatten)]
    sheet: Sheet,
    #[command(flatten)]
    with: Conditions,
}

/// Arguments of `job quote`.
#[derive(Debug, clap::Args)]
pub struct OfJob {
    /// The job file: its items, its words, and the figures that it was made with.
    #[arg(value_name = "FILE.kerfcast")]
    file: PathBuf,
    #[command(flatten)]
    sheet: Sheet,
    #[command(flatten)]
    own: Own,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Reader {
    Customer,
    Shop,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum PaperArg {
    /// 210 × 297 mm.
    A4,
    /// 8½ × 11 in.
    Letter,
}

fn day(text: &str) -> Result<Day, String> {
    Day::parse(text).ok_or_else(|| say!("a day such as 2026-11-25 is needed").to_owned())
}

/// Letterhead and standing words, with their picture.
type Words = (Stationery, Option<Arc<Image>>);

impl Sheet {
    /// Letterhead and words: those named, else those that the window keeps, else none.
    fn words(&self, own: &Own) -> Result<Words, Failure> {
        let kept = own.stationery().filter(|p| p.exists());
        let path = self.stationery.clone().or(kept);
        let (mut stationery, logo) = match &path {
            None => Words::default(),
            Some(path) => Stationery::load(path)
                .map_err(|e| Failure::Call(format!("{}: {e}.", path.display())))?,
        };
        match self.paper {
            Some(PaperArg::A4) => stationery.paper = Paper::A4,
            Some(PaperArg::Letter) => stationery.paper = Paper::Letter,
            None => {}
        }
        if let Some(ladder) = &self.breaks {
            stationery.quantities.clone_from(&ladder.0);
        }
        Ok((stationery, logo))
    }
    /// Whether it may be written there, asked before anything is computed.
    fn check(&self, inputs: &[PathBuf]) -> Result<(), Failure> {
        let inputs = inputs.iter().chain(&self.stationery);
        let inputs: Vec<&Path> = inputs.map(PathBuf::as_path).collect();
        self.overwrite.check(&self.pdf, &inputs)
    }
    /// The words of this quote: what is said here, else what the job file says.
    fn said(&self, kept: &QuoteWords) -> QuoteWords {
        let said = |here: &Option<String>, kept: &str| here.clone().unwrap_or(kept.to_owned());
        QuoteWords {
            number: said(&self.number, &kept.number),
            customer: said(&self.customer, &kept.customer),
            date: said(&self.date.map(|d| d.to_string()), &kept.date),
            ..kept.clone()
        }
    }
    /// Sets it and writes it.
    fn write(
        &self,
        items: &[Quoted],
        library: &Library,
        (stationery, logo): Words,
        words: &QuoteWords,
        out: &mut impl Write,
    ) -> Result<Outcome, Failure> {
        let quote = Quote {
            items: items.iter().map(Quoted::item).collect(),
            library,
            stationery: &stationery,
            logo,
            words,
            today: Day::today(),
            style: Style::of(if self.inch {
                System::Inch
            } else {
                System::Metric
            }),
        };
        let document = match (self.reader, self.reasons) {
            (Reader::Customer, _) => customer(&quote),
            (Reader::Shop, false) => shop(&quote, Depth::Sheet),
            (Reader::Shop, true) => shop(&quote, Depth::WithReasons),
        };
        let pages = laid(&document);
        let written = pdf(&pages)
            .map_err(|e| e.to_string())
            .and_then(|bytes| write(&self.pdf, &bytes));
        match written {
            Ok(()) => {
                let count = pages.pages.len();
                let word = if count == 1 {
                    say!("page")
                } else {
                    say!("pages")
                };
                writeln!(out, "{}: {count} {word}", self.pdf.display())?;
                Ok(Outcome::Done)
            }
            Err(message) => {
                tell_of(&self.pdf, &message);
                Ok(Outcome::SomeFailed)
            }
        }
    }
}

/// Items as they are quoted, all cores; what fails is told and left out.
fn quoted<T: Sync>(
    all: &[T],
    outcome: &mut Outcome,
    name: impl Fn(&T) -> PathBuf,
    work: impl Fn(&T) -> Result<Quoted, String> + Sync + Send,
) -> Result<Vec<Quoted>, Failure> {
    let done: Vec<Result<Quoted, String>> =
        pool(all.len())?.install(|| all.par_iter().map(work).collect());
    let mut items = Vec::new();
    for (one, done) in all.iter().zip(done) {
        match done {
            Ok(item) => items.push(item),
            Err(message) => {
                *outcome = Outcome::SomeFailed;
                tell_of(&name(one), &message);
            }
        }
    }
    Ok(items)
}

/// Writes the quote of all drawings.
///
/// # Errors
/// A call that cannot be carried out whatever the drawings, or an output that cannot be written.
pub fn run(args: &Arguments, out: &mut impl Write) -> Result<Outcome, Failure> {
    let drawings = inputs::drawings(&args.files)?;
    args.sheet.check(&drawings)?;
    let library = &args.with.own.library()?;
    let job = args.with.job(library)?;
    let words = args.sheet.words(&args.with.own)?;
    let mut outcome = Outcome::Done;
    let work = |path: &PathBuf| one(args, path, &job, library, &words.0.quantities);
    let items = quoted(&drawings, &mut outcome, PathBuf::clone, work)?;
    if items.is_empty() {
        return Ok(outcome);
    }
    let said = args.sheet.said(&QuoteWords::default());
    let written = args.sheet.write(&items, library, words, &said, out)?;
    Ok(outcome.and(written))
}

/// One drawing of the call.
fn one(
    args: &Arguments,
    path: &Path,
    job: &Job,
    library: &Library,
    quantities: &[u32],
) -> Result<Quoted, String> {
    let mut item = args.with.item(path, job, None, library)?;
    let drawing = args.with.read(&mut item)?;
    let answered = answer_read(drawing, &item.job, library)
        .map_err(|e| format!("{} {}", reading::problem(&e), reading::hint(&e)))?;
    Ok(Quoted::of(&item, answered, quantities, library))
}

/// Writes the quote of a job file, in the figures that it holds.
///
/// # Errors
/// The file is refused, or the output cannot be written.
pub fn run_of_job(args: &OfJob, out: &mut impl Write) -> Result<Outcome, Failure> {
    let refused = |fault| {
        let why = job_files::refused(&fault);
        Failure::Call(format!("{}: {why}", args.file.display()))
    };
    args.sheet.check(std::slice::from_ref(&args.file))?;
    let enquiry = Enquiry::load(&args.file).map_err(refused)?;
    let words = args.sheet.words(&args.own)?;
    let library = &enquiry.library;
    let mut outcome = Outcome::Done;
    let name = |item: &Item| PathBuf::from(&item.name);
    let work = |item: &Item| {
        let answered = item
            .answer(library, &Progress::default())
            .map_err(|e| format!("{} {}", reading::problem(&e), reading::hint(&e)))?;
        Ok(Quoted::of(item, answered, &words.0.quantities, library))
    };
    let items = quoted(&enquiry.items, &mut outcome, name, work)?;
    if items.is_empty() {
        return Ok(outcome);
    }
    let said = args.sheet.said(&enquiry.quote);
    let written = args.sheet.write(&items, library, words, &said, out)?;
    Ok(outcome.and(written))
}
