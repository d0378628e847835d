//! The finished cuts, each with what was predicted before and after learning.

use super::text::heading;
use crate::calibration::{Cut, why_cut_differs};
use crate::gui::learning::LearnAction;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, mix, strong_family, tokens};
use crate::gui::widgets::elided;
use crate::job::passes_words;
use crate::language::said;
use crate::units::Minutes;
use crate::words::style::{self, number};
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::{Button, Checkbox, FontId, Layout, RichText, Sense, Stroke, Ui, UiBuilder};

/// Height of a row of two lines.
const ROW: f32 = 38.0;
/// Rows shown until all are asked for.
const SEEN: usize = 6;

/// Right edges of the three columns of minutes, from the right.
#[derive(Debug, Clone, Copy)]
struct Columns {
    what: (f32, f32),
    actual: f32,
    before: f32,
    after: f32,
    aside: (f32, f32),
}

impl Columns {
    fn new(rect: Rect) -> Self {
        let right = rect.right();
        let (aside, minutes) = (88.0, 74.0);
        Self {
            what: (rect.left() + 30.0, right - aside - 3.0 * minutes - 4.0),
            actual: right - aside - 2.0 * minutes - 6.0,
            before: right - aside - minutes - 6.0,
            after: right - aside - 6.0,
            aside: (right - aside, right),
        }
    }
}

/// Headings and rows, the latest on top.
pub fn table_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let learning = view.learning;
    heading(
        ui,
        &style::count(
            learning.cuts.len(),
            say!("finished cut"),
            say!("finished cuts"),
        ),
    );
    let (head, _) = ui.allocate_exact_size(vec2(ui.available_width(), 18.0), Sense::hover());
    let c = Columns::new(head);
    let painter = ui.painter();
    let small = FontId::proportional(SMALL);
    for (x, text) in [
        (c.actual, say!("actual")),
        (c.before, say!("before")),
        (c.after, say!("learned")),
    ] {
        painter.text(
            pos2(x, head.center().y),
            Align2::RIGHT_CENTER,
            text,
            small.clone(),
            t.text_faint,
        );
    }
    painter.line_segment(
        [head.left_bottom(), head.right_bottom()],
        Stroke::new(1.0, t.edge),
    );
    let count = learning.cuts.len();
    let id = ui.make_persistent_id("all cuts");
    let all: bool = ui.data(|d| d.get_temp(id)).unwrap_or(false);
    let shown = if all { count } else { SEEN.min(count) };
    // One block for all rows: only those within sight are laid out, however many there are.
    let size = vec2(ui.available_width(), ROW * shown as f32);
    let (block, _) = ui.allocate_exact_size(size, Sense::hover());
    let sight = ui.clip_rect();
    ui.scope(|ui| {
        // Each row opens a scope of its own, which must take no room beside the block.
        ui.spacing_mut().item_spacing.y = 0.0;
        for k in 0..shown {
            let top = block.top() + ROW * k as f32;
            if top > sight.bottom() || top + ROW < sight.top() {
                continue;
            }
            let rect = Rect::from_min_size(pos2(block.left(), top), vec2(block.width(), ROW));
            let cut = count - 1 - k;
            ui.push_id(("cut", cut), |ui| row(ui, rect, cut, view, actions));
        }
    });
    if count > SEEN {
        let text = if all {
            say!("Only the latest {SEEN}")
        } else {
            say!("All {count} cuts")
        };
        if ui.button(text).clicked() {
            ui.data_mut(|d| d.insert_temp(id, !all));
        }
    }
}

fn row(ui: &mut Ui, rect: Rect, k: usize, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let Some(cut) = view.learning.cuts.get(k) else {
        return;
    };
    let response = ui.interact(rect, ui.make_persistent_id("row"), Sense::hover());
    let c = Columns::new(rect);
    let fit = view.learning.row(k);
    let suspect = fit.is_some_and(crate::calibration::RowFit::is_suspect);
    let (text, soft) = if cut.outlier {
        (t.text_faint, t.text_faint)
    } else {
        (t.text, t.text_soft)
    };
    if suspect {
        ui.painter()
            .rect_filled(rect, 0, mix(t.ground, t.warn, 0.12));
    }
    let painter = ui.painter();
    let upper = rect.top() + 11.0;
    let lower = rect.bottom() - 11.0;
    painter.text(
        pos2(rect.left() + 20.0, upper),
        Align2::RIGHT_CENTER,
        cut.row.to_string(),
        FontId::proportional(SMALL),
        t.text_faint,
    );
    let line = |y: f32| {
        Rect::from_center_size(
            pos2(0.5 * (c.what.0 + c.what.1), y),
            vec2(c.what.1 - c.what.0, 18.0),
        )
    };
    let name = view.style.candidate(&cut.wire);
    elided(
        ui,
        name,
        FontId::proportional(BODY - 0.5),
        text,
        line(upper),
    );
    elided(
        ui,
        under(cut, view),
        FontId::proportional(SMALL),
        soft,
        line(lower),
    );
    let minutes = |x: f32, y: f32, m: Minutes, font: FontId, colour| {
        painter.text(
            pos2(x, y),
            Align2::RIGHT_CENTER,
            style::time(m),
            font,
            colour,
        );
    };
    minutes(
        c.actual,
        upper,
        cut.cutting_minutes,
        FontId::new(BODY, strong_family()),
        text,
    );
    if let Some(f) = fit {
        for (x, predicted) in [(c.before, f.before), (c.after, f.after)] {
            minutes(x, upper, predicted, FontId::proportional(BODY), soft);
            let miss = predicted / f.actual - 1.0;
            let sign = if miss < 0.0 { "" } else { "+" };
            painter.text(
                pos2(x, lower),
                Align2::RIGHT_CENTER,
                format!("{sign}{}\u{202f}%", number(miss * 100.0, 0)),
                FontId::proportional(SMALL),
                t.text_faint,
            );
        }
    }
    if cut.outlier {
        // Struck out, so that one sees at once what does not count.
        let y = upper;
        painter.line_segment(
            [pos2(c.what.0, y), pos2(c.after, y)],
            Stroke::new(1.0, t.text_faint),
        );
    }
    painter.line_segment(
        [rect.left_bottom(), rect.right_bottom()],
        Stroke::new(1.0, mix(t.ground, t.edge, 0.6)),
    );
    marks(ui, rect, c, k, cut, suspect, actions);
    response.on_hover_ui(|ui| {
        ui.label(story(cut, view));
    });
}

