//! The ends of a wire's row: its name and the choice of baseline, what stops it, and taking it out.

use super::columns::Columns;
use crate::estimate::Estimate;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, strong, strong_family, tokens};
use crate::gui::widgets::swatch;
use crate::words::obstacles;
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::text::LayoutJob;
use egui::{Align, Button, FontId, Layout, RichText, Sense, Ui, UiBuilder};

pub(super) fn name_cell(
    ui: &mut Ui,
    rect: Rect,
    i: usize,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    let job = &view.file.job;
    let candidate = &job.candidates[i];
    let inner = rect.shrink2(vec2(14.0, 0.0));
    ui.scope_builder(
        UiBuilder::new()
            .max_rect(inner)
            .layout(Layout::left_to_right(Align::Center)),
        |ui| {
            let name = view.style.candidate(candidate);
            let radio = ui
                .radio(job.baseline == i, "")
                .on_hover_text("hold the other wires against this one")
                .accessible_name(format!("baseline {name}"));
            if radio.clicked() && job.baseline != i {
                let mut new = job.clone();
                new.baseline = i;
                actions.push(Action::Edit(Box::new(new)));
            }
            ui.add_space(10.0);
            swatch(ui, t.wire(i));
            ui.add_space(-2.0);
            let (r, _) = ui.allocate_exact_size(vec2(150.0, rect.height()), Sense::hover());
            let painter = ui.painter();
            let weight = if view.file.shown == i {
                FontId::new(BODY, strong_family())
            } else {
                FontId::proportional(BODY)
            };
            painter.text(
                pos2(r.left(), r.center().y - 7.5),
                Align2::LEFT_CENTER,
                &candidate.wire,
                weight,
                t.text,
            );
            painter.text(
                pos2(r.left(), r.center().y + 8.0),
                Align2::LEFT_CENTER,
                view.style.candidate_size(candidate),
                FontId::proportional(SMALL),
                t.text_soft,
            );
        },
    );
}

/// Why a wire cannot do it, in words.
pub(super) fn blocked_cell(
    ui: &mut Ui,
    i: usize,
    e: &Estimate,
    c: &Columns,
    row: Rect,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    let rect = Rect::from_min_max(
        pos2(c.after_name() + 10.0, row.top()),
        pos2(c.remove.0, row.bottom()),
    );
    let blockers: Vec<_> = e.blockers().collect();
    let first = blockers.first();
    let text = first.map_or_else(
        || "cannot be estimated".to_owned(),
        |o| obstacles::sentence(o, view.style.system),
    );
    let more = blockers.len().saturating_sub(1);
    let text = if more > 0 {
        format!("{text} And {more} more.")
    } else {
        text
    };
    ui.scope_builder(
        UiBuilder::new()
            .max_rect(rect)
            .layout(Layout::left_to_right(Align::Center)),
        |ui| {
            ui.label(strong("cannot", BODY).color(t.fault));
            // Two lines at most; the whole text shows on hover.
            let mut lines = LayoutJob::simple(
                text.clone(),
                FontId::proportional(SMALL + 0.5),
                t.text_soft,
                ui.available_width() - 8.0,
            );
            lines.wrap.max_rows = 2;
            let message = egui::Label::new(lines).sense(Sense::click());
            let response = ui.add(message).on_hover_text(&text);
            if response.clicked() {
                actions.push(Action::Show(i));
                if let Some(at) = first.and_then(|o| o.at) {
                    actions.push(Action::Centre(at));
                }
            }
        },
    );
}

pub(super) fn remove_cell(
    ui: &mut Ui,
    rect: Rect,
    i: usize,
    name: &str,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let job = &view.file.job;
    if job.candidates.len() < 2 {
        return;
    }
    ui.scope_builder(
        UiBuilder::new()
            .max_rect(rect)
            .layout(Layout::right_to_left(Align::Center)),
        |ui| {
            let button = Button::new(RichText::new("×").weak()).frame(false);
            let response = ui
                .add(button)
                .on_hover_text("take this wire out of the comparison")
                .accessible_name(format!("remove {name}"));
            if response.clicked() {
                let mut new = job.clone();
                new.candidates.remove(i);
                if new.baseline > i || new.baseline >= new.candidates.len() {
                    new.baseline = new.baseline.saturating_sub(1);
                }
                actions.push(Action::Edit(Box::new(new)));
            }
        },
    );
}
