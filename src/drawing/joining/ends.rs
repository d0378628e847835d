//! Edges → closed and open runs.
//!
//! Equal ends merge; then only loose ends are bridged, one to one, nearest first, up to the join gap:
//! plain clustering would swallow curves made of segments shorter than the gap. Where all nodes of a
//! component have two edges it is a loop; where more meet, [`super::faces`] finds the outer boundary.

use super::edges::{Edge, Run};
use super::faces;
use super::graph::{End, Graph, Node};
use super::neighbours;
use crate::drawing::curves::Curve;
use crate::drawing::format::{Cancelled, Progress};
use crate::geometry::Point;
use foldhash::{HashMap, HashMapExt};
use std::collections::hash_map::Entry;

/// Ends nearer than this share of the drawing's diagonal are the same point.
pub(crate) const EXACT: f64 = 1e-9;
/// Candidates for a bridge that are looked at from one loose end.
const BRIDGE_CANDIDATES: usize = 8;
/// An edge that hangs together with nothing looked at yet.
const NONE: u32 = u32::MAX;
/// An edge closes on itself over a gap only when it is this many times as long.
const SELF_BRIDGE: f64 = 4.0;

/// A gap that was closed.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Bridge {
    pub from: Point,
    pub to: Point,
}

/// What came of the joining.
#[derive(Debug, Default)]
pub(crate) struct Joined {
    pub loops: Vec<Run>,
    pub open: Vec<Run>,
    /// Edges inside an outer boundary, which are not counted.
    pub inner: Vec<usize>,
    pub bridges: Vec<Bridge>,
    /// Points where more than two edges meet.
    pub branches: Vec<Point>,
    /// Ends that nothing joins.
    pub loose: Vec<End>,
    /// Of each edge the first of all that hang together with it.
    pub whole: Vec<u32>,
}

/// Joins edges; the tolerances are how near two ends are the same, and the join gap, mm.
pub(crate) fn join(
    edges: &[Edge],
    curves: &[Curve],
    tolerances: (f64, f64),
    progress: &Progress,
) -> Result<Joined, Cancelled> {
    join_linked(edges, curves, tolerances, &Links::default(), progress)
}

/// The place of an end.
pub(crate) fn end_point(edges: &[Edge], end: End) -> Point {
    let edge = &edges[end.edge()];
    if end.is_first() { edge.a } else { edge.b }
}

/// What is known of ends beforehand.
#[derive(Default)]
pub(crate) struct Links {
    /// Pairs that meet whatever lies between them.
    pub pairs: Vec<(End, End)>,
    /// Of the last piece of an edge that was cut, the edge: its end ranks as it did before.
    pub last_of: HashMap<usize, usize>,
}

impl Links {
    /// The end by which one of equally near ones is chosen: the first in the drawing, also where edges were cut.
    fn rank(&self, end: End) -> End {
        let edge = self.last_of.get(&end.edge()).filter(|_| !end.is_first());
        edge.map_or(end, |&edge| End::last(edge))
    }
}

/// As [`join`], with what is known of ends beforehand.
pub(crate) fn join_linked(
    edges: &[Edge],
    curves: &[Curve],
    (exact, gap): (f64, f64),
    links: &Links,
    progress: &Progress,
) -> Result<Joined, Cancelled> {
    let mut graph = merge_equal(edges, exact, progress)?;
    let mut bridges = link(&mut graph, edges, exact, &links.pairs);
    bridges.extend(bridge(&mut graph, edges, (exact, gap), links, progress)?);
    let mut out = Joined {
        bridges,
        ..Joined::default()
    };
    let mut whole = vec![NONE; edges.len()];
    for first in 0..edges.len() {
        if whole[first] != NONE {
            continue;
        }
        let component = component(&graph, first, &mut whole, progress)?;
        let nodes = || {
            component
                .iter()
                .flat_map(|&e| End::of(e).map(|end| graph.node(end)))
        };
        if nodes().any(|n| graph.degree(n) > 2) {
            branched(&graph, (edges, curves), &component, &mut out, progress)?;
        } else if nodes().all(|n| graph.degree(n) == 2) {
            let start = component.iter().copied().min().unwrap_or(first);
            out.loops.push(walk(&graph, End::first(start), progress)?);
        } else {
            let loose = component
                .iter()
                .flat_map(|&e| End::of(e))
                .find(|&k| graph.degree(graph.node(k)) == 1);
            out.open
                .push(walk(&graph, loose.unwrap_or(End::first(first)), progress)?);
        }
    }
    out.loose = loose_ends(&graph).collect();
    out.whole = whole;
    Ok(out)
}

