//! The path by its feed: one hue, strong where the wire is slow; and what the strengths mean.

use super::baked::Seen;
use super::ink::Ink;
use super::lines::{in_sight, screen_points};
use crate::gui::scene::course::{FEED_LEVELS, FeedShades};
use crate::gui::scene::{Line, Model};
use crate::gui::theme::{SMALL, Tokens, mix};
use crate::process::PassNumber;
use crate::reason::Unit;
use crate::words::Style;
use egui::emath::{Pos2, Rect, Vec2, vec2};
use egui::epaint::Color32;
use egui::{FontId, Galley, Painter, Stroke};
use std::sync::Arc;

/// Width of the line where the wire is fastest, and so much more where it is slowest, points.
pub const NARROWEST: f32 = 3.0;
const WIDER: f32 = 2.4;
/// Width of the legend's bar, points.
const BAR: f32 = 80.0;
/// Between it and its numbers, points.
const GAP: f32 = 6.0;

/// Colour of a level, 0 the slowest.
fn shade(level: usize, t: &Tokens) -> Color32 {
    let fast = level as f32 / (FEED_LEVELS - 1) as f32;
    mix(t.accent, mix(t.canvas, t.accent, 0.34), fast)
}

/// The shades of one pass; slow stretches are wider too, so that strength is not all that tells.
pub fn shades(feeds: &FeedShades, ink: &mut Ink, (view, rect): Seen, t: &Tokens) {
    let mut runs: Vec<_> = feeds.runs.iter().collect();
    // The slow ones on top.
    runs.sort_by_key(|r| std::cmp::Reverse(r.0));
    for (level, line) in runs {
        if let Some(points) = screen_points(line, (view, rect), ink.pixel()) {
            let slow = 1.0 - *level as f32 / (FEED_LEVELS - 1) as f32;
            let stroke = Stroke::new(NARROWEST + WIDER * slow, shade(*level, t));
            ink.line(&in_sight(&points, rect), stroke);
        }
    }
}

/// The four corners in which a legend of `size` may stand: clear of status line, scale bar and what stands at the
/// top. The usual one first.
pub fn corners(rect: Rect, size: Vec2) -> [Rect; 4] {
    let (left, right) = (rect.left() + 10.0, rect.right() - 8.0 - size.x);
    let (top, bottom) = (rect.top() + 36.0, rect.bottom() - 30.0 - size.y);
    // Above the bar of the scale and its length.
    let above_bar = bottom - 10.0;
    [
        (right, bottom),
        (left, above_bar),
        (right, top),
        (left, top),
    ]
    .map(|(x, y)| Rect::from_min_size(Pos2::new(x, y), size))
}

/// How many drawn lines cross a part of the canvas.
pub fn lines_in(model: &Model, (view, rect): Seen, part: Rect) -> usize {
    let part = view.rect_to_drawing(rect, part);
    let (contours, open) = model.meeting(part);
    let contours = contours.into_iter().map(|k| &model.contours[k]);
    let lines = contours.chain(open.into_iter().map(|k| &model.open[k]));
    let pieces = |line: &Line| {
        let near = line.pieces().filter(|piece| piece.0.intersects(part));
        let mut sides = near.flat_map(|(_, points)| points.windows(2));
        sides.any(|s| crosses([s[0], s[1]], part))
    };
    lines.filter(|line| pieces(line)).count()
}

/// Whether a straight line has a point in a box: what is left of it between each two sides.
fn crosses([a, b]: [Pos2; 2], part: Rect) -> bool {
    let d = b - a;
    let (mut from, mut to) = (0.0_f32, 1.0_f32);
    for (at, way, low, high) in [
        (a.x, d.x, part.left(), part.right()),
        (a.y, d.y, part.top(), part.bottom()),
    ] {
        if way == 0.0 {
            if at < low || at > high {
                return false;
            }
        } else {
            let (p, q) = ((low - at) / way, (high - at) / way);
            (from, to) = (from.max(p.min(q)), to.min(p.max(q)));
        }
    }
    from <= to
}

/// What the shades of a pass mean, in words and a bar.
pub struct Scale {
    name: Arc<Galley>,
    /// The slowest where there are several, and the fastest.
    slow: Option<Arc<Galley>>,
    fast: Arc<Galley>,
}

impl Scale {
    /// For the pass that is shaded.
    pub fn new(
        painter: &Painter,
        feeds: &FeedShades,
        pass: PassNumber,
        style: Style,
        t: &Tokens,
    ) -> Self {
        let font = FontId::proportional(SMALL);
        let layout = |words: String| painter.layout_no_wrap(words, font.clone(), t.text_soft);
        let (low, high) = feeds.range;
        let even = high - low <= 1e-3 * high;
        let fast = style.quantity(high, Unit::Feed);
        let slow = style.quantity(low, Unit::Feed);
        let slow = slow.split('\u{202f}').next().unwrap_or(&slow).to_owned();
        Self {
            name: layout(if pass.is_rough() {
                say!("feed of the rough").to_owned()
            } else {
                say!("feed of {pass}")
            }),
            slow: (!even).then(|| layout(slow)),
            fast: layout(if even {
                say!("{fast} everywhere")
            } else {
                fast
            }),
        }
    }
    /// With its ground, points.
    pub fn size(&self) -> Vec2 {
        let slow = self
            .slow
            .as_ref()
            .map_or(0.0, |s| s.size().x + BAR + 2.0 * GAP);
        let wide = (slow + self.fast.size().x).max(self.name.size().x);
        vec2(wide + 12.0, 38.0)
    }
    /// Flush with the right of its ground.
    pub fn paint(&self, painter: &Painter, ground: Rect, t: &Tokens) {
        painter.rect_filled(ground, 3, t.canvas.gamma_multiply(0.85));
        let right = ground.right_bottom() + vec2(-6.0, -8.0);
        // Words that end at a place; where they begin.
        let text = |at: Pos2, galley: &Arc<Galley>| {
            let size = galley.size();
            let corner = at - vec2(size.x, size.y / 2.0);
            painter.galley(corner, galley.clone(), t.text_soft);
            corner.x
        };
        text(right + vec2(0.0, -21.0), &self.name);
        let fast_left = text(right, &self.fast);
        let Some(slow) = &self.slow else {
            return;
        };
        let bar_right = fast_left - GAP;
        for k in 0..FEED_LEVELS {
            let width = BAR / FEED_LEVELS as f32;
            let left = bar_right - BAR + width * k as f32;
            let strength = 1.0 - k as f32 / (FEED_LEVELS - 1) as f32;
            let step = Rect::from_center_size(
                Pos2::new(left + width / 2.0, right.y),
                vec2(width + 0.4, 4.0 + 4.0 * strength),
            );
            painter.rect_filled(step, 0, shade(k, t));
        }
        text(Pos2::new(bar_right - BAR - GAP, right.y), slow);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_through_a_box_is_seen_though_no_point_of_it_lies_inside() {
        let part = Rect::from_min_max(Pos2::new(0.0, 0.0), Pos2::new(2.0, 1.0));
        let line = |a: (f32, f32), b: (f32, f32)| crosses([a.into(), b.into()], part);
        assert!(line((-1.0, 0.5), (3.0, 0.5)));
        assert!(line((1.0, -5.0), (1.0, 5.0)));
        assert!(line((0.5, 0.5), (0.6, 0.6)));
        // Past a corner, beside it, and ending before it.
        assert!(!line((-1.0, 0.5), (0.5, 2.0)));
        assert!(!line((3.0, -1.0), (3.0, 2.0)));
        assert!(!line((-2.0, 0.5), (-1.0, 0.5)));
    }
}
