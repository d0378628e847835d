//! The order of cutting as a word of the sentence; each other order with its time and attendance beside it.

use crate::estimate::alternatives::WayOfCutting;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SENTENCE, SMALL, tokens};
use crate::gui::widgets::{choice, dot_before};
use crate::job::{CutOff, CuttingOrder, Job, Travel};
use crate::units::Minutes;
use crate::words::at_stake::for_what;
use crate::words::style::{count, step_time, time};
use crate::words::ways;
use egui::{Role, Sense, Ui, WidgetInfo, vec2};

/// As short as the sentence wants it.
fn short_words(job: &Job) -> String {
    let order = match job.order {
        CuttingOrder::EachInTurn => say!("each contour in turn"),
        CuttingOrder::RoughsFirst => say!("all roughs first"),
    };
    let cut_off = match job.cut_off {
        CutOff::AfterSkims => "",
        CutOff::BeforeSkims => say!(", slugs out before the skims"),
    };
    let travel = match job.travel {
        Travel::Rethread => "",
        Travel::KeepThreaded => say!(", kept threaded"),
    };
    format!("{order}{cut_off}{travel}")
}

/// What the field says; nothing for a job with a single way to go about it.
pub fn order_words(view: &View<'_>) -> Option<String> {
    let file = view.file;
    let course = file.course.of(file.shown)?;
    let job = &file.job;
    let usual = job.order == CuttingOrder::EachInTurn
        && job.cut_off == CutOff::AfterSkims
        && job.travel == Travel::Rethread;
    (course.ways.len() >= 2 || !usual).then(|| short_words(job))
}

/// The field; a job with a single way to go about it shows none.
pub fn order_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let file = view.file;
    let (Some(course), Some(words)) = (file.course.of(file.shown), order_words(view)) else {
        return;
    };
    let job = &file.job;
    dot_before(ui, &words, SENTENCE);
    choice(ui, say!("Order of cutting"), &words, SENTENCE, |ui| {
        ui.set_min_width(470.0);
        for way in &course.ways {
            if way_ui(ui, way, file.pieces()).clicked() && !way.chosen {
                let mut new = job.clone();
                new.order = way.order;
                new.cut_off = way.cut_off;
                new.travel = way.travel;
                actions.push(Action::Edit(Box::new(new)));
                ui.close();
            }
        }
    });
}

/// Two lines: the way, and what it takes.
fn way_ui(ui: &mut Ui, way: &WayOfCutting, pieces: usize) -> egui::Response {
    let t = tokens(ui);
    let words = ways::of_cutting(way);
    let attended = if way.attended > Minutes::ZERO {
        say!("operator present for {}", time(way.attended))
    } else {
        say!("no operator needed").to_owned()
    };
    let alone = if way.alone > Minutes::ZERO && way.attended > Minutes::ZERO {
        say!(", first after {}", time(way.alone))
    } else {
        String::new()
    };
    let threadings = count(
        way.threadings,
        say!("threading" in "one of several"),
        say!("threadings"),
    );
    // To the minute: what tells the orders apart is less than what a total is rounded to.
    let takes = format!("{} {}", step_time(way.minutes), for_what(pieces));
    let rest = format!("{attended}{alone} · {threadings}");
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 40.0), Sense::click());
    response.widget_info(|| {
        let label = format!("{words}: {takes}, {rest}");
        WidgetInfo::selected(Role::Button, true, way.chosen, label)
    });
    if way.chosen {
        ui.painter().rect_filled(rect, 4, t.accent_fill);
    } else if response.hovered() || response.has_focus() {
        ui.painter()
            .rect_filled(rect, 4, crate::gui::theme::mix(t.raised, t.text, 0.08));
    }
    let font = |size| egui::FontId::proportional(size);
    let left = rect.left() + 8.0;
    let painter = ui.painter();
    let ink = if way.chosen { t.accent } else { t.text };
    let place = |y: f32, size: f32, text: &str, colour| {
        let at = egui::pos2(left, rect.top() + y);
        painter.text(at, egui::Align2::LEFT_CENTER, text, font(size), colour)
    };
    place(12.0, BODY, &words, ink);
    let first = place(29.0, SMALL + 0.5, &takes, t.text);
    let at = egui::pos2(first.right() + 8.0, rect.top() + 29.0);
    painter.text(
        at,
        egui::Align2::LEFT_CENTER,
        &rest,
        font(SMALL + 0.5),
        t.text_soft,
    );
    response
}
