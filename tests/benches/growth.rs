//! How the work grows with the size of drawings that nobody would cut: `cargo bench --bench growth`.
//!
//! For each shape seconds of this process' own work are measured at sizes that double, and an exponent is fitted:
//! 1 is in proportion to the size, 2 to its square. Divan tells times; a fit over sizes it does not make.

use kerfcast::drawing::{Progress, ReadOptions, read};
use kerfcast::estimate::compare;
use kerfcast::geometry::Point;
use kerfcast::job::Job;
use kerfcast::library::Library;
use kerfcast::plan::PathCache;
use kerfcast::units::Length;
use std::f64::consts::TAU;
use std::fmt::Write;
use std::time::Instant;

/// A shape of a size, as entities.
type Shape = fn(usize) -> String;

/// Shapes, their sizes, and whether the estimate belongs to it.
const SHAPES: [(&str, Shape, [usize; 4], bool); 10] = [
    ("scribble", scribble, [250, 500, 1000, 2000], true),
    (
        "noisy circle",
        noisy,
        [12_500, 25_000, 50_000, 100_000],
        true,
    ),
    (
        "lines on one line",
        lines,
        [12_500, 25_000, 50_000, 100_000],
        true,
    ),
    ("rings", rings, [500, 1000, 2000, 4000], true),
    ("comb", comb, [1250, 2500, 5000, 10_000], true),
    ("spline", spline, [12_500, 25_000, 50_000, 100_000], true),
    ("two necks", necks, [500, 1000, 2000, 4000], true),
    (
        "circles too close",
        close,
        [5000, 10_000, 20_000, 40_000],
        true,
    ),
    ("mixed", mixed, [12_500, 25_000, 50_000, 100_000], false),
    ("mixed, estimated", mixed, [1250, 2500, 5000, 10_000], true),
];

fn main() {
    for (name, shape, sizes, estimate) in SHAPES {
        let points: Vec<(f64, f64)> = sizes
            .iter()
            .map(|&n| (n as f64, seconds(&shape(n), estimate)))
            .collect();
        let told: Vec<String> = points
            .iter()
            .map(|(n, s)| format!("{n}: {s:.3} s"))
            .collect();
        println!(
            "{name:20} exponent {:.2}   {}",
            exponent(&points),
            told.join("   ")
        );
    }
}

/// Slope of the logarithms, by least squares; 10 ms are added to each, below which only the start is measured.
fn exponent(points: &[(f64, f64)]) -> f64 {
    let logs: Vec<(f64, f64)> = points
        .iter()
        .map(|(n, s)| (n.ln(), (s + 0.01).ln()))
        .collect();
    let count = logs.len() as f64;
    let mean = |f: fn(&(f64, f64)) -> f64| logs.iter().map(f).sum::<f64>() / count;
    let (x, y) = (mean(|p| p.0), mean(|p| p.1));
    let (mut both, mut own) = (0.0, 0.0);
    for p in &logs {
        both += (p.0 - x) * (p.1 - y);
        own += (p.0 - x).powi(2);
    }
    both / own
}

/// Seconds that reading and estimating take.
fn seconds(entities: &str, estimate: bool) -> f64 {
    let text = format!("0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n");
    let begun = worked();
    let drawing = read(
        text.as_bytes(),
        &ReadOptions::default(),
        &Progress::default(),
    );
    let drawing = drawing.expect("it is a drawing");
    if estimate {
        let library = Library::built_in();
        let job = Job {
            thickness: Length::from_mm(30.0),
            ..Job::starting(library)
        };
        std::hint::black_box(compare(
            &drawing.profile,
            &job,
            library,
            &PathCache::default(),
        ));
    }
    worked() - begun
}

/// Seconds that all threads of this process have worked, where Linux tells it, else seconds gone by.
fn worked() -> f64 {
    static BEGUN: std::sync::OnceLock<Instant> = std::sync::OnceLock::new();
    let since = BEGUN.get_or_init(Instant::now).elapsed().as_secs_f64();
    // User and system time are fields 14 and 15, in hundredths of a second; the name in brackets may hold spaces.
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let fields: Vec<&str> = stat
        .rsplit(')')
        .next()
        .unwrap_or("")
        .split_whitespace()
        .collect();
    let hundredths = |k: usize| fields.get(k).and_then(|f| f.parse::<f64>().ok());
    match (hundredths(11), hundredths(12)) {
        (Some(user), Some(system)) => (user + system) / 100.0,
        _ => since,
    }
}

/// A fixed linear congruential sequence in 0 to 1.
fn numbers() -> impl FnMut() -> f64 {
    let mut state = 1_u64;
    move || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1_u64 << 53) as f64
    }
}

fn closed(points: impl Iterator<Item = Point>) -> String {
    let mut out = String::from("0\nLWPOLYLINE\n8\n0\n70\n1\n");
    for p in points {
        let _ = write!(out, "10\n{:.9}\n20\n{:.9}\n", p.x, p.y);
    }
    out
}

fn circle(x: f64, y: f64, r: f64) -> String {
    format!("0\nCIRCLE\n8\n0\n10\n{x}\n20\n{y}\n40\n{r}\n")
}

