//! Pieces that come loose: their mass, and what to beware of.

use crate::estimate::{Slug, SlugCaution};
use crate::gui::format::number;
use crate::gui::state::{Action, Target, View};
use crate::gui::theme::{BODY, SMALL, tokens};
use crate::units::Area;
use egui::{Label, RichText, Sense, Ui};

/// Most slugs listed one by one.
const MOST: usize = 60;

/// Every slug of the wire shown, those with a caution first.
pub fn slugs_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let Some(f) = view.file.shown_estimate().and_then(|e| e.figures.as_ref()) else {
        return;
    };
    let mut slugs: Vec<&Slug> = f.slugs.iter().collect();
    slugs.sort_by(|a, b| {
        let wants = |s: &Slug| s.caution.is_none();
        wants(a)
            .cmp(&wants(b))
            .then(b.mass.kg().total_cmp(&a.mass.kg()))
    });
    for s in slugs.iter().take(MOST) {
        slug_ui(ui, s, view, actions);
    }
    if slugs.len() > MOST {
        ui.weak(format!("and {} more", slugs.len() - MOST));
    }
}

/// How many slugs want care.
pub fn wanting_care(view: &View<'_>) -> usize {
    let figures = view.file.shown_estimate().and_then(|e| e.figures.as_ref());
    figures.map_or(0, |f| {
        f.slugs.iter().filter(|s| s.caution.is_some()).count()
    })
}

fn caution_word(caution: Option<SlugCaution>) -> &'static str {
    match caution {
        Some(SlugCaution::MayFall) => "may fall",
        Some(SlugCaution::MayJam) => "may jam",
        None => "",
    }
}

/// Mass and size of one slug, and its caution in full.
pub fn slug_ui(ui: &mut Ui, slug: &Slug, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let i = slug.contour;
    ui.push_id(("slug", i), |ui| {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing.x = 6.0;
            let name = RichText::new(format!("slug of opening {}", i + 1)).color(t.text);
            if ui.add(Label::new(name).sense(Sense::click())).clicked() {
                actions.push(Action::Select(Some(Target::Contour(i))));
            }
            let text = if slug.area > Area::ZERO {
                format!(
                    "{}, {} long",
                    mass(slug, view),
                    view.system.length(slug.size)
                )
            } else {
                "nothing is left of it: the kerf takes it all".to_owned()
            };
            ui.label(RichText::new(text).size(BODY - 0.5).color(t.text_soft));
            let word = caution_word(slug.caution);
            if !word.is_empty() {
                ui.label(RichText::new(word).size(BODY - 0.5).color(t.warn));
            }
        });
        if let Some(caution) = slug.caution {
            let text = RichText::new(caution.words())
                .size(SMALL)
                .color(t.text_soft);
            ui.add(Label::new(text).wrap());
        }
    });
}

/// Small slugs in grams or ounces.
fn mass(slug: &Slug, view: &View<'_>) -> String {
    use crate::gui::format::System;
    const OUNCES_PER_KG: f64 = 35.273_961_95;
    let kg = slug.mass.kg();
    match view.system {
        System::Metric if kg < 0.1 => {
            format!("{}\u{202f}g", number(kg * 1000.0, usize::from(kg < 0.01)))
        }
        System::Inch if kg * OUNCES_PER_KG < 8.0 => {
            format!("{}\u{202f}oz", number(kg * OUNCES_PER_KG, 2))
        }
        _ => view.system.mass(slug.mass),
    }
}
