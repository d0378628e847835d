//! The path by its feed: one hue, strong where the wire is slow; and what the strengths mean.

use super::paint::screen_points;
use super::view::Placement;
use crate::gui::course::{FEED_LEVELS, FeedShades};
use crate::gui::format::System;
use crate::gui::theme::{SMALL, Tokens, mix};
use crate::reason::Unit;
use egui::emath::{Align2, Pos2, Rect, vec2};
use egui::epaint::Color32;
use egui::{FontId, Shape, Stroke};

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
pub fn shapes(feeds: &FeedShades, view: Placement, rect: Rect, t: &Tokens) -> Vec<Shape> {
    let mut out = Vec::new();
    let mut runs: Vec<_> = feeds.runs.iter().collect();
    // The slow ones on top.
    runs.sort_by_key(|r| std::cmp::Reverse(r.0));
    for (level, line) in runs {
        if let Some(points) = screen_points(line, view, rect) {
            let slow = 1.0 - *level as f32 / (FEED_LEVELS - 1) as f32;
            let stroke = Stroke::new(3.0 + 2.4 * slow, shade(*level, t));
            out.push(Shape::line(points, stroke));
        }
    }
    out
}

/// The scale of the shades at the right edge of the top.
pub fn legend(
    painter: &egui::Painter,
    rect: Rect,
    feeds: &FeedShades,
    pass: usize,
    system: System,
    t: &Tokens,
) {
    let font = FontId::proportional(SMALL);
    let (low, high) = feeds.range;
    let even = high - low <= 1e-3 * high;
    let name = if pass == 1 {
        "feed of the rough".to_owned()
    } else {
        format!("feed of skim {}", pass - 1)
    };
    let right = rect.right_bottom() + vec2(-14.0, -38.0);
    let fast = system.quantity(high, Unit::Feed);
    let slow = system.quantity(low, Unit::Feed);
    let slow = slow.split('\u{202f}').next().unwrap_or(&slow).to_owned();
    let width = |words: &str| {
        let galley = painter.layout_no_wrap(words.to_owned(), font.clone(), t.text_soft);
        galley.size().x
    };
    let scale = width(&slow) + BAR + width(&fast) + 2.0 * GAP;
    let wide = if even { width(&fast) + 70.0 } else { scale };
    let left_top = right - vec2(wide.max(width(&name)) + 6.0, 30.0);
    let ground = Rect::from_min_max(left_top, right + vec2(6.0, 8.0));
    painter.rect_filled(ground, 3, t.canvas.gamma_multiply(0.85));
    let text = |at: Pos2, align: Align2, words: &str| {
        painter.text(at, align, words, font.clone(), t.text_soft)
    };
    text(right + vec2(0.0, -21.0), Align2::RIGHT_CENTER, &name);
    if even {
        text(right, Align2::RIGHT_CENTER, &format!("{fast} everywhere"));
        return;
    }
    let fast = text(right, Align2::RIGHT_CENTER, &fast);
    let bar_right = fast.left() - GAP;
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
    let at = Pos2::new(bar_right - BAR - GAP, right.y);
    text(at, Align2::RIGHT_CENTER, &slow);
}
