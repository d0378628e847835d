//! What a part costs by quantity, with the wire shown: as a table and as a curve, and what is paid once.

use crate::estimate::Break;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, tokens};
use crate::gui::widgets::NumberField;
use crate::gui::widgets::curve_chart::{Curve, CurveChart, Spot, round_marks, top};
use crate::job::Job;
use crate::units::Money;
use crate::words::Style;
use egui::{Grid, Label, RichText, ScrollArea, Ui};

/// Most quantities of a ladder.
const MOST: usize = 20;

/// Quantities as they are typed: whole numbers with commas or blanks between them; `None` where that is none.
fn parsed(text: &str) -> Option<Vec<u32>> {
    let parts = text.split([',', ';', ' ']).filter(|p| !p.is_empty());
    let mut all: Vec<u32> = parts.map(str::parse).collect::<Result<_, _>>().ok()?;
    all.sort_unstable();
    all.dedup();
    let fits = (1..=MOST).contains(&all.len());
    (fits && all.iter().all(|n| (1..=Job::MOST_PARTS).contains(n))).then_some(all)
}

/// The page.
pub fn quantities_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let file = view.file;
    ui.horizontal(|ui| {
        ui.label(RichText::new("Quantities").color(t.text_soft));
        let shown: Vec<String> = view.lots.iter().map(u32::to_string).collect();
        let field = NumberField::new("Quantities", shown.join(", ")).width(200.0);
        if let Some(text) = field.show(ui).typed {
            actions.push(match parsed(&text) {
                Some(lots) => Action::Lots(lots),
                None => Action::Refuse(format!(
                    "“{text}” are no quantities. Enter whole numbers from 1, at most {MOST}, such as 1, 5, 20, 100."
                )),
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
    let name = view.style.candidate(wire);
    let Some(first) = ladder.first() else {
        ui.label(format!("{name} cannot do the job."));
        return;
    };
    let style = view.style;
    let once = format!(
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
            curve_ui(ui, view, ladder);
        });
}

fn table_ui(ui: &mut Ui, view: &View<'_>, ladder: &[Break]) {
    let t = tokens(ui);
    let style = view.style;
    Grid::new("ladder")
        .num_columns(5)
        .spacing([18.0, 5.0])
        .striped(true)
        .show(ui, |ui| {
            for head in ["parts", "cost each", "range", "cost of all", "time of all"] {
                ui.label(RichText::new(head).size(SMALL).color(t.text_soft));
            }
            ui.end_row();
            let asked = ladder.iter().filter(|b| view.lots.contains(&b.quantity));
            for b in asked {
                let colour = if b.quantity == view.file.job.quantity {
                    t.accent
                } else {
                    t.text
                };
                for text in [
                    style.number(f64::from(b.quantity), 0),
                    style.money(b.each.median),
                    style.money_range(b.each.low, b.each.high),
                    style.money(b.lot),
                    style.time(b.minutes),
                ] {
                    ui.label(RichText::new(text).color(colour));
                }
                ui.end_row();
            }
        });
}

fn curve_ui(ui: &mut Ui, view: &View<'_>, ladder: &[Break]) {
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
            .map_or_else(String::new, |c| view.style.candidate(c)),
        colour: t.wire(file.shown),
        strong: true,
        spots: ladder.iter().map(spot).collect(),
    }];
    let money = |v: f64| view.style.money(Money::from_amount(v));
    let x_marks = view.lots.iter().map(|n| (f64::from(*n), n.to_string()));
    let chart = CurveChart {
        curves: &curves,
        log_x: true,
        x_range: (f64::from(first.quantity), f64::from(last.quantity)),
        x_marks: x_marks.collect(),
        now: f64::from(file.job.quantity),
        y_marks: round_marks(top(&curves))
            .into_iter()
            .map(|v| (v, money(v)))
            .collect(),
        title: "cost of a part against quantity".to_owned(),
        x_title: "parts in the lot".to_owned(),
    };
    let (response, under) = chart.show(ui, ui.available_width(), 240.0);
    if let Some(b) = under.and_then(|k| ladder.get(k)) {
        response.on_hover_text_at_pointer(words(b, view.style));
    }
}

fn words(b: &Break, style: Style) -> String {
    format!(
        "{} parts: {} each ({}), {} for all",
        b.quantity,
        style.money(b.each.median),
        style.money_range(b.each.low, b.each.high),
        style.money(b.lot)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantities_are_read_as_people_type_them() {
        assert_eq!(parsed("1, 5 20;100"), Some(vec![1, 5, 20, 100]));
        assert_eq!(parsed("100,1,1"), Some(vec![1, 100]));
        for wrong in ["", "0", "a few", "1.5", "-3", "99999999"] {
            assert_eq!(parsed(wrong), None, "{wrong}");
        }
    }
}
