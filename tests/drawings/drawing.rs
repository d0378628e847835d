//! Drawings written here, with answers from geometry: planes, blocks, bulges, splines, layers, units.

use kerfcast::drawing::{Drawing, Progress, ReadOptions, Severity, Status, UnitSource, read};
use kerfcast::geometry::{DrawingPoint, Point};
use kerfcast::words::System;
use kerfcast::words::findings::sentence;
use std::f64::consts::PI;

/// A file of one ENTITIES section in mm, from pairs one a line: `code value`.
fn file(blocks: &str, entities: &str) -> String {
    let pairs = |text: &str| {
        let words = text.lines().map(str::trim).filter(|l| !l.is_empty());
        words.fold(String::new(), |out, line| {
            let (code, value) = line.split_once(' ').unwrap_or((line, ""));
            out + code + "\n" + value + "\n"
        })
    };
    pairs(&format!(
        "0 SECTION\n2 HEADER\n9 $ACADVER\n1 AC1027\n9 $INSUNITS\n70 4\n0 ENDSEC\n{}0 SECTION\n2 ENTITIES\n{entities}\n0 ENDSEC\n0 EOF",
        if blocks.is_empty() {
            String::new()
        } else {
            format!("0 SECTION\n2 BLOCKS\n{blocks}\n0 ENDSEC\n")
        }
    ))
}

fn opened(text: &str) -> Drawing {
    read(
        text.as_bytes(),
        &ReadOptions::default(),
        &Progress::default(),
    )
    .expect("the drawing reads")
}

fn length(drawing: &Drawing) -> f64 {
    drawing
        .profile
        .contours()
        .iter()
        .map(|c| c.drawn_length.mm())
        .sum()
}

fn area(drawing: &Drawing) -> f64 {
    drawing
        .profile
        .contours()
        .iter()
        .map(|c| c.drawn_area.mm2())
        .sum()
}

fn has(drawing: &Drawing, code: &str) -> bool {
    drawing.findings.iter().any(|f| f.code() == code)
}

#[test]
fn a_circle_drawn_from_below_lies_mirrored() {
    // DXF reference, arbitrary axis algorithm: normal (0,0,-1) turns x to -x.
    let d = opened(&file(
        "",
        "0 CIRCLE\n8 0\n10 30\n20 5\n40 2\n210 0\n220 0\n230 -1",
    ));
    assert!((length(&d) - 4.0 * PI).abs() < 1e-12);
    assert!((d.bounds.centre() - Point::new(-30.0, 5.0)).norm() < 1e-12);
}

#[test]
fn a_bulge_on_the_closing_segment_counts() {
    // A square of 10 whose last side is a half circle outwards: 30 + 5π around, 100 + 12.5π inside.
    let corners = "10 0\n20 0\n10 10\n20 0\n10 10\n20 10\n10 0\n20 10\n42 1";
    let d = opened(&file("", &format!("0 LWPOLYLINE\n8 0\n70 1\n{corners}")));
    assert!((length(&d) - (30.0 + 5.0 * PI)).abs() < 1e-12);
    assert!((area(&d) - (100.0 + 12.5 * PI)).abs() < 1e-11);
    assert!((d.bounds.min.x + 5.0).abs() < 1e-12);
}

#[test]
fn a_bulge_beyond_a_half_turn() {
    // bulge = tan(θ/4); θ = 3/2·π on a chord of 2r·sin(θ/2) with r = 1, and the chord back.
    let chord = 2.0_f64.sqrt();
    let bulge = (1.5 * PI / 4.0).tan();
    let d = opened(&file(
        "",
        &format!("0 LWPOLYLINE\n8 0\n70 1\n10 0\n20 0\n42 {bulge}\n10 {chord}\n20 0"),
    ));
    assert!((length(&d) - (1.5 * PI + chord)).abs() < 1e-12);
    // Three quarters of the disc and the triangle of the chord: 3/4·π + 1/2.
    assert!((area(&d) - (0.75 * PI + 0.5)).abs() < 1e-12);
    assert!(d.curves[0].segments.iter().all(|s| s.bulge.abs() <= 1.0));
}

