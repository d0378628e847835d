//! The first minute: four quiet hints, each shown until it is read, none twice.

use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, strong, tokens};
use crate::gui::widgets::within;
use crate::language::said;
use egui::emath::{Rect, vec2};
use egui::{
    Align, Align2, Area, Button, Context, FontId, Frame, Id, Layout, Order, RichText, Stroke,
    StrokeKind, Ui, UiBuilder,
};

const HINTS: [&str; 4] = [
    key!("Drop a DXF of your own anywhere on the window."),
    key!("Whatever is amber can be changed: click a word of the sentence."),
    key!("A click on a figure says where it comes from."),
    key!("Press ? for every key."),
];

/// What letting go does, while files are held over the window.
pub fn dropping_ui(ctx: &Context) {
    let held = ctx.input(|i| i.raw.hovered_files.len());
    if held == 0 {
        return;
    }
    Area::new(Id::unique("files over the window"))
        .order(Order::Foreground)
        .anchor(Align2::CENTER_CENTER, vec2(0.0, 0.0))
        .interactable(false)
        .show(ctx, |ui| {
            Frame::popup(ui.style()).show(ui, |ui| {
                let words = match held {
                    1 => say!("Let go to open it").to_owned(),
                    n => say!("Let go to open {n} files"),
                };
                ui.label(strong(words, BODY + 2.0).color(tokens(ui).text));
            });
        });
}

/// The next hint at the top of a drawing in `rect`, while it has room there.
pub fn hint_ui(ui: &mut Ui, rect: Rect, view: &View<'_>, actions: &mut Vec<Action>) {
    let Some(hint) = HINTS.get(view.hints_read).filter(|_| !view.legend) else {
        return;
    };
    let t = tokens(ui);
    let hint = match view.hints_read {
        0 if view.file.is_sample() => say!("This is a sample. {hint}", hint = said(hint)),
        _ => said(hint).to_owned(),
    };
    let font = FontId::proportional(SMALL + 0.5);
    let galley = ui.painter().layout_no_wrap(hint.clone(), font, t.text_soft);
    let size = vec2(galley.size().x + 44.0, 24.0);
    // Beside the chips.
    if size.x > rect.width() - 300.0 {
        return;
    }
    let place = Rect::from_min_size(rect.right_top() + vec2(-10.0 - size.x, 8.0), size);
    ui.painter().rect(
        place,
        6,
        t.raised,
        Stroke::new(1.0, t.edge),
        StrokeKind::Inside,
    );
    let inner = UiBuilder::new()
        .max_rect(place.shrink2(vec2(8.0, 0.0)))
        .id_salt("hint")
        .layout(Layout::left_to_right(Align::Center));
    within(ui, inner, |ui| {
        ui.label(RichText::new(&hint).size(SMALL + 0.5).color(t.text_soft));
        let close = ui.add(Button::new("×").frame(false));
        if close
            .accessible_name(say!("hint read"))
            .on_hover_text(say!("read; it does not come back"))
            .clicked()
        {
            actions.push(Action::HintRead);
        }
    });
}
