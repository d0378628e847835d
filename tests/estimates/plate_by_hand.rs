//! Whole estimates against arithmetic on paper, and what must not change them.

use kerfcast::estimate::{Estimate, Figures, Question, compare, explain};
use kerfcast::geometry::{Contour, Point, Vertex};
use kerfcast::job::{Blank, Candidate, Flushing, Job, contour_key};
use kerfcast::library::knowledge::Learned;
use kerfcast::library::{CurvePoint, Factor, Knowledge, Library, ThicknessCurve};
use kerfcast::plan::{PathCache, Share, StepKind};
use kerfcast::process::PassNumber;
use kerfcast::profile::{Keep, Profile};
use kerfcast::units::{Area, Length, Money};
use kerfcast::words::{System, obstacles};
use std::f64::consts::PI;

fn profile(contours: Vec<Contour>) -> Profile {
    let nesting = nesting_by_winding(&contours);
    let profile = Profile::of_shapes(contours);
    let own = profile.contours().iter().map(|c| (c.parent, c.depth));
    assert_eq!(own.collect::<Vec<_>>(), nesting);
    profile
}

/// Nesting by winding, quadratic: the program's own is held against it.
fn nesting_by_winding(contours: &[Contour]) -> Vec<(Option<usize>, usize)> {
    let around = |k: usize| -> Vec<usize> {
        let p = contours[k].vertices()[0].at;
        (0..contours.len())
            .filter(|&j| j != k && contours[j].winding(p) != 0)
            .collect()
    };
    (0..contours.len())
        .map(|k| {
            let a = around(k);
            let parent = a
                .iter()
                .copied()
                .min_by(|&x, &y| contours[x].area().total_cmp(&contours[y].area()));
            (parent, a.len())
        })
        .collect()
}

fn square(side: f64) -> Contour {
    Contour::polygon(&[(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)])
}

fn job(thickness: f64, passes: usize, keep: Keep) -> Job {
    Job {
        thickness: Length::from_mm(thickness),
        passes,
        keep,
        candidates: vec![Candidate::new("hard plain brass", 0.25)],
        ..Job::starting(Library::built_in())
    }
}

fn one(profile: &Profile, job: &Job) -> Estimate {
    compare(profile, job, Library::built_in(), &PathCache::default())
        .estimates
        .remove(0)
}

fn figures(profile: &Profile, job: &Job) -> Figures {
    let e = one(profile, job);
    e.figures.unwrap_or_else(|| panic!("{:?}", e.obstacles))
}

/// What the median of the whole time lies above the sum of its steps; `comparing.rs` holds it to a drawing of every factor.
fn minutes_allowed(f: &Figures) -> f64 {
    f.allowance().map_or(0.0, |s| s.minutes.min_value())
}

#[test]
fn a_square_plate_of_100_mm_roughed_through_50_mm() {
    // Outline 100 × 100, rough alone: offset 0.125 + 0.040 = 0.165 outside, so the path is
    // 400 + 2π·0.165; at 150·exp(−0.15·ln(50/60)²)/50 mm/min. The path turns 90° on four arcs of 0.165.
    let f = figures(&profile(vec![square(100.0)]), &job(50.0, 1, Keep::Inside));
    let rate: f64 = 150.0 * (-0.15 * (50.0_f64 / 60.0).ln().powi(2)).exp();
    let feed = rate / 50.0;
    let path = 400.0 + 2.0 * PI * 0.165;
    let run = &f.passes[0];
    assert!((run.feed.mm_per_min() - feed).abs() < 1e-9);
    assert!((run.offset.mm() - 0.165).abs() < 1e-12);
    assert!((run.length.mm() - path).abs() < 1e-6);
    // Straight: path and overlap of 0.3 at the feed, lead-in of 3 at half of it.
    let straight = (path + 0.3) / feed + 3.0 / (0.5 * feed);
    assert!((f.share(Share::Rough).min_value() - straight).abs() < 1e-6);
    // One threading, one stop for the part, no move, no skims.
    assert_eq!(f.share(Share::Threading).min_value(), 1.0);
    assert_eq!(f.share(Share::SlugStops).min_value(), 4.0);
    assert_eq!(f.share(Share::Moves).min_value(), 0.0);
    assert_eq!(f.share(Share::Skims).min_value(), 0.0);
    // Corner arcs: by brute force over θ(x), window 0.75, c 0.65. An arc of length q = 0.165·π/2 turns
    // evenly, so θ rises over q, stays at 90° for 0.75 − q and falls over q.
    let q = 0.165 * PI / 2.0;
    let n = 200_000;
    let ramp: f64 = (0..n)
        .map(|k| {
            let theta = PI / 2.0 * (f64::from(k) + 0.5) / f64::from(n);
            q / f64::from(n) * (1.0 / (1.0 - 0.65 * (1.0 - theta.cos()) / 2.0) - 1.0)
        })
        .sum();
    let flat = (0.75 - q) * (1.0 / 0.675 - 1.0);
    let corners = 4.0 * (2.0 * ramp + flat) / feed;
    assert!((f.share(Share::Corners).min_value() - corners).abs() < 1e-6);
    // Breaks: 0.05 an hour of roughing, three minutes each.
    let breaks = (straight + corners) / 60.0 * 0.05 * 3.0;
    assert!((f.share(Share::Breaks).min_value() - breaks).abs() < 1e-9);
    let total = straight + corners + 1.0 + 4.0 + breaks;
    assert!((f.minutes.median.min_value() - total - minutes_allowed(&f)).abs() < 1e-6);
    // Wire: 10 m/min while cutting, 1.5 m at the threading and at each expected break.
    let wire = 10.0 * (straight + corners) + 1.5 + 1.5 * (straight + corners) / 60.0 * 0.05;
    let wire = wire + f.allowance().map_or(0.0, |s| s.wire.m());
    assert!((f.wire.median.m() - wire).abs() < 1e-6);
    assert!((f.wire_mass.kg() - wire / 2413.7).abs() < 1e-5 * wire);
}

