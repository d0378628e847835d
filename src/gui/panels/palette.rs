//! Every command by its name, and every sample drawing.

use crate::gui::commands::Command;
use crate::gui::state::Action;
use crate::gui::widgets::{Item, search_list};
use crate::language::said;
use crate::samples;
use egui::{Align2, Id, Modal, Ui, vec2};

/// One line of the palette.
struct Entry {
    text: String,
    aside: String,
    action: Action,
}

fn entries() -> Vec<Entry> {
    let commands = Command::all().filter(|c| *c != Command::Palette);
    let commands = commands.map(|c| {
        let keys = c.keys().map(|keys| format!("{keys}  "));
        Entry {
            text: c.text().to_owned(),
            aside: format!("{}{}", keys.unwrap_or_default(), c.tooltip()),
            action: Action::Run(c),
        }
    });
    let samples = samples::ALL.iter().enumerate().map(|(k, s)| Entry {
        text: say!("Open sample, {}", said(s.title)),
        aside: s.name.to_owned(),
        action: Action::OpenSample(k),
    });
    commands.chain(samples).collect()
}

/// The palette while it is open.
pub fn palette_ui(ui: &Ui, open: &mut bool, actions: &mut Vec<Action>) {
    if !*open {
        return;
    }
    let id = Id::unique("command palette");
    let mut close = false;
    let modal = Modal::new(id)
        .area(Modal::default_area(id).anchor(Align2::CENTER_TOP, vec2(0.0, 90.0)))
        .show(ui.ctx(), |ui| {
            ui.set_width(480.0);
            let list = entries();
            let items: Vec<Item<'_>> = (list.iter())
                .map(|e| Item {
                    name: &e.text,
                    aside: &e.aside,
                    label: e.text.clone(),
                    chosen: false,
                    enabled: true,
                })
                .collect();
            if let Some(k) = search_list(ui, say!("Command"), say!("what to do"), &items) {
                actions.push(list[k].action.clone());
                close = true;
            }
        });
    if close || modal.should_close() {
        *open = false;
    }
}
