//! The drawing's texts at their places: quiet, so that contours stay in front.

use crate::drawing::NoteKind;
use crate::gui::scene::{Placement, near};
use crate::gui::state::View;
use crate::gui::theme::Tokens;
use crate::gui::widgets::shortened_at_end;
use egui::emath::{Align2, Pos2, Rect};
use egui::{FontId, Painter};
use std::collections::HashMap;

/// Most texts that are painted; more are noise.
const MOST: usize = 300;
/// Letters on the screen, points: the drawing's own height within these.
const SMALLEST: f32 = 9.0;
const LARGEST: f32 = 12.0;
/// Longest text on the drawing, letters.
const LONGEST: usize = 40;
/// Side of the squares by which texts are looked up that may be near, points.
const SQUARE: f32 = 64.0;
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
    // Texts that are shown, by the squares that they lie in.
    let mut taken: HashMap<(i32, i32), Vec<Rect>> = HashMap::new();
    for (note, says, at) in seen.take(MOST) {
        let colour = if says.is_empty() {
            t.text_faint
        } else {
            t.text_soft
        };
        // By half points, so that a zoom does not lay out every text anew at each of its steps.
        let height = (2.0 * note.height as f32 * placement.scale).round() / 2.0;
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
        let mut near = squares(ground).filter_map(|s| taken.get(&s)).flatten();
        if near.any(|r| r.intersects(ground)) {
            painter.circle_filled(at, DOT, colour);
        } else {
            painter.galley(ground.min, galley, colour);
            squares(ground).for_each(|s| taken.entry(s).or_default().push(ground));
        }
    }
}

/// The squares of the screen that a box lies in.
fn squares(r: Rect) -> impl Iterator<Item = (i32, i32)> {
    let place = |v: f32| (v / SQUARE).floor() as i32;
    let (columns, rows) = (
        place(r.left())..=place(r.right()),
        place(r.top())..=place(r.bottom()),
    );
    columns.flat_map(move |x| rows.clone().map(move |y| (x, y)))
}