#[test]
fn every_rate_in_the_arithmetic_of_a_100_mm_rough() {
    // 100 mm of path through 50 mm: 33.500 min and, at 10 m/min, 335.00 m = 0.13879 kg.
    let l = Library::built_in();
    let c = kerfcast::estimate::one_wire::conditions(
        &job(50.0, 1, Keep::Inside),
        &Candidate::new("hard plain brass", 0.25),
        l,
    )
    .unwrap();
    let minutes = Length::from_mm(100.0) / c.feed();
    assert!((minutes.min_value() - 33.5).abs() < 5e-4);
    let wire = kerfcast::units::RunOff::from_m_per_min(10.0) * minutes;
    assert!((wire.m() - 335.0).abs() < 5e-3);
    let mass = kerfcast::units::wire_mass(wire, c.diameter, c.wire.density());
    assert!((mass.kg() - 0.13879).abs() < 5e-6);
    for (d, m_per_kg) in [(0.20, 3771.4), (0.25, 2413.7), (0.30, 1676.2)] {
        let kg =
            kerfcast::units::wire_mass(Length::from_m(1.0), Length::from_mm(d), c.wire.density())
                .kg();
        assert!((1.0 / kg - m_per_kg).abs() < 0.05);
    }
    let slug = kerfcast::units::prism_mass(
        Area::from_mm2(2500.0),
        Length::from_mm(50.0),
        c.material.density(),
    );
    assert!((slug.kg() - 0.9625).abs() < 1e-9);
}

#[test]
fn a_round_opening_by_steiner_inwards() {
    // A circle of radius 10: every pass is a circle again, r − offset.
    let p = profile(vec![Contour::circle(Point::ORIGIN, 10.0)]);
    let f = figures(&p, &job(40.0, 4, Keep::Outside));
    for (run, offset) in f.passes.iter().zip([0.219, 0.159, 0.139, 0.131]) {
        assert!((run.length.mm() - 2.0 * PI * (10.0 - offset)).abs() < 1e-9);
    }
    // Its slug is the circle less 0.384.
    assert!((f.slugs[0].area.mm2() - PI * (10.0 - 0.384_f64).powi(2)).abs() < 1e-9);
    assert_eq!(
        f.steps
            .iter()
            .filter(|s| s.kind == StepKind::SlugStop)
            .count(),
        1
    );
}

fn plate_with_holes() -> Vec<Contour> {
    vec![
        square(60.0),
        Contour::circle(Point::new(15.0, 15.0), 5.0),
        Contour::circle(Point::new(45.0, 45.0), 6.0),
        Contour::new(vec![
            Vertex {
                at: Point::new(35.0, 10.0),
                bulge: 0.0,
            },
            Vertex {
                at: Point::new(50.0, 10.0),
                bulge: 1.0,
            },
            Vertex {
                at: Point::new(50.0, 16.0),
                bulge: 0.0,
            },
            Vertex {
                at: Point::new(35.0, 16.0),
                bulge: 1.0,
            },
        ]),
        Contour::polygon(&[
            (10.0, 30.0),
            (25.0, 30.0),
            (25.0, 50.0),
            (18.0, 40.0),
            (10.0, 50.0),
        ]),
    ]
}

#[test]
fn a_work_piece_is_paid_by_the_mass_of_its_plate() {
    // By hand: a plate of 100 mm with 5 mm on every side is 110 × 110 × 50 mm, in steel of 7700 kg/m³ 4.6585 kg; at
    // 4 a kilogram 18.634.
    let mut j = job(50.0, 1, Keep::Inside);
    let p = profile(vec![square(100.0)]);
    let plain = figures(&p, &j);
    assert!(plain.plate().is_none());
    assert_eq!(plain.cost.material, Money::ZERO);
    j.shop.blank = Blank::ByMass {
        price: Money::from_amount(4.0),
        allowance: Length::from_mm(5.0),
    };
    let f = figures(&p, &j);
    assert!((f.plate().unwrap().mass.kg() - 4.6585).abs() < 1e-9);
    assert!((f.cost.material.amount() - 18.634).abs() < 1e-9);
    let more = f.cost.part.median - plain.cost.part.median;
    assert!((more.amount() - 18.634).abs() < 1e-9);
    // A price a part is that price.
    j.shop.blank = Blank::Price(Money::from_amount(12.5));
    assert!((figures(&p, &j).cost.material.amount() - 12.5).abs() < 1e-12);
}

