//! Drawings that hold nothing but hatched areas or multilines: their edges are offered, and taken when
//! the offer is accepted.
//!
//! Group codes are written by hand after the DXF reference (HATCH, "boundary path data"; MLINE).

use kerfcast::drawing::{Drawing, OfferKind, Progress, ReadOptions, Status, Verdict, read};
use std::f64::consts::PI;

fn opened(entities: &str) -> Drawing {
    let text = format!(
        "0 SECTION\n2 HEADER\n9 $INSUNITS\n70 4\n0 ENDSEC\n0 SECTION\n2 ENTITIES\n{entities}\n0 ENDSEC\n0 EOF"
    );
    let bytes: String = text
        .lines()
        .map(|l| l.trim().replacen(' ', "\n", 1) + "\n")
        .collect();
    read(
        bytes.as_bytes(),
        &ReadOptions::default(),
        &Progress::default(),
    )
    .expect("it reads")
}

fn taken(drawing: &Drawing) -> Drawing {
    let offers = drawing.findings.iter().flat_map(|f| f.offers.clone());
    let options = ReadOptions {
        accepted: offers.collect(),
        ..ReadOptions::default()
    };
    drawing
        .rejoin(&options, &Progress::default())
        .expect("nobody cancels")
}

fn has(drawing: &Drawing, code: &str) -> bool {
    drawing.findings.iter().any(|f| f.code() == code)
}

/// Number of contours, open chains, sum of lengths, sum of areas.
fn measures(drawing: &Drawing) -> (usize, usize, f64, f64) {
    let contours = drawing.profile.contours();
    (
        contours.len(),
        drawing.profile.open().len(),
        contours.iter().map(|c| c.drawn_length.mm()).sum(),
        contours.iter().map(|c| c.drawn_area.mm2()).sum(),
    )
}

fn close(found: f64, expected: f64) -> bool {
    (found - expected).abs() <= 1e-9 * expected.abs()
}

/// A square of 10 with a half circle for its last side, as a polyline path.
const POLYLINE_PATH: &str = "92 3\n72 1\n73 1\n93 4\n10 0\n20 0\n42 0\n10 10\n20 0\n42 0\n\
    10 10\n20 10\n42 0\n10 0\n20 10\n42 1\n97 0";

fn hatch(paths: &[&str]) -> String {
    let n = paths.len();
    format!(
        "0 HATCH\n8 0\n10 0\n20 0\n30 0\n210 0\n220 0\n230 1\n2 SOLID\n70 1\n71 0\n91 {n}\n{}\n75 0\n76 1\n98 1\n10 5\n20 5",
        paths.join("\n")
    )
}

#[test]
fn a_polyline_path_with_a_bulge() {
    let d = opened(&hatch(&[POLYLINE_PATH]));
    // Nothing is taken unasked: the hatch is listed as skipped, and the drawing is refused.
    assert_eq!(
        (d.read.get("HATCH"), d.skipped.get("HATCH")),
        (None, Some(&1))
    );
    assert_eq!((measures(&d).0, d.verdict), (0, Verdict::Refuse));
    assert!(has(&d, "nothing-drawn") && has(&d, "edges-offered"));
    assert_eq!(d.status, [Status::Offered]);
    let offer = d.findings.iter().flat_map(|f| &f.offers).next();
    assert_eq!(offer.map(|o| o.kind), Some(OfferKind::TakeEdges));
    let t = taken(&d);
    assert_eq!(
        (t.read.get("HATCH"), t.skipped.get("HATCH")),
        (Some(&1), None)
    );
    let (loops, open, length, area) = measures(&t);
    assert_eq!((loops, open), (1, 0));
    assert!(close(length, 30.0 + 5.0 * PI) && close(area, 100.0 + 12.5 * PI));
    assert!(has(&t, "edges-taken") && !has(&t, "nothing-drawn"));
    assert_eq!(t.verdict, Verdict::SafeToQuote);
    // The answer can be taken back.
    let back = t
        .rejoin(&ReadOptions::default(), &Progress::default())
        .expect("nobody cancels");
    assert_eq!((&back.findings, &back.skipped), (&d.findings, &d.skipped));
}

