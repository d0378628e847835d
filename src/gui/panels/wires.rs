//! Wires side by side, one line each: differences against the baseline, figures, and the time as a bar on one scale.
//! The chosen wire's row unfolds to its steps in their order, in the same colours and on the same scale.

mod columns;
mod figures;
mod head;
mod naming;

use super::time;
use crate::gui::state::{Action, View};
use crate::gui::theme::{SMALL, mix, tokens};
use crate::gui::widgets::Axis;
use crate::gui::wire_table::WireTable;
use crate::job::Job;
use crate::units::Minutes;
use crate::words::Style;
use columns::{Columns, bar_rect, cell};
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::{CursorIcon, FontId, Id, Role, ScrollArea, Sense, Stroke, Ui, WidgetInfo};
use figures::figures_cells;
use naming::{blocked_cell, name_cell, remove_cell};

/// Height of a wire's row, points.
const ROW: f32 = 25.0;
/// Height of the head: legend of the bars, and the heads of the columns above the rows.
const HEAD: f32 = 37.0;
/// Height of the splitter, which is part of the table.
const SPLITTER: f32 = 6.0;
/// Most wires side by side.
pub(super) const MOST: usize = 16;

/// What the table needs to show all its rows, points.
pub fn height_for(view: &View<'_>) -> f32 {
    let rows = rows_of(view).len().max(1);
    SPLITTER + HEAD + ROW * rows as f32 + time::HEIGHT + 3.0
}

/// The least that is of use: head, the chosen row and its steps.
pub const LEAST: f32 = SPLITTER + HEAD + ROW + time::HEIGHT;

/// Splitter, heads, a row for each wire.
pub fn wires_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    splitter_ui(ui, view, actions);
    let width = ui.available_width() - 10.0;
    let left = ui.cursor().left();
    let columns = Columns::new(left, width, naming::widest(ui, view), view.table);
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
    head::heading_ui(ui, &columns, axis, view, actions);
    ScrollArea::vertical()
        .id_salt("wires")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            for i in rows_of(view) {
                row(ui, i, &columns, axis, view, actions);
            }
        });
}

/// The rows from top to bottom: all as they are sorted, or the chosen and the best of a folded table.
fn rows_of(view: &View<'_>) -> Vec<usize> {
    let file = view.file;
    let mut rows: Vec<usize> = (0..file.job.candidates.len()).collect();
    let estimate = |i: usize| file.estimate(i).and_then(|e| e.figures.as_ref());
    if let Some(sorted) = &view.table.sorted {
        let names: Vec<_> = file
            .job
            .candidates
            .iter()
            .map(|c| view.style.candidate(c))
            .collect();
        let held = columns::all().find(|h| h.head() == sorted.by);
        let number = |i: usize| match held {
            Some(columns::Held::Figure(e)) => {
                let got = (e.get)(estimate(i)?);
                got.value.or(got.range.map(|r| r.1))
            }
            Some(columns::Held::Difference(_, against)) => {
                let comparison = &file.answer.as_ref()?.comparison;
                if i == comparison.baseline {
                    return Some(0.0);
                }
                Some(against(&comparison.difference(i)?).share).filter(|s| !s.is_nan())
            }
            None => None,
        };
        rows.sort_by(|&a, &b| {
            let way = |o: std::cmp::Ordering| if sorted.down { o.reverse() } else { o };
            match (held, number(a), number(b)) {
                (None, _, _) => way(names[a].cmp(&names[b])),
                (_, Some(x), Some(y)) => way(x.total_cmp(&y)),
                // What has no figure stands last, whichever way.
                (_, x, y) => y.is_some().cmp(&x.is_some()),
            }
        });
    }
    if view.table.folded {
        let best = file.answer.as_ref().and_then(|a| {
            let by_cost = |f: &crate::estimate::Figures| f.cost.part.median.amount();
            let least = a
                .comparison
                .ranked()
                .min_by(|a, b| by_cost(a.1).total_cmp(&by_cost(b.1)));
            least.map(|(i, _)| i)
        });
        rows.retain(|i| *i == file.shown || Some(*i) == best);
    }
    rows
}

