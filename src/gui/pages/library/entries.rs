//! The entries of a kind, one under the other; the open one shows its cells.

use super::asking::{ask, remark};
use super::cells::{NAME, cell_ui};
use super::{add, words};
use crate::gui::own_library::LibraryAction;
use crate::gui::own_library::sheet::{Origin, Row};
use crate::gui::own_library::units::number_with_unit;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, mix, strong, tokens};
use crate::gui::widgets::elided;
use crate::library::{Content, LibraryCell, LibraryTable};
use crate::words::Style;
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::{Align, FontId, Frame, Id, Margin, Response, Role, Sense, Ui, WidgetInfo};

/// Height of a closed entry.
const ROW: f32 = 24.0;
/// Cells whose numbers are shown on a closed entry.
const SUMMARY: usize = 2;

/// All of a kind.
pub fn entries_ui(ui: &mut Ui, table: LibraryTable, view: &View<'_>, actions: &mut Vec<Action>) {
    if table.can_grow() {
        add::add_ui(ui, table, view, actions);
        ui.add_space(2.0);
    }
    if table.is_single_values() {
        return single_values_ui(ui, table, view, actions);
    }
    for row in view.own.sheet().rows(table) {
        ui.push_id((table, &row.entry), |ui| {
            entry_ui(ui, table, row, view, actions);
        });
    }
}

/// Single values under the headings of their groups; each is always open.
fn single_values_ui(ui: &mut Ui, table: LibraryTable, view: &View<'_>, actions: &mut Vec<Action>) {
    let mut last = "";
    for row in view.own.sheet().rows(table) {
        let group = row.cells.first().map_or("", |c| c.field.group);
        if group != last {
            ui.add_space(6.0);
            ui.label(strong(group, 13.5).color(tokens(ui).text));
            last = group;
        }
        ui.push_id(&row.entry, |ui| {
            single_value_ui(ui, table, row, view, actions);
        });
    }
}

/// An origin as it is said.
fn origin_words(origin: Origin) -> &'static str {
    match origin {
        Origin::BuiltIn => say!("built-in"),
        Origin::Own => say!("yours"),
        Origin::OwnOverBuiltIn => say!("your copy"),
    }
}

/// A closed or open entry of its own line.
fn entry_ui(
    ui: &mut Ui,
    table: LibraryTable,
    row: &Row,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let (entry, origin) = (row.entry.as_str(), row.origin);
    let open = view.own.open.as_deref() == Some(entry);
    let cells = &row.cells;
    let shown = entry_title(table, entry, view.style);
    let head = header(ui, &shown, &summary(cells, view.style), origin, open);
    if open {
        bring_up(ui, &head, table, entry);
    }
    if head.clicked() {
        ask(
            actions,
            LibraryAction::Open((!open).then(|| entry.to_owned())),
        );
    }
    if !open {
        return;
    }
    let t = tokens(ui);
    Frame::new()
        .fill(t.raised)
        .corner_radius(4)
        .inner_margin(Margin::symmetric(10, 8))
        .show(ui, |ui| {
            ui.set_width(ui.available_width());
            open_head_ui(ui, table, entry, origin, actions);
            for cell in cells {
                cell_ui(ui, table, row, cell, view, actions);
            }
        });
    ui.add_space(4.0);
}

/// An entry that was just opened comes to the top, where there is room for its cells.
fn bring_up(ui: &Ui, head: &Response, table: LibraryTable, entry: &str) {
    let id = Id::unique("entry of the library that was opened last");
    let this = format!("{} {entry}", table.word());
    let before: Option<String> = ui.data(|d| d.get_temp(id));
    if before.as_ref() != Some(&this) {
        head.scroll_to_me(Some(Align::Min));
        ui.data_mut(|d| d.insert_temp(id, this));
    }
}

/// What can be done with the entry as a whole.
fn open_head_ui(
    ui: &mut Ui,
    table: LibraryTable,
    entry: &str,
    origin: Origin,
    actions: &mut Vec<Action>,
) {
    let text = match origin {
        Origin::BuiltIn => say!("Built-in. A value that you change makes a copy of yours over it."),
        Origin::Own => say!("Your own entry."),
        Origin::OwnOverBuiltIn => say!("Your copy stands in place of the built-in entry."),
    };
    remark(ui, text);
    ui.horizontal_wrapped(|ui| {
        if origin == Origin::BuiltIn
            && ui
                .button(say!("Copy to change it"))
                .on_hover_text(say!("a copy of yours in its place; the built-in one comes back when the copy is deleted"))
                .clicked()
        {
            ask(
                actions,
                LibraryAction::Copy {
                    table,
                    from: entry.to_owned(),
                    name: entry.to_owned(),
                },
            );
        }
        if table.can_grow() {
            let text = match table {
                LibraryTable::Diameters => say!("Copy to another diameter…"),
                _ => say!("Copy under another name…"),
            };
            if ui.button(text).clicked() {
                add::begin(ui, table, entry);
            }
        }
        let (text, hint) = match origin {
            Origin::BuiltIn => return,
            Origin::Own => (say!("Delete"), say!("take this entry out of your library")),
            Origin::OwnOverBuiltIn => (
                say!("Delete your copy"),
                say!("the built-in entry comes back"),
            ),
        };
        if ui.button(text).on_hover_text(hint).clicked() {
            ask(actions, LibraryAction::Delete(table, entry.to_owned()));
        }
    });
    ui.add_space(4.0);
}

