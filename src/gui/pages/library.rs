//! The library: what every estimate rests on, the shop's own entries over the built-in ones, one entry open at a time.

mod add;
mod asking;
mod cells;
mod entries;
mod points;
mod words;

use crate::gui::commands::Command;
use crate::gui::own_library::{Kind, LibraryAction, OwnLibrary, Spot};
use crate::gui::page::Page;
use crate::gui::state::{Action, View};
use crate::gui::theme::{mix, tokens};
use crate::language::{lower_case, said};
use crate::library::LibraryTable;
use crate::words::{saving, style};
use asking::{ask, remark};
use egui::{
    Button, Frame, Key, Label, Margin, RichText, Role, ScrollArea, TextEdit, Ui, WidgetInfo,
};

/// The page from top to bottom.
pub fn library_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let own = view.own;
    kinds_ui(ui, own, actions);
    wrong_ui(ui, own, actions);
    ui.separator();
    ScrollArea::both()
        .id_salt(("library", own.kind))
        .auto_shrink([false, false])
        .show(ui, |ui| {
            // Room for the scroll bar.
            ui.set_max_width(ui.available_width() - 12.0);
            head_ui(ui, own, actions);
            ui.add_space(6.0);
            remark(ui, words::about(own.kind));
            ui.add_space(2.0);
            match own.kind {
                Kind::Table(table) => entries::entries_ui(ui, table, view, actions),
                Kind::Curve => points::points_ui(ui, view, actions),
            }
            ui.add_space(12.0);
        });
}

/// What is in force, where it is kept, and files in and out.
fn head_ui(ui: &mut Ui, own: &OwnLibrary, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let count = own.own().count();
    let text = match count {
        0 => say!("All figures are the built-in ones. Change a value, and it becomes your own.")
            .to_owned(),
        1 => say!("One entry is your own; it lies over the built-in ones, which are never lost.")
            .to_owned(),
        n => {
            say!("{n} entries are your own; they lie over the built-in ones, which are never lost.")
        }
    };
    ui.add(Label::new(RichText::new(text).color(t.text)).wrap());
    ui.horizontal_wrapped(|ui| {
        for (text, hint, action, enabled) in [
            (
                say!("Undo in the library"),
                say!("take the last change of the library back"),
                LibraryAction::Undo,
                own.beside(true).is_some(),
            ),
            (
                say!("Redo"),
                say!("make the change again that was taken back"),
                LibraryAction::Redo,
                own.beside(false).is_some(),
            ),
            (
                say!("Import a file…"),
                say!("entries of the same name are replaced, the others stay; a file may also be dropped on the window"),
                LibraryAction::TakeOver,
                true,
            ),
            (
                say!("Save as a file…"),
                say!("your own entries, for another computer or for the command line"),
                LibraryAction::Save,
                count > 0,
            ),
        ] {
            let button = ui.add_enabled(enabled, Button::new(text));
            if button.on_hover_text(hint).clicked() {
                ask(actions, action);
            }
        }
    });
    path_ui(ui, own, actions);
    let kept = match &own.place {
        Some(place) if own.is_safe => say!("Kept in {place}."),
        Some(place) if count > 0 => say!("Being saved in {place}."),
        Some(place) => say!("Your entries will be kept in {place}."),
        None => {
            say!("Nothing is kept between starts here; save your entries as a file.").to_owned()
        }
    };
    remark(ui, &kept);
}

