//! The list of contours: what each is, how long, and whether it is cut.

use super::{contour_menu, parts};
use crate::estimate::at_stake::Quotable;
use crate::gui::commands::Command;
use crate::gui::open_file::Target;
use crate::gui::page::Page;
use crate::gui::pages::contour::own_words;
use crate::gui::pages::findings;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, ROW, SMALL, Tokens, strong, tokens};
use crate::gui::widgets::elided;
use crate::job::contour_key;
use crate::profile::{ProfileContour, Role};
use crate::units::{Area, Length};
use crate::words::{self, style::count};
use egui::emath::{Rect, pos2, vec2};
use egui::{
    Align, Align2, Button, FontId, Layout, RichText, Role as AccessRole, ScrollArea, Sense, Stroke,
    Ui, UiBuilder, WidgetInfo,
};

/// Height of one entry: name and measures.
pub(super) const ENTRY: f32 = 2.0 * ROW - 4.0;

/// Contours, open curves, totals and what was skipped.
pub fn contours_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let file = view.file;
    totals_ui(ui, view, actions);
    ui.add_space(2.0);
    ui.separator();
    parts::parts_ui(ui, view, actions);
    // Of several parts, those of the one that is cut.
    let part = file.part_taken().and_then(|k| file.drawing.parts.get(k));
    let n = part.map_or(file.profile.contours().len(), |p| p.contours.len());
    let open = part.map_or(file.profile.open().len(), |p| p.open.len());
    let rows = n + open;
    let footer = 2.0 * ROW;
    let height = (ui.available_height() - footer).max(60.0);
    ScrollArea::vertical()
        .id_salt("contours")
        .auto_shrink([false, false])
        .max_height(height)
        .show_rows(ui, ENTRY, rows, |ui, range| {
            ui.spacing_mut().item_spacing.y = 0.0;
            for row in range {
                if row < n {
                    let i = part.map_or(row, |p| p.contours[row]);
                    contour_row(ui, i, view, actions);
                } else {
                    let i = part.map_or(row - n, |p| p.open[row - n]);
                    open_row(ui, i, view, actions);
                }
            }
        });
    skipped_ui(ui, view);
}

fn totals_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let (file, style) = (view.file, view.style);
    let cut: Vec<_> = file
        .profile
        .contours()
        .iter()
        .enumerate()
        .filter(|(_, c)| file.job.cuts(c))
        .collect();
    let length: Length = cut.iter().map(|(_, c)| c.drawn_length).sum();
    let net: f64 = cut
        .iter()
        .map(|(i, c)| match file.job.role(&file.profile, *i) {
            Role::Outline => c.drawn_area.mm2(),
            Role::Opening => -c.drawn_area.mm2(),
        })
        .sum();
    // Its words are longer than what the line has left.
    let none_can = matches!(view.file.quotable(), Quotable::NoWire);
    ui.horizontal(|ui| {
        ui.label(strong(
            count(cut.len(), "contour to cut", "contours to cut"),
            BODY,
        ));
        let about = |c: &&ProfileContour| file.job.is_about(contour_key(c));
        let left = file.profile.contours().iter().filter(about).count() - cut.len();
        if left > 0 {
            ui.weak(format!("{left} left out"));
        }
        if !none_can {
            verdict_ui(ui, view, actions);
        }
    });
    if none_can {
        ui.horizontal(|ui| verdict_ui(ui, view, actions));
    }
    let mut text = format!("{} of cut", style.length(length));
    if net > 0.0 {
        text = format!("{text}, {} net", style.area(Area::from_mm2(net)));
    }
    ui.label(RichText::new(text).size(SMALL + 0.5));
}

