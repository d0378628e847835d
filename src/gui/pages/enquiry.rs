//! The enquiry: every item in one table, sorted, filtered and changed in place, with what all of them come to.

mod state;

use super::findings::verdict_colour;
use crate::enquiry::Pressing;
use crate::gui::commands::Command;
use crate::gui::desk::{Change, Column, Desk, DeskAction, Entry, Known, Thumbnail};
use crate::gui::state::Action;
use crate::gui::theme::{BODY, SMALL, Tokens, strong, tokens};
use crate::gui::widgets::{NumberField, choice, material_list, shortened, shortened_to};
use crate::job::passes_words;
use crate::language::said;
use crate::library::Library;
use crate::words::at_stake::quotable;
use crate::words::findings::{self, first_sentence};
use crate::words::typed::parse_number;
use crate::words::{Style, obstacles, style as words, wires};
use egui::{
    Align, Button, Checkbox, Color32, Label, Layout, Rect, RichText, ScrollArea, Sense, Shape,
    Stroke, TextEdit, TextStyle, Ui, Vec2, pos2, vec2,
};

/// Height of what a row holds, points.
const CONTENTS: f32 = 28.0;
/// Between two columns.
const GAP: f32 = 4.0;
/// Between figures and words beside them.
const APART: f32 = 10.0;
/// The bar of the scrolled rows, points.
const BAR: f32 = 16.0;
/// Width of the thumbnail.
const THUMBNAIL: f32 = 40.0;

/// Width of a column, points.
fn width(column: Column) -> f32 {
    match column {
        Column::Item => 36.0,
        Column::Name => 146.0,
        Column::Verdict => 104.0,
        Column::Parts => 46.0,
        Column::Thickness => 82.0,
        Column::Material => 150.0,
        Column::Passes => 44.0,
        Column::Wire => 204.0,
        Column::Time => 72.0,
        Column::Cost | Column::Lot => 70.0,
        Column::State => 96.0,
    }
}

/// What a wide window has beside the columns: longer names, then what is to be looked at first in words.
#[derive(Clone, Copy)]
struct Spare {
    /// More for names of drawings.
    name: f32,
    /// For the words; none where they could not be read.
    why: Option<f32>,
}

impl Spare {
    /// Of so much room beside the columns as they are in a small window.
    fn of(room: f32) -> Self {
        let name = room.clamp(0.0, MOST_NAME);
        let rest = room - name - APART - GAP;
        Self {
            name,
            why: (rest >= LEAST_WHY).then_some(rest),
        }
    }
    /// Width of a column.
    fn width(self, column: Column) -> f32 {
        let more = if column == Column::Name {
            self.name
        } else {
            0.0
        };
        width(column) + more
    }
}

/// Most that names take of it, and the least in which a sentence can be read, points.
const MOST_NAME: f32 = 110.0;
const LEAST_WHY: f32 = 180.0;

/// Whether a column holds figures, which stand to the right.
fn is_figure(column: Column) -> bool {
    matches!(column, Column::Time | Column::Cost | Column::Lot)
}

/// Everything the page shows beside the desk.
#[derive(Clone, Copy)]
pub struct Look<'a> {
    /// mm or inch.
    pub style: Style,
    /// Materials to choose from.
    pub library: &'a Library,
}

/// The page.
pub fn enquiry_ui(ui: &mut Ui, desk: &Desk, look: Look<'_>, actions: &mut Vec<Action>) {
    let mut asked = Vec::new();
    head_ui(ui, desk, actions, &mut asked);
    if desk.entries.is_empty() {
        empty_ui(ui, actions, &mut asked);
    } else {
        totals_ui(ui, desk, look.style);
        ui.add_space(4.0);
        let all: f32 = Column::ALL.map(width).iter().sum();
        let gaps = GAP * (Column::ALL.len() as f32 + 2.0);
        let least = all + gaps + THUMBNAIL + APART + 24.0;
        let spare = Spare::of(ui.available_width() - least - BAR);
        ScrollArea::horizontal()
            .id_salt("enquiry across")
            .show(ui, |ui| {
                ui.spacing_mut().item_spacing.x = GAP;
                ui.set_min_width(least);
                heads_ui(ui, desk, spare, &mut asked);
                ScrollArea::vertical()
                    .id_salt("enquiry")
                    .auto_shrink(false)
                    .show_rows(ui, CONTENTS, desk.order().len(), |ui, rows| {
                        for place in rows {
                            let entry = desk.order().get(place);
                            if let Some(entry) = entry.and_then(|k| desk.entries.get(*k)) {
                                row_ui(ui, desk, entry, (look, spare), &mut asked);
                            }
                        }
                    });
            });
    }
    actions.extend(asked.into_iter().map(Action::Desk));
}

