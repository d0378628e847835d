//! A number typed in place: taken over on Enter or when the field is left, never half typed.

use super::choice::underline;
use crate::gui::theme::tokens;
use egui::text::{CCursor, CCursorRange};
use egui::{Align2, FontId, Frame, Id, Key, Margin, Response, TextEdit, Ui, vec2};

/// What came of a field in this frame.
pub struct Entry {
    /// The field.
    pub response: Response,
    /// What was typed, once it is meant.
    pub typed: Option<String>,
}

/// A field with a name for screen readers and tests.
pub struct NumberField<'a> {
    name: &'a str,
    shown: String,
    size: f32,
    width: Option<f32>,
}

impl<'a> NumberField<'a> {
    /// Shows `shown` until something else is typed.
    pub fn new(name: &'a str, shown: impl Into<String>) -> Self {
        Self {
            name,
            shown: shown.into(),
            size: crate::gui::theme::BODY,
            width: None,
        }
    }
    /// Text size, points.
    #[must_use]
    pub fn size(mut self, size: f32) -> Self {
        self.size = size;
        self
    }
    /// Fixed width, points; else it follows the text.
    #[must_use]
    pub fn width(mut self, width: f32) -> Self {
        self.width = Some(width);
        self
    }
    /// Lays it out.
    pub fn show(self, ui: &mut Ui) -> Entry {
        let t = tokens(ui);
        let id = Id::unique(("number field", self.name));
        let draft: Option<String> = ui.data(|d| d.get_temp(id));
        let mut text = draft.unwrap_or_else(|| self.shown.clone());
        let font = FontId::proportional(self.size);
        let width = self.width.unwrap_or_else(|| {
            let galley = ui
                .painter()
                .layout_no_wrap(text.clone(), font.clone(), t.accent);
            galley.size().x.max(18.0)
        });
        let edit = TextEdit::singleline(&mut text)
            .id(id)
            .font(font)
            .text_color(t.accent)
            .desired_width(width + 2.0)
            .clip_text(false)
            .min_size(vec2(0.0, 0.0))
            .align(if self.width.is_some() {
                Align2::RIGHT_CENTER
            } else {
                Align2::LEFT_CENTER
            })
            .frame(
                Frame::new()
                    .fill(t.accent_fill)
                    .corner_radius(4)
                    .inner_margin(Margin::symmetric(6, 2)),
            );
        let output = edit.show(ui);
        let response = output.response.response.clone().accessible_name(self.name);
        if response.gained_focus() {
            // Typing replaces the number, as in any table.
            let mut state = output.state;
            let all = CCursorRange::two(CCursor::new(0), CCursor::new(text.chars().count()));
            state.cursor.set_char_range(Some(all));
            state.store(ui.ctx(), id);
        }
        underline(ui, &response, t);
        let mut typed = None;
        if response.lost_focus() {
            ui.data_mut(|d| d.remove_temp::<String>(id));
            let cancelled = ui.input(|i| i.key_pressed(Key::Escape));
            if !cancelled && text.trim() != self.shown.trim() {
                typed = Some(text);
            }
        } else if response.has_focus() {
            // Only what differs is kept, so that a value changed from elsewhere shows at once.
            if text == self.shown {
                ui.data_mut(|d| d.remove_temp::<String>(id));
            } else {
                ui.data_mut(|d| {
                    d.insert_temp(id, text);
                });
            }
        }
        Entry { response, typed }
    }
}
