//! Ends on the sides of other curves: found, and joined there where that closes a contour.

use super::box_index::{BoxIndex, order_of_place};
use super::edges::{Edge, Run, roomy_box};
use super::ends::{self, Joined, Links, end_point};
use super::graph::End;
use crate::drawing::curves::Curve;
use crate::drawing::format::{Cancelled, Progress};
use crate::geometry::{Bounds, Point, Segment};
use std::collections::{BTreeMap, HashMap, HashSet};

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

/// What cutting open curves where loose ends lie on their sides would close.
pub(crate) struct Closing {
    /// The places.
    pub at: Vec<Point>,
    /// Contours that it adds.
    pub more: usize,
    /// Whether those that there are stay as they are.
    pub keeps_all: bool,
    /// Boxes that hold the new ones.
    pub around: Vec<Bounds>,
    cuts: Cuts,
}

/// Of each edge to be cut the distances along it, and the loose ends that lie there.
type Cuts = BTreeMap<usize, Vec<(f64, End)>>;

impl Closing {
    /// What comes of cutting open curves where loose ends lie on their sides; `None` where that closes no contour: then a rib
    /// stays a rib, and a closed contour is never changed.
    ///
    /// What is cut, and all that hangs together with it, is joined anew for the answer; what stands elsewhere is not.
    pub fn of(
        (edges, curves): (&[Edge], &[Curve]),
        joined: &Joined,
        beside: &[Beside],
        tolerances: (f64, f64),
        progress: &Progress,
    ) -> Result<Option<Self>, Cancelled> {
        let (cuts, at) = cuts(edges, curves, joined, beside, progress)?;
        let mut is_touched = vec![false; edges.len()];
        for (&edge, list) in &cuts {
            for edge in list.iter().map(|c| c.1.edge()).chain([edge]) {
                is_touched[joined.whole[edge] as usize] = true;
            }
        }
        let is_touched = |edge: usize| is_touched[joined.whole[edge] as usize];
        let touched: Vec<usize> = (0..edges.len()).filter(|&k| is_touched(k)).collect();
        let number = |edge: usize| touched.binary_search(&edge).unwrap_or_default();
        let part: Vec<Edge> = touched.iter().map(|&k| edges[k].clone()).collect();
        let numbered = cuts.iter().map(|(&edge, list)| {
            let list = list.iter().map(|&(along, end)| {
                let of = End::of(number(end.edge()));
                (along, of[usize::from(!end.is_first())])
            });
            (number(edge), list.collect())
        });
        let again = cut_and_join(&part, curves, numbered.collect(), tolerances, progress)?;
        let Some((part, again)) = again else {
            return Ok(None);
        };
        let edges_of = |run: &Run, number: &dyn Fn(usize) -> usize| -> Vec<usize> {
            let mut list: Vec<usize> = run.steps.iter().map(|s| number(s.0)).collect();
            list.sort_unstable();
            list
        };
        let first_is_touched = |run: &&Run| run.steps.first().is_some_and(|s| is_touched(s.0));
        let before = joined.loops.iter().filter(first_is_touched);
        let before: HashSet<Vec<usize>> = before.map(|run| edges_of(run, &number)).collect();
        let (kept, new): (Vec<&Run>, Vec<&Run>) = again
            .loops
            .iter()
            .partition(|run| before.contains(&edges_of(run, &|k| k)));
        let more = again.loops.len().saturating_sub(before.len());
        Ok((more > 0).then(|| Self {
            at,
            more,
            keeps_all: kept.len() == before.len(),
            around: new
                .into_iter()
                .map(|run| run.roomy_box(&part, curves))
                .collect(),
            cuts,
        }))
    }
    /// Edges cut there, and what came of joining all of them; `None` where that closes nothing after all: of more than
    /// a few candidates for a join only the nearest are looked at, and what stands elsewhere is among them here.
    pub fn cut(
        &self,
        (edges, curves): (&[Edge], &[Curve]),
        joined: &Joined,
        tolerances: (f64, f64),
        progress: &Progress,
    ) -> Result<Option<(Vec<Edge>, Joined)>, Cancelled> {
        let cut = cut_and_join(edges, curves, self.cuts.clone(), tolerances, progress)?;
        Ok(cut.filter(|(_, again)| again.loops.len() > joined.loops.len()))
    }
}

