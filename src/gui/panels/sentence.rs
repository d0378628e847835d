//! The job as a sentence that one reads aloud and edits in place.

use crate::gui::commands::Command;
use crate::gui::page::Page;
use crate::gui::state::{Action, View};
use crate::gui::theme::{SENTENCE, SMALL, tokens};
use crate::gui::widgets::{NumberField, choice, dot_before, material_list, shortened};
use crate::job::{Confirmed, Flushing, Job, passes_words};
use crate::language::said;
use crate::profile::Keep;
use crate::units::Length;
use crate::words::obstacles;
use crate::words::typed::parse_number;
use egui::{Align, Button, FontId, Key, Layout, RichText, Ui, UiBuilder};

/// Between the words of the sentence, points.
const GAP: f32 = 5.0;

/// The sentence and, at its end, the units.
pub fn sentence_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let job = &view.file.job;
    let edit = |actions: &mut Vec<Action>, change: &dyn Fn(&mut Job)| {
        let mut new = job.clone();
        change(&mut new);
        actions.push(Action::Edit(Box::new(new)));
    };
    ui.horizontal_top(|ui| {
        let room = egui::vec2(ui.available_width() - 60.0, 28.0);
        let words = UiBuilder::new()
            .max_rect(egui::Rect::from_min_size(ui.cursor().min, room))
            .layout(Layout::left_to_right(Align::Center).with_main_wrap(true));
        ui.scope_builder(words, |ui| {
            ui.spacing_mut().item_spacing.x = GAP;
            word(ui, say!("Cut"));
            quantity_ui(ui, view, actions);
            word(ui, say!("of"));
            let name = RichText::new(name_that_fits(ui, view, room.x)).size(SENTENCE);
            let label = ui.label(name.color(tokens(ui).text));
            label.on_hover_text(
                view.file
                    .path
                    .as_deref()
                    .map_or_else(|| view.file.name.clone(), |path| path.display().to_string()),
            );
            drawn_ui(ui, view, actions);
            word(ui, say!("from"));
            thickness_ui(ui, view, actions);
            material_ui(ui, view, actions);
            assumed_ui(ui, view, actions);
            word(ui, say!("in" in "so many passes"));
            choice(
                ui,
                say!("Passes"),
                &passes_words(job.passes),
                SENTENCE,
                |ui| {
                    super::passes::passes_ui(ui, view, actions);
                },
            );
            word(ui, say!("with"));
            choice(ui, say!("Flushing"), job.flushing.words(), SENTENCE, |ui| {
                for f in Flushing::ALL {
                    if ui.selectable_label(job.flushing == f, f.words()).clicked() {
                        edit(actions, &|j| j.flushing = f);
                        ui.close();
                    }
                }
            });
            machine_ui(ui, view, actions);
            dot_before(ui, keep_words(job.keep), SENTENCE);
            choice(
                ui,
                say!("What is kept"),
                keep_words(job.keep),
                SENTENCE,
                |ui| {
                    for (keep, words) in [
                        (
                            Keep::Inside,
                            say!("keep the inside (part, punch): it is cut out of a plate"),
                        ),
                        (
                            Keep::Outside,
                            say!("keep the outside (die, opening): openings are cut into a plate"),
                        ),
                    ] {
                        if ui.selectable_label(job.keep == keep, words).clicked() {
                            actions.push(Action::WhatStays(keep));
                            ui.close();
                        }
                    }
                },
            );
            super::order::order_ui(ui, view, actions);
        });
        ui.with_layout(Layout::right_to_left(Align::Min), |ui| {
            units_ui(ui, view, actions);
        });
    });
}

/// The machine where there is a choice, or where the part does not fit on it.
fn machine_words(view: &View<'_>) -> Option<String> {
    let (job, machines) = (&view.file.job, &view.library.machines);
    let own = job.machine_in(view.library).map(|m| m.name.clone());
    let is_asked = machines.len() > 1 || own.is_none() || no_fit(view).is_some();
    let name = own.or_else(|| job.machine.clone())?;
    (is_asked && !machines.is_empty()).then_some(name)
}

/// Why the part does not fit on its machine, whatever the wire.
fn no_fit(view: &View<'_>) -> Option<String> {
    let kinds = view.file.shown_estimate()?.obstacles.iter();
    let all = kinds.filter(|o| o.kind.is_misfit());
    let all = obstacles::told(all, view.style.system);
    let all: Vec<String> = all.into_iter().map(|t| t.sentence).collect();
    (!all.is_empty()).then(|| all.join("\n"))
}

