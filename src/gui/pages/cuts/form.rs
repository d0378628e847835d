//! The open job's finished cut, logged in five fields.

use super::text::remark;
use crate::calibration::{
    Column, Cut, Day, Done, RowFaultKind, is_of_another_speed, read_cuts, wire_if_run, write_cuts,
};
use crate::estimate::Figures;
use crate::gui::learning::{LearnAction, parse_minutes};
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, tokens};
use crate::gui::widgets::{choice, swatch};
use crate::job::{WireRun, cut_length};
use crate::library::Library;
use crate::numbers::{DecimalSign, as_meant};
use crate::plan::Share;
use crate::reason::Unit;
use crate::units::{Length, Minutes, RunOff};
use crate::words::cuts;
use crate::words::system::M_PER_FOOT;
use crate::words::{Style, System, style, typed::parse_number, ways};
use egui::collapsing_header::CollapsingState;
use egui::{Align, Layout, RichText, TextEdit, Ui};

/// What is typed so far.
#[derive(Debug, Clone, PartialEq, Default)]
struct Draft {
    minutes: String,
    /// The minutes are those of the whole run, stops and threading included.
    whole: bool,
    wire: String,
    /// How the wire was run; empty for as the wire shown is run.
    run: String,
    date: String,
    machine: String,
    note: String,
}

/// The fields; the wire is the one shown.
pub fn form_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let id = ui.make_persistent_id("log a cut");
    let t = tokens(ui);
    CollapsingState::load_with_default_open(ui.ctx(), id, view.learning.cuts.is_empty())
        .show_header(ui, |ui| {
            ui.label(crate::gui::theme::strong(say!("Log this job, now that it is cut"), 13.5).color(t.text));
        })
        .body(|ui| match figures(view) {
            Some(figures) => fields_ui(ui, view, figures, actions),
            None => remark(
                ui,
                say!("The wire shown cannot do this job, or its estimate is not there yet. Show another wire below."),
            ),
        });
}

/// Figures of the wire shown, once they belong to the job as it is.
fn figures<'a>(view: &View<'a>) -> Option<&'a Figures> {
    let e = view.file.shown_estimate()?;
    let candidate = view.file.job.candidates.get(view.file.shown)?;
    e.figures.as_ref().filter(|_| e.candidate == *candidate)
}

/// Minutes of cutting and of all the rest, as predicted.
fn predicted(figures: &Figures) -> (Minutes, Minutes) {
    let sum = |cutting: bool| -> Minutes {
        Share::ALL
            .into_iter()
            .filter(|s| matches!(s, Share::Rough | Share::Skims | Share::Corners) == cutting)
            .map(|s| figures.share(s))
            .sum()
    };
    (sum(true), sum(false))
}

