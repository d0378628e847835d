//! Explained differences, sweeps, what matters most and pass advice on whole drawings.

use kerfcast::drawing::{Progress, ReadOptions, read};
use kerfcast::estimate::{
    Actual, Axis, Difference, Figures, compare, price_of_last_pass, sweep, variants, what_matters,
    why_actual, why_different,
};
use kerfcast::job::{Candidate, Job};
use kerfcast::library::Library;
use kerfcast::plan::{PathCache, Share};
use kerfcast::profile::Profile;
use kerfcast::units::{Length, Minutes};

fn cam() -> Profile {
    let sample = kerfcast::samples::first();
    read(sample.bytes, &ReadOptions::default(), &Progress::default())
        .expect("the sample reads")
        .profile
}

fn figures(profile: &Profile, job: &Job, candidate: usize) -> Figures {
    let c = compare(profile, job, Library::built_in(), &PathCache::default());
    c.estimates[candidate].figures.clone().expect("possible")
}

fn job() -> Job {
    Job {
        thickness: Length::from_mm(60.0),
        ..Job::starting(Library::built_in())
    }
}

#[test]
fn a_difference_is_the_sum_of_its_parts() {
    let p = cam();
    let (a, b) = (figures(&p, &job(), 0), figures(&p, &job(), 3));
    let thick = Job {
        thickness: Length::from_mm(80.0),
        passes: 2,
        ..job()
    };
    for (from, to) in [(&a, &b), (&b, &a), (&a, &figures(&p, &thick, 1))] {
        let why = why_different(from, to);
        let minutes = to.minutes.median - from.minutes.median;
        let parts: f64 = why.parts.iter().map(|s| s.difference().min_value()).sum();
        assert!((parts - why.minutes.min_value()).abs() < 1e-12 * from.minutes.median.min_value());
        assert!(
            (why.minutes - minutes).min_value().abs() < 1e-12 * from.minutes.median.min_value()
        );
        let w = why.wire.unwrap();
        let metres = (to.wire.median - from.wire.median).m();
        assert!(
            ((w.by_time + w.by_run_off + w.by_threading).m() - metres).abs()
                < 1e-12 * from.wire.median.m()
        );
    }
    // Same plan, same diameter: run-off is the same, so all of the saving is time (and a few expected breaks).
    let why = why_different(&a, &b);
    let w = why.wire.unwrap();
    assert!(w.by_run_off.m().abs() < 1e-9 * w.by_time.m().abs());
    // The speed factor of 1.30 says how much: rough minutes fall to 1/1.30.
    let rough = why.parts.iter().find(|s| s.share == Share::Rough).unwrap();
    assert!((rough.after / rough.before - 1.0 / 1.30).abs() < 1e-9);
}

#[test]
fn two_geometries_are_split_like_two_wires() {
    // The same plate without its openings: what is missing is rough, skims, threading, stops, moves, and nothing else.
    let (p, l) = (cam(), Library::built_in());
    let mut solid = p.clone();
    solid.contours.retain(|c| c.depth == 0);
    let j = job();
    let wire = &j.candidates[0];
    let (all, less) = (figures(&p, &j, 0), figures(&solid, &j, 0));
    let found = variants((&j, wire, &all), (&j, wire, &less), l);
    assert!(found.decided.is_empty());
    let parts: f64 = found
        .why
        .parts
        .iter()
        .map(|s| s.difference().min_value())
        .sum();
    let minutes = (less.minutes.median - all.minutes.median).min_value();
    assert!(minutes < 0.0 && (parts - minutes).abs() < 1e-9);
    let w = found.why.wire.unwrap();
    let metres = (less.wire.median - all.wire.median).m();
    assert!(((w.by_time + w.by_run_off + w.by_threading).m() - metres).abs() < 1e-9);
    // Four openings: four threadings and four slugs less.
    let of = |share| {
        let part = found.why.parts.iter().find(|s| s.share == share).unwrap();
        part.difference().min_value()
    };
    assert!((of(Share::Threading) + 4.0 * l.overheads.automatic_threading.value).abs() < 1e-9);
    assert!((of(Share::SlugStops) + 4.0 * l.overheads.slug_removal.value).abs() < 1e-9);
    // One machine, one wire: what is left in doubt is hardly more than the noise of two cuts.
    let d = found.difference;
    assert!(d.probability_faster > 0.9);
    assert!(((1.0 + d.minutes_range.1) / (1.0 + d.minutes)).ln() < 0.2);
}

