//! Ends that run past a corner or stop short of it: reported, offered, changed only when accepted; and
//! ends on the sides of other curves.

use kerfcast::drawing::{Drawing, Offer, OfferKind, Progress, ReadOptions, read};

fn lines(list: &[[f64; 4]]) -> Drawing {
    let lines = list
        .iter()
        .map(|[x0, y0, x1, y1]| format!("0\nLINE\n8\n0\n10\n{x0}\n20\n{y0}\n11\n{x1}\n21\n{y1}\n"));
    opened(&format!(
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{}0\nENDSEC\n0\nEOF\n",
        lines.collect::<String>()
    ))
}

fn opened(text: &str) -> Drawing {
    read(
        text.as_bytes(),
        &ReadOptions::default(),
        &Progress::default(),
    )
    .expect("it reads")
}

fn offers(drawing: &Drawing) -> Vec<Offer> {
    let all = drawing.findings.iter().flat_map(|f| f.offers.clone());
    all.collect()
}

fn accepted(drawing: &Drawing, accepted: Vec<Offer>) -> Drawing {
    let options = ReadOptions {
        accepted,
        ..ReadOptions::default()
    };
    drawing
        .rejoin(&options, &Progress::default())
        .expect("it joins")
}

fn at_sides(drawing: &Drawing) -> Drawing {
    let options = ReadOptions {
        join_at_sides: true,
        ..ReadOptions::default()
    };
    drawing
        .rejoin(&options, &Progress::default())
        .expect("it joins")
}

fn measures(drawing: &Drawing) -> (usize, usize, f64, f64) {
    let contours = drawing.profile.contours();
    (
        contours.len(),
        drawing.profile.open().len(),
        contours.iter().map(|c| c.drawn_length.mm()).sum(),
        contours.iter().map(|c| c.drawn_area.mm2()).sum(),
    )
}

fn count(drawing: &Drawing, code: &str) -> usize {
    let found = drawing.findings.iter().find(|f| f.code() == code);
    found.map_or(0, |f| f.count)
}

/// The square of 100 whose sides run 0.2 past its corners.
const OVERSHOOT: [[f64; 4]; 4] = [
    [0.0, 100.2, 0.0, -0.2],
    [100.2, 0.0, -0.2, 0.0],
    [-0.2, 100.0, 100.2, 100.0],
    [100.0, -0.2, 100.0, 100.2],
];

#[test]
fn corners_run_past_are_trimmed_when_accepted() {
    let d = lines(&OVERSHOOT);
    assert_eq!((d.profile.contours().len(), d.profile.open().len()), (0, 4));
    assert_eq!(count(&d, "crossing"), 4);
    let list = offers(&d);
    assert_eq!(list.len(), 8);
    assert!(
        list.iter()
            .all(|o| o.kind == OfferKind::Trim && (o.by().mm() - 0.2).abs() < 1e-9)
    );
    let (loops, open, length, area) = measures(&accepted(&d, list.clone()));
    assert_eq!((loops, open), (1, 0));
    assert!((length - 400.0).abs() < 1e-9 && (area - 10_000.0).abs() < 1e-9);
    // One end alone: the others stay as drawn.
    let one = accepted(&d, vec![list[0]]);
    assert_eq!(
        (one.profile.contours().len(), count(&one, "end-moved")),
        (0, 1)
    );
}

#[test]
fn corners_not_reached_are_extended_when_accepted() {
    // All ends stop 0.3 short of the corners of the same square.
    let (near, far) = (0.3, 99.7);
    let d = lines(&[
        [near, 0.0, far, 0.0],
        [100.0, near, 100.0, far],
        [far, 100.0, near, 100.0],
        [0.0, far, 0.0, near],
    ]);
    assert_eq!(measures(&d).0, 0);
    assert_eq!(count(&d, "open-end"), 8);
    let list = offers(&d);
    assert_eq!(list.len(), 8);
    assert!(list.iter().all(|o| o.kind == OfferKind::Extend));
    let (loops, open, length, area) = measures(&accepted(&d, list));
    assert_eq!((loops, open), (1, 0));
    assert!((length - 400.0).abs() < 1e-9 && (area - 10_000.0).abs() < 1e-9);
}

