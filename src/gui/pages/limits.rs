//! What each wire leaves, and what would have to change for a thicker one.

use crate::estimate::changes::{Change, Needed, NextWire};
use crate::gui::open_file::Target;
use crate::gui::picture::{cell, picture_ui, table};
use crate::gui::scene::course::Limits;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, strong, tokens};
use crate::gui::widgets::corner::{CornerLine, corner_ui};
use crate::gui::widgets::swatch;
use crate::language::capitalised;
use crate::units::{Length, Minutes, Money};
use crate::words::at_stake::for_what;
use crate::words::style::{count, money, time};
use crate::words::{obstacles, wires};
use egui::{Button, Grid, Label, RichText, ScrollArea, Sense, Ui};

/// The page; it is asked for when it is opened.
pub fn limits_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let file = view.file;
    let Some(limits) = file.limits.of(file.shown) else {
        ui.label(say!("Trying the other wires…"));
        return;
    };
    ScrollArea::both()
        .id_salt("limits")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            corner_picture_ui(ui, view, limits, actions);
            ui.add_space(8.0);
            wires_ui(ui, view, limits);
            ui.add_space(10.0);
            next_ui(ui, view, limits.next.as_ref(), actions);
        });
}

/// The corner to scale, with what every wire leaves in it.
fn corner_picture_ui(ui: &mut Ui, view: &View<'_>, limits: &Limits, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let file = view.file;
    let style = view.style;
    let rows = limits.wires.iter().enumerate();
    let rows: Vec<(usize, Length)> = rows
        .filter_map(|(k, l)| Some((k, l.radius_left?)))
        .collect();
    let name = |k: usize| style.spoken_candidate(&file.job.candidates[k]);
    let line = |&(k, r): &(usize, Length)| CornerLine {
        radius: r.mm(),
        text: style.fine(r),
        name: name(k),
        colour: t.wire(k),
        strong: k == file.shown,
    };
    let known = |r: &&(usize, Length)| r.0 < file.job.candidates.len();
    let lines: Vec<CornerLine> = rows.iter().filter(known).map(line).collect();
    if lines.is_empty() {
        return;
    }
    let drawn = file.answer.as_ref();
    let drawn = drawn.and_then(|a| a.measures.totals.tightest_inside_radius);
    let words = |r: Length| {
        if r > Length::ZERO {
            say!("tightest drawn {}", style.fine(r))
        } else {
            say!("drawn sharp").to_owned()
        }
    };
    let picture = corner_ui(ui, &lines, drawn.map(|r| (r.mm(), words(r))));
    let unit = style.system.length_unit();
    picture_ui(ui, say!("radii left"), picture.rect, actions, || {
        let head = vec![
            say!("wire").to_owned(),
            say!("smallest inside radius left, {unit}"),
        ];
        let number = |r: Length| cell(style.system.length_value(r));
        let rows = rows.iter().filter(known);
        table(std::iter::once(head).chain(rows.map(|(k, r)| vec![name(*k), number(*r)])))
    });
}

/// Room that a row keeps beside the wire's name: swatch, both radii and what is between them, points.
const FOR_RADII: f32 = 210.0;

/// Each wire with the smallest radius it leaves, and the largest of its kind that makes everything.
fn wires_ui(ui: &mut Ui, view: &View<'_>, limits: &Limits) {
    let t = tokens(ui);
    ui.label(strong(say!("Smallest inside radius a wire leaves"), BODY));
    let for_name = (ui.available_width() - FOR_RADII).max(80.0);
    Grid::new("limits of wires")
        .num_columns(3)
        .spacing([14.0, 5.0])
        .show(ui, |ui| {
            let head = |text: &str| RichText::new(text).size(SMALL).color(t.text_faint);
            ui.label(head(say!("wire")));
            ui.label(head(say!("leaves")));
            ui.label(head(say!("largest"))).on_hover_text(say!(
                "the largest of its kind that makes every radius and slot"
            ));
            ui.end_row();
            let rows = view.file.job.candidates.iter().zip(&limits.wires);
            for (i, (candidate, limit)) in rows.enumerate() {
                ui.horizontal(|ui| {
                    swatch(ui, t.wire(i));
                    ui.vertical(|ui| {
                        ui.spacing_mut().item_spacing.y = 0.0;
                        ui.set_max_width(for_name);
                        let extend = |text: RichText| Label::new(text).extend();
                        let name = RichText::new(wires::spoken(&candidate.wire)).size(BODY - 0.5);
                        ui.add(Label::new(name.color(t.text)).truncate());
                        let diameter = view.style.diameter(candidate.diameter);
                        ui.add(extend(RichText::new(diameter).size(SMALL)));
                    });
                });
                let radius = limit.radius_left;
                ui.label(radius.map_or("–".to_owned(), |r| view.style.fine(r)));
                let largest = limit.largest;
                ui.label(
                    largest.map_or(say!("none" in "largest wire that fits").to_owned(), |d| {
                        view.style.diameter(d)
                    }),
                );
                ui.end_row();
            }
        });
}

