//! Several settings of the offset library, tried until two agree within exact bounds.

use super::clean::clean;
use super::parallel::Offset;
use crate::geometry::contour::Contour;
use crate::progress::look;
use cavalier_contours::polyline::{
    CoincidentSegmentBehavior, PlineOffsetOptions, PlineSelfIntersectOptions, PlineSource,
    PlineSourceMut, Polyline, TouchingLoopBehavior,
};
use std::f64::consts::PI;

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

/// Two results are one where their areas differ by less than this, mm² …
const AREA_AGREES: f64 = 1e-4;
/// … and this times the length of the path, mm: each may lie beside the true one by the distance tolerance of the usual
/// settings, 1e-5.
const BESIDE: f64 = 2e-5;
/// A path around a contour at a distance is longer than it by this many distances at most: 2π, rounded up.
const ROUND_THE_CORNERS: f64 = 7.0;
/// And where their lengths differ by less than this, mm, and a ten-thousandth. Lengths are less certain than areas: a
/// step in a path that is far below what a machine can place adds its own length.
const LENGTH_AGREES: (f64, f64) = (1e-2, 1e-4);
/// Contact for the finer of two looks, mm; the library's own is 1e-5.
const FINE_CONTACT: f64 = 1e-9;
/// A loop is collapsed where it is narrower than this on the whole, mm: its area is that times its length, or less.
const COLLAPSED: f64 = 1e-7;
/// Least area of a loop, mm².
const NO_AREA: f64 = 1e-9;
/// A loop that runs the wrong way and is wider than this, mm, is no crumb: the computation went wrong.
const WRONG_WAY: f64 = 1e-4;
/// What the exact bounds are relaxed by: so many mm² (mm) and this share of the length or the distance, the distance
/// tolerance again.
const BOUNDS_ROUNDING: (f64, f64) = (1e-6, 1e-5);

/// Tries the ladder until two results agree. Positive distance: inside.
pub(super) fn vote(source: &Contour, distance: f64) -> Offset {
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
    let area_agrees = AREA_AGREES + (length + ROUND_THE_CORNERS * distance.abs()) * BESIDE;
    let length_agrees = LENGTH_AGREES.0 + LENGTH_AGREES.1 * length;
    let mut votes: Vec<(f64, f64, Vec<Contour>)> = Vec::new();
    for &(position, tolerance, shift) in &LADDER {
        look();
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
                intricate: None,
            };
        }
        votes.push((a, l, loops));
    }
    let loops = votes.into_iter().next().map(|v| v.2).unwrap_or_default();
    Offset {
        loops,
        confirmed: false,
        intricate: None,
    }
}

/// Whether a polyline meets itself, by the library's own tolerance and, where that says so, by a finer one:
/// steep chords side by side look like contact to the coarser.
fn crosses_itself(p: &Polyline<f64>) -> bool {
    let fine = PlineSelfIntersectOptions {
        pos_equal_eps: FINE_CONTACT,
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
        if !area.is_finite() || area.abs() < NO_AREA.max(length * COLLAPSED) {
            continue;
        }
        if distance > 0.0 && area < 0.0 {
            if -area > length * WRONG_WAY {
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
pub(super) fn within_bounds(a0: f64, l0: f64, distance: f64, a: f64, l: f64) -> bool {
    let d = distance.abs();
    let tolerance = BOUNDS_ROUNDING.0 + BOUNDS_ROUNDING.1 * l0.max(d);
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
