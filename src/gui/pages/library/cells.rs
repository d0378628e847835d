//! A cell of an entry: what it is, its number and range, what is allowed, and how far it can be relied on.

use super::asking::ask;
use super::words;
use crate::gui::own_library::sheet::{Origin, Row};
use crate::gui::own_library::units::{number_with_unit, shown_unit};
use crate::gui::own_library::{LibraryAction, Part, Spot};
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, tokens};
use crate::gui::widgets::{NumberField, choice};
use crate::language::said;
use crate::library::{Caution, Content, Field, Kind, LibraryCell, LibraryTable};
use crate::standing::{Standing, Value};
use crate::words::style::significant;
use egui::{Align, Label, Layout, RichText, Stroke, StrokeKind, TextEdit, Ui};

/// Room for the name of a cell.
pub const NAME: f32 = 170.0;
/// Room for a number.
const FIELD: f32 = 62.0;

/// One cell of an entry, wherever it stands.
struct At<'a> {
    table: LibraryTable,
    entry: &'a str,
    path: &'a str,
    field: &'static Field,
    row: &'a Row,
    view: &'a View<'a>,
    /// As the page names it.
    name: &'static str,
}

impl At<'_> {
    fn spot(&self, part: Part) -> Spot {
        Spot::Cell {
            table: self.table,
            entry: self.entry.to_owned(),
            path: self.path.to_owned(),
            part,
        }
    }
    /// Name of a field for screen readers: overheads have one value each, so they need no entry.
    fn label(&self, part: &str) -> String {
        let entry = match self.table {
            table if table.is_single_values() => String::new(),
            _ => format!(", {}", self.entry),
        };
        format!("{}{part}{entry}", self.name)
    }
}

/// The cell with all that is known about it.
pub fn cell_ui(
    ui: &mut Ui,
    table: LibraryTable,
    row: &Row,
    cell: &LibraryCell,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let entry = row.entry.as_str();
    let at = At {
        table,
        entry,
        path: cell.key,
        field: cell.field,
        row,
        view,
        name: said(cell.field.words),
    };
    ui.push_id(cell.key, |ui| {
        content_ui(ui, &at, cell, actions);
        if let Some(text) = words::effect(cell.effect) {
            under(ui, |ui| small(ui, &text));
        }
    });
}

fn content_ui(ui: &mut Ui, at: &At<'_>, cell: &LibraryCell, actions: &mut Vec<Action>) {
    let mut words = |ui: &mut Ui, text: &str| {
        line(ui, at.name, |ui| {
            text_ui(ui, at, Part::Text, text, BODY, actions);
        });
    };
    match &cell.content {
        Content::Text(text) => words(ui, text),
        Content::Names(names) => words(ui, &names.join(", ")),
        Content::Value(value) => value_ui(ui, at, value, actions),
        Content::Missing => {
            line(ui, at.name, |ui| {
                field_ui(ui, at, Part::Number, "", String::new(), actions);
                let unit = shown_unit(at.view.style, at.field.unit).1;
                small(ui, say!("{unit} not given").trim());
            });
            wrong_ui(ui, at, &[Part::Number]);
        }
        Content::Pair(pair) => pair_ui(ui, at, pair, actions),
        Content::Caution(caution) => {
            let all = std::iter::once(None).chain(Caution::ALL.map(Some));
            choice_ui(
                ui,
                at,
                *caution,
                all,
                words::caution,
                actions,
                LibraryAction::Warn,
            );
        }
        // Machines are changed on the page Shop.
        Content::Threading(_) => {}
        Content::Kind(kind) => {
            choice_ui(
                ui,
                at,
                *kind,
                Kind::ALL,
                Kind::key,
                actions,
                LibraryAction::Sort,
            );
        }
    }
}

fn small(ui: &mut Ui, text: &str) {
    let colour = tokens(ui).text_faint;
    ui.label(RichText::new(text).size(SMALL).color(colour));
}

