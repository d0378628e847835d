//! Real drawings against measures taken by another reader (ezdxf with SciPy and Shapely).
//!
//! reference.csv was made by reference.py from ezdxf entities: exact arc lengths, quadrature for
//! splines and ellipses, areas by Green's theorem.

use kerfcast::drawing::{Drawing, Progress, ReadOptions, Status, Unit, UnitChoice, read};
use kerfcast::profile::{Keep, ProfileContour, Role};
use kerfcast::units::Length;
use std::collections::HashMap;

use crate::shared;

fn number(row: &HashMap<String, String>, column: &str) -> f64 {
    row[column].parse().unwrap_or(0.0)
}

/// Drawings whose loops are not compared, and why.
const EXCEPTIONS: [(&str, &str); 2] = [
    (
        "broken_loop.dxf",
        "two lines overlap by 0.1: united here, which closes the loop; left as drawn there",
    ),
    (
        "kb_split_case.dxf",
        "two lines overlap in part: united here, which closes one more loop",
    ),
];

fn agrees(found: f64, expected: f64, relative: f64) -> bool {
    (found - expected).abs() <= relative * expected.abs().max(1e-9)
}

fn loop_measures(drawing: &Drawing) -> Vec<(&'static str, f64, f64)> {
    let contours = drawing.profile.contours();
    let role = |depth| Role::at_depth(depth, Keep::Inside);
    let outer = contours
        .iter()
        .filter(|c| role(c.depth) == Role::Outline)
        .count();
    let signed = |c: &ProfileContour| match role(c.depth) {
        Role::Outline => c.drawn_area.mm2(),
        Role::Opening => -c.drawn_area.mm2(),
    };
    vec![
        ("loops", contours.len() as f64, 0.0),
        ("outer", outer as f64, 0.0),
        ("holes", (contours.len() - outer) as f64, 0.0),
        ("area", contours.iter().map(signed).sum(), 1e-6),
        ("open_chains", drawing.profile.open().len() as f64, 0.0),
    ]
}

#[test]
#[ignore = "needs ../shared"]
fn lengths_loops_and_areas_agree_with_another_reader() {
    let folder = shared::folder("corpus");
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
                faults.push(format!("{file}: {e:?}"));
                continue;
            }
        };
        let mm = drawing.units.used.mm();
        let length: f64 = drawing
            .curves
            .iter()
            .zip(&drawing.status)
            .filter(|(_, s)| !matches!(s, Status::Hidden | Status::Degenerate | Status::Offered))
            .map(|(c, _)| c.length())
            .sum();
        let precision = if number(row, "len_SPLINE") > 0.0 {
            1e-5
        } else {
            1e-6
        };
        let expected = number(row, "len_total") * mm;
        if !agrees(length, expected, precision) {
            faults.push(format!("{file}: length is {length}, expected {expected}"));
        }
        if let Some((_, reason)) = EXCEPTIONS.iter().find(|(name, _)| name == file) {
            println!("{file}: loops not compared: {reason}");
            continue;
        }
        for (name, share) in [("tight", 1e-6), ("loose", 1e-4)] {
            if number(row, &format!("{name}_branch_nodes")) > 0.0 {
                continue;
            }
            let gap = Length::from_mm(share * number(row, "diag") * mm);
            let options = ReadOptions {
                join_gap: gap,
                ..first.clone()
            };
            let drawing = drawing
                .rejoin(&options, &Progress::default())
                .expect("nobody cancels");
            for (what, found, precision) in loop_measures(&drawing) {
                let scale = if what == "area" { mm * mm } else { 1.0 };
                let expected = number(row, &format!("{name}_{what}")) * scale;
                if !agrees(found, expected, precision) {
                    faults.push(format!(
                        "{file}: {name} {what} is {found}, expected {expected}"
                    ));
                }
            }
        }
    }
    assert!(
        faults.is_empty(),
        "{} faults:\n{}",
        faults.len(),
        faults.join("\n")
    );
}
