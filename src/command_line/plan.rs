//! `plan`: the cheapest way that reaches a finish and a tolerance and is done in time.

use super::conditions::Conditions;
use super::outcome::{Failure, Outcome};
use crate::estimate::{Aim, Answer, TriedPlan, Wanted, Wish, wanted_plan};
use crate::job::{CutOff, CuttingOrder, WeekTime};
use crate::plan::PathCache;
use crate::words::{Style, System, wanted};
use clap::ValueEnum;
use serde::Serialize;
use std::io::Write;
use std::path::PathBuf;

/// Arguments of `plan`. Passes, order and release are searched, so what the job says of them does not matter.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Drawing.
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Roughness Ra at most, µm.
    #[arg(long, value_name = "UM", value_parser = super::estimate::above_zero)]
    ra: Option<f64>,
    /// Tolerance at most, half the band, mm.
    #[arg(long, value_name = "MM", value_parser = super::estimate::above_zero)]
    tolerance: Option<f64>,
    /// When the lot has to be done, such as "Tue 8:00": the first such time after --begin.
    #[arg(long, value_name = "DAY TIME", value_parser = super::clock::begin)]
    by: Option<WeekTime>,
    /// What the best plan is best in.
    #[arg(long, value_enum, default_value = "cheapest")]
    aim: AimArg,
    /// Text in inches.
    #[arg(long)]
    inch: bool,
    /// Machine-readable, every plan that was tried.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    with: Conditions,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum AimArg {
    /// Cost.
    Cheapest,
    /// The day and hour at which the lot is done.
    Soonest,
}

#[derive(Serialize)]
struct AnswerJson {
    file: String,
    sentences: Vec<String>,
    best: Option<usize>,
    next: Vec<usize>,
    front: Vec<usize>,
    deadline: Option<f64>,
    plans: Vec<PlanJson>,
}

#[derive(Serialize)]
#[allow(
    clippy::struct_excessive_bools,
    reason = "each is a field of the contract"
)]
struct PlanJson {
    wire: String,
    diameter_mm: f64,
    passes: usize,
    order: &'static str,
    cut_off: &'static str,
    begin: String,
    minutes: f64,
    cost: f64,
    fine_enough: bool,
    makes_radii: bool,
    on_hand: bool,
    done: Option<f64>,
    in_time: bool,
}

impl From<&TriedPlan> for PlanJson {
    fn from(p: &TriedPlan) -> Self {
        Self {
            wire: p.way.candidate.wire.clone(),
            diameter_mm: p.way.candidate.diameter.mm(),
            passes: p.way.passes,
            order: match p.way.order {
                CuttingOrder::EachInTurn => "each-in-turn",
                CuttingOrder::RoughsFirst => "roughs-first",
            },
            cut_off: match p.way.cut_off {
                CutOff::AfterSkims => "after-skims",
                CutOff::BeforeSkims => "before-skims",
            },
            begin: p.way.begin.to_string(),
            minutes: p.minutes.min_value(),
            cost: p.cost.amount(),
            fine_enough: p.is_fine,
            makes_radii: p.makes_radii,
            on_hand: p.on_hand,
            done: p.done,
            in_time: p.in_time,
        }
    }
}

/// Searches the plans of a drawing.
///
/// # Errors
/// A job that cannot be estimated whatever the drawing, or an output that cannot be written.
pub fn run(args: &Arguments, out: &mut impl Write) -> Result<Outcome, Failure> {
    let library = &args.with.own.library()?;
    let mut job = args.with.job(library)?;
    let Some(drawing) = args.with.open(&args.file, &mut job) else {
        return Ok(Outcome::SomeFailed);
    };
    let wish = Wish {
        finish: Wanted {
            roughness_um: args.ra,
            tolerance_mm: args.tolerance,
        },
        by: args.by,
        aim: match args.aim {
            AimArg::Cheapest => Aim::Cheapest,
            AimArg::Soonest => Aim::Soonest,
        },
    };
    let cache = PathCache::default();
    let answer: Answer = wanted_plan(&drawing.profile, &job, library, &wish, &cache);
    let style = Style::plain(if args.inch && !args.json {
        System::Inch
    } else {
        System::Metric
    });
    let sentences = wanted::sentences(&answer, &wish, style);
    if args.json {
        let answer = AnswerJson {
            file: args.file.display().to_string(),
            sentences,
            best: answer.best,
            next: answer.next,
            front: answer.front,
            deadline: answer.deadline,
            plans: answer.plans.iter().map(PlanJson::from).collect(),
        };
        serde_json::to_writer_pretty(&mut *out, &answer)?;
        writeln!(out)?;
    } else {
        for line in sentences {
            writeln!(out, "{line}")?;
        }
    }
    Ok(Outcome::Done)
}
