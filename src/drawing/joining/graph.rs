//! Edges as a graph: which ends meet at which node.

/// The graph: a node for each distinct end.
pub(crate) struct Graph {
    /// Nodes of the ends of edge `e`: `ends[2e]` is its a, `ends[2e + 1]` its b.
    pub ends: Vec<usize>,
    /// Ends at each node.
    pub at: Vec<Vec<usize>>,
}

impl Graph {
    /// How many ends meet at a node.
    pub fn degree(&self, node: usize) -> usize {
        self.at[node].len()
    }
    /// Node at the other end of the edge of an end.
    pub fn across(&self, end: usize) -> usize {
        self.ends[end ^ 1]
    }
}
