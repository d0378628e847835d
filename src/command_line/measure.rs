//! `kerfcast-cli measure`: what a drawing holds, as a table or as JSON.

use super::reading::{Failed, Reading};
use super::{Failure, Outcome, table};
use crate::drawing::{Drawing, Progress, Proposal, ReadError, open};
use crate::geometry::Point;
use crate::measures::{ContourMeasures, Measures, Totals, measure, measure_part};
use crate::profile::Keep;
use crate::units::Length;
use serde::Serialize;
use std::collections::BTreeMap;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Arguments of `measure`.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    #[command(flatten)]
    reading: Reading,
    /// Write JSON: an array, an object for each file in the order given.
    #[arg(long)]
    json: bool,
    /// Drawings to measure.
    #[arg(value_name = "FILE", required = true)]
    files: Vec<PathBuf>,
}

/// Measures the files in order.
///
/// # Errors
/// An output that cannot be written.
pub fn run(arguments: &Arguments, out: &mut impl Write) -> Result<Outcome, Failure> {
    let options = arguments.reading.options();
    let keep = arguments.reading.keep();
    let mut outcome = Outcome::Done;
    let mut objects = Vec::new();
    for file in &arguments.files {
        let result = open(file, &options, &Progress::default());
        if result.is_err() {
            outcome = Outcome::SomeFailed;
        }
        if arguments.json {
            objects.push(object(file, result.as_ref(), keep));
        } else {
            write_text(out, file, result.as_ref(), keep)?;
        }
    }
    if arguments.json {
        serde_json::to_writer_pretty(&mut *out, &objects)?;
        writeln!(out)?;
    }
    Ok(outcome)
}

fn object(file: &Path, result: Result<&Drawing, &ReadError>, keep: Keep) -> Object {
    let file = file.display().to_string();
    match result {
        Ok(drawing) => Object::Measured(Box::new(Measured::new(file, drawing, keep))),
        Err(error) => Object::Failed(Failed::new(file, error)),
    }
}

/// What stands for one file.
#[derive(Debug, Serialize)]
#[serde(untagged)]
enum Object {
    Measured(Box<Measured>),
    Failed(Failed),
}

/// A drawing's measures as they are written.
#[derive(Debug, Serialize)]
struct Measured {
    file: String,
    units: UnitsText,
    bounds_mm: Option<[f64; 4]>,
    contours: Vec<ContourText>,
    totals: TotalsText,
    /// Contours that belong together, each part with totals of its own.
    parts: Vec<PartText>,
    import: ImportText,
}

#[derive(Debug, Serialize)]
struct UnitsText {
    used: &'static str,
    from: &'static str,
    reason: String,
}

#[derive(Debug, Serialize)]
struct ContourText {
    role: &'static str,
    depth: usize,
    length_mm: f64,
    /// No area is claimed for what does not close.
    area_mm2: Option<f64>,
    corners: usize,
    tightest_inside_radius_mm: Option<f64>,
    layer: String,
}

#[derive(Debug, Serialize)]
struct TotalsText {
    cut_length_mm: f64,
    open_length_mm: f64,
    outlines: usize,
    openings: usize,
    open: usize,
    corners: usize,
    slugs: usize,
    net_area_mm2: f64,
}

#[derive(Debug, Serialize)]
struct PartText {
    bounds_mm: [f64; 4],
    /// Indices into the list of contours; open chains follow the closed ones there.
    contours: Vec<usize>,
    totals: TotalsText,
}

#[derive(Debug, Serialize)]
struct ProposalText {
    code: &'static str,
    reason: String,
    layer: String,
    contours: Vec<usize>,
    curves: usize,
    at_mm: [f64; 2],
}

#[derive(Debug, Serialize)]
struct ImportText {
    verdict: &'static str,
    read: BTreeMap<String, usize>,
    skipped: BTreeMap<String, usize>,
    findings: Vec<FindingText>,
    /// What is perhaps not to be cut, counted all the same.
    proposals: Vec<ProposalText>,
}

#[derive(Debug, Serialize)]
struct FindingText {
    code: &'static str,
    severity: &'static str,
    count: usize,
    message: String,
    at_mm: Option<[f64; 2]>,
    places_mm: Vec<[f64; 2]>,
    lines: Vec<usize>,
}

impl Measured {
    fn new(file: String, drawing: &Drawing, keep: Keep) -> Self {
        let measures = measure(&drawing.profile, keep);
        let b = &drawing.bounds;
        Self {
            file,
            units: UnitsText {
                used: drawing.units.used.sign(),
                from: drawing.units.from.word(),
                reason: drawing.units.reason.clone(),
            },
            bounds_mm: (!b.is_empty()).then_some([b.min.x, b.min.y, b.max.x, b.max.y]),
            contours: contours(drawing, &measures),
            totals: TotalsText::of(&measures.totals),
            parts: parts(drawing, keep),
            import: import(drawing),
        }
    }
}

impl TotalsText {
    fn of(totals: &Totals) -> Self {
        Self {
            cut_length_mm: totals.cut_length.mm(),
            open_length_mm: totals.open_length.mm(),
            outlines: totals.outlines,
            openings: totals.openings,
            open: totals.open,
            corners: totals.corners,
            slugs: totals.slugs,
            net_area_mm2: totals.net_area.mm2(),
        }
    }
}

