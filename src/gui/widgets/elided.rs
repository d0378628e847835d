//! Text that may be longer than its room.

use egui::emath::{Rect, pos2};
use egui::text::LayoutJob;
use egui::{Color32, FontId, Ui};

/// One line from the left edge, which ends in an ellipsis where it is too long.
pub fn elided(ui: &Ui, text: impl Into<String>, font: FontId, colour: Color32, room: Rect) {
    let mut job = LayoutJob::simple_singleline(text.into(), font, colour);
    job.wrap.max_width = room.width();
    job.wrap.max_rows = 1;
    job.wrap.break_anywhere = true;
    let galley = ui.painter().layout_job(job);
    let top = room.center().y - galley.size().y / 2.0;
    ui.painter().galley(pos2(room.left(), top), galley, colour);
}
