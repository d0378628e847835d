//! What every part of the library's page does alike: asks for a change, and remarks on something.

use crate::gui::own_library::LibraryAction;
use crate::gui::state::Action;
use crate::gui::theme::{SMALL, tokens};
use egui::{Label, RichText, Ui};

/// A remark over the full width.
pub fn remark(ui: &mut Ui, text: &str) {
    let colour = tokens(ui).text_faint;
    ui.add(Label::new(RichText::new(text).size(SMALL).color(colour)).wrap());
}

/// Asks for a change of the library, or of what the page shows.
pub fn ask(actions: &mut Vec<Action>, action: LibraryAction) {
    actions.push(Action::Library(action));
}