fn line(ui: &mut Ui, name: &str, rest: impl FnOnce(&mut Ui)) {
    ui.horizontal(|ui| {
        ui.allocate_ui_with_layout(
            egui::vec2(NAME, 22.0),
            Layout::left_to_right(Align::Center),
            |ui| {
                ui.set_min_width(NAME);
                ui.add(Label::new(name).truncate());
            },
        );
        rest(ui);
    });
}

/// Lines under a cell, set in to where its number stands.
fn under(ui: &mut Ui, rest: impl FnOnce(&mut Ui)) {
    ui.horizontal_top(|ui| {
        ui.add_space(NAME + ui.spacing().item_spacing.x);
        ui.vertical(|ui| {
            ui.spacing_mut().interact_size.y = 17.0;
            ui.horizontal_wrapped(|ui| {
                ui.spacing_mut().item_spacing = egui::vec2(5.0, 2.0);
                rest(ui);
            });
        });
    });
}

fn value_ui(ui: &mut Ui, at: &At<'_>, value: &Value, actions: &mut Vec<Action>) {
    let style = at.view.style;
    let (factor, symbol) = shown_unit(style, &value.unit);
    let shown = |v: f64| significant(v * factor, 6);
    line(ui, at.name, |ui| {
        field_ui(ui, at, Part::Number, "", shown(value.value), actions);
        small(ui, say!("usually"));
        let end = |v: Option<f64>| v.map_or_else(|| "–".to_owned(), shown);
        field_ui(ui, at, Part::Low, say!(" from"), end(value.low), actions);
        small(ui, say!("to"));
        field_ui(ui, at, Part::High, say!(" to"), end(value.high), actions);
        // Behind the range, so that the numbers of all cells stand in columns.
        let colour = tokens(ui).text_soft;
        ui.label(RichText::new(&symbol).size(SMALL).color(colour));
    });
    wrong_ui(ui, at, &[Part::Number, Part::Low, Part::High]);
    under(ui, |ui| {
        let (low, high) = (at.field.low, at.field.high);
        let allowed = say!(
            "allowed {} to {}",
            significant(low * factor, 4),
            significant(high * factor, 4)
        );
        small(ui, &allowed);
        if at.row.origin == Origin::BuiltIn {
            let source = if value.source.is_empty() {
                String::new()
            } else {
                format!(", {}", value.source)
            };
            small(ui, &format!("· {}{source}", value.standing.word()));
        } else {
            own_remarks_ui(ui, at, value, actions);
        }
    });
    ui.add_space(3.0);
}

/// Standing and source of an own entry can be noted; what the built-in entry says stands beside.
fn own_remarks_ui(ui: &mut Ui, at: &At<'_>, value: &Value, actions: &mut Vec<Action>) {
    let before = at.row.built_in.iter().find(|c| c.key == at.path);
    if let Some(Content::Value(old)) = before.map(|c| &c.content)
        && old.value != value.value
    {
        let text = number_with_unit(old.value, &old.unit, at.view.style);
        small(ui, &say!("· built-in {text}"));
    }
    small(ui, "·");
    choice(
        ui,
        &at.label(say!(" standing")),
        value.standing.word(),
        SMALL,
        |ui| {
            for standing in [
                Standing::Yours,
                Standing::Published,
                Standing::Computed,
                Standing::CommonPractice,
                Standing::Judgement,
            ] {
                let response = ui.selectable_label(value.standing == standing, standing.word());
                if response.clicked() {
                    ask(
                        actions,
                        LibraryAction::Stand(
                            at.table,
                            at.entry.to_owned(),
                            at.path.to_owned(),
                            standing,
                        ),
                    );
                    ui.close();
                }
            }
        },
    );
    text_ui(ui, at, Part::Source, &value.source, SMALL, actions);
}

