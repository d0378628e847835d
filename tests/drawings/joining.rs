//! Small drawings with known answers: gaps, duplicates, overlaps, T-junctions, nesting.
//!
//! The answers are hand-made (expected.csv beside the drawings). Where a cell holds words, the test
//! says below what they ask for.

use kerfcast::drawing::{Drawing, Progress, ReadOptions, read};
use kerfcast::profile::{Keep, Role};
use kerfcast::units::Length;
use kerfcast::words::System;
use kerfcast::words::findings::sentence;
use std::path::Path;

use crate::shared;

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
    let contours = drawing.profile.contours();
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
        open: drawing.profile.open().len(),
    }
}

fn count(drawing: &Drawing, code: &str) -> usize {
    drawing
        .findings
        .iter()
        .filter(|f| f.code() == code)
        .map(|f| f.count)
        .sum()
}

/// A drawing in mm of these entities, read with this join gap.
fn drawn(entities: &[String], gap: f64) -> Drawing {
    let text = format!(
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{}0\nENDSEC\n0\nEOF\n",
        entities.concat()
    );
    let options = ReadOptions {
        join_gap: Length::from_mm(gap),
        ..ReadOptions::default()
    };
    read(text.as_bytes(), &options, &Progress::default()).expect("the drawing reads")
}

fn lines(list: &[[f64; 4]]) -> Vec<String> {
    let text = |[x0, y0, x1, y1]: &[f64; 4]| {
        format!("0\nLINE\n8\n0\n10\n{x0}\n20\n{y0}\n11\n{x1}\n21\n{y1}\n")
    };
    list.iter().map(text).collect()
}

fn arc([x, y]: [f64; 2], radius: f64, [from, to]: [f64; 2]) -> String {
    format!("0\nARC\n8\n0\n10\n{x}\n20\n{y}\n40\n{radius}\n50\n{from}\n51\n{to}\n")
}

fn polyline(points: &[[f64; 2]]) -> String {
    let corners = points
        .iter()
        .map(|[x, y]| format!("10\n{x}\n20\n{y}\n"))
        .collect::<Vec<_>>()
        .concat();
    let n = points.len();
    format!("0\nLWPOLYLINE\n8\n0\n90\n{n}\n70\n1\n{corners}")
}

/// The sides of a rectangle of 60 by 40 mm: 2400 mm², 200 mm around.
const SIDES: [[f64; 4]; 4] = [
    [60.0, 40.0, 0.0, 40.0],
    [0.0, 0.0, 60.0, 0.0],
    [0.0, 0.0, 0.0, 40.0],
    [60.0, 0.0, 60.0, 40.0],
];

/// Loops, outlines and open chains, area and length as they must be.
#[track_caller]
fn is(d: &Drawing, (loops, outer, open): (usize, usize, usize), [area, length]: [f64; 2]) {
    let m = measured(d);
    assert_eq!((m.loops, m.outer, m.open), (loops, outer, open), "{m:?}");
    assert!(
        (m.area - area).abs() < 1e-8 * area && (m.length - length).abs() < 1e-8 * length,
        "{m:?}"
    );
}

#[test]
fn sides_in_any_order_and_direction_make_one_rectangle() {
    is(&drawn(&lines(&SIDES), 0.02), (1, 1, 0), [2400.0, 200.0]);
}

#[test]
fn corners_left_open_close_up_to_the_join_gap_and_no_farther() {
    for gap in [1e-4_f64, 0.005, 0.05, 0.4] {
        // One side begins a gap beside each corner.
        let short = lines(&[
            [gap, 0.0, 60.0, 0.0],
            [60.0, gap, 60.0, 40.0],
            [60.0 - gap, 40.0, 0.0, 40.0],
            [0.0, 40.0 - gap, 0.0, 0.0],
        ]);
        // What bridges a gap is not drawn: it counts in the area, not in the length.
        let closed = drawn(&short, 1.001 * gap);
        is(&closed, (1, 1, 0), [2400.0, 200.0 - 4.0 * gap]);
        assert_eq!(count(&closed, "gap-bridged"), 4, "gap {gap}");
        let left = drawn(&short, 0.99 * gap);
        assert_eq!((measured(&left).loops, measured(&left).open), (0, 4));
    }
}

