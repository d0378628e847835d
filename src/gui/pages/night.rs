//! The job by the clock: when it is done, whether it runs through the night, what waits for somebody.

mod days;
mod hours;
mod letting_go;

use crate::estimate::alternatives::WayOfCutting;
use crate::estimate::{Alone, ByTheClock, Doing};
use crate::gui::scene::course::Clocks;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, strong, tokens};
use crate::gui::widgets::swatch;
use crate::job::WeekTime;
use crate::job::hours::WEEK;
use crate::units::Minutes;
use crate::words::style::{count, number, time};
use crate::words::{clock as clock_words, ways};
use egui::{Button, Grid, Label, RichText, ScrollArea, Ui};

/// The page; it is asked for when it is opened.
pub fn night_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let file = view.file;
    ScrollArea::both()
        .id_salt("unattended")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            let clocks = file.clocks.of(file.shown);
            let clock = clocks.and_then(|c| c.wires.get(file.shown)?.as_ref());
            // The answer first, with the begin, which is asked for most; then all else that it rests on.
            match (clocks, clock) {
                (None, _) => wrapped(ui, say!("Walking through the days…")),
                (Some(_), None) => wrapped(
                    ui,
                    say!(
                        "The wire shown cannot do the job, so it is never done. Show another one."
                    ),
                ),
                (Some(_), Some(clock)) => done_ui(ui, clock),
            }
            ui.add_space(2.0);
            hours::begin_ui(ui, view, actions);
            if let (Some(clocks), Some(clock)) = (clocks, clock) {
                answer_ui(ui, view, (clocks, clock), actions);
            }
            ui.add_space(8.0);
            ui.label(strong(say!("What it rests on"), BODY));
            hours::staffed_ui(ui, view, actions);
            letting_go::letting_go_ui(ui, view, actions);
            if let Some(clocks) = clocks {
                ui.add_space(4.0);
                if let Some(clock) = clock {
                    ways_ui(ui, clock.begun, clocks, view, actions);
                }
                others_ui(ui, view, clocks, actions);
            }
            cautions_ui(ui);
        });
}

/// Day by day what happens, night by night what waits for whom, and what would be better.
fn answer_ui(
    ui: &mut Ui,
    view: &View<'_>,
    (clocks, clock): (&Clocks, &ByTheClock),
    actions: &mut Vec<Action>,
) {
    if let Some(later) = clock_words::begun_later(view.file.job.begin, clock) {
        soft(ui, &later);
    }
    ui.add_space(6.0);
    days::days_ui(ui, view, clock, actions);
    ui.add_space(8.0);
    for alone in clock.alone.iter().take(MOST_NIGHTS) {
        alone_ui(ui, view, clock, alone);
    }
    if clock.alone.len() > MOST_NIGHTS {
        let more = count(
            clock.alone.len() - MOST_NIGHTS,
            say!("time more"),
            say!("times more"),
        );
        soft(ui, &say!("And {more} without anybody."));
    }
    for again in &clock.repeats {
        soft(
            ui,
            &say!(
                "From {} on {}.",
                moment_words(again.from, clock.begun),
                clock_words::again(again)
            ),
        );
    }
    better_ui(ui, view, clocks, actions);
    letting_go::together_ui(ui, view, clock, clocks.together.as_ref(), actions);
}

/// Times without anybody that are told one by one.
const MOST_NIGHTS: usize = 8;

/// A moment as day and time, to five minutes, with the week where it is a later one.
fn moment_words(moment: f64, begun: f64) -> String {
    let rounded = (moment / 5.0).round() * 5.0;
    let at = WeekTime::after_monday(rounded);
    match (rounded / WEEK).floor() - (begun / WEEK).floor() {
        w if w < 0.5 => at.to_string(),
        w if w < 1.5 => say!("{at} of the next week"),
        w => say!("{at}, {w:.0} weeks on"),
    }
}

/// When the whole lot is done; "about" where it was walked in part.
fn lot_words(clock: &ByTheClock, begun: f64) -> String {
    let about = if clock.is_whole() { "" } else { say!("about ") };
    format!("{about}{}", moment_words(clock.all_done(), begun))
}

fn wrapped(ui: &mut Ui, text: &str) {
    let colour = tokens(ui).text;
    ui.add(Label::new(RichText::new(text).color(colour)).wrap());
}

