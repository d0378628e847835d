//! Explained differences, sweeps, what matters most and pass advice on whole drawings.

use kerfcast::drawing::{Progress, ReadOptions, read};
use kerfcast::estimate::{
    Actual, Axis, Comparison, Difference, Figures, compare, price_of_last_pass, sweep, variants,
    what_matters, why_actual, why_different,
};
use kerfcast::job::{Candidate, Job};
use kerfcast::library::Library;
use kerfcast::plan::{PathCache, Share, StepKind};
use kerfcast::profile::Profile;
use kerfcast::units::{Length, Minutes};
use std::fmt::Write as _;

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
    let outer = (0..p.contours().len()).filter(|&k| p.contours()[k].depth == 0);
    let solid = p.only(&outer.collect::<Vec<_>>(), &[]);
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
    // Four openings less: four slugs, and eight threadings, because each is threaded again for its tab's stretch.
    let of = |share| {
        let part = found.why.parts.iter().find(|s| s.share == share).unwrap();
        part.difference().min_value()
    };
    assert!((of(Share::Threading) + 8.0 * l.overheads.automatic_threading.value).abs() < 1e-9);
    assert!((of(Share::SlugStops) + 4.0 * l.overheads.slug_removal.value).abs() < 1e-9);
    // One machine, one wire, and every step is there in both or only in one: faster with certainty.
    let d = found.difference;
    assert_eq!(d.minutes.probability_less, Some(1.0));
    assert!(d.minutes.range.1 <= 0.0 && d.minutes.range.0 < d.minutes.share);
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
    // The allowance for what runs long moves with them, by some per cent of that.
    assert!((by_time[0].minutes_swing().min_value() - swing).abs() < 0.05 * swing);
    assert!(all.is_sorted_by(|a, b| a.cost_swing().amount() >= b.cost_swing().amount()));
    for name in [
        "wire: zinc-coated brass",
        "skims",
        "wire speed",
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
    j.thickness = Length::from_mm(40.0);
    j.candidates = [
        "hard plain brass",
        "zinc-coated brass",
        "beta-phase annealed brass",
        "gamma-phase annealed brass",
        "copper-core annealed",
        "hard plain brass",
    ]
    .map(|w| Candidate::new(w, 0.25))
    .to_vec();
    let c = compare(&p, &j, l, &PathCache::default());
    let f = |k: usize| c.estimates[k].figures.as_ref().unwrap();
    for k in 1..5 {
        let d = c.difference(k).unwrap();
        let speed = &l.wire(&j.candidates[k].wire).unwrap().relative_speed;
        // The wire's own factor θ, a Gaussian, is all that the two do not share; threading and stops are the same. So
        // the other is faster where θ > ln(its minutes in the work / those of plain brass). Breaks, and skims
        // held at their ceiling, have doubts of their own, which move the fourth digit.
        let in_the_work = |k: usize| -> f64 {
            let steps = f(k).steps.iter();
            let shared = [
                StepKind::Move,
                StepKind::Threading,
                StepKind::Secure,
                StepKind::SlugStop,
                StepKind::PartStop,
                StepKind::Allowance,
            ];
            let own = steps.filter(|s| !shared.contains(&s.kind));
            own.map(|s| s.minutes.min_value()).sum()
        };
        let gain: f64 = (in_the_work(0) / in_the_work(k)).ln();
        let expected = gaussian_below(gain / speed.log_sd().unwrap());
        let found = d.minutes.probability_less.unwrap();
        assert!(
            (found - expected).abs() < 1e-3,
            "{}: {found} {expected}",
            j.candidates[k].wire
        );
        // Much narrower than the range of either: machine and material are shared.
        let own = (f(k).minutes.high / f(k).minutes.median).ln();
        let both = ((1.0 + d.minutes.range.1) / (1.0 + d.minutes.share)).ln();
        assert!(both < 0.5 * own, "{both} {own}");
        assert!(d.minutes.range.0 < d.minutes.share && d.minutes.share < d.minutes.range.1);
    }
    // The same wire again: exactly the same, and nobody wins.
    let same = c.difference(5).unwrap();
    for against in [same.minutes, same.wire, same.cost, same.cash] {
        assert_eq!(
            (against.share, against.range, against.probability_less),
            (0.0, (0.0, 0.0), None)
        );
    }
    // Every figure has its range.
    let g = f(3);
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

/// A square plate with round openings of these radii.
fn plate(side: f64, radii: &[f64]) -> Profile {
    let mut entities = format!(
        "0\nLWPOLYLINE\n8\n0\n90\n4\n70\n1\n10\n0\n20\n0\n10\n{side}\n20\n0\n10\n{side}\n20\n{side}\n10\n0\n20\n{side}\n"
    );
    for (k, r) in radii.iter().enumerate() {
        let x = 12.0 + 20.0 * k as f64;
        let _ = write!(entities, "0\nCIRCLE\n8\n0\n10\n{x}\n20\n20\n40\n{r}\n");
    }
    let text = format!("0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n");
    let options = ReadOptions {
        units: "mm".parse().expect("a unit"),
        ..ReadOptions::default()
    };
    read(text.as_bytes(), &options, &Progress::default())
        .expect("reads")
        .profile
}

fn on_plain_brass(profile: &Profile) -> Comparison {
    let mut j = job();
    j.candidates.truncate(1);
    compare(profile, &j, Library::built_in(), &PathCache::default())
}

#[test]
fn a_path_that_is_shorter_is_faster_and_the_same_drawing_is_the_same() {
    let l = Library::built_in();
    // A fixed sequence, so that a failure can be looked at again: the multiplier of the ANSI C standard's example.
    let mut state = 20_261_u32;
    let mut next = |low: f64, high: f64| {
        state = state.wrapping_mul(1_103_515_245).wrapping_add(12_345);
        low + (high - low) * f64::from(state >> 16 & 0x7fff) / 32_768.0
    };
    for _ in 0..2000 {
        let n = 1 + next(0.0, 4.0) as usize;
        let radii: Vec<f64> = (0..n).map(|_| next(2.0, 8.0)).collect();
        let side = 12.0 + 20.0 * n as f64 + next(0.0, 60.0);
        let mut less = radii.clone();
        // Smaller from hardly to clearly.
        less[next(0.0, n as f64) as usize] *= 1.0 - 10.0_f64.powf(next(-4.0, -0.5));
        let (a, b) = (
            on_plain_brass(&plate(side, &radii)),
            on_plain_brass(&plate(side, &less)),
        );
        let figures = |c: &Comparison| c.estimates[0].figures.clone().expect("possible");
        let d = Difference::between(&figures(&b), &figures(&a), l);
        assert!(
            d.minutes.probability_less.unwrap() >= 0.99,
            "{radii:?} {less:?} {side} {d:?}"
        );
        assert!(
            d.wire.probability_less.unwrap() >= 0.99 && d.cost.probability_less.unwrap() >= 0.99
        );
        assert!(d.minutes.range.1 <= 0.0 && d.minutes.share < 0.0);
        let same = Difference::between(&figures(&a), &figures(&a), l);
        for against in [same.minutes, same.wire, same.cost, same.cash] {
            assert_eq!(
                (against.share, against.range, against.probability_less),
                (0.0, (0.0, 0.0), None)
            );
        }
        let mirrored = Difference::between(&figures(&a), &figures(&b), l);
        assert!(mirrored.minutes.probability_less.unwrap() <= 0.01);
    }
}

/// Probability that a standard normal variable lies below `z`: its density added up by Simpson's rule.
fn gaussian_below(z: f64) -> f64 {
    let (from, n) = (-12.0, 20_000);
    let h = (z - from) / f64::from(n);
    let density = |x: f64| (-0.5 * x * x).exp() / (2.0 * std::f64::consts::PI).sqrt();
    let inner: f64 = (1..n)
        .map(|k| f64::from(2 * (k % 2) + 2) * density(from + f64::from(k) * h))
        .sum();
    (density(from) + inner + density(z)) * h / 3.0
}

/// Normal deviates from a fixed sequence: the multiplier of the ANSI C standard's example, and the polar form of G. E. P.
/// Box and M. E. Muller, "A note on the generation of random normal deviates", Ann. Math. Statist. 29 (1958) 610–611.
struct Normal(u64);

impl Normal {
    fn uniform(&mut self) -> f64 {
        // Knuth's 64-bit linear congruence, MMIX (from memory); the high bits alone are used.
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }
    fn next(&mut self, sd: f64) -> f64 {
        let (u, v) = (self.uniform(), self.uniform());
        sd * (-2.0 * u.ln()).sqrt() * (2.0 * std::f64::consts::PI * v).cos()
    }
}

/// All samples, and a plate of 155 mm with a hundred holes of 8 mm.
fn profiles() -> Vec<(String, Profile)> {
    let open = |bytes: &[u8]| {
        let drawing = read(bytes, &ReadOptions::default(), &Progress::default());
        drawing.expect("it reads").profile
    };
    let samples = kerfcast::samples::ALL.iter();
    let mut all: Vec<_> = samples
        .map(|s| (s.name.to_owned(), open(s.bytes)))
        .collect();
    let mut text =
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n"
            .to_owned();
    text += "0\nLWPOLYLINE\n8\n0\n90\n4\n70\n1\n10\n0\n20\n0\n10\n155\n20\n0\n10\n155\n20\n155\n10\n0\n20\n155\n";
    for k in 0..100 {
        let (x, y) = (10 + 15 * (k % 10), 10 + 15 * (k / 10));
        let _ = write!(text, "0\nCIRCLE\n8\n0\n10\n{x}\n20\n{y}\n40\n4\n");
    }
    text += "0\nENDSEC\n0\nEOF\n";
    all.push(("a hundred holes".to_owned(), open(text.as_bytes())));
    all
}

/// Where a figure lies among so many drawings of its factors: its median against theirs, and how many its range holds.
fn among(mut drawn: Vec<f64>, median: f64, (low, high): (f64, f64)) -> (f64, f64) {
    drawn.sort_by(f64::total_cmp);
    let middle = median / drawn[drawn.len() / 2] - 1.0;
    let held = drawn.iter().filter(|t| (low..=high).contains(*t)).count();
    (middle, held as f64 / drawn.len() as f64)
}

#[test]
#[allow(clippy::too_many_lines)] // A list of factors, drawn one by one.
fn medians_and_ranges_of_the_whole_are_those_of_the_models_own_factors() {
    // Each factor drawn by itself, with the standard deviations of logarithms that the model states: machine 0.35, a
    // material and a wire half of ln(high/low), the diameter 0.30 on ln f_d, the thickness 0.03 and 0.15 on both sides
    // of its plateau, skims 0.25, a single cut 0.10; what comes on top of cutting a quarter of ln(high/low). The run-off
    // 0.10 in all.
    const DRAWN: usize = 20_000;
    let library = Library::built_in();
    let o = &library.overheads;
    let own = |v: &kerfcast::standing::Value, part: f64| {
        let (low, high) = v.low.zip(v.high).expect("it has a range");
        (high / low).ln() / part
    };
    let of = |v: &kerfcast::standing::Value| own(v, 4.0);
    let mut normal = Normal(20_261);
    for (name, profile) in profiles() {
        let cache = PathCache::default();
        for thickness in [5.0, 20.0, 40.0, 150.0] {
            let mut job = Job {
                thickness: Length::from_mm(thickness),
                ..Job::starting(library)
            };
            job.candidates = vec![
                Candidate::new("hard plain brass", 0.25),
                Candidate::new("zinc-coated brass", 0.20),
            ];
            for e in compare(&profile, &job, library, &cache).estimates {
                let Some(f) = e.figures else { continue };
                let d = e.candidate.diameter.mm();
                let (from, to) = (60.0 * d / 0.25, 100.0 * d / 0.25);
                let below = (thickness.clamp(3.0, from) / from).ln().powi(2);
                let above = (thickness.max(to) / to).ln().powi(2);
                let material = library.material(&job.material).expect("known");
                let wire = library.wire(&e.candidate.wire).expect("known");
                let speed = [
                    0.35,
                    own(&material.relative_speed, 2.0),
                    own(&wire.relative_speed, 2.0),
                    0.30 * 1.2 * (d / 0.25).ln().abs(),
                    0.03 * below,
                    0.15 * above,
                    0.10,
                ];
                let stop = [StepKind::Secure, StepKind::SlugStop, StepKind::PartStop];
                let steps = |of: &dyn Fn(&kerfcast::plan::Step) -> bool| {
                    let own = f.steps.iter().filter(|s| of(s));
                    own.fold([0.0; 3], |[all, there, wire], s| {
                        let minutes = s.minutes.min_value();
                        let stood = if s.attended { minutes } else { 0.0 };
                        [all + minutes, there + stood, wire + s.wire.m()]
                    })
                };
                let rough = steps(&|s| s.is_rough());
                let skims = steps(&|s| s.is_skim());
                let threading = steps(&|s| s.kind == StepKind::Threading);
                let stops = steps(&|s| stop.contains(&s.kind));
                let moves = steps(&|s| s.kind == StepKind::Move);
                let breaks = steps(&|s| s.kind == StepKind::Breaks);
                let allowed = f.allowance().expect("much may run long");
                let groups = [rough, skims, threading, stops, moves, breaks];
                let all: f64 = groups.iter().map(|g| g[0]).sum();
                let all = all + allowed.minutes.min_value();
                assert!((all / f.minutes.median.min_value() - 1.0).abs() < 1e-9);
                let (s, c) = (&job.shop, &f.cost);
                let rate = (s.machine_rate + s.consumables).amount() / 60.0;
                let labour = s.labour_rate.amount() / 60.0;
                let a_metre = c.wire.amount() / f.wire.median.m();
                let holes = f.start_holes as f64 * labour;
                let (mut times, mut wires, mut costs) = (vec![], vec![], vec![]);
                for _ in 0..DRAWN {
                    let cutting: f64 = speed.iter().map(|sd| normal.next(*sd)).sum();
                    let cutting = (-cutting).exp();
                    let slow_skims = normal.next(0.25).exp();
                    let run_off = normal.next(0.10).exp();
                    let more_breaks = normal.next(of(&o.breaks_in_rough)).exp();
                    let by = [
                        cutting,
                        cutting * slow_skims,
                        normal.next(of(&o.automatic_threading)).exp(),
                        normal.next(of(&o.slug_removal)).exp(),
                        normal.next(of(&o.rapid)).exp(),
                        cutting * more_breaks,
                    ];
                    let sum =
                        |k: usize| groups.iter().zip(by).map(|(g, by)| g[k] * by).sum::<f64>();
                    let (time, there) = (sum(0), sum(1));
                    let waste = normal.next(of(&o.threading_waste)).exp();
                    let metres = cutting * run_off * (rough[2] + skims[2] * slow_skims)
                        + waste * (threading[2] + breaks[2] * cutting * more_breaks);
                    let drilling = o.hole_setup.value * normal.next(of(&o.hole_setup)).exp()
                        + thickness / o.hole_drilling.value
                            * normal.next(of(&o.hole_drilling)).exp();
                    let once = [
                        (c.setup, &o.setup),
                        (c.programming, &o.programming),
                        (c.inspection, &o.inspection),
                        (c.loading, &o.loading),
                        (c.dressing, &o.dressing),
                    ];
                    let once = once.map(|(m, v)| m.amount() * normal.next(of(v)).exp());
                    times.push(time);
                    wires.push(metres);
                    costs.push(
                        rate * time
                            + labour * there
                            + a_metre * metres
                            + holes * drilling
                            + once.iter().sum::<f64>(),
                    );
                }
                let time = &f.minutes;
                let cost = &f.cost.part;
                for (what, (middle, held)) in [
                    (
                        "time",
                        among(
                            times,
                            time.median.min_value(),
                            (time.low.min_value(), time.high.min_value()),
                        ),
                    ),
                    (
                        "wire",
                        among(wires, f.wire.median.m(), (f.wire.low.m(), f.wire.high.m())),
                    ),
                    (
                        "cost",
                        among(
                            costs,
                            cost.median.amount(),
                            (cost.low.amount(), cost.high.amount()),
                        ),
                    ),
                ] {
                    let case = format!("{what} of {name}, {thickness} mm, Ø {d}: {middle} {held}");
                    assert!(middle.abs() < 0.03, "{case}");
                    assert!((0.64..=0.72).contains(&held), "{case}");
                }
                assert!(time.low < time.median && time.median < time.high);
            }
        }
    }
}

#[test]
fn thicker_work_never_takes_less_nor_less_at_the_upper_end() {
    let library = Library::built_in();
    let steps = (0..=48).map(|k| 0.05 * (1.2_f64).powi(k));
    let thicknesses: Vec<f64> = steps
        .chain([3.0, 3.2, 3.4, 3.6, 4.0, 10.0, 48.0, 60.0, 80.0, 100.0])
        .collect();
    let mut thicknesses: Vec<f64> = thicknesses.into_iter().filter(|t| *t <= 400.0).collect();
    thicknesses.sort_by(f64::total_cmp);
    let mut tried = 0;
    for (name, profile) in profiles() {
        let cache = PathCache::default();
        let mut before: Vec<Option<(f64, f64)>> = Vec::new();
        for thickness in &thicknesses {
            let mut job = Job {
                thickness: Length::from_mm(*thickness),
                ..Job::starting(library)
            };
            let all = library.wires.iter();
            job.candidates = all
                .flat_map(|w| [0.20, 0.25].map(|d| Candidate::new(&w.name, d)))
                .collect();
            let now: Vec<Option<(f64, f64)>> = compare(&profile, &job, library, &cache)
                .estimates
                .iter()
                .map(|e| e.figures.as_ref())
                .map(|f| Some((f?.minutes.median.min_value(), f?.minutes.high.min_value())))
                .collect();
            for (k, (was, is)) in before.iter().zip(&now).enumerate() {
                let (Some(was), Some(is)) = (was, is) else {
                    continue;
                };
                let case = || {
                    format!(
                        "{name}, {thickness} mm, {:?}: {was:?} {is:?}",
                        job.candidates[k]
                    )
                };
                assert!(is.0 >= was.0 * (1.0 - 1e-12), "{}", case());
                assert!(is.1 >= was.1 * (1.0 - 1e-12), "{}", case());
                tried += 1;
            }
            before = now;
        }
    }
    assert!(tried > 3000, "{tried}");
}
