//! What was typed into a field of the library becomes a changed library, or a reason why not.

use super::units::{shown_number, shown_unit};
use super::{Part, Spot, Wrong};
use crate::library::content::Shape;
use crate::library::{Change, Content, CurvePoint, Library, LibraryCell, UserLibrary};
use crate::process::cutting_rate::{REFERENCE_DIAMETER, thickness_factor};
use crate::units::Length;
use crate::words::library::{curve, reason};
use crate::words::{Style, typed::parse_number};

/// Unit of a point's thickness.
pub const THICKNESS_UNIT: &str = "mm";
/// Unit of a point's rate.
pub const RATE_UNIT: &str = "mm²/min";
/// Thicknesses at which an own curve begins, mm.
const BEGIN_MM: [f64; 6] = [5.0, 10.0, 20.0, 60.0, 100.0, 200.0];

/// The library after something was typed.
///
/// # Errors
/// What is wrong and what would be right, in the units that are shown.
pub fn typed(
    own: &UserLibrary,
    spot: &Spot,
    text: &str,
    style: Style,
) -> Result<UserLibrary, String> {
    match spot {
        Spot::Cell {
            table,
            entry,
            path,
            part,
        } => {
            let library = own.over(Library::built_in());
            let cells = library.entry_cells(*table, entry);
            let cell = cells.into_iter().find(|c| c.key == *path);
            let cell = cell.ok_or_else(|| say!("There is no such cell any more.").to_owned())?;
            let change = change(&cell, *part, text, style)?;
            let show = shown_number(style);
            own.with_change(*table, entry, path, change)
                .map_err(|fault| reason(&fault.reason, &show))
        }
        Spot::Point { point, rate } => {
            let mut points = points(own);
            let there = points
                .get_mut(*point)
                .ok_or_else(|| say!("There is no such point any more.").to_owned())?;
            if *rate {
                there.rate_mm2_per_min = number(text, RATE_UNIT, style)?;
            } else {
                there.thickness_mm = number(text, THICKNESS_UNIT, style)?;
            }
            with_curve(own, points, style)
        }
    }
}

/// The library after a change, and what of that which was wrong before still is.
pub fn with_what_fits(mut own: UserLibrary, wrong: &[Wrong]) -> (UserLibrary, Vec<Wrong>) {
    let mut left = Vec::new();
    for w in wrong {
        match typed(&own, &w.spot, &w.typed, w.style) {
            Ok(better) => own = better,
            Err(reason) => left.push(Wrong {
                reason,
                ..w.clone()
            }),
        }
    }
    (own, left)
}

/// With another point, typed as thickness and rate.
///
/// # Errors
/// What is wrong with it.
pub fn with_point(
    own: &UserLibrary,
    thickness: &str,
    rate: &str,
    style: Style,
) -> Result<UserLibrary, String> {
    let mut points = points(own);
    points.push(CurvePoint {
        thickness_mm: number(thickness, THICKNESS_UNIT, style)?,
        rate_mm2_per_min: number(rate, RATE_UNIT, style)?,
    });
    with_curve(own, points, style)
}

/// Without a point.
///
/// # Errors
/// A curve needs two.
pub fn without_point(own: &UserLibrary, point: usize, style: Style) -> Result<UserLibrary, String> {
    let mut points = points(own);
    if point < points.len() {
        points.remove(point);
    }
    with_curve(own, points, style)
}

/// An own curve that begins as the built-in one.
///
/// # Errors
/// None in practice: the points lie in range.
pub fn begun_curve(own: &UserLibrary) -> Result<UserLibrary, String> {
    let library = own.over(Library::built_in());
    let model = &library.model;
    let point = |thickness_mm| {
        let rate = model.peak_rate.value
            * thickness_factor(Length::from_mm(thickness_mm), REFERENCE_DIAMETER, model);
        CurvePoint {
            thickness_mm,
            // A tenth is finer than anybody knows it.
            rate_mm2_per_min: (rate * 10.0).round() / 10.0,
        }
    };
    with_curve(
        own,
        BEGIN_MM.into_iter().map(point).collect(),
        Style::default(),
    )
}

fn points(own: &UserLibrary) -> Vec<CurvePoint> {
    let curve = own.thickness_curve.as_ref();
    curve.map_or_else(Vec::new, |c| c.points().to_vec())
}

fn with_curve(
    own: &UserLibrary,
    points: Vec<CurvePoint>,
    style: Style,
) -> Result<UserLibrary, String> {
    own.with_curve(points)
        .map_err(|e| curve(&e, &shown_number(style)))
}

fn change(cell: &LibraryCell, part: Part, text: &str, style: Style) -> Result<Change, String> {
    let unit = match cell.content {
        Content::Value(_) | Content::Missing => cell.field.unit,
        _ => "",
    };
    let end = || match text.trim() {
        "" | "–" => Ok(None),
        _ => number(text, unit, style).map(Some),
    };
    Ok(match part {
        // What need not be said is taken back by an empty field.
        Part::Number if cell.field.shape == Shape::OptionalNumber && text.trim().is_empty() => {
            Change::Nothing
        }
        Part::Number => Change::Number(number(text, unit, style)?),
        Part::Low => Change::Low(end()?),
        Part::High => Change::High(end()?),
        Part::Source => Change::Source(text.trim().to_owned()),
        Part::Text => Change::Text(text.trim().to_owned()),
        Part::Nth(k) => Change::Part(k, parse_number(text)?),
    })
}

/// A number as the file has it, from one typed in the unit that is shown.
fn number(text: &str, unit: &str, style: Style) -> Result<f64, String> {
    if unit == THICKNESS_UNIT {
        // A unit may be typed behind it.
        return style.parse_length(text).map(Length::mm);
    }
    parse_number(text).map(|shown| shown / shown_unit(style, unit).0)
}
