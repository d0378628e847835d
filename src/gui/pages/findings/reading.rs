//! How the drawing is read: its unit, the ends that are joined, the layers and colours that count.

use crate::drawing::{ReadOptions, Scale, ScaleChoice, Unit, UnitChoice};
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, strong, tokens};
use crate::gui::widgets::{NumberField, choice};
use crate::units::Length;
use crate::words::reading::{colour_words, unit_reason};
use egui::{Checkbox, Label, RichText, Ui};
use std::collections::BTreeSet;

/// Widest gap that may be joined: beyond it, ends that belong to different curves would meet.
const WIDEST_GAP: Length = Length::from_mm(5.0);
/// Most layers or colours that are listed; a drawing with more is sorted out in the drawing.
const MOST: usize = 60;

/// Asks for the drawing to be read with one thing changed.
fn again(view: &View<'_>, actions: &mut Vec<Action>, change: impl Fn(&mut ReadOptions)) {
    let mut new = view.file.wanted.clone();
    change(&mut new);
    if new != view.file.wanted {
        actions.push(Action::Reread(Box::new(new)));
    }
}

/// Unit, joining, layers and colours; a change reads the drawing again and keeps the job.
pub fn reading_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    ui.label(strong(say!("How it is read"), BODY));
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 5.0;
        unit_ui(ui, view, actions);
        scale_ui(ui, view, actions);
        gap_ui(ui, view, actions);
    });
    let reason =
        RichText::new(unit_reason(&view.file.drawing.units, view.style.system)).size(SMALL);
    ui.add(Label::new(reason.color(t.text_faint)).wrap());
    sides_ui(ui, view, actions);
    layers_ui(ui, view, actions);
    colours_ui(ui, view, actions);
}

fn soft(ui: &mut Ui, text: &str) {
    let colour = tokens(ui).text_soft;
    ui.label(RichText::new(text).color(colour));
}

fn unit_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let units = &view.file.drawing.units;
    let wanted = view.file.wanted.units;
    soft(ui, say!("Drawn in"));
    let shown = match wanted {
        UnitChoice::Auto => format!("{}, {}", units.used.sign(), units.from.said()),
        UnitChoice::Fixed(unit) => unit.sign().to_owned(),
    };
    choice(ui, say!("Unit of the drawing"), &shown, BODY, |ui| {
        let mut offer = |ui: &mut Ui, choice: UnitChoice, text: &str| {
            if ui.selectable_label(wanted == choice, text).clicked() {
                again(view, actions, |o| o.units = choice);
                ui.close();
            }
        };
        offer(ui, UnitChoice::Auto, say!("as the file says"));
        for unit in Unit::ALL {
            offer(ui, UnitChoice::Fixed(unit), unit.sign());
        }
    })
    .on_hover_text(unit_reason(units, view.style.system));
}

/// The scale that the drawing is drawn at, typed as 10:1.
fn scale_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    soft(ui, say!("at" in "a scale"));
    let shown = view.file.wanted.scale.scale.to_string();
    let entry = NumberField::new(say!("Scale of the drawing"), shown).show(ui);
    if let Some(typed) = entry.typed {
        match typed.parse::<Scale>() {
            Ok(scale) => again(view, actions, |o| o.scale = ScaleChoice::chosen(scale)),
            Err(message) => actions.push(Action::Refuse(message)),
        }
    }
    entry.response.on_hover_text(
        say!("drawn size to true size: 10:1 is drawn ten times as large as the part; lengths are divided by it"),
    );
}

fn gap_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    soft(ui, say!("ends joined up to"));
    let gap = view.style.typed_length(view.file.wanted.join_gap);
    let entry = NumberField::new(say!("Join gap"), gap).show(ui);
    let Some(typed) = entry.typed else { return };
    match view.style.parse_length(&typed) {
        Ok(gap) if gap >= Length::ZERO && gap <= WIDEST_GAP => {
            again(view, actions, |o| o.join_gap = gap);
        }
        Ok(_) => actions.push(Action::Refuse(say!(
            "A gap of {} is not joined. Enter a gap between 0 and {}.",
            typed.trim(),
            view.style.typed_length(WIDEST_GAP)
        ))),
        Err(message) => actions.push(Action::Refuse(message)),
    }
}

/// Where ends that lie on the side of another open curve are joined with it.
#[derive(Clone, Copy, PartialEq)]
enum AtSides {
    Never,
    Outline,
    Always,
}

impl AtSides {
    const ALL: [Self; 3] = [Self::Never, Self::Outline, Self::Always];
    fn of(options: &ReadOptions) -> Self {
        match (options.join_at_sides, options.outline_at_sides) {
            (true, _) => Self::Always,
            (false, true) => Self::Outline,
            (false, false) => Self::Never,
        }
    }
    fn words(self) -> &'static str {
        match self {
            Self::Never => say!("left open"),
            Self::Outline => say!("joined where the outline is missing"),
            Self::Always => say!("joined wherever that closes a contour"),
        }
    }
}

fn sides_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let wanted = AtSides::of(&view.file.wanted);
    ui.horizontal_wrapped(|ui| {
        soft(ui, say!("ends on the side of another curve"));
        choice(ui, say!("Ends on the side of another curve"), wanted.words(), BODY, |ui| {
            for other in AtSides::ALL {
                if ui.selectable_label(wanted == other, other.words()).clicked() {
                    again(view, actions, |o| {
                        o.join_at_sides = other == AtSides::Always;
                        o.outline_at_sides = other != AtSides::Never;
                    });
                    ui.close();
                }
            }
        })
        .on_hover_text(
            say!("Where a curve ends on the side of another open one, that one is cut there and both are \
             joined, if that closes a contour; the outer boundary counts."),
        );
    });
}

/// One name to switch in or out of the cut; whether it was.
fn switch(ui: &mut Ui, excluded: bool, enabled: bool, text: &str) -> bool {
    let mut counts = !excluded;
    let words = RichText::new(text).size(SMALL + 0.5);
    ui.add_enabled(enabled, Checkbox::new(&mut counts, words))
        .changed()
}

fn toggle<T: Ord>(set: &mut BTreeSet<T>, key: T) {
    if !set.remove(&key) {
        set.insert(key);
    }
}

fn layers_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let excluded = &view.file.wanted.excluded_layers;
    let layers = view.file.drawing.layers.iter();
    let layers: Vec<_> = layers.filter(|l| l.curves > 0).take(MOST).collect();
    if layers.len() < 2 {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        soft(ui, say!("Layers"));
        for layer in layers {
            let text = if layer.visible {
                layer.name.to_string()
            } else {
                say!("{} (hidden)", layer.name)
            };
            if switch(ui, excluded.contains(&*layer.name), layer.visible, &text) {
                again(view, actions, |o| {
                    toggle(&mut o.excluded_layers, layer.name.to_string());
                });
            }
        }
    });
}

fn colours_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let excluded = &view.file.wanted.excluded_colours;
    let colours = &view.file.drawing.colours;
    if colours.len() < 2 {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        soft(ui, say!("Colours"));
        for (&colour, &curves) in colours.iter().take(MOST) {
            let text = format!("{} ({curves})", colour_words(colour));
            if switch(ui, excluded.contains(&colour), true, &text) {
                again(view, actions, |o| toggle(&mut o.excluded_colours, colour));
            }
        }
    });
}