#[test]
fn blocks_nested_scaled_mirrored_and_in_rows() {
    let blocks = "0 BLOCK\n8 0\n2 hole\n70 0\n10 1\n20 1\n0 CIRCLE\n8 0\n10 1\n20 1\n40 1\n0 ENDBLK\n\
                  0 BLOCK\n8 0\n2 PAIR\n70 0\n10 0\n20 0\n0 INSERT\n8 0\n2 HOLE\n10 5\n20 0\n41 2\n42 2\n0 ENDBLK";
    // Three columns 20 apart, turned by 90°, mirrored in x.
    let insert =
        "0 INSERT\n8 part\n2 pair\n10 100\n20 0\n41 -1\n42 1\n50 90\n70 3\n71 1\n44 20\n45 0";
    let d = opened(&file(blocks, insert));
    assert_eq!(d.profile.contours().len(), 3);
    assert!((length(&d) - 3.0 * 4.0 * PI).abs() < 1e-11);
    // Centre: block (5,0) → mirrored (-5,0) → turned 90° (0,-5) → columns go up by 20.
    let mut centres: Vec<f64> = d
        .profile
        .contours()
        .iter()
        .map(|c| c.shape.bounds().centre().y)
        .collect();
    centres.sort_by(f64::total_cmp);
    for (found, expected) in centres.iter().zip([-5.0, 15.0, 35.0]) {
        assert!((found - expected).abs() < 1e-12);
    }
    // Layer 0 inside the blocks is the layer of the insertion.
    assert!(d.profile.contours().iter().all(|c| c.layer == "part"));
    assert_eq!(d.read.get("INSERT"), Some(&1));
    assert_eq!(
        d.read.len(),
        1,
        "what blocks hold is not in the model space"
    );
}

#[test]
fn an_uneven_scale_makes_an_ellipse() {
    let blocks = "0 BLOCK\n8 0\n2 B\n70 0\n10 0\n20 0\n0 CIRCLE\n8 0\n10 0\n20 0\n40 1\n\
                  0 LWPOLYLINE\n8 0\n70 1\n10 9\n20 0\n42 1\n10 11\n20 0\n42 1\n0 ENDBLK";
    let d = opened(&file(blocks, "0 INSERT\n8 0\n2 B\n10 0\n20 0\n41 3\n42 2"));
    // Two ellipses with half axes 3 and 2: π·a·b each. Perimeter by Ramanujan's second formula
    // (Modular equations and approximations to π, 1914), exact to 1e-9 here.
    let h: f64 = 1.0 / 25.0;
    let perimeter = PI * 5.0 * (1.0 + 3.0 * h / (10.0 + (4.0 - 3.0 * h).sqrt()));
    assert!((area(&d) - 2.0 * 6.0 * PI).abs() < 1e-9);
    assert!((length(&d) - 2.0 * perimeter).abs() < 1e-7);
}

#[test]
fn a_block_that_holds_itself_is_named() {
    let blocks = "0 BLOCK\n8 0\n2 LOOP\n70 0\n10 0\n20 0\n0 CIRCLE\n8 0\n10 0\n20 0\n40 1\n\
                  0 INSERT\n8 0\n2 LOOP\n10 5\n20 0\n0 ENDBLK";
    let d = opened(&file(blocks, "0 INSERT\n8 0\n2 LOOP\n10 0\n20 0"));
    assert_eq!(d.profile.contours().len(), 1);
    let finding = d
        .findings
        .iter()
        .find(|f| f.code() == "block-recursive")
        .expect("named");
    assert!(sentence(finding, System::Metric).contains("LOOP"));
}

#[test]
fn a_scale_of_zero_counts_as_one() {
    let blocks = "0 BLOCK\n8 0\n2 B\n70 0\n10 0\n20 0\n0 CIRCLE\n8 0\n10 0\n20 0\n40 1\n0 ENDBLK";
    let d = opened(&file(
        blocks,
        "0 INSERT\n8 0\n2 B\n10 0\n20 0\n41 0\n42 0\n43 0",
    ));
    assert!((length(&d) - 2.0 * PI).abs() < 1e-12);
    assert!(has(&d, "insert-scale-zero"));
}