fn soft(ui: &mut Ui, text: &str) {
    let colour = tokens(ui).text_soft;
    ui.add(Label::new(RichText::new(text).size(SMALL + 0.5).color(colour)).wrap());
}

/// The answer in one line, and what it means.
fn done_ui(ui: &mut Ui, clock: &ByTheClock) {
    let (low, high) = clock.done_range;
    let what = clock_words::done(clock);
    ui.horizontal_wrapped(|ui| {
        ui.label(strong(
            format!("{what} {}", moment_words(clock.done, clock.begun)),
            15.0,
        ));
        soft(
            ui,
            &format!(
                "{} – {}",
                moment_words(low, clock.begun),
                moment_words(high, clock.begun)
            ),
        );
    });
    let all = moment_words(clock.all_done(), clock.begun);
    if let Some(text) = clock_words::walked_in_part(clock, &all) {
        ui.label(RichText::new(text).color(tokens(ui).warn));
    }
    let visits = count(clock.visits, say!("visit"), say!("visits"));
    let text = if clock.waits >= Minutes::from_min(1.0) {
        say!(
            "The machine is idle for {}, waiting for the operator. It needs {visits}.",
            time(clock.waits)
        )
    } else {
        say!("It never waits for the operator. It needs {visits}.")
    };
    wrapped(ui, &text);
}

fn piece_words(view: &View<'_>, contour: Option<usize>) -> String {
    contour.map_or(say!("the operator").to_owned(), |c| {
        let role = view.file.job.role(&view.file.profile, c);
        match role {
            crate::profile::Role::Opening => {
                say!("the operator to take out the slug of opening {}", c + 1)
            }
            crate::profile::Role::Outline => {
                say!("the operator to take out the part of outline {}", c + 1)
            }
        }
    })
}

/// One night or weekend in words.
fn alone_ui(ui: &mut Ui, view: &View<'_>, clock: &ByTheClock, alone: &Alone) {
    let day = |m: f64| WeekTime::after_monday(m).to_string();
    ui.label(strong(
        say!("{} to {}, unattended", day(alone.from), day(alone.to)),
        BODY,
    ));
    let runs = if alone.runs < Minutes::from_min(1.0) {
        say!("It does not run at all").to_owned()
    } else if alone.stops.is_none() && alone.done.is_none() {
        say!("It runs through, {}", time(alone.runs))
    } else {
        say!("It runs for {}", time(alone.runs))
    };
    let then = match (alone.stops, alone.done) {
        (Some((at, Doing::OutOfWire, _)), _) => say!(
            ". A full spool, {}, has run out by {}; it is idle until the operator puts on another.",
            view.style.wire(clock.spool),
            moment_words(at, at)
        ),
        (Some((at, _, contour)), _) => say!(
            ", then waits from {} for {}.",
            moment_words(at, at),
            piece_words(view, contour)
        ),
        (None, Some(at)) => say!(" and is done at {}.", moment_words(at, at)),
        (None, None) => ".".to_owned(),
    };
    wrapped(ui, &format!("{runs}{then}"));
    // Of a short while there is nothing more to say.
    if alone.runs < Minutes::from_min(30.0) {
        ui.add_space(5.0);
        return;
    }
    let spool = if alone.wire > clock.spool * 0.999 {
        say!("All of a full spool goes").to_owned()
    } else {
        say!(
            "It takes {} of the {} on a full spool",
            view.style.wire(alone.wire),
            view.style.wire(clock.spool)
        )
    };
    let threadings = match alone.threadings {
        0 => say!("no threading").to_owned(),
        n => count(n, say!("threading" in "one of several"), say!("threadings")),
    };
    let breaks = number(alone.breaks, if alone.breaks < 0.1 { 2 } else { 1 });
    soft(
        ui,
        &format!(
            "{spool}. {}",
            clock_words::nobody_needed(
                alone.needs_nobody,
                &threadings,
                &breaks,
                alone.stops.is_some()
            )
        ),
    );
    ui.add_space(5.0);
}

