//! Drawings that nobody would cut: far too large, scribbled, drawn over themselves. What is told, what is refused,
//! and that the rest of a drawing loses nothing by it. How long it takes is a benchmark (`growth`).

use kerfcast::drawing::{Drawing, Fault, Progress, ReadOptions, Verdict, read};
use kerfcast::estimate::{Comparison, compare};
use kerfcast::geometry::Point;
use kerfcast::job::Job;
use kerfcast::library::Library;
use kerfcast::measures::{Totals, measure};
use kerfcast::plan::PathCache;
use kerfcast::profile::Keep;
use kerfcast::units::Length;
use std::f64::consts::{PI, TAU};
use std::fmt::Write;

use crate::calling;

/// A drawing in mm of some entities.
fn file(entities: &str) -> String {
    format!(
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n"
    )
}

fn drawn(entities: &str) -> Drawing {
    let bytes = file(entities).into_bytes();
    read(&bytes, &ReadOptions::default(), &Progress::default()).expect("it is a drawing")
}

fn circle(x: f64, y: f64, r: f64) -> String {
    format!("0\nCIRCLE\n8\n0\n10\n{x}\n20\n{y}\n40\n{r}\n")
}

fn line(a: (f64, f64), b: (f64, f64)) -> String {
    let ((x, y), (p, q)) = (a, b);
    format!("0\nLINE\n8\n0\n10\n{x}\n20\n{y}\n11\n{p}\n21\n{q}\n")
}

fn closed(points: impl IntoIterator<Item = Point>) -> String {
    let mut out = String::from("0\nLWPOLYLINE\n8\n0\n70\n1\n");
    for p in points {
        let _ = write!(out, "10\n{}\n20\n{}\n", p.x, p.y);
    }
    out
}

fn rectangle(x: f64, y: f64, w: f64, h: f64) -> String {
    closed([(x, y), (x + w, y), (x + w, y + h), (x, y + h)].map(|(x, y)| Point::new(x, y)))
}

fn totals(drawing: &Drawing) -> Totals {
    measure(&drawing.profile, Keep::Inside).totals
}

fn has(drawing: &Drawing, fault: Fault) -> bool {
    drawing.findings.iter().any(|f| f.fault == fault)
}

fn estimated(drawing: &Drawing) -> Comparison {
    let job = Job {
        thickness: Length::from_mm(30.0),
        ..Job::starting(Library::built_in())
    };
    compare(
        &drawing.profile,
        &job,
        Library::built_in(),
        &PathCache::default(),
    )
}

#[test]
fn what_is_larger_than_a_machine_is_told_and_beyond_a_kilometre_refused() {
    let usual = drawn(&circle(0.0, 0.0, 200.0));
    assert!(!has(&usual, Fault::BeyondMachines));
    let large = drawn(&circle(0.0, 0.0, 12_000.0));
    assert!(has(&large, Fault::BeyondMachines) && large.verdict == Verdict::CheckThis);
    let larger = drawn(&circle(0.0, 0.0, 600_000.0));
    assert!(has(&larger, Fault::TooLarge) && larger.verdict == Verdict::Refuse);
    // What is measured is still what is drawn.
    let around = totals(&larger).cut_length.mm();
    assert!((around / (TAU * 600_000.0) - 1.0).abs() < 1e-12);
    for radius in [1e8, 1e10, 1e12] {
        let absurd = drawn(&circle(0.0, 0.0, radius));
        // What no coordinate may have is told as no number.
        let told = has(&absurd, Fault::FarAway) || has(&absurd, Fault::NotFinite);
        assert!(told && absurd.verdict == Verdict::Refuse, "{radius}");
        assert!(absurd.profile.contours().is_empty());
    }
}