/// Set aside or counted, and removed.
fn marks(
    ui: &mut Ui,
    rect: Rect,
    c: Columns,
    k: usize,
    cut: &Cut,
    suspect: bool,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    let room = Rect::from_min_max(pos2(c.aside.0, rect.top()), pos2(c.aside.1, rect.bottom()));
    ui.scope_builder(
        UiBuilder::new()
            .max_rect(room)
            .layout(Layout::right_to_left(egui::Align::Center)),
        |ui| {
            ui.spacing_mut().item_spacing.x = 2.0;
            let remove = Button::new(RichText::new("×").color(t.text_faint)).frame(false);
            if ui
                .add(remove)
                .on_hover_text(say!("take this cut out of the table; undo brings it back"))
                .accessible_name(say!("remove cut {}", cut.row))
                .clicked()
            {
                actions.push(Action::Learn(LearnAction::Remove(k)));
            }
            let mut aside = cut.outlier;
            let mut words = RichText::new(say!("outlier")).size(SMALL);
            if suspect {
                words = RichText::new(say!("outlier?")).size(SMALL).color(t.warn);
            }
            let response = ui
                .add(Checkbox::new(&mut aside, words))
                .on_hover_text(say!("an outlier is shown, but not learned from"))
                .accessible_name(say!("outlier, cut {}", cut.row));
            if response.changed() {
                actions.push(Action::Learn(LearnAction::SetAside(k, aside)));
            }
        },
    );
}

/// The second line: thickness, date and machine.
fn under(cut: &Cut, view: &View<'_>) -> String {
    let out = format!(
        "{}, {}",
        view.style.typed_length(cut.thickness),
        cut.date.said()
    );
    if cut.machine.is_empty() {
        out
    } else {
        format!("{out}, {}", cut.machine)
    }
}

/// Everything that was noted.
fn story(cut: &Cut, view: &View<'_>) -> String {
    let mut out = format!(
        "{}, {} {}, {}, {}, {}",
        cut.date.said(),
        view.style.typed_length(cut.thickness),
        said(&cut.material),
        passes_words(cut.passes),
        cut.flushing.words(),
        view.style.length(cut.cut_length)
    );
    if let Some(wire) = cut.wire_used {
        out = say!("{out}, {} of wire", view.style.wire_measured(wire));
    }
    if !cut.note.is_empty() {
        out = format!("{out}. {}", cut.note);
    }
    match why(cut, view) {
        Some(why) => format!("{out}\n{why}"),
        None => out,
    }
}

/// Why it took longer or shorter than expected before learning: minutes by what was learned, and its own.
fn why(cut: &Cut, view: &View<'_>) -> Option<String> {
    let knowledge = &view.learning.fit()?.knowledge;
    if knowledge.machine != cut.machine {
        return None;
    }
    let why = why_cut_differs(cut, knowledge, view.library)?;
    let minutes = |m: Minutes| {
        let text = number(m.min_value(), 0);
        let plus = if m.min_value() >= 0.5 { "+" } else { "" };
        say!("{plus}{text}\u{202f}min")
    };
    let parts = why.by_factor.iter().map(|(f, m)| (f.words(), *m));
    let parts: Vec<String> = parts
        .filter(|(_, m)| m.min_value().abs() >= 0.5)
        .map(|(words, m)| format!("{words} {}", minutes(m)))
        .collect();
    Some(say!(
        "Against what was expected before learning: {}. Of that {}{}this cut’s own {}.",
        minutes(why.difference),
        parts.join(", "),
        if parts.is_empty() { "" } else { ", " },
        minutes(why.own)
    ))
}
