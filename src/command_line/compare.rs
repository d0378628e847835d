//! `compare`: two drawings, two jobs, or an estimate and what really happened, split into their parts.

use super::estimate_json::{DifferenceJson, difference_json};
use super::job::{FlushingArg, JobArguments, checked};
use super::outcome::{Failure, Outcome};
use super::own::Own;
use super::reading::Reading;
use super::shop::ShopArguments;
use super::visible::tell_of;
use crate::drawing::Drawing;
use crate::estimate::{
    Actual, Estimate, Figures, Variants, WhyDifferent, compare, variants, why_actual,
};
use crate::job::Job;
use crate::library::Library;
use crate::plan::PathCache;
use crate::units::{Length, Minutes};
use crate::words::{self, Style, System, figures, ways};
use serde::Serialize;
use std::io::Write;
use std::path::PathBuf;

/// Arguments of `compare`.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The drawing that the other is held against.
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// The other drawing. Without it the same drawing is estimated twice, as --then-… says.
    #[arg(value_name = "OTHER")]
    other: Option<PathBuf>,
    #[command(flatten)]
    reading: Reading,
    #[command(flatten)]
    own: Own,
    #[command(flatten)]
    job: JobArguments,
    #[command(flatten)]
    shop: ShopArguments,
    /// Thickness of the second job, mm.
    #[arg(long, value_name = "MM")]
    then_thickness: Option<f64>,
    /// Material of the second job.
    #[arg(long, value_name = "NAME")]
    then_material: Option<String>,
    /// Passes of the second job.
    #[arg(long, value_name = "N")]
    then_passes: Option<usize>,
    /// Flushing of the second job.
    #[arg(long, value_enum)]
    then_flushing: Option<FlushingArg>,
    /// Minutes of cutting that the job really took, corners included, without stops and threading: the estimate is
    /// then held against that.
    #[arg(long, value_name = "TIME", conflicts_with = "other", value_parser = time)]
    actual: Option<f64>,
    /// Wire that it really used, m.
    #[arg(long, value_name = "M", requires = "actual", value_parser = above_zero)]
    actual_wire: Option<f64>,
    /// Machine-readable, every figure unrounded.
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct ComparedJson {
    file: String,
    other: Option<String>,
    wires: Vec<WireJson>,
}

#[derive(Serialize)]
struct WireJson {
    wire: String,
    diameter_mm: f64,
    run: String,
    possible: bool,
    decided_otherwise: Vec<String>,
    before_minutes: Option<f64>,
    after_minutes: Option<f64>,
    difference: Option<DifferenceJson>,
    minutes: Option<MinutesJson>,
    wire_m: Option<SplitJson>,
}

#[derive(Serialize)]
struct MinutesJson {
    difference: f64,
    parts: Vec<PartJson>,
    cutting_in_proportion: bool,
}

#[derive(Serialize)]
struct PartJson {
    what: &'static str,
    before: f64,
    after: f64,
    difference: f64,
}

/// Split by the logarithmic mean: the parts sum to the difference.
#[derive(Serialize)]
struct SplitJson {
    difference: f64,
    by_time: f64,
    by_run_off: f64,
    by_threading: f64,
}