/// Whether the drawing may be quoted from; a click says why.
fn verdict_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let quotable = view.file.quotable();
    let colour = findings::verdict_colour(quotable, t);
    ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
        let text = RichText::new(words::at_stake::quotable(quotable))
            .size(SMALL)
            .color(colour);
        let response = ui
            .add(Button::new(text).frame(false))
            .on_hover_text("what the import found in the drawing");
        if response.clicked() && view.page != Some(Page::Findings) {
            actions.push(Action::Run(Command::Page(Page::Findings)));
        }
    });
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
        ui.painter().rect_filled(rect, 4, t.accent_fill);
        let bar = Rect::from_min_size(rect.min, vec2(3.0, rect.height()));
        ui.painter().rect_filled(bar, 1, t.accent);
    } else if response.hovered() || response.has_focus() {
        ui.painter().rect_filled(rect, 4, t.raised);
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

fn contour_row(ui: &mut Ui, i: usize, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let (file, style) = (view.file, view.style);
    let contour = &file.profile.contours()[i];
    let role = file.job.role(&file.profile, i);
    let cut = file.job.cuts(contour);
    let key = contour_key(contour);
    let label = format!("{} {}", role.word(), i + 1);
    ui.push_id(("contour", key), |ui| {
        let rect = row_ground(ui, Target::Contour(i), &label, view, actions);
        let tick = Rect::from_min_size(rect.min + vec2(8.0, 2.0), vec2(20.0, ROW - 2.0));
        let mut ticked = cut;
        let checkbox = ui
            .scope_builder(UiBuilder::new().max_rect(tick), |ui| {
                ui.checkbox(&mut ticked, "")
            })
            .inner
            .on_hover_text(if cut {
                "cut; click to leave out"
            } else {
                "left out; click to cut"
            })
            .accessible_name(format!("cut {label}"));
        if checkbox.changed() {
            let mut job = file.job.clone();
            if ticked {
                job.left_out.remove(&key);
            } else {
                job.left_out.insert(key);
            }
            actions.push(Action::Edit(Box::new(job)));
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
            String::new()
        };
        let mut second = vec![style.area(contour.drawn_area)];
        if let Some(m) = measures {
            second.push(count(m.corners, "corner", "corners"));
            if let Some(r) = m.tightest_inside_radius {
                second.push(if r.mm() > 0.0 {
                    format!("r {}", style.fine(r))
                } else {
                    "sharp inside".to_owned()
                });
            }
        }
        two_lines(
            ui,
            rect,
            (
                &format!("{}  {}", i + 1, role.word()),
                &style.length(contour.drawn_length),
            ),
            &if own.is_empty() {
                second.join(" · ")
            } else {
                own.clone()
            },
            (ink, if own.is_empty() { soft } else { t.accent }),
        );
    });
}

fn open_row(ui: &mut Ui, i: usize, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let chain = &view.file.profile.open()[i];
    let label = format!("open curve {}", i + 1);
    ui.push_id(("open", i), |ui| {
        let rect = row_ground(ui, Target::Open(i), &label, view, actions);
        let dots = rect.left_top() + vec2(9.0, ROW / 2.0);
        ui.painter().extend(egui::Shape::dashed_line(
            &[dots, dots + vec2(16.0, 0.0)],
            Stroke::new(1.6, t.open_curve),
            4.0,
            3.0,
        ));
        two_lines(
            ui,
            rect,
            // The label is for those who hear it; beside the dashes a number is enough.
            (
                &format!("{}  open", i + 1),
                &view.style.length(chain.drawn_length),
            ),
            if view.file.job.cuts_on_line(chain) {
                "not closed, cut on its line"
            } else {
                "not closed, not cut"
            },
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
        ui.label(RichText::new("nothing skipped").size(SMALL).weak());
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
            RichText::new(format!(
                "skipped {}{}",
                words.join(", "),
                if kinds.len() > 3 { ", …" } else { "" }
            ))
            .size(SMALL)
            .color(token_soft(tokens(ui))),
        )
        .truncate(),
    )
    .on_hover_text(all.join("\n"));
}

fn token_soft(t: &Tokens) -> egui::Color32 {
    t.text_soft
}
