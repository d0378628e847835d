//! Rates and habits of the shop; the library's defaults until changed.

mod machines;

use crate::estimate::{CostLine, Question};
use crate::gui::commands::Command;
use crate::gui::open_file::WireQuestion;
use crate::gui::pages::contour::at_the_edge;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, strong_family, tokens};
use crate::gui::widgets::{NumberField, choice, figure};
use crate::job::{Blank, Job, Shop};
use crate::language::{self, lower_case};
use crate::library::Spool;
use crate::numbers::{DecimalSign, as_meant};
use crate::plan::start_holes::may_start_from_edge;
use crate::units::{Length, Mass, Money};
use crate::words::{
    Style, System,
    style::{count, number, significant},
    system::KG_PER_POUND,
    typed::parse_number,
};
use egui::{Align, FontId, Label, Layout, RichText, ScrollArea, Ui};

/// One line: what, its unit, the number shown, and how a typed number enters the shop.
struct Line {
    name: &'static str,
    unit: String,
    value: f64,
    most: f64,
    set: fn(&mut Shop, f64),
    /// What a typed number is multiplied by.
    factor: f64,
    /// The line of the cost that it belongs to.
    question: Option<Question>,
}

impl Line {
    fn about(self, question: Question) -> Self {
        Self {
            question: Some(question),
            ..self
        }
    }
}

fn lines(shop: &Shop, style: Style) -> Vec<Line> {
    // A price a pound is smaller than one a kilogram.
    let (mass, per_mass) = match style.system {
        System::Metric => (say!("kg"), 1.0),
        System::Inch => (say!("lb"), KG_PER_POUND),
    };
    let line = |name, unit: &str, value: f64, most, set| Line {
        name,
        unit: unit.to_owned(),
        value,
        most,
        set,
        factor: 1.0,
        question: None,
    };
    let by_mass = |name, value: f64, set| Line {
        name,
        unit: say!("a {mass}"),
        value: value * per_mass,
        most: 1e6,
        set,
        factor: 1.0 / per_mass,
        question: None,
    };
    let (rate, labour) = (shop.machine_rate.amount(), shop.labour_rate.amount());
    vec![
        line(say!("Machine"), say!("an hour"), rate, 1e6, |s, v| {
            s.machine_rate = Money::from_amount(v);
        })
        .about(Question::Machine),
        line(say!("Labour"), say!("an hour"), labour, 1e6, |s, v| {
            s.labour_rate = Money::from_amount(v);
        })
        .about(Question::Labour),
        by_mass(
            say!("Plain brass wire"),
            shop.wire_price.amount(),
            |s, v| {
                s.wire_price = Money::from_amount(v);
            },
        )
        .about(Question::WireCost),
        by_mass(say!("Scrap wire"), shop.scrap_value.amount(), |s, v| {
            s.scrap_value = Money::from_amount(v);
        }),
        line(
            say!("Consumables"),
            say!("an hour"),
            shop.consumables.amount(),
            1e6,
            |s, v| s.consumables = Money::from_amount(v),
        )
        .about(Question::Consumables),
        line(
            say!("Set-up"),
            say!("h per lot"),
            shop.setup_hours,
            1e4,
            |s, v| {
                s.setup_hours = v;
            },
        )
        .about(Question::Setup),
        line(
            say!("Programming"),
            say!("h per lot"),
            shop.programming_hours,
            1e4,
            |s, v| s.programming_hours = v,
        )
        .about(Question::Programming),
        line(
            say!("Programming rate"),
            say!("an hour"),
            shop.programming().amount(),
            1e6,
            |s, v| s.programming_rate = Some(Money::from_amount(v)),
        ),
        line(
            say!("Inspection"),
            say!("min per part"),
            shop.inspection_minutes,
            1e5,
            |s, v| s.inspection_minutes = v,
        )
        .about(Question::Inspection),
        line(
            say!("Other"),
            say!("a part"),
            shop.other.amount(),
            1e9,
            |s, v| {
                s.other = Money::from_amount(v);
            },
        )
        .about(Question::Other),
        line(say!("Mark-up"), "%", shop.markup * 100.0, 1000.0, |s, v| {
            s.markup = v / 100.0;
        })
        .about(Question::Markup),
        line(
            say!("Utilisation"),
            say!("% of the week"),
            shop.uptime * 100.0,
            100.0,
            |s, v| s.uptime = v / 100.0,
        ),
    ]
}

