//! How far an item has come: asked, quoted, ordered, cut; and the way to log its cut.

use crate::enquiry::State;
use crate::gui::desk::{Change, DeskAction, Entry};
use crate::gui::theme::BODY;
use crate::gui::widgets::choice;
use crate::words::{Style, against_quote};
use egui::Ui;

/// The state of an item, as a list to choose from; what was quoted and cut is told under the pointer.
pub(super) fn cell_ui(
    ui: &mut Ui,
    number: usize,
    entry: &Entry,
    style: Style,
    asked: &mut Vec<DeskAction>,
) {
    let name = say!("state, item {number}");
    let (offered, logged) = (&entry.item.offered, &entry.item.logged);
    let both = offered.as_ref().zip(logged.as_ref());
    let mut shown = entry.item.state.said().to_owned();
    if let Some((offered, logged)) = both {
        let off = against_quote::off(offered, logged) * 100.0;
        let sign = if off < 0.0 { "−" } else { "+" };
        shown = format!("{shown} {sign}{:.0} %", off.abs());
    }
    let response = choice(ui, &name, &shown, BODY, |ui| {
        for state in State::ALL {
            let is_it = state == entry.item.state;
            if ui.selectable_label(is_it, state.said()).clicked() {
                asked.push(DeskAction::Change(entry.id, Change::State(state)));
                ui.close();
            }
        }
        ui.separator();
        if ui.button(say!("log the finished cut…")).clicked() {
            asked.push(DeskAction::LogCut(entry.id));
            ui.close();
        }
    });
    let mut told = Vec::new();
    told.extend(offered.as_ref().map(|o| against_quote::quoted(o, style)));
    told.extend(both.map(|(o, l)| against_quote::cut(o, l, style)));
    if !told.is_empty() {
        response.on_hover_text(told.join("\n"));
    }
}