/// A component with nodes of three edges or more.
fn branched(
    graph: &Graph,
    (edges, curves): (&[Edge], &[Curve]),
    component: &[usize],
    out: &mut Joined,
    progress: &Progress,
) -> Result<(), Cancelled> {
    let mut nodes: Vec<Node> = component
        .iter()
        .flat_map(|&e| End::of(e).map(|end| graph.node(end)))
        .collect();
    nodes.sort_unstable();
    nodes.dedup();
    for node in nodes {
        if graph.degree(node) > 2 {
            let first = graph.at(node).next();
            out.branches.extend(first.map(|end| end_point(edges, end)));
        }
    }
    let split = faces::outer_boundary(graph, (edges, curves), component, progress)?;
    out.loops.extend(split.loops);
    out.inner.extend(split.inner);
    // Dangling edges become runs as long as exactly two of them meet.
    let mut left: Vec<usize> = split.dangling;
    left.sort_unstable();
    let dangling: std::collections::HashSet<usize> = left.iter().copied().collect();
    let mut used = std::collections::HashSet::new();
    let passes = |node: Node| {
        graph.degree(node) == 2 && graph.at(node).all(|k| dangling.contains(&k.edge()))
    };
    for &edge in &left {
        if used.contains(&edge) {
            continue;
        }
        progress.check()?;
        // Back to where the run begins, then forward.
        let mut end = End::first(edge);
        while passes(graph.node(end))
            && let Some(other) = graph.at(graph.node(end)).find(|&k| k != end)
            && other.edge() != edge
        {
            end = !other;
        }
        let mut run = Run::default();
        loop {
            used.insert(end.edge());
            run.steps.push((end.edge(), end.is_first()));
            let node = graph.across(end);
            match graph.at(node).find(|&k| k != !end) {
                Some(next) if passes(node) && !used.contains(&next.edge()) => end = next,
                _ => break,
            }
        }
        out.open.push(run);
    }
    Ok(())
}

/// Ends that meet no other.
fn loose_ends(graph: &Graph) -> impl Iterator<Item = End> {
    let alone = |k: &End| graph.degree(graph.node(*k)) == 1;
    graph.ends().filter(alone)
}

/// Merges ends within a distance, by a grid of cells of that size.
fn merge_equal(edges: &[Edge], exact: f64, progress: &Progress) -> Result<Graph, Cancelled> {
    let cell = 2.0 * exact;
    // The first node of each cell; of each node its place and the next one of its cell.
    let mut grid: HashMap<(i64, i64), usize> = HashMap::with_capacity(2 * edges.len());
    let mut seen: Vec<(Point, Node, Option<usize>)> = Vec::with_capacity(2 * edges.len());
    let mut graph = Graph::for_edges(edges.len());
    for p in edges.iter().flat_map(|e| [e.a, e.b]) {
        progress.check()?;
        let (x, y) = ((p.x / cell).floor() as i64, (p.y / cell).floor() as i64);
        // Only cells that the distance reaches: mostly the point's own.
        let reach = |v: f64| {
            (
                ((v - exact) / cell).floor() as i64,
                ((v + exact) / cell).floor() as i64,
            )
        };
        let ((x0, x1), (y0, y1)) = (reach(p.x), reach(p.y));
        let chain = |first: Option<usize>, seen: &[(Point, Node, Option<usize>)]| {
            std::iter::successors(first, |&k| seen[k].2)
                .find(|&k| seen[k].0.distance(p) <= exact)
                .map(|k| seen[k].1)
        };
        let own_only = (x0, y0) == (x1, y1);
        let mut known = None;
        if !own_only {
            let mut cells = (x0..=x1).flat_map(|i| (y0..=y1).map(move |j| (i, j)));
            known = cells.find_map(|key| chain(grid.get(&key).copied(), &seen));
        }
        if known.is_none() {
            let own = seen.len();
            match grid.entry((x, y)) {
                Entry::Vacant(cell) => {
                    cell.insert(own);
                }
                Entry::Occupied(cell) => {
                    let first = *cell.get();
                    known = chain(Some(first).filter(|_| own_only), &seen);
                    if known.is_none() {
                        // Few have room in a cell: they are further apart than half of it.
                        let last = std::iter::successors(Some(first), |&k| seen[k].2).last();
                        seen[last.unwrap_or(first)].2 = Some(own);
                    }
                }
            }
        }
        let node = graph.add(known);
        if known.is_none() {
            seen.push((p, node, None));
        }
    }
    Ok(graph)
}

