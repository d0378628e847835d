//! Ends that run past a corner or stop short of it: a trim or an extension that the user may accept.

use super::crossings::meeting_points;
use super::edges::{Edge, Run};
use super::ends::end_point;
use super::graph::End;
use super::sides::Sides;
use crate::drawing::curves::Curve;
use crate::drawing::format::{Cancelled, Progress};
use crate::geometry::{Datum, DrawingPoint, Point, Segment};
use crate::units::Length;

/// What an offer does to the end of a curve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OfferKind {
    /// Cuts off what runs past a crossing.
    Trim,
    /// Goes on in its own direction, or straight to the other end.
    Extend,
    /// Takes the edges of a hatched area or a multiline as curves.
    TakeEdges,
}

/// A change to one end of one curve, or the taking of edges, made only when accepted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Offer {
    /// What it does.
    pub kind: OfferKind,
    /// The curve, an index into the drawing's list; of edges the first one.
    pub curve: usize,
    /// Its first end, else its last.
    pub at_start: bool,
    /// Where the end lies, absolute drawing coordinates in mm.
    pub from: DrawingPoint,
    /// Where it would lie.
    pub to: DrawingPoint,
}

impl Offer {
    /// How far the end moves.
    pub fn by(&self) -> Length {
        Length::from_mm(self.from.distance(self.to))
    }
    /// A short word for it, the same at every reading of the file: `trim-12-end`.
    pub fn id(&self) -> String {
        let end = if self.at_start { "start" } else { "end" };
        match self.kind {
            OfferKind::Trim => format!("trim-{}-{end}", self.curve),
            OfferKind::Extend => format!("extend-{}-{end}", self.curve),
            OfferKind::TakeEdges => format!("edges-{}", self.curve),
        }
    }
}

/// Whether the edges that begin with a curve are taken.
pub(crate) fn takes_edges(accepted: &[Offer], first: usize) -> bool {
    let mut takes = accepted.iter().filter(|o| o.kind == OfferKind::TakeEdges);
    takes.any(|o| o.curve == first)
}

/// What is longer was drawn on purpose, mm and as a share of the curve. Common practice, no source.
const LONGEST: f64 = 2.0;
const LARGEST_SHARE: f64 = 0.25;
/// Offers of one kind that are made; a drawing with more needs another drawing.
const MOST: usize = 1000;

fn longest(edge: &Edge) -> f64 {
    LONGEST.min(LARGEST_SHARE * edge.measure.length)
}

/// Segments of an edge so that this end of it comes last.
fn towards(edges: &[Edge], curves: &[Curve], end: End) -> Vec<Segment> {
    let segments = edges[end.edge()].segments(curves);
    if end.is_first() {
        segments.iter().rev().map(Segment::reversed).collect()
    } else {
        segments.to_vec()
    }
}

/// Whether an end of an edge is also the end of its whole curve.
fn offer(
    (edges, curves): (&[Edge], &[Curve]),
    end: End,
    kind: OfferKind,
    to: Point,
    origin: Datum,
) -> Option<Offer> {
    let from = end_point(edges, end);
    let curve = edges[end.edge()].curve;
    let (a, b) = curves[curve].ends()?;
    let at_start = end.is_first();
    // Only whole ends can be moved; a polyline's inner corner has two neighbours.
    (from == if at_start { a } else { b }).then_some(Offer {
        kind,
        curve,
        at_start,
        from: from + origin,
        to: to + origin,
    })
}

/// Trims of the ends of an open run that reach a little past a crossing.
pub(crate) fn trims(
    work: (&[Edge], &[Curve]),
    run: &Run,
    crossing: Point,
    origin: Datum,
    out: &mut Vec<Offer>,
) {
    for end in run.ends() {
        if out.len() >= MOST {
            return;
        }
        let mut rest = 0.0;
        for s in towards(work.0, work.1, end).iter().rev() {
            let (at, along) = s.nearest(crossing);
            if at.distance(crossing) <= 1e-6 {
                rest += s.length() - along;
                if rest <= longest(&work.0[end.edge()]) {
                    out.extend(offer(work, end, OfferKind::Trim, crossing, origin));
                }
                break;
            }
            rest += s.length();
        }
    }
}

