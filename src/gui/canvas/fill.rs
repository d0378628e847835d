//! The material that stays, as rows of spans one screen point high.
//!
//! Rows are laid anew when the view changes, so the fill meets the contour at every zoom, and no
//! contour needs triangulating: a self-crossing one is filled by parity like any other.

use egui::emath::{Pos2, Rect, pos2};

/// A contour on the screen and what it bounds.
pub struct Boundary<'a> {
    /// Closed chain of screen points.
    pub points: &'a [Pos2],
    /// Nesting depth.
    pub depth: usize,
    /// Whether material inside it stays; `None` when it is not cut and changes nothing.
    pub keeps_inside: Option<bool>,
}

/// Spans of kept material within `clip`, each one row high, or several where it stays the same.
///
/// A point belongs to the deepest cut contour around it; outside all of them stands `outside`, within
/// `plate` only.
pub fn rows(boundaries: &[Boundary<'_>], clip: Rect, plate: Option<Rect>) -> Vec<Rect> {
    let (top, bottom) = (clip.top().floor() as i32, clip.bottom().ceil() as i32);
    let height = (bottom - top).max(0) as usize;
    let mut crossings: Vec<Vec<(f32, usize)>> = vec![Vec::new(); height];
    for (k, b) in boundaries.iter().enumerate() {
        if b.keeps_inside.is_none() {
            continue;
        }
        for pair in b.points.windows(2) {
            let (a, c) = if pair[0].y <= pair[1].y {
                (pair[0], pair[1])
            } else {
                (pair[1], pair[0])
            };
            if !(a.y.is_finite() && c.y.is_finite()) || c.y < clip.top() || a.y > clip.bottom() {
                continue;
            }
            // Rows whose middle lies in [a.y, c.y).
            let from = ((a.y - 0.5).ceil() as i32 - top).max(0) as usize;
            let to = (((c.y - 0.5).ceil() as i32 - top).max(0) as usize).min(height);
            let slope = (c.x - a.x) / (c.y - a.y);
            for (row, list) in crossings.iter_mut().enumerate().take(to).skip(from) {
                let y = top as f32 + row as f32 + 0.5;
                list.push((a.x + (y - a.y) * slope, k));
            }
        }
    }
    let mut out = Spans::new(1.0);
    let mut inside: Vec<usize> = Vec::new();
    for (row, list) in crossings.iter_mut().enumerate() {
        let y = top as f32 + row as f32;
        let mid = y + 0.5;
        let outside = plate.filter(|p| (p.top()..p.bottom()).contains(&mid));
        list.sort_by(|a, b| a.0.total_cmp(&b.0));
        inside.clear();
        let mut kept_from = outside.as_ref().map(Rect::left);
        let mut push = |from: f32, to: f32| {
            let (from, to) = (from.max(clip.left()), to.min(clip.right()));
            if to > from {
                out.push(from, to, y);
            }
        };
        for &(x, k) in list.iter() {
            match inside.iter().position(|i| *i == k) {
                Some(at) => {
                    inside.swap_remove(at);
                }
                None => inside.push(k),
            }
            let deepest = inside.iter().max_by_key(|i| boundaries[**i].depth);
            let kept = match deepest {
                Some(i) => boundaries[*i].keeps_inside == Some(true),
                None => outside.is_some(),
            };
            match (kept_from, kept) {
                (Some(from), false) => {
                    push(from, x);
                    kept_from = None;
                }
                (None, true) => kept_from = Some(x),
                _ => {}
            }
        }
        if let (Some(from), Some(p)) = (kept_from, outside) {
            push(from, p.right());
        }
        out.end_of_row();
    }
    out.all
}

/// Spans row by row; equal ones in rows that follow each other become one.
pub struct Spans {
    /// What has become of them.
    pub all: Vec<Rect>,
    /// Height of a row, points.
    height: f32,
    /// Those of the row before and of this one, from the left, by their places in `all`.
    before: Vec<usize>,
    now: Vec<usize>,
    /// How many of those before lie left of the last one of this row.
    passed: usize,
}

impl Spans {
    /// None yet, in rows of a height (points).
    pub fn new(height: f32) -> Self {
        Self {
            all: Vec::new(),
            height,
            before: Vec::new(),
            now: Vec::new(),
            passed: 0,
        }
    }
    /// Adds one to the row whose top is at `y`, right of those that are there.
    pub fn push(&mut self, from: f32, to: f32, y: f32) {
        let left_of = |k: &usize| self.all[*k].left() < from;
        while self.before.get(self.passed).is_some_and(left_of) {
            self.passed += 1;
        }
        let above = self.before.get(self.passed).copied();
        let above = above.filter(|k| (self.all[*k].left(), self.all[*k].right()) == (from, to));
        let place = above.unwrap_or(self.all.len());
        match above {
            Some(k) => self.all[k].max.y = y + self.height,
            None => self
                .all
                .push(Rect::from_min_max(pos2(from, y), pos2(to, y + self.height))),
        }
        self.now.push(place);
    }
    /// The next row begins.
    pub fn end_of_row(&mut self) {
        std::mem::swap(&mut self.before, &mut self.now);
        self.now.clear();
        self.passed = 0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(min: f32, max: f32) -> Vec<Pos2> {
        vec![
            pos2(min, min),
            pos2(max, min),
            pos2(max, max),
            pos2(min, max),
            pos2(min, min),
        ]
    }
    fn area(spans: &[Rect]) -> f32 {
        spans.iter().map(Rect::area).sum()
    }

    #[test]
    fn a_part_with_a_hole() {
        let (outer, inner) = (square(10.0, 60.0), square(20.0, 30.0));
        let clip = Rect::from_min_max(Pos2::ZERO, pos2(100.0, 100.0));
        let b = |points, depth, keeps_inside| Boundary {
            points,
            depth,
            keeps_inside,
        };
        let part = [b(&outer, 0, Some(true)), b(&inner, 1, Some(false))];
        let spans = rows(&part, clip, None);
        assert_eq!(area(&spans), 2500.0 - 100.0);
        // Above the hole, beside it on both sides, and below it.
        assert_eq!(spans.len(), 4);
        // A hole that is not cut stays.
        let whole = [b(&outer, 0, Some(true)), b(&inner, 1, None)];
        assert_eq!(area(&rows(&whole, clip, None)), 2500.0);
        // A die: the plate stays, the opening goes, an island in it stays.
        let die = [b(&outer, 0, Some(false)), b(&inner, 1, Some(true))];
        assert_eq!(
            area(&rows(&die, clip, Some(clip))),
            10_000.0 - 2500.0 + 100.0
        );
        // Seen through a keyhole.
        let keyhole = Rect::from_min_max(pos2(22.0, 22.0), pos2(40.0, 28.0));
        assert_eq!(area(&rows(&part, keyhole, None)), 10.0 * 6.0);
    }
}
