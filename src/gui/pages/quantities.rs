//! What a part costs by quantity, with the wire shown: as a table and as a curve, and what is paid once.

use super::together::together_ui;
use crate::estimate::Break;
use crate::gui::picture::{cell, picture_ui, table};
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, tokens};
use crate::gui::widgets::curve_chart::{Curve, CurveChart, Spot, round_marks, top};
use crate::gui::widgets::{NumberField, within};
use crate::language::said;
use crate::words::typed::{no_quantities, quantities};
use crate::words::{Style, figures};
use egui::emath::vec2;
use egui::{Align, Color32, FontId, Label, Layout, RichText, ScrollArea, Sense, Ui, UiBuilder};

/// The page.
pub fn quantities_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let file = view.file;
    ui.horizontal(|ui| {
        ui.label(RichText::new(say!("Quantities")).color(t.text_soft));
        let shown: Vec<String> = view.lots.iter().map(u32::to_string).collect();
        let field = NumberField::new(say!("Quantities"), shown.join(", ")).width(200.0);
        if let Some(text) = field.show(ui).typed {
            actions.push(match quantities(&text) {
                Some(lots) => Action::Lots(lots),
                None => Action::Refuse(no_quantities(&text)),
            });
        }
    });
    let Some(ladder) = file.ladder.of(file.shown) else {
        ui.label(view.file.awaited_words());
        return;
    };
    let Some(wire) = file.job.candidates.get(file.shown) else {
        return;
    };
    let name = view.style.spoken_candidate(wire);
    let Some(first) = ladder.first() else {
        ui.label(say!("{name} cannot do the job."));
        return;
    };
    let style = view.style;
    let once = say!(
        "With {name}: {} once for the lot (programming), {} once for a set-up, and {} with every part. A drawing with \
         several parts counts as one.",
        style.money(first.once_a_lot),
        style.money(first.once_a_setup),
        style.money(first.once_a_part)
    );
    ui.add(Label::new(RichText::new(once).size(BODY)).wrap());
    ui.add_space(6.0);
    ScrollArea::vertical()
        .id_salt("quantities")
        .auto_shrink(false)
        .show(ui, |ui| {
            table_ui(ui, view, ladder);
            ui.add_space(10.0);
            curve_ui(ui, view, ladder, actions);
            ui.add_space(12.0);
            together_ui(ui, view, actions);
        });
}

/// Whether a quantity was asked for: those of the field, and that of the job itself.
fn is_asked(view: &View<'_>, quantity: u32) -> bool {
    view.lots.contains(&quantity) || quantity == view.file.job.quantity
}

/// Least and most between two columns, points.
const APART: (f32, f32) = (6.0, 18.0);

fn table_ui(ui: &mut Ui, view: &View<'_>, ladder: &[Break]) {
    let t = tokens(ui);
    let style = view.style;
    let (small, body) = (FontId::proportional(SMALL), FontId::proportional(BODY));
    let head = figures::LADDER.map(|head| (said(head).to_owned(), small.clone(), t.text_soft));
    let asked = ladder.iter().filter(|b| is_asked(view, b.quantity));
    let rows = asked.map(|b| {
        let colour = if b.quantity == view.file.job.quantity {
            t.accent
        } else {
            t.text
        };
        [
            style.number(f64::from(b.quantity), 0),
            style.money(b.each.median),
            style.money_range(b.each.low, b.each.high),
            style.money(b.lot),
            style.time(b.minutes),
        ]
        .map(|text| (text, body.clone(), colour))
    });
    let rows: Vec<_> = std::iter::once(head).chain(rows).collect();
    let wide = |(text, font, colour): &(String, FontId, Color32)| {
        let galley = ui
            .painter()
            .layout_no_wrap(text.clone(), font.clone(), *colour);
        galley.size().x.ceil()
    };
    let widths: [f32; 5] =
        std::array::from_fn(|k| rows.iter().map(|r| wide(&r[k])).fold(0.0, f32::max));
    let spare = ui.available_width() - widths.iter().sum::<f32>();
    let apart = (spare / (widths.len() - 1) as f32).clamp(APART.0, APART.1);
    for (k, row) in rows.iter().enumerate() {
        let height = if k == 0 { 18.0 } else { 24.0 };
        let whole = widths.iter().sum::<f32>() + apart * (widths.len() - 1) as f32;
        let (rect, _) = ui.allocate_exact_size(vec2(whole, height), Sense::hover());
        let mut x = rect.left();
        for ((text, font, colour), width) in row.iter().zip(widths) {
            // Digits of one weight stand below each other.
            let place = rect.with_min_x(x).with_max_x(x + width);
            let cell = UiBuilder::new()
                .max_rect(place)
                .layout(Layout::right_to_left(Align::Center));
            within(ui, cell, |ui| {
                let text = RichText::new(text).font(font.clone()).color(*colour);
                ui.add(Label::new(text).extend());
            });
            x += width + apart;
        }
    }
}

