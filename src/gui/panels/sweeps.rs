//! What if: time, wire or cost of every wire against thickness or passes, and what matters most.

use crate::estimate::sweep::SweepFigures;
use crate::estimate::{Axis, Mattering};
use crate::gui::format::{self, System, number, significant};
use crate::gui::state::{Action, View};
use crate::gui::sweeps::{Drawn, Run, Vary};
use crate::gui::theme::{BODY, SMALL, Tokens, mix, strong, tokens};
use crate::gui::widgets::curve_chart::{Curve, CurveChart, Spot, round_marks, top};
use crate::gui::widgets::{Axis as TimeAxis, elided, swatch};
use crate::units::{Minutes, Money};
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::{FontId, Label, Response, RichText, Role, ScrollArea, Sense, Stroke, Ui, WidgetInfo};

/// Metres in one foot, exact by definition.
const M_PER_FOOT: f64 = 0.3048;
/// Bars that are shown.
const MOST_BARS: usize = 12;

/// The page.
pub fn sweeps_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let vary = view.sweeps.vary.unwrap_or(Vary::Thickness);
    let drawn = view.sweeps.drawn;
    choices_ui(ui, vary, drawn, actions);
    let run = view.sweeps.run(vary, view.file);
    if run.is_none() && !view.file.waiting {
        actions.push(Action::Sweep(vary));
    }
    ScrollArea::vertical()
        .id_salt("what if")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            ui.set_max_width(ui.available_width() - 12.0);
            match run {
                Some(run) => run_ui(ui, view, run, vary, drawn, actions),
                None => {
                    ui.label("Estimating…");
                }
            }
            ui.add_space(10.0);
            matters_ui(ui, view, drawn, actions);
            ui.add_space(8.0);
        });
}

fn choices_ui(ui: &mut Ui, vary: Vary, drawn: Drawn, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        for (text, d) in [
            ("time", Drawn::Time),
            ("wire", Drawn::Wire),
            ("cost", Drawn::Cost),
        ] {
            let response = ui
                .selectable_label(drawn == d, text)
                .on_hover_text("draw this");
            if response.clicked() {
                actions.push(Action::Draw(vary, d));
            }
        }
        ui.label(RichText::new(" against ").color(t.text_soft));
        for (text, v) in [("thickness", Vary::Thickness), ("passes", Vary::Passes)] {
            let response = ui
                .selectable_label(vary == v, text)
                .on_hover_text("vary this");
            if response.clicked() {
                actions.push(Action::Draw(v, drawn));
            }
        }
    });
}

/// A figure of a point as median, low and high in the unit that is drawn.
fn figure_of(f: &SweepFigures, drawn: Drawn, system: System) -> (f64, f64, f64) {
    match drawn {
        Drawn::Time => {
            let m = f.minutes;
            (m.median.min_value(), m.low.min_value(), m.high.min_value())
        }
        Drawn::Wire => {
            let unit = if system == System::Inch {
                M_PER_FOOT
            } else {
                1.0
            };
            let w = f.wire;
            (w.median.m() / unit, w.low.m() / unit, w.high.m() / unit)
        }
        Drawn::Cost => {
            let c = f.cost;
            (c.median.amount(), c.low.amount(), c.high.amount())
        }
    }
}

/// A figure in words.
fn words(value: f64, drawn: Drawn, system: System) -> String {
    match drawn {
        Drawn::Time => format::time(Minutes::from_min(value)),
        Drawn::Wire => format!(
            "{}\u{202f}{}",
            number(value, usize::from(value < 100.0)),
            system.wire_unit()
        ),
        Drawn::Cost => format::money(Money::from_amount(value)),
    }
}

/// Inputs of the axis, in the unit that is shown.
fn inputs(axis: &Axis, system: System) -> Vec<f64> {
    match axis {
        Axis::Thickness(v) => v.iter().map(|l| system.length_value(*l)).collect(),
        Axis::Passes(v) => v.iter().map(|p| *p as f64).collect(),
        Axis::Material(v) => (0..v.len()).map(|k| k as f64).collect(),
    }
}

/// The axis at one of its points: "62 mm", "rough and two skims".
fn input_words(x: f64, vary: Vary, system: System) -> String {
    match vary {
        Vary::Thickness => {
            format!("{}\u{202f}{}", significant(x, 3), system.length_unit())
        }
        Vary::Passes => crate::job::passes_words(x.round() as usize),
    }
}

