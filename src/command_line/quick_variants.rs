//! Quick variants in the words of a call: one change a word, several in one variant, several variants in one table.

use super::estimate_json::{DifferenceJson, difference_json};
use super::table;
use crate::estimate::{ChangePrice, Comparison, QuickVariant};
use crate::geometry::Segment;
use crate::job::{Edit, Job, Variant, contour_key};
use crate::language::said;
use crate::library::Library;
use crate::plan::PathCache;
use crate::profile::{Profile, Revised, RevisedKind};
use crate::units::Length;
use crate::words::variants::{HEAD, heads, name, radii, row};
use crate::words::{Style, System, job_faults, ways};
use serde::Serialize;
use std::io::{self, Write};

/// One change as a call says it; contours by their number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Asked {
    /// A contour out of the cut, numbered from 1 as in the list of contours.
    LeaveOut(usize),
    /// Any other.
    Edit(Edit),
}

/// A variant as a call says it: "lighter: inside-radii=0.3, thickness=20".
#[derive(Debug, Clone, PartialEq)]
pub(super) struct AskedVariant {
    name: String,
    asked: Vec<Asked>,
}

/// From "NAME: CHANGE, CHANGE", or the changes alone.
pub(super) fn asked_variant(text: &str) -> Result<AskedVariant, String> {
    let (name, changes) = text.split_once(':').unwrap_or(("", text));
    let changes = changes.split(',').map(str::trim).filter(|c| !c.is_empty());
    let asked: Vec<Asked> = changes.map(asked).collect::<Result<_, String>>()?;
    if asked.is_empty() {
        return Err(how_to_say_it().to_owned());
    }
    let name = name.trim().to_owned();
    Ok(AskedVariant { name, asked })
}

pub(super) fn how_to_say_it() -> &'static str {
    say!(
        "a variant is said as NAME: inside-radii=0.3, thickness=20, passes=2, scale=1.02, mirror, leave-out=3; any of \
         these, and the name may be left out"
    )
}

fn asked(change: &str) -> Result<Asked, String> {
    let (what, value) = change.split_once('=').unwrap_or((change, ""));
    let (what, value) = (what.trim(), value.trim());
    let wrong = || format!("“{change}”: {}", how_to_say_it());
    let number = || value.parse::<f64>().ok().ok_or_else(wrong);
    let count = || value.parse::<usize>().ok().ok_or_else(wrong);
    let edit = match what {
        "leave-out" => return Ok(Asked::LeaveOut(count()?)),
        "inside-radii" => Edit::InsideRadii(Length::from_mm(number()?)),
        "thickness" => Edit::Thickness(Length::from_mm(number()?)),
        "passes" => Edit::Passes(count()?),
        "scale" => Edit::Scale(number()?),
        "mirror" if value.is_empty() => Edit::Mirror,
        _ => return Err(wrong()),
    };
    Ok(Asked::Edit(edit))
}

/// An edit as a call says it; what [`asked_variant`] reads.
fn code(edit: &Edit, profile: &Profile) -> String {
    match edit {
        Edit::Scale(by) => format!("scale={by}"),
        Edit::Mirror => "mirror".to_owned(),
        Edit::InsideRadii(r) => format!("inside-radii={}", r.mm()),
        Edit::LeaveOut(key) => {
            let mut all = profile.contours().iter();
            let number = all.position(|c| contour_key(c) == *key);
            format!("leave-out={}", number.map_or(0, |k| k + 1))
        }
        Edit::Thickness(t) => format!("thickness={}", t.mm()),
        Edit::Passes(n) => format!("passes={n}"),
    }
}

