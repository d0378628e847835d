use super::*;
use crate::geometry::{Point, Vertex};
use std::f64::consts::PI;

/// Polygon with one corner of interest far from others cannot close, so compare whole shapes by hand.
fn by_hand(turns: &[f64], window: f64, c: f64) -> f64 {
    turns
        .iter()
        .map(|t| window * (1.0 / (1.0 - c * (1.0 - t.cos()) / 2.0) - 1.0))
        .sum()
}

#[test]
fn sharp_corners_add_exactly_the_window_each() {
    let square = Contour::polygon(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]);
    let expected = by_hand(&[PI / 2.0; 4], 0.75, 0.65);
    assert!((corner_excess(&square, 0.75, 0.65) - expected).abs() < 1e-12);
    let triangle = Contour::polygon(&[(0.0, 0.0), (30.0, 0.0), (15.0, 15.0 * 3.0_f64.sqrt())]);
    let expected = by_hand(&[PI / 1.5; 3], 1.5, 0.65);
    assert!((corner_excess(&triangle, 1.5, 0.65) - expected).abs() < 1e-12);
}

#[test]
fn a_circle_is_slowed_evenly() {
    // θ = s/R everywhere.
    for r in [0.2, 0.4, 2.0, 50.0] {
        let c = Contour::circle(Point::new(3.0, 4.0), r);
        let theta = (0.7_f64 / r).min(PI);
        let expected = c.length() * (1.0 / (1.0 - 0.65 * (1.0 - theta.cos()) / 2.0) - 1.0);
        assert!(
            (corner_excess(&c, 0.7, 0.65) - expected).abs() < 1e-9 * expected.max(1.0),
            "{r}"
        );
    }
}

#[test]
fn a_chopped_circle_costs_what_the_circle_costs() {
    let r = 2.0;
    let n = 720;
    let points: Vec<(f64, f64)> = (0..n)
        .map(|k| {
            let a = 2.0 * PI * f64::from(k) / f64::from(n);
            (r * a.cos(), r * a.sin())
        })
        .collect();
    let exact = corner_excess(&Contour::circle(Point::ORIGIN, r), 0.7, 0.65);
    let chopped = corner_excess(&Contour::polygon(&points), 0.7, 0.65);
    assert!((chopped / exact - 1.0).abs() < 1e-2, "{chopped} {exact}");
}

#[test]
fn start_and_direction_do_not_matter() {
    let v = |x, y, bulge| Vertex {
        at: Point::new(x, y),
        bulge,
    };
    let shape = vec![
        v(0.0, 0.0, 0.0),
        v(10.0, 0.0, 0.4),
        v(10.0, 6.0, -0.3),
        v(4.0, 6.0, 0.0),
        v(4.0, 6.4, 0.9),
        v(0.0, 3.0, 0.0),
    ];
    let c = Contour::new(shape.clone());
    let reference = corner_excess(&c, 0.9, 0.65);
    assert!((corner_excess(&c.reversed(), 0.9, 0.65) - reference).abs() < 1e-9);
    for k in 1..shape.len() {
        let mut turned = shape.clone();
        turned.rotate_left(k);
        let e = corner_excess(&Contour::new(turned), 0.9, 0.65);
        assert!((e - reference).abs() < 1e-9, "{k}: {e} {reference}");
    }
}