/// Lines of the cost that come from the job and the library.
const WITHOUT_RATE: [Question; 4] = [
    Question::Holes,
    Question::Loading,
    Question::Dressing,
    Question::CostAllowance,
];

/// The fields, one under the other.
pub fn shop_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let job = &view.file.job;
    ScrollArea::both()
        .id_salt("shop")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            ui.set_max_width(ui.available_width() - 12.0);
            // All of it is to be seen at once in a small window.
            ui.spacing_mut().item_spacing.y = 1.0;
            sum_ui(ui, Question::Cost, view, actions);
            for line in lines(&job.shop, view.style) {
                if line.question == Some(Question::Other) {
                    blank_ui(ui, view, actions);
                }
                if line.question == Some(Question::Markup) {
                    // What has no rate of its own stands with what has one: the column adds up to the sum above.
                    for question in WITHOUT_RATE {
                        sum_ui(ui, question, view, actions);
                    }
                }
                line_ui(ui, &line, view, actions);
                if line.question == Some(Question::Machine) {
                    machines::own_rate_ui(ui, view);
                }
            }
            rest_ui(ui, view, actions);
            machines::machines_ui(ui, view, actions);
        });
}

/// One number of the shop.
fn line_ui(ui: &mut Ui, line: &Line, view: &View<'_>, actions: &mut Vec<Action>) {
    let job = &view.file.job;
    row(
        ui,
        (line.name, &line.unit),
        line.question,
        view,
        actions,
        |ui, actions| {
            let shown = significant(line.value, 6);
            let name = format!("{} {}", line.name, line.unit);
            let entry = NumberField::new(&name, shown).width(74.0).show(ui);
            if let Some(typed) = entry.typed {
                match parse_number(&typed) {
                    Ok(v) if (0.0..=line.most).contains(&v) => {
                        edit(job, actions, |j| (line.set)(&mut j.shop, v * line.factor));
                    }
                    Ok(_) => actions.push(Action::Refuse(say!(
                        "“{}” cannot be used for {}. Enter a number between 0 and {}.",
                        typed.trim(),
                        lower_case(line.name),
                        significant(line.most, 7),
                    ))),
                    Err(message) => actions.push(Action::Refuse(message)),
                }
            }
        },
    );
}

