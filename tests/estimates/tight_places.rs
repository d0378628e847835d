//! Where a wire does not fit: slots, corners, roughs that cannot follow, contours too near to each other.
//!
//! Offsets are those of the built-in library for 0.25 mm and four passes: 0.219, 0.159, 0.139 and 0.131 mm
//! (d/2 + gap + the stock of later passes); the rough's kerf reaches 0.219 + 0.125 + 0.040 = 0.384 mm.

use kerfcast::drawing::{Progress, ReadOptions, read};
use kerfcast::estimate::changes::{Needed, next_larger};
use kerfcast::estimate::{Estimate, Obstacle, ObstacleKind, compare};
use kerfcast::geometry::{Contour, Point, Segment, Vertex};
use kerfcast::job::{Candidate, Job, WireRun, contour_key};
use kerfcast::library::Library;
use kerfcast::plan::PathCache;
use kerfcast::profile::{Keep, OpenChain, Profile};
use kerfcast::units::{Length, RunOff};
use kerfcast::words::{System, obstacles};
use std::f64::consts::PI;

use crate::shared;

fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

fn profile(contours: Vec<Contour>) -> Profile {
    Profile::of_shapes(contours)
}

fn job(keep: Keep) -> Job {
    Job {
        candidates: vec![Candidate::new("hard plain brass", 0.25)],
        keep,
        ..Job::starting(Library::built_in())
    }
}

fn one(profile: &Profile, job: &Job) -> Estimate {
    compare(profile, job, Library::built_in(), &PathCache::default())
        .estimates
        .remove(0)
}

fn codes(e: &Estimate) -> Vec<&'static str> {
    e.blockers()
        .map(kerfcast::estimate::Obstacle::code)
        .collect()
}

fn metric(o: &Obstacle) -> String {
    obstacles::sentence(o, System::Metric)
}

/// The one obstacle, but for the sharp corners that no round wire makes, and for the start hole that waste so narrow
/// has no room for either.
fn only(e: &Estimate) -> &Obstacle {
    let besides = |o: &Obstacle| {
        o.code() == "no-start-hole" || o.code() == "inside-radius" && !o.kind.is_unmade_radius()
    };
    let mut others = e.obstacles.iter().filter(|o| !besides(o));
    let one = others.next().expect("an obstacle");
    assert!(others.next().is_none(), "{:?}", e.obstacles);
    one
}

/// Whether nothing but a start hole is missing.
fn only_unstartable(e: &Estimate) -> bool {
    e.blockers().all(|o| o.code() == "no-start-hole")
}

fn own_run(m_per_min: f64) -> WireRun {
    let rough = RunOff::from_m_per_min(m_per_min);
    WireRun::Own {
        rough,
        skims: rough,
    }
}

fn square(x: f64, y: f64, side: f64) -> Contour {
    Contour::polygon(&[(x, y), (x + side, y), (x + side, y + side), (x, y + side)])
}

/// A square of 10 mm with a slot in its right side, square (bulge 0) or round (bulge 1) at its end.
fn slotted(width: f64, depth: f64, bulge: f64) -> Contour {
    let h = width / 2.0;
    let v = |x, y, bulge| Vertex {
        at: Point::new(x, y),
        bulge,
    };
    Contour::new(vec![
        v(0.0, 0.0, 0.0),
        v(10.0, 0.0, 0.0),
        v(10.0, 5.0 - h, 0.0),
        v(10.0 + depth, 5.0 - h, bulge),
        v(10.0 + depth, 5.0 + h, 0.0),
        v(10.0, 5.0 + h, 0.0),
        v(10.0, 10.0, 0.0),
        v(0.0, 10.0, 0.0),
    ])
}

/// The same square with the slot along its floor, so that one wall of the slot goes on.
fn slotted_along_the_floor(width: f64, depth: f64) -> Contour {
    Contour::polygon(&[
        (0.0, 0.0),
        (10.0 + depth, 0.0),
        (10.0 + depth, width),
        (10.0, width),
        (10.0, 10.0),
        (0.0, 10.0),
    ])
}

