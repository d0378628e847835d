//! `compare`: two drawings, two jobs, or an estimate and what really happened, split into their parts.

use super::estimate::above_zero;
use super::estimate_json::{DifferenceJson, difference_json};
use super::job::{FlushingArg, JobArguments, checked};
use super::outcome::{Failure, Outcome};
use super::own::Own;
use super::quick_variants::{
    self, Asked, AskedVariant, RevisedJson, VariantJson, WorthJson, revised_json, variants_json,
    worth_json,
};
use super::reading::Reading;
use super::shop::ShopArguments;
use super::table::signed;
use super::visible::tell_of;
use crate::estimate::{
    Actual, ChangePrice, Estimate, Figures, PricedRevision, Variants, WhyDifferent, compare,
    priced, variants, why_actual,
};
use crate::job::{Edit, Job, MadeVariant};
use crate::language::said;
use crate::library::Library;
use crate::plan::PathCache;
use crate::profile::{Profile, Revision};
use crate::progress::Progress;
use crate::reason::Unit;
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
    /// In the second drawing every inside radius and corner is at least so large, mm.
    #[arg(long, value_name = "MM", value_parser = above_zero)]
    then_inside_radii: Option<f64>,
    /// The second drawing is so many times as large.
    #[arg(long, value_name = "FACTOR", value_parser = above_zero)]
    then_scale: Option<f64>,
    /// The second drawing is turned over.
    #[arg(long)]
    then_mirror: bool,
    /// This contour, numbered from 1 as in the list of contours, is not cut in the second job; may be repeated.
    #[arg(long, value_name = "N")]
    then_leave_out: Vec<usize>,
    /// A quick variant of the drawing, as NAME: CHANGE, CHANGE. Changes are inside-radii=MM, thickness=MM, passes=N,
    /// scale=FACTOR, mirror and leave-out=N, any of them together. May be repeated: all variants stand in one table with
    /// the drawing as it is.
    #[arg(long, value_name = "VARIANT", value_parser = quick_variants::asked_variant,
        conflicts_with_all = ["other", "actual", "then_thickness", "then_material", "then_passes", "then_flushing",
            "then_inside_radii", "then_scale", "then_mirror", "then_leave_out"])]
    variant: Vec<AskedVariant>,
    /// Minutes of cutting that the job really took, corners included, without stops and threading: the estimate is
    /// then held against that.
    #[arg(long, value_name = "TIME", conflicts_with = "other", value_parser = time)]
    actual: Option<f64>,
    /// Wire that it really used, m.
    #[arg(long, value_name = "M", requires = "actual", value_parser = above_zero)]
    actual_wire: Option<f64>,
    /// Text in inches, feet and pounds. JSON stays metric.
    #[arg(long)]
    inch: bool,
    /// Machine-readable, every figure unrounded.
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct ComparedJson {
    file: String,
    other: Option<String>,
    revision: Option<RevisionJson>,
    wires: Vec<WireJson>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    variants: Vec<VariantJson>,
}