/// Whether and how the work piece is paid.
fn blank_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let job = &view.file.job;
    let blank = job.shop.blank;
    let price = Blank::Price(Money::ZERO);
    let by_mass = Blank::ByMass {
        price: Money::ZERO,
        allowance: Length::from_mm(5.0),
    };
    let words = |b: Blank| match b {
        Blank::NotCounted => say!("not counted"),
        Blank::Price(_) => say!("a price a part"),
        Blank::ByMass { .. } => say!("by its mass"),
    };
    let question = (blank == Blank::NotCounted).then_some(Question::Material);
    row(
        ui,
        (say!("Blank"), ""),
        question,
        view,
        actions,
        |ui, actions| {
            choice(ui, say!("Blank"), words(blank), BODY, |ui| {
                for other in [Blank::NotCounted, price, by_mass] {
                    let chosen = std::mem::discriminant(&other) == std::mem::discriminant(&blank);
                    if ui.selectable_label(chosen, words(other)).clicked() {
                        if !chosen {
                            edit(job, actions, |j| j.shop.blank = other);
                        }
                        ui.close();
                    }
                }
            });
        },
    );
    let (mass, per_mass) = match view.style.system {
        System::Metric => (say!("kg"), 1.0),
        System::Inch => (say!("lb"), KG_PER_POUND),
    };
    let line = |name, unit: String, value: f64, factor, set| Line {
        name,
        unit,
        value,
        most: 1e6,
        set,
        factor,
        question: Some(Question::Material),
    };
    match blank {
        Blank::NotCounted => {}
        Blank::Price(now) => {
            let line = line(
                say!("Its price"),
                say!("a part").to_owned(),
                now.amount(),
                1.0,
                |s, v| {
                    s.blank = Blank::Price(Money::from_amount(v));
                },
            );
            line_ui(ui, &line, view, actions);
        }
        Blank::ByMass { price, allowance } => {
            let set = |s: &mut Shop, v: f64| {
                if let Blank::ByMass { price, .. } = &mut s.blank {
                    *price = Money::from_amount(v);
                }
            };
            let value = price.amount() * per_mass;
            let factor = 1.0 / per_mass;
            let money = line(say!("Material"), say!("a {mass}"), value, factor, set);
            line_ui(ui, &money, view, actions);
            row(
                ui,
                (
                    say!("Allowance" in "material around the part"),
                    say!("on every side"),
                ),
                None,
                view,
                actions,
                |ui, actions| {
                    let shown = view.style.typed_length(allowance);
                    let entry = NumberField::new(say!("Allowance on every side"), shown)
                        .width(74.0)
                        .show(ui);
                    match entry.typed.map(|typed| view.style.parse_length(&typed)) {
                        Some(Ok(allowance)) if (0.0..=1000.0).contains(&allowance.mm()) => {
                            edit(job, actions, |j| {
                                j.shop.blank = Blank::ByMass { price, allowance };
                            });
                        }
                        Some(Ok(_)) => actions.push(Action::Refuse(
                            say!("An allowance lies between 0 and 1000 mm.").to_owned(),
                        )),
                        Some(Err(message)) => actions.push(Action::Refuse(message)),
                        None => {}
                    }
                },
            );
        }
    }
}

/// What a part costs on the wire shown, or what goes into it that has no rate of its own here.
fn sum_ui(ui: &mut Ui, question: Question, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let Some(e) = view.file.shown_estimate() else {
        return;
    };
    let Some(f) = &e.figures else { return };
    let has = |l: &CostLine| l.question == question;
    if question != Question::Cost && !f.cost.lines().iter().any(has) {
        return;
    }
    let name = match question {
        Question::Cost => {
            let name = view.style.spoken_candidate(&e.candidate);
            match view.file.pieces() {
                0 | 1 => say!("A part with {name}"),
                n => say!("All {n} parts with {name}"),
            }
        }
        Question::Loading => say!("Loading").to_owned(),
        Question::Dressing => say!("Dressing").to_owned(),
        Question::CostAllowance => say!("Allowance").to_owned(),
        _ => say!("Start holes").to_owned(),
    };
    ui.horizontal(|ui| {
        ui.add(Label::new(RichText::new(name).color(t.text_soft)).truncate());
        amount_ui(ui, question, view, actions);
    });
}

/// What a part pays for something, at the right edge; a click says why.
fn amount_ui(ui: &mut Ui, question: Question, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let file = view.file;
    let Some(f) = file.shown_estimate().and_then(|e| e.figures.as_ref()) else {
        return;
    };
    let (what, amount, font) = if question == Question::Cost {
        let font = FontId::new(BODY, strong_family());
        let what = if file.pieces() > 1 {
            say!("in all")
        } else {
            say!("a part")
        };
        (what, f.cost.part.median, font)
    } else {
        let Some(line) = f.cost.lines().into_iter().find(|l| l.question == question) else {
            return;
        };
        (line.what, line.amount, FontId::proportional(BODY))
    };
    ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
        let text = number(amount.amount(), 2);
        let name = say!("cost, {what}");
        if figure(ui, &name, &text, font, t.text).clicked() {
            let wire = file.shown;
            actions.push(Action::Ask(WireQuestion { wire, question }));
        }
    });
}

