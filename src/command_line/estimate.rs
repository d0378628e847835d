//! `estimate`: what the window shows side by side, for a folder, a script or a check.

use super::clock::{Clock, write_clock};
use super::estimate_json::{EstimateBasis, FileJson, estimated};
use super::estimate_table::{part_number, write_advice, write_csv, write_sets, write_text};
use super::inputs;
use super::job::JobArguments;
use super::measure_json::ScaleText;
use super::outcome::{Failure, Outcome};
use super::own::Own;
use super::reading::{Failed, Reading};
use super::shop::ShopArguments;
use super::visible::tell_of;
use crate::calibration::Day;
use crate::drawing::Drawing;
use crate::estimate::{Comparison, Wanted, compare};
use crate::job::Job;
use crate::library::Library;
use crate::measures::measure_cut;
use crate::plan::PathCache;
use crate::report::{Report, html};
use crate::safe_file;
use crate::words::{Style, System, parts};
use std::io::Write;
use std::path::{Path, PathBuf};

/// Arguments of `estimate`.
#[derive(Debug, clap::Args)]
#[allow(
    clippy::struct_excessive_bools,
    reason = "each is a flag of the command"
)]
pub struct Arguments {
    /// Drawings: files, folders, patterns, or - for standard input.
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    #[command(flatten)]
    reading: Reading,
    #[command(flatten)]
    own: Own,
    #[command(flatten)]
    job: JobArguments,
    #[command(flatten)]
    shop: ShopArguments,
    #[command(flatten)]
    clock: Clock,
    /// Of a drawing with several parts this one alone, 1 the first. Default: all together.
    #[arg(long, value_name = "N")]
    part: Option<usize>,
    /// How many of each part make a set, in the order of `measure`: "2,1". Parts that are not named: 1. The quantity then
    /// counts sets.
    #[arg(
        long,
        value_name = "N,N,…",
        value_delimiter = ',',
        conflicts_with = "part"
    )]
    counts: Vec<u32>,
    /// With --json: other ways of cutting, and what would let a thicker wire in.
    #[arg(long, requires = "json")]
    alternatives: bool,
    /// Roughness Ra that is wanted at most, µm: names the smallest pass plan that is usually enough, wire by wire.
    #[arg(long, value_name = "UM", value_parser = above_zero)]
    ra: Option<f64>,
    /// Tolerance that is wanted at most, mm: likewise.
    #[arg(long, value_name = "MM", value_parser = above_zero)]
    tolerance: Option<f64>,
    /// Text and report in inches, feet and pounds. CSV and JSON stay metric.
    #[arg(long)]
    inch: bool,
    /// Write the estimate as a page to read and print, for one drawing at a time. Its path and its reasons are
    /// those of the first wire.
    #[arg(long, value_name = "FILE.html")]
    report: Option<PathBuf>,
    /// Machine-readable, every figure unrounded.
    #[arg(long, conflicts_with = "csv")]
    json: bool,
    /// One row per file and wire.
    #[arg(long)]
    csv: bool,
}