#[test]
fn a_bomb_of_blocks_ends_with_a_finding() {
    // Ten levels of ten insertions in rows: 10^10 circles.
    let mut blocks =
        "0 BLOCK\n8 0\n2 B0\n70 0\n10 0\n20 0\n0 LINE\n8 0\n10 0\n20 0\n11 1\n21 0\n0 ENDBLK\n"
            .to_owned();
    for level in 1..=10 {
        let inner = level - 1;
        let block = format!(
            "0 BLOCK\n8 0\n2 B{level}\n70 0\n10 0\n20 0\n0 INSERT\n8 0\n2 B{inner}\n10 0\n20 0\n70 10\n71 100\n44 0\n45 0\n0 ENDBLK\n"
        );
        blocks.push_str(&block);
    }
    // Empty blocks expand just as far and draw nothing.
    let empty = blocks.replace("0 LINE\n8 0\n10 0\n20 0\n11 1\n21 0\n", "");
    let d = opened(&file(&empty, "0 INSERT\n8 0\n2 B10\n10 0\n20 0"));
    assert!(has(&d, "too-many-curves"));
}

#[test]
fn hidden_layers_and_hidden_entities_are_read_but_not_counted() {
    let text = file(
        "",
        "0 CIRCLE\n8 OFF\n10 0\n20 0\n40 1\n0 CIRCLE\n8 frozen\n10 9\n20 0\n40 1\n\
                         0 CIRCLE\n8 0\n60 1\n10 20\n20 0\n40 1\n0 CIRCLE\n8 0\n10 40\n20 0\n40 1",
    );
    let tables = "0\nSECTION\n2\nTABLES\n0\nTABLE\n2\nLAYER\n0\nLAYER\n2\noff\n70\n0\n62\n-3\n0\nLAYER\n2\nFrozen\n70\n1\n62\n7\n0\nENDTAB\n0\nENDSEC\n";
    let text = text.replace(
        "0\nSECTION\n2\nENTITIES",
        &format!("{tables}0\nSECTION\n2\nENTITIES"),
    );
    let d = opened(&text);
    assert_eq!(d.read.get("CIRCLE"), Some(&4));
    assert_eq!(d.profile.contours().len(), 1);
    assert_eq!(d.status.iter().filter(|s| **s == Status::Hidden).count(), 3);
    assert!(has(&d, "hidden-layer") && has(&d, "invisible-entity"));
}

#[test]
fn layers_switched_off_need_no_reading_again() {
    let d = opened(&file(
        "",
        "0 CIRCLE\n8 cut\n10 0\n20 0\n40 5\n0 CIRCLE\n8 frame\n10 0\n20 0\n40 50",
    ));
    assert_eq!(d.profile.contours().len(), 2);
    let options = ReadOptions {
        excluded_layers: ["frame".to_owned()].into(),
        ..ReadOptions::default()
    };
    let less = d
        .rejoin(&options, &Progress::default())
        .expect("nobody cancels");
    assert_eq!(less.profile.contours().len(), 1);
    assert!(has(&less, "excluded-layer"));
    let again = less
        .rejoin(&ReadOptions::default(), &Progress::default())
        .expect("nobody cancels");
    assert_eq!(again.profile, d.profile);
    assert_eq!(again.findings, d.findings);
}

#[test]
fn a_part_far_away_keeps_its_digits() {
    let square = |x: f64, y: f64| {
        format!(
            "0 LWPOLYLINE\n8 0\n70 1\n10 {x}\n20 {y}\n10 {}\n20 {y}\n10 {}\n20 {}\n10 {x}\n20 {}",
            x + 10.0,
            x + 10.0,
            y + 10.0,
            y + 10.0
        )
    };
    let d = opened(&file("", &square(4e6, -7e6)));
    assert!((area(&d) - 100.0).abs() < 1e-9);
    assert!((d.bounds.min - Point::new(4e6, -7e6)).norm() < 1e-6);
}

#[test]
fn points_are_kept_as_possible_start_holes() {
    let d = opened(&file(
        "",
        "0 POINT\n8 0\n10 3\n20 4\n0 CIRCLE\n8 0\n10 3\n20 4\n40 1",
    ));
    assert_eq!(d.points, [DrawingPoint::new(3.0, 4.0)]);
    assert_eq!(d.skipped.get("POINT"), Some(&1));
}

