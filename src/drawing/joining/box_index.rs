//! Boxes by place, built in pieces so that the building of a large one can be stopped.

use crate::drawing::format::{Cancelled, Progress};
use crate::geometry::{Bounds, Point};
use static_aabb2d_index::{StaticAABB2DIndex, StaticAABB2DIndexBuilder};

/// Boxes of one piece: sorted in about a hundredth of a second.
const BOXES_A_PIECE: usize = 1 << 16;

/// Boxes by place; each is known by its number.
pub(crate) struct BoxIndex(Vec<StaticAABB2DIndex<f64>>);

impl BoxIndex {
    /// Of boxes numbered from 0.
    pub fn of(
        mut boxes: impl ExactSizeIterator<Item = Bounds>,
        progress: &Progress,
    ) -> Result<Self, Cancelled> {
        let mut pieces = Vec::new();
        while boxes.len() > 0 {
            progress.check()?;
            let count = boxes.len().min(BOXES_A_PIECE);
            let mut builder = StaticAABB2DIndexBuilder::new(count);
            for b in boxes.by_ref().take(count) {
                builder.add(b.min.x, b.min.y, b.max.x, b.max.y);
            }
            // Only a wrong count is an error, and the count is right.
            pieces.extend(builder.build());
        }
        progress.check()?;
        Ok(Self(pieces))
    }
    /// Of single points.
    pub fn of_points(
        points: impl ExactSizeIterator<Item = Point>,
        progress: &Progress,
    ) -> Result<Self, Cancelled> {
        Self::of(points.map(|p| Bounds { min: p, max: p }), progress)
    }
    /// Calls with the number of every box that meets one, in no order; the stack is memory to use again.
    pub fn visit(&self, b: &Bounds, stack: &mut Vec<usize>, mut found: impl FnMut(usize)) {
        for (k, piece) in self.0.iter().enumerate() {
            piece.visit_query_with_stack(
                b.min.x,
                b.min.y,
                b.max.x,
                b.max.y,
                &mut |i: usize| found(k * BOXES_A_PIECE + i),
                stack,
            );
        }
    }
    /// Numbers of all boxes that meet one, ascending.
    pub fn within(&self, b: &Bounds) -> Vec<usize> {
        let mut list = Vec::new();
        self.visit(b, &mut Vec::new(), |k| list.push(k));
        list.sort_unstable();
        list
    }
}
