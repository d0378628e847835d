//! What if: time, wire or cost of every wire against thickness, passes or material, and what matters most.

mod materials;
mod matters;

use crate::estimate::Axis;
use crate::estimate::sweep::SweepFigures;
use crate::gui::picture::{cell, picture_ui, table};
use crate::gui::state::{Action, View};
use crate::gui::sweeps::{Drawn, Run, Vary};
use crate::gui::theme::{BODY, SMALL, Tokens, strong, tokens};
use crate::gui::widgets::curve_chart::{Curve, CurveChart, Spot, round_marks, top};
use crate::gui::widgets::{Axis as TimeAxis, swatch};
use crate::units::Minutes;
use crate::words::figures::{self, Entry};
use crate::words::{
    Style,
    style::{self, number, significant},
};
use egui::emath::{Rect, pos2, vec2};
use egui::{FontId, Response, RichText, Role, ScrollArea, Sense, Ui, WidgetInfo};

/// The page.
pub fn what_if_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let vary = view.sweeps.vary.unwrap_or(Vary::Thickness);
    let drawn = view.sweeps.drawn;
    choices_ui(ui, vary, drawn, actions);
    let run = view.sweeps.run(vary, view.file);
    if run.is_none() && view.file.is_current() {
        actions.push(Action::Sweep(vary));
    }
    ScrollArea::both()
        .id_salt("what if")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            ui.set_max_width(ui.available_width() - 12.0);
            match run {
                Some(run) if vary == Vary::Material => {
                    materials::materials_ui(ui, view, run, drawn, actions);
                    progress_ui(ui, run);
                }
                Some(run) => run_ui(ui, view, run, vary == Vary::Thickness, drawn, actions),
                None => {
                    ui.label(view.file.awaited_words());
                }
            }
            ui.add_space(10.0);
            matters::matters_ui(ui, view, drawn, actions);
            ui.add_space(8.0);
        });
}

fn choices_ui(ui: &mut Ui, vary: Vary, drawn: Drawn, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        for d in [Drawn::Time, Drawn::Wire, Drawn::Cost] {
            let response = ui
                .selectable_label(drawn == d, entry(d).called())
                .on_hover_text(say!("draw this"));
            if response.clicked() {
                actions.push(Action::Draw(vary, d));
            }
        }
        ui.label(RichText::new(say!(" against ")).color(t.text_soft));
        for (text, v) in [
            (say!("thickness"), Vary::Thickness),
            (say!("passes"), Vary::Passes),
            (say!("material"), Vary::Material),
        ] {
            let response = ui
                .selectable_label(vary == v, text)
                .on_hover_text(say!("vary this"));
            if response.clicked() {
                actions.push(Action::Draw(v, drawn));
            }
        }
    });
}

/// The figure that is drawn, as all tables know it.
fn entry(drawn: Drawn) -> &'static Entry {
    match drawn {
        Drawn::Time => &figures::TIME,
        Drawn::Wire => &figures::WIRE,
        Drawn::Cost => &figures::COST,
    }
}

/// A figure of a point as median, low and high in the unit that is drawn.
fn figure_of(f: &SweepFigures, drawn: Drawn, style: Style) -> (f64, f64, f64) {
    let (median, low, high) = match drawn {
        Drawn::Time => {
            let m = f.minutes;
            (m.median.min_value(), m.low.min_value(), m.high.min_value())
        }
        Drawn::Wire => (f.wire.median.m(), f.wire.low.m(), f.wire.high.m()),
        Drawn::Cost => {
            let c = f.cost;
            (c.median.amount(), c.low.amount(), c.high.amount())
        }
    };
    let shown = |v| entry(drawn).form.shown(style, v);
    (shown(median), shown(low), shown(high))
}

/// A figure in words, from the unit that is drawn.
fn words(value: f64, drawn: Drawn, style: Style) -> String {
    let form = entry(drawn).form;
    form.words(style, value / form.shown(style, 1.0))
}

