//! Under the passes word of the sentence: every plan with its usual finish and its price, and which is enough.

use crate::estimate::sweep::SweepFigures;
use crate::estimate::{PassPlan, Wanted, advise, other_wires, pass_plans};
use crate::gui::picture::{cell, picture_ui, table};
use crate::gui::state::{Action, View};
use crate::gui::sweeps::{Run, Vary};
use crate::gui::theme::{BODY, SMALL, mix, strong_family, tokens};
use crate::gui::widgets::finish_chart::{PlanSpot, finish_ui};
use crate::gui::widgets::{Axis, NumberField, swatch};
use crate::job::passes_words;
use crate::units::{Length, Minutes, Money};
use crate::words::at_stake::for_what;
use crate::words::pass_advice;
use crate::words::{
    Style, System,
    style::{self, significant},
    typed::parse_number,
};
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::{FontId, Label, RichText, Role, Sense, Ui, WidgetInfo};

/// Microinches in one micrometre: 1 / 0.0254, exact by definition.
const MICROINCH_PER_UM: f64 = 1.0 / 0.0254;
/// Width of the list.
const WIDTH: f32 = 640.0;
/// Right edges of the columns.
const COLUMNS: [f32; 5] = [290.0, 412.0, 476.0, 546.0, 632.0];

/// Opened from the sentence; closes when a plan is chosen.
pub fn passes_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    ui.set_width(WIDTH);
    let t = tokens(ui);
    let run = view.sweeps.run(Vary::Passes, view.file);
    if run.is_none() && view.file.is_current() {
        actions.push(Action::Sweep(Vary::Passes));
    }
    let wanted = wanted_ui(ui, view.style, actions);
    let job = &view.file.job;
    let shown = job.candidates.get(view.file.shown);
    let Some(wire) = shown.and_then(|c| view.library.wire(&c.wire)) else {
        ui.label(say!(
            "The wire shown is not in the library. Click another one below."
        ));
        return;
    };
    let advice = advise(view.library, wire, &wanted);
    let enough = advice.usually_enough.as_ref().map(|p| p.passes);
    let asked = wanted != Wanted::default();
    if asked {
        let words = RichText::new(pass_advice::sentence(&advice)).color(t.text);
        ui.add(Label::new(words).wrap());
        for plan in other_wires(job, view.library, &wanted, &wire.name) {
            let words = pass_advice::other(&plan);
            ui.add(Label::new(RichText::new(words).size(SMALL + 0.5).color(t.text_soft)).wrap());
        }
    }
    ui.separator();
    ui.horizontal(|ui| {
        ui.label(
            RichText::new(say!("Time and cost {} with", for_what(view.file.pieces())))
                .size(SMALL)
                .color(t.text_soft),
        );
        swatch(ui, t.wire(view.file.shown));
        let shown = view.file.job.candidates.get(view.file.shown);
        let name = shown.map_or_else(String::new, |c| view.style.spoken_candidate(c));
        ui.label(RichText::new(name).size(SMALL).color(t.text));
    });
    heading(ui, view.style);
    ui.spacing_mut().item_spacing.y = 0.0;
    for plan in pass_plans(view.library, wire) {
        let fits = asked && enough.is_some_and(|e| plan.passes >= e);
        let best = asked && enough == Some(plan.passes);
        if plan_row(ui, &plan, run, view, (fits, best)) {
            let mut new = view.file.job.clone();
            new.passes = plan.passes;
            actions.push(Action::Edit(Box::new(new)));
            ui.close();
        }
    }
    finish_picture_ui(
        ui,
        view,
        &pass_plans(view.library, wire),
        run,
        &wanted,
        actions,
    );
    ui.add_space(4.0);
    let remark = say!(
        "Ra is what is usual with this wire (common practice, the wire’s part in it judgement), tolerance what is usual \
                  with any; no promise of a machine. In small print: against one pass less."
    );
    ui.add(Label::new(RichText::new(remark).size(SMALL).color(t.text_faint)).wrap());
}