#[test]
fn an_estimate_against_what_happened() {
    let a = figures(&cam(), &job(), 0);
    let cutting: Minutes = [Share::Rough, Share::Skims, Share::Corners]
        .into_iter()
        .map(|s| a.share(s))
        .sum();
    let why = why_actual(
        &a,
        &Actual {
            cutting: cutting * 1.2,
            others: None,
            wire: Some(a.wire.median * 1.2),
        },
    );
    assert!(why.cutting_in_proportion);
    assert!((why.minutes.min_value() - 0.2 * cutting.min_value()).abs() < 1e-9);
    let w = why.wire.unwrap();
    assert!((w.difference.m() - 0.2 * a.wire.median.m()).abs() < 1e-9);
    assert!(w.by_time.m() > 0.98 * w.difference.m());
}

#[test]
fn sweeps_meet_the_estimates_at_their_points_and_carry_bands() {
    let (p, j, l, cache) = (cam(), job(), Library::built_in(), PathCache::default());
    let (low, high) = (Length::from_mm(5.0), Length::from_mm(120.0));
    let s = sweep(&p, &j, l, &cache, Axis::thicknesses(low, high, 7));
    assert_eq!(
        (s.points.len(), s.candidates.len()),
        (7, j.candidates.len())
    );
    let Axis::Thickness(at) = &s.axis else {
        panic!()
    };
    assert_eq!((at[0], at[6]), (low, high));
    let mut last = 0.0;
    for (h, point) in at.iter().zip(&s.points) {
        let swept = point.candidates[0].unwrap();
        let own = figures(
            &p,
            &Job {
                thickness: *h,
                ..j.clone()
            },
            0,
        );
        assert_eq!(
            (swept.minutes, swept.wire, swept.cost),
            (own.minutes, own.wire, own.cost.part)
        );
        assert!(
            swept.minutes.low < swept.minutes.median && swept.minutes.median < swept.minutes.high
        );
        // Thicker work takes longer.
        assert!(swept.minutes.median.min_value() > last);
        last = swept.minutes.median.min_value();
    }
    let s = sweep(&p, &j, l, &cache, Axis::all_passes(l));
    assert_eq!(s.points.len(), 6);
    let s = sweep(&p, &j, l, &cache, Axis::all_materials(l));
    assert_eq!(s.points.len(), l.materials.len());
    // Aluminium cuts faster than steel, carbide slower (common practice, no source).
    let at = |name: &str| {
        let k = l.materials.iter().position(|m| m.name == name).unwrap();
        s.points[k].candidates[0].unwrap().minutes.median
    };
    assert!(at("aluminium 6061-T6") < at("cold-work tool steel"));
    assert!(at("tungsten carbide") > at("cold-work tool steel"));
}

