//! The drawing's unit settled, and the model space expanded in it.

use super::findings::{About, Findings};
use super::scale::Scale;
use super::units::{self, HeaderUnit, Prefers, Unit, UnitChoice, UnitSource, Units};
use crate::drawing::curves::{Curve, Expanded, expand};
use crate::drawing::format::{
    BEYOND_MACHINES, Cancelled, FARTHEST, Fault, Noticed, Progress, Scan, Shape, TOO_LARGE, Vec3,
};
use crate::geometry::{Bounds, Datum, DrawingPoint, Point};
use crate::units::Length;

/// Curves in mm.
pub struct Scaled {
    /// The unit and why.
    pub units: Units,
    /// The profile's origin, mm.
    pub origin: Datum,
    /// The curves.
    pub expanded: Expanded,
    /// Box around the visible ones, mm about the origin.
    pub bounds: Bounds,
    /// What was noticed up to here.
    pub noticed: Noticed,
}

/// Settles the unit and expands the model space in it.
pub fn scale(
    scan: &Scan,
    (choice, drawn): (UnitChoice, Scale),
    noticed: &Noticed,
    progress: &Progress,
) -> Result<Scaled, Cancelled> {
    let prefers = match scan.header.measurement {
        Some(1) => Some(Prefers::Metric),
        Some(0) => Some(Prefers::English),
        _ => None,
    };
    let in_header = scan.header.units.and_then(Unit::from_header);
    let in_unit = |unit: Unit| -> Result<Scaled, Cancelled> {
        let mut noticed = noticed.clone();
        let to_mm = unit.mm() / drawn.factor();
        let mut origin = near_origin(scan, to_mm);
        let before = noticed.clone();
        let mut expanded = expand(scan, to_mm, origin, &mut noticed, progress)?;
        let mut bounds = bounds_of_visible(&expanded.curves, progress)?;
        if bounds.diagonal() > FARTHEST {
            // Strays must not decide about which place the others are measured.
            let middle = middle_of(&expanded.curves, progress)?;
            origin = origin.moved(Point::new(middle.x.round(), middle.y.round()));
            noticed = before;
            expanded = expand(scan, to_mm, origin, &mut noticed, progress)?;
            leave_out_strays(&mut expanded.curves, origin, &mut noticed, progress)?;
            bounds = bounds_of_visible(&expanded.curves, progress)?;
        }
        let size = bounds.size();
        let units = Units {
            used: unit,
            from: UnitSource::Header,
            header: HeaderUnit::of(scan.header.units),
            prefers,
            size: (Length::from_mm(size.x), Length::from_mm(size.y)),
        };
        Ok(Scaled {
            units,
            origin,
            expanded,
            bounds,
            noticed,
        })
    };
    let (mut scaled, from) = match (choice, in_header) {
        (UnitChoice::Fixed(unit), _) => (in_unit(unit)?, UnitSource::Option),
        (UnitChoice::Auto, Some(unit)) => (in_unit(unit)?, UnitSource::Header),
        (UnitChoice::Auto, None) => {
            let as_mm = in_unit(Unit::Millimetre)?;
            // What is likely is judged by what is drawn, whatever its scale.
            let size = as_mm.bounds.size() * drawn.factor();
            let unit = units::guess(size.x, size.y, prefers);
            let guessed = if unit == Unit::Millimetre {
                as_mm
            } else {
                in_unit(unit)?
            };
            (guessed, UnitSource::Guess)
        }
    };
    scaled.units.from = from;
    Ok(scaled)
}

/// Largest size that a wire machine could hold, and smallest that it could cut, mm. Common practice,
/// no source.
const PLAUSIBLE: std::ops::RangeInclusive<f64> = 0.2..=3000.0;

/// Notes a unit that is only guessed, and a size that no wire machine would hold.
pub(crate) fn report(units: &Units, findings: &mut Findings) {
    let (width, height) = units.size;
    let beyond = match width.max(height).mm() {
        size if size > TOO_LARGE => Some(Fault::TooLarge),
        size if size > BEYOND_MACHINES => Some(Fault::BeyondMachines),
        _ => None,
    };
    if let Some(fault) = beyond {
        findings.of_kind(fault).note(None, None).about = About::Size(width, height);
    }
    let fault = if units.from == UnitSource::Guess {
        Fault::UnitsGuessed
    } else if beyond.is_none() && !PLAUSIBLE.contains(&width.max(height).mm()) {
        Fault::SizeImplausible
    } else {
        return;
    };
    findings.of_kind(fault).note(None, None).about = About::Units(*units);
}

fn bounds_of_visible(curves: &[Curve], progress: &Progress) -> Result<Bounds, Cancelled> {
    let mut bounds = Bounds::EMPTY;
    for curve in curves.iter().filter(|c| !c.hidden) {
        progress.check()?;
        bounds.include_bounds(&curve.bounds());
    }
    Ok(bounds)
}

/// The middle of the middles of the visible curves: half of them lie to either side of it, whatever a few
/// strays do. Of an even number the lower one.
fn middle_of(curves: &[Curve], progress: &Progress) -> Result<Point, Cancelled> {
    let (mut xs, mut ys) = (Vec::new(), Vec::new());
    for curve in curves
        .iter()
        .filter(|c| !c.hidden && !c.segments.is_empty())
    {
        progress.check()?;
        let centre = curve.bounds().centre();
        xs.push(centre.x);
        ys.push(centre.y);
    }
    let middle = |list: &mut Vec<f64>| {
        let k = list.len().saturating_sub(1) / 2;
        if list.is_empty() {
            return 0.0;
        }
        *list.select_nth_unstable_by(k, f64::total_cmp).1
    };
    Ok(Point::new(middle(&mut xs), middle(&mut ys)))
}

/// Curves that reach farther than [`FARTHEST`] from the origin become curves without any line, and are told.
fn leave_out_strays(
    curves: &mut [Curve],
    origin: Datum,
    noticed: &mut Noticed,
    progress: &Progress,
) -> Result<(), Cancelled> {
    for curve in curves.iter_mut().filter(|c| !c.segments.is_empty()) {
        progress.check()?;
        let b = curve.bounds();
        let inside = |v: f64| v.abs() <= FARTHEST;
        if [b.min, b.max].iter().all(|p| inside(p.x) && inside(p.y)) {
            continue;
        }
        let place = curve.ends().map(|e| e.0 + origin);
        noticed.add(Fault::FarAway, place, Some(curve.at));
        curve.make_degenerate();
    }
    Ok(())
}

/// Distance up to which the drawing's own origin serves, mm: below it coordinates keep 13 digits.
const NEAR: f64 = 1000.0;

/// A whole-numbered origin near the first entity, mm, so that a part far away keeps its digits.
fn near_origin(scan: &Scan, to_mm: f64) -> Datum {
    let mut shapes = scan.model.iter().map(|&i| &scan.entities[i].shape);
    let place = shapes.find_map(first_point);
    let [x, y, _] = place.unwrap_or_default();
    let p = Point::new(x * to_mm, y * to_mm);
    if p.norm() <= NEAR || !p.is_finite() {
        Datum::default()
    } else {
        Datum::at(DrawingPoint::new(p.x.round(), p.y.round()))
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
