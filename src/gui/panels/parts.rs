//! Several parts in one drawing: all together or one alone, with what each takes.

use super::contours::two_lines;
use crate::gui::scene::course::Taken;
use crate::gui::state::{Action, Pointed, View};
use crate::gui::theme::ROW;
use crate::gui::theme::tokens;
use crate::gui::widgets::NumberField;
use crate::job::Job;
use crate::profile::Part;
use crate::units::Length;
use crate::words::at_stake::Pieces;
use crate::words::parts::what_a_set_is;
use crate::words::typed::parse_number;
use egui::emath::{Rect, pos2};
use egui::{Role, ScrollArea, Sense, Ui, UiBuilder, WidgetInfo, vec2};

/// Height of an entry: name and measures.
const ENTRY: f32 = 2.0 * ROW - 4.0;
/// Share of the panel's height that the list takes at most.
const SHARE: f32 = 0.4;
/// Room for how many of a part make a set, points.
const COUNT: f32 = 34.0;
/// Rows that are seen in any case.
const LEAST_ROWS: f32 = 3.0;

/// The list; nothing for a drawing of a single part.
pub fn parts_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let file = view.file;
    let parts = &file.drawing.parts;
    if parts.len() < 2 {
        return;
    }
    let chosen = file.part_taken();
    let room = (ui.available_height() * SHARE / ENTRY)
        .floor()
        .max(LEAST_ROWS);
    let rows = room.min(parts.len() as f32 + 1.0);
    ui.add_space(4.0);
    ScrollArea::vertical()
        .id_salt("parts")
        .auto_shrink([false, true])
        .max_height(ENTRY * rows + 4.0)
        .show_rows(ui, ENTRY, parts.len() + 1, |ui, range| {
            ui.spacing_mut().item_spacing.y = 0.0;
            for row in range {
                row_ui(ui, row.checked_sub(1), chosen, view, actions);
            }
        });
    ui.separator();
}

/// Size, contours and cut length of a part in words.
fn about(view: &View<'_>, part: &Part) -> String {
    let file = view.file;
    let size = part.bounds.size();
    let mm = |v| view.style.system.length_value(Length::from_mm(v));
    let of_part = part.contours.iter().map(|&k| &file.profile.contours()[k]);
    let length: Length = of_part
        .filter(|c| !file.job.left_out.contains(&crate::job::contour_key(c)))
        .map(|c| c.drawn_length)
        .sum();
    format!(
        "{} × {} · {} · {}",
        view.style.number(mm(size.x), 1),
        view.style.number(mm(size.y), 1),
        view.style
            .count(part.contours.len(), say!("contour"), say!("contours")),
        view.style.length(length)
    )
}

/// "9 parts or views together", with the price of each while all are estimated.
fn together(view: &View<'_>) -> String {
    let file = view.file;
    let parts = &file.drawing.parts;
    let set = what_a_set_is(&file.job, &file.profile, parts, view.style);
    let said = set.unwrap_or_else(|| say!("{} parts or views together", parts.len()));
    let answer = file.answer.as_ref().filter(|a| a.pieces > 1);
    let figures = file.shown_estimate().and_then(|e| e.figures.as_ref());
    match answer.zip(figures) {
        Some((a, f)) => {
            let each = Pieces::of(a.pieces, f.cost.part.median).each;
            say!("{} a piece · {said}", view.style.money(each))
        }
        None => said,
    }
}

/// How many of a part make a set; typed in place.
fn count_ui(ui: &mut Ui, k: usize, row: Rect, view: &View<'_>, actions: &mut Vec<Action>) {
    let file = view.file;
    let Some(part) = file.drawing.parts.get(k) else {
        return;
    };
    let now = file.job.count_of(&file.profile, part);
    let left = row.left() + 28.0;
    let field = Rect::from_min_max(
        pos2(left, row.top() + 7.0),
        pos2(left + COUNT, row.bottom() - 3.0),
    );
    let name = say!("pieces of part {} in a set", k + 1);
    // A child of its own, which leaves the list where it is.
    let mut place = ui.new_child(UiBuilder::new().max_rect(field).id_salt(("count", k)));
    let shown = format!("{now} ×");
    let entry = NumberField::new(&name, shown)
        .width(COUNT - 12.0)
        .show(&mut place);
    entry
        .response
        .on_hover_text(say!("how many of it make a set"));
    let typed = entry.typed;
    let Some(typed) = typed else { return };
    let number = parse_number(typed.trim_end_matches(['×', 'x', ' ']));
    let whole = number.ok().filter(|v| v.fract() == 0.0 && *v >= 0.0);
    match whole.map(|v| v as u32) {
        Some(count) if count <= Job::MOST_PARTS => {
            let mut job = file.job.clone();
            job.set_count(&file.profile, part, count);
            actions.push(Action::Edit(Box::new(job)));
        }
        _ => actions.push(Action::Refuse(say!(
            "“{}” is not a number of parts. Type a whole number, such as 2; 0 leaves the part out of the set.",
            typed.trim()
        ))),
    }
}

/// One part, or all of them for `None`.
fn row_ui(
    ui: &mut Ui,
    part: Option<usize>,
    chosen: Option<usize>,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    let file = view.file;
    let parts = &file.drawing.parts;
    let taken = file.parts.of(file.shown);
    let (name, second, taken): (String, String, Option<Taken>) = match part {
        None => (
            say!("all parts").to_owned(),
            together(view),
            taken.map(|p| p.together),
        ),
        Some(k) => (
            say!("part {}", k + 1),
            about(view, &parts[k]),
            taken.and_then(|p| p.each.get(k).copied()),
        ),
    };
    let (figures, second) = match taken {
        Some(Some((minutes, cost))) => (
            view.style.time(minutes),
            format!("{} · {second}", view.style.money(cost)),
        ),
        Some(None) => (say!("cannot be cut").to_owned(), second),
        None => (String::new(), second),
    };
    let is_chosen = chosen == part;
    let size = vec2(ui.available_width(), ENTRY);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    response.widget_info(|| {
        let label = match part {
            None => say!("estimate all parts together").to_owned(),
            Some(_) => say!("estimate {name}"),
        };
        WidgetInfo::selected(Role::RadioButton, true, is_chosen, label)
    });
    if is_chosen {
        ui.painter().rect_filled(rect, 4, t.edge);
    } else if response.hovered() || response.has_focus() {
        ui.painter()
            .rect_filled(rect, 4, crate::gui::theme::mix(t.raised, t.edge, 0.6));
    }
    let at = rect.left_center() + vec2(16.0, 0.0);
    let ring = egui::Stroke::new(1.4, if is_chosen { t.text } else { t.text_soft });
    ui.painter().circle_stroke(at, 5.5, ring);
    if is_chosen {
        ui.painter().circle_filled(at, 2.8, t.text);
    }
    let ink = t.text;
    let mut words = rect;
    words.min.x += COUNT;
    two_lines(ui, words, (&name, &figures), &second, (ink, t.text_soft));
    if let Some(k) = part {
        count_ui(ui, k, rect, view, actions);
    }
    if let (Some(k), true) = (part, response.hovered() || response.has_focus()) {
        view.pointed.set(Some(Pointed::Part(k)));
    }
    if response.clicked() && !is_chosen {
        let mut job = file.job.clone();
        job.take_part(&file.profile, part.map(|k| &parts[k]));
        actions.push(Action::Edit(Box::new(job)));
    }
}
