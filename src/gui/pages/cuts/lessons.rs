//! What the finished cuts teach: in words, as points, factor by factor, and how far it can be trusted.

use super::text::{heading, remark};
use crate::calibration::{MachineFit, assess, what_was_learned};
use crate::gui::picture::{cell, picture_ui, table};
use crate::gui::state::{Action, View};
use crate::gui::theme::{SMALL, strong, tokens};
use crate::gui::widgets::scatter::{Mark, Point};
use crate::gui::widgets::{Belief, belief, scatter};
use crate::words;
use crate::words::style::number;
use egui::{Label, RichText, Ui};

/// Everything about the machine that estimates are for.
pub fn lessons_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let learning = view.learning;
    if learning.waiting {
        remark(ui, say!("Fitting…"));
        return;
    }
    let Some(fit) = learning.fit() else {
        return;
    };
    heading(ui, say!("What was learned"));
    let t = tokens(ui);
    for lesson in what_was_learned(fit, view.library) {
        let sentence = words::lessons::sentence(&lesson, &fit.machine, view.style.system);
        ui.add(Label::new(RichText::new(sentence).color(t.text)).wrap());
    }
    ui.add_space(8.0);
    errors_ui(ui, fit);
    ui.add_space(10.0);
    heading(ui, say!("Predicted against actual"));
    remark(
        ui,
        say!(
            "On the line the prediction was right. Ring: the library alone. Dot with its 68 % band: predicted from all \
         other cuts. A cross was set aside."
        ),
    );
    let points: Vec<Point> = fit
        .rows
        .iter()
        .map(|r| Point {
            row: r.row,
            actual: r.actual.min_value(),
            before: r.before.min_value(),
            left_out: r.left_out.min_value(),
            log_sd: r.left_out_log_sd,
            mark: if r.outlier {
                Mark::Aside
            } else if r.is_suspect() {
                Mark::Suspect
            } else {
                Mark::Counts
            },
        })
        .collect();
    let width = ui.available_width();
    let picture = scatter(ui, &points, width, (width * 0.55).clamp(200.0, 340.0));
    let name = say!("predicted against actual");
    picture_ui(ui, name, picture.rect, actions, || {
        let head = [
            say!("row"),
            say!("minutes that it took"),
            say!("minutes by the library alone"),
            say!("minutes predicted from all other cuts"),
        ];
        let row = |p: &Point| {
            let minutes = [p.actual, p.before, p.left_out].map(cell).into_iter();
            std::iter::once(p.row.to_string()).chain(minutes).collect()
        };
        let head = head.map(str::to_owned).to_vec();
        table(std::iter::once(head).chain(points.iter().map(row)))
    });
    ui.add_space(10.0);
    factors_ui(ui, fit);
}

/// The honest error first, beside the flattering one.
fn errors_ui(ui: &mut Ui, fit: &MachineFit) {
    let t = tokens(ui);
    let Some(a) = assess([fit]) else {
        return;
    };
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 26.0;
        for (error, name, hint, colour) in [
            (
                a.left_out,
                say!("left-out error"),
                say!("each cut predicted from all others: the honest error"),
                t.text,
            ),
            (
                a.after,
                say!("in-sample error"),
                say!("each cut predicted with itself among those learned from: flattering"),
                t.text_soft,
            ),
            (
                a.before,
                say!("error of the library alone"),
                say!("each cut predicted before anything was learned"),
                t.text_soft,
            ),
        ] {
            ui.vertical(|ui| {
                ui.spacing_mut().item_spacing.y = 0.0;
                let percent = format!("{}\u{202f}%", number(error.exp_m1() * 100.0, 0));
                ui.label(strong(percent, 19.0).color(colour));
                ui.label(RichText::new(name).size(SMALL).color(t.text_faint));
            })
            .response
            .on_hover_text(hint);
        }
    });
    if a.cuts < 3 {
        remark(
            ui,
            say!(
                "With so few cuts the errors say little themselves. Log the next ones as they come."
            ),
        );
    }
}

/// Prior and posterior of each factor on one scale.
fn factors_ui(ui: &mut Ui, fit: &MachineFit) {
    let known = &fit.knowledge;
    let beliefs: Vec<Belief> = known
        .factors()
        .iter()
        .map(|l| Belief {
            name: l.factor.words(),
            prior_log_sd: l.prior_log_sd,
            log_mean: l.log_mean,
            log_sd: known.log_sd(&l.factor).unwrap_or(l.prior_log_sd),
            cuts: l.cuts,
        })
        .collect();
    if beliefs.is_empty() {
        return;
    }
    heading(ui, say!("Factor by factor"));
    remark(
        ui,
        say!(
            "Grey: believed before the cuts. Coloured: after them. The line is the library’s value, × a multiplier on it; \
         above 1 is faster (for run-off, more wire)."
        ),
    );
    let reach = beliefs.iter().map(Belief::reach).fold(0.1, f64::max) * 1.05;
    let width = ui.available_width();
    ui.scope(|ui| {
        ui.spacing_mut().item_spacing.y = 1.0;
        for b in &beliefs {
            belief(ui, b, reach, width);
        }
    });
}
