//! `estimate`: what the window shows side by side, for a folder, a script or a check.

use super::clock::write_clock;
use super::conditions::Conditions;
use super::doubt::Doubt;
use super::estimate_json::{EstimateBasis, FileJson, Row, estimated};
use super::estimate_table::{
    part_number, write_advice, write_csv, write_files, write_findings, write_set, write_text,
};
use super::inputs;
use super::ladder::{Ladder, quantities, write_ladder};
use super::measure_json::ScaleText;
use super::outcome::{Failure, Outcome};
use super::output::Overwrite;
use super::quick_variants::{self, AskedVariant};
use super::reading::{Failed, Unread};
use super::visible::tell_of;
use crate::calibration::Day;
use crate::drawing::{self, Drawing, Progress, Verdict};
use crate::enquiry::Enquiry;
use crate::estimate::{Comparison, Wanted, compare_either_way};
use crate::job::{Confirmed, Job};
use crate::library::Library;
use crate::measures::measure_cut;
use crate::plan::PathCache;
use crate::report::{Report, html};
use crate::safe_file;
use crate::words::{Style, System, job_files, parts};
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
    #[arg(required_unless_present = "job_file", value_name = "FILE")]
    files: Vec<PathBuf>,
    /// A job file: its items as they were decided, from the figures that were in force then.
    #[arg(
        long = "job",
        value_name = "FILE.kerfcast",
        conflicts_with_all = ["files", "Reading", "JobArguments", "ShopArguments", "Clock", "without_contour"]
    )]
    job_file: Option<PathBuf>,
    /// With --job: from today's library (and --library, --learned) instead of the file's own.
    #[arg(long, requires = "job_file")]
    today: bool,
    #[command(flatten)]
    with: Conditions,
    /// What a part costs in lots of these sizes, such as 1,5,20,100.
    #[arg(long, value_name = "N,N,…", value_parser = quantities)]
    breaks: Option<Ladder>,
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
    /// A quick variant beside the drawing as it is, as NAME: CHANGE, CHANGE. Changes are inside-radii=MM, thickness=MM,
    /// passes=N, scale=FACTOR, mirror and leave-out=N, any of them together. May be repeated.
    #[arg(long, value_name = "VARIANT", value_parser = quick_variants::asked_variant, conflicts_with = "csv")]
    variant: Vec<AskedVariant>,
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
    #[command(flatten)]
    overwrite: Overwrite,
    /// Machine-readable, every figure unrounded.
    #[arg(long, conflicts_with = "csv")]
    json: bool,
    /// One row per file and wire.
    #[arg(long)]
    csv: bool,
}

/// Estimates every file, or every item of a job file.
///
/// # Errors
/// A job that cannot be estimated whatever the drawing, or an output that cannot be written.
pub fn run(args: &Arguments, out: &mut impl Write) -> Result<Outcome, Failure> {
    let drawings = inputs::drawings(&args.files)?;
    if args.report.is_some() && drawings.len() > 1 {
        let message = say!("A report holds one drawing. Name one file with --report.");
        return Err(Failure::Call(message.to_owned()));
    }
    if let Some(page) = &args.report {
        let inputs = drawings.iter().chain(&args.job_file);
        let inputs: Vec<&Path> = inputs.map(PathBuf::as_path).collect();
        args.overwrite.check(page, &inputs)?;
    }
    let mut sheet = Sheet {
        args,
        basis: Vec::new(),
        files: Vec::new(),
        outcome: Outcome::Done,
    };
    if let Some(path) = &args.job_file {
        let enquiry = Enquiry::load(path).map_err(|fault| {
            Failure::Call(format!(
                "{}: {}",
                path.display(),
                job_files::refused(&fault)
            ))
        })?;
        if args.report.is_some() && enquiry.items.len() > 1 {
            let message = say!("A report holds one drawing, and this job file holds several.");
            return Err(Failure::Call(message.to_owned()));
        }
        let today = if args.today {
            Some(args.with.own.library()?)
        } else {
            None
        };
        let library = today.as_ref().unwrap_or(&enquiry.library);
        for item in &enquiry.items {
            let name = Path::new(&item.name);
            let bytes = item.drawing.bytes().to_vec();
            let read = drawing::read_on_big_stack(bytes, &item.options, &Progress::default());
            match read {
                Ok(drawing) => {
                    let (job, given) = (item.job.clone(), item.confirmed);
                    sheet.add(out, name, &drawing, job, given, library)?;
                }
                Err(error) => sheet.fail(name, &error.into()),
            }
        }
    } else {
        let basis = args.with.own.basis()?;
        let library = &basis.library;
        sheet.basis = basis.files;
        let job = args.with.job(library)?;
        for path in &drawings {
            match args.with.reading.open(path) {
                Ok(drawing) => {
                    let mut job = job.clone();
                    let given = args.with.job.confirmed();
                    match args.with.leave_contours_out(&mut job, &drawing) {
                        Ok(()) => sheet.add(out, path, &drawing, job, given, library)?,
                        Err(message) => sheet.refuse(Failed::because(
                            path.display().to_string(),
                            message,
                            say!("See the contours that measure lists."),
                        )),
                    }
                }
                Err(error) => sheet.fail(path, &error),
            }
        }
    }
    if args.json {
        serde_json::to_writer_pretty(&mut *out, &sheet.files)?;
        writeln!(out)?;
    } else if args.csv {
        write_csv(out, &sheet.files)?;
    }
    Ok(sheet.outcome)
}

