//! What a faster run is worth: two runs in parts, wire and money, the freed machine hours sold or not.

use crate::estimate::worth::{Run, Worth};
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, Tokens, strong, tokens};
use crate::gui::widgets::curve_chart::round_marks;
use crate::gui::widgets::{NumberField, swatch};
use crate::gui::worth::{Typed, TypedRun, pair};
use crate::language::said;
use crate::units::{Minutes, Money};
use crate::words::figures;
use crate::words::style::{number, significant};
use crate::words::system::{KG_PER_POUND, M_PER_FOOT};
use crate::words::typed::parse_number;
use crate::words::worth::pays;
use crate::words::{Style, System};
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::{FontId, Grid, Label, RichText, Role, ScrollArea, Sense, Stroke, Ui, WidgetInfo};

/// Width of the column of a run, points: its field, and its wire in two lines.
const RUN: f32 = 112.0;

/// What a field and an axis are called.
const MACHINE_HOUR: &str = key!("value of a machine hour");

/// The page.
pub fn worth_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let file = view.file;
    let Some(answer) = &file.answer else {
        ui.label(RichText::new(file.awaited_words()).color(t.text_soft));
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
    ScrollArea::both()
        .id_salt("worth")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            ui.set_max_width(ui.available_width() - 12.0);
            let results = runs[0].zip(runs[1]).map(|(a, b)| {
                let basis = view.worth.basis(&answer.job, view.library);
                (Worth::of(&a, &b, &basis), basis.machine_rate)
            });
            if let Some((worth, _)) = &results {
                summary_ui(ui, worth);
            }
            from_ui(ui, view, actions);
            let names = [first, second].map(|k| of(k).map(|(c, _)| view.style.spoken_candidate(c)));
            inputs_ui(ui, view, (first, second), &names, &runs, actions);
            let Some((worth, rate)) = results else {
                ui.add_space(6.0);
                let text = say!("One of the two wires cannot do this job. Type its time and wire, or show another wire below.");
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
            let remark = say!("Arithmetic on the two runs alone: the parts of the first run's year, each made in the time of \
                          the second. Not sold, the \
                          wire less its scrap, consumables and, from the estimate, attended work count. Set-up, stops and all that both share cancel.");
            ui.add(Label::new(RichText::new(remark).size(SMALL).color(t.text_faint)).wrap());
        });
}

/// The answer in a line: parts, and money in both cases.
fn summary_ui(ui: &mut Ui, w: &Worth) {
    let t = tokens(ui);
    let (week, by_weeks, year) = w.more();
    let (sold, unsold) = (money(w.per_part_sold), money(w.per_part_unsold));
    let text = if week == 0 && year != 0 {
        // Of long parts a week holds as many either way; the year tells them apart.
        say!(
            "{} parts a year; worth {sold} a part with the freed hours sold, {unsold} not sold.",
            signed(year as f64, 0)
        )
    } else {
        say!(
            "{} {}, {} a year; worth {sold} a part with the freed hours sold, {unsold} not sold.",
            signed(week as f64, 0),
            if week == 1 {
                say!("part/week")
            } else {
                figures::PARTS_A_WEEK.called()
            },
            signed(by_weeks, 0)
        )
    };
    ui.add(Label::new(strong(text, BODY).color(t.text)).wrap());
}

/// Where the two runs come from.
fn from_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    if view.worth.is_empty() {
        let text =
            say!("From the estimate. Type over any of it what the machine's own record says.");
        ui.add(Label::new(RichText::new(text).size(SMALL).color(t.text_faint)).wrap());
    } else if ui
        .button(say!("Back to the estimate"))
        .on_hover_text(say!("forget what was typed here"))
        .clicked()
    {
        actions.push(Action::Worth(Typed::default()));
    }
    ui.add_space(4.0);
}

/// A field: its name, the value shown, whether it is a time, its limits, and what a typed number is multiplied by.
struct Input {
    name: String,
    shown: String,
    time: bool,
    low: f64,
    high: f64,
    factor: f64,
}

/// What came of a field.
enum Entered {
    /// Nothing new.
    Nothing,
    /// Emptied: back to the estimate.
    Emptied,
    /// A value, in the unit that is kept.
    Value(f64),
}

impl Entered {
    /// Puts it where it belongs.
    fn into(self, set: impl FnOnce(Option<f64>)) {
        match self {
            Self::Nothing => {}
            Self::Emptied => set(None),
            Self::Value(v) => set(Some(v)),
        }
    }
}

