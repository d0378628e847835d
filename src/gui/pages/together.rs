//! Several pieces together, below the prices by quantity: the blank they are cut from, and plates in a stack.

use crate::estimate::together::Arrangement;
use crate::gui::planning::{PlanAction, Together};
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, strong, tokens};
use crate::gui::widgets::NumberField;
use crate::job::Job;
use crate::language::said;
use crate::units::Length;
use crate::words::together;
use egui::{Grid, Label, RichText, Ui};

/// The section.
pub fn together_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    ui.label(strong(say!("Several pieces together"), BODY));
    arrangement_ui(ui, view, actions);
    ui.add_space(4.0);
    let (known, _) = view.planning.together(view.file);
    let Some(known) = known else {
        ui.label(RichText::new(say!("Working it out…")).color(t.text_soft));
        return;
    };
    blank_ui(ui, view, known);
    stacks_ui(ui, view, known);
}

/// How they are arranged, as a sentence with fields.
fn arrangement_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let before = view.file.arrangement;
    let mut own = before;
    let style = view.style;
    let mut refused = None;
    ui.horizontal_wrapped(|ui| {
        let shown = own
            .in_a_plate
            .map_or(say!("all").to_owned(), |n| n.to_string());
        let field = NumberField::new(say!("Pieces in a plate"), shown).width(40.0);
        if let Some(text) = field.show(ui).typed {
            let text = text.trim();
            let count = text
                .parse()
                .ok()
                .filter(|n| (1..=Job::MOST_PARTS).contains(n));
            match (text, count) {
                ("", _) => own.in_a_plate = None,
                (text, None) if ["all", say!("all")].contains(&text) => own.in_a_plate = None,

                (_, Some(n)) => own.in_a_plate = Some(n),
                _ => {
                    refused = Some(say!(
                        "“{text}” is no number of pieces. Enter a whole number from 1, or all."
                    ));
                }
            }
        }
        ui.label(say!("of the lot in a plate,"));
        let field = NumberField::new(say!("Spacing in a plate"), style.typed_length(own.spacing));
        if let Some(text) = field.width(58.0).show(ui).typed {
            length(style.parse_length(&text), &mut own.spacing, &mut refused);
        }
        ui.label(say!("between and around them; plates stacked up to"));
        let shown = if own.highest > Length::ZERO {
            style.typed_length(own.highest)
        } else {
            say!("no stack").to_owned()
        };
        let field = NumberField::new(say!("Highest stack"), shown).width(68.0);
        if let Some(text) = field.show(ui).typed {
            if ["", "no stack", say!("no stack")].contains(&text.trim()) {
                own.highest = Length::ZERO;
            } else {
                length(style.parse_length(&text), &mut own.highest, &mut refused);
            }
        }
    });
    actions.extend(refused.map(Action::Refuse));
    if own != before {
        actions.push(Action::Plan(PlanAction::Arrange(own)));
    }
}

/// Takes a length from 0 to what a machine takes, or says why not.
fn length(typed: Result<Length, String>, place: &mut Length, refused: &mut Option<String>) {
    match typed {
        Ok(length) if (0.0..=*Job::THICKNESS_MM.end()).contains(&length.mm()) => *place = length,
        Ok(_) => {
            *refused = Some(say!(
                "It has to lie between 0 and {} mm.",
                Job::THICKNESS_MM.end()
            ));
        }
        Err(why) => *refused = Some(why),
    }
}

fn blank_ui(ui: &mut Ui, view: &View<'_>, known: &Together) {
    let t = tokens(ui);
    let Some(nest) = &known.nest else {
        ui.label(
            RichText::new(say!("Nothing is cut, so nothing is laid in a plate."))
                .color(t.text_soft),
        );
        return;
    };
    let lines = [
        (
            say!("Smallest rectangle around a piece"),
            together::piece(nest, view.style),
        ),
        (say!("Blank"), together::plate(nest, view.style)),
    ];
    for (name, text) in lines {
        ui.label(RichText::new(name).size(SMALL).color(t.text_soft));
        ui.add(Label::new(text).wrap());
    }
}

fn stacks_ui(ui: &mut Ui, view: &View<'_>, known: &Together) {
    let t = tokens(ui);
    let style = view.style;
    ui.add_space(4.0);
    if known.stacks.is_empty() {
        ui.label(RichText::new(say!("The wire shown cannot cut it.")).color(t.text_soft));
        return;
    }
    let cheapest = known
        .stacks
        .iter()
        .map(|s| s.each.amount())
        .fold(f64::INFINITY, f64::min);
    Grid::new("stacks")
        .num_columns(5)
        .spacing([16.0, 5.0])
        .striped(true)
        .show(ui, |ui| {
            for head in [
                say!("plates"),
                say!("height"),
                say!("stacks"),
                say!("time a piece"),
                say!("cost a piece"),
            ] {
                ui.label(RichText::new(head).size(SMALL).color(t.text_soft));
            }
            ui.end_row();
            for s in &known.stacks {
                let best = known.stacks.len() > 1 && s.each.amount() <= cheapest;
                let colour = if best { t.better } else { t.text };
                for text in [
                    style.number(f64::from(s.plates), 0),
                    style.typed_length(s.height),
                    style.number(f64::from(s.stacks), 0),
                    style.time(s.minutes),
                    style.money(s.each),
                ] {
                    ui.label(RichText::new(text).color(colour));
                }
                ui.end_row();
            }
        });
    if known.stacks.len() > 1 {
        ui.add_space(4.0);
        let text = RichText::new(said(together::STACKING))
            .size(SMALL)
            .color(t.warn);
        ui.add(Label::new(text).wrap());
    } else if view.file.arrangement == Arrangement::default() {
        let text = say!("Enter a height to see what stacked plates come to.");
        ui.label(RichText::new(text).size(SMALL).color(t.text_faint));
    }
}