/// What was asked for of a drawing, as one variant.
///
/// # Errors
/// A contour that is not there, or what cannot be made: what, and what would be right.
pub(super) fn variant_of(
    asked: impl IntoIterator<Item = Asked>,
    profile: &Profile,
) -> Result<Variant, String> {
    let mut variant = Variant::default();
    for asked in asked {
        let edit = match asked {
            Asked::Edit(edit) => edit,
            Asked::LeaveOut(n) => {
                let contour = n.checked_sub(1).and_then(|k| profile.contours().get(k));
                let Some(contour) = contour else {
                    let count = profile.contours().len();
                    return Err(say!(
                        "Contour {n} cannot be left out: the drawing has {count} contours, numbered from 1 to {count}."
                    ));
                };
                Edit::LeaveOut(contour_key(contour))
            }
        };
        if !edit.is_sane() {
            return Err(job_faults::edit(&edit, System::Metric));
        }
        variant = variant.with(edit);
    }
    Ok(variant)
}

/// The variants of a call, made and estimated.
///
/// # Errors
/// See [`variant_of`].
pub(super) fn estimated(
    asked: &[AskedVariant],
    (profile, job): (&Profile, &Job),
    as_it_is: &Comparison,
    library: &Library,
    cache: &PathCache,
) -> Result<Vec<QuickVariant>, String> {
    let one = |a: &AskedVariant| {
        let variant = variant_of(a.asked.iter().copied(), profile)?.called(&a.name);
        Ok(QuickVariant::of(
            &variant,
            (profile, job),
            as_it_is,
            library,
            cache,
        ))
    };
    asked.iter().map(one).collect()
}

/// One table a wire, or of one wire alone: the drawing as it is, and each variant with what it differs by.
pub(in crate::command_line) fn write(
    out: &mut impl Write,
    as_it_is: &Comparison,
    wire: Option<usize>,
    variants: &[QuickVariant],
    profile: &Profile,
    style: Style,
) -> io::Result<()> {
    let called = |v: &QuickVariant| name(&v.variant, profile, style.system);
    let mut head = vec![said(HEAD)];
    let heads = heads();
    head.extend(heads.iter().map(String::as_str));
    let estimates = as_it_is.estimates.iter().enumerate();
    for (k, e) in estimates.filter(|(k, _)| wire.is_none_or(|w| w == *k)) {
        writeln!(out, "{}", style.candidate(&e.candidate))?;
        let line = |name: String, cells: [String; 5]| std::iter::once(name).chain(cells).collect();
        let mut rows: Vec<Vec<String>> = Vec::new();
        let now = row(style, e.figures.as_ref(), None);
        rows.push(line(say!("as it is").to_owned(), now));
        for v in variants.iter().filter(|v| v.fault.is_none()) {
            let there = v.comparison.estimates.get(k);
            let figures = there.and_then(|e| e.figures.as_ref());
            let against = v.wires.get(k).and_then(Option::as_ref);
            let cells = row(style, figures, against.map(|w| &w.difference));
            rows.push(line(called(v), cells));
        }
        table::write(out, &head, &rows)?;
    }
    for v in variants {
        let told = match &v.fault {
            Some(fault) => Some(job_faults::sentence(fault, style.system)),
            None => radii(&v.made),
        };
        if let Some(told) = told {
            writeln!(out, "{}: {told}", called(v))?;
        }
    }
    Ok(())
}

/// What became of a contour or an open curve, as it is written.
#[derive(Serialize)]
pub(super) struct RevisedJson {
    what: &'static str,
    /// Its numbers are then those of the open curves.
    open: bool,
    before: Option<usize>,
    after: Option<usize>,
    moved_mm: Option<f64>,
    new_line_mm: f64,
    old_line_mm: f64,
}

/// What one change costs with a wire.
#[derive(Serialize)]
pub(super) struct WorthJson {
    minutes: f64,
    cost: f64,
}

/// See [`RevisedJson`].
pub(super) fn revised_json(c: &Revised) -> RevisedJson {
    let length = |list: &[Segment]| list.iter().map(Segment::length).sum();
    RevisedJson {
        what: c.kind.word(),
        open: c.open,
        before: c.before,
        after: c.after,
        moved_mm: match c.kind {
            RevisedKind::Moved(way) => Some(way.mm()),
            _ => None,
        },
        new_line_mm: length(&c.new_line),
        old_line_mm: length(&c.old_line),
    }
}

