//! `quote`: what a customer gets, or what the shop keeps beside the machine, as a PDF file.

use super::conditions::Conditions;
use super::inputs;
use super::ladder::{Ladder, quantities};
use super::outcome::{Failure, Outcome};
use super::output::{Overwrite, write};
use crate::calibration::Day;
use crate::drawing::Drawing;
use crate::estimate::{Comparison, compare};
use crate::job::Job;
use crate::plan::PathCache;
use crate::quote::layout::laid;
use crate::quote::pages::Paper;
use crate::quote::pdf::pdf;
use crate::quote::stationery::Stationery;
use crate::quote::{Depth, Quote, QuotedItem, customer, shop};
use crate::words::{Style, System};
use clap::ValueEnum;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Arguments of `quote`.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Drawings, an item each.
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// The file to write.
    #[arg(long, value_name = "OUT.pdf")]
    pdf: PathBuf,
    /// For the customer, without any of the shop's rates, or for the shop: set-up sheet, start holes, order, cost.
    #[arg(long = "for", value_enum, default_value = "customer")]
    reader: Reader,
    /// Quantities of the ladder beside the job's own, such as 1,5,20,100. Default: those of the shop's words.
    #[arg(long, value_name = "N,N,…", value_parser = quantities)]
    breaks: Option<Ladder>,
    /// Number of the quote. Default: the day and the first drawing's name.
    #[arg(long, value_name = "TEXT")]
    number: Option<String>,
    /// Whom it is for.
    #[arg(long, value_name = "NAME", default_value = "")]
    customer: String,
    /// The day it is written, such as 2026-11-25. Default: today.
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    date: Option<Day>,
    /// The shop's letterhead and words.
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
    #[command(flatten)]
    with: Conditions,
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
    Day::parse(text).ok_or_else(|| "a day such as 2026-11-25 is needed".to_owned())
}

/// A drawing with its job and its estimates.
struct Estimated {
    name: String,
    drawing: Drawing,
    job: Job,
    comparison: Comparison,
}

/// Writes the quote of all drawings.
///
/// # Errors
/// A call that cannot be carried out whatever the drawings, or an output that cannot be written.
pub fn run(args: &Arguments, out: &mut impl Write) -> Result<Outcome, Failure> {
    let drawings = inputs::drawings(&args.files)?;
    let mut inputs: Vec<&Path> = drawings.iter().map(PathBuf::as_path).collect();
    inputs.extend(args.stationery.as_deref());
    args.overwrite.check(&args.pdf, &inputs)?;
    let library = &args.with.own.library()?;
    let job = args.with.job(library)?;
    let (mut stationery, logo) = match &args.stationery {
        None => (Stationery::default(), None),
        Some(path) => Stationery::load(path)
            .map_err(|e| Failure::Call(format!("{}: {e}.", path.display())))?,
    };
    match args.paper {
        Some(PaperArg::A4) => stationery.paper = Paper::A4,
        Some(PaperArg::Letter) => stationery.paper = Paper::Letter,
        None => {}
    }
    let mut outcome = Outcome::Done;
    let mut estimated = Vec::new();
    for path in &drawings {
        let mut job = job.clone();
        let Some(drawing) = args.with.open(path, &mut job) else {
            outcome = Outcome::SomeFailed;
            continue;
        };
        let comparison = compare(&drawing.profile, &job, library, &PathCache::default());
        let name = path.file_name().unwrap_or(path.as_os_str());
        estimated.push(Estimated {
            name: name.to_string_lossy().into_owned(),
            drawing,
            job,
            comparison,
        });
    }
    let Some(first) = estimated.first() else {
        return Ok(outcome);
    };
    let date = args.date.unwrap_or_else(Day::today);
    let stem = Path::new(&first.name).file_stem().unwrap_or_default();
    let number = args
        .number
        .clone()
        .unwrap_or_else(|| format!("{date} {}", stem.to_string_lossy()));
    let items = estimated.iter().map(|e| QuotedItem {
        name: &e.name,
        drawing: &e.drawing,
        job: &e.job,
        confirmed: args.with.job.confirmed(),
        comparison: &e.comparison,
        chosen: e.comparison.cheapest().unwrap_or(0),
    });
    let quote = Quote {
        items: items.collect(),
        library,
        logo,
        number,
        date,
        customer: args.customer.clone(),
        quantities: args
            .breaks
            .as_ref()
            .map_or_else(|| stationery.quantities.clone(), |l| l.0.clone()),
        stationery: &stationery,
        style: Style::of(if args.inch {
            System::Inch
        } else {
            System::Metric
        }),
    };
    let document = match (args.reader, args.reasons) {
        (Reader::Customer, _) => customer(&quote),
        (Reader::Shop, false) => shop(&quote, Depth::Sheet),
        (Reader::Shop, true) => shop(&quote, Depth::WithReasons),
    };
    let pages = laid(&document);
    let written = pdf(&pages)
        .map_err(|e| e.to_string())
        .and_then(|bytes| write(&args.pdf, &bytes));
    match written {
        Ok(()) => {
            let count = pages.pages.len();
            let word = if count == 1 { "page" } else { "pages" };
            writeln!(out, "{}: {count} {word}", args.pdf.display())?;
            Ok(outcome)
        }
        Err(message) => {
            eprintln!("{message}");
            Ok(Outcome::SomeFailed)
        }
    }
}
