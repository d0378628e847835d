//! The list of steps of the wire shown: all that the totals are sums of.

use crate::estimate::Question;
use crate::gui::open_file::{Target, WireQuestion};
use crate::gui::panels::time::person;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, tokens};
use crate::plan::Step;
use crate::words::style::{self, number};
use crate::words::{figures, obstacles};
use egui::emath::{Align2, pos2, vec2};
use egui::{FontId, Label, RichText, Role, ScrollArea, Sense, Ui, WidgetInfo};

/// Height of a step.
const ROW: f32 = 23.0;

/// All steps in order; a click says why.
pub fn steps_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let file = view.file;
    let Some(e) = file.shown_estimate() else {
        ui.label(view.file.awaited_words());
        return;
    };
    let Some(f) = &e.figures else {
        ui.label(say!("This wire cannot do the job; there are no steps."));
        for told in obstacles::told(e.blockers(), view.style.system) {
            ui.add(Label::new(told.sentence).wrap());
        }
        return;
    };
    let details: Vec<String> = figures::beside()
        .filter(|e| e.says_something(view.file.job.quantity))
        .map(|e| format!("{} {}", e.called(), e.words(view.style, f)))
        .collect();
    ui.add(
        Label::new(
            RichText::new(format!(
                "{}: {}; {}",
                view.style.spoken_candidate(&e.candidate),
                view.style.count(f.steps.len(), say!("step"), say!("steps")),
                details.join(", ")
            ))
            .size(SMALL)
            .color(t.text_soft),
        )
        .wrap(),
    );
    header(ui, view);
    // Before the area counts how many rows it has room for.
    ui.spacing_mut().item_spacing.y = 0.0;
    ScrollArea::both()
        .id_salt("steps")
        .auto_shrink([false, false])
        .show_rows(ui, ROW, f.steps.len(), |ui, range| {
            for i in range {
                step_row(ui, i, &f.steps[i], view, actions);
            }
        });
}

/// Right edges of the columns, from the right edge of the row.
const LENGTH: f32 = 132.0;
const MINUTES: f32 = 60.0;
const WIRE: f32 = 8.0;

fn header(ui: &mut Ui, view: &View<'_>) {
    let t = tokens(ui);
    let (r, _) = ui.allocate_exact_size(vec2(ui.available_width(), 18.0), Sense::hover());
    for (from_right, text) in [
        (LENGTH, view.style.system.length_unit()),
        (MINUTES, say!("time")),
        (WIRE, &say!("wire, {}", view.style.system.wire_unit())),
    ] {
        ui.painter().text(
            pos2(r.right() - from_right, r.center().y),
            Align2::RIGHT_CENTER,
            text,
            FontId::proportional(SMALL),
            t.text_faint,
        );
    }
    ui.painter().text(
        pos2(r.left() + 34.0, r.center().y),
        Align2::LEFT_CENTER,
        say!("contour, step"),
        FontId::proportional(SMALL),
        t.text_faint,
    );
}

fn step_row(ui: &mut Ui, i: usize, step: &Step, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let (file, style) = (view.file, view.style);
    let asked = WireQuestion {
        wire: file.shown,
        question: Question::Step(i),
    };
    let current = file.asked == Some(asked);
    let (r, response) = ui.allocate_exact_size(vec2(ui.available_width(), ROW), Sense::click());
    let place = step
        .contour
        .map_or(String::new(), |c| say!(", contour {}", c + 1));
    let words = step.words();
    response.widget_info(|| {
        WidgetInfo::selected(
            Role::Button,
            true,
            current,
            say!("step {}, {words}{place}", i + 1),
        )
    });
    let response = if step.attended {
        response.on_hover_text(say!("operator present"))
    } else {
        response
    };
    let on_selected = step.contour.map(Target::Contour) == file.selected && file.selected.is_some();
    if current || on_selected {
        ui.painter().rect_filled(r, 3, t.accent_fill);
    } else if response.hovered() || response.has_focus() {
        ui.painter().rect_filled(r, 3, t.raised);
    }
    let painter = ui.painter().with_clip_rect(r.intersect(ui.clip_rect()));
    let y = r.center().y;
    let small = FontId::proportional(SMALL);
    let body = FontId::proportional(BODY - 0.5);
    painter.text(
        pos2(r.left() + 26.0, y),
        Align2::RIGHT_CENTER,
        i + 1,
        small.clone(),
        t.text_faint,
    );
    if let Some(c) = step.contour {
        painter.text(
            pos2(r.left() + 34.0, y),
            Align2::LEFT_CENTER,
            c + 1,
            small.clone(),
            t.text_soft,
        );
    }
    painter.text(
        pos2(r.left() + 56.0, y),
        Align2::LEFT_CENTER,
        &words,
        body.clone(),
        t.text,
    );
    if step.attended {
        person(
            &painter,
            pos2(r.right() - LENGTH - 6.0, y + 6.0),
            t.warn,
            t.ground,
        );
    } else if step.length.mm() > 0.0 {
        let length = number(
            style.system.length_value(step.length),
            if style.system.length_unit() == "mm" {
                1
            } else {
                3
            },
        );
        painter.text(
            pos2(r.right() - LENGTH, y),
            Align2::RIGHT_CENTER,
            length,
            body.clone(),
            t.text_soft,
        );
    }
    painter.text(
        pos2(r.right() - MINUTES, y),
        Align2::RIGHT_CENTER,
        style::step_time(step.minutes),
        body.clone(),
        t.text,
    );
    painter.text(
        pos2(r.right() - WIRE, y),
        Align2::RIGHT_CENTER,
        style.wire_number(step.wire),
        body,
        t.text_soft,
    );
    if response.clicked() {
        actions.push(Action::Select(step.contour.map(Target::Contour)));
        actions.push(Action::Ask(asked));
    }
}
