//! The message across the window, and the field for a path.

use crate::gui::state::{Action, Banner, Weight};
use crate::gui::theme::{mix, tokens};
use egui::{
    Align, Button, Frame, Key, Label, Layout, Margin, RichText, Role, TextEdit, Ui, WidgetInfo,
};
use std::path::PathBuf;

/// A message that stays until it is read.
pub fn banner_ui(ui: &mut Ui, banner: &Banner, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let colour = match banner.weight {
        Weight::Note => t.accent,
        Weight::Fault => t.fault,
    };
    Frame::new()
        .fill(mix(t.raised, colour, 0.12))
        .inner_margin(Margin::symmetric(12, 6))
        .show(ui, |ui| {
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                if ui.button(say!("Dismiss")).clicked() {
                    actions.push(Action::Dismiss);
                }
                // Laid out from the right, so that the first one comes first.
                for command in banner.offers.iter().rev() {
                    let button = ui.button(command.text());
                    if button.on_hover_text(command.tooltip()).clicked() {
                        actions.push(Action::Dismiss);
                        actions.push(Action::Run(*command));
                    }
                }
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    let response =
                        ui.add(Label::new(RichText::new(&banner.text).color(t.text)).wrap());
                    response.widget_info(|| WidgetInfo::labeled(Role::Alert, true, &banner.text));
                });
            });
        });
}

/// A path to type or paste.
pub fn path_ui(ui: &mut Ui, typed: &mut Option<String>, actions: &mut Vec<Action>) {
    let Some(text) = typed else {
        return;
    };
    let mut done = false;
    Frame::new()
        .fill(tokens(ui).raised)
        .inner_margin(Margin::symmetric(12, 6))
        .show(ui, |ui| {
            ui.horizontal(|ui| {
                ui.label(say!(
                    "Path of a drawing (DXF), of finished cuts (CSV) or of a library (TOML)"
                ));
                let width = (ui.available_width() - 150.0).max(120.0);
                let field = ui
                    .add(TextEdit::singleline(text).desired_width(width))
                    .accessible_name(say!("Path"));
                if ui.data(|d| d.get_temp::<bool>(field.id)).is_none() {
                    ui.data_mut(|d| d.insert_temp(field.id, true));
                    field.request_focus();
                }
                let enter = field.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
                let go = ui.add_enabled(!text.trim().is_empty(), Button::new(say!("Open path")));
                if (go.clicked() || enter) && !text.trim().is_empty() {
                    let path = text.trim().trim_matches('"');
                    actions.push(Action::OpenPath(PathBuf::from(path)));
                    done = true;
                }
                if ui.button(say!("Cancel")).clicked() || ui.input(|i| i.key_pressed(Key::Escape)) {
                    done = true;
                }
                if done {
                    ui.data_mut(|d| d.remove_temp::<bool>(field.id));
                }
            });
        });
    if done {
        *typed = None;
    }
}
