//! Real drawings against measures taken by another reader (ezdxf with SciPy and Shapely).
//!
//! reference.csv was made by reference.py from ezdxf entities: exact arc lengths, quadrature for
//! splines and ellipses, areas by Green's theorem.

use kerfcast::drawing::{Progress, ReadOptions, Status, Unit, UnitChoice, read};
use kerfcast::profile::{Keep, Role};
use kerfcast::units::Length;
use std::collections::HashMap;

mod shared;

fn number(row: &HashMap<String, String>, column: &str) -> f64 {
    row[column].parse().unwrap_or(0.0)
}

#[test]
fn lengths_loops_and_areas_agree_with_another_reader() {
    let Some(folder) = shared::folder("corpus") else {
        return;
    };
    let table = shared::rows(&folder.join("../reference.csv"));
    let mut faults = Vec::new();
    for row in &table {
        let file = &row["file"];
        let bytes = std::fs::read(folder.join(file)).expect("the drawing opens");
        let unitless = matches!(row["insunits"].as_str(), "missing" | "0");
        let units = if unitless {
            UnitChoice::Fixed(Unit::Millimetre)
        } else {
            UnitChoice::Auto
        };
        let first = ReadOptions {
            units,
            ..ReadOptions::default()
        };
        let drawing = match read(&bytes, &first, &Progress::default()) {
            Ok(drawing) => drawing,
            Err(e) => {
                faults.push(format!("{file}: {e}"));
                continue;
            }
        };
        let mm = drawing.units.used.mm();
        let diagonal = number(row, "diag") * mm;
        let tight = ReadOptions {
            join_gap: Length::from_mm(1e-6 * diagonal),
            ..first
        };
        let drawing = drawing
            .rejoin(&tight, &Progress::default())
            .expect("nobody cancels");
        let mut check = |what: &str, found: f64, expected: f64, relative: f64| {
            if (found - expected).abs() > relative * expected.abs().max(1e-9) {
                faults.push(format!("{file}: {what} is {found}, expected {expected}"));
            }
        };
        let length: f64 = drawing
            .curves
            .iter()
            .zip(&drawing.status)
            .filter(|(_, s)| !matches!(s, Status::Hidden | Status::Degenerate))
            .map(|(c, _)| c.length())
            .sum();
        let precision = if number(row, "len_SPLINE") > 0.0 {
            1e-5
        } else {
            1e-6
        };
        check("length", length, number(row, "len_total") * mm, precision);
        if number(row, "tight_branch_nodes") > 0.0 {
            continue;
        }
        let contours = &drawing.profile.contours;
        let outer = contours
            .iter()
            .filter(|c| Role::at_depth(c.depth, Keep::Inside) == Role::Outline)
            .count();
        let area: f64 = contours
            .iter()
            .map(|c| match Role::at_depth(c.depth, Keep::Inside) {
                Role::Outline => c.drawn_area.mm2(),
                Role::Opening => -c.drawn_area.mm2(),
            })
            .sum();
        check(
            "number of loops",
            contours.len() as f64,
            number(row, "tight_loops"),
            0.0,
        );
        check(
            "number of outlines",
            outer as f64,
            number(row, "tight_outer"),
            0.0,
        );
        check("area", area, number(row, "tight_area") * mm * mm, 1e-6);
        check(
            "open chains",
            drawing.profile.open.len() as f64,
            number(row, "tight_open_chains"),
            0.0,
        );
    }
    assert!(
        faults.is_empty(),
        "{} faults:\n{}",
        faults.len(),
        faults.join("\n")
    );
}
