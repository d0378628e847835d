//! The head of the table of wires: the legend of the bars, the heads to sort by, another wire, the choice of columns.

use super::columns::{self, Columns, Held, bar_rect, cell};
use super::{HEAD, ROW};
use crate::gui::panels::add_wire::add_wire_ui;
use crate::gui::state::{Action, View};
use crate::gui::theme::{SMALL, strong_family, tokens};
use crate::gui::widgets::{Axis, AxisLabels, paint_share, within};
use crate::gui::wire_table::BY_NAME;
use crate::plan::Share;
use crate::units::Minutes;
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::{
    Align, Button, FontId, Layout, Popup, PopupCloseBehavior, RichText, Role, Sense, Stroke, Ui,
    UiBuilder, WidgetInfo,
};

/// Two lines: what the bars mean over what the columns hold.
pub(super) fn heading_ui(
    ui: &mut Ui,
    c: &Columns,
    axis: Axis,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), HEAD), Sense::hover());
    let heads = Rect::from_min_max(pos2(rect.left(), rect.bottom() - 20.0), rect.max);
    let name = cell(c.name, heads);
    let adding = UiBuilder::new()
        .id_salt("adding")
        .max_rect(Rect::from_min_size(
            rect.min + vec2(10.0, 0.0),
            vec2(c.name.1 - 14.0, 20.0),
        ))
        .layout(Layout::left_to_right(Align::Center));
    within(ui, adding, |ui| {
        ui.spacing_mut().button_padding.y = 0.0;
        ui.spacing_mut().interact_size.y = 17.0;
        add_wire_ui(ui, view, actions);
    });
    let name = Rect::from_min_max(pos2(name.left() + 36.0, name.top()), name.max);
    head_ui(
        ui,
        name,
        BY_NAME,
        say!("wire"),
        Align2::LEFT_CENTER,
        view,
        actions,
    );
    for (held, column) in &c.numbers {
        let text = match held {
            Held::Figure(e) => e.head_with_unit(view.style),
            Held::Difference(e, _) => e.difference_head(),
        };
        head_ui(
            ui,
            cell(*column, heads),
            &held.head(),
            &text,
            Align2::RIGHT_CENTER,
            view,
            actions,
        );
    }
    if let Some(bar) = c.bar {
        let bar = bar_rect(bar, rect);
        legend(
            ui,
            Rect::from_min_max(bar.min, pos2(bar.right(), heads.top())),
        );
        let answer = view.file.answer.as_ref();
        let any =
            answer.is_some_and(|a| a.comparison.estimates.iter().any(|e| e.figures.is_some()));
        if any {
            let painter = ui.painter();
            let mut labels = AxisLabels::along(painter, bar.right() + 10.0, t);
            let words = axis.marks().map(|m| {
                let x = bar.left() + bar.width() * axis.at(m);
                let zero = m == Minutes::ZERO;
                let text = if zero {
                    "0".to_owned()
                } else {
                    view.style.time(m)
                };
                (x, text)
            });
            labels.evenly(heads.center().y, words);
        }
    }
    columns_ui(
        ui,
        Rect::from_min_max(
            pos2(rect.right() - 96.0, rect.top()),
            pos2(rect.right() - 6.0, heads.top()),
        ),
        c,
        view,
        actions,
    );
    ui.painter().hline(
        rect.x_range(),
        rect.bottom() - 0.5,
        Stroke::new(1.0, t.edge),
    );
}

