//! What wants a look: the import's findings, the wire's obstacles, places the wire can't reach.

mod indented;
mod mending;
mod notes;
mod proposals;
mod reading;

use crate::drawing::{Drawing, Fault, Finding, ProposalKind, Severity, Verdict};
use crate::estimate::{Estimate, Obstacle, Quotable, UncutSpot};
use crate::geometry::Point;
use crate::gui::open_file::{Spot, Target};
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, Tokens, strong, tokens};
use crate::job::TightRadii;
use crate::units::Length;
use crate::words::{at_stake, findings, obstacles, uncut};
use egui::{Button, Color32, Frame, Label, Response, RichText, ScrollArea, Sense, Ui};
use indented::indented;
use std::collections::BTreeMap;

/// Places of uncut spots are numbered apart from those of findings.
const UNCUT_PLACES: usize = 1_000_000;
/// And those of obstacles.
const OBSTACLE_PLACES: usize = 2_000_000;
/// Most places of one kind that are listed one by one.
const MOST_PLACES: usize = 40;

/// How many findings are more than a note.
pub fn wanting(drawing: &Drawing) -> usize {
    drawing
        .findings
        .iter()
        .filter(|f| f.severity() != Severity::Note)
        .count()
}

/// All findings, obstacles and uncut places; a click brings the place into the middle.
pub fn findings_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let file = view.file;
    ScrollArea::both()
        .id_salt("findings")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            drawing_ui(ui, view, actions);
            ui.add_space(8.0);
            notes::notes_ui(ui, view, actions);
            if let Some(e) = file.shown_estimate() {
                ui.add_space(8.0);
                wire_ui(ui, e, view, actions);
            }
            ui.add_space(8.0);
            reading::reading_ui(ui, view, actions);
        });
}

/// What the import found, with what it asks and offers, and what was said to that.
fn drawing_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let findings = &view.file.drawing.findings;
    drawing_title_ui(ui, view);
    if findings.is_empty() {
        ui.weak(say!("read without a finding"));
    }
    for k in in_order(view) {
        finding_ui(ui, k, &findings[k], view, actions);
    }
    ui.add_space(4.0);
    mending::accepted_ui(ui, view, actions);
    proposals::answered_ui(ui, view, actions);
}

/// The findings as they are listed: what stops a quote, then questions by the money that hangs on them, then what can be
/// mended, then the rest by its weight.
pub fn in_order(view: &View<'_>) -> Vec<usize> {
    let findings = &view.file.drawing.findings;
    let stakes = view
        .file
        .answer
        .as_ref()
        .and_then(|a| a.at_stake.get(view.file.shown));
    let cost = |f: &Finding| {
        let of = stakes
            .into_iter()
            .flatten()
            .filter(|s| s.kind.fault() == f.fault);
        of.map(|s| s.cost.amount()).sum::<f64>()
    };
    let rank = |f: &Finding| {
        (
            f.severity() == Severity::Refuse,
            asks(f.fault),
            cost(f),
            !f.offers.is_empty(),
            f.severity(),
        )
    };
    let mut order: Vec<usize> = (0..findings.len()).collect();
    order.sort_by(|&a, &b| {
        let (a, b) = (rank(&findings[a]), rank(&findings[b]));
        b.partial_cmp(&a).unwrap_or(std::cmp::Ordering::Equal)
    });
    order
}

/// Whether a finding is a question: if curves are to be cut, or what stays of them.
fn asks(fault: Fault) -> bool {
    fault == Fault::SideBySide || ProposalKind::ALL.iter().any(|kind| kind.fault() == fault)
}

/// What stands in the way of the wire shown, and what it leaves.
fn wire_ui(ui: &mut Ui, e: &Estimate, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    ui.label(strong(view.style.spoken_candidate(&e.candidate), BODY));
    if e.obstacles.is_empty() && e.uncut.is_empty() {
        ui.weak(say!("the wire reaches everything"));
    }
    for (k, told) in obstacles::told(&e.obstacles, view.style.system)
        .into_iter()
        .enumerate()
    {
        let all: Vec<&Obstacle> = told.all.iter().map(|&k| &e.obstacles[k]).collect();
        let (word, colour) = if all.iter().any(|o| o.blocks()) {
            (say!("cannot"), t.fault)
        } else {
            (say!("check"), t.warn)
        };
        let places = places_told(e, &all);
        let (at, target) = places.first().copied().unwrap_or_default();
        let look = (word, colour);
        item(
            ui,
            ("obstacle", k),
            look,
            &told.sentence,
            at,
            target,
            actions,
        );
        if let Some(place) = places_ui(ui, OBSTACLE_PLACES + k, places.len(), None) {
            lead_to(places[place].0, places[place].1, actions);
        }
    }
    tight_radii_ui(ui, e, view, actions);
    uncut_ui(ui, e, view, actions);
}