#[test]
fn what_is_drawn_twice_counts_once() {
    let again = [SIDES[1], [0.0, 40.0, 0.0, 0.0]];
    let d = drawn(&lines(&[&SIDES[..], &again].concat()), 0.02);
    is(&d, (1, 1, 0), [2400.0, 200.0]);
    assert_eq!(count(&d, "duplicate-curve"), 2);
    // The lower side in two parts that overlap by 20 mm.
    let parts = [
        SIDES[0],
        [0.0, 0.0, 40.0, 0.0],
        [20.0, 0.0, 60.0, 0.0],
        SIDES[2],
        SIDES[3],
    ];
    let d = drawn(&lines(&parts), 0.02);
    is(&d, (1, 1, 0), [2400.0, 200.0]);
    assert_eq!(count(&d, "overlapping-curve"), 1);
    // A short line within a side.
    let d = drawn(
        &lines(&[&SIDES[..], &[[5.0, 0.0, 30.0, 0.0]]].concat()),
        0.02,
    );
    is(&d, (1, 1, 0), [2400.0, 200.0]);
    assert_eq!(count(&d, "overlapping-curve"), 1);
    // A line of no length.
    let d = drawn(
        &lines(&[&SIDES[..], &[[7.0, 9.0, 7.0, 9.0]]].concat()),
        0.02,
    );
    is(&d, (1, 1, 0), [2400.0, 200.0]);
    assert_eq!(count(&d, "zero-length"), 1);
}

#[test]
fn overlapping_arcs_are_one_curve() {
    // The right side bulges by half a circle of radius 20 about (60, 20), with a part of it drawn again.
    let mut all = lines(&SIDES[..3]);
    all.push(arc([60.0, 20.0], 20.0, [270.0, 90.0]));
    all.push(arc([60.0, 20.0], 20.0, [300.0, 30.0]));
    let half = std::f64::consts::PI * 20.0;
    is(
        &drawn(&all, 0.02),
        (1, 1, 0),
        [2400.0 + 10.0 * half, 160.0 + half],
    );
}

#[test]
fn ribs_and_branches_are_told_and_not_counted() {
    // From one side to the opposite one, with both sides broken there.
    let broken = [
        [0.0, 0.0, 25.0, 0.0],
        [25.0, 0.0, 60.0, 0.0],
        [60.0, 40.0, 25.0, 40.0],
        [25.0, 40.0, 0.0, 40.0],
        SIDES[2],
        SIDES[3],
        [25.0, 0.0, 25.0, 40.0],
    ];
    let d = drawn(&lines(&broken), 0.02);
    is(&d, (1, 1, 0), [2400.0, 200.0]);
    assert_eq!(count(&d, "branch"), 2);
    // From the middle of a side inwards.
    let d = drawn(
        &lines(&[&SIDES[..], &[[25.0, 0.0, 25.0, 12.0]]].concat()),
        0.02,
    );
    is(&d, (1, 1, 1), [2400.0, 200.0]);
    assert_eq!(count(&d, "t-junction"), 1);
}

#[test]
fn corners_run_past_are_told_and_not_trimmed() {
    let past = [
        [-0.3, 0.0, 60.3, 0.0],
        [60.0, -0.3, 60.0, 40.3],
        [60.3, 40.0, -0.3, 40.0],
        [0.0, 40.3, 0.0, -0.3],
    ];
    let d = drawn(&lines(&past), 0.02);
    assert_eq!((measured(&d).loops, measured(&d).open), (0, 4));
    assert_eq!(count(&d, "crossing"), 4);
    let bow = polyline(&[[0.0, 0.0], [60.0, 40.0], [60.0, 0.0], [0.0, 40.0]]);
    assert_eq!(count(&drawn(&[bow], 0.02), "self-crossing"), 1);
}

