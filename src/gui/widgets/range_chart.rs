//! Things by name, a line each, with a dot and its range for every wire, over a scale of equal ratios.

use super::{AxisLabels, elided};
use crate::gui::theme::{BODY, SMALL, mix, tokens};
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::{Color32, FontId, Response, Role, Sense, Stroke, Ui, WidgetInfo};

/// Share of the width for the names, and its limits.
const NAMES: (f32, f32, f32) = (0.34, 150.0, 230.0);
/// Room for the figure of the wire shown.
const FIGURES: f32 = 82.0;
/// Height of one wire within a line.
const LANE: f32 = 5.0;
/// Room for the marks of the scale.
const SCALE: f32 = 20.0;

/// A median with its range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dot {
    /// The median, above 0.
    pub value: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// The wire's colour.
    pub colour: Color32,
    /// The wire that is shown.
    pub strong: bool,
}

/// One thing by name.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Its name.
    pub name: String,
    /// The figure of the wire shown, in words.
    pub text: String,
    /// One per wire; `None` where it cannot do it.
    pub dots: Vec<Option<Dot>>,
    /// The one that the job is about.
    pub marked: bool,
}

/// Marks of the scale between two values, with their words.
pub type Marks<'a> = dyn Fn(f64, f64) -> Vec<(f64, String)> + 'a;

/// Lines under one scale.
pub struct RangeChart<'a> {
    /// In the order shown.
    pub lines: &'a [Line],
    /// Marks of the scale.
    pub marks: &'a Marks<'a>,
    /// What is drawn, for screen readers.
    pub title: String,
}

/// Ends of the scale: all ranges lie within.
fn span(lines: &[Line]) -> Option<(f64, f64)> {
    let dots = || lines.iter().flat_map(|l| l.dots.iter().flatten());
    let usable = |v: &f64| v.is_finite() && *v > 0.0;
    let low = dots().map(|d| d.low).filter(usable).reduce(f64::min)?;
    let high = dots().map(|d| d.high).filter(usable).reduce(f64::max)?;
    // A little room, also where all are alike.
    Some((low / 1.08, high * 1.08))
}

impl RangeChart<'_> {
    /// Lays it out; the line under the pointer comes back with its response.
    pub fn show(&self, ui: &mut Ui) -> Option<(usize, Response)> {
        let (low, high) = span(self.lines)?;
        let wires = self.lines.iter().map(|l| l.dots.len()).max()?;
        let height = (LANE * wires as f32 + 9.0).max(22.0);
        let whole = vec2(
            ui.available_width(),
            height * self.lines.len() as f32 + SCALE,
        );
        let (rect, response) = ui.allocate_exact_size(whole, Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &self.title));
        let names = (rect.width() * NAMES.0).clamp(NAMES.1, NAMES.2);
        let plot = Rect::from_min_max(
            pos2(rect.left() + names, rect.top() + SCALE),
            pos2(rect.right() - FIGURES, rect.bottom()),
        );
        let x = |v: f64| plot.left() + plot.width() * ((v / low).ln() / (high / low).ln()) as f32;
        self.scale_ui(ui, plot, (low, high), &x);
        let mut under = None;
        for (k, line) in self.lines.iter().enumerate() {
            let top = plot.top() + height * k as f32;
            let room = Rect::from_min_size(pos2(rect.left(), top), vec2(rect.width(), height));
            let response = line_ui(ui, line, room, plot, &x);
            if response.hovered() {
                under = Some((k, response));
            }
        }
        under
    }

    fn scale_ui(&self, ui: &Ui, plot: Rect, (low, high): (f64, f64), x: &dyn Fn(f64) -> f32) {
        let t = tokens(ui);
        let painter = ui.painter();
        painter.rect_filled(plot, 4, t.sunken);
        let mut labels = AxisLabels::along(painter, f32::INFINITY, t);
        for (value, text) in (self.marks)(low, high) {
            let at = x(value);
            painter.line_segment(
                [pos2(at, plot.top()), pos2(at, plot.bottom())],
                Stroke::new(1.0, mix(t.sunken, t.edge, 0.8)),
            );
            labels.at_x(at, plot.top() - 10.0, text);
        }
    }
}

/// Name, lanes and figure of one line.
fn line_ui(ui: &Ui, line: &Line, room: Rect, plot: Rect, x: &dyn Fn(f64) -> f32) -> Response {
    let t = tokens(ui);
    let response = ui.interact(
        room,
        ui.scope_id().with(("line", &line.name)),
        Sense::hover(),
    );
    let label = format!("{}, {}", line.name, line.text);
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &label));
    let painter = ui.painter();
    if line.marked || response.hovered() {
        let fill = if line.marked {
            t.accent_fill
        } else {
            mix(t.ground, t.text, 0.05)
        };
        for part in [
            Rect::from_x_y_ranges(room.left()..=plot.left() - 4.0, room.y_range()),
            Rect::from_x_y_ranges(plot.right() + 4.0..=room.right(), room.y_range()),
        ] {
            painter.rect_filled(part, 4, fill);
        }
    }
    let colour = if line.marked { t.accent } else { t.text };
    let names = Rect::from_min_max(
        room.min + vec2(6.0, 0.0),
        pos2(plot.left() - 8.0, room.bottom()),
    );
    elided(
        ui,
        &line.name,
        FontId::proportional(BODY - 0.5),
        colour,
        names,
    );
    painter.text(
        pos2(room.right() - 6.0, room.center().y),
        Align2::RIGHT_CENTER,
        &line.text,
        FontId::proportional(SMALL + 0.5),
        t.text_soft,
    );
    painter.line_segment(
        [
            pos2(plot.left(), room.bottom()),
            pos2(plot.right(), room.bottom()),
        ],
        Stroke::new(1.0, mix(t.sunken, t.edge, 0.5)),
    );
    let first = room.center().y - LANE * (line.dots.len() as f32 - 1.0) / 2.0;
    for (k, dot) in line.dots.iter().enumerate() {
        let Some(d) = dot else { continue };
        let y = first + LANE * k as f32;
        let strength = if d.strong { 1.0 } else { 0.85 };
        let colour = mix(t.sunken, d.colour, strength);
        let wide = if d.strong { 2.2 } else { 1.2 };
        painter.line_segment(
            [pos2(x(d.low), y), pos2(x(d.high), y)],
            Stroke::new(wide, mix(t.sunken, d.colour, strength * 0.75)),
        );
        let radius = if d.strong { 3.4 } else { 2.2 };
        painter.circle_filled(pos2(x(d.value), y), radius, colour);
    }
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_scale_holds_every_range() {
        let dot = |value: f64| {
            Some(Dot {
                value,
                low: value / 2.0,
                high: value * 2.0,
                colour: Color32::WHITE,
                strong: false,
            })
        };
        let line = |dots| Line {
            name: String::new(),
            text: String::new(),
            dots,
            marked: false,
        };
        let (low, high) = span(&[line(vec![dot(10.0), None]), line(vec![dot(80.0)])]).unwrap();
        assert!(low < 5.0 && high > 160.0);
        assert_eq!(span(&[line(vec![None])]), None);
    }
}
