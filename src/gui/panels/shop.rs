//! Rates and habits of the shop; the library's defaults until changed.

use crate::gui::format::{System, parse_number, significant};
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, tokens};
use crate::gui::widgets::{NumberField, choice};
use crate::job::{Job, Shop};
use crate::units::Money;
use egui::{Align, Label, Layout, RichText, Ui};

/// Kilograms in one pound, exact by definition.
const KG_PER_POUND: f64 = 0.453_592_37;

/// One line: what, its unit, the number shown, and how a typed number enters the shop.
struct Line {
    name: &'static str,
    unit: String,
    value: f64,
    most: f64,
    set: fn(&mut Shop, f64),
    /// What a typed number is multiplied by.
    factor: f64,
}

fn lines(shop: &Shop, system: System) -> Vec<Line> {
    // A price a pound is smaller than one a kilogram.
    let (mass, per_mass) = match system {
        System::Metric => ("kg", 1.0),
        System::Inch => ("lb", KG_PER_POUND),
    };
    let line = |name, unit: &str, value: f64, most, set| Line {
        name,
        unit: unit.to_owned(),
        value,
        most,
        set,
        factor: 1.0,
    };
    let by_mass = |name, value: f64, set| Line {
        name,
        unit: format!("a {mass}"),
        value: value * per_mass,
        most: 1e6,
        set,
        factor: 1.0 / per_mass,
    };
    vec![
        line(
            "Machine",
            "an hour",
            shop.machine_rate.amount(),
            1e6,
            |s, v| {
                s.machine_rate = Money::from_amount(v);
            },
        ),
        line(
            "Labour",
            "an hour",
            shop.labour_rate.amount(),
            1e6,
            |s, v| {
                s.labour_rate = Money::from_amount(v);
            },
        ),
        by_mass("Plain brass wire", shop.wire_price.amount(), |s, v| {
            s.wire_price = Money::from_amount(v);
        }),
        by_mass("Scrap wire", shop.scrap_value.amount(), |s, v| {
            s.scrap_value = Money::from_amount(v);
        }),
        line(
            "Consumables",
            "an hour",
            shop.consumables.amount(),
            1e6,
            |s, v| {
                s.consumables = Money::from_amount(v);
            },
        ),
        line("Set-up", "h a lot", shop.setup_hours, 1e4, |s, v| {
            s.setup_hours = v;
        }),
        line(
            "Uptime",
            "% of the week",
            shop.uptime * 100.0,
            100.0,
            |s, v| {
                s.uptime = v / 100.0;
            },
        ),
    ]
}

/// The fields, one under the other.
pub fn shop_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let job = &view.file.job;
    for line in lines(&job.shop, view.system) {
        row(ui, line.name, &line.unit, |ui| {
            let shown = significant(line.value, 6);
            let name = format!("{} {}", line.name, line.unit);
            let entry = NumberField::new(&name, shown).width(74.0).show(ui);
            if let Some(typed) = entry.typed {
                match parse_number(&typed) {
                    Ok(v) if (0.0..=line.most).contains(&v) => {
                        edit(job, actions, |j| (line.set)(&mut j.shop, v * line.factor));
                    }
                    Ok(_) => actions.push(Action::Refuse(format!(
                        "“{}” cannot be used for {}. Enter a number between 0 and {}.",
                        typed.trim(),
                        line.name.to_lowercase(),
                        significant(line.most, 7),
                    ))),
                    Err(message) => actions.push(Action::Refuse(message)),
                }
            }
        });
    }
    row(ui, "Spool", "loaded", |ui| {
        choice(ui, "Spool", &job.shop.spool, BODY, |ui| {
            for spool in &view.library.spools {
                let text = format!(
                    "{}   {}",
                    spool.name,
                    view.system
                        .mass(crate::units::Mass::from_kg(spool.net_mass.value))
                );
                if ui
                    .selectable_label(job.shop.spool == spool.name, text)
                    .clicked()
                {
                    edit(job, actions, |j| j.shop.spool.clone_from(&spool.name));
                    ui.close();
                }
            }
        });
    });
    let mut by_hand = job.shop.threads_by_hand;
    let switch = ui.checkbox(&mut by_hand, "Threads by hand");
    let switch = switch.on_hover_text(
        "Each threading takes longer and somebody stands there. A wire that runs back and forth from a reel \
         is always threaded by hand.",
    );
    if switch.changed() {
        edit(job, actions, |j| j.shop.threads_by_hand = by_hand);
    }
    ui.add_space(8.0);
    let defaults = Shop::from_library(view.library);
    if job.shop != defaults && ui.button("Back to the library's defaults").clicked() {
        edit(job, actions, |j| j.shop = defaults.clone());
    }
    ui.add(
        Label::new(
            RichText::new(
                "Amounts are in your own currency. Your rates are kept for the next drawing and the next start.",
            )
            .size(SMALL)
            .color(t.text_faint),
        )
        .wrap(),
    );
}

fn edit(job: &Job, actions: &mut Vec<Action>, change: impl FnOnce(&mut Job)) {
    let mut new = job.clone();
    change(&mut new);
    actions.push(Action::Edit(Box::new(new)));
}

fn row(ui: &mut Ui, name: &str, unit: &str, field: impl FnOnce(&mut Ui)) {
    let t = tokens(ui);
    ui.horizontal(|ui| {
        ui.allocate_ui_with_layout(
            egui::vec2(118.0, 22.0),
            Layout::left_to_right(Align::Center),
            |ui| {
                ui.set_min_width(118.0);
                ui.label(name);
            },
        );
        field(ui);
        ui.label(RichText::new(unit).size(SMALL).color(t.text_soft));
    });
}
