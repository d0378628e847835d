//! Parallel curves of a contour that can be trusted.
//!
//! `cavalier_contours` keeps arcs and is fast, but with one fixed setting a few offsets in a thousand
//! come out wrong, some without a sign of it. So several settings are tried until two agree in area and
//! length, and what breaks an exact bound for simple closed contours is thrown away. Where no two agree,
//! `geo`'s polygon buffer decides, and where even that does not confirm, the result says so.

use super::contour::{Contour, Vertex};
use super::offset_buffer::buffer_offset;
use super::point::Point;
use cavalier_contours::polyline::{
    CoincidentSegmentBehavior, PlineOffsetOptions, PlineSelfIntersectOptions, PlineSource,
    PlineSourceMut, Polyline, TouchingLoopBehavior,
};
use std::f64::consts::PI;

/// On which side of the contour the parallel curve lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Side {
    /// Inside: the wire in an opening.
    Inside,
    /// Outside: the wire around an outline.
    Outside,
}

/// A parallel curve.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Offset {
    /// Closed loops; none where nothing is left, several where a neck closes.
    ///
    /// Counter-clockwise, except pockets that an outside curve encloses: those run clockwise.
    pub loops: Vec<Contour>,
    /// Whether two independent computations agree on it.
    pub confirmed: bool,
}

impl Offset {
    /// Length of all loops, mm.
    pub fn length(&self) -> f64 {
        self.loops.iter().map(Contour::length).sum()
    }
    /// Area inside, pockets taken off, mm².
    pub fn area(&self) -> f64 {
        self.loops.iter().map(Contour::signed_area).sum()
    }
}

/// Settings tried in turn: position tolerance, distance tolerance, a shift of the distance; all mm.
///
/// The order is that of the fewest failures; the shifts move a tangency that a setting trips over and
/// change area by less than 3e-6 mm times the length.
const LADDER: [(f64, f64, f64); 8] = [
    (1e-7, 1e-5, 0.0),
    (1e-8, 1e-5, 0.0),
    (1e-6, 1e-5, 0.0),
    (1e-7, 1e-4, 1e-6),
    (1e-8, 1e-4, -1e-6),
    (1e-5, 1e-4, 0.0),
    (1e-9, 1e-5, 0.0),
    (1e-5, 1e-4, 3e-6),
];

/// Coarsest first: shortest segment kept and deviation allowed when cleaning, mm. The first that leaves
/// no self-contact is used; all are far below what a machine can place.
const CLEANING: [(f64, f64); 3] = [(3e-4, 2e-4), (5e-5, 2e-5), (1e-6, 0.0)];

/// The parallel curve of a simple closed contour at a distance in mm (0 or more).
///
/// The contour may run either way. A contour that crosses itself gives a result that is not confirmed.
pub fn offset(contour: &Contour, side: Side, distance: f64) -> Offset {
    let mut source = contour.clone().counter_clockwise();
    if source.len() < 2 || !distance.is_finite() {
        return Offset::default();
    }
    if distance == 0.0 {
        return Offset {
            loops: vec![source],
            confirmed: true,
        };
    }
    if let Some((centre, radius)) = as_circle(&source) {
        let r = match side {
            Side::Inside => radius - distance,
            Side::Outside => radius + distance,
        };
        let loops = if r > 0.0 {
            vec![Contour::circle(centre, r)]
        } else {
            Vec::new()
        };
        return Offset {
            loops,
            confirmed: true,
        };
    }
    let centre = source.bounds().centre();
    source = source.moved(-centre);
    let signed = match side {
        Side::Inside => distance,
        Side::Outside => -distance,
    };
    let mut found = vote(&source, signed);
    if !found.confirmed {
        found = check_against_buffer(&source, signed, found);
    }
    for l in &mut found.loops {
        *l = l.moved(centre);
    }
    found
}

/// Centre and radius where every segment is an arc of one circle.
fn as_circle(c: &Contour) -> Option<(Point, f64)> {
    let first = c.segment(0);
    let (centre, radius) = (first.centre()?, first.radius());
    let turn: f64 = c.segments().map(|s| s.sweep()).sum();
    let same = c.segments().all(|s| {
        s.centre()
            .is_some_and(|o| o.distance(centre) < 1e-9 * radius.max(1.0))
            && (s.radius() - radius).abs() < 1e-9 * radius.max(1.0)
    });
    (same && (turn - 2.0 * PI).abs() < 1e-6).then_some((centre, radius))
}