#[test]
fn a_contour_that_crosses_itself_is_told_before_and_instead_of_what_the_wire_makes_of_it() {
    // A bow tie; a square with a loop at a corner; and, for comparison, a neck that only a wire finds too narrow.
    let bow = Contour::polygon(&[(0.0, 0.0), (20.0, 20.0), (20.0, 0.0), (0.0, 20.0)]);
    let looped = Contour::polygon(&[
        (0.0, 0.0),
        (30.0, 0.0),
        (30.0, 31.0),
        (29.0, 31.0),
        (31.0, 29.0),
        (31.0, 30.0),
        (0.0, 30.0),
    ]);
    let of_the_wire = [
        "cannot-enter",
        "neck-closed",
        "path-unsure",
        "narrow-place",
        "inside-radius",
    ];
    for shape in [bow, looped] {
        for keep in [Keep::Outside, Keep::Inside] {
            let e = one(&profile(vec![shape.clone()]), &job(keep));
            let first = e.obstacles.first().expect("an obstacle");
            assert_eq!(first.code(), "self-crossing", "{:?}", e.obstacles);
            assert_eq!(first.contour(), Some(0));
            let others = e.obstacles.iter().skip(1);
            assert!(
                others
                    .map(Obstacle::code)
                    .all(|c| !of_the_wire.contains(&c))
            );
            assert!(metric(first).contains("whatever the wire"));
        }
    }
    // Round openings of two arcs cross nothing.
    let round = Contour::circle(Point::new(0.0, 0.0), 0.1);
    let e = one(&profile(vec![round]), &job(Keep::Outside));
    assert_eq!(codes(&e), ["cannot-enter"]);
}

#[test]
fn a_slot_that_ends_blind_and_is_too_narrow_blocks() {
    // The wire leaves 0.131 either side: 0.262 at least; the rough of the plan needs 2 × 0.219 = 0.438.
    let shapes = [
        slotted(0.2, 5.0, 0.0),
        slotted(0.2, 5.0, 1.0),
        slotted_along_the_floor(0.2, 5.0),
    ];
    for shape in shapes {
        let e = one(&profile(vec![shape]), &job(Keep::Outside));
        let o = only(&e);
        assert_eq!((o.code(), o.blocks()), ("narrow-place", true), "{e:?}");
        assert!(metric(o).contains("0.200 mm wide"), "{}", metric(o));
        assert!(metric(o).contains("0.438 mm"), "{}", metric(o));
        // The end of the slot, not its mouth; the square's own corners stay sharp corners.
        assert!(o.at.is_some_and(|at| at.x > 14.8), "{o:?}");
        let tight: Vec<_> = e.uncut.iter().filter(|u| !u.sharp).collect();
        assert_eq!(tight.len(), 1, "{:?}", e.uncut);
        assert!(tight[0].width.is_some_and(|w| (w.mm() - 0.2).abs() < 1e-6));
        assert!(tight[0].depth.mm() > 4.8);
    }
}

#[test]
fn a_notch_of_an_outline_blocks_as_well() {
    let notch = Contour::polygon(&[
        (0.0, 0.0),
        (10.0, 0.0),
        (10.0, 4.9),
        (5.0, 4.9),
        (5.0, 5.1),
        (10.0, 5.1),
        (10.0, 10.0),
        (0.0, 10.0),
    ]);
    let e = one(&profile(vec![notch]), &job(Keep::Inside));
    assert_eq!(only(&e).code(), "narrow-place");
}

#[test]
fn corners_stand_as_deep_as_their_angle_says_and_do_not_block() {
    // Triangles with sides at 90°, 60° and 25°: the corner stands r(1/cos(t/2) − 1) deep.
    for angle in [90.0_f64, 60.0, 25.0] {
        let a = angle.to_radians();
        let wedge = Contour::polygon(&[(0.0, 0.0), (20.0, 0.0), (20.0 * a.cos(), 20.0 * a.sin())]);
        let e = one(&profile(vec![wedge]), &job(Keep::Outside));
        assert!(e.is_possible(), "{angle}: {:?}", e.obstacles);
        assert!(e.uncut.iter().all(|u| u.sharp));
        let expected = 0.131 * (1.0 / (a / 2.0).sin() - 1.0);
        let deepest = e.uncut.iter().map(|u| u.depth.mm()).fold(0.0, f64::max);
        assert!(
            e.uncut
                .iter()
                .any(|u| u.at.norm() < 1e-6 && (u.depth.mm() - expected).abs() < 1e-4),
            "{angle}: {deepest} {expected}"
        );
    }
    // Half a disc of radius 0.6: the corner between chord and arc stands deeper than straight sides would make it,
    // and yet is a corner.
    let v = |x, bulge| Vertex {
        at: Point::new(x, 0.0),
        bulge,
    };
    let half = Contour::new(vec![v(-0.6, 0.0), v(0.6, 1.0)]);
    let p = profile(vec![half]);
    let mut j = job(Keep::Outside);
    // Too small for a start hole of the list; the user has made one.
    j.choose(contour_key(&p.contours()[0]), |c| {
        c.hole = Some(Point::new(0.0, 0.3));
    });
    let e = one(&p, &j);
    assert!(e.is_possible(), "{:?}", e.obstacles);
}