/// A base of 140 under a square of 100: the ends of the uprights lie on it.
const ON_A_BASE: [[f64; 4]; 4] = [
    [-20.0, 0.0, 120.0, 0.0],
    [0.0, 0.0, 0.0, 100.0],
    [0.0, 100.0, 100.0, 100.0],
    [100.0, 100.0, 100.0, 0.0],
];

#[test]
fn an_outline_of_lines_that_meet_at_sides_is_found_and_told() {
    let d = lines(&ON_A_BASE);
    let (loops, open, length, area) = measures(&d);
    assert_eq!((loops, open), (1, 2));
    assert!((length - 400.0).abs() < 1e-9 && (area - 10_000.0).abs() < 1e-9);
    assert_eq!(count(&d, "outline-at-sides"), 2);
    assert_eq!((count(&d, "t-junction"), count(&d, "branch")), (0, 0));
    // Switched off it stays open, and the finding says what it would close.
    let options = ReadOptions {
        outline_at_sides: false,
        ..ReadOptions::default()
    };
    let off = d.rejoin(&options, &Progress::default()).expect("it joins");
    assert_eq!((measures(&off).0, count(&off, "closes-at-sides")), (0, 2));
    // With a rib between: still the outer boundary, the rib within it is not counted.
    let mut ribbed = ON_A_BASE.to_vec();
    ribbed.push([50.0, 0.0, 50.0, 100.0]);
    let (loops, _, length, _) = measures(&lines(&ribbed));
    assert_eq!(loops, 1);
    assert!((length - 400.0).abs() < 1e-9);
}

/// The four sides of a square of 10 at a place.
fn square(x: f64, y: f64) -> [[f64; 4]; 4] {
    let (u, v) = (x + 10.0, y + 10.0);
    [[x, y, u, y], [u, y, u, v], [u, v, x, v], [x, v, x, y]]
}

#[test]
fn an_outline_at_sides_closes_around_what_is_closed_and_changes_nothing_else() {
    // A closed opening within the base and its uprights: the outline closes around it.
    let mut inside = ON_A_BASE.to_vec();
    inside.extend(square(40.0, 40.0));
    let d = lines(&inside);
    assert_eq!((measures(&d).0, count(&d, "outline-at-sides")), (2, 2));
    assert_eq!(d.profile.contours().iter().map(|c| c.depth).max(), Some(1));
    // Closed beside it: a part of its own, so what is open may be meant to be; only offered.
    let mut beside = ON_A_BASE.to_vec();
    beside.extend(square(300.0, 0.0));
    let d = lines(&beside);
    assert_eq!((measures(&d).0, count(&d, "closes-at-sides")), (1, 2));
    let d = at_sides(&d);
    assert_eq!((measures(&d).0, count(&d, "joined-at-sides")), (2, 2));
}

#[test]
fn an_end_short_of_a_side_is_offered_its_way_there() {
    let d = lines(&[
        [0.0, 0.0, 100.0, 0.0],
        [100.0, 0.0, 100.0, 50.0],
        [100.0, 50.0, 0.0, 50.0],
        [0.0, 50.0, 0.0, 0.0],
        [40.0, 1.0, 40.0, 30.0],
    ]);
    let list = offers(&d);
    assert_eq!(list.len(), 1);
    assert_eq!((list[0].curve, list[0].at_start), (4, true));
    assert!((list[0].by().mm() - 1.0).abs() < 1e-9);
    let moved = accepted(&d, list);
    assert_eq!(count(&moved, "t-junction"), 1);
    assert_eq!(moved.profile.contours().len(), 1);
}
