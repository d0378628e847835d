//! The right-hand side of the window: one page at a time, each in a folder of its own.

pub mod about;
pub mod cautions;
pub mod changes;
pub mod compare;
pub mod contour;
pub mod cuts;
pub mod enquiry;
pub mod findings;
pub mod guide;
pub mod library;
pub mod limits;
pub mod night;
pub mod plan;
pub mod quantities;
pub mod quote;
pub mod shop;
pub mod steps;
pub mod together;
pub mod variants;
pub mod what_if;
pub mod why;
pub mod worth;

use crate::gui::commands::Command;
use crate::gui::page::Page;
use crate::gui::state::{Action, View};
use crate::gui::theme::{strong, tokens};
use egui::{Align, Button, Layout, RichText, Ui};

/// The page that is open, under its title.
pub fn page_ui(ui: &mut Ui, page: Page, view: &View<'_>, actions: &mut Vec<Action>) {
    head_ui(ui, page, view.back, actions);
    contents_ui(ui, page, view, actions);
}

/// A page that is of no drawing; nothing of any other.
pub fn own_page_ui(ui: &mut Ui, page: Page, back: Option<Page>, actions: &mut Vec<Action>) {
    head_ui(ui, page, back, actions);
    own_contents_ui(ui, page);
}

fn own_contents_ui(ui: &mut Ui, page: Page) {
    match page {
        Page::Guide => guide::guide_ui(ui),
        Page::About => about::about_ui(ui),
        _ => {}
    }
}

/// Its name, the way back, and what closes it.
fn head_ui(ui: &mut Ui, page: Page, back: Option<Page>, actions: &mut Vec<Action>) {
    let command = Command::Page(page);
    ui.horizontal(|ui| {
        if let Some(before) = back {
            let text = RichText::new(format!("‹ {}", before.about().0));
            let button = ui.add(Button::new(text).frame(false));
            let keys = Command::PageBack.shortcut();
            let keys = keys
                .map(|k| ui.ctx().format_shortcut(&k))
                .unwrap_or_default();
            if button
                .on_hover_text(format!("{} ({keys})", Command::PageBack.tooltip()))
                .accessible_name(say!("back to {}", before.about().0))
                .clicked()
            {
                actions.push(Action::Run(Command::PageBack));
            }
        }
        let colour = tokens(ui).text;
        ui.label(strong(command.text(), 15.0).color(colour));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.add_space(8.0);
            let button = Button::new(RichText::new("×")).frame(false);
            if ui
                .add(button)
                .on_hover_text(say!("close this page (Esc)"))
                .accessible_name(say!("close the panel"))
                .clicked()
            {
                actions.push(Action::Run(command));
            }
        });
    });
    ui.add_space(2.0);
}

fn contents_ui(ui: &mut Ui, page: Page, view: &View<'_>, actions: &mut Vec<Action>) {
    match page {
        // They lie in the middle of the window.
        Page::Enquiry | Page::Quote => {}
        Page::Why => why::why_ui(ui, view, actions),
        Page::Steps => steps::steps_ui(ui, view, actions),
        Page::Contour => contour::contour_page_ui(ui, view, actions),
        Page::Limits => limits::limits_ui(ui, view, actions),
        Page::Night => night::night_ui(ui, view, actions),
        Page::Findings => findings::findings_ui(ui, view, actions),
        Page::Shop => shop::shop_ui(ui, view, actions),
        Page::Cautions => cautions::cautions_ui(ui, view, actions),
        Page::Compare => compare::compare_ui(ui, view, actions),
        Page::Variants => variants::variants_ui(ui, view, actions),
        Page::Cuts => cuts::cuts_ui(ui, view, actions),
        Page::Library => library::library_ui(ui, view, actions),
        Page::Quantities => quantities::quantities_ui(ui, view, actions),
        Page::Plan => plan::plan_ui(ui, view, actions),
        Page::Worth => worth::worth_ui(ui, view, actions),
        Page::Guide | Page::About => own_contents_ui(ui, page),
        Page::WhatIf => what_if::what_if_ui(ui, view, actions),
    }
}
