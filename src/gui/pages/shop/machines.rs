//! The machines of the shop: which one the job is cut on, and what each takes and has on hand.

use super::edit;
use crate::gui::own_library::units::shown_unit;
use crate::gui::own_library::{LibraryAction, Part, Spot};
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, strong, tokens};
use crate::gui::widgets::{NumberField, choice};
use crate::language::said;
use crate::library::{Cells, Change, Content, Field, LibraryTable, Machine, Threading, on_hand};
use crate::units::Length;
use crate::words::{
    Style,
    style::{number, significant},
};
use egui::{Button, Id, Key, Label, RichText, TextEdit, Ui};

const TABLE: LibraryTable = LibraryTable::Machines;
/// Room for the name of a field, points.
const NAMES: f32 = 150.0;

/// Every machine, one of them open at most, and a field for another one.
pub(super) fn machines_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    ui.add_space(8.0);
    ui.label(strong(say!("Machines"), BODY).color(t.text));
    let machines = &view.library.machines;
    if machines.is_empty() {
        let text = say!(
            "None yet. With a machine every job is held against its travel, height and mass, and wires that are not on \
             hand are marked."
        );
        remark(ui, text);
    }
    for machine in machines {
        ui.push_id(&machine.name, |ui| machine_ui(ui, machine, view, actions));
    }
    add_ui(ui, actions);
}

/// That another rate counts than the shop's, where the job's machine has its own.
pub(super) fn own_rate_ui(ui: &mut Ui, view: &View<'_>) {
    let machine = view.file.job.machine_in(view.library);
    if let Some((machine, rate)) = machine.and_then(|m| Some((m, m.rate.as_ref()?))) {
        let (name, rate) = (&machine.name, number(rate.value, 2));
        remark(
            ui,
            &say!("This job pays {rate} an hour, the rate of {name}."),
        );
    }
}

/// That the job's machine threads in its own way, where it does.
pub(super) fn own_threading_ui(ui: &mut Ui, view: &View<'_>) {
    let Some(machine) = view.file.job.machine_in(view.library) else {
        return;
    };
    let name = &machine.name;
    match machine.threading {
        Threading::AsTheShop => {}
        Threading::ByItself => remark(
            ui,
            &say!("{name}, on which this job is cut, threads by itself."),
        ),
        Threading::ByHand => remark(
            ui,
            &say!("{name}, on which this job is cut, is threaded by hand."),
        ),
    }
}

fn remark(ui: &mut Ui, text: &str) {
    let colour = tokens(ui).text_faint;
    ui.add(Label::new(RichText::new(text).size(SMALL).color(colour)).wrap());
}

fn ask(actions: &mut Vec<Action>, action: LibraryAction) {
    actions.push(Action::Library(action));
}

/// "400 mm × 300 mm, 250 mm high": what is said of it.
fn summary(machine: &Machine, style: Style) -> String {
    let mut parts = Vec::new();
    if let [Some(x), Some(y)] = machine.travel() {
        let [x, y] = [x, y].map(|l| style.typed_length(l));
        parts.push(format!("{x} × {y}"));
    }
    parts.extend(
        machine
            .highest_work()
            .map(|h| say!("{} high", style.typed_length(h))),
    );
    parts.extend(machine.heaviest_work().map(|m| style.mass(m)));
    parts.join(", ")
}

fn machine_ui(ui: &mut Ui, machine: &Machine, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let job = &view.file.job;
    let name = &machine.name;
    let open = view.own.open.as_deref() == Some(name);
    ui.horizontal(|ui| {
        let is_jobs = job
            .machine_in(view.library)
            .is_some_and(|m| m.name == *name);
        let radio = ui
            .radio(is_jobs, "")
            .on_hover_text(say!("the job in front is cut on this machine"))
            .accessible_name(say!("cut on {name}"));
        if radio.clicked() && !is_jobs {
            edit(job, actions, |j| j.machine = Some(name.clone()));
        }
        let button = Button::new(strong(name.clone(), BODY)).frame(false);
        let hint = if open {
            say!("close it")
        } else {
            say!("what it takes, and what is on hand for it")
        };
        let head = ui
            .add(button)
            .on_hover_text(hint)
            .accessible_name(say!("machine {name}"));
        if head.clicked() {
            ask(actions, LibraryAction::Open((!open).then(|| name.clone())));
        }
        let about = RichText::new(summary(machine, view.style)).size(SMALL);
        ui.add(Label::new(about.color(t.text_soft)).truncate());
    });
    if open {
        ui.indent("machine", |ui| {
            open_ui(ui, machine, view, actions);
        });
    }
}