/// One value, and the way back where it is the shop's own.
fn single_value_ui(
    ui: &mut Ui,
    table: LibraryTable,
    row: &Row,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let key = row.entry.as_str();
    for cell in &row.cells {
        cell_ui(ui, table, row, cell, view, actions);
    }
    if row.origin != Origin::BuiltIn {
        let name = words::entry_name(table, key);
        let back = ui.horizontal(|ui| {
            ui.add_space(NAME + ui.spacing().item_spacing.x);
            ui.small_button(say!("Back to the built-in value"))
                .on_hover_text(say!("take your own value out"))
                .accessible_name(say!("{name}, back to the built-in value"))
        });
        if back.inner.clicked() {
            ask(actions, LibraryAction::Delete(table, key.to_owned()));
        }
        ui.add_space(4.0);
    }
}

/// An entry's name; a diameter with its unit.
fn entry_title(table: LibraryTable, entry: &str, style: Style) -> String {
    match (table, entry.parse::<f64>()) {
        (LibraryTable::Diameters, Ok(mm)) => style.diameter(crate::units::Length::from_mm(mm)),
        _ => words::entry_name(table, entry),
    }
}

/// The first numbers of an entry, with their units.
fn summary(cells: &[LibraryCell], style: Style) -> String {
    let values = cells.iter().filter_map(|c| match &c.content {
        Content::Value(v) => Some((c, v)),
        _ => None,
    });
    let words: Vec<String> = values
        .take(SUMMARY)
        .map(|(c, v)| {
            let name = words::short(c.field);
            format!("{name} {}", number_with_unit(v.value, &v.unit, style))
        })
        .collect();
    words.join(SEPARATOR)
}

/// Between the values of a summary.
const SEPARATOR: &str = " · ";

fn header(ui: &mut Ui, name: &str, summary: &str, origin: Origin, open: bool) -> Response {
    let t = tokens(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), ROW), Sense::click());
    let label = format!("{name}, {}", origin_words(origin));
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, open, &label));
    let painter = ui.painter();
    if open || response.hovered() || response.has_focus() {
        painter.rect_filled(
            rect,
            4,
            if open {
                t.accent_fill
            } else {
                mix(t.ground, t.text, 0.06)
            },
        );
    }
    let y = rect.center().y;
    let small = FontId::proportional(SMALL);
    let colour = if origin == Origin::BuiltIn {
        t.text_faint
    } else {
        t.accent
    };
    painter.text(
        pos2(rect.right() - 8.0, y),
        Align2::RIGHT_CENTER,
        origin_words(origin),
        small.clone(),
        colour,
    );
    let arrow = if open { "▼" } else { "▶" };
    painter.text(
        pos2(rect.left() + 8.0, y),
        Align2::LEFT_CENTER,
        arrow,
        FontId::proportional(SMALL - 2.5),
        t.text_faint,
    );
    let wide = |text: &str, font: &FontId| {
        let galley = painter.layout_no_wrap(text.to_owned(), font.clone(), t.text);
        galley.size().x
    };
    let (body, end) = (FontId::proportional(BODY), rect.right() - 74.0);
    // The name is read first; values stand in a column where names leave it, and none is shown by half.
    let (left, column) = (rect.left() + 26.0, rect.left() + rect.width() * 0.46);
    let middle = column.max(left + wide(name, &body) + 10.0);
    let room = Rect::from_min_max(
        pos2(left, rect.top()),
        pos2(end.min(middle - 6.0), rect.bottom()),
    );
    elided(ui, name, body, t.text, room);
    let whole = |words: &&str| middle + wide(words, &small) <= end;
    let ends = summary.match_indices(SEPARATOR).map(|(at, _)| at);
    let ends: Vec<usize> = ends.chain([summary.len()]).collect();
    let parts = ends.iter().rev().map(|&at| &summary[..at]);
    if let Some(words) = parts.into_iter().find(whole) {
        let at = pos2(middle, y);
        painter.text(at, Align2::LEFT_CENTER, words, small, t.text_soft);
    }
    response
}
