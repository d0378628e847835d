//! What a faster run is worth: two runs in parts, wire and money, the freed machine hours sold or not.

use crate::estimate::worth::{Run, Worth};
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, Tokens, strong, tokens};
use crate::gui::widgets::curve_chart::round_marks;
use crate::gui::widgets::{NumberField, swatch};
use crate::gui::worth::{Typed, pair};
use crate::units::{Minutes, Money};
use crate::words::style::{number, significant};
use crate::words::typed::parse_number;
use crate::words::{Style, System};
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::{FontId, Grid, Label, RichText, Role, ScrollArea, Sense, Stroke, Ui, WidgetInfo};

/// Kilograms in one pound, exact by definition.
const KG_PER_POUND: f64 = 0.453_592_37;
/// Metres in one foot, exact by definition.
const M_PER_FOOT: f64 = 0.3048;

/// The page.
pub fn worth_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let file = view.file;
    let Some(answer) = &file.answer else {
        ui.label(RichText::new("Estimating…").color(t.text_soft));
        return;
    };
    let comparison = &answer.comparison;
    let (first, second) = pair(comparison, file.shown);
    let of = |k: usize| {
        let e = comparison.estimates.get(k)?;
        Some((&e.candidate, e.figures.as_ref()))
    };
    let runs =
        [(0, first), (1, second)].map(|(k, c)| view.worth.run(k, of(c), &answer.job, view.library));
    ScrollArea::vertical()
        .id_salt("worth")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            ui.set_max_width(ui.available_width() - 12.0);
            let results = runs[0].zip(runs[1]).map(|(a, b)| {
                let basis = view.worth.basis(&answer.job);
                (Worth::of(&a, &b, &basis), basis.machine_rate)
            });
            if let Some((worth, _)) = &results {
                summary_ui(ui, worth);
            }
            from_ui(ui, view, actions);
            let names = [first, second].map(|k| of(k).map(|(c, _)| view.style.candidate(c)));
            inputs_ui(ui, view, (first, second), &names, &runs, actions);
            let Some((worth, rate)) = results else {
                ui.add_space(6.0);
                let text = "One of the two wires cannot do this job. Type its time and wire, or show another wire below.";
                ui.add(Label::new(RichText::new(text).color(t.text_soft)).wrap());
                return;
            };
            ui.add_space(8.0);
            parts_ui(ui, &worth);
            ui.add_space(8.0);
            saved_ui(ui, &worth, view.style);
            ui.add_space(8.0);
            money_ui(ui, &worth, rate);
            ui.add_space(6.0);
            turning_ui(ui, &worth, rate);
            ui.add_space(6.0);
            let remark = "Arithmetic on the two runs alone: the parts of the first run's year, each made in the time of \
                          the second. Not sold, the \
                          wire less its scrap, consumables and, from the estimate, attended work count. Set-up, stops and all that both share cancel.";
            ui.add(Label::new(RichText::new(remark).size(SMALL).color(t.text_faint)).wrap());
        });
}

/// The answer in a line: parts, and money in both cases.
fn summary_ui(ui: &mut Ui, w: &Worth) {
    let t = tokens(ui);
    let (week, by_weeks, _) = w.more();
    let money = |m: Money| signed(m.amount(), 2);
    let text = format!(
        "{} parts/week, {} a year; worth {} a part with the freed hours sold, {} not sold.",
        signed(week as f64, 0),
        signed(by_weeks, 0),
        money(w.per_part_sold),
        money(w.per_part_unsold)
    );
    ui.add(Label::new(strong(text, BODY).color(t.text)).wrap());
}

/// Where the two runs come from.
fn from_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    if view.worth.is_empty() {
        let text = "From the estimate. Type over any of it what the machine's own record says.";
        ui.add(Label::new(RichText::new(text).size(SMALL).color(t.text_faint)).wrap());
    } else if ui
        .button("Back to the estimate")
        .on_hover_text("forget what was typed here")
        .clicked()
    {
        actions.push(Action::Worth(Typed::default()));
    }
    ui.add_space(4.0);
}

/// A field: its name, unit, the value shown, its limits, and where a typed value goes (`None` gives it back to the
/// estimate).
struct Input {
    name: String,
    shown: String,
    time: bool,
    low: f64,
    high: f64,
    factor: f64,
}

