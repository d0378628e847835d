//! Why one wire differs from the baseline: which minutes, where the wire went, and how sure that is.

use crate::estimate::terms::Against;
use crate::estimate::{Difference, Figures, Question, WhyDifferent, WireSplit, why_different};
use crate::gui::open_file::WireQuestion;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, Tokens, mix, strong, tokens};
use crate::gui::widgets::{share_swatch, swatch};
use crate::units::Length;
use crate::words::{
    Style, System,
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
                    ui.label(strong(view.style.candidate(&e.candidate), BODY).color(t.text));
                });
            }
            ui.add_space(6.0);
            let remark = say!("The line in the middle is the baseline, left of it is less. What both share (machine, material, \
                          thickness) cancels, so these bands are narrower than those of the figures themselves.");
            sureness_ui(ui, &difference, remark);
            if let (Some(a), Some(b)) = (&after.figures, &before.figures) {
                finish_ui(ui, a, b, view.style);
            }
            ui.add_space(10.0);
            minutes_ui(ui, &why);
            if let Some(split) = &why.wire {
                ui.add_space(10.0);
                wire_ui(ui, split, view.style);
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

/// The differences with their ranges on one scale, and the probabilities.
pub fn sureness_ui(ui: &mut Ui, d: &Difference, remark: &str) {
    let t = tokens(ui);
    let rows = [
        (say!("time"), d.minutes, say!("faster")),
        (say!("wire"), d.wire, say!("less")),
        (say!("cost, freed hours sold"), d.cost, say!("cheaper")),
        (say!("cost, freed hours not sold"), d.cash, say!("cheaper")),
    ];
    let reach = rows
        .iter()
        .flat_map(|(_, a, _)| [a.range.0.abs(), a.range.1.abs()])
        .filter(|v| v.is_finite())
        .fold(0.05, f64::max)
        * 1.08;
    for (name, against, word) in rows {
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
    let scatter = number(d.minutes.scatter.exp_m1() * 100.0, 0);
    let scatter = say!("One cut of each may differ by ± {scatter}\u{202f}% more.");
    for text in [remark, &scatter] {
        ui.add(Label::new(RichText::new(text).size(SMALL).color(t.text_faint)).wrap());
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

fn better_or_worse(value: f64, t: &Tokens) -> egui::Color32 {
    if value.is_nan() {
        t.text_faint
    } else if value < 0.0 {
        t.better
    } else {
        t.worse
    }
}

/// A signed number of minutes, fine enough that the parts are seen to sum up.
pub fn signed(value: f64, decimals: usize) -> String {
    let text = number(value, decimals);
    if value > 0.0 && text.bytes().any(|b| (b'1'..=b'9').contains(&b)) {
        format!("+{text}")
    } else {
        text
    }
}

/// One line of a split: what, from, to, difference, and a bar from the middle.
struct Part<'a> {
    name: &'a str,
    detail: String,
    value: f64,
    text: String,
    reach: f64,
    total: bool,
}

fn part_ui(ui: &mut Ui, part: &Part<'_>, mark: impl FnOnce(&mut Ui)) {
    let t = tokens(ui);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        mark(ui);
        let width = ui.available_width();
        let (rect, response) = ui.allocate_exact_size(vec2(width, 20.0), Sense::hover());
        let label = format!("{}, {}", part.name, part.text);
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &label));
        let painter = ui.painter();
        let y = rect.center().y;
        let font = if part.total {
            FontId::new(BODY, crate::gui::theme::strong_family())
        } else {
            FontId::proportional(BODY)
        };
        painter.text(
            pos2(rect.left(), y),
            Align2::LEFT_CENTER,
            part.name,
            font.clone(),
            t.text,
        );
        painter.text(
            pos2(rect.left() + 160.0, y),
            Align2::RIGHT_CENTER,
            &part.detail,
            FontId::proportional(SMALL),
            t.text_faint,
        );
        let number_edge = rect.left() + 240.0;
        painter.text(
            pos2(number_edge, y),
            Align2::RIGHT_CENTER,
            &part.text,
            font,
            t.text,
        );
        let track = Rect::from_min_max(
            pos2(number_edge + 10.0, rect.top() + 4.0),
            pos2(rect.right(), rect.bottom() - 4.0),
        );
        if track.width() > 20.0 {
            let middle = track.center().x;
            let x = middle + track.width() * 0.5 * (part.value / part.reach) as f32;
            let bar = Rect::from_two_pos(pos2(middle, track.top()), pos2(x, track.bottom()));
            painter.rect_filled(bar, 2, mix(t.ground, better_or_worse(part.value, t), 0.75));
            painter.line_segment(
                [pos2(middle, rect.top()), pos2(middle, rect.bottom())],
                Stroke::new(1.0, mix(t.ground, t.edge, 0.9)),
            );
        }
    });
}