/// Spool, the way back to the defaults, and a remark.
fn rest_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let job = &view.file.job;
    row(
        ui,
        (say!("Spool"), say!("loaded")),
        None,
        view,
        actions,
        |ui, actions| {
            let words = |spool: &Spool| {
                let mass = Mass::from_kg(spool.net_mass.value);
                let (digits, unit) = (
                    view.style.mass_in_short(mass),
                    view.style.system.mass_unit(),
                );
                say!(
                    "{} spool ({})",
                    view.style.with_unit(&digits, unit),
                    spool.name
                )
            };
            let loaded = view.library.spools.iter();
            let loaded = loaded.clone().find(|s| s.name == job.shop.spool);
            let shown = loaded.map_or_else(|| job.shop.spool.clone(), words);
            choice(ui, say!("Spool"), &shown, BODY, |ui| {
                for spool in &view.library.spools {
                    let text = words(spool);
                    if ui
                        .selectable_label(job.shop.spool == spool.name, text)
                        .clicked()
                    {
                        edit(job, actions, |j| j.shop.spool.clone_from(&spool.name));
                        ui.close();
                    }
                }
            });
        },
    );
    holes_ui(ui, view, actions);
    begin_ui(ui, view, actions);
    drill_ui(ui, view, actions);
    let mut by_hand = job.shop.threads_by_hand;
    let switch = ui.checkbox(&mut by_hand, say!("Threads by hand"));
    let switch = switch.on_hover_text(say!(
        "Each threading takes longer and needs the operator. A reciprocating wire \
         is always threaded by hand."
    ));
    if switch.changed() {
        edit(job, actions, |j| j.shop.threads_by_hand = by_hand);
    }
    machines::own_threading_ui(ui, view);
    sign_ui(ui, view, actions);
    ui.add_space(8.0);
    let defaults = Shop::from_library(view.library);
    if job.shop != defaults && ui.button(say!("Back to the library's defaults")).clicked() {
        edit(job, actions, |j| j.shop = defaults.clone());
    }
    if ui
        .button(say!("Export rates…"))
        .on_hover_text(say!(
            "all of them as a file, with what each line means; dropped on a window it is taken over"
        ))
        .clicked()
    {
        actions.push(Action::SaveRates);
    }
    ui.add(
        Label::new(
            RichText::new(
                say!("Amounts are in your own currency. Your rates are saved at once, for every window and for the command."),
            )
            .size(SMALL)
            .color(t.text_faint),
        )
        .wrap(),
    );
}

/// The diameters of the start holes that the shop drills.
fn holes_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let job = &view.file.job;
    let unit = view.style.system.length_unit();
    let shown: Vec<String> = job
        .shop
        .hole_sizes
        .iter()
        .map(|d| view.style.typed_length(*d))
        .map(|d| d.trim_end_matches(unit).trim_end().to_owned())
        .collect();
    row(
        ui,
        (say!("Start holes Ø"), unit),
        None,
        view,
        actions,
        |ui, actions| {
            let entry = NumberField::new(say!("Diameters of start holes"), shown.join("  "))
                .width(150.0)
                .show(ui);
            if let Some(typed) = entry.typed {
                match view.style.parse_hole_sizes(&as_meant(&typed, view.sign)) {
                    Ok(sizes) => edit(job, actions, |j| j.shop.hole_sizes = sizes),
                    Err(message) => actions.push(Action::Refuse(message)),
                }
            }
        },
    );
}

