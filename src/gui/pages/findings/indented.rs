//! Rows below the words of a finding.

use egui::Ui;

/// A row, or several, below the words of a finding.
pub fn indented<R>(ui: &mut Ui, contents: impl FnOnce(&mut Ui) -> R) -> R {
    ui.horizontal_top(|ui| {
        ui.add_space(32.0);
        ui.vertical(|ui| ui.horizontal_wrapped(contents).inner)
            .inner
    })
    .inner
}
