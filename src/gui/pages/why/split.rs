//! A difference split into its parts, as signed bars: where the minutes go, and where the wire.

use crate::estimate::why_different::SharePart;
use crate::estimate::{WhyDifferent, WireSplit};
use crate::gui::picture::{cell, picture_ui, table};
use crate::gui::state::Action;
use crate::gui::theme::{BODY, SMALL, Tokens, mix, strong, tokens};
use crate::gui::widgets::share_swatch;
use crate::units::{Length, Minutes};
use crate::words::{Style, System, style::number, system::M_PER_FOOT};
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::{FontId, Label, RichText, Role, Sense, Stroke, Ui, WidgetInfo};

/// The colour of more or less.
pub fn better_or_worse(value: f64, t: &Tokens) -> egui::Color32 {
    if value.is_nan() {
        t.text_faint
    } else if value < 0.0 {
        t.better
    } else {
        t.worse
    }
}

/// A signed number of minutes, fine enough that the parts are seen to sum up.
fn signed(value: f64, decimals: usize) -> String {
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
pub fn minutes_ui(ui: &mut Ui, why: &WhyDifferent, actions: &mut Vec<Action>) {
    ui.label(strong(say!("Where the minutes go"), BODY).color(tokens(ui).text));
    let parts = why.parts.iter();
    let parts = parts.filter(|p| p.before.min_value() != 0.0 || p.after.min_value() != 0.0);
    let parts: Vec<_> = parts.collect();
    let bars = |ui: &mut Ui| minute_bars_ui(ui, &parts, why.minutes.min_value());
    let picture = ui.scope(bars).response.rect;
    picture_ui(ui, say!("where the minutes go"), picture, actions, || {
        let head = [
            say!("part of the time"),
            say!("before, min"),
            say!("after, min"),
            say!("difference, min"),
        ];
        let line = |name: &str, minutes: [Minutes; 3]| {
            let numbers = minutes.map(|m| cell(m.min_value()));
            std::iter::once(name.to_owned()).chain(numbers).collect()
        };
        let sum = |of: fn(&SharePart) -> Minutes| parts.iter().map(|p| of(p)).sum();
        let all = [sum(|p| p.before), sum(|p| p.after), why.minutes];
        let lines = parts
            .iter()
            .map(|p| line(p.share.words(), [p.before, p.after, p.difference()]));
        let lines = lines.chain([line(say!("time in all"), all)]);
        table(std::iter::once(head.map(str::to_owned).to_vec()).chain(lines))
    });
}

fn minute_bars_ui(ui: &mut Ui, parts: &[&SharePart], all: f64) {
    let largest = parts
        .iter()
        .map(|p| p.difference().min_value().abs())
        .chain([all.abs()])
        .fold(1e-9, f64::max);
    let decimals = usize::from(largest < 1000.0);
    for p in parts {
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
pub fn wire_ui(ui: &mut Ui, split: &WireSplit, style: Style, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    ui.label(strong(say!("Where the wire goes"), BODY).color(t.text));
    let unit = style.system.wire_unit();
    let value = |l: Length| {
        if style.system == System::Inch {
            l.m() / M_PER_FOOT
        } else {
            l.m()
        }
    };
    let rows = [
        (say!("because of the time"), split.by_time),
        (say!("because of the wire speed"), split.by_run_off),
        (say!("at threadings"), split.by_threading),
    ];
    let rows = rows.map(|(name, l)| (name, value(l)));
    let all = value(split.difference);
    let bars = |ui: &mut Ui| wire_bars_ui(ui, &rows, all, unit);
    let picture = ui.scope(bars).response.rect;
    picture_ui(ui, say!("where the wire goes"), picture, actions, || {
        let head = vec![
            say!("part of the wire").to_owned(),
            say!("difference, {unit}"),
        ];
        let lines = rows.iter().copied().chain([(say!("wire in all"), all)]);
        let lines = lines.map(|(name, value)| vec![name.to_owned(), cell(value)]);
        table(std::iter::once(head).chain(lines))
    });
    let remark = say!(
        "Wire is time × wire speed. The split uses the logarithmic mean, so its parts sum to the difference and \
                  neither is taken first (B. W. Ang, Energy Policy 33, 2005)."
    );
    ui.add(Label::new(RichText::new(remark).size(SMALL).color(t.text_faint)).wrap());
}

fn wire_bars_ui(ui: &mut Ui, rows: &[(&str, f64)], all: f64, unit: &str) {
    let values = rows.iter().map(|r| r.1).chain([all]);
    let largest = values.map(f64::abs).fold(1e-9, f64::max);
    let part = |name, value: f64, total| Part {
        name,
        detail: String::new(),
        value,
        text: format!(
            "{}\u{202f}{unit}",
            signed(value, usize::from(largest < 100.0))
        ),
        reach: largest,
        total,
    };
    for (name, value) in rows.iter().filter(|r| r.1 != 0.0) {
        part_ui(ui, &part(name, *value, false), |ui| ui.add_space(22.0));
    }
    let all = part(say!("wire in all"), all, true);
    part_ui(ui, &all, |ui| {
        ui.add_space(22.0);
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_are_shown_where_there_is_something_to_sign() {
        assert_eq!(signed(1.24, 1), "+1.2");
        assert_eq!(signed(-0.04, 1), "0.0");
        assert_eq!(signed(0.04, 1), "0.0");
    }
}
