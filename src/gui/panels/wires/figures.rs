//! One wire's figures: differences against the baseline, time with its bar, cost; and below the chosen row the rest.

use super::columns::{Column, Columns, Held, bar_rect, cell};
use crate::estimate::{Difference, Figures, Question};
use crate::gui::commands::Command;
use crate::gui::open_file::WireQuestion;
use crate::gui::page::Page;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, strong_family, tokens};
use crate::gui::widgets::{Axis, TimeBar, figure, figure_sensing, within};
use crate::language::said;
use crate::words::Style;
use crate::words::figures::{
    COST, Entry, HeldAgainst, PAYS_HEAD, TURNS_HEAD, UNSOLD, beside, columns, pays_from, turns_at,
};
use egui::emath::{Align2, Rect, vec2};
use egui::{Align, Color32, FontId, Layout, RichText, Sense, Ui, UiBuilder};

/// How a difference says where two wires are even.
type EvenWords = fn(&Difference, Style) -> String;

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
    for (held, column) in &c.numbers {
        match *held {
            Held::Figure(e) => {
                let font = if e.shows_range() {
                    FontId::new(BODY, strong_family())
                } else {
                    FontId::proportional(BODY)
                };
                let text = e.digits(view.style, f);
                let label = format!("{}, {name}", e.called());
                let range = e.range(view.style, f);
                let hint = (e.shows_range() && !range.is_empty())
                    .then(|| say!("{range}: two of three jobs fall in this range"));
                if put(
                    ui,
                    *column,
                    row,
                    (&label, &text, hint),
                    (font, t.text),
                    sense(i, view),
                ) && let Some(question) = e.question
                {
                    actions.push(Action::Ask(WireQuestion { wire: i, question }));
                }
            }
            Held::Difference(e, against) => {
                difference_cell(ui, i, name, (e, against), *column, row, view, actions);
            }
        }
    }
    let shares = view.file.answer.as_ref().and_then(|a| a.shares.get(i));
    let (Some(bar), Some(shares)) = (c.bar, shares) else {
        return;
    };
    let bar = bar_rect(bar, row);
    let share = within(ui, UiBuilder::new().max_rect(bar).id_salt("bar"), |ui| {
        let (response, share) = TimeBar {
            shares,
            minutes: f.minutes,
            axis,
            colour: t.wire(i),
            name,
            style: view.style,
        }
        .show(ui, bar.width(), bar.height());
        response.clicked().then_some(share)
    });
    if let Some(share) = share {
        let question = share.map_or(Question::Minutes, Question::Share);
        actions.push(Action::Ask(WireQuestion { wire: i, question }));
    }
}

/// Only the chosen row's figures are stops of the Tab key: the others are reached by choosing their row.
fn sense(i: usize, view: &View<'_>) -> Sense {
    if view.file.shown == i {
        Sense::click()
    } else {
        Sense::CLICK
    }
}

/// A number at the right of its column; whether it was clicked.
fn put(
    ui: &mut Ui,
    column: Column,
    line: Rect,
    (label, text, hint): (&str, &str, Option<String>),
    look: (FontId, Color32),
    sense: Sense,
) -> bool {
    let rect = cell(column, line).shrink2(vec2(6.0, 0.0));
    let place = UiBuilder::new()
        .max_rect(rect)
        .id_salt(label)
        .layout(Layout::right_to_left(Align::Center));
    within(ui, place, |ui| {
        let response = figure_sensing(ui, label, text, look, sense);
        match hint {
            Some(hint) => response.on_hover_text(hint),
            None => response,
        }
        .clicked()
    })
}

#[expect(
    clippy::too_many_arguments,
    reason = "one row's cells share all of these"
)]
fn difference_cell(
    ui: &mut Ui,
    i: usize,
    name: &str,
    (e, against): (&Entry, HeldAgainst),
    column: Column,
    row: Rect,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    let Some(answer) = &view.file.answer else {
        return;
    };
    let right = cell(column, row).right_center() - vec2(9.0, 0.0);
    let say = |ui: &Ui, text: &str| {
        let font = FontId::proportional(SMALL);
        ui.painter()
            .text(right, Align2::RIGHT_CENTER, text, font, t.text_faint);
    };
    if i == answer.comparison.baseline {
        say(ui, say!("baseline"));
        return;
    }
    let Some(d) = answer.comparison.difference(i) else {
        say(ui, "–");
        return;
    };
    let share = against(&d).share;
    let colour = if share.is_nan() || share.abs() < 0.0005 {
        t.text_faint
    } else if share < 0.0 {
        t.better
    } else {
        t.worse
    };
    let label = say!("difference of {}, {name}", e.called());
    let text = view.style.difference_in_column(share);
    if put(
        ui,
        column,
        row,
        (&label, &text, even_words(e, &d, view.style)),
        (FontId::proportional(BODY), colour),
        sense(i, view),
    ) {
        actions.push(Action::Compare(i));
    }
}