impl Input {
    fn show(&self, ui: &mut Ui, actions: &mut Vec<Action>) -> Entered {
        let entry = NumberField::new(&self.name, &*self.shown)
            .width(84.0)
            .show(ui);
        let Some(typed) = entry.typed else {
            return Entered::Nothing;
        };
        if typed.trim().is_empty() {
            return Entered::Emptied;
        }
        let value = if self.time {
            Minutes::parse(&typed).map(Minutes::min_value)
        } else {
            parse_number(&typed).ok().map(|v| v * self.factor)
        };
        if let Some(value) = value.filter(|v| (self.low..=self.high).contains(v)) {
            return Entered::Value(value);
        }
        let typed = typed.trim();
        actions.push(Action::Refuse(if self.time {
            say!("“{typed}” is not a time. Type minutes, such as 208, or 3:28 or 3:28:02.")
        } else {
            let [low, high] = [self.low, self.high].map(|v| significant(v / self.factor, 7));
            say!(
                "{}: “{typed}” does not fit. It must lie between {low} and {high}.",
                self.name
            )
        }));
        Entered::Nothing
    }
}

/// A row of both runs: its words and limits, how a run shows it, and where a typed value goes.
struct Row {
    word: String,
    name: &'static str,
    time: bool,
    limits: (f64, f64, f64),
    shown: Box<dyn Fn(&Run) -> String>,
    set: fn(&mut TypedRun, Option<f64>),
}

