//! Ends on the sides of other curves: found, and joined there where that closes a contour.

use super::box_index::{BoxIndex, order_of_place};
use super::edges::{Edge, roomy_box};
use super::ends::{self, Joined, end_point};
use super::graph::End;
use crate::drawing::curves::Curve;
use crate::drawing::format::{Cancelled, Progress};
use crate::geometry::{Bounds, Point, Segment};
use std::collections::{BTreeMap, HashMap};

/// Share of a radius that a distance from its circle may be rounded by, a thousand times what sixteen digits are.
const FAR_ROUNDING: f64 = 1e-12;

/// All lines and arcs by place.
pub(crate) struct Sides {
    all: Vec<(usize, Segment)>,
    index: BoxIndex,
}

impl Sides {
    /// Of edges and of closed curves, whose edge number is `usize::MAX`.
    pub fn of(
        (edges, closed): (&[Edge], &[Edge]),
        curves: &[Curve],
        progress: &Progress,
    ) -> Result<Self, Cancelled> {
        let open = edges.iter().enumerate();
        let closed = closed.iter().map(|c| (usize::MAX, c));
        let edges = open.chain(closed);
        let count = edges.clone().map(|(_, e)| e.segments(curves).len()).sum();
        let mut all: Vec<(usize, Segment)> = Vec::with_capacity(count);
        for (k, edge) in edges {
            all.extend(edge.segments(curves).iter().map(|s| (k, *s)));
        }
        let index = BoxIndex::of(all.iter().map(|(_, s)| roomy_box(s)), progress)?;
        Ok(Self { all, index })
    }
    /// Lines and arcs whose boxes touch that of a line.
    pub fn near(&self, line: &Segment) -> Vec<(usize, Segment)> {
        self.within(&roomy_box(line))
    }
    /// What runs beside each of the loose ends of a joining, within a distance.
    pub fn beside(
        &self,
        edges: &[Edge],
        joined: &Joined,
        reach: f64,
        progress: &Progress,
    ) -> Result<Vec<Beside>, Cancelled> {
        let mut is_open = vec![false; edges.len()];
        let steps = joined.open.iter().flat_map(|r| &r.steps);
        steps.for_each(|step| is_open[step.0] = true);
        let is_open = |edge: usize| is_open.get(edge).is_some_and(|o| *o);
        let is_inner = |e: &Edge, q: Point| q.distance(e.a) > reach && q.distance(e.b) > reach;
        let places: Vec<Point> = joined.loose.iter().map(|&k| end_point(edges, k)).collect();
        let mut all = vec![Beside::default(); places.len()];
        let mut stack = Vec::new();
        for place in order_of_place(&places) {
            progress.check()?;
            let (p, own) = (places[place], joined.loose[place].edge());
            let around = Bounds { min: p, max: p }.grown(reach);
            let mut on_other = false;
            let mut nearest: Option<(f64, usize, Point)> = None;
            self.index.visit(&around, &mut stack, |k| {
                let (edge, s) = &self.all[k];
                if *edge == own || is_far(s, p, reach) {
                    return;
                }
                let q = s.nearest_point(p);
                let distance = q.distance(p);
                if distance > reach {
                    return;
                }
                on_other = true;
                let is_nearer = nearest.is_none_or(|n| (distance, k) < (n.0, n.1));
                if is_nearer && is_open(*edge) && is_inner(&edges[*edge], q) {
                    nearest = Some((distance, k, q));
                }
            });
            all[place] = Beside {
                on_other,
                side: nearest.map(|(_, k, q)| (self.all[k].0, q)),
            };
        }
        Ok(all)
    }
    fn within(&self, b: &Bounds) -> Vec<(usize, Segment)> {
        let found = self.index.within(b).into_iter();
        found.map(|k| self.all[k]).collect()
    }
}

/// Whether an arc stays off a point, by its circle alone: most that are asked do, and no angle is needed for it.
fn is_far(s: &Segment, p: Point, reach: f64) -> bool {
    s.centre().is_some_and(|c| {
        let radius = s.radius();
        // Twice, and a share of the radius, leave room for rounding.
        (p.distance(c) - radius).abs() > 2.0 * reach + FAR_ROUNDING * radius
    })
}

