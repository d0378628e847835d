//! Questions about what is not saved: before the window closes, and after a program that ended without saving.

use crate::gui::desk::{Desk, DeskAction, Leave};
use crate::gui::open_files::Place;
use crate::gui::state::Action;
use crate::gui::theme::{SMALL, mix, strong, tokens};
use crate::words::saving;
use egui::text::{CCursor, CCursorRange};
use egui::{Frame, Id, Key, Label, Margin, Modal, Panel, RichText, TextEdit, Ui};

/// Width of the field for a place, points: a path of the usual length.
const PLACE: f32 = 560.0;

/// What was left behind, as a line across the window.
pub fn recovery_ui(ui: &mut Ui, desk: &Desk, actions: &mut Vec<Action>) {
    if desk.orphan.is_none() {
        return;
    }
    let t = tokens(ui);
    let frame = Frame::new()
        .fill(mix(t.raised, t.warn, 0.14))
        .inner_margin(Margin::symmetric(12, 6));
    Panel::top("recovery").frame(frame).show(ui, |ui| {
        ui.horizontal_wrapped(|ui| {
            ui.label(say!(
                "Kerfcast ended last time before everything was saved."
            ));
            if ui.button(say!("Bring it back")).clicked() {
                actions.push(Action::Desk(DeskAction::Recover(true)));
            }
            if ui.button(say!("Forget it")).clicked() {
                actions.push(Action::Desk(DeskAction::Recover(false)));
            }
        });
    });
}

/// Asked before the window closes.
pub fn leave_ui(ui: &mut Ui, desk: &Desk, actions: &mut Vec<Action>) {
    if !desk.asks {
        return;
    }
    let response = Modal::new(Id::unique("not saved")).show(ui.ctx(), |ui| {
        ui.set_max_width(420.0);
        ui.label(strong(say!("Not everything is saved"), 15.0));
        ui.add_space(4.0);
        let name = desk.path.as_ref().and_then(|p| p.file_name());
        let name = name.map(|n| n.to_string_lossy().into_owned());
        ui.label(match name {
            Some(name) => say!("{name} was changed since it was saved."),
            None => say!("The enquiry is in no file yet.").to_owned(),
        });
        ui.add_space(8.0);
        let mut leave = None;
        ui.horizontal(|ui| {
            for (text, what) in [
                (say!("Save and close"), Leave::Save),
                (say!("Close without saving"), Leave::Drop),
                (say!("Stay"), Leave::Stay),
            ] {
                if ui.button(text).clicked() {
                    leave = Some(what);
                }
            }
        });
        leave
    });
    let stay = response.should_close().then_some(Leave::Stay);
    if let Some(leave) = response.inner.or(stay) {
        actions.push(Action::Desk(DeskAction::Leave(leave)));
    }
}

/// Where to save, typed: for desktops without a file dialog.
pub fn place_ui(ui: &mut Ui, place: &mut Option<Place>, actions: &mut Vec<Action>) {
    let Some(asked) = place else {
        return;
    };
    let t = tokens(ui);
    let shown = Id::unique("where to save is shown");
    let response = Modal::new(Id::unique("where to save")).show(ui.ctx(), |ui| {
        ui.set_width(PLACE.min(0.8 * ui.ctx().content_rect().width()));
        ui.label(strong(asked.kind.saved_as(), 15.0));
        ui.add_space(4.0);
        let text = &mut asked.typed;
        let mut edit = TextEdit::singleline(text)
            .desired_width(f32::INFINITY)
            .show(ui);
        let field = edit.response.response.accessible_name(say!("Save as"));
        if !ui.data(|d| d.get_temp(shown).unwrap_or(false)) {
            ui.data_mut(|d| d.insert_temp(shown, true));
            field.request_focus();
            // What is offered is replaced by typing, and kept by moving in it.
            let all = CCursorRange::two(CCursor::new(0), CCursor::new(text.chars().count()));
            edit.state.cursor.set_char_range(Some(all));
            edit.state.store(ui.ctx(), field.id);
        }
        let enter = field.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
        ui.add_space(4.0);
        let words = match &asked.refused {
            Some(why) => RichText::new(why).color(t.warn),
            None => RichText::new(saving::no_dialog())
                .size(SMALL)
                .color(t.text_soft),
        };
        ui.add(Label::new(words).wrap());
        ui.add_space(8.0);
        ui.horizontal(|ui| {
            let save = ui.button(say!("Save")).clicked() || enter;
            (
                save && !asked.typed.trim().is_empty(),
                ui.button(say!("Cancel")).clicked(),
            )
        })
        .inner
    });
    let (save, cancel) = response.inner;
    if save || cancel || response.should_close() {
        ui.data_mut(|d| d.remove_temp::<bool>(shown));
        let asked = place.take().filter(|_| save);
        actions.extend(asked.map(|p| {
            let path = p.typed.trim().trim_matches('"');
            Action::SaveAt(p.kind, path.into())
        }));
    }
}