#[test]
fn an_open_chain_turns_only_where_it_turns() {
    // One right angle far from the ends adds the window; a straight chain adds nothing.
    let p = Point::new;
    let elbow = [
        Segment::line(p(0.0, 0.0), p(9.0, 0.0)),
        Segment::line(p(9.0, 0.0), p(9.0, 9.0)),
    ];
    let expected = by_hand(&[PI / 2.0], 0.75, 0.65);
    assert!((chain_excess(&elbow, 0.75, 0.65) - expected).abs() < 1e-12);
    assert_eq!(chain_excess(&elbow[..1], 0.75, 0.65), 0.0);
    // A quarter circle of radius 2: θ rises over the window's half at either end, else s/R.
    let arc = Segment::arc(Point::ORIGIN, 2.0, 0.0, PI / 2.0);
    let n = 100_000;
    let total = PI;
    let expected: f64 = (0..n)
        .map(|k| {
            let x = total * (f64::from(k) + 0.5) / f64::from(n);
            let theta = ((x + 0.4).min(total) - (x - 0.4).max(0.0)) / 2.0;
            total / f64::from(n) * (1.0 / (1.0 - 0.65 * (1.0 - theta.cos()) / 2.0) - 1.0)
        })
        .sum();
    assert!((chain_excess(&arc, 0.8, 0.65) - expected).abs() < 1e-8);
}

#[test]
fn a_place_on_a_stretch_is_found_again() {
    for (theta, slope) in [
        (0.0, 0.0),
        (1.0, 0.0),
        (0.1, 2.0),
        (2.0, -1.5),
        (2.5, 1.5),
        (4.0, -1.5),
        (4.0, 0.1),
    ] {
        let s = Stretch {
            from: 3.0,
            to: 4.2,
            theta,
            slope,
        };
        for share in [0.0, 0.2, 0.5, 0.9, 1.0] {
            let until = Stretch {
                to: 3.0 + 1.2 * share,
                ..s
            };
            let back = s.place_after(until.slowed(0.65), 0.65);
            assert!(
                (back - 1.2 * share).abs() < 1e-7,
                "{theta} {slope} {share}: {back}"
            );
        }
    }
}

#[test]
fn a_numerical_integral_agrees() {
    // Independent of the closed form: sum θ over a fine grid by brute force.
    let v = |x, y, bulge| Vertex {
        at: Point::new(x, y),
        bulge,
    };
    let c = Contour::new(vec![
        v(0.0, 0.0, 0.2),
        v(8.0, 0.0, 0.0),
        v(8.0, 5.0, -0.5),
        v(3.0, 5.0, 0.1),
        v(0.0, 4.0, 0.0),
    ]);
    let (window, slow) = (1.3, 0.65);
    let total = c.length();
    let n = 400_000;
    let h = total / f64::from(n);
    // Turning per cell of the grid.
    let mut cell = vec![0.0; n as usize];
    let mut along = 0.0;
    let mut before = c.segment(c.len() - 1).end_direction();
    for s in c.segments() {
        cell[((along / h) as usize).min(n as usize - 1)] +=
            before.turn_to(s.start_direction()).abs();
        before = s.end_direction();
        let k = s.curvature().abs();
        let (a, b) = ((along / h) as usize, ((along + s.length()) / h) as usize);
        for x in cell.iter_mut().take(b.min(n as usize)).skip(a) {
            *x += k * h;
        }
        along += s.length();
    }
    let w = (window / h / 2.0) as usize;
    let m = n as usize;
    let mut theta: f64 = (0..=2 * w).map(|j| cell[(m + j - w) % m]).sum();
    let mut excess = 0.0;
    for i in 0..m {
        excess += h * (1.0 / (1.0 - slow * (1.0 - theta.clamp(0.0, PI).cos()) / 2.0) - 1.0);
        theta += cell[(i + w + 1) % m] - cell[(m + i - w) % m];
    }
    let exact = corner_excess(&c, window, slow);
    assert!((exact / excess - 1.0).abs() < 1e-3, "{exact} {excess}");
}

/// Numbers in 0 … 1 that look random and are the same every time.
fn shuffled(n: usize) -> impl Iterator<Item = f64> {
    // A multiplicative congruential generator with the modulus 2³¹ − 1 (Park and Miller 1988, from memory).
    let mut state = 20_091_u64;
    (0..n).map(move |_| {
        state = state * 48_271 % 2_147_483_647;
        state as f64 / 2_147_483_647.0
    })
}

