//! The same job in every material: a line a material, a dot with its range for every wire.

use super::{entry, figure_of, legend_entry, words};
use crate::gui::picture::{cell, picture_ui, table};
use crate::gui::state::{Action, View};
use crate::gui::sweeps::{Drawn, Run};
use crate::gui::theme::{BODY, SMALL, strong, tokens};
use crate::gui::widgets::curve_chart::Curve;
use crate::gui::widgets::range_chart::{Dot, Line, RangeChart};
use crate::gui::widgets::swatch;
use crate::language::said;
use crate::words::Style;
use egui::{Rect, RichText, Ui, pos2, vec2};

/// Marks of a time, min: what one says, in steps of about two.
const TIMES: [f64; 19] = [
    1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0, 120.0, 240.0, 480.0, 720.0, 1440.0, 2880.0, 6000.0,
    12_000.0, 30_000.0, 60_000.0, 120_000.0, 300_000.0,
];

/// Chart, legend and what the dots mean.
pub fn materials_ui(
    ui: &mut Ui,
    view: &View<'_>,
    run: &Run,
    drawn: Drawn,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    let style = view.style;
    let wires: Vec<Curve> = run
        .job()
        .candidates
        .iter()
        .enumerate()
        .map(|(k, c)| Curve {
            name: style.spoken_candidate(c),
            colour: t.wire(k),
            strong: view.file.shown == k,
            spots: Vec::new(),
        })
        .collect();
    // Above, because the chart is longer than a small window.
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(5.0, 3.0);
        for (k, wire) in wires.iter().enumerate() {
            if legend_entry(ui, wire).clicked() && view.file.shown != k {
                actions.push(Action::Show(k));
            }
        }
    });
    let lines = lines(view, run, drawn, &wires);
    let chart = RangeChart {
        lines: &lines,
        marks: &|low, high| marks(low, high, drawn, style),
        title: say!(
            "{} by material, the same job in each",
            entry(drawn).called()
        ),
    };
    let top = ui.cursor().min;
    let under = chart.show(ui);
    let picture = Rect::from_min_max(top, pos2(ui.max_rect().right(), ui.min_rect().bottom()));
    if let Some((k, response)) = under {
        let line = &lines[k];
        response.on_hover_ui_at_pointer(|ui| {
            ui.label(strong(&line.name, BODY));
            for (wire, dot) in wires.iter().zip(&line.dots) {
                ui.horizontal(|ui| {
                    swatch(ui, wire.colour);
                    ui.label(said(&wire.name));
                    let text = dot.as_ref().map_or_else(
                        || say!("cannot do it").to_owned(),
                        |d| words(d.value, drawn, style),
                    );
                    ui.label(strong(text, BODY));
                });
            }
        });
    }
    picture_ui(ui, &chart.title, picture, actions, || {
        let ends =
            |c: &Curve| ["", say!(", low"), say!(", high")].map(|e| format!("{}{e}", c.name));
        let head = std::iter::once(say!("material").to_owned()).chain(wires.iter().flat_map(ends));
        let cells = |d: &Option<Dot>| match d {
            Some(d) => [d.value, d.low, d.high].map(cell),
            None => Default::default(),
        };
        let row = |l: &Line| {
            let cells = l.dots.iter().flat_map(cells);
            std::iter::once(l.name.clone()).chain(cells).collect()
        };
        table(std::iter::once(head.collect()).chain(lines.iter().map(row)))
    });
    let remark = say!(
        "Sorted by the time of the wire shown, whose dots are the strong ones. Two of three jobs fall in the range. Equal \
                  steps of the scale are equal ratios."
    );
    let text = RichText::new(remark).size(SMALL).color(t.text_faint);
    ui.add(egui::Label::new(text).wrap());
}

/// One line a material, the quickest first; those that the wire shown cannot cut come last.
fn lines(view: &View<'_>, run: &Run, drawn: Drawn, wires: &[Curve]) -> Vec<Line> {
    let crate::estimate::Axis::Material(names) = &run.axis else {
        return Vec::new();
    };
    let shown = view.file.shown;
    let minutes = |k: usize| {
        let figures = run.points[k].candidates.get(shown)?.as_ref()?;
        Some(figures.minutes.median.min_value())
    };
    let mut order: Vec<usize> = (0..run.points.len().min(names.len())).collect();
    order.sort_by(|&a, &b| {
        let time = |k| minutes(k).unwrap_or(f64::INFINITY);
        time(a).total_cmp(&time(b))
    });
    let line = |k: usize| {
        let dots: Vec<Option<Dot>> = run.points[k]
            .candidates
            .iter()
            .zip(wires)
            .map(|(figures, wire)| {
                let (value, low, high) = figure_of(figures.as_ref()?, drawn, view.style);
                Some(Dot {
                    value,
                    low,
                    high,
                    colour: wire.colour,
                    strong: wire.strong,
                })
            })
            .collect();
        let text = dots.get(shown).and_then(Option::as_ref).map_or_else(
            || say!("not with this wire").to_owned(),
            |d| words(d.value, drawn, view.style),
        );
        Line {
            name: names[k].clone(),
            text,
            dots,
            marked: names[k] == view.file.job.material,
        }
    };
    order.into_iter().map(line).collect()
}

/// Marks between two values, with their words.
fn marks(low: f64, high: f64, drawn: Drawn, style: Style) -> Vec<(f64, String)> {
    let all: Vec<f64> = match drawn {
        Drawn::Time => TIMES.to_vec(),
        Drawn::Wire | Drawn::Cost => (-2..7)
            .flat_map(|power| [1.0, 2.0, 5.0].map(|m| m * 10_f64.powi(power)))
            .collect(),
    };
    all.into_iter()
        .filter(|v| (low..=high).contains(v))
        .map(|v| (v, mark_words(v, drawn, style)))
        .collect()
}

/// A mark without decimals that say nothing.
fn mark_words(value: f64, drawn: Drawn, style: Style) -> String {
    match drawn {
        Drawn::Cost => crate::words::style::significant(value, 3),
        _ => words(value, drawn, style),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_span_has_marks_in_it() {
        for drawn in [Drawn::Time, Drawn::Wire, Drawn::Cost] {
            for low in [1.0, 7.0, 130.0, 4000.0] {
                let found = marks(low, low * 6.0, drawn, Style::default());
                assert!((2..=7).contains(&found.len()), "{low}: {found:?}");
            }
        }
    }
}