#[test]
fn the_machine_matters_most_until_cuts_are_logged() {
    let (p, j, l, cache) = (cam(), job(), Library::built_in(), PathCache::default());
    let all = what_matters(&p, &j, l, &j.candidates[1], &cache);
    let mut by_time = all.clone();
    by_time.sort_by(|a, b| {
        b.minutes_swing()
            .min_value()
            .total_cmp(&a.minutes_swing().min_value())
    });
    assert_eq!(by_time[0].name, "machine");
    // e^±0.35 on the speed: the cutting minutes go with its inverse, and expected breaks with the rough.
    assert!((by_time[0].input.1 - 0.35_f64.exp()).abs() < 1e-12);
    let f = figures(&p, &j, 1);
    let moving: f64 = [Share::Rough, Share::Skims, Share::Corners, Share::Breaks]
        .into_iter()
        .map(|s| f.share(s).min_value())
        .sum();
    let swing = moving * (0.35_f64.exp() - (-0.35_f64).exp());
    assert!((by_time[0].minutes_swing().min_value() - swing).abs() < 1e-9 * swing);
    assert!(all.is_sorted_by(|a, b| a.cost_swing().amount() >= b.cost_swing().amount()));
    for name in [
        "wire: zinc-coated brass",
        "skims",
        "run-off",
        "machine rate",
        "taking a piece out",
        "wire price",
    ] {
        assert!(all.iter().any(|m| m.name == name), "{name}");
    }
}

#[test]
fn the_last_pass_has_its_price() {
    let (p, j, l, cache) = (cam(), job(), Library::built_in(), PathCache::default());
    let last = price_of_last_pass(&p, &j, l, &j.candidates[0], 4, &cache).unwrap();
    let three = figures(
        &p,
        &Job {
            passes: 3,
            ..j.clone()
        },
        0,
    );
    let four = figures(&p, &j, 0);
    assert_eq!(last.minutes, four.minutes.median - three.minutes.median);
    assert!(last.minutes.min_value() > 0.0 && last.cost.amount() > 0.0 && last.wire.m() > 0.0);
    assert!(price_of_last_pass(&p, &j, l, &j.candidates[0], 1, &cache).is_none());
}

#[test]
fn the_ranking_of_wires_rests_on_the_wire() {
    let (p, l) = (cam(), Library::built_in());
    let mut j = job();
    j.candidates = vec![
        Candidate::new("hard plain brass", 0.25),
        Candidate::new("gamma-phase annealed brass", 0.25),
        Candidate::new("hard plain brass", 0.25),
    ];
    let c = compare(&p, &j, l, &PathCache::default());
    let d = c.difference(1).unwrap();
    let f = |k: usize| c.estimates[k].figures.as_ref().unwrap();
    // Much narrower than the range of either: machine and material are shared.
    let own = (f(1).minutes.high / f(1).minutes.median).ln();
    let both = ((1.0 + d.minutes_range.1) / (1.0 + d.minutes)).ln();
    assert!(both < 0.5 * own, "{both} {own}");
    // By hand: ln 1.30 over the wire's 0.123 and the noise of two cuts, 0.141; stops, threading and the
    // little that does not cancel because of them shift it by a few hundredths.
    let z: f64 = 1.30_f64.ln() / (0.1228_f64.powi(2) + 0.02).sqrt();
    assert!((z - 1.40).abs() < 0.01);
    assert!(
        (d.probability_faster - 0.919).abs() < 0.01,
        "{}",
        d.probability_faster
    );
    assert!(d.minutes_range.0 < d.minutes && d.minutes < d.minutes_range.1);
    // The same wire again: as likely faster as slower.
    let same = c.difference(2).unwrap();
    assert_eq!((same.minutes, same.wire, same.cost), (0.0, 0.0, 0.0));
    assert!((same.probability_faster - 0.5).abs() < 1e-6);
    assert_eq!(Difference::between(f(1), f(0), l), d);
    // Every figure has its range.
    let g = f(1);
    assert!(
        g.parts_per_week_range.0 <= g.parts_per_week
            && g.parts_per_week <= g.parts_per_week_range.1
    );
    for r in [
        g.spools_ranged(),
        kerfcast::estimate::Ranged {
            median: g.wire_mass.kg(),
            low: g.wire_mass_ranged().low.kg(),
            high: g.wire_mass_ranged().high.kg(),
        },
    ] {
        assert!(r.low < r.median && r.median < r.high);
    }
}
