//! Every command by its name, and every sample drawing.

use crate::gui::commands::Command;
use crate::gui::state::Action;
use crate::samples;
use egui::{Align2, Button, Id, Key, Modal, RichText, ScrollArea, TextEdit, Ui, vec2};

/// One line of the palette.
struct Entry {
    text: String,
    hint: String,
    action: Action,
    rank: usize,
}

fn entries(ui: &Ui, typed: &str) -> Vec<Entry> {
    let mut list: Vec<_> = Command::all()
        .filter(|c| *c != Command::Palette)
        .filter_map(|c| {
            Some(Entry {
                text: c.text().to_owned(),
                hint: c
                    .shortcut()
                    .map(|k| ui.ctx().format_shortcut(&k))
                    .unwrap_or_default(),
                rank: c.rank(typed)?,
                action: Action::Run(c),
            })
        })
        .collect();
    let lower = typed.to_lowercase();
    list.extend(samples::ALL.iter().enumerate().filter_map(|(k, s)| {
        let text = format!("Open sample, {}", s.title);
        let found = lower
            .split_whitespace()
            .all(|w| text.to_lowercase().contains(w));
        found.then(|| Entry {
            text,
            hint: s.name.to_owned(),
            action: Action::OpenSample(k),
            rank: 3,
        })
    }));
    list.sort_by_key(|e| e.rank);
    list
}

/// The palette while it is open; `typed` becomes `None` when it closes.
pub fn palette_ui(ui: &Ui, typed: &mut Option<String>, actions: &mut Vec<Action>) {
    let Some(text) = typed else {
        return;
    };
    let id = Id::unique("command palette");
    let mut close = false;
    let modal = Modal::new(id)
        .area(Modal::default_area(id).anchor(Align2::CENTER_TOP, vec2(0.0, 90.0)))
        .show(ui.ctx(), |ui| {
            ui.set_width(480.0);
            let field = ui
                .add(
                    TextEdit::singleline(text)
                        .hint_text("what to do")
                        .desired_width(f32::INFINITY),
                )
                .accessible_name("Command");
            if !field.has_focus() && !field.lost_focus() {
                field.request_focus();
            }
            let list = entries(ui, text);
            let first = ui.input(|i| i.key_pressed(Key::Enter));
            ScrollArea::vertical().max_height(420.0).show(ui, |ui| {
                for (k, e) in list.into_iter().enumerate() {
                    let button = Button::new(e.text.as_str())
                        .selected(k == 0)
                        .right_text(RichText::new(&e.hint).weak());
                    let response = ui
                        .add_sized([ui.available_width(), 24.0], button)
                        .accessible_name(&e.text);
                    if response.clicked() || (k == 0 && first) {
                        actions.push(e.action);
                        close = true;
                    }
                }
            });
        });
    if close || modal.should_close() {
        *typed = None;
    }
}
