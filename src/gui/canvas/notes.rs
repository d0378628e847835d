//! The drawing's texts at their places: quiet, so that contours stay in front.

use crate::gui::scene::{Placement, near};
use crate::gui::state::View;
use crate::gui::theme::Tokens;
use egui::emath::{Align2, Pos2, Rect};
use egui::{FontId, Painter};

/// Most texts that are painted; more are noise.
const MOST: usize = 300;
/// Letters on the screen: smaller ones are dots, larger ones stay this large.
const LEAST: f32 = 7.0;
const LARGEST: f32 = 12.0;
/// Radius of a dot.
const DOT: f32 = 1.6;

/// Texts that can be read at this zoom, and dots for the others.
pub fn paint(painter: &Painter, (placement, rect): (Placement, Rect), view: &View<'_>, t: &Tokens) {
    if !view.notes {
        return;
    }
    let file = view.file;
    let notes = file.drawing.notes.iter().zip(file.says.iter());
    let on_screen = |at| -> Option<Pos2> {
        let at = near(at - file.profile.origin, file.model.centre);
        Some(placement.to_screen(rect, at)).filter(|p| rect.contains(*p))
    };
    let seen = notes
        .filter(|(n, _)| !n.in_layout)
        .filter_map(|(n, says)| Some((n, says, on_screen(n.at)?)));
    for (note, says, at) in seen.take(MOST) {
        let colour = if says.is_empty() {
            t.text_faint
        } else {
            t.text_soft
        };
        let height = note.height as f32 * placement.scale;
        if height < LEAST {
            painter.circle_filled(at, DOT, colour);
            continue;
        }
        let line = note.text.lines().next().unwrap_or_default();
        let font = FontId::proportional(height.min(LARGEST));
        painter.text(at, Align2::LEFT_BOTTOM, line, font, colour);
    }
}
