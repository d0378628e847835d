//! The material that stays, row by row of the screen, and rows whose ends lie on straight lines as one.
//!
//! No contour needs triangulating: a self-crossing one is filled by parity like any other.

use egui::emath::{Pos2, Rect, pos2};

/// So far an edge of the ground may leave the contour, points: less than the line that is drawn on it is wide.
const LEAVES: f32 = 0.3;
/// An edge that runs further than this from one row to the next begins anew, points.
const LEVEL: f32 = 8.0;

/// A contour on the screen and what it bounds.
pub struct Boundary<'a> {
    /// Closed chain of screen points.
    pub points: &'a [Pos2],
    /// Nesting depth.
    pub depth: usize,
    /// Whether material inside it stays; `None` when it is not cut and changes nothing.
    pub keeps_inside: Option<bool>,
}

/// Ground of kept material within `clip`, each piece by its upper left, upper right, lower left and lower right corner.
///
/// A point belongs to the deepest cut contour around it; outside all of them stands `outside`, within
/// `plate` only.
pub fn rows(boundaries: &[Boundary<'_>], clip: Rect, plate: Option<Rect>) -> Vec<[Pos2; 4]> {
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
    let mut out = Slabs::default();
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
    out.all.iter().map(Slab::corners).collect()
}

/// One side of a slab: a straight line from the middle of its first row on.
#[derive(Debug, Clone, Copy)]
struct Side {
    from: f32,
    /// Where it was in the last row.
    last: f32,
    /// Slopes that pass all rows near enough, points a row.
    slopes: (f32, f32),
}

impl Side {
    fn new(x: f32) -> Self {
        Self {
            from: x,
            last: x,
            slopes: (-LEVEL, LEVEL),
        }
    }
    /// With one more row, so many below the first; `None` where it is no straight line any more.
    fn with(self, x: f32, down: f32) -> Option<Self> {
        let slope = (x - self.from) / down;
        // Across the line it leaves less than along the row.
        let room = LEAVES * slope.hypot(1.0) / down;
        let slopes = (
            self.slopes.0.max(slope - room),
            self.slopes.1.min(slope + room),
        );
        let straight = slopes.0 <= slopes.1 && (x - self.last).abs() <= LEVEL;
        straight.then_some(Self {
            last: x,
            slopes,
            ..self
        })
    }
    /// Where it is so many rows below the middle of the first.
    fn at(self, down: f32, rows: f32) -> f32 {
        let slope = if rows > 1.0 {
            ((self.last - self.from) / (rows - 1.0)).clamp(self.slopes.0, self.slopes.1)
        } else {
            0.0
        };
        self.from + slope * down
    }
}

/// Ground between two straight sides.
struct Slab {
    top: f32,
    rows: f32,
    left: Side,
    right: Side,
}

impl Slab {
    fn corners(&self) -> [Pos2; 4] {
        let level = |down: f32| {
            let (left, right) = (
                self.left.at(down, self.rows),
                self.right.at(down, self.rows),
            );
            // Sides that meet at a tip do not cross beyond it.
            let middle = 0.5 * (left + right);
            let y = self.top + 0.5 + down;
            (pos2(left.min(middle), y), pos2(right.max(middle), y))
        };
        let (above, below) = (level(-0.5), level(self.rows - 0.5));
        [above.0, above.1, below.0, below.1]
    }
}

/// Slabs, from row to row.
#[derive(Default)]
struct Slabs {
    all: Vec<Slab>,
    /// Those of the row before and of this one, from the left, by their places in `all`.
    before: Vec<usize>,
    now: Vec<usize>,
    /// How many of those before lie left of the last one of this row.
    passed: usize,
}

impl Slabs {
    /// Adds a span to the row whose top is at `y`, right of those that are there.
    fn push(&mut self, from: f32, to: f32, y: f32) {
        let ends_left_of = |k: &usize| self.all[*k].right.last <= from;
        while self.before.get(self.passed).is_some_and(ends_left_of) {
            self.passed += 1;
        }
        let above = self.before.get(self.passed).copied().and_then(|k| {
            let slab = &self.all[k];
            let left = slab.left.with(from, slab.rows)?;
            let right = slab.right.with(to, slab.rows)?;
            Some((k, left, right))
        });
        if let Some((k, left, right)) = above {
            self.passed += 1;
            let slab = &mut self.all[k];
            (slab.left, slab.right) = (left, right);
            slab.rows += 1.0;
            self.now.push(k);
        } else {
            self.now.push(self.all.len());
            self.all.push(Slab {
                top: y,
                rows: 1.0,
                left: Side::new(from),
                right: Side::new(to),
            });
        }
    }
    /// The next row begins.
    fn end_of_row(&mut self) {
        std::mem::swap(&mut self.before, &mut self.now);
        self.now.clear();
        self.passed = 0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn square(min: f32, max: f32) -> Vec<Pos2> {
        vec![
            pos2(min, min),
            pos2(max, min),
            pos2(max, max),
            pos2(min, max),
            pos2(min, min),
        ]
    }
    fn area(slabs: &[[Pos2; 4]]) -> f32 {
        let wide = |a: Pos2, b: Pos2| {
            assert!(a.x <= b.x && a.y == b.y, "{a} {b}");
            b.x - a.x
        };
        let of = |[a, b, c, d]: &[Pos2; 4]| 0.5 * (wide(*a, *b) + wide(*c, *d)) * (c.y - a.y);
        slabs.iter().map(of).sum()
    }
    fn boundary(points: &[Pos2]) -> Boundary<'_> {
        Boundary {
            points,
            depth: 0,
            keeps_inside: Some(true),
        }
    }

    proptest! {
        /// The area of a circle is πr²; an edge leaves it by no more than it may, and by half a row where it is level.
        #[test]
        fn a_circle_is_filled(
            (x, y) in (80.0_f32..120.0, 80.0_f32..120.0),
            r in 3.0_f32..70.0,
        ) {
            let angle = |k: u16| std::f32::consts::TAU * f32::from(k) / 720.0;
            let circle: Vec<_> = (0..=720)
                .map(|k| pos2(x + r * angle(k).cos(), y + r * angle(k).sin()))
                .collect();
            let clip = Rect::from_min_max(Pos2::ZERO, pos2(200.0, 200.0));
            let slabs = rows(&[boundary(&circle)], clip, None);
            let exact = std::f32::consts::PI * r * r;
            let round = std::f32::consts::TAU * r;
            prop_assert!((area(&slabs) - exact).abs() < LEAVES * round + 2.0, "{} {exact}", area(&slabs));
            for p in slabs.iter().flatten() {
                prop_assert!((p.distance(pos2(x, y)) - r).abs() < 1.5 || p.distance(pos2(x, y)) < r, "{p}");
            }
            // Far fewer than rows once it is large.
            prop_assert!(slabs.len() as f32 <= 8.0 + 4.0 * r.sqrt(), "{} of {r}", slabs.len());
        }

        /// A straight edge at any slope is one piece, and where it is.
        #[test]
        fn a_slanted_strip_is_few_pieces(slope in -2.0_f32..2.0) {
            let (top, low) = (160.0, 160.0 + 60.0 * slope);
            let strip = [pos2(top, 20.0), pos2(top + 40.0, 20.0), pos2(low + 40.0, 80.0), pos2(low, 80.0), pos2(top, 20.0)];
            let clip = Rect::from_min_max(Pos2::ZERO, pos2(400.0, 100.0));
            let slabs = rows(&[boundary(&strip)], clip, None);
            prop_assert!((area(&slabs) - 2400.0).abs() < 1.0, "{}", area(&slabs));
            prop_assert!(slabs.len() <= 2, "{}", slabs.len());
        }
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
