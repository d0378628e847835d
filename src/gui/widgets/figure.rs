//! A figure that says why it is what it is, when clicked.

use crate::gui::theme::tokens;
use egui::{Align2, Color32, CursorIcon, FontId, Response, Role, Sense, Ui, WidgetInfo, vec2};

/// Text at the right edge of the room given, clickable; `name` is what a screen reader says before it.
pub fn figure(ui: &mut Ui, name: &str, text: &str, font: FontId, colour: Color32) -> Response {
    figure_sensing(ui, name, text, (font, colour), Sense::click())
}

/// A [`figure`] with a sense of its own: without focus it is no stop of the Tab key.
pub fn figure_sensing(
    ui: &mut Ui,
    name: &str,
    text: &str,
    (font, colour): (FontId, Color32),
    sense: Sense,
) -> Response {
    let t = tokens(ui);
    let galley = ui
        .painter()
        .layout_no_wrap(text.to_owned(), font.clone(), colour);
    let size = vec2(galley.size().x + 6.0, galley.size().y + 2.0);
    let (rect, response) = ui.allocate_exact_size(size, sense);
    let label = format!("{name}, {text}");
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &label));
    if response.hovered() || response.has_focus() {
        ui.painter().rect_filled(rect, 3, t.accent_fill);
    }
    ui.painter().text(
        rect.right_center() - vec2(3.0, 0.0),
        Align2::RIGHT_CENTER,
        text,
        font,
        colour,
    );
    response.on_hover_cursor(CursorIcon::Help)
}
