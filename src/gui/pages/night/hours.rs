//! When the job is begun, and when somebody is in the shop.

use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, tokens};
use crate::gui::widgets::{NumberField, choice};
use crate::job::hours::{DAY, DAYS, parse_time, time_words};
use crate::job::{Job, WeekTime};
use crate::language::said;
use egui::{Button, RichText, Ui};

/// When the job is begun: a sentence whose words can be changed.
pub(super) fn begin_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let job = &view.file.job;
    let soft = tokens(ui).text_soft;
    let word = |ui: &mut Ui, text: &str| ui.label(RichText::new(text).color(soft));
    ui.horizontal_wrapped(|ui| {
        word(ui, say!("Begun on"));
        let day = job.begin.day();
        choice(
            ui,
            say!("Day of the begin"),
            said(DAYS[usize::from(day)]),
            BODY,
            |ui| {
                for (k, name) in (0_u16..).zip(DAYS) {
                    if ui.selectable_label(k == day, said(name)).clicked() {
                        edit(job, actions, |j| {
                            j.begin = WeekTime::new(k, j.begin.minute());
                        });
                        ui.close();
                    }
                }
            },
        );
        word(ui, say!("at"));
        time_field(
            ui,
            say!("Time of the begin"),
            job.begin.minute(),
            actions,
            |minute| {
                let mut new = job.clone();
                new.begin = WeekTime::new(day, minute);
                new
            },
        );
        let now = now();
        let begins = [
            (say!("now"), Some(now), say!("begun now")),
            (
                say!("tonight"),
                job.shop.staffed.last_hour(now.minutes()),
                say!("begun in the last hour of the day on which an operator is there"),
            ),
        ];
        for (words, begin, about) in begins {
            let Some(begin) = begin else { continue };
            let button = ui.add(Button::new(RichText::new(words).size(SMALL + 0.5)));
            let about = format!("{about}: {begin}");
            let name = say!("begin {words}");
            if button.on_hover_text(about).accessible_name(name).clicked() {
                edit(job, actions, |j| j.begin = begin);
            }
        }
    });
}

/// When an operator is there: a sentence whose words can be changed.
pub(super) fn staffed_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let job = &view.file.job;
    let soft = tokens(ui).text_soft;
    let word = |ui: &mut Ui, text: &str| ui.label(RichText::new(text).color(soft));
    let staffed = job.shop.staffed;
    ui.horizontal_wrapped(|ui| {
        word(ui, say!("Operator present"));
        ui.spacing_mut().item_spacing.x = 3.0;
        for (k, name) in DAYS.into_iter().enumerate() {
            let on = staffed.days[k];
            let label = ui
                .selectable_label(on, said(name))
                .on_hover_text(say!("whether an operator is there on this day"));
            if label.clicked() {
                edit(job, actions, |j| j.shop.staffed.days[k] = !on);
            }
        }
        ui.add_space(4.0);
        ui.spacing_mut().item_spacing.x = 6.0;
        word(ui, say!("from" in "a time"));
        time_field(
            ui,
            say!("Operator present from"),
            staffed.from,
            actions,
            |minute| {
                let mut new = job.clone();
                new.shop.staffed.from = minute;
                new
            },
        );
        word(ui, say!("to"));
        time_field(
            ui,
            say!("Operator present until"),
            staffed.to,
            actions,
            |minute| {
                let mut new = job.clone();
                new.shop.staffed.to = minute;
                new
            },
        );
    });
}

/// The time of the week on the shop's clock, to five minutes.
fn now() -> WeekTime {
    let now = jiff::Zoned::now();
    let day = f64::from(now.weekday().to_monday_zero_offset());
    let minute = 60.0 * f64::from(now.hour()) + f64::from(now.minute());
    WeekTime::after_monday(day * DAY + (minute / 5.0).floor() * 5.0)
}

fn time_field(
    ui: &mut Ui,
    name: &str,
    minute: u16,
    actions: &mut Vec<Action>,
    edited: impl FnOnce(u16) -> Job,
) {
    let entry = NumberField::new(name, time_words(minute))
        .width(40.0)
        .show(ui);
    if let Some(typed) = entry.typed {
        match parse_time(&typed) {
            Some(minute) => actions.push(Action::Edit(Box::new(edited(minute)))),
            None => actions.push(Action::Refuse(say!(
                "“{}” is not a time of day. Type hours and minutes, such as 7:30 or 16:00.",
                typed.trim()
            ))),
        }
    }
}

fn edit(job: &Job, actions: &mut Vec<Action>, change: impl FnOnce(&mut Job)) {
    let mut new = job.clone();
    change(&mut new);
    actions.push(Action::Edit(Box::new(new)));
}