/// The finish and the tolerance asked for; kept while the program runs.
fn wanted_ui(ui: &mut Ui, style: Style, actions: &mut Vec<Action>) -> Wanted {
    let id = egui::Id::unique("finish wanted");
    // Plain numbers, because what is kept here has to be comparable and small.
    let (mut ra, mut tolerance): (Option<f64>, Option<f64>) =
        ui.data(|d| d.get_temp(id)).unwrap_or_default();
    let (ra_unit, ra_factor) = match style.system {
        System::Metric => ("µm", 1.0),
        System::Inch => (say!("µin"), MICROINCH_PER_UM),
    };
    ui.horizontal(|ui| {
        ui.label(say!("Smallest plan for Ra at most"));
        let shown = ra.map_or_else(|| say!("any").to_owned(), |v| significant(v * ra_factor, 3));
        let entry = NumberField::new(say!("Finish wanted"), shown).show(ui);
        ui.label(ra_unit);
        if let Some(typed) = entry.typed {
            match optional(&typed, parse_number) {
                Ok(v) => ra = v.map(|v| v / ra_factor),
                Err(message) => actions.push(Action::Refuse(message)),
            }
        }
        ui.label(say!("and a tolerance of"));
        let shown = tolerance.map_or_else(
            || say!("any").to_owned(),
            |v| style.typed_length(Length::from_mm(v)),
        );
        let entry = NumberField::new(say!("Tolerance wanted"), shown).show(ui);
        if let Some(typed) = entry.typed {
            match optional(&typed, |t| style.parse_length(t)) {
                Ok(v) => tolerance = v.map(Length::mm),
                Err(message) => actions.push(Action::Refuse(message)),
            }
        }
    });
    ui.data_mut(|d| d.insert_temp(id, (ra, tolerance)));
    Wanted {
        roughness_um: ra,
        tolerance_mm: tolerance,
    }
}

/// The usual finish of every plan against its time.
fn finish_picture_ui(
    ui: &mut Ui,
    view: &View<'_>,
    plans: &[PassPlan],
    run: Option<&Run>,
    wanted: &Wanted,
    actions: &mut Vec<Action>,
) {
    let style = view.style;
    let factor = match style.system {
        System::Metric => 1.0,
        System::Inch => MICROINCH_PER_UM,
    };
    let unit = style.roughness_unit();
    let spot = |plan: &PassPlan| {
        let own = figures(run, plan.passes, view.file.shown)?;
        Some(PlanSpot {
            name: match plan.passes {
                1 => say!("rough").to_owned(),
                n => style.count(n - 1, say!("skim"), say!("skims")),
            },
            minutes: own.minutes.median.min_value(),
            roughness: plan.roughness_um.map(|v| v * factor),
            chosen: view.file.job.passes == plan.passes,
        })
    };
    let spots: Vec<PlanSpot> = plans.iter().filter_map(spot).collect();
    if spots.len() < 2 {
        return;
    }
    let most = spots.iter().map(|s| s.minutes).fold(0.0, f64::max);
    let axis = Axis::new(Minutes::from_min(most));
    let times = axis.marks().map(|m| {
        let words = if m == Minutes::ZERO {
            "0".to_owned()
        } else {
            style::time(m)
        };
        (m.min_value(), words)
    });
    let times: Vec<_> = times.collect();
    let powers = (-2..4).map(|k| 10_f64.powi(k));
    let marks = powers.flat_map(|p| [1.0, 2.0, 5.0].map(|s| s * p));
    let marks: Vec<_> = marks
        .map(|v| (v, format!("{} {unit}", significant(v, 2))))
        .collect();
    let asked = wanted.roughness_um.map(|v| v * factor);
    let asked = asked.map(|v| (v, say!("Ra {} {unit} asked", significant(v, 3))));
    ui.add_space(6.0);
    let colour = tokens(ui).wire(view.file.shown);
    let title = say!("usual Ra against the time of a part");
    let picture = finish_ui(ui, &spots, asked.as_ref(), colour, (&times, &marks), title);
    picture_ui(ui, say!("finish by passes"), picture.rect, actions, || {
        let head = [
            say!("plan"),
            say!("minutes"),
            say!("usual Ra from"),
            say!("usual Ra to"),
        ]
        .map(str::to_owned);
        let row = |s: &PlanSpot| {
            let [low, high] = s.roughness.map(cell);
            vec![s.name.clone(), cell(s.minutes), low, high]
        };
        table(std::iter::once(head.to_vec()).chain(spots.iter().map(row)))
    });
}

/// Nothing and "any" ask for nothing.
fn optional<T>(text: &str, read: impl Fn(&str) -> Result<T, String>) -> Result<Option<T>, String> {
    match text.trim() {
        "" => Ok(None),
        text if ["any", say!("any")].contains(&text) => Ok(None),
        text => read(text).map(Some),
    }
}

fn heading(ui: &mut Ui, style: Style) {
    let t = tokens(ui);
    let (rect, _) = ui.allocate_exact_size(vec2(WIDTH, 17.0), Sense::hover());
    let ra = say!("usual Ra, {}", style.roughness_unit());
    let tolerance = say!("tolerance, {}", style.system.length_unit());
    let texts = [ra.as_str(), &tolerance, "", say!("time"), say!("cost")];
    for (x, text) in COLUMNS.into_iter().zip(texts) {
        ui.painter().text(
            pos2(rect.left() + x, rect.center().y),
            Align2::RIGHT_CENTER,
            text,
            FontId::proportional(SMALL),
            t.text_faint,
        );
    }
}

