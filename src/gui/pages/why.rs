//! Why a figure is what it is: its formula, unfolded down to values with their standing and source.

mod cost;
pub mod difference;
pub mod split;

use crate::estimate::Question;
use crate::gui::open_file::WireQuestion;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, Tokens, strong, tokens, unbroken};
use crate::plan::Share;
use crate::reason::{Figure, Origin, Sign, Unit};
use crate::units::Minutes;
use crate::words::reasons;
use crate::words::{Style, figures};
use egui::collapsing_header::CollapsingState;
use egui::{Align, Button, Label, Layout, RichText, ScrollArea, Ui};

/// Terms beyond this are folded at first.
const OPEN_TERMS: usize = 8;

/// The figure asked about; without one, the time of the wire shown.
pub fn why_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let file = view.file;
    if let Some(wire) = file.compared {
        difference::difference_ui(ui, wire, view, actions);
        return;
    }
    let asked = file.asked.unwrap_or(WireQuestion {
        wire: file.shown,
        question: Question::Minutes,
    });
    questions_ui(ui, asked, actions);
    ui.separator();
    let Some((_, figure)) = file.explained.as_ref().filter(|(a, _)| *a == asked) else {
        let text = match file.estimate(asked.wire) {
            Some(e) if !e.is_possible() => {
                say!("This wire cannot do the job, so there is no figure to explain.")
            }
            _ => say!("Click any figure below."),
        };
        ui.label(text);
        return;
    };
    if let Some(e) = file.estimate(asked.wire) {
        ui.label(
            RichText::new(view.style.spoken_candidate(&e.candidate))
                .size(SMALL)
                .color(tokens(ui).text_soft),
        );
    }
    ScrollArea::both()
        .id_salt("why")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            answer_ui(ui, figure, view.style);
            if asked.question == Question::Cost {
                ui.add_space(6.0);
                cost::cost_ui(ui, view, actions);
            }
            ui.add_space(6.0);
            if let Origin::Formula { terms, .. } = &figure.origin {
                for (k, (sign, term)) in terms.iter().enumerate() {
                    let sign = (k > 0).then_some(*sign);
                    term_ui(ui, sign, term, view.style, &format!("{k}"), 0, terms.len());
                }
            }
        });
}

/// The questions that are asked most.
fn questions_ui(ui: &mut Ui, asked: WireQuestion, actions: &mut Vec<Action>) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let shares = [Share::Rough, Share::Skims].map(|s| (s.words(), Question::Share(s)));
        let figures = figures::columns()
            .chain(figures::beside())
            .filter_map(|e| Some((e.called(), e.question?)));
        for (text, question) in figures.chain(shares) {
            let button = Button::new(RichText::new(text).size(SMALL + 0.5))
                .selected(asked.question == question);
            if ui.add(button).accessible_name(say!("why {text}")).clicked() {
                actions.push(Action::Ask(WireQuestion { question, ..asked }));
            }
        }
    });
}

/// Numbers of minutes are shown as hours and minutes where they are long.
fn value_text(f: &Figure, style: Style) -> String {
    let hours = f.unit == Unit::Minutes && f.value.abs() >= 60.0;
    let plain = style.quantity(f.value, f.unit);
    if hours {
        format!(
            "{} = {plain}",
            crate::words::style::step_time(Minutes::from_min(f.value))
        )
    } else {
        plain
    }
}

fn answer_ui(ui: &mut Ui, f: &Figure, style: Style) {
    let t = tokens(ui);
    ui.label(RichText::new(reasons::name(f, style)).color(t.text_soft));
    ui.label(strong(value_text(f, style), 20.0).color(t.text));
    if let Some((low, high)) = f.range {
        let end = |value: f64| match f.unit {
            Unit::Minutes => crate::words::style::time(Minutes::from_min(value)),
            unit => style.quantity(value, unit),
        };
        ui.label(unbroken(&say!(
            "about two times in three between {} and {}",
            end(low),
            end(high)
        )));
    }
    remark(ui, f, style, t);
    if let Origin::Formula { terms, .. } = &f.origin
        && terms.len() <= 4
    {
        let formula: Vec<_> = terms
            .iter()
            .enumerate()
            .map(|(k, (sign, term))| {
                let value = style.quantity(term.value, term.unit);
                if k == 0 {
                    value
                } else {
                    format!("{} {value}", sign.symbol())
                }
            })
            .collect();
        ui.add(
            Label::new(RichText::new(format!("= {}", formula.join(" "))).size(SMALL + 0.5)).wrap(),
        );
    }
}

/// Standing and source, or the note on a formula.
fn remark(ui: &mut Ui, f: &Figure, style: Style, t: &Tokens) {
    let text = reasons::rests_on(&f.origin, style);
    if !text.is_empty() {
        let small = RichText::new(text).size(SMALL).color(t.text_faint);
        ui.add(Label::new(small).wrap());
    }
}

fn term_ui(
    ui: &mut Ui,
    sign: Option<Sign>,
    f: &Figure,
    style: Style,
    path: &str,
    depth: usize,
    siblings: usize,
) {
    let t = tokens(ui);
    let head = |ui: &mut Ui| {
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.label(RichText::new(style.quantity(f.value, f.unit)).color(t.text));
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                if let Some(sign) = sign {
                    ui.label(strong(sign.symbol(), BODY).color(t.accent));
                }
                let name = reasons::name(f, style);
                ui.add(Label::new(RichText::new(&name).color(t.text)).truncate())
                    .on_hover_text(name);
            });
        });
    };
    let range = |ui: &mut Ui| {
        if let Some((low, high)) = f.range {
            let text = say!(
                "{} to {}",
                style.quantity(low, f.unit),
                style.quantity(high, f.unit)
            );
            ui.label(RichText::new(text).size(SMALL).color(t.text_soft));
        }
    };
    match &f.origin {
        Origin::Formula { terms, .. } if !terms.is_empty() => {
            let id = ui.make_persistent_id(("why", path, f.name.to_string()));
            let open = depth == 0 && siblings <= OPEN_TERMS && terms.len() <= OPEN_TERMS;
            CollapsingState::load_with_default_open(ui.ctx(), id, open)
                .show_header(ui, head)
                .body(|ui| {
                    range(ui);
                    remark(ui, f, style, t);
                    for (k, (sign, term)) in terms.iter().enumerate() {
                        let path = format!("{path}.{k}");
                        let sign = (k > 0).then_some(*sign);
                        term_ui(ui, sign, term, style, &path, depth + 1, terms.len());
                    }
                });
        }
        _ => {
            ui.horizontal(|ui| {
                ui.add_space(ui.spacing().indent + 4.0);
                head(ui);
            });
            ui.horizontal_wrapped(|ui| {
                ui.add_space(ui.spacing().indent + 4.0);
                ui.vertical(|ui| {
                    ui.spacing_mut().item_spacing.y = 1.0;
                    range(ui);
                    remark(ui, f, style, t);
                });
            });
        }
    }
}
