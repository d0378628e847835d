//! What the lines and marks of the canvas mean, shown when it is asked for.

use super::marks;
use super::paint::{LOWER_EDGE, Look};
use super::rings;
use super::starts::{hole_mark, planned};
use crate::gui::state::View;
use crate::gui::theme::{SMALL, Tokens, mix};
use crate::profile::Role;
use crate::words::uncut;
use egui::emath::{Pos2, Rect, vec2};
use egui::{Color32, FontId, Galley, Painter, Shape, Stroke, StrokeKind};
use std::sync::Arc;

/// From line to line, points.
const LINE: f32 = 19.0;
/// Room for the sign before its words, and around everything, points.
const SIGN: f32 = 32.0;
const MARGIN: f32 = 8.0;

/// The sign of an entry.
enum Sign {
    Outline,
    Opening,
    Open,
    LeftOut,
    Finding(Color32),
    Start,
    Path(Color32),
    LowerEdge,
    Standing,
    /// A ring, and whether what is ringed blocks.
    Ring(bool),
}

/// The legend, one line an entry.
pub struct Legend {
    entries: Vec<(Sign, Arc<Galley>)>,
}

impl Legend {
    /// What occurs in the drawing.
    pub fn new(painter: &Painter, looks: &[Look], view: &View<'_>, t: &Tokens) -> Self {
        let font = FontId::proportional(SMALL + 0.5);
        let galley = |words| painter.layout_no_wrap(words, font.clone(), t.text_soft);
        let occurring = occurring(looks, view, t).into_iter();
        Self {
            entries: occurring
                .map(|(sign, words)| (sign, galley(words)))
                .collect(),
        }
    }
    /// On a ground of its own at the top right of `rect`.
    pub fn paint(&self, painter: &Painter, rect: Rect, t: &Tokens) {
        let wide = self
            .entries
            .iter()
            .map(|e| e.1.size().x)
            .fold(0.0, f32::max);
        let size = vec2(
            wide + SIGN + 2.0 * MARGIN,
            LINE * self.entries.len() as f32 + 2.0 * MARGIN - 4.0,
        );
        let corner = rect.right_top() + vec2(-10.0 - size.x, 8.0);
        let ground = Rect::from_min_size(corner, size);
        painter.rect(
            ground,
            6,
            t.raised,
            Stroke::new(1.0, t.edge),
            StrokeKind::Inside,
        );
        let mut p = ground.min + vec2(MARGIN, MARGIN + LINE / 2.0 - 2.0);
        for (sign, galley) in &self.entries {
            let text = p + vec2(SIGN, -galley.size().y / 2.0);
            painter.galley(text, galley.clone(), t.text_soft);
            paint_sign(painter, sign, p, t);
            p.y += LINE;
        }
    }
}

/// Signs and words of what occurs.
fn occurring(looks: &[Look], view: &View<'_>, t: &Tokens) -> Vec<(Sign, String)> {
    let file = view.file;
    let mut out = Vec::new();
    let mut add = |sign, words: &str| out.push((sign, words.to_owned()));
    let has = |role| looks.contains(&Look { role, cut: true });
    if has(Role::Outline) {
        add(Sign::Outline, say!("outline, inside kept"));
    }
    if has(Role::Opening) {
        add(Sign::Opening, say!("opening, ticks on the waste"));
    }
    if !file.model.open.is_empty() {
        add(Sign::Open, say!("open, not cut"));
    }
    if looks.iter().any(|l| !l.cut) {
        add(Sign::LeftOut, say!("left out"));
    }
    if let Some(words) = marks::legend_words(file) {
        add(Sign::Finding(marks::legend_colour(file, t)), &words);
    }
    match planned(file).len() {
        0 => {}
        1 => add(Sign::Start, say!("start hole")),
        _ => add(
            Sign::Start,
            say!("start hole; dotted, the order of cutting"),
        ),
    }
    if let (Some(e), Some((_, wire, paths))) = (file.shown_estimate(), &file.paths.answer) {
        if !paths.roughs.is_empty() {
            let words = say!("path of {}", view.style.spoken_candidate(&e.candidate));
            add(Sign::Path(t.wire(*wire)), &words);
        }
        if !paths.lower_edges.is_empty() {
            add(Sign::LowerEdge, say!("bottom edge of a taper"));
        }
        for blocks in [true, false] {
            if paths.obstacles.iter().any(|o| o.1 == blocks) {
                add(Sign::Ring(blocks), rings::words(blocks));
            }
        }
        if !paths.uncut.is_empty() {
            add(Sign::Standing, &uncut::number(paths.uncut.len()));
        }
    }
    out
}

fn paint_sign(painter: &Painter, sign: &Sign, p: Pos2, t: &Tokens) {
    let bar = [p, p + vec2(24.0, 0.0)];
    let middle = p + vec2(12.0, 0.0);
    let dashed = |width, colour, dash, gap| {
        painter.extend(Shape::dashed_line(
            &bar,
            Stroke::new(width, colour),
            dash,
            gap,
        ));
    };
    match sign {
        Sign::Outline => {
            let under = Rect::from_min_size(p, vec2(24.0, 6.0));
            painter.rect_filled(under, 0, mix(t.kept, t.text, 0.08));
            painter.line_segment(bar, Stroke::new(2.0, t.outline));
        }
        Sign::Opening => {
            painter.line_segment(bar, Stroke::new(1.3, t.outline));
            for k in 0..3u8 {
                let q = p + vec2(3.0 + 8.0 * f32::from(k), 0.0);
                painter.line_segment([q, q + vec2(3.0, 4.0)], Stroke::new(1.0, t.waste_tick));
            }
        }
        Sign::Open => {
            dashed(1.6, t.open_curve, 6.0, 4.0);
            painter.circle_filled(p, 3.0, t.open_curve);
        }
        Sign::LeftOut => dashed(1.4, t.left_out, 2.0, 4.0),
        Sign::Finding(colour) => marks::mark(painter, middle, *colour, t.canvas),
        Sign::Start => hole_mark(painter, middle, Stroke::new(1.3, t.text), t),
        Sign::Path(colour) => {
            painter.line_segment(bar, Stroke::new(1.5, *colour));
        }
        Sign::LowerEdge => dashed(1.0, t.outline, LOWER_EDGE.0, LOWER_EDGE.1),
        Sign::Ring(blocks) => {
            let (colour, radius) = (if *blocks { t.fault } else { t.warn }, 6.5);
            painter.circle_stroke(middle, radius, Stroke::new(1.6, colour));
            if *blocks {
                let slash = vec2(radius, radius) * std::f32::consts::FRAC_1_SQRT_2;
                painter.line_segment([middle - slash, middle + slash], Stroke::new(1.6, colour));
            }
        }
        Sign::Standing => {
            let tip = middle - vec2(0.0, 5.0);
            painter.add(Shape::convex_polygon(
                vec![tip, tip + vec2(4.0, 9.0), tip + vec2(-4.0, 9.0)],
                t.warn,
                Stroke::NONE,
            ));
        }
    }
}
