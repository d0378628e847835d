//! Ends on the sides of other curves: found, and joined there where that closes a contour.

use super::box_index::BoxIndex;
use super::edges::{Edge, roomy_box};
use super::ends::{self, Joined, end_point};
use super::graph::End;
use crate::drawing::curves::Curve;
use crate::drawing::format::{Cancelled, Progress};
use crate::geometry::{Bounds, Point, Segment};
use std::collections::{BTreeMap, HashMap};

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
        let all: Vec<(usize, Segment)> = open
            .chain(closed)
            .flat_map(|(k, e)| e.segments(curves).iter().map(move |s| (k, *s)))
            .collect();
        let index = BoxIndex::of(all.iter().map(|(_, s)| roomy_box(s)), progress)?;
        Ok(Self { all, index })
    }
    /// Lines and arcs whose boxes touch that of a line.
    pub fn near(&self, line: &Segment) -> Vec<(usize, Segment)> {
        self.within(&roomy_box(line))
    }
    /// Edges that run within a distance of a point, and the nearest points on them.
    pub fn at(&self, p: Point, reach: f64) -> Vec<(usize, Point)> {
        self.within(&Bounds { min: p, max: p }.grown(reach))
            .into_iter()
            .map(|(edge, s)| (edge, s.nearest(p).0))
            .filter(|(_, q)| q.distance(p) <= reach)
            .collect()
    }
    /// The edge nearest to a point within a distance, of those that `counts` with the nearest point on them, and that
    /// point; of equally near ones the first.
    fn nearest_to(
        &self,
        p: Point,
        reach: f64,
        stack: &mut Vec<usize>,
        counts: impl Fn(usize, Point) -> bool,
    ) -> Option<(usize, Point)> {
        let mut best: Option<(f64, usize, Point)> = None;
        let around = Bounds { min: p, max: p }.grown(reach);
        self.index.visit(&around, stack, |k| {
            let (edge, s) = &self.all[k];
            let q = s.nearest(p).0;
            let distance = q.distance(p);
            let nearer = best.is_none_or(|b| (distance, k) < (b.0, b.1));
            if distance <= reach && nearer && counts(*edge, q) {
                best = Some((distance, k, q));
            }
        });
        best.map(|(_, k, q)| (self.all[k].0, q))
    }
    fn within(&self, b: &Bounds) -> Vec<(usize, Segment)> {
        let found = self.index.within(b).into_iter();
        found.map(|k| self.all[k]).collect()
    }
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
    sides: &Sides,
    (exact, gap): (f64, f64),
    progress: &Progress,
) -> Result<Option<CutEdges>, Cancelled> {
    let reach = gap.max(exact);
    let mut open = vec![false; edges.len()];
    let steps = joined.open.iter().flat_map(|r| &r.steps);
    steps.for_each(|step| open[step.0] = true);
    let mut stack = Vec::new();
    let mut cuts: BTreeMap<usize, Vec<(f64, End)>> = BTreeMap::new();
    let mut at = Vec::new();
    for &end in &joined.loose {
        progress.check()?;
        let p = end_point(edges, end);
        let inner = |e: &Edge, q: Point| q.distance(e.a) > reach && q.distance(e.b) > reach;
        let side = sides.nearest_to(p, reach, &mut stack, |other, q| {
            other != end.edge()
                && open.get(other).is_some_and(|is_open| *is_open)
                && inner(&edges[other], q)
        });
        if let Some((other, q)) = side {
            cuts.entry(other)
                .or_default()
                .push((along(&edges[other], curves, q), end));
            at.push(p);
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
