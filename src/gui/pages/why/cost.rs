//! What the cost of a part is made of, a bar for every wire.

use crate::estimate::Figures;
use crate::gui::picture::{cell, picture_ui, table};
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, strong, tokens};
use crate::gui::widgets::curve_chart::round_marks;
use crate::gui::widgets::stacked::{Bar, stacked_ui};
use crate::units::Money;
use egui::Ui;

/// Parts below this share of the dearest wire's cost are told together.
const SMALL_PART: f64 = 0.05;

/// The bars under one scale.
pub fn cost_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let file = view.file;
    let Some(answer) = &file.answer else { return };
    let all = answer.comparison.estimates.iter().enumerate();
    let all: Vec<(usize, &Figures)> = all
        .filter_map(|(k, e)| Some((k, e.figures.as_ref()?)))
        .collect();
    if all.is_empty() {
        return;
    }
    let (parts, amounts) = parts_of(&all);
    let name = |k: usize| {
        view.style
            .candidate(&answer.comparison.estimates[k].candidate)
    };
    let bars: Vec<Bar> = all
        .iter()
        .zip(&amounts)
        .map(|((k, f), amounts)| Bar {
            name: name(*k),
            colour: t.wire(*k),
            strong: *k == file.shown,
            text: view.style.money(f.cost.part.median),
            parts: amounts.iter().map(|a| a.max(0.0)).collect(),
        })
        .collect();
    let sum = |b: &Bar| b.parts.iter().sum::<f64>();
    let most = bars.iter().map(sum).fold(0.0, f64::max);
    let marks = round_marks(most).into_iter();
    let marks: Vec<(f64, String)> = marks
        .map(|v| {
            let words = view.style.money(Money::from_amount(v));
            (v, if v == 0.0 { "0".to_owned() } else { words })
        })
        .collect();
    ui.label(strong(say!("What the cost is made of"), BODY).color(t.text));
    let title = say!("cost by parts: {}", parts.join(", "));
    let picture = stacked_ui(ui, &title, &parts, &bars, &marks);
    picture_ui(ui, say!("cost by parts"), picture.rect, actions, || {
        let head = std::iter::once(say!("wire").to_owned()).chain(parts.iter().cloned());
        let head = head
            .chain(std::iter::once(say!("in all").to_owned()))
            .collect();
        let rows = all.iter().zip(&amounts).map(|((k, f), amounts)| {
            let numbers = amounts.iter().copied();
            let whole = f.cost.part.median.amount();
            let numbers = numbers.chain(std::iter::once(whole)).map(cell);
            std::iter::once(name(*k)).chain(numbers).collect()
        });
        table(std::iter::once(head).chain(rows))
    });
}

/// Names of the parts, and of each wire what every part comes to; what is small with every wire stands together.
fn parts_of(all: &[(usize, &Figures)]) -> (Vec<String>, Vec<Vec<f64>>) {
    let mut names: Vec<&str> = Vec::new();
    for line in all.iter().flat_map(|(_, f)| f.cost.lines()) {
        if !names.contains(&line.what) {
            names.push(line.what);
        }
    }
    let amount = |f: &Figures, what: &str| -> f64 {
        let lines = f.cost.lines().into_iter();
        lines
            .filter(|l| l.what == what)
            .map(|l| l.amount.amount())
            .sum()
    };
    let whole = |f: &Figures| f.cost.part.median.amount();
    let most = all.iter().map(|(_, f)| whole(f)).fold(0.0, f64::max);
    let is_small = |what: &&str| {
        all.iter()
            .all(|(_, f)| amount(f, what).abs() < SMALL_PART * most)
    };
    let (small, large): (Vec<&str>, Vec<&str>) = names.into_iter().partition(is_small);
    let mut parts: Vec<String> = large.iter().map(|n| (*n).to_owned()).collect();
    if !small.is_empty() {
        parts.push(small.join(", "));
    }
    let amounts = all.iter().map(|(_, f)| {
        let mut list: Vec<f64> = large.iter().map(|n| amount(f, n)).collect();
        if !small.is_empty() {
            list.push(small.iter().map(|n| amount(f, n)).sum());
        }
        list
    });
    (parts, amounts.collect())
}
