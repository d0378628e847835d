//! How long the geometry of wire paths takes: `cargo bench --bench wire_path`.
//!
//! The same gear through GEOS: `python3 tests/data/offset_oracle.py --time-gear`. The largest drawing of
//! the shared corpus that fits on a machine is used where it lies beside the project, else the gear.

use divan::{Bencher, black_box};
use kerfcast::drawing::{Progress, ReadOptions, read};
use kerfcast::estimate::compare;
use kerfcast::geometry::arc_recovery::recover_arcs;
use kerfcast::geometry::offset::{Side, offset};
use kerfcast::geometry::route::short_order;
use kerfcast::geometry::turning::{corner_excess, stretches};
use kerfcast::geometry::{Contour, Point, Vertex};
use kerfcast::job::{Candidate, Job};
use kerfcast::library::Library;
use kerfcast::plan::PathCache;
use kerfcast::profile::Profile;
use kerfcast::units::{Length, Minutes, Money};
use std::path::Path;
use std::sync::LazyLock;

fn main() {
    println!(
        "largest drawing: {} segments in {} contours",
        segments(&LARGEST),
        LARGEST.contours().len()
    );
    divan::main();
}

fn segments(p: &Profile) -> usize {
    p.contours().iter().map(|c| c.shape.len()).sum()
}

/// A gear of 125 teeth, chopped into chords: r = 60 + 3·tanh(4·sin 125 φ).
fn gear(vertices: u32) -> Contour {
    let points: Vec<(f64, f64)> = (0..vertices)
        .map(|k| {
            let t = std::f64::consts::TAU * f64::from(k) / f64::from(vertices);
            let r = 60.0 + 3.0 * (4.0 * (125.0 * t).sin()).tanh();
            (r * t.cos(), r * t.sin())
        })
        .collect();
    Contour::polygon(&points)
}

static LARGEST: LazyLock<Profile> = LazyLock::new(|| {
    let folder = std::env::var_os("KERFCAST_SHARED").map_or_else(
        || Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared"),
        Into::into,
    );
    let files = std::fs::read_dir(folder.join("dxf/corpus"))
        .into_iter()
        .flatten();
    files
        .filter_map(|f| {
            let bytes = std::fs::read(f.ok()?.path()).ok()?;
            Some(
                read(&bytes, &ReadOptions::default(), &Progress::default())
                    .ok()?
                    .profile,
            )
        })
        .filter(|p| p.bounds().diagonal() < 2000.0)
        .max_by_key(segments)
        .unwrap_or_else(|| Profile::of_shapes(vec![gear(37_500)]))
});

#[divan::bench(sample_count = 20)]
fn offset_of_a_gear_of_37500_vertices_inside(bencher: Bencher<'_, '_>) {
    let g = gear(37_500);
    bencher.bench(|| offset(black_box(&g), Side::Inside, 0.219));
}

#[divan::bench(sample_count = 20)]
fn offset_of_a_gear_of_37500_vertices_outside(bencher: Bencher<'_, '_>) {
    let g = gear(37_500);
    bencher.bench(|| offset(black_box(&g), Side::Outside, 0.219));
}

/// As every profile has it: its chords have become arcs again.
#[divan::bench(sample_count = 20)]
fn offset_of_that_gear_with_its_arcs_inside(bencher: Bencher<'_, '_>) {
    let g = recover_arcs(&gear(37_500));
    bencher.bench(|| offset(black_box(&g), Side::Inside, 0.219));
}

#[divan::bench(sample_count = 20)]
fn arcs_of_that_gear_recovered(bencher: Bencher<'_, '_>) {
    let g = gear(37_500);
    bencher.bench(|| recover_arcs(black_box(&g)));
}

#[divan::bench(sample_count = 20)]
fn four_passes_of_the_largest_drawing(bencher: Bencher<'_, '_>) {
    let job = Job {
        candidates: vec![Candidate::new("hard plain brass", 0.25)],
        ..Job::starting(Library::built_in())
    };
    bencher
        .with_inputs(PathCache::default)
        .bench_refs(|cache| compare(&LARGEST, &job, Library::built_in(), cache));
}

#[divan::bench]
fn order_of_1000_openings(bencher: Bencher<'_, '_>) {
    // A fixed linear congruential sequence: any points will do.
    let mut state = 1_u64;
    let mut next = || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        (state >> 33) as f64 / 2.0_f64.powi(31) * 500.0
    };
    let points: Vec<Point> = (0..1000).map(|_| Point::new(next(), next())).collect();
    bencher.bench(|| short_order(black_box(&points), None));
}

/// Six wires again, with every path in the cache.
fn again(bencher: Bencher<'_, '_>, change: impl Fn(&mut Job, usize) + Sync) {
    of(&LARGEST, bencher, change);
}

fn of(profile: &Profile, bencher: Bencher<'_, '_>, change: impl Fn(&mut Job, usize) + Sync) {
    let cache = PathCache::default();
    let job = Job::starting(Library::built_in());
    let _ = compare(profile, &job, Library::built_in(), &cache);
    let round = std::sync::atomic::AtomicUsize::new(0);
    bencher
        .with_inputs(|| {
            let mut job = job.clone();
            change(
                &mut job,
                round.fetch_add(1, std::sync::atomic::Ordering::Relaxed),
            );
            job
        })
        .bench_refs(|job| compare(profile, job, Library::built_in(), &cache));
}