/// What was estimated so far.
struct Sheet<'a> {
    args: &'a Arguments,
    /// The shop's own files that the figures rest on.
    basis: Vec<PathBuf>,
    files: Vec<FileJson>,
    outcome: Outcome,
}

impl Sheet<'_> {
    fn fail(&mut self, path: &Path, error: &Unread) {
        self.outcome = Outcome::SomeFailed;
        if !self.args.json {
            tell_of(path, &format!("{error} {}", error.hint()));
        }
        let failed = Failed::new(path.display().to_string(), error);
        self.files.push(FileJson::Failed(failed));
    }
    fn refuse(&mut self, failed: Failed) {
        self.outcome = Outcome::SomeFailed;
        if !self.args.json {
            tell_of(Path::new(failed.file()), failed.message());
        }
        self.files.push(FileJson::Failed(failed));
    }
    /// Estimates one drawing, and writes it at once where text is wanted.
    fn add(
        &mut self,
        out: &mut impl Write,
        path: &Path,
        drawing: &Drawing,
        mut job: Job,
        given: Confirmed,
        library: &Library,
    ) -> Result<(), Failure> {
        let args = self.args;
        if let Err(failed) = take_parts(args, &mut job, drawing, path) {
            self.refuse(failed);
            return Ok(());
        }
        if drawing.verdict == Verdict::Refuse {
            self.outcome = self.outcome.and(Outcome::NotToQuote);
        }
        let cache = PathCache::default();
        let (comparison, openings) = compare_either_way(drawing, &job, library, &cache);
        let beside = (&drawing.profile, &job);
        let asked = &args.variant;
        let variants = quick_variants::estimated(asked, beside, &comparison, library, &cache);
        let variants = match variants {
            Ok(variants) => variants,
            Err(message) => {
                let hint = quick_variants::how_to_say_it();
                let file = path.display().to_string();
                self.refuse(Failed::because(file, message, hint));
                return Ok(());
            }
        };
        if let Some(page) = &args.report {
            let profile = &drawing.profile;
            let cuts = |k: usize| job.cuts(&profile.contours()[k]);
            let measures = measure_cut(profile, |k| job.role(profile, k), cuts);
            let name = path.file_name().unwrap_or(path.as_os_str());
            let text = html(&Report {
                name: &name.to_string_lossy(),
                date: &Day::today().said(),
                profile,
                measures: &measures,
                job: &job,
                confirmed: given,
                library,
                drawing,
                comparison: &comparison,
                as_openings: &openings,
                shown: 0,
                style: Style::of(args.system()),
            });
            if let Err(e) = safe_file::save(page, text.as_bytes()) {
                self.outcome = Outcome::SomeFailed;
                tell_of(page, &say!("the report was not written: {e}."));
            }
        }
        let asked = EstimateBasis {
            drawing,
            job: &job,
            confirmed: given,
            library,
            cache: &cache,
            as_openings: &openings,
            alternatives: args.alternatives,
            wanted: args.wanted(),
            files: &self.basis,
            breaks: args.breaks.as_ref().map_or(&[], |l| l.0.as_slice()),
            variants: &variants,
        };
        if args.json {
            let whole = estimated(path, &asked, &comparison);
            self.files.push(FileJson::Estimated(Box::new(whole)));
        } else if args.csv {
            let part = part_number(&job, drawing);
            let row = Row {
                path: path.to_owned(),
                part,
                doubt: Doubt::of(drawing, &comparison),
                comparison,
            };
            self.files.push(FileJson::Row(Box::new(row)));
        } else {
            write_for_a_person(args, out, path, &asked, &comparison)?;
        }
        Ok(())
    }
}

/// All that the text says of a file.
fn write_for_a_person(
    args: &Arguments,
    out: &mut impl Write,
    path: &Path,
    asked: &EstimateBasis<'_>,
    comparison: &Comparison,
) -> std::io::Result<()> {
    let style = Style::plain(args.system());
    let (drawing, job, library) = (asked.drawing, asked.job, asked.library);
    write_text(out, path, asked, comparison, style)?;
    write_set(out, drawing, job, style)?;
    if let Some(words) = ScaleText::of(drawing).words() {
        writeln!(out, "  {words}")?;
    }
    if let Some(words) = asked.confirmed.words() {
        writeln!(out, "  {words}")?;
    }
    if args.with.clock.is_asked() {
        write_clock(out, job, library, comparison)?;
    }
    write_advice(out, args.wanted(), job, library, style)?;
    if let Some(best) = comparison.to_quote() {
        let ladder = asked.ladder(best).unwrap_or_default();
        let wire = style.candidate(&comparison.estimates[best].candidate);
        write_ladder(out, &wire, &ladder, style)?;
    }
    if !asked.variants.is_empty() {
        let profile = &drawing.profile;
        quick_variants::write(out, comparison, None, asked.variants, profile, style)?;
    }
    write_findings(out, drawing, style)?;
    write_files(out, asked.files)
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
                0 => say!("it holds no part, so there is no part {number}."),
                1 => say!("it holds one part, so there is no part {number}."),
                n => say!("it holds {n} parts, so there is no part {number}."),
            },
            say!(
                "Choose a part that `measure` lists, or leave --part away to estimate all together."
            ),
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
            say!("Give at most one number for each part that `measure` lists."),
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

pub(super) fn above_zero(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(v) if v.is_finite() && v > 0.0 => Ok(v),
        _ => Err(say!("a number above 0 is needed").to_owned()),
    }
}
