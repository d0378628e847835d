//! Where more than two curves meet: the outer boundary of what they enclose.
//!
//! Planar faces by half-edges: from each half-edge on to the next one clockwise at its end, so that
//! the face lies to the left. The walk of negative area is the outer side (M. de Berg and others,
//! Computational Geometry, chapter 2). Cycles are never enumerated.

use super::edges::{Edge, Run};
use super::graph::Graph;
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

/// Outer boundary of a component of the graph. An end `2e` stands for the half-edge from a to b of
/// edge e, `2e + 1` for the other way.
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
    let mut degree: HashMap<usize, usize> = HashMap::new();
    for &e in component {
        *degree.entry(graph.ends[2 * e]).or_default() += 1;
        *degree.entry(graph.ends[2 * e + 1]).or_default() += 1;
    }
    let mut free: Vec<usize> = degree
        .iter()
        .filter(|&(_, &d)| d == 1)
        .map(|(&n, _)| n)
        .collect();
    free.sort_unstable();
    while let Some(node) = free.pop() {
        progress.check()?;
        let Some(&end) = graph.at[node].iter().find(|&&k| core.contains(&(k / 2))) else {
            continue;
        };
        core.remove(&(end / 2));
        dangling.push(end / 2);
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
        for end in [2 * e, 2 * e + 1] {
            for &k in &graph.at[graph.ends[end]] {
                if core.contains(&(k / 2)) && part.insert(k / 2) {
                    open.push(k / 2);
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
    let mut outer: Option<(f64, Vec<usize>)> = None;
    for half in sorted.iter().flat_map(|&e| [2 * e, 2 * e + 1]) {
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
    let on_outer: HashSet<usize> = outer.iter().copied().collect();
    for &e in &sorted {
        match (on_outer.contains(&(2 * e)), on_outer.contains(&(2 * e + 1))) {
            (false, false) => split.inner.push(e),
            // Both of its sides are outside: it links two rings and bounds nothing.
            (true, true) => split.dangling.push(e),
            _ => {}
        }
    }
    let boundary = outer.into_iter().filter(|h| !on_outer.contains(&(h ^ 1)));
    split.loops.extend(simple_cycles(graph, boundary));
    Ok(())
}

fn run(halves: &[usize]) -> Run {
    Run {
        steps: halves
            .iter()
            .map(|&h| (h / 2, h.is_multiple_of(2)))
            .collect(),
    }
}

/// For each half-edge the one that follows on the same face.
fn next_half_edges(
    graph: &Graph,
    (edges, curves): (&[Edge], &[Curve]),
    part: &[usize],
    progress: &Progress,
) -> Result<HashMap<usize, usize>, Cancelled> {
    let mut leaving: HashMap<usize, Vec<usize>> = HashMap::new();
    for half in part.iter().flat_map(|&e| [2 * e, 2 * e + 1]) {
        leaving.entry(graph.ends[half]).or_default().push(half);
    }
    let mut next = HashMap::new();
    for halves in leaving.values() {
        progress.check()?;
        // Directions are taken a little way along the edges, where arcs of equal tangent have parted.
        let shortest = halves
            .iter()
            .map(|h| edges[h / 2].measure.length)
            .fold(f64::INFINITY, f64::min);
        let direction = |half: usize| -> Point {
            let edge = &edges[half / 2];
            let way = 0.25 * shortest;
            if half.is_multiple_of(2) {
                edge.point_at(curves, way) - edge.a
            } else {
                edge.point_at(curves, edge.measure.length - way) - edge.b
            }
        };
        let mut angles: Vec<(f64, usize)> =
            halves.iter().map(|&h| (direction(h).angle(), h)).collect();
        angles.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let n = angles.len();
        for i in 0..n {
            // Arriving by the twin of half-edge i, the next one clockwise goes on.
            next.insert(angles[i].1 ^ 1, angles[(i + n - 1) % n].1);
        }
    }
    Ok(next)
}

/// Cuts a closed walk wherever it comes to a node again.
fn simple_cycles(graph: &Graph, walk: impl Iterator<Item = usize>) -> Vec<Run> {
    let mut cycles = Vec::new();
    let mut path: Vec<usize> = Vec::new();
    let mut place: HashMap<usize, usize> = HashMap::new();
    for half in walk {
        place.insert(graph.ends[half], path.len());
        path.push(half);
        if let Some(&start) = place.get(&graph.across(half)) {
            let cycle = path.split_off(start);
            for h in &cycle {
                place.remove(&graph.ends[*h]);
            }
            cycles.push(run(&cycle));
        }
    }
    cycles
}