/// Extensions of loose ends to each other or to the side of another curve.
pub(crate) fn extensions(
    work: (&[Edge], &[Curve]),
    loose: &[End],
    sides: &Sides,
    origin: Datum,
    progress: &Progress,
) -> Result<Vec<Offer>, Cancelled> {
    let mut out = Vec::new();
    let mut ends: Vec<(Point, End)> = loose.iter().map(|&k| (end_point(work.0, k), k)).collect();
    ends.sort_by(|p, q| p.0.x.total_cmp(&q.0.x).then(p.1.cmp(&q.1)));
    let nearest = |i: usize| -> Option<usize> {
        let (p, k) = ends[i];
        let reach = longest(&work.0[k.edge()]);
        let near = |j: &usize| (ends[*j].0.x - p.x).abs() <= reach;
        let left = (0..i).rev().take_while(near);
        let right = (i + 1..ends.len()).take_while(near);
        left.take(MOST)
            .chain(right.take(MOST))
            .filter(|&j| ends[j].1.edge() != k.edge() && ends[j].0.distance(p) <= reach)
            .min_by(|&a, &b| ends[a].0.distance(p).total_cmp(&ends[b].0.distance(p)))
    };
    for i in 0..ends.len() {
        if out.len() >= MOST {
            break;
        }
        progress.check()?;
        let (p, k) = ends[i];
        let Some(last) = towards(work.0, work.1, k).last().copied() else {
            continue;
        };
        let way = last.end_direction();
        if let Some(j) = nearest(i).filter(|&j| nearest(j) == Some(i)) {
            let (q, other) = ends[j];
            let Some(theirs) = towards(work.0, work.1, other).last().copied() else {
                continue;
            };
            let reach = longest(&work.0[k.edge()]).min(longest(&work.0[other.edge()]));
            let corner = corner((p, way), (q, theirs.end_direction()), reach)
                .filter(|_| last.is_straight() && theirs.is_straight());
            match corner {
                Some(x) => out.extend(offer(work, k, OfferKind::Extend, x, origin)),
                // One of the two moves, where neither has run past the other.
                None if k < other
                    && goes_on(way, q - p)
                    && goes_on(theirs.end_direction(), p - q) =>
                {
                    out.extend(offer(work, k, OfferKind::Extend, q, origin));
                }
                None => {}
            }
            continue;
        }
        let ahead = Segment::line(p, p + way * longest(&work.0[k.edge()]));
        let hit = sides
            .near(&ahead)
            .into_iter()
            .filter(|(edge, _)| *edge != k.edge())
            .flat_map(|(_, s)| meeting_points(&ahead, &s))
            .min_by(|a, b| a.distance(p).total_cmp(&b.distance(p)));
        if let Some(x) = hit {
            out.extend(offer(work, k, OfferKind::Extend, x, origin));
        }
    }
    Ok(out)
}

fn goes_on(way: Point, gap: Point) -> bool {
    way.dot(gap) >= -1e-9
}

/// Where two rays meet ahead of both, within a reach.
fn corner((p, u): (Point, Point), (q, v): (Point, Point), reach: f64) -> Option<Point> {
    let turn = u.cross(v);
    // Less than a degree: they run side by side.
    if turn.abs() < 0.0175 {
        return None;
    }
    let s = (q - p).cross(v) / turn;
    let t = (q - p).cross(u) / turn;
    let ahead = -1e-9..=reach;
    (ahead.contains(&s) && ahead.contains(&t)).then(|| p + u * s)
}

/// Segments with their last end moved to a point: cut there, or continued to it.
fn end_moved(mut segments: Vec<Segment>, to: Point) -> Vec<Segment> {
    let on = segments
        .iter()
        .rposition(|s| s.nearest_point(to).distance(to) <= 1e-6);
    if let Some(k) = on {
        let (_, along) = segments[k].nearest(to);
        segments.truncate(k + 1);
        segments[k] = segments[k].part(0.0, along);
        segments[k].b = to;
    } else if let Some(last) = segments.last_mut() {
        let way = to - last.b;
        let side = last.end_direction().cross(way).abs();
        if last.is_straight() && side <= 1e-9 * last.chord().max(way.norm()) {
            last.b = to;
        } else {
            let from = last.b;
            segments.push(Segment::line(from, to));
        }
    }
    segments.retain(|s| s.a != s.b);
    segments
}

/// The edges of a curve with accepted offers applied.
pub(crate) fn apply(edges: &mut [Edge], curves: &[Curve], offer: &Offer, origin: Datum) {
    let to = offer.to - origin;
    let edge = if offer.at_start {
        edges.first_mut()
    } else {
        edges.last_mut()
    };
    let Some(edge) = edge else { return };
    let mut segments = edge.segments(curves).to_vec();
    let turn = |list: Vec<Segment>| list.iter().rev().map(Segment::reversed).collect::<Vec<_>>();
    if offer.at_start {
        segments = turn(segments);
    }
    segments = end_moved(segments, to);
    if offer.at_start {
        segments = turn(segments);
    }
    if let Some(changed) = Edge::own(edge.curve, segments) {
        *edge = changed;
    }
}