#[test]
fn a_part_that_costs_nothing_is_not_compared_by_cost() {
    let p = profile(vec![square(40.0)]);
    let mut j = job(20.0, 1, Keep::Inside);
    j.candidates.push(Candidate::new("zinc-coated brass", 0.25));
    let s = &mut j.shop;
    for rate in [
        &mut s.machine_rate,
        &mut s.labour_rate,
        &mut s.wire_price,
        &mut s.scrap_value,
        &mut s.consumables,
    ] {
        *rate = Money::ZERO;
    }
    let l = Library::built_in();
    let d = compare(&p, &j, l, &PathCache::default()).difference(1);
    let d = d.unwrap();
    assert!(d.cost.share.is_nan() && d.cost.range.0.is_nan() && d.cost.probability_less.is_none());
    assert!(d.minutes.share.is_finite() && d.minutes.probability_less.is_some());
    // Scrap dearer than the wire: the wire's cost falls below 0, and its answer says so.
    j.shop = Job::starting(l).shop;
    let note = |j: &Job| {
        let e = one(&p, j);
        let why = explain(Question::WireCost, j, l, &e).unwrap();
        match why.origin {
            kerfcast::reason::Origin::Formula { note, .. } => (why.value, note.to_string()),
            other @ kerfcast::reason::Origin::Value { .. } => panic!("{other:?}"),
        }
    };
    assert_eq!(note(&j).1, "");
    j.shop.scrap_value = j.shop.wire_price + Money::from_amount(1.0);
    let (value, words) = note(&j);
    assert!(value < 0.0 && words.contains("scrap"), "{value} {words}");
}

#[test]
fn the_range_of_the_cost_holds_labour_start_holes_and_set_up() {
    // By hand, in shares of the cost, each with a quarter of ln(high/low) of the library (of the material half of it):
    // stops 2 to 10 min, breaks 0.01 to 0.2 an hour, set-up 0.5 to 3 h, programming 0.2 to 2 h, inspection 3 to 30 min,
    // a hole's set-up 0.5 to 3 min, its drilling 8 to 60 mm/min, threading 0.25 to 2 min, threading waste 1 to 3 m. One
    // hole through 20 mm takes 1 + 20/20 min: half set-up, half drilling.
    let p = profile(vec![square(40.0)]);
    let mut j = job(20.0, 1, Keep::Inside);
    let f = figures(&p, &j);
    let c = &f.cost;
    // Allowances are no lines of their own in it: they come from these very ranges.
    let total = f.minutes.median.min_value() - minutes_allowed(&f);
    let metres = (f.wire.median - f.allowance().map_or(Length::ZERO, |s| s.wire)).m();
    let machine = (c.machine + c.consumables).amount();
    let by_time = machine * total / f.minutes.median.min_value();
    let wire = c.wire.amount() * metres / f.wire.median.m();
    let whole = c.part.median - c.allowance - c.machine - c.consumables - c.wire;
    let whole = whole.amount() + by_time + wire;
    let (by_time, labour, wire) = (by_time / whole, c.labour.amount() / whole, wire / whole);
    let half_log = |low: f64, high: f64| 0.5 * (high / low).ln();
    let quarter_log = |low: f64, high: f64| 0.25 * (high / low).ln();
    let of = |s: Share| f.share(s).min_value() / total;
    let by = |s: Share| f.share(s).min_value() / f.attended.min_value();
    let cutting = of(Share::Rough) + of(Share::Corners);
    // Somebody stands by while the tab is cut: 3 mm and the overlap of 0.3 at the rough's feed.
    let tab = 3.3 / f.passes[0].feed.mm_per_min() / f.attended.min_value();
    let wasted = |kind: StepKind| {
        let steps = f.steps.iter().filter(|s| s.kind == kind);
        steps.map(|s| s.wire.m()).sum::<f64>() / metres
    };
    let (threaded, broken) = (wasted(StepKind::Threading), wasted(StepKind::Breaks));
    let runs = 1.0 - threaded - broken;
    let holes = c.holes.amount() / whole;
    let l = Library::built_in();
    let steel = half_log(
        l.materials[0].relative_speed.low.unwrap(),
        l.materials[0].relative_speed.high.unwrap(),
    );
    let curve = (20.0_f64 / 60.0).ln().powi(2);
    // Machine, material, width of the hump and the single cut move all that is cut; plain brass is the reference.
    let cut = (0.35_f64.powi(2) + steel.powi(2) + (0.03 * curve).powi(2) + 0.1_f64.powi(2)).sqrt();
    let parts = [
        (by_time * cutting + labour * tab + wire * runs) * cut,
        // The run-off: 0.10 in all.
        wire * runs * 0.1,
        (by_time * of(Share::SlugStops) + labour * by(Share::SlugStops)) * quarter_log(2.0, 10.0),
        (by_time * of(Share::Breaks) + labour * by(Share::Breaks) + wire * broken)
            * quarter_log(0.01, 0.2),
        by_time * of(Share::Threading) * quarter_log(0.25, 2.0),
        wire * (threaded + broken) * quarter_log(1.0, 3.0),
        c.setup.amount() / whole * quarter_log(0.5, 3.0),
        c.programming.amount() / whole * quarter_log(0.2, 2.0),
        c.inspection.amount() / whole * quarter_log(3.0, 30.0),
        // Loading 5 to 45 min.
        c.loading.amount() / whole * quarter_log(5.0, 45.0),
        holes * 0.5 * quarter_log(0.5, 3.0),
        holes * 0.5 * quarter_log(8.0, 60.0),
    ];
    // These are the slopes of the whole; its range lies about the median of the sum, which comparing.rs holds to a
    // drawing of every factor.
    let sd = |f: &Figures| f.doubts.cost.log_sd(l);
    let by_hand = |parts: &[f64]| parts.iter().map(|p| p * p).sum::<f64>().sqrt();
    assert!((sd(&f) - by_hand(&parts)).abs() < 1e-9, "{}", sd(&f));
    // The wire alone: what runs off swings with the cut, what is wasted with the threadings.
    let alone = by_hand(&[
        runs * cut,
        runs * 0.1,
        broken * quarter_log(0.01, 0.2),
        (threaded + broken) * quarter_log(1.0, 3.0),
    ]);
    let found = f.doubts.wire.log_sd(l);
    assert!((found - alone).abs() < 1e-9, "{found} {alone}");
    // A set-up of the shop's own counts as given; the answer says what the range holds.
    let note = |j: &Job| {
        let why = explain(Question::Cost, j, l, &one(&p, j)).unwrap();
        match why.origin {
            kerfcast::reason::Origin::Formula { note, .. } => note.to_string(),
            other @ kerfcast::reason::Origin::Value { .. } => panic!("{other:?}"),
        }
    };
    assert!(note(&j).contains("inspection; rates"), "{}", note(&j));
    j.shop.setup_hours = 1.0 + 1e-12;
    let own = figures(&p, &j);
    let without: Vec<f64> = [&parts[..6], &parts[7..]].concat();
    assert!((sd(&own) - by_hand(&without)).abs() < 1e-9);
    assert!(note(&j).contains("your set-up"), "{}", note(&j));
}