/// A head: a click sorts by it.
fn head_ui(
    ui: &mut Ui,
    rect: Rect,
    by: &str,
    text: &str,
    align: Align2,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    let response = ui.interact(rect, ui.scope_id().with(("head", by)), Sense::click());
    let sorted = view.table.sorted.as_ref().filter(|s| s.by == by);
    response.widget_info(|| {
        WidgetInfo::selected(Role::Button, true, sorted.is_some(), say!("sort by {by}"))
    });
    let colour = if response.hovered() || response.has_focus() || sorted.is_some() {
        t.text
    } else {
        t.text_faint
    };
    let text = match sorted {
        Some(s) if s.down => format!("{text} ▼"),
        Some(_) => format!("{text} ▲"),
        None => text.to_owned(),
    };
    let at = if align == Align2::RIGHT_CENTER {
        rect.right_center() - vec2(9.0, 0.0)
    } else {
        rect.left_center()
    };
    ui.painter()
        .text(at, align, text, FontId::proportional(SMALL), colour);
    let baseline = view.file.job.candidates.get(view.file.job.baseline);
    let hint = match baseline.filter(|_| by.starts_with('Δ')) {
        Some(b) => say!("against {}; click to sort", view.style.spoken_candidate(b)),
        None => say!("click to sort; a third click brings the own order back").to_owned(),
    };
    if response.on_hover_text(hint).clicked() {
        actions.push(Action::Table(Box::new(view.table.sorted_by(by))));
    }
}

/// What the parts of a bar are, as far as there is room.
fn legend(ui: &mut Ui, rect: Rect) {
    let t = tokens(ui);
    let painter = ui.painter();
    let font = FontId::proportional(SMALL - 0.5);
    let mut x = rect.left();
    for share in Share::ALL {
        let galley = painter.layout_no_wrap(share.words().to_owned(), font.clone(), t.text_faint);
        let wide = 16.0 + galley.size().x;
        if x + wide > rect.right() {
            return;
        }
        let sign = Rect::from_min_size(pos2(x, rect.center().y - 4.0), vec2(12.0, 8.0));
        paint_share(painter, sign, share, t.text_soft, t);
        painter.galley(
            pos2(x + 16.0, rect.center().y - galley.size().y / 2.0),
            galley,
            t.text_faint,
        );
        x += wide + 10.0;
    }
    let said = say!("range: two of three jobs");
    let galley = painter.layout_no_wrap(said.to_owned(), font, t.text_faint);
    if x + 16.0 + galley.size().x <= rect.right() {
        let y = rect.center().y;
        let stroke = Stroke::new(1.5, t.text_soft);
        painter.hline(x..=x + 12.0, y, stroke);
        for end in [x, x + 12.0] {
            painter.vline(end, y - 3.0..=y + 3.0, stroke);
        }
        painter.galley(
            pos2(x + 16.0, y - galley.size().y / 2.0),
            galley,
            t.text_faint,
        );
    }
}

/// Which figures are columns; the others are told of the chosen wire.
fn columns_ui(ui: &mut Ui, rect: Rect, c: &Columns, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let place = UiBuilder::new()
        .id_salt("columns")
        .max_rect(rect)
        .layout(Layout::right_to_left(Align::Center));
    within(ui, place, |ui| {
        ui.spacing_mut().button_padding.y = 0.0;
        ui.spacing_mut().interact_size.y = ROW - 9.0;
        let text = RichText::new(say!("columns ▾"))
            .size(SMALL)
            .color(t.text_soft);
        let button = ui.add(Button::new(text).frame(false));
        let button = match c.without_room {
            0 => button.on_hover_text(say!("which figures are columns")),
            n => button.on_hover_text(say!(
                "{} no room in a window of this width; the chosen wire's row tells them",
                view.style
                    .count(n, say!("column finds"), say!("columns find"))
            )),
        };
        button.widget_info(|| {
            WidgetInfo::labeled(Role::ComboBox, true, say!("Columns of the table"))
        });
        Popup::menu(&button)
            .close_behavior(PopupCloseBehavior::CloseOnClickOutside)
            .show(|ui| {
                ui.label(RichText::new(say!("Columns")).family(strong_family()));
                for held in columns::all() {
                    let head = held.head();
                    let mut shown = view.table.shows(&head);
                    if ui.checkbox(&mut shown, held.called()).changed() {
                        actions.push(Action::Table(Box::new(view.table.with(&head, shown))));
                    }
                }
            });
    });
}
