//! The drawing's texts at their places: quiet, so that contours stay in front.

use crate::drawing::NoteKind;
use crate::gui::scene::{Placement, near};
use crate::gui::state::View;
use crate::gui::theme::Tokens;
use crate::gui::widgets::shortened_at_end;
use egui::emath::{Align2, Pos2, Rect};
use egui::{FontId, Painter};

/// Most texts that are painted; more are noise.
const MOST: usize = 300;
/// Letters on the screen, points: the drawing's own height within these.
const SMALLEST: f32 = 9.0;
const LARGEST: f32 = 12.0;
/// Longest text on the drawing, letters.
const LONGEST: usize = 40;
/// Radius of a dot, points.
const DOT: f32 = 1.6;

/// Texts where there is room for them, those that say something plain first, and dots for the others.
pub fn paint(painter: &Painter, (placement, rect): (Placement, Rect), view: &View<'_>, t: &Tokens) {
    if !view.notes {
        return;
    }
    let file = view.file;
    let on_screen = |at| -> Option<Pos2> {
        let at = near(at - file.profile.origin(), file.model.centre);
        Some(placement.to_screen(rect, at)).filter(|p| rect.contains(*p))
    };
    let notes = || file.drawing.notes.iter().zip(file.says.iter());
    let plain = notes().filter(|(_, says)| !says.is_empty());
    let others = notes().filter(|(_, says)| says.is_empty());
    let seen = plain
        .chain(others)
        .filter(|(n, _)| !n.in_layout)
        .filter_map(|(n, says)| Some((n, says, on_screen(n.at)?)));
    let mut taken: Vec<Rect> = Vec::new();
    for (note, says, at) in seen.take(MOST) {
        let colour = if says.is_empty() {
            t.text_faint
        } else {
            t.text_soft
        };
        let height = note.height as f32 * placement.scale;
        let line = note.text.lines().next().unwrap_or_default();
        let line = shortened_at_end(line, LONGEST);
        let font = FontId::proportional(height.clamp(SMALLEST, LARGEST));
        let galley = painter.layout_no_wrap(line, font, colour);
        // A dimension is placed by the middle of its text, a text by its beginning.
        let anchor = match note.kind {
            NoteKind::Dimension => Align2::CENTER_CENTER,
            NoteKind::Text | NoteKind::Attribute => Align2::LEFT_BOTTOM,
        };
        let ground = anchor.anchor_size(at, galley.size());
        if taken.iter().any(|r| r.intersects(ground)) {
            painter.circle_filled(at, DOT, colour);
        } else {
            painter.galley(ground.min, galley, colour);
            taken.push(ground);
        }
    }
}
