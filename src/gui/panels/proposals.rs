//! What is drawn but perhaps not to be cut: each a question with its reason, counted until answered.

use crate::drawing::{Answer, ReadOptions};
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, tokens};
use egui::{Label, RichText, Sense, Ui};

/// Centre lines, borders, title blocks and block edges, each to be cut or left out.
///
/// An answer reads the drawing again and keeps the job.
pub fn proposals_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let options = &view.file.reading.options;
    for p in &view.file.drawing.proposals {
        let key = p.key();
        ui.push_id(key, |ui| {
            ui.horizontal_wrapped(|ui| {
                ui.spacing_mut().item_spacing.x = 5.0;
                let asked = format!("Maybe {} on layer {}", p.kind.words(), p.layer);
                let name = ui
                    .add(Label::new(RichText::new(&asked).size(BODY - 0.5)).sense(Sense::click()))
                    .on_hover_text("show it on the drawing");
                if name.clicked() {
                    actions.push(Action::Centre(p.at - view.file.profile.origin));
                }
                for (answer, words) in [(Answer::Cut, "cut it"), (Answer::LeaveOut, "leave it out")]
                {
                    let chosen = p.answer == Some(answer);
                    let button = ui
                        .selectable_label(chosen, RichText::new(words).size(SMALL + 0.5))
                        .accessible_name(format!(
                            "{words}, {} on layer {}",
                            p.kind.words(),
                            p.layer
                        ));
                    if button.clicked() && !chosen {
                        let mut new: ReadOptions = options.clone();
                        new.answers.insert(key, answer);
                        actions.push(Action::Reread(Box::new(new)));
                    }
                }
            });
            ui.add(Label::new(RichText::new(&p.reason).size(SMALL).color(t.text_faint)).wrap());
        });
    }
}
