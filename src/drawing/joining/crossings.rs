//! Where contours and loose curves cross themselves or each other.

use super::box_index::BoxIndex;
use super::edges::roomy_box;
use crate::drawing::format::{Cancelled, Progress};
use crate::geometry::{Point, Segment};
use cavalier_contours::polyline::{PlineSegIntr, PlineVertex, pline_seg_intr};

/// Crossings nearer to an end than this are joints or touching corners, mm.
const AT_AN_END: f64 = 1e-3;
/// Crossings after which the search stops: the drawing is unusable anyway.
const ENOUGH: usize = 1000;

/// Circles are apart by more than this share of their size, and as many mm: a hundred times what counts as a meeting.
const APART: f64 = 1e-7;

/// A line or arc and the chain it belongs to.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Member<'a> {
    pub segment: &'a Segment,
    pub chain: usize,
}

/// A crossing of two chains, or of one with itself.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Crossing {
    pub at: Point,
    pub chains: (usize, usize),
}

/// All proper crossings, in the order of the members; touching tangents and ends on a curve are none.
pub(crate) fn find(
    members: &[Member<'_>],
    progress: &Progress,
) -> Result<Vec<Crossing>, Cancelled> {
    let index = BoxIndex::of(members.iter().map(|m| roomy_box(m.segment)), progress)?;
    let mut found = Vec::new();
    let circles: Vec<Option<Circle>> = members.iter().map(|m| Circle::of(m.segment)).collect();
    let (mut near, mut stack) = (Vec::new(), Vec::new());
    for (i, p) in members.iter().enumerate() {
        progress.check()?;
        near.clear();
        index.visit(&roomy_box(p.segment), &mut stack, |j| {
            let apart =
                || matches!((&circles[i], &circles[j]), (Some(p), Some(q)) if p.is_apart(q));
            if j > i && !apart() && !(j == i + 1 && are_smooth_neighbours(p, &members[j])) {
                near.push(j);
            }
        });
        near.sort_unstable();
        for &j in &near {
            progress.check()?;
            let q = &members[j];
            for at in points(p.segment, q.segment) {
                found.push(Crossing {
                    at,
                    chains: (p.chain, q.chain),
                });
            }
        }
        if found.len() >= ENOUGH {
            break;
        }
    }
    Ok(found)
}

/// The circle that an arc lies on.
struct Circle {
    centre: Point,
    radius: f64,
}

impl Circle {
    fn of(s: &Segment) -> Option<Self> {
        Some(Self {
            centre: s.centre()?,
            radius: s.radius(),
        })
    }
    /// Whether two circles lie beside or within one another, by more than rounding: the arcs of rings share all of their
    /// boxes and no point.
    fn is_apart(&self, other: &Self) -> bool {
        let apart = self.centre.distance(other.centre);
        let (least, most) = (self.radius.min(other.radius), self.radius.max(other.radius));
        let room = APART * (1.0 + apart + most);
        apart > most + least + room || apart + least + room < most
    }
}

/// Two segments of a chain that follow each other and bend so little together that they cannot meet
/// again: most pairs are of this kind.
fn are_smooth_neighbours(p: &Member<'_>, q: &Member<'_>) -> bool {
    // Sum of bulges below tan(π/16): together less than a quarter turn.
    p.chain == q.chain
        && p.segment.b == q.segment.a
        && p.segment.bulge.abs() + q.segment.bulge.abs() < 0.19
}

/// Points that two lines or arcs share without lying on each other.
pub(crate) fn meeting_points(p: &Segment, q: &Segment) -> Vec<Point> {
    let vertex = |at: Point, bulge: f64| PlineVertex::new(at.x, at.y, bulge);
    let met = pline_seg_intr(
        vertex(p.a, p.bulge),
        vertex(p.b, 0.0),
        vertex(q.a, q.bulge),
        vertex(q.b, 0.0),
        1e-9,
    );
    let points = match met {
        PlineSegIntr::OneIntersect { point } => vec![point],
        PlineSegIntr::TwoIntersects { point1, point2 } => vec![point1, point2],
        _ => Vec::new(),
    };
    points.into_iter().map(|v| Point::new(v.x, v.y)).collect()
}

fn points(p: &Segment, q: &Segment) -> Vec<Point> {
    meeting_points(p, q)
        .into_iter()
        .filter(|x| {
            [p.a, p.b, q.a, q.b]
                .iter()
                .all(|end| end.distance(*x) > AT_AN_END)
        })
        .collect()
}