#[test]
fn edge_paths_of_lines_arcs_ellipses_and_splines() {
    // Around a rectangle of 20 × 10: a line, an arc around its right side that is written clockwise, a
    // straight spline back, and the left half of an ellipse with half axes 5 upwards and 2.5.
    let outer = "92 1\n93 4\n72 1\n10 0\n20 0\n11 20\n21 0\n\
        72 2\n10 20\n20 5\n40 5\n50 270\n51 90\n73 0\n\
        72 4\n94 3\n73 0\n74 0\n95 8\n96 4\n40 0\n40 0\n40 0\n40 0\n40 1\n40 1\n40 1\n40 1\n\
        10 20\n20 10\n10 12\n20 10\n10 6\n20 10\n10 0\n20 10\n\
        72 3\n10 0\n20 5\n11 0\n21 5\n40 0.5\n50 0\n51 180\n73 1\n97 0";
    let inner = "92 16\n93 1\n72 2\n10 10\n20 5\n40 2\n50 0\n51 360\n73 1\n97 0";
    let t = taken(&opened(&hatch(&[outer, inner])));
    let (loops, open, length, area) = measures(&t);
    assert_eq!((loops, open), (2, 0), "{:?}", t.findings);
    // Angles of a clockwise edge are measured clockwise: from 270° to 90° is the right half, so the arc
    // bulges out of the rectangle.
    // Half the perimeter of an ellipse 5 × 2.5 by Ramanujan's second formula (1914), exact to 1e-6 here.
    let h: f64 = (2.5_f64 / 7.5).powi(2);
    let half = 0.5 * PI * 7.5 * (1.0 + 3.0 * h / (10.0 + (4.0 - 3.0 * h).sqrt()));
    let expected = 20.0 + 5.0 * PI + 20.0 + half + 4.0 * PI;
    assert!((length - expected).abs() < 1e-4, "{length} {expected}");
    let plate = 200.0 + 12.5 * PI + 0.5 * PI * 5.0 * 2.5;
    assert!(close(area, plate + 4.0 * PI), "{area} {plate}");
    // An edge path with its spline through weights: a quarter circle of radius 10, and two radii.
    let weight = 0.5_f64.sqrt();
    let quarter = format!(
        "92 1\n93 3\n72 1\n10 0\n20 0\n11 10\n21 0\n72 4\n94 2\n73 1\n74 0\n95 6\n96 3\n\
         40 0\n40 0\n40 0\n40 1\n40 1\n40 1\n10 10\n20 0\n42 1\n10 10\n20 10\n42 {weight}\n10 0\n20 10\n42 1\n97 0\n\
         72 1\n10 0\n20 10\n11 0\n21 0\n97 1\n330 1F"
    );
    let (loops, _, length, area) = measures(&taken(&opened(&hatch(&[&quarter]))));
    assert_eq!(loops, 1);
    assert!(close(length, 20.0 + 5.0 * PI) && close(area, 25.0 * PI));
}

#[test]
fn a_hatch_beside_curves_stays_a_hatch() {
    let d = opened(&format!(
        "{}\n0 CIRCLE\n8 0\n10 0\n20 0\n40 3",
        hatch(&[POLYLINE_PATH])
    ));
    assert_eq!((measures(&d).0, d.curves.len()), (1, 1));
    assert_eq!(d.skipped.get("HATCH"), Some(&1));
    assert!(!has(&d, "edges-offered"));
    // One that cannot be read is listed too, and nothing goes down.
    let d = opened("0 HATCH\n8 0\n91 1\n92 2\n72 0\n73 1\n93 99\n10 0\n20 0");
    assert_eq!(d.skipped.get("HATCH"), Some(&1));
    assert!(has(&d, "nothing-drawn"));
}

#[test]
fn a_hatch_in_a_mirrored_plane_lies_where_it_was_drawn() {
    let below = hatch(&[POLYLINE_PATH]).replace("230 1", "230 -1");
    let t = taken(&opened(&below));
    let b = t.profile.contours()[0].shape.bounds();
    // The half circle bulges to -5 in its own plane, and the plane's x is the drawing's -x.
    assert!(
        (b.max.x + t.profile.origin().place().x() - 5.0).abs() < 1e-9,
        "{b:?}"
    );
    assert!(
        (b.min.x + t.profile.origin().place().x() + 10.0).abs() < 1e-9,
        "{b:?}"
    );
}

/// An MLINE over the corners of a square of 20, with elements at two distances along the miters.
fn mline(flags: u32, justification: u32, [first, second]: [f64; 2]) -> String {
    let corners = [
        (0, 0, -1, -1),
        (20, 0, 1, -1),
        (20, 20, 1, 1),
        (0, 20, -1, 1),
    ];
    let root = 0.5_f64.sqrt();
    let vertices: Vec<String> = corners
        .iter()
        .map(|(x, y, u, v)| {
            let (u, v) = (f64::from(*u) * root, f64::from(*v) * root);
            // Across a corner of 90° the miter is longer by the root of 2.
            let (p, q) = (first / root, second / root);
            format!(
                "11 {x}\n21 {y}\n31 0\n12 1\n22 0\n32 0\n13 {u}\n23 {v}\n33 0\n\
                 74 2\n41 {p}\n41 0\n75 0\n74 2\n41 {q}\n41 0\n75 0\n"
            )
        })
        .collect();
    let vertices = vertices.concat();
    format!(
        "0 MLINE\n8 0\n2 STANDARD\n40 1\n70 {justification}\n71 {flags}\n72 4\n73 2\n10 0\n20 0\n30 0\n210 0\n220 0\n230 1\n{vertices}"
    )
}

#[test]
fn the_elements_of_a_multiline() {
    // Closed, justified in the middle: squares of 22 and 18.
    let d = opened(&mline(1 | 2, 1, [1.0, -1.0]));
    assert_eq!(d.skipped.get("MLINE"), Some(&1));
    let (loops, open, length, area) = measures(&taken(&d));
    assert_eq!((loops, open), (2, 0));
    assert!(close(length, 88.0 + 72.0) && close(area, 484.0 + 324.0));
    // Justified to one side, the distances already say so: squares of 20 and 16.
    let (_, _, length, area) = measures(&taken(&opened(&mline(1 | 2, 0, [0.0, -2.0]))));
    assert!(close(length, 80.0 + 64.0) && close(area, 400.0 + 256.0));
    // Not closed: two open chains of three sides.
    let (loops, open, ..) = measures(&taken(&opened(&mline(1, 1, [1.0, -1.0]))));
    assert_eq!((loops, open), (0, 2));
}