/// Where outlines are begun that say nothing themselves, in a drawing with one that can be begun at the edge.
fn begin_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let (profile, job) = (&view.file.profile, &view.file.job);
    let own = |k: usize| may_start_from_edge(profile, job, k);
    if !job.outlines_from_edge && !(0..profile.contours().len()).any(own) {
        return;
    }
    let words = |edge| {
        if edge {
            at_the_edge()
        } else {
            say!("in start holes")
        }
    };
    let now = job.outlines_from_edge;
    let field = (say!("Outlines begin"), "");
    row(ui, field, None, view, actions, |ui, actions| {
        choice(ui, say!("Where outlines begin"), words(now), BODY, |ui| {
            for edge in [false, true] {
                let response = ui
                    .selectable_label(edge == now, words(edge))
                    .on_hover_text(say!(
                        "of this job; a contour can say otherwise on its own page"
                    ));
                if response.clicked() {
                    if edge != now {
                        edit(job, actions, |j| j.outlines_from_edge = edge);
                    }
                    ui.close();
                }
            }
        });
    });
}

/// The list for the drill, where there are holes to drill.
fn drill_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let figures = view.file.shown_estimate().and_then(|e| e.figures.as_ref());
    let Some(holes) = figures.map(|f| f.start_holes).filter(|n| *n > 0) else {
        return;
    };
    let words = say!(
        "List of {} for the drill…",
        count(holes, say!("start hole"), say!("start holes"))
    );
    let about =
        say!("number, x, y, diameter and depth of every start hole of the wire shown, as CSV");
    if ui.button(words).on_hover_text(about).clicked() {
        actions.push(Action::Run(Command::SaveHoles));
    }
}

/// Which sign is the decimal one: said by the shop, or by the system and then asked where it matters.
fn sign_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let words = |sign: DecimalSign| match sign {
        DecimalSign::Point => say!("point: 1.5"),
        DecimalSign::Comma => say!("comma: 1,5"),
    };
    let system = DecimalSign::of_system().map_or(say!("unknown"), |sign| match sign {
        DecimalSign::Point => say!("point"),
        DecimalSign::Comma => say!("comma"),
    });
    let asked = if language::now().has_comma() {
        let sign = say!("comma");
        say!("as the language ({sign})")
    } else {
        say!("ask (system: {system})")
    };
    let shown = view.own_sign.map_or(asked.clone(), |s| words(s).to_owned());
    row(
        ui,
        (say!("Decimal sign"), ""),
        None,
        view,
        actions,
        |ui, actions| {
            choice(ui, say!("Decimal sign"), &shown, BODY, |ui| {
                let all = [None, Some(DecimalSign::Point), Some(DecimalSign::Comma)];
                for sign in all {
                    let text = sign.map_or(asked.clone(), |s| words(s).to_owned());
                    if ui.selectable_label(view.own_sign == sign, text).clicked() {
                        actions.push(Action::Sign(sign));
                        ui.close();
                    }
                }
            });
        },
    );
}

fn edit(job: &Job, actions: &mut Vec<Action>, change: impl FnOnce(&mut Job)) {
    let mut new = job.clone();
    change(&mut new);
    actions.push(Action::Edit(Box::new(new)));
}

/// A name, its field and unit, and what a part pays for it.
fn row(
    ui: &mut Ui,
    (name, unit): (&str, &str),
    question: Option<Question>,
    view: &View<'_>,
    actions: &mut Vec<Action>,
    field: impl FnOnce(&mut Ui, &mut Vec<Action>),
) {
    let t = tokens(ui);
    ui.horizontal(|ui| {
        ui.allocate_ui_with_layout(
            egui::vec2(118.0, 22.0),
            Layout::left_to_right(Align::Center),
            |ui| {
                ui.set_min_width(118.0);
                ui.label(name);
            },
        );
        field(ui, actions);
        ui.label(RichText::new(unit).size(SMALL).color(t.text_soft));
        if let Some(question) = question {
            amount_ui(ui, question, view, actions);
        }
    });
}
