//! A list that is searched by typing; arrows and Return choose.

use super::elided;
use crate::gui::theme::{BODY, SMALL, mix, tokens};
use egui::emath::{Align2, pos2, vec2};
use egui::{
    FontId, Key, Modifiers, Rect, Response, Role, ScrollArea, Sense, TextEdit, Ui, WidgetInfo,
};

/// Height of a row, points.
const ROW: f32 = 24.0;

/// Something to choose.
pub struct Item<'a> {
    /// What it is called.
    pub name: &'a str,
    /// What else is said of it, and searched.
    pub aside: &'a str,
    /// What a screen reader says.
    pub label: String,
    /// Whether it is the one that is in force.
    pub chosen: bool,
    /// Whether it can be chosen now.
    pub enabled: bool,
}

/// What is kept of a list while it is open.
#[derive(Debug, Clone, Default)]
struct Kept {
    typed: String,
    at: usize,
    /// The frame in which it was seen last: a list that was away begins anew.
    frame: u64,
}

/// How well an item answers what was typed: smaller is better, `None` not at all.
fn rank(typed: &str, name: &str, aside: &str) -> Option<usize> {
    let typed = typed.trim().to_lowercase();
    let name = name.to_lowercase();
    let all = |s: &str| typed.split_whitespace().all(|w| s.contains(w));
    if name.starts_with(&typed) {
        Some(0)
    } else if all(&name) {
        Some(1)
    } else if all(&format!("{name} {}", aside.to_lowercase())) {
        Some(2)
    } else {
        None
    }
}

/// The list under a field that has the focus from the start; the place of the item that was chosen.
///
/// `field` names the field for screen readers, `hint` says what can be typed.
pub fn search_list(ui: &mut Ui, field: &str, hint: &str, items: &[Item<'_>]) -> Option<usize> {
    let id = ui.scope_id().with(("search list", field));
    let frame = ui.ctx().cumulative_frame_nr();
    let before: Option<Kept> = ui.data(|d| d.get_temp(id));
    let before = before.filter(|k| k.frame + 1 >= frame);
    let opened = before.is_none();
    let mut kept = before.unwrap_or_default();
    let field_id = id.with("field");
    let searching = opened || ui.memory(|m| m.has_focus(field_id));
    let (down, up, enter) = ui.input_mut(|i| {
        let mut pressed = |key| searching && i.consume_key(Modifiers::NONE, key);
        (
            pressed(Key::ArrowDown),
            pressed(Key::ArrowUp),
            pressed(Key::Enter),
        )
    });
    let edit = TextEdit::singleline(&mut kept.typed)
        .id(field_id)
        .hint_text(hint)
        .desired_width(f32::INFINITY);
    let response = ui.add(edit).accessible_name(field);
    if opened {
        response.request_focus();
    }
    let mut list: Vec<(usize, usize)> = (items.iter().enumerate())
        .filter_map(|(k, item)| Some((rank(&kept.typed, item.name, item.aside)?, k)))
        .collect();
    if !kept.typed.trim().is_empty() {
        list.sort_by_key(|(rank, _)| *rank);
    }
    if opened {
        kept.at = list.iter().position(|(_, k)| items[*k].chosen).unwrap_or(0);
    } else if response.changed() {
        kept.at = 0;
    }
    let last = list.len().saturating_sub(1);
    let at = (kept.at + usize::from(down))
        .saturating_sub(usize::from(up))
        .min(last);
    let typed = kept.typed.clone();
    ui.data_mut(|d| d.insert_temp(id, Kept { at, frame, ..kept }));
    let mut chosen = None;
    if list.is_empty() {
        ui.weak(say!("nothing is called “{}”", typed.trim()));
    }
    ScrollArea::vertical().max_height(400.0).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        for (row, (_, k)) in list.iter().enumerate() {
            let item = &items[*k];
            let here = row == at;
            let response = row_ui(ui, item, here);
            if here && (down || up || opened) {
                response.scroll_to_me(None);
            }
            if item.enabled && (response.clicked() || (here && enter)) {
                chosen = Some(*k);
            }
        }
    });
    if chosen.is_some() {
        ui.data_mut(|d| d.remove_temp::<Kept>(id));
    }
    chosen
}

/// An item; `here` where Return chooses it.
fn row_ui(ui: &mut Ui, item: &Item<'_>, here: bool) -> Response {
    let t = tokens(ui);
    let size = vec2(ui.available_width(), ROW);
    let (rect, response) = ui.allocate_exact_size(size, Sense::CLICK);
    response
        .widget_info(|| WidgetInfo::selected(Role::Button, item.enabled, item.chosen, &item.label));
    let painter = ui.painter();
    if here {
        painter.rect_filled(rect, 4, t.edge);
    } else if response.hovered() {
        painter.rect_filled(rect, 4, mix(t.raised, t.edge, 0.5));
    }
    let (left, y) = (rect.left() + 8.0, rect.center().y);
    let text = |x: f32, text: &str, size: f32, ink| {
        painter.text(
            pos2(x, y),
            Align2::LEFT_CENTER,
            text,
            FontId::proportional(size),
            ink,
        )
    };
    if item.chosen {
        text(left, "✔", SMALL, t.text_soft);
    }
    let ink = if item.enabled { t.text } else { t.text_faint };
    let name = text(left + 16.0, item.name, BODY, ink);
    let room = Rect::from_min_max(
        pos2(name.right() + 14.0, rect.top()),
        rect.max - vec2(6.0, 0.0),
    );
    if room.width() > 20.0 {
        elided(
            ui,
            item.aside,
            FontId::proportional(SMALL),
            t.text_faint,
            room,
        );
    }
    response
}

#[cfg(test)]
mod tests {
    use super::rank;

    #[test]
    fn the_name_counts_before_what_else_is_said() {
        assert_eq!(rank("fit", "Fit drawing", ""), Some(0));
        assert_eq!(rank("draw fit", "Fit drawing", ""), Some(1));
        assert_eq!(
            rank(
                "utilisation",
                "Shop rates",
                "Rates and utilisation of your shop"
            ),
            Some(2)
        );
        assert_eq!(rank("fit", "Quit", "Close the window"), None);
        assert_eq!(rank("", "Quit", ""), Some(0));
    }
}
