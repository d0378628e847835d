//! Finished cuts: log one, take a table over, see what they teach, and switch that on and off.

mod form;
mod lessons;
mod quotes;
mod table;
mod text;

use crate::gui::learning::{Brought, LearnAction, Learning};
use crate::gui::state::{Action, View};
use crate::gui::theme::{SMALL, mix, tokens};
use crate::gui::widgets::choice;
use crate::words;
use crate::words::style;
use egui::{Frame, Label, Margin, RichText, ScrollArea, Ui};
use text::remark;

/// Faults of a file that are listed; the rest is counted.
const FAULTS_SHOWN: usize = 12;

/// The page from top to bottom.
pub fn cuts_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let learning = view.learning;
    ScrollArea::both()
        .id_salt("cuts")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            // Room for the scroll bar.
            ui.set_max_width(ui.available_width() - 12.0);
            use_ui(ui, learning, actions);
            if let Some(brought) = &learning.brought {
                brought_ui(ui, brought, actions);
            }
            beside_ui(ui, learning, actions);
            ui.add_space(6.0);
            form::form_ui(ui, view, actions);
            ui.add_space(8.0);
            file_ui(ui, learning, actions);
            if learning.cuts.is_empty() {
                ui.add_space(8.0);
                remark(
                    ui,
                    say!("No cut is logged yet. Log the first one above, or import a table of past cuts: a CSV with \
                     date, material, wire, diameter_mm, thickness_mm, flushing, passes, cut_length_mm and \
                     cutting_minutes, and where noted machine, wire_m (without what is \
                     wasted at threadings) and note. It may also be dropped on the window."),
                );
                return;
            }
            ui.add_space(10.0);
            table::table_ui(ui, view, actions);
            ui.add_space(10.0);
            quotes::quotes_ui(ui, view, actions);
            ui.add_space(10.0);
            lessons::lessons_ui(ui, view, actions);
            ui.add_space(12.0);
        });
}

/// The switch, and for which machine.
fn use_ui(ui: &mut Ui, learning: &Learning, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let usable = learning.fit().is_some_and(|f| f.knowledge.cuts > 0);
    ui.horizontal(|ui| {
        let mut on = learning.on && usable;
        let response = ui
            .add_enabled(
                usable,
                egui::Checkbox::new(&mut on, say!("Estimates use what was learned")),
            )
            .on_hover_text(say!("off: every estimate rests on the library alone"));
        if response.changed() {
            actions.push(Action::Learn(LearnAction::Use(on)));
        }
        if learning.fits.len() > 1
            && let Some(fit) = learning.fit()
        {
            ui.label(RichText::new(say!("on")).color(t.text_soft));
            let name = |n: &str| {
                if n.is_empty() {
                    say!("machine without a name").to_owned()
                } else {
                    n.to_owned()
                }
            };
            choice(
                ui,
                say!("Machine of the estimates"),
                &name(&fit.machine),
                13.5,
                |ui| {
                    for f in &learning.fits {
                        if ui
                            .selectable_label(f.machine == fit.machine, name(&f.machine))
                            .clicked()
                        {
                            let action = LearnAction::Machine(f.machine.clone());
                            actions.push(Action::Learn(action));
                            ui.close();
                        }
                    }
                },
            );
        }
        if learning.waiting {
            ui.label(
                RichText::new(say!("fitting…"))
                    .size(SMALL)
                    .color(t.text_faint),
            );
        }
    });
    if let Some(known) = learning.in_use() {
        remark(
            ui,
            &say!(
                "Times, wire, costs, ranges and reasons rest on {}.",
                style::count(known.cuts, say!("finished cut"), say!("finished cuts"))
            ),
        );
    }
}

/// Cuts that lie beside the table, and the way to merge them.
fn beside_ui(ui: &mut Ui, learning: &Learning, actions: &mut Vec<Action>) {
    if learning.beside.is_empty() {
        return;
    }
    for beside in &learning.beside {
        let cuts = style::count(beside.cuts, say!("cut"), say!("cuts"));
        remark(ui, &say!("{}: {cuts} that your table lacks.", beside.name));
    }
    let merge = ui.button(say!("Merge into the table"));
    if merge
        .on_hover_text(say!(
            "what is there already is not added twice; the files stay as they are"
        ))
        .clicked()
    {
        actions.push(Action::Learn(LearnAction::Merge));
    }
}

/// What the last file brought, and what of it cannot be used.
fn brought_ui(ui: &mut Ui, brought: &Brought, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let colour = if brought.faults.is_empty() {
        t.accent
    } else {
        t.warn
    };
    Frame::new()
        .fill(mix(t.raised, colour, 0.10))
        .corner_radius(4)
        .inner_margin(Margin::symmetric(10, 7))
        .show(ui, |ui| {
            ui.set_width(ui.available_width());
            let mut text = say!(
                "{}: {} imported",
                brought.name,
                style::count(brought.taken, say!("cut"), say!("cuts"))
            );
            if brought.known > 0 {
                text = say!("{text}, {} there already", brought.known);
            }
            ui.add(Label::new(RichText::new(format!("{text}.")).color(t.text)).wrap());
            if !brought.faults.is_empty() {
                let rows = style::count(brought.faults.len(), say!("row"), say!("rows"));
                ui.label(RichText::new(say!("{rows} cannot be used:")).color(t.text_soft));
            }
            for fault in brought.faults.iter().take(FAULTS_SHOWN) {
                ui.add(Label::new(RichText::new(words::cuts::row(fault)).color(t.text)).wrap());
            }
            if brought.faults.len() > FAULTS_SHOWN {
                remark(
                    ui,
                    &say!("And {} more.", brought.faults.len() - FAULTS_SHOWN),
                );
            }
            if !brought.unknown_columns.is_empty() {
                remark(
                    ui,
                    &say!(
                        "Columns passed over: {}.",
                        brought.unknown_columns.join(", ")
                    ),
                );
            }
            if ui
                .button(say!("Dismiss"))
                .on_hover_text(say!("this note is read"))
                .clicked()
            {
                actions.push(Action::Learn(LearnAction::Dismiss));
            }
        });
}

/// Tables in and out.
fn file_ui(ui: &mut Ui, learning: &Learning, actions: &mut Vec<Action>) {
    ui.horizontal_wrapped(|ui| {
        let some = !learning.cuts.is_empty();
        for (text, hint, action, enabled) in [
            (
                say!("Import a table…"),
                say!("a CSV of past cuts; cuts that are here already are not added twice"),
                LearnAction::Import,
                true,
            ),
            (
                say!("Save the table…"),
                say!("as a CSV that this window and the command line read"),
                LearnAction::Save,
                some,
            ),
            (
                say!("Copy the table"),
                say!("put it on the clipboard, for a spreadsheet or an editor"),
                LearnAction::Copy,
                some,
            ),
            (
                say!("Undo in the table"),
                say!("take back the last cut, mark or file"),
                LearnAction::Undo,
                learning.can_undo(),
            ),
        ] {
            let response = ui.add_enabled(enabled, egui::Button::new(text));
            if response.on_hover_text(hint).clicked() {
                actions.push(Action::Learn(action));
            }
        }
    });
}
