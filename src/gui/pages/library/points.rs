//! The thickness curve: the built-in one, or a table of the shop's own points, and both as a chart.

use super::asking::{ask, remark};
use crate::gui::own_library::typed::{RATE_UNIT, THICKNESS_UNIT};
use crate::gui::own_library::units::shown_unit;
use crate::gui::own_library::{LibraryAction, Spot};
use crate::gui::pages::what_if::thickness_title;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, strong, tokens};
use crate::gui::widgets::curve_chart::{Curve, CurveChart, Spot as Dot, round_marks, top};
use crate::gui::widgets::{NumberField, swatch};
use crate::library::{CurvePoint, ThicknessCurve};
use crate::numbers::as_meant;
use crate::process::cutting_rate::{REFERENCE_DIAMETER, thickness_factor};
use crate::units::Length;
use crate::words::style::significant;
use egui::{RichText, Stroke, StrokeKind, TextEdit, Ui};

/// Least and most thickness of the chart, mm.
const RANGE_MM: (f64, f64) = (2.0, 400.0);
/// Places at which a curve is drawn.
const PLACES: usize = 60;

/// Chart and table.
pub fn points_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let own = view.own.own().thickness_curve.as_ref();
    chart_ui(ui, view, own);
    let Some(curve) = own else {
        remark(
            ui,
            say!(
                "The built-in curve is a judgement: a start, until your own cuts are known. If you know your machine’s \
             rates, enter them as points; between points the rate runs smoothly, beyond them by the built-in shape."
            ),
        );
        if ui
            .button(say!("Begin your own curve"))
            .on_hover_text(say!("with a few points of the built-in one, to be changed"))
            .clicked()
        {
            ask(actions, LibraryAction::BeginCurve);
        }
        return;
    };
    for (k, point) in curve.points().iter().enumerate() {
        point_ui(ui, k, *point, view, actions);
    }
    add_ui(ui, view, actions);
    ui.add_space(4.0);
    if ui
        .button(say!("Back to the built-in curve"))
        .on_hover_text(say!("take your points out; undo brings them back"))
        .clicked()
    {
        ask(actions, LibraryAction::DropCurve);
    }
    remark(
        ui,
        say!(
            "Between points the logarithm of the rate follows that of the thickness without overshooting. Beyond the first \
         and the last point the built-in shape carries on, and the reasons of an estimate say so."
        ),
    );
}

/// One point: thickness and rate.
fn point_ui(ui: &mut Ui, k: usize, point: CurvePoint, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    ui.horizontal(|ui| {
        for (rate, name, value, unit) in [
            (false, say!("thickness"), point.thickness_mm, THICKNESS_UNIT),
            (true, say!("rate"), point.rate_mm2_per_min, RATE_UNIT),
        ] {
            let spot = Spot::Point { point: k, rate };
            let wrong = view.own.wrong_at(&spot);
            let (factor, symbol) = shown_unit(view.style, unit);
            let shown = wrong.map_or_else(|| significant(value * factor, 5), |w| w.typed.clone());
            let label = say!("{name} of point {}", k + 1);
            let entry = NumberField::new(&label, shown).width(70.0).show(ui);
            if wrong.is_some() {
                ui.painter().rect_stroke(
                    entry.response.rect,
                    4,
                    Stroke::new(1.5, t.fault),
                    StrokeKind::Outside,
                );
            }
            if let Some(typed) = entry.typed {
                ask(actions, LibraryAction::Type(spot, typed));
            }
            ui.label(RichText::new(symbol).size(SMALL).color(t.text_soft));
        }
        let remove = ui
            .small_button("×")
            .on_hover_text(say!("take this point out"))
            .accessible_name(say!("take out point {}", k + 1));
        if remove.clicked() {
            ask(actions, LibraryAction::RemovePoint(k));
        }
    });
    for rate in [false, true] {
        if let Some(wrong) = view.own.wrong_at(&Spot::Point { point: k, rate }) {
            ui.label(RichText::new(&wrong.reason).size(SMALL).color(t.fault));
        }
    }
}

