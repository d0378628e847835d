//! The other drawing over the one in front: all of it as a thin broken line, what is gone and what is new told apart by
//! line and sign, and beside each change what it costs.

use super::baked::{Baked, Seen};
use super::ink::Ink;
use super::lines::screen_points;
use super::paint::dashed;
use crate::gui::scene::{Ghost, Placement, Stretch};
use crate::gui::state::View;
use crate::gui::theme::{SMALL, Tokens, mix, strong_family};
use crate::profile::RevisedKind;
use crate::words::variants::more_time;
use egui::emath::{Align2, Rect, vec2};
use egui::{FontId, Painter, Shape, Stroke};
use std::sync::Arc;

/// Dashes of the other drawing, and of what is gone, points.
const OTHER: (f32, f32) = (3.0, 4.0);
const GONE: (f32, f32) = (8.0, 4.0);
/// Labels keep this distance, points.
const APART: f32 = 22.0;

/// What the shapes depend on beside the view.
#[derive(PartialEq)]
pub struct Key {
    ghost: *const Ghost,
    dark: bool,
}

/// Its lines, kept until they are others.
pub fn shape(
    kept: &mut Baked<Key>,
    painter: &Painter,
    ghost: &Arc<Ghost>,
    seen: Seen,
    dark: bool,
    t: &Tokens,
) -> Shape {
    let key = Key {
        ghost: Arc::as_ptr(ghost),
        dark,
    };
    let mut ink = Ink::new(painter.pixels_per_point());
    let make = |_: &_, seen| {
        lines(ghost, &mut ink, seen, t);
        ink
    };
    kept.shape(painter, seen, (key, Rect::EVERYTHING), make)
}

fn lines(ghost: &Ghost, ink: &mut Ink, (placement, rect): Seen, t: &Tokens) {
    for (stretch, line) in &ghost.lines {
        let Some(points) = screen_points(line, (placement, rect), ink.pixel()) else {
            continue;
        };
        match stretch {
            Stretch::Other => {
                let stroke = Stroke::new(1.0, mix(t.canvas, t.text_soft, 0.8));
                dashed(ink, &points, stroke, OTHER, rect);
            }
            Stretch::Gone => {
                ink.line(&points, Stroke::new(6.0, mix(t.canvas, t.fault, 0.25)));
                dashed(ink, &points, Stroke::new(2.0, t.fault), GONE, rect);
            }
            Stretch::New => {
                ink.line(&points, Stroke::new(6.0, mix(t.canvas, t.better, 0.3)));
                ink.line(&points, Stroke::new(2.5, t.better));
            }
        }
    }
}

/// The sign of a change, as in the list.
pub fn sign(kind: RevisedKind) -> &'static str {
    match kind {
        RevisedKind::Same => "=",
        RevisedKind::Moved(_) => "→",
        RevisedKind::Changed => "≠",
        RevisedKind::Added => "+",
        RevisedKind::Removed => "×",
    }
}

/// Beside each change what became of it and what it costs in time, the dearest first where they would lie on each other.
pub fn labels(
    painter: &Painter,
    ghost: &Ghost,
    (placement, rect): (Placement, Rect),
    view: &View<'_>,
    t: &Tokens,
) {
    let minutes = |place: usize| {
        let priced = view.ghost_prices.and_then(|p| p.each.get(place));
        priced.map(|w| w.minutes)
    };
    let mut order: Vec<_> = ghost.marks.iter().collect();
    let weight = |place: usize| minutes(place).map_or(0.0, |m| m.min_value().abs());
    order.sort_by(|a, b| weight(b.place).total_cmp(&weight(a.place)));
    let mut taken: Vec<Rect> = Vec::new();
    let font = FontId::new(SMALL, strong_family());
    for mark in order {
        let at = placement.to_screen(rect, mark.at);
        if !rect.contains(at) {
            continue;
        }
        let cost = minutes(mark.place).map(|m| more_time(view.style, m));
        let word = match mark.kind {
            RevisedKind::Added => say!("new"),
            RevisedKind::Removed => say!("gone"),
            kind => kind.word(),
        };
        let cost = cost.filter(|cost| cost.starts_with(['+', '−']));
        let text = cost.map_or(word.to_owned(), |cost| format!("{word} {cost}"));
        let colour = match mark.kind {
            RevisedKind::Removed => t.fault,
            RevisedKind::Added => t.better,
            _ => t.text,
        };
        let galley = painter.layout_no_wrap(text, font.clone(), colour);
        let size = galley.size() + vec2(10.0, 4.0);
        let ground = Align2::LEFT_CENTER.anchor_size(at + vec2(8.0, 0.0), size);
        if taken
            .iter()
            .any(|r| r.expand(0.2 * APART).intersects(ground))
        {
            continue;
        }
        taken.push(ground);
        painter.rect(
            ground,
            4,
            t.raised.gamma_multiply(0.94),
            Stroke::new(1.0, mix(t.raised, colour, 0.5)),
            egui::StrokeKind::Inside,
        );
        painter.galley(ground.min + vec2(5.0, 2.0), galley, colour);
    }
}
