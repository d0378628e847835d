//! Bars of what moves the figure of the wire shown most.

use super::words;
use crate::estimate::Mattering;
use crate::gui::state::{Action, View};
use crate::gui::sweeps::Drawn;
use crate::gui::theme::{BODY, SMALL, mix, strong, tokens};
use crate::gui::widgets::{elided, swatch};
use crate::words::style::significant;
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::{FontId, Label, RichText, Role, Sense, Stroke, Ui, WidgetInfo};

/// Bars that are shown.
const MOST_BARS: usize = 12;

/// Bars of what moves the figure of the wire shown.
pub fn matters_ui(ui: &mut Ui, view: &View<'_>, drawn: Drawn, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let file = view.file;
    let Some(f) = file.shown_estimate().and_then(|e| e.figures.as_ref()) else {
        return;
    };
    // Wire follows the time but for the run-off; its bars would show the same.
    let by_cost = drawn == Drawn::Cost;
    let what = if by_cost { say!("cost") } else { say!("time") };
    ui.horizontal_wrapped(|ui| {
        ui.label(strong(say!("What matters most for the {what} of"), BODY).color(t.text));
        swatch(ui, t.wire(file.shown));
        let name = crate::gui::panels::wires::candidate_name(view.style, &file.job, file.shown);
        ui.label(strong(name, BODY).color(t.text));
    });
    let Some(found) = view.sweeps.matters(file.shown, file) else {
        if file.is_current() {
            actions.push(Action::Matters(file.shown));
        }
        return;
    };
    let Some(list) = found else {
        ui.label(RichText::new(say!("Moving each input over its range…")).color(t.text_faint));
        return;
    };
    let ends = |m: &Mattering| {
        if by_cost {
            (m.cost.0.amount(), m.cost.1.amount())
        } else {
            (m.minutes.0.min_value(), m.minutes.1.min_value())
        }
    };
    let middle = if by_cost {
        f.cost.part.median.amount()
    } else {
        f.minutes.median.min_value()
    };
    let mut bars: Vec<(&Mattering, (f64, f64))> = list.iter().map(|m| (m, ends(m))).collect();
    bars.retain(|(_, (a, b))| (a - b).abs() > middle * 0.005);
    bars.sort_by(|a, b| (b.1.0 - b.1.1).abs().total_cmp(&(a.1.0 - a.1.1).abs()));
    bars.truncate(MOST_BARS);
    let reach = bars
        .iter()
        .flat_map(|(_, (a, b))| [(a - middle).abs(), (b - middle).abs()])
        .fold(1e-9, f64::max);
    let drawn = if by_cost { Drawn::Cost } else { Drawn::Time };
    for (m, (a, b)) in bars {
        bar_ui(ui, m, (a.min(b), middle, a.max(b)), reach, &|v| {
            words(v, drawn, view.style)
        });
    }
    let remark = say!(
        "Each input moves over its own range, which two of three jobs keep, all others as they are. Left is less, right is more."
    );
    ui.add(Label::new(RichText::new(remark).size(SMALL).color(t.text_faint)).wrap());
}

fn bar_ui(
    ui: &mut Ui,
    m: &Mattering,
    (low, middle, high): (f64, f64, f64),
    reach: f64,
    words: &dyn Fn(f64) -> String,
) {
    let t = tokens(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 21.0), Sense::hover());
    let label = say!("{}, {} to {}", m.name, words(low), words(high));
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &label));
    let painter = ui.painter();
    let y = rect.center().y;
    let name_width = (rect.width() * 0.4).min(212.0);
    let room = Rect::from_min_size(rect.min, vec2(name_width - 6.0, rect.height()));
    elided(ui, &m.name, FontId::proportional(BODY - 0.5), t.text, room);
    let small = FontId::proportional(SMALL);
    let track = Rect::from_min_max(
        pos2(rect.left() + name_width + 66.0, rect.top() + 4.0),
        pos2(rect.right() - 70.0, rect.bottom() - 4.0),
    );
    let x = |v: f64| track.center().x + track.width() * 0.5 * ((v - middle) / reach) as f32;
    for (from, to, colour) in [(low, middle, t.better), (middle, high, t.worse)] {
        let bar = Rect::from_min_max(pos2(x(from), track.top()), pos2(x(to), track.bottom()));
        painter.rect_filled(bar, 0, mix(t.ground, colour, 0.7));
    }
    painter.line_segment(
        [pos2(x(middle), rect.top()), pos2(x(middle), rect.bottom())],
        Stroke::new(1.0, t.text_faint),
    );
    painter.text(
        pos2(x(low) - 5.0, y),
        Align2::RIGHT_CENTER,
        words(low),
        small.clone(),
        t.text_soft,
    );
    painter.text(
        pos2(x(high) + 5.0, y),
        Align2::LEFT_CENTER,
        words(high),
        small,
        t.text_soft,
    );
    let unit = if m.unit.is_empty() {
        String::new()
    } else {
        format!("\u{202f}{}", m.unit)
    };
    response.on_hover_text(say!(
        "{} from {} to {}{unit}",
        m.name,
        significant(m.input.0, 3),
        significant(m.input.1, 3)
    ));
}