#[test]
fn strays_far_away_cost_the_others_nothing() {
    let part = rectangle(0.0, 0.0, 40.0, 30.0) + &circle(10.0, 10.0, 3.0);
    let alone = totals(&drawn(&part));
    let exact = 40.0 * 30.0 - 9.0 * PI;
    assert!((alone.net_area.mm2() - exact).abs() < 1e-9);
    let strays = [
        line((1e11, 1e11), (1e11 + 5.0, 1e11)),
        circle(-1e11, 3e10, 5.0),
        line((0.0, 0.0), (1e12, 0.0)),
    ];
    for stray in &strays {
        for text in [part.clone() + stray, stray.clone() + &part] {
            let drawing = drawn(&text);
            assert!(has(&drawing, Fault::FarAway));
            assert_eq!(drawing.verdict, Verdict::CheckThis);
            let with = totals(&drawing);
            assert!((with.net_area.mm2() - exact).abs() < 1e-9, "{with:?}");
            assert!((with.cut_length.mm() - alone.cut_length.mm()).abs() < 1e-9);
            assert_eq!((with.outlines, with.openings), (1, 1));
        }
    }
}

/// Overlapping openings together are larger than the outline around them.
#[test]
fn no_area_of_material_is_negative() {
    let text = rectangle(0.0, 0.0, 10.0, 10.0) + &circle(4.9, 5.0, 4.8) + &circle(5.1, 5.0, 4.8);
    let drawing = drawn(&text);
    assert_eq!(totals(&drawing).openings, 2);
    assert_eq!(totals(&drawing).net_area.mm2(), 0.0);
    assert!(has(&drawing, Fault::ContoursCross));
    // The openings of a die lie in nothing: they count as they are.
    let die = drawn(&circle(0.0, 0.0, 1.0));
    let area = measure(&die.profile, Keep::Outside).totals.net_area.mm2();
    assert!((area + PI).abs() < 1e-12);
}

/// A fixed linear congruential sequence in 0 to 1: any numbers will do.
struct Numbers(u64);

impl Numbers {
    fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}

#[test]
fn scribble_and_noise_are_too_intricate_for_a_wire_and_the_place_is_told() {
    let mut numbers = Numbers(7);
    let scribble: Vec<Point> = (0..300)
        .map(|_| Point::new(numbers.next() * 100.0, numbers.next() * 100.0))
        .collect();
    let noise: Vec<Point> = (0..20_000)
        .map(|k| {
            let r = 20.0 + 0.01 * (numbers.next() - 0.5);
            Point::at_angle(TAU * f64::from(k) / 20_000.0) * r
        })
        .collect();
    for points in [scribble, noise] {
        let comparison = estimated(&drawn(&closed(points.iter().copied())));
        for e in &comparison.estimates {
            assert!(e.figures.is_none());
            let told = e.blockers().find(|o| o.code() == "too-intricate");
            let at = told.and_then(|o| o.at).expect("the place");
            let nearest = points.iter().map(|p| p.distance(at));
            assert!(nearest.fold(f64::INFINITY, f64::min) < 1e-6);
        }
    }
    // A round of as many chords is a circle to the wire.
    let round = (0..20_000).map(|k| Point::at_angle(TAU * f64::from(k) / 20_000.0) * 20.0);
    let comparison = estimated(&drawn(&closed(round)));
    assert!(comparison.estimates.iter().any(|e| e.figures.is_some()));
}

/// Lines drawn over each other on one line count once: their union, whatever order they come in.
#[test]
fn many_lines_on_one_line_count_once() {
    let mut numbers = Numbers(3);
    for (count, turn) in [(40, 0.3_f64), (400, 0.0), (400, 1.1), (3000, 2.9)] {
        let (sin, cos) = turn.sin_cos();
        let place = |t: f64| (7.0 + cos * t, -3.0 + sin * t);
        let mut stretches = Vec::new();
        let mut text = String::new();
        for _ in 0..count {
            let from = numbers.next() * 900.0;
            let to = from + 0.5 + numbers.next() * 9.0;
            stretches.push((from, to));
            let (a, b) = (place(from), place(to));
            text += &if numbers.next() < 0.5 {
                line(a, b)
            } else {
                line(b, a)
            };
        }
        stretches.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (mut union, mut reached) = (0.0, f64::NEG_INFINITY);
        for (from, to) in stretches {
            union += (to - reached.max(from)).max(0.0);
            reached = reached.max(to);
        }
        let drawing = drawn(&text);
        let all = totals(&drawing).open_length.mm();
        // Overlaps and rests below a thousandth are let be, a few at most.
        assert!((all - union).abs() < 0.02, "{count}: {all} {union}");
    }
}

