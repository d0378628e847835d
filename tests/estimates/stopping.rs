//! An estimate that nobody waits for any more stops at the next look, wherever it is.
//!
//! How many looks there are is a property of the work; how long it takes between two is a benchmark (`growth`).

use kerfcast::drawing::Progress;
use kerfcast::estimate::{
    Axis, Wish, alternatives::ways_of_cutting, best_begin, by_the_clock, compare, sweep,
    wanted_plan, what_matters,
};
use kerfcast::geometry::{Contour, Point};
use kerfcast::job::Job;
use kerfcast::library::Library;
use kerfcast::plan::PathCache;
use kerfcast::profile::Profile;
use kerfcast::units::Length;
use std::f64::consts::TAU;

/// Something for every loop: teeth, rings in rings, holes side by side, a neck that closes, corners too sharp.
fn intricate() -> Profile {
    let mut shapes = vec![Contour::polygon(&[
        (-60.0, -60.0),
        (260.0, -60.0),
        (260.0, 160.0),
        (-60.0, 160.0),
    ])];
    let mut comb: Vec<(f64, f64)> = (0..40)
        .flat_map(|k| {
            let x = 2.0 * f64::from(k);
            [(x, 0.0), (x, 20.0), (x + 1.0, 20.0), (x + 1.0, 0.0)]
        })
        .collect();
    comb.extend([(80.0, 0.0), (80.0, -5.0), (0.0, -5.0)]);
    shapes.push(Contour::polygon(&comb));
    shapes.extend((1..12).map(|k| Contour::circle(Point::new(0.0, 80.0), 3.0 * f64::from(k))));
    for k in 0..18 {
        let (x, y) = (f64::from(k % 12) * 6.0, f64::from(k / 12) * 6.0);
        let gear = (0..40).map(|i| {
            let r = if i % 2 == 0 { 2.0 } else { 1.6 };
            let p = Point::at_angle(TAU * f64::from(i) / 40.0) * r;
            (100.0 + x + p.x, 60.0 + y + p.y)
        });
        shapes.push(Contour::polygon(&gear.collect::<Vec<_>>()));
    }
    shapes.push(Contour::polygon(&[
        (200.0, 0.0),
        (210.0, 0.0),
        (210.0, 4.9),
        (212.0, 4.9),
        (212.0, 0.0),
        (222.0, 0.0),
        (222.0, 10.0),
        (212.0, 10.0),
        (212.0, 5.1),
        (210.0, 5.1),
        (210.0, 10.0),
        (200.0, 10.0),
    ]));
    Profile::of_shapes(shapes)
}

fn job() -> Job {
    Job {
        thickness: Length::from_mm(30.0),
        quantity: 400,
        ..Job::starting(Library::built_in())
    }
}

/// Runs work to its end to count its looks, then stops it at many of them.
fn stops_everywhere<T: PartialEq + std::fmt::Debug>(least: u64, work: impl Fn(&PathCache) -> T) {
    let whole = Progress::default();
    let answer = whole.run(|| work(&PathCache::default()));
    let answer = answer.expect("nobody cancels");
    let looks = whole.looks();
    assert!(looks > least, "only {looks} looks");
    let threads = std::thread::available_parallelism().map_or(1, std::num::NonZero::get) as u64;
    let cache = PathCache::default();
    for share in 0..=12 {
        let at = 1 + (looks - 1) * share / 12;
        let progress = Progress::cancelling_at_look(at);
        let fresh = PathCache::default();
        let result = progress.run(|| work(&fresh));
        assert!(result.is_err(), "look {at} of {looks}");
        // Each thread that lays paths, and the one that waits for them, looks once more.
        let more = progress.looks() - at;
        assert!(
            more <= 2 * threads + 2,
            "{more} more looks after look {at} of {looks}"
        );
        // With paths that are known there is less to look at; stopped or not, what is remembered is whole.
        let again = Progress::cancelling_at_look(1 + at / 3);
        let _: Result<T, _> = again.run(|| work(&cache));
    }
    assert_eq!(work(&cache), answer);
}

#[test]
fn an_estimate_stops_at_the_very_look_that_finds_it_cancelled() {
    let (profile, job, library) = (intricate(), job(), Library::built_in());
    stops_everywhere(1_000, |cache| compare(&profile, &job, library, cache));
}

#[test]
fn curves_plans_and_nights_stop_too() {
    let (profile, job, library) = (intricate(), job(), Library::built_in());
    let candidate = &job.candidates[0];
    stops_everywhere(1_000, |cache| {
        sweep(&profile, &job, library, cache, Axis::all_passes(library))
    });
    stops_everywhere(1_000, |cache| {
        ways_of_cutting(&profile, &job, library, 0, cache)
    });
    stops_everywhere(1_000, |cache| {
        what_matters(&profile, &job, library, candidate, cache)
    });
    stops_everywhere(1_000, |cache| {
        wanted_plan(&profile, &job, library, &Wish::default(), cache)
    });
    let cache = PathCache::default();
    let comparison = compare(&profile, &job, library, &cache);
    let estimate = comparison.estimates.iter().find(|e| e.is_possible());
    // Where this drawing keeps every wire out, a plain one serves for the nights.
    let plain = Profile::of_shapes(vec![Contour::circle(Point::ORIGIN, 20.0)]);
    let other = compare(&plain, &job, library, &cache);
    let estimate = estimate.unwrap_or(&other.estimates[0]);
    let figures = estimate.figures.as_ref().expect("a wire that can do it");
    stops_everywhere(20, |_| {
        let clock = by_the_clock(figures, &estimate.candidate, &job, library);
        (
            clock,
            best_begin(figures, &estimate.candidate, &job, library),
        )
    });
}