/// Tries the ladder until two results agree. Positive distance: inside.
fn vote(source: &Contour, distance: f64) -> Offset {
    let cleaned = CLEANING
        .iter()
        .map(|&(shortest, deviation)| clean(source, shortest, deviation).to_polyline())
        .find(|p| !crosses_itself(p));
    let simple = cleaned.is_some();
    let mut line = cleaned.unwrap_or_else(|| source.to_polyline());
    if Contour::from_polyline(&line).signed_area() < 0.0 {
        line.invert_direction_mut();
    }
    let cleaned = Contour::from_polyline(&line);
    let (area, length) = (cleaned.signed_area(), cleaned.length());
    let index = line.create_approx_aabb_index();
    let area_agrees = 1e-4 + (length + 7.0 * distance.abs()) * 2e-5;
    let length_agrees = 1e-2 + 1e-4 * length;
    let mut votes: Vec<(f64, f64, Vec<Contour>)> = Vec::new();
    for &(position, tolerance, shift) in &LADDER {
        let options = PlineOffsetOptions {
            aabb_index: Some(&index),
            pos_equal_eps: position,
            offset_dist_eps: tolerance,
            touching_loop_behavior: TouchingLoopBehavior::Separate,
            coincident_segment_behavior: CoincidentSegmentBehavior::Discard,
            ..PlineOffsetOptions::default()
        };
        let Some(loops) = try_offset(&line, distance + shift, &options) else {
            continue;
        };
        let Some(loops) = plausible_loops(&loops, distance) else {
            continue;
        };
        let a: f64 = loops.iter().map(Contour::signed_area).sum();
        let l: f64 = loops.iter().map(Contour::length).sum();
        if simple && !within_bounds(area, length, distance, a, l) {
            continue;
        }
        let twin = votes
            .iter()
            .position(|v| (v.0 - a).abs() < area_agrees && (v.1 - l).abs() < length_agrees);
        if let Some(k) = twin {
            return Offset {
                loops: votes.swap_remove(k).2,
                confirmed: simple,
            };
        }
        votes.push((a, l, loops));
    }
    let loops = votes.into_iter().next().map(|v| v.2).unwrap_or_default();
    Offset {
        loops,
        confirmed: false,
    }
}

/// Whether a polyline meets itself, by the library's own tolerance and, where that says so, by a finer one:
/// steep chords side by side look like contact to the coarser.
fn crosses_itself(p: &Polyline<f64>) -> bool {
    let fine = PlineSelfIntersectOptions {
        pos_equal_eps: 1e-9,
        ..PlineSelfIntersectOptions::default()
    };
    p.scan_for_self_intersect() && p.scan_for_self_intersect_opt(&fine)
}

/// One run of the offset library; `None` where it gave up or left a loop open.
fn try_offset(
    line: &Polyline<f64>,
    distance: f64,
    options: &PlineOffsetOptions<'_, f64>,
) -> Option<Vec<Polyline<f64>>> {
    // The library is not written to panic, but it indexes; a wrong index must not end the program.
    let run = std::panic::AssertUnwindSafe(|| line.parallel_offset_opt(distance, options));
    let loops = std::panic::catch_unwind(run).ok()?;
    loops.iter().all(PlineSource::is_closed).then_some(loops)
}

/// Loops without collapsed ones; `None` where a loop runs the wrong way, which cannot be.
fn plausible_loops(loops: &[Polyline<f64>], distance: f64) -> Option<Vec<Contour>> {
    let mut keep = Vec::with_capacity(loops.len());
    for l in loops {
        let c = Contour::from_polyline(l);
        let (area, length) = (c.signed_area(), c.length());
        if !area.is_finite() || area.abs() < 1e-9_f64.max(length * 1e-7) {
            continue;
        }
        if distance > 0.0 && area < 0.0 {
            if -area > length * 1e-4 {
                return None;
            }
            continue;
        }
        keep.push(c);
    }
    Some(keep)
}

