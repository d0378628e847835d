//! Wires side by side: differences against the baseline first, then the figures, on one scale.

use super::add_wire::add_wire_ui;
use crate::estimate::{Estimate, Figures, Question};
use crate::gui::format::{self, System, number};
use crate::gui::state::{Action, Asked, View};
use crate::gui::theme::{BODY, SMALL, Tokens, strong, strong_family, tokens};
use crate::gui::widgets::{Axis, TimeBar, figure, share_swatch, swatch};
use crate::job::Job;
use crate::plan::Share;
use crate::units::Minutes;
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::text::LayoutJob;
use egui::{
    Align, Button, Color32, FontId, Layout, RichText, Role, ScrollArea, Sense, Stroke, Ui,
    UiBuilder, WidgetInfo,
};

/// Height of a wire's row: two lines of figures.
const ROW: f32 = 37.0;
/// Height of the two lines of headings.
const HEAD: f32 = 34.0;
/// Most wires side by side.
pub(super) const MOST: usize = 16;

/// Left edges and widths of the columns.
#[derive(Debug, Clone, Copy)]
struct Columns {
    name: (f32, f32),
    differences: [(f32, f32); 3],
    time: (f32, f32),
    bar: (f32, f32),
    wire: (f32, f32),
    mass: (f32, f32),
    spools: (f32, f32),
    cost: (f32, f32),
    week: (f32, f32),
    remove: (f32, f32),
}

impl Columns {
    /// Fixed widths for figures; the bar takes the rest, the name a little of a wide window.
    fn new(left: f32, width: f32) -> Self {
        let roomy = ((width - 1240.0) / 1300.0).clamp(0.0, 1.0);
        let wide = |narrow: f32, more: f32| narrow + more * roomy;
        let widths = [
            wide(258.0, 90.0),
            wide(76.0, 34.0),
            wide(76.0, 34.0),
            wide(76.0, 34.0),
            wide(148.0, 40.0),
            0.0,
            wide(70.0, 30.0),
            wide(58.0, 30.0),
            wide(52.0, 30.0),
            wide(104.0, 30.0),
            wide(58.0, 30.0),
            28.0,
        ];
        let bar = (width - widths.iter().sum::<f32>()).max(90.0);
        let mut x = left;
        let mut next = |w: f32| {
            let at = (x, w);
            x += w;
            at
        };
        Self {
            name: next(widths[0]),
            differences: [next(widths[1]), next(widths[2]), next(widths[3])],
            time: next(widths[4]),
            bar: next(bar),
            wire: next(widths[6]),
            mass: next(widths[7]),
            spools: next(widths[8]),
            cost: next(widths[9]),
            week: next(widths[10]),
            remove: next(widths[11]),
        }
    }
}

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
    heading(ui, columns, axis, view);
    let foot = 26.0;
    ScrollArea::vertical()
        .id_salt("wires")
        .auto_shrink([false, false])
        .max_height((ui.available_height() - foot).max(ROW))
        .show(ui, |ui| {
            for i in 0..view.file.job.candidates.len() {
                row(ui, i, columns, axis, view, actions);
            }
        });
    foot_ui(ui, view, actions);
}

fn heading(ui: &mut Ui, c: Columns, axis: Axis, view: &View<'_>) {
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
    let (first, last) = (c.differences[0], c.differences[2]);
    if let Some(baseline) = view.file.job.candidates.get(view.file.job.baseline) {
        let rule = Stroke::new(1.0, t.edge);
        let span = (first.0 + 12.0, last.0 + last.1 - 4.0);
        painter.line_segment([pos2(span.0, high + 9.0), pos2(span.1, high + 9.0)], rule);
        let clip = Rect::from_min_max(pos2(span.0, rect.top()), pos2(span.1 + 20.0, rect.bottom()));
        painter.with_clip_rect(clip).text(
            pos2(span.0, high),
            Align2::LEFT_CENTER,
            format!("against {}", view.system.candidate(baseline)),
            small.clone(),
            t.text_soft,
        );
    }
    for (column, text) in c.differences.into_iter().zip(["time", "wire", "cost"]) {
        right(column, text);
    }
    right(c.time, "time a part");
    right(c.wire, &format!("wire, {}", view.system.wire_unit()));
    right(c.mass, view.system.mass_unit());
    right(c.spools, "spools");
    right(c.cost, "cost a part");
    right(c.week, "a week");
    if view.file.answer.is_some() {
        let bar = bar_rect(c, rect);
        let mut last_end = f32::NEG_INFINITY;
        for m in axis.marks() {
            let x = bar.left() + bar.width() * axis.at(m);
            let text = if m.min_value() == 0.0 {
                "0".to_owned()
            } else {
                format::time(m)
            };
            let galley = painter.layout_no_wrap(text, small.clone(), t.text_faint);
            let half = galley.size().x / 2.0;
            // Marks that would touch are left out; the line stays.
            if x - half > last_end + 8.0 && x + half < bar.right() + 12.0 {
                painter.galley(
                    pos2(x - half, low - galley.size().y / 2.0),
                    galley,
                    t.text_faint,
                );
                last_end = x + half;
            }
        }
    }
    painter.line_segment(
        [rect.left_bottom(), rect.right_bottom()],
        Stroke::new(1.0, t.edge),
    );
}

