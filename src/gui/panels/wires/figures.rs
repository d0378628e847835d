//! One wire's figures: differences against the baseline, time with its bar, wire, cost.

use super::columns::{Columns, bar_rect, cell};
use crate::estimate::{Figures, Question};
use crate::gui::open_file::WireQuestion;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, strong_family, tokens};
use crate::gui::widgets::{Axis, TimeBar, figure};
use crate::words::style::{self, number};
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
    c: Columns,
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
    cells.pair(
        c.time,
        (
            "time a part",
            Question::Minutes,
            &style::time(f.minutes.median),
        ),
        (
            "range of time",
            Question::Minutes,
            &style::time_range(f.minutes.low, f.minutes.high),
        ),
    );
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
    cells.one(
        c.wire,
        "wire",
        Question::Wire,
        &view.style.wire_number(f.wire.median),
    );
    cells.one(
        c.mass,
        "mass of wire",
        Question::WireMass,
        &view.style.mass_number(f.wire_mass),
    );
    let spools = number(f.spools, if f.spools < 10.0 { 2 } else { 1 });
    cells.one(c.spools, "spools", Question::Spools, &spools);
    let cost = &f.cost.part;
    cells.pair(
        c.cost,
        ("cost a part", Question::Cost, &style::money(cost.median)),
        (
            "range of cost",
            Question::Cost,
            &style::money_range(cost.low, cost.high),
        ),
    );
    let week = number(f.parts_per_week as f64, 0);
    cells.one(c.week, "parts a week", Question::PartsPerWeek, &week);
    let ra = view.style.roughness(f.finish.roughness_um);
    // A question mark where a skim is run slower than this wire is known to bear.
    let doubt = if f.finish.in_doubt.is_some() { "?" } else { "" };
    cells.one(
        c.finish,
        "usual Ra",
        Question::Finish,
        &format!("{ra}{doubt}"),
    );
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
    fn one(&mut self, column: (f32, f32), what: &str, question: Question, text: &str) {
        let colour = tokens(self.ui).text;
        let font = FontId::proportional(BODY);
        self.put(column, self.row, (what, question, text), font, colour);
    }
    fn pair(
        &mut self,
        column: (f32, f32),
        first: (&str, Question, &str),
        second: (&str, Question, &str),
    ) {
        let t = tokens(self.ui);
        let half = self.row.height() / 2.0 - 1.0;
        let upper =
            Rect::from_min_size(self.row.min + vec2(0.0, 1.0), vec2(self.row.width(), half));
        let lower = upper.translate(vec2(0.0, half - 1.0));
        let answer = FontId::new(BODY, strong_family());
        self.put(column, upper, first, answer, t.text);
        self.put(
            column,
            lower,
            second,
            FontId::proportional(SMALL),
            t.text_soft,
        );
    }
    fn put(
        &mut self,
        column: (f32, f32),
        line: Rect,
        (what, question, text): (&str, Question, &str),
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
        if clicked {
            self.actions.push(Action::Ask(WireQuestion {
                wire: self.i,
                question,
            }));
        }
    }
}

fn differences_cells(
    ui: &mut Ui,
    i: usize,
    name: &str,
    c: Columns,
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
            pos2(c.differences[0].0 + 12.0, row.center().y),
            Align2::LEFT_CENTER,
            "the baseline",
            font,
            t.text_faint,
        );
        return;
    }
    let Some(d) = answer.comparison.difference(i) else {
        painter.text(
            pos2(c.differences[0].0 + 12.0, row.center().y),
            Align2::LEFT_CENTER,
            "baseline has no figures",
            FontId::proportional(SMALL),
            t.text_faint,
        );
        return;
    };
    let shares = [
        ("time", d.minutes.share),
        ("wire", d.wire.share),
        ("cost", d.cost.share),
    ];
    for (column, (what, share)) in c.differences.into_iter().zip(shares) {
        let colour = if share.is_nan() || share.abs() < 0.0005 {
            t.text_faint
        } else if share < 0.0 {
            t.better
        } else {
            t.worse
        };
        let rect = cell(column, row).shrink2(vec2(6.0, 0.0));
        let label = format!("difference of {what}, {name}");
        let text = style::difference(share);
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
