//! Inside radii from sharp to roomy: one rule for all, and no step in the figures.
//!
//! A wire whose centre keeps R from the contour leaves a radius of R. In a corner of 90° drawn with ρ < R it leaves
//! (R − ρ)(√2 − 1) deep and (R² − ρ²)(1 − π/4) large, by plane geometry.

use kerfcast::estimate::changes::radius_left;
use kerfcast::estimate::{Comparison, Estimate, Obstacle, ObstacleKind, compare};
use kerfcast::geometry::{Contour, Point, Vertex};
use kerfcast::job::{Job, TightRadii};
use kerfcast::library::Library;
use kerfcast::plan::PathCache;
use kerfcast::profile::{Keep, Profile};
use kerfcast::words::{System, obstacles};
use std::f64::consts::{FRAC_PI_4, FRAC_PI_8, SQRT_2};

/// Radii from 0 to 0.3 mm.
fn radii() -> impl Iterator<Item = f64> {
    (0..=60).map(|k| f64::from(k) * 0.005)
}

/// Every right angle of a polygon rounded by `r`, counter-clockwise.
fn rounded(corners: &[(f64, f64)], r: f64) -> Profile {
    let n = corners.len();
    let at = |k: usize| Point::new(corners[k % n].0, corners[k % n].1);
    let mut vertices = Vec::new();
    for k in 0..n {
        let (before, corner, after) = (at(k + n - 1), at(k), at(k + 1));
        let (u, v) = ((corner - before).unit(), (after - corner).unit());
        let bulge = FRAC_PI_8.tan() * u.cross(v).signum();
        if r > 0.0 {
            let begin = corner - u * r;
            vertices.push(Vertex { at: begin, bulge });
        }
        let at = corner + v * r;
        vertices.push(Vertex { at, bulge: 0.0 });
    }
    let shape = Contour::new(vertices);
    Profile::of_shapes([shape])
}