#[test]
fn totals_are_the_sums_of_the_steps_and_of_the_shares() {
    for passes in 1..=6 {
        let f = figures(
            &profile(plate_with_holes()),
            &job(40.0, passes, Keep::Inside),
        );
        let total: f64 = f.steps.iter().map(|s| s.minutes.min_value()).sum();
        let shares: f64 = Share::ALL.iter().map(|&s| f.share(s).min_value()).sum();
        let wire: f64 = f.steps.iter().map(|s| s.wire.m()).sum();
        assert!((total - f.minutes.median.min_value()).abs() < 1e-9);
        assert!((shares - total).abs() < 1e-9);
        assert!((wire - f.wire.median.m()).abs() < 1e-9);
        let by_pass: f64 = f.passes.iter().map(|p| p.minutes.min_value()).sum();
        let cutting: f64 = [Share::Rough, Share::Skims, Share::Corners]
            .iter()
            .map(|&s| f.share(s).min_value())
            .sum();
        assert!((by_pass - cutting).abs() < 1e-9);
    }
}

#[test]
fn inner_contours_are_cut_before_the_outline() {
    let f = figures(&profile(plate_with_holes()), &job(40.0, 4, Keep::Inside));
    let order: Vec<usize> = f
        .steps
        .iter()
        .filter(|s| s.kind == StepKind::Threading)
        .filter_map(|s| s.contour)
        .collect();
    // Each opening is threaded again once its slug is out.
    assert_eq!(order.len(), 9);
    assert_eq!(
        order.iter().position(|&k| k == 0),
        Some(8),
        "the outline comes last, or the openings would fall away with the part"
    );
}

#[test]
fn turning_mirroring_moving_and_reversing_change_nothing() {
    let reference = figures(&profile(plate_with_holes()), &job(40.0, 4, Keep::Inside));
    let moved = |map: &dyn Fn(Point) -> Point, flip: bool| {
        plate_with_holes()
            .into_iter()
            .map(|c| {
                let v = c.vertices().iter().map(|v| Vertex {
                    at: map(v.at),
                    bulge: if flip { -v.bulge } else { v.bulge },
                });
                Contour::new(v.collect())
            })
            .collect::<Vec<_>>()
    };
    let (s, c) = 0.7_f64.sin_cos();
    let variants = [
        moved(&|p| Point::new(p.x * c - p.y * s, p.x * s + p.y * c), false),
        moved(&|p| Point::new(-p.x, p.y), true),
        moved(&|p| p + Point::new(1e4, -3e4), false),
        plate_with_holes().iter().map(Contour::reversed).collect(),
    ];
    for (k, v) in variants.into_iter().enumerate() {
        let f = figures(&profile(v), &job(40.0, 4, Keep::Inside));
        for share in [
            Share::Rough,
            Share::Skims,
            Share::Corners,
            Share::SlugStops,
            Share::Threading,
        ] {
            let (a, b) = (
                f.share(share).min_value(),
                reference.share(share).min_value(),
            );
            assert!(
                (a / b - 1.0).abs() < 1e-3,
                "variant {k}, {share:?}: {a} against {b}"
            );
        }
        for (a, b) in f.passes.iter().zip(&reference.passes) {
            assert!((a.length.mm() - b.length.mm()).abs() < 1e-4, "variant {k}");
        }
    }
}