const NO_FIT: &str = key!("does not fit");

fn machine_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let Some(name) = machine_words(view) else {
        return;
    };
    word(ui, say!("on" in "a machine"));
    let shown = shortened(&name, 24);
    choice(ui, say!("Machine"), &shown, SENTENCE, |ui| {
        for machine in &view.library.machines {
            let is_it = machine.name == name;
            if ui.selectable_label(is_it, &machine.name).clicked() {
                let mut new = view.file.job.clone();
                new.machine = Some(machine.name.clone());
                actions.push(Action::Edit(Box::new(new)));
                ui.close();
            }
        }
    });
    let Some(why) = no_fit(view) else { return };
    let text = RichText::new(said(NO_FIT)).size(SMALL + 1.0).italics();
    let response = ui
        .add(Button::new(text.color(tokens(ui).warn)).frame(false))
        .on_hover_cursor(egui::CursorIcon::PointingHand)
        .on_hover_text(why);
    if response.clicked() {
        actions.push(Action::Run(Command::Page(Page::Findings)));
    }
}

/// The name of the drawing, as short as the sentence needs it to keep to one line.
fn name_that_fits(ui: &Ui, view: &View<'_>, room: f32) -> String {
    let (name, job) = (&view.file.name, &view.file.job);
    let wide = |text: &str, size: f32| {
        let font = FontId::proportional(size);
        let colour = tokens(ui).text;
        let galley = ui.painter().layout_no_wrap(text.to_owned(), font, colour);
        galley.size().x + GAP
    };
    let field = |text: &str| wide(text, SENTENCE) + 2.0 * ui.spacing().button_padding.x;
    let mut rest = wide(say!("Cut"), SENTENCE);
    for word in [
        say!("of"),
        say!("from"),
        say!("in" in "so many passes"),
        say!("with"),
        "·",
    ] {
        rest += wide(word, SENTENCE);
    }
    rest += field(&view.style.number(f64::from(job.quantity), 0));
    rest += field(&view.style.typed_length(job.thickness));
    let texts = [
        said(&job.material),
        &passes_words(job.passes),
        job.flushing.words(),
        keep_words(job.keep),
    ];
    rest += texts.into_iter().map(field).sum::<f32>();
    for text in [
        assumed_words(view.file.confirmed),
        drawn_words(view).as_deref(),
    ] {
        rest += text.map_or(0.0, field);
    }
    if let Some(machine) = machine_words(view) {
        rest += wide(say!("on" in "a machine"), SENTENCE) + field(&shortened(&machine, 24));
        if no_fit(view).is_some() {
            rest += wide(said(NO_FIT), SMALL + 1.0) + 2.0 * ui.spacing().button_padding.x;
        }
    }
    if let Some(order) = super::order::order_words(view) {
        rest += wide("·", SENTENCE) + field(&order);
    }
    let lengths = [60, 44, 34, 28, 24, 20, 17, 14, 12];
    // The menu shows the whole name; here its ending goes before a letter of it does.
    let stem = name
        .len()
        .checked_sub(4)
        .and_then(|at| name.split_at_checked(at))
        .filter(|(_, ending)| ending.eq_ignore_ascii_case(".dxf"))
        .map_or(name.as_str(), |(stem, _)| stem);
    let fits = std::iter::once(name.clone())
        .chain(lengths.into_iter().map(|most| shortened(stem, most)))
        .find(|short| rest + wide(short, SENTENCE) <= room);
    // Where the sentence takes two lines anyway, the name may as well be read.
    fits.unwrap_or_else(|| shortened(name, 28))
}

/// What of thickness and material nobody has given for this drawing.
fn assumed_words(confirmed: Confirmed) -> Option<&'static str> {
    match (confirmed.thickness, confirmed.material) {
        (true, true) => None,
        (false, false) => Some(say!("assumed")),
        (false, true) => Some(say!("thickness assumed")),
        (true, false) => Some(say!("material assumed")),
    }
}

/// The word for what is assumed; a click confirms it as it stands.
fn assumed_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let Some(words) = assumed_words(view.file.confirmed) else {
        return;
    };
    let text = RichText::new(words).size(SMALL + 1.0).italics();
    let response = ui
        .add(Button::new(text.color(tokens(ui).accent)).frame(false))
        .on_hover_cursor(egui::CursorIcon::PointingHand)
        .on_hover_text(
            say!("Nobody has said this for this drawing: type it, take it from the drawing's notes on the page \
             Findings, or click here to confirm it as it stands. The report says so until then."),
        );
    if response.clicked() {
        let job = Box::new(view.file.job.clone());
        actions.push(Action::Give(job, Confirmed::ALL));
    }
}

