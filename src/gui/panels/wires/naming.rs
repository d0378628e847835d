//! The ends of a wire's row: its name and the choice of baseline, what stops it, and taking it out.

use super::columns::Columns;
use crate::estimate::Estimate;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, strong, strong_family, tokens};
use crate::gui::widgets::{swatch, within};
use crate::language::said;
use crate::words::{obstacles, wires};
use egui::emath::{Rect, pos2, vec2};
use egui::text::{LayoutJob, TextFormat, TextWrapping};
use egui::{
    Align, Button, FontFamily, FontId, Galley, Layout, RichText, Role, Sense, Ui, UiBuilder,
    WidgetInfo,
};
use std::sync::Arc;

pub(super) fn name_cell(
    ui: &mut Ui,
    rect: Rect,
    i: usize,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    let job = &view.file.job;
    let candidate = &job.candidates[i];
    let inner = Rect::from_min_max(rect.min + vec2(12.0, 0.0), rect.max - vec2(4.0, 0.0));
    within(
        ui,
        UiBuilder::new()
            .id_salt("name")
            .max_rect(inner)
            .layout(Layout::left_to_right(Align::Center)),
        |ui| {
            let name = view.style.candidate(candidate);
            ui.spacing_mut().item_spacing.x = 6.0;
            let radio = ui
                .radio(job.baseline == i, "")
                .on_hover_text(say!("hold the other wires against this one"))
                .accessible_name(say!("baseline {name}"));
            if radio.clicked() && job.baseline != i {
                let mut new = job.clone();
                new.baseline = i;
                actions.push(Action::Edit(Box::new(new)));
            }
            swatch(ui, t.wire(i));
            let about = about(i, view, ui.available_width(), ui);
            let height = rect.height();
            let (at, _) =
                ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
            let mut x = at.left();
            let whole = about.pieces.iter().all(|p| !p.elided) && !about.is_shortened;
            for galley in about.pieces {
                let y = rect.center().y - galley.size().y / 2.0;
                let width = galley.size().x;
                ui.painter().galley(pos2(x, y), galley, t.text);
                x += width + GAP;
            }
            if !whole {
                ui.interact(at, ui.scope_id().with("whole name"), Sense::hover())
                    .on_hover_text(about.whole);
            }
        },
    );
}

/// Between the pieces of a wire's cell, points.
const GAP: f32 = 7.0;
/// A name is not made shorter than this for the sake of what stands behind it, points.
const LEAST_NAME: f32 = 84.0;
/// Stands for the marks of a wire where there is no room for their words.
const MARK: &str = "!";

/// What is said of a wire in its cell.
struct About {
    /// Name, size, marks.
    pieces: Vec<Arc<Galley>>,
    /// Whether a piece was left out or stands in fewer letters.
    is_shortened: bool,
    /// All of it in words.
    whole: String,
    /// Room that it needs with name and size whole and marks as a sign, points.
    enough: f32,
}

/// What a name needs beside its words: margins, the choice of baseline, the wire's colour.
const BESIDE_NAME: f32 = 66.0;

/// Room that the widest of the wires needs with all that stands beside it, points.
pub(super) fn widest(ui: &Ui, view: &View<'_>) -> f32 {
    let all = 0..view.file.job.candidates.len();
    let enough = all.map(|i| about(i, view, f32::INFINITY, ui).enough);
    BESIDE_NAME + enough.fold(0.0, f32::max)
}

/// Name, size and marks of a wire in the room there is. Marks shrink to a sign first, then the size loses its unit, or
/// goes where all wires are of one size; the name gives way last, and never for a mark alone.
fn about(i: usize, view: &View<'_>, room: f32, ui: &Ui) -> About {
    let t = tokens(ui);
    let candidate = &view.file.job.candidates[i];
    let estimate = view.file.estimate(i).filter(|e| e.candidate == *candidate);
    let mut marks = Vec::new();
    if estimate.is_some_and(|e| e.figures.is_some() && e.leaves_a_radius()) {
        marks.push(said(obstacles::NOT_AS_DRAWN));
    }
    if estimate.is_some_and(|e| !e.is_on_hand()) {
        marks.push(said(obstacles::NOT_ON_HAND));
    }
    let marks = marks.join(", ");
    let family = if view.file.shown == i {
        strong_family()
    } else {
        FontFamily::Proportional
    };
    let small = FontId::proportional(SMALL);
    let cut = |text: &str, font: FontId, colour, width| {
        let format = TextFormat::simple(font, colour);
        let mut words = LayoutJob::single_section(text.to_owned(), format);
        words.wrap = TextWrapping::truncate_at_width(width);
        ui.painter().layout_job(words)
    };
    let line = |text: &str, colour| cut(text, small.clone(), colour, f32::INFINITY);
    let named = |width| {
        let text = wires::spoken(&candidate.wire);
        cut(text, FontId::new(BODY, family.clone()), t.text, width)
    };
    let whole_size = view.style.candidate_size(candidate);
    let (name, mut size) = (named(f32::INFINITY), Some(line(&whole_size, t.text_soft)));
    let mut mark = (!marks.is_empty()).then(|| line(&marks, t.warn));
    let wide = |piece: &Option<Arc<Galley>>| piece.as_ref().map_or(0.0, |g| g.size().x + GAP);
    let least = name.size().x.min(LEAST_NAME);
    let sign = mark.as_ref().map(|_| line(MARK, t.warn));
    let enough = name.size().x + wide(&size) + wide(&sign);
    let mut is_shortened = false;
    if least + wide(&size) + wide(&mark) > room && mark.is_some() {
        mark = sign;
        is_shortened = true;
    }
    if name.size().x + wide(&size) + wide(&mark) > room {
        let others = &view.file.job.candidates;
        let is_one_size = others.iter().all(|c| c.diameter == candidate.diameter);
        let unit = view.style.system.length_unit();
        let bare = whole_size.trim_end_matches(unit).trim_end();
        size = (!is_one_size).then(|| line(bare, t.text_soft));
        is_shortened = true;
    }
    let name = named((room - wide(&size) - wide(&mark)).max(0.0));
    let mut whole = view.style.candidate(candidate);
    if !marks.is_empty() {
        whole = format!("{whole}, {marks}");
    }
    About {
        pieces: [Some(name), size, mark].into_iter().flatten().collect(),
        is_shortened,
        whole,
        enough,
    }
}

