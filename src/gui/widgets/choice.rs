//! A word of the sentence that opens what else it could be.

use crate::gui::theme::{Tokens, tokens};
use egui::{
    Align, Button, Color32, FontId, Layout, Popup, PopupCloseBehavior, Response, RichText, Role,
    Sense, Stroke, TextWrapMode, Ui, WidgetInfo, vec2,
};

/// Width of a choice with its margins, points.
fn field_width(ui: &Ui, text: &str, size: f32) -> f32 {
    let font = FontId::proportional(size);
    let galley = ui
        .painter()
        .layout_no_wrap(text.to_owned(), font, tokens(ui).accent);
    galley.size().x + 2.0 * ui.spacing().button_padding.x
}

/// A dot between two choices; none where the second begins a line.
pub fn dot_before(ui: &mut Ui, next: &str, size: f32) {
    let dot = RichText::new("·").size(size).color(tokens(ui).text_soft);
    let font = FontId::proportional(size);
    let galley = ui
        .painter()
        .layout_no_wrap("·".to_owned(), font, tokens(ui).text_soft);
    let both = galley.size().x + ui.spacing().item_spacing.x + field_width(ui, next, size);
    if both <= ui.available_size_before_wrap().x {
        ui.label(dot);
    } else {
        ui.end_row();
    }
}

/// A field that shows `text` and opens `contents`; `name` is what a screen reader says.
pub fn choice(
    ui: &mut Ui,
    name: &str,
    text: &str,
    size: f32,
    contents: impl FnOnce(&mut Ui),
) -> Response {
    let t = tokens(ui);
    // A field that has no room left goes to the next line as a whole.
    if ui.layout().main_wrap() && field_width(ui, text, size) > ui.available_size_before_wrap().x {
        ui.end_row();
    }
    let button = Button::new(RichText::new(text).size(size).color(t.accent))
        .fill(t.accent_fill)
        .stroke(Stroke::NONE)
        .wrap_mode(TextWrapMode::Extend);
    let response = ui.push_id(name, |ui| ui.add(button)).inner;
    response.widget_info(|| {
        let mut info = WidgetInfo::labeled(Role::ComboBox, true, name);
        info.current_text_value = Some(text.to_owned());
        info
    });
    underline(ui, &response, t);
    Popup::menu(&response)
        .close_behavior(PopupCloseBehavior::CloseOnClickOutside)
        .layout(Layout::top_down_justified(Align::Min))
        .gap(4.0)
        .show(contents);
    response
}

/// The line under a field of the sentence.
pub fn underline(ui: &Ui, response: &Response, t: &Tokens) {
    let r = response.rect;
    let strength = if response.hovered() || response.has_focus() {
        2.0
    } else {
        1.0
    };
    ui.painter().line_segment(
        [
            r.left_bottom() + vec2(3.0, -0.5),
            r.right_bottom() + vec2(-3.0, -0.5),
        ],
        Stroke::new(strength, t.accent),
    );
}

/// A wire's colour; its name must stand beside it.
pub fn swatch(ui: &mut Ui, colour: Color32) -> Response {
    let (rect, response) = ui.allocate_exact_size(vec2(12.0, 12.0), Sense::hover());
    ui.painter().rect_filled(rect, 3, colour);
    response
}