/// What would let the next thicker wire in, and what that would save.
fn next_ui(ui: &mut Ui, view: &View<'_>, next: Option<&NextWire>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    ui.label(strong(say!("What would have to change"), BODY));
    let say = |ui: &mut Ui, text: String| {
        ui.add(Label::new(RichText::new(text).color(t.text)).wrap());
    };
    let Some(next) = next else {
        let text = match view.file.shown_estimate() {
            Some(e) if !e.is_possible() => {
                say!(
                    "The wire shown cannot do the job; the findings say what keeps it out. Show one that \
                 can, and what would let the next thicker one in stands here, with what it saves."
                )
            }
            _ => say!("Nothing in the drawing keeps a thicker wire of this kind out."),
        };
        say(ui, text.to_owned());
        return;
    };
    let name = view.style.spoken_candidate(&next.candidate);
    let what = for_what(view.file.pieces());
    let saves = if next.saves > Minutes::ZERO {
        say!(
            "It would take {} {what}, {} less, and cost {} {}.",
            time(next.minutes),
            time(next.saves),
            money(Money::from_amount(next.saves_cost.amount().abs())),
            if next.saves_cost.amount() >= 0.0 {
                say!("less")
            } else {
                say!("more")
            },
        )
    } else {
        say!(
            "It would take {} {what} and save no time.",
            time(next.minutes)
        )
    };
    say(
        ui,
        say!("{} is kept out by the drawing. {saves}", capitalised(&name)),
    );
    for told in obstacles::told(&next.others, view.style.system) {
        ui.add_space(4.0);
        let response = ui.add(
            Label::new(RichText::new(&told.sentence).color(t.text_soft))
                .wrap()
                .sense(Sense::click()),
        );
        let first = told.all.first().and_then(|&k| next.others.get(k));
        if response.clicked()
            && let Some(o) = first
        {
            actions.push(Action::Select(o.contour().map(Target::Contour)));
            actions.extend(o.at.map(Action::Centre));
        }
    }
    ui.add_space(4.0);
    let mut done: Vec<usize> = Vec::new();
    for change in &next.changes {
        if done.contains(&change.contour) {
            continue;
        }
        done.push(change.contour);
        let same: Vec<&Change> = next
            .changes
            .iter()
            .filter(|c| c.contour == change.contour)
            .collect();
        change_ui(ui, view, &same, actions);
    }
}

fn needed_words(view: &View<'_>, needed: Needed) -> String {
    let up = |l: Length| view.style.fine(l);
    match needed {
        Needed::Radius(r) => say!("inside radius of {} or more", up(r)),
        Needed::Width(w) => say!("slot of {} or wider", up(w)),
    }
}

/// One contour's changes: what, how often, and where.
fn change_ui(ui: &mut Ui, view: &View<'_>, same: &[&Change], actions: &mut Vec<Action>) {
    let Some(first) = same.first() else { return };
    let file = view.file;
    let i = first.contour;
    if i >= file.profile.contours().len() {
        return;
    }
    let role = file.job.role(&file.profile, i).word();
    ui.push_id(("change", i), |ui| {
        ui.horizontal_wrapped(|ui| {
            let text = say!(
                "{role} {}: {} in {}",
                i + 1,
                needed_words(view, first.needed),
                count(same.len(), say!("place"), say!("places"))
            );
            ui.label(text);
            for (k, change) in same.iter().take(24).enumerate() {
                let button = Button::new(RichText::new(format!("{}", k + 1)).size(SMALL));
                let name = say!("place {} to change on {role} {}", k + 1, i + 1);
                if ui.add(button).accessible_name(name).clicked() {
                    actions.push(Action::Select(Some(Target::Contour(i))));
                    actions.push(Action::Centre(change.at));
                }
            }
        });
    });
}