/// Inputs of the axis, in the unit that is shown.
fn inputs(axis: &Axis, style: Style) -> Vec<f64> {
    match axis {
        Axis::Thickness(v) => v.iter().map(|l| style.system.length_value(*l)).collect(),
        Axis::Passes(v) => v.iter().map(|p| *p as f64).collect(),
        Axis::Material(v) => (0..v.len()).map(|k| k as f64).collect(),
    }
}

/// The axis at one of its points: "62 mm", "rough and two skims".
fn input_words(x: f64, by_thickness: bool, style: Style) -> String {
    if by_thickness {
        format!(
            "{}\u{202f}{}",
            significant(x, 3),
            style.system.length_unit()
        )
    } else {
        crate::job::passes_words(x.round() as usize)
    }
}

fn curves(view: &View<'_>, t: &Tokens, run: &Run, drawn: Drawn, xs: &[f64]) -> Vec<Curve> {
    run.job()
        .candidates
        .iter()
        .enumerate()
        .map(|(k, c)| Curve {
            name: view.style.spoken_candidate(c),
            colour: t.wire(k),
            strong: view.file.shown == k,
            spots: run
                .points
                .iter()
                .zip(xs)
                .map(|(p, &x)| {
                    let f = p.candidates.get(k)?.as_ref()?;
                    let (y, low, high) = figure_of(f, drawn, view.style);
                    Some(Spot { x, y, low, high })
                })
                .collect(),
        })
        .collect()
}

fn run_ui(
    ui: &mut Ui,
    view: &View<'_>,
    run: &Run,
    by_thickness: bool,
    drawn: Drawn,
    actions: &mut Vec<Action>,
) {
    let style = view.style;
    let xs = inputs(&run.axis, style);
    let curves = curves(view, tokens(ui), run, drawn, &xs);
    let (Some(&first), Some(&last)) = (xs.first(), xs.last()) else {
        return;
    };
    let now = if by_thickness {
        style.system.length_value(view.file.job.thickness)
    } else {
        view.file.job.passes as f64
    };
    let highest = top(&curves);
    let y_marks = match drawn {
        Drawn::Time => TimeAxis::new(Minutes::from_min(highest / 1.03))
            .marks()
            .map(Minutes::min_value)
            .collect(),
        Drawn::Wire | Drawn::Cost => round_marks(highest),
    };
    let chart = CurveChart {
        curves: &curves,
        log_x: by_thickness,
        steps: !by_thickness,
        x_range: if by_thickness {
            (first, last)
        } else {
            // Each plan is a step as wide as the way to the next.
            (first - 0.5, last + 0.5)
        },
        x_marks: x_marks(by_thickness, &xs),
        now,
        y_marks: y_marks
            .into_iter()
            .map(|v| {
                (
                    v,
                    if v == 0.0 {
                        "0".to_owned()
                    } else {
                        words(v, drawn, style)
                    },
                )
            })
            .collect(),
        title: say!(
            "{} against {} for {}",
            [say!("time"), say!("wire"), say!("cost")][drawn as usize],
            if by_thickness {
                say!("thickness")
            } else {
                say!("passes")
            },
            style::count(curves.len(), say!("wire"), say!("wires"))
        ),
        x_title: if by_thickness {
            thickness_title(style)
        } else {
            say!("passes, 1 is the rough alone").to_owned()
        },
    };
    let width = ui.available_width();
    let (response, under) = chart.show(ui, width, (width * 0.56).clamp(210.0, 360.0));
    let picture = response.rect;
    if let Some(k) = under {
        response.on_hover_ui_at_pointer(|ui| {
            ui.label(strong(input_words(xs[k], by_thickness, style), BODY));
            for c in &curves {
                if let Some(Some(s)) = c.spots.get(k) {
                    ui.horizontal(|ui| {
                        swatch(ui, c.colour);
                        ui.label(&c.name);
                        ui.label(strong(words(s.y, drawn, style), BODY));
                    });
                }
            }
        });
    }
    legend_ui(ui, view, &curves, actions);
    let x_title = chart.x_title.clone();
    picture_ui(ui, &chart.title, picture, actions, || {
        numbers(&x_title, &xs, &curves)
    });
    let remark = say!("the band is that of the wire shown: two of three jobs fall in it");
    ui.label(
        RichText::new(remark)
            .size(SMALL)
            .color(tokens(ui).text_faint),
    );
    progress_ui(ui, run);
}

