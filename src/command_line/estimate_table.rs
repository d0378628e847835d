//! An estimate as a table: text for a person, CSV for a spreadsheet.

use super::estimate_json::{EstimateBasis, FileJson, Row};
use super::outcome::Failure;
use crate::drawing::Drawing;
use crate::estimate::{Comparison, Difference, Estimate, Quotable, Wanted, advise_each, at_stake};
use crate::job::Job;
use crate::language::said;
use crate::library::Library;
use crate::units::Money;
use crate::words::at_stake::{self as at_stake_words, Pieces};
use crate::words::figures::{self, HeldAgainst};
use crate::words::{Style, System, findings, obstacles, pass_advice};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Heads of the table: the wire, each figure with its range where tables show it, and after the time the differences.
fn heads(style: Style) -> Vec<String> {
    let mut out = vec![say!("wire").to_owned()];
    for (k, e) in figures::roomy_columns().enumerate() {
        out.push(e.head_with_unit(style));
        if e.shows_range() {
            out.push(said(figures::RANGE_HEAD).to_owned());
        }
        if k == 0 {
            out.extend(figures::compared().map(|(e, _)| e.difference_head()));
            out.push(said(figures::CHANCE_HEAD).to_owned());
            out.push(said(figures::PAYS_HEAD).to_owned());
            out.push(said(figures::TURNS_HEAD).to_owned());
        }
    }
    out
}

/// A wire in the table, cell by cell as in [`heads`].
fn text_row(style: Style, e: &Estimate, difference: Option<&Difference>) -> Vec<String> {
    let mut name = style.candidate(&e.candidate);
    let Some(f) = &e.figures else {
        return vec![name, say!("not possible").to_owned()];
    };
    if e.leaves_a_radius() {
        name = format!("{name}, {}", said(obstacles::NOT_AS_DRAWN));
    }
    if !e.is_on_hand() {
        name = format!("{name}, {}", said(obstacles::NOT_ON_HAND));
    }
    let mut row = vec![name];
    for (k, e) in figures::roomy_columns().enumerate() {
        row.push(e.digits(style, f));
        if e.shows_range() {
            row.push(e.range(style, f));
        }
        if k == 0 {
            let share = |(_, against): (_, HeldAgainst)| {
                difference.map_or_else(String::new, |d| style.signed_difference(against(d).share))
            };
            row.extend(figures::compared().map(share));
            let sure = difference.and_then(|d| d.minutes.probability_less);
            row.push(sure.map_or_else(String::new, |p| style.probability(p)));
            for of in [figures::pays_from, figures::turns_at] {
                row.push(difference.map_or_else(String::new, |d| of(d, style)));
            }
        }
    }
    row
}

