//! The right-hand side of the window: one page at a time, each in a folder of its own.

pub mod cautions;
pub mod compare;
pub mod contour;
pub mod cuts;
pub mod findings;
pub mod library;
pub mod limits;
pub mod night;
pub mod shop;
pub mod steps;
pub mod what_if;
pub mod why;

use crate::gui::commands::Command;
use crate::gui::state::{Action, Side, View};
use crate::gui::theme::strong;
use egui::{Align, Button, Layout, RichText, Ui};

/// The page that is open, under its title.
pub fn page_ui(ui: &mut Ui, side: Side, view: &View<'_>, actions: &mut Vec<Action>) {
    let command = side.command();
    ui.horizontal(|ui| {
        ui.label(strong(command.text(), 15.0));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let button = Button::new(RichText::new("×")).frame(false);
            if ui
                .add(button)
                .on_hover_text("close this panel")
                .accessible_name("close the panel")
                .clicked()
            {
                actions.push(Action::Run(command));
            }
        });
    });
    ui.add_space(2.0);
    match side {
        Side::Why => why::why_ui(ui, view, actions),
        Side::Steps => steps::steps_ui(ui, view, actions),
        Side::Contour => contour::contour_page_ui(ui, view, actions),
        Side::Limits => limits::limits_ui(ui, view, actions),
        Side::Unattended => night::night_ui(ui, view, actions),
        Side::Findings => findings::findings_ui(ui, view, actions),
        Side::Shop => shop::shop_ui(ui, view, actions),
        Side::Cautions => cautions::cautions_ui(ui, view, actions),
        Side::Variants => compare::compare_ui(ui, view, actions),
        Side::Cuts => cuts::cuts_ui(ui, view, actions),
        Side::Library => library::library_ui(ui, view, actions),
        Side::Sweeps => what_if::what_if_ui(ui, view, actions),
    }
}

/// The command that toggles a page belongs to the page.
pub fn toggled(side: Option<Side>, command: Command) -> Option<Option<Side>> {
    let page = Side::ALL.into_iter().find(|s| s.command() == command)?;
    Some(if side == Some(page) { None } else { Some(page) })
}
