//! What wants a look: the import's findings, the wire's obstacles, places left standing; and cautions.

use super::menu::material_caution;
use super::{reading, slugs};
use crate::drawing::{Drawing, Severity};
use crate::estimate::{Estimate, UncutSpot};
use crate::geometry::Point;
use crate::gui::format::count;
use crate::gui::state::{Action, Target, View};
use crate::gui::theme::{BODY, SMALL, strong, tokens};
use crate::process::cautions::{CautionText, LIVE_WIRE, PLANNING_AID, SLUGS, WHAT_COMES_FIRST};
use crate::units::Length;
use egui::{Button, Color32, Frame, Label, RichText, ScrollArea, Sense, Ui};
use std::collections::BTreeMap;

/// Places of uncut spots are numbered apart from those of findings.
const UNCUT_PLACES: usize = 1_000_000;
/// Most places of one kind that are listed one by one.
const MOST_PLACES: usize = 40;

/// How many findings are more than a note.
pub fn wanting(drawing: &Drawing) -> usize {
    drawing
        .findings
        .iter()
        .filter(|f| f.severity != Severity::Note)
        .count()
}

/// All findings, obstacles and uncut places; a click brings the place into the middle.
pub fn findings_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let file = view.file;
    ScrollArea::vertical()
        .id_salt("findings")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            if let Some(e) = file.shown_estimate() {
                ui.label(strong(view.system.candidate(&e.candidate), BODY));
                if e.obstacles.is_empty() && e.uncut.is_empty() {
                    ui.weak("cuts everything; nothing is left standing");
                }
                for (k, o) in e.obstacles.iter().enumerate() {
                    let (word, colour) = if o.blocks {
                        ("cannot", t.fault)
                    } else {
                        ("look", t.warn)
                    };
                    let target = o.contour.map(Target::Contour);
                    item(
                        ui,
                        ("obstacle", k),
                        (word, colour),
                        &o.message,
                        o.at,
                        target,
                        actions,
                    );
                }
                uncut_ui(ui, e, view, actions);
                ui.add_space(8.0);
            }
            ui.label(strong(format!("{} as drawn", file.name), BODY));
            reading::reading_ui(ui, view, actions);
            if file.drawing.findings.is_empty() {
                ui.weak("read without a finding");
            }
            for (k, f) in file.drawing.findings.iter().enumerate() {
                let (word, colour) = match f.severity {
                    Severity::Note => ("note", t.text_faint),
                    Severity::Check => ("look", t.warn),
                    Severity::Refuse => ("fault", t.fault),
                };
                // Findings lie in the drawing's own coordinates.
                let places: Vec<_> = f.at.iter().map(|p| *p - file.profile.origin).collect();
                let first = places.first().copied();
                let id = ("finding", k);
                item(ui, id, (word, colour), &f.message, first, None, actions);
                places_ui(ui, k, &places, actions);
            }
        });
}

fn item(
    ui: &mut Ui,
    id: (&str, usize),
    (word, colour): (&str, Color32),
    text: &str,
    at: Option<Point>,
    target: Option<Target>,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    ui.push_id(id, |ui| {
        let frame = Frame::new().inner_margin(4).show(ui, |ui| {
            ui.horizontal_top(|ui| {
                if !word.is_empty() {
                    ui.allocate_ui(egui::vec2(44.0, 16.0), |ui| {
                        ui.label(RichText::new(word).size(SMALL).color(colour));
                    });
                }
                let sense = if at.is_some() || target.is_some() {
                    Sense::click()
                } else {
                    Sense::hover()
                };
                ui.add(
                    Label::new(RichText::new(text).size(BODY - 0.5).color(t.text))
                        .wrap()
                        .sense(sense),
                )
            })
            .inner
        });
        let response = frame.inner;
        if (at.is_some() || target.is_some()) && response.hovered() {
            ui.set_cursor_icon(egui::CursorIcon::PointingHand);
        }
        if response.clicked() {
            if let Some(target) = target {
                actions.push(Action::Select(Some(target)));
            }
            match (at, target) {
                (Some(at), _) => actions.push(Action::Centre(at)),
                (None, Some(target)) => actions.push(Action::Frame(target)),
                (None, None) => {}
            }
        }
    });
}

/// What the wire leaves standing, a line for each contour and kind of place.
fn uncut_ui(ui: &mut Ui, e: &Estimate, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let mut kinds: BTreeMap<(usize, bool), Vec<&UncutSpot>> = BTreeMap::new();
    for u in &e.uncut {
        kinds.entry((u.contour, u.sharp)).or_default().push(u);
    }
    for (k, ((contour, sharp), spots)) in kinds.into_iter().enumerate() {
        let deepest = spots
            .iter()
            .map(|u| u.depth)
            .fold(Length::ZERO, Length::max);
        let what = if sharp {
            count(spots.len(), "sharp corner", "sharp corners")
        } else {
            count(spots.len(), "tight place", "tight places")
        };
        let text = format!(
            "{what} of contour {} left standing, up to {} deep",
            contour + 1,
            view.system.fine(deepest)
        );
        let places: Vec<_> = spots.iter().map(|u| u.at).collect();
        let target = Some(Target::Contour(contour));
        let first = places.first().copied();
        let look = ("look", t.text_faint);
        item(ui, ("uncut", k), look, &text, first, target, actions);
        places_ui(ui, UNCUT_PLACES + k, &places, actions);
    }
}

/// The places of a finding one by one, when there are several.
fn places_ui(ui: &mut Ui, finding: usize, places: &[Point], actions: &mut Vec<Action>) {
    if places.len() < 2 {
        return;
    }
    ui.push_id(("places", finding), |ui| {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing.x = 3.0;
            ui.add_space(52.0);
            for (k, at) in places.iter().take(MOST_PLACES).enumerate() {
                let button = Button::new(RichText::new(format!("{}", k + 1)).size(SMALL));
                let response = ui.add(button).accessible_name(format!(
                    "place {} of finding {}",
                    k + 1,
                    finding + 1
                ));
                if response.clicked() {
                    actions.push(Action::Centre(*at));
                }
            }
            if places.len() > MOST_PLACES {
                ui.weak("…");
            }
        });
    });
}

/// What to watch for. Quiet, but always at hand.
pub fn cautions_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    ScrollArea::vertical()
        .id_salt("cautions")
        .auto_shrink([false, false])
        .show(ui, |ui| caution_list_ui(ui, view, actions));
}

fn caution_list_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let part = |ui: &mut Ui, title: &str, text: &str, colour: Color32| {
        ui.label(strong(title, BODY).color(colour));
        ui.add(Label::new(RichText::new(text).size(BODY - 0.5)).wrap());
        ui.add_space(6.0);
    };
    if let Some(caution) = material_caution(view) {
        let CautionText { title, text } = caution.words();
        let title = format!("{title}, {}", view.file.job.material);
        part(ui, &title, text, t.warn);
    }
    part(ui, SLUGS.title, SLUGS.text, t.text);
    slugs::slugs_ui(ui, view, actions);
    ui.add_space(6.0);
    part(ui, LIVE_WIRE.title, LIVE_WIRE.text, t.text);
    part(ui, PLANNING_AID.title, PLANNING_AID.text, t.text);
    let first = RichText::new(WHAT_COMES_FIRST).size(SMALL);
    ui.add(Label::new(first.color(t.text_soft)).wrap());
}