/// Edges cut at distances along them, each where an end lies, which is joined there; `None` where that cannot be cleanly.
fn cut_and_join(
    edges: &[Edge],
    curves: &[Curve],
    cuts: Cuts,
    tolerances: (f64, f64),
    progress: &Progress,
) -> Result<Option<(Vec<Edge>, Joined)>, Cancelled> {
    let mut all = edges.to_vec();
    let mut last_piece: HashMap<usize, usize> = HashMap::new();
    let mut links = Links::default();
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
                links.pairs.push((list[i].1, End::last(place)));
            }
        }
        last_piece.insert(edge, place);
        links.last_of.insert(place, edge);
    }
    // The last end of a cut edge is now that of its last piece.
    for (end, _) in &mut links.pairs {
        if let Some(&place) = last_piece.get(&end.edge()).filter(|_| !end.is_first()) {
            *end = End::last(place);
        }
    }
    let joined = ends::join_linked(&all, curves, tolerances, &links, progress)?;
    Ok(Some((all, joined)))
}

/// Where loose ends lie on the sides of open edges.
fn cuts(
    edges: &[Edge],
    curves: &[Curve],
    joined: &Joined,
    beside: &[Beside],
    progress: &Progress,
) -> Result<(Cuts, Vec<Point>), Cancelled> {
    let mut cuts = Cuts::new();
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
    Ok((cuts, at))
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Lines that end on the sides of earlier ones, some of them of two: what comes of cutting where something is to be cut is
    /// what comes of joining everything anew.
    #[test]
    fn cutting_joins_only_what_is_concerned() {
        let (tolerances, none) = ((1e-9, 0.01), Progress::default());
        let mut state = 7_u64;
        // Steele, Lea and Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014.
        let mut random = || {
            state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
            let z = (state ^ (state >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
            let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
            ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
        };
        let (mut whole, mut closed) = (0, 0);
        for _ in 0..2000 {
            let mut edges: Vec<Edge> = Vec::new();
            for _ in 0..3 + (random() * 6.0) as usize {
                let mut end = || {
                    let beside = edges.get((random() * 1.5 * edges.len() as f64) as usize);
                    let off = Point::new(random() - 0.5, random() - 0.5) * 0.012;
                    match beside {
                        Some(edge) => edge.a.lerp(edge.b, random()) + off,
                        None => Point::new(random() * 20.0, random() * 20.0),
                    }
                };
                let line = Segment::line(end(), end());
                edges.extend(Edge::own(0, vec![line]));
            }
            let joined = ends::join(&edges, &[], tolerances, &none).unwrap();
            let sides = Sides::of((&edges, &[]), &[], &none).unwrap();
            let beside = sides.beside(&edges, &joined, tolerances.1, &none).unwrap();
            let work = (&edges[..], &[][..]);
            let answer = Closing::of(work, &joined, &beside, tolerances, &none).unwrap();
            let (cuts, _) = cuts(&edges, &[], &joined, &beside, &none).unwrap();
            if cuts.is_empty() {
                continue;
            }
            whole += u32::from((1..edges.len()).any(|k| joined.whole[k] != joined.whole[0]));
            let plain = cut_and_join(&edges, &[], cuts, tolerances, &none).unwrap();
            let plain = plain.map(|(_, again)| again.loops.len());
            let more = plain.and_then(|loops| loops.checked_sub(joined.loops.len()));
            let more = more.filter(|&more| more > 0);
            closed += u32::from(more.is_some());
            assert_eq!(answer.as_ref().map(|a| a.more), more);
            if let Some(answer) = answer {
                let again = answer.cut(work, &joined, tolerances, &none).unwrap();
                let (_, again) = again.unwrap();
                assert_eq!(Some(again.loops.len()), plain);
            }
        }
        assert!(
            whole > 200 && closed > 200,
            "{whole} of several, {closed} closed"
        );
    }
}