/// A path to save at, where there is no dialog.
fn path_ui(ui: &mut Ui, own: &OwnLibrary, actions: &mut Vec<Action>) {
    if !own.asks_path {
        return;
    }
    let id = ui.make_persistent_id("path of the library");
    let mut path: String = ui.data(|d| d.get_temp(id)).unwrap_or_default();
    remark(
        ui,
        &say!(
            "{} Type or paste where to save your library, such as library.toml in a folder of yours.",
            saving::no_dialog()
        ),
    );
    ui.horizontal(|ui| {
        let room = (ui.available_width() - 150.0).max(120.0);
        let field = ui
            .add(TextEdit::singleline(&mut path).desired_width(room))
            .accessible_name(say!("Path to save at"));
        let enter = field.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
        let wanted = path.trim().trim_matches('"').to_owned();
        let save = ui.add_enabled(!wanted.is_empty(), Button::new(say!("Save there")));
        if (save.clicked() || enter) && !wanted.is_empty() {
            ask(actions, LibraryAction::SaveAt(wanted));
        }
        if ui.button(say!("Cancel")).clicked() {
            ask(actions, LibraryAction::NoPath);
        }
    });
    ui.data_mut(|d| d.insert_temp(id, path));
}

/// What was typed and cannot be used, cell by cell.
fn wrong_ui(ui: &mut Ui, own: &OwnLibrary, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let wrong = own.wrong();
    if wrong.is_empty() {
        return;
    }
    Frame::new()
        .fill(mix(t.raised, t.fault, 0.12))
        .corner_radius(4)
        .inner_margin(Margin::symmetric(10, 6))
        .show(ui, |ui| {
            ui.set_width(ui.available_width());
            let values = style::count(wrong.len(), say!("value"), say!("values"));
            let text = say!(
                "{values} cannot be used. The library from before stays in force until that is put right."
            );
            let response = ui.add(Label::new(RichText::new(&text).color(t.text)).wrap());
            response.widget_info(|| WidgetInfo::labeled(Role::Alert, true, &text));
            for w in wrong {
                let text = format!("{}: {}", spot_words(&w.spot), w.reason);
                let link = Button::new(RichText::new(&text).color(t.fault))
                    .frame(false)
                    .wrap();
                if ui.add(link).on_hover_text(say!("show it")).clicked() {
                    show(&w.spot, actions);
                }
            }
            if ui
                .button(say!("Forget what was typed"))
                .on_hover_text(say!("these cells show again what is in force"))
                .clicked()
            {
                ask(actions, LibraryAction::PutAway);
            }
        });
}

/// Opens the entry that a field belongs to.
fn show(spot: &Spot, actions: &mut Vec<Action>) {
    match spot {
        Spot::Cell { table, entry, .. } => {
            if *table == LibraryTable::Machines {
                actions.push(Action::Run(Command::Page(Page::Shop)));
            } else {
                ask(actions, LibraryAction::Turn(Kind::Table(*table)));
            }
            ask(actions, LibraryAction::Open(Some(entry.clone())));
        }
        Spot::Point { .. } => ask(actions, LibraryAction::Turn(Kind::Curve)),
    }
}

/// A field in words: "cold-work tool steel, density".
fn spot_words(spot: &Spot) -> String {
    match spot {
        Spot::Cell {
            table, entry, path, ..
        } => {
            let entry_words = words::entry_name(*table, entry);
            match table.fields().iter().find(|f| f.key == *path) {
                Some(field) => format!("{entry_words}, {}", lower_case(said(field.words))),
                None => entry_words,
            }
        }
        Spot::Point { point, rate } => {
            let what = if *rate {
                say!("rate")
            } else {
                say!("thickness")
            };
            say!("Point {} of the thickness curve, {what}", point + 1)
        }
    }
}

fn kinds_ui(ui: &mut Ui, own: &OwnLibrary, actions: &mut Vec<Action>) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 2.0;
        for kind in Kind::ALL {
            let count = match kind {
                Kind::Table(table) => own.sheet().own_count(table),
                Kind::Curve => usize::from(own.own().thickness_curve.is_some()),
            };
            let text = match count {
                0 => words::kind(kind).to_owned(),
                n => format!("{} {n}", words::kind(kind)),
            };
            let response = ui
                .selectable_label(own.kind == kind, text)
                .on_hover_text(style::count(
                    count,
                    say!("entry of yours"),
                    say!("entries of yours"),
                ))
                .accessible_name(words::kind(kind));
            if response.clicked() {
                ask(actions, LibraryAction::Turn(kind));
            }
        }
    });
}
