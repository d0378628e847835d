//! The plan that is wanted: the best that is fine enough and done in time, and time against cost of all plans.

use crate::estimate::{Aim, Answer, TriedPlan, Wish};
use crate::gui::picture::{cell, picture_ui, table};
use crate::gui::planning::PlanAction;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, strong, tokens};
use crate::gui::widgets::plan_chart::{PlanChart, PlanSpot};
use crate::gui::widgets::{NumberField, swatch};
use crate::job::{WeekTime, passes_words};
use crate::language::said;
use crate::reason::Unit;
use crate::words::typed::parse_number;
use crate::words::{Style, style, wanted, ways};
use egui::{Button, Grid, Label, RichText, ScrollArea, Ui};

/// The page.
pub fn plan_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    ScrollArea::vertical()
        .id_salt("plan")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            ui.set_max_width(ui.available_width() - 12.0);
            wish_ui(ui, view, actions);
            ui.add_space(6.0);
            let Some((answer, wish)) = view.planning.answer(view.file) else {
                ui.label(RichText::new(say!("Trying the plans…")).color(t.text_soft));
                return;
            };
            answer_ui(ui, view, answer, wish, actions);
            if answer.plans.is_empty() {
                return;
            }
            ui.add_space(8.0);
            chart_ui(ui, view, answer, actions);
            let remark = say!("Tried: every wire of the job, every number of passes, each contour in turn or all roughs first, \
                          slugs out before or after the skims. Filled: fine enough and in time. The line joins the plans \
                          that no other one beats in both. A click takes a plan; Undo takes it back.");
            ui.add(Label::new(RichText::new(remark).size(SMALL).color(t.text_faint)).wrap());
            ui.add_space(8.0);
            front_ui(ui, view, answer, actions);
        });
}

/// What is wanted, as a sentence with fields.
fn wish_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let before = view.file.wish;
    let mut wish = before;
    let style = view.style;
    let mut refused = None;
    ui.horizontal_wrapped(|ui| {
        ui.selectable_value(&mut wish.aim, Aim::Cheapest, say!("Cheapest"))
            .on_hover_text(say!("the plan that costs least"));
        ui.selectable_value(&mut wish.aim, Aim::Soonest, say!("Soonest"))
            .on_hover_text(say!("the plan whose lot is done first by the clock, in the shop’s hours"));
        ui.label(say!("with Ra ≤"));
        let factor = style.system.conversion(Unit::Um).0;
        let ra = wish.finish.roughness_um;
        let shown = ra.map_or(say!("any").to_owned(), |v| style.significant(v * factor, 3));
        let field = NumberField::new(say!("Roughness Ra at most"), shown).width(44.0);
        if let Some(text) = field.show(ui).typed {
            match limit(&text) {
                Ok(ra) => wish.finish.roughness_um = ra.map(|v| v / factor),
                Err(why) => refused = Some(why),
            }
        }
        ui.label(format!("{}, ±", style.roughness_unit()));
        let shown = wish.finish.tolerance_mm.map_or(say!("any").to_owned(), |mm| {
            style.typed_length(crate::units::Length::from_mm(mm))
        });
        let field = NumberField::new(say!("Tolerance at most"), shown).width(66.0);
        if let Some(text) = field.show(ui).typed {
            if is_any(&text) {
                wish.finish.tolerance_mm = None;
            } else {
                match style.parse_length(&text) {
                    Ok(length) if length.mm() > 0.0 => {
                        wish.finish.tolerance_mm = Some(length.mm());
                    }
                    Ok(_) => refused = Some(said(NOT_ABOVE_ZERO).to_owned()),
                    Err(why) => refused = Some(why),
                }
            }
        }
        ui.label(say!("of the nominal size, done by"));
        let shown = wish.by.map_or(say!("any time").to_owned(), |by| by.to_string());
        let field = NumberField::new(say!("Done by"), shown).width(72.0);
        if let Some(text) = field.show(ui).typed {
            if is_any(&text) {
                wish.by = None;
            } else {
                match WeekTime::parse(&text) {
                    Some(by) => wish.by = Some(by),
                    None => {
                        refused = Some(say!(
                            "“{}” is no day and time. Enter one such as Tue 8:00, or clear the field.",
                            text.trim()
                        ));
                    }
                }
            }
        }
    });
    let begun = say!(
        "A lot of {}, begun {}. An empty field asks for nothing.",
        style::count(view.file.job.quantity as usize, say!("part"), say!("parts")),
        view.file.job.begin
    );
    ui.label(RichText::new(begun).size(SMALL).color(t.text_faint));
    actions.extend(refused.map(Action::Refuse));
    if wish != before {
        actions.push(Action::Plan(PlanAction::Wish(wish)));
    }
}

const NOT_ABOVE_ZERO: &str = key!("It has to be more than 0. Clear the field to ask for nothing.");

fn is_any(text: &str) -> bool {
    let text = text.trim().to_lowercase();
    [say!("any"), say!("any time")]
        .iter()
        .any(|none| text == none.to_lowercase())
        || matches!(text.as_str(), "" | "any" | "any time")
}

/// A number above 0; `None` where the field was cleared.
fn limit(text: &str) -> Result<Option<f64>, String> {
    if is_any(text) {
        return Ok(None);
    }
    match parse_number(text)? {
        v if v > 0.0 => Ok(Some(v)),
        _ => Err(said(NOT_ABOVE_ZERO).to_owned()),
    }
}

