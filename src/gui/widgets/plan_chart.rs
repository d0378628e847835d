//! Time against cost: a spot for each plan, a line through those that no other one beats in both.

use super::AxisLabels;
use crate::gui::theme::{SMALL, mix, tokens};
use crate::words::style;
use egui::emath::{Align2, Pos2, Rect, pos2, vec2};
use egui::{Color32, FontId, Response, Role, Sense, Shape, Stroke, Ui, WidgetInfo};

/// Farther from the pointer a spot is not meant, points of the screen.
const REACH: f32 = 14.0;

/// One plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlanSpot {
    /// To the right.
    pub x: f64,
    /// Upwards.
    pub y: f64,
    /// Of its wire.
    pub colour: Color32,
    /// Whether it is what is asked for.
    pub meets: bool,
    /// Whether it is the best of them.
    pub best: bool,
    /// Whether the job is cut so.
    pub now: bool,
}

/// The chart.
pub struct PlanChart<'a> {
    /// The plans.
    pub spots: &'a [PlanSpot],
    /// Those that no other one beats in both, from the left.
    pub front: &'a [usize],
    /// A value along the lower axis.
    pub x_words: &'a dyn Fn(f64) -> String,
    /// A value along the other one.
    pub y_words: &'a dyn Fn(f64) -> String,
    /// What lies along the lower axis.
    pub x_title: &'a str,
    /// What lies along the other one.
    pub y_title: &'a str,
}

/// An axis from a little below the least value to a little above the largest.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Axis {
    low: f64,
    high: f64,
}

impl Axis {
    fn of(values: impl Iterator<Item = f64> + Clone) -> Self {
        let finite = values.filter(|v| v.is_finite());
        let low = finite.clone().fold(f64::INFINITY, f64::min);
        let high = finite.fold(f64::NEG_INFINITY, f64::max);
        if low > high {
            return Self {
                low: 0.0,
                high: 1.0,
            };
        }
        // A single value gets room on both sides.
        let room = ((high - low) * 0.06).max(high.abs() * 0.02).max(1e-9);
        Self {
            low: (low - room).max(0.0),
            high: high + room,
        }
    }
    fn at(self, value: f64) -> f32 {
        ((value - self.low) / (self.high - self.low)) as f32
    }
    /// Round values within it, about five.
    fn marks(self) -> Vec<f64> {
        let rough = (self.high - self.low) / 5.0;
        let ten = 10f64.powf(rough.log10().floor());
        let step = [1.0, 2.0, 5.0, 10.0]
            .into_iter()
            .map(|s| s * ten)
            .find(|s| *s >= rough)
            .unwrap_or(rough);
        let first = (self.low / step).ceil();
        let marks = (0..12).map(|k| (first + f64::from(k)) * step);
        marks.take_while(|m| *m <= self.high).collect()
    }
}

impl PlanChart<'_> {
    /// Lays it out; the plan that the pointer is on.
    pub fn show(&self, ui: &mut Ui, width: f32, height: f32) -> (Response, Option<usize>) {
        let t = tokens(ui);
        let (rect, response) = ui.allocate_exact_size(vec2(width, height), Sense::click());
        let count = style::count(self.spots.len(), say!("plan"), say!("plans"));
        let label = say!("{} against {}, {count}", self.y_title, self.x_title);
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &label));
        let painter = ui.painter_at(rect.expand(2.0));
        let plot = Rect::from_min_max(
            pos2(rect.left() + 58.0, rect.top() + 18.0),
            pos2(rect.right() - 12.0, rect.bottom() - 34.0),
        );
        painter.rect_filled(plot, 4, t.sunken);
        let across = Axis::of(self.spots.iter().map(|s| s.x));
        let up = Axis::of(self.spots.iter().map(|s| s.y));
        let place = |s: &PlanSpot| -> Pos2 {
            pos2(
                plot.left() + plot.width() * across.at(s.x),
                plot.bottom() - plot.height() * up.at(s.y),
            )
        };
        let hair = Stroke::new(1.0, mix(t.sunken, t.edge, 0.8));
        let mut along = AxisLabels::along(&painter, plot.right() + 12.0, t);
        let mut upward = AxisLabels::upward(&painter, t);
        for mark in across.marks() {
            let x = plot.left() + plot.width() * across.at(mark);
            painter.vline(x, plot.y_range(), hair);
            along.at_x(x, plot.bottom() + 10.0, (self.x_words)(mark));
        }
        for mark in up.marks() {
            let y = plot.bottom() - plot.height() * up.at(mark);
            painter.hline(plot.x_range(), y, hair);
            upward.at_y(y, plot.left() - 6.0, (self.y_words)(mark));
        }
        let small = FontId::proportional(SMALL);
        painter.text(
            pos2(plot.center().x, plot.bottom() + 18.0),
            Align2::CENTER_TOP,
            self.x_title,
            small.clone(),
            t.text_soft,
        );
        painter.text(
            pos2(plot.left(), rect.top()),
            Align2::LEFT_TOP,
            self.y_title,
            small,
            t.text_soft,
        );
        let front = self.front.iter().filter_map(|k| self.spots.get(*k));
        let line: Vec<Pos2> = front.map(place).collect();
        painter.add(Shape::line(line, Stroke::new(1.5, t.text_faint)));
        for s in self.spots.iter().filter(|s| !s.meets) {
            let ring = Stroke::new(1.0, mix(t.sunken, s.colour, 0.6));
            painter.circle_stroke(place(s), 2.6, ring);
        }
        for s in self.spots.iter().filter(|s| s.meets) {
            painter.circle_filled(place(s), 3.8, s.colour);
        }
        for s in self.spots.iter().filter(|s| s.best || s.now) {
            let (radius, colour) = if s.best {
                (8.0, t.text)
            } else {
                (6.0, t.accent)
            };
            painter.circle_stroke(place(s), radius, Stroke::new(1.6, colour));
        }
        let under = response.hover_pos().and_then(|pointer| {
            let distance = |s: &PlanSpot| place(s).distance(pointer);
            let near = self.spots.iter().enumerate().min_by(|a, b| {
                // Of spots that lie on one another the one that is asked for.
                (distance(a.1) + if a.1.meets { 0.0 } else { 0.5 })
                    .total_cmp(&(distance(b.1) + if b.1.meets { 0.0 } else { 0.5 }))
            });
            near.filter(|n| distance(n.1) <= REACH).map(|n| n.0)
        });
        if let Some(s) = under.and_then(|k| self.spots.get(k)) {
            painter.circle_stroke(place(s), 6.0, Stroke::new(1.4, t.text));
        }
        (response, under)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_value_lies_within_its_axis_and_marks_are_few_and_round() {
        for values in [
            vec![],
            vec![0.0],
            vec![5.0],
            vec![3.0, 3.0],
            vec![1.2, 60.0, 7.5],
        ] {
            let axis = Axis::of(values.iter().copied());
            assert!(axis.low < axis.high, "{values:?}");
            for v in &values {
                assert!((0.0..=1.0).contains(&axis.at(*v)), "{v} in {axis:?}");
            }
            let marks = axis.marks();
            assert!(marks.len() <= 12);
            assert!(marks.iter().all(|m| (axis.low..=axis.high).contains(m)));
        }
    }
}
