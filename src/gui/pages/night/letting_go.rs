//! How pieces are let go: what is burned out, what may drop alone, what stays clamped, and when tabs are cut.

use super::{moment_words, soft, wrapped};
use crate::estimate::ByTheClock;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, tokens};
use crate::gui::widgets::{NumberField, choice};
use crate::job::{BurnOut, Job, LotOrder};
use crate::units::{Length, Mass, Minutes};
use crate::words::System;
use crate::words::style::{significant, time};
use crate::words::typed::parse_number;
use egui::{RichText, Ui};

/// What a limit is where a kind of limit is chosen: 3 mm, about what jams a lower nozzle; 10 g (judgement).
const FIRST_SIZE: Length = Length::from_mm(3.0);
const FIRST_MASS: Mass = Mass::from_kg(0.01);
/// Kilograms in one ounce, exact by definition.
const KG_PER_OUNCE: f64 = 0.028_349_523_125;

/// Three sentences whose words can be changed.
pub(super) fn letting_go_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let job = &view.file.job;
    let soft = tokens(ui).text_soft;
    let word = |ui: &mut Ui, text: &str| ui.label(RichText::new(text).color(soft));
    ui.horizontal_wrapped(|ui| {
        word(ui, say!("Burn out"));
        burn_out_ui(ui, view, actions);
    });
    ui.horizontal_wrapped(|ui| {
        word(ui, say!("Pieces below"));
        let name = say!("Mass below which pieces may drop alone");
        mass_ui(ui, name, job.shop.drops_alone, view, actions, |j, mass| {
            j.shop.drops_alone = mass;
        });
        word(
            ui,
            if job.shop.drops_alone == Mass::ZERO {
                say!("may drop alone: none, each is secured first")
            } else {
                say!("may drop alone, nobody secures them")
            },
        );
    });
    let mut clamps = job.shop.clamps_parts;
    let text = say!("Parts stay clamped while their tab is skimmed");
    let about =
        say!("Otherwise the tab's stretch keeps the rough's finish and is dressed by hand.");
    if ui
        .checkbox(&mut clamps, text)
        .on_hover_text(about)
        .changed()
    {
        edit(job, actions, |j| j.shop.clamps_parts = clamps);
    }
}

/// Which openings are burned out, in one decision for all of them.
fn burn_out_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let job = &view.file.job;
    let now = job.burn_out;
    let words = |b: BurnOut| match b {
        BurnOut::Nothing => say!("no opening unless its page says so"),
        BurnOut::UpToSize(_) => say!("openings with a slug up to"),
        BurnOut::UpToMass(_) => say!("openings with a slug that weighs up to"),
    };
    choice(
        ui,
        say!("Openings that are burned out"),
        words(now),
        BODY,
        |ui| {
            for other in [
                BurnOut::Nothing,
                BurnOut::UpToSize(FIRST_SIZE),
                BurnOut::UpToMass(FIRST_MASS),
            ] {
                let chosen = std::mem::discriminant(&other) == std::mem::discriminant(&now);
                if ui.selectable_label(chosen, words(other)).clicked() {
                    if !chosen {
                        edit(job, actions, |j| j.burn_out = other);
                    }
                    ui.close();
                }
            }
        },
    );
    match now {
        BurnOut::Nothing => {}
        BurnOut::UpToSize(most) => {
            let shown = view.style.typed_length(most);
            let entry = NumberField::new(say!("Longest slug that is burned out"), shown).show(ui);
            match entry.typed.map(|typed| view.style.parse_length(&typed)) {
                Some(Ok(most)) => edit(job, actions, |j| j.burn_out = BurnOut::UpToSize(most)),
                Some(Err(message)) => actions.push(Action::Refuse(message)),
                None => {}
            }
        }
        BurnOut::UpToMass(most) => {
            let name = say!("Heaviest slug that is burned out");
            mass_ui(ui, name, most, view, actions, |j, mass| {
                j.burn_out = BurnOut::UpToMass(mass);
            });
        }
    }
}

/// A small mass in grams or ounces.
fn mass_ui(
    ui: &mut Ui,
    name: &str,
    mass: Mass,
    view: &View<'_>,
    actions: &mut Vec<Action>,
    set: impl FnOnce(&mut Job, Mass),
) {
    let (unit, kg) = match view.style.system {
        System::Metric => ("g", 1e-3),
        System::Inch => (say!("oz"), KG_PER_OUNCE),
    };
    let shown = format!("{} {unit}", significant(mass.kg() / kg, 4));
    let entry = NumberField::new(name, shown).show(ui);
    let Some(typed) = entry.typed else { return };
    match parse_number(typed.trim().trim_end_matches(unit)) {
        Ok(v) if (0.0..=1e6).contains(&v) => {
            edit(&view.file.job, actions, |j| set(j, Mass::from_kg(v * kg)));
        }
        Ok(_) => actions.push(Action::Refuse(say!(
            "“{}” is no such mass. Enter 0 or more in {unit}.",
            typed.trim()
        ))),
        Err(message) => actions.push(Action::Refuse(message)),
    }
}

/// The lot with all its tabs cut at the end: offered where it is done earlier, and taken back with one click.
pub(super) fn together_ui(
    ui: &mut Ui,
    view: &View<'_>,
    clock: &ByTheClock,
    together: Option<&ByTheClock>,
    actions: &mut Vec<Action>,
) {
    let job = &view.file.job;
    if job.lot_order == LotOrder::TabsTogether && job.quantity > 1 {
        ui.horizontal_wrapped(|ui| {
            wrapped(
                ui,
                &say!(
                    "All {} parts lie on the machine at once, and their tabs are cut together at the end.",
                    job.quantity
                ),
            );
            if ui.button(say!("One part after the other")).clicked() {
                edit(job, actions, |j| j.lot_order = LotOrder::PartByPart);
            }
        });
        ui.add_space(4.0);
        return;
    }
    let Some(t) = together else { return };
    let earlier = Minutes::from_min(clock.done - t.done);
    wrapped(
        ui,
        &say!(
            "With all {} parts on the machine at once and their tabs cut together at the end: done {}, {} earlier.",
            job.quantity,
            moment_words(t.done, clock.begun),
            time(earlier)
        ),
    );
    ui.horizontal_wrapped(|ui| {
        if ui.button(say!("Cut all tabs together")).clicked() {
            edit(job, actions, |j| j.lot_order = LotOrder::TabsTogether);
        }
        let stands = if t.waits < Minutes::from_min(1.0) {
            say!("it never waits for the operator").to_owned()
        } else {
            say!(
                "it waits for {} instead of {}",
                time(t.waits),
                time(clock.waits)
            )
        };
        soft(
            ui,
            &say!("{stands}; all have to fit on the table or in one blank"),
        );
    });
    ui.add_space(4.0);
}

fn edit(job: &Job, actions: &mut Vec<Action>, change: impl FnOnce(&mut Job)) {
    let mut new = job.clone();
    change(&mut new);
    actions.push(Action::Edit(Box::new(new)));
}
