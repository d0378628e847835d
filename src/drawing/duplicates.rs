//! Curves that lie on each other are counted once.
//!
//! Judged on the carrier line or circle itself, never on flattened points: what one edge covers of
//! another is an interval on it. The longer edge stays whole, the other keeps what is left.

use super::curve::Curve;
use super::edges::Edge;
use crate::geometry::{Bounds, Point, Segment};
use static_aabb2d_index::StaticAABB2DIndexBuilder;
use std::collections::HashMap;
use std::f64::consts::TAU;

/// Edges nearer than this lie on each other, mm: the distance to which drawn curves become arcs.
pub(crate) const SAME: f64 = 1e-4;
/// Shorter overlaps are neighbours that touch, mm.
const SHORTEST_OVERLAP: f64 = 1e-3;

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
pub(crate) fn fates(edges: &[Edge], curves: &[Curve]) -> Vec<Fate> {
    let carriers: Vec<Carrier> = edges
        .iter()
        .map(|e| Carrier::of(e.segments(curves)))
        .collect();
    let mut covers: Vec<Vec<Cover>> = vec![Vec::new(); edges.len()];
    let mut same = vec![false; edges.len()];
    for (i, j) in neighbours(edges, curves) {
        // `long` stays, the other gives way; of equals the first in the drawing stays.
        let order = edges[i].measure.length - edges[j].measure.length;
        let (long, short) = if order >= -SAME { (i, j) } else { (j, i) };
        if are_same(&edges[long], &edges[short], curves) {
            same[short] = true;
            covers[short].push(Cover {
                from: 0.0,
                to: f64::INFINITY,
                at_from: edges[short].a,
                at_to: edges[short].b,
            });
            continue;
        }
        covers[short].extend(carriers[short].covered_by(&carriers[long]));
    }
    edges
        .iter()
        .zip(&carriers)
        .zip(covers.iter_mut().zip(same))
        .map(|((edge, carrier), (covers, same))| {
            if covers.is_empty() {
                Fate::Kept
            } else if same {
                Fate::Duplicate
            } else {
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
        .collect()
}

/// Pairs of edges whose boxes overlap, the lower index first.
fn neighbours(edges: &[Edge], curves: &[Curve]) -> Vec<(usize, usize)> {
    let boxes: Vec<Bounds> = edges
        .iter()
        .map(|e| e.roomy_box(curves).grown(SAME))
        .collect();
    let mut builder = StaticAABB2DIndexBuilder::new(boxes.len());
    for b in &boxes {
        builder.add(b.min.x, b.min.y, b.max.x, b.max.y);
    }
    let Ok(index) = builder.build() else {
        return Vec::new();
    };
    let mut pairs = Vec::new();
    for (i, b) in boxes.iter().enumerate() {
        index.visit_query(b.min.x, b.min.y, b.max.x, b.max.y, &mut |j: usize| {
            // Touching corners make most of the pairs: a common box without length is no overlap.
            if j > i && common_size(b, &boxes[j]) > SHORTEST_OVERLAP.min(edges[i].measure.length) {
                pairs.push((i, j));
            }
        });
    }
    pairs
}

fn common_size(a: &Bounds, b: &Bounds) -> f64 {
    let width = a.max.x.min(b.max.x) - a.min.x.max(b.min.x);
    let height = a.max.y.min(b.max.y) - a.min.y.max(b.min.y);
    width.max(height)
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

/// A stretch of an edge under another one, as distances along it and their points.
#[derive(Debug, Clone, Copy)]
struct Cover {
    from: f64,
    to: f64,
    at_from: Point,
    at_to: Point,
}

/// The line or circle an edge lies on.
#[derive(Debug, Clone, Copy)]
enum Carrier {
    Line {
        a: Point,
        b: Point,
    },
    Arc {
        centre: Point,
        radius: f64,
        start: f64,
        sweep: f64,
        a: Point,
        b: Point,
    },
    Other,
}

impl Carrier {
    fn of(segments: &[Segment]) -> Self {
        let (first, last) = match segments {
            [only] => (only, only),
            [first, last] => (first, last),
            _ => return Self::Other,
        };
        match (first.centre(), last.centre()) {
            (None, _) if segments.len() == 1 => Self::Line {
                a: first.a,
                b: first.b,
            },
            (Some(c), Some(d))
                if c.distance(d) <= 1e-9 * first.radius() && first.bulge * last.bulge > 0.0 =>
            {
                let sweep = if segments.len() == 1 {
                    first.sweep()
                } else {
                    first.sweep() + last.sweep()
                };
                let start = (first.a - c).angle();
                Self::Arc {
                    centre: c,
                    radius: first.radius(),
                    start,
                    sweep,
                    a: first.a,
                    b: last.b,
                }
            }
            _ => Self::Other,
        }
    }

    /// Stretches of this edge that lie on the other.
    fn covered_by(&self, other: &Self) -> Vec<Cover> {
        match (self, other) {
            (&Self::Line { a, b }, &Self::Line { a: p, b: q }) => {
                line_on_line(a, b, p, q).into_iter().collect()
            }
            (Self::Arc { .. }, Self::Arc { .. }) => arc_on_arc(self, other),
            _ => Vec::new(),
        }
    }

    /// What the covers leave of the edge.
    fn rest(&self, covers: &mut [Cover]) -> Vec<Vec<Segment>> {
        let length = match self {
            Self::Line { a, b } => a.distance(*b),
            Self::Arc { radius, sweep, .. } => radius * sweep.abs(),
            Self::Other => return Vec::new(),
        };
        let (start, end) = match self {
            Self::Line { a, b } | Self::Arc { a, b, .. } => (*a, *b),
            Self::Other => return Vec::new(),
        };
        covers.sort_by(|p, q| p.from.total_cmp(&q.from));
        let mut rest = Vec::new();
        let (mut reached, mut at) = (0.0, start);
        let beyond = Cover {
            from: length,
            to: length,
            at_from: end,
            at_to: end,
        };
        for cover in covers.iter().chain([&beyond]) {
            if cover.from - reached > SHORTEST_OVERLAP {
                rest.push(self.part(reached, at, cover.from, cover.at_from));
            }
            if cover.to > reached {
                (reached, at) = (cover.to, cover.at_to);
            }
        }
        rest
    }

    fn part(&self, from: f64, a: Point, to: f64, b: Point) -> Vec<Segment> {
        match self {
            Self::Arc {
                centre,
                radius,
                start,
                sweep,
                ..
            } => {
                let side = sweep.signum();
                let mut arcs = Segment::arc(
                    *centre,
                    *radius,
                    start + side * from / radius,
                    side * (to - from) / radius,
                );
                if let Some(s) = arcs.first_mut() {
                    s.a = a;
                }
                if let Some(s) = arcs.last_mut() {
                    s.b = b;
                }
                arcs
            }
            _ => vec![Segment::line(a, b)],
        }
    }
}

/// The stretch of a–b on p–q.
fn line_on_line(a: Point, b: Point, p: Point, q: Point) -> Option<Cover> {
    let direction = (q - p).unit();
    let aside = |r: Point| direction.cross(r - p).abs();
    if aside(a) > SAME || aside(b) > SAME {
        return None;
    }
    let length = a.distance(b);
    let along = (b - a).unit();
    // Where the other edge begins and ends, measured along this one.
    let mut other = [((p - a).dot(along), p), ((q - a).dot(along), q)];
    if other[0].0 > other[1].0 {
        other.swap(0, 1);
    }
    let (from, at_from) = if other[0].0 <= SAME {
        (0.0, a)
    } else {
        other[0]
    };
    let (to, at_to) = if other[1].0 >= length - SAME {
        (length, b)
    } else {
        other[1]
    };
    (to - from > SHORTEST_OVERLAP).then_some(Cover {
        from,
        to,
        at_from,
        at_to,
    })
}

/// The stretches of one arc on another of the same circle; two where both leave a small gap.
fn arc_on_arc(this: &Carrier, other: &Carrier) -> Vec<Cover> {
    let (
        &Carrier::Arc {
            centre,
            radius,
            start,
            sweep,
            a,
            b,
        },
        &Carrier::Arc {
            centre: centre2,
            radius: radius2,
            start: start2,
            sweep: sweep2,
            a: a2,
            b: b2,
        },
    ) = (this, other)
    else {
        return Vec::new();
    };
    if centre.distance(centre2) > SAME || (radius - radius2).abs() > SAME {
        return Vec::new();
    }
    let side = sweep.signum();
    // The other arc run the way this one runs: where it begins, measured along this one.
    let (begin, p, q) = if sweep2 * side > 0.0 {
        (start2, a2, b2)
    } else {
        (start2 + sweep2, b2, a2)
    };
    let shift = ((begin - start) * side).rem_euclid(TAU);
    let length = radius * sweep.abs();
    [shift - TAU, shift]
        .into_iter()
        .filter_map(|shift| {
            let (low, high) = (shift * radius, (shift + sweep2.abs()) * radius);
            let (from, at_from) = if low <= SAME { (0.0, a) } else { (low, p) };
            let (to, at_to) = if high >= length - SAME {
                (length, b)
            } else {
                (high, q)
            };
            (to - from > SHORTEST_OVERLAP).then_some(Cover {
                from,
                to,
                at_from,
                at_to,
            })
        })
        .collect()
}

/// Which closed shapes repeat an earlier one, by box, length and area (sign aside).
pub(crate) fn repeated(shapes: &[(Bounds, f64, f64)]) -> Vec<Option<usize>> {
    let cell = 4.0 * SAME;
    let key = |p: Point| ((p.x / cell).floor() as i64, (p.y / cell).floor() as i64);
    let mut seen: HashMap<(i64, i64), Vec<usize>> = HashMap::new();
    shapes
        .iter()
        .enumerate()
        .map(|(i, (bounds, length, area))| {
            let (kx, ky) = key(bounds.centre());
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
            first
        })
        .collect()
}

/// For each edge from `first` on: whether it lies altogether on the edges before them.
pub(crate) fn lying_on(edges: &[Edge], first: usize, curves: &[Curve]) -> Vec<bool> {
    let carriers: Vec<Carrier> = edges
        .iter()
        .map(|e| Carrier::of(e.segments(curves)))
        .collect();
    let mut builder = StaticAABB2DIndexBuilder::new(first);
    for edge in &edges[..first] {
        let b = edge.roomy_box(curves);
        builder.add(b.min.x, b.min.y, b.max.x, b.max.y);
    }
    let Ok(index) = builder.build() else {
        return vec![false; edges.len() - first];
    };
    (first..edges.len())
        .map(|i| {
            let b = edges[i].roomy_box(curves).grown(SAME);
            let near = index.query(b.min.x, b.min.y, b.max.x, b.max.y);
            let mut covers: Vec<Cover> = near
                .into_iter()
                .flat_map(|j| carriers[i].covered_by(&carriers[j]))
                .collect();
            !covers.is_empty() && carriers[i].rest(&mut covers).is_empty()
        })
        .collect()
}