#[test]
fn splitting_segments_changes_nothing() {
    let split = |c: &Contour| {
        let halves: Vec<_> = c
            .segments()
            .flat_map(|s| {
                let l = s.length();
                [s.part(0.0, l * 0.37), s.part(l * 0.37, l)]
            })
            .collect();
        Contour::from_segments(&halves)
    };
    let a = figures(&profile(plate_with_holes()), &job(40.0, 4, Keep::Inside));
    let b = figures(
        &profile(plate_with_holes().iter().map(split).collect()),
        &job(40.0, 4, Keep::Inside),
    );
    for share in [Share::Rough, Share::Skims, Share::Corners] {
        let (a, b) = (a.share(share).min_value(), b.share(share).min_value());
        assert!((a / b - 1.0).abs() < 1e-3, "{share:?}: {a} {b}");
    }
}

#[test]
fn every_answer_to_why_adds_up() {
    let p = profile(plate_with_holes());
    let mut learned = Library::built_in().clone();
    learned.learned = Some(knowledge());
    learned.thickness_curve = ThicknessCurve::new(vec![
        CurvePoint {
            thickness_mm: 20.0,
            rate_mm2_per_min: 110.0,
        },
        CurvePoint {
            thickness_mm: 60.0,
            rate_mm2_per_min: 160.0,
        },
    ])
    .ok();
    let libraries = [Library::built_in(), &learned];
    for (l, (thickness, passes), wire) in [
        (0, (2.0, 2), 0),
        (0, (40.0, 4), 0),
        (0, (120.0, 6), 0),
        (1, (2.0, 2), 1),
        (1, (10.0, 3), 1),
        (1, (40.0, 4), 0),
        (1, (120.0, 6), 1),
    ] {
        let l = libraries[l];
        let mut j = job(thickness, passes, Keep::Inside);
        j.quantity = 7;
        if wire == 1 {
            j.candidates = vec![Candidate::new("zinc-coated brass", 0.20)];
            j.flushing = Flushing::OneAway;
            j.shop.programming_hours = 1.5;
            j.shop.inspection_minutes = 8.0;
            j.shop.other = Money::from_amount(3.0);
            j.shop.markup = 0.2;
            j.shop.blank = Blank::ByMass {
                price: Money::from_amount(4.0),
                allowance: Length::from_mm(5.0),
            };
        }
        let e = compare(&p, &j, l, &PathCache::default())
            .estimates
            .remove(0);
        let f = e.figures.as_ref().unwrap();
        let mut questions = vec![
            (Question::Minutes, f.minutes.median.min_value()),
            (Question::Wire, f.wire.median.m()),
            (Question::WireMass, f.wire_mass.kg()),
            (Question::Spools, f.spools),
            (Question::Cost, f.cost.part.median.amount()),
            (Question::Machine, f.cost.machine.amount()),
            (Question::Labour, f.cost.labour.amount()),
            (Question::Holes, f.cost.holes.amount()),
            (Question::WireCost, f.cost.wire.amount()),
            (Question::Consumables, f.cost.consumables.amount()),
            (Question::Setup, f.cost.setup.amount()),
            (Question::Programming, f.cost.programming.amount()),
            (Question::Inspection, f.cost.inspection.amount()),
            (Question::Material, f.cost.material.amount()),
            (Question::Other, f.cost.other.amount()),
            (Question::CostAllowance, f.cost.allowance.amount()),
            (Question::Unsold, f.cost.unsold.median.amount()),
            (Question::Markup, f.cost.markup.amount()),
            (Question::Attended, f.attended.min_value()),
            (
                Question::Finish,
                (f.finish.roughness_um[0] * f.finish.roughness_um[1]).sqrt(),
            ),
        ];
        questions.extend(Share::ALL.map(|s| (Question::Share(s), f.share(s).min_value())));
        questions.extend(
            PassNumber::all(passes)
                .map(|p| (Question::Pass(p), f.passes[p.place()].minutes.min_value())),
        );
        questions.extend(
            (0..f.steps.len()).map(|k| (Question::Step(k), f.steps[k].minutes.min_value())),
        );
        for (q, expected) in questions {
            let why = explain(q, &j, l, &e).unwrap_or_else(|| panic!("{q:?} has no answer"));
            assert!(
                (why.value - expected).abs() <= 1e-9 * expected.abs().max(1.0),
                "{q:?}: {} {expected}",
                why.value
            );
            adds_up(&why, q);
        }
        assert_eq!(
            explain(Question::PartsPerWeek, &j, l, &e).map(|f| f.value as u64),
            Some(f.parts_per_week)
        );
    }
}

/// What some cuts might have taught: every kind of factor.
fn knowledge() -> Knowledge {
    let factors = [
        (Factor::Machine, 0.1),
        (Factor::Material("cold-work tool steel".into()), -0.05),
        (Factor::Wire("zinc-coated brass".into()), 0.07),
        (Factor::Diameter, 0.2),
        (Factor::CurveBelow, 0.03),
        (Factor::CurveAbove, -0.04),
        (Factor::Flushing(Flushing::OneAway), -0.1),
        (Factor::Skims, 0.15),
        (Factor::RunOff, -0.08),
    ];
    let n = factors.len();
    let learned = factors.map(|(factor, log_mean)| Learned {
        factor,
        log_mean,
        prior_log_sd: 0.2,
        cuts: 4,
    });
    let table = (0..n)
        .map(|i| (0..n).map(|j| if i == j { 0.01 } else { 0.001 }).collect())
        .collect();
    Knowledge::new("the left one".to_owned(), 4, learned.to_vec(), table).unwrap()
}