/// Exact bounds for the parallel curve of a simple closed contour of area `a0` and length `l0`.
///
/// Outside: (√A + √π·d)² ≤ A′ ≤ A + d·L + π·d² (Brunn–Minkowski below; Steiner's formula, reached by
/// convex bodies, above). Inside: A − d·L ≤ A′ ≤ (√A − √π·d)² (isoperimetric inequality for inner
/// parallel curves: B. Sz.-Nagy, 1959). Both proofs from memory.
fn within_bounds(a0: f64, l0: f64, distance: f64, a: f64, l: f64) -> bool {
    let d = distance.abs();
    let tolerance = 1e-6 + 1e-5 * l0.max(d);
    if distance >= 0.0 {
        let low = (a0 - d * l0).max(0.0);
        let root = (a0.sqrt() - PI.sqrt() * d).max(0.0);
        a >= low - tolerance && a <= root * root + tolerance && l <= l0 + tolerance
    } else {
        let root = a0.sqrt() + PI.sqrt() * d;
        a >= root * root - tolerance
            && a <= a0 + d * l0 + PI * d * d + tolerance
            && l <= l0 + 2.0 * PI * d + tolerance
    }
}

/// Takes the polygon buffer as the second opinion, or as the result where there is none.
fn check_against_buffer(source: &Contour, distance: f64, found: Offset) -> Offset {
    let Some(buffered) = buffer_offset(source, distance) else {
        return found;
    };
    let area = |loops: &[Contour]| loops.iter().map(Contour::signed_area).sum::<f64>();
    let length = |loops: &[Contour]| loops.iter().map(Contour::length).sum::<f64>();
    let agree = (area(&found.loops) - area(&buffered)).abs() < 1e-3 + 1e-4 * source.length()
        && (length(&found.loops) - length(&buffered)).abs() < 2e-2 + 5e-4 * source.length();
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
        }
    }
}

/// Without segments shorter than `shortest` and without vertices within `deviation` of a straight run.
///
/// Deviations are taken against every vertex of the run, so that they do not add up along it.
pub(crate) fn clean(contour: &Contour, shortest: f64, deviation: f64) -> Contour {
    if contour.len() < 4 {
        return contour.clone();
    }
    let mut kept: Vec<Vertex> = Vec::with_capacity(contour.len());
    for v in contour.vertices() {
        match kept.last_mut() {
            Some(last) if last.at.distance(v.at) < shortest => last.bulge = v.bulge,
            _ => kept.push(*v),
        }
    }
    while kept.len() > 3 && kept[0].at.distance(kept[kept.len() - 1].at) < shortest {
        kept.pop();
    }
    let n = kept.len();
    // Start at an arc's end if there is one: runs of lines then never straddle the seam.
    let start = (0..n)
        .find(|&i| kept[i].bulge != 0.0 || kept[(i + n - 1) % n].bulge != 0.0)
        .unwrap_or(0);
    let at = |i: usize| kept[(start + i) % n];
    let mut out = Vec::with_capacity(n);
    out.push(at(0));
    let mut run_start = 0;
    for i in 1..n {
        let straight = (run_start..=i).all(|k| at(k).bulge == 0.0) && i - run_start < 64;
        if !(straight && run_is_straight(run_start, i, &at, shortest, deviation)) {
            out.push(at(i));
            run_start = i;
        }
    }
    if out.len() < 3 {
        contour.clone()
    } else {
        Contour::new(out)
    }
}

fn run_is_straight(
    first: usize,
    last: usize,
    at: &dyn Fn(usize) -> Vertex,
    shortest: f64,
    deviation: f64,
) -> bool {
    let (a, b) = (at(first).at, at(last + 1).at);
    let chord = b - a;
    let length = chord.norm();
    length >= shortest
        && (first + 1..=last).all(|k| {
            let v = at(k).at - a;
            let along = v.dot(chord) / length;
            (chord.cross(v) / length).abs() <= deviation && (0.0..=length).contains(&along)
        })
}

#[cfg(test)]
mod tests {
    use super::*;

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
