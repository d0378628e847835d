//! The usual finish of every pass plan against the time it takes, with the finish that is asked for as a line.

use super::AxisLabels;
use crate::gui::theme::{SMALL, mix, tokens};
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::{Color32, FontId, Response, Role, Sense, Shape, Stroke, Ui, WidgetInfo};

/// One plan.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanSpot {
    /// What it is called.
    pub name: String,
    /// Time of a part, minutes.
    pub minutes: f64,
    /// Usual roughness, low and high, in the unit shown; above 0.
    pub roughness: [f64; 2],
    /// The job's own.
    pub chosen: bool,
}

/// Marks of an axis: where, and in words.
type Marks<'a> = &'a [(f64, String)];

/// Height of the picture, points.
const HEIGHT: f32 = 150.0;

/// The picture. `asked` is the roughness that is wanted, in the unit shown, and its words; `time_marks` and `ra_marks`
/// are the marks of both axes.
pub fn finish_ui(
    ui: &mut Ui,
    spots: &[PlanSpot],
    asked: Option<&(f64, String)>,
    colour: Color32,
    (time_marks, ra_marks): (Marks<'_>, Marks<'_>),
    title: &str,
) -> Response {
    let t = tokens(ui);
    let size = vec2(ui.available_width(), HEIGHT);
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, title));
    let ends = |s: &PlanSpot| s.roughness;
    let all = || spots.iter().flat_map(ends).chain(asked.map(|a| a.0));
    let usable = |v: &f64| v.is_finite() && *v > 0.0;
    let low = all().filter(usable).fold(f64::INFINITY, f64::min) / 1.25;
    let high = all().filter(usable).fold(0.0, f64::max) * 1.25;
    let most = spots.iter().map(|s| s.minutes).fold(0.0, f64::max) * 1.1;
    if !(low < high && most > 0.0) {
        return response;
    }
    let painter = ui.painter_at(rect);
    let plot = Rect::from_min_max(rect.min + vec2(64.0, 4.0), rect.max - vec2(10.0, 22.0));
    painter.rect_filled(plot, 4, t.sunken);
    let x = |v: f64| plot.left() + plot.width() * (v / most) as f32;
    let y = |v: f64| plot.bottom() - plot.height() * ((v / low).ln() / (high / low).ln()) as f32;
    let hairline = Stroke::new(1.0, mix(t.sunken, t.edge, 0.8));
    let mut upward = AxisLabels::upward(&painter, t);
    for (v, text) in ra_marks.iter().filter(|m| (low..=high).contains(&m.0)) {
        painter.line_segment(
            [pos2(plot.left(), y(*v)), pos2(plot.right(), y(*v))],
            hairline,
        );
        upward.at_y(y(*v), plot.left() - 6.0, text);
    }
    let mut along = AxisLabels::along(&painter, rect.right(), t);
    for (v, _) in time_marks.iter().filter(|m| m.0 <= most) {
        painter.line_segment(
            [pos2(x(*v), plot.top()), pos2(x(*v), plot.bottom())],
            hairline,
        );
    }
    let words = time_marks.iter().filter(|m| m.0 <= most);
    along.evenly(
        plot.bottom() + 11.0,
        words.map(|(v, text)| (x(*v), text.clone())),
    );
    if let Some((ra, words)) = asked {
        let line = [pos2(plot.left(), y(*ra)), pos2(plot.right(), y(*ra))];
        painter.extend(Shape::dashed_line(
            &line,
            Stroke::new(1.4, t.accent),
            5.0,
            4.0,
        ));
        let at = line[1] - vec2(5.0, 3.0);
        painter.text(
            at,
            Align2::RIGHT_BOTTOM,
            words,
            FontId::proportional(SMALL),
            t.accent,
        );
    }
    for s in spots {
        let [from, to] = s.roughness;
        let middle = (from * to).sqrt();
        let (at, enough) = (
            pos2(x(s.minutes), y(middle)),
            asked.is_none_or(|a| to <= a.0),
        );
        let ink = if enough {
            colour
        } else {
            mix(t.sunken, colour, 0.5)
        };
        painter.line_segment(
            [pos2(at.x, y(from)), pos2(at.x, y(to))],
            Stroke::new(2.0, ink),
        );
        for end in [from, to] {
            let cap = [pos2(at.x - 4.0, y(end)), pos2(at.x + 4.0, y(end))];
            painter.line_segment(cap, Stroke::new(2.0, ink));
        }
        painter.circle_filled(at, if s.chosen { 5.0 } else { 3.5 }, ink);
        let font = FontId::proportional(SMALL);
        let words = if s.chosen { t.text } else { t.text_soft };
        painter.text(
            at + vec2(8.0, 0.0),
            Align2::LEFT_CENTER,
            &s.name,
            font,
            words,
        );
    }
    response
}
