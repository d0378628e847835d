//! A number typed in place: taken over on Enter or when the field is left, never half typed. What could mean two numbers
//! is asked, unless the shop has said which sign is its decimal one.

use super::choice::underline;
use crate::gui::theme::tokens;
use crate::language::localised;
use crate::numbers::{self, DecimalSign, TwoMeanings, Written};
use egui::text::{CCursor, CCursorRange};
use egui::{
    Align2, Area, Context, FontId, Frame, Id, Key, Margin, Order, Response, TextEdit, Ui, vec2,
};

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
        let typed = ask(ui, id, &response, self.name, typed);
        Entry { response, typed }
    }
}

fn sign_id() -> Id {
    Id::unique("decimal sign of the shop")
}

/// Says to all fields which sign is the shop's decimal one; `None` where it has not said so.
pub fn set_decimal_sign(ctx: &Context, sign: Option<DecimalSign>) {
    ctx.data_mut(|d| d.insert_temp(sign_id(), sign));
}

/// A number as text that can be read only one way.
fn plain(value: f64, unit: &str) -> String {
    format!("{}{unit}", numbers::plain(value))
}

/// What is meant by what was typed: itself, or where it could mean two numbers the one that is chosen.
fn ask(
    ui: &mut Ui,
    id: Id,
    response: &Response,
    name: &str,
    typed: Option<String>,
) -> Option<String> {
    let asked = id.with("two meanings");
    if let Some(text) = typed {
        let end =
            text.find(|c: char| c.is_alphabetic() || matches!(c, '"' | '″' | '°' | '%' | '/'));
        let (digits, unit) = text.split_at(end.unwrap_or(text.len()));
        let Written::Either(two) = numbers::read(digits, None) else {
            return Some(text);
        };
        let sign: Option<DecimalSign> = ui.data(|d| d.get_temp(sign_id())).flatten();
        // The window itself writes a point, so a point is one where nobody has said otherwise.
        let sign = sign.or_else(|| digits.contains('.').then_some(DecimalSign::Point));
        if let Some(value) = sign.and_then(|s| numbers::read(digits, Some(s)).number()) {
            return Some(plain(value, unit));
        }
        ui.data_mut(|d| d.insert_temp(asked, (text.clone(), two, unit.to_owned())));
        return None;
    }
    let open: Option<(String, TwoMeanings, String)> = ui.data(|d| d.get_temp(asked));
    let (text, two, unit) = open?;
    let mut chosen = None;
    let mut done = response.gained_focus() || ui.input(|i| i.key_pressed(Key::Escape));
    Area::new(asked)
        .order(Order::Foreground)
        .fixed_pos(response.rect.left_bottom() + vec2(0.0, 4.0))
        .show(ui.ctx(), |ui| {
            Frame::popup(ui.style()).show(ui, |ui| {
                ui.label(say!("{name}: “{}” could mean two numbers.", text.trim()));
                ui.horizontal(|ui| {
                    for value in [two.small, two.large] {
                        let meant = plain(value, &unit);
                        let shown = localised(meant.clone());
                        if ui.button(say!("Take {shown}")).clicked() {
                            chosen = Some(meant);
                        }
                    }
                    done |= ui.button(say!("Neither")).clicked();
                });
            });
        });
    if done || chosen.is_some() {
        ui.data_mut(|d| d.remove_temp::<(String, TwoMeanings, String)>(asked));
    }
    chosen
}