/// See [`WorthJson`].
pub(super) fn worth_json(w: &ChangePrice) -> WorthJson {
    WorthJson {
        minutes: w.minutes.min_value(),
        cost: w.cost.amount(),
    }
}

/// A variant as it is written.
#[derive(Serialize)]
pub(in crate::command_line) struct VariantJson {
    name: String,
    /// As `--variant` takes them.
    changes: Vec<String>,
    /// Why it cannot be estimated.
    fault: Option<String>,
    inside_radii_made: usize,
    inside_radii_without_room: usize,
    contours: Vec<RevisedJson>,
    wires: Vec<VariantWireJson>,
}

#[derive(Serialize)]
struct VariantWireJson {
    wire: String,
    diameter_mm: f64,
    run: String,
    /// Time and cost of a part; null where the wire cannot do it.
    minutes: Option<f64>,
    cost: Option<f64>,
    /// Against the drawing as it is.
    difference: Option<DifferenceJson>,
    /// Of each contour, in its order.
    contours: Vec<WorthJson>,
    /// What no single contour accounts for.
    elsewhere: Option<WorthJson>,
}

/// All of them.
pub(in crate::command_line) fn variants_json(
    variants: &[QuickVariant],
    profile: &Profile,
) -> Vec<VariantJson> {
    let one = |v: &QuickVariant| {
        let wires = v.comparison.estimates.iter().zip(&v.wires);
        let wires = wires.map(|(e, against)| {
            let figures = e.figures.as_ref();
            let prices = against.as_ref().map(|w| &w.prices);
            VariantWireJson {
                wire: e.candidate.wire.clone(),
                diameter_mm: e.candidate.diameter.mm(),
                run: ways::of_running(e.candidate.run, System::Metric),
                minutes: figures.map(|f| f.minutes.median.min_value()),
                cost: figures.map(|f| f.cost.part.median.amount()),
                difference: against.as_ref().map(|w| difference_json(w.difference)),
                contours: prices.map_or_else(Vec::new, |p| p.each.iter().map(worth_json).collect()),
                elsewhere: prices.map(|p| worth_json(&p.elsewhere)),
            }
        });
        let edits = v.variant.edits.iter();
        VariantJson {
            name: name(&v.variant, profile, System::Metric),
            changes: edits.map(|e| code(e, profile)).collect(),
            fault: v
                .fault
                .as_ref()
                .map(|f| job_faults::sentence(f, System::Metric)),
            inside_radii_made: v.made.rounded,
            inside_radii_without_room: v.made.no_room.len(),
            contours: v.revision.contours.iter().map(revised_json).collect(),
            wires: wires.collect(),
        }
    };
    variants.iter().map(one).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Contour, Point};

    #[test]
    fn a_variant_is_read_as_it_is_written() {
        let outline = Contour::polygon(&[(0.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0)]);
        let hole = Contour::circle(Point::new(12.0, 12.0), 3.0);
        let p = Profile::of_shapes([outline, hole]);
        let text = "light one: passes=2, thickness=12.5, mirror, inside-radii=0.3, scale=1.02, leave-out=2";
        let asked = asked_variant(text).expect("it is said as it should be");
        assert_eq!(asked.name, "light one");
        let variant = variant_of(asked.asked, &p).expect("it can be made");
        let mut codes: Vec<String> = variant.edits.iter().map(|e| code(e, &p)).collect();
        let again = asked_variant(&codes.join(",")).expect("read again");
        assert_eq!(variant_of(again.asked, &p).as_ref(), Ok(&variant));
        codes.sort();
        let mut said: Vec<&str> = text
            .split_once(": ")
            .expect("named")
            .1
            .split(", ")
            .collect();
        said.sort_unstable();
        assert_eq!(codes, said);
    }

    #[test]
    fn what_is_no_variant_is_told_with_how_to_say_it() {
        for wrong in [
            "",
            "name:",
            "thickness",
            "thickness=thin",
            "mirror=1",
            "leave-out=-1",
            "smaller",
        ] {
            let told = asked_variant(wrong).expect_err(wrong);
            assert!(told.contains("inside-radii=0.3"), "{told}");
        }
    }
}