fn head_ui(ui: &mut Ui, desk: &Desk, actions: &mut Vec<Action>, asked: &mut Vec<DeskAction>) {
    let t = tokens(ui);
    ui.horizontal_wrapped(|ui| {
        ui.label(strong(say!("Enquiry"), 15.0));
        let name = desk
            .path
            .as_ref()
            .and_then(|p| p.file_name())
            .map(|n| n.to_string_lossy().into_owned());
        let state = match (&name, desk.is_unsaved()) {
            (Some(name), false) => name.clone(),
            (Some(name), true) => say!("{name}, changed"),
            (None, true) => say!("not saved").to_owned(),
            (None, false) => String::new(),
        };
        // An empty text would begin a row of its own.
        if !state.is_empty() {
            ui.label(RichText::new(state).color(t.text_soft));
        }
        let chosen = desk.entries.iter().filter(|e| e.chosen).count();
        if ui.button(Command::SaveJob.text()).clicked() {
            actions.push(Action::Run(Command::SaveJob));
        }
        if ui
            .button(say!("Take in a list…"))
            .on_hover_text(say!("A table (CSV) with the columns drawing, quantity, thickness_mm, material, passes, …"))
            .clicked()
        {
            asked.push(DeskAction::ImportList);
        }
        if ui
            .add_enabled(!desk.entries.is_empty(), Button::new(say!("Save as a table…")))
            .on_hover_text(say!("Every item with what it comes to, for a spreadsheet"))
            .clicked()
        {
            asked.push(DeskAction::ExportList);
        }
        if ui
            .add_enabled(!desk.entries.is_empty(), Button::new(say!("Copy")))
            .on_hover_text(say!("The same on the clipboard"))
            .accessible_name(say!("Copy the table of the enquiry"))
            .clicked()
        {
            asked.push(DeskAction::CopyList);
        }
        if chosen > 0
            && ui
                .button(say!("Take out {chosen}"))
                .on_hover_text(say!("Take the chosen items out of the enquiry"))
                .clicked()
        {
            asked.push(DeskAction::RemoveChosen);
        }
        if !desk.removed.is_empty() && ui.button(say!("Put {} back", desk.removed.len())).clicked() {
            asked.push(DeskAction::PutBack);
        }
        if desk.then.is_some() {
            let text = if desk.uses_then {
                say!("Use today’s figures")
            } else {
                say!("Use the file’s own figures")
            };
            if ui
                .button(text)
                .on_hover_text(say!("The job file keeps the figures it was made with. Today’s may differ."))
                .clicked()
            {
                asked.push(DeskAction::UseToday(desk.uses_then));
            }
        }
        let mut filter = desk.filter.clone();
        let field = TextEdit::singleline(&mut filter)
            .hint_text(say!("Show only…"))
            .desired_width(150.0);
        if ui.add(field).accessible_name(say!("Show only")).changed() {
            asked.push(DeskAction::Filter(filter));
        }
        if chosen > 1 {
            let text = say!("What you change in one of the {chosen} chosen rows is changed in all of them.");
            ui.label(RichText::new(text).size(SMALL).color(t.accent));
        }
    });
}

fn empty_ui(ui: &mut Ui, actions: &mut Vec<Action>, asked: &mut Vec<DeskAction>) {
    ui.vertical_centered(|ui| {
        ui.add_space((ui.available_height() * 0.3).max(20.0));
        ui.label(strong(say!("Drop a folder of drawings here"), 20.0));
        ui.add_space(6.0);
        ui.label(say!("or several drawings at once, or a job file."));
        ui.add_space(6.0);
        if ui.button(say!("Open…")).clicked() {
            actions.push(Action::Run(Command::Open));
        }
        if ui.button(say!("Take in a list")).clicked() {
            asked.push(DeskAction::ImportList);
        }
    });
}

