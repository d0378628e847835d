//! A reading that is cancelled stops at the next look, wherever it is.
//!
//! How many looks there are is a property of the work; how long it takes between two is a benchmark.

use kerfcast::drawing::{Progress, ReadError, ReadOptions, read};
use std::fmt::Write;

/// A drawing with something for every loop: plates with loose and doubled lines, gaps, T's and
/// branches, nested circles, splines, tessellated rounds, and a stretch of rubbish.
fn drawing() -> Vec<u8> {
    let mut out = String::from("0\nSECTION\n2\nENTITIES\n");
    for k in 0..12 {
        let (x, y) = (f64::from(k % 4) * 50.0, f64::from(k / 4) * 50.0);
        let mut line = |a: f64, b: f64, c: f64, d: f64| {
            let (a, b, c, d) = (x + a, y + b, x + c, y + d);
            let _ = write!(out, "0\nLINE\n8\n0\n10\n{a}\n20\n{b}\n11\n{c}\n21\n{d}\n");
        };
        line(0.0, 0.0, 40.0, 0.0);
        line(40.01, 0.0, 40.0, 40.0);
        line(40.0, 40.0, 0.0, 40.0);
        line(0.0, 40.0, 0.0, 0.0);
        line(10.0, 0.0, 30.0, 0.0);
        line(20.0, 0.0, 20.0, 12.0);
        line(0.0, 40.0, 0.0, 0.0);
        // A house whose walls stand on a longer base, with a wall inside.
        line(2.0, 20.0, 18.0, 20.0);
        line(4.0, 20.0, 4.0, 30.0);
        line(4.0, 30.0, 16.0, 30.0);
        line(16.0, 30.0, 16.0, 20.0);
        line(10.0, 20.0, 10.0, 30.0);
        for radius in [6.0, 4.0, 2.0] {
            let (x, y) = (x + 30.0, y + 30.0);
            let _ = write!(out, "0\nCIRCLE\n8\n0\n10\n{x}\n20\n{y}\n40\n{radius}\n");
        }
        let _ = write!(out, "0\nSPLINE\n8\n0\n70\n8\n71\n3\n");
        for knot in [0, 0, 0, 0, 1, 1, 1, 1] {
            let _ = write!(out, "40\n{knot}\n");
        }
        for (px, py) in [(25.0, 5.0), (28.0, 15.0), (32.0, 0.0), (38.0, 6.0)] {
            let _ = write!(out, "10\n{}\n20\n{}\n30\n0\n", x + px, y + py);
        }
        let _ = write!(out, "0\nLWPOLYLINE\n8\n0\n70\n1\n");
        for step in 0..48 {
            let (s, c) = (f64::from(step) * std::f64::consts::TAU / 48.0).sin_cos();
            let _ = write!(
                out,
                "10\n{}\n20\n{}\n",
                x + 10.0 + 3.0 * c,
                y + 10.0 + 3.0 * s
            );
        }
    }
    out.push_str(&"rubbish\n".repeat(10_000));
    out.push_str("0\nENDSEC\n0\nEOF\n");
    out.into_bytes()
}

#[test]
fn it_stops_at_the_very_look_that_finds_it_cancelled() {
    let bytes = drawing();
    let options = ReadOptions {
        join_at_sides: true,
        ..ReadOptions::default()
    };
    let whole = Progress::default();
    let drawing = read(&bytes, &options, &whole).expect("nobody cancels");
    assert!(!drawing.profile.contours().is_empty());
    let looks = whole.looks();
    assert!(looks > 1_000, "only {looks} looks");
    for share in 0..=100 {
        let at = 1 + (looks - 1) * share / 100;
        let progress = Progress::cancelling_at_look(at);
        let result = read(&bytes, &options, &progress);
        assert_eq!(result.err(), Some(ReadError::Cancelled), "look {at}");
        // A loop that is left by way of another one may look once more.
        let more = progress.looks() - at;
        assert!(more <= 8, "{more} more looks after look {at} of {looks}");
    }
}

#[test]
fn joining_anew_stops_too() {
    let drawing = read(&drawing(), &ReadOptions::default(), &Progress::default());
    let drawing = drawing.expect("nobody cancels");
    let whole = Progress::default();
    let again = drawing.rejoin(&ReadOptions::default(), &whole);
    assert!(again.is_ok());
    for at in [1, whole.looks() / 2, whole.looks()] {
        let progress = Progress::cancelling_at_look(at);
        let result = drawing.rejoin(&ReadOptions::default(), &progress);
        assert_eq!(result.err(), Some(ReadError::Cancelled), "look {at}");
    }
}