/// All that can be said of a machine.
fn open_ui(ui: &mut Ui, machine: &Machine, view: &View<'_>, actions: &mut Vec<Action>) {
    name_ui(ui, machine, actions);
    for field in Machine::FIELDS {
        let Some(content) = machine.content(field.key) else {
            continue;
        };
        match content {
            Content::Value(v) => number_ui(ui, machine, field, Some(v.value), view, actions),
            Content::Missing => number_ui(ui, machine, field, None, view, actions),
            Content::Threading(how) => threading_ui(ui, machine, how, actions),
            _ => {}
        }
        match field.key {
            "diameters" => diameters_ui(ui, machine, view, actions),
            "wires" => wires_ui(ui, machine, view, actions),
            "spools" => spools_ui(ui, machine, view, actions),
            _ => {}
        }
    }
    let out = ui.button(say!("Take this machine out"));
    if out.on_hover_text(say!("Undo brings it back")).clicked() {
        ask(actions, LibraryAction::Delete(TABLE, machine.name.clone()));
    }
    ui.add_space(4.0);
}

fn line(ui: &mut Ui, name: &str, rest: impl FnOnce(&mut Ui)) {
    ui.horizontal_wrapped(|ui| {
        let place = egui::vec2(NAMES, 22.0);
        let layout = egui::Layout::left_to_right(egui::Align::Center);
        ui.allocate_ui_with_layout(place, layout, |ui| {
            ui.set_min_width(NAMES);
            ui.label(name);
        });
        rest(ui);
    });
}

fn name_ui(ui: &mut Ui, machine: &Machine, actions: &mut Vec<Action>) {
    let from = machine.name.clone();
    line(ui, say!("Name" in "a machine's"), |ui| {
        let id = Id::unique(("name of a machine", &from));
        let mut text: String = ui.data(|d| d.get_temp(id)).unwrap_or_else(|| from.clone());
        let field = ui
            .add(TextEdit::singleline(&mut text).id(id.with("field")).desired_width(150.0))
            .accessible_name(say!("Name of machine {from}"))
            .on_hover_text(say!(
                "As finished cuts name it: what they teach counts for jobs on this machine. Cuts that were logged under \
                 another name stay under that."
            ));
        if field.lost_focus() {
            ui.data_mut(|d| d.remove_temp::<String>(id));
            let cancelled = ui.input(|i| i.key_pressed(Key::Escape));
            if !cancelled && text.trim() != from {
                let action = LibraryAction::Rename {
                    table: TABLE,
                    from: from.clone(),
                    name: text,
                };
                ask(actions, action);
            }
        } else if field.has_focus() {
            ui.data_mut(|d| d.insert_temp(id, text));
        }
    });
}

/// A limit; an empty field sets none.
fn number_ui(
    ui: &mut Ui,
    machine: &Machine,
    field: &'static Field,
    value: Option<f64>,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    let (factor, unit) = shown_unit(view.style, field.unit);
    let words = said(field.words);
    let spot = Spot::Cell {
        table: TABLE,
        entry: machine.name.clone(),
        path: field.key.to_owned(),
        part: Part::Number,
    };
    let wrong = view.own.wrong_at(&spot);
    let shown = value.map_or_else(String::new, |v| significant(v * factor, 6));
    let shown = wrong.map_or(shown, |w| w.typed.clone());
    line(ui, words, |ui| {
        let label = format!("{words}, {}", machine.name);
        let entry = NumberField::new(&label, shown).width(74.0).show(ui);
        if let Some(typed) = entry.typed {
            ask(actions, LibraryAction::Type(spot.clone(), typed));
        }
        let unit = match (value, field.key) {
            (None, "rate") => say!("{unit}, as the shop"),
            (None, _) => say!("{unit}, no limit"),
            (Some(_), _) => unit.clone(),
        };
        ui.label(RichText::new(unit).size(SMALL).color(t.text_soft));
    });
    if let Some(wrong) = wrong {
        ui.label(RichText::new(&wrong.reason).size(SMALL).color(t.fault));
    }
}

fn threading_words(how: Threading) -> &'static str {
    match how {
        Threading::AsTheShop => say!("as the shop says above"),
        Threading::ByItself => say!("by itself"),
        Threading::ByHand => say!("by hand"),
    }
}

fn threading_ui(ui: &mut Ui, machine: &Machine, now: Threading, actions: &mut Vec<Action>) {
    line(ui, say!("Threading"), |ui| {
        let name = say!("Threading, {}", machine.name);
        choice(ui, &name, threading_words(now), BODY, |ui| {
            for how in Threading::ALL {
                if ui
                    .selectable_label(how == now, threading_words(how))
                    .clicked()
                {
                    put(machine, "threading", Change::Threading(how), actions);
                    ui.close();
                }
            }
        });
    });
}

fn put(machine: &Machine, key: &'static str, change: Change, actions: &mut Vec<Action>) {
    ask(
        actions,
        LibraryAction::Put(TABLE, machine.name.clone(), key, change),
    );
}

/// A list with one name more, or without one that is there.
fn toggled(list: &[String], name: &str) -> Vec<String> {
    let mut all = list.to_vec();
    match all.iter().position(|n| n == name) {
        Some(k) => {
            all.remove(k);
        }
        None => all.push(name.to_owned()),
    }
    all
}

