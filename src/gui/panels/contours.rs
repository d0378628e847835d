//! The contours as a chip on the drawing that opens to a list: one line each, equal ones together.

mod listed;

use super::{contour_menu, parts};
use crate::gui::commands::Command;
use crate::gui::open_file::Target;
use crate::gui::pages::contour::own_words;
use crate::gui::scene::is_circle;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, ROW, SMALL, mix, strong, tokens};
use crate::gui::widgets::{elided, within};
use crate::job::contour_key;
use crate::units::{Area, Length};
use egui::emath::{Rect, pos2, vec2};
use egui::{
    Align2, Button, CornerRadius, FontId, Frame, Id, Margin, RichText, Role as AccessRole,
    ScrollArea, Sense, Stroke, StrokeKind, Ui, UiBuilder, WidgetInfo,
};
use listed::{Group, Line, Listed};

/// Height of one entry.
pub(super) const ENTRY: f32 = ROW;
/// Widest that the list lies over the drawing, points.
const WIDEST: f32 = 330.0;

/// The chip, the question mark of the legend, and the list while it is open, over a drawing in `rect` of which so many
/// contours are cut, so long together.
pub fn chips_ui(
    ui: &mut Ui,
    rect: Rect,
    cut: (usize, Length),
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    let place = Rect::from_min_size(rect.min + vec2(10.0, 8.0), vec2(rect.width() - 20.0, 24.0));
    within(
        ui,
        UiBuilder::new().max_rect(place).id_salt("chips"),
        |ui| {
            ui.horizontal(|ui| {
                ui.spacing_mut().item_spacing.x = 6.0;
                let chip = |ui: &mut Ui, text: &str, open: bool, command: Command| {
                    let fill = if open { t.edge } else { t.raised };
                    let button = Button::new(RichText::new(text).size(SMALL + 1.0).color(t.text))
                        .fill(fill)
                        .selected(open)
                        .stroke(Stroke::new(1.0, t.edge));
                    let keys = command.keys();
                    let hint = format!("{} ({})", command.tooltip(), keys.unwrap_or_default());
                    let response = ui.add(button).on_hover_text(hint);
                    response.accessible_name(command.text()).clicked()
                };
                if chip(ui, &chip_words(cut, view), view.list, Command::Contours) {
                    actions.push(Action::List(!view.list));
                }
                if chip(ui, "?", view.legend, Command::Legend) {
                    actions.push(Action::Legend(!view.legend));
                }
            });
        },
    );
    if view.list {
        let listed = Listed::of(ui, view.file);
        let size = vec2(
            WIDEST.min(rect.width() - 20.0),
            height_of_list(&listed, view).min(rect.height() - 70.0),
        );
        let place = Rect::from_min_size(rect.min + vec2(10.0, 38.0), size);
        list_ui(ui, place, &listed, view, actions);
    }
}

/// "5 contours · 485 mm".
fn chip_words((count, length): (usize, Length), view: &View<'_>) -> String {
    let (file, style) = (view.file, view.style);
    let mut words = vec![
        view.style.count(count, say!("contour"), say!("contours")),
        style.length(length),
    ];
    let parts = file.drawing.parts.len();
    if parts > 1 {
        let part = match file.part_taken() {
            Some(k) => say!("part {} of {parts}", k + 1),
            None => view.style.count(parts, say!("part"), say!("parts")),
        };
        words.insert(0, part);
    }
    format!("{} ▾", words.join(" · "))
}

/// What the whole list would take.
fn height_of_list(listed: &Listed, view: &View<'_>) -> f32 {
    let rows = listed.lines.len() as f32;
    let parts = view.file.drawing.parts.len() as f32;
    let parts = if parts > 1.0 {
        (parts + 1.0).min(8.0) * 2.0 * ENTRY + 12.0
    } else {
        0.0
    };
    rows * ENTRY + parts + 2.0 * ROW + 64.0
}