/// Estimates every file.
///
/// # Errors
/// A job that cannot be estimated whatever the drawing, or an output that cannot be written.
pub fn run(args: &Arguments, out: &mut impl Write) -> Result<Outcome, Failure> {
    let library = &args.own.library()?;
    let mut job = args.job.job(args.reading.keep(), library)?;
    args.clock.put(&mut job);
    args.shop.apply(&mut job.shop)?;
    let drawings = inputs::drawings(&args.files)?;
    if args.report.is_some() && drawings.len() > 1 {
        let message = "A report holds one drawing. Name one file with --report.";
        return Err(Failure::Call(message.to_owned()));
    }
    let mut outcome = Outcome::Done;
    let mut files = Vec::new();
    for path in &drawings {
        match args.reading.open(path) {
            Ok(drawing) => {
                let mut job = job.clone();
                if let Err(failed) = take_parts(args, &mut job, &drawing, path) {
                    outcome = Outcome::SomeFailed;
                    if !args.json {
                        tell_of(path, failed.message());
                    }
                    files.push(FileJson::Failed(failed));
                    continue;
                }
                let cache = PathCache::default();
                let comparison = compare(&drawing.profile, &job, library, &cache);
                if let Some(page) = &args.report {
                    let profile = &drawing.profile;
                    let cuts = |k: usize| job.cuts(&profile.contours()[k]);
                    let measures = measure_cut(profile, |k| job.role(profile, k), cuts);
                    let name = path.file_name().unwrap_or(path.as_os_str());
                    let text = html(&Report {
                        name: &name.to_string_lossy(),
                        date: &Day::today().to_string(),
                        profile,
                        measures: &measures,
                        job: &job,
                        confirmed: args.job.confirmed(),
                        library,
                        drawing: &drawing,
                        comparison: &comparison,
                        shown: 0,
                        style: Style::of(args.system()),
                    });
                    if let Err(e) = safe_file::save(page, text.as_bytes()) {
                        outcome = Outcome::SomeFailed;
                        tell_of(page, &format!("the report was not written: {e}."));
                    }
                }
                if args.json {
                    let asked = EstimateBasis {
                        drawing: &drawing,
                        job: &job,
                        confirmed: args.job.confirmed(),
                        library,
                        cache: &cache,
                        alternatives: args.alternatives,
                        wanted: args.wanted(),
                    };
                    files.push(FileJson::Estimated(Box::new(estimated(
                        path,
                        &asked,
                        &comparison,
                    ))));
                } else if !args.csv {
                    write_for_a_person(
                        args,
                        out,
                        path,
                        (&drawing, &job, library),
                        (&comparison, &cache),
                    )?;
                } else {
                    let part = part_number(&job, &drawing);
                    files.push(FileJson::Row(path.clone(), part, comparison));
                }
            }
            Err(error) => {
                outcome = Outcome::SomeFailed;
                if !args.json {
                    tell_of(path, &format!("{error} {}", error.hint()));
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

/// All that the text says of a file.
fn write_for_a_person(
    args: &Arguments,
    out: &mut impl Write,
    path: &Path,
    (drawing, job, library): (&Drawing, &Job, &Library),
    (comparison, cache): (&Comparison, &PathCache),
) -> std::io::Result<()> {
    let style = Style::plain(args.system());
    write_text(out, path, drawing, job, library, comparison, style)?;
    write_sets(out, drawing, job, library, cache, style)?;
    if let Some(words) = ScaleText::of(drawing).words() {
        writeln!(out, "  {words}")?;
    }
    if let Some(words) = args.job.confirmed().words() {
        writeln!(out, "  {words}")?;
    }
    if args.clock.is_asked() {
        write_clock(out, job, library, comparison)?;
    }
    write_advice(out, args.wanted(), job, library, style)?;
    Ok(())
}

/// The part that is taken alone, or how many of each make a set.
fn take_parts(
    args: &Arguments,
    job: &mut Job,
    drawing: &Drawing,
    path: &Path,
) -> Result<(), Failed> {
    take_part(args.part, job, drawing, path)?;
    take_counts(&args.counts, job, drawing, path)
}

/// Leaves all parts out but the one asked for, or says which there are.
fn take_part(
    number: Option<usize>,
    job: &mut Job,
    drawing: &Drawing,
    path: &Path,
) -> Result<(), Failed> {
    let Some(number) = number else { return Ok(()) };
    let there = drawing.parts.len();
    match number.checked_sub(1).and_then(|k| drawing.parts.get(k)) {
        Some(part) => {
            job.take_part(&drawing.profile, Some(part));
            Ok(())
        }
        None => Err(Failed::because(
            path.display().to_string(),
            match there {
                0 => format!("it holds no part, so there is no part {number}."),
                1 => format!("it holds one part, so there is no part {number}."),
                n => format!("it holds {n} parts, so there is no part {number}."),
            },
            "Choose a part that `measure` lists, or leave --part away to estimate all together.",
        )),
    }
}

/// Takes how many of each part make a set, or says how many parts there are.
fn take_counts(
    counts: &[u32],
    job: &mut Job,
    drawing: &Drawing,
    path: &Path,
) -> Result<(), Failed> {
    if counts.len() > drawing.parts.len() {
        return Err(Failed::because(
            path.display().to_string(),
            parts::too_many_counts(counts.len(), drawing.parts.len()),
            "Give at most one number for each part that `measure` lists.",
        ));
    }
    for (part, count) in drawing.parts.iter().zip(counts) {
        job.set_count(&drawing.profile, part, *count);
    }
    Ok(())
}

impl Arguments {
    /// mm or inch.
    fn system(&self) -> System {
        if self.inch {
            System::Inch
        } else {
            System::Metric
        }
    }
    /// The finish or tolerance asked for.
    fn wanted(&self) -> Option<Wanted> {
        let wanted = Wanted {
            roughness_um: self.ra,
            tolerance_mm: self.tolerance,
        };
        (wanted != Wanted::default()).then_some(wanted)
    }
}

fn above_zero(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(v) if v.is_finite() && v > 0.0 => Ok(v),
        _ => Err("a number above 0 is needed".to_owned()),
    }
}
