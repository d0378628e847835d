//! How a wire differs from the baseline: which minutes, where the wire went, which costs.

use crate::estimate::{Figures, WireSplit, why_different};
use crate::gui::format::{money, number, step_time};
use crate::gui::state::{Action, Asked, View};
use crate::gui::theme::{BODY, SMALL, Tokens, strong, tokens};
use crate::units::{Length, Minutes, Money};
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::{FontId, Label, RichText, ScrollArea, Sense, Ui};

/// Height of a line.
const ROW: f32 = 22.0;

/// The page in place of an explanation; `false` where there is nothing to hold against each other.
pub fn difference_ui(ui: &mut Ui, wire: usize, view: &View<'_>, actions: &mut Vec<Action>) -> bool {
    let file = view.file;
    let Some(comparison) = file.answer.as_ref().map(|a| &a.comparison) else {
        return false;
    };
    let figures = |k: usize| comparison.estimates.get(k)?.figures.as_ref();
    let baseline = comparison.baseline;
    let (Some(before), Some(after)) = (figures(baseline), figures(wire)) else {
        return false;
    };
    if wire == baseline {
        return false;
    }
    let t = tokens(ui);
    let name = |k: usize| view.system.candidate(&comparison.estimates[k].candidate);
    let title = format!("{} against {}", name(wire), name(baseline));
    ui.add(Label::new(RichText::new(title).color(t.text_soft)).wrap());
    ScrollArea::vertical()
        .id_salt("difference")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            let why = why_different(before, after);
            ui.label(strong(signed_time(why.minutes), 20.0).color(t.text));
            let largest = why
                .parts
                .iter()
                .map(|p| p.difference().min_value().abs())
                .fold(0.0, f64::max);
            for p in &why.parts {
                let d = p.difference();
                if p.before == Minutes::ZERO && p.after == Minutes::ZERO {
                    continue;
                }
                let detail = format!("{} → {}", step_time(p.before), step_time(p.after));
                let text = signed_time(d);
                line(ui, p.share.words(), &detail, &text, d.min_value(), largest);
            }
            if let Some(wire) = &why.wire {
                wire_ui(ui, wire, view, t);
            }
            cost_ui(ui, before, after, t);
            ui.add_space(8.0);
            if ui
                .button(format!("What {} is made of", name(wire)))
                .clicked()
            {
                let question = crate::estimate::Question::Minutes;
                actions.push(Action::Ask(Asked { wire, question }));
            }
        });
    true
}

fn signed(value: f64, text: &str, nothing: &str) -> String {
    if text.bytes().all(|b| !(b'1'..=b'9').contains(&b)) {
        nothing.to_owned()
    } else if value < 0.0 {
        format!("−{text}")
    } else {
        format!("+{text}")
    }
}

fn signed_time(m: Minutes) -> String {
    let v = m.min_value();
    signed(v, &step_time(Minutes::from_min(v.abs())), "the same")
}

fn signed_wire(view: &View<'_>, l: Length) -> String {
    signed(
        l.mm(),
        &view.system.wire(Length::from_mm(l.mm().abs())),
        "none",
    )
}

fn signed_money(m: Money) -> String {
    let v = m.amount();
    signed(v, &money(Money::from_amount(v.abs())), "the same")
}

/// Name, what it was and is, a bar to either side of the middle, and the difference.
fn line(ui: &mut Ui, name: &str, detail: &str, text: &str, value: f64, largest: f64) {
    let t = tokens(ui);
    let (r, response) = ui.allocate_exact_size(vec2(ui.available_width(), ROW), Sense::hover());
    let label = format!("{name} {text}");
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Label, true, &label));
    let painter = ui.painter();
    let y = r.center().y;
    let font = FontId::proportional(BODY);
    painter.text(
        pos2(r.left(), y),
        Align2::LEFT_CENTER,
        name,
        font.clone(),
        t.text,
    );
    let colour = if value < 0.0 { t.better } else { t.worse };
    let is_nothing = !text.starts_with(['+', '−']);
    painter.text(
        pos2(r.right(), y),
        Align2::RIGHT_CENTER,
        text,
        font,
        if is_nothing { t.text_faint } else { colour },
    );
    let lane = Rect::from_min_max(
        pos2(r.left() + 84.0, r.top() + 6.0),
        pos2(r.right() - 104.0, r.bottom() - 6.0),
    );
    let middle = lane.center().x;
    painter.line_segment(
        [pos2(middle, r.top() + 2.0), pos2(middle, r.bottom() - 2.0)],
        egui::Stroke::new(1.0, t.edge),
    );
    if largest > 0.0 {
        let end = middle + lane.width() * 0.5 * (value / largest) as f32;
        let bar = Rect::from_two_pos(pos2(middle, lane.top()), pos2(end, lane.bottom()));
        painter.rect_filled(bar, 1, colour);
    }
    if !detail.is_empty() {
        response.on_hover_text(detail);
    }
}

fn part(ui: &mut Ui, title: &str, total: &str, t: &Tokens) {
    ui.add_space(10.0);
    ui.horizontal(|ui| {
        ui.label(strong(title, BODY).color(t.text));
        ui.label(RichText::new(total).color(t.text_soft));
    });
}

fn wire_ui(ui: &mut Ui, wire: &WireSplit, view: &View<'_>, t: &Tokens) {
    part(ui, "Wire", &signed_wire(view, wire.difference), t);
    let parts = [
        ("by time", wire.by_time),
        ("by run-off", wire.by_run_off),
        ("threading", wire.by_threading),
    ];
    let largest = parts.iter().map(|p| p.1.mm().abs()).fold(0.0, f64::max);
    for (name, l) in parts {
        line(ui, name, "", &signed_wire(view, l), l.mm(), largest);
    }
}

fn cost_ui(ui: &mut Ui, before: &Figures, after: &Figures, t: &Tokens) {
    let (a, b) = (&before.cost, &after.cost);
    let total = b.part.median - a.part.median;
    part(ui, "Cost of a part", &signed_money(total), t);
    let parts = [
        ("machine", a.machine, b.machine),
        ("labour", a.labour, b.labour),
        ("wire", a.wire, b.wire),
        ("consumables", a.consumables, b.consumables),
        ("start holes", a.holes, b.holes),
        ("set-up", a.setup, b.setup),
    ];
    let difference = |p: &(&str, Money, Money)| p.2.amount() - p.1.amount();
    let largest = parts
        .iter()
        .map(|p| difference(p).abs())
        .fold(0.0, f64::max);
    for p in &parts {
        let d = difference(p);
        let detail = format!("{} → {}", money(p.1), money(p.2));
        line(
            ui,
            p.0,
            &detail,
            &signed_money(Money::from_amount(d)),
            d,
            largest,
        );
    }
    let share = if a.part.median.amount() > 0.0 {
        total.amount() / a.part.median.amount() * 100.0
    } else {
        0.0
    };
    ui.label(
        RichText::new(format!("{} % of a part's cost", number(share, 1)))
            .size(SMALL)
            .color(t.text_faint),
    );
}
