//! The answer as a sentence below the job: what the wire shown takes, and which one is best.

use crate::drawing::{Fault, Verdict};
use crate::estimate::{AtStake, Comparison, Estimate, Figures, Quotable};
use crate::gui::commands::Command;
use crate::gui::open_file::{Answer, Spot};
use crate::gui::page::Page;
use crate::gui::pages::findings::{in_order, verdict_colour};
use crate::gui::state::{Action, View};
use crate::gui::theme::{strong, tokens, unbroken};
use crate::gui::widgets::{shortened_at_end, swatch};
use crate::job::Job;
use crate::language::{capitalised, said};
use crate::profile::Keep;
use crate::words::at_stake::{self, Pieces};
use crate::words::findings::in_short;
use crate::words::{Style, obstacles, parts, style, wires};
use egui::{Color32, Label, Response, RichText, Role, Sense, Ui, WidgetInfo};

/// Text size of the answer, points.
const SIZE: f32 = 13.0;
/// Most letters of what is to be checked first; the page has the rest.
const MOST_LETTERS: usize = 90;

/// One line; a wire named in it is shown by a click.
pub fn answer_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let file = view.file;
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let soft = |text: &str| RichText::new(unbroken(text)).size(SIZE).color(t.text_soft);
        let Some(answer) = &file.answer else {
            ui.label(soft(file.awaited_words()));
            return;
        };
        let comparison = &answer.comparison;
        let shown = file.shown.min(comparison.estimates.len().saturating_sub(1));
        let Some(e) = comparison.estimates.get(shown) else {
            return;
        };
        let name = capitalised(&view.style.spoken_candidate(&e.candidate));
        if file.profile.contours().is_empty() {
            ui.label(soft(say!(
                "Nothing closes a contour yet, so there is nothing to cut."
            )));
            return;
        }
        let to_findings = |ui: &mut Ui, words: &str, colour, actions: &mut Vec<Action>| {
            let response = link(ui, words, words, colour);
            if response.clicked() && view.page != Some(Page::Findings) {
                actions.push(Action::Run(Command::Page(Page::Findings)));
            }
            response
        };
        let Some(f) = &e.figures else {
            to_findings(ui, &say!("{name} cannot do it."), t.text_soft, actions)
                .on_hover_text(say!("what is in its way"));
            best_ui(ui, view, answer, None, actions);
            return;
        };
        ui.label(soft(&say!("{name} takes")));
        ui.label(strong(unbroken(&style::time(f.minutes.median)), SIZE).color(t.text));
        ui.label(soft(&say!(
            "({}) and costs",
            style::time_range(f.minutes.low, f.minutes.high)
        )));
        ui.label(strong(unbroken(&style::money(f.cost.part.median)), SIZE).color(t.text));
        let pieces = Pieces::of(answer.pieces, f.cost.part.median);
        ui.label(soft(&lot_words(&answer.job, f, pieces, view.style)));
        let set = parts::what_a_set_is(&answer.job, &file.profile, &file.drawing.parts, view.style);
        if let Some(set) = set {
            ui.label(soft(&format!("{}.", capitalised(&set))));
        }
        if let Some(words) = obstacles::not_as_drawn(&e.obstacles, view.style.system) {
            to_findings(ui, &words, t.warn, actions)
                .on_hover_text(say!("which radii come out larger, and what to say to it"));
        }
        doubt_ui(ui, view, e, answer.at_stake.get(shown), actions);
        best_ui(ui, view, answer, Some((shown, f)), actions);
    });
}

/// "a part." or "a part; 50 h and 620 for all 10.", or with several parts in one estimate "for all 9 parts,
/// 12.30 a piece; 50 h and 620 for 10 times that."
fn lot_words(job: &Job, f: &Figures, pieces: Pieces, style: Style) -> String {
    let one = pieces.words(style);
    if job.quantity < 2 {
        return format!("{one}.");
    }
    let lot = f64::from(job.quantity);
    let (time, money) = (f.minutes.median * lot, f.cost.part.median * lot);
    let all = match pieces.count {
        1 => say!("all {}", style.number(lot, 0)),
        _ => say!("{} times that", style.number(lot, 0)),
    };
    say!(
        "{one}; {} and {} for {all}.",
        style.time(time),
        style.money(money)
    )
}