/// Less of a week than this is better said in hours alone.
const LEAST_WEEKS: f64 = 0.1;

/// What all items come to, in one or two lines.
fn totals_ui(ui: &mut Ui, desk: &Desk, style: Style) {
    let t = tokens(ui);
    let total = desk.totals();
    let waiting = desk
        .entries
        .iter()
        .filter(|e| e.known == Known::Waiting)
        .count();
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        let soft = |text: String| RichText::new(text).size(BODY).color(t.text_soft);
        if waiting == desk.entries.len() {
            // Nothing is known yet, which is not nothing.
            ui.label(soft(still_words(waiting)));
            return;
        }
        ui.label(soft(style.count(desk.entries.len(), say!("item:"), say!("items:"))));
        ui.label(strong(style.money(total.cost), BODY));
        ui.label(soft(say!("for all,").to_owned()));
        ui.label(strong(words::time(total.minutes), BODY));
        let uptime = desk.entries.first().map_or(0.0, |e| e.item.job.shop.uptime);
        let (weeks, attended) = (total.weeks(uptime), words::time(total.attended));
        let machine = if weeks < LEAST_WEEKS {
            say!("on the machine, of it {attended} attended")
        } else {
            say!(
                "on the machine ({} weeks of one), of it {attended} attended",
                style.significant(weeks, 2)
            )
        };
        let each = total.wires.iter().map(|wire| {
            say!(
                "{}: {}, {}",
                style.spoken_candidate(&wire.candidate),
                style.mass(wire.mass),
                spools_words(style, wire.spools)
            )
        });
        let parts: Vec<String> = std::iter::once(machine).chain(each).collect();
        let last = parts.len() - 1;
        for (k, part) in parts.into_iter().enumerate() {
            ui.label(soft(part + if k == last { "." } else { ";" }));
        }
        if !total.shared.is_empty() {
            ui.label(soft(say!(
                "{} where set-ups are shared.",
                style.money(total.cost_shared())
            )))
            .on_hover_text(
                say!("Items with the same wire and thickness may be cut from one set-up: each set-up but the dearest is saved"),
            );
        }
        let without = total.without.saturating_sub(waiting);
        if without > 0 {
            let text = say!("{} without figures, not counted.", style.count(without, say!("item"), say!("items")));
            ui.label(RichText::new(text).size(BODY).color(t.fault));
        }
        if waiting > 0 {
            ui.label(soft(still_words(waiting)));
        }
    });
}

fn still_words(waiting: usize) -> String {
    say!("{waiting} still to be estimated…")
}

/// "1 spool", "0.4 spools".
fn spools_words(style: Style, spools: f64) -> String {
    let number = style.significant(spools, if spools < 1.0 { 1 } else { 2 });
    if number == "1" {
        say!("{number} spool")
    } else {
        say!("{number} spools")
    }
}

fn heads_ui(ui: &mut Ui, desk: &Desk, spare: Spare, asked: &mut Vec<DeskAction>) {
    let t = tokens(ui);
    ui.horizontal(|ui| {
        let mut all = !desk.order().is_empty()
            && desk
                .order()
                .iter()
                .all(|k| desk.entries.get(*k).is_some_and(|e| e.chosen));
        cell(ui, 20.0, false, |ui| {
            let response = ui.add(Checkbox::without_text(&mut all));
            if response.accessible_name(say!("choose all")).changed() {
                asked.push(DeskAction::ChooseAll(all));
            }
        });
        ui.add_space(THUMBNAIL + ui.spacing().item_spacing.x);
        for column in Column::ALL {
            let (by, turned) = desk.sort;
            let mark = match (by == column, turned) {
                (true, false) => " ▲",
                (true, true) => " ▼",
                (false, _) => "",
            };
            before(ui, column);
            cell(ui, spare.width(column), is_figure(column), |ui| {
                let text = RichText::new(format!("{}{mark}", column.head()))
                    .size(SMALL)
                    .color(t.text_soft);
                let response = ui.add(Button::new(text).frame(false).truncate());
                if response
                    .on_hover_text(say!("sort by this"))
                    .accessible_name(say!("sort by {}", column.head()))
                    .clicked()
                {
                    asked.push(DeskAction::Sort(column));
                }
            });
        }
        if let Some(room) = spare.why {
            ui.add_space(APART);
            cell(ui, room, false, |ui| {
                let text = RichText::new(say!("to look at first"));
                ui.label(text.size(SMALL).color(t.text_soft));
            });
        }
    });
}