/// Measures each contour once and sums over the parts.
fn parts(drawing: &Drawing, keep: Keep) -> Vec<PartText> {
    let profile = &drawing.profile;
    let origin = profile.origin;
    drawing
        .parts
        .iter()
        .map(|part| {
            let totals = measure_part(profile, keep, part).totals;
            let (low, high) = (part.bounds.min + origin, part.bounds.max + origin);
            let open = part.open.iter().map(|k| profile.contours.len() + k);
            PartText {
                bounds_mm: [low.x, low.y, high.x, high.y],
                contours: part.contours.iter().copied().chain(open).collect(),
                totals: TotalsText::of(&totals),
            }
        })
        .collect()
}

/// Closed contours in the profile's order, then the open chains.
fn contours(drawing: &Drawing, measures: &Measures) -> Vec<ContourText> {
    let closed = |(c, layer): (&ContourMeasures, &String)| ContourText {
        role: c.role.word(),
        depth: c.depth,
        length_mm: c.length.mm(),
        area_mm2: Some(c.area.mm2()),
        corners: c.corners,
        tightest_inside_radius_mm: c.tightest_inside_radius.map(Length::mm),
        layer: layer.clone(),
    };
    let layers = drawing.profile.contours.iter().map(|c| &c.layer);
    let open = drawing.profile.open.iter().map(|chain| ContourText {
        role: "open",
        depth: 0,
        length_mm: chain.drawn_length.mm(),
        area_mm2: None,
        corners: 0,
        tightest_inside_radius_mm: None,
        layer: chain.layer.clone(),
    });
    measures
        .contours
        .iter()
        .zip(layers)
        .map(closed)
        .chain(open)
        .collect()
}

fn import(drawing: &Drawing) -> ImportText {
    let pair = |p: &Point| [p.x, p.y];
    ImportText {
        verdict: drawing.verdict.words(),
        read: drawing.read.clone(),
        skipped: drawing.skipped.clone(),
        findings: drawing
            .findings
            .iter()
            .map(|f| FindingText {
                code: f.code,
                severity: f.severity.word(),
                count: f.count,
                message: f.message.clone(),
                at_mm: f.at.first().map(pair),
                places_mm: f.at.iter().map(pair).collect(),
                lines: f.lines.clone(),
            })
            .collect(),
        proposals: drawing
            .proposals
            .iter()
            .map(|p| ProposalText {
                code: p.kind.code(),
                reason: p.reason.clone(),
                layer: p.layer.clone(),
                contours: contours_of(drawing, p),
                curves: p.curves.len(),
                at_mm: pair(&p.at),
            })
            .collect(),
    }
}

/// The contours of a proposal by their place in the list.
fn contours_of(drawing: &Drawing, proposal: &Proposal) -> Vec<usize> {
    let contours = drawing.profile.contours.iter().enumerate();
    contours
        .filter(|(_, c)| {
            let lowest = c.curves.iter().min();
            lowest.is_some_and(|k| proposal.contours.contains(k))
        })
        .map(|(k, _)| k)
        .collect()
}

fn write_text(
    out: &mut impl Write,
    file: &Path,
    result: Result<&Drawing, &ReadError>,
    keep: Keep,
) -> io::Result<()> {
    writeln!(out, "{}", file.display())?;
    let drawing = match result {
        Ok(drawing) => drawing,
        Err(error) => return writeln!(out, "  {error} {}\n", error.hint()),
    };
    let measured = Measured::new(String::new(), drawing, keep);
    writeln!(
        out,
        "  Verdict: {}. Unit {}",
        measured.import.verdict, measured.units.reason
    )?;
    let number = |v: Option<f64>| v.map_or_else(|| "-".to_owned(), |v| format!("{v:.3}"));
    let rows: Vec<Vec<String>> = measured
        .contours
        .iter()
        .enumerate()
        .map(|(k, c)| {
            vec![
                k.to_string(),
                c.role.to_owned(),
                c.depth.to_string(),
                number(Some(c.length_mm)),
                number(c.area_mm2),
                c.corners.to_string(),
                number(c.tightest_inside_radius_mm),
                c.layer.clone(),
            ]
        })
        .collect();
    let head = [
        "",
        "role",
        "depth",
        "length mm",
        "area mm²",
        "corners",
        "inside radius mm",
        "layer",
    ];
    table::write(out, &head, &rows)?;
    let t = &measured.totals;
    writeln!(
        out,
        "  Cut length {:.3} mm; {} outline(s), {} opening(s), {} open ({:.3} mm); {} corner(s); {} slug(s); \
         net area {:.3} mm²",
        t.cut_length_mm,
        t.outlines,
        t.openings,
        t.open,
        t.open_length_mm,
        t.corners,
        t.slugs,
        t.net_area_mm2
    )?;
    writeln!(
        out,
        "  Read: {}. Skipped: {}.",
        counts(&drawing.read),
        counts(&drawing.skipped)
    )?;
    for finding in &measured.import.findings {
        write!(out, "  {}: {}", finding.severity, finding.message)?;
        if let Some([x, y]) = finding.at_mm {
            write!(out, " First at {x:.3}, {y:.3} mm.")?;
        }
        if let Some(line) = finding.lines.first() {
            write!(out, " First in line {line}.")?;
        }
        writeln!(out)?;
    }
    writeln!(out)
}

fn counts(map: &BTreeMap<String, usize>) -> String {
    if map.is_empty() {
        return "nothing".to_owned();
    }
    map.iter()
        .map(|(word, n)| format!("{n} {word}"))
        .collect::<Vec<_>>()
        .join(", ")
}