#[test]
fn a_slot_that_only_the_skims_enter_blocks() {
    // 0.43: the rough needs 0.438, the first skim 2 × 0.159. Two passes need 2 × (0.165 + 0.040) = 0.41.
    for bulge in [0.0, 1.0] {
        let e = one(
            &profile(vec![slotted(0.43, 5.0, bulge)]),
            &job(Keep::Outside),
        );
        let o = only(&e);
        assert_eq!((o.code(), o.blocks()), ("rough-cannot-follow", true));
        assert!(metric(o).contains("0.430 mm wide"), "{}", metric(o));
        assert!(metric(o).contains("0.438 mm"), "{}", metric(o));
        assert!(metric(o).contains("rough and one skim"), "{}", metric(o));
    }
    for (width, passes) in [(0.44, 4), (0.43, 2), (0.35, 1)] {
        let j = Job {
            passes,
            ..job(Keep::Outside)
        };
        let e = one(&profile(vec![slotted(width, 5.0, 0.0)]), &j);
        assert!(e.is_possible(), "{width}: {:?}", e.obstacles);
    }
    // Below 0.41 and above 0.33 only the rough alone follows.
    let e = one(&profile(vec![slotted(0.35, 5.0, 0.0)]), &job(Keep::Outside));
    assert!(metric(only(&e)).contains("rough only"), "{e:?}");
}

#[test]
fn fewer_passes_are_advised_only_where_they_help() {
    // The rough alone needs 2 × 0.165 = 0.33.
    let e = one(&profile(vec![slotted(0.3, 5.0, 0.0)]), &job(Keep::Outside));
    let said = &metric(only(&e));
    assert!(
        said.contains("thinner wire") && !said.contains("passes"),
        "{said}"
    );
}

#[test]
fn the_sample_drawings_have_no_such_place() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/sample_drawings");
    let mut seen = 0;
    for file in std::fs::read_dir(folder)
        .expect("the samples open")
        .flatten()
    {
        if file.path().extension().is_none_or(|e| e != "dxf") {
            continue;
        }
        let bytes = std::fs::read(file.path()).expect("the sample opens");
        let drawing = read(&bytes, &ReadOptions::default(), &Progress::default())
            .unwrap_or_else(|e| panic!("{:?}: {e:?}", file.path()));
        let e = one(&drawing.profile, &job(Keep::Inside));
        let new = ["narrow-place", "rough-cannot-follow", "too-close"];
        assert!(
            codes(&e).iter().all(|c| !new.contains(c)),
            "{:?}: {:?}",
            file.path(),
            e.obstacles
        );
        seen += 1;
    }
    assert!(seen >= 6);
}

#[test]
fn what_the_rough_leaves_in_corners_and_fillets_is_the_skims_business() {
    // A fillet of 0.14 is made by the last pass (0.131) and not by the rough (0.219); so is every sharp corner.
    let q = (PI / 8.0).tan();
    let (s, r) = (10.0, 0.14);
    let v = |x, y, bulge| Vertex {
        at: Point::new(x, y),
        bulge,
    };
    let fillets = Contour::new(vec![
        v(r, 0.0, 0.0),
        v(s - r, 0.0, q),
        v(s, r, 0.0),
        v(s, s - r, q),
        v(s - r, s, 0.0),
        v(r, s, q),
        v(0.0, s - r, 0.0),
        v(0.0, r, q),
    ]);
    let teeth: Vec<(f64, f64)> = (0..40)
        .map(|k| {
            let radius = if k % 2 == 0 { 10.0 } else { 8.0 };
            let a = f64::from(k) * PI / 20.0;
            (radius * a.cos(), radius * a.sin())
        })
        .collect();
    for shape in [fillets, square(0.0, 0.0, 5.0), Contour::polygon(&teeth)] {
        for keep in [Keep::Inside, Keep::Outside] {
            let e = one(&profile(vec![shape.clone()]), &job(keep));
            assert!(e.is_possible(), "{:?}", e.obstacles);
        }
    }
}

