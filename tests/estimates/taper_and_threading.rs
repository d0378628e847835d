//! Leaning cuts, the wire kept threaded from contour to contour, and contours whose side is turned.

use kerfcast::estimate::{Estimate, Figures, compare};
use kerfcast::geometry::{Contour, Point};
use kerfcast::job::{Candidate, Job, Travel};
use kerfcast::library::Library;
use kerfcast::measures::{measure, measure_as};
use kerfcast::plan::{PathCache, StepKind};
use kerfcast::process::passes::slug_inset;
use kerfcast::profile::{Keep, Profile, Role};
use kerfcast::units::Length;
use std::f64::consts::PI;

fn profile(contours: Vec<Contour>) -> Profile {
    Profile::of_shapes(contours)
}

fn rectangle(x: f64, y: f64, w: f64, h: f64) -> Contour {
    Contour::polygon(&[(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
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

/// An opening in a plate, leaning by some degrees; the plate stays.
fn opening(shape: Contour, degrees: f64) -> Estimate {
    let mut job = Job {
        keep: Keep::Outside,
        thickness: Length::from_mm(50.0),
        ..job()
    };
    job.choose(0, |c| c.taper_degrees = degrees);
    one(&profile(vec![shape]), &job)
}

#[test]
fn a_round_opening_leans_to_a_cone() {
    // Radius 8, 3° over 50 mm: the lower edge is 50·tan 3° = 2.620389 mm smaller in radius.
    let lean = 50.0 * 3.0_f64.to_radians().tan();
    assert!((lean - 2.620_389).abs() < 1e-6);
    for (degrees, below) in [(3.0, 8.0 - lean), (-3.0, 8.0 + lean)] {
        let e = opening(Contour::circle(Point::new(5.0, 5.0), 8.0), degrees);
        let edge = &e.lower_edges[0];
        assert!(edge.confirmed && edge.loops.len() == 1);
        assert!((edge.loops[0].length() - 2.0 * PI * below).abs() < 1e-9);
        // Frustum of a cone (handbook): V = π·H·(R² + R·r + r²)/3.
        let f = e.figures.unwrap();
        let inset = slug_inset(Length::from_mm(0.25), &f.plans[1].passes[0]).mm();
        let (top, bottom) = (8.0 - inset, below - inset);
        let volume = PI * 50.0 * (top * top + top * bottom + bottom * bottom) / 3.0;
        let material = &Library::built_in().materials[0];
        let kg = volume * 1e-9 * material.density().kg_per_m3();
        let found = f.slugs[0].mass.kg();
        assert!((found / kg - 1.0).abs() < 1e-9, "{found} {kg}");
        assert!((f.slugs[0].area.mm2() - PI * top * top).abs() < 1e-9);
    }
    assert!(
        opening(Contour::circle(Point::ORIGIN, 8.0), 0.0)
            .lower_edges
            .is_empty()
    );
}

#[test]
fn a_square_opening_leans_by_hand() {
    // 20 × 20, inwards by h: 20 − 2h square; outwards Steiner: 4·20 + 2πh long.
    let lean = 50.0 * 2.0_f64.to_radians().tan();
    let smaller = opening(rectangle(0.0, 0.0, 20.0, 20.0), 2.0);
    let length: f64 = smaller.lower_edges[0]
        .loops
        .iter()
        .map(Contour::length)
        .sum();
    assert!((length - 4.0 * (20.0 - 2.0 * lean)).abs() < 1e-9);
    let larger = opening(rectangle(0.0, 0.0, 20.0, 20.0), -2.0);
    let length: f64 = larger.lower_edges[0]
        .loops
        .iter()
        .map(Contour::length)
        .sum();
    assert!((length - (80.0 + 2.0 * PI * lean)).abs() < 1e-9);
    // A frustum of a pyramid (handbook): V = H·(A + √(A·B) + B)/3.
    let f = smaller.figures.unwrap();
    let inset = slug_inset(Length::from_mm(0.25), &f.plans[1].passes[0]).mm();
    let (a, b) = (20.0 - 2.0 * inset, 20.0 - 2.0 * (inset + lean));
    let volume = 50.0 * (a * a + a * b + b * b) / 3.0;
    let kg = volume * 1e-9 * Library::built_in().materials[0].density().kg_per_m3();
    assert!((f.slugs[0].mass.kg() / kg - 1.0).abs() < 1e-9);
}

#[test]
fn a_taper_that_closes_the_opening_has_no_lower_edge() {
    // Radius 2, 5° over 50 mm: 4.37 mm of lean, more than there is.
    let e = opening(Contour::circle(Point::ORIGIN, 2.0), 5.0);
    assert!(e.lower_edges[0].loops.is_empty());
}

fn keep_threaded(keep: Keep) -> Job {
    Job {
        keep,
        travel: Travel::KeepThreaded,
        ..job()
    }
}

#[test]
fn from_an_island_to_the_opening_around_it_the_wire_stays_threaded() {
    // An opening of 40 × 40 with an island of 24 × 24 left in it: 8 mm of waste all round.
    let shapes = vec![
        rectangle(0.0, 0.0, 40.0, 40.0),
        rectangle(8.0, 8.0, 24.0, 24.0),
    ];
    let p = profile(shapes.clone());
    let f = figures(&p, &keep_threaded(Keep::Outside));
    assert_eq!(
        (count(&f, StepKind::Threading), count(&f, StepKind::Across)),
        (2, 1),
        "again once the slug is out"
    );
    let across = f.steps.iter().find(|s| s.kind == StepKind::Across).unwrap();
    assert_eq!(across.contour, Some(0));
    // From the island's path to the opening's: 8 mm less an offset on either side.
    let offset = f.passes[0].offset.mm();
    assert!((across.length.mm() - (8.0 - 2.0 * offset)).abs() < 1e-6);
    // A contour that is not cut in the way, all round: threaded anew.
    let mut between = shapes.clone();
    between.push(rectangle(4.0, 4.0, 32.0, 32.0));
    let mut job = keep_threaded(Keep::Outside);
    job.left_out.insert(2);
    let f = figures(&profile(between), &job);
    assert_eq!(count(&f, StepKind::Across), 0);
    // Too far: an island in the middle of a large opening.
    let far = vec![
        rectangle(0.0, 0.0, 120.0, 120.0),
        rectangle(50.0, 50.0, 20.0, 20.0),
    ];
    let f = figures(&profile(far), &keep_threaded(Keep::Outside));
    assert_eq!(
        (count(&f, StepKind::Threading), count(&f, StepKind::Across)),
        (3, 0)
    );
}

#[test]
fn through_what_stays_no_wire_goes() {
    // Two openings side by side: the plate between them stays.
    let openings = vec![
        rectangle(0.0, 0.0, 10.0, 10.0),
        rectangle(12.0, 0.0, 10.0, 10.0),
    ];
    let f = figures(&profile(openings), &keep_threaded(Keep::Outside));
    assert_eq!(
        (count(&f, StepKind::Threading), count(&f, StepKind::Across)),
        (4, 0)
    );
    // From a hole in a part to the part's own outline: the part lies between.
    let part = vec![
        rectangle(0.0, 0.0, 20.0, 20.0),
        rectangle(5.0, 5.0, 10.0, 10.0),
    ];
    let f = figures(&profile(part), &keep_threaded(Keep::Inside));
    assert_eq!(
        (count(&f, StepKind::Threading), count(&f, StepKind::Across)),
        (3, 0)
    );
}

#[test]
fn a_turned_contour_changes_its_role_in_the_measures_too() {
    let p = profile(vec![
        rectangle(0.0, 0.0, 60.0, 60.0),
        rectangle(10.0, 10.0, 12.0, 12.0),
        rectangle(35.0, 10.0, 8.0, 8.0),
    ]);
    let mut job = job();
    let measured = |job: &Job| measure_as(&p, |k| job.role(&p, k));
    assert_eq!(measured(&job), measure(&p, Keep::Inside));
    job.choose(2, |c| c.turned = true);
    let (m, f) = (measured(&job), figures(&p, &job));
    assert_eq!(m.contours[2].role, Role::Outline);
    assert_eq!((m.totals.outlines, m.totals.openings), (2, 1));
    // As many slugs in the estimate; a square outline has no inside corner, a square opening has.
    assert_eq!(m.totals.slugs, f.slugs.len());
    assert_eq!(m.contours[2].tightest_inside_radius, None);
    assert_eq!(m.contours[1].tightest_inside_radius, Some(Length::ZERO));
    let net = 60.0 * 60.0 - 12.0 * 12.0 + 8.0 * 8.0;
    assert!((m.totals.net_area.mm2() - net).abs() < 1e-9);
}