fn answer_ui(
    ui: &mut Ui,
    view: &View<'_>,
    answer: &Answer,
    wish: &Wish,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    for (k, text) in wanted::sentences(answer, wish, view.style)
        .iter()
        .enumerate()
    {
        let text = if k == 0 {
            strong(text.clone(), BODY).color(t.text)
        } else {
            RichText::new(text.clone()).color(t.text_soft)
        };
        ui.add(Label::new(text).wrap());
        ui.add_space(2.0);
    }
    ui.horizontal_wrapped(|ui| {
        let names = [
            say!("Take it"),
            say!("Take the next"),
            say!("Take the third"),
        ];
        for (name, plan) in names.iter().zip(answer.best.iter().chain(&answer.next)) {
            if let Some(plan) = answer.plans.get(*plan) {
                take_ui(ui, view, name, plan, actions);
            }
        }
    });
}

fn take_ui(ui: &mut Ui, view: &View<'_>, name: &str, plan: &TriedPlan, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    if is_now(view, plan) {
        ui.label(RichText::new(say!("taken")).color(t.better))
            .on_hover_text(say!("the job is cut so now"));
        return;
    }
    let said = format!("{name}: {}", wanted::way(plan, view.style));
    if ui
        .add(Button::new(name).small())
        .on_hover_text(say!(
            "The job is cut so from now on, and quoted on that wire; Undo takes it back"
        ))
        .accessible_name(said)
        .clicked()
    {
        actions.push(Action::Plan(PlanAction::Take(Box::new(plan.way.clone()))));
    }
}

/// Whether the job is cut so.
fn is_now(view: &View<'_>, plan: &TriedPlan) -> bool {
    let (job, way) = (&view.file.job, &plan.way);
    let wire = view.file.quoted.unwrap_or(view.file.shown);
    job.passes == way.passes
        && job.order == way.order
        && job.cut_off == way.cut_off
        && job.begin == way.begin
        && job.candidates.get(wire) == Some(&way.candidate)
}

/// Place of a plan's wire among those of the job.
fn wire_of(view: &View<'_>, plan: &TriedPlan) -> usize {
    let wires = &view.file.job.candidates;
    let place = wires.iter().position(|c| *c == plan.way.candidate);
    place.unwrap_or(0)
}

/// What is told of a plan.
fn told(plan: &TriedPlan, style: Style) -> String {
    let why = match (plan.is_fine, plan.in_time) {
        (false, _) => say!("\nNot usually fine enough."),
        (true, false) => say!("\nNot in time."),
        (true, true) => "",
    };
    format!(
        "{}\n{}{why}",
        wanted::way(plan, style),
        wanted::comes_to(plan, style)
    )
}

fn chart_ui(ui: &mut Ui, view: &View<'_>, answer: &Answer, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let style = view.style;
    let spots: Vec<PlanSpot> = answer
        .plans
        .iter()
        .enumerate()
        .map(|(k, p)| PlanSpot {
            x: p.minutes.hours(),
            y: p.cost.amount(),
            colour: t.wire(wire_of(view, p)),
            meets: p.meets(),
            best: answer.best == Some(k),
            now: is_now(view, p),
        })
        .collect();
    let chart = PlanChart {
        spots: &spots,
        front: &answer.front,
        x_words: &|hours| style.time(crate::units::Minutes::from_min(hours * 60.0)),
        y_words: &|cost| style.money(crate::units::Money::from_amount(cost)),
        x_title: say!("time a part"),
        y_title: say!("cost a part"),
    };
    let (response, under) = chart.show(ui, ui.available_width(), 240.0);
    let picture = response.rect;
    if let Some(plan) = under.and_then(|k| answer.plans.get(k)) {
        let clicked = response.clicked();
        response.on_hover_text_at_pointer(told(plan, style));
        if clicked {
            actions.push(Action::Plan(PlanAction::Take(Box::new(plan.way.clone()))));
        }
    }
    picture_ui(
        ui,
        say!("time against cost of all plans"),
        picture,
        actions,
        || {
            let head = [say!("plan"), say!("minutes"), say!("cost")].map(str::to_owned);
            let row = |p: &TriedPlan| {
                vec![
                    told(p, style),
                    cell(p.minutes.min_value()),
                    cell(p.cost.amount()),
                ]
            };
            table(std::iter::once(head.to_vec()).chain(answer.plans.iter().map(row)))
        },
    );
}

/// The plans that no other one beats in both, the fastest first.
fn front_ui(ui: &mut Ui, view: &View<'_>, answer: &Answer, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    ui.label(strong(say!("Faster or cheaper"), BODY));
    ui.add_space(2.0);
    ScrollArea::horizontal().id_salt("front").show(ui, |ui| {
        Grid::new("front")
            .num_columns(5)
            .spacing([12.0, 5.0])
            .striped(true)
            .show(ui, |ui| {
                for head in [say!("wire"), say!("passes"), say!("time"), say!("cost"), ""] {
                    ui.label(RichText::new(head).size(SMALL).color(t.text_soft));
                }
                ui.end_row();
                for plan in answer.front.iter().filter_map(|k| answer.plans.get(*k)) {
                    ui.horizontal(|ui| {
                        swatch(ui, t.wire(wire_of(view, plan)));
                        let name = view.style.spoken_candidate(&plan.way.candidate);
                        let short = crate::gui::widgets::shortened(&name, 26);
                        ui.label(short).on_hover_text(told(plan, view.style));
                    });
                    let order = format!(
                        "{}, {}",
                        ways::order(plan.way.order),
                        ways::cut_off(plan.way.cut_off)
                    );
                    ui.label(passes_words(plan.way.passes)).on_hover_text(order);
                    ui.label(view.style.time(plan.minutes));
                    ui.label(view.style.money(plan.cost));
                    take_ui(ui, view, say!("Take"), plan, actions);
                    ui.end_row();
                }
            });
    });
}