#[test]
fn loops_that_touch_stay_apart() {
    // Two rectangles with a common side, each a loop of its own: both sides count.
    let left = polyline(&[[0.0, 0.0], [30.0, 0.0], [30.0, 40.0], [0.0, 40.0]]);
    let right = polyline(&[[30.0, 0.0], [60.0, 0.0], [60.0, 40.0], [30.0, 40.0]]);
    is(&drawn(&[left, right], 0.02), (2, 2, 0), [2400.0, 280.0]);
    // Two triangles that meet in one corner: 2·(½·30·40) mm², sides of 50 by Pythagoras (3-4-5).
    let eight = [
        [40.0, 30.0, 0.0, 0.0],
        [0.0, 60.0, 40.0, 30.0],
        [0.0, 0.0, 0.0, 60.0],
        [40.0, 30.0, 80.0, 60.0],
        [80.0, 60.0, 80.0, 0.0],
        [80.0, 0.0, 40.0, 30.0],
    ];
    is(&drawn(&lines(&eight), 0.02), (2, 2, 0), [2400.0, 320.0]);
}

#[test]
fn segments_shorter_than_the_join_gap_are_not_swallowed() {
    // 2400 chords of 2.6 µm around a circle of 1 mm: area n/2·sin(2π/n), length 2n·sin(π/n).
    let n = 2400_u32;
    let at = |k: u32| (std::f64::consts::TAU * f64::from(k % n) / f64::from(n)).sin_cos();
    let chords: Vec<[f64; 4]> = (0..n)
        .map(|k| {
            let ((y0, x0), (y1, x1)) = (at(k), at(k + 1));
            [x0, y0, x1, y1]
        })
        .collect();
    let half = std::f64::consts::PI / f64::from(n);
    let area = f64::from(n) / 2.0 * (2.0 * half).sin();
    let length = 2.0 * f64::from(n) * half.sin();
    is(&drawn(&lines(&chords), 0.02), (1, 1, 0), [area, length]);
}

#[test]
fn a_slot_narrower_than_the_join_gap_keeps_its_corners() {
    // 60 by 40 with a slot of 0.3 by 50: 2400 − 15 mm², 200 + 100 mm.
    let slotted = [
        [0.0, 0.0],
        [60.0, 0.0],
        [60.0, 19.85],
        [10.0, 19.85],
        [10.0, 20.15],
        [60.0, 20.15],
        [60.0, 40.0],
        [0.0, 40.0],
    ];
    let d = drawn(&[polyline(&slotted)], 0.5);
    is(&d, (1, 1, 0), [2385.0, 300.0]);
    assert_eq!(d.profile.contours()[0].shape.len(), 8);
}

#[test]
#[ignore = "needs ../shared"]
fn the_numbers_of_the_table() {
    let folder = shared::folder("joining");
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
#[ignore = "needs ../shared"]
fn gaps_close_up_to_the_join_gap_and_no_farther() {
    let folder = shared::folder("joining");
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
#[ignore = "needs ../shared"]
fn a_rib_across_is_reported_and_the_outer_boundary_taken() {
    let folder = shared::folder("joining");
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
            .any(|f| f.code() == "branch" && sentence(f, System::Metric).contains("100.000 mm"))
    );
}

#[test]
#[ignore = "needs ../shared"]
fn two_polylines_that_share_an_edge_stay_two() {
    let folder = shared::folder("joining");
    let m = measured(&open(&folder.join("11_shared_edge_twice.dxf"), 0.02));
    assert!(
        (m.length - 400.0).abs() < 1e-9,
        "the common edge belongs to both"
    );
}

#[test]
#[ignore = "needs ../shared"]
fn crossings_are_reported_not_trimmed() {
    let folder = shared::folder("joining");
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
#[ignore = "needs ../shared"]
fn duplicates_and_overlaps_are_named() {
    let folder = shared::folder("joining");
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
#[ignore = "needs ../shared"]
fn a_narrow_slot_survives_a_large_join_gap() {
    let folder = shared::folder("joining");
    let drawing = open(&folder.join("19_narrow_slot_0.3.dxf"), 0.5);
    assert_eq!(measured(&drawing).loops, 1);
    assert_eq!(drawing.profile.contours()[0].shape.len(), 8);
}
