//! An estimate as a table: text for a person, CSV for a spreadsheet.

use super::Failure;
use super::estimate::FileJson;
use super::estimate_json::minutes;
use crate::drawing::Drawing;
use crate::estimate::{Comparison, Estimate};
use crate::job::Job;
use crate::process::Library;
use std::io::Write;
use std::path::Path;

/// Hours and minutes, as one reads them: "5 h 12 min".
fn clock(minutes: f64) -> String {
    let whole = minutes.round().max(0.0) as u64;
    if whole < 60 {
        format!("{whole} min")
    } else {
        format!("{} h {:02} min", whole / 60, whole % 60)
    }
}

/// One table a file, for a person to read.
pub(super) fn write_text(
    out: &mut impl Write,
    path: &Path,
    drawing: &Drawing,
    job: &Job,
    library: &Library,
    comparison: &Comparison,
) -> std::io::Result<()> {
    let part = job.part_taken(&drawing.profile, &drawing.parts);
    let part = part.map_or_else(String::new, |k| format!(", part {}", k + 1));
    writeln!(
        out,
        "{}{part}: {} of {} mm {}, {}, {}",
        path.display(),
        job.quantity,
        job.thickness.mm(),
        job.material,
        crate::job::passes_words(job.passes),
        job.flushing.words()
    )?;
    let name = |e: &Estimate| {
        let run = e.candidate.run.words();
        let gap = if run.is_empty() { "" } else { ", " };
        format!(
            "{} Ø {:.2}{gap}{run}",
            e.candidate.wire,
            e.candidate.diameter.mm()
        )
    };
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

/// One row per file and wire.
pub(super) fn write_csv(out: &mut impl Write, files: &[FileJson]) -> Result<(), Failure> {
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
