//! Curves that lie on each other are counted once.
//!
//! Judged on the carrier line or circle itself, never on flattened points: what one edge covers of
//! another is an interval on it. The longer edge stays whole, the other keeps what is left.

use super::box_index::BoxIndex;
use super::carriers::{Carrier, Cover, SAME, SHORTEST_OVERLAP, add_covers};
use super::edges::{Edge, roomy_box};
use crate::drawing::curves::Curve;
use crate::drawing::format::{Cancelled, Progress};
use crate::geometry::{Bounds, Point, Segment};
use std::collections::HashMap;

/// What became of an edge.
#[derive(Debug, Clone)]
pub(crate) enum Fate {
    /// Nothing lies on it, or it is the longer one.
    Kept,
    /// The same edge again.
    Duplicate,
    /// It lies on longer ones altogether.
    Covered,
    /// What is left where it lies on longer ones in part.
    Trimmed(Vec<Edge>),
}

/// The fate of each edge.
pub(crate) fn fates(
    edges: &[Edge],
    curves: &[Curve],
    progress: &Progress,
) -> Result<Vec<Fate>, Cancelled> {
    let boxes: Vec<Bounds> = edges
        .iter()
        .map(|e| progress.check().map(|()| e.roomy_box(curves).grown(SAME)))
        .collect::<Result<_, _>>()?;
    let index = BoxIndex::of(boxes.iter().copied(), progress)?;
    let carriers: Vec<Carrier> = edges
        .iter()
        .map(|e| progress.check().map(|()| Carrier::of(e.segments(curves))))
        .collect::<Result<_, _>>()?;
    let mut covers: Vec<Vec<Cover>> = vec![Vec::new(); edges.len()];
    let mut same = vec![false; edges.len()];
    let (mut near, mut stack) = (Vec::new(), Vec::new());
    for (i, b) in boxes.iter().enumerate() {
        progress.check()?;
        // Of a pile of equal edges only the first is compared with all.
        if same[i] {
            continue;
        }
        near.clear();
        // Touching corners make most of the pairs: a common box without length is no overlap.
        let shortest = SHORTEST_OVERLAP.min(edges[i].measure.length);
        index.visit(b, &mut stack, |j| {
            let overlap = j > i && common_size(b, &boxes[j]) > shortest;
            if overlap
                && (have_same_ends(&edges[i], &edges[j]) || carriers[i].may_lie_on(&carriers[j]))
            {
                near.push(j);
            }
        });
        near.sort_unstable();
        for &j in &near {
            progress.check()?;
            if same[j] {
                continue;
            }
            // `long` stays, the other gives way; of equals the first in the drawing stays.
            let order = edges[i].measure.length - edges[j].measure.length;
            let (long, short) = if order >= -SAME { (i, j) } else { (j, i) };
            if are_same(&edges[long], &edges[short], curves) {
                same[short] = true;
            } else {
                add_covers(
                    &mut covers[short],
                    carriers[short].covered_by(&carriers[long]),
                );
            }
        }
    }
    let fates = edges.iter().zip(&carriers).zip(covers.iter_mut().zip(same));
    Ok(fates
        .map(|((edge, carrier), (covers, same))| match covers.len() {
            _ if same => Fate::Duplicate,
            0 => Fate::Kept,
            _ => {
                let rest: Vec<Edge> = carrier
                    .rest(covers)
                    .into_iter()
                    .filter_map(|segments| Edge::own(edge.curve, segments))
                    .collect();
                if rest.is_empty() {
                    Fate::Covered
                } else {
                    Fate::Trimmed(rest)
                }
            }
        })
        .collect())
}

fn common_size(a: &Bounds, b: &Bounds) -> f64 {
    let width = a.max.x.min(b.max.x) - a.min.x.max(b.min.x);
    let height = a.max.y.min(b.max.y) - a.min.y.max(b.min.y);
    width.max(height)
}

/// Whether two edges run between the same points: asked of every pair, so without any root.
fn have_same_ends(p: &Edge, q: &Edge) -> bool {
    let near = |a: Point, b: Point| (a.x - b.x).abs() <= SAME && (a.y - b.y).abs() <= SAME;
    near(p.a, q.a) && near(p.b, q.b) || near(p.a, q.b) && near(p.b, q.a)
}

/// Whether two edges are the same curve, in either direction.
fn are_same(p: &Edge, q: &Edge, curves: &[Curve]) -> bool {
    let near = |a: Point, b: Point| a.distance(b) <= SAME;
    let straight = near(p.a, q.a) && near(p.b, q.b);
    let reversed = near(p.a, q.b) && near(p.b, q.a);
    let length = p.measure.length;
    // Very short edges would be the same as all their neighbours.
    if !(straight || reversed) || (length - q.measure.length).abs() > SAME || length < 4.0 * SAME {
        return false;
    }
    [0.25, 0.5, 0.75].into_iter().all(|share| {
        let other = if straight { share } else { 1.0 - share };
        near(
            p.point_at(curves, share * length),
            q.point_at(curves, other * length),
        )
    })
}

/// Which closed shapes repeat an earlier one, by box, length and area (sign aside).
pub(crate) fn repeated(
    shapes: &[(Bounds, f64, f64)],
    progress: &Progress,
) -> Result<Vec<Option<usize>>, Cancelled> {
    let cell = 4.0 * SAME;
    let key = |p: Point| ((p.x / cell).floor() as i64, (p.y / cell).floor() as i64);
    let mut seen: HashMap<(i64, i64), Vec<usize>> = HashMap::new();
    shapes
        .iter()
        .enumerate()
        .map(|(i, (bounds, length, area))| {
            progress.check()?;
            // The corner tells contours about a common centre apart.
            let (kx, ky) = key(bounds.min);
            let alike = |&j: &usize| {
                let (other, length2, area2) = &shapes[j];
                other.min.distance(bounds.min) <= 2.0 * SAME
                    && other.max.distance(bounds.max) <= 2.0 * SAME
                    && (length - length2).abs() <= SAME * 8.0
                    && (area.abs() - area2.abs()).abs() <= SAME * length
            };
            let around = (-1..=1).flat_map(|dx| {
                (-1..=1).map(move |dy| (kx.saturating_add(dx), ky.saturating_add(dy)))
            });
            let first = around
                .filter_map(|k| seen.get(&k))
                .flatten()
                .copied()
                .find(|j| alike(j));
            if first.is_none() {
                seen.entry((kx, ky)).or_default().push(i);
            }
            Ok(first)
        })
        .collect()
}

/// Which edges lie altogether on lines and arcs of contours.
pub(crate) fn lying_on(
    edges: &[&Edge],
    contours: &[&Segment],
    curves: &[Curve],
    progress: &Progress,
) -> Result<Vec<bool>, Cancelled> {
    let index = BoxIndex::of(contours.iter().map(|s| roomy_box(s)), progress)?;
    let mut stack = Vec::new();
    edges
        .iter()
        .map(|edge| {
            progress.check()?;
            let carrier = Carrier::of(edge.segments(curves));
            let mut covers = Vec::new();
            index.visit(&edge.roomy_box(curves).grown(SAME), &mut stack, |k| {
                let other = Carrier::of(std::slice::from_ref(contours[k]));
                add_covers(&mut covers, carrier.covered_by(&other));
            });
            Ok(!covers.is_empty() && carrier.rest(&mut covers).is_empty())
        })
        .collect()
}
