//! Vertices that say nothing, taken out before a parallel curve is laid.

use crate::geometry::contour::{Contour, Vertex};
use crate::progress::look;

/// Without segments shorter than `shortest` and without vertices within `deviation` of a straight run.
///
/// Deviations are taken against every vertex of the run, so that they do not add up along it.
pub(super) fn clean(contour: &Contour, shortest: f64, deviation: f64) -> Contour {
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
        if i % 256 == 1 {
            look();
        }
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