/// The list, on a ground of its own that keeps the pointer off the drawing.
fn list_ui(ui: &mut Ui, rect: Rect, listed: &Listed, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let ground = ui.interact(
        rect,
        ui.scope_id().with("ground of the list"),
        Sense::click_and_drag(),
    );
    ground.widget_info(|| WidgetInfo::labeled(AccessRole::Pane, true, say!("Contours")));
    let corner = CornerRadius::same(6);
    ui.painter().rect(
        rect,
        corner,
        t.raised,
        Stroke::new(1.0, t.edge),
        StrokeKind::Inside,
    );
    let place = UiBuilder::new().max_rect(rect).id_salt("list of contours");
    within(ui, place, |ui| {
        ui.set_clip_rect(rect.intersect(ui.clip_rect()));
        Frame::new()
            .inner_margin(Margin::same(8))
            .show(ui, |ui| contours_ui(ui, listed, view, actions));
    });
}

fn opened(view: &View<'_>, group: usize) -> Id {
    Id::unique(("group of contours", view.file.id, group))
}

/// Totals, parts, contours, open curves, and what was skipped.
fn contours_ui(ui: &mut Ui, listed: &Listed, view: &View<'_>, actions: &mut Vec<Action>) {
    totals_ui(ui, listed, view);
    parts::parts_ui(ui, view, actions);
    let mut rows = Vec::new();
    for line in &listed.lines {
        rows.push(*line);
        if let Line::Group(g) = *line
            && ui.data(|d| d.get_temp(opened(view, g)).unwrap_or(false))
        {
            let members = &listed.groups[g].members;
            rows.extend(members.iter().map(|i| Line::Contour(*i, true)));
        }
    }
    let height = (ui.available_height() - ROW - 8.0).max(2.0 * ENTRY);
    ScrollArea::vertical()
        .id_salt("contours")
        .auto_shrink([false, false])
        .max_height(height)
        .show_rows(ui, ENTRY, rows.len(), |ui, range| {
            ui.spacing_mut().item_spacing.y = 0.0;
            for line in &rows[range] {
                match *line {
                    Line::Contour(i, indented) => contour_row(ui, i, indented, view, actions),
                    Line::Group(g) => group_row(ui, (g, &listed.groups[g]), view, actions),
                    Line::Open(i) => open_row(ui, i, view, actions),
                }
            }
        });
    skipped_ui(ui, view);
}

/// "opening Ø 8" for a circle, "opening" for any other shape.
fn shape_words(view: &View<'_>, i: usize) -> String {
    let c = &view.file.profile.contours()[i];
    let role = view.file.job.role(&view.file.profile, i).word();
    if is_circle(c) {
        let diameter = c.drawn_length / std::f64::consts::PI;
        format!("{role} {}", view.style.diameter(diameter))
    } else {
        role.to_owned()
    }
}

/// Equal contours in one line: one tick and one menu for all of them.
fn group_row(ui: &mut Ui, (g, group): (usize, &Group), view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let (file, style) = (view.file, view.style);
    let (list, cut) = (&group.members, group.cut);
    let Some(&first) = list.first() else { return };
    let words = format!("{} × {}", list.len(), shape_words(view, first));
    let id = opened(view, g);
    let is_open: bool = ui.data(|d| d.get_temp(id).unwrap_or(false));
    ui.push_id(("group", g), |ui| {
        let (rect, response) =
            ui.allocate_exact_size(vec2(ui.available_width(), ENTRY), Sense::click());
        response.widget_info(|| {
            WidgetInfo::selected(AccessRole::DisclosureTriangle, true, is_open, &words)
        });
        if response.hovered() || response.has_focus() {
            ui.painter().rect_filled(rect, 4, t.edge);
        }
        if response.clicked() {
            ui.data_mut(|d| d.insert_temp(id, !is_open));
        }
        response.context_menu(|ui| contour_menu::group_ui(ui, list, &words, view, actions));
        let ticked = tick_ui(ui, rect, cut > 0, &say!("cut {words}"));
        if let Some(cut) = ticked {
            actions.push(contour_menu::cut_all(view, list, cut));
        }
        let more = Rect::from_min_max(pos2(rect.right() - 22.0, rect.top()), rect.max);
        let dots = within(ui, UiBuilder::new().max_rect(more).id_salt("more"), |ui| {
            ui.add(Button::new(RichText::new("…").color(t.accent)).frame(false))
        })
        .on_hover_text(say!("decide for all of them"))
        .accessible_name(say!("decide for {words}"));
        egui::Popup::menu(&dots).show(|ui| contour_menu::group_ui(ui, list, &words, view, actions));
        let each = file.profile.contours()[first].drawn_length;
        let total = style.length(each * list.len() as f64);
        let left_out = list.len() - cut;
        let mut second = match left_out {
            0 => String::new(),
            n if n == list.len() => say!("left out").to_owned(),
            n => say!("{n} left out"),
        };
        let own = own_words(view, contour_key(&file.profile.contours()[first]));
        if second.is_empty() && !own.is_empty() {
            second = own.join(", ");
        }
        let sign = if is_open { "▾" } else { "▸" };
        let ink = if cut == 0 { t.left_out } else { t.text };
        let room = rect.with_max_x(more.left() - 2.0);
        one_line(
            ui,
            room,
            (&format!("{sign} {words}"), &second, &total),
            (ink, t.text_soft),
        );
    });
}

