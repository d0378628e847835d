//! `together`: plates in a stack, pieces in a plate, and the blank that a piece needs.

use super::conditions::Conditions;
use super::outcome::{Failure, Outcome};
use crate::estimate::together::{Nest, Stack, nest, stacks};
use crate::language::said;
use crate::plan::PathCache;
use crate::units::Length;
use crate::words::{Style, System, together};
use serde::Serialize;
use std::io::Write;
use std::path::PathBuf;

/// Arguments of `together`.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Drawing.
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Highest stack of plates, mm. Default: plates are cut one by one.
    #[arg(long, value_name = "MM", default_value_t = 0.0, value_parser = super::shop::amount)]
    stack_height: f64,
    /// Pieces in a plate. Default: all of the lot.
    #[arg(long, value_name = "N")]
    nest: Option<u32>,
    /// Between the pieces in a plate and around them, mm.
    #[arg(long, value_name = "MM", default_value_t = 5.0, value_parser = super::shop::amount)]
    spacing: f64,
    /// Text in inches.
    #[arg(long)]
    inch: bool,
    /// Machine-readable.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    with: Conditions,
}

#[derive(Serialize)]
struct TogetherJson {
    file: String,
    wire: String,
    stacks: Vec<StackJson>,
    piece_mm: Option<[f64; 2]>,
    piece_angle_degrees: Option<f64>,
    nest_rows: Option<[u32; 2]>,
    plate_mm: Option<[f64; 2]>,
    plate_kg: Option<f64>,
    plate_kg_each: Option<f64>,
}

#[derive(Serialize)]
struct StackJson {
    plates: u32,
    height_mm: f64,
    stacks: u32,
    minutes_each: f64,
    cost_each: f64,
}

/// Stacks and nests of a drawing, for the first wire.
///
/// # Errors
/// A job that cannot be estimated whatever the drawing, or an output that cannot be written.
pub fn run(args: &Arguments, out: &mut impl Write) -> Result<Outcome, Failure> {
    let library = &args.with.own.library()?;
    let mut job = args.with.job(library)?;
    let Some(drawing) = args.with.open(&args.file, &mut job) else {
        return Ok(Outcome::SomeFailed);
    };
    let Some(wire) = job.candidates.first() else {
        return Err(Failure::Call(say!("A wire is needed.").to_owned()));
    };
    let highest = Length::from_mm(args.stack_height);
    let cache = PathCache::default();
    let stacks: Vec<Stack> = stacks(&drawing.profile, &job, library, wire, highest, &cache);
    let count = args.nest.unwrap_or(job.quantity);
    let spacing = Length::from_mm(args.spacing);
    let nest: Option<Nest> = nest(&drawing.profile, &job, library, count, spacing);
    let style = Style::plain(if args.inch && !args.json {
        System::Inch
    } else {
        System::Metric
    });
    if args.json {
        let told = TogetherJson {
            file: args.file.display().to_string(),
            wire: style.candidate(wire),
            stacks: stacks.iter().map(StackJson::from).collect(),
            piece_mm: nest.map(|n| [n.piece.length, n.piece.width]),
            piece_angle_degrees: nest.map(|n| n.piece.angle.to_degrees()),
            nest_rows: nest.map(|n| [n.rows.0, n.rows.1]),
            plate_mm: nest.map(|n| [n.sides.0.mm(), n.sides.1.mm()]),
            plate_kg: nest.map(|n| n.mass.kg()),
            plate_kg_each: nest.map(|n| n.mass_each.kg()),
        };
        serde_json::to_writer_pretty(&mut *out, &told)?;
        writeln!(out)?;
        return Ok(Outcome::Done);
    }
    writeln!(out, "{}, {}", args.file.display(), style.candidate(wire))?;
    if let Some(nest) = &nest {
        writeln!(
            out,
            "{}",
            say!("  smallest rectangle {}", together::piece(nest, style))
        )?;
        writeln!(out, "  {}", together::plate(nest, style))?;
    }
    if stacks.is_empty() {
        writeln!(
            out,
            "{}",
            say!("  the wire cannot cut it; estimate says why")
        )?;
    }
    for stack in &stacks {
        writeln!(out, "  {}", together::stack(stack, style))?;
    }
    if stacks.iter().any(|s| s.plates > 1) {
        writeln!(out, "  {}", said(together::STACKING))?;
    }
    Ok(Outcome::Done)
}

impl From<&Stack> for StackJson {
    fn from(s: &Stack) -> Self {
        Self {
            plates: s.plates,
            height_mm: s.height.mm(),
            stacks: s.stacks,
            minutes_each: s.minutes.min_value(),
            cost_each: s.each.amount(),
        }
    }
}
