//! Edges as a graph: which ends meet at which node.

use std::ops::Not;

/// One of the two ends of an edge, and with it the half-edge that sets out from there.
///
/// `!end` is the other end of the same edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct End(u32);

impl End {
    /// Where an edge begins; edges are known by their place in the list.
    pub fn first(edge: usize) -> Self {
        Self(2 * edge as u32)
    }
    /// Where an edge ends.
    pub fn last(edge: usize) -> Self {
        Self(2 * edge as u32 + 1)
    }
    /// Both ends of an edge.
    pub fn of(edge: usize) -> [Self; 2] {
        [Self::first(edge), Self::last(edge)]
    }
    /// The edge that it belongs to.
    pub fn edge(self) -> usize {
        (self.0 / 2) as usize
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
pub(crate) struct Node(u32);

/// The graph: a node for each distinct end.
///
/// The ends at a node are a chain through one list for all, because a node of its own list for each of a hundred
/// thousand would cost more than all that is asked of it.
#[derive(Default)]
pub(crate) struct Graph {
    /// Nodes of the ends, first and last of each edge in turn.
    ends: Vec<Node>,
    /// The end that follows each at its node.
    next: Vec<Option<End>>,
    nodes: Vec<Chain>,
}

/// The ends at one node, in the order in which they came there.
struct Chain {
    first: Option<End>,
    last: Option<End>,
    length: u32,
}

impl Graph {
    /// For so many edges, whose ends are still to be added.
    pub fn for_edges(count: usize) -> Self {
        Self {
            ends: Vec::with_capacity(2 * count),
            next: Vec::with_capacity(2 * count),
            nodes: Vec::new(),
        }
    }
    /// Adds the next end, first and last of each edge in turn, at a node or at one of its own.
    pub fn add(&mut self, node: Option<Node>) -> Node {
        let node = node.unwrap_or_else(|| {
            self.nodes.push(Chain {
                first: None,
                last: None,
                length: 0,
            });
            Node(self.nodes.len() as u32 - 1)
        });
        let end = End(self.ends.len() as u32);
        self.ends.push(node);
        self.next.push(None);
        self.append(node, end, end, 1);
        node
    }
    /// Makes one node of two.
    pub fn unite(&mut self, from: Node, to: Node) {
        let moved = std::mem::replace(
            &mut self.nodes[from.0 as usize],
            Chain {
                first: None,
                last: None,
                length: 0,
            },
        );
        let (Some(first), Some(last)) = (moved.first, moved.last) else {
            return;
        };
        let mut at = Some(first);
        while let Some(end) = at {
            self.ends[end.0 as usize] = to;
            at = self.next[end.0 as usize];
        }
        self.append(to, first, last, moved.length);
    }
    fn append(&mut self, node: Node, first: End, last: End, length: u32) {
        let chain = &mut self.nodes[node.0 as usize];
        match chain.last {
            None => chain.first = Some(first),
            Some(before) => self.next[before.0 as usize] = Some(first),
        }
        chain.last = Some(last);
        chain.length += length;
    }
    /// All ends, first and last of each edge in turn.
    pub fn ends(&self) -> impl Iterator<Item = End> + use<> {
        (0..self.ends.len() as u32).map(End)
    }
    /// Where an end lies.
    pub fn node(&self, end: End) -> Node {
        self.ends[end.0 as usize]
    }
    /// The ends that meet at a node.
    pub fn at(&self, node: Node) -> impl Iterator<Item = End> + '_ {
        let first = self.nodes[node.0 as usize].first;
        std::iter::successors(first, |end| self.next[end.0 as usize])
    }
    /// How many ends meet at a node.
    pub fn degree(&self, node: Node) -> usize {
        self.nodes[node.0 as usize].length as usize
    }
    /// Node at the other end of the edge of an end.
    pub fn across(&self, end: End) -> Node {
        self.node(!end)
    }
}
