//! Where more than two curves meet: the outer boundary of what they enclose.
//!
//! Planar faces by half-edges: from each half-edge on to the next one clockwise at its end, so that
//! the face lies to the left. The walk of negative area is the outer side (M. de Berg and others,
//! Computational Geometry, chapter 2). Cycles are never enumerated.

use super::edges::{Edge, Run};
use super::graph::{End, Graph, Node};
use crate::drawing::curves::Curve;
use crate::drawing::format::{Cancelled, Progress};
use crate::geometry::Point;
use std::collections::{HashMap, HashSet};

/// A component taken apart.
#[derive(Debug, Default)]
pub(crate) struct Split {
    /// Boundaries, each node once.
    pub loops: Vec<Run>,
    /// Edges within a boundary.
    pub inner: Vec<usize>,
    /// Edges that bound nothing.
    pub dangling: Vec<usize>,
}

/// Outer boundary of a component of the graph. An end stands for the half-edge that sets out from it.
pub(crate) fn outer_boundary(
    graph: &Graph,
    (edges, curves): (&[Edge], &[Curve]),
    component: &[usize],
    progress: &Progress,
) -> Result<Split, Cancelled> {
    let mut split = Split::default();
    let mut core: HashSet<usize> = component.iter().copied().collect();
    prune(graph, component, &mut core, &mut split.dangling, progress)?;
    // Removing a bridge between two rings leaves components of their own.
    let mut done: HashSet<usize> = HashSet::new();
    for &first in component {
        if core.contains(&first) && !done.contains(&first) {
            let part = connected(graph, &core, first, progress)?;
            done.extend(part.iter().copied());
            outer_of_part(graph, (edges, curves), &part, &mut split, progress)?;
        }
    }
    Ok(split)
}

/// Takes away edges with a free end until none is left.
fn prune(
    graph: &Graph,
    component: &[usize],
    core: &mut HashSet<usize>,
    dangling: &mut Vec<usize>,
    progress: &Progress,
) -> Result<(), Cancelled> {
    let mut degree: HashMap<Node, usize> = HashMap::new();
    for &e in component {
        for end in End::of(e) {
            *degree.entry(graph.node(end)).or_default() += 1;
        }
    }
    let mut free: Vec<Node> = degree
        .iter()
        .filter(|&(_, &d)| d == 1)
        .map(|(&n, _)| n)
        .collect();
    free.sort_unstable();
    while let Some(node) = free.pop() {
        progress.check()?;
        let Some(end) = graph.at(node).find(|k| core.contains(&k.edge())) else {
            continue;
        };
        core.remove(&end.edge());
        dangling.push(end.edge());
        let other = graph.across(end);
        if let Some(d) = degree.get_mut(&other) {
            *d -= 1;
            if *d == 1 {
                free.push(other);
            }
        }
    }
    Ok(())
}

fn connected(
    graph: &Graph,
    core: &HashSet<usize>,
    first: usize,
    progress: &Progress,
) -> Result<HashSet<usize>, Cancelled> {
    let mut part = HashSet::from([first]);
    let mut open = vec![first];
    while let Some(e) = open.pop() {
        progress.check()?;
        for end in End::of(e) {
            for k in graph.at(graph.node(end)).map(End::edge) {
                if core.contains(&k) && part.insert(k) {
                    open.push(k);
                }
            }
        }
    }
    Ok(part)
}

fn outer_of_part(
    graph: &Graph,
    (edges, curves): (&[Edge], &[Curve]),
    part: &HashSet<usize>,
    split: &mut Split,
    progress: &Progress,
) -> Result<(), Cancelled> {
    let mut sorted: Vec<usize> = part.iter().copied().collect();
    sorted.sort_unstable();
    let next = next_half_edges(graph, (edges, curves), &sorted, progress)?;
    let mut seen = HashSet::new();
    let mut outer: Option<(f64, Vec<End>)> = None;
    for half in sorted.iter().flat_map(|&e| End::of(e)) {
        if seen.contains(&half) {
            continue;
        }
        let mut walk = Vec::new();
        let mut at = half;
        while seen.insert(at) {
            progress.check()?;
            walk.push(at);
            at = next[&at];
        }
        let area = run(&walk).area(edges);
        if outer.as_ref().is_none_or(|(least, _)| area < *least) {
            outer = Some((area, walk));
        }
    }
    let Some((_, outer)) = outer else {
        return Ok(());
    };
    let on_outer: HashSet<End> = outer.iter().copied().collect();
    for &e in &sorted {
        match End::of(e).map(|end| on_outer.contains(&end)) {
            [false, false] => split.inner.push(e),
            // Both of its sides are outside: it links two rings and bounds nothing.
            [true, true] => split.dangling.push(e),
            _ => {}
        }
    }
    let boundary = outer.into_iter().filter(|h| !on_outer.contains(&!*h));
    split.loops.extend(simple_cycles(graph, boundary));
    Ok(())
}

fn run(halves: &[End]) -> Run {
    Run {
        steps: halves.iter().map(|h| (h.edge(), h.is_first())).collect(),
    }
}

/// For each half-edge the one that follows on the same face.
fn next_half_edges(
    graph: &Graph,
    (edges, curves): (&[Edge], &[Curve]),
    part: &[usize],
    progress: &Progress,
) -> Result<HashMap<End, End>, Cancelled> {
    let mut leaving: HashMap<Node, Vec<End>> = HashMap::new();
    for half in part.iter().flat_map(|&e| End::of(e)) {
        leaving.entry(graph.node(half)).or_default().push(half);
    }
    let mut next = HashMap::new();
    for halves in leaving.values() {
        progress.check()?;
        // Directions are taken a little way along the edges, where arcs of equal tangent have parted.
        let shortest = halves
            .iter()
            .map(|h| edges[h.edge()].measure.length)
            .fold(f64::INFINITY, f64::min);
        let direction = |half: End| -> Point {
            let edge = &edges[half.edge()];
            let way = 0.25 * shortest;
            if half.is_first() {
                edge.point_at(curves, way) - edge.a
            } else {
                edge.point_at(curves, edge.measure.length - way) - edge.b
            }
        };
        let mut angles: Vec<(f64, End)> =
            halves.iter().map(|&h| (direction(h).angle(), h)).collect();
        angles.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let n = angles.len();
        for i in 0..n {
            // Arriving by the twin of half-edge i, the next one clockwise goes on.
            next.insert(!angles[i].1, angles[(i + n - 1) % n].1);
        }
    }
    Ok(next)
}

/// Cuts a closed walk wherever it comes to a node again.
fn simple_cycles(graph: &Graph, walk: impl Iterator<Item = End>) -> Vec<Run> {
    let mut cycles = Vec::new();
    let mut path: Vec<End> = Vec::new();
    let mut place: HashMap<Node, usize> = HashMap::new();
    for half in walk {
        place.insert(graph.node(half), path.len());
        path.push(half);
        if let Some(&start) = place.get(&graph.across(half)) {
            let cycle = path.split_off(start);
            for h in &cycle {
                place.remove(&graph.node(*h));
            }
            cycles.push(run(&cycle));
        }
    }
    cycles
}
