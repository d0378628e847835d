//! `estimate`: what the window shows side by side, for a folder, a script or a check.

use super::own::Own;
use super::reading::{Failed, Reading, keep_word};
use super::{Failure, Outcome};
use crate::drawing::{Drawing, Progress, open};
use crate::estimate::{Comparison, Difference, Estimate, Figures, Question, compare, explain};
use crate::job::{Candidate, Flushing, Job};
use crate::plan::{PathCache, Share};
use crate::process::Library;
use crate::units::Length;
use clap::ValueEnum;
use serde::Serialize;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Arguments of `estimate`.
#[derive(Debug, clap::Args)]
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
    /// A wire and its diameter in mm; may be repeated. Default: a choice of six.
    #[arg(long = "wire", value_name = "NAME@DIAMETER")]
    wires: Vec<String>,
    /// Parts in the lot.
    #[arg(long, default_value_t = 1, value_name = "N")]
    quantity: u32,
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
                let comparison = compare(&drawing.profile, &job, library, &PathCache::default());
                if args.json {
                    files.push(FileJson::Estimated(Box::new(estimated(
                        path,
                        &drawing,
                        &job,
                        library,
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
    let parts = text
        .rsplit_once('@')
        .and_then(|(name, d)| Some((name.trim(), d.trim().parse::<f64>().ok()?)));
    let (name, diameter) = parts.ok_or_else(|| {
        Failure::Call(format!(
            "“{text}” is no wire. Write its name, @ and its diameter in mm, such as \"hard plain brass@0.25\"."
        ))
    })?;
    Ok(Candidate::new(name, diameter))
}

#[derive(Serialize)]
#[serde(untagged)]
enum FileJson {
    Estimated(Box<EstimatedJson>),
    Failed(Failed),
    #[serde(skip)]
    Row(PathBuf, Comparison),
}

#[derive(Serialize)]
struct EstimatedJson {
    file: String,
    job: JobJson,
    wires: Vec<WireJson>,
}

#[derive(Serialize)]
struct JobJson {
    thickness_mm: f64,
    material: String,
    passes: usize,
    flushing: &'static str,
    quantity: u32,
    keep: &'static str,
    spool: String,
    uptime: f64,
    learned: Option<LearnedJson>,
}

/// What the estimates learned from.
#[derive(Serialize)]
struct LearnedJson {
    machine: String,
    cuts: usize,
}

#[derive(Serialize)]
struct WireJson {
    wire: String,
    diameter_mm: f64,
    possible: bool,
    blockers: Vec<ObstacleJson>,
    warnings: Vec<ObstacleJson>,
    minutes: Option<MinutesJson>,
    attended_minutes: Option<f64>,
    pass_minutes: Option<Vec<f64>>,
    pass_length_mm: Option<Vec<f64>>,
    pass_offset_mm: Option<Vec<f64>>,
    pass_feed_mm_min: Option<Vec<f64>>,
    uncut: Vec<UncutJson>,
    wire_m: Option<f64>,
    wire_kg: Option<f64>,
    spools: Option<f64>,
    slugs: Option<Vec<SlugJson>>,
    cost: Option<CostJson>,
    parts_per_week: Option<u64>,
    ranges: Option<RangesJson>,
    against_baseline: Option<DifferenceJson>,
    lines: Option<Vec<LineJson>>,
}

/// Low and high, about 68 %.
#[derive(Serialize)]
struct RangesJson {
    pass_minutes: Vec<[f64; 2]>,
    wire_m: [f64; 2],
    wire_kg: [f64; 2],
    spools: [f64; 2],
    parts_per_week: [u64; 2],
}

/// As shares: −0.31 is 31 % less.
#[derive(Serialize)]
struct DifferenceJson {
    minutes: f64,
    minutes_range: [f64; 2],
    wire: f64,
    wire_range: [f64; 2],
    cost: f64,
    cost_range: [f64; 2],
    probability_faster: f64,
    probability_less_wire: f64,
    probability_cheaper: f64,
}

#[derive(Serialize)]
struct ObstacleJson {
    code: &'static str,
    message: String,
    at_mm: Option<[f64; 2]>,
    contour: Option<usize>,
}

#[derive(Serialize)]
struct MinutesJson {
    total: f64,
    low: f64,
    high: f64,
    cutting: f64,
    corners: f64,
    threading: f64,
    slug_stops: f64,
    moves: f64,
    breaks: f64,
}

#[derive(Serialize)]
struct UncutJson {
    contour: usize,
    at_mm: [f64; 2],
    depth_mm: f64,
    area_mm2: f64,
    sharp_corner: bool,
}

#[derive(Serialize)]
struct SlugJson {
    contour: usize,
    area_mm2: f64,
    mass_kg: f64,
}

#[derive(Serialize)]
struct CostJson {
    holes: f64,
    machine: f64,
    labour: f64,
    wire: f64,
    consumables: f64,
    setup: f64,
    part: f64,
    low: f64,
    high: f64,
}

#[derive(Serialize)]
struct LineJson {
    what: String,
    pass: Option<usize>,
    contour: Option<usize>,
    length_mm: f64,
    minutes: f64,
    corner_minutes: f64,
    wire_m: f64,
    attended: bool,
    because: String,
}

fn estimated(
    path: &Path,
    drawing: &Drawing,
    job: &Job,
    library: &Library,
    comparison: &Comparison,
) -> EstimatedJson {
    EstimatedJson {
        file: path.display().to_string(),
        job: JobJson {
            thickness_mm: job.thickness.mm(),
            material: job.material.clone(),
            passes: job.passes,
            flushing: job.flushing.key(),
            quantity: job.quantity,
            keep: keep_word(job.keep),
            spool: job.shop.spool.clone(),
            uptime: job.shop.uptime,
            learned: library.learned.as_ref().map(|k| LearnedJson {
                machine: k.machine.clone(),
                cuts: k.cuts,
            }),
        },
        wires: comparison
            .estimates
            .iter()
            .enumerate()
            .map(|(k, e)| wire(drawing, job, library, e, comparison.difference(k)))
            .collect(),
    }
}

fn wire(
    drawing: &Drawing,
    job: &Job,
    library: &Library,
    e: &Estimate,
    difference: Option<Difference>,
) -> WireJson {
    let absolute = |p: crate::geometry::Point| {
        let p = p + drawing.profile.origin;
        [p.x, p.y]
    };
    let obstacles = |blocks: bool| {
        e.obstacles
            .iter()
            .filter(|o| o.blocks == blocks)
            .map(|o| ObstacleJson {
                code: o.code,
                message: o.message.clone(),
                at_mm: o.at.map(absolute),
                contour: o.contour,
            })
            .collect()
    };
    let f = e.figures.as_ref();
    WireJson {
        wire: e.candidate.wire.clone(),
        diameter_mm: e.candidate.diameter.mm(),
        possible: e.is_possible(),
        blockers: obstacles(true),
        warnings: obstacles(false),
        minutes: f.map(minutes),
        attended_minutes: f.map(|f| f.attended.min_value()),
        pass_minutes: f.map(|f| f.passes.iter().map(|p| p.minutes.min_value()).collect()),
        pass_length_mm: f.map(|f| f.passes.iter().map(|p| p.length.mm()).collect()),
        pass_offset_mm: f.map(|f| f.passes.iter().map(|p| p.offset.mm()).collect()),
        pass_feed_mm_min: f.map(|f| f.passes.iter().map(|p| p.feed.mm_per_min()).collect()),
        uncut: e
            .uncut
            .iter()
            .map(|u| UncutJson {
                contour: u.contour,
                at_mm: absolute(u.at),
                depth_mm: u.depth.mm(),
                area_mm2: u.area.mm2(),
                sharp_corner: u.sharp,
            })
            .collect(),
        wire_m: f.map(|f| f.wire.median.m()),
        wire_kg: f.map(|f| f.wire_mass.kg()),
        spools: f.map(|f| f.spools),
        slugs: f.map(|f| {
            let one = |s: &crate::estimate::Slug| SlugJson {
                contour: s.contour,
                area_mm2: s.area.mm2(),
                mass_kg: s.mass.kg(),
            };
            f.slugs.iter().map(one).collect()
        }),
        cost: f.map(cost),
        parts_per_week: f.map(|f| f.parts_per_week),
        ranges: f.map(ranges),
        against_baseline: difference.map(difference_json),
        lines: f.map(|f| lines(f, job, library, e)),
    }
}

fn minutes(f: &Figures) -> MinutesJson {
    let share = |s| f.share(s).min_value();
    MinutesJson {
        total: f.minutes.median.min_value(),
        low: f.minutes.low.min_value(),
        high: f.minutes.high.min_value(),
        cutting: share(Share::Rough) + share(Share::Skims),
        corners: share(Share::Corners),
        threading: share(Share::Threading),
        slug_stops: share(Share::SlugStops),
        moves: share(Share::Moves),
        breaks: share(Share::Breaks),
    }
}

fn ranges(f: &Figures) -> RangesJson {
    let (kg, spools) = (f.wire_mass_ranged(), f.spools_ranged());
    RangesJson {
        pass_minutes: (1..=f.passes.len())
            .filter_map(|p| f.pass_minutes(p))
            .map(|m| [m.low.min_value(), m.high.min_value()])
            .collect(),
        wire_m: [f.wire.low.m(), f.wire.high.m()],
        wire_kg: [kg.low.kg(), kg.high.kg()],
        spools: [spools.low, spools.high],
        parts_per_week: f.parts_per_week_range.into(),
    }
}

fn difference_json(d: Difference) -> DifferenceJson {
    DifferenceJson {
        minutes: d.minutes,
        minutes_range: d.minutes_range.into(),
        wire: d.wire,
        wire_range: d.wire_range.into(),
        cost: d.cost,
        cost_range: d.cost_range.into(),
        probability_faster: d.probability_faster,
        probability_less_wire: d.probability_less_wire,
        probability_cheaper: d.probability_cheaper,
    }
}

fn cost(f: &Figures) -> CostJson {
    let c = &f.cost;
    CostJson {
        holes: c.holes.amount(),
        machine: c.machine.amount(),
        labour: c.labour.amount(),
        wire: c.wire.amount(),
        consumables: c.consumables.amount(),
        setup: c.setup.amount(),
        part: c.part.median.amount(),
        low: c.part.low.amount(),
        high: c.part.high.amount(),
    }
}

fn lines(f: &Figures, job: &Job, library: &Library, e: &Estimate) -> Vec<LineJson> {
    f.steps
        .iter()
        .enumerate()
        .map(|(k, s)| LineJson {
            what: s.words(),
            pass: s.pass,
            contour: s.contour,
            length_mm: s.length.mm(),
            minutes: s.minutes.min_value(),
            corner_minutes: s.corner_minutes.min_value(),
            wire_m: s.wire.m(),
            attended: s.attended,
            because: explain(Question::Step(k), job, library, e)
                .map_or_else(String::new, |f| f.one_line()),
        })
        .collect()
}

/// Hours and minutes, as one reads them: "5 h 12 min".
fn clock(minutes: f64) -> String {
    let whole = minutes.round().max(0.0) as u64;
    if whole < 60 {
        format!("{whole} min")
    } else {
        format!("{} h {:02} min", whole / 60, whole % 60)
    }
}

fn write_text(
    out: &mut impl Write,
    path: &Path,
    job: &Job,
    library: &Library,
    comparison: &Comparison,
) -> std::io::Result<()> {
    writeln!(
        out,
        "{}: {} of {} mm {}, {}, {}",
        path.display(),
        job.quantity,
        job.thickness.mm(),
        job.material,
        crate::job::passes_words(job.passes),
        job.flushing.words()
    )?;
    let name = |e: &Estimate| format!("{} Ø {:.2}", e.candidate.wire, e.candidate.diameter.mm());
    let width = comparison
        .estimates
        .iter()
        .map(|e| name(e).chars().count())
        .max()
        .unwrap_or(0);
    writeln!(
        out,
        "  {:width$}  {:>11}  {:>25}  {:>8}  {:>8}  {:>9}  {:>7}",
        "wire", "time", "68 % range", "wire m", "wire kg", "cost", "a week"
    )?;
    for e in &comparison.estimates {
        match &e.figures {
            Some(f) => writeln!(
                out,
                "  {:width$}  {:>11}  {:>25}  {:>8.0}  {:>8.3}  {:>9.2}  {:>7}",
                name(e),
                clock(f.minutes.median.min_value()),
                format!(
                    "{} to {}",
                    clock(f.minutes.low.min_value()),
                    clock(f.minutes.high.min_value())
                ),
                f.wire.median.m(),
                f.wire_mass.kg(),
                f.cost.part.median.amount(),
                f.parts_per_week
            )?,
            None => writeln!(out, "  {:width$}  not possible", name(e))?,
        }
        for o in &e.obstacles {
            writeln!(
                out,
                "      {} {}",
                if o.blocks { "✖" } else { "!" },
                o.message
            )?;
        }
    }
    match &library.learned {
        None => writeln!(
            out,
            "  Per part; a starting estimate until your own finished cuts are logged, and no machine setting."
        ),
        Some(known) => writeln!(
            out,
            "  Per part; learned from {} of your finished cuts{}. An estimate, and no machine setting.",
            known.cuts,
            if known.machine.is_empty() {
                String::new()
            } else {
                format!(" on {}", known.machine)
            }
        ),
    }
}

fn write_csv(out: &mut impl Write, files: &[FileJson]) -> Result<(), Failure> {
    let mut csv = csv::Writer::from_writer(out);
    let head = [
        "file",
        "wire",
        "diameter_mm",
        "possible",
        "blockers",
        "minutes",
        "minutes_low",
        "minutes_high",
        "cutting",
        "corners",
        "threading",
        "slug_stops",
        "moves",
        "breaks",
        "wire_m",
        "wire_kg",
        "spools",
        "cost_part",
        "cost_low",
        "cost_high",
        "parts_per_week",
        "error",
    ];
    csv.write_record(head)?;
    for file in files {
        match file {
            FileJson::Row(path, comparison) => {
                for e in &comparison.estimates {
                    csv.write_record(csv_row(path, e))?;
                }
            }
            FileJson::Failed(failed) => {
                let mut row = vec![String::new(); head.len()];
                failed.file().clone_into(&mut row[0]);
                failed.message().clone_into(&mut row[head.len() - 1]);
                csv.write_record(row)?;
            }
            FileJson::Estimated(_) => {}
        }
    }
    csv.flush()?;
    Ok(())
}

fn csv_row(path: &Path, e: &Estimate) -> Vec<String> {
    let blockers: Vec<&str> = e.blockers().map(|o| o.message.as_str()).collect();
    let mut row = vec![
        path.display().to_string(),
        e.candidate.wire.clone(),
        e.candidate.diameter.mm().to_string(),
        e.is_possible().to_string(),
        blockers.join(" "),
    ];
    match &e.figures {
        None => row.extend(std::iter::repeat_n(String::new(), 16)),
        Some(f) => {
            let m = minutes(f);
            let numbers = [
                m.total,
                m.low,
                m.high,
                m.cutting,
                m.corners,
                m.threading,
                m.slug_stops,
                m.moves,
                m.breaks,
                f.wire.median.m(),
                f.wire_mass.kg(),
                f.spools,
                f.cost.part.median.amount(),
                f.cost.part.low.amount(),
                f.cost.part.high.amount(),
            ];
            row.extend(numbers.iter().map(ToString::to_string));
            row.push(f.parts_per_week.to_string());
        }
    }
    row.push(String::new());
    row
}
