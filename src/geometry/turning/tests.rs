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
