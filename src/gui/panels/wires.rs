//! Wires side by side: differences against the baseline first, then the figures, on one scale.

mod columns;
mod figures;
mod naming;

use super::add_wire::add_wire_ui;
use crate::gui::state::{Action, View};
use crate::gui::theme::{SMALL, tokens};
use crate::gui::widgets::{Axis, AxisLabels, share_swatch};
use crate::job::Job;
use crate::plan::Share;
use crate::units::Minutes;
use crate::words::Style;
use columns::{Columns, bar_rect, cell};
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::{
    Align, Color32, FontId, Layout, RichText, Role, ScrollArea, Sense, Stroke, Ui, WidgetInfo,
};
use figures::figures_cells;
use naming::{blocked_cell, name_cell, remove_cell};

/// Height of a wire's row: two lines of figures.
const ROW: f32 = 37.0;
/// Height of the two lines of headings.
const HEAD: f32 = 34.0;
/// Most wires side by side.
pub(super) const MOST: usize = 16;

/// The height that shows all wires without scrolling.
pub fn height_for(wires: usize) -> f32 {
    HEAD + ROW * wires.clamp(1, 9) as f32 + 38.0
}

/// Headings, a row for each wire, legend.
pub fn wires_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let width = ui.available_width() - 8.0;
    let left = ui.cursor().left();
    let columns = Columns::new(left, width);
    let longest = view
        .file
        .answer
        .iter()
        .flat_map(|a| &a.comparison.estimates)
        .filter_map(|e| e.figures.as_ref())
        .map(|f| f.minutes.high)
        .fold(Minutes::ZERO, Minutes::max);
    let axis = Axis::new(longest);
    ui.spacing_mut().item_spacing.y = 0.0;
    heading(ui, &columns, axis, view);
    let foot = 26.0;
    ScrollArea::vertical()
        .id_salt("wires")
        .auto_shrink([false, false])
        .max_height((ui.available_height() - foot).max(ROW))
        .show(ui, |ui| {
            for i in 0..view.file.job.candidates.len() {
                row(ui, i, &columns, axis, view, actions);
            }
        });
    foot_ui(ui, view, actions);
}

fn heading(ui: &mut Ui, c: &Columns, axis: Axis, view: &View<'_>) {
    let t = tokens(ui);
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), HEAD), Sense::hover());
    let painter = ui.painter();
    let small = FontId::proportional(SMALL);
    let low = rect.bottom() - 9.0;
    let high = rect.top() + 8.0;
    let right = |(x, w): (f32, f32), text: &str| {
        painter.text(
            pos2(x + w - 9.0, low),
            Align2::RIGHT_CENTER,
            text,
            small.clone(),
            t.text_faint,
        );
    };
    let at = |x: f32, y: f32, text: &str, colour: Color32| {
        painter.text(pos2(x, y), Align2::LEFT_CENTER, text, small.clone(), colour);
    };
    at(c.name.0 + 4.0, low, "baseline", t.text_faint);
    at(
        c.name.0 + 62.0,
        low,
        "wire, click to show its path",
        t.text_faint,
    );
    // The baseline is named once, above the three columns that are held against it.
    let left = c.after_name();
    let right_end = c.differences.last().map_or(left, |d| d.2.0 + d.2.1);
    if let Some(baseline) = view.file.job.candidates.get(view.file.job.baseline) {
        let rule = Stroke::new(1.0, t.edge);
        let span = (left + 12.0, right_end - 4.0);
        painter.line_segment([pos2(span.0, high + 9.0), pos2(span.1, high + 9.0)], rule);
        let clip = Rect::from_min_max(pos2(span.0, rect.top()), pos2(span.1 + 20.0, rect.bottom()));
        painter.with_clip_rect(clip).text(
            pos2(span.0, high),
            Align2::LEFT_CENTER,
            format!("against {}", view.style.candidate(baseline)),
            small.clone(),
            t.text_soft,
        );
    }
    for (e, _, column) in &c.differences {
        right(*column, &e.difference_head());
    }
    for (e, column) in &c.figures {
        right(*column, &e.head_with_unit(view.style));
    }
    if view.file.answer.is_some() {
        let bar = bar_rect(c, rect);
        let mut labels = AxisLabels::along(painter, bar.right() + 12.0, t);
        for m in axis.marks() {
            let x = bar.left() + bar.width() * axis.at(m);
            let text = if m.min_value() == 0.0 {
                "0".to_owned()
            } else {
                view.style.time(m)
            };
            labels.at_x(x, low, text);
        }
    }
    painter.line_segment(
        [rect.left_bottom(), rect.right_bottom()],
        Stroke::new(1.0, t.edge),
    );
}