/// A box to tick at the left of a row; what it is now, where that changed.
fn tick_ui(ui: &mut Ui, rect: Rect, cut: bool, name: &str) -> Option<bool> {
    let tick = Rect::from_min_size(rect.min + vec2(4.0, 1.0), vec2(20.0, ROW - 2.0));
    let mut ticked = cut;
    let checkbox = within(ui, UiBuilder::new().max_rect(tick).id_salt("tick"), |ui| {
        ui.checkbox(&mut ticked, "")
    })
    .on_hover_text(if cut {
        say!("cut; click to leave out")
    } else {
        say!("left out; click to cut")
    })
    .accessible_name(name);
    checkbox.changed().then_some(ticked)
}

/// Name left, what is special about it, and the length right.
fn one_line(
    ui: &Ui,
    rect: Rect,
    (name, second, length): (&str, &str, &str),
    (ink, soft): (egui::Color32, egui::Color32),
) {
    let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
    let body = FontId::proportional(BODY);
    let y = rect.center().y;
    let figures = painter.text(
        pos2(rect.right() - 4.0, y),
        Align2::RIGHT_CENTER,
        length,
        body.clone(),
        ink,
    );
    let name = painter.text(
        pos2(rect.left() + 28.0, y),
        Align2::LEFT_CENTER,
        name,
        body,
        ink,
    );
    let room = Rect::from_min_max(
        pos2(name.right() + 8.0, rect.top()),
        pos2(figures.left() - 8.0, rect.bottom()),
    );
    if room.width() > 12.0 {
        elided(ui, second, FontId::proportional(SMALL), soft, room);
    }
}

fn totals_ui(ui: &mut Ui, listed: &Listed, view: &View<'_>) {
    let style = view.style;
    ui.horizontal(|ui| {
        let cut = style.count(listed.cut, say!("contour to cut"), say!("contours to cut"));
        ui.label(strong(cut, BODY));
        let left = listed.left_out;
        if left > 0 {
            ui.weak(say!("{left} left out"));
        }
    });
    let mut text = say!("{} of cut", style.length(listed.length));
    if listed.net > 0.0 {
        text = say!("{text}, {} net", style.area(Area::from_mm2(listed.net)));
    }
    ui.label(RichText::new(text).size(SMALL + 0.5));
    ui.add_space(2.0);
}

/// A row's ground, by hover and selection; returns its rectangle.
fn row_ground(
    ui: &mut Ui,
    target: Target,
    label: &str,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) -> Rect {
    let t = tokens(ui);
    let selected = view.file.selected == Some(target);
    let (rect, response) =
        ui.allocate_exact_size(vec2(ui.available_width(), ENTRY), Sense::click());
    response.widget_info(|| WidgetInfo::selected(AccessRole::Button, true, selected, label));
    if selected {
        ui.painter().rect_filled(rect, 4, t.edge);
        let bar = Rect::from_min_size(rect.min, vec2(3.0, rect.height()));
        ui.painter().rect_filled(bar, 1, t.text);
    } else if response.hovered() || response.has_focus() {
        ui.painter()
            .rect_filled(rect, 4, mix(t.raised, t.edge, 0.6));
    }
    if response.clicked() {
        actions.push(Action::Select((!selected).then_some(target)));
    }
    if response.double_clicked() {
        actions.push(Action::Frame(target));
    }
    response.context_menu(|ui| contour_menu::menu_ui(ui, None, Some(target), view, actions));
    rect
}