/// What the picture shows: the input, and of every wire the median with both ends of its range.
fn numbers(x_title: &str, xs: &[f64], curves: &[Curve]) -> String {
    let ends =
        |c: &Curve| ["", say!(", low"), say!(", high")].map(|what| format!("{}{what}", c.name));
    let head = std::iter::once(x_title.to_owned()).chain(curves.iter().flat_map(ends));
    let cells = |k: usize| {
        let of = move |c: &Curve| match c.spots.get(k).copied().flatten() {
            Some(s) => [s.y, s.low, s.high].map(cell),
            None => Default::default(),
        };
        curves.iter().flat_map(of)
    };
    let row = |(k, x): (usize, &f64)| std::iter::once(cell(*x)).chain(cells(k)).collect();
    table(std::iter::once(head.collect()).chain(xs.iter().enumerate().map(row)))
}

/// How far the points are computed.
fn progress_ui(ui: &mut Ui, run: &Run) {
    if !run.is_complete() {
        ui.label(
            RichText::new(say!("{} of {} points", run.points.len(), run.axis.len()))
                .size(SMALL)
                .color(tokens(ui).text_faint),
        );
    }
}

fn x_marks(by_thickness: bool, xs: &[f64]) -> Vec<(f64, String)> {
    let (Some(&low), Some(&high)) = (xs.first(), xs.last()) else {
        return Vec::new();
    };
    if !by_thickness {
        return xs.iter().map(|x| (*x, number(*x, 0))).collect();
    }
    [
        0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 40.0, 60.0, 100.0, 150.0, 200.0,
        300.0, 500.0, 1000.0,
    ]
    .into_iter()
    .filter(|v| (low * 0.999..=high * 1.001).contains(v))
    .map(|v| (v, significant(v, 3)))
    .collect()
}

/// Colour and name of every wire; a click shows it.
fn legend_ui(ui: &mut Ui, view: &View<'_>, curves: &[Curve], actions: &mut Vec<Action>) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(5.0, 3.0);
        for (k, c) in curves.iter().enumerate() {
            if legend_entry(ui, c).clicked() && view.file.shown != k {
                actions.push(Action::Show(k));
            }
        }
    });
}

/// Swatch and name as one piece, so that no line break parts a colour from its name.
fn legend_entry(ui: &mut Ui, c: &Curve) -> Response {
    let t = tokens(ui);
    let colour = if c.strong { t.text } else { t.text_soft };
    let font = FontId::proportional(SMALL + 0.5);
    let galley = ui.painter().layout_no_wrap(c.name.clone(), font, colour);
    let size = vec2(galley.size().x + 30.0, 20.0);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    let label = say!("curve of {}", c.name);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &label));
    if response.hovered() || response.has_focus() {
        ui.painter().rect_filled(rect, 3, t.accent_fill);
    }
    let middle = rect.center().y;
    let mark = Rect::from_center_size(pos2(rect.left() + 9.0, middle), vec2(12.0, 12.0));
    ui.painter().rect_filled(mark, 3, c.colour);
    let top = middle - galley.size().y / 2.0;
    ui.painter()
        .galley(pos2(rect.left() + 20.0, top), galley, colour);
    response.on_hover_text(say!("show this wire"))
}

/// What an axis of thicknesses is called.
pub fn thickness_title(style: Style) -> String {
    say!("thickness of the work, {}", style.system.length_unit())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    #[test]
    fn the_axis_follows_the_units() {
        let axis = Axis::Thickness(vec![Length::from_mm(25.4), Length::from_mm(50.8)]);
        assert_eq!(inputs(&axis, Style::default()), [25.4, 50.8]);
        assert_eq!(
            inputs(&axis, Style::of(crate::words::System::Inch)),
            [1.0, 2.0]
        );
        let marks = x_marks(true, &[5.0, 150.0]);
        assert!(marks.len() >= 5 && marks[0].0 == 5.0);
    }
}
