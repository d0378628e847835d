//! Small drawings with known answers: gaps, duplicates, overlaps, T-junctions, nesting.
//!
//! The answers are hand-made (expected.csv beside the drawings). Where a cell holds words, the test
//! says below what they ask for.

use kerfcast::drawing::{Drawing, Progress, ReadOptions, read};
use kerfcast::profile::{Keep, Role};
use kerfcast::units::Length;
use std::path::Path;

mod shared;

fn open(path: &Path, gap: f64) -> Drawing {
    let bytes = std::fs::read(path).expect("the drawing opens");
    let options = ReadOptions {
        join_gap: Length::from_mm(gap),
        ..ReadOptions::default()
    };
    read(&bytes, &options, &Progress::default()).expect("the drawing reads")
}

/// What is measured: loops, outlines, openings, area (by parity), length of contours, open chains.
#[derive(Debug, Clone, Copy)]
struct Measured {
    loops: usize,
    outer: usize,
    holes: usize,
    area: f64,
    length: f64,
    open: usize,
}

fn measured(drawing: &Drawing) -> Measured {
    let contours = &drawing.profile.contours;
    let is_outer = |depth| Role::at_depth(depth, Keep::Inside) == Role::Outline;
    let outer = contours.iter().filter(|c| is_outer(c.depth)).count();
    let signed = |depth, area: f64| if is_outer(depth) { area } else { -area };
    Measured {
        loops: contours.len(),
        outer,
        holes: contours.len() - outer,
        area: contours
            .iter()
            .map(|c| signed(c.depth, c.drawn_area.mm2()))
            .sum(),
        length: contours.iter().map(|c| c.drawn_length.mm()).sum(),
        open: drawing.profile.open.len(),
    }
}

fn count(drawing: &Drawing, code: &str) -> usize {
    drawing
        .findings
        .iter()
        .filter(|f| f.code == code)
        .map(|f| f.count)
        .sum()
}

#[test]
fn the_numbers_of_the_table() {
    let Some(folder) = shared::folder("joining") else {
        return;
    };
    let mut faults = Vec::new();
    let table = shared::rows(&folder.join("expected.csv"));
    assert!(!table.is_empty());
    for row in &table {
        let file = &row["file"];
        // Gap drawings and those answered in words have tests of their own below.
        let Ok(loops) = row["loops"].parse::<usize>() else {
            continue;
        };
        let m = measured(&open(&folder.join(file), 0.02));
        let cell = |name: &str| {
            row[name]
                .split(" +-")
                .next()
                .and_then(|v| v.parse::<f64>().ok())
        };
        let precision = |name: &str| {
            row[name]
                .split(" +-")
                .nth(1)
                .and_then(|v| v.parse::<f64>().ok())
        };
        let mut check = |name: &str, found: f64| {
            let Some(expected) = cell(name) else { return };
            let allowed = precision(name).unwrap_or(1e-8 * expected.abs().max(1.0));
            if (found - expected).abs() > allowed {
                faults.push(format!("{file}: {name} is {found}, expected {expected}"));
            }
        };
        check("loops", m.loops as f64);
        check("outer", m.outer as f64);
        check("holes", m.holes as f64);
        check("open", m.open as f64);
        check("area", m.area);
        check("length", m.length);
        assert_eq!(loops, m.loops, "{file}");
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn gaps_close_up_to_the_join_gap_and_no_farther() {
    let Some(folder) = shared::folder("joining") else {
        return;
    };
    for (name, gap) in [
        ("1e-09", 1e-9),
        ("0.0001", 1e-4),
        ("0.005", 0.005),
        ("0.02", 0.02),
        ("0.08", 0.08),
        ("0.5", 0.5),
    ] {
        let path = folder.join(format!("02_gap_{name}.dxf"));
        let closed = open(&path, gap);
        let m = measured(&closed);
        assert_eq!((m.loops, m.open), (1, 0), "gap {name}");
        assert!(
            (m.area - 10_000.0).abs() < 1e-6 && (m.length - (400.0 - 4.0 * gap)).abs() < 1e-8,
            "gap {name}: {m:?}"
        );
        // Ends within 1e-9 of the diagonal are the same point, whatever the join gap.
        if gap > 1e-6 {
            assert_eq!(count(&closed, "gap-bridged"), 4);
            let left_open = measured(&open(&path, 0.99 * gap));
            assert_eq!((left_open.loops, left_open.open), (0, 4), "gap {name}");
        }
    }
}

#[test]
fn a_rib_across_is_reported_and_the_outer_boundary_taken() {
    let Some(folder) = shared::folder("joining") else {
        return;
    };
    let drawing = open(&folder.join("05_T_vertex_rib_across.dxf"), 0.02);
    let m = measured(&drawing);
    // 1 boundary of 400 mm around 10 000 mm²; the rib of 100 mm is named, not counted.
    assert_eq!((m.loops, m.outer, m.open), (1, 1, 0));
    assert!((m.area - 10_000.0).abs() < 1e-9 && (m.length - 400.0).abs() < 1e-9);
    assert_eq!(count(&drawing, "branch"), 2);
    assert!(
        drawing
            .findings
            .iter()
            .any(|f| f.code == "branch" && f.message.contains("100.000 mm"))
    );
}

#[test]
fn two_polylines_that_share_an_edge_stay_two() {
    let Some(folder) = shared::folder("joining") else {
        return;
    };
    let m = measured(&open(&folder.join("11_shared_edge_twice.dxf"), 0.02));
    assert!(
        (m.length - 400.0).abs() < 1e-9,
        "the common edge belongs to both"
    );
}

#[test]
fn crossings_are_reported_not_trimmed() {
    let Some(folder) = shared::folder("joining") else {
        return;
    };
    let overshoot = open(&folder.join("22_overshoot_corners.dxf"), 0.02);
    let m = measured(&overshoot);
    assert_eq!((m.loops, m.open), (0, 4));
    assert_eq!(count(&overshoot, "crossing"), 4);
    let bowtie = open(&folder.join("13_bowtie.dxf"), 0.02);
    assert_eq!(count(&bowtie, "self-crossing"), 1);
    let rib = open(&folder.join("04_T_dangling_rib.dxf"), 0.02);
    assert_eq!(count(&rib, "t-junction"), 1);
    assert_eq!(
        count(
            &open(&folder.join("23_undershoot_T.dxf"), 0.02),
            "t-junction"
        ),
        2
    );
}

#[test]
fn duplicates_and_overlaps_are_named() {
    let Some(folder) = shared::folder("joining") else {
        return;
    };
    assert_eq!(
        count(
            &open(&folder.join("06_duplicate_edges.dxf"), 0.02),
            "duplicate-curve"
        ),
        3
    );
    assert_eq!(
        count(
            &open(&folder.join("07_overlap_partial.dxf"), 0.02),
            "overlapping-curve"
        ),
        1
    );
    assert_eq!(
        count(
            &open(&folder.join("08_overlap_contained.dxf"), 0.02),
            "overlapping-curve"
        ),
        1
    );
    assert_eq!(
        count(
            &open(&folder.join("17_zero_length_lines.dxf"), 0.02),
            "zero-length"
        ),
        3
    );
}

#[test]
fn a_narrow_slot_survives_a_large_join_gap() {
    let Some(folder) = shared::folder("joining") else {
        return;
    };
    let drawing = open(&folder.join("19_narrow_slot_0.3.dxf"), 0.5);
    assert_eq!(measured(&drawing).loops, 1);
    assert_eq!(drawing.profile.contours[0].shape.len(), 8);
}