#[test]
fn units_from_the_header_or_by_a_guess_that_says_so() {
    let text = file("", "0 CIRCLE\n8 0\n10 0\n20 0\n40 1");
    let inch = opened(&text.replace("$INSUNITS\n70\n4", "$INSUNITS\n70\n1"));
    assert!((length(&inch) - 2.0 * PI * 25.4).abs() < 1e-10);
    assert_eq!(inch.units.from, UnitSource::Header);
    let unknown = opened(&text.replace("$INSUNITS\n70\n4", "$LUNITS\n70\n2"));
    assert_eq!(unknown.units.from, UnitSource::Guess);
    let finding = unknown
        .findings
        .iter()
        .find(|f| f.code() == "units-guessed")
        .expect("it says so");
    assert!(
        finding.severity() == Severity::Check
            && sentence(finding, System::Metric).contains("mm")
            && sentence(finding, System::Metric).contains("in)")
    );
}

#[test]
fn the_same_drawing_as_utf_16_and_in_a_code_page() {
    let text = file("", "0 CIRCLE\n8 Größe\n10 0\n20 0\n40 1");
    let mut utf16 = vec![0xFF, 0xFE];
    utf16.extend(text.encode_utf16().flat_map(u16::to_le_bytes));
    let old = text
        .replace("AC1027", "AC1015")
        .chars()
        .map(|c| c as u8)
        .collect::<Vec<u8>>();
    for bytes in [text.into_bytes(), utf16, old] {
        let d = read(&bytes, &ReadOptions::default(), &Progress::default()).expect("it reads");
        assert_eq!(d.profile.contours()[0].layer, "Größe");
    }
}

#[test]
fn a_curve_below_the_rounding_of_its_place_ends() {
    // At 1e11 coordinates step by 1.5e-5: an ellipse of that size is no smooth curve any more.
    let blocks =
        "0 BLOCK\n8 0\n2 B\n70 0\n10 0\n20 0\n0 CIRCLE\n8 0\n10 0\n20 0\n40 0.01\n0 ENDBLK";
    let d = opened(&file(
        blocks,
        "0 INSERT\n8 0\n2 B\n10 1e11\n20 0\n41 3\n42 1\n0 LINE\n8 0\n10 0\n20 0\n11 1\n21 0",
    ));
    assert!(d.curves.iter().map(|c| c.segments.len()).sum::<usize>() < 100_000);
}

#[test]
fn a_block_based_beyond_all_bounds_is_left_out_at_once() {
    // Unequal scales make ellipses of its circle, whose arcs would be halved for ever out there.
    let blocks =
        "0 BLOCK\n8 0\n2 B\n70 0\n10 0\n20 -1e308\n0 CIRCLE\n8 0\n10 0\n20 0\n40 1\n0 ENDBLK";
    let d = opened(&file(blocks, "0 INSERT\n8 0\n2 B\n10 5\n20 5\n41 2\n42 1"));
    assert!(d.profile.contours().is_empty() && has(&d, "not-finite"));
}

#[test]
fn a_circle_below_the_rounding_of_its_place_is_a_point() {
    let circle = |r: &str| format!("0 CIRCLE\n8 0\n10 1\n20 1\n40 {r}\n");
    let d = opened(&file(
        "",
        &(circle("1e-150") + &circle("1e-17") + &circle("2")),
    ));
    assert_eq!((d.profile.contours().len(), d.profile.open().len()), (1, 0));
    assert!(d.profile.contours()[0].shape.bounds().min.is_finite());
    let zero = d.findings.iter().find(|f| f.code() == "zero-length");
    assert_eq!(zero.map(|f| f.count), Some(2));
}

#[test]
fn words_that_begin_with_a_digit_are_no_damage_in_a_binary_file() {
    let mut bytes = b"AutoCAD Binary DXF\r\n\x1a\0".to_vec();
    let mut text = |code: i16, value: &str| {
        bytes.extend(code.to_le_bytes());
        bytes.extend(value.bytes());
        bytes.push(0);
    };
    text(0, "SECTION");
    text(2, "ENTITIES");
    text(0, "3DFACE");
    text(8, "0");
    text(0, "ENDSEC");
    text(0, "EOF");
    let d = read(&bytes, &ReadOptions::default(), &Progress::default()).expect("it reads");
    assert_eq!(d.skipped.get("3DFACE"), Some(&1));
    assert!(!has(&d, "damaged"));
}
