//! Start holes are holes: they lie in the waste with their margin, and the way between them does not depend on how the
//! drawing lies.

use geo::Distance as _;
use kerfcast::estimate::{Estimate, Obstacle, compare, drill_csv, drill_list};
use kerfcast::geometry::{Contour, Point};
use kerfcast::job::{Candidate, Job, contour_key};
use kerfcast::library::Library;
use kerfcast::plan::start_offers::{start_offers, take_offer};
use kerfcast::plan::{PathCache, StepKind};
use kerfcast::profile::{Keep, Profile};
use kerfcast::units::Length;

fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

fn profile(contours: Vec<Contour>) -> Profile {
    Profile::of_shapes(contours)
}

fn job(keep: Keep) -> Job {
    Job {
        keep,
        candidates: vec![Candidate::new("hard plain brass", 0.25)],
        ..Job::starting(Library::built_in())
    }
}

/// A repeatable sequence between 0 and 1; any numbers will do.
fn numbers(seed: u64) -> impl FnMut() -> f64 {
    let mut state = seed;
    move || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as f64 / 2.0_f64.powi(31)
    }
}

/// An opening with a wavy edge about a point.
fn wavy(middle: Point, next: &mut impl FnMut() -> f64) -> Contour {
    let n = 5 + (next() * 9.0) as usize;
    let size = 1.0 + 7.0 * next();
    let corners: Vec<(f64, f64)> = (0..n)
        .map(|k| {
            let angle = std::f64::consts::TAU * k as f64 / n as f64;
            let r = size * (0.45 + 0.55 * next());
            (middle.x + r * angle.cos(), middle.y + r * angle.sin())
        })
        .collect();
    Contour::polygon(&corners)
}

#[test]
fn a_thousand_start_holes_lie_in_their_waste() {
    // Four passes with 0.25 wire: the rough's kerf reaches 0.384 mm into an opening, and 0.3 mm of stock stay.
    let mut next = numbers(11);
    let (library, cache, j) = (
        Library::built_in(),
        PathCache::default(),
        job(Keep::Outside),
    );
    let (mut placed, mut refused) = (0, 0);
    for _ in 0..1000 {
        let p = profile(vec![wavy(Point::new(50.0, 20.0), &mut next)]);
        let e = compare(&p, &j, library, &cache).estimates.remove(0);
        let Some(f) = &e.figures else {
            refused += 1;
            continue;
        };
        placed += 1;
        let start = f.starts[0];
        let hole = start.hole.expect("drilled");
        let shape = &p.contours()[0].shape;
        assert!(shape.winding(start.start.hole) != 0);
        // Measured by another library on the polygon itself, which has no arcs.
        let corners = shape.vertices().iter().map(|v| (v.at.x, v.at.y));
        let ring = geo::LineString::from(corners.chain([start_of(shape)]).collect::<Vec<_>>());
        let middle = geo::Point::new(start.start.hole.x, start.start.hole.y);
        let wall = geo::Euclidean.distance(&middle, &ring);
        let needs = |d: f64| d / 2.0 + 0.3 + 0.384;
        assert!(wall >= needs(hole.mm()) - 1e-4, "{wall} {hole:?}");
        assert!(hole.mm() >= 0.45);
        // The next larger one does not fit where the hole lies.
        let next = j.shop.hole_sizes.iter().find(|d| **d > hole);
        assert!(
            next.is_none_or(|d| wall < needs(d.mm()) + 1e-4),
            "{wall} {hole:?}"
        );
    }
    assert!(placed > 500 && refused > 0, "{placed} {refused}");
}

fn start_of(shape: &Contour) -> (f64, f64) {
    let first = shape.vertices()[0].at;
    (first.x, first.y)
}

fn only(p: &Profile, j: &Job) -> Estimate {
    let mut all = compare(p, j, Library::built_in(), &PathCache::default()).estimates;
    all.remove(0)
}