/// The smallest pass plans for a finish or tolerance that was asked for, wire by wire.
pub(super) fn write_advice(
    out: &mut impl Write,
    wanted: Option<Wanted>,
    job: &Job,
    library: &Library,
    style: Style,
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
                style.candidate(c),
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

/// Obstacles of one kind that are told one by one; JSON has them all.
const TOLD_OF_A_KIND: usize = 12;

/// What keeps a wire from the job, or wants a second look.
fn write_obstacles(out: &mut impl Write, e: &Estimate, style: Style) -> std::io::Result<()> {
    let mut kinds: BTreeMap<&str, usize> = BTreeMap::new();
    for told in obstacles::told(&e.obstacles, style.system) {
        let Some(&first) = told.all.first() else {
            continue;
        };
        let count = kinds.entry(e.obstacles[first].code()).or_default();
        *count += 1;
        if *count <= TOLD_OF_A_KIND {
            let blocks = told.all.iter().any(|&k| e.obstacles[k].blocks());
            let sign = if blocks { "✖" } else { "!" };
            writeln!(out, "      {sign} {}", told.sentence)?;
        }
    }
    for (code, count) in kinds {
        if let Some(more) = count.checked_sub(TOLD_OF_A_KIND).filter(|n| *n > 0) {
            writeln!(
                out,
                "{}",
                say!("      … and {more} more of the kind {code}.")
            )?;
        }
    }
    Ok(())
}

/// One table a file, for a person to read.
pub(super) fn write_text(
    out: &mut impl Write,
    path: &Path,
    asked: &EstimateBasis<'_>,
    comparison: &Comparison,
    style: Style,
) -> std::io::Result<()> {
    let (drawing, job, library) = (asked.drawing, asked.job, asked.library);
    let part = part_number(job, drawing).map_or_else(String::new, |k| say!(", part {k}"));
    writeln!(
        out,
        "{}",
        say!(
            "{}{part}: {} of {} {}, {}, {}",
            path.display(),
            at_stake_words::how_many(job.quantity, job.pieces(&drawing.profile, &drawing.parts)),
            style.typed_length(job.thickness),
            said(&job.material),
            crate::job::passes_words(job.passes),
            job.flushing.words()
        )
    )?;
    let head = heads(style);
    let mut rows = Vec::new();
    for (k, e) in comparison.estimates.iter().enumerate() {
        rows.push(text_row(style, e, comparison.difference(k).as_ref()));
    }
    let widths: Vec<usize> = (0..head.len())
        .map(|c| {
            let cells = rows
                .iter()
                .map(|r| r.get(c).map_or(0, |t| t.chars().count()));
            cells.chain([head[c].chars().count()]).max().unwrap_or(0)
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
        writeln!(
            out,
            "{}",
            say!(
                "  Differences are against {}. {}",
                style.candidate(&baseline.candidate),
                said(figures::UNSOLD_REMARK)
            )
        )?;
    }
    writeln!(out, "{}", line(&head))?;
    for (e, row) in comparison.estimates.iter().zip(&rows) {
        writeln!(out, "{}", line(row))?;
        write_obstacles(out, e, style)?;
    }
    write_doubt(out, asked, comparison, style)?;
    let per = match job.pieces(&drawing.profile, &drawing.parts) {
        1 => say!("Per part").to_owned(),
        n => say!("For all {n} parts"),
    };
    match &library.learned {
        None => writeln!(
            out,
            "{}",
            say!(
                "  {per}; a starting estimate until your own finished cuts are logged, and no machine setting."
            )
        ),
        Some(known) => writeln!(
            out,
            "{}",
            say!(
                "  {per}; learned from {} of your finished cuts{}. An estimate, and no machine setting.",
                known.cuts,
                known.on_machine()
            )
        ),
    }
}

/// Whether it may be quoted; wire by wire what of the price is in question, and a price a piece.
fn write_doubt(
    out: &mut impl Write,
    asked: &EstimateBasis<'_>,
    comparison: &Comparison,
    style: Style,
) -> std::io::Result<()> {
    let (drawing, job) = (asked.drawing, asked.job);
    let openings = asked.as_openings;
    let quotable = Quotable::of(drawing.verdict, Some(comparison));
    writeln!(
        out,
        "{}",
        say!("  Verdict: {}.", at_stake_words::quotable(quotable))
    )?;
    let pieces = job.pieces(&drawing.profile, &drawing.parts);
    for (k, e) in comparison.estimates.iter().enumerate() {
        let openings = openings.get(k).copied().flatten();
        let Some(f) = &e.figures else {
            if let Some(cost) = openings {
                let name = style.candidate(&e.candidate);
                let words = at_stake_words::either_way(None, cost, style);
                writeln!(out, "  {name}: {words}.")?;
            }
            continue;
        };
        let whole = f.cost.part.median;
        let mut told = Vec::new();
        if pieces > 1 {
            told.push(Pieces::of(pieces, whole).words(style));
        }
        let stakes = at_stake(drawing, job, f);
        told.extend(
            stakes
                .iter()
                .map(|s| say!("of it {}", at_stake_words::sentence(s, style))),
        );
        told.extend(
            openings.map(|cost| say!("or {}", at_stake_words::either_way(None, cost, style))),
        );
        if !told.is_empty() {
            let name = style.candidate(&e.candidate);
            writeln!(out, "  {name}: {} {}.", style.money(whole), told.join(", "))?;
        }
    }
    Ok(())
}

/// What every figure is for, where the parts of a set are not one of each.
pub(super) fn write_set(
    out: &mut impl Write,
    drawing: &Drawing,
    job: &Job,
    style: Style,
) -> std::io::Result<()> {
    let (profile, parts) = (&drawing.profile, &drawing.parts);
    match crate::words::parts::what_a_set_is(job, profile, parts, style) {
        Some(set) => writeln!(
            out,
            "{}",
            say!("  Every figure is for a set, loaded piece by piece; {set}.")
        ),
        None => Ok(()),
    }
}

/// What the import found and doubts.
pub(super) fn write_findings(
    out: &mut impl Write,
    drawing: &Drawing,
    style: Style,
) -> std::io::Result<()> {
    for f in &drawing.findings {
        let sentence = findings::sentence(f, style.system);
        writeln!(out, "  {}: {sentence}", f.severity().said())?;
    }
    Ok(())
}

/// The shop's own files that the figures rest on.
pub(super) fn write_files(out: &mut impl Write, files: &[PathBuf]) -> std::io::Result<()> {
    if files.is_empty() {
        return Ok(());
    }
    let names: Vec<String> = files.iter().map(|p| p.display().to_string()).collect();
    writeln!(out, "{}", say!("  Of the shop: {}.", names.join(", ")))
}

/// Columns that say which drawing and wire a row is of.
const WHOSE: [&str; 8] = [
    "file",
    "part",
    "wire",
    "diameter_mm",
    "run",
    "possible",
    "as_drawn",
    "blockers",
];

/// One column against the baseline: its name, and its share or probability.
type AgainstColumn = (&'static str, fn(&Difference) -> Option<f64>);

/// Columns against the baseline.
const AGAINST: [AgainstColumn; 11] = [
    ("minutes_difference", |d| Some(d.minutes.share)),
    ("minutes_difference_low", |d| Some(d.minutes.range.0)),
    ("minutes_difference_high", |d| Some(d.minutes.range.1)),
    ("wire_difference", |d| Some(d.wire.share)),
    ("cost_difference", |d| Some(d.cost.share)),
    ("probability_faster", |d| d.minutes.probability_less),
    ("probability_cheaper", |d| d.cost.probability_less),
    ("cost_unsold_difference", |d| Some(d.cash.share)),
    ("probability_cheaper_unsold", |d| d.cash.probability_less),
    ("pays_from_gain", |d| Some(d.pays_from_gain)),
    ("turns_at_machine_rate", |d| {
        d.turns_at_rate.map(Money::amount)
    }),
];

/// What the drawing is worth as a basis: the verdict, and the codes of the findings, each with its count.
const DOUBT: [&str; 2] = ["verdict", "findings"];

/// One row per file and wire.
pub(super) fn write_csv(out: &mut impl Write, files: &[FileJson]) -> Result<(), Failure> {
    let mut csv = csv::Writer::from_writer(out);
    let head: Vec<&str> = WHOSE
        .into_iter()
        .chain(figures::csv_columns())
        .chain(AGAINST.map(|(name, _)| name))
        .chain(DOUBT)
        .chain(["error"])
        .collect();
    csv.write_record(&head)?;
    for file in files {
        match file {
            FileJson::Row(row) => {
                let comparison = &row.comparison;
                for (k, e) in comparison.estimates.iter().enumerate() {
                    csv.write_record(csv_row(row, e, comparison.difference(k).as_ref()))?;
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
fn csv_row(of: &Row, e: &Estimate, difference: Option<&Difference>) -> Vec<String> {
    let blockers = obstacles::told(e.blockers(), System::Metric);
    let blockers: Vec<String> = blockers.into_iter().map(|t| t.sentence).collect();
    let mut row = vec![
        of.path.display().to_string(),
        of.part.map_or_else(String::new, |k| k.to_string()),
        e.candidate.wire.clone(),
        e.candidate.diameter.mm().to_string(),
        e.candidate.run.written(),
        e.is_possible().to_string(),
        e.is_as_drawn().to_string(),
        blockers.join(" "),
    ];
    row.extend(figures::csv_cells(e.figures.as_ref()));
    row.extend(AGAINST.map(|(_, of)| {
        // Where nothing can be compared the cell stays empty.
        let share = difference.and_then(of).filter(|v| v.is_finite());
        share.map_or_else(String::new, |v| v.to_string())
    }));
    row.extend([of.doubt.verdict.to_owned(), of.doubt.findings.clone()]);
    row.push(String::new());
    row
}