/// Why a wire cannot do it, in words: one line, or in the chosen row, of which `row` is all, as much as there is room for.
pub(super) fn blocked_cell(
    ui: &mut Ui,
    i: usize,
    e: &Estimate,
    c: &Columns,
    row: Rect,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    let rect = Rect::from_min_max(
        pos2(c.after_name() + 10.0, row.top()),
        pos2(c.remove.0, row.bottom()),
    );
    let lead = |actions: &mut Vec<Action>| {
        actions.push(Action::Show(i));
        let at = e.blockers().find_map(|o| o.at);
        actions.extend(at.map(Action::Centre));
    };
    if view.file.shown == i {
        let told = obstacles::told(e.blockers(), view.style.system);
        let sentences: Vec<String> = told.into_iter().map(|t| t.sentence).collect();
        if all_words(ui, rect.shrink2(vec2(0.0, 4.0)), &sentences.join(" ")) {
            lead(actions);
        }
        return;
    }
    let told = obstacles::told(e.blockers(), view.style.system);
    let text = told.first().map_or_else(
        || say!("cannot be estimated").to_owned(),
        |t| t.sentence.clone(),
    );
    let more = told.len().saturating_sub(1);
    let text = if more > 0 {
        say!("{text} And {more} more.")
    } else {
        text
    };
    within(
        ui,
        UiBuilder::new()
            .id_salt("why not")
            .max_rect(rect)
            .layout(Layout::left_to_right(Align::Center)),
        |ui| {
            ui.label(strong(say!("cannot"), BODY).color(t.fault));
            // One line; the whole text shows on hover.
            let soft = RichText::new(&text).size(SMALL + 0.5).color(t.text_soft);
            let message = egui::Label::new(soft).truncate().sense(Sense::click());
            let response = ui.add(message).on_hover_text(&text);
            if response.clicked() {
                lead(actions);
            }
        },
    );
}

/// "cannot" and why, in as many lines as fit; the whole text on hover. Whether it was clicked.
fn all_words(ui: &mut Ui, room: Rect, why: &str) -> bool {
    let t = tokens(ui);
    let response = ui.interact(room, ui.scope_id().with("why not"), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, why));
    let mut words = LayoutJob::default();
    let strong = TextFormat::simple(FontId::new(BODY, strong_family()), t.fault);
    words.append(say!("cannot"), 0.0, strong);
    let soft = TextFormat::simple(FontId::proportional(SMALL + 0.5), t.text);
    words.append(why, 8.0, soft.clone());
    let line = ui.fonts_mut(|f| f.row_height(&soft.font_id));
    words.wrap = TextWrapping {
        max_width: room.width(),
        max_rows: (room.height() / line).floor().max(1.0) as usize,
        ..TextWrapping::default()
    };
    let galley = ui.painter().layout_job(words);
    ui.painter().galley(room.min, galley, t.text);
    response.on_hover_text(why).clicked()
}

pub(super) fn remove_cell(
    ui: &mut Ui,
    rect: Rect,
    i: usize,
    name: &str,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let job = &view.file.job;
    if job.candidates.len() < 2 {
        return;
    }
    within(
        ui,
        UiBuilder::new()
            .id_salt("remove")
            .max_rect(rect)
            .layout(Layout::right_to_left(Align::Center)),
        |ui| {
            let button = Button::new(RichText::new("×").weak()).frame(false);
            let response = ui
                .add(button)
                .on_hover_text(say!("take this wire out of the comparison"))
                .accessible_name(say!("remove {name}"));
            if response.clicked() {
                let mut new = job.clone();
                new.candidates.remove(i);
                if new.baseline > i || new.baseline >= new.candidates.len() {
                    new.baseline = new.baseline.saturating_sub(1);
                }
                actions.push(Action::Edit(Box::new(new)));
            }
        },
    );
}
