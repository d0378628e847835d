//! Edges as a graph: which ends meet at which node.

use std::ops::Not;

/// One of the two ends of an edge, and with it the half-edge that sets out from there.
///
/// `!end` is the other end of the same edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct End(usize);

impl End {
    /// Where an edge begins; edges are known by their place in the list.
    pub fn first(edge: usize) -> Self {
        Self(2 * edge)
    }
    /// Where an edge ends.
    pub fn last(edge: usize) -> Self {
        Self(2 * edge + 1)
    }
    /// Both ends of an edge.
    pub fn of(edge: usize) -> [Self; 2] {
        [Self::first(edge), Self::last(edge)]
    }
    /// The edge that it belongs to.
    pub fn edge(self) -> usize {
        self.0 / 2
    }
    /// Whether its edge begins here.
    pub fn is_first(self) -> bool {
        self.0.is_multiple_of(2)
    }
}

impl Not for End {
    type Output = Self;
    fn not(self) -> Self {
        Self(self.0 ^ 1)
    }
}

/// A point where ends meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct Node(usize);

/// The graph: a node for each distinct end.
#[derive(Default)]
pub(crate) struct Graph {
    /// Nodes of the ends, first and last of each edge in turn.
    ends: Vec<Node>,
    /// Ends at each node.
    at: Vec<Vec<End>>,
}

impl Graph {
    /// For so many edges, whose ends are still to be added.
    pub fn for_edges(count: usize) -> Self {
        Self {
            ends: Vec::with_capacity(2 * count),
            at: Vec::new(),
        }
    }
    /// Adds the next end, first and last of each edge in turn, at a node or at one of its own.
    pub fn add(&mut self, node: Option<Node>) -> Node {
        let node = node.unwrap_or_else(|| {
            self.at.push(Vec::new());
            Node(self.at.len() - 1)
        });
        self.at[node.0].push(End(self.ends.len()));
        self.ends.push(node);
        node
    }
    /// Makes one node of two.
    pub fn unite(&mut self, from: Node, to: Node) {
        let moved = std::mem::take(&mut self.at[from.0]);
        for end in &moved {
            self.ends[end.0] = to;
        }
        self.at[to.0].extend(moved);
    }
    /// All ends, first and last of each edge in turn.
    pub fn ends(&self) -> impl Iterator<Item = End> + use<> {
        (0..self.ends.len()).map(End)
    }
    /// Where an end lies.
    pub fn node(&self, end: End) -> Node {
        self.ends[end.0]
    }
    /// The ends that meet at a node.
    pub fn at(&self, node: Node) -> &[End] {
        &self.at[node.0]
    }
    /// How many ends meet at a node.
    pub fn degree(&self, node: Node) -> usize {
        self.at[node.0].len()
    }
    /// Node at the other end of the edge of an end.
    pub fn across(&self, end: End) -> Node {
        self.node(!end)
    }
}