fn square(r: f64) -> Profile {
    rounded(&[(0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (0.0, 20.0)], r)
}

/// Five corners towards the wire, one away from it.
fn angled(r: f64) -> Profile {
    let corners = [
        (0.0, 0.0),
        (30.0, 0.0),
        (30.0, 12.0),
        (12.0, 12.0),
        (12.0, 30.0),
        (0.0, 30.0),
    ];
    rounded(&corners, r)
}

fn job(tight_radii: TightRadii) -> Job {
    Job {
        keep: Keep::Outside,
        tight_radii,
        ..Job::starting(Library::built_in())
    }
}

fn compared(profile: &Profile, said: TightRadii) -> Comparison {
    let library = Library::built_in();
    compare(profile, &job(said), library, &PathCache::default())
}

/// Wire centre to contour in the last pass, mm, and what that pass holds anyway, mm.
fn leaves(e: &Estimate) -> (f64, f64) {
    let library = Library::built_in();
    let job = job(TightRadii::Undecided);
    let left = radius_left(&job, &e.candidate, library).expect("a known wire");
    (left.mm(), library.passes[job.passes - 1].tolerance_mm[1])
}

fn of_radius(e: &Estimate) -> Vec<&Obstacle> {
    let is = |o: &&Obstacle| matches!(o.kind, ObstacleKind::InsideRadius { .. });
    e.obstacles.iter().filter(is).collect()
}

#[test]
fn every_wire_has_its_figures_whatever_the_radius_and_a_rounder_corner_takes_no_longer() {
    for shape in [square, angled] {
        let mut before: Option<Vec<f64>> = None;
        for r in radii() {
            let c = compared(&shape(r), TightRadii::Undecided);
            let minutes: Vec<f64> = c
                .estimates
                .iter()
                .map(|e| e.figures.as_ref().map(|f| f.minutes.median.min_value()))
                .map(|m| m.unwrap_or_else(|| panic!("{r}: no figures")))
                .collect();
            assert_eq!(minutes.len(), 6);
            // A rounded corner is shorter by (2 − π/2)ρ; below the wire's own radius the path stays.
            if let Some(before) = before {
                for (now, before) in minutes.iter().zip(before) {
                    assert!(*now <= before * (1.0 + 1e-9), "{r}: {now} {before}");
                }
            }
            before = Some(minutes);
        }
    }
}

#[test]
fn what_is_not_as_drawn_says_drawn_and_left_radius_and_depth() {
    for (shape, corners) in [(square as fn(f64) -> Profile, 4), (angled, 5)] {
        let mut turns = [0; 6];
        let mut was = [false; 6];
        for r in radii() {
            let c = compared(&shape(r), TightRadii::Undecided);
            for (k, e) in c.estimates.iter().enumerate() {
                let (left, tolerance) = leaves(e);
                let depth = (left - r) * (SQRT_2 - 1.0);
                assert_eq!(e.is_as_drawn(), depth <= tolerance, "{r}: {e:?}");
                turns[k] += usize::from(e.is_as_drawn() != was[k]);
                was[k] = e.is_as_drawn();
                let told = of_radius(e);
                assert_eq!(told.len(), usize::from(depth > tolerance));
                assert_eq!(e.uncut.len(), if depth > tolerance { corners } else { 0 });
                for o in told {
                    let ObstacleKind::InsideRadius {
                        radius,
                        places,
                        leaves,
                        depth: deep,
                        ..
                    } = o.kind
                    else {
                        unreachable!()
                    };
                    assert!(!o.blocks());
                    assert!((radius.mm() - r).abs() < 1e-9, "{r}: {o:?}");
                    assert!((leaves.mm() - left).abs() < 1e-9);
                    assert!((deep.mm() - depth).abs() < 1e-6, "{r}: {o:?}");
                    assert_eq!(places, corners);
                }
                let area = (left * left - r * r) * (1.0 - FRAC_PI_4);
                for u in &e.uncut {
                    assert!((u.area.mm2() - area).abs() < 1e-8, "{r}: {area} {u:?}");
                }
            }
        }
        assert_eq!(turns, [1; 6]);
    }
}

#[test]
fn wires_that_make_a_radius_come_first_until_it_is_accepted() {
    // At 0.12 mm the wire of 0.20 mm (0.106) makes it, those of 0.25 mm (0.131) do not.
    let p = square(0.12);
    let c = compared(&p, TightRadii::Undecided);
    let made: Vec<bool> = c.estimates.iter().map(Estimate::is_as_drawn).collect();
    assert_eq!(made, [false, false, false, false, false, true]);
    assert_eq!((c.fastest(), c.cheapest()), (Some(5), Some(5)));
    let accepted = compared(&p, TightRadii::Accepted);
    assert_ne!(accepted.fastest(), Some(5));
    assert!(!accepted.estimates[0].is_as_drawn());
    let required = compared(&p, TightRadii::Required);
    let possible: Vec<bool> = required
        .estimates
        .iter()
        .map(Estimate::is_possible)
        .collect();
    assert_eq!(possible, made);
    // A sharp corner tells no wire from another.
    let sharp = compared(&square(0.0), TightRadii::Undecided);
    assert!(sharp.estimates.iter().all(|e| !e.is_as_drawn()));
    assert_eq!(sharp.fastest(), accepted.fastest());
    let required = compared(&square(0.0), TightRadii::Required);
    assert!(required.estimates.iter().all(|e| !e.is_possible()));
}

#[test]
fn the_words_are_in_mm_or_in_inch() {
    let c = compared(&square(0.1), TightRadii::Undecided);
    let told = of_radius(&c.estimates[0]);
    // (0.131 − 0.1)(√2 − 1) = 0.0128 mm = .0005 in; 0.1/25.4 = .0039, 0.131/25.4 = .0052.
    let metric = obstacles::sentence(told[0], System::Metric);
    for part in [
        "radius of 0.1 mm in 4 places",
        "leaves a radius of 0.131 mm",
        "0.013 mm deep",
    ] {
        assert!(metric.contains(part), "{metric}");
    }
    let inch = obstacles::sentence(told[0], System::Inch);
    for part in [
        "radius of .0039 in at 4 places",
        "leaves a radius of .0052 in",
        ".0005 in deep",
    ] {
        assert!(inch.contains(part), "{inch}");
    }
}

#[test]
fn a_job_saved_before_the_question_was_asked_is_undecided() {
    let mut saved = serde_json::to_value(job(TightRadii::Required)).expect("a job is written");
    assert_eq!(saved["tight_radii"], "required");
    saved
        .as_object_mut()
        .expect("an object")
        .remove("tight_radii");
    let read: Job = serde_json::from_value(saved).expect("it is read");
    assert_eq!(read.tight_radii, TightRadii::Undecided);
}
