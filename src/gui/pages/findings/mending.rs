//! Changes that the import offers for a finding: each in plain words, shown on the drawing while it is
//! pointed at, made on a click and taken back on another.

use super::indented::indented;
use crate::drawing::{Fault, Finding, Offer, OfferKind, ReadOptions};
use crate::gui::state::{Action, Pointed, View};
use crate::gui::theme::{BODY, SMALL, strong, tokens};
use crate::words::{offers, style::count};
use egui::{Button, Label, Response, RichText, Sense, Ui};
use std::collections::BTreeMap;

/// Most offers of one finding, and accepted ones, that are listed one by one.
const MOST: usize = 12;
/// The same while the finding is not selected: the findings after it stay in reach.
const FEW: usize = 4;

/// Ends that come to one place are one corner, mended by one click: with one of its two ends alone it
/// would not close.
fn corners(offers: &[Offer]) -> Vec<Vec<Offer>> {
    let mut out: Vec<Vec<Offer>> = Vec::new();
    let mut place = BTreeMap::new();
    for offer in offers {
        // The ends of one corner are moved to the very same point.
        let key = (
            offer.kind == OfferKind::Trim,
            offer.to.x().to_bits(),
            offer.to.y().to_bits(),
        );
        let k = *place.entry(key).or_insert(out.len());
        if k == out.len() {
            out.push(Vec::new());
        }
        out[k].push(*offer);
    }
    out
}

/// What would mend a finding: its offers, or the switch that does.
pub fn mend_ui(ui: &mut Ui, finding: &Finding, view: &View<'_>, actions: &mut Vec<Action>) {
    offers_ui(ui, finding, view, actions);
    let wanted = &view.file.wanted;
    if finding.fault == Fault::ClosesAtSides && !wanted.join_at_sides {
        indented(ui, |ui| {
            if ui.button(say!("Join at the sides")).clicked() {
                let new = ReadOptions {
                    join_at_sides: true,
                    ..wanted.clone()
                };
                actions.push(Action::Reread(Box::new(new)));
            }
        });
    }
    if finding.fault == Fault::OutlineAtSides {
        indented(ui, |ui| {
            if ui.button(say!("Leave these ends open")).clicked() {
                let new = ReadOptions {
                    join_at_sides: false,
                    outline_at_sides: false,
                    ..wanted.clone()
                };
                actions.push(Action::Reread(Box::new(new)));
            }
        });
    }
}

/// The offers of a finding, below it.
fn offers_ui(ui: &mut Ui, finding: &Finding, view: &View<'_>, actions: &mut Vec<Action>) {
    let list = &finding.offers;
    let selected = view
        .file
        .spot
        .and_then(|s| view.file.drawing.findings.get(s.finding));
    let is_selected = selected.is_some_and(|f| f.fault == finding.fault);
    let most = if is_selected { MOST } else { FEW };
    if list.is_empty() {
        return;
    }
    let take = |taken: &[Offer]| {
        let mut new = view.file.wanted.clone();
        new.accepted.extend(taken.iter().copied());
        Action::Reread(Box::new(new))
    };
    ui.push_id(("offers", finding.code()), |ui| {
        if list.len() > 1 {
            indented(ui, |ui| {
                let n = list.len();
                let all = |kind| list.iter().all(|o| o.kind == kind);
                let text = if all(OfferKind::Trim) {
                    say!("Trim all {n} ends")
                } else if all(OfferKind::Extend) {
                    say!("Extend all {n} ends")
                } else {
                    say!("Take all {n} offers")
                };
                if ui.button(text).clicked() {
                    actions.push(take(list));
                }
            });
        }
        let corners = corners(list);
        for (k, corner) in corners.iter().take(most).enumerate() {
            let words = offers::deed(corner[0].kind);
            let name = say!("{words}, offer {} of {}", k + 1, finding.code());
            let size = offers::amount(corner, view.style.system);
            if row(ui, (words, &name), &size, corner, view, actions) {
                actions.push(take(corner));
            }
        }
        more_ui(ui, corners.len(), most);
    });
}

/// What was accepted, each with the way back.
pub fn accepted_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let accepted = &view.file.wanted.accepted;
    if accepted.is_empty() {
        return;
    }
    let without = |gone: &[Offer]| {
        let mut new: ReadOptions = view.file.wanted.clone();
        new.accepted.retain(|o| !gone.contains(o));
        Action::Reread(Box::new(new))
    };
    ui.push_id("accepted", |ui| {
        ui.horizontal_wrapped(|ui| {
            let n = accepted.len();
            let words = count(n, say!("change accepted"), say!("changes accepted"));
            ui.label(strong(words, BODY - 0.5));
            if n > 1 && ui.button(say!("Take all back")).clicked() {
                actions.push(without(accepted));
            }
        });
        let corners = corners(accepted);
        for (k, corner) in corners.iter().take(MOST).enumerate() {
            let name = say!("Take back, change {}", k + 1);
            let words = offers::done(corner, view.style.system);
            if row(
                ui,
                (say!("Take back"), &name),
                &words,
                corner,
                view,
                actions,
            ) {
                actions.push(without(corner));
            }
        }
        more_ui(ui, corners.len(), MOST);
    });
}

/// One change with its button; whether that was clicked.
fn row(
    ui: &mut Ui,
    (words, name): (&str, &str),
    beside: &str,
    corner: &[Offer],
    view: &View<'_>,
    actions: &mut Vec<Action>,
) -> bool {
    let t = tokens(ui);
    let mut clicked = false;
    ui.push_id(name, |ui| {
        indented(ui, |ui| {
            ui.spacing_mut().item_spacing.x = 6.0;
            let button = Button::new(RichText::new(words).size(SMALL + 0.5).color(t.accent));
            let button = ui.add(button).accessible_name(name);
            let text = RichText::new(beside).size(SMALL + 0.5).color(t.text_soft);
            let label = ui
                .add(Label::new(text).sense(Sense::click()))
                .on_hover_text(say!("show it on the drawing"));
            point_at(&button, corner, view);
            point_at(&label, corner, view);
            if label.clicked() {
                actions.push(Action::Centre(corner[0].to - view.file.profile.origin()));
            }
            clicked = button.clicked();
        });
    });
    clicked
}

/// The canvas shows what is under the pointer or has the focus of the keyboard.
fn point_at(response: &Response, corner: &[Offer], view: &View<'_>) {
    if response.hovered() || response.has_focus() {
        view.pointed
            .set(Some(Pointed::Offers(corner[0], corner.get(1).copied())));
    }
}

fn more_ui(ui: &mut Ui, n: usize, most: usize) {
    if n > most {
        indented(ui, |ui| {
            ui.weak(say!("and {} more", n - most));
        });
    }
}
