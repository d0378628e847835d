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
        ui.set_max_width(room.x - 60.0);
        ui.label(strong(say!("Keys"), 15.0).color(tokens(ui).text));
        let commands = Command::all().filter_map(|c| Some((c.keys()?, c.text())));
        let others = OTHERS.map(|(keys, text)| (said(keys).to_owned(), said(text)));
        let all: Vec<(String, &str)> = commands.chain(others).collect();
        // All of them at once, as far as the window is high enough.
        let height = room.y - 130.0;
        let columns = if room.x > 1000.0 { 3 } else { 2 };
        let each = all.len().div_ceil(columns);
        ScrollArea::both()
            .max_height(height)
            .min_scrolled_height(height)
            .show(ui, |ui| {
                ui.horizontal_top(|ui| {
                    ui.spacing_mut().item_spacing.x = APART;
                    for (k, some) in all.chunks(each).enumerate() {
                        column_ui(ui, k, some);
                    }
                });
            });
        ui.button(say!("Close")).clicked()
    });
    if modal.inner || modal.should_close() {
        *open = false;
    }
}

/// Between two columns, points.
const APART: f32 = 28.0;

/// Keys, and beside them what they do.
fn column_ui(ui: &mut Ui, k: usize, some: &[(String, &str)]) {
    Grid::new(("keys", k))
        .num_columns(2)
        .min_row_height(16.0)
        .spacing([12.0, 4.0])
        .show(ui, |ui| {
            for (keys, text) in some {
                ui.label(RichText::new(keys).color(tokens(ui).text));
                ui.label(*text);
                ui.end_row();
            }
        });
}