#[test]
fn what_was_learned_is_shown_and_switched_off_again() {
    let p = profile(plate_with_holes());
    let mut l = Library::built_in().clone();
    let j = job(40.0, 4, Keep::Inside);
    let with = |l: &Library| {
        compare(&p, &j, l, &PathCache::default())
            .estimates
            .remove(0)
    };
    let before = with(&l);
    l.learned = Some(knowledge());
    let after = with(&l);
    let why = explain(Question::Pass(PassNumber::ROUGH), &j, &l, &after).unwrap();
    let mut sources = Vec::new();
    collect_sources(&why, &mut sources);
    assert!(
        sources
            .iter()
            .any(|s| s == "learned from 4 cuts of yours on the left one, ×1.11"),
        "{sources:?}"
    );
    // Faster by e^(0.1 − 0.05 − 0.03·ln(40/60)²): on paper.
    let speed = (0.05 - 0.03 * (40.0_f64 / 60.0).ln().powi(2)).exp();
    let feed = |e: &Estimate| e.figures.as_ref().unwrap().passes[0].feed.mm_per_min();
    assert!((feed(&after) / feed(&before) - speed).abs() < 1e-12);
    l.learned = None;
    assert_eq!(with(&l), before);
    // A fit that knows nothing changes no median and no range.
    l.learned = Some(Knowledge::default());
    assert_eq!(with(&l), before);
}

fn collect_sources(f: &kerfcast::reason::Figure, out: &mut Vec<String>) {
    match &f.origin {
        kerfcast::reason::Origin::Value { source, .. } => out.push(source.to_string()),
        kerfcast::reason::Origin::Formula { terms, .. } => {
            terms.iter().for_each(|(_, t)| collect_sources(t, out));
        }
    }
}

/// A formula's terms come to its value, all the way down.
fn adds_up(f: &kerfcast::reason::Figure, q: Question) {
    if let Some(again) = f.recomputed() {
        assert!(
            (again - f.value).abs() <= 1e-6 * f.value.abs().max(1e-3),
            "{q:?}, {}: {again} against {}",
            f.name,
            f.value
        );
    }
    if let kerfcast::reason::Origin::Formula { terms, .. } = &f.origin {
        terms.iter().for_each(|(_, t)| adds_up(t, q));
    }
}

#[test]
fn faster_wire_takes_the_same_path_in_less_time() {
    let mut j = job(60.0, 4, Keep::Inside);
    j.candidates.push(Candidate::new("zinc-coated brass", 0.25));
    let c = compare(
        &profile(plate_with_holes()),
        &j,
        Library::built_in(),
        &PathCache::default(),
    );
    let d = c.difference(1).unwrap();
    // 12 % faster in every pass, so the cutting takes 1/1.12 of the time.
    let cutting = |k: usize| {
        let f = c.estimates[k].figures.as_ref().unwrap();
        [Share::Rough, Share::Skims, Share::Corners]
            .iter()
            .map(|&s| f.share(s).min_value())
            .sum::<f64>()
    };
    assert!((cutting(0) / cutting(1) - 1.12).abs() < 1e-6);
    assert!(d.minutes.share < 0.0 && d.minutes.share > 1.0 / 1.12 - 1.0);
    assert!(c.difference(0).is_none());
}

#[test]
fn a_wire_too_thick_for_a_radius_or_a_slot_is_blocked_with_the_reason() {
    let slot = Contour::polygon(&[(10.0, 10.0), (40.0, 10.0), (40.0, 10.22), (10.0, 10.22)]);
    let p = profile(vec![square(60.0), slot]);
    let e = one(&p, &job(40.0, 1, Keep::Inside));
    assert!(e.figures.is_none());
    let o = e.blockers().next().unwrap();
    assert_eq!((o.code(), o.contour()), ("cannot-enter", Some(1)));
    assert!(obstacles::sentence(o, System::Metric).contains("thinner wire"));
    // A wire of 0.10 mm passes: 2 × (0.05 + 0.02) = 0.14 < 0.22.
    let mut j = job(40.0, 1, Keep::Inside);
    j.candidates = vec![Candidate::new("hard plain brass", 0.10)];
    // The slot is far too narrow for a start hole, unless somebody has made one.
    assert!(one(&p, &j).blockers().all(|o| o.code() == "no-start-hole"));
    j.choose(contour_key(&p.contours()[1]), |c| {
        c.hole = Some(Point::new(25.0, 10.11));
    });
    assert!(one(&p, &j).is_possible());
    // 40 mm is what a 0.10 wire usually cuts; 61 mm is beyond half as much again.
    j.thickness = Length::from_mm(50.0);
    let e = one(&p, &j);
    assert!(e.is_possible() && e.obstacles.iter().any(|o| o.code() == "too-thick"));
    j.thickness = Length::from_mm(61.0);
    assert!(one(&p, &j).blockers().any(|o| o.code() == "too-thick"));
}

#[test]
fn sharp_inside_corners_are_listed_but_do_not_block() {
    // Four corners of a square opening: depth r(√2 − 1), area r²(1 − π/4) at r = 0.131.
    let e = one(&profile(vec![square(20.0)]), &job(40.0, 4, Keep::Outside));
    assert!(e.is_possible());
    assert_eq!(e.uncut.len(), 4);
    for u in &e.uncut {
        assert!(u.sharp && (u.depth.mm() - 0.131 * (2.0_f64.sqrt() - 1.0)).abs() < 1e-6);
        assert!((u.area.mm2() - 0.131 * 0.131 * (1.0 - PI / 4.0)).abs() < 1e-9);
    }
}

