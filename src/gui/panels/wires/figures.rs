//! One wire's figures: differences against the baseline, time with its bar, wire, cost.

use super::columns::{Column, Columns, bar_rect, cell};
use crate::estimate::{Figures, Question};
use crate::gui::open_file::WireQuestion;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, strong_family, tokens};
use crate::gui::widgets::{Axis, TimeBar, figure};
use crate::words::{Style, figures::Entry};
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::{Align, Color32, FontId, Layout, Ui, UiBuilder};

#[expect(
    clippy::too_many_arguments,
    reason = "one row's cells share all of these"
)]
pub(super) fn figures_cells(
    ui: &mut Ui,
    i: usize,
    name: &str,
    f: &Figures,
    c: &Columns,
    row: Rect,
    axis: Axis,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    differences_cells(ui, i, name, c, row, view, actions);
    let mut cells = Cells {
        ui,
        row,
        i,
        name,
        actions,
    };
    for (e, column) in &c.figures {
        cells.put_figure(*column, e, f, view.style);
    }
    let bar = bar_rect(c, row);
    let share = cells
        .ui
        .scope_builder(UiBuilder::new().max_rect(bar), |ui| {
            let (response, share) = TimeBar {
                figures: f,
                axis,
                colour: t.wire(i),
                name,
            }
            .show(ui, bar.width(), bar.height());
            response.clicked().then_some(share)
        })
        .inner;
    if let Some(share) = share {
        let question = share.map_or(Question::Minutes, Question::Share);
        cells
            .actions
            .push(Action::Ask(WireQuestion { wire: i, question }));
    }
}

/// Places the figures of one row.
struct Cells<'a> {
    ui: &'a mut Ui,
    row: Rect,
    i: usize,
    name: &'a str,
    actions: &'a mut Vec<Action>,
}

impl Cells<'_> {
    /// A figure, with its range below where tables show it.
    fn put_figure(&mut self, column: Column, e: &Entry, f: &Figures, style: Style) {
        let t = tokens(self.ui);
        let digits = e.digits(style, f);
        if !e.shows_range() {
            let font = FontId::proportional(BODY);
            self.put(
                column,
                self.row,
                (e.head, e.question, &digits),
                font,
                t.text,
            );
            return;
        }
        let half = self.row.height() / 2.0 - 1.0;
        let upper =
            Rect::from_min_size(self.row.min + vec2(0.0, 1.0), vec2(self.row.width(), half));
        let lower = upper.translate(vec2(0.0, half - 1.0));
        let strong = FontId::new(BODY, strong_family());
        self.put(column, upper, (e.head, e.question, &digits), strong, t.text);
        let (name, range) = (format!("range of {}", e.head), e.range(style, f));
        let font = FontId::proportional(SMALL);
        self.put(
            column,
            lower,
            (&name, e.question, &range),
            font,
            t.text_soft,
        );
    }
    fn put(
        &mut self,
        column: Column,
        line: Rect,
        (what, question, text): (&str, Option<Question>, &str),
        font: FontId,
        colour: Color32,
    ) {
        let rect = cell(column, line).shrink2(vec2(6.0, 0.0));
        let label = format!("{what}, {}", self.name);
        let clicked = self
            .ui
            .scope_builder(
                UiBuilder::new()
                    .max_rect(rect)
                    .id_salt(what)
                    .layout(Layout::right_to_left(Align::Center)),
                |ui| figure(ui, &label, text, font, colour).clicked(),
            )
            .inner;
        if let Some(question) = question.filter(|_| clicked) {
            let wire = self.i;
            self.actions
                .push(Action::Ask(WireQuestion { wire, question }));
        }
    }
}

fn differences_cells(
    ui: &mut Ui,
    i: usize,
    name: &str,
    c: &Columns,
    row: Rect,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    let Some(answer) = &view.file.answer else {
        return;
    };
    let font = FontId::proportional(BODY);
    let painter = ui.painter();
    if i == answer.comparison.baseline {
        painter.text(
            pos2(c.after_name() + 12.0, row.center().y),
            Align2::LEFT_CENTER,
            "the baseline",
            font,
            t.text_faint,
        );
        return;
    }
    let Some(d) = answer.comparison.difference(i) else {
        painter.text(
            pos2(c.after_name() + 12.0, row.center().y),
            Align2::LEFT_CENTER,
            "baseline has no figures",
            FontId::proportional(SMALL),
            t.text_faint,
        );
        return;
    };
    for &(e, against, column) in &c.differences {
        let (what, share) = (e.head, against(&d).share);
        let colour = if share.is_nan() || share.abs() < 0.0005 {
            t.text_faint
        } else if share < 0.0 {
            t.better
        } else {
            t.worse
        };
        let rect = cell(column, row).shrink2(vec2(6.0, 0.0));
        let label = format!("difference of {what}, {name}");
        let text = view.style.difference(share);
        let clicked = ui
            .scope_builder(
                UiBuilder::new()
                    .max_rect(rect)
                    .id_salt(("difference", what))
                    .layout(Layout::right_to_left(Align::Center)),
                |ui| figure(ui, &label, &text, font.clone(), colour).clicked(),
            )
            .inner;
        if clicked {
            actions.push(Action::Compare(i));
        }
    }
}
