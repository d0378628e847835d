//! An estimate as a table: text for a person, CSV for a spreadsheet.

use super::estimate_json::{FileJson, minutes};
use super::outcome::Failure;
use crate::drawing::Drawing;
use crate::estimate::{Comparison, Difference, Estimate, Wanted, advise_each};
use crate::job::Job;
use crate::library::Library;
use crate::report::{candidate_name, clock, percent, probability};
use crate::words::{System, obstacles, pass_advice};
use std::fmt::Write as _;
use std::io::Write;
use std::path::Path;

/// Headings of the table.
const HEAD: [&str; 12] = [
    "wire",
    "time",
    "68 % range",
    "Δ time",
    "Δ wire",
    "Δ cost",
    "faster with",
    "wire m",
    "wire kg",
    "cost",
    "a week",
    "Ra µm",
];

/// A wire in the table.
fn text_row(name: String, e: &Estimate, difference: Option<&Difference>) -> Vec<String> {
    let Some(f) = &e.figures else {
        return vec![name, "not possible".to_owned()];
    };
    let against = difference.map_or_else(
        || ["", "", "", ""].map(str::to_owned).to_vec(),
        |d| {
            let sure = d
                .minutes
                .probability_less
                .map_or_else(String::new, probability);
            [d.minutes, d.wire, d.cost]
                .map(|a| percent(a.share))
                .into_iter()
                .chain([sure])
                .collect()
        },
    );
    let (low, high) = (f.minutes.low, f.minutes.high);
    let [ra_low, ra_high] = f.finish.roughness_um;
    let doubt = if f.finish.in_doubt.is_some() { "?" } else { "" };
    let mut row = vec![
        name,
        clock(f.minutes.median),
        format!("{} to {}", clock(low), clock(high)),
    ];
    row.extend(against);
    row.extend([
        format!("{:.0}", f.wire.median.m()),
        format!("{:.3}", f.wire_mass.kg()),
        format!("{:.2}", f.cost.part.median.amount()),
        f.parts_per_week.to_string(),
        format!("{ra_low:.2} to {ra_high:.2}{doubt}"),
    ]);
    row
}

/// The smallest pass plans for a finish or tolerance that was asked for, wire by wire.
pub(super) fn write_advice(
    out: &mut impl Write,
    wanted: Option<Wanted>,
    job: &Job,
    library: &Library,
) -> std::io::Result<()> {
    let Some(wanted) = wanted else {
        return Ok(());
    };
    for (c, advice) in job
        .candidates
        .iter()
        .zip(advise_each(job, library, &wanted))
    {
        if let Some(advice) = advice {
            writeln!(
                out,
                "  {}: {}",
                candidate_name(c),
                pass_advice::sentence(&advice)
            )?;
        }
    }
    Ok(())
}

/// The part that is taken where the drawing has several, counted from 1.
pub(super) fn part_number(job: &Job, drawing: &Drawing) -> Option<usize> {
    let part = job.part_taken(&drawing.profile, &drawing.parts);
    part.map(|k| k + 1)
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
    let part = part_number(job, drawing).map_or_else(String::new, |k| format!(", part {k}"));
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
    let name = |e: &Estimate| candidate_name(&e.candidate);
    let mut rows = Vec::new();
    for (k, e) in comparison.estimates.iter().enumerate() {
        rows.push(text_row(name(e), e, comparison.difference(k).as_ref()));
    }
    let widths: Vec<usize> = (0..HEAD.len())
        .map(|c| {
            let cells = rows
                .iter()
                .map(|r| r.get(c).map_or(0, |t| t.chars().count()));
            cells.chain([HEAD[c].chars().count()]).max().unwrap_or(0)
        })
        .collect();
    let line = |cells: &[String]| {
        let mut line = String::from(" ");
        for (c, (text, width)) in cells.iter().zip(&widths).enumerate() {
            // The name to the left, figures to the right.
            let _ = match c {
                0 => write!(line, " {text:<width$}"),
                _ => write!(line, "  {text:>width$}"),
            };
        }
        line.trim_end().to_owned()
    };
    if let Some(baseline) = comparison.estimates.get(comparison.baseline) {
        writeln!(out, "  Differences are against {}.", name(baseline))?;
    }
    writeln!(out, "{}", line(&HEAD.map(str::to_owned)))?;
    for (e, row) in comparison.estimates.iter().zip(&rows) {
        writeln!(out, "{}", line(row))?;
        for o in &e.obstacles {
            let sign = if o.blocks() { "✖" } else { "!" };
            writeln!(
                out,
                "      {sign} {}",
                obstacles::sentence(o, System::Metric)
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
        "part",
        "wire",
        "diameter_mm",
        "run",
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
        "ra_low_um",
        "ra_high_um",
        "minutes_difference",
        "minutes_difference_low",
        "minutes_difference_high",
        "wire_difference",
        "cost_difference",
        "probability_faster",
        "probability_cheaper",
        "error",
    ];
    csv.write_record(head)?;
    for file in files {
        match file {
            FileJson::Row(path, part, comparison) => {
                for (k, e) in comparison.estimates.iter().enumerate() {
                    csv.write_record(csv_row(path, *part, e, comparison.difference(k).as_ref()))?;
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

/// Differences are shares of the baseline; they are empty for the baseline itself.
///
/// The part is empty where the whole drawing is cut, and the run where the wire is run the usual way.
fn csv_row(
    path: &Path,
    part: Option<usize>,
    e: &Estimate,
    difference: Option<&Difference>,
) -> Vec<String> {
    let blockers: Vec<String> = e
        .blockers()
        .map(|o| obstacles::sentence(o, System::Metric))
        .collect();
    let mut row = vec![
        path.display().to_string(),
        part.map_or_else(String::new, |k| k.to_string()),
        e.candidate.wire.clone(),
        e.candidate.diameter.mm().to_string(),
        e.candidate.run.written(),
        e.is_possible().to_string(),
        blockers.join(" "),
    ];
    match &e.figures {
        None => row.extend(std::iter::repeat_n(String::new(), 18)),
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
            row.extend(f.finish.roughness_um.iter().map(ToString::to_string));
        }
    }
    match difference {
        None => row.extend(std::iter::repeat_n(String::new(), 7)),
        Some(d) => row.extend(
            [
                d.minutes.share,
                d.minutes.range.0,
                d.minutes.range.1,
                d.wire.share,
                d.cost.share,
                d.minutes.probability_less.unwrap_or(f64::NAN),
                d.cost.probability_less.unwrap_or(f64::NAN),
            ]
            .iter()
            // Where nothing can be compared the cell stays empty.
            .map(|v| {
                if v.is_finite() {
                    v.to_string()
                } else {
                    String::new()
                }
            }),
        ),
    }
    row.push(String::new());
    row
}