/// Every ring of many about one centre lies in the one before, as their radii say.
#[test]
fn rings_lie_in_each_other() {
    let text: String = (0..200)
        .map(|k| circle(5.0, 5.0, 100.0 - 0.45 * f64::from(k)))
        .collect();
    let drawing = drawn(&text);
    let depths: Vec<usize> = drawing.profile.contours().iter().map(|c| c.depth).collect();
    assert_eq!(depths, (0..200).collect::<Vec<_>>());
}

/// Names come from strangers: a terminal is given no order by them.
#[test]
fn names_give_the_terminal_no_orders() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a\u{1b}[2Jb.dxf");
    let layer = "L\u{1b}]0;x\u{7}\u{9b}2J";
    // A hidden layer is told by its name.
    let tables = format!(
        "0\nSECTION\n2\nTABLES\n0\nTABLE\n2\nLAYER\n0\nLAYER\n2\n{layer}\n70\n0\n62\n-7\n0\nENDTAB\n0\nENDSEC\n"
    );
    let entities = circle(0.0, 0.0, 5.0)
        + &circle(20.0, 0.0, 5.0).replace("\n8\n0\n", &format!("\n8\n{layer}\n"));
    std::fs::write(&path, tables + &file(&entities)).expect("it is written");
    let path = path.to_str().expect("UTF-8");
    let missing = format!("{path}.none");
    for arguments in [
        vec!["measure", path, missing.as_str()],
        vec!["estimate", "--thickness", "10", path, missing.as_str()],
        vec!["estimate", "--thickness", "10", "--csv", path],
    ] {
        let out = calling::run(&arguments);
        for bytes in [out.stdout, out.stderr] {
            let text = String::from_utf8(bytes).expect("UTF-8");
            let order = text
                .chars()
                .find(|c| c.is_control() && !"\n\r\t".contains(*c));
            assert_eq!(order, None, "{text:?}");
        }
    }
    let told = String::from_utf8(calling::run(&["measure", path]).stdout).expect("UTF-8");
    assert!(told.contains("b.dxf") && told.contains("2J"), "{told}");
}

/// What is no file has no end; the command says so and ends.
#[cfg(target_os = "linux")]
#[test]
fn a_device_is_refused() {
    for device in ["/dev/zero", "/dev/urandom"] {
        let out = calling::run(&["measure", device]);
        let told = String::from_utf8_lossy(&out.stdout).into_owned();
        assert!(told.contains("a device"), "{told}");
        assert_eq!(out.status.code(), Some(1));
    }
}

/// A block set down more often than anybody counts: what is read is told, and every wire has an answer.
#[test]
fn copies_without_end_are_cut_short_and_answered() {
    let circle = circle(0.0, 0.0, 1.0);
    let text = format!(
        "0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n8\n0\n2\nB\n70\n0\n10\n0\n20\n0\n{circle}0\nENDBLK\n0\nENDSEC\n\
         0\nSECTION\n2\nENTITIES\n0\nINSERT\n8\n0\n2\nB\n10\n5\n20\n5\n41\n2\n42\n1\n70\n3\n71\n2147483647\n44\n5\n\
         45\n5\n0\nENDSEC\n0\nEOF\n"
    );
    let drawing = read(
        text.as_bytes(),
        &ReadOptions::default(),
        &Progress::default(),
    )
    .expect("it is a drawing");
    assert!(has(&drawing, Fault::TooManySegments) && drawing.verdict == Verdict::Refuse);
    assert!(drawing.profile.contours().len() > 1000);
    for e in &estimated(&drawing).estimates {
        assert!(e.is_possible() || e.obstacles.iter().any(kerfcast::estimate::Obstacle::blocks));
    }
}
