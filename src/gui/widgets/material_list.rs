//! The library's materials as a list that is searched by name or designation.

use super::search_list::{Item, search_list};
use crate::language::said;
use crate::library::Library;
use egui::Ui;

/// Room for a name and the designations beside it, points.
const WIDTH: f32 = 430.0;

/// The name of the material that was chosen now; `chosen` is the one that is.
pub fn material_list(ui: &mut Ui, library: &Library, chosen: &str) -> Option<String> {
    ui.set_min_width(WIDTH);
    let materials = &library.materials;
    let called: Vec<String> = materials
        .iter()
        .map(|m| m.designations.join(" / "))
        .collect();
    let items: Vec<Item<'_>> = materials
        .iter()
        .zip(&called)
        .map(|(m, aside)| Item {
            name: said(&m.name),
            aside,
            label: said(&m.name).to_owned(),
            chosen: chosen == m.name,
            enabled: true,
        })
        .collect();
    let hint = say!("name or designation, such as 1.2379 or D2");
    let found = search_list(ui, say!("Find a material"), hint, &items)?;
    Some(materials[found].name.clone())
}
