//! Headings and remarks of the page of finished cuts.

use crate::gui::theme::{SMALL, strong, tokens};
use egui::{Label, RichText, Ui};

/// A remark over the full width.
pub fn remark(ui: &mut Ui, text: &str) {
    let colour = tokens(ui).text_faint;
    ui.add(Label::new(RichText::new(text).size(SMALL).color(colour)).wrap());
}

/// A heading within the page.
pub fn heading(ui: &mut Ui, text: &str) {
    let colour = tokens(ui).text;
    ui.label(strong(text, 13.5).color(colour));
}
