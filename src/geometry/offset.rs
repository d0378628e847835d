//! Parallel curves of a contour that can be trusted.
//!
//! Most are laid directly and proved right (`direct`). Where that does not succeed, because a neck closes or
//! more than a corner is lost, `cavalier_contours` searches. It keeps arcs, but with one fixed setting a few
//! offsets in a thousand come out wrong, some without a sign of it. So several settings are tried until two
//! agree in area and length, and what breaks an exact bound for simple closed contours is thrown away. Where
//! no two agree, `geo`'s polygon buffer decides, and where even that does not confirm, the result says so.
//! The search takes as long as the contour is wild; beyond a stated measure (`intricate`) it is not begun.

mod clean;
mod direct;
mod intricate;
mod parallel;
mod vote;

pub use parallel::{Offset, Side};

use super::contour::Contour;
use super::offset_buffer::buffer_offset;
use super::simple::is_simple;
use direct::direct;
use intricate::too_intricate;
use vote::vote;

/// Farther from the origin than this a contour is brought to it first, mm: digits get few.
const FAR: f64 = 1e3;
/// Radius of a circle, mm, below which nothing is left of it: a nanometre, far above rounding and below any wire.
const LEAST_RADIUS: f64 = 1e-6;
/// The polygon buffer agrees where its area differs by less than so many mm² and this times the length, mm. The buffer
/// works with chords: half the sagitta of its flattening, on the average along an arc, is the most it can miss by.
const BUFFER_AREA: (f64, f64) = (1e-3, 1e-4);
/// And where its length differs by less than so many mm and this share.
const BUFFER_LENGTH: (f64, f64) = (2e-2, 5e-4);

/// The parallel curve of a simple closed contour at a distance in mm (0 or more).
///
/// The contour may run either way. A contour that crosses itself gives a result that is not confirmed.
pub fn offset(contour: &Contour, side: Side, distance: f64) -> Offset {
    offset_of(contour, side, distance, &|| is_simple(contour))
}

/// The same where somebody knows, or finds out once for all distances, whether a contour of three or more segments is
/// [simple](is_simple).
pub fn offset_of(
    contour: &Contour,
    side: Side,
    distance: f64,
    simple: &dyn Fn() -> bool,
) -> Offset {
    if contour.len() < 2 || !distance.is_finite() {
        return Offset::default();
    }
    let area = contour.signed_area();
    if !area.is_finite() {
        // A number that is none is no shape: nothing, and not confirmed.
        return Offset::default();
    }
    let turned = (area < 0.0).then(|| contour.reversed());
    let source = turned.as_ref().unwrap_or(contour);
    if distance == 0.0 {
        return Offset::certain(vec![source.clone()]);
    }
    if let Some((centre, radius)) = source.as_circle() {
        let r = match side {
            Side::Inside => radius - distance,
            Side::Outside => radius + distance,
        };
        // A circle that rounding alone leaves has no direction anywhere.
        let loops = if r > LEAST_RADIUS {
            vec![Contour::circle(centre, r)]
        } else {
            Vec::new()
        };
        return Offset::certain(loops);
    }
    let signed = match side {
        Side::Inside => distance,
        Side::Outside => -distance,
    };
    let far = contour.vertices()[0].at.norm() > FAR;
    if !far && let Some(only) = direct(source, signed, simple) {
        return Offset::certain(vec![only]);
    }
    let centre = source.bounds().centre();
    let near = source.moved(-centre);
    let laid = || direct(&near, signed, &|| is_simple(&near));
    let mut found = match far.then(laid).flatten() {
        Some(only) => Offset::certain(vec![only]),
        None => match too_intricate(&near, distance) {
            Some(at) => Offset {
                intricate: Some(at),
                ..Offset::default()
            },
            None => search(&near, signed),
        },
    };
    found.intricate = found.intricate.map(|at| at + centre);
    for l in &mut found.loops {
        *l = l.moved(centre);
    }
    found
}

/// Tries settings of the offset library until two agree, and asks the polygon buffer where none do.
fn search(source: &Contour, distance: f64) -> Offset {
    let found = vote(source, distance);
    if found.confirmed {
        found
    } else {
        check_against_buffer(source, distance, found)
    }
}

