//! What is drawn but perhaps not to be cut: each a question with its reason, counted until answered.

use super::indented::indented;
use crate::drawing::{Fault, Proposal, ReadOptions};
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, strong, tokens};
use crate::profile::Keep;
use crate::words::{at_stake, reading};
use egui::{Button, Label, RichText, Sense, Ui};

/// The questions that a finding stands for, below it.
pub fn questions_ui(ui: &mut Ui, fault: Fault, view: &View<'_>, actions: &mut Vec<Action>) {
    let open = view.file.drawing.proposals.iter();
    for p in open.filter(|p| p.answer.is_none() && p.kind.fault() == fault) {
        ui.push_id(p.key(), |ui| {
            indented(ui, |ui| proposal_ui(ui, p, view, actions));
        });
    }
    if fault == Fault::SideBySide {
        indented(ui, |ui| what_stays_ui(ui, actions));
        if let Some(cost) = view.file.cost_as_openings() {
            let words = at_stake::either_way(view.file.cost_shown(), cost, view.style);
            indented(ui, |ui| soft_ui(ui, words));
        }
    }
    stake_ui(ui, fault, view);
}

/// What contours that lie side by side are: nobody has said it yet.
fn what_stays_ui(ui: &mut Ui, actions: &mut Vec<Action>) {
    let colour = tokens(ui).accent;
    for (keep, words) in [
        (Keep::Inside, say!("parts, cut out")),
        (Keep::Outside, say!("openings in a plate")),
    ] {
        let text = RichText::new(words).size(SMALL + 0.5).color(colour);
        if ui.button(text).clicked() {
            actions.push(Action::WhatStays(keep));
        }
    }
}

/// What of the price hangs on the answers.
fn stake_ui(ui: &mut Ui, fault: Fault, view: &View<'_>) {
    let file = view.file;
    let stakes = file
        .answer
        .iter()
        .filter_map(|a| a.at_stake.get(file.shown));
    let stake = stakes.flatten().find(|s| s.kind.fault() == fault);
    let figures = file.shown_estimate().and_then(|e| e.figures.as_ref());
    let (Some(stake), Some(figures)) = (stake, figures) else {
        return;
    };
    let words = say!(
        "{} of {} hangs on it",
        view.style.money(stake.cost),
        view.style.money(figures.cost.part.median)
    );
    indented(ui, |ui| soft_ui(ui, words));
}

fn soft_ui(ui: &mut Ui, words: String) {
    let text = RichText::new(words).size(SMALL + 0.5);
    ui.label(text.color(tokens(ui).text_soft));
}

/// What was answered, each with its answer and the other one.
pub fn answered_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let all = &view.file.drawing.proposals;
    if all.iter().all(|p| p.answer.is_none()) {
        return;
    }
    ui.label(strong(say!("Your answers"), BODY - 0.5));
    for p in all.iter().filter(|p| p.answer.is_some()) {
        ui.push_id(p.key(), |ui| {
            ui.horizontal_wrapped(|ui| proposal_ui(ui, p, view, actions));
        });
    }
    ui.add_space(6.0);
}

/// Centre lines, a border, a title block or the edge of a block, to be cut or left out.
///
/// An answer joins the drawing anew and keeps the job.
fn proposal_ui(ui: &mut Ui, p: &Proposal, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    ui.spacing_mut().item_spacing.x = 5.0;
    let name = say!("{} on layer {}", reading::proposal(p.kind), p.layer);
    let words = RichText::new(&name).size(BODY - 0.5);
    let label = ui
        .add(Label::new(words).sense(Sense::click()))
        .on_hover_text(say!(
            "{}. Click to see it on the drawing.",
            reading::reason(&p.reason, view.style.system)
        ));
    if label.clicked() {
        actions.push(Action::Centre(p.at - view.file.profile.origin()));
    }
    for (answer, words) in reading::answers(p.kind) {
        let chosen = p.answer == Some(answer);
        let text = RichText::new(words).size(SMALL + 0.5);
        let button = Button::new(if chosen { text } else { text.color(t.accent) }).selected(chosen);
        let button = ui.add(button).accessible_name(format!("{words}, {name}"));
        if button.clicked() && !chosen {
            let mut new: ReadOptions = view.file.wanted.clone();
            new.answers.insert(p.key(), answer);
            actions.push(Action::Reread(Box::new(new)));
        }
    }
}
