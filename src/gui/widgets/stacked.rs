//! Bars of parts that sum up, one a line under one scale, with the parts named on top and written into the bar where
//! they have room.

use super::AxisLabels;
use crate::gui::theme::{BODY, SMALL, mix, tokens};
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::{Color32, FontId, Response, Role, Sense, Stroke, Ui, WidgetInfo};

/// One bar.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    /// Whose it is.
    pub name: String,
    /// The wire's colour.
    pub colour: Color32,
    /// The wire that is shown.
    pub strong: bool,
    /// The sum, as it is written behind the bar.
    pub text: String,
    /// In the order of the parts; not below 0.
    pub parts: Vec<f64>,
}

const LINE: f32 = 38.0;
const SCALE: f32 = 18.0;

/// Grey from dark to light and back, so that neighbours differ; the colour says the wire, the grey says the part.
fn shade(ground: Color32, ink: Color32, k: usize) -> Color32 {
    const STRENGTHS: [f32; 6] = [0.82, 0.46, 0.64, 0.3, 0.72, 0.18];
    mix(ground, ink, STRENGTHS[k % STRENGTHS.len()])
}

/// The bars; `parts` are their names, `marks` those of the scale. The rectangle that comes back holds the names, too.
pub fn stacked_ui(
    ui: &mut Ui,
    title: &str,
    parts: &[String],
    bars: &[Bar],
    marks: &[(f64, String)],
) -> Response {
    let t = tokens(ui);
    // The parts by name, each with its grey.
    let names = ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 10.0;
        for (k, name) in parts.iter().enumerate() {
            let font = FontId::proportional(SMALL);
            let galley = ui.painter().layout_no_wrap(name.clone(), font, t.text_soft);
            let size = vec2(galley.size().x + 15.0, 16.0);
            let (rect, _) = ui.allocate_exact_size(size, Sense::hover());
            let mark =
                Rect::from_center_size(pos2(rect.left() + 5.0, rect.center().y), vec2(10.0, 10.0));
            ui.painter()
                .rect_filled(mark, 2, shade(t.raised, t.text, k));
            let at = pos2(rect.left() + 14.0, rect.center().y - galley.size().y / 2.0);
            ui.painter().galley(at, galley, t.text_soft);
        }
    });
    let sum = |b: &Bar| b.parts.iter().sum::<f64>();
    let most = bars.iter().map(sum).fold(1e-9, f64::max);
    let size = vec2(ui.available_width(), LINE * bars.len() as f32 + SCALE);
    let (rect, mut response) = ui.allocate_exact_size(size, Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, title));
    let painter = ui.painter_at(rect);
    let plot = Rect::from_min_max(rect.min, pos2(rect.right() - 70.0, rect.bottom() - SCALE));
    let x = |v: f64| plot.left() + plot.width() * (v / most) as f32;
    let mut along = AxisLabels::within(&painter, rect.x_range(), t);
    for (v, _) in marks.iter().filter(|m| m.0 <= most) {
        let line = [pos2(x(*v), plot.top()), pos2(x(*v), plot.bottom())];
        painter.line_segment(line, Stroke::new(1.0, mix(t.raised, t.edge, 0.7)));
    }
    let words = marks.iter().filter(|m| m.0 <= most);
    along.evenly(
        plot.bottom() + 9.0,
        words.map(|(v, text)| (x(*v), text.clone())),
    );
    for (k, bar) in bars.iter().enumerate() {
        let top = plot.top() + LINE * k as f32;
        let colour = if bar.strong { t.text } else { t.text_soft };
        painter.circle_filled(pos2(plot.left() + 4.0, top + 9.0), 4.0, bar.colour);
        let room = Rect::from_min_max(
            pos2(plot.left() + 13.0, top + 1.0),
            pos2(rect.right(), top + 17.0),
        );
        super::elided(
            ui,
            &bar.name,
            FontId::proportional(SMALL + 0.5),
            colour,
            room,
        );
        let mut from = 0.0;
        let band = (top + 18.0)..=(top + 33.0);
        for (p, value) in bar.parts.iter().enumerate() {
            let part = Rect::from_x_y_ranges(x(from)..=x(from + value), band.clone());
            painter.rect_filled(part, 0, shade(t.raised, t.text, p));
            from += value;
        }
        if bar.strong {
            let whole = Rect::from_x_y_ranges(x(0.0)..=x(from), band);
            painter.rect_stroke(
                whole,
                0,
                Stroke::new(1.5, bar.colour),
                egui::StrokeKind::Outside,
            );
        }
        let at = pos2(x(from) + 6.0, top + 25.5);
        painter.text(
            at,
            Align2::LEFT_CENTER,
            &bar.text,
            FontId::proportional(BODY),
            colour,
        );
    }
    response.rect = rect.union(names.response.rect);
    response
}