/// What stands to the left behind figures that stand to the right keeps apart from them.
fn before(ui: &mut Ui, column: Column) {
    if column == Column::State {
        ui.add_space(APART);
    }
}

/// A cell of a fixed width.
fn cell(ui: &mut Ui, wide: f32, to_the_right: bool, contents: impl FnOnce(&mut Ui)) {
    let layout = if to_the_right {
        Layout::right_to_left(Align::Center)
    } else {
        Layout::left_to_right(Align::Center)
    };
    let size = vec2(wide, CONTENTS);
    ui.allocate_ui_with_layout(size, layout, |ui| {
        ui.set_min_size(size);
        ui.set_max_width(wide);
        contents(ui);
    });
}

fn row_ui(
    ui: &mut Ui,
    desk: &Desk,
    entry: &Entry,
    (look, spare): (Look<'_>, Spare),
    asked: &mut Vec<DeskAction>,
) {
    let t = tokens(ui);
    let number = desk
        .entries
        .iter()
        .position(|e| e.id == entry.id)
        .map_or(0, |k| k + 1);
    ui.push_id(entry.id, |ui| {
        ui.horizontal(|ui| {
            ui.set_height(CONTENTS);
            cell(ui, 20.0, false, |ui| {
                let mut chosen = entry.chosen;
                let response = ui.add(Checkbox::without_text(&mut chosen));
                let name = say!("choose item {number}");
                if response.accessible_name(name).changed() {
                    asked.push(DeskAction::Choose(entry.id, chosen));
                }
            });
            thumbnail_ui(ui, &entry.thumbnail, t);
            let why = why_none(entry, look.style);
            for column in Column::ALL {
                match (&why, column) {
                    // Why there are no figures stands where they would.
                    (Some(why), Column::Wire) => {
                        let figures = [Column::Time, Column::Cost, Column::Lot].map(width);
                        let room =
                            width(Column::Wire) + figures.iter().map(|w| w + GAP).sum::<f32>();
                        cell(ui, room, false, |ui| {
                            let text = RichText::new(first_sentence(why)).color(t.text_soft);
                            ui.add(Label::new(text).truncate()).on_hover_text(why);
                        });
                    }
                    (Some(_), Column::Time | Column::Cost | Column::Lot) => {}
                    _ => {
                        before(ui, column);
                        cell(ui, spare.width(column), is_figure(column), |ui| {
                            cell_ui(ui, column, number, entry, look, asked);
                        });
                    }
                }
            }
            // Where there are no figures it stands in their place.
            let pressing = entry.row().and_then(|r| r.pressing.as_ref());
            if let (Some(room), Some(pressing), None) = (spare.why, pressing, &why) {
                ui.add_space(APART);
                cell(ui, room, false, |ui| {
                    let words = pressing_words(pressing, look.style);
                    let text = RichText::new(first_sentence(&words)).color(t.text_soft);
                    ui.add(Label::new(text).truncate()).on_hover_text(&words);
                });
            }
        });
    });
}

/// Why an item has no figures.
fn why_none(entry: &Entry, style: Style) -> Option<String> {
    match &entry.known {
        Known::Waiting => None,
        Known::Failed(why) => Some(why.clone()),
        Known::Row(row) if row.best.is_some() => None,
        Known::Row(row) => Some(pressing_words(row.pressing.as_ref()?, style)),
    }
}

/// What is to be looked at first, in words.
pub fn pressing_words(pressing: &Pressing, style: Style) -> String {
    match pressing {
        Pressing::Finding(finding) => findings::sentence(finding, style.system),
        Pressing::Obstacle(obstacle) => obstacles::sentence(obstacle, style.system),
    }
}

fn thumbnail_ui(ui: &mut Ui, thumbnail: &Thumbnail, t: &Tokens) {
    let size = Vec2::new(THUMBNAIL, CONTENTS);
    let (rect, _) = ui.allocate_exact_size(size, Sense::hover());
    let side = rect.height() - 2.0;
    let box_ = Rect::from_center_size(rect.center(), Vec2::splat(side));
    let stroke = Stroke::new(1.0, t.outline);
    for line in &thumbnail.0 {
        let place = |p: &egui::Pos2| pos2(box_.min.x + p.x * side, box_.min.y + p.y * side);
        let points = line.iter().map(place).collect();
        ui.painter().add(Shape::line(points, stroke));
    }
}

fn cell_ui(
    ui: &mut Ui,
    column: Column,
    number: usize,
    entry: &Entry,
    look: Look<'_>,
    asked: &mut Vec<DeskAction>,
) {
    let t = tokens(ui);
    let (style, job) = (look.style, &entry.item.job);
    let mut change = |change| asked.push(DeskAction::Change(entry.id, change));
    match column {
        Column::Item => {
            ui.label(RichText::new(number.to_string()).color(t.text_soft));
        }
        Column::Name => name_ui(ui, number, entry, asked),
        Column::Verdict => verdict_ui(ui, entry, look.style, t),
        Column::Parts => {
            let name = say!("parts, item {number}");
            let field = NumberField::new(&name, job.quantity.to_string()).width(38.0);
            if let Some(text) = field.show(ui).typed {
                // What is no number is refused with the words of the job.
                let typed = parse_number(&text).ok().filter(|v| v.fract() == 0.0);
                change(Change::Parts(typed.map_or(0, |v| v as u32)));
            }
        }
        Column::Thickness => {
            let name = say!("thickness, item {number}");
            let field = NumberField::new(&name, style.typed_length(job.thickness)).width(60.0);
            if let Some(text) = field.show(ui).typed {
                let typed = style.parse_length(&text);
                change(Change::Thickness(typed.unwrap_or_default()));
            }
            if !entry.item.confirmed.thickness {
                assumed_ui(ui, t);
            }
        }
        Column::Material => {
            let name = say!("material, item {number}");
            let shown = shortened(said(&job.material), 20);
            choice(ui, &name, &shown, BODY, |ui| {
                if let Some(name) = material_list(ui, look.library, &job.material) {
                    change(Change::Material(name));
                    ui.close();
                }
            });
            if !entry.item.confirmed.material {
                assumed_ui(ui, t);
            }
        }
        Column::Passes => {
            let name = say!("passes, item {number}");
            choice(ui, &name, &job.passes.to_string(), BODY, |ui| {
                for n in 1..=look.library.passes.len() {
                    if ui
                        .selectable_label(n == job.passes, passes_words(n))
                        .clicked()
                    {
                        change(Change::Passes(n));
                        ui.close();
                    }
                }
            });
        }
        Column::State => state::cell_ui(ui, number, entry, style, asked),
        Column::Wire | Column::Time | Column::Cost | Column::Lot => {
            figure_ui(ui, column, entry, style, t);
        }
    }
}

fn assumed_ui(ui: &mut Ui, t: &Tokens) {
    ui.label(RichText::new("?").color(t.warn))
        .on_hover_text(say!("assumed: nobody gave it for this drawing"));
}

fn name_ui(ui: &mut Ui, number: usize, entry: &Entry, asked: &mut Vec<DeskAction>) {
    let t = tokens(ui);
    let font = TextStyle::Button.resolve(ui.style());
    let mark = if entry.elsewhere { 18.0 } else { 0.0 };
    let room = ui.available_width() - mark;
    let name = shortened_to(ui, &entry.item.name, &font, room);
    let text = RichText::new(name).color(t.text);
    let response = ui.add(Button::new(text).frame(false).truncate());
    let about = entry.item.path.as_deref().unwrap_or(&entry.item.name);
    if response
        .on_hover_text(say!("{about}\nopen it as a drawing"))
        .accessible_name(say!("open item {number}"))
        .clicked()
    {
        asked.push(DeskAction::Open(entry.id));
    }
    if entry.elsewhere {
        let mark = Button::new(RichText::new("!").color(t.warn)).frame(false);
        if ui
            .add(mark)
            .on_hover_text(
                say!("The drawing has changed on disk since. The job file holds it as it was; click to take the new one in its \
                 place, the old figures stay to compare."),
            )
            .accessible_name(say!("take the new drawing of item {number}"))
            .clicked()
        {
            asked.push(DeskAction::TakeNew(entry.id));
        }
    }
}

fn verdict_ui(ui: &mut Ui, entry: &Entry, style: Style, t: &Tokens) {
    let soft = |ui: &mut Ui, text: &str, colour: Color32| {
        ui.add(Label::new(RichText::new(text).color(colour)).truncate())
    };
    match &entry.known {
        Known::Waiting => {
            soft(ui, say!("estimating…"), t.text_faint);
        }
        Known::Failed(why) => {
            soft(ui, say!("cannot be read"), t.fault).on_hover_text(why);
        }
        Known::Row(row) => {
            let findings = words::count(
                row.findings,
                say!("finding wants a look"),
                say!("findings want a look"),
            );
            let told = match &row.pressing {
                Some(pressing) => format!("{}\n{findings}", pressing_words(pressing, style)),
                None => findings,
            };
            soft(ui, quotable(row.quotable), verdict_colour(row.quotable, t)).on_hover_text(told);
        }
    }
}

fn figure_ui(ui: &mut Ui, column: Column, entry: &Entry, style: Style, t: &Tokens) {
    let Some((row, best)) = entry.row().and_then(|r| Some((r, r.best.as_ref()?))) else {
        let none = match &entry.known {
            Known::Row(_) if column == Column::Wire => say!("none of the wires can"),
            _ => "–",
        };
        ui.label(RichText::new(none).color(t.text_faint));
        return;
    };
    let now = |text: String| RichText::new(text).color(t.text);
    match column {
        Column::Wire => {
            let wire = &best.candidate;
            // The diameter is never what is cut off.
            let font = TextStyle::Body.resolve(ui.style());
            let size = format!(" {}", style.diameter(wire.diameter));
            let galley = ui
                .painter()
                .layout_no_wrap(size.clone(), font.clone(), t.text);
            let room = ui.available_width() - galley.size().x - 2.0;
            let name = shortened_to(ui, wires::spoken(&wire.wire), &font, room);
            let short = format!("{name}{size}");
            let name = style.candidate(wire);
            let (text, hint) = match entry.item.wire {
                Some(_) => (
                    now(short).color(t.accent),
                    say!("{name}\nchosen by hand on the page Quote"),
                ),
                None if best.passed_over => (now(short), say!("{name}\nthe cheapest on hand")),
                None => (now(short), say!("{name}\nthe cheapest that can do it")),
            };
            ui.add(Label::new(text).truncate()).on_hover_text(hint);
        }
        Column::Time => {
            let (low, high) = (best.minutes.low, best.minutes.high);
            ui.label(now(words::time(best.minutes.median)))
                .on_hover_text(words::time_range(low, high));
        }
        Column::Lot => {
            ui.label(now(row.lot().map_or_else(String::new, |m| style.money(m))));
        }
        _ => {
            let part = best.cost.part;
            let response = ui.label(now(style.money(part.median)));
            let mut about = style.money_range(part.low, part.high);
            if let Some(today) = entry.today.as_ref().and_then(|r| r.best.as_ref()) {
                about = say!(
                    "{about}\nwith today’s figures {}",
                    style.money(today.cost.part.median)
                );
                if today.cost.part.median != part.median {
                    ui.label(RichText::new("≠").color(t.warn));
                }
            }
            if let Some(seen) = &entry.item.seen
                && seen.cost != part.median.amount()
            {
                let then = style.money(crate::units::Money::from_amount(seen.cost));
                about = say!("{about}\nwhen it was saved {then}");
            }
            response.on_hover_text(about);
        }
    }
}