/// Another point, put where its thickness belongs.
fn add_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let (t, style) = (tokens(ui), view.style);
    let id = ui.make_persistent_id("point to add");
    let mut draft: (String, String) = ui.data(|d| d.get_temp(id)).unwrap_or_default();
    ui.horizontal(|ui| {
        for (text, name, unit) in [
            (
                &mut draft.0,
                say!("thickness of a new point"),
                THICKNESS_UNIT,
            ),
            (&mut draft.1, say!("rate of a new point"), RATE_UNIT),
        ] {
            ui.add(
                TextEdit::singleline(text)
                    .hint_text(say!("new"))
                    .text_color(t.accent)
                    .desired_width(72.0),
            )
            .accessible_name(name);
            let symbol = shown_unit(style, unit).1;
            ui.label(RichText::new(symbol).size(SMALL).color(t.text_soft));
        }
        let ready = !draft.0.trim().is_empty() && !draft.1.trim().is_empty();
        let add = ui.add_enabled(ready, egui::Button::new(say!("Add the point")));
        if add.clicked() {
            let typed = std::mem::take(&mut draft);
            let [thickness, rate] = [typed.0, typed.1].map(|t| as_meant(&t, view.sign));
            ask(actions, LibraryAction::AddPoint(thickness, rate));
        }
    });
    ui.data_mut(|d| d.insert_temp(id, draft));
}

fn chart_ui(ui: &mut Ui, view: &View<'_>, own: Option<&ThicknessCurve>) {
    let t = tokens(ui);
    let style = view.style;
    let (factor, rate_unit) = shown_unit(style, RATE_UNIT);
    let places = places(own);
    let curve = |name: &str, colour, strong, rate: &dyn Fn(Length) -> f64| Curve {
        name: name.to_owned(),
        colour,
        strong,
        spots: places
            .iter()
            .map(|&h| {
                let y = rate(h) * factor;
                Some(Dot {
                    x: style.system.length_value(h),
                    y,
                    low: y,
                    high: y,
                })
            })
            .collect(),
    };
    let model = &view.library.model;
    let built_in =
        |h: Length| model.peak_rate.value * thickness_factor(h, REFERENCE_DIAMETER, model);
    let mut curves = vec![curve(
        say!("built-in"),
        t.text_soft,
        own.is_none(),
        &built_in,
    )];
    if let Some(own) = own {
        let rate = |h: Length| {
            own.at(h, |h| thickness_factor(h, REFERENCE_DIAMETER, model))
                .rate
                .mm2_per_min()
        };
        curves.push(curve(say!("yours"), t.accent, true, &rate));
    }
    let (Some(first), Some(last)) = (places.first(), places.last()) else {
        return;
    };
    let (first, last) = (
        style.system.length_value(*first),
        style.system.length_value(*last),
    );
    let chart = CurveChart {
        curves: &curves,
        log_x: true,
        steps: false,
        x_range: (first, last),
        x_marks: [
            0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 400.0,
        ]
        .into_iter()
        .filter(|v| (first * 0.999..=last * 1.001).contains(v))
        .map(|v| (v, significant(v, 3)))
        .collect(),
        now: style
            .system
            .length_value(view.file.job.thickness)
            .clamp(first, last),
        y_marks: round_marks(top(&curves))
            .into_iter()
            .map(|v| (v, significant(v, 3)))
            .collect(),
        title: say!("rate of the rough against thickness").to_owned(),
        x_title: thickness_title(style),
    };
    let width = ui.available_width();
    let (response, under) = chart.show(ui, width, (width * 0.42).clamp(170.0, 260.0));
    if let Some(k) = under {
        response.on_hover_ui_at_pointer(|ui| {
            for c in &curves {
                if let Some(Some(s)) = c.spots.get(k) {
                    let x = significant(s.x, 3);
                    let text = say!(
                        "{} at {x}\u{202f}{}: {}\u{202f}{rate_unit}",
                        c.name,
                        style.system.length_unit(),
                        significant(s.y, 3)
                    );
                    ui.label(strong(text, BODY));
                }
            }
        });
    }
    ui.horizontal(|ui| {
        for c in &curves {
            swatch(ui, c.colour);
            ui.label(RichText::new(&c.name).size(SMALL).color(t.text_soft));
        }
        let unit = say!("{rate_unit} in the rough");
        ui.label(RichText::new(unit).size(SMALL).color(t.text_faint));
    });
}

/// Thicknesses in equal ratios, and the own points themselves.
fn places(own: Option<&ThicknessCurve>) -> Vec<Length> {
    let points = own.map_or(&[][..], ThicknessCurve::points);
    let low = points
        .first()
        .map_or(RANGE_MM.0, |p| p.thickness_mm.min(RANGE_MM.0));
    let high = points
        .last()
        .map_or(RANGE_MM.1, |p| p.thickness_mm.max(RANGE_MM.1));
    let ratio: f64 = high / low;
    let mut out: Vec<f64> = (0..PLACES)
        .map(|k| low * ratio.powf(k as f64 / (PLACES - 1) as f64))
        .chain(points.iter().map(|p| p.thickness_mm))
        .collect();
    out.sort_by(f64::total_cmp);
    out.into_iter().map(Length::from_mm).collect()
}