fn fields_ui(ui: &mut Ui, view: &View<'_>, figures: &Figures, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let id = egui::Id::unique("draft of a finished cut");
    let fresh = || Draft {
        date: Day::today().said(),
        machine: view.learning.last_machine().to_owned(),
        ..Draft::default()
    };
    let mut draft: Draft = ui.data(|d| d.get_temp(id)).unwrap_or_else(fresh);
    let before = draft.clone();
    wire_row(ui, view, actions);
    let (cutting, others) = predicted(figures);
    line(ui, say!("Took"), |ui| {
        text(
            ui,
            &mut draft.minutes,
            say!("Actual minutes"),
            104.0,
            say!("min or h:min"),
        );
        ui.selectable_value(&mut draft.whole, false, say!("cutting alone"))
            .on_hover_text(say!("without threading, stops and moves"));
        ui.selectable_value(&mut draft.whole, true, say!("the whole run"))
            .on_hover_text(say!(
                "with threading, stops and moves; their predicted time is taken off"
            ));
    });
    let expected = if draft.whole {
        cutting + others
    } else {
        cutting
    };
    line(ui, "", |ui| {
        let mut words = say!("predicted {}", style::time(expected));
        if draft.whole {
            words = say!("{words}, {} of it not cutting", style::time(others));
        }
        ui.label(RichText::new(words).size(SMALL).color(t.text_soft));
    });
    line(ui, say!("Wire used"), |ui| {
        text(
            ui,
            &mut draft.wire,
            say!("Wire used"),
            104.0,
            say!("if noted"),
        );
        let unit = view.style.system.wire_unit();
        let words = say!("{unit}, predicted {}", view.style.wire(figures.wire.median));
        ui.label(RichText::new(words).size(SMALL).color(t.text_soft))
            .on_hover_text(say!(
                "with what is wasted at threadings, which is taken off as predicted"
            ));
    });
    line(ui, say!("Wire speed"), |ui| {
        let hint = usual_speeds(figures, view.style);
        text(
            ui,
            &mut draft.run,
            say!("Wire speed of the cut"),
            104.0,
            &hint,
        );
        let unit = view.style.system.conversion(Unit::RunOff).1;
        let words = say!("{unit} in rough and skims, if other than the wire shown");
        ui.label(RichText::new(words).size(SMALL).color(t.text_soft));
    });
    if let Some(words) = disagrees(&draft, view, figures, others) {
        line(ui, "", |ui| {
            ui.add(egui::Label::new(RichText::new(words).size(SMALL).color(t.warn)).wrap());
        });
    }
    line(ui, say!("Date"), |ui| {
        text(
            ui,
            &mut draft.date,
            say!("Date of the cut"),
            104.0,
            "2026-03-31",
        );
    });
    line(ui, say!("Machine"), |ui| {
        let room = (ui.available_width() - 14.0).clamp(60.0, 200.0);
        text(
            ui,
            &mut draft.machine,
            say!("Machine"),
            room,
            say!("its name in the shop"),
        );
    });
    line(ui, say!("Note"), |ui| {
        let room = (ui.available_width() - 14.0).max(80.0);
        text(
            ui,
            &mut draft.note,
            say!("Note"),
            room,
            say!("what was unusual"),
        );
    });
    line(ui, "", |ui| {
        let ready = !draft.minutes.trim().is_empty();
        let button = ui
            .add_enabled(ready, egui::Button::new(say!("Log the cut")))
            .on_disabled_hover_text(say!("enter the minutes first"));
        if button.clicked() {
            match cut(&draft, view, figures, others) {
                Ok(cut) => {
                    actions.push(Action::Learn(LearnAction::Log(Box::new(cut))));
                    draft = Draft {
                        machine: draft.machine.clone(),
                        date: draft.date.clone(),
                        whole: draft.whole,
                        ..Draft::default()
                    };
                }
                Err(message) => actions.push(Action::Refuse(message)),
            }
        }
    });
    if draft != before {
        ui.data_mut(|d| d.insert_temp(id, draft));
    }
}

/// The wire speeds of the estimate: "10/9".
fn usual_speeds(figures: &Figures, style: Style) -> String {
    let factor = style.system.conversion(Unit::RunOff).0;
    let mut speeds: Vec<String> = (figures.passes.iter())
        .map(|p| style.significant(p.run_off.m_per_min() * factor, 3))
        .collect();
    speeds.dedup();
    speeds.join("/")
}

/// The wire speed typed, in the unit that is shown; `None` where none is.
fn run_typed(
    draft: &Draft,
    style: Style,
    sign: Option<DecimalSign>,
) -> Result<Option<WireRun>, String> {
    let typed = &as_meant(draft.run.trim(), sign);
    if typed.is_empty() {
        return Ok(None);
    }
    let wrong = || ways::not_a_run(typed);
    let run = WireRun::parse(typed).ok_or_else(wrong)?;
    let factor = style.system.conversion(Unit::RunOff).0;
    let given: Vec<RunOff> = (run.given().iter())
        .map(|u| RunOff::from_m_per_min(u.m_per_min() / factor))
        .collect();
    Ok(Some(WireRun::of_passes(&given).unwrap_or(run)))
}

/// Wire used as typed.
fn wire_typed(
    draft: &Draft,
    style: Style,
    sign: Option<DecimalSign>,
) -> Result<Option<Length>, String> {
    let typed = &as_meant(draft.wire.trim(), sign);
    if typed.is_empty() {
        return Ok(None);
    }
    let value = parse_number(typed)?;
    Ok(Some(Length::from_m(match style.system {
        System::Metric => value,
        System::Inch => value * M_PER_FOOT,
    })))
}

