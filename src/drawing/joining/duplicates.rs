//! Curves that lie on each other are counted once.
//!
//! Judged on the carrier line or circle itself, never on flattened points: what one edge covers of
//! another is an interval on it. The longer edge stays whole, the other keeps what is left.

use super::box_index::{BoxIndex, order_of_place};
use super::carriers::{Carrier, Cover, SAME, SHORTEST_OVERLAP, add_covers};
use super::edges::{Edge, roomy_box};
use super::rows::{self, Row};
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
    let mut pairs = Pairs {
        edges,
        curves,
        boxes: edges
            .iter()
            .map(|e| progress.check().map(|()| e.roomy_box(curves).grown(SAME)))
            .collect::<Result<_, _>>()?,
        carriers: edges
            .iter()
            .map(|e| progress.check().map(|()| Carrier::of(e.segments(curves))))
            .collect::<Result<_, _>>()?,
        covers: vec![Vec::new(); edges.len()],
        same: vec![false; edges.len()],
        progress,
    };
    let rows = rows::rows(edges, &pairs.carriers, progress)?;
    pairs.compare_with_rows(&rows)?;
    let mut in_row = vec![false; edges.len()];
    for row in &rows {
        row.members.iter().for_each(|&k| in_row[k] = true);
        let (covers, same) = (&mut pairs.covers, &mut pairs.same);
        rows::settle(row, edges, &pairs.carriers, covers, same, progress)?;
    }
    let others: Vec<usize> = (0..edges.len()).filter(|&k| !in_row[k]).collect();
    pairs.compare_all(&others)?;
    Ok(pairs.into_fates())
}

/// Edges that are compared pair by pair, and what came of it.
struct Pairs<'a> {
    edges: &'a [Edge],
    curves: &'a [Curve],
    boxes: Vec<Bounds>,
    carriers: Vec<Carrier>,
    /// What longer edges cover of each.
    covers: Vec<Vec<Cover>>,
    /// Which repeat another one.
    same: Vec<bool>,
    progress: &'a Progress,
}

impl Pairs<'_> {
    /// Compares all of a list, whose numbers ascend, with each other.
    fn compare_all(&mut self, list: &[usize]) -> Result<(), Cancelled> {
        let index = BoxIndex::of(list.iter().map(|&k| self.boxes[k]), self.progress)?;
        let (mut near, mut stack) = (Vec::new(), Vec::new());
        for &i in list {
            self.progress.check()?;
            // Of a pile of equal edges only the first is compared with all.
            if self.same[i] {
                continue;
            }
            near.clear();
            // Touching corners make most of the pairs: a common box without length is no overlap.
            let shortest = SHORTEST_OVERLAP.min(self.edges[i].measure.length);
            index.visit(&self.boxes[i], &mut stack, |place| {
                let j = list[place];
                let overlap = j > i && common_size(&self.boxes[i], &self.boxes[j]) > shortest;
                if overlap && self.could_be_one(i, j) {
                    near.push(j);
                }
            });
            near.sort_unstable();
            for &j in &near {
                if !self.same[j] {
                    self.compare(i, j)?;
                }
            }
        }
        Ok(())
    }

    /// Compares the members of rows with whatever else lies on their line: hardly ever anything does.
    fn compare_with_rows(&mut self, rows: &[Row]) -> Result<(), Cancelled> {
        if rows.is_empty() {
            return Ok(());
        }
        let lines: Vec<(Carrier, Bounds)> = rows.iter().map(|r| r.carrier(self.edges)).collect();
        let mut row_of = vec![None; self.edges.len()];
        for (r, row) in rows.iter().enumerate() {
            row.members.iter().for_each(|&k| row_of[k] = Some(r));
        }
        let index = BoxIndex::of(lines.iter().map(|l| l.1.grown(SAME)), self.progress)?;
        let mut stack = Vec::new();
        for (i, own_row) in row_of.iter().enumerate() {
            self.progress.check()?;
            let mut on_line = Vec::new();
            index.visit(&self.boxes[i], &mut stack, |r| {
                // Two rows meet where the first of them is looked at.
                let new = own_row.is_none_or(|own| own < r);
                if new && self.lies_on(i, &lines[r].0) {
                    on_line.push(r);
                }
            });
            for &k in on_line.iter().flat_map(|&r| &rows[r].members) {
                let shortest = SHORTEST_OVERLAP.min(self.edges[i.min(k)].measure.length);
                if !self.same[i]
                    && !self.same[k]
                    && common_size(&self.boxes[i], &self.boxes[k]) > shortest
                    && self.could_be_one(i.min(k), i.max(k))
                {
                    self.compare(i.min(k), i.max(k))?;
                }
            }
        }
        Ok(())
    }

    /// Whether an edge could lie on a line, or be one that lies on it.
    fn lies_on(&self, i: usize, line: &Carrier) -> bool {
        let edge = &self.edges[i];
        let chord = Carrier::Line {
            a: edge.a,
            b: edge.b,
        };
        chord.may_lie_on(line)
    }

    fn could_be_one(&self, i: usize, j: usize) -> bool {
        have_same_ends(&self.edges[i], &self.edges[j])
            || self.carriers[i].may_lie_on(&self.carriers[j])
    }

    /// Compares two edges, the first in the drawing first.
    fn compare(&mut self, i: usize, j: usize) -> Result<(), Cancelled> {
        self.progress.check()?;
        // `long` stays, the other gives way; of equals the first in the drawing stays.
        let order = self.edges[i].measure.length - self.edges[j].measure.length;
        let (long, short) = if order >= -SAME { (i, j) } else { (j, i) };
        if are_same(&self.edges[long], &self.edges[short], self.curves) {
            self.same[short] = true;
        } else {
            let more = self.carriers[short].covered_by(&self.carriers[long]);
            add_covers(&mut self.covers[short], more);
        }
        Ok(())
    }

    fn into_fates(mut self) -> Vec<Fate> {
        let edges = self.edges.iter().zip(&self.carriers);
        edges
            .zip(self.covers.iter_mut().zip(self.same))
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
            .collect()
    }
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
    let boxes: Vec<Bounds> = edges
        .iter()
        .map(|e| e.roomy_box(curves).grown(SAME))
        .collect();
    let middles: Vec<Point> = boxes.iter().map(Bounds::centre).collect();
    let mut lies = vec![false; edges.len()];
    let (mut near, mut stack) = (Vec::new(), Vec::new());
    for k in order_of_place(&middles) {
        progress.check()?;
        let segments = edges[k].segments(curves);
        near.clear();
        index.visit(&boxes[k], &mut stack, |c| {
            if Carrier::could_be_one(segments, contours[c]) {
                near.push(c);
            }
        });
        if near.is_empty() {
            continue;
        }
        let carrier = Carrier::of(segments);
        let mut covers = Vec::new();
        for &c in &near {
            let other = Carrier::of(std::slice::from_ref(contours[c]));
            add_covers(&mut covers, carrier.covered_by(&other));
        }
        lies[k] = !covers.is_empty() && carrier.rest(&mut covers).is_empty();
    }
    Ok(lies)
}
