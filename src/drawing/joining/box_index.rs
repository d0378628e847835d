//! Boxes by place, built in pieces so that the building of a large one can be stopped.

use crate::drawing::format::{Cancelled, Progress};
use crate::geometry::{Bounds, Point};
use static_aabb2d_index::{StaticAABB2DIndex, StaticAABB2DIndexBuilder};

/// Boxes of one piece: sorted in about a hundredth of a second.
const BOXES_A_PIECE: usize = 1 << 16;

/// Numbers of points so that those near each other follow each other: along a curve that fills the plane (G. M. Morton,
/// "A computer oriented geodetic data base", IBM 1966). Questions in this order find most of an index still at hand,
/// where those in the order of a drawing may begin anew each time.
pub(crate) fn order_of_place(points: &[Point]) -> Vec<usize> {
    let mut around = Bounds::EMPTY;
    points.iter().for_each(|p| around.include(*p));
    // 16 bits each: what falls into one cell of 65 536 by as many keeps its own order.
    let cell = around.size() * (1.0 / 65_535.0);
    let along = |v: f64, cell: f64| if cell > 0.0 { (v / cell) as u32 } else { 0 };
    // Bits moved apart, so that those of the other coordinate come between them.
    let spread = |v: u32| {
        let v = (v | v << 8) & 0x00FF_00FF;
        let v = (v | v << 4) & 0x0F0F_0F0F;
        let v = (v | v << 2) & 0x3333_3333;
        (v | v << 1) & 0x5555_5555
    };
    let mut keys: Vec<(u32, u32)> = points
        .iter()
        .enumerate()
        .map(|(k, p)| {
            let p = *p - around.min;
            let key = spread(along(p.x, cell.x)) | spread(along(p.y, cell.y)) << 1;
            (key, k as u32)
        })
        .collect();
    keys.sort_unstable();
    keys.into_iter().map(|(_, k)| k as usize).collect()
}

/// Boxes that follow each other and are entered as one, at most: more would be looked at one by one in vain.
const BOXES_A_STRETCH: usize = 4;

/// Share of a sum of lengths that it may be rounded by.
const ROUNDING: f64 = 1e-9;

/// Boxes by place; each is known by its number.
///
/// Lines and arcs that follow each other along a chain are entered as stretches, whose boxes are looked at one by one: half as
/// many are to be sorted, and the way down to them is shorter.
pub(crate) struct BoxIndex {
    pieces: Vec<BoxesOfAPlace>,
    stretches: Option<Stretches>,
}

/// Runs of boxes, each known by its number.
struct Stretches {
    boxes: Vec<Bounds>,
    /// The first box of each, and the number of all after the last.
    first: Vec<u32>,
}

impl Stretches {
    /// Of boxes of which enough touch the one before, and the box around each stretch; else the boxes again.
    fn of(
        boxes: Vec<Bounds>,
        progress: &Progress,
    ) -> Result<(Option<Self>, Vec<Bounds>), Cancelled> {
        let half_way_round = |b: &Bounds| b.size().x + b.size().y;
        let (mut first, mut around): (Vec<u32>, Vec<Bounds>) = (Vec::new(), Vec::new());
        let mut apart = 0.0;
        for (k, b) in boxes.iter().enumerate() {
            progress.check()?;
            let own = half_way_round(b);
            if let (Some(whole), Some(&from)) = (around.last_mut(), first.last()) {
                let mut both = *whole;
                both.include_bounds(b);
                // No longer round than its members: so it is where they touch, and little of it is empty.
                let is_tight = half_way_round(&both) <= (apart + own) * (1.0 + ROUNDING);
                if is_tight && k - (from as usize) < BOXES_A_STRETCH {
                    *whole = both;
                    apart += own;
                    continue;
                }
            }
            first.push(k as u32);
            around.push(*b);
            apart = own;
        }
        if 4 * first.len() > 3 * boxes.len() {
            return Ok((None, boxes));
        }
        first.push(boxes.len() as u32);
        Ok((Some(Self { boxes, first }), around))
    }
}

/// A piece: boxes that lie near each other, so that a question looks into few pieces.
struct BoxesOfAPlace {
    around: Bounds,
    index: StaticAABB2DIndex<f64>,
    /// The numbers of its boxes; `None` where they are those of the piece itself.
    numbers: Option<Vec<u32>>,
}

