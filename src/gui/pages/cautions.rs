//! What to watch for. Quiet, but always at hand.

pub mod slugs;

use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, strong, tokens};
use crate::language::said;
use crate::library::Caution;
use crate::words::cautions::{
    ALWAYS, CautionText, PLANNING_AID, SLUGS, WHAT_COMES_FIRST, of_material,
};
use egui::{Color32, Label, RichText, ScrollArea, Ui};

/// Material, pieces that come loose, the live wire, and what an estimate is.
pub fn cautions_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    ScrollArea::both()
        .id_salt("cautions")
        .auto_shrink([false, false])
        .show(ui, |ui| caution_list_ui(ui, view, actions));
}

fn caution_list_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let part = |ui: &mut Ui, title: &str, text: &str, colour: Color32| {
        ui.label(strong(title, BODY).color(colour));
        ui.add(Label::new(RichText::new(text).size(BODY - 0.5)).wrap());
        ui.add_space(6.0);
    };
    if let Some(caution) = material_caution(view) {
        let CautionText { title, text } = of_material(caution);
        let title = format!("{title}, {}", said(&view.file.job.material));
        part(ui, &title, text, t.warn);
    }
    let slugs = SLUGS.spoken();
    part(ui, slugs.title, slugs.text, t.text);
    slugs::slugs_ui(ui, view, actions);
    ui.add_space(6.0);
    for caution in ALWAYS.map(CautionText::spoken) {
        part(ui, caution.title, caution.text, t.text);
    }
    let aid = PLANNING_AID.spoken();
    part(ui, aid.title, aid.text, t.text);
    let first = RichText::new(said(WHAT_COMES_FIRST)).size(SMALL);
    ui.add(Label::new(first.color(t.text_soft)).wrap());
}

/// What the material of the job warns about.
pub fn material_caution(view: &View<'_>) -> Option<Caution> {
    view.library.material(&view.file.job.material)?.caution
}
