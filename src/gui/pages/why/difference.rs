//! Why one wire differs from the baseline: by how much, and how sure that is.

use super::split::{better_or_worse, minutes_ui, wire_ui};
use crate::estimate::terms::Against;
use crate::estimate::{Difference, Figures, Question, why_different};
use crate::gui::open_file::WireQuestion;
use crate::gui::picture::{cell, picture_ui, table};
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, mix, strong, tokens};
use crate::gui::widgets::swatch;
use crate::words::{
    Style,
    style::{self, number},
};
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::{FontId, Label, RichText, Role, ScrollArea, Sense, Stroke, Ui, WidgetInfo};

/// The page; `wire` is held against the baseline.
pub fn difference_ui(ui: &mut Ui, wire: usize, view: &View<'_>, actions: &mut Vec<Action>) {
    let file = view.file;
    if ui
        .button(say!("Back to one wire’s figures"))
        .on_hover_text(say!("why this wire’s own figures are what they are"))
        .clicked()
    {
        let question = Question::Minutes;
        actions.push(Action::Ask(WireQuestion { wire, question }));
    }
    let found = file.answer.as_ref().and_then(|a| {
        let baseline = a.comparison.baseline;
        let difference = a.comparison.difference(wire)?;
        let of = |k: usize| a.comparison.estimates.get(k);
        let (before, after) = (of(baseline)?, of(wire)?);
        let why = why_different(before.figures.as_ref()?, after.figures.as_ref()?);
        Some((before, after, baseline, difference, why))
    });
    let Some((before, after, baseline, difference, why)) = found else {
        ui.label(say!(
            "Nothing to hold against each other. Click a difference below."
        ));
        return;
    };
    ScrollArea::both()
        .id_salt("difference")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            ui.set_max_width(ui.available_width() - 12.0);
            let t = tokens(ui);
            for (k, e, word) in [(wire, after, say!("This wire")), (baseline, before, say!("against"))] {
                ui.horizontal(|ui| {
                    ui.label(RichText::new(word).color(t.text_soft));
                    swatch(ui, t.wire(k));
                    ui.label(strong(view.style.spoken_candidate(&e.candidate), BODY).color(t.text));
                });
            }
            ui.add_space(6.0);
            let remark = say!("The line in the middle is the baseline, left of it is less. What both share (machine, material, \
                          thickness) cancels, so these bands are narrower than those of the figures themselves.");
            sureness_ui(ui, &difference, remark, actions);
            if let (Some(a), Some(b)) = (&after.figures, &before.figures) {
                finish_ui(ui, a, b, view.style);
            }
            ui.add_space(10.0);
            minutes_ui(ui, &why, actions);
            if let Some(split) = &why.wire {
                ui.add_space(10.0);
                wire_ui(ui, split, view.style, actions);
            }
        });
}

/// The usual finish of both.
pub fn finish_ui(ui: &mut Ui, after: &Figures, before: &Figures, style: Style) {
    let t = tokens(ui);
    let of = |f: &Figures| style.roughness(f.finish.roughness_um);
    let (own, other, unit) = (of(after), of(before), style.roughness_unit());
    let text = if own == other {
        say!("Usual Ra {own} {unit} with both.")
    } else {
        say!(
            "Usual Ra {own} {unit} against {other}. That a zinc-rich surface leaves a somewhat better finish is common \
             practice, no source."
        )
    };
    ui.add(Label::new(RichText::new(text).size(SMALL + 0.5).color(t.text_soft)).wrap());
}

/// "97 %", never 0 or 100.
fn percent(probability: f64) -> String {
    let p = probability * 100.0;
    if !p.is_finite() {
        "–".to_owned()
    } else if p > 99.0 {
        say!("more than 99\u{202f}%").to_owned()
    } else if p < 1.0 {
        say!("less than 1\u{202f}%").to_owned()
    } else {
        format!("{}\u{202f}%", number(p, 0))
    }
}

/// Both ends of a range: "22 % less to 38 % less".
fn range_words((low, high): (f64, f64)) -> String {
    say!("{} to {}", style::difference(low), style::difference(high))
}

/// Least width, points, for a difference and how sure it is side by side.
const BESIDE: f32 = 460.0;

/// A figure, how much of it is more or less, and the word for less.
type Row<'a> = (&'a str, Against, &'a str);