fn between(pair: [f64; 2], factor: f64) -> String {
    format!(
        "{}–{}",
        significant(pair[0] * factor, 2),
        significant(pair[1] * factor, 2)
    )
}

/// Figures of a plan for the wire shown, as far as they are computed.
fn figures(run: Option<&Run>, passes: usize, wire: usize) -> Option<&SweepFigures> {
    let point = run?.points.get(passes.checked_sub(1)?)?;
    point.candidates.get(wire)?.as_ref()
}

/// One plan; whether it was chosen.
fn plan_row(
    ui: &mut Ui,
    plan: &PassPlan,
    run: Option<&Run>,
    view: &View<'_>,
    (fits, best): (bool, bool),
) -> bool {
    let t = tokens(ui);
    let chosen = view.file.job.passes == plan.passes;
    let (rect, response) = ui.allocate_exact_size(vec2(WIDTH, 36.0), Sense::click());
    let name = passes_words(plan.passes);
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, chosen, &name));
    let painter = ui.painter();
    if chosen {
        painter.rect_filled(rect, 4, t.accent_fill);
    } else if response.hovered() || response.has_focus() {
        painter.rect_filled(rect, 4, mix(t.raised, t.text, 0.08));
    }
    let (upper, lower) = (rect.top() + 11.0, rect.bottom() - 10.0);
    let put = |x: f32, y: f32, anchor, text: &str, font, colour| {
        painter.text(pos2(rect.left() + x, y), anchor, text, font, colour);
    };
    let body = || FontId::proportional(BODY);
    let small = || FontId::proportional(SMALL);
    let name_font = if best || chosen {
        FontId::new(BODY, strong_family())
    } else {
        body()
    };
    put(8.0, upper, Align2::LEFT_CENTER, &name, name_font, t.text);
    if best {
        put(
            8.0,
            lower,
            Align2::LEFT_CENTER,
            say!("smallest that is usually enough"),
            small(),
            t.better,
        );
    } else if fits {
        put(
            8.0,
            lower,
            Align2::LEFT_CENTER,
            say!("more than is asked"),
            small(),
            t.text_faint,
        );
    }
    let length = match view.style.system {
        System::Metric => 1.0,
        System::Inch => 1.0 / crate::units::MM_PER_INCH,
    };
    let right = Align2::RIGHT_CENTER;
    put(
        COLUMNS[0],
        upper,
        right,
        &view.style.roughness(plan.roughness_um),
        body(),
        t.text_soft,
    );
    put(
        COLUMNS[1],
        upper,
        right,
        &between(plan.tolerance_mm, length),
        body(),
        t.text_soft,
    );
    price_ui(ui, rect, plan, run, view);
    response.clicked()
}

/// Time and cost of a plan, and in small print what its last pass adds.
fn price_ui(ui: &Ui, rect: Rect, plan: &PassPlan, run: Option<&Run>, view: &View<'_>) {
    let t = tokens(ui);
    let painter = ui.painter();
    let (upper, lower) = (rect.top() + 11.0, rect.bottom() - 10.0);
    let put = |x: f32, y: f32, text: &str, font, colour| {
        let at = pos2(rect.left() + x, y);
        painter.text(at, Align2::RIGHT_CENTER, text, font, colour);
    };
    let (time_edge, cost_edge) = (COLUMNS[3], COLUMNS[4]);
    let Some(own) = figures(run, plan.passes, view.file.shown) else {
        let waiting = run.is_none_or(|r| r.points.len() < plan.passes);
        let text = if waiting { "…" } else { say!("cannot") };
        let font = FontId::proportional(BODY);
        put(time_edge, upper, text, font, t.text_faint);
        return;
    };
    let strong = || FontId::new(BODY, strong_family());
    let time = style::time(own.minutes.median);
    put(time_edge, upper, &time, strong(), t.text);
    let cost = style::money(own.cost.median);
    put(cost_edge, upper, &cost, strong(), t.text);
    let Some(less) = figures(run, plan.passes.saturating_sub(1), view.file.shown) else {
        return;
    };
    let small = || FontId::proportional(SMALL);
    let minutes = own.minutes.median - less.minutes.median;
    let time = if minutes.min_value() < 0.0 {
        format!("−{}", style::time(minutes * -1.0))
    } else {
        format!("+{}", style::time(minutes))
    };
    put(time_edge, lower, &time, small(), t.text_soft);
    let cost = own.cost.median - less.cost.median;
    let sign = if cost < Money::ZERO { "" } else { "+" };
    let cost = format!("{sign}{}", view.style.money_apart(cost));
    put(cost_edge, lower, &cost, small(), t.text_soft);
}