impl BoxIndex {
    /// Of boxes numbered from 0.
    pub fn of(
        boxes: impl ExactSizeIterator<Item = Bounds>,
        progress: &Progress,
    ) -> Result<Self, Cancelled> {
        let mut all: Vec<Bounds> = Vec::with_capacity(boxes.len());
        for b in boxes {
            progress.check()?;
            all.push(b);
        }
        let (stretches, all) = Stretches::of(all, progress)?;
        let pieces = pieces(all, progress)?;
        Ok(Self { pieces, stretches })
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
        let mut tell_stretch = |i: usize| match &self.stretches {
            None => found(i),
            Some(all) => {
                let members = all.first[i] as usize..all.first[i + 1] as usize;
                members
                    .filter(|&k| all.boxes[k].meets(b))
                    .for_each(&mut found);
            }
        };
        for piece in self.pieces.iter().filter(|p| p.around.meets(b)) {
            let mut tell = |i: usize| {
                tell_stretch(piece.numbers.as_ref().map_or(i, |n| n[i] as usize));
            };
            piece
                .index
                .visit_query_with_stack(b.min.x, b.min.y, b.max.x, b.max.y, &mut tell, stack);
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

/// The index, in pieces.
fn pieces(all: Vec<Bounds>, progress: &Progress) -> Result<Vec<BoxesOfAPlace>, Cancelled> {
    progress.check()?;
    if all.len() <= BOXES_A_PIECE {
        let piece = BoxesOfAPlace::of(all.into_iter(), None);
        progress.check()?;
        return Ok(piece.into_iter().collect());
    }
    let numbered: Vec<(u32, Bounds)> = (0..).zip(all).collect();
    let mut pieces = Vec::new();
    // Halved about the middle of the longer side until each half is a piece. What is a piece gives its memory back.
    let mut parts: Vec<Vec<(u32, Bounds)>> = vec![numbered];
    while let Some(mut part) = parts.pop() {
        progress.check()?;
        if part.len() <= BOXES_A_PIECE {
            let numbers = part.iter().map(|p| p.0).collect();
            pieces.extend(BoxesOfAPlace::of(part.iter().map(|p| p.1), Some(numbers)));
            continue;
        }
        let mut middles = Bounds::EMPTY;
        part.iter().for_each(|p| middles.include(p.1.centre()));
        let size = middles.size();
        let half = part.len() / 2;
        if size.x >= size.y {
            part.select_nth_unstable_by(half, |p, q| {
                (p.1.min.x + p.1.max.x).total_cmp(&(q.1.min.x + q.1.max.x))
            });
        } else {
            part.select_nth_unstable_by(half, |p, q| {
                (p.1.min.y + p.1.max.y).total_cmp(&(q.1.min.y + q.1.max.y))
            });
        }
        let high = part.split_off(half);
        part.shrink_to_fit();
        parts.push(high);
        parts.push(part);
    }
    progress.check()?;
    Ok(pieces)
}

impl BoxesOfAPlace {
    /// `None` where there is no box.
    fn of(boxes: impl ExactSizeIterator<Item = Bounds>, numbers: Option<Vec<u32>>) -> Option<Self> {
        let mut builder = StaticAABB2DIndexBuilder::new(boxes.len());
        let mut around = Bounds::EMPTY;
        for b in boxes {
            around.include_bounds(&b);
            builder.add(b.min.x, b.min.y, b.max.x, b.max.y);
        }
        // Only a wrong count is an error, and the count is right.
        let index = builder.build().ok()?;
        Some(Self {
            around,
            index,
            numbers,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As many boxes as make several pieces: every answer is that of looking at each box.
    #[test]
    fn pieces_answer_as_one() {
        let at = |k: u32| {
            // A fixed scatter over 1000 × 1000 (Weyl's sequence of two roots).
            let (x, y) = (f64::from(k) * 2.0_f64.sqrt(), f64::from(k) * 3.0_f64.sqrt());
            let min = Point::new(x.fract() * 1000.0, y.fract() * 1000.0);
            Bounds {
                min,
                max: min + Point::new(3.0, 1.0 + f64::from(k % 7)),
            }
        };
        let boxes: Vec<Bounds> = (0..200_000).map(at).collect();
        let index = BoxIndex::of(boxes.iter().copied(), &Progress::default()).unwrap();
        assert!(index.pieces.len() > 3 && index.stretches.is_none());
        for k in (0..200_000).step_by(10_007) {
            let asked = boxes[k].grown(5.0);
            let plain = boxes.iter().enumerate().filter(|(_, b)| b.meets(&asked));
            let plain: Vec<usize> = plain.map(|(k, _)| k).collect();
            assert_eq!(index.within(&asked), plain);
        }
    }
    /// Chains of touching boxes, as short lines and arcs leave them, and single ones between: the answers are those of looking
    /// at each.
    #[test]
    fn stretches_answer_as_their_boxes() {
        let mut boxes = Vec::new();
        for chain in 0..300 {
            let turn = f64::from(chain) * 2.0_f64.sqrt();
            let mut p = Point::new(
                turn.fract() * 100.0,
                (turn * 3.0_f64.sqrt()).fract() * 100.0,
            );
            for step in 0..chain % 40 {
                let (sin, cos) = (turn + 0.2 * f64::from(step)).sin_cos();
                let next = p + Point::new(cos, sin) * 0.3;
                let mut b = Bounds { min: p, max: p };
                b.include(next);
                boxes.push(b);
                p = next;
            }
        }
        let index = BoxIndex::of(boxes.iter().copied(), &Progress::default()).unwrap();
        let stretches = index.stretches.as_ref().unwrap();
        assert!(2 * stretches.first.len() < boxes.len());
        for k in (0..boxes.len()).step_by(13) {
            for by in [0.0, 0.1, 5.0] {
                let asked = boxes[k].grown(by);
                let plain = boxes.iter().enumerate().filter(|(_, b)| b.meets(&asked));
                let plain: Vec<usize> = plain.map(|(k, _)| k).collect();
                assert_eq!(index.within(&asked), plain);
            }
        }
    }
}
