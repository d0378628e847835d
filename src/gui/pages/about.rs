//! What this program is: version, where the shop's files are, and whose work it is built of.

use crate::gui::app::shop_folder;
use crate::gui::theme::{BODY, SMALL, strong, tokens};
use crate::gui::version::version;
use egui::{CollapsingHeader, Label, RichText, ScrollArea, TextStyle, TextWrapMode, Ui};
use std::sync::LazyLock;

/// Names, versions, licences and texts of the libraries that the program is built of.
const LICENCES: &str = include_str!("../../../assets/licences.txt");

/// Version, folder, licences.
pub fn about_ui(ui: &mut Ui) {
    let t = tokens(ui);
    ui.label(strong(say!("Kerfcast {}", version()), BODY + 1.0));
    let system = format!("{} {}", std::env::consts::OS, std::env::consts::ARCH);
    ui.label(RichText::new(system).size(SMALL).color(t.text_soft));
    ui.add_space(4.0);
    let about = say!(
        "How long a wire EDM job runs, how much wire it uses and what it costs. An estimate is a planning aid and no \
                 machine setting: what the machine's maker says in its manual, local codes and licensed practice come first."
    );
    ui.add(Label::new(about).wrap());
    ui.add_space(10.0);
    ui.label(strong(say!("Your shop's files"), BODY));
    match shop_folder() {
        None => {
            let none = say!(
                "There is no folder for them: this system names no home folder. What you change is not kept."
            );
            ui.add(Label::new(none).wrap());
        }
        Some(folder) => {
            ui.add(
                Label::new(folder.display().to_string())
                    .wrap()
                    .selectable(true),
            );
            if ui.button(say!("Open that folder")).clicked() {
                // It may not be there before anything was saved; and without a file manager nothing opens.
                let _ =
                    std::fs::create_dir_all(&folder).and_then(|()| open::that_detached(&folder));
            }
        }
    }
    ui.add_space(10.0);
    ui.label(strong(say!("Licence"), BODY));
    ui.label(say!("MIT or Apache-2.0, at your choice."));
    ui.add_space(4.0);
    CollapsingHeader::new(say!("Libraries and fonts by others"))
        .default_open(false)
        .show(ui, licences_ui);
}

/// Its lines, found once.
static LINES: LazyLock<Vec<&str>> = LazyLock::new(|| LICENCES.lines().collect());

/// Thousands of lines, of which only those in view are laid out.
fn licences_ui(ui: &mut Ui) {
    let font = say!(
        "IBM Plex Sans (SIL Open Font License 1.1), in printed pages DejaVu Sans for scripts that it lacks, and the \
                toolkit's own fonts, each under its open licence."
    );
    ui.add(Label::new(font).wrap());
    let lines = &*LINES;
    let height = ui.text_style_height(&TextStyle::Small);
    ScrollArea::both()
        .id_salt("licences")
        .auto_shrink([false, false])
        .show_rows(ui, height, lines.len(), |ui, rows| {
            ui.style_mut().wrap_mode = Some(TextWrapMode::Extend);
            for line in &lines[rows] {
                ui.label(RichText::new(*line).text_style(TextStyle::Small));
            }
        });
}
