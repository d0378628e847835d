//! Another wire to compare: its diameter, how it is run, and which.

use super::wires::MOST;
use crate::gui::state::{Action, View};
use crate::gui::theme::SMALL;
use crate::gui::widgets::{Item, NumberField, choice, search_list};
use crate::job::{Candidate, Job, WireRun};
use crate::language::said;
use crate::units::{Length, RunOff};
use crate::words::job_faults;
use crate::words::{Style, System, typed::parse_number};
use egui::{RichText, Ui};

/// What has been chosen so far; kept by the window until it is closed.
#[derive(Debug, Clone, Copy)]
struct Draft {
    diameter_mm: f64,
    run: WireRun,
    /// Whether each skim has a field of its own.
    each: bool,
}

/// A wire and a diameter to add.
pub fn add_wire_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let job = &view.file.job;
    if job.candidates.len() >= MOST {
        ui.weak(say!("no more than 16 wires"));
        return;
    }
    choice(
        ui,
        say!("Add a wire"),
        say!("add a wire…"),
        SMALL + 0.5,
        |ui| {
            ui.set_min_width(420.0);
            let id = ui.make_persistent_id("wire to add");
            let mut draft: Draft = ui.data(|d| d.get_temp(id)).unwrap_or(Draft {
                diameter_mm: 0.25,
                run: WireRun::Usual,
                each: false,
            });
            diameter_ui(ui, view, &mut draft, actions);
            run_ui(ui, view, &mut draft, actions);
            ui.data_mut(|d| d.insert_temp(id, draft));
            ui.separator();
            let candidate = |name: &str| Candidate::new(name, draft.diameter_mm).running(draft.run);
            let items: Vec<Item<'_>> = (view.library.wires.iter())
                .map(|wire| {
                    let there = job.candidates.contains(&candidate(&wire.name));
                    Item {
                        name: said(&wire.name),
                        aside: if there {
                            say!("already compared")
                        } else {
                            said(&wire.note)
                        },
                        label: say!("add {}", said(&wire.name)),
                        chosen: false,
                        enabled: !there,
                    }
                })
                .collect();
            if let Some(k) = search_list(ui, say!("Find a wire"), say!("name of the wire"), &items)
            {
                add(job, candidate(&view.library.wires[k].name), actions);
                ui.close();
            }
        },
    );
}

fn diameter_ui(ui: &mut Ui, view: &View<'_>, draft: &mut Draft, actions: &mut Vec<Action>) {
    ui.horizontal(|ui| {
        ui.label(say!("Diameter"));
        let shown = view.style.typed_length(Length::from_mm(draft.diameter_mm));
        let entry = NumberField::new(say!("Diameter to add"), shown).show(ui);
        if let Some(typed) = entry.typed {
            match view.style.parse_length(&typed) {
                Ok(l) => draft.diameter_mm = l.mm(),
                Err(message) => actions.push(Action::Refuse(message)),
            }
        }
    });
    ui.horizontal_wrapped(|ui| {
        for d in &view.library.diameters {
            let text = view.style.diameter(Length::from_mm(d.diameter_mm));
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
        let is_reel = matches!(draft.run, WireRun::Reciprocating { .. });
        for (run, words, chosen) in [
            (
                WireRun::Usual,
                say!("usual wire speed"),
                draft.run == WireRun::Usual,
            ),
            (own, say!("your wire speed"), draft.run.is_own()),
            (reel, say!("reciprocating, from a reel"), is_reel),
        ] {
            if ui.selectable_label(chosen, words).clicked() && !chosen {
                draft.run = run;
            }
        }
    });
    let style = view.style;
    match draft.run {
        WireRun::Usual => {}
        WireRun::Own { .. } | WireRun::Each(_) => own_ui(ui, view, draft, actions),
        WireRun::Reciprocating { reel, hours } => {
            ui.horizontal(|ui| {
                let reel = wire_field(ui, style, say!("Wire on the reel"), reel.m(), actions);
                ui.label(say!("{} last", style.system.wire_unit()));
                let entry =
                    NumberField::new(say!("Hours a reel lasts"), crate::reason::short(hours))
                        .show(ui);
                let hours = entry.typed.map_or(hours, |typed| {
                    parse_number(&typed).unwrap_or_else(|message| {
                        actions.push(Action::Refuse(message));
                        hours
                    })
                });
                ui.label("h");
                accept(
                    draft,
                    view,
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

/// The shop's own run-off: rough and skims, or each pass of the job for itself.
fn own_ui(ui: &mut Ui, view: &View<'_>, draft: &mut Draft, actions: &mut Vec<Action>) {
    let style = view.style;
    let passes = view.file.job.passes.max(2);
    let fields = if draft.each { passes } else { 2 };
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 5.0;
        let given: Vec<RunOff> = (0..fields)
            .map(|k| {
                let (word, name) = match (k, draft.each) {
                    (0, _) => (
                        say!("rough").to_owned(),
                        say!("Wire speed of the rough").to_owned(),
                    ),
                    (1, false) => (
                        say!("skims").to_owned(),
                        say!("Wire speed of the skims").to_owned(),
                    ),
                    (1, true) => (
                        say!("skim 1").to_owned(),
                        say!("Wire speed of skim 1").to_owned(),
                    ),
                    _ => (k.to_string(), say!("Wire speed of skim {k}")),
                };
                ui.label(RichText::new(word).weak());
                let now = draft.run.run_off(k, RunOff::ZERO).m_per_min();
                RunOff::from_m_per_min(wire_field(ui, style, &name, now, actions))
            })
            .collect();
        ui.label(say!("{}/min", style.system.wire_unit()));
        if let Some(run) = WireRun::of_passes(&given) {
            accept(draft, view, run, actions);
        }
    });
    ui.horizontal(|ui| {
        for (each, words) in [
            (false, say!("skims alike")),
            (true, say!("each pass for itself")),
        ] {
            if ui.selectable_label(draft.each == each, words).clicked() {
                draft.each = each;
            }
        }
    });
    if !draft.each && matches!(draft.run, WireRun::Each(_)) {
        // What was given for the first skim then holds for all.
        let (rough, skims) = (
            draft.run.run_off(0, RunOff::ZERO),
            draft.run.run_off(1, RunOff::ZERO),
        );
        draft.run = WireRun::Own { rough, skims };
    }
}

/// Metres of wire, or metres a minute, typed as metres or feet.
fn wire_field(
    ui: &mut Ui,
    style: Style,
    name: &str,
    metres: f64,
    actions: &mut Vec<Action>,
) -> f64 {
    let in_unit = match style.system {
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
fn accept(draft: &mut Draft, view: &View<'_>, run: WireRun, actions: &mut Vec<Action>) {
    if run.is_sane() {
        draft.run = run;
    } else {
        let limits = job_faults::limits_of_a_run(view.style.system);
        actions.push(Action::Refuse(limits));
    }
}

fn add(job: &Job, candidate: Candidate, actions: &mut Vec<Action>) {
    let mut new = job.clone();
    new.candidates.push(candidate);
    actions.push(Action::Edit(Box::new(new)));
}