fn better_ui(ui: &mut Ui, view: &View<'_>, clocks: &Clocks, actions: &mut Vec<Action>) {
    let Some((moment, waits)) = clocks.better else {
        return;
    };
    let begin = WeekTime::after_monday(moment);
    let stands = if waits < Minutes::from_min(1.0) {
        say!("would never wait").to_owned()
    } else {
        say!("would be idle for {} only", time(waits))
    };
    ui.horizontal_wrapped(|ui| {
        wrapped(ui, &say!("Begun {begin} it {stands}."));
        if ui.button(say!("Begin {begin}")).clicked() {
            let mut new = view.file.job.clone();
            new.begin = begin;
            actions.push(Action::Edit(Box::new(new)));
        }
    });
    ui.add_space(4.0);
}

/// The other orders of cutting, each with the time it is done.
fn ways_ui(ui: &mut Ui, begun: f64, clocks: &Clocks, view: &View<'_>, actions: &mut Vec<Action>) {
    if clocks.ways.len() < 2 {
        return;
    }
    ui.add_space(4.0);
    ui.label(strong(say!("In another order"), BODY));
    let mut rows: Vec<&(WayOfCutting, ByTheClock)> = clocks.ways.iter().collect();
    rows.sort_by(|a, b| a.1.all_done().total_cmp(&b.1.all_done()));
    for (way, clock) in rows {
        let button = Button::selectable(way.chosen, ways::of_cutting(way)).wrap();
        let response = ui.add(button).on_hover_text(say!("cut in this order"));
        if response.clicked() && !way.chosen {
            let mut new = view.file.job.clone();
            (new.order, new.cut_off, new.travel) = (way.order, way.cut_off, way.travel);
            actions.push(Action::Edit(Box::new(new)));
        }
        let stands = if clock.waits < Minutes::from_min(1.0) {
            say!("never waits").to_owned()
        } else {
            say!("idle {}", time(clock.waits))
        };
        let done = lot_words(clock, begun);
        ui.horizontal(|ui| {
            ui.add_space(7.0);
            soft(ui, &say!("done {done}, {stands}"));
        });
    }
}

/// The other wires, each with the time it is done.
fn others_ui(ui: &mut Ui, view: &View<'_>, clocks: &Clocks, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let begun = clocks.wires.iter().flatten().map(|c| c.begun).next();
    let (Some(begun), true) = (begun, clocks.wires.len() > 1) else {
        return;
    };
    ui.add_space(4.0);
    ui.label(strong(say!("With another wire"), BODY));
    table(ui, "wires by the clock", say!("wire"), |ui| {
        for (i, candidate) in view.file.job.candidates.iter().enumerate() {
            let Some(clock) = clocks.wires.get(i) else {
                continue;
            };
            ui.horizontal(|ui| {
                swatch(ui, t.wire(i));
                let name = view.style.spoken_candidate(candidate);
                let label = ui.selectable_label(view.file.shown == i, name);
                if label.on_hover_text(say!("show this wire")).clicked() {
                    actions.push(Action::Show(i));
                }
            });
            if let Some(clock) = clock {
                ends(ui, clock, begun);
            } else {
                ui.label(RichText::new(say!("cannot")).color(t.fault));
                ui.label("–");
                ui.end_row();
            }
        }
    });
}

fn table(ui: &mut Ui, id: &str, first: &str, rows: impl FnOnce(&mut Ui)) {
    let t = tokens(ui);
    Grid::new(id)
        .num_columns(3)
        .spacing([10.0, 3.0])
        .show(ui, |ui| {
            for text in [first, say!("done"), say!("idle")] {
                ui.label(RichText::new(text).size(SMALL).color(t.text_faint));
            }
            ui.end_row();
            rows(ui);
        });
}

/// Two cells: when it is done, and how long it stands.
fn ends(ui: &mut Ui, clock: &ByTheClock, begun: f64) {
    ui.label(lot_words(clock, begun));
    let waits = if clock.waits < Minutes::from_min(1.0) {
        "–".to_owned()
    } else {
        time(clock.waits)
    };
    ui.label(waits);
    ui.end_row();
}

fn cautions_ui(ui: &mut Ui) {
    ui.add_space(8.0);
    soft(
        ui,
        say!(
            "Whether a machine may run with nobody there is for the machine maker's manual, your insurer and local fire \
         codes to say. With oil as the dielectric that means fire detection, extinguishing and full submersion. A piece \
         that is nearly cut free at night can fall or jam: leave a tab that holds it. A next part is set up at the \
         visit at which the last one comes free."
        ),
    );
}