/// Where an obstacle is met, place by place, with the contour; as much as is known of each.
fn places_told(e: &Estimate, all: &[&Obstacle]) -> Vec<(Option<Point>, Option<Target>)> {
    let spots = e
        .uncut
        .iter()
        .filter(|u| all.iter().any(|o| u.is_told_by(o)));
    let spots: Vec<_> = spots
        .map(|u| (Some(u.at), Some(Target::Contour(u.contour))))
        .collect();
    if spots.is_empty() {
        let own = all.iter().map(|o| (o.at, o.contour().map(Target::Contour)));
        own.collect()
    } else {
        spots
    }
}

/// What is said of radii that a wire leaves larger, where the wire shown does; it can be taken back or undone.
fn tight_radii_ui(ui: &mut Ui, e: &Estimate, view: &View<'_>, actions: &mut Vec<Action>) {
    if e.is_as_drawn() {
        return;
    }
    let job = &view.file.job;
    let choices = [
        (
            TightRadii::Undecided,
            say!("rank behind wires that make them"),
        ),
        (TightRadii::Accepted, say!("accept what the wires leave")),
        (TightRadii::Required, say!("require as drawn")),
    ];
    indented(ui, |ui| {
        ui.weak(say!(
            "Radii and corners that a wire leaves larger than drawn:"
        ));
        for (said, words) in choices {
            let chosen = job.tight_radii == said;
            if ui.selectable_label(chosen, words).clicked() && !chosen {
                let mut new = job.clone();
                new.tight_radii = said;
                actions.push(Action::Edit(Box::new(new)));
            }
        }
    });
}

/// Name of the drawing, and whether it may be quoted from.
fn drawing_title_ui(ui: &mut Ui, view: &View<'_>) {
    let t = tokens(ui);
    let quotable = view.file.quotable();
    ui.horizontal(|ui| {
        let colour = verdict_colour(quotable, t);
        ui.label(strong(at_stake::quotable(quotable), BODY).color(colour));
        let title = say!("{} as drawn", view.file.name);
        let title = RichText::new(&title).size(BODY).color(t.text_soft);
        ui.add(Label::new(title).truncate());
    });
}

/// The colour of the word for whether a price may be given.
pub fn verdict_colour(quotable: Quotable, t: &Tokens) -> Color32 {
    match quotable {
        Quotable::Drawing(Verdict::SafeToQuote) => t.better,
        Quotable::Drawing(Verdict::CheckThis) => t.warn,
        Quotable::Drawing(Verdict::Refuse) | Quotable::NoWire => t.fault,
    }
}

/// A finding of the import with its places and offers; the one selected on the canvas comes into view.
fn finding_ui(ui: &mut Ui, k: usize, f: &Finding, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let file = view.file;
    let colour = match f.severity() {
        Severity::Note => t.text_faint,
        Severity::Check => t.warn,
        Severity::Refuse => t.fault,
    };
    let word = findings::weight(f.severity());
    let selected = file.spot.filter(|s| s.finding == k);
    let fill = if selected.is_some() {
        t.edge
    } else {
        Color32::TRANSPARENT
    };
    let frame = Frame::new().fill(fill).corner_radius(4).show(ui, |ui| {
        ui.set_min_width(ui.available_width());
        let spot = |place| Spot { finding: k, place };
        let first = file.place_of(spot(0));
        let response = words_ui(
            ui,
            ("finding", k),
            (word, colour),
            &findings::sentence(f, view.style.system),
            first.is_some(),
        );
        if let Some(at) = first.filter(|_| response.clicked()) {
            actions.push(Action::Spot(Some(spot(0))));
            actions.push(Action::Centre(at));
        }
        let shown = selected.map(|s| s.place);
        if let Some(place) = places_ui(ui, k, f.at.len(), shown) {
            actions.push(Action::Spot(Some(spot(place))));
            actions.extend(file.place_of(spot(place)).map(Action::Centre));
        }
        proposals::questions_ui(ui, f.fault, view, actions);
        let about_scale = [
            Fault::ScaleInDimensions,
            Fault::ScaleInText,
            Fault::MixedScales,
        ];
        let offered = file.drawing.scale.offered;
        if let Some(choice) = offered.filter(|_| about_scale.contains(&f.fault)) {
            indented(ui, |ui| notes::scale_button_ui(ui, choice, view, actions));
        }
        mending::mend_ui(ui, f, view, actions);
    });
    // Brought into view once, when it is selected; then the list is the reader's again.
    let id = ui.scope_id().with("selected finding");
    let before: Option<Spot> = ui.data(|d| d.get_temp(id));
    if selected.is_some() && before != selected {
        frame.response.scroll_to_me(None);
        ui.data_mut(|d| d.insert_temp(id, selected));
    }
}