fn bar_rect(c: Columns, row: Rect) -> Rect {
    Rect::from_min_max(
        pos2(c.bar.0 + 10.0, row.top()),
        pos2(c.bar.0 + c.bar.1 - 12.0, row.bottom()),
    )
}

fn row(ui: &mut Ui, i: usize, c: Columns, axis: Axis, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let job = &view.file.job;
    let candidate = &job.candidates[i];
    let name = view.system.candidate(candidate);
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
                    None => blocked_cell(ui, i, e, c, rect, actions, t),
                },
                None => {
                    ui.painter().text(
                        pos2(c.differences[0].0 + 12.0, rect.center().y),
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

fn cell((x, w): (f32, f32), row: Rect) -> Rect {
    Rect::from_min_size(pos2(x, row.top()), vec2(w, row.height()))
}

fn name_cell(ui: &mut Ui, rect: Rect, i: usize, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let job = &view.file.job;
    let candidate = &job.candidates[i];
    let inner = rect.shrink2(vec2(14.0, 0.0));
    ui.scope_builder(
        UiBuilder::new()
            .max_rect(inner)
            .layout(Layout::left_to_right(Align::Center)),
        |ui| {
            let name = view.system.candidate(candidate);
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
                view.system.candidate_size(candidate),
                FontId::proportional(SMALL),
                t.text_soft,
            );
        },
    );
}

#[expect(
    clippy::too_many_arguments,
    reason = "one row's cells share all of these"
)]
fn figures_cells(
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
            &format::time(f.minutes.median),
        ),
        (
            "range of time",
            Question::Minutes,
            &format::time_range(f.minutes.low, f.minutes.high),
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
        cells.actions.push(Action::Ask(Asked { wire: i, question }));
    }
    cells.one(
        c.wire,
        "wire",
        Question::Wire,
        &view.system.wire_number(f.wire.median),
    );
    cells.one(
        c.mass,
        "mass of wire",
        Question::WireMass,
        &view.system.mass_number(f.wire_mass),
    );
    let spools = number(f.spools, if f.spools < 10.0 { 2 } else { 1 });
    cells.one(c.spools, "spools", Question::Spools, &spools);
    let cost = &f.cost.part;
    cells.pair(
        c.cost,
        ("cost a part", Question::Cost, &format::money(cost.median)),
        (
            "range of cost",
            Question::Cost,
            &format::money_range(cost.low, cost.high),
        ),
    );
    let week = number(f.parts_per_week as f64, 0);
    cells.one(c.week, "parts a week", Question::PartsPerWeek, &week);
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
            self.actions.push(Action::Ask(Asked {
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
    let shares = [("time", d.minutes), ("wire", d.wire), ("cost", d.cost)];
    for (column, (what, share)) in c.differences.into_iter().zip(shares) {
        let colour = if share.abs() < 0.0005 {
            t.text_faint
        } else if share < 0.0 {
            t.better
        } else {
            t.worse
        };
        let rect = cell(column, row).shrink2(vec2(6.0, 0.0));
        let label = format!("difference of {what}, {name}");
        let text = format::difference(share);
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

/// Why a wire cannot do it, in words.
fn blocked_cell(
    ui: &mut Ui,
    i: usize,
    e: &Estimate,
    c: Columns,
    row: Rect,
    actions: &mut Vec<Action>,
    t: &Tokens,
) {
    let rect = Rect::from_min_max(
        pos2(c.differences[0].0 + 10.0, row.top()),
        pos2(c.remove.0, row.bottom()),
    );
    let blockers: Vec<_> = e.blockers().collect();
    let first = blockers.first();
    let text = first.map_or("cannot be estimated", |o| o.message.as_str());
    let more = blockers.len().saturating_sub(1);
    let text = if more > 0 {
        format!("{text} And {more} more.")
    } else {
        text.to_owned()
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

fn remove_cell(
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
            RichText::new("range holds about 68 %")
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
pub fn candidate_name(system: System, job: &Job, i: usize) -> String {
    job.candidates
        .get(i)
        .map_or_else(String::new, |c| system.candidate(c))
}