fn rows(style: Style, scrap: Money) -> [Row; 4] {
    let (length, metres, mass, kg, size, mm) = match style.system {
        System::Metric => ("m", 1.0, "kg", 1.0, "mm", 1.0),
        System::Inch => ("ft", M_PER_FOOT, "lb", 1.0 / KG_PER_POUND, "in", 25.4),
    };
    [
        Row {
            word: say!("time a part").to_owned(),
            name: say!("time a part"),
            time: true,
            limits: (0.001, 1e6, 1.0),
            shown: Box::new(|r| clock(r.minutes)),
            set: |run, v| run.minutes = v,
        },
        Row {
            word: say!("wire a part, {length}"),
            name: say!("wire a part"),
            time: false,
            limits: (0.001, 1e7, metres),
            shown: Box::new(move |r| number(r.wire.m() / metres, 0)),
            set: |run, v| run.wire_m = v,
        },
        Row {
            word: say!("price per {mass}"),
            name: say!("price of the wire"),
            time: false,
            limits: (0.0, 1e6, kg),
            // A price is typed as it is paid; the run holds it less the scrap.
            shown: Box::new(move |r| number((r.price + scrap).amount() / kg, 2)),
            set: |run, v| run.price = v,
        },
        Row {
            word: format!("Ø {size}"),
            name: say!("diameter of the wire"),
            time: false,
            limits: (0.01, 1.0, mm),
            shown: Box::new(move |r| significant(r.diameter.mm() / mm, 3)),
            set: |run, v| run.diameter_mm = v,
        },
    ]
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
    candidates: (usize, usize),
    names: &[Option<String>; 2],
    runs: &[Option<Run>; 2],
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    let mut typed = *view.worth;
    let titles = [say!("the run to beat"), say!("the other run")];
    let grid = |name| Grid::new(name).num_columns(3).spacing([10.0, 5.0]);
    grid("two runs").show(ui, |ui| {
        ui.label("");
        for (k, candidate) in [(0, candidates.0), (1, candidates.1)] {
            ui.vertical(|ui| {
                ui.set_max_width(RUN);
                ui.spacing_mut().item_spacing.y = 1.0;
                ui.horizontal(|ui| {
                    swatch(ui, t.wire(candidate));
                    let title = strong(titles[k], BODY).color(t.text);
                    ui.add(Label::new(title).truncate());
                });
                let name = names[k].as_deref().unwrap_or("–");
                let text = RichText::new(name).size(SMALL).color(t.text_soft);
                ui.add(Label::new(text).wrap());
            });
        }
        ui.end_row();
        for row in rows(view.style, view.file.job.shop.scrap_value) {
            ui.label(RichText::new(&row.word).color(t.text_soft));
            let (low, high, factor) = row.limits;
            for (k, run) in runs.iter().enumerate() {
                let input = Input {
                    name: format!("{}, {}", row.name, titles[k]),
                    shown: run.as_ref().map_or_else(String::new, &row.shown),
                    time: row.time,
                    low,
                    high,
                    factor,
                };
                let entered = input.show(ui, actions);
                entered.into(|v| (row.set)(&mut typed.runs[k], v));
            }
            ui.end_row();
        }
    });
    ui.add_space(4.0);
    let basis = view.worth.basis(&view.file.job, view.library);
    let basics: [Basic; 3] = [
        (
            (say!("a machine hour is worth"), said(MACHINE_HOUR), ""),
            (basis.machine_rate.amount(), 0.0, 1e6),
            |w, v| w.machine_rate = v,
        ),
        (
            (
                say!("utilisation"),
                say!("share of the week in which the machine cuts"),
                "%",
            ),
            (basis.uptime * 100.0, 0.1, 100.0),
            |w, v| w.uptime_percent = v,
        ),
        (
            (
                say!("weeks"),
                say!("weeks a year in which it works"),
                say!("a year"),
            ),
            (basis.weeks, 0.1, 53.0),
            |w, v| w.weeks = v,
        ),
    ];
    grid("basis of worth").show(ui, |ui| {
        for ((word, name, unit), (value, low, high), set) in basics {
            ui.label(RichText::new(word).color(t.text_soft));
            let field = Input {
                name: name.to_owned(),
                shown: significant(value, 6),
                time: false,
                low,
                high,
                factor: 1.0,
            };
            let entered = field.show(ui, actions);
            entered.into(|v| set(&mut typed, v));
            ui.label(RichText::new(unit).color(t.text_soft));
            ui.end_row();
        }
    });
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

/// Money more or less, no finer than it deserves: whole units from ten on.
fn money(amount: Money) -> String {
    let cents = amount.amount().abs() < 9.995;
    signed(amount.amount(), if cents { 2 } else { 0 })
}

/// Parts a week and a year, by both ways of counting.
fn parts_ui(ui: &mut Ui, w: &Worth) {
    let t = tokens(ui);
    let [a, b] = w.outputs;
    let (week, by_weeks, year) = w.more();
    let rows = [
        (
            figures::PARTS_A_WEEK.called(),
            a.per_week as f64,
            b.per_week as f64,
            week as f64,
            say!("whole parts in a week's minutes of cutting"),
        ),
        (
            say!("parts/year, whole weeks"),
            a.per_year_by_weeks,
            b.per_year_by_weeks,
            by_weeks,
            say!("a part begun on Friday is not gone on with on Monday"),
        ),
        (
            say!("parts/year"),
            a.per_year as f64,
            b.per_year as f64,
            year as f64,
            say!("it is: whole parts in the minutes of the year"),
        ),
    ];
    Grid::new("parts of two runs")
        .num_columns(4)
        .spacing([14.0, 4.0])
        .show(ui, |ui| {
            for head in [
                "",
                say!("to beat"),
                say!("other" in "of two runs"),
                say!("more"),
            ] {
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
                    WidgetInfo::labeled(Role::Label, true, say!("{} more {what}", signed(more, 0)))
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
    let time = say!(
        "Saved a part: {} min ({} %)",
        number(w.minutes.min_value(), 1),
        percent(w.time_share)
    );
    let wire = say!(
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
    let sold = say!("freed hours sold at {}", number(rate.amount(), 2));
    let rows = [
        (sold.as_str(), w.per_part_sold, w.per_year_sold),
        (
            say!("freed hours not sold"),
            w.per_part_unsold,
            w.per_year_unsold,
        ),
    ];
    Grid::new("worth in money")
        .num_columns(3)
        .spacing([14.0, 4.0])
        .show(ui, |ui| {
            for head in [say!("worth"), say!("a part"), say!("a year")] {
                ui.label(RichText::new(head).size(SMALL).color(t.text_soft));
            }
            ui.end_row();
            for (what, part, year) in rows {
                ui.label(RichText::new(what).color(t.text_soft));
                ui.label(strong(money(part), BODY).color(better(part.amount(), t)));
                ui.label(strong(signed(year.amount(), 0), BODY).color(better(year.amount(), t)));
                ui.end_row();
            }
        });
    let pays = pays(w.break_even_gain, w.gain, Style::default());
    let gain = say!("With those hours sold {pays}.");
    ui.add(Label::new(RichText::new(gain).color(t.text_soft)).wrap());
}

/// Worth a part against the value of a machine hour: a straight line, where it crosses nothing, and where this shop stands.
fn turning_ui(ui: &mut Ui, w: &Worth, rate: Money) {
    let t = tokens(ui);
    let words = w.turns_at_rate.map_or_else(
        || say!("One of the two is better at any value of a machine hour.").to_owned(),
        |turns| {
            say!(
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
            say!("worth a part against the value of a machine hour. {words}"),
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
        said(MACHINE_HOUR),
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
