//! What can be decided for a contour where it lies: the menu of a right click, in drawing and list.

use crate::gui::canvas::{Grip, Kind, reset};
use crate::gui::commands::Command;
use crate::gui::open_file::Target;
use crate::gui::page::Page;
use crate::gui::pages::contour::edited;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, strong, tokens};
use crate::job::{ContourChoice, Waste, chain_key, contour_key, passes_words};
use crate::profile::Role;
use egui::{RichText, Ui};

/// The entries for a start hole or join, and for the contour under the pointer.
pub fn menu_ui(
    ui: &mut Ui,
    grip: Option<Grip>,
    target: Option<Target>,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    ui.set_min_width(210.0);
    if let Some(grip) = grip {
        let text = match grip.kind {
            Kind::Hole => say!("Leave the start hole to the program"),
            Kind::Join => say!("Leave the entry point to the program"),
        };
        let contour = view.file.profile.contours().get(grip.contour);
        let by_hand = contour.is_some_and(|c| {
            let choice = view.file.job.choice(contour_key(c));
            match grip.kind {
                Kind::Hole => choice.hole.is_some(),
                Kind::Join => choice.join.is_some(),
            }
        });
        if ui.add_enabled(by_hand, egui::Button::new(text)).clicked() {
            actions.extend(reset(view.file, grip));
            ui.close();
        }
        ui.separator();
    }
    match target {
        Some(Target::Contour(i)) if i < view.file.profile.contours().len() => {
            contour_ui(ui, i, view, actions);
        }
        Some(Target::Open(i)) if i < view.file.profile.open().len() => {
            let key = chain_key(&view.file.profile.open()[i]);
            let mut on_line = view.file.job.choice(key).on_line;
            if ui.checkbox(&mut on_line, say!("Cut on the line")).changed() {
                actions.push(edited(view, key, |c| c.on_line = on_line));
                ui.close();
            }
        }
        _ => {
            if ui.button(Command::Fit.text()).clicked() {
                actions.push(Action::Run(Command::Fit));
                ui.close();
            }
        }
    }
}

/// A contour of another part than the one that is cut.
fn other_part_ui(ui: &mut Ui, i: usize, view: &View<'_>, actions: &mut Vec<Action>) {
    let file = view.file;
    let parts = &file.drawing.parts;
    let own = parts.iter().position(|p| p.contours.contains(&i));
    let part = own.map(|k| (say!("Estimate part {} instead", k + 1), Some(&parts[k])));
    let together = (say!("Estimate all parts together").to_owned(), None);
    for (text, part) in part.into_iter().chain([together]) {
        if ui.button(text).clicked() {
            let mut job = file.job.clone();
            job.take_part(&file.profile, part);
            actions.push(Action::Edit(Box::new(job)));
            ui.close();
        }
    }
}

fn contour_ui(ui: &mut Ui, i: usize, view: &View<'_>, actions: &mut Vec<Action>) {
    let file = view.file;
    let contour = &file.profile.contours()[i];
    let key = contour_key(contour);
    let role = file.job.role(&file.profile, i);
    ui.label(strong(format!("{} {}", role.word(), i + 1), BODY).color(tokens(ui).text));
    if !file.job.is_about(key) {
        other_part_ui(ui, i, view, actions);
        return;
    }
    decisions_ui(ui, &[i], view, actions);
    let equal = file.model.groups.iter().find(|g| g.contains(&i));
    if let Some(group) = equal.filter(|g| g.len() > 1) {
        ui.separator();
        let words = say!("All {} like it", group.len());
        ui.menu_button(words, |ui| decisions_ui(ui, group, view, actions));
    }
    ui.separator();
    let more = RichText::new(say!("Thickness, taper, tab, start hole…"));
    if ui.button(more).clicked() {
        actions.push(Action::Select(Some(Target::Contour(i))));
        if view.page != Some(Page::Contour) {
            actions.push(Action::Run(Command::Page(Page::Contour)));
        }
        ui.close();
    }
}

/// The entries for equal contours that stand in one line of the list.
pub fn group_ui(
    ui: &mut Ui,
    list: &[usize],
    words: &str,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    ui.set_min_width(210.0);
    ui.label(strong(words, BODY).color(tokens(ui).text));
    decisions_ui(ui, list, view, actions);
}

/// All of them cut, or left out.
pub fn cut_all(view: &View<'_>, list: &[usize], cut: bool) -> Action {
    let file = view.file;
    let mut job = file.job.clone();
    for key in keys(view, list) {
        if cut {
            job.left_out.remove(&key);
        } else {
            job.left_out.insert(key);
        }
    }
    Action::Edit(Box::new(job))
}

fn keys<'a>(view: &'a View<'_>, list: &'a [usize]) -> impl Iterator<Item = usize> + 'a {
    let contours = &view.file.profile.contours();
    list.iter()
        .filter_map(|i| contours.get(*i))
        .map(contour_key)
}

/// The same decision for each contour of a list; the first stands for all in what is shown.
fn decisions_ui(ui: &mut Ui, list: &[usize], view: &View<'_>, actions: &mut Vec<Action>) {
    let file = view.file;
    let Some(contour) = list.first().and_then(|i| file.profile.contours().get(*i)) else {
        return;
    };
    let choice = file.job.choice(contour_key(contour));
    let role = file.job.role(&file.profile, list[0]);
    let mut cut = file.job.cuts(contour);
    if ui.checkbox(&mut cut, say!("Cut")).changed() {
        actions.push(cut_all(view, list, cut));
        ui.close();
        return;
    }
    if !cut {
        return;
    }
    let decide = |change: &dyn Fn(&mut ContourChoice)| {
        let mut job = file.job.clone();
        for key in keys(view, list) {
            job.choose(key, |c| change(c));
        }
        Action::Edit(Box::new(job))
    };
    if role == Role::Opening {
        let mut erode = choice.waste == Some(Waste::Erode);
        let hint = say!("longer, but no slug comes loose and no operator is needed");
        let response = ui.checkbox(&mut erode, say!("Burn out, no slug"));
        if response.on_hover_text(hint).changed() {
            let waste = if erode { Waste::Erode } else { Waste::Slug };
            actions.push(decide(&|c| c.waste = Some(waste)));
            ui.close();
        }
    }
    let mut turned = choice.turned;
    if ui
        .checkbox(&mut turned, say!("Wire on the other side"))
        .changed()
    {
        actions.push(decide(&|c| c.turned = turned));
        ui.close();
    }
    ui.separator();
    let passes = choice
        .passes
        .unwrap_or(file.job.passes)
        .min(file.job.passes);
    for n in 1..=file.job.passes {
        let mut text = passes_words(n);
        if n == file.job.passes {
            text.push_str(say!(", as the job"));
        }
        if ui.selectable_label(passes == n, text).clicked() {
            let own = (n < file.job.passes).then_some(n);
            actions.push(decide(&|c| c.passes = own));
            ui.close();
        }
    }
}
