//! Every key on one sheet.

use crate::gui::commands::Command;
use crate::gui::theme::{strong, tokens};
use crate::language::said;
use egui::{Grid, Id, Modal, RichText, ScrollArea, Ui};

/// What the pointer and the keys do that are no commands.
const OTHERS: [(&str, &str); 8] = [
    (key!("Wheel"), key!("Zoom where the pointer is")),
    (key!("Drag"), key!("Move the drawing")),
    (
        key!("Double click"),
        key!("The whole drawing in view; on the splitter, fold the wires"),
    ),
    (
        key!("Right click"),
        key!("Decide for the contour under the pointer"),
    ),
    (key!("Space"), key!("On the steps: play or stand still")),
    (
        "← →",
        key!("On the steps: a little back or on; with Shift, step by step"),
    ),
    (
        key!("Home End"),
        key!("On the steps: to the beginning or the end"),
    ),
    (key!("↑ ↓ Enter"), key!("In a list: choose; letters search")),
];

/// The sheet while it is open.
pub fn keys_ui(ui: &Ui, open: &mut bool) {
    if !*open {
        return;
    }
    let modal = Modal::new(Id::unique("keys")).show(ui.ctx(), |ui| {
        let room = ui.ctx().content_rect().size();
        ui.set_width((room.x - 120.0).min(900.0));
        ui.label(strong(say!("Keys"), 15.0).color(tokens(ui).text));
        let commands = Command::all().filter_map(|c| Some((c.keys()?, c.text())));
        let others = OTHERS.map(|(keys, text)| (said(keys).to_owned(), said(text)));
        let all: Vec<(String, &str)> = commands.chain(others).collect();
        // All of them at once, if the window is high enough for half of them.
        let half = all.len().div_ceil(2);
        ScrollArea::both()
            .max_height(room.y - 110.0)
            .min_scrolled_height(room.y - 110.0)
            .show(ui, |ui| {
                Grid::new("keys")
                    .num_columns(4)
                    .spacing([14.0, 3.0])
                    .show(ui, |ui| {
                        for k in 0..half {
                            for (keys, text) in all.get(k).into_iter().chain(all.get(half + k)) {
                                ui.label(RichText::new(keys).color(tokens(ui).text));
                                ui.label(*text);
                            }
                            ui.end_row();
                        }
                    });
            });
        ui.button(say!("Close")).clicked()
    });
    if modal.inner || modal.should_close() {
        *open = false;
    }
}