/// The money at stake and the verdict; a click leads to the question.
fn doubt_ui(
    ui: &mut Ui,
    view: &View<'_>,
    e: &Estimate,
    stakes: Option<&Vec<AtStake>>,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    let file = view.file;
    let mut question = |ui: &mut Ui, words: &str, spoken: &str, colour, fault: Option<Fault>| {
        let response = link(ui, words, spoken, colour)
            .on_hover_text(say!("what is in question, and what to say to it"));
        if response.clicked() {
            if view.page != Some(Page::Findings) {
                actions.push(Action::Run(Command::Page(Page::Findings)));
            }
            let findings = file.drawing.findings.iter();
            let place = |finding| Spot { finding, place: 0 };
            let spot = fault.and_then(|f| findings.clone().position(|o| o.fault == f));
            if let Some(spot) = spot.map(place) {
                actions.push(Action::Spot(Some(spot)));
                actions.extend(file.place_of(spot).map(Action::Centre));
            }
        }
    };
    for stake in stakes.into_iter().flatten() {
        let words = say!("Of it {}.", at_stake::sentence(stake, view.style));
        question(ui, &words, &words, t.warn, Some(stake.kind.fault()));
    }
    let quotable = file.quotable();
    let is_safe = quotable == Quotable::Drawing(Verdict::SafeToQuote);
    if is_safe && e.leaves_a_radius() {
        // Safe is the drawing alone; beside a part that comes out otherwise the word would be read as leave to quote it.
        return;
    }
    let spoken = format!("{}.", capitalised(at_stake::quotable(quotable)));
    // Where money hangs on a question, that is the reason already.
    let pressing = in_order(view).into_iter().next();
    let pressing = pressing.filter(|_| !is_safe && stakes.is_none_or(Vec::is_empty));
    let pressing = pressing.map(|k| &file.drawing.findings[k]);
    let words = match pressing {
        // The answers to it follow.
        Some(finding) if finding.fault == Fault::SideBySide => {
            format!("{}:", spoken.trim_end_matches('.'))
        }
        Some(finding) => format!(
            "{} ({}).",
            spoken.trim_end_matches('.'),
            shortened_at_end(&in_short(finding, view.style.system), MOST_LETTERS)
        ),
        None => spoken.clone(),
    };
    let fault = pressing.map(|f| f.fault);
    question(ui, &words, &spoken, verdict_colour(quotable, t), fault);
    if file.drawing.asks_what_stays() {
        what_stays_ui(ui, view, actions);
    }
}

/// What contours are that lie side by side: the two answers to the question, and what hangs on it.
fn what_stays_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let n = view.file.profile.contours().len();
    let openings = view.file.cost_as_openings();
    let openings = openings.map(|cost| view.style.money(cost));
    for (keep, words) in [
        (Keep::Inside, say!("{n} parts?")),
        (
            Keep::Outside,
            match openings {
                Some(cost) => say!("Or {n} openings in a plate, for {cost}?"),
                None => say!("Or {n} openings in a plate?"),
            },
        ),
    ] {
        let response = link(ui, &words, &words, tokens(ui).accent).on_hover_text(say!(
            "The drawing shows contours side by side. Click on what they are; until then the quote is to be checked."
        ));
        if response.clicked() {
            actions.push(Action::WhatStays(keep));
        }
    }
}

/// Words that lead somewhere. A label, because that goes on in the next line where the row ends.
fn link(ui: &mut Ui, words: &str, spoken: &str, colour: Color32) -> Response {
    let text = RichText::new(unbroken(words)).size(SIZE).color(colour);
    let response = ui.add(Label::new(text).sense(Sense::click()));
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, spoken));
    response
}

/// The candidate that is best by a measure, of those that can do it.
fn best(comparison: &Comparison, by: impl Fn(&Figures) -> f64) -> Option<(usize, &Figures)> {
    comparison
        .ranked()
        .min_by(|a, b| by(a.1).total_cmp(&by(b.1)))
}

/// A difference as a share, in words; none where either is nothing.
fn less(new: f64, old: f64) -> String {
    let comparable = new > 0.0 && old > 0.0;
    style::difference(if comparable {
        new / old - 1.0
    } else {
        f64::NAN
    })
}

/// What a wire is called beside the others: without its diameter where no other has that name, so that the answer keeps
/// to two lines in a small window.
fn short_name(style: Style, comparison: &Comparison, i: usize) -> String {
    let candidate = &comparison.estimates[i].candidate;
    let all = comparison.estimates.iter();
    if all.filter(|e| e.candidate.wire == candidate.wire).count() > 1 {
        style.spoken_candidate(candidate)
    } else {
        wires::spoken(&candidate.wire).to_owned()
    }
}

/// A wire by its name, with what it saves; whether it was clicked.
fn link_ui(
    ui: &mut Ui,
    style: Style,
    comparison: &Comparison,
    word: &str,
    i: usize,
    amount: &str,
) -> bool {
    let t = tokens(ui);
    let soft = |text: String| RichText::new(unbroken(&text)).size(SIZE).color(t.text_soft);
    ui.label(soft(word.to_owned()));
    let candidate = &comparison.estimates[i].candidate;
    swatch(ui, t.wire(i));
    let spoken = format!("{word} {}", style.candidate(candidate));
    let response = link(ui, &short_name(style, comparison, i), &spoken, t.text)
        .on_hover_text(say!("show this wire"));
    if !comparison.estimates[i].is_on_hand() {
        let mark = format!("({})", said(obstacles::NOT_ON_HAND));
        ui.label(RichText::new(mark).size(SIZE).color(t.warn));
    }
    ui.label(soft(say!("with {amount}.")));
    response.clicked()
}