/// Compares wire by wire.
///
/// # Errors
/// A job that cannot be estimated, or an output that cannot be written.
pub fn run(args: &Arguments, out: &mut impl Write) -> Result<Outcome, Failure> {
    let basis = args.own.basis()?;
    let library = &basis.library;
    let mut job = args.job.job(args.reading.keep(), library)?;
    job.shop = basis.rates.shop.clone();
    args.shop.apply(&mut job.shop)?;
    let then = args.then(&job, library)?;
    if args.other.is_none() && args.actual.is_none() && then == job {
        let message = "Nothing to compare. Name another drawing, say what differs with --then-thickness, \
                       --then-material, --then-passes or --then-flushing, or give the --actual minutes.";
        return Err(Failure::Call(message.to_owned()));
    }
    let read = |path: &PathBuf| args.reading.open(path);
    let mut drawings = Vec::new();
    for path in [Some(&args.file), args.other.as_ref()]
        .into_iter()
        .flatten()
    {
        match read(path) {
            Ok(drawing) => drawings.push(drawing),
            Err(error) => {
                tell_of(path, &format!("{error} {}", error.hint()));
                return Ok(Outcome::SomeFailed);
            }
        }
    }
    let estimates = |drawing: &Drawing, job: &Job| {
        compare(&drawing.profile, job, library, &PathCache::default()).estimates
    };
    let before = estimates(&drawings[0], &job);
    let wires: Vec<Compared<'_>> = if let Some(minutes) = args.actual {
        let actual = Actual {
            cutting: Minutes::from_min(minutes),
            others: None,
            wire: args.actual_wire.map(Length::from_m),
        };
        let why = |f: &Figures| Found::Actual(why_actual(f, &actual));
        before
            .iter()
            .map(|e| (e, e.figures.as_ref().map(why)))
            .collect()
    } else {
        let after = estimates(drawings.last().unwrap_or(&drawings[0]), &then);
        let both = before.iter().zip(&after);
        both.map(|(a, b)| (a, between((&job, a), (&then, b), library)))
            .collect()
    };
    if args.json {
        let json = ComparedJson {
            file: args.file.display().to_string(),
            other: args.other.as_ref().map(|p| p.display().to_string()),
            wires: wires
                .iter()
                .map(|(e, found)| json(e, found.as_ref()))
                .collect(),
        };
        serde_json::to_writer_pretty(&mut *out, &json)?;
        writeln!(out)?;
    } else {
        for (e, found) in &wires {
            write_text(out, e, found.as_ref())?;
        }
    }
    Ok(Outcome::Done)
}

type Compared<'a> = (&'a Estimate, Option<Found>);

/// What came of holding one against the other.
enum Found {
    Variants(Box<Variants>),
    Actual(WhyDifferent),
}

impl Found {
    fn why(&self) -> &WhyDifferent {
        match self {
            Self::Variants(v) => &v.why,
            Self::Actual(why) => why,
        }
    }
    fn variants(&self) -> Option<&Variants> {
        match self {
            Self::Variants(v) => Some(v),
            Self::Actual(_) => None,
        }
    }
}

fn between(a: (&Job, &Estimate), b: (&Job, &Estimate), library: &Library) -> Option<Found> {
    let before = (a.0, &a.1.candidate, a.1.figures.as_ref()?);
    let after = (b.0, &b.1.candidate, b.1.figures.as_ref()?);
    Some(Found::Variants(Box::new(variants(before, after, library))))
}

impl Arguments {
    /// The second job.
    fn then(&self, job: &Job, library: &Library) -> Result<Job, Failure> {
        let mut then = job.clone();
        if let Some(mm) = self.then_thickness {
            then.thickness = Length::from_mm(mm);
        }
        if let Some(material) = &self.then_material {
            then.material = super::job::material(material, library);
        }
        if let Some(passes) = self.then_passes {
            then.passes = passes;
        }
        if let Some(flushing) = self.then_flushing {
            then.flushing = flushing.into();
        }
        checked(then, library)
    }
}

/// ", 94 % chance that it is faster"; nothing where both are the same.
fn chance(p: Option<f64>, word: &str) -> String {
    p.map_or_else(String::new, |p| {
        let sure = Style::plain(System::Metric).probability(p);
        format!(", {sure} chance that it is {word}")
    })
}

/// Minutes, h:mm or h:mm:ss.
fn time(text: &str) -> Result<f64, String> {
    match Minutes::parse(text).map(Minutes::min_value) {
        Some(v) if v > 0.0 => Ok(v),
        _ => Err("a time above 0 is needed: minutes, h:mm or h:mm:ss".to_owned()),
    }
}

fn above_zero(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(v) if v.is_finite() && v > 0.0 => Ok(v),
        _ => Err("a number above 0 is needed".to_owned()),
    }
}