/// "drawn 10:1", where it is not true size.
fn drawn_words(view: &View<'_>) -> Option<String> {
    let scale = view.file.drawing.scale.used.scale;
    (!scale.is_true_size()).then(|| say!("drawn {scale}"))
}

fn drawn_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let Some(words) = drawn_words(view) else {
        return;
    };
    let text = RichText::new(words).size(SENTENCE);
    let response = ui
        .add(Button::new(text.color(tokens(ui).accent)).frame(false))
        .on_hover_cursor(egui::CursorIcon::PointingHand)
        .on_hover_text(say!(
            "Every length is that of the part, not of the drawing. The page Findings changes it."
        ));
    if response.clicked() {
        actions.push(Action::Run(Command::Page(Page::Findings)));
    }
}

fn word(ui: &mut Ui, text: &str) {
    let colour = tokens(ui).text_soft;
    ui.label(RichText::new(text).size(SENTENCE).color(colour));
}

fn keep_words(keep: Keep) -> &'static str {
    match keep {
        Keep::Inside => say!("keep the inside"),
        Keep::Outside => say!("keep the outside"),
    }
}

fn units_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let keys = Command::SwitchUnits.keys().unwrap_or_default();
    let button = Button::new(RichText::new(view.style.system.length_unit()).size(SENTENCE));
    let response = ui
        .add(button)
        .on_hover_text(format!("{} ({keys})", Command::SwitchUnits.tooltip()))
        .accessible_name(say!("Units"));
    if response.clicked() {
        actions.push(Action::Run(Command::SwitchUnits));
    }
}

fn quantity_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let job = &view.file.job;
    let entry = NumberField::new(
        say!("Quantity"),
        view.style.number(f64::from(job.quantity), 0),
    )
    .size(SENTENCE)
    .show(ui);
    if let Some(typed) = entry.typed {
        match parse_number(&typed) {
            Ok(v) if v.fract() == 0.0 && (0.0..=f64::from(u32::MAX)).contains(&v) => {
                let mut new = job.clone();
                new.quantity = v as u32;
                actions.push(Action::Edit(Box::new(new)));
            }
            _ => actions.push(Action::Refuse(say!(
                "“{}” is not a number of parts. Enter a whole number between 1 and 1 000 000.",
                typed.trim()
            ))),
        }
    }
    entry.response.on_hover_text(say!("parts in the lot"));
}

fn thickness_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let job = &view.file.job;
    let shown = view.style.typed_length(job.thickness);
    let entry = NumberField::new(say!("Thickness"), shown)
        .size(SENTENCE)
        .show(ui);
    if let Some(typed) = entry.typed {
        match view.style.parse_length(&typed) {
            Ok(thickness) => {
                let mut new = job.clone();
                new.thickness = thickness;
                let given = Confirmed {
                    thickness: true,
                    ..Confirmed::default()
                };
                actions.push(Action::Give(Box::new(new), given));
            }
            Err(message) => actions.push(Action::Refuse(say!(
                "{message} The thickness stays at {}.",
                view.style.typed_length(job.thickness)
            ))),
        }
    }
    // Up and down step by a tenth of what is there, as far as it makes sense.
    if entry.response.has_focus() {
        let step = ui.input(|i| {
            i32::from(i.key_pressed(Key::ArrowUp)) - i32::from(i.key_pressed(Key::ArrowDown))
        });
        if step != 0 {
            ui.data_mut(|d| d.remove_temp::<String>(entry.response.id));
            let unit = view.style.parse_length("1").map_or(1.0, Length::mm);
            let size = if job.thickness.mm() / unit > 10.0 {
                5.0
            } else {
                0.5
            };
            let mut new = job.clone();
            new.thickness = Length::from_mm(job.thickness.mm() + f64::from(step) * size * unit);
            actions.push(Action::Edit(Box::new(new)));
        }
    }
    entry.response.on_hover_text(say!(
        "thickness of the work; mm or in may be typed behind the number"
    ));
}

fn material_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let job = &view.file.job;
    choice(ui, say!("Material"), said(&job.material), SENTENCE, |ui| {
        if let Some(name) = material_list(ui, view.library, &job.material) {
            let mut new = job.clone();
            new.material = name;
            let given = Confirmed {
                material: true,
                ..Confirmed::default()
            };
            actions.push(Action::Give(Box::new(new), given));
            ui.close();
        }
    });
}