/// How the drawings lie on each other, and what became of every contour.
#[derive(Serialize)]
struct RevisionJson {
    mirrored: bool,
    turned_degrees: f64,
    moved_mm: [f64; 2],
    inside_radii_made: usize,
    inside_radii_without_room: usize,
    contours: Vec<RevisedJson>,
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
    /// Of each contour of the revision, in its order.
    contours: Vec<WorthJson>,
    /// What no single contour accounts for.
    elsewhere: Option<WorthJson>,
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
    job.machine = args.own.machine().map(str::to_owned);
    args.shop.apply(&mut job.shop)?;
    let then = args.then(&job, library)?;
    let redrawn = args.redraws();
    let asks_nothing = args.actual.is_none() && args.variant.is_empty();
    if args.other.is_none() && asks_nothing && then == job && !redrawn {
        let message = say!(
            "Nothing to compare. Name another drawing, say what differs with --then-thickness, \
                       --then-material, --then-passes, --then-flushing, --then-inside-radii, --then-scale, \
                       --then-mirror or --then-leave-out, name variants with --variant, or give the --actual minutes."
        );
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
    let first = &drawings[0].profile;
    if !args.variant.is_empty() {
        return write_variants(args, (first, &job), library, out);
    }
    let made = args.made(&drawings.last().unwrap_or(&drawings[0]).profile, &then)?;
    let estimates = |profile: &Profile, job: &Job| {
        compare(profile, job, library, &PathCache::default()).estimates
    };
    let before = estimates(first, &job);
    let (mut revision, mut wires) = (None, Vec::new());
    if let Some(minutes) = args.actual {
        let actual = Actual {
            cutting: Minutes::from_min(minutes),
            others: None,
            wire: args.actual_wire.map(Length::from_m),
        };
        let why = |f: &Figures| Found::Actual(why_actual(f, &actual));
        wires.extend(
            before
                .iter()
                .map(|e| (e, e.figures.as_ref().map(why), None)),
        );
    } else {
        let cut = job.cut_mask(first);
        let both = ((first, cut.as_slice()), (&made.profile, &*made.cut()));
        // A drawing that was only changed here lies where it lay.
        let laid = if args.other.is_some() {
            Revision::of(both.0, both.1, &Progress::default()).ok()
        } else {
            Some(Revision::of_the_same(both.0, both.1))
        };
        for (a, b) in before.iter().zip(&estimates(&made.profile, &made.job)) {
            let figures = laid
                .as_ref()
                .zip(a.figures.as_ref().zip(b.figures.as_ref()));
            let prices = figures.map(|(r, (a, b))| priced(r, a, b));
            wires.push((a, between((&job, a), (&made.job, b), library), prices));
        }
        revision = laid;
    }
    if args.json {
        let json = ComparedJson {
            file: args.file.display().to_string(),
            other: args.other.as_ref().map(|p| p.display().to_string()),
            revision: revision.as_ref().map(|r| revision_json(r, first, &made)),
            wires: wires
                .iter()
                .map(|(e, found, prices)| json(e, found.as_ref(), prices.as_ref()))
                .collect(),
            variants: Vec::new(),
        };
        serde_json::to_writer_pretty(&mut *out, &json)?;
        writeln!(out)?;
    } else {
        let style = args.style();
        if let Some(r) = &revision {
            let apart = args.other.is_some();
            write_revision(out, r, (first, &made), apart)?;
        }
        for (e, found, prices) in &wires {
            write_text(out, e, found.as_ref(), style)?;
            if let (Some(r), Some(p)) = (&revision, prices) {
                write_prices(out, r, p, style)?;
            }
        }
    }
    Ok(Outcome::Done)
}

/// The variants of a drawing in one table.
fn write_variants(
    args: &Arguments,
    (profile, job): (&Profile, &Job),
    library: &Library,
    out: &mut impl Write,
) -> Result<Outcome, Failure> {
    let cache = PathCache::default();
    let as_it_is = compare(profile, job, library, &cache);
    let asked = &args.variant;
    let made = quick_variants::estimated(asked, (profile, job), &as_it_is, library, &cache);
    let made = made.map_err(Failure::Call)?;
    if args.json {
        let json = ComparedJson {
            file: args.file.display().to_string(),
            other: None,
            revision: None,
            wires: Vec::new(),
            variants: variants_json(&made, profile),
        };
        serde_json::to_writer_pretty(&mut *out, &json)?;
        writeln!(out)?;
    } else {
        quick_variants::write(out, &as_it_is, None, &made, profile, args.style())?;
    }
    Ok(Outcome::Done)
}

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
    /// How numbers are written.
    fn style(&self) -> Style {
        Style::plain(if self.inch {
            System::Inch
        } else {
            System::Metric
        })
    }
    /// Whether the second drawing is made of the first.
    fn redraws(&self) -> bool {
        self.then_inside_radii.is_some()
            || self.then_scale.is_some()
            || self.then_mirror
            || !self.then_leave_out.is_empty()
    }
    /// The second drawing and its job.
    fn made(&self, profile: &Profile, job: &Job) -> Result<MadeVariant, Failure> {
        let mut asked: Vec<Asked> = Vec::new();
        asked.extend(self.then_leave_out.iter().map(|n| Asked::LeaveOut(*n)));
        let radius = self.then_inside_radii.map(Length::from_mm);
        let edits = [
            self.then_scale.map(Edit::Scale),
            self.then_mirror.then_some(Edit::Mirror),
            radius.map(Edit::InsideRadii),
        ];
        asked.extend(edits.into_iter().flatten().map(Asked::Edit));
        let variant = quick_variants::variant_of(asked, profile).map_err(Failure::Call)?;
        Ok(variant.made(profile, job))
    }
}

fn revision_json(r: &Revision, before: &Profile, made: &MadeVariant) -> RevisionJson {
    let motion = r.motion_of_drawings(before, &made.profile);
    RevisionJson {
        mirrored: motion.mirrored,
        turned_degrees: motion.degrees(),
        moved_mm: [motion.shift.x, motion.shift.y],
        inside_radii_made: made.rounded,
        inside_radii_without_room: made.no_room.len(),
        contours: r.contours.iter().map(revised_json).collect(),
    }
}

