//! How far the reading of a drawing or its estimate is, and the way to stop it.

use crate::drawing::Progress;
use crate::gui::open_file::OpenFile;
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
    let name = say!("Reading {}…", reading.name);
    if line_ui(ui, &name, &reading.progress, say!("cancel reading")) {
        actions.push(Action::CancelReading);
    }
}

/// The same of an estimate that takes long; and, once it was stopped, what is shown instead and the way to have it.
pub fn estimating_ui(ui: &mut Ui, file: &OpenFile, actions: &mut Vec<Action>) {
    if let Some(progress) = file.takes_long() {
        let name = say!("Estimating {}…", file.name);
        if line_ui(ui, &name, progress, say!("cancel the estimate")) {
            actions.push(Action::CancelEstimate);
        }
        return;
    }
    let t = tokens(ui);
    let text = if file.answer.is_some() {
        say!("The estimate was stopped. The figures below are from before the last change.")
    } else {
        say!("The estimate was stopped. There are no figures.")
    };
    framed(ui, |ui| {
        ui.horizontal_wrapped(|ui| {
            ui.label(RichText::new(text).color(t.warn));
            if ui.button(say!("Estimate again")).clicked() {
                actions.push(Action::EstimateAgain);
            }
        });
    });
}

fn framed(ui: &mut Ui, contents: impl FnOnce(&mut Ui)) {
    let fill = tokens(ui).raised;
    Frame::new()
        .fill(fill)
        .inner_margin(Margin::symmetric(12, 6))
        .show(ui, contents);
}

/// What is done, how far it is, and the way to stop it; whether that was clicked.
pub fn line_ui(ui: &mut Ui, doing: &str, progress: &Progress, cancel: &str) -> bool {
    let t = tokens(ui);
    let mut clicked = false;
    framed(ui, |ui| {
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let stopping = progress.is_cancelled();
            let button = ui.add_enabled(!stopping, egui::Button::new(say!("Cancel")));
            clicked = button.accessible_name(cancel).clicked();
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                let text = if stopping { say!("Stopping…") } else { doing };
                let name = RichText::new(text).color(t.text);
                ui.add(egui::Label::new(name).truncate());
                let bar = ProgressBar::new(progress.fraction() as f32)
                    .desired_height(6.0)
                    .desired_width(ui.available_width().min(420.0))
                    .fill(t.accent);
                ui.add(bar).widget_info(|| {
                    egui::WidgetInfo::labeled(egui::Role::ProgressIndicator, true, say!("progress"))
                });
            });
        });
    });
    clicked
}