fn rectangle(x: f64, y: f64, w: f64, h: f64) -> Contour {
    Contour::polygon(&[(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
}

#[test]
fn the_hole_is_the_largest_of_the_list_that_fits() {
    // A square opening of side s, four passes with 0.25 wire: the middle is s/2 from the wall, and a hole of Ø D needs
    // D/2 + 0.3 + 0.384. By hand: Ø 0.5 from s = 1.868, 0.8 from 2.168, 1.0 from 2.368, 1.5 from 2.868, 2.0 from 3.368,
    // 3.0 from 4.368.
    let steps = [
        (0.5, 1.868),
        (0.8, 2.168),
        (1.0, 2.368),
        (1.5, 2.868),
        (2.0, 3.368),
        (3.0, 4.368),
    ];
    let mut before = None;
    for (diameter, from) in steps {
        let hole = |side: f64| {
            let p = profile(vec![rectangle(10.0, 20.0, side, side)]);
            let e = only(&p, &job(Keep::Outside));
            e.figures.and_then(|f| f.starts[0].hole)
        };
        assert_eq!(hole(from - 0.01), before, "{diameter}");
        before = Some(mm(diameter));
        assert_eq!(hole(from + 0.01), before);
    }
}

#[test]
fn a_shop_drills_what_its_list_says() {
    let p = profile(vec![rectangle(0.0, 0.0, 20.0, 20.0)]);
    let mut j = job(Keep::Outside);
    j.shop.hole_sizes = vec![mm(1.2), mm(0.3)];
    assert_eq!(
        only(&p, &j).figures.expect("possible").starts[0].hole,
        Some(mm(1.2))
    );
    // 0.25 wire does not go through Ø 0.3: it needs 0.45.
    j.shop.hole_sizes = vec![mm(0.3), mm(0.44)];
    let blockers = |j: &Job| -> Vec<&str> {
        let e = only(&p, j);
        let blocking = e.obstacles.iter().filter(|o| o.blocks());
        blocking.map(Obstacle::code).collect()
    };
    assert_eq!(blockers(&j), ["no-start-hole"]);
    j.shop.hole_sizes = Vec::new();
    assert_eq!(blockers(&j), ["no-start-hole"]);
}

#[test]
fn a_hole_keeps_off_parts_in_the_same_waste() {
    // Between an opening of 20 × 20 and the parts in it there are 3 mm on the left and 9 mm on the right.
    let opening = rectangle(0.0, 0.0, 20.0, 20.0);
    let part = rectangle(3.0, 3.0, 8.0, 14.0);
    let p = profile(vec![opening, part.clone()]);
    let e = only(&p, &job(Keep::Outside));
    let f = e.figures.expect("possible");
    assert_eq!(f.starts.len(), 2);
    for s in &f.starts {
        let hole = s.hole.expect("drilled").mm();
        let at = s.start.hole;
        for c in p.contours() {
            let wall = c.shape.nearest(at).expect("a wall").distance;
            assert!(wall >= hole / 2.0 + 0.3 + 0.384 - 1e-4, "{wall} {hole}");
        }
        assert!(part.winding(at) == 0);
    }
}

#[test]
fn in_a_ring_of_waste_a_place_is_found() {
    // An opening of 20 × 20 around a part of 16.2 × 16.2: everywhere 1.9 mm of waste but for the corners, where the
    // middle between two corners is 1.9·√2/2 = 1.343 mm from both, and 0.95 mm between the sides: a hole of Ø 0.5
    // needs 0.934 mm.
    let ring = |part: f64| {
        let at = 10.0 - part / 2.0;
        let p = profile(vec![
            rectangle(0.0, 0.0, 20.0, 20.0),
            rectangle(at, at, part, part),
        ]);
        only(&p, &job(Keep::Outside))
    };
    let f = ring(16.2).figures.expect("possible");
    assert!(f.starts.iter().all(|s| s.hole.is_some()));
    assert!(!ring(17.4).is_possible());
}

#[test]
fn an_outline_begins_where_there_is_room_or_at_the_edge() {
    // A comb: its longest straights lie in gaps 2.4 mm wide, in which no Ø 3 hole fits; beside the short ends it does.
    let mut corners = vec![(0.0, 0.0)];
    for k in 0..4 {
        let x = 12.4 * f64::from(k);
        corners.extend([
            (x, 0.0),
            (x + 10.0, 0.0),
            (x + 10.0, 40.0),
            (x + 12.4, 40.0),
        ]);
    }
    corners.extend([(49.6, 50.0), (0.0, 50.0)]);
    corners.dedup();
    let p = profile(vec![Contour::polygon(&corners)]);
    let mut j = job(Keep::Inside);
    let f = only(&p, &j).figures.expect("possible");
    let s = f.starts[0];
    assert_eq!((s.hole, f.start_holes), (Some(mm(3.0)), 1));
    assert!((s.start.lead_in.mm() - 3.0).abs() < 1e-9);
    // From the edge nothing is drilled: neither cost nor list.
    j.outlines_from_edge = true;
    let edge = only(&p, &j).figures.expect("possible");
    assert_eq!((edge.starts[0].hole, edge.start_holes), (None, 0));
    assert_eq!(edge.cost.holes.amount(), 0.0);
    assert!(drill_list(&edge, &p, &j, &j.candidates[0]).is_empty());
    // One contour alone says the same.
    j.outlines_from_edge = false;
    j.choose(contour_key(&p.contours()[0]), |c| c.from_edge = Some(true));
    assert_eq!(only(&p, &j).figures.expect("possible").start_holes, 0);
    // An opening has no edge to begin from.
    let p = profile(vec![Contour::circle(Point::ORIGIN, 0.8)]);
    let mut j = job(Keep::Outside);
    j.choose(contour_key(&p.contours()[0]), |c| c.from_edge = Some(true));
    assert!(!only(&p, &j).is_possible());
}

#[test]
fn what_is_drilled_is_paid_by_depth_and_material() {
    // Set-up 1 min a hole; small holes at 20 mm/min in steel, 6 in carbide, the library's own values (common practice).
    let p = profile(vec![
        rectangle(0.0, 0.0, 100.0, 60.0),
        Contour::circle(Point::new(30.0, 30.0), 8.0),
        Contour::circle(Point::new(70.0, 30.0), 8.0),
    ]);
    let library = Library::built_in();
    let o = &library.overheads;
    for (material, feed) in [
        ("cold-work tool steel", o.hole_drilling.value),
        ("tungsten carbide", o.hole_drilling_carbide.value),
    ] {
        for thickness in [10.0, 60.0] {
            let mut j = job(Keep::Inside);
            j.material = material.to_owned();
            j.thickness = mm(thickness);
            let f = only(&p, &j).figures.expect("possible");
            let minutes = 3.0 * (o.hole_setup.value + thickness / feed);
            let money = j.shop.labour_rate.amount() * minutes / 60.0;
            assert!((f.cost.holes.amount() - money).abs() < 1e-9, "{material}");
            let list = drill_list(&f, &p, &j, &j.candidates[0]);
            assert!(list.len() == 3 && list.iter().all(|h| h.depth == mm(thickness)));
            assert!(list.iter().map(|h| h.number).eq(1..=3));
            let text = drill_csv(&list);
            let mut read = csv::Reader::from_reader(text.as_bytes());
            let rows: Vec<Vec<f64>> = read
                .records()
                .map(|r| {
                    r.expect("a row")
                        .iter()
                        .map(|c| c.parse().expect("a number"))
                        .collect()
                })
                .collect();
            for (row, h) in rows.iter().zip(&list) {
                assert!((row[1] - h.at.x()).abs() < 1e-4 && (row[2] - h.at.y()).abs() < 1e-4);
                assert!((row[3] - h.diameter.mm()).abs() < 1e-4 && row[4] == thickness);
            }
        }
    }
}

#[test]
fn a_drawn_hole_that_is_taken_keeps_its_diameter() {
    // A circle of Ø 2.4 drawn in the waste of an opening of 6 × 6: to the wall 3 mm, it needs 1.2 + 0.684.
    let p = profile(vec![
        rectangle(0.0, 0.0, 6.0, 6.0),
        Contour::circle(Point::new(3.0, 3.0), 1.2),
    ]);
    let mut j = job(Keep::Outside);
    let offer = start_offers(&p, &j, &[]).remove(0);
    take_offer(&p, &mut j, &offer);
    let f = only(&p, &j).figures.expect("possible");
    let hole = f.starts[0].hole.expect("drawn");
    assert!(f.starts.len() == 1 && (hole.mm() - 2.4).abs() < 1e-9);
    // Off the middle it comes too near: possible all the same, for the hole is there, with a word about it.
    let p = profile(vec![
        rectangle(0.0, 0.0, 6.0, 6.0),
        Contour::circle(Point::new(1.8, 3.0), 1.2),
    ]);
    let mut j = job(Keep::Outside);
    let offer = start_offers(&p, &j, &[]).remove(0);
    take_offer(&p, &mut j, &offer);
    let e = only(&p, &j);
    assert!(e.is_possible());
    assert!(
        e.obstacles
            .iter()
            .any(|o| o.code() == "no-start-hole" && !o.blocks())
    );
}

#[test]
fn the_way_between_openings_does_not_depend_on_how_the_drawing_lies() {
    let mut next = numbers(5);
    let mut shapes = vec![Contour::polygon(&[
        (0.0, 0.0),
        (120.0, 0.0),
        (120.0, 90.0),
        (0.0, 90.0),
    ])];
    for k in 0..24 {
        let at = Point::new(
            12.0 + 19.0 * f64::from(k % 6),
            12.0 + 21.0 * f64::from(k / 6),
        );
        shapes.push(Contour::circle(at, 2.0 + 3.0 * next()));
    }
    let (library, cache, j) = (Library::built_in(), PathCache::default(), job(Keep::Inside));
    let way = |shapes: &[Contour]| -> f64 {
        let p = profile(shapes.to_vec());
        let e = compare(&p, &j, library, &cache).estimates.remove(0);
        let f = e.figures.expect("possible");
        let moves = f.steps.iter().filter(|s| s.kind == StepKind::Move);
        moves.map(|s| s.length.mm()).sum()
    };
    let own = way(&shapes);
    for k in 1..6 {
        let (sin, cos) = (0.7 * f64::from(k)).sin_cos();
        let turn = |p: Point| Point::new(cos * p.x - sin * p.y, sin * p.x + cos * p.y);
        let turned: Vec<Contour> = shapes
            .iter()
            .map(|c| {
                let b = c.bounds();
                if c.len() < 4 {
                    Contour::circle(turn(b.centre()), b.size().x / 2.0)
                } else {
                    let corners: Vec<(f64, f64)> = c
                        .vertices()
                        .iter()
                        .map(|v| turn(v.at))
                        .map(|p| (p.x, p.y))
                        .collect();
                    Contour::polygon(&corners)
                }
            })
            .collect();
        let found = way(&turned);
        assert!(
            (found - own).abs() < 0.01 * own,
            "{k}: {found} against {own}"
        );
    }
}