/// A number that is typed; marked where what was typed cannot be used.
fn field_ui(
    ui: &mut Ui,
    at: &At<'_>,
    part: Part,
    words: &str,
    shown: String,
    actions: &mut Vec<Action>,
) {
    let spot = at.spot(part);
    let wrong = at.view.own.wrong_at(&spot);
    let shown = wrong.map_or(shown, |w| w.typed.clone());
    let label = at.label(words);
    let entry = NumberField::new(&label, shown).width(FIELD).show(ui);
    if wrong.is_some() {
        let stroke = Stroke::new(1.5, tokens(ui).fault);
        let rect = entry.response.rect;
        ui.painter()
            .rect_stroke(rect, 4, stroke, StrokeKind::Outside);
    }
    if let Some(typed) = entry.typed {
        ask(actions, LibraryAction::Type(spot, typed));
    }
}

/// Why what was typed cannot be used.
fn wrong_ui(ui: &mut Ui, at: &At<'_>, parts: &[Part]) {
    let colour = tokens(ui).fault;
    for part in parts {
        if let Some(wrong) = at.view.own.wrong_at(&at.spot(*part)) {
            under(ui, |ui| {
                ui.label(RichText::new(&wrong.reason).size(SMALL).color(colour));
            });
        }
    }
}

/// Words that are typed, taken over when the field is left.
fn text_ui(
    ui: &mut Ui,
    at: &At<'_>,
    part: Part,
    shown: &str,
    size: f32,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    let label = at.label(if part == Part::Source {
        say!(" source")
    } else {
        ""
    });
    let id = egui::Id::unique(("library text", &label));
    let mut text: String = ui
        .data(|d| d.get_temp(id))
        .unwrap_or_else(|| shown.to_owned());
    let hint = if part == Part::Source {
        say!("where it is from")
    } else {
        ""
    };
    let room = (ui.available_width() - 8.0).clamp(90.0, 330.0);
    let field = ui
        .add(
            TextEdit::singleline(&mut text)
                .id(id)
                .font(egui::FontId::proportional(size))
                .hint_text(hint)
                .text_color(t.accent)
                .desired_width(room),
        )
        .accessible_name(&label);
    if field.lost_focus() {
        ui.data_mut(|d| d.remove_temp::<String>(id));
        let cancelled = ui.input(|i| i.key_pressed(egui::Key::Escape));
        if !cancelled && text.trim() != shown.trim() {
            ask(actions, LibraryAction::Type(at.spot(part), text));
        }
    } else if field.has_focus() {
        ui.data_mut(|d| d.insert_temp(id, text));
    }
}

fn pair_ui(ui: &mut Ui, at: &At<'_>, pair: &[f64; 2], actions: &mut Vec<Action>) {
    let parts = [Part::Nth(0), Part::Nth(1)];
    line(ui, at.name, |ui| {
        for (k, (number, part)) in pair.iter().zip(parts).enumerate() {
            if k > 0 {
                small(ui, say!("to"));
            }
            let words = format!(" {}", k + 1);
            field_ui(ui, at, part, &words, significant(*number, 6), actions);
        }
        small(ui, at.field.unit);
    });
    wrong_ui(ui, at, &parts);
}

/// One of a few.
fn choice_ui<T: Copy + PartialEq>(
    ui: &mut Ui,
    at: &At<'_>,
    now: T,
    all: impl IntoIterator<Item = T>,
    words: impl Fn(T) -> &'static str,
    actions: &mut Vec<Action>,
    action: fn(LibraryTable, String, String, T) -> LibraryAction,
) {
    line(ui, at.name, |ui| {
        choice(ui, &at.label(""), words(now), BODY, |ui| {
            for other in all {
                let response = ui.selectable_label(now == other, words(other));
                if response.clicked() {
                    let (entry, path) = (at.entry.to_owned(), at.path.to_owned());
                    ask(actions, action(at.table, entry, path, other));
                    ui.close();
                }
            }
        });
    });
}
