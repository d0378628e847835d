//! Many lines on one line: which of them lie on others, in one go instead of pair by pair.
//!
//! A hatch drawn over itself, or a part drawn again and again, puts thousands of lines on one. Each would be
//! compared with each. Here they are taken from the longest to the shortest; what the longer ones cover is
//! kept as a few stretches, and the next one is compared with these alone.

use super::carriers::{Carrier, Cover, SAME, SHORTEST_OVERLAP, add_covers};
use super::edges::Edge;
use crate::drawing::format::{Cancelled, Progress};
use crate::geometry::{Bounds, Point};
use foldhash::{HashMap, HashMapExt};
use std::collections::BTreeMap;
use std::f64::consts::PI;

/// From so many lines on one line on; fewer are compared pair by pair as quickly.
const MANY: usize = 64;
/// Lines are taken for one where their ends lie this near to it, mm: a thousandth of [`SAME`], so that it
/// makes no difference to any pair, and well above the rounding of a coordinate.
const ON_ONE_LINE: f64 = 1e-3 * SAME;
/// Size of a cell of directions, radians, and of distances from the origin, mm: coarse enough that lines on one
/// line fall into neighbouring cells whatever their rounding, fine enough to keep others apart.
const CELLS: (f64, f64) = (1e-6, 1e-3);

/// Parts of half a turn in which lines are counted first: far wider than a cell, so that the lines of a row fall into
/// two neighbours at the most.
const DIRECTIONS: usize = 4096;

/// Lines on one line.
pub(crate) struct Row {
    /// Numbers of the edges, ascending.
    pub members: Vec<usize>,
    a: Point,
    along: Point,
}

impl Row {
    /// The row as a line from the first to the last place of its members.
    pub fn carrier(&self, edges: &[Edge]) -> (Carrier, Bounds) {
        let places = || {
            let members = self.members.iter();
            members.flat_map(|&k| [edges[k].a, edges[k].b])
        };
        let by_place = |p: &Point, q: &Point| self.place(*p).total_cmp(&self.place(*q));
        let a = places().min_by(by_place).unwrap_or(self.a);
        let b = places().max_by(by_place).unwrap_or(self.a);
        let mut bounds = Bounds::EMPTY;
        bounds.include(a);
        bounds.include(b);
        (Carrier::Line { a, b }, bounds)
    }
    fn place(&self, p: Point) -> f64 {
        (p - self.a).dot(self.along)
    }
    fn holds(&self, a: Point, b: Point) -> bool {
        let aside = |p: Point| self.along.cross(p - self.a).abs();
        aside(a) <= ON_ONE_LINE && aside(b) <= ON_ONE_LINE
    }
}

/// The rows among edges that have many members.
pub(crate) fn rows(
    edges: &[Edge],
    carriers: &[Carrier],
    progress: &Progress,
) -> Result<Vec<Row>, Cancelled> {
    if edges.len() < MANY {
        return Ok(Vec::new());
    }
    let mut lines: Vec<(usize, Point, f64)> = Vec::new();
    // Where few run in about one direction there is no row, and mostly nothing else needs to be known.
    let mut about = vec![0_usize; DIRECTIONS + 3];
    let place = |angle: f64| 1 + (angle / PI * DIRECTIONS as f64) as usize;
    for (k, carrier) in carriers.iter().enumerate() {
        progress.check()?;
        let &Carrier::Line { a, b } = carrier else {
            continue;
        };
        let mut along = (b - a).unit();
        // Both ways along are one line; just below half a turn is just above none.
        if along.y < 0.0 || along.y == 0.0 && along.x < 0.0 {
            along = -along;
        }
        let angle = along.angle();
        about[place(angle)] += 1;
        lines.push((k, along, angle));
    }
    lines.retain(|&(_, _, angle)| {
        let place = place(angle);
        about[place - 1..=place + 1].iter().sum::<usize>() >= MANY
    });
    let mut rows: Vec<Row> = Vec::new();
    let mut cells: HashMap<(i64, i64), Vec<usize>> = HashMap::new();
    for (k, along, angle) in lines {
        progress.check()?;
        let (a, b) = (edges[k].a, edges[k].b);
        let cell = (
            (angle / CELLS.0).round() as i64,
            (along.cross(a) / CELLS.1).round() as i64,
        );
        let around = (-1..=1).flat_map(|i| (-1..=1).map(move |j| (cell.0 + i, cell.1 + j)));
        let known = around
            .filter_map(|c| cells.get(&c))
            .flatten()
            .copied()
            .find(|&r| rows[r].holds(a, b));
        if let Some(r) = known {
            rows[r].members.push(k);
            continue;
        }
        cells.entry(cell).or_default().push(rows.len());
        rows.push(Row {
            members: vec![k],
            a,
            along,
        });
    }
    rows.retain(|r| r.members.len() >= MANY);
    Ok(rows)
}