/// How the second drawing lies on the first, and how many contours differ.
fn write_revision(
    out: &mut impl Write,
    r: &Revision,
    (before, made): (&Profile, &MadeVariant),
    apart: bool,
) -> std::io::Result<()> {
    let motion = r.motion_of_drawings(before, &made.profile);
    let laid = words::variants::laid(&motion);
    let how = if apart {
        format!("{laid}: ")
    } else {
        String::new()
    };
    writeln!(out, "{how}{}.", words::variants::counted(r))?;
    if let Some(words) = words::variants::radii(made) {
        writeln!(out, "{words}")?;
    }
    Ok(())
}

/// Each change with what it costs.
fn write_prices(
    out: &mut impl Write,
    r: &Revision,
    p: &PricedRevision,
    style: Style,
) -> std::io::Result<()> {
    let line = |words: &str, w: ChangePrice| {
        let minutes = words::variants::more_time(style, w.minutes);
        format!(
            "  {words:<34} {minutes:>12} {:>10}",
            words::variants::more_money(style, w.cost)
        )
    };
    for (k, c) in r.differing() {
        let words = words::variants::revised(c, style.system);
        writeln!(out, "{}", line(&words, p.each[k]))?;
    }
    writeln!(
        out,
        "{}",
        line(said(words::variants::ELSEWHERE), p.elsewhere)
    )
}

/// ", 94 % chance that it is faster"; nothing where both are the same.
fn chance(p: Option<f64>, word: &str) -> String {
    p.map_or_else(String::new, |p| {
        let sure = Style::plain(System::Metric).probability(p);
        say!(", {sure} chance that it is {word}")
    })
}

/// Minutes, h:mm or h:mm:ss.
fn time(text: &str) -> Result<f64, String> {
    match Minutes::parse(text).map(Minutes::min_value) {
        Some(v) if v > 0.0 => Ok(v),
        _ => Err(say!("a time above 0 is needed: minutes, h:mm or h:mm:ss").to_owned()),
    }
}

fn decided(v: &Variants) -> impl Iterator<Item = String> + '_ {
    let phrase = |d| words::variants::phrase(d, System::Metric);
    v.decided.iter().map(phrase)
}

fn json(e: &Estimate, found: Option<&Found>, prices: Option<&PricedRevision>) -> WireJson {
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
        contours: prices.map_or_else(Vec::new, |p| p.each.iter().map(worth_json).collect()),
        elsewhere: prices.map(|p| worth_json(&p.elsewhere)),
    }
}

fn write_text(
    out: &mut impl Write,
    e: &Estimate,
    found: Option<&Found>,
    style: Style,
) -> std::io::Result<()> {
    writeln!(out, "{}", style.candidate(&e.candidate))?;
    let Some(found) = found else {
        return writeln!(out, "{}", say!("  not possible in one of both"));
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
                say!(" ({}: {low} to {high})", said(figures::RANGE_HEAD))
            } else {
                String::new()
            };
            let share = style.signed_difference(a.share);
            let sure = match e.head {
                head if head == figures::TIME.head => chance(a.probability_less, say!("faster")),
                head if head == figures::COST.head => say!(
                    " with the freed machine hours sold{}",
                    chance(a.probability_less, say!("cheaper"))
                ),
                head if head == figures::UNSOLD.head => chance(a.probability_less, say!("cheaper")),
                _ => String::new(),
            };
            writeln!(out, "  {} {share}{range}{sure}", e.called())?;
        }
    }
    let why = found.why();
    for p in &why.parts {
        if p.before.min_value() != 0.0 || p.after.min_value() != 0.0 {
            writeln!(
                out,
                "{}",
                say!(
                    "  {:<12} {:>12} → {:>12}  {:>9} min",
                    p.share.words(),
                    style.time(p.before),
                    style.time(p.after),
                    signed(p.difference().min_value(), 1)
                )
            )?;
        }
    }
    let minutes = signed(why.minutes.min_value(), 1);
    writeln!(
        out,
        "{}",
        say!("  {:<12} {:>29} {minutes:>9} min", say!("in all"), "")
    )?;
    if why.cutting_in_proportion {
        writeln!(
            out,
            "{}",
            say!(
                "  Rough, skims and corners are taken to have changed in proportion: only their sum was measured."
            )
        )?;
    }
    if let Some(w) = &why.wire {
        let (factor, unit) = style.system.conversion(Unit::WireM);
        let more = |length: Length| length.m() * factor;
        writeln!(
            out,
            "{}",
            say!(
                "  wire {:+.0} {unit}: {:+.0} by time, {:+.0} by wire speed, {:+.0} at threadings",
                more(w.difference),
                more(w.by_time),
                more(w.by_run_off),
                more(w.by_threading)
            )
        )?;
    }
    Ok(())
}
