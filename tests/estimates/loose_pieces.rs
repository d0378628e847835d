//! What comes loose and what does not: slugs, crumbs, pieces, parts; in which order they come free, and who
//! stands there.

use kerfcast::estimate::{
    Estimate, Figures, NotEroded, Obstacle, Question, SlugCaution, compare, drill_list, explain,
};
use kerfcast::geometry::{Contour, Point};
use kerfcast::job::{Candidate, CutOff, CuttingOrder, Job, Waste, WireRun};
use kerfcast::library::Library;
use kerfcast::plan::{PathCache, Share, StepKind};
use kerfcast::process::PassNumber;
use kerfcast::profile::{Keep, Profile};
use kerfcast::reason::{Figure, Origin};
use kerfcast::units::{Length, Mass, Minutes};
use kerfcast::words::loose_pieces;
use std::f64::consts::PI;

/// Offset of the rough and half its kerf with four passes and 0.25 wire, mm.
const INSET: f64 = 0.384;
/// Density of the material, kg/mm³.
const DENSITY: f64 = 7700e-9;

fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

fn profile(contours: Vec<Contour>) -> Profile {
    Profile::of_shapes(contours)
}

fn rectangle(x: f64, y: f64, w: f64, h: f64) -> Contour {
    Contour::polygon(&[(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
}

fn round(x: f64, y: f64, diameter: f64) -> Contour {
    Contour::circle(Point::new(x, y), diameter / 2.0)
}

/// A plate of 60 × 60 with one round hole of Ø 10.
fn plate() -> Profile {
    profile(vec![
        rectangle(0.0, 0.0, 60.0, 60.0),
        round(30.0, 30.0, 10.0),
    ])
}

/// Openings in a plate that is there already.
fn openings(contours: Vec<Contour>) -> (Profile, Job) {
    let job = Job {
        keep: Keep::Outside,
        ..job()
    };
    (profile(contours), job)
}

fn job() -> Job {
    Job {
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

fn count(f: &Figures, kind: StepKind) -> usize {
    f.steps.iter().filter(|s| s.kind == kind).count()
}

/// Kind, contour and pass of every step but the expected breaks.
fn steps(f: &Figures) -> Vec<(StepKind, usize, Option<usize>)> {
    f.steps
        .iter()
        .filter(|s| !matches!(s.kind, StepKind::Breaks | StepKind::Allowance))
        .map(|s| (s.kind, s.contour.unwrap(), s.pass.map(PassNumber::number)))
        .collect()
}

#[test]
fn nobody_waits_for_a_slug_that_the_kerf_takes() {
    // The kerf reaches 0.384 mm into an opening: nothing is left of Ø 0.7, a crumb of Ø 0.032 of Ø 0.8, and a
    // slug of Ø 0.432 of Ø 1.2.
    let row = |d: f64| openings((0..20).map(|k| round(3.0 * f64::from(k), 0.0, d)).collect());
    let attended_stops = |f: &Figures| {
        let stop =
            |s: &&kerfcast::plan::Step| matches!(s.kind, StepKind::Secure | StepKind::SlugStop);
        let stops = f.steps.iter().filter(stop);
        stops.map(|s| s.minutes.min_value()).sum::<f64>()
    };
    for d in [0.7, 0.8] {
        let (p, mut j) = row(d);
        j.thickness = mm(10.0);
        // No start hole fits beside the kerf: the shop says that it has drilled them.
        for k in 0..20 {
            j.choose(k, |c| c.hole = Some(Point::new(3.0 * k as f64, 0.0)));
        }
        for order in [CuttingOrder::EachInTurn, CuttingOrder::RoughsFirst] {
            for cut_off in [CutOff::AfterSkims, CutOff::BeforeSkims] {
                let f = figures(
                    &p,
                    &Job {
                        order,
                        cut_off,
                        ..j.clone()
                    },
                );
                assert_eq!(attended_stops(&f), 0.0, "Ø {d}");
                assert!(f.starts.iter().all(|s| s.tab == Length::ZERO));
                // They are listed, so that nobody misses them.
                assert_eq!(f.slugs.len(), 20);
                assert!(
                    f.slugs
                        .iter()
                        .all(|s| s.is_taken_by_the_kerf() && !s.wants_care())
                );
                // Every pass goes all the way round: 2π·(r − offset) and the overlap.
                let rough: f64 = f
                    .steps
                    .iter()
                    .filter(|s| s.contour == Some(3) && s.is_rough())
                    .filter(|s| s.kind != StepKind::LeadIn)
                    .map(|s| s.length.mm())
                    .sum();
                let expected = 2.0 * PI * (d / 2.0 - 0.219) + 0.3;
                assert!((rough - expected).abs() < 1e-9, "{rough} {expected}");
            }
        }
    }
    let (p, mut j) = row(1.2);
    for k in 0..20 {
        j.choose(k, |c| c.hole = Some(Point::new(3.0 * k as f64, 0.0)));
    }
    let f = figures(&p, &j);
    // Twenty stops of four minutes.
    assert_eq!(attended_stops(&f), 80.0);
    assert!(f.slugs.iter().all(|s| (s.size.mm() - 0.432).abs() < 1e-6));
}

#[test]
fn a_start_hole_needs_room_beside_the_kerf() {
    // A Ø 0.5 hole needs 0.25 + 0.3 + 0.165 = 0.715 mm from the path, which runs 0.219 mm inside the wall: Ø 1.868.
    let (p, j) = openings(vec![round(4.0, 9.0, 1.86)]);
    let e = one(&p, &j);
    let codes: Vec<&str> = e.obstacles.iter().map(Obstacle::code).collect();
    assert_eq!(codes, ["no-start-hole"]);
    assert!(!e.is_possible() && e.obstacles[0].at.unwrap().distance(Point::new(4.0, 9.0)) < 0.02);
    let (p, j) = openings(vec![round(4.0, 9.0, 1.88)]);
    let start = figures(&p, &j).starts[0];
    assert_eq!(start.hole, Some(mm(0.5)));
    assert!(start.start.hole.distance(Point::new(4.0, 9.0)) < 0.02);
    // In the open the largest of the list, at the end of a lead-in of 3 mm.
    let start = figures(&plate(), &job()).starts;
    assert!(
        start
            .iter()
            .all(|s| s.hole == Some(mm(3.0)) && (s.start.lead_in.mm() - 3.0).abs() < 1e-9)
    );
    // From the edge of the blank there is none to drill.
    let f = figures(
        &plate(),
        &Job {
            outlines_from_edge: true,
            ..job()
        },
    );
    assert_eq!(f.start_holes, 1);
    let list = drill_list(&f, &plate(), &job(), &job().candidates[0]);
    assert_eq!(
        (list.len(), list[0].contour, list[0].depth),
        (1, Some(1), mm(40.0))
    );
}

#[test]
fn a_part_that_is_only_roughed_waits_for_the_skims_of_what_lies_in_it() {
    use StepKind::{LeadIn, Move, PartStop, Pass, Secure, SlugStop, Tab, Threading};
    let mut j = Job {
        order: CuttingOrder::RoughsFirst,
        ..job()
    };
    j.choose(0, |c| c.passes = Some(1));
    let f = figures(&plate(), &j);
    let expected = [
        (Threading, 1, None),
        (LeadIn, 1, Some(1)),
        (Pass, 1, Some(1)),
        (Move, 0, None),
        (Threading, 0, None),
        (LeadIn, 0, Some(1)),
        (Pass, 0, Some(1)),
        // Skims.
        (Move, 1, None),
        (Threading, 1, None),
        (Move, 1, None),
        (Pass, 1, Some(2)),
        (Pass, 1, Some(3)),
        (Pass, 1, Some(4)),
        // Cut-offs: the wire is still in the opening; its tab's stretch is skimmed once the slug is out, and the part
        // comes free last.
        (Secure, 1, None),
        (Tab, 1, Some(1)),
        (SlugStop, 1, None),
        (Move, 1, None),
        (Threading, 1, None),
        (Move, 1, None),
        (Tab, 1, Some(2)),
        (Tab, 1, Some(3)),
        (Tab, 1, Some(4)),
        (Move, 0, None),
        (Threading, 0, None),
        (Move, 0, None),
        (Secure, 0, None),
        (Tab, 0, Some(1)),
        (PartStop, 0, None),
    ];
    assert_eq!(steps(&f), expected);
    assert_eq!((count(&f, Threading), f.start_holes), (5, 2));
    // The slug out first: it leaves between roughs and skims.
    j.cut_off = CutOff::BeforeSkims;
    let f = figures(&plate(), &j);
    let expected = [
        (Threading, 1, None),
        (LeadIn, 1, Some(1)),
        (Pass, 1, Some(1)),
        (Move, 0, None),
        (Threading, 0, None),
        (LeadIn, 0, Some(1)),
        (Pass, 0, Some(1)),
        (Move, 1, None),
        (Threading, 1, None),
        (Move, 1, None),
        (Secure, 1, None),
        (Tab, 1, Some(1)),
        (SlugStop, 1, None),
        (Move, 1, None),
        (Threading, 1, None),
        (Move, 1, None),
        (Pass, 1, Some(2)),
        (Tab, 1, Some(2)),
        (Pass, 1, Some(3)),
        (Tab, 1, Some(3)),
        (Pass, 1, Some(4)),
        (Tab, 1, Some(4)),
        (Move, 0, None),
        (Threading, 0, None),
        (Move, 0, None),
        (Secure, 0, None),
        (Tab, 0, Some(1)),
        (PartStop, 0, None),
    ];
    assert_eq!(steps(&f), expected);
}

#[test]
fn with_any_mixture_of_passes_a_part_comes_free_after_all_that_lies_in_it() {
    let p = profile(vec![
        rectangle(0.0, 0.0, 60.0, 60.0),
        round(10.0, 10.0, 8.0),
        round(30.0, 10.0, 8.0),
        rectangle(10.0, 30.0, 12.0, 12.0),
        rectangle(70.0, 0.0, 20.0, 20.0),
        round(80.0, 10.0, 5.0),
    ]);
    for mixture in 0..4_usize.pow(6) {
        // A share of all mixtures, spread over them.
        if mixture % 29 != 0 {
            continue;
        }
        let mut j = Job {
            order: CuttingOrder::RoughsFirst,
            cut_off: if mixture % 2 == 0 {
                CutOff::AfterSkims
            } else {
                CutOff::BeforeSkims
            },
            ..job()
        };
        for k in 0..6 {
            j.choose(k, |c| {
                c.passes = Some(mixture / 4_usize.pow(k as u32) % 4 + 1);
            });
        }
        let f = figures(&p, &j);
        let last = |c: usize| f.steps.iter().rposition(|s| s.contour == Some(c)).unwrap();
        let free = |c: usize| {
            let stop =
                |s: &kerfcast::plan::Step| s.contour == Some(c) && s.kind == StepKind::PartStop;
            f.steps.iter().position(stop).unwrap()
        };
        for (inside, part) in [(1, 0), (2, 0), (3, 0), (5, 4)] {
            assert!(last(inside) < free(part), "{mixture}");
        }
        // Every rough before every skim.
        let rough = |s: &kerfcast::plan::Step| s.kind == StepKind::Pass && s.is_rough();
        let skim = |s: &kerfcast::plan::Step| s.is_skim();
        let first_skim = f.steps.iter().position(skim).unwrap_or(f.steps.len());
        assert!(f.steps.iter().rposition(rough).unwrap() < first_skim);
    }
}

#[test]
fn a_contour_that_the_wire_is_still_in_is_not_threaded_again() {
    let (p, j) = openings(vec![round(0.0, 0.0, 10.0)]);
    let in_turn = figures(&p, &j);
    let roughs_first = Job {
        order: CuttingOrder::RoughsFirst,
        ..j
    };
    let f = figures(&p, &roughs_first);
    // Once for all passes, and once when the slug is out: nobody reaches in beside a live wire.
    assert_eq!(count(&f, StepKind::Threading), 2);
    assert_eq!(f.steps, in_turn.steps);
    // With the slug out before the skims the second threading serves them.
    let f = figures(
        &p,
        &Job {
            cut_off: CutOff::BeforeSkims,
            ..roughs_first
        },
    );
    assert_eq!(count(&f, StepKind::Threading), 2);
}

#[test]
fn waste_that_falls_apart_is_as_many_slugs_and_comes_loose_early() {
    // Two squares of 5 joined by a neck 0.6 wide: the path of the rough passes it (2 · 0.219), the slug's edge
    // does not (2 · 0.384).
    let dumbbell = Contour::polygon(&[
        (0.0, 0.0),
        (5.0, 0.0),
        (5.0, 2.2),
        (8.0, 2.2),
        (8.0, 0.0),
        (13.0, 0.0),
        (13.0, 5.0),
        (8.0, 5.0),
        (8.0, 2.8),
        (5.0, 2.8),
        (5.0, 5.0),
        (0.0, 5.0),
    ]);
    let (p, j) = openings(vec![dumbbell, round(30.0, 0.0, 10.0)]);
    let f = figures(&p, &j);
    assert_eq!(f.slugs.len(), 3);
    // A square of 4.232, and what lies beyond it in the mouth of the neck, between two arcs of 0.384 about
    // corners 0.6 apart: 2·∫ (r − √(r² − y²)) dy from 0 to 0.3.
    let (r, y) = (INSET, 0.3_f64);
    let under = 0.5 * (y * (r * r - y * y).sqrt() + r * r * (y / r).asin());
    let area = (5.0 - 2.0 * r).powi(2) + 2.0 * (y * r - under);
    for (k, s) in f.slugs[..2].iter().enumerate() {
        assert_eq!((s.contour, s.piece, s.pieces), (0, k, 2));
        assert!(
            (s.area.mm2() - area).abs() < 1e-6,
            "{} {area}",
            s.area.mm2()
        );
        assert!((s.mass.kg() - area * 40.0 * DENSITY).abs() < 1e-9);
        // To where the arcs meet in the neck.
        let size = 5.0 - r - (r * r - y * y).sqrt();
        assert!((s.size.mm() - size).abs() < 1e-6, "{}", s.size.mm());
        assert!(s.wants_care());
        let words = loose_pieces::falls_apart(s.pieces);
        assert!(words.contains("2 pieces") && words.contains("Somebody stays with the rough"));
    }
    let whole = &f.slugs[2];
    assert_eq!((whole.contour, whole.pieces), (1, 1));
    // Each opening has its one stop.
    assert_eq!(count(&f, StepKind::SlugStop), 2);
}

#[test]
fn a_part_has_its_mass_and_its_caution_by_the_shops_own_limits() {
    let mut j = job();
    let f = figures(&plate(), &j);
    assert_eq!(f.parts.len(), 1);
    let part = &f.parts[0];
    let area = 3600.0 - 25.0 * PI;
    assert!((part.area.mm2() - area).abs() < 1e-9);
    assert!((part.mass.kg() - area * 40.0 * DENSITY).abs() < 1e-9);
    assert_eq!(
        (part.size, part.caution),
        (mm(60.0), Some(SlugCaution::MayFall))
    );
    assert!(loose_pieces::part(SlugCaution::MayFall).contains("manual"));
    j.shop.heavy_slug = Mass::from_kg(1.2);
    assert_eq!(figures(&plate(), &j).parts[0].caution, None);
    // A hole that is not cut stays material as far as anybody knows; its mass is on the safe side.
    j.left_out.insert(1);
    let f = figures(&plate(), &j);
    assert!((f.parts[0].area.mm2() - 3600.0).abs() < 1e-9);
    // A pin of Ø 4 may slip into the lower nozzle.
    let pin = figures(&profile(vec![round(0.0, 0.0, 4.0)]), &job());
    assert_eq!(pin.parts[0].caution, Some(SlugCaution::MayJam));
    // A part in the slug of a part: both, the outer one less its opening.
    let nested = profile(vec![
        rectangle(0.0, 0.0, 60.0, 60.0),
        rectangle(10.0, 10.0, 40.0, 40.0),
        rectangle(20.0, 20.0, 20.0, 20.0),
    ]);
    let f = figures(&nested, &job());
    let areas: Vec<f64> = f.parts.iter().map(|p| p.area.mm2()).collect();
    assert_eq!(areas, [2000.0, 400.0]);
    // An opening alone frees no part.
    let (p, j) = openings(vec![round(0.0, 0.0, 10.0)]);
    assert!(figures(&p, &j).parts.is_empty());
}

#[test]
fn waste_that_cannot_be_eroded_says_why() {
    let nested = profile(vec![
        rectangle(0.0, 0.0, 60.0, 60.0),
        rectangle(10.0, 10.0, 40.0, 40.0),
        rectangle(20.0, 20.0, 20.0, 20.0),
    ]);
    let eroding = |mut j: Job, key: usize| {
        j.choose(key, |c| c.waste = Some(Waste::Erode));
        j
    };
    let f = figures(&nested, &eroding(job(), 1));
    assert_eq!(f.slugs[0].not_eroded, Some(NotEroded::HoldsOthers));
    assert_eq!(count(&f, StepKind::SlugStop), 1);
    // Rings 0.264 apart: 400 of them reach 106 mm deep, not 200.
    let (p, j) = openings(vec![round(0.0, 0.0, 400.0)]);
    let f = figures(&p, &eroding(j.clone(), 0));
    assert_eq!(f.slugs[0].not_eroded, Some(NotEroded::TooLarge));
    assert!(loose_pieces::not_eroded(NotEroded::TooLarge).contains("400 rings"));
    assert_eq!(count(&f, StepKind::SlugStop), 1);
    // Not asked for, nothing to say; done, no slug.
    assert_eq!(figures(&p, &j).slugs[0].not_eroded, None);
    let (p, j) = openings(vec![round(0.0, 0.0, 10.0)]);
    assert!(figures(&p, &eroding(j, 0)).slugs.is_empty());
}

fn adds_up(f: &Figure) {
    if let Some(again) = f.recomputed() {
        assert!(
            (again - f.value).abs() <= 1e-6 * f.value.abs().max(1e-3),
            "{}",
            f.name
        );
    }
    if let Origin::Formula { terms, .. } = &f.origin {
        terms.iter().for_each(|(_, t)| adds_up(t));
    }
}

#[test]
fn a_wire_threaded_by_hand_takes_longer_and_somebody_stands_there() {
    let l = Library::built_in();
    let usual = figures(&plate(), &job());
    let mut by_hand = job();
    by_hand.shop.threads_by_hand = true;
    let mut reel = job();
    reel.candidates[0].run = WireRun::Reciprocating {
        reel: Length::from_m(200.0),
        hours: 80.0,
    };
    for (name, j) in [("the shop's habit", by_hand), ("a reel", reel)] {
        let e = one(&plate(), &j);
        let f = e.figures.as_ref().unwrap();
        let threadings = f.steps.iter().filter(|s| s.kind == StepKind::Threading);
        let threadings: Vec<_> = threadings.collect();
        // Two holes, the opening's again once its slug is out; five minutes each instead of one, all of it attended.
        assert_eq!(threadings.len(), 3);
        for s in threadings {
            assert!(s.attended && s.minutes.min_value() == 5.0);
            assert!((s.wire.m() - 1.5).abs() < 1e-12);
        }
        let more = |now: Minutes, before: Minutes| (now - before).min_value();
        let lines = |f: &Figures| f.minutes.median - f.share(Share::Allowance);
        assert!(
            (more(lines(f), lines(&usual)) - 12.0).abs() < 1e-9,
            "{name}"
        );
        assert!(
            (more(f.attended, usual.attended) - 15.0).abs() < 1e-9,
            "{name}"
        );
        // The answers name it, and recompute.
        let why = explain(Question::Share(Share::Threading), &j, l, &e).unwrap();
        assert!((why.value - 15.0).abs() < 1e-9);
        for q in [
            Question::Share(Share::Threading),
            Question::Attended,
            Question::Labour,
            Question::Minutes,
            Question::Step(0),
        ] {
            let why = explain(q, &j, l, &e).unwrap();
            adds_up(&why);
            assert!(
                format!("{why:?}").contains("threading by hand"),
                "{name} {q:?}"
            );
        }
        let labour = explain(Question::Labour, &j, l, &e).unwrap().value;
        let rate = j.shop.labour_rate.amount();
        assert!((labour - f.attended.hours() * rate).abs() < 1e-9);
    }
    // What a shop file of old does not say is done by the machine.
    let text = serde_json::to_string(&job().shop).unwrap();
    let old = text.replace(",\"threads_by_hand\":false", "");
    assert_ne!(old, text);
    let shop: kerfcast::job::Shop = serde_json::from_str(&old).unwrap();
    assert!(!shop.threads_by_hand);
}
