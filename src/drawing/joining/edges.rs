//! What joins: pieces of curves with two ends, and runs of them.

use super::graph::End;
use crate::drawing::curves::{Curve, Measure, Span, of_segment};
use crate::geometry::{Bounds, Point, Segment};

/// A piece of a curve between two ends.
#[derive(Debug, Clone)]
pub(crate) struct Edge {
    /// Index of its curve.
    pub curve: usize,
    geometry: Geometry,
    pub measure: Measure,
    pub a: Point,
    pub b: Point,
}

#[derive(Debug, Clone)]
enum Geometry {
    /// Segments of the curve.
    Of { first: usize, count: usize },
    /// What was left of it where another curve lies on it.
    Own(Vec<Segment>),
}

impl Edge {
    pub fn of_piece(curve: usize, curves: &[Curve], piece: &Span) -> Self {
        let segments = &curves[curve].segments[piece.first..piece.first + piece.count];
        Self {
            curve,
            geometry: Geometry::Of {
                first: piece.first,
                count: piece.count,
            },
            measure: piece.measure,
            a: segments[0].a,
            b: segments[piece.count - 1].b,
        }
    }
    /// Lines and arcs that replace a part of a curve.
    pub fn own(curve: usize, segments: Vec<Segment>) -> Option<Self> {
        let (a, b) = (segments.first()?.a, segments.last()?.b);
        let measure =
            crate::drawing::curves::joined(segments.iter().map(|s| (s.a, s.b, of_segment(s))));
        Some(Self {
            curve,
            geometry: Geometry::Own(segments),
            measure,
            a,
            b,
        })
    }
    pub fn segments<'a>(&'a self, curves: &'a [Curve]) -> &'a [Segment] {
        match &self.geometry {
            Geometry::Of { first, count } => &curves[self.curve].segments[*first..first + count],
            Geometry::Own(segments) => segments,
        }
    }
    /// A box that holds it, not always the smallest.
    pub fn roomy_box(&self, curves: &[Curve]) -> Bounds {
        let mut b = Bounds::EMPTY;
        self.segments(curves)
            .iter()
            .for_each(|s| b.include_bounds(&roomy_box(s)));
        b
    }
    /// The point at a distance along its lines and arcs.
    pub fn point_at(&self, curves: &[Curve], along: f64) -> Point {
        let mut rest = along;
        for s in self.segments(curves) {
            let length = s.length();
            if rest <= length {
                return s.point_at(rest);
            }
            rest -= length;
        }
        self.b
    }
}

/// A box that holds a line or arc without any angle: its chord's box, grown by its sagitta.
pub(crate) fn roomy_box(s: &Segment) -> Bounds {
    let mut b = Bounds::EMPTY;
    b.include(s.a);
    b.include(s.b);
    if s.bulge == 0.0 {
        b
    } else {
        b.grown(0.5 * s.bulge.abs() * s.chord())
    }
}

/// An edge and whether it is run through from `a` to `b`.
pub(crate) type Step = (usize, bool);

/// Edges that follow each other.
#[derive(Debug, Clone, Default)]
pub(crate) struct Run {
    pub steps: Vec<Step>,
}

impl Run {
    /// Where it begins and where it ends; nothing of a run without any step.
    pub fn ends(&self) -> impl Iterator<Item = End> {
        let first = self
            .steps
            .first()
            .map(|&(e, on)| [End::last(e), End::first(e)][usize::from(on)]);
        let last = self
            .steps
            .last()
            .map(|&(e, on)| [End::first(e), End::last(e)][usize::from(on)]);
        first.into_iter().chain(last)
    }
    /// Start and end of a step.
    pub fn ends_of(edges: &[Edge], (edge, forward): Step) -> (Point, Point) {
        let e = &edges[edge];
        if forward { (e.a, e.b) } else { (e.b, e.a) }
    }
    /// True length of the drawn curves, gaps left out.
    pub fn length(&self, edges: &[Edge]) -> f64 {
        self.steps
            .iter()
            .map(|&(e, _)| edges[e].measure.length)
            .sum()
    }
    /// Signed area inside the drawn curves, gaps closed by lines.
    pub fn area(&self, edges: &[Edge]) -> f64 {
        let Some(&first) = self.steps.first() else {
            return 0.0;
        };
        let origin = Self::ends_of(edges, first).0;
        let n = self.steps.len();
        (0..n)
            .map(|i| {
                let step = self.steps[i];
                let (a, b) = Self::ends_of(edges, step);
                let next = Self::ends_of(edges, self.steps[(i + 1) % n]).0;
                let beyond = edges[step.0].measure.area;
                0.5 * ((a - origin).cross(b - origin) + (b - origin).cross(next - origin))
                    + if step.1 { beyond } else { -beyond }
            })
            .sum()
    }
    /// Its lines and arcs in order; ends that meet over a gap meet in its middle.
    pub fn segments(&self, edges: &[Edge], curves: &[Curve], closed: bool) -> Vec<Segment> {
        let count = |&(edge, _): &Step| edges[edge].segments(curves).len();
        let mut out: Vec<Segment> = Vec::with_capacity(self.steps.iter().map(count).sum());
        for &(edge, forward) in &self.steps {
            let begin = out.len();
            let segments = edges[edge].segments(curves);
            if forward {
                out.extend_from_slice(segments);
            } else {
                out.extend(segments.iter().rev().map(Segment::reversed));
            }
            if begin > 0 {
                meet(&mut out, begin - 1, begin);
            }
        }
        if closed && out.len() > 1 {
            let last = out.len() - 1;
            meet(&mut out, last, 0);
        }
        out
    }
    /// A box that holds it, not always the smallest.
    pub fn roomy_box(&self, edges: &[Edge], curves: &[Curve]) -> Bounds {
        let mut b = Bounds::EMPTY;
        let boxes = self.steps.iter().map(|s| edges[s.0].roomy_box(curves));
        boxes.for_each(|e| b.include_bounds(&e));
        b
    }
    /// Indices of its curves in order, each once where they follow each other.
    pub fn curves(&self, edges: &[Edge]) -> Vec<usize> {
        let mut list: Vec<usize> = self.steps.iter().map(|&(e, _)| edges[e].curve).collect();
        list.dedup();
        if list.len() > 1 && list.first() == list.last() {
            list.pop();
        }
        list
    }
    /// The other way round.
    pub fn reverse(&mut self) {
        self.steps.reverse();
        for step in &mut self.steps {
            step.1 = !step.1;
        }
    }
}

fn meet(segments: &mut [Segment], before: usize, after: usize) {
    let (end, start) = (segments[before].b, segments[after].a);
    if end != start {
        let middle = end.lerp(start, 0.5);
        segments[before].b = middle;
        segments[after].a = middle;
    }
}