fn diameters_ui(ui: &mut Ui, machine: &Machine, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    line(ui, say!("Wire diameters it takes"), |ui| {
        let listed = view.library.diameters.iter().map(|d| d.diameter_mm);
        let mut all: Vec<f64> = machine
            .guides()
            .iter()
            .map(|d| d.mm())
            .chain(listed)
            .collect();
        all.sort_by(f64::total_cmp);
        all.dedup();
        for mm in all {
            let key = mm.to_string();
            let is_in = machine.diameters.iter().any(|d| d.parse() == Ok(mm));
            let shown = view.style.diameter(Length::from_mm(mm));
            let label = say!("{} takes {shown}", machine.name);
            let chip = ui.selectable_label(is_in, shown).accessible_name(label);
            if chip.clicked() {
                let is_same = |d: &&String| d.parse() == Ok(mm);
                let name = machine.diameters.iter().find(is_same).unwrap_or(&key);
                let change = Change::Names(toggled(&machine.diameters, name));
                put(machine, "diameters", change, actions);
            }
        }
        if machine.diameters.is_empty() {
            let none = RichText::new(say!("none chosen: all")).size(SMALL);
            ui.label(none.color(t.text_soft));
        }
    });
}

/// A wire on hand as one reads it.
fn wire_words(wire: &str, style: Style) -> String {
    let (name, diameter) = on_hand::parts_of(wire);
    let Some(mm) = diameter else {
        return say!("{}, any diameter", said(name));
    };
    let diameter = mm.parse().map(Length::from_mm);
    let diameter = diameter.map_or_else(|_| mm.to_owned(), |d| style.diameter(d));
    format!("{} {diameter}", said(name))
}

fn wires_ui(ui: &mut Ui, machine: &Machine, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    line(ui, say!("Wires on hand"), |ui| {
        for wire in &machine.wires {
            let words = wire_words(wire, view.style);
            let label = say!("{words} is on hand for {}", machine.name);
            let chip = ui
                .button(format!("{words} ×"))
                .on_hover_text(say!("take it off the list"))
                .accessible_name(label);
            if chip.clicked() {
                let change = Change::Names(toggled(&machine.wires, wire));
                put(machine, "wires", change, actions);
            }
        }
        let name = say!("Wire on hand for {}", machine.name);
        choice(ui, &name, say!("Add…"), BODY, |ui| {
            let of_job = view.file.job.candidates.iter();
            let of_job = of_job.map(|c| on_hand::written(&c.wire, c.diameter));
            let all = of_job.chain(view.library.wires.iter().map(|w| w.name.clone()));
            for wire in all.filter(|w| !machine.wires.contains(w)) {
                if ui
                    .selectable_label(false, wire_words(&wire, view.style))
                    .clicked()
                {
                    let change = Change::Names(toggled(&machine.wires, &wire));
                    put(machine, "wires", change, actions);
                    ui.close();
                }
            }
        });
        if machine.wires.is_empty() {
            let none = RichText::new(say!("none named: nothing is marked")).size(SMALL);
            ui.label(none.color(t.text_soft));
        }
    });
}

fn spools_ui(ui: &mut Ui, machine: &Machine, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    line(ui, say!("Spools on hand"), |ui| {
        for spool in &view.library.spools {
            let is_in = machine.spools.contains(&spool.name);
            let label = say!("spool {} is on hand for {}", spool.name, machine.name);
            let chip = ui
                .selectable_label(is_in, &spool.name)
                .accessible_name(label);
            if chip.clicked() {
                let change = Change::Names(toggled(&machine.spools, &spool.name));
                put(machine, "spools", change, actions);
            }
        }
        if machine.spools.is_empty() {
            let none = RichText::new(say!("none chosen: nothing is told")).size(SMALL);
            ui.label(none.color(t.text_soft));
        }
    });
}

/// A button, and once it was pressed a field for the name of the new machine.
fn add_ui(ui: &mut Ui, actions: &mut Vec<Action>) {
    let id = Id::unique("machine to add");
    let draft: Option<String> = ui.data(|d| d.get_temp(id));
    let Some(mut name) = draft else {
        let add = ui.button(say!("Add a machine…"));
        if add.clicked() {
            ui.data_mut(|d| d.insert_temp(id, String::new()));
        }
        return;
    };
    let before = name.clone();
    let mut done = false;
    ui.horizontal(|ui| {
        let field = ui
            .add(
                TextEdit::singleline(&mut name)
                    .id(id.with("field"))
                    .hint_text(say!("its name"))
                    .desired_width(150.0),
            )
            .accessible_name(say!("Name of the new machine"));
        if before.is_empty() && name.is_empty() && !field.has_focus() && !field.lost_focus() {
            field.request_focus();
        }
        let enter = field.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
        let ready = !name.trim().is_empty();
        let add = ui.add_enabled(ready, Button::new(say!("Add it")));
        if ready && (add.clicked() || enter) {
            ask(actions, LibraryAction::New(TABLE, name.clone()));
            done = true;
        }
        done |= ui.button(say!("Cancel")).clicked();
    });
    if done {
        ui.data_mut(|d| d.remove_temp::<String>(id));
    } else if name != before {
        ui.data_mut(|d| d.insert_temp(id, name));
    }
}
