//! The ends of a wire's row: its name and the choice of baseline, what stops it, and taking it out.

use super::columns::Columns;
use crate::estimate::Estimate;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, strong, strong_family, tokens};
use crate::gui::widgets::{swatch, within};
use crate::language::said;
use crate::words::{obstacles, wires};
use egui::emath::{Rect, pos2, vec2};
use egui::text::{LayoutJob, TextFormat, TextWrapping};
use egui::{Align, Button, FontFamily, FontId, Layout, RichText, Sense, Ui, UiBuilder};

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
    let inner = Rect::from_min_max(rect.min + vec2(12.0, 0.0), rect.max - vec2(4.0, 0.0));
    within(
        ui,
        UiBuilder::new()
            .id_salt("name")
            .max_rect(inner)
            .layout(Layout::left_to_right(Align::Center)),
        |ui| {
            let name = view.style.candidate(candidate);
            ui.spacing_mut().item_spacing.x = 6.0;
            let radio = ui
                .radio(job.baseline == i, "")
                .on_hover_text(say!("hold the other wires against this one"))
                .accessible_name(say!("baseline {name}"));
            if radio.clicked() && job.baseline != i {
                let mut new = job.clone();
                new.baseline = i;
                actions.push(Action::Edit(Box::new(new)));
            }
            swatch(ui, t.wire(i));
            let family = if view.file.shown == i {
                strong_family()
            } else {
                FontFamily::Proportional
            };
            let mut words = LayoutJob::default();
            let format =
                |size, family, colour| TextFormat::simple(FontId::new(size, family), colour);
            words.append(
                wires::spoken(&candidate.wire),
                0.0,
                format(BODY, family, t.text),
            );
            let size = view.style.candidate_size(candidate);
            words.append(
                &size,
                7.0,
                format(SMALL, FontFamily::Proportional, t.text_soft),
            );
            let estimate = view.file.estimate(i).filter(|e| e.candidate == *candidate);
            if estimate.is_some_and(Estimate::leaves_a_radius) {
                words.append(
                    said(obstacles::NOT_AS_DRAWN),
                    7.0,
                    format(SMALL, FontFamily::Proportional, t.warn),
                );
            }
            if estimate.is_some_and(|e| !e.is_on_hand()) {
                words.append(
                    said(obstacles::NOT_ON_HAND),
                    7.0,
                    format(SMALL, FontFamily::Proportional, t.warn),
                );
            }
            words.wrap = TextWrapping::truncate_at_width(ui.available_width());
            let galley = ui.painter().layout_job(words);
            if galley.elided {
                let place = egui::Rect::from_min_size(ui.cursor().min, galley.size());
                ui.interact(place, ui.scope_id().with("whole name"), Sense::hover())
                    .on_hover_text(&name);
            }
            let at = pos2(ui.cursor().left(), rect.center().y - galley.size().y / 2.0);
            ui.painter().galley(at, galley, t.text);
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
    let first = e.blockers().next();
    let told = obstacles::told(e.blockers(), view.style.system);
    let text = told.first().map_or_else(
        || say!("cannot be estimated").to_owned(),
        |t| t.sentence.clone(),
    );
    let more = told.len().saturating_sub(1);
    let text = if more > 0 {
        say!("{text} And {more} more.")
    } else {
        text
    };
    within(
        ui,
        UiBuilder::new()
            .id_salt("why not")
            .max_rect(rect)
            .layout(Layout::left_to_right(Align::Center)),
        |ui| {
            ui.label(strong(say!("cannot"), BODY).color(t.fault));
            // One line; the whole text shows on hover.
            let soft = RichText::new(&text).size(SMALL + 0.5).color(t.text_soft);
            let message = egui::Label::new(soft).truncate().sense(Sense::click());
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
    within(
        ui,
        UiBuilder::new()
            .id_salt("remove")
            .max_rect(rect)
            .layout(Layout::right_to_left(Align::Center)),
        |ui| {
            let button = Button::new(RichText::new("×").weak()).frame(false);
            let response = ui
                .add(button)
                .on_hover_text(say!("take this wire out of the comparison"))
                .accessible_name(say!("remove {name}"));
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