impl Input {
    /// Shows it; what was typed, in the unit that is kept, or back to the estimate where it was emptied.
    fn show(&self, ui: &mut Ui, actions: &mut Vec<Action>) -> Option<Option<f64>> {
        let entry = NumberField::new(&self.name, &*self.shown)
            .width(84.0)
            .show(ui);
        let typed = entry.typed?;
        if typed.trim().is_empty() {
            return Some(None);
        }
        let value = if self.time {
            Minutes::parse(&typed).map(Minutes::min_value)
        } else {
            parse_number(&typed).ok().map(|v| v * self.factor)
        };
        let value = value.filter(|v| (self.low..=self.high).contains(v));
        if value.is_none() {
            let text = if self.time {
                format!(
                    "“{}” is not a time. Type minutes, such as 208, or 3:28 or 3:28:02.",
                    typed.trim()
                )
            } else {
                format!(
                    "{}: “{}” does not fit. It must lie between {} and {}.",
                    self.name,
                    typed.trim(),
                    significant(self.low / self.factor, 4),
                    significant(self.high / self.factor, 7)
                )
            };
            actions.push(Action::Refuse(text));
            return None;
        }
        Some(value)
    }
}

/// A field that both runs share: word, name and unit; value and limits; where a typed value goes.
type Basic = (
    (&'static str, &'static str, &'static str),
    (f64, f64, f64),
    fn(&mut Typed, Option<f64>),
);

fn inputs_ui(
    ui: &mut Ui,
    view: &View<'_>,
    (first, second): (usize, usize),
    names: &[Option<String>; 2],
    runs: &[Option<Run>; 2],
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    let mut typed = *view.worth;
    let (length, metres, mass, per_mass, size, mm) = match view.style.system {
        System::Metric => ("m", 1.0, "kg", 1.0, "mm", 1.0),
        System::Inch => ("ft", M_PER_FOOT, "lb", 1.0 / KG_PER_POUND, "in", 25.4),
    };
    // A price is typed as it is paid; the run holds it less the scrap.
    let scrap = view.file.job.shop.scrap_value;
    let titles = ["the run to beat", "the other run"];
    Grid::new("two runs")
        .num_columns(3)
        .spacing([10.0, 5.0])
        .show(ui, |ui| {
            ui.label("");
            for (k, candidate) in [(0, first), (1, second)] {
                ui.vertical(|ui| {
                    ui.label(strong(titles[k], BODY).color(t.text));
                    ui.horizontal(|ui| {
                        swatch(ui, t.wire(candidate));
                        let name = names[k].as_deref().unwrap_or("–");
                        ui.add(
                            Label::new(RichText::new(name).size(SMALL).color(t.text_soft))
                                .truncate(),
                        );
                    });
                });
            }
            ui.end_row();
            let mut row = |ui: &mut Ui,
                           what: &str,
                           input: &dyn Fn(usize) -> Input,
                           set: fn(&mut Typed, usize, Option<f64>)| {
                ui.label(RichText::new(what).color(t.text_soft));
                for k in 0..2 {
                    if let Some(value) = input(k).show(ui, actions) {
                        set(&mut typed, k, value);
                    }
                }
                ui.end_row();
            };
            let shown = |k: usize, of: &dyn Fn(&Run) -> String| {
                runs[k].as_ref().map_or_else(String::new, of)
            };
            let input =
                |name: &str, k: usize, shown: String, (low, high, factor): (f64, f64, f64)| Input {
                    name: format!("{name}, {}", titles[k]),
                    shown,
                    time: false,
                    low,
                    high,
                    factor,
                };
            row(
                ui,
                "time a part",
                &|k| Input {
                    time: true,
                    ..input(
                        "time a part",
                        k,
                        shown(k, &|r| clock(r.minutes)),
                        (0.001, 1e6, 1.0),
                    )
                },
                |w, k, v| w.runs[k].minutes = v,
            );
            row(
                ui,
                &format!("wire a part, {length}"),
                &|k| {
                    let text = shown(k, &|r| number(r.wire.m() / metres, 0));
                    input("wire a part", k, text, (0.001, 1e7, metres))
                },
                |w, k, v| w.runs[k].wire_m = v,
            );
            row(
                ui,
                &format!("price per {mass}"),
                &|k| {
                    let text = shown(k, &|r| number((r.price + scrap).amount() / per_mass, 2));
                    input("price of the wire", k, text, (0.0, 1e6, per_mass))
                },
                |w, k, v| w.runs[k].price = v,
            );
            row(
                ui,
                &format!("Ø {size}"),
                &|k| {
                    let text = shown(k, &|r| significant(r.diameter.mm() / mm, 3));
                    input("diameter of the wire", k, text, (0.01, 1.0, mm))
                },
                |w, k, v| w.runs[k].diameter_mm = v,
            );
        });
    ui.add_space(4.0);
    let basis = view.file.answer.as_ref().map(|a| view.worth.basis(&a.job));
    if let Some(basis) = basis {
        Grid::new("basis of worth")
            .num_columns(3)
            .spacing([10.0, 5.0])
            .show(ui, |ui| {
                let rows: [Basic; 3] = [
                    (
                        ("a machine hour is worth", "value of a machine hour", ""),
                        (basis.machine_rate.amount(), 0.0, 1e6),
                        |w, v| w.machine_rate = v,
                    ),
                    (
                        (
                            "utilisation",
                            "share of the week in which the machine cuts",
                            "%",
                        ),
                        (basis.uptime * 100.0, 0.1, 100.0),
                        |w, v| w.uptime_percent = v,
                    ),
                    (
                        ("weeks", "weeks a year in which it works", "a year"),
                        (basis.weeks, 0.1, 53.0),
                        |w, v| w.weeks = v,
                    ),
                ];
                for ((word, name, unit), (value, low, high), set) in rows {
                    ui.label(RichText::new(word).color(t.text_soft));
                    let field = Input {
                        name: name.to_owned(),
                        shown: significant(value, 6),
                        time: false,
                        low,
                        high,
                        factor: 1.0,
                    };
                    if let Some(value) = field.show(ui, actions) {
                        set(&mut typed, value);
                    }
                    ui.label(RichText::new(unit).color(t.text_soft));
                    ui.end_row();
                }
            });
    }
    if typed != *view.worth {
        actions.push(Action::Worth(typed));
    }
}

/// "5:01:46".
fn clock(minutes: Minutes) -> String {
    let seconds = (minutes.min_value() * 60.0).round() as u64;
    format!(
        "{}:{:02}:{:02}",
        seconds / 3600,
        seconds / 60 % 60,
        seconds % 60
    )
}

fn signed(value: f64, decimals: usize) -> String {
    let text = number(value, decimals);
    if value > 0.0 {
        format!("+{text}")
    } else {
        text
    }
}

/// Parts a week and a year, by both ways of counting.
fn parts_ui(ui: &mut Ui, w: &Worth) {
    let t = tokens(ui);
    let [a, b] = w.outputs;
    let (week, by_weeks, year) = w.more();
    let rows = [
        (
            "parts/week",
            a.per_week as f64,
            b.per_week as f64,
            week as f64,
            "whole parts in a week's minutes of cutting",
        ),
        (
            "parts/year by weeks",
            a.per_year_by_weeks,
            b.per_year_by_weeks,
            by_weeks,
            "a part begun on Friday is not gone on with on Monday",
        ),
        (
            "parts/year",
            a.per_year as f64,
            b.per_year as f64,
            year as f64,
            "it is: whole parts in the minutes of the year",
        ),
    ];
    Grid::new("parts of two runs")
        .num_columns(4)
        .spacing([14.0, 4.0])
        .show(ui, |ui| {
            for head in ["", "to beat", "other", "more"] {
                ui.label(RichText::new(head).size(SMALL).color(t.text_soft));
            }
            ui.end_row();
            for (what, x, y, more, hover) in rows {
                ui.label(RichText::new(what).color(t.text_soft))
                    .on_hover_text(hover);
                ui.label(number(x, 0));
                ui.label(number(y, 0));
                let response = ui.label(strong(signed(more, 0), BODY).color(better(more, t)));
                response.widget_info(|| {
                    WidgetInfo::labeled(
                        Role::Label,
                        true,
                        format!("{} more {what}", signed(more, 0)),
                    )
                });
                ui.end_row();
            }
        });
}

fn better(value: f64, t: &Tokens) -> egui::Color32 {
    if value > 0.0 {
        t.better
    } else if value < 0.0 {
        t.worse
    } else {
        t.text
    }
}

/// Time and wire saved, the wire split.
fn saved_ui(ui: &mut Ui, w: &Worth, style: Style) {
    let percent = |share: f64| number(share * 100.0, 1);
    let time = format!(
        "Saved a part: {} min ({} %)",
        number(w.minutes.min_value(), 1),
        percent(w.time_share)
    );
    let wire = format!(
        "and {} of wire ({} %): {} by the shorter time, {} by the wire speed.",
        style.wire(w.wire),
        percent(w.wire_share),
        style.wire(w.wire_by_time),
        style.wire(w.wire_by_speed)
    );
    ui.add(Label::new(format!("{time} {wire}")).wrap());
}

/// Money a part and a year, in both cases.
fn money_ui(ui: &mut Ui, w: &Worth, rate: Money) {
    let t = tokens(ui);
    let sold = format!("freed hours sold at {}", number(rate.amount(), 2));
    let rows = [
        (sold.as_str(), w.per_part_sold, w.per_year_sold),
        ("freed hours not sold", w.per_part_unsold, w.per_year_unsold),
    ];
    Grid::new("worth in money")
        .num_columns(3)
        .spacing([14.0, 4.0])
        .show(ui, |ui| {
            for head in ["worth", "a part", "a year"] {
                ui.label(RichText::new(head).size(SMALL).color(t.text_soft));
            }
            ui.end_row();
            for (what, part, year) in rows {
                ui.label(RichText::new(what).color(t.text_soft));
                ui.label(strong(signed(part.amount(), 2), BODY).color(better(part.amount(), t)));
                ui.label(strong(signed(year.amount(), 0), BODY).color(better(year.amount(), t)));
                ui.end_row();
            }
        });
    let gain = format!(
        "With those hours sold it pays from a gain in speed of {} % on; it has {} %.",
        number(w.break_even_gain * 100.0, 1),
        number(w.gain * 100.0, 1)
    );
    ui.add(Label::new(RichText::new(gain).color(t.text_soft)).wrap());
}

/// Worth a part against the value of a machine hour: a straight line, where it crosses nothing, and where this shop stands.
fn turning_ui(ui: &mut Ui, w: &Worth, rate: Money) {
    let t = tokens(ui);
    let words = w.turns_at_rate.map_or_else(
        || "One of the two is better at any value of a machine hour.".to_owned(),
        |turns| {
            format!(
                "The two are even at {} a machine hour.",
                number(turns.amount(), 2)
            )
        },
    );
    ui.add(Label::new(words.as_str()).wrap());
    let most = 1.5
        * rate
            .amount()
            .max(w.turns_at_rate.map_or(0.0, Money::amount))
            .max(1.0);
    let at = |r: f64| w.per_part_at(Money::from_amount(r)).amount();
    let (low, high) = (
        at(0.0).min(at(most)).min(0.0),
        at(0.0).max(at(most)).max(0.0),
    );
    let (rect, response) =
        ui.allocate_exact_size(vec2(ui.available_width(), 120.0), Sense::hover());
    response.widget_info(|| {
        WidgetInfo::labeled(
            Role::Label,
            true,
            format!("worth a part against the value of a machine hour. {words}"),
        )
    });
    let plot = Rect::from_min_max(rect.min + vec2(46.0, 8.0), rect.max - vec2(10.0, 30.0));
    let span = (high - low).max(1e-9);
    let x = |r: f64| plot.left() + plot.width() * (r / most) as f32;
    let y = |v: f64| plot.bottom() - plot.height() * ((v - low) / span) as f32;
    let painter = ui.painter();
    let font = FontId::proportional(SMALL);
    painter.line_segment(
        [pos2(plot.left(), y(0.0)), pos2(plot.right(), y(0.0))],
        Stroke::new(1.0, t.text_faint),
    );
    for (v, text) in [
        (0.0, "0".to_owned()),
        (at(0.0), signed(at(0.0), 2)),
        (at(most), signed(at(most), 2)),
    ] {
        // Marks nearer than a line of text to the zero line would lie on it.
        if v == 0.0 || (y(v) - y(0.0)).abs() > 14.0 {
            painter.text(
                pos2(plot.left() - 6.0, y(v)),
                Align2::RIGHT_CENTER,
                text,
                font.clone(),
                t.text_soft,
            );
        }
    }
    for mark in round_marks(most) {
        painter.text(
            pos2(x(mark), plot.bottom() + 4.0),
            Align2::CENTER_TOP,
            number(mark, 0),
            font.clone(),
            t.text_soft,
        );
    }
    painter.text(
        pos2(plot.center().x, rect.bottom()),
        Align2::CENTER_BOTTOM,
        "value of a machine hour",
        font.clone(),
        t.text_soft,
    );
    painter.line_segment(
        [pos2(x(0.0), y(at(0.0))), pos2(x(most), y(at(most)))],
        Stroke::new(2.0, t.text),
    );
    let here = pos2(x(rate.amount()), y(at(rate.amount())));
    painter.line_segment(
        [pos2(here.x, plot.top()), pos2(here.x, plot.bottom())],
        Stroke::new(1.0, t.text_faint),
    );
    painter.circle_filled(here, 4.0, better(at(rate.amount()), t));
    if let Some(turns) = w.turns_at_rate.map(Money::amount).filter(|r| *r <= most) {
        painter.circle_stroke(pos2(x(turns), y(0.0)), 4.0, Stroke::new(1.5, t.text));
    }
}