/// Makes one node of the nodes of two ends each.
fn link(graph: &mut Graph, edges: &[Edge], exact: f64, links: &[(End, End)]) -> Vec<Bridge> {
    let mut bridges = Vec::new();
    for &(k, j) in links {
        let (from, to) = (graph.node(k), graph.node(j));
        if from == to {
            continue;
        }
        graph.unite(from, to);
        let (from, to) = (end_point(edges, k), end_point(edges, j));
        if from.distance(to) > exact {
            bridges.push(Bridge { from, to });
        }
    }
    bridges
}

/// Joins loose ends one to one, nearest first.
fn bridge(
    graph: &mut Graph,
    edges: &[Edge],
    (exact, gap): (f64, f64),
    links: &Links,
    progress: &Progress,
) -> Result<Vec<Bridge>, Cancelled> {
    let end_point = |k: End| end_point(edges, k);
    let loose: Vec<End> = loose_ends(graph).collect();
    // A gap of exactly the join gap counts as within it, rounding of coordinates aside.
    let reach = gap * (1.0 + 1e-9) + exact;
    let places: Vec<Point> = loose.iter().map(|&k| end_point(k)).collect();
    let mut pairs: Vec<(f64, End, End)> = Vec::new();
    neighbours::within(&places, reach, progress, |place, near| {
        let k = loose[place];
        near.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        for &(distance, other) in near.iter().take(BRIDGE_CANDIDATES) {
            let j = loose[other];
            let itself =
                j.edge() == k.edge() && edges[k.edge()].measure.length <= SELF_BRIDGE * gap;
            if !itself {
                pairs.push((distance, k.min(j), k.max(j)));
            }
        }
    })?;
    let ranks = |&(_, k, j): &(f64, End, End)| {
        let (k, j) = (links.rank(k), links.rank(j));
        (k.min(j), k.max(j))
    };
    pairs.sort_by(|p, q| p.0.total_cmp(&q.0).then_with(|| ranks(p).cmp(&ranks(q))));
    let mut bridges = Vec::new();
    pairs.dedup();
    for (_, k, j) in pairs {
        progress.check()?;
        let (to, from) = (graph.node(k), graph.node(j));
        if graph.degree(to) != 1 || graph.degree(from) != 1 {
            continue;
        }
        graph.unite(from, to);
        bridges.push(Bridge {
            from: end_point(k),
            to: end_point(j),
        });
    }
    Ok(bridges)
}

/// All edges that hang together with one, whose number becomes that of each.
fn component(
    graph: &Graph,
    first: usize,
    whole: &mut [u32],
    progress: &Progress,
) -> Result<Vec<usize>, Cancelled> {
    let mut list = vec![first];
    whole[first] = first as u32;
    let mut next = 0;
    while let Some(&edge) = list.get(next) {
        next += 1;
        progress.check()?;
        for end in End::of(edge) {
            for other in graph.at(graph.node(end)).map(End::edge) {
                if whole[other] == NONE {
                    whole[other] = first as u32;
                    list.push(other);
                }
            }
        }
    }
    Ok(list)
}

/// From an end along its edge and on, through nodes of two edges, until an end or the start.
fn walk(graph: &Graph, start: End, progress: &Progress) -> Result<Run, Cancelled> {
    let mut run = Run::default();
    let mut end = start;
    loop {
        progress.check()?;
        run.steps.push((end.edge(), end.is_first()));
        let node = graph.across(end);
        match graph.at(node).find(|&k| k != !end) {
            Some(next) if next != start => end = next,
            _ => return Ok(run),
        }
    }
}
