//! What stands on the canvas beside the drawing: numbers, scale bar and coordinates.

use crate::gui::open_file::Target;
use crate::gui::scene::{Placement, round_length};
use crate::gui::state::View;
use crate::gui::theme::{SMALL, Tokens, strong_family};
use crate::units::Length;
use crate::words::{Style, System, style::number};
use egui::emath::{Align2, Pos2, Rect, vec2};
use egui::{FontId, Stroke};

/// More labels than this are noise.
const MOST_LABELS: usize = 80;

/// Numbers of the contours, as in the list.
pub fn labels(
    painter: &egui::Painter,
    placement: Placement,
    rect: Rect,
    view: &View<'_>,
    t: &Tokens,
) {
    let model = &view.file.model;
    if model.contours.len() > MOST_LABELS {
        return;
    }
    for (i, line) in model.contours.iter().enumerate() {
        let seen = placement.rect_to_screen(rect, line.bounds);
        if seen.width().max(seen.height()) < 22.0 {
            continue;
        }
        let at = placement.to_screen(rect, line.top);
        let selected = view.file.selected == Some(Target::Contour(i));
        let colour = if selected { t.accent } else { t.text_faint };
        let up = vec2(0.0, -9.0);
        if rect.contains(at + up) {
            painter.text(
                at + up,
                Align2::CENTER_CENTER,
                i + 1,
                FontId::new(SMALL, strong_family()),
                colour,
            );
        }
    }
}

/// A round length in the unit shown.
pub fn scale_bar(
    painter: &egui::Painter,
    placement: Placement,
    rect: Rect,
    style: Style,
    t: &Tokens,
) {
    // In the unit shown, so that the bar is round in it.
    let unit_mm = match style.system {
        System::Metric => 1.0,
        System::Inch => crate::units::MM_PER_INCH,
    };
    let a_unit = f64::from(placement.scale) * unit_mm;
    let length = round_length(140.0 / a_unit);
    let width = (length * a_unit) as f32;
    let left = rect.left_bottom() + vec2(14.0, -14.0);
    let right = left + vec2(width, 0.0);
    let stroke = Stroke::new(1.5, t.text_soft);
    painter.line_segment([left, right], stroke);
    for end in [left, right] {
        painter.line_segment([end - vec2(0.0, 4.0), end + vec2(0.0, 1.0)], stroke);
    }
    painter.text(
        left + vec2(0.0, -6.0),
        Align2::LEFT_BOTTOM,
        style.typed_length(Length::from_mm(length * unit_mm)),
        FontId::proportional(SMALL),
        t.text_soft,
    );
}

/// Where the pointer is, in the drawing's own coordinates.
pub fn coordinates(
    painter: &egui::Painter,
    placement: Placement,
    rect: Rect,
    view: &View<'_>,
    cursor: Pos2,
    t: &Tokens,
) {
    let file = view.file;
    let p = placement.to_drawing(rect, cursor);
    let (x, y) = (
        f64::from(p.x) + file.model.centre.x + file.profile.origin().x,
        f64::from(p.y) + file.model.centre.y + file.profile.origin().y,
    );
    let decimals = match view.style.system {
        System::Metric => 2,
        System::Inch => 4,
    };
    let value = |v| number(view.style.system.length_value(Length::from_mm(v)), decimals);
    painter.text(
        rect.right_bottom() + vec2(-14.0, -12.0),
        Align2::RIGHT_BOTTOM,
        format!(
            "x {}   y {}   {}",
            value(x),
            value(y),
            view.style.system.length_unit()
        ),
        FontId::proportional(SMALL),
        t.text_soft,
    );
}