fn line(a: Point, b: Point) -> String {
    format!(
        "0\nLINE\n8\n0\n10\n{}\n20\n{}\n11\n{}\n21\n{}\n",
        a.x, a.y, b.x, b.y
    )
}

fn scribble(n: usize) -> String {
    let mut next = numbers();
    closed((0..n).map(|_| Point::new(next() * 100.0, next() * 100.0)))
}

fn noisy(n: usize) -> String {
    let mut next = numbers();
    closed((0..n).map(|k| Point::at_angle(TAU * k as f64 / n as f64) * (50.0 + 0.02 * next())))
}

fn lines(n: usize) -> String {
    let at = |t: f64| Point::new(t, 0.0);
    (0..n)
        .map(|k| line(at(0.01 * k as f64), at(0.01 * k as f64 + 50.0)))
        .collect()
}

fn rings(n: usize) -> String {
    (0..n)
        .map(|k| circle(0.0, 0.0, 1.0 + 0.5 * k as f64))
        .collect()
}

fn comb(n: usize) -> String {
    let teeth = (0..n).flat_map(|k| {
        let x = 2.0 * k as f64;
        [(x, 0.0), (x, 20.0), (x + 1.0, 20.0), (x + 1.0, 0.0)]
    });
    let back = [(2.0 * n as f64, 0.0), (2.0 * n as f64, -5.0), (0.0, -5.0)];
    closed(teeth.chain(back).map(|(x, y)| Point::new(x, y)))
}

fn spline(n: usize) -> String {
    let mut next = numbers();
    let mut out = String::from("0\nSPLINE\n8\n0\n70\n8\n71\n3\n");
    for k in 0..n + 4 {
        let knot = k.saturating_sub(3).min(n - 3);
        let _ = write!(out, "40\n{knot}\n");
    }
    for k in 0..n {
        let p = Point::at_angle(TAU * k as f64 / (n - 1) as f64) * (100.0 + 0.02 * next());
        let _ = write!(out, "10\n{:.9}\n20\n{:.9}\n30\n0\n", p.x, p.y);
    }
    out
}

/// Chambers of many chords joined by two necks that leave the rough of a usual wire 2 nm.
fn necks(n: usize) -> String {
    let half = 0.219 + 1e-6;
    let chamber = |middle: f64, from: f64, to: f64| {
        let m = n / 4;
        (0..=m).map(move |k| {
            let angle = from + (to - from) * k as f64 / m as f64;
            let wave = 10.0 + 0.3 * (40.0 * angle).sin();
            Point::new(middle, 0.0) + Point::at_angle(angle) * wave
        })
    };
    let mouth = (half / 10.0_f64).asin();
    let pi = TAU / 2.0;
    closed(
        chamber(0.0, mouth, TAU - mouth)
            .chain(chamber(25.0, pi + mouth, TAU - mouth))
            .chain(chamber(50.0, pi + mouth, 3.0 * pi - mouth))
            .chain(chamber(25.0, mouth, pi - mouth)),
    )
}

fn close(n: usize) -> String {
    let columns = (n as f64).sqrt().ceil() as usize;
    (0..n)
        .map(|k| circle(2.1 * (k % columns) as f64, 2.1 * (k / columns) as f64, 1.0))
        .collect()
}

/// Half short lines, a fifth arcs, a fifth closed polylines with bulges, a tenth splines, at random places.
fn mixed(n: usize) -> String {
    let mut next = numbers();
    let side = 4.0 * (n as f64).sqrt();
    let mut out = String::new();
    for k in 0..n {
        let p = Point::new(next() * side, next() * side);
        match k % 10 {
            0..5 => out += &line(p, p + Point::at_angle(next() * TAU) * (1.0 + 7.0 * next())),
            5 | 6 => {
                let (r, from) = (0.5 + 3.5 * next(), 360.0 * next());
                let to = from + 20.0 + 280.0 * next();
                let _ = write!(
                    out,
                    "0\nARC\n8\n0\n10\n{}\n20\n{}\n40\n{r}\n50\n{from}\n51\n{to}\n",
                    p.x, p.y
                );
            }
            7 | 8 => {
                out.push_str("0\nLWPOLYLINE\n8\n0\n70\n1\n");
                for angle in [0.0, 1.5, 3.1, 4.7] {
                    let q = p + Point::at_angle(angle) * (1.0 + 4.0 * next());
                    let _ = write!(out, "10\n{}\n20\n{}\n42\n{}\n", q.x, q.y, next() - 0.5);
                }
            }
            _ => {
                out.push_str("0\nSPLINE\n8\n0\n70\n8\n71\n3\n");
                for knot in [0.0, 0.0, 0.0, 0.0, 0.5, 1.0, 1.0, 1.0, 1.0] {
                    let _ = write!(out, "40\n{knot}\n");
                }
                for _ in 0..5 {
                    let _ = write!(
                        out,
                        "10\n{}\n20\n{}\n30\n0\n",
                        p.x + 6.0 * next(),
                        p.y + 6.0 * next()
                    );
                }
            }
        }
    }
    out
}