/// Takes the polygon buffer as the second opinion, or as the result where there is none.
fn check_against_buffer(source: &Contour, distance: f64, found: Offset) -> Offset {
    let Some(buffered) = buffer_offset(source, distance) else {
        return found;
    };
    let area = |loops: &[Contour]| loops.iter().map(Contour::signed_area).sum::<f64>();
    let length = |loops: &[Contour]| loops.iter().map(Contour::length).sum::<f64>();
    let within = |(fixed, share): (f64, f64)| fixed + share * source.length();
    let agree = (area(&found.loops) - area(&buffered)).abs() < within(BUFFER_AREA)
        && (length(&found.loops) - length(&buffered)).abs() < within(BUFFER_LENGTH);
    if agree {
        Offset {
            confirmed: true,
            ..found
        }
    } else {
        // Its arcs are chords, but its topology is sound.
        Offset {
            loops: buffered,
            confirmed: false,
            intricate: None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Point, Vertex};
    use std::f64::consts::PI;

    fn rounded_rectangle(w: f64, h: f64, r: f64) -> Contour {
        let q = (PI / 8.0).tan();
        let v = |x, y, bulge| Vertex {
            at: Point::new(x, y),
            bulge,
        };
        Contour::new(vec![
            v(r, 0.0, 0.0),
            v(w - r, 0.0, q),
            v(w, r, 0.0),
            v(w, h - r, q),
            v(w - r, h, 0.0),
            v(r, h, q),
            v(0.0, h - r, 0.0),
            v(0.0, r, q),
        ])
    }

    #[test]
    fn convex_bodies_obey_steiner() {
        // Steiner's formula for convex bodies: L′ = L + 2πd, A′ = A + L·d + π·d².
        for c in [
            rounded_rectangle(30.0, 20.0, 4.0),
            Contour::polygon(&[(0.0, 0.0), (7.0, 1.0), (3.0, 9.0)]),
            Contour::circle(Point::new(1e5, -1e5), 12.0),
        ] {
            for d in [0.131, 0.219, 2.0] {
                let o = offset(&c, Side::Outside, d);
                assert!(o.confirmed && o.loops.len() == 1);
                assert!(
                    (o.length() - (c.length() + 2.0 * PI * d)).abs() < 1e-6,
                    "{d}"
                );
                assert!((o.area() - (c.area() + c.length() * d + PI * d * d)).abs() < 1e-5);
            }
        }
    }

    #[test]
    fn a_circle_as_wide_as_the_offset_leaves_nothing() {
        for r in [0.14, 0.1 + 0.04, 0.125 + 0.015, 1.0 / 3.0] {
            for off in [-1e-15, -1e-16, 0.0, 1e-16, 1e-15] {
                let o = offset(
                    &Contour::circle(Point::new(2.0, 3.0), r + off),
                    Side::Inside,
                    r,
                );
                assert!(o.confirmed && o.loops.is_empty(), "{r} {off}");
            }
        }
    }

    #[test]
    fn a_rounded_rectangle_inwards_by_hand() {
        // 30 × 20 with r = 4, inwards by 1: 28 × 18 with r = 3.
        let o = offset(&rounded_rectangle(30.0, 20.0, 4.0), Side::Inside, 1.0);
        let by_hand = 2.0 * (28.0 - 6.0) + 2.0 * (18.0 - 6.0) + 2.0 * PI * 3.0;
        assert!(o.confirmed && (o.length() - by_hand).abs() < 1e-9);
        // Beyond its radius the corners stay sharp: 20 × 10.
        let o = offset(&rounded_rectangle(30.0, 20.0, 4.0), Side::Inside, 5.0);
        assert!(o.confirmed && (o.length() - 60.0).abs() < 1e-6);
    }

    #[test]
    fn nothing_is_left_of_a_slot_narrower_than_the_wire() {
        let slot = Contour::polygon(&[(0.0, 0.0), (10.0, 0.0), (10.0, 0.2), (0.0, 0.2)]);
        let o = offset(&slot, Side::Inside, 0.131);
        assert!(o.loops.is_empty());
    }

    #[test]
    fn a_neck_that_closes_leaves_two_loops() {
        // Two 10 × 10 chambers joined by a neck 0.2 wide: the wire of offset 0.131 gets through neither way.
        let c = Contour::polygon(&[
            (0.0, 0.0),
            (10.0, 0.0),
            (10.0, 4.9),
            (12.0, 4.9),
            (12.0, 0.0),
            (22.0, 0.0),
            (22.0, 10.0),
            (12.0, 10.0),
            (12.0, 5.1),
            (10.0, 5.1),
            (10.0, 10.0),
            (0.0, 10.0),
        ]);
        let o = offset(&c, Side::Inside, 0.131);
        assert_eq!(o.loops.len(), 2);
        // An outline with a mouth 0.2 wide encloses a pocket that runs clockwise.
        let c = Contour::polygon(&[
            (0.0, 0.0),
            (20.0, 0.0),
            (20.0, 9.9),
            (15.0, 9.9),
            (15.0, 5.0),
            (5.0, 5.0),
            (5.0, 15.0),
            (15.0, 15.0),
            (15.0, 10.1),
            (20.0, 10.1),
            (20.0, 20.0),
            (0.0, 20.0),
        ]);
        let o = offset(&c, Side::Outside, 0.131);
        assert_eq!(o.loops.len(), 2);
        assert_eq!(o.loops.iter().filter(|l| l.signed_area() < 0.0).count(), 1);
    }

    #[test]
    fn direction_and_place_do_not_matter() {
        let c = rounded_rectangle(30.0, 20.0, 4.0);
        let a = offset(&c, Side::Inside, 0.3);
        let b = offset(&c.reversed().moved(Point::new(1e5, 1e5)), Side::Inside, 0.3);
        assert!((a.length() - b.length()).abs() < 1e-6 && (a.area() - b.area()).abs() < 1e-5);
    }
}