/// Which minutes the two differ in, largest first, as signed bars.
pub fn minutes_ui(ui: &mut Ui, why: &WhyDifferent) {
    let t = tokens(ui);
    ui.label(strong(say!("Where the minutes go"), BODY).color(t.text));
    let largest = why
        .parts
        .iter()
        .map(|p| p.difference().min_value().abs())
        .chain([why.minutes.min_value().abs()])
        .fold(1e-9, f64::max);
    let decimals = usize::from(largest < 1000.0);
    for p in &why.parts {
        if p.before.min_value() == 0.0 && p.after.min_value() == 0.0 {
            continue;
        }
        let value = p.difference().min_value();
        let part = Part {
            name: p.share.words(),
            detail: format!(
                "{} → {}",
                number(p.before.min_value(), 0),
                number(p.after.min_value(), 0)
            ),
            value,
            text: say!("{}\u{202f}min", signed(value, decimals)),
            reach: largest,
            total: false,
        };
        part_ui(ui, &part, |ui| share_swatch(ui, p.share));
    }
    let all = why.minutes.min_value();
    let total = Part {
        name: say!("time in all"),
        detail: String::new(),
        value: all,
        text: say!("{}\u{202f}min", signed(all, decimals)),
        reach: largest,
        total: true,
    };
    part_ui(ui, &total, |ui| ui.add_space(22.0));
}

/// Where the difference in wire goes.
pub fn wire_ui(ui: &mut Ui, split: &WireSplit, style: Style) {
    let t = tokens(ui);
    ui.label(strong(say!("Where the wire goes"), BODY).color(t.text));
    let rows = [
        (say!("because of the time"), split.by_time),
        (say!("because of the wire speed"), split.by_run_off),
        (say!("at threadings"), split.by_threading),
    ];
    let largest = rows
        .iter()
        .map(|r| r.1.m().abs())
        .chain([split.difference.m().abs()])
        .fold(1e-9, f64::max);
    let unit = style.system.wire_unit();
    let text = |l: Length| {
        let value = if style.system == System::Inch {
            l.m() / 0.3048
        } else {
            l.m()
        };
        format!(
            "{}\u{202f}{unit}",
            signed(value, usize::from(largest < 100.0))
        )
    };
    let part = |name, l: Length, total| Part {
        name,
        detail: String::new(),
        value: l.m(),
        text: text(l),
        reach: largest,
        total,
    };
    for (name, l) in rows {
        if l.m() != 0.0 {
            part_ui(ui, &part(name, l, false), |ui| ui.add_space(22.0));
        }
    }
    part_ui(
        ui,
        &part(say!("wire in all"), split.difference, true),
        |ui| {
            ui.add_space(22.0);
        },
    );
    let remark = say!(
        "Wire is time × wire speed. The split uses the logarithmic mean, so its parts sum to the difference and \
                  neither is taken first (B. W. Ang, Energy Policy 33, 2005)."
    );
    ui.add(Label::new(RichText::new(remark).size(SMALL).color(t.text_faint)).wrap());
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_are_shown_where_there_is_something_to_sign() {
        assert_eq!(signed(1.24, 1), "+1.2");
        assert_eq!(signed(-0.04, 1), "0.0");
        assert_eq!(signed(0.04, 1), "0.0");
        assert_eq!(percent(0.9999), "more than 99\u{202f}%");
        assert_eq!(percent(0.5), "50\u{202f}%");
    }
}