#[test]
fn contours_within_the_kerf_of_each_other_block() {
    // Side by side, and a part within an opening: the kerf reaches 0.384 mm.
    let beside = |gap: f64| profile(vec![square(0.0, 0.0, 10.0), square(10.0 + gap, 0.0, 10.0)]);
    let within = |gap: f64| {
        let part = square(gap, gap, 10.0 - 2.0 * gap);
        profile(vec![square(0.0, 0.0, 10.0), part])
    };
    let round = |gap: f64| {
        let discs = [0.0, 10.0 + gap].map(|x| Contour::circle(Point::new(x, 0.0), 5.0));
        profile(discs.to_vec())
    };
    for gap in [0.01, 0.1, 0.2, 0.3, 0.38] {
        let cases = [
            (beside(gap), Keep::Inside),
            (round(gap), Keep::Inside),
            (within(gap), Keep::Outside),
        ];
        for (p, keep) in cases {
            let e = one(&p, &job(keep));
            let o = only(&e);
            assert_eq!((o.code(), o.blocks()), ("too-close", true), "{gap}");
            assert!(
                metric(o).contains(&format!("{gap:.3} mm apart")),
                "{}",
                metric(o)
            );
            assert!(metric(o).contains("0.384 mm"), "{}", metric(o));
            assert!(o.at.is_some());
        }
    }
    for p in [beside(0.385), round(0.385)] {
        assert!(one(&p, &job(Keep::Inside)).is_possible());
    }
    // In a ring so narrow nothing can be started, but nothing is cut into either.
    assert!(only_unstartable(&one(&within(0.385), &job(Keep::Outside))));
    // The rough alone reaches 0.165 + 0.165.
    let j = Job {
        passes: 1,
        ..job(Keep::Inside)
    };
    assert!(one(&beside(0.331), &j).is_possible());
    assert_eq!(codes(&one(&beside(0.329), &j)), ["too-close"]);
    // Squares that share a side leave no room at all.
    let e = one(&beside(0.0), &job(Keep::Inside));
    assert_eq!(codes(&e), ["too-close"]);
    assert!(metric(&e.obstacles[0]).contains("touch or cross"));
    // A contour that is left out holds nothing.
    let mut j = job(Keep::Inside);
    j.left_out.insert(1);
    assert!(one(&beside(0.1), &j).is_possible());
}

#[test]
fn walls_that_stay_between_two_wires_are_no_waste() {
    // Two openings 0.3 mm apart, and an opening 0.3 mm inside its outline: both wires run away from the wall.
    let openings = profile(vec![square(0.0, 0.0, 10.0), square(10.3, 0.0, 10.0)]);
    assert!(one(&openings, &job(Keep::Outside)).is_possible());
    let ring = profile(vec![square(0.0, 0.0, 10.0), square(0.3, 0.3, 9.4)]);
    assert!(one(&ring, &job(Keep::Inside)).is_possible());
}

#[test]
fn what_must_change_follows_the_plan_of_the_contour_and_the_way_of_running() {
    let l = Library::built_in();
    let cache = PathCache::default();
    // Rough only, 0.25 leaves 0.165; 0.30 leaves 0.150 + 0.040 × 1.1 = 0.194. In fillets of 0.12 that stands 0.019
    // and 0.031 deep; the rough holds 0.025 anyway.
    let (s, r, q) = (10.0, 0.12, (PI / 8.0).tan());
    let v = |x, y, bulge| Vertex {
        at: Point::new(x, y),
        bulge,
    };
    let opening = Contour::new(vec![
        v(r, 0.0, 0.0),
        v(s - r, 0.0, q),
        v(s, r, 0.0),
        v(s, s - r, q),
        v(s - r, s, 0.0),
        v(r, s, q),
        v(0.0, s - r, 0.0),
        v(0.0, r, q),
    ]);
    let p = profile(vec![opening]);
    let mut j = job(Keep::Outside);
    j.choose(0, |c| c.passes = Some(1));
    let run = own_run(5.0);
    let own = j.candidates[0].clone().running(run);
    let next = next_larger(&p, &j, l, &own, &cache).expect("0.30 does not make them");
    assert_eq!(next.candidate.diameter, mm(0.30));
    assert_eq!(next.candidate.run, run);
    assert_eq!(next.changes.len(), 4);
    for c in &next.changes {
        assert!(
            matches!(c.needed, Needed::Radius(r) if (r.mm() - 0.194).abs() < 1e-9),
            "{c:?}"
        );
    }
    // Two parts 0.4 apart: 0.25 reaches 0.384, 0.30 reaches 0.3 + 2 × 0.044 + 0.0594 = 0.4474.
    let p = profile(vec![square(0.0, 0.0, 10.0), square(10.4, 0.0, 10.0)]);
    let j = job(Keep::Inside);
    let next = next_larger(&p, &j, l, &j.candidates[0], &cache).expect("0.30 cuts into the other");
    assert!(matches!(next.changes[0].needed, Needed::Width(w) if (w.mm() - 0.4474).abs() < 1e-9));
}

