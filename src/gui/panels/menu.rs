//! The slim line on top: menu, open drawings, and what opens on the right.

use crate::gui::commands::Command;
use crate::gui::page::Page;
use crate::gui::pages::{cautions, findings};
use crate::gui::state::{Action, View};
use crate::gui::theme::{Tokens, strong_family, tokens};
use crate::gui::widgets::shortened;
use crate::language::{Language, said};
use crate::samples;
use crate::words::changes::change;
use egui::{Align, Button, Layout, Popup, RichText, ScrollArea, Ui};
use std::path::PathBuf;

/// A button for a command, with its keys.
fn command_button(
    ui: &mut Ui,
    command: Command,
    view: Option<&View<'_>>,
    actions: &mut Vec<Action>,
) {
    let said = match view.map(|v| step_words(v, command)) {
        Some(words) if !words.is_empty() => format!("{}: {words}", command.text()),
        _ => command.text().to_owned(),
    };
    let mut button = Button::new(said);
    if let Some(keys) = command.keys() {
        button = button.shortcut_text(keys);
    }
    if ui.add(button).on_hover_text(command.tooltip()).clicked() {
        actions.push(Action::Run(command));
        ui.close();
    }
}

/// What the line on top says of the enquiry and its job file.
pub struct JobFiles<'a> {
    /// Items on the desk.
    pub items: usize,
    /// The page that lies in the middle of the window, if one does.
    pub open: Option<Page>,
    /// Job files opened or saved, the latest first.
    pub recent: &'a [PathBuf],
    /// The language of the shop, where it has said so.
    pub language: Option<Language>,
}

/// Both languages by their own names, and that of the system.
fn languages_ui(ui: &mut Ui, chosen: Option<Language>, actions: &mut Vec<Action>) {
    ui.menu_button(say!("Language"), |ui| {
        let all = Language::ALL.map(Some).into_iter().chain([None]);
        for language in all {
            let text = language.map_or(say!("as the system"), Language::name);
            if ui.radio(chosen == language, text).clicked() {
                actions.push(Action::Language(language));
                ui.close();
            }
        }
    });
}

/// Everything of the menu.
fn all_ui(ui: &mut Ui, view: Option<&View<'_>>, job: &JobFiles<'_>, actions: &mut Vec<Action>) {
    command_button(ui, Command::Open, view, actions);
    command_button(ui, Command::OpenPath, view, actions);
    command_button(ui, Command::SaveJob, view, actions);
    command_button(ui, Command::SaveJobAs, view, actions);
    ui.add_enabled_ui(!job.recent.is_empty(), |ui| {
        ui.menu_button(say!("Recent job files"), |ui| {
            for path in job.recent {
                let name = path.file_name().unwrap_or(path.as_os_str());
                let button = ui.button(name.to_string_lossy());
                if button.on_hover_text(path.display().to_string()).clicked() {
                    actions.push(Action::OpenPath(path.clone()));
                    ui.close();
                }
            }
        });
    });
    command_button(ui, Command::SaveReport, view, actions);
    ui.menu_button(say!("Export"), |ui| {
        command_button(ui, Command::Export, view, actions);
        command_button(ui, Command::ExportPaths, view, actions);
        command_button(ui, Command::SaveHoles, view, actions);
        command_button(ui, Command::ExportPicture, view, actions);
        command_button(ui, Command::CopyWires, view, actions);
    });
    ui.menu_button(say!("Sample drawings"), |ui| {
        for (k, sample) in samples::ALL.iter().enumerate() {
            if ui
                .button(said(sample.title))
                .on_hover_text(sample.name)
                .clicked()
            {
                actions.push(Action::OpenSample(k));
                ui.close();
            }
        }
    });
    let groups = |ui: &mut Ui, groups: &[&[Command]], actions: &mut Vec<Action>| {
        for group in groups {
            ui.separator();
            for command in *group {
                command_button(ui, *command, view, actions);
            }
        }
    };
    groups(
        ui,
        &[
            &[
                Command::Reload,
                Command::CompareChanged,
                Command::Close,
                Command::Reopen,
                Command::NextDrawing,
            ],
            &[Command::Undo, Command::Redo],
            &[Command::SwitchUnits],
        ],
        actions,
    );
    languages_ui(ui, job.language, actions);
    ui.menu_button(say!("View"), |ui| {
        for command in [
            Command::Fit,
            Command::ShowSkims,
            Command::ShowNotes,
            Command::ShadeFeed,
            Command::Play,
            Command::WholePath,
        ] {
            command_button(ui, command, view, actions);
        }
        groups(
            ui,
            &[
                &[
                    Command::Contours,
                    Command::Legend,
                    Command::FoldWires,
                    Command::PageBack,
                    Command::ClosePage,
                ],
                &[Command::SwitchTheme, Command::SystemTheme],
            ],
            actions,
        );
    });
    groups(
        ui,
        &[
            &[Command::Palette, Command::Keys],
            &[
                Command::Page(Page::Guide),
                Command::Page(Page::About),
                Command::Quit,
            ],
        ],
        actions,
    );
}