/// What runs beside a loose end.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Beside {
    /// Another curve does.
    pub on_other: bool,
    /// Of the open edges that could be cut there the nearest, the first of equally near ones, and where.
    side: Option<(usize, Point)>,
}

/// Edges cut where loose ends lie on them.
pub(crate) struct CutEdges {
    pub edges: Vec<Edge>,
    pub joined: Joined,
    /// The places.
    pub at: Vec<Point>,
}

/// Cuts open curves where loose ends lie on their sides and joins anew; `None` where that closes no
/// contour: then a rib stays a rib, and a closed contour is never changed.
pub(crate) fn cut_at_ends(
    edges: &[Edge],
    curves: &[Curve],
    joined: &Joined,
    beside: &[Beside],
    (exact, gap): (f64, f64),
    progress: &Progress,
) -> Result<Option<CutEdges>, Cancelled> {
    let mut cuts: BTreeMap<usize, Vec<(f64, End)>> = BTreeMap::new();
    let mut at = Vec::new();
    for (&end, beside) in joined.loose.iter().zip(beside) {
        progress.check()?;
        if let Some((other, q)) = beside.side {
            cuts.entry(other)
                .or_default()
                .push((along(&edges[other], curves, q), end));
            at.push(end_point(edges, end));
        }
    }
    if cuts.is_empty() {
        return Ok(None);
    }
    let mut all = edges.to_vec();
    let mut last_piece: HashMap<usize, usize> = HashMap::new();
    let mut links: Vec<(End, End)> = Vec::new();
    for (edge, mut list) in cuts {
        list.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        progress.check()?;
        let Some(pieces) = pieces(&edges[edge], curves, &list) else {
            return Ok(None);
        };
        let mut place = edge;
        let count = pieces.len();
        for (i, piece) in pieces.into_iter().enumerate() {
            if i == 0 {
                all[edge] = piece;
            } else {
                place = all.len();
                all.push(piece);
            }
            if i + 1 < count {
                links.push((list[i].1, End::last(place)));
            }
        }
        last_piece.insert(edge, place);
    }
    // The last end of a cut edge is now that of its last piece.
    for (end, _) in &mut links {
        if let Some(&place) = last_piece.get(&end.edge()).filter(|_| !end.is_first()) {
            *end = End::last(place);
        }
    }
    let again = ends::join_linked(&all, curves, (exact, gap), &links, progress)?;
    Ok(
        (again.loops.len() > joined.loops.len()).then_some(CutEdges {
            edges: all,
            joined: again,
            at,
        }),
    )
}

/// Distance along an edge of the point on it nearest to one.
fn along(edge: &Edge, curves: &[Curve], p: Point) -> f64 {
    let mut before = 0.0;
    let mut best = (f64::INFINITY, 0.0);
    for s in edge.segments(curves) {
        let (q, along) = s.nearest(p);
        if q.distance(p) < best.0 {
            best = (q.distance(p), before + along);
        }
        before += s.length();
    }
    best.1
}

/// An edge cut at distances along it, which ascend.
fn pieces(edge: &Edge, curves: &[Curve], cuts: &[(f64, End)]) -> Option<Vec<Edge>> {
    let mut out = Vec::new();
    let mut piece: Vec<Segment> = Vec::new();
    let mut cuts = cuts.iter().map(|c| c.0).peekable();
    let mut before = 0.0;
    for s in edge.segments(curves) {
        let mut from = 0.0;
        let length = s.length();
        while let Some(cut) = cuts.next_if(|c| *c <= before + length) {
            let to = (cut - before).max(from);
            piece.push(s.part(from, to));
            piece.retain(|s| s.a != s.b);
            out.push(Edge::own(edge.curve, std::mem::take(&mut piece))?);
            from = to;
        }
        piece.push(s.part(from, length));
        before += length;
    }
    piece.retain(|s| s.a != s.b);
    out.push(Edge::own(edge.curve, piece)?);
    // Two ends at one place, or rounding at the very end, leave nothing to cut cleanly.
    (cuts.next().is_none()).then_some(out)
}
