//! The drawing in front against another open one: what differs, which minutes, where the wire goes.

use super::changes::changes_ui;
use super::why::difference::sureness_ui;
use super::why::split::{minutes_ui, wire_ui};
use crate::gui::commands::Command;
use crate::gui::pair::{Laying, OneOfTwo};
use crate::gui::panels::progress::line_ui;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, strong, tokens};
use crate::gui::widgets::choice;
use crate::words;
use crate::words::variants::{counted, laid_how};
use crate::words::{Style, figures, style::number};
use egui::emath::{Align2, pos2, vec2};
use egui::text::{LayoutJob, TextWrapping};
use egui::{FontId, Label, RichText, Role, ScrollArea, Sense, Ui, WidgetInfo};

/// Room for the words before the two columns.
const WORDS: f32 = 96.0;

/// The page.
pub fn compare_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    if view.files.len() < 2 {
        ui.add(
            Label::new(
                say!("Only one drawing is open. Open another one, such as the same part with larger radii, to see what that \
                 saves."),
            )
            .wrap(),
        );
        if ui.button(Command::Open.text()).clicked() {
            actions.push(Action::Run(Command::Open));
        }
        return;
    }
    let other = view.pair.map(|p| p.key[1].0);
    ui.horizontal_wrapped(|ui| {
        ui.label(strong(&view.file.name, BODY).color(t.text));
        ui.label(RichText::new(say!("against")).color(t.text_soft));
        let name = view.files.iter().find(|(id, _)| Some(*id) == other);
        let name = name.map_or(say!("another drawing"), |(_, name)| name.as_str());
        choice(ui, say!("The other drawing"), name, BODY, |ui| {
            for (id, name) in view.files.iter().filter(|(id, _)| *id != view.file.id) {
                if ui.selectable_label(Some(*id) == other, name).clicked() {
                    actions.push(Action::Against(*id));
                    ui.close();
                }
            }
        });
    });
    let Some(pair) = view.pair else {
        ui.label(view.file.awaited_words());
        return;
    };
    let (Some((front, other)), Some(found)) = (&pair.both, &pair.variants) else {
        ui.add(
            Label::new(
                say!("The wire shown cannot cut one of the two, so there is nothing to hold against each other. Show another \
                 wire below."),
            )
            .wrap(),
        );
        return;
    };
    ScrollArea::both()
        .id_salt("variants")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            ui.set_max_width(ui.available_width() - 12.0);
            ui.add_space(4.0);
            for decided in &found.decided {
                let words = words::variants::phrase(decided, view.style.system);
                let text = RichText::new(say!("Decided otherwise: {words}"));
                ui.add(Label::new(text.size(SMALL + 0.5).color(t.warn)).wrap());
            }
            let remark = say!("The line in the middle is the other drawing, left of it is less. What both share (machine, \
                          material, wire) cancels.");
            if let Some(laid) = &pair.laid {
                let other = view.files.iter().find(|(id, _)| *id == pair.key[1].0);
                let name = other.map_or(say!("The other drawing"), |(_, name)| name.as_str());
                let how = laid_how(&laid.motion);
                let counted = counted(&laid.revision);
                let text = say!("{name} lies over it {how}, as the broken line: {counted}.");
                ui.add(Label::new(RichText::new(text).color(t.text_soft)).wrap());
                ui.add_space(4.0);
                changes_ui(ui, view, &laid.revision, pair.prices.as_ref(), true, actions);
            } else {
                laying_ui(ui, view.laying, actions);
            }
            ui.add_space(8.0);
            sureness_ui(ui, &found.difference, remark, actions);
            ui.add_space(8.0);
            minutes_ui(ui, &found.why, actions);
            if let Some(split) = &found.why.wire {
                ui.add_space(8.0);
                wire_ui(ui, split, view.style, actions);
            }
            ui.add_space(8.0);
            both_ui(ui, front, other, view.style);
        });
}

/// One being laid over the other: how far that is, once it takes long, and the way to stop it and to begin again.
fn laying_ui(ui: &mut Ui, laying: &Laying, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    if laying.was_stopped() {
        ui.horizontal_wrapped(|ui| {
            let text = say!("One was not laid over the other: that was stopped.");
            ui.label(RichText::new(text).color(t.text_soft));
            if ui.button(say!("Lay it over")).clicked() {
                actions.push(Action::Lay(true));
            }
        });
        return;
    }
    let doing = say!("Laying one over the other…");
    match laying.progress().filter(|_| laying.takes_long()) {
        Some(progress) => {
            let cancel = say!("stop laying one over the other");
            if line_ui(ui, doing, progress, cancel) {
                actions.push(Action::Lay(false));
            }
        }
        None => {
            ui.label(RichText::new(doing).color(t.text_faint));
        }
    }
    ui.ctx().request_repaint_after(Laying::LOOK);
}

/// What each measures and comes to, side by side.
fn both_ui(ui: &mut Ui, front: &OneOfTwo, other: &OneOfTwo, style: Style) {
    let t = tokens(ui);
    let count = |n: usize| number(n as f64, 0);
    let mut rows: Vec<(&str, [String; 2])> = Vec::new();
    let wires = [front, other].map(|o| style.spoken_candidate(&o.candidate));
    if wires[0] != wires[1] {
        rows.push((say!("wire and Ø"), wires));
    }
    rows.extend([
        (
            say!("cut length"),
            [front, other].map(|o| style.length(o.cut_length)),
        ),
        (say!("contours"), [front, other].map(|o| count(o.contours))),
        (
            say!("sharp corners"),
            [front, other].map(|o| count(o.corners)),
        ),
        (say!("slugs"), [front, other].map(|o| count(o.slugs))),
    ]);
    rows.extend(figures::columns().chain(figures::beside()).map(|e| {
        (
            e.called(),
            [front, other].map(|o| e.words(style, &o.figures)),
        )
    }));
    ui.label(strong(say!("Side by side"), BODY).color(t.text));
    let names = [&front.name, &other.name].map(Clone::clone);
    row(ui, "", &names, SMALL);
    for (what, values) in rows {
        row(ui, what, &values, BODY);
    }
}

/// One line of the table: what, the drawing in front, the other one.
fn row(ui: &mut Ui, what: &str, values: &[String; 2], size: f32) {
    let t = tokens(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 19.0), Sense::hover());
    let label = say!("{what}: {} against {}", values[0], values[1]);
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &label));
    let painter = ui.painter();
    let font = FontId::proportional(size);
    let y = rect.center().y;
    let at = pos2(rect.left(), y);
    painter.text(at, Align2::LEFT_CENTER, what, font.clone(), t.text_soft);
    // Two columns of the same width beside the words.
    let width = (rect.width() - WORDS) / 2.0;
    for (k, value) in values.iter().enumerate() {
        let right = rect.left() + WORDS + width * (k as f32 + 1.0);
        let colour = if k == 0 { t.text } else { t.text_soft };
        let mut job = LayoutJob::simple_singleline(value.clone(), font.clone(), colour);
        job.wrap = TextWrapping::truncate_at_width(width - 10.0);
        let galley = painter.layout_job(job);
        let corner = pos2(right - galley.size().x, y - galley.size().y / 2.0);
        painter.galley(corner, galley, colour);
    }
}
