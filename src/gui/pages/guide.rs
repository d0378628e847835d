//! The user's guide: the method, what every figure means, how to calibrate, cautions.

use crate::gui::theme::{BODY, strong, tokens};
use crate::words::guide::{Piece, pieces};
use egui::text::LayoutJob;
use egui::{FontId, Label, RichText, ScrollArea, TextFormat, Ui};

/// The whole guide, to scroll.
pub fn guide_ui(ui: &mut Ui) {
    ScrollArea::vertical()
        .id_salt("guide")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            for piece in pieces() {
                piece_ui(ui, *piece);
            }
        });
}

fn piece_ui(ui: &mut Ui, piece: Piece<'_>) {
    let t = tokens(ui);
    match piece {
        Piece::Head(head) => {
            ui.add_space(8.0);
            ui.label(strong(head, BODY + 1.0));
            ui.add_space(2.0);
        }
        Piece::Paragraph(text) => {
            ui.add(Label::new(RichText::new(text).size(BODY)).wrap());
            ui.add_space(4.0);
        }
        Piece::Point(name, text) => {
            ui.horizontal_top(|ui| {
                ui.label(RichText::new("•").size(BODY).color(t.text_soft));
                let format = |color| TextFormat::simple(FontId::proportional(BODY), color);
                let mut job = LayoutJob::default();
                if let Some(name) = name {
                    let font = FontId::new(BODY, crate::gui::theme::strong_family());
                    job.append(&format!("{name}: "), 0.0, TextFormat::simple(font, t.text));
                }
                job.append(text, 0.0, format(t.text));
                ui.add(Label::new(job).wrap());
            });
        }
    }
}