/// A plate of so many openings, no two of one size: rectangles with round corners, and every third one a circle.
fn plate(openings: u32) -> Profile {
    let columns = f64::from(openings).sqrt().ceil() as u32;
    let side = 14.0 * f64::from(columns) + 10.0;
    let outline = Contour::polygon(&[(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)]);
    let opening = |k: u32| {
        let centre = Point::new(f64::from(k % columns), f64::from(k / columns)) * 14.0;
        let centre = centre + Point::new(12.0, 12.0);
        let half = 3.0 + 0.002 * f64::from(k);
        if k.is_multiple_of(3) {
            return Contour::circle(centre, half);
        }
        // A quarter turn has the bulge tan(π/8).
        let (r, bulge) = (1.0, (std::f64::consts::PI / 8.0).tan());
        let ways = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)];
        let corners = ways.into_iter().flat_map(|(x, y)| {
            let (along, across) = (Point::new(x, y), Point::new(y, -x));
            let side = centre + across * half;
            [
                Vertex {
                    at: side - along * (half - r),
                    bulge: 0.0,
                },
                Vertex {
                    at: side + along * (half - r),
                    bulge,
                },
            ]
        });
        Contour::new(corners.collect())
    };
    Profile::of_shapes(std::iter::once(outline).chain((0..openings).map(opening)))
}

#[divan::bench(args = [100, 500], sample_count = 30)]
fn six_wires_on_a_plate_of_openings_after_a_new_thickness(bencher: Bencher<'_, '_>, openings: u32) {
    of(&plate(openings), bencher, |job, k| {
        job.thickness = Length::from_mm(30.0 + 0.37 * k as f64);
    });
}

#[divan::bench(sample_count = 30)]
fn six_wires_after_a_new_thickness(bencher: Bencher<'_, '_>) {
    // Another one every time: windows that were asked for before are remembered.
    again(bencher, |job, k| {
        job.thickness = Length::from_mm(30.0 + 0.37 * k as f64);
    });
}

#[divan::bench(sample_count = 30)]
fn six_wires_after_a_new_price(bencher: Bencher<'_, '_>) {
    again(bencher, |job, k| {
        job.shop.wire_price = Money::from_amount(10.0 + k as f64 * 0.01);
    });
}

#[divan::bench(sample_count = 30)]
fn six_wires_after_a_new_material(bencher: Bencher<'_, '_>) {
    again(bencher, |job, k| {
        let materials = &Library::built_in().materials;
        job.material
            .clone_from(&materials[k % materials.len()].name);
    });
}

#[divan::bench]
fn corners_of_a_path_of_100000_segments(bencher: Bencher<'_, '_>) {
    let g = gear(100_000);
    bencher.bench(|| corner_excess(black_box(&g), 0.7, 0.65));
}

#[divan::bench]
fn stretches_of_a_path_of_100000_segments(bencher: Bencher<'_, '_>) {
    let g = gear(100_000);
    bencher.bench(|| stretches(black_box(&g), 0.7));
}

/// A job of one pass along a path of some 100 000 segments.
fn long_job() -> (Profile, Job) {
    // Coarse teeth, so that no chord is cleaned away.
    let waves = (0..100_000_u32)
        .map(|k| {
            let t = std::f64::consts::TAU * f64::from(k) / 100_000.0;
            let r = 3000.0 + if k % 2 == 0 { 0.01 } else { 0.0 };
            (r * t.cos(), r * t.sin())
        })
        .collect::<Vec<_>>();
    let job = Job {
        passes: 1,
        candidates: vec![Candidate::new("hard plain brass", 0.25)],
        ..Job::starting(Library::built_in())
    };
    (Profile::of_shapes(vec![Contour::polygon(&waves)]), job)
}

#[divan::bench(sample_count = 20)]
fn timeline_of_100000_segments_built(bencher: Bencher<'_, '_>) {
    let (p, job) = long_job();
    let c = compare(&p, &job, Library::built_in(), &PathCache::default());
    let e = &c.estimates[0];
    if let Some(t) = e.timeline(&p) {
        println!("{} segments and stretches", t.size());
    }
    bencher.bench(|| e.timeline(black_box(&p)));
}

/// A thousand look-ups all over the time: divide by a thousand.
#[divan::bench]
fn timeline_of_100000_segments_looked_up_1000_times(bencher: Bencher<'_, '_>) {
    let (p, job) = long_job();
    let c = compare(&p, &job, Library::built_in(), &PathCache::default());
    let Some(t) = c.estimates[0].timeline(&p) else {
        return;
    };
    let total = t.total().min_value();
    bencher.bench(|| {
        let mut at = 0.0;
        for _ in 0..1000 {
            at = (at + 0.618_034 * total) % total;
            black_box(t.at(black_box(Minutes::from_min(at))));
        }
    });
}