#[test]
fn only_a_thickness_that_something_has_is_checked() {
    // A 0.10 mm wire usually cuts 40 mm; 61 mm is beyond half as much again.
    let p = profile(vec![square(0.0, 0.0, 10.0)]);
    let thin = Job {
        thickness: mm(200.0),
        candidates: vec![Candidate::new("hard plain brass", 0.10)],
        ..job(Keep::Inside)
    };
    assert_eq!(codes(&one(&p, &thin)), ["too-thick"]);
    let mut own = thin.clone();
    own.choose(0, |c| c.thickness = Some(mm(10.0)));
    assert!(one(&p, &own).is_possible(), "{:?}", one(&p, &own).obstacles);
    // A curve that is cut on its line has a thickness of its own.
    let p = p.with_open(vec![OpenChain {
        segments: vec![Segment::line(Point::new(30.0, 0.0), Point::new(40.0, 0.0))],
        drawn_length: mm(10.0),
        layer: String::new(),
        curves: vec![1],
    }]);
    own.choose(1, |c| {
        c.on_line = true;
        c.thickness = Some(mm(61.0));
    });
    let e = one(&p, &own);
    let o = only(&e);
    assert_eq!((o.code(), o.blocks()), ("too-thick", true));
    assert!(
        metric(o).contains("Open curve 1") && metric(o).contains("61 mm"),
        "{}",
        metric(o)
    );
}

#[test]
fn a_wire_that_cannot_be_keeps_no_other_from_its_estimate() {
    let p = profile(vec![square(0.0, 0.0, 10.0)]);
    let j = Job {
        candidates: vec![
            Candidate::new("hard plain brass", 0.25),
            Candidate::new("a wire of nobody", 0.25),
            Candidate::new("hard plain brass", 0.9),
            Candidate::new("hard plain brass", 0.2).running(own_run(-1.0)),
        ],
        ..job(Keep::Inside)
    };
    let l = Library::built_in();
    assert_eq!(j.faults(l).len(), 3);
    let c = compare(&p, &j, l, &PathCache::default());
    let possible: Vec<bool> = c.estimates.iter().map(Estimate::is_possible).collect();
    assert_eq!(possible, [true, false, false, false]);
    for (e, said) in c.estimates[1..]
        .iter()
        .zip(["a wire of nobody", "0.9 mm", "wire speed"])
    {
        assert_eq!(codes(e), ["job"]);
        assert!(metric(&e.obstacles[0]).contains(said), "{:?}", e.obstacles);
    }
    // What is wrong with the job itself is wrong for every wire.
    let c = compare(&p, &Job { quantity: 0, ..j }, l, &PathCache::default());
    assert!(c.estimates.iter().all(|e| !e.is_possible()));
}

#[test]
#[ignore = "needs ../shared"]
fn an_obstacle_about_a_radius_names_one_that_is_too_small() {
    let folder = shared::folder("corpus");
    for file in std::fs::read_dir(folder)
        .expect("the corpus opens")
        .flatten()
    {
        let Some(drawing) = std::fs::read(file.path())
            .ok()
            .and_then(|b| read(&b, &ReadOptions::default(), &Progress::default()).ok())
            .filter(|d| d.profile.contours().len() < 200)
        else {
            continue;
        };
        let e = one(&drawing.profile, &job(Keep::Inside));
        for o in &e.obstacles {
            if let ObstacleKind::InsideRadius { radius, leaves, .. } = o.kind {
                assert!(radius < leaves, "{:?}: {o:?}", file.file_name());
                assert!((leaves.mm() - 0.131).abs() < 1e-9, "{o:?}");
            }
        }
    }
}