fn curves(view: &View<'_>, t: &Tokens, run: &Run, drawn: Drawn, xs: &[f64]) -> Vec<Curve> {
    run.job()
        .candidates
        .iter()
        .enumerate()
        .map(|(k, c)| Curve {
            name: view.system.candidate(c),
            colour: t.wire(k),
            strong: view.file.shown == k,
            spots: run
                .points
                .iter()
                .zip(xs)
                .map(|(p, &x)| {
                    let f = p.candidates.get(k)?.as_ref()?;
                    let (y, low, high) = figure_of(f, drawn, view.system);
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
    vary: Vary,
    drawn: Drawn,
    actions: &mut Vec<Action>,
) {
    let system = view.system;
    let xs = inputs(&run.axis, system);
    let curves = curves(view, tokens(ui), run, drawn, &xs);
    let (Some(&first), Some(&last)) = (xs.first(), xs.last()) else {
        return;
    };
    let now = match vary {
        Vary::Thickness => system.length_value(view.file.job.thickness),
        Vary::Passes => view.file.job.passes as f64,
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
        log_x: vary == Vary::Thickness,
        x_range: (first, last),
        x_marks: x_marks(vary, &xs),
        now,
        y_marks: y_marks
            .into_iter()
            .map(|v| {
                (
                    v,
                    if v == 0.0 {
                        "0".to_owned()
                    } else {
                        words(v, drawn, system)
                    },
                )
            })
            .collect(),
        title: format!(
            "{} against {} for {}",
            ["time", "wire", "cost"][drawn as usize],
            if vary == Vary::Thickness {
                "thickness"
            } else {
                "passes"
            },
            format::count(curves.len(), "wire", "wires")
        ),
        x_title: match vary {
            Vary::Thickness => format!("thickness of the work, {}", system.length_unit()),
            Vary::Passes => "passes, 1 is the rough alone".to_owned(),
        },
    };
    let width = ui.available_width();
    let (response, under) = chart.show(ui, width, (width * 0.56).clamp(210.0, 360.0));
    if let Some(k) = under {
        response.on_hover_ui_at_pointer(|ui| {
            ui.label(strong(input_words(xs[k], vary, system), BODY));
            for c in &curves {
                if let Some(Some(s)) = c.spots.get(k) {
                    ui.horizontal(|ui| {
                        swatch(ui, c.colour);
                        ui.label(&c.name);
                        ui.label(strong(words(s.y, drawn, system), BODY));
                    });
                }
            }
        });
    }
    legend_ui(ui, view, &curves, actions);
    if !run.is_complete() {
        ui.label(
            RichText::new(format!("{} of {} points", run.points.len(), run.axis.len()))
                .size(SMALL)
                .color(tokens(ui).text_faint),
        );
    }
}

fn x_marks(vary: Vary, xs: &[f64]) -> Vec<(f64, String)> {
    let (Some(&low), Some(&high)) = (xs.first(), xs.last()) else {
        return Vec::new();
    };
    match vary {
        Vary::Thickness => [
            0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 40.0, 60.0, 100.0, 150.0, 200.0,
            300.0, 500.0, 1000.0,
        ]
        .into_iter()
        .filter(|v| (low * 0.999..=high * 1.001).contains(v))
        .map(|v| (v, significant(v, 3)))
        .collect(),
        Vary::Passes => xs.iter().map(|x| (*x, number(*x, 0))).collect(),
    }
}

/// Colour and name of every wire; a click shows it.
fn legend_ui(ui: &mut Ui, view: &View<'_>, curves: &[Curve], actions: &mut Vec<Action>) {
    let t = tokens(ui);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(5.0, 3.0);
        for (k, c) in curves.iter().enumerate() {
            if legend_entry(ui, c).clicked() && view.file.shown != k {
                actions.push(Action::Show(k));
            }
        }
    });
    ui.label(
        RichText::new("bands hold about 68 %; the strong one is the wire shown")
            .size(SMALL)
            .color(t.text_faint),
    );
}

/// Swatch and name as one piece, so that no line break parts a colour from its name.
fn legend_entry(ui: &mut Ui, c: &Curve) -> Response {
    let t = tokens(ui);
    let colour = if c.strong { t.text } else { t.text_soft };
    let font = FontId::proportional(SMALL + 0.5);
    let galley = ui.painter().layout_no_wrap(c.name.clone(), font, colour);
    let size = vec2(galley.size().x + 30.0, 20.0);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    let label = format!("curve of {}", c.name);
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
    response.on_hover_text("show this wire")
}

/// Bars of what moves the figure of the wire shown.
fn matters_ui(ui: &mut Ui, view: &View<'_>, drawn: Drawn, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let file = view.file;
    let Some(f) = file.shown_estimate().and_then(|e| e.figures.as_ref()) else {
        return;
    };
    // Wire follows the time but for the run-off; its bars would show the same.
    let by_cost = drawn == Drawn::Cost;
    let what = if by_cost { "cost" } else { "time" };
    ui.horizontal(|ui| {
        ui.label(strong(format!("What matters most for the {what} of"), BODY).color(t.text));
        swatch(ui, t.wire(file.shown));
        let name = super::wires::candidate_name(view.system, &file.job, file.shown);
        ui.label(strong(name, BODY).color(t.text));
    });
    let Some(found) = view.sweeps.matters(file.shown, file) else {
        if !file.waiting {
            actions.push(Action::Matters(file.shown));
        }
        return;
    };
    let Some(list) = found else {
        ui.label(RichText::new("Moving each input over its range…").color(t.text_faint));
        return;
    };
    let ends = |m: &Mattering| {
        if by_cost {
            (m.cost.0.amount(), m.cost.1.amount())
        } else {
            (m.minutes.0.min_value(), m.minutes.1.min_value())
        }
    };
    let middle = if by_cost {
        f.cost.part.median.amount()
    } else {
        f.minutes.median.min_value()
    };
    let mut bars: Vec<(&Mattering, (f64, f64))> = list.iter().map(|m| (m, ends(m))).collect();
    bars.retain(|(_, (a, b))| (a - b).abs() > middle * 0.005);
    bars.sort_by(|a, b| (b.1.0 - b.1.1).abs().total_cmp(&(a.1.0 - a.1.1).abs()));
    bars.truncate(MOST_BARS);
    let reach = bars
        .iter()
        .flat_map(|(_, (a, b))| [(a - middle).abs(), (b - middle).abs()])
        .fold(1e-9, f64::max);
    let drawn = if by_cost { Drawn::Cost } else { Drawn::Time };
    for (m, (a, b)) in bars {
        bar_ui(ui, m, (a.min(b), middle, a.max(b)), reach, &|v| {
            words(v, drawn, view.system)
        });
    }
    let remark = "Each input moves over its own range of about 68 %, all others as they are. Left is less, right is more.";
    ui.add(Label::new(RichText::new(remark).size(SMALL).color(t.text_faint)).wrap());
}

fn bar_ui(
    ui: &mut Ui,
    m: &Mattering,
    (low, middle, high): (f64, f64, f64),
    reach: f64,
    words: &dyn Fn(f64) -> String,
) {
    let t = tokens(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 21.0), Sense::hover());
    let label = format!("{}, {} to {}", m.name, words(low), words(high));
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &label));
    let painter = ui.painter();
    let y = rect.center().y;
    let name_width = 212.0;
    let room = Rect::from_min_size(rect.min, vec2(name_width - 6.0, rect.height()));
    elided(ui, &m.name, FontId::proportional(BODY - 0.5), t.text, room);
    let small = FontId::proportional(SMALL);
    let track = Rect::from_min_max(
        pos2(rect.left() + name_width + 66.0, rect.top() + 4.0),
        pos2(rect.right() - 70.0, rect.bottom() - 4.0),
    );
    let x = |v: f64| track.center().x + track.width() * 0.5 * ((v - middle) / reach) as f32;
    for (from, to, colour) in [(low, middle, t.better), (middle, high, t.worse)] {
        let bar = Rect::from_min_max(pos2(x(from), track.top()), pos2(x(to), track.bottom()));
        painter.rect_filled(bar, 0, mix(t.ground, colour, 0.7));
    }
    painter.line_segment(
        [pos2(x(middle), rect.top()), pos2(x(middle), rect.bottom())],
        Stroke::new(1.0, t.text_faint),
    );
    painter.text(
        pos2(x(low) - 5.0, y),
        Align2::RIGHT_CENTER,
        words(low),
        small.clone(),
        t.text_soft,
    );
    painter.text(
        pos2(x(high) + 5.0, y),
        Align2::LEFT_CENTER,
        words(high),
        small,
        t.text_soft,
    );
    let unit = if m.unit.is_empty() {
        String::new()
    } else {
        format!("\u{202f}{}", m.unit)
    };
    response.on_hover_text(format!(
        "{} from {} to {}{unit}",
        m.name,
        significant(m.input.0, 3),
        significant(m.input.1, 3)
    ));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    #[test]
    fn the_axis_follows_the_units() {
        let axis = Axis::Thickness(vec![Length::from_mm(25.4), Length::from_mm(50.8)]);
        assert_eq!(inputs(&axis, System::Metric), [25.4, 50.8]);
        assert_eq!(inputs(&axis, System::Inch), [1.0, 2.0]);
        let marks = x_marks(Vary::Thickness, &[5.0, 150.0]);
        assert!(marks.len() >= 5 && marks[0].0 == 5.0);
    }
}
