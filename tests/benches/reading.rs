//! From the bytes of a drawing to nested contours: half lines, a fifth each of arcs and polylines with
//! bulges, a tenth splines, in closed parts.
//!
//! `cargo bench --bench reading`; `KERFCAST_BENCH_WRITE=FILE` writes the drawing of 100 000 entities, so
//! that other readers can be timed on it.

use divan::Bencher;
use kerfcast::drawing::{Progress, ReadOptions, read};
use std::fmt::Write;

fn main() {
    if let Some(path) = std::env::var_os("KERFCAST_BENCH_WRITE") {
        std::fs::write(path, drawing(100_000)).expect("the drawing is written");
        return;
    }
    divan::main();
}

#[divan::bench(args = [1_000, 10_000, 100_000, 500_000], max_time = 20)]
fn bytes_to_contours(bencher: Bencher<'_, '_>, entities: usize) {
    let bytes = drawing(entities);
    bencher
        .counter(divan::counter::BytesCount::new(bytes.len()))
        .bench(|| read(&bytes, &ReadOptions::default(), &Progress::default()));
}

/// From the moment that someone cancels, in hundredths of the work, until the reading has ended.
#[divan::bench(args = [5, 50, 75, 90, 96, 98], max_time = 20)]
fn cancelled(bencher: Bencher<'_, '_>, hundredths: u32) {
    let bytes = std::sync::Arc::new(drawing(100_000));
    bencher
        .with_inputs(|| {
            let (bytes, progress) = (bytes.clone(), Progress::default());
            let reading = progress.clone();
            let thread = std::thread::spawn(move || {
                read(&bytes, &ReadOptions::default(), &reading).is_err()
            });
            while progress.fraction() < f64::from(hundredths) / 100.0 {
                std::thread::sleep(std::time::Duration::from_micros(100));
            }
            (progress, thread)
        })
        .bench_values(|(progress, thread)| {
            progress.cancel();
            thread.join().expect("the reader does not panic")
        });
}

/// Parts of ten entities on a square grid of 20 mm: five lines and two arcs and a spline close the
/// outline, two polylines lie in it.
fn drawing(entities: usize) -> Vec<u8> {
    let mut out = String::from(
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n",
    );
    let parts = entities / 10;
    let columns = (parts as f64).sqrt().ceil() as usize;
    for k in 0..parts {
        part(
            &mut out,
            (k % columns) as f64 * 20.0,
            (k / columns) as f64 * 20.0,
        );
    }
    out.push_str("0\nENDSEC\n0\nEOF\n");
    out.into_bytes()
}

fn part(out: &mut String, x: f64, y: f64) {
    let mut pairs = |list: &[(i32, f64)], kind: &str| {
        let _ = write!(out, "0\n{kind}\n5\n1F\n100\nAcDbEntity\n8\nPART\n");
        for (code, value) in list {
            let _ = match *code {
                60..=79 | 90..=99 => writeln!(out, "{code}\n{value:.0}"),
                _ => writeln!(out, "{code}\n{value:.9}"),
            };
        }
    };
    // Around a square of 16 with two corners rounded by 3 and a bulging spline on top.
    let corners = [
        (3.0, 0.0, 13.0, 0.0),
        (16.0, 3.0, 16.0, 9.0),
        (16.0, 9.0, 16.0, 16.0),
        (0.0, 16.0, 0.0, 9.0),
        (0.0, 9.0, 0.0, 3.0),
    ];
    for (a, b, c, d) in corners {
        pairs(
            &[
                (10, x + a),
                (20, y + b),
                (30, 0.0),
                (11, x + c),
                (21, y + d),
                (31, 0.0),
            ],
            "LINE",
        );
    }
    for (centre, from) in [(13.0, 270.0), (3.0, 180.0)] {
        pairs(
            &[
                (10, x + centre),
                (20, y + 3.0),
                (30, 0.0),
                (40, 3.0),
                (50, from),
                (51, (from + 90.0) % 360.0),
            ],
            "ARC",
        );
    }
    let mut spline = vec![(70, 8.0), (71, 3.0), (72, 9.0), (73, 5.0)];
    spline.extend([0.0, 0.0, 0.0, 0.0, 0.5, 1.0, 1.0, 1.0, 1.0].map(|k| (40, k)));
    for (px, py) in [
        (16.0, 16.0),
        (13.0, 18.0),
        (8.0, 14.0),
        (3.0, 18.0),
        (0.0, 16.0),
    ] {
        spline.extend([(10, x + px), (20, y + py), (30, 0.0)]);
    }
    pairs(&spline, "SPLINE");
    for at in [3.0, 9.0] {
        let slot = [(0.0, 0.0), (4.0, 1.0), (4.0, 0.0), (0.0, 1.0)];
        let mut list = vec![(90, 4.0), (70, 1.0)];
        for ((px, bulge), py) in slot.into_iter().zip([0.0, 0.0, 3.0, 3.0]) {
            list.extend([(10, x + at + px), (20, y + 5.0 + py), (42, bulge)]);
        }
        pairs(&list, "LWPOLYLINE");
    }
}
