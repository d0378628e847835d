//! How far the reading of a drawing is, and the way to stop it.

use crate::gui::state::{Action, BeingRead};
use crate::gui::theme::tokens;
use egui::{Align, Frame, Layout, Margin, ProgressBar, RichText, Ui};
use std::time::Duration;

/// A drawing read within this time needs no bar.
const NOTICEABLE: Duration = Duration::from_millis(300);

/// The drawing that is being read, once that takes noticeably long.
pub fn worth_showing(readings: &[BeingRead]) -> Option<&BeingRead> {
    readings.first().filter(|r| r.since.elapsed() > NOTICEABLE)
}

/// Name, bar and cancel.
pub fn progress_ui(ui: &mut Ui, reading: &BeingRead, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    Frame::new()
        .fill(t.raised)
        .inner_margin(Margin::symmetric(12, 6))
        .show(ui, |ui| {
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                let stopping = reading.progress.is_cancelled();
                let button = ui.add_enabled(!stopping, egui::Button::new("Cancel"));
                if button.accessible_name("cancel reading").clicked() {
                    actions.push(Action::CancelReading);
                }
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    let word = if stopping { "Stopping" } else { "Reading" };
                    let name = RichText::new(format!("{word} {}…", reading.name));
                    ui.add(egui::Label::new(name.color(t.text)).truncate());
                    let bar = ProgressBar::new(reading.progress.fraction() as f32)
                        .desired_height(6.0)
                        .desired_width(ui.available_width().min(420.0))
                        .fill(t.accent);
                    ui.add(bar).widget_info(|| {
                        egui::WidgetInfo::labeled(egui::Role::ProgressIndicator, true, "progress")
                    });
                });
            });
        });
}
