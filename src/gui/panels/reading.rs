//! How the drawing is read: its unit, the gap that is joined, the layers that count.

use crate::drawing::{ReadOptions, Unit, UnitChoice};
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, tokens};
use crate::gui::widgets::{NumberField, choice};
use crate::units::Length;
use egui::{Label, RichText, Ui};

/// Widest gap that may be joined: beyond it, ends that belong to different curves would meet.
const WIDEST_GAP: Length = Length::from_mm(5.0);

/// Unit, join gap and layers; a change reads the drawing again and keeps the job.
pub fn reading_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let drawing = &view.file.drawing;
    let options = &view.file.reading.options;
    let again = |actions: &mut Vec<Action>, change: &dyn Fn(&mut ReadOptions)| {
        let mut new = options.clone();
        change(&mut new);
        if new != *options {
            actions.push(Action::Reread(Box::new(new)));
        }
    };
    let word = |text: &str| RichText::new(text).color(t.text_soft);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 5.0;
        ui.label(word("Drawn in"));
        let shown = match options.units {
            UnitChoice::Auto => format!(
                "{}, {}",
                drawing.units.used.sign(),
                drawing.units.from.word()
            ),
            UnitChoice::Fixed(unit) => unit.sign().to_owned(),
        };
        choice(ui, "Unit of the drawing", &shown, BODY, |ui| {
            let auto = options.units == UnitChoice::Auto;
            if ui.selectable_label(auto, "as the file says").clicked() {
                again(actions, &|o| o.units = UnitChoice::Auto);
                ui.close();
            }
            for unit in Unit::ALL {
                let chosen = options.units == UnitChoice::Fixed(unit);
                if ui.selectable_label(chosen, unit.sign()).clicked() {
                    again(actions, &|o| o.units = UnitChoice::Fixed(unit));
                    ui.close();
                }
            }
        })
        .on_hover_text(&drawing.units.reason);
        ui.label(word("ends joined up to"));
        let gap = view.system.typed_length(options.join_gap);
        let entry = NumberField::new("Join gap", gap).show(ui);
        if let Some(typed) = entry.typed {
            match view.system.parse_length(&typed) {
                Ok(gap) if gap >= Length::ZERO && gap <= WIDEST_GAP => {
                    again(actions, &|o| o.join_gap = gap);
                }
                Ok(_) => actions.push(Action::Refuse(format!(
                    "A gap of {} is not joined. Enter a gap between 0 and {}.",
                    typed.trim(),
                    view.system.typed_length(WIDEST_GAP)
                ))),
                Err(message) => actions.push(Action::Refuse(message)),
            }
        }
    });
    super::proposals::proposals_ui(ui, view, actions);
    let layers: Vec<_> = drawing.layers.iter().filter(|l| l.curves > 0).collect();
    if layers.len() < 2 {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        ui.label(word("Layers"));
        for layer in layers {
            let mut counts = !options.excluded_layers.contains(&*layer.name);
            let name = if layer.visible {
                layer.name.to_string()
            } else {
                format!("{} (hidden)", layer.name)
            };
            let response = ui.add_enabled(
                layer.visible,
                egui::Checkbox::new(&mut counts, RichText::new(&name).size(SMALL + 0.5)),
            );
            if response.changed() {
                again(actions, &|o| {
                    if counts {
                        o.excluded_layers.remove(&*layer.name);
                    } else {
                        o.excluded_layers.insert(layer.name.to_string());
                    }
                });
            }
        }
    });
    ui.add(
        Label::new(
            RichText::new(&drawing.units.reason)
                .size(SMALL)
                .color(t.text_faint),
        )
        .wrap(),
    );
}