/// A stretch that longer lines of a row cover.
#[derive(Clone, Copy)]
struct Stretch {
    to: f64,
    ends: (Point, Point),
}

/// A place along a row, by which stretches are sorted.
#[derive(Clone, Copy, PartialEq)]
struct Place(f64);
impl Eq for Place {}
impl PartialOrd for Place {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Place {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.0.total_cmp(&other.0)
    }
}

/// Where lines of a row begin and end.
#[derive(Default)]
struct Seen {
    /// The first line of a cell.
    cells: HashMap<(i64, i64), u32>,
    /// All of them, each with the next one of its cell.
    lines: Vec<(f64, f64, Option<u32>)>,
}

impl Seen {
    /// Size of a cell, mm: mostly a place and all that is the same lie in one.
    const CELL: f64 = 16.0 * SAME;

    /// Whether a line that begins and ends there, or as good as there, is known.
    fn holds(&self, from: f64, to: f64) -> bool {
        let cells = |place: f64| Self::cell(place - SAME)..=Self::cell(place + SAME);
        let mut around = cells(from).flat_map(|i| cells(to).map(move |j| (i, j)));
        around.any(|cell| {
            let first = self.cells.get(&cell).copied();
            let mut lines = std::iter::successors(first, |&k| self.lines[k as usize].2);
            lines.any(|k| {
                let (f, t, _) = self.lines[k as usize];
                (f - from).abs() <= SAME && (t - to).abs() <= SAME
            })
        })
    }
    fn insert(&mut self, from: f64, to: f64) {
        let number = self.lines.len() as u32;
        let cell = (Self::cell(from), Self::cell(to));
        let next = self.cells.insert(cell, number);
        self.lines.push((from, to, next));
    }
    fn cell(place: f64) -> i64 {
        (place / Self::CELL).floor() as i64
    }
}

/// Settles what the members of a row do to each other: which repeat another one, and what longer ones cover of
/// each. Of equals the first in the drawing stays.
pub(crate) fn settle(
    row: &Row,
    edges: &[Edge],
    carriers: &[Carrier],
    covers: &mut [Vec<Cover>],
    same: &mut [bool],
    progress: &Progress,
) -> Result<(), Cancelled> {
    let mut order = row.members.clone();
    order.sort_by(|&i, &j| {
        let (p, q) = (edges[i].measure.length, edges[j].measure.length);
        q.total_cmp(&p).then(i.cmp(&j))
    });
    let mut seen = Seen::default();
    let mut met: Vec<(Place, Stretch)> = Vec::new();
    let mut covered: BTreeMap<Place, Stretch> = BTreeMap::new();
    for k in order {
        progress.check()?;
        let edge = &edges[k];
        let (mut from, mut to) = (row.place(edge.a), row.place(edge.b));
        let mut ends = (edge.a, edge.b);
        if from > to {
            (from, to) = (to, from);
            ends = (ends.1, ends.0);
        }
        // Very short ones would be the same as all their neighbours.
        if edge.measure.length >= 4.0 * SAME && seen.holds(from, to) {
            same[k] = true;
            continue;
        }
        seen.insert(from, to);
        // Stretches follow each other and overlap by less than the shortest overlap, so their ends ascend too.
        met.clear();
        let near = covered.range(..Place(to)).rev();
        let near = near.take_while(|(_, s)| s.to > from - 2.0 * SHORTEST_OVERLAP);
        let near = near.filter(|(f, s)| s.to.min(to) - f.0.max(from) > SHORTEST_OVERLAP);
        met.extend(near.map(|(f, s)| (*f, *s)));
        let mut whole = Stretch { to, ends };
        for (f, stretch) in met.drain(..) {
            let other = Carrier::Line {
                a: stretch.ends.0,
                b: stretch.ends.1,
            };
            add_covers(&mut covers[k], carriers[k].covered_by(&other));
            covered.remove(&f);
            if f.0 < from {
                from = f.0;
                whole.ends.0 = stretch.ends.0;
            }
            if stretch.to > whole.to {
                whole.to = stretch.to;
                whole.ends.1 = stretch.ends.1;
            }
        }
        covered.insert(Place(from), whole);
    }
    Ok(())
}