/// Names the fastest and the cheapest, where they are another wire than the one shown.
fn best_ui(
    ui: &mut Ui,
    view: &View<'_>,
    answer: &Answer,
    shown: Option<(usize, &Figures)>,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    let (style, comparison) = (view.style, &answer.comparison);
    let fastest = best(comparison, |f| f.minutes.median.min_value());
    let cheapest = best(comparison, |f| f.cost.part.median.amount());
    let (Some((fast, ff)), Some((cheap, cf))) = (fastest, cheapest) else {
        ui.label(
            RichText::new(say!("None of the wires can."))
                .size(SIZE)
                .color(t.fault),
        );
        return;
    };
    let time = |f: &Figures| {
        shown.map_or_else(
            || style::time(f.minutes.median),
            |(_, s)| {
                less(f.minutes.median.min_value(), s.minutes.median.min_value()) + say!(" time")
            },
        )
    };
    let cost = |f: &Figures| {
        shown.map_or_else(
            || style::money(f.cost.part.median),
            |(_, s)| less(f.cost.part.median.amount(), s.cost.part.median.amount()) + say!(" cost"),
        )
    };
    let is_shown = |i: usize| shown.is_some_and(|(s, _)| s == i);
    let soft = |text: String| RichText::new(unbroken(&text)).size(SIZE).color(t.text_soft);
    let mut link = |ui: &mut Ui, word: &str, i: usize, amount: &str| {
        if link_ui(ui, style, comparison, word, i, amount) {
            actions.push(Action::Show(i));
        }
    };
    // What is really spent where the freed hours are not sold names its own winner.
    let spent = |f: &Figures| f.cost.unsold.median.amount();
    let thrifty = best(comparison, spent).map_or(cheap, |(i, _)| i);
    let case = |i: usize| {
        if i == thrifty {
            say!(", freed hours sold or not")
        } else {
            say!(" if the freed hours are sold")
        }
    };
    let can = comparison.estimates.iter().filter(|e| e.is_possible());
    let (can, ranked) = (can.count(), comparison.ranked().count());
    if can == 1 {
        if !is_shown(fast) {
            let amount = format!("{}, {}", time(ff), cost(cf));
            link(ui, say!("The only wire that can is"), fast, &amount);
        }
        return;
    }
    if ranked < can {
        let words = say!("Of the wires that make every drawn radius:").to_owned();
        ui.label(soft(words));
    }
    if fast == cheap {
        if is_shown(fast) {
            let text = say!("It is the fastest, and the cheapest{}.", case(cheap));
            ui.label(RichText::new(text).size(SIZE).color(t.better));
        } else {
            let amount = format!("{}, {}{}", time(ff), cost(ff), case(cheap));
            let word = if ranked < can {
                say!("fastest and cheapest is")
            } else {
                say!("Fastest and cheapest is")
            };
            link(ui, word, fast, &amount);
        }
    } else {
        let saved = format!("{}{}", cost(cf), case(cheap));
        for (word, self_word, i, amount) in [
            (
                say!("Fastest is"),
                say!("It is the fastest.").to_owned(),
                fast,
                time(ff),
            ),
            (
                say!("Cheapest is"),
                say!("It is the cheapest{}.", case(cheap)),
                cheap,
                saved,
            ),
        ] {
            if is_shown(i) {
                ui.label(RichText::new(self_word).size(SIZE).color(t.better));
            } else {
                link(ui, word, i, &amount);
            }
        }
    }
    if thrifty != cheap {
        let shown = shown.map(|s| s.0);
        not_sold_ui(ui, style, answer, (thrifty, cheap), shown, actions);
    }
}

/// Which wire spends least where the freed hours are not sold, and by how much; a click leads to what it is worth.
fn not_sold_ui(
    ui: &mut Ui,
    style: Style,
    answer: &Answer,
    (thrifty, cheap): (usize, usize),
    shown: Option<usize>,
    actions: &mut Vec<Action>,
) {
    let comparison = &answer.comparison;
    let spent = |k: usize| {
        let figures = comparison.estimates[k].figures.as_ref();
        figures.map(|f| f.cost.unsold.median)
    };
    let (Some(least), Some(other)) = (spent(thrifty), spent(cheap)) else {
        return;
    };
    let less = style.money_apart(other - least);
    let what = at_stake::spent_on(answer.pieces);
    let words = if shown == Some(thrifty) {
        say!("If not, this wire spends {less} less {what}.")
    } else {
        let name = short_name(style, comparison, thrifty);
        say!("If not, {name} spends {less} less {what}.")
    };
    let response = link(ui, &words, &words, tokens(ui).text_soft)
        .on_hover_text(say!("what it is worth, and where it turns"));
    if response.clicked() {
        actions.push(Action::Run(Command::Page(Page::Worth)));
    }
}
