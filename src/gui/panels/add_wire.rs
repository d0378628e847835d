//! Another wire to compare: its diameter, how it is run, and which.

use super::wires::MOST;
use crate::gui::format::{System, parse_number};
use crate::gui::state::{Action, View};
use crate::gui::theme::SMALL;
use crate::gui::widgets::{NumberField, choice};
use crate::job::{Candidate, Job, WireRun};
use crate::units::{Length, RunOff};
use egui::{Button, RichText, Ui};

/// What has been chosen so far; kept by the window until it is closed.
#[derive(Debug, Clone, Copy)]
struct Draft {
    diameter_mm: f64,
    run: WireRun,
}

/// A wire and a diameter to add.
pub fn add_wire_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let job = &view.file.job;
    if job.candidates.len() >= MOST {
        ui.weak("no more than 16 wires");
        return;
    }
    choice(ui, "Add a wire", "add a wire…", SMALL + 0.5, |ui| {
        ui.set_min_width(420.0);
        let id = ui.make_persistent_id("wire to add");
        let mut draft: Draft = ui.data(|d| d.get_temp(id)).unwrap_or(Draft {
            diameter_mm: 0.25,
            run: WireRun::Usual,
        });
        diameter_ui(ui, view, &mut draft, actions);
        run_ui(ui, view, &mut draft, actions);
        ui.data_mut(|d| d.insert_temp(id, draft));
        ui.separator();
        for wire in &view.library.wires {
            let candidate = Candidate::new(&wire.name, draft.diameter_mm).running(draft.run);
            let there = job.candidates.contains(&candidate);
            let button = Button::new(wire.name.as_str())
                .right_text(RichText::new(&wire.note).size(SMALL).weak());
            let response = ui
                .add_enabled(!there, button)
                .on_disabled_hover_text("already compared")
                .accessible_name(format!("add {}", wire.name));
            if response.clicked() {
                add(job, candidate, actions);
                ui.close();
            }
        }
    });
}

fn diameter_ui(ui: &mut Ui, view: &View<'_>, draft: &mut Draft, actions: &mut Vec<Action>) {
    ui.horizontal(|ui| {
        ui.label("Diameter");
        let shown = view.system.typed_length(Length::from_mm(draft.diameter_mm));
        let entry = NumberField::new("Diameter to add", shown).show(ui);
        if let Some(typed) = entry.typed {
            match view.system.parse_length(&typed) {
                Ok(l) => draft.diameter_mm = l.mm(),
                Err(message) => actions.push(Action::Refuse(message)),
            }
        }
    });
    ui.horizontal_wrapped(|ui| {
        for d in &view.library.diameters {
            let text = view.system.diameter(Length::from_mm(d.diameter_mm));
            let chosen = (d.diameter_mm - draft.diameter_mm).abs() < 1e-9;
            if ui.selectable_label(chosen, text).clicked() {
                draft.diameter_mm = d.diameter_mm;
            }
        }
    });
}

/// The same wire run in two ways is two candidates.
fn run_ui(ui: &mut Ui, view: &View<'_>, draft: &mut Draft, actions: &mut Vec<Action>) {
    let own = WireRun::Own {
        rough: RunOff::from_m_per_min(10.0),
        skims: RunOff::from_m_per_min(9.0),
    };
    let reel = WireRun::Reciprocating {
        reel: Length::from_m(200.0),
        hours: 80.0,
    };
    ui.horizontal(|ui| {
        for (run, words) in [
            (WireRun::Usual, "usual run-off"),
            (own, "your run-off"),
            (reel, "back and forth from a reel"),
        ] {
            let chosen = std::mem::discriminant(&run) == std::mem::discriminant(&draft.run);
            if ui.selectable_label(chosen, words).clicked() && !chosen {
                draft.run = run;
            }
        }
    });
    let system = view.system;
    match draft.run {
        WireRun::Usual => {}
        WireRun::Own { rough, skims } => {
            ui.horizontal(|ui| {
                let unit = format!("{}/min", system.wire_unit());
                ui.label("rough");
                let rough = wire_field(
                    ui,
                    system,
                    "Run-off of the rough",
                    rough.m_per_min(),
                    actions,
                );
                ui.label(format!("{unit}, skims"));
                let skims = wire_field(
                    ui,
                    system,
                    "Run-off of the skims",
                    skims.m_per_min(),
                    actions,
                );
                ui.label(unit);
                accept(
                    draft,
                    WireRun::Own {
                        rough: RunOff::from_m_per_min(rough),
                        skims: RunOff::from_m_per_min(skims),
                    },
                    actions,
                );
            });
        }
        WireRun::Reciprocating { reel, hours } => {
            ui.horizontal(|ui| {
                let reel = wire_field(ui, system, "Wire on the reel", reel.m(), actions);
                ui.label(format!("{} last", system.wire_unit()));
                let entry =
                    NumberField::new("Hours a reel lasts", crate::reason::short(hours)).show(ui);
                let hours = entry.typed.map_or(hours, |typed| {
                    parse_number(&typed).unwrap_or_else(|message| {
                        actions.push(Action::Refuse(message));
                        hours
                    })
                });
                ui.label("h");
                accept(
                    draft,
                    WireRun::Reciprocating {
                        reel: Length::from_m(reel),
                        hours,
                    },
                    actions,
                );
            });
        }
    }
}

/// Metres of wire, or metres a minute, typed as metres or feet.
fn wire_field(
    ui: &mut Ui,
    system: System,
    name: &str,
    metres: f64,
    actions: &mut Vec<Action>,
) -> f64 {
    let in_unit = match system {
        System::Metric => 1.0,
        System::Inch => 12.0 * crate::units::MM_PER_INCH / 1000.0,
    };
    let entry = NumberField::new(name, crate::reason::short(metres / in_unit)).show(ui);
    entry.typed.map_or(metres, |typed| {
        parse_number(&typed).map_or_else(
            |message| {
                actions.push(Action::Refuse(message));
                metres
            },
            |number| number * in_unit,
        )
    })
}

/// Takes a way of running over, or says why not.
fn accept(draft: &mut Draft, run: WireRun, actions: &mut Vec<Action>) {
    if run.is_sane() {
        draft.run = run;
    } else {
        actions.push(Action::Refuse(
            "A run-off has to lie above 0 and up to 60 m/min, and a reel needs wire and hours."
                .to_owned(),
        ));
    }
}

fn add(job: &Job, candidate: Candidate, actions: &mut Vec<Action>) {
    let mut new = job.clone();
    new.candidates.push(candidate);
    actions.push(Action::Edit(Box::new(new)));
}
