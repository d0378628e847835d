//! The line or circle that an edge lies on, and what two edges of one carrier have in common.

use crate::geometry::{Point, Segment};
use std::f64::consts::TAU;

/// Edges nearer than this lie on each other, mm: the distance to which drawn curves become arcs.
pub(crate) const SAME: f64 = 1e-4;
/// Shorter overlaps are neighbours that touch, mm.
pub(crate) const SHORTEST_OVERLAP: f64 = 1e-3;
/// Stretches that are kept before those that run into each other become one.
const MANY_COVERS: usize = 32;

/// A stretch of an edge under another one, as distances along it and their points.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Cover {
    pub from: f64,
    pub to: f64,
    pub at_from: Point,
    pub at_to: Point,
}

/// The line or circle an edge lies on.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Carrier {
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
    pub fn of(segments: &[Segment]) -> Self {
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

    /// Whether an edge of these lines and arcs could lie on another one, by what is known without any angle: a line on a
    /// line, an arc on one of its circle.
    pub fn could_be_one(segments: &[Segment], other: &Segment) -> bool {
        let Some(first) = segments.first() else {
            return false;
        };
        match (first.centre(), other.centre()) {
            (None, None) => true,
            (Some(c), Some(d)) => {
                c.distance(d) <= SAME && (first.radius() - other.radius()).abs() <= SAME
            }
            _ => false,
        }
    }

    /// Whether one could lie on the other, by the carriers alone: asked of every pair that is near.
    pub fn may_lie_on(&self, other: &Self) -> bool {
        match (self, other) {
            (&Self::Line { a, b }, &Self::Line { a: p, b: q }) => {
                let near = |p: Point, q: Point, r: Point| {
                    let (way, aside) = (q - p, (q - p).cross(r - p));
                    aside * aside <= 4.0 * SAME * SAME * way.dot(way)
                };
                near(p, q, a) && near(p, q, b) || near(a, b, p) && near(a, b, q)
            }
            (
                &Self::Arc { centre, radius, .. },
                &Self::Arc {
                    centre: c,
                    radius: r,
                    ..
                },
            ) => centre.distance(c) <= SAME && (radius - r).abs() <= SAME,
            _ => false,
        }
    }

    /// Stretches of this edge that lie on the other.
    pub fn covered_by(&self, other: &Self) -> Vec<Cover> {
        match (self, other) {
            (&Self::Line { a, b }, &Self::Line { a: p, b: q }) => {
                line_on_line(a, b, p, q).into_iter().collect()
            }
            (Self::Arc { .. }, Self::Arc { .. }) => arc_on_arc(self, other),
            _ => Vec::new(),
        }
    }

    /// What the covers leave of the edge.
    pub fn rest(&self, covers: &mut [Cover]) -> Vec<Vec<Segment>> {
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

/// Adds stretches; many that run into each other become one, so that a pile of curves needs no more
/// memory than a few.
pub(crate) fn add_covers(covers: &mut Vec<Cover>, more: Vec<Cover>) {
    covers.extend(more);
    if covers.len() < MANY_COVERS || !covers.len().is_power_of_two() {
        return;
    }
    covers.sort_by(|p, q| p.from.total_cmp(&q.from));
    covers.dedup_by(|next, kept| {
        let meets = next.from <= kept.to;
        if meets && next.to > kept.to {
            (kept.to, kept.at_to) = (next.to, next.at_to);
        }
        meets
    });
}