/// The word for how much it matters and what there is to say; a click leads to its place.
fn words_ui(
    ui: &mut Ui,
    id: (&str, usize),
    (word, colour): (&str, Color32),
    text: &str,
    leads: bool,
) -> Response {
    let t = tokens(ui);
    let response = ui
        .push_id(id, |ui| {
            Frame::new().inner_margin(4).show(ui, |ui| {
                ui.horizontal_top(|ui| {
                    ui.allocate_ui(egui::vec2(44.0, 16.0), |ui| {
                        ui.label(RichText::new(word).size(SMALL).color(colour));
                    });
                    let sense = if leads {
                        Sense::click()
                    } else {
                        Sense::hover()
                    };
                    let text = RichText::new(text).size(BODY - 0.5).color(t.text);
                    ui.add(Label::new(text).wrap().sense(sense))
                })
                .inner
            })
        })
        .inner
        .inner;
    if leads {
        response.on_hover_cursor(egui::CursorIcon::PointingHand)
    } else {
        response
    }
}

/// An obstacle or place the wire can't reach, with what it is about.
fn item(
    ui: &mut Ui,
    id: (&str, usize),
    word: (&str, Color32),
    text: &str,
    at: Option<Point>,
    target: Option<Target>,
    actions: &mut Vec<Action>,
) {
    let leads = at.is_some() || target.is_some();
    if !words_ui(ui, id, word, text, leads).clicked() {
        return;
    }
    lead_to(at, target, actions);
}

/// Selects what something is about, and brings its place into the middle.
fn lead_to(at: Option<Point>, target: Option<Target>, actions: &mut Vec<Action>) {
    if let Some(target) = target {
        actions.push(Action::Select(Some(target)));
    }
    match (at, target) {
        (Some(at), _) => actions.push(Action::Centre(at)),
        (None, Some(target)) => actions.push(Action::Frame(target)),
        (None, None) => {}
    }
}

/// What the wire can't reach and no obstacle tells, a line for each contour and kind of place.
fn uncut_ui(ui: &mut Ui, e: &Estimate, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let mut kinds: BTreeMap<(usize, bool), Vec<&UncutSpot>> = BTreeMap::new();
    let told = |u: &UncutSpot| e.obstacles.iter().any(|o| u.is_told_by(o));
    for u in e.uncut.iter().filter(|u| !told(u)) {
        kinds.entry((u.contour, u.sharp)).or_default().push(u);
    }
    for (k, ((contour, sharp), spots)) in kinds.into_iter().enumerate() {
        let deepest = spots
            .iter()
            .map(|u| u.depth)
            .fold(Length::ZERO, Length::max);
        let text = uncut::sentence(sharp, spots.len(), contour, deepest, view.style.system);
        let places: Vec<_> = spots.iter().map(|u| u.at).collect();
        let target = Some(Target::Contour(contour));
        let first = places.first().copied();
        let look = (say!("note"), t.text_faint);
        item(ui, ("uncut", k), look, &text, first, target, actions);
        if let Some(place) = places_ui(ui, UNCUT_PLACES + k, places.len(), None) {
            actions.push(Action::Centre(places[place]));
        }
    }
}

/// The places of a finding one by one, when there are several; the one that was clicked.
fn places_ui(ui: &mut Ui, finding: usize, places: usize, shown: Option<usize>) -> Option<usize> {
    if places < 2 {
        return None;
    }
    let t = tokens(ui);
    let mut clicked = None;
    ui.push_id(("places", finding), |ui| {
        indented(ui, |ui| {
            ui.spacing_mut().item_spacing.x = 3.0;
            for k in 0..places.min(MOST_PLACES) {
                let text = RichText::new(format!("{}", k + 1)).size(SMALL);
                let button = if shown == Some(k) {
                    Button::new(text.color(t.canvas)).fill(t.text)
                } else {
                    Button::new(text)
                };
                let response = ui.add(button).accessible_name(say!(
                    "place {} of finding {}",
                    k + 1,
                    finding + 1
                ));
                if response.clicked() {
                    clicked = Some(k);
                }
            }
            if places > MOST_PLACES {
                ui.weak("…");
            }
        });
    });
    clicked
}
