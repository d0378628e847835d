//! The drawing's unit settled, and the model space expanded in it.

use super::findings::{Fault, Findings};
use super::scale::Scale;
use super::units::{self, Unit, UnitChoice, UnitSource, Units, size_text};
use crate::drawing::curves::{Expanded, expand};
use crate::drawing::format::{Cancelled, Progress, Scan, Shape, Vec3};
use crate::geometry::{Bounds, Point};

/// Curves in mm.
pub struct Scaled {
    /// The unit and why.
    pub units: Units,
    /// The profile's origin, mm.
    pub origin: Point,
    /// The curves.
    pub expanded: Expanded,
    /// Box around the visible ones, mm about the origin.
    pub bounds: Bounds,
    /// What was found up to here.
    pub findings: Findings,
}

/// Settles the unit and expands the model space in it.
pub fn scale(
    scan: &Scan,
    (choice, drawn): (UnitChoice, Scale),
    findings: &Findings,
    progress: &Progress,
) -> Result<Scaled, Cancelled> {
    let in_header = scan.header.units.and_then(Unit::from_header);
    let in_unit = |unit: Unit| -> Result<Scaled, Cancelled> {
        let mut findings = findings.clone();
        let to_mm = unit.mm() / drawn.factor();
        let origin = near_origin(scan, to_mm);
        let expanded = expand(scan, to_mm, origin, &mut findings, progress)?;
        let mut bounds = Bounds::EMPTY;
        for curve in expanded.curves.iter().filter(|c| !c.hidden) {
            progress.check()?;
            bounds.include_bounds(&curve.bounds());
        }
        let units = Units {
            used: unit,
            from: UnitSource::Header,
            reason: String::new(),
        };
        Ok(Scaled {
            units,
            origin,
            expanded,
            bounds,
            findings,
        })
    };
    let (mut scaled, from) = match (choice, in_header) {
        (UnitChoice::Fixed(unit), _) => (in_unit(unit)?, UnitSource::Option),
        (UnitChoice::Auto, Some(unit)) => (in_unit(unit)?, UnitSource::Header),
        (UnitChoice::Auto, None) => {
            let as_mm = in_unit(Unit::Millimetre)?;
            // What is likely is judged by what is drawn, whatever its scale.
            let size = as_mm.bounds.size() * drawn.factor();
            let unit = units::guess(size.x, size.y, scan.header.measurement);
            let guessed = if unit == Unit::Millimetre {
                as_mm
            } else {
                in_unit(unit)?
            };
            (guessed, UnitSource::Guess)
        }
    };
    scaled.units.from = from;
    explain_unit(scan, &mut scaled);
    Ok(scaled)
}

/// Largest size that a wire machine could hold, and smallest that it could cut, mm. Common practice,
/// no source.
const PLAUSIBLE: std::ops::RangeInclusive<f64> = 0.2..=3000.0;

fn explain_unit(scan: &Scan, scaled: &mut Scaled) {
    let size = scaled.bounds.size();
    let text = size_text(size.x, size.y);
    let used = scaled.units.used;
    let header = match scan.header.units {
        None => "the file names no unit".to_owned(),
        Some(0) => "the file says that it has no unit".to_owned(),
        Some(code) => match Unit::from_header(code) {
            Some(unit) => format!("the file's header says {unit}"),
            None => format!("the header's unit number {code} is none that is known here"),
        },
    };
    scaled.units.reason = match scaled.units.from {
        UnitSource::Option => format!("{used}, as you chose; {header}. Size {text}."),
        UnitSource::Header => format!("{used}: {header}. Size {text}."),
        UnitSource::Guess => {
            let hint = match scan.header.measurement {
                Some(1) => " and prefers metric",
                Some(0) => " and prefers English units",
                _ => "",
            };
            format!(
                "{used}, guessed: {header}{hint}. Size {text}. Choose the unit if this is wrong."
            )
        }
    };
    let reason = scaled.units.reason.clone();
    if scaled.units.from == UnitSource::Guess && !scaled.bounds.is_empty() {
        scaled
            .findings
            .add_named(Fault::UnitsGuessed, &reason, None, None);
    } else if !scaled.bounds.is_empty() && !PLAUSIBLE.contains(&size.x.max(size.y)) {
        let message =
            format!("The drawing is {text}, unlikely for wire cutting. Check its unit. {reason}");
        scaled
            .findings
            .add_named(Fault::SizeImplausible, &message, None, None);
    }
}

/// Distance up to which the drawing's own origin serves, mm: below it coordinates keep 13 digits.
const NEAR: f64 = 1000.0;

/// A whole-numbered origin near the first entity, mm, so that a part far away keeps its digits.
fn near_origin(scan: &Scan, to_mm: f64) -> Point {
    let mut shapes = scan.model.iter().map(|&i| &scan.entities[i].shape);
    let place = shapes.find_map(first_point);
    let [x, y, _] = place.unwrap_or_default();
    let p = Point::new(x * to_mm, y * to_mm);
    if p.norm() <= NEAR || !p.is_finite() {
        Point::ORIGIN
    } else {
        Point::new(p.x.round(), p.y.round())
    }
}

fn first_point(shape: &Shape) -> Option<Vec3> {
    match shape {
        Shape::Line(p, _) | Shape::Point(p) => Some(*p),
        Shape::Arc { centre, .. } | Shape::Ellipse { centre, .. } => Some(*centre),
        Shape::Flat { vertices, .. } => {
            let [x, y] = vertices.first()?.at;
            Some([x, y, 0.0])
        }
        Shape::Chain { vertices, .. } => vertices.first().copied(),
        Shape::Spline(s) => s.control.first().or(s.fit.first()).copied(),
        Shape::Insert(i) => Some(i.at),
        Shape::Edges(edges) => edges.shapes.first().and_then(first_point),
    }
}