/// The differences with their ranges on one scale, and the probabilities.
pub fn sureness_ui(ui: &mut Ui, d: &Difference, remark: &str, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let rows = [
        (say!("time"), d.minutes, say!("faster")),
        (say!("wire"), d.wire, say!("less")),
        (say!("cost, freed hours sold"), d.cost, say!("cheaper")),
        (say!("cost, freed hours not sold"), d.cash, say!("cheaper")),
    ];
    let picture = ui.scope(|ui| ranges_ui(ui, &rows)).response.rect;
    picture_ui(
        ui,
        say!("how sure the differences are"),
        picture,
        actions,
        || {
            let head = [
                say!("figure"),
                say!("difference, %"),
                say!("low"),
                say!("high"),
                say!("chance that it is less, %"),
            ];
            let line = |(name, a, _): &Row<'_>| {
                let chance = a.probability_less.unwrap_or(f64::NAN);
                let numbers = [a.share, a.range.0, a.range.1, chance].map(|v| cell(v * 100.0));
                std::iter::once((*name).to_owned()).chain(numbers).collect()
            };
            table(std::iter::once(head.map(str::to_owned).to_vec()).chain(rows.iter().map(line)))
        },
    );
    let scatter = number(d.minutes.scatter.exp_m1() * 100.0, 0);
    let scatter = say!("One cut of each may differ by ± {scatter}\u{202f}% more.");
    for text in [remark, &scatter] {
        ui.add(Label::new(RichText::new(text).size(SMALL).color(t.text_faint)).wrap());
    }
}

/// A line a figure: the difference in words, and its range as a band.
fn ranges_ui(ui: &mut Ui, rows: &[Row<'_>]) {
    let t = tokens(ui);
    let reach = rows
        .iter()
        .flat_map(|(_, a, _)| [a.range.0.abs(), a.range.1.abs()])
        .filter(|v| v.is_finite())
        .fold(0.05, f64::max)
        * 1.08;
    for &(name, against, word) in rows {
        let Against { share, range, .. } = against;
        // Where both do not fit on one line, how sure it is stands below.
        let narrow = ui.available_width() < BESIDE;
        let height = if narrow { 54.0 } else { 40.0 };
        let (rect, response) =
            ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
        let sureness = sureness(&against, word);
        let label = format!(
            "{name} {}, {}, {sureness}",
            style::difference(share),
            range_words(range),
        );
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &label));
        let painter = ui.painter();
        let upper = rect.top() + 9.0;
        let named = painter.text(
            pos2(rect.left(), upper),
            Align2::LEFT_CENTER,
            name,
            FontId::proportional(BODY),
            t.text_soft,
        );
        painter.text(
            pos2(named.right() + 8.0, upper),
            Align2::LEFT_CENTER,
            style::difference(share),
            FontId::new(BODY, crate::gui::theme::strong_family()),
            better_or_worse(share, t),
        );
        let (place, align) = if narrow {
            (pos2(rect.left(), rect.top() + 42.0), Align2::LEFT_CENTER)
        } else {
            (pos2(rect.right(), upper), Align2::RIGHT_CENTER)
        };
        painter.text(
            place,
            align,
            sureness,
            FontId::proportional(SMALL + 0.5),
            t.text,
        );
        if !share.is_finite() {
            continue;
        }
        let track = Rect::from_min_max(
            pos2(rect.left(), rect.top() + 20.0),
            pos2(rect.right(), rect.top() + 32.0),
        );
        let x = |v: f64| track.center().x + track.width() * 0.5 * (v / reach) as f32;
        painter.rect_filled(track, 3, mix(t.ground, t.text_soft, 0.10));
        let band = Rect::from_min_max(
            pos2(x(range.0), track.top() + 3.0),
            pos2(x(range.1), track.bottom() - 3.0),
        );
        painter.rect_filled(band, 2, mix(t.ground, better_or_worse(share, t), 0.55));
        painter.line_segment(
            [
                pos2(x(0.0), track.top() - 2.0),
                pos2(x(0.0), track.bottom() + 2.0),
            ],
            Stroke::new(1.0, t.text_faint),
        );
        painter.circle_filled(pos2(x(share), track.center().y), 4.0, t.text);
        response.on_hover_text(say!("about two times in three {}", range_words(range)));
    }
}

/// "94 % chance that it is faster", or why there is none.
fn sureness(against: &Against, word: &str) -> String {
    match against.probability_less {
        Some(p) => say!("{} chance that it is {word}", percent(p)),
        None if against.share.is_nan() => say!("nothing above 0 to compare").to_owned(),
        None => say!("the same").to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_said_to_be_certain() {
        assert_eq!(percent(0.9999), "more than 99\u{202f}%");
        assert_eq!(percent(0.5), "50\u{202f}%");
    }
}