fn row(ui: &mut Ui, i: usize, c: &Columns, axis: Axis, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let job = &view.file.job;
    let candidate = &job.candidates[i];
    let name = view.style.candidate(candidate);
    let shown = view.file.shown == i;
    ui.push_id(
        ("wire", &candidate.wire, candidate.diameter.mm().to_bits()),
        |ui| {
            let (rect, response) =
                ui.allocate_exact_size(vec2(ui.available_width(), ROW), Sense::click());
            response.widget_info(|| {
                WidgetInfo::selected(Role::Button, true, shown, format!("show {name}"))
            });
            if shown {
                ui.painter().rect_filled(rect, 0, t.raised);
                let mark = Rect::from_min_size(rect.min, vec2(3.0, rect.height()));
                ui.painter().rect_filled(mark, 0, t.wire(i));
            } else if response.hovered() || response.has_focus() {
                ui.painter()
                    .rect_filled(rect, 0, crate::gui::theme::mix(t.ground, t.raised, 0.6));
            }
            if response.clicked() {
                actions.push(Action::Show(i));
            }
            name_cell(ui, cell(c.name, rect), i, view, actions);
            // An answer to an earlier list of wires would put figures beside the wrong name.
            let estimate = view.file.estimate(i).filter(|e| e.candidate == *candidate);
            match estimate {
                Some(e) => match &e.figures {
                    Some(f) => figures_cells(ui, i, &name, f, c, rect, axis, view, actions),
                    None => blocked_cell(ui, i, e, c, rect, view, actions),
                },
                None => {
                    ui.painter().text(
                        pos2(c.after_name() + 12.0, rect.center().y),
                        Align2::LEFT_CENTER,
                        "estimating…",
                        FontId::proportional(SMALL),
                        t.text_faint,
                    );
                }
            }
            remove_cell(ui, cell(c.remove, rect), i, &name, view, actions);
            ui.painter().line_segment(
                [rect.left_bottom(), rect.right_bottom()],
                Stroke::new(1.0, crate::gui::theme::mix(t.ground, t.edge, 0.6)),
            );
        },
    );
}

fn foot_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    ui.add_space(3.0);
    ui.horizontal(|ui| {
        ui.add_space(10.0);
        add_wire_ui(ui, view, actions);
        ui.add_space(16.0);
        ui.spacing_mut().item_spacing.x = 5.0;
        for share in Share::ALL {
            share_swatch(ui, share);
            ui.label(RichText::new(share.words()).size(SMALL).color(t.text_soft));
            ui.add_space(6.0);
        }
        ui.add_space(6.0);
        ui.label(
            RichText::new("two of three jobs fall in the range")
                .size(SMALL)
                .color(t.text_faint),
        );
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.add_space(6.0);
            ui.label(
                RichText::new("a planning aid, no machine setting")
                    .size(SMALL)
                    .color(t.text_faint),
            );
        });
    });
}

/// The name of a candidate for messages.
pub fn candidate_name(style: Style, job: &Job, i: usize) -> String {
    job.candidates
        .get(i)
        .map_or_else(String::new, |c| style.candidate(c))
}