/// What undo would take back, or redo make again.
fn step_words(view: &View<'_>, command: Command) -> String {
    let file = view.file;
    let back = match command {
        Command::Undo => true,
        Command::Redo => false,
        _ => return String::new(),
    };
    let Some(other) = file.undo.beside(back) else {
        return String::new();
    };
    let (from, to) = if back {
        (&other.job, &file.job)
    } else {
        (&file.job, &other.job)
    };
    let words = change(from, to, view.style);
    if words.is_empty() && other.options != file.wanted {
        return say!("how the drawing is read").to_owned();
    }
    words
}

/// The line on top.
pub fn menu_ui(
    ui: &mut Ui,
    view: Option<&View<'_>>,
    files: &[(u64, String)],
    job: &JobFiles<'_>,
    actions: &mut Vec<Action>,
) {
    ui.horizontal(|ui| {
        ui.menu_button(say!("Menu"), |ui| {
            ui.set_min_width(250.0);
            // In a low window the end of it is scrolled to.
            let room = ui.ctx().content_rect().height() - 24.0;
            ScrollArea::vertical()
                .max_height(room)
                .min_scrolled_height(room)
                .show(ui, |ui| all_ui(ui, view, job, actions));
        });
        if ui
            .button(Command::Open.text())
            .on_hover_text(Command::Open.tooltip())
            .clicked()
        {
            actions.push(Action::Run(Command::Open));
        }
        enquiry_ui(ui, job, actions);
        quote_ui(ui, job, actions);
        if let Some(view) = view {
            file_ui(ui, view, files, actions);
            // The pages take what is left, from the right; those that find no room share one button.
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                ui.spacing_mut().item_spacing.x = 2.0;
                tabs_ui(ui, view, actions);
            });
        }
    });
}

/// The way to the enquiry, with how many items it has.
fn enquiry_ui(ui: &mut Ui, job: &JobFiles<'_>, actions: &mut Vec<Action>) {
    let command = Command::Page(Page::Enquiry);
    let text = match job.items {
        0 | 1 => command.text().to_owned(),
        n => format!("{} {n}", command.text()),
    };
    let response = ui.add(tab(text, job.open == Some(Page::Enquiry), tokens(ui)));
    if response
        .on_hover_text(hint(command))
        .accessible_name(command.text())
        .clicked()
    {
        actions.push(Action::Run(command));
    }
}

/// The way to the quote.
fn quote_ui(ui: &mut Ui, job: &JobFiles<'_>, actions: &mut Vec<Action>) {
    let command = Command::Page(Page::Quote);
    let is_open = job.open == Some(Page::Quote);
    let response = ui.add(tab(command.text(), is_open, tokens(ui)));
    if response.on_hover_text(hint(command)).clicked() {
        actions.push(Action::Run(command));
    }
}

/// The drawing in front, and the way to the others.
fn file_ui(ui: &mut Ui, view: &View<'_>, files: &[(u64, String)], actions: &mut Vec<Action>) {
    let front = view.file.id;
    let most = (ui.available_width() / 26.0).clamp(14.0, 44.0) as usize;
    let name = shortened(&view.file.name, most);
    let place = files.iter().position(|(id, _)| *id == front).unwrap_or(0) + 1;
    let text = match files.len() {
        0 | 1 if view.file.is_sample() => say!("{name}, a sample"),
        0 | 1 => name,
        n => say!("{name} ▾  {place} of {n}"),
    };
    if files.len() < 2 {
        ui.add(egui::Label::new(
            RichText::new(text).color(tokens(ui).text_soft),
        ))
        .on_hover_text(&view.file.name);
        return;
    }
    let button = ui
        .add(Button::new(text))
        .accessible_name(say!("Open drawings"))
        .on_hover_text(hint(Command::NextDrawing));
    Popup::menu(&button).show(|ui| {
        ui.set_min_width(260.0);
        egui::ScrollArea::vertical()
            .max_height(420.0)
            .show(ui, |ui| {
                for (id, name) in files {
                    ui.push_id(id, |ui| {
                        ui.horizontal(|ui| {
                            let close = Button::new("×").frame(false);
                            let shut = ui
                                .add(close)
                                .on_hover_text(Command::Close.tooltip())
                                .accessible_name(say!("close {name}"));
                            if shut.clicked() {
                                actions.push(Action::CloseFile(*id));
                            }
                            let open = tab(name.as_str(), front == *id, tokens(ui));
                            if ui.add(open).clicked() {
                                actions.push(Action::SwitchTo(*id));
                                ui.close();
                            }
                        });
                    });
                }
            });
    });
}

/// Pages that belong to the shop and not to the drawing in front; they share one button.
const OF_THE_SHOP: [Page; 3] = [Page::Shop, Page::Library, Page::Cuts];

/// Pages in the order in which a narrow window keeps them: what gives the answer first.
const FIRST: [Page; 13] = [
    Page::Findings,
    Page::Why,
    Page::Night,
    Page::WhatIf,
    Page::Quantities,
    Page::Plan,
    Page::Contour,
    Page::Steps,
    Page::Worth,
    Page::Compare,
    Page::Variants,
    Page::Limits,
    Page::Cautions,
];

