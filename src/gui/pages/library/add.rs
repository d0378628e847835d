//! A new entry begins as a copy of another one, under a name of its own.

use super::asking::ask;
use super::words;
use crate::gui::own_library::LibraryAction;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, tokens};
use crate::gui::widgets::choice;
use crate::library::LibraryTable;
use egui::{Button, Id, Key, RichText, ScrollArea, TextEdit, Ui};

/// What is typed so far.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
struct Draft {
    from: String,
    name: String,
    focus: bool,
}

fn id(table: LibraryTable) -> Id {
    Id::unique(("entry to add", table))
}

/// Opens the fields with an entry to copy.
pub fn begin(ui: &Ui, table: LibraryTable, from: &str) {
    let draft = Draft {
        from: from.to_owned(),
        name: String::new(),
        focus: true,
    };
    ui.data_mut(|d| d.insert_temp(id(table), draft));
}

/// The button, and the fields once it was pressed.
pub fn add_ui(ui: &mut Ui, table: LibraryTable, view: &View<'_>, actions: &mut Vec<Action>) {
    let one = words::one(table);
    let draft: Option<Draft> = ui.data(|d| d.get_temp(id(table)));
    let names = view.library.entry_names(table);
    let Some(mut draft) = draft else {
        let first = view.own.open.clone().or_else(|| names.first().cloned());
        if ui.button(say!("Add a {one}…")).clicked() {
            begin(ui, table, &first.unwrap_or_default());
        }
        return;
    };
    let before = draft.clone();
    let mut done = false;
    ui.horizontal_wrapped(|ui| {
        let soft = tokens(ui).text_soft;
        ui.label(say!("New {one}"));
        let hint = match table {
            LibraryTable::Diameters => view.style.system.length_unit(),
            _ => say!("its name"),
        };
        let field = ui
            .add(
                TextEdit::singleline(&mut draft.name)
                    .hint_text(hint)
                    .desired_width(170.0),
            )
            .accessible_name(say!("Name of the new {one}"));
        if draft.focus {
            field.request_focus();
            draft.focus = false;
        }
        ui.label(RichText::new(say!("as a copy of")).color(soft));
        choice(
            ui,
            &say!("{one} to copy"),
            &draft.from.clone(),
            BODY,
            |ui| {
                ScrollArea::vertical().max_height(420.0).show(ui, |ui| {
                    for name in &names {
                        if ui.selectable_label(draft.from == *name, name).clicked() {
                            draft.from.clone_from(name);
                            ui.close();
                        }
                    }
                });
            },
        );
        let enter = field.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
        let ready = !draft.name.trim().is_empty();
        let button = ui.add_enabled(ready, Button::new(say!("Add it")));
        if ready && (button.clicked() || enter) {
            ask(
                actions,
                LibraryAction::Copy {
                    table,
                    from: draft.from.clone(),
                    name: draft.name.trim().to_owned(),
                },
            );
            // A name that is refused is typed anew; the message says why.
            done = true;
        }
        if ui.button(say!("Cancel")).clicked() {
            done = true;
        }
    });
    if done {
        ui.data_mut(|d| d.remove_temp::<Draft>(id(table)));
    } else if draft != before {
        ui.data_mut(|d| d.insert_temp(id(table), draft));
    }
}