/// The upper edge: dragged, it gives the drawing more room or less; a double click folds the table.
fn splitter_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let width = ui.available_width();
    let (rect, response) = ui.allocate_exact_size(vec2(width, SPLITTER), Sense::click_and_drag());
    response.widget_info(|| {
        WidgetInfo::labeled(Role::Splitter, true, say!("Height of the table of wires"))
    });
    let strong = response.hovered() || response.dragged() || response.has_focus();
    let colour = if strong { t.text_soft } else { t.edge };
    let y = rect.top() + 0.5;
    ui.painter()
        .hline(rect.x_range(), y, Stroke::new(1.0, t.edge));
    let grip = Rect::from_center_size(pos2(rect.center().x, rect.top() + 3.0), vec2(44.0, 2.0));
    ui.painter().rect_filled(grip, 1, colour);
    let change = |actions: &mut Vec<Action>, change: &dyn Fn(&mut WireTable)| {
        let mut new = view.table.clone();
        change(&mut new);
        actions.push(Action::Table(Box::new(new)));
    };
    if response.double_clicked() {
        change(actions, &|t| (t.folded, t.height) = (!t.folded, None));
    } else if response.dragged()
        && let Some(p) = response.interact_pointer_pos()
    {
        let height = (ui.max_rect().bottom() - p.y + SPLITTER / 2.0)
            .max(LEAST)
            .round();
        if view.table.height != Some(height) {
            change(actions, &|t| (t.folded, t.height) = (false, Some(height)));
        }
    }
    response
        .on_hover_cursor(CursorIcon::ResizeVertical)
        .on_hover_text(say!(
            "drag for more or less room; double click: only the chosen wire and the best"
        ));
}

fn row(ui: &mut Ui, i: usize, c: &Columns, axis: Axis, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let job = &view.file.job;
    let candidate = &job.candidates[i];
    let name = view.style.candidate(candidate);
    let shown = view.file.shown == i;
    ui.push_id(("wire", &name), |ui| {
        let height = if shown { ROW + time::HEIGHT } else { ROW };
        let width = ui.available_width();
        let (whole, response) = ui.allocate_exact_size(vec2(width, height), Sense::click());
        let rect = Rect::from_min_size(whole.min, vec2(width, ROW));
        response
            .widget_info(|| WidgetInfo::selected(Role::Button, true, shown, say!("show {name}")));
        if shown {
            ui.painter().rect_filled(whole, 0, t.raised);
            let mark = Rect::from_min_size(whole.min, vec2(3.0, height));
            ui.painter().rect_filled(mark, 0, t.text_soft);
            scroll_to_new(ui, view, &name, whole);
        } else if response.hovered() || response.has_focus() {
            ui.painter()
                .rect_filled(rect, 0, mix(t.ground, t.raised, 0.6));
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
                None => blocked_cell(ui, i, e, c, whole, view, actions),
            },
            None => {
                ui.painter().text(
                    pos2(c.after_name() + 12.0, rect.center().y),
                    Align2::LEFT_CENTER,
                    say!("estimating…"),
                    FontId::proportional(SMALL),
                    t.text_faint,
                );
            }
        }
        remove_cell(ui, cell(c.remove, rect), i, &name, view, actions);
        if shown {
            let below = Rect::from_min_max(pos2(whole.left(), rect.bottom()), whole.max);
            unfolded_ui(ui, &name, c, below, axis, view, actions);
        }
        let rule = Stroke::new(1.0, mix(t.ground, t.edge, 0.6));
        ui.painter()
            .hline(whole.x_range(), whole.bottom() - 0.5, rule);
    });
}

/// The row of a wire that was chosen elsewhere comes into view.
fn scroll_to_new(ui: &Ui, view: &View<'_>, name: &str, row: Rect) {
    let id = Id::unique("wire that the table showed last");
    let now = (view.file.id, name.to_owned());
    let before: Option<(u64, String)> = ui.data(|d| d.get_temp(id));
    if before.as_ref() != Some(&now) {
        ui.data_mut(|d| d.insert_temp(id, now));
        ui.scroll_to_rect(row, None);
    }
}

/// Below the chosen row: play and what runs, the figures that are no columns, ranges, and the steps under the bar.
fn unfolded_ui(
    ui: &mut Ui,
    name: &str,
    c: &Columns,
    rect: Rect,
    axis: Axis,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let words_end = figures::ranges_ui(ui, name, c, rect, view, actions);
    let words = Rect::from_min_max(
        pos2(rect.left() + 12.0, rect.top()),
        pos2(words_end, rect.bottom()),
    );
    let lower = Rect::from_min_max(
        pos2(words.left(), rect.center().y),
        pos2(c.before_bar() - 4.0, rect.bottom()),
    );
    let upper = Rect::from_min_max(words.min, pos2(words.right(), rect.center().y));
    time::head_ui(ui, upper, view, actions);
    figures::others_ui(ui, name, c, lower, view, actions);
    if let Some(bar) = c.bar {
        let lanes = bar_rect(bar, rect);
        time::band_ui(ui, lanes, axis, view, actions);
        let right = Rect::from_min_max(
            pos2(lanes.right() + 8.0, rect.center().y - 1.0),
            pos2(rect.right() - 6.0, rect.bottom()),
        );
        time::toggles_ui(ui, right, view, actions);
    }
}

/// The name of a candidate for messages.
pub fn candidate_name(style: Style, job: &Job, i: usize) -> String {
    job.candidates
        .get(i)
        .map_or_else(String::new, |c| style.candidate(c))
}