#[test]
fn leaving_a_contour_out_leaves_its_steps_out() {
    let p = profile(plate_with_holes());
    let mut j = job(40.0, 4, Keep::Inside);
    let all = figures(&p, &j);
    j.left_out.insert(2);
    let less = figures(&p, &j);
    assert!(less.steps.iter().all(|s| s.contour != Some(2)));
    assert_eq!(less.start_holes + 1, all.start_holes);
    assert!(less.minutes.median < all.minutes.median);
    j.left_out.extend(0..5);
    let e = one(&p, &j);
    assert_eq!(
        e.blockers().next().map(kerfcast::estimate::Obstacle::code),
        Some("nothing-to-cut")
    );
}

#[test]
fn impossible_jobs_say_what_to_do() {
    let p = profile(vec![square(20.0)]);
    for (j, word) in [
        (
            Job {
                thickness: Length::from_mm(0.0),
                ..job(40.0, 4, Keep::Inside)
            },
            "thickness",
        ),
        (
            Job {
                thickness: Length::from_mm(f64::NAN),
                ..job(40.0, 4, Keep::Inside)
            },
            "thickness",
        ),
        (
            Job {
                passes: 9,
                ..job(40.0, 4, Keep::Inside)
            },
            "passes",
        ),
        (
            Job {
                quantity: 0,
                ..job(40.0, 4, Keep::Inside)
            },
            "lot",
        ),
        (
            Job {
                material: "cheese".to_owned(),
                ..job(40.0, 4, Keep::Inside)
            },
            "cheese",
        ),
    ] {
        let e = one(&p, &j);
        assert!(e.figures.is_none());
        assert!(
            e.obstacles
                .iter()
                .any(|o| obstacles::sentence(o, System::Metric).contains(word)),
            "{:?}",
            e.obstacles
        );
    }
    assert_eq!(
        one(&Profile::default(), &job(40.0, 4, Keep::Inside)).obstacles[0].code(),
        "nothing-to-cut"
    );
}

#[test]
fn worse_flushing_takes_longer_by_its_factor() {
    let p = profile(plate_with_holes());
    let close = figures(&p, &job(60.0, 1, Keep::Inside));
    for (flushing, factor) in [(Flushing::OneAway, 0.80), (Flushing::Away, 0.55)] {
        let f = figures(
            &p,
            &Job {
                flushing,
                ..job(60.0, 1, Keep::Inside)
            },
        );
        assert!((close.share(Share::Rough) / f.share(Share::Rough) - factor).abs() < 1e-9);
        // Not knowing how bad it is widens the range.
        let width = |f: &Figures| f.minutes.high / f.minutes.low;
        assert!(width(&f) > width(&close));
    }
}

#[test]
fn the_same_wire_run_in_two_ways_takes_the_same_time_and_other_wire() {
    use kerfcast::job::WireRun;
    let p = profile(plate_with_holes());
    let mut j = job(60.0, 4, Keep::Inside);
    j.candidates = ["", "10/6", "reel 200/80", "10/9/8/6"]
        .iter()
        .map(|run| Candidate::new("hard plain brass", 0.25).running(WireRun::parse(run).unwrap()))
        .collect();
    let c = compare(&p, &j, Library::built_in(), &PathCache::default());
    let f: Vec<&Figures> = c
        .estimates
        .iter()
        .map(|e| e.figures.as_ref().unwrap())
        .collect();
    assert_eq!(f[0].minutes.median, f[1].minutes.median);
    // Skims at 6 instead of 9 m/min; what is wasted at threadings and breaks stays.
    let skims: f64 = f[0].passes[1..].iter().map(|p| p.minutes.min_value()).sum();
    let run = |f: &Figures| f.wire.median.m() - f.wasted_wire().m();
    assert!((run(f[0]) - run(f[1]) - 3.0 * skims).abs() < 1e-6);
    // Pass by pass: skim 2 at 8 and skim 3 at 6 instead of 9 m/min, rough and skim 1 as usual.
    let skim = |k: usize| f[0].passes[k].minutes.min_value();
    let saved = skim(2) + 3.0 * skim(3);
    assert!((run(f[0]) - run(f[3]) - saved).abs() < 1e-6);
    for (k, run_off) in [10.0, 9.0, 8.0, 6.0].into_iter().enumerate() {
        let own = explain(
            Question::RunOff(k + 1),
            &j,
            Library::built_in(),
            &c.estimates[3],
        )
        .unwrap();
        assert_eq!(own.value, run_off);
    }
    // A reel of 200 m lasts 80 h of cutting, in any pass.
    let cutting: f64 = f[2].passes.iter().map(|p| p.minutes.min_value()).sum();
    let wasted: f64 = f[2]
        .steps
        .iter()
        .filter(|s| s.pass.is_none())
        .map(|s| s.wire.m())
        .sum();
    assert!((f[2].wire.median.m() - wasted - 200.0 * cutting / 60.0 / 80.0).abs() < 1e-6);
    for (e, figures) in c.estimates.iter().zip(&f) {
        let why = explain(Question::Wire, &j, Library::built_in(), e).unwrap();
        assert!((why.value - figures.wire.median.m()).abs() < 1e-6);
        adds_up(&why, Question::Wire);
    }
}

