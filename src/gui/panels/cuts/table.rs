//! The finished cuts, each with what was predicted before and after learning.

use super::heading;
use crate::calibration::Cut;
use crate::gui::format::{self, number};
use crate::gui::learning::LearnAction;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, mix, strong_family, tokens};
use crate::job::passes_words;
use crate::units::Minutes;
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::{Button, Checkbox, FontId, Layout, RichText, ScrollArea, Sense, Stroke, Ui, UiBuilder};

/// Height of a row of two lines.
const ROW: f32 = 38.0;
/// Rows seen at once before the table scrolls by itself.
const SEEN: usize = 7;

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
        let (aside, minutes) = (104.0, 78.0);
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
        &format::count(learning.cuts.len(), "finished cut", "finished cuts"),
    );
    let (head, _) = ui.allocate_exact_size(vec2(ui.available_width(), 18.0), Sense::hover());
    let c = Columns::new(head);
    let painter = ui.painter();
    let small = FontId::proportional(SMALL);
    for (x, text) in [
        (c.actual, "actual"),
        (c.before, "built-in"),
        (c.after, "learned"),
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
    ui.spacing_mut().item_spacing.y = 0.0;
    let count = learning.cuts.len();
    ScrollArea::vertical()
        .id_salt("table of cuts")
        .max_height(ROW * SEEN.min(count) as f32)
        .auto_shrink([false, true])
        .show_rows(ui, ROW, count, |ui, shown| {
            for k in shown {
                let cut = count - 1 - k;
                ui.push_id(("cut", cut), |ui| row(ui, cut, view, actions));
            }
        });
    ui.spacing_mut().item_spacing.y = 5.0;
}

fn row(ui: &mut Ui, k: usize, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let Some(cut) = view.learning.cuts.get(k) else {
        return;
    };
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), ROW), Sense::hover());
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
    let clip = Rect::from_min_max(pos2(c.what.0, rect.top()), pos2(c.what.1, rect.bottom()));
    let what = painter.with_clip_rect(clip);
    what.text(
        pos2(c.what.0, upper),
        Align2::LEFT_CENTER,
        view.system.candidate(&cut.wire),
        FontId::proportional(BODY - 0.5),
        text,
    );
    what.text(
        pos2(c.what.0, lower),
        Align2::LEFT_CENTER,
        under(cut, view),
        FontId::proportional(SMALL),
        soft,
    );
    let minutes = |x: f32, y: f32, m: Minutes, font: FontId, colour| {
        painter.text(
            pos2(x, y),
            Align2::RIGHT_CENTER,
            format::time(m),
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
    response.on_hover_text(story(cut, view));
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
                .on_hover_text("take this cut out of the table; undo brings it back")
                .accessible_name(format!("remove cut {}", cut.row))
                .clicked()
            {
                actions.push(Action::Learn(LearnAction::Remove(k)));
            }
            let mut aside = cut.outlier;
            let mut words = RichText::new("outlier").size(SMALL);
            if suspect {
                words = RichText::new("outlier?").size(SMALL).color(t.warn);
            }
            let response = ui
                .add(Checkbox::new(&mut aside, words))
                .on_hover_text("an outlier is shown, but not learned from")
                .accessible_name(format!("outlier, cut {}", cut.row));
            if response.changed() {
                actions.push(Action::Learn(LearnAction::SetAside(k, aside)));
            }
        },
    );
}

/// The second line: date, machine and what was cut.
fn under(cut: &Cut, view: &View<'_>) -> String {
    let mut out = cut.date.to_string();
    if !cut.machine.is_empty() {
        out = format!("{out}, {}", cut.machine);
    }
    format!(
        "{out}, {} of {}",
        view.system.typed_length(cut.thickness),
        cut.material
    )
}

/// Everything that was noted.
fn story(cut: &Cut, view: &View<'_>) -> String {
    let mut out = format!(
        "{}, {} {}, {}, {}, {}",
        cut.date,
        view.system.typed_length(cut.thickness),
        cut.material,
        passes_words(cut.passes),
        cut.flushing.words(),
        view.system.length(cut.cut_length)
    );
    if let Some(wire) = cut.wire_used {
        out = format!("{out}, {} of wire", view.system.wire(wire));
    }
    if !cut.note.is_empty() {
        out = format!("{out}. {}", cut.note);
    }
    out
}
