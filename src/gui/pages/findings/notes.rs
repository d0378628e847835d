//! What the drawing says in words: what is plain about the job, each with a click to take it, and all its texts.

use super::indented::indented;
use crate::drawing::{Drawing, Note, ScaleChoice, ScaleSource};
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, strong, tokens};
use crate::job::Confirmed;
use crate::notes::Says;
use egui::{Button, CollapsingHeader, Label, RichText, Sense, Ui};

/// Most texts that are listed; the drawing shows the others.
const MOST: usize = 200;

/// What a click takes of what a note says.
enum Taken {
    Job(&'static str, Box<dyn Fn(&mut crate::job::Job)>, Confirmed),
    Scale(ScaleChoice),
    /// Good to know; nothing in the job is called so.
    Told,
}

/// The texts of the drawing; nothing where it has none.
pub fn notes_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let (drawing, says) = (&view.file.drawing, &view.file.says);
    if drawing.notes.is_empty() {
        return;
    }
    ui.label(strong(say!("What the drawing says"), BODY));
    let pairs = || drawing.notes.iter().zip(says.iter());
    let plain: Vec<(&Note, &Says)> = pairs().filter(|(_, s)| !s.is_empty()).collect();
    if plain.is_empty() {
        ui.weak(say!(
            "no text that is plain about thickness, material or the like"
        ));
    }
    for (k, (note, says)) in plain.iter().take(MOST).enumerate() {
        ui.push_id(("said", k), |ui| said_ui(ui, note, says, view, actions));
    }
    let title = say!("All {} texts and dimensions", drawing.notes.len());
    let title = RichText::new(title).size(SMALL + 0.5);
    CollapsingHeader::new(title)
        .id_salt("all notes")
        .show(ui, |ui| {
            for (k, note) in drawing.notes.iter().take(MOST).enumerate() {
                ui.push_id(("note", k), |ui| text_ui(ui, note, drawing, actions));
            }
            if drawing.notes.len() > MOST {
                ui.weak(say!("… the others are on the drawing"));
            }
        });
    ui.add_space(8.0);
}

/// A text in one line; a click brings its place into the middle.
fn text_ui(ui: &mut Ui, note: &Note, drawing: &Drawing, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let words = note.text.replace('\n', " / ");
    let words = note
        .head
        .as_ref()
        .map_or_else(|| words.clone(), |head| format!("{head} {words}"));
    let text = RichText::new(words).size(SMALL + 0.5).color(t.text_soft);
    let label = Label::new(text).truncate().sense(Sense::click());
    let response = ui
        .add(label)
        .on_hover_text(say!("layer {}", note.layer))
        .on_hover_cursor(egui::CursorIcon::PointingHand);
    if response.clicked() && !note.in_layout {
        actions.push(Action::Centre(note.at - drawing.profile.origin()));
    }
}

/// A text that is plain about something, with what it says.
fn said_ui(ui: &mut Ui, note: &Note, says: &Says, view: &View<'_>, actions: &mut Vec<Action>) {
    text_ui(ui, note, &view.file.drawing, actions);
    indented(ui, |ui| {
        for (words, is_so, taken) in taken(says, view) {
            let size = SMALL + 0.5;
            match taken {
                _ if is_so => {
                    let text = RichText::new(format!("{words} ✔")).size(size);
                    ui.label(text.color(tokens(ui).text_faint));
                }
                Taken::Told => {
                    ui.label(RichText::new(words).size(size));
                }
                Taken::Job(what, change, confirmed) => {
                    let button = Button::new(RichText::new(say!("Take {words}")).size(size));
                    if ui.add(button).on_hover_text(what).clicked() {
                        let mut job = view.file.job.clone();
                        change(&mut job);
                        actions.push(Action::Give(Box::new(job), confirmed));
                    }
                }
                Taken::Scale(choice) => scale_button_ui(ui, choice, view, actions),
            }
        }
    });
}

/// What can be taken of what is said: in words, whether it is so already, and what a click does.
fn taken(says: &Says, view: &View<'_>) -> Vec<(String, bool, Taken)> {
    let (job, confirmed, style) = (&view.file.job, view.file.confirmed, view.style);
    let mut out = Vec::new();
    if let Some(thickness) = says.thickness {
        let given = Confirmed {
            thickness: true,
            ..Confirmed::default()
        };
        let so = confirmed.thickness && (job.thickness - thickness).mm().abs() < 1e-9;
        let words = say!("thickness {}", style.typed_length(thickness));
        let change = move |j: &mut crate::job::Job| j.thickness = thickness;
        let what = say!("The job's thickness becomes this one");
        out.push((words, so, Taken::Job(what, Box::new(change), given)));
    }
    if let Some(material) = says.material.clone() {
        let given = Confirmed {
            material: true,
            ..Confirmed::default()
        };
        let so = confirmed.material && job.material == material;
        let words = material.clone();
        let change = move |j: &mut crate::job::Job| j.material.clone_from(&material);
        let what = say!("The job's material becomes this one");
        out.push((words, so, Taken::Job(what, Box::new(change), given)));
    }
    if let Some(quantity) = says.quantity {
        let words = say!("quantity {quantity}");
        let change = move |j: &mut crate::job::Job| j.quantity = quantity;
        let what = say!("The lot becomes this many parts");
        let taken = Taken::Job(what, Box::new(change), Confirmed::default());
        out.push((words, job.quantity == quantity, taken));
    }
    if let Some(ra) = says.roughness_um {
        let words = say!("Ra {} µm", crate::reason::short(ra));
        out.push((words, false, Taken::Told));
    }
    if let Some(tolerance) = says.tolerance {
        let words = say!("tolerance ±{}", style.typed_length(tolerance));
        out.push((words, false, Taken::Told));
    }
    if let Some(scale) = says.scale {
        let so = view.file.drawing.scale.used.scale.is_about(scale);
        let choice = ScaleChoice {
            scale,
            from: ScaleSource::Text,
        };
        out.push((say!("drawn {scale}"), so, Taken::Scale(choice)));
    }
    out
}

/// Takes a scale: the drawing is read again in it.
pub fn scale_button_ui(
    ui: &mut Ui,
    choice: ScaleChoice,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let text = say!("Take scale {}", choice.scale);
    let response = ui
        .add(Button::new(RichText::new(text).size(SMALL + 0.5)))
        .on_hover_text(
            say!("Every length, area and place is divided by it: then the part has its true size. Undo takes it back"),
        );
    if response.clicked() {
        let mut options = view.file.wanted.clone();
        options.scale = choice;
        actions.push(Action::Reread(Box::new(options)));
    }
}