fn contour_row(ui: &mut Ui, i: usize, indented: bool, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let (file, style) = (view.file, view.style);
    let contour = &file.profile.contours()[i];
    let role = file.job.role(&file.profile, i);
    let cut = file.job.cuts(contour);
    let key = contour_key(contour);
    let label = format!("{} {}", role.word(), i + 1);
    ui.push_id(("contour", key), |ui| {
        let rect = row_ground(ui, Target::Contour(i), &label, view, actions);
        let rect = rect.with_min_x(rect.left() + if indented { 16.0 } else { 0.0 });
        if let Some(cut) = tick_ui(ui, rect, cut, &say!("cut {label}")) {
            actions.push(contour_menu::cut_all(view, &[i], cut));
        }
        let ink = if cut { t.text } else { t.left_out };
        let soft = if cut { t.text_soft } else { t.left_out };
        let measures = file
            .answer
            .as_ref()
            .and_then(|a| a.measures.contours.get(i));
        let own = if cut {
            own_words(view, key).join(", ")
        } else {
            say!("left out").to_owned()
        };
        let second = match measures.and_then(|m| m.tightest_inside_radius) {
            _ if !own.is_empty() => own,
            Some(r) if r.mm() > 0.0 => format!("r {}", style.fine(r)),
            Some(_) => say!("sharp inside").to_owned(),
            None => String::new(),
        };
        let words = format!("{}  {}", i + 1, shape_words(view, i));
        let length = style.length(contour.drawn_length);
        one_line(ui, rect, (&words, &second, &length), (ink, soft));
    });
}

fn open_row(ui: &mut Ui, i: usize, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let chain = &view.file.profile.open()[i];
    let label = say!("open curve {}", i + 1);
    ui.push_id(("open", i), |ui| {
        let rect = row_ground(ui, Target::Open(i), &label, view, actions);
        let dots = rect.left_top() + vec2(6.0, ROW / 2.0);
        ui.painter().extend(egui::Shape::dashed_line(
            &[dots, dots + vec2(16.0, 0.0)],
            Stroke::new(1.6, t.open_curve),
            4.0,
            3.0,
        ));
        let second = if view.file.job.cuts_on_line(chain) {
            say!("cut on its line")
        } else {
            say!("not closed, not cut")
        };
        // The label is for those who hear it; beside the dashes a number is enough.
        let words = say!("{}  open", i + 1);
        let length = view.style.length(chain.drawn_length);
        one_line(
            ui,
            rect,
            (&words, second, &length),
            (t.open_curve, t.text_faint),
        );
    });
}

/// Name left and length right, details below.
pub(super) fn two_lines(
    ui: &Ui,
    rect: Rect,
    (name, length): (&str, &str),
    second: &str,
    (ink, soft): (egui::Color32, egui::Color32),
) {
    let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
    let body = FontId::proportional(BODY);
    let first = rect.top() + ROW / 2.0 + 1.0;
    let left = rect.left() + 32.0;
    let figures = painter.text(
        pos2(rect.right() - 8.0, first),
        Align2::RIGHT_CENTER,
        length,
        body.clone(),
        ink,
    );
    let line = |y: f32, right: f32| {
        Rect::from_min_max(pos2(left, y - 10.0), pos2(right.max(left), y + 10.0))
    };
    elided(ui, name, body, ink, line(first, figures.left() - 6.0));
    let small = FontId::proportional(SMALL);
    let below = line(first + ROW - 6.0, rect.right() - 4.0);
    elided(ui, second, small, soft, below);
}

/// What of the drawing is no part of the profile.
fn skipped_ui(ui: &mut Ui, view: &View<'_>) {
    let skipped = &view.file.drawing.skipped;
    let total: usize = skipped.values().sum();
    ui.separator();
    if total == 0 {
        ui.label(RichText::new(say!("nothing skipped")).size(SMALL).weak());
        return;
    }
    let mut kinds: Vec<_> = skipped.iter().collect();
    kinds.sort_by(|a, b| b.1.cmp(a.1));
    let words: Vec<_> = kinds
        .iter()
        .take(3)
        .map(|(kind, n)| format!("{n} {kind}"))
        .collect();
    let all: Vec<_> = kinds
        .iter()
        .map(|(kind, n)| format!("{n} {kind}"))
        .collect();
    ui.add(
        egui::Label::new(
            RichText::new(say!(
                "skipped {}{}",
                words.join(", "),
                if kinds.len() > 3 { ", …" } else { "" }
            ))
            .size(SMALL)
            .color(tokens(ui).text_soft),
        )
        .truncate(),
    )
    .on_hover_text(all.join("\n"));
}