/// A step as it is expected: kind, contour, pass, length in mm, minutes without corners, somebody there.
type Expected = (StepKind, Option<usize>, Option<usize>, f64, f64, bool);

#[test]
#[allow(clippy::too_many_lines)] // A list, one line a step.
fn a_plate_with_one_opening_step_by_step() {
    // 60 × 60 with Ø 20 in its middle, 40 mm, rough and three skims. Both tabs are 3 mm: the slug weighs 0.09 kg and the
    // part 1.0 kg, so that 6·W·a/(σ·H²) is 0.002 and 0.06 mm.
    let p = profile(vec![
        square(60.0),
        Contour::circle(Point::new(30.0, 30.0), 10.0),
    ]);
    let f = figures(&p, &job(40.0, 4, Keep::Inside));
    let feed = |pass: usize| f.passes[pass - 1].feed.mm_per_min();
    let offset = [0.219, 0.159, 0.139, 0.131];
    let (tab, overlap) = (3.0, 0.3);
    let [opening, outline] = [&f.starts[0].start, &f.starts[1].start];
    let mut by_hand: Vec<Expected> = Vec::new();
    let move_of = |c, mm: f64| (StepKind::Move, Some(c), None, mm, mm / 1000.0, false);
    let begin = |c| {
        [
            (StepKind::Threading, Some(c), None, 0.0, 1.0, false),
            (
                StepKind::LeadIn,
                Some(c),
                Some(1),
                3.0,
                3.0 / (0.5 * feed(1)),
                false,
            ),
        ]
    };
    let pass = |c, k: usize, path: f64| {
        let length = path - tab;
        (
            StepKind::Pass,
            Some(c),
            Some(k),
            length,
            length / feed(k),
            false,
        )
    };
    let tab_of = |c, k: usize, attended| {
        let length = tab + overlap;
        (
            StepKind::Tab,
            Some(c),
            Some(k),
            length,
            length / feed(k),
            attended,
        )
    };
    // Half of the four minutes of a stop secure the piece, the other half take it out.
    let stop = |kind, c| (kind, Some(c), None, 0.0, 2.0, true);
    // The opening: all round but for the tab; secured; the tab with somebody there; the slug out; threaded again, the
    // wire goes to the path and skims the tab's stretch alone.
    by_hand.extend(begin(1));
    by_hand.extend((1..=4).map(|k| pass(1, k, 2.0 * PI * (10.0 - offset[k - 1]))));
    by_hand.push(stop(StepKind::Secure, 1));
    by_hand.push(tab_of(1, 1, true));
    by_hand.push(stop(StepKind::SlugStop, 1));
    by_hand.push(move_of(1, 3.0));
    by_hand.push((StepKind::Threading, Some(1), None, 0.0, 1.0, false));
    by_hand.push(move_of(1, 3.0));
    by_hand.extend((2..=4).map(|k| tab_of(1, k, false)));
    // The outline: the same, but the part has gone with its tab's stretch unskimmed, which is dressed at the bench.
    by_hand.push(move_of(0, opening.join.distance(outline.hole)));
    by_hand.extend(begin(0));
    by_hand.extend((1..=4).map(|k| pass(0, k, 240.0 + 2.0 * PI * offset[k - 1])));
    by_hand.push(stop(StepKind::Secure, 0));
    by_hand.push(tab_of(0, 1, true));
    by_hand.push(stop(StepKind::PartStop, 0));
    let roughing: f64 = f
        .steps
        .iter()
        .filter(|s| s.is_rough())
        .map(|s| s.minutes.hours())
        .sum();
    by_hand.push((
        StepKind::Breaks,
        None,
        None,
        0.0,
        roughing * 0.05 * 3.0,
        true,
    ));
    let kinds = |s: &[Expected]| s.iter().map(|e| (e.0, e.1, e.2)).collect::<Vec<_>>();
    let own: Vec<Expected> = f
        .steps
        .iter()
        .filter(|s| s.kind != StepKind::Allowance)
        .map(|s| {
            let straight = (s.minutes - s.corner_minutes).min_value();
            (
                s.kind,
                s.contour,
                s.pass.map(PassNumber::number),
                s.length.mm(),
                straight,
                s.attended,
            )
        })
        .collect();
    assert_eq!(kinds(&own), kinds(&by_hand));
    for (a, b) in own.iter().zip(&by_hand) {
        assert!(
            (a.3 - b.3).abs() < 1e-6 && (a.4 - b.4).abs() < 1e-6,
            "{a:?} {b:?}"
        );
        assert_eq!(a.5, b.5, "{a:?}");
    }
    // Beside the machine: fifteen minutes of loading, five of dressing.
    let beside: Vec<(StepKind, f64)> = f
        .beside
        .iter()
        .map(|s| (s.kind, s.minutes.min_value()))
        .collect();
    assert_eq!(
        beside,
        [(StepKind::Loading, 15.0), (StepKind::Dressing, 5.0)]
    );
    assert_eq!(
        (f.starts[0].hole, f.start_holes),
        (Some(Length::from_mm(3.0)), 2)
    );
}
