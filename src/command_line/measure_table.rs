//! What `measure` writes for a person.

use super::measure_json::Measured;
use super::reading::Unread;
use super::table::{Rows, fixed};
use crate::drawing::Drawing;
use crate::language::said;
use crate::profile::Keep;
use crate::words::findings::verdict;
use std::collections::BTreeMap;
use std::io::{self, Write};
use std::path::Path;

/// Writes one file's measures and findings.
pub fn write_text(
    out: &mut impl Write,
    file: &Path,
    result: Result<&Drawing, &Unread>,
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
        "{}",
        say!(
            "  Verdict: {}. Unit {}",
            verdict(drawing.verdict),
            measured.units.reason
        )
    )?;
    let head = [
        "",
        say!("role"),
        say!("depth"),
        say!("length mm"),
        say!("area mm²"),
        say!("corners"),
        say!("inside radius mm"),
        say!("layer"),
    ];
    let mut rows = Rows::of(head.len());
    for (k, c) in measured.contours.iter().enumerate() {
        rows.cell(k + 1);
        rows.cell(said(c.role));
        rows.cell(c.depth);
        rows.number(Some(c.length_mm), 3);
        rows.number(c.area_mm2, 3);
        rows.cell(c.corners);
        rows.number(c.tightest_inside_radius_mm, 3);
        rows.cell(c.layer);
    }
    rows.write(out, &head)?;
    let t = &measured.totals;
    writeln!(
        out,
        "{}",
        say!(
            "  Cut length {} mm; {} outline(s), {} opening(s), {} open ({} mm); {} corner(s); {} slug(s); \
         net area {} mm²",
            fixed(t.cut_length_mm, 3),
            t.outlines,
            t.openings,
            t.open,
            fixed(t.open_length_mm, 3),
            t.corners,
            t.slugs,
            fixed(t.net_area_mm2, 3)
        )
    )?;
    writeln!(
        out,
        "{}",
        say!(
            "  Read: {}. Skipped: {}.",
            counts(&drawing.read),
            counts(&drawing.skipped)
        )
    )?;
    let used = drawing.scale.used.scale;
    if !used.is_true_size() {
        writeln!(out, "{}", say!("  Drawn {used}; lengths are true size."))?;
    }
    if let Some(words) = measured.scale.words() {
        writeln!(out, "  {words}")?;
    }
    for note in &measured.notes {
        let says = note.says.words();
        if !says.is_empty() {
            writeln!(
                out,
                "{}",
                say!("  Says {says}: “{}”", note.text.replace('\n', " / "))
            )?;
        }
    }
    for finding in &measured.import.findings {
        write!(out, "  {}: {}", said(finding.severity), finding.message)?;
        if let Some([x, y]) = finding.at_mm {
            write!(
                out,
                "{}",
                say!(" First at {}, {} mm.", fixed(x, 3), fixed(y, 3))
            )?;
        }
        if let Some(line) = finding.lines.first() {
            write!(out, "{}", say!(" First in line {line}."))?;
        }
        if let Some(offer) = finding.offers.first() {
            let n = finding.offers.len();
            let does = &offer.does;
            write!(
                out,
                "{}",
                say!(" {n} offered, such as: {does} (--accept {}).", offer.id)
            )?;
        }
        writeln!(out)?;
    }
    writeln!(out)
}

fn counts(map: &BTreeMap<String, usize>) -> String {
    if map.is_empty() {
        return say!("nothing").to_owned();
    }
    map.iter()
        .map(|(word, n)| format!("{n} {word}"))
        .collect::<Vec<_>>()
        .join(", ")
}
