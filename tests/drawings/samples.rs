//! Our own drawings against what they must measure, worked out by formula in `sample_drawings/EXPECTATIONS.md`.

use kerfcast::drawing::{Drawing, Progress, ReadOptions, read};
use kerfcast::estimate::{Obstacle, ObstacleKind, compare};
use kerfcast::job::{Candidate, Job};
use kerfcast::library::Library;
use kerfcast::measures::{Measures, measure};
use kerfcast::plan::PathCache;
use kerfcast::profile::Keep;
use kerfcast::samples;
use kerfcast::words::{System, obstacles};
use std::collections::HashMap;

type Row = HashMap<String, String>;

fn rows(text: &str) -> Vec<Row> {
    let mut csv = csv::Reader::from_reader(text.as_bytes());
    csv.deserialize()
        .map(|r| r.expect("the expectations are well formed"))
        .collect()
}

fn open(name: &str) -> Drawing {
    let sample = samples::ALL
        .iter()
        .find(|s| s.name == name)
        .expect("every expectation has its sample");
    read(sample.bytes, &ReadOptions::default(), &Progress::default())
        .expect("our own drawings read")
}

fn measured(row: &Row) -> Measures {
    let keep = if row["keep"] == "outside" {
        Keep::Outside
    } else {
        Keep::Inside
    };
    measure(&open(&row["file"]).profile, keep)
}

fn number(row: &Row, column: &str) -> f64 {
    row[column]
        .parse()
        .unwrap_or_else(|_| panic!("{column} of {row:?}"))
}

fn near(found: f64, row: &Row, column: &str) {
    let expected = number(row, column);
    assert!(
        (found - expected).abs() <= 1e-6 * expected.abs().max(1.0),
        "{}: {column} {found}, expected {expected}",
        row["file"]
    );
}

fn radius(found: Option<kerfcast::units::Length>, row: &Row) {
    match (found, row["tightest_inside_radius_mm"].parse::<f64>().ok()) {
        (Some(f), Some(e)) => assert!((f.mm() - e).abs() < 1e-6, "{row:?}: {f:?}"),
        (None, None) => {}
        (f, e) => panic!("{row:?}: radius {f:?}, expected {e:?}"),
    }
}

#[test]
fn totals_of_every_sample() {
    let rows = rows(include_str!("../../sample_drawings/expected.csv"));
    assert!(rows.len() >= samples::ALL.len());
    for row in &rows {
        let totals = measured(row).totals;
        near(totals.cut_length.mm(), row, "cut_length_mm");
        near(totals.net_area.mm2(), row, "net_area_mm2");
        for (found, column) in [
            (totals.outlines, "outlines"),
            (totals.openings, "openings"),
            (totals.open, "open"),
            (totals.corners, "corners"),
            (totals.slugs, "slugs"),
        ] {
            assert_eq!(
                found as f64,
                number(row, column),
                "{}: {column}",
                row["file"]
            );
        }
        radius(totals.tightest_inside_radius, row);
    }
}

#[test]
fn every_contour_of_every_sample() {
    let rows = rows(include_str!("../../sample_drawings/expected_contours.csv"));
    let mut by_file: HashMap<(String, String), Vec<&Row>> = HashMap::new();
    for row in rows.iter().filter(|r| r["role"] != "open") {
        by_file
            .entry((row["file"].clone(), row["keep"].clone()))
            .or_default()
            .push(row);
    }
    assert!(by_file.len() >= samples::ALL.len());
    for ((file, _), mut expected) in by_file {
        let mut found = measured(expected[0]).contours;
        assert_eq!(found.len(), expected.len(), "{file}");
        // The order in the file is of no account: pair by length, then area.
        let key = |length: f64, area: f64| (length * 1e5).round() as i64 * 1_000_000 + area as i64;
        found.sort_by_key(|c| key(c.length.mm(), c.area.mm2()));
        expected.sort_by_key(|r| key(number(r, "length_mm"), number(r, "area_mm2")));
        for (c, row) in found.iter().zip(expected) {
            assert_eq!(c.role.word(), row["role"], "{file}");
            assert_eq!(c.depth as f64, number(row, "depth"), "{file}");
            assert_eq!(c.corners as f64, number(row, "corners"), "{file}: {row:?}");
            near(c.length.mm(), row, "length_mm");
            near(c.area.mm2(), row, "area_mm2");
            radius(c.tightest_inside_radius, row);
        }
    }
}

#[test]
fn a_quarter_millimetre_wire_cannot_make_the_splined_bore() {
    // Inside radii of 0.1; the wire leaves 0.125 + 0.006 = 0.131.
    let drawing = open("splined-bore.dxf");
    let library = Library::built_in();
    let mut job = Job::starting(library);
    job.candidates = vec![
        Candidate::new("hard plain brass", 0.25),
        Candidate::new("hard plain brass", 0.15),
    ];
    let c = compare(&drawing.profile, &job, library, &PathCache::default());
    // It has its figures, and ranks behind the thinner one that makes them.
    assert!(c.estimates[0].is_possible() && !c.estimates[0].is_as_drawn());
    let of_radius = |o: &&Obstacle| o.kind.is_unmade_radius();
    let told = c.estimates[0].obstacles.iter().find(of_radius);
    let told = told.expect("told");
    assert_eq!((told.code(), told.blocks()), ("inside-radius", false));
    let ObstacleKind::InsideRadius {
        radius,
        places,
        leaves,
        ..
    } = told.kind
    else {
        panic!("{told:?}");
    };
    assert!((radius.mm() - 0.1).abs() < 1e-6 && (leaves.mm() - 0.131).abs() < 1e-9);
    assert_eq!(places, 16);
    // 0.1/25.4 = 0.003937, 0.131/25.4 = 0.005157; 0.25 mm is sold as .010 in.
    let said = obstacles::sentence(told, System::Inch);
    for part in [
        "radius of .0039 in",
        "a .010 in wire",
        "leaves a radius of .0052 in",
    ] {
        assert!(said.contains(part), "{said}");
    }
    assert!(!said.contains("mm"), "{said}");
    assert!(c.estimates[1].is_possible() && !c.estimates[1].leaves_a_radius());
    assert_eq!((c.fastest(), c.cheapest()), (Some(1), Some(1)));
}

#[test]
fn the_unit_of_a_drawing_in_inches_is_its_headers() {
    let drawing = open("loom-bracket-inch.dxf");
    assert_eq!(drawing.units.used.sign(), "in");
    assert_eq!(drawing.units.from.word(), "header");
    // 4 × 3 in.
    let size = drawing.bounds.size();
    assert!((size.x - 101.6).abs() < 1e-9 && (size.y - 76.2).abs() < 1e-9);
}
