//! How far off quotes were: days along, actual over quoted time upwards on a logarithmic scale.

use super::AxisLabels;
use crate::gui::theme::{SMALL, mix, tokens};
use crate::words::style;
use egui::emath::{Align2, Pos2, Rect, pos2, vec2};
use egui::{Color32, FontId, Response, Role, Sense, Stroke, Ui, WidgetInfo};

/// Farther from the pointer a spot is not meant, points of the screen.
const REACH: f32 = 14.0;
/// Shares off that have a line, per cent.
const LINES: [f64; 11] = [
    -75.0, -50.0, -30.0, -20.0, -10.0, 0.0, 10.0, 20.0, 50.0, 100.0, 200.0,
];

/// One cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OffSpot {
    /// Days before the right end.
    pub days_ago: u32,
    /// Actual over quoted time, as a logarithm.
    pub log_off: f64,
    /// Of its material.
    pub colour: Color32,
}

/// Lays it out; the spot that the pointer is on.
pub fn off_chart(
    ui: &mut Ui,
    spots: &[OffSpot],
    days: u32,
    size: (f32, f32),
) -> (Response, Option<usize>) {
    let t = tokens(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(size.0, size.1), Sense::hover());
    let label = say!(
        "quotes against actuals, {}",
        style::count(spots.len(), say!("cut"), say!("cuts"))
    );
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &label));
    let painter = ui.painter_at(rect.expand(2.0));
    let plot = Rect::from_min_max(
        pos2(rect.left() + 58.0, rect.top() + 6.0),
        pos2(rect.right() - 12.0, rect.bottom() - 22.0),
    );
    painter.rect_filled(plot, 4, t.sunken);
    let far = spots.iter().map(|s| s.log_off.abs()).fold(0.0, f64::max);
    let most = (far * 1.15).max(1.25_f64.ln());
    let height = |log: f64| plot.center().y - (log / most) as f32 * plot.height() * 0.5;
    let place = |s: &OffSpot| -> Pos2 {
        let along = 1.0 - s.days_ago as f32 / days.max(1) as f32;
        pos2(
            plot.left() + 8.0 + (plot.width() - 16.0) * along,
            height(s.log_off),
        )
    };
    let mut upward = AxisLabels::upward(&painter, t);
    for percent in LINES {
        let log = (percent / 100.0_f64).ln_1p();
        if log.abs() > most {
            continue;
        }
        let strong = if percent == 0.0 { 0.6 } else { 0.0 };
        let line = Stroke::new(1.0, mix(mix(t.sunken, t.edge, 0.8), t.text, strong));
        painter.hline(plot.x_range(), height(log), line);
        let words = match percent {
            0.0 => say!("as quoted").to_owned(),
            p if p > 0.0 => format!("+{p:.0} %"),
            p => format!("−{:.0} %", -p),
        };
        upward.at_y(height(log), plot.left() - 6.0, words);
    }
    let small = FontId::proportional(SMALL);
    for (x, align, words) in [
        (plot.left(), Align2::LEFT_TOP, say!("a year ago")),
        (plot.right(), Align2::RIGHT_TOP, say!("today")),
    ] {
        let at = pos2(x, plot.bottom() + 4.0);
        painter.text(at, align, words, small.clone(), t.text_soft);
    }
    for (at, align, words) in [
        (
            plot.left_top() + vec2(8.0, 4.0),
            Align2::LEFT_TOP,
            say!("took longer"),
        ),
        (
            plot.left_bottom() + vec2(8.0, -4.0),
            Align2::LEFT_BOTTOM,
            say!("was faster"),
        ),
    ] {
        painter.text(at, align, words, small.clone(), t.text_faint);
    }
    for s in spots {
        painter.circle_filled(place(s), 4.0, s.colour);
    }
    let under = response.hover_pos().and_then(|pointer| {
        let distance = |s: &OffSpot| place(s).distance(pointer);
        let near = spots
            .iter()
            .enumerate()
            .min_by(|a, b| distance(a.1).total_cmp(&distance(b.1)));
        near.filter(|n| distance(n.1) <= REACH).map(|n| n.0)
    });
    (response, under)
}