/// Said where time, wire and wire speed cannot all be right.
fn disagrees(draft: &Draft, view: &View<'_>, figures: &Figures, others: Minutes) -> Option<String> {
    let noted = wire_typed(draft, view.style, view.sign).ok().flatten()?;
    let run = run_typed(draft, view.style, view.sign)
        .ok()?
        .unwrap_or_default();
    let mut cutting = Minutes::from_min(parse_minutes(&as_meant(&draft.minutes, view.sign)).ok()?);
    if draft.whole {
        cutting = cutting - others;
    }
    let expected = wire_if_run(figures, run, cutting);
    let asks = cutting > Minutes::ZERO && is_of_another_speed(noted, expected);
    asks.then(|| cuts::of_another_speed(noted, expected, view.style))
}

/// Which wire cut it: the one shown.
fn wire_row(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let file = view.file;
    line(ui, say!("Wire"), |ui| {
        swatch(ui, t.wire(file.shown));
        let name = crate::gui::panels::wires::candidate_name(view.style, &file.job, file.shown);
        choice(ui, say!("Wire of the finished cut"), &name, BODY, |ui| {
            for (k, c) in file.job.candidates.iter().enumerate() {
                let name = view.style.candidate(c);
                if ui.selectable_label(file.shown == k, name).clicked() {
                    actions.push(Action::Show(k));
                    ui.close();
                }
            }
        });
    });
}

fn line(ui: &mut Ui, name: &str, fields: impl FnOnce(&mut Ui)) {
    ui.horizontal_top(|ui| {
        ui.allocate_ui_with_layout(
            egui::vec2(74.0, 22.0),
            Layout::left_to_right(Align::Center),
            |ui| {
                ui.set_min_width(74.0);
                ui.label(name);
            },
        );
        // What finds no room beside the name goes on below itself.
        ui.horizontal_wrapped(fields);
    });
}

fn text(ui: &mut Ui, value: &mut String, name: &str, width: f32, hint: &str) {
    let t = tokens(ui);
    ui.add(
        TextEdit::singleline(value)
            .hint_text(hint)
            .text_color(t.accent)
            .desired_width(width),
    )
    .accessible_name(name);
}

/// The cut as typed, checked by the same rules as a row of a file.
fn cut(draft: &Draft, view: &View<'_>, figures: &Figures, others: Minutes) -> Result<Cut, String> {
    let kept =
        |message: String| say!("{message} Nothing was logged; what you typed is still there.");
    let mut minutes = parse_minutes(&as_meant(&draft.minutes, view.sign)).map_err(kept)?;
    if draft.whole {
        minutes -= others.min_value();
        if minutes <= 0.0 {
            return Err(kept(say!(
                "Threading, stops and moves alone are predicted at {}, so the whole run cannot have taken {}. \
                 Choose “cutting alone”, or check the minutes.",
                style::time(others),
                draft.minutes.trim()
            )));
        }
    }
    let wire_used = wire_typed(draft, view.style, view.sign).map_err(kept)?;
    let run = run_typed(draft, view.style, view.sign).map_err(kept)?;
    let date = Day::typed(&draft.date).ok_or_else(|| {
        let no_date = RowFaultKind::NoDate(draft.date.trim().to_owned());
        kept(cuts::reason(&no_date, |_| say!("The date")))
    })?;
    let job = &view.file.job;
    let candidate = job
        .candidates
        .get(view.file.shown)
        .ok_or_else(|| kept(say!("No wire is shown.").to_owned()))?;
    let done = Done {
        date,
        machine: draft.machine.trim(),
        cut_length: cut_length(job, &view.file.profile),
        cutting_minutes: Minutes::from_min(minutes),
        run,
        wire_used,
        note: draft.note.trim(),
    };
    let cut = Cut::of_job(job, candidate, figures, &done)
        .map_err(|e| kept(cuts::less_than_wasted(&e, view.style.system)))?;
    checked(cut, view.library).map_err(kept)
}

/// Written and read back: what a file of cuts would refuse is refused here, in the same words.
fn checked(cut: Cut, library: &Library) -> Result<Cut, String> {
    let written = write_cuts(std::slice::from_ref(&cut));
    let read = read_cuts(&written, library, Day::latest()).map_err(|e| e.to_string())?;
    match read.faults.first() {
        Some(fault) => Err(cuts::reason(&fault.kind, |column| match column {
            Column::CuttingMinutes => say!("The number of minutes"),
            Column::WireUsed => say!("The wire used, in metres,"),
            other => other.name(),
        })),
        None => Ok(cut),
    }
}