/// Where the two cases of the cost are even: the gain in speed from which a wire pays, the freed hours sold, and the value
/// of a machine hour at which it turns.
fn even_words(e: &Entry, d: &Difference, style: Style) -> Option<String> {
    let is_cost = [COST.question, UNSOLD.question].contains(&e.question);
    is_cost.then(|| {
        let (pays, turns) = (pays_from(d, style), turns_at(d, style));
        say!(
            "{PAYS_HEAD} {pays} speed, the freed hours sold; {TURNS_HEAD} a machine hour of {turns}",
            PAYS_HEAD = said(PAYS_HEAD),
            TURNS_HEAD = said(TURNS_HEAD)
        )
    })
}

/// The figures of the wire shown.
fn shown<'a>(view: &View<'a>) -> Option<&'a Figures> {
    view.file.shown_estimate()?.figures.as_ref()
}

/// Ranges of the chosen wire under the figures that have one. Where the words of the row may reach to.
pub(super) fn ranges_ui(
    ui: &mut Ui,
    name: &str,
    c: &Columns,
    rect: Rect,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) -> f32 {
    let t = tokens(ui);
    let mut words_end = c.before_bar() - 4.0;
    let Some(f) = shown(view) else {
        return words_end;
    };
    let line = Rect::from_min_size(rect.min - vec2(0.0, 3.0), vec2(rect.width(), 20.0));
    for (held, (x, w)) in &c.numbers {
        let Held::Figure(e) = *held else { continue };
        let range = e.range(view.style, f);
        if !e.shows_range() || range.is_empty() {
            continue;
        }
        let font = FontId::proportional(SMALL);
        let galley = ui
            .painter()
            .layout_no_wrap(range.clone(), font.clone(), t.text_soft);
        // A range is wider than its median; it reaches to the left.
        let wide = (galley.size().x + 20.0).max(*w);
        let column = (x + w - wide, wide);
        let free_from = if *x > c.before_bar() {
            c.bar.map_or(rect.left(), |b| b.0 + b.1)
        } else {
            rect.left() + 150.0
        };
        if column.0 + 6.0 < free_from {
            continue;
        }
        if *x < c.before_bar() {
            words_end = words_end.min(column.0);
        }
        let label = say!("range of {}, {name}", e.called());
        if put(
            ui,
            column,
            line,
            (&label, &range, None),
            (font, t.text_soft),
            Sense::click(),
        ) && let Some(question) = e.question
        {
            let wire = view.file.shown;
            actions.push(Action::Ask(WireQuestion { wire, question }));
        }
    }
    words_end
}

/// The figures of the chosen wire that are no columns, as far as there is room.
pub(super) fn others_ui(
    ui: &mut Ui,
    name: &str,
    c: &Columns,
    rect: Rect,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    let Some(f) = shown(view) else { return };
    let is_column = |e: &Entry| {
        let held = |h: &Held| matches!(h, Held::Figure(o) if o.head == e.head);
        c.numbers.iter().any(|(h, _)| held(h))
    };
    let place = UiBuilder::new()
        .max_rect(rect)
        .id_salt("figures of the chosen wire")
        .layout(Layout::left_to_right(Align::Center));
    let font = FontId::proportional(SMALL + 0.5);
    let answer = view.file.answer.as_ref();
    let difference = answer.and_then(|a| a.comparison.difference(view.file.shown));
    within(ui, place, |ui| {
        ui.spacing_mut().item_spacing.x = 2.0;
        for (head, of) in [(PAYS_HEAD, pays_from as EvenWords), (TURNS_HEAD, turns_at)] {
            let Some(d) = &difference else { break };
            let head = said(head);
            ui.label(RichText::new(head).size(SMALL).color(t.text_faint));
            let text = of(d, view.style);
            let label = format!("{head}, {name}");
            if figure(ui, &label, &text, font.clone(), t.text_soft).clicked() {
                actions.push(Action::Run(Command::Page(Page::Worth)));
            }
            ui.add_space(7.0);
        }
        let lot = view.file.job.quantity;
        let told = columns()
            .chain(beside())
            .filter(|e| !is_column(e) && e.says_something(lot));
        for e in told {
            let text = e.words(view.style, f);
            let wide = |text: &str| {
                let galley = ui
                    .painter()
                    .layout_no_wrap(text.to_owned(), font.clone(), t.text);
                galley.size().x
            };
            if wide(e.called()) + wide(&text) + 20.0 > ui.available_width() {
                break;
            }
            ui.label(RichText::new(e.called()).size(SMALL).color(t.text_faint));
            let label = format!("{}, {name}", e.called());
            let clicked = figure(ui, &label, &text, font.clone(), t.text_soft).clicked();
            if let Some(question) = e.question.filter(|_| clicked) {
                let wire = view.file.shown;
                actions.push(Action::Ask(WireQuestion { wire, question }));
            }
            ui.add_space(7.0);
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::emath::pos2;

    #[test]
    fn the_words_of_a_narrow_row_end_before_its_bar() {
        let c = Columns::new(
            0.0,
            600.0,
            170.0,
            &crate::gui::wire_table::WireTable::default(),
        );
        assert!(c.before_bar() <= 600.0 && c.before_bar() > c.after_name());
        let row = Rect::from_min_size(pos2(0.0, 0.0), vec2(600.0, 25.0));
        assert!(
            c.bar
                .is_none_or(|b| bar_rect(b, row).left() > c.before_bar())
        );
    }
}