fn decided(v: &Variants) -> impl Iterator<Item = String> + '_ {
    let phrase = |d| words::variants::phrase(d, System::Metric);
    v.decided.iter().map(phrase)
}

fn json(e: &Estimate, found: Option<&Found>) -> WireJson {
    let sum = |of: fn(&crate::estimate::why_different::SharePart) -> Minutes| {
        found.map(|f| f.why().parts.iter().map(of).sum::<Minutes>().min_value())
    };
    let variants = found.and_then(Found::variants);
    WireJson {
        wire: e.candidate.wire.clone(),
        diameter_mm: e.candidate.diameter.mm(),
        run: ways::of_running(e.candidate.run, System::Metric),
        possible: found.is_some(),
        decided_otherwise: variants.map_or_else(Vec::new, |v| decided(v).collect()),
        before_minutes: sum(|p| p.before),
        after_minutes: sum(|p| p.after),
        difference: variants.map(|v| difference_json(v.difference)),
        minutes: found.map(|f| MinutesJson {
            difference: f.why().minutes.min_value(),
            parts: f
                .why()
                .parts
                .iter()
                .map(|p| PartJson {
                    what: p.share.words(),
                    before: p.before.min_value(),
                    after: p.after.min_value(),
                    difference: p.difference().min_value(),
                })
                .collect(),
            cutting_in_proportion: f.why().cutting_in_proportion,
        }),
        wire_m: found
            .and_then(|f| f.why().wire.as_ref())
            .map(|w| SplitJson {
                difference: w.difference.m(),
                by_time: w.by_time.m(),
                by_run_off: w.by_run_off.m(),
                by_threading: w.by_threading.m(),
            }),
    }
}

fn write_text(out: &mut impl Write, e: &Estimate, found: Option<&Found>) -> std::io::Result<()> {
    let style = Style::plain(System::Metric);
    writeln!(out, "{}", style.candidate(&e.candidate))?;
    let Some(found) = found else {
        return writeln!(out, "  not possible in one of both");
    };
    if let Some(v) = found.variants() {
        let d = &v.difference;
        for words in decided(v) {
            writeln!(out, "  {words}")?;
        }
        for (e, against) in figures::compared() {
            let a = against(d);
            let range = if e.shows_range() && e.head == figures::TIME.head {
                let (low, high) = a.range;
                let (low, high) = (style.signed_difference(low), style.signed_difference(high));
                format!(" ({}: {low} to {high})", figures::RANGE_HEAD)
            } else {
                String::new()
            };
            let share = style.signed_difference(a.share);
            let sure = match e.head {
                head if head == figures::TIME.head => chance(a.probability_less, "faster"),
                head if head == figures::COST.head => format!(
                    " with the freed machine hours sold{}",
                    chance(a.probability_less, "cheaper")
                ),
                head if head == figures::UNSOLD.head => chance(a.probability_less, "cheaper"),
                _ => String::new(),
            };
            writeln!(out, "  {} {share}{range}{sure}", e.head)?;
        }
    }
    let why = found.why();
    for p in &why.parts {
        if p.before.min_value() != 0.0 || p.after.min_value() != 0.0 {
            writeln!(
                out,
                "  {:<12} {:>12} → {:>12}  {:>+9.1} min",
                p.share.words(),
                style.time(p.before),
                style.time(p.after),
                p.difference().min_value()
            )?;
        }
    }
    let minutes = why.minutes.min_value();
    writeln!(out, "  {:<12} {:>29} {minutes:>+9.1} min", "in all", "")?;
    if why.cutting_in_proportion {
        writeln!(
            out,
            "  Rough, skims and corners are taken to have changed in proportion: only their sum was measured."
        )?;
    }
    if let Some(w) = &why.wire {
        writeln!(
            out,
            "  wire {:+.0} m: {:+.0} by time, {:+.0} by wire speed, {:+.0} at threadings",
            w.difference.m(),
            w.by_time.m(),
            w.by_run_off.m(),
            w.by_threading.m()
        )?;
    }
    Ok(())
}
