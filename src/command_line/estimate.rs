//! `estimate`: what the window shows side by side, for a folder, a script or a check.

use super::estimate_json::{Asked, EstimatedJson, estimated};
use super::estimate_table::{write_csv, write_text};
use super::own::Own;
use super::reading::{Failed, Reading};
use super::{Failure, Outcome};
use crate::drawing::{Progress, open};
use crate::estimate::{Comparison, compare};
use crate::job::{Candidate, CutOff, CuttingOrder, Flushing, Job, Travel, WireRun};
use crate::plan::PathCache;
use crate::process::Library;
use crate::units::Length;
use clap::ValueEnum;
use serde::Serialize;
use std::io::Write;
use std::path::PathBuf;

/// Arguments of `estimate`.
#[derive(Debug, clap::Args)]
#[allow(
    clippy::struct_excessive_bools,
    reason = "each is a flag of the command"
)]
pub struct Arguments {
    /// Drawings.
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    #[command(flatten)]
    reading: Reading,
    #[command(flatten)]
    own: Own,
    /// Thickness of the work, mm.
    #[arg(long, value_name = "MM")]
    thickness: f64,
    /// Material, by its name in the library.
    #[arg(long, default_value = "cold-work tool steel", value_name = "NAME")]
    material: String,
    /// Passes: 1 is the rough alone.
    #[arg(long, default_value_t = 4, value_name = "N")]
    passes: usize,
    /// How well the dielectric reaches the cut.
    #[arg(long, value_enum, default_value_t = FlushingArg::Close)]
    flushing: FlushingArg,
    /// A wire and its diameter in mm; may be repeated. Default: a choice of six. How it is run may follow
    /// behind a colon: the run-off in rough and skims in m/min ("…@0.25:10/6"), or the metres on a reel that
    /// is run back and forth and the hours it lasts ("…@0.18:reel 200/80").
    #[arg(long = "wire", value_name = "NAME@DIAMETER[:RUN]")]
    wires: Vec<String>,
    /// Parts in the lot.
    #[arg(long, default_value_t = 1, value_name = "N")]
    quantity: u32,
    /// In which order contours are roughed, skimmed and cut off.
    #[arg(long, value_enum, default_value_t = OrderArg::EachInTurn)]
    order: OrderArg,
    /// When slugs are cut off.
    #[arg(long, value_enum, default_value_t = CutOffArg::AfterSkims)]
    cut_off: CutOffArg,
    /// How the wire gets from one contour to the next.
    #[arg(long, value_enum, default_value_t = TravelArg::Rethread)]
    travel: TravelArg,
    /// The wire is threaded by hand: longer, and somebody stands there.
    #[arg(long)]
    thread_by_hand: bool,
    /// With --json: other ways of cutting, and what would let a thicker wire in.
    #[arg(long, requires = "json")]
    alternatives: bool,
    /// Machine-readable, every figure unrounded.
    #[arg(long, conflicts_with = "csv")]
    json: bool,
    /// One row per file and wire.
    #[arg(long)]
    csv: bool,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum FlushingArg {
    /// Both nozzles close to the work.
    Close,
    /// One nozzle away.
    OneAway,
    /// Both away, or stepped or cross-drilled work.
    Away,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum OrderArg {
    /// Each contour is finished before the next is begun.
    EachInTurn,
    /// Every contour is roughed before the first skim.
    RoughsFirst,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum CutOffArg {
    /// The tab is cut last.
    AfterSkims,
    /// The slug leaves after the rough.
    BeforeSkims,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum TravelArg {
    /// The wire is cut and threaded anew.
    Rethread,
    /// Between outlines in the same waste the wire cuts its way across.
    KeepThreaded,
}

/// Estimates every file.
///
/// # Errors
/// A job that cannot be estimated whatever the drawing, or an output that cannot be written.
pub fn run(args: &Arguments, out: &mut impl Write) -> Result<Outcome, Failure> {
    let library = &args.own.library()?;
    let job = job(args, library)?;
    let mut outcome = Outcome::Done;
    let mut files = Vec::new();
    for path in &args.files {
        match open(path, &args.reading.options(), &Progress::default()) {
            Ok(drawing) => {
                let cache = PathCache::default();
                let comparison = compare(&drawing.profile, &job, library, &cache);
                if args.json {
                    let asked = Asked {
                        drawing: &drawing,
                        job: &job,
                        library,
                        cache: &cache,
                        alternatives: args.alternatives,
                    };
                    files.push(FileJson::Estimated(Box::new(estimated(
                        path,
                        &asked,
                        &comparison,
                    ))));
                } else if !args.csv {
                    write_text(out, path, &job, library, &comparison)?;
                } else {
                    files.push(FileJson::Row(path.clone(), comparison));
                }
            }
            Err(error) => {
                outcome = Outcome::SomeFailed;
                if !args.json {
                    eprintln!("{}: {error} {}", path.display(), error.hint());
                }
                files.push(FileJson::Failed(Failed::new(
                    path.display().to_string(),
                    &error,
                )));
            }
        }
    }
    if args.json {
        serde_json::to_writer_pretty(&mut *out, &files)?;
        writeln!(out)?;
    } else if args.csv {
        write_csv(out, &files)?;
    }
    Ok(outcome)
}

fn job(args: &Arguments, library: &Library) -> Result<Job, Failure> {
    let mut job = Job::starting(library);
    job.thickness = Length::from_mm(args.thickness);
    job.material.clone_from(&args.material);
    job.passes = args.passes;
    job.flushing = match args.flushing {
        FlushingArg::Close => Flushing::Close,
        FlushingArg::OneAway => Flushing::OneAway,
        FlushingArg::Away => Flushing::Away,
    };
    job.quantity = args.quantity;
    job.order = match args.order {
        OrderArg::EachInTurn => CuttingOrder::EachInTurn,
        OrderArg::RoughsFirst => CuttingOrder::RoughsFirst,
    };
    job.cut_off = match args.cut_off {
        CutOffArg::AfterSkims => CutOff::AfterSkims,
        CutOffArg::BeforeSkims => CutOff::BeforeSkims,
    };
    job.travel = match args.travel {
        TravelArg::Rethread => Travel::Rethread,
        TravelArg::KeepThreaded => Travel::KeepThreaded,
    };
    job.shop.threads_by_hand = args.thread_by_hand;
    job.keep = args.reading.keep();
    if !args.wires.is_empty() {
        job.candidates = args
            .wires
            .iter()
            .map(|w| candidate(w))
            .collect::<Result<_, _>>()?;
    }
    if let Some(fault) = job.faults(library).first() {
        let names = |names: Vec<&str>| names.join(", ");
        let hint = match fault {
            crate::job::JobFault::UnknownMaterial(_) => {
                format!(
                    " Materials: {}.",
                    names(library.materials.iter().map(|m| m.name.as_str()).collect())
                )
            }
            crate::job::JobFault::UnknownWire(_) => {
                format!(
                    " Wires: {}.",
                    names(library.wires.iter().map(|w| w.name.as_str()).collect())
                )
            }
            _ => String::new(),
        };
        return Err(Failure::Call(format!("{fault}{hint}")));
    }
    Ok(job)
}

fn candidate(text: &str) -> Result<Candidate, Failure> {
    let (wire, run) = text.rsplit_once('@').map_or((text, ""), |(name, rest)| {
        rest.split_once(':').map_or((text, ""), |(d, run)| {
            (&text[..name.len() + 1 + d.len()], run)
        })
    });
    let parts = wire
        .rsplit_once('@')
        .and_then(|(name, d)| Some((name.trim(), d.trim().parse::<f64>().ok()?)));
    let (name, diameter) = parts.ok_or_else(|| {
        Failure::Call(format!(
            "“{text}” is no wire. Write its name, @ and its diameter in mm, such as \"hard plain brass@0.25\"."
        ))
    })?;
    let run = WireRun::parse(run).map_err(Failure::Call)?;
    Ok(Candidate::new(name, diameter).running(run))
}

/// What stands for one file.
#[derive(Serialize)]
#[serde(untagged)]
pub(super) enum FileJson {
    /// It was estimated.
    Estimated(Box<EstimatedJson>),
    /// It could not be read.
    Failed(Failed),
    /// It was estimated and goes into a table.
    #[serde(skip)]
    Row(PathBuf, Comparison),
}