fn curve_ui(ui: &mut Ui, view: &View<'_>, ladder: &[Break], actions: &mut Vec<Action>) {
    let (Some(first), Some(last)) = (ladder.first(), ladder.last()) else {
        return;
    };
    if first.quantity == last.quantity {
        return;
    }
    let t = tokens(ui);
    let file = view.file;
    let spot = |b: &Break| {
        Some(Spot {
            x: f64::from(b.quantity),
            y: b.each.median.amount(),
            low: b.each.low.amount(),
            high: b.each.high.amount(),
        })
    };
    let curves = [Curve {
        name: file
            .job
            .candidates
            .get(file.shown)
            .map_or_else(String::new, |c| view.style.spoken_candidate(c)),
        colour: t.wire(file.shown),
        strong: true,
        spots: ladder.iter().map(spot).collect(),
    }];
    let money = |v: f64| view.style.money_on_axis(v);
    let marked = ladder.iter().map(|b| b.quantity);
    let marked = marked.filter(|n| is_asked(view, *n));
    let x_marks = marked.map(|n| (f64::from(n), n.to_string()));
    let chart = CurveChart {
        curves: &curves,
        log_x: true,
        steps: false,
        x_range: (f64::from(first.quantity), f64::from(last.quantity)),
        x_marks: x_marks.collect(),
        now: f64::from(file.job.quantity),
        y_marks: round_marks(top(&curves))
            .into_iter()
            .map(|v| (v, money(v)))
            .collect(),
        title: say!("cost of a part against quantity").to_owned(),
        x_title: say!("parts in the lot").to_owned(),
    };
    let (response, under) = chart.show(ui, ui.available_width(), 240.0);
    let picture = response.rect;
    if let Some(b) = under.and_then(|k| ladder.get(k)) {
        response.on_hover_text_at_pointer(words(b, view.style));
    }
    picture_ui(ui, &chart.title, picture, actions, || {
        let head = figures::LADDER.map(|head| said(head).to_owned());
        let [parts, each, range, all, time] = head;
        let ends = [say!(", low"), say!(", high")].map(|end| format!("{range}{end}"));
        let [low, high] = ends;
        let minutes = format!("{time}, min");
        let head = vec![parts, each, low, high, all, minutes];
        let row = |b: &Break| {
            let money = [b.each.median, b.each.low, b.each.high, b.lot];
            let numbers = money.map(|m| cell(m.amount())).into_iter();
            let numbers = numbers.chain([cell(b.minutes.min_value())]);
            std::iter::once(b.quantity.to_string())
                .chain(numbers)
                .collect()
        };
        let asked = ladder.iter().filter(|b| is_asked(view, b.quantity));
        table(std::iter::once(head).chain(asked.map(row)))
    });
}

fn words(b: &Break, style: Style) -> String {
    say!(
        "{} parts: {} each ({}), {} for all",
        b.quantity,
        style.money(b.each.median),
        style.money_range(b.each.low, b.each.high),
        style.money(b.lot)
    )
}
