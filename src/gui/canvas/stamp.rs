//! What covers ground rather than being a line: contours smaller than their line is wide, and lines so dense that nobody
//! sees them apart. They are painted as the pixels whose middles they cover, so what they cost is bounded by the screen,
//! however many there are.

use egui::emath::{Pos2, Rect, pos2};

/// Pixels of a part of the screen that are covered in one colour.
pub struct Stamp {
    rect: Rect,
    /// Points of a pixel.
    pixel: f32,
    /// The first row and the first column, counted in pixels of the screen.
    top: i32,
    left: i32,
    rows: usize,
    columns: usize,
    /// One bit a pixel, each row in whole words; nothing until something is covered.
    bits: Vec<u64>,
}

impl Stamp {
    /// Nothing covered yet.
    pub fn new(rect: Rect, pixels_per_point: f32) -> Self {
        let pixel = 1.0 / pixels_per_point;
        let (top, left) = (
            (rect.top() / pixel).floor() as i32,
            (rect.left() / pixel).floor() as i32,
        );
        let count = |from: i32, to: f32| ((to / pixel).ceil() as i32 - from).max(0) as usize;
        Self {
            rect,
            pixel,
            top,
            left,
            rows: count(top, rect.bottom()),
            columns: count(left, rect.right()),
            bits: Vec::new(),
        }
    }
    fn words(&self) -> usize {
        self.columns.div_ceil(64)
    }
    /// Covers the pixels of a row with their middles in `from..to`, both counted in pixels from the left.
    fn cover(&mut self, row: usize, from: f32, to: f32) {
        let (first, end) = (next_middle(from), next_middle(to).min(self.columns));
        if first >= end {
            return;
        }
        let words = self.words();
        if self.bits.is_empty() {
            self.bits = vec![0; words * self.rows];
        }
        let row = &mut self.bits[row * words..(row + 1) * words];
        let last = end - 1;
        let (head, tail) = (!0 << (first % 64), !0 >> (63 - last % 64));
        if first / 64 == last / 64 {
            row[first / 64] |= head & tail;
        } else {
            row[first / 64] |= head;
            row[first / 64 + 1..last / 64].fill(!0);
            row[last / 64] |= tail;
        }
    }
    /// Rows with their middles in `from..to`, both counted in pixels from the top.
    fn rows_in(&self, from: f32, to: f32) -> std::ops::Range<usize> {
        next_middle(from)..next_middle(to).min(self.rows)
    }
    /// A point of the screen in pixels from the corner.
    fn place(&self, p: Pos2) -> (f32, f32) {
        (
            p.x / self.pixel - self.left as f32,
            p.y / self.pixel - self.top as f32,
        )
    }
    /// Covers a rectangle.
    pub fn rect(&mut self, r: Rect) {
        if !r.intersects(self.rect) {
            return;
        }
        let ((left, top), (right, bottom)) = (self.place(r.min), self.place(r.max));
        for row in self.rows_in(top, bottom) {
            self.cover(row, left, right);
        }
    }
    /// Covers what a square pen of a width (points) leaves along a line.
    pub fn line(&mut self, points: &[Pos2], width: f32) {
        let half = 0.5 * width / self.pixel;
        for s in points.windows(2) {
            let (a, b) = (self.place(s[0]), self.place(s[1]));
            let ((x, y), (u, v)) = if a.1 <= b.1 { (a, b) } else { (b, a) };
            let slope = if v > y { (u - x) / (v - y) } else { 0.0 };
            for row in self.rows_in(y - half, v + half) {
                let middle = row as f32 + 0.5;
                // Where the middle of the pen is while it covers this row.
                let (from, to) = ((middle - half).max(y), (middle + half).min(v));
                let (from, to) = if v > y {
                    (x + (from - y) * slope, x + (to - y) * slope)
                } else {
                    (x, u)
                };
                self.cover(row, from.min(to) - half, from.max(to) + half);
            }
        }
    }
    /// What is covered, as rectangles that do not overlap.
    pub fn spans(&self) -> Vec<Rect> {
        let words = self.words();
        let mut out = Spans::new(self.pixel);
        if self.bits.is_empty() {
            return Vec::new();
        }
        let x = |column: usize| (self.left as f32 + column as f32) * self.pixel;
        for (k, row) in self.bits.chunks_exact(words).enumerate() {
            let y = (self.top as f32 + k as f32) * self.pixel;
            // Where the run begins that is being looked at.
            let mut from = None;
            for (w, word) in row.iter().enumerate() {
                let mut at = 0;
                while at < 64 {
                    let rest = match from {
                        None => word >> at,
                        Some(_) => !word >> at,
                    };
                    if rest == 0 {
                        break;
                    }
                    at += rest.trailing_zeros();
                    let column = 64 * w + at as usize;
                    match from.take() {
                        None => from = Some(column),
                        Some(start) => out.push(x(start), x(column), y),
                    }
                }
            }
            if let Some(start) = from {
                out.push(x(start), x(64 * words), y);
            }
            out.end_of_row();
        }
        out.all
    }
}