#[test]
fn any_stretch_is_integrated_and_run_back_even_where_it_just_reaches_a_half_turn() {
    let mut random = shuffled(400_000);
    let mut next = move || random.next().unwrap();
    for k in 0..60_000 {
        let length = 10.0_f64.powf(3.0 * next() - 2.0);
        // One third anywhere, one third that end at π up to rounding, one third that begin there; never below 0.
        let near = |x: f64| PI * (1.0 + (x - 0.5) * 1e-15);
        let (theta, end) = match k % 3 {
            0 => (5.0 * next(), 5.0 * next()),
            1 => (PI * next(), PI),
            _ => (near(next()), 5.0 * next()),
        };
        let slope = (end - theta) / length;
        let s = Stretch {
            from: 0.0,
            to: length,
            theta,
            slope,
        };
        let slowed = s.slowed(0.65);
        assert!(slowed >= length * (1.0 - 1e-9) && slowed <= length / 0.35 * (1.0 + 1e-9));
        if k % 50 == 0 {
            // ∫ dx / (1 − c·(1 − cos min(θ, π))/2) by the midpoint rule.
            let n = 2000;
            let h = length / f64::from(n);
            let sum: f64 = (0..n)
                .map(|j| (theta + slope * h * (f64::from(j) + 0.5)).clamp(0.0, PI))
                .map(|t| h / (1.0 - 0.65 * (1.0 - t.cos()) / 2.0))
                .sum();
            assert!(
                (slowed / sum - 1.0).abs() < 1e-3,
                "{theta} {slope} {length}"
            );
        }
        // The place after the whole is the end, and half the time lies between.
        let (half, end) = (
            s.place_after(0.5 * slowed, 0.65),
            s.place_after(slowed, 0.65),
        );
        assert!(
            (end / length - 1.0).abs() < 1e-6,
            "{theta} {slope} {length}: {end}"
        );
        assert!(half > 0.0 && half < length);
        let until = Stretch { to: half, ..s };
        assert!((until.slowed(0.65) / (0.5 * slowed) - 1.0).abs() < 1e-6);
    }
}

#[test]
fn narrow_slots_with_round_ends_are_slowed_as_their_two_ends_say() {
    // A slot w wide and l long leaves at offset o the path of a slot w − 2o wide: two lines and two half
    // circles. θ is the share of the window that lies on the half circles, over their radius.
    let (window, c) = (0.6, 0.65);
    for w in (45..=80).map(|w| f64::from(w) / 100.0) {
        for l in (1..=8).map(|l| 10.0 * f64::from(l)) {
            for o in [0.131, 0.136, 0.165, 0.219] {
                let r = w / 2.0 - o;
                if r < 1e-3 {
                    continue;
                }
                let (straight, round) = (l - w, PI * r);
                let v = |x, y, bulge| Vertex {
                    at: Point::new(x, y),
                    bulge,
                };
                let path = Contour::new(vec![
                    v(0.0, -r, 0.0),
                    v(straight, -r, 1.0),
                    v(straight, r, 0.0),
                    v(0.0, r, 1.0),
                ]);
                let excess = corner_excess(&path, window, c);
                // Far from the ends nothing slows: half of it lies about one half circle.
                let n = 4000;
                let h = (round + window) / f64::from(n);
                let one: f64 = (0..n)
                    .map(|k| {
                        let x = -window / 2.0 + h * (f64::from(k) + 0.5);
                        let on = (x + window / 2.0).min(round) - (x - window / 2.0).max(0.0);
                        let theta = (on / r).clamp(0.0, PI);
                        h * (1.0 / (1.0 - c * (1.0 - theta.cos()) / 2.0) - 1.0)
                    })
                    .sum();
                assert!(
                    (excess / (2.0 * one) - 1.0).abs() < 1e-3,
                    "{w} × {l} at {o}: {excess}"
                );
                let slowed: f64 = stretches(&path, window).iter().map(|s| s.slowed(c)).sum();
                assert!((slowed - path.length() - excess).abs() < 1e-9 * slowed);
            }
        }
    }
}