fn tabs_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    // Two drawings can be compared when there are two.
    let is_there =
        |page: &Page| *page != Page::Compare || view.files.len() > 1 || view.page == Some(*page);
    let wide = |ui: &Ui, text: &str| {
        let font = egui::TextStyle::Button.resolve(ui.style());
        let colour = tokens(ui).text;
        let galley = ui.painter().layout_no_wrap(text.to_owned(), font, colour);
        galley.size().x + 2.0 * ui.spacing().button_padding.x + ui.spacing().item_spacing.x + 2.0
    };
    let mut room = ui.available_width() - wide(ui, say!("Shop !")) - wide(ui, say!("More ▾"));
    let mut shown = Vec::new();
    // Whatever is open has its tab.
    let open = view.page.filter(|p| FIRST.contains(p));
    let rest = FIRST.into_iter().filter(|p| Some(*p) != open);
    for page in open.into_iter().chain(rest).filter(|p| is_there(p)) {
        let need = wide(ui, &tab_words(page, view).0);
        if need > room {
            room = 0.0;
            continue;
        }
        room -= need;
        shown.push(page);
    }
    // Laid out from the right.
    shop_tab_ui(ui, view, actions);
    let of_the_drawing = || {
        let pages = Page::ALL.into_iter().filter(|p| FIRST.contains(p));
        pages.filter(|p| is_there(p))
    };
    let hidden: Vec<Page> = of_the_drawing().filter(|p| !shown.contains(p)).collect();
    if !hidden.is_empty() {
        more_ui(ui, &hidden, view, actions);
    }
    for page in of_the_drawing().rev().filter(|p| shown.contains(p)) {
        let (text, _) = tab_words(page, view);
        let command = Command::Page(page);
        let response = ui.add(tab(text, view.page == Some(page), tokens(ui)));
        if response
            .on_hover_text(hint(command))
            .accessible_name(command.text())
            .clicked()
        {
            actions.push(Action::Run(command));
        }
    }
}

/// The pages that find no room on the line.
fn more_ui(ui: &mut Ui, pages: &[Page], view: &View<'_>, actions: &mut Vec<Action>) {
    let button = ui
        .add(Button::new(say!("More ▾")))
        .accessible_name(say!("More pages"));
    Popup::menu(&button).show(|ui| pages_ui(ui, pages, view, actions));
}

/// Pages one under the other, with their keys.
fn pages_ui(ui: &mut Ui, pages: &[Page], view: &View<'_>, actions: &mut Vec<Action>) {
    ui.set_min_width(170.0);
    for page in pages {
        let command = Command::Page(*page);
        let text = tab_words(*page, view).0;
        let mut button = tab(text, view.page == Some(*page), tokens(ui));
        if let Some(keys) = command.keys() {
            button = button.shortcut_text(keys);
        }
        let response = ui
            .add(button)
            .on_hover_text(command.tooltip())
            .accessible_name(command.text());
        if response.clicked() {
            actions.push(Action::Run(command));
            ui.close();
        }
    }
}

/// One button for the shop's own figures.
fn shop_tab_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let wrong = OF_THE_SHOP.into_iter().any(|page| tab_words(page, view).1);
    let open = view.page.is_some_and(|page| OF_THE_SHOP.contains(&page));
    let text = if wrong { say!("Shop !") } else { say!("Shop") };
    let button = ui
        .add(tab(text, open, tokens(ui)))
        .accessible_name(say!("Shop"))
        .on_hover_text(say!(
            "The shop's own: its rates, its library, its finished cuts"
        ));
    Popup::menu(&button).show(|ui| pages_ui(ui, &OF_THE_SHOP, view, actions));
}

/// A button of something that may be open. What is open is neutral: amber is for what can be changed.
fn tab<'a>(text: impl Into<String>, open: bool, t: &Tokens) -> Button<'a> {
    if open {
        let text = RichText::new(text).family(strong_family());
        Button::new(text.color(t.text)).selected(true).fill(t.edge)
    } else {
        Button::new(RichText::new(text))
    }
}

/// A page's name, marked where it wants a look; and whether it does.
fn tab_words(page: Page, view: &View<'_>) -> (String, bool) {
    let name = Command::Page(page).text();
    match page {
        Page::Findings => match finding_count(view) {
            0 => (name.to_owned(), false),
            n => (format!("{name} {n}"), true),
        },
        Page::Cautions
            if cautions::material_caution(view).is_some() || cautions::slugs::may_fall(view) =>
        {
            (format!("{name} !"), true)
        }
        Page::Library if !view.own.wrong().is_empty() => (format!("{name} !"), true),
        _ => (name.to_owned(), false),
    }
}

/// What a command does, with its keys.
fn hint(command: Command) -> String {
    match command.keys() {
        Some(keys) => format!("{} ({keys})", command.tooltip()),
        None => command.tooltip().to_owned(),
    }
}

/// How many things want a look: import findings and the shown wire's obstacles.
fn finding_count(view: &View<'_>) -> usize {
    let obstacles = view.file.shown_estimate().map_or(0, |e| e.obstacles.len());
    findings::wanting(&view.file.drawing) + obstacles
}