/// Spans row by row; equal ones in rows that follow each other become one.
struct Spans {
    /// What has become of them.
    all: Vec<Rect>,
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
    fn new(height: f32) -> Self {
        Self {
            all: Vec::new(),
            height,
            before: Vec::new(),
            now: Vec::new(),
            passed: 0,
        }
    }
    /// Adds one to the row whose top is at `y`, right of those that are there.
    fn push(&mut self, from: f32, to: f32, y: f32) {
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
    fn end_of_row(&mut self) {
        std::mem::swap(&mut self.before, &mut self.now);
        self.now.clear();
        self.passed = 0;
    }
}

/// The first pixel whose middle does not lie before a place. Without a call for the rounding, which would take longer
/// than all the rest.
fn next_middle(place: f32) -> usize {
    let from = (place - 0.5).max(0.0);
    let whole = from as usize;
    whole + usize::from((whole as f32) < from)
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::emath::pos2;
    use proptest::prelude::*;

    fn covers(spans: &[Rect], p: Pos2) -> usize {
        let inside = |r: &&Rect| r.min.x < p.x && p.x < r.max.x && r.min.y < p.y && p.y < r.max.y;
        spans.iter().filter(inside).count()
    }

    proptest! {
        /// A pixel is covered, once, where its middle lies in one of the rectangles, and nowhere else: as the graphics
        /// card would paint them.
        #[test]
        fn pixels_are_covered_whose_middles_lie_in_a_rectangle(
            boxes in prop::collection::vec(
                (-10.0_f32..170.0, -10.0_f32..60.0, 0.0_f32..90.0, 0.0_f32..9.0), 0..12),
            ppp in prop::sample::select(vec![1.0_f32, 1.25, 2.0]),
        ) {
            let rect = Rect::from_min_max(pos2(3.0, 2.0), pos2(150.0, 50.0));
            let mut stamp = Stamp::new(rect, ppp);
            let boxes: Vec<Rect> = boxes
                .into_iter()
                .map(|(x, y, w, h)| Rect::from_min_size(pos2(x, y), egui::vec2(w, h)))
                .collect();
            boxes.iter().for_each(|b| stamp.rect(*b));
            let spans = stamp.spans();
            for row in 0..(48.0 * ppp) as i32 {
                for column in 0..(147.0 * ppp) as i32 {
                    let at = |k: i32, from: f32| ((from * ppp).ceil() + k as f32 + 0.5) / ppp;
                    let p = pos2(at(column, 3.0), at(row, 2.0));
                    // Where rounding decides nothing is said.
                    let edge = |b: &Rect| {
                        let near = |a: f32, c: f32| (a - c).abs() < 1e-3;
                        near(b.min.x, p.x) || near(b.max.x, p.x) || near(b.min.y, p.y) || near(b.max.y, p.y)
                    };
                    if boxes.iter().any(edge) {
                        continue;
                    }
                    let inside = boxes.iter().filter(|b| b.intersects(rect)).any(|b| b.contains(p));
                    prop_assert_eq!(covers(&spans, p), usize::from(inside), "{}", p);
                }
            }
        }

        /// A line covers every pixel whose middle lies well within its width, and none beyond what a square pen reaches.
        #[test]
        fn a_line_covers_its_width(
            ends in (10.0_f32..140.0, 10.0_f32..40.0, 10.0_f32..140.0, 10.0_f32..40.0),
            width in 1.0_f32..6.0,
        ) {
            let rect = Rect::from_min_max(pos2(0.0, 0.0), pos2(150.0, 50.0));
            let (a, b) = (pos2(ends.0, ends.1), pos2(ends.2, ends.3));
            let mut stamp = Stamp::new(rect, 1.0);
            stamp.line(&[a, b], width);
            let spans = stamp.spans();
            for row in 0..50 {
                for column in 0..150 {
                    let p = pos2(column as f32 + 0.5, row as f32 + 0.5);
                    let (d, v) = (b - a, p - a);
                    let along = (v.dot(d) / d.length_sq().max(1e-9)).clamp(0.0, 1.0);
                    let beside = (v - d * along).length();
                    let covered = covers(&spans, p) > 0;
                    prop_assert!(covered || beside > 0.5 * width - 1e-2, "{p} is missing");
                    prop_assert!(!covered || beside < 0.5 * width * 1.4143 + 1e-2, "{p} is too much");
                }
            }
        }
    }
}
