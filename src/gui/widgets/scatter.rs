//! Predicted against actual, on logarithmic scales: on the diagonal the prediction was right.

use super::AxisLabels;
use crate::gui::theme::{SMALL, Tokens, mix, tokens};
use crate::units::Minutes;
use crate::words::style;
use egui::emath::{Align2, Pos2, Rect, pos2, vec2};
use egui::{FontId, Painter, Response, Role, Sense, Shape, Stroke, Ui, WidgetInfo};

/// How a point is to be seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// It counts.
    Counts,
    /// It does not fit the others.
    Suspect,
    /// It was set aside.
    Aside,
}

/// One finished cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Row of the table, counted from 1.
    pub row: usize,
    /// What happened, min.
    pub actual: f64,
    /// Predicted before anything was learned, min.
    pub before: f64,
    /// Predicted from all other cuts, min.
    pub left_out: f64,
    /// Its spread in logarithms.
    pub log_sd: f64,
    /// How it is seen.
    pub mark: Mark,
}

/// A logarithmic scale between two times.
#[derive(Debug, Clone, Copy, PartialEq)]
struct LogScale {
    low: f64,
    high: f64,
}

impl LogScale {
    fn of(points: &[Point]) -> Self {
        let ends = points.iter().flat_map(|p| {
            [
                p.actual,
                p.before,
                p.left_out * p.log_sd.exp(),
                p.left_out * (-p.log_sd).exp(),
            ]
        });
        let (mut low, mut high) = (f64::INFINITY, 0.0_f64);
        for v in ends.filter(|v| v.is_finite() && *v > 0.0) {
            low = low.min(v);
            high = high.max(v);
        }
        if high <= 0.0 {
            return Self {
                low: 10.0,
                high: 1000.0,
            };
        }
        // A single cut gets room on both sides.
        let room = (1.15_f64).max((4.0 / (high / low)).sqrt());
        Self {
            low: low / room,
            high: high * room,
        }
    }
    fn at(self, minutes: f64) -> f32 {
        ((minutes / self.low).ln() / (self.high / self.low).ln()) as f32
    }
    /// Times that people say, within the scale.
    fn marks(self) -> impl Iterator<Item = f64> {
        const TIMES: [f64; 18] = [
            1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0, 120.0, 180.0, 300.0, 480.0, 720.0, 1200.0,
            1800.0, 3000.0, 6000.0, 12_000.0, 30_000.0,
        ];
        TIMES
            .into_iter()
            .filter(move |t| (self.low..=self.high).contains(t))
    }
}

/// Lays it out over the width given.
pub fn scatter(ui: &mut Ui, points: &[Point], width: f32, height: f32) -> Response {
    let t = tokens(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(width, height), Sense::hover());
    let label = say!(
        "predicted against actual time, {}",
        style::count(points.len(), say!("cut"), say!("cuts"))
    );
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &label));
    let painter = ui.painter_at(rect.expand(2.0));
    let plot = Rect::from_min_max(
        pos2(rect.left() + 74.0, rect.top() + 6.0),
        pos2(rect.right() - 14.0, rect.bottom() - 34.0),
    );
    painter.rect_filled(plot, 4, t.sunken);
    let scale = LogScale::of(points);
    let place = |x: f64, y: f64| {
        pos2(
            plot.left() + plot.width() * scale.at(x),
            plot.bottom() - plot.height() * scale.at(y),
        )
    };
    grid(&painter, plot, scale, t);
    painter.line_segment(
        [plot.left_bottom(), plot.right_top()],
        Stroke::new(1.5, mix(t.sunken, t.text, 0.45)),
    );
    let inner = painter.with_clip_rect(plot.expand(1.0));
    let mut nearest: Option<(f32, &Point)> = None;
    let pointer = response.hover_pos();
    for p in points {
        let at = place(p.actual, p.left_out);
        point(&inner, p, at, place(p.actual, p.before), &place, t);
        if let Some(pointer) = pointer {
            let d = pointer.distance(at);
            if d < 14.0 && nearest.is_none_or(|(n, _)| d < n) {
                nearest = Some((d, p));
            }
        }
    }
    match nearest {
        Some((_, p)) => {
            let time = |m: f64| style::time(Minutes::from_min(m));
            response.on_hover_text(say!(
                "Row {}: took {}. From the other cuts {} were expected, before learning {}.",
                p.row,
                time(p.actual),
                time(p.left_out),
                time(p.before)
            ))
        }
        None => response,
    }
}

fn grid(painter: &Painter, plot: Rect, scale: LogScale, t: &Tokens) {
    let small = FontId::proportional(SMALL);
    let hairline = Stroke::new(1.0, mix(t.sunken, t.edge, 0.8));
    let mut along = AxisLabels::along(painter, plot.right() + 14.0, t);
    let mut upward = AxisLabels::upward(painter, t);
    for m in scale.marks() {
        let x = plot.left() + plot.width() * scale.at(m);
        let y = plot.bottom() - plot.height() * scale.at(m);
        painter.line_segment([pos2(x, plot.top()), pos2(x, plot.bottom())], hairline);
        painter.line_segment([pos2(plot.left(), y), pos2(plot.right(), y)], hairline);
        let text = style::time(Minutes::from_min(m));
        along.at_x(x, plot.bottom() + 10.0, text.as_str());
        upward.at_y(y, plot.left() - 6.0, text);
    }
    painter.text(
        pos2(plot.center().x, plot.bottom() + 17.0),
        Align2::CENTER_TOP,
        say!("actual time of cutting"),
        small.clone(),
        t.text_soft,
    );
    painter.text(
        plot.left_top() + vec2(8.0, 6.0),
        Align2::LEFT_TOP,
        say!("predicted too long"),
        small.clone(),
        t.text_faint,
    );
    painter.text(
        plot.right_bottom() + vec2(-8.0, -6.0),
        Align2::RIGHT_BOTTOM,
        say!("predicted too short"),
        small,
        t.text_faint,
    );
}

fn point(
    painter: &Painter,
    p: &Point,
    at: Pos2,
    before: Pos2,
    place: &impl Fn(f64, f64) -> Pos2,
    t: &Tokens,
) {
    let colour = match p.mark {
        Mark::Counts => t.accent,
        Mark::Suspect => t.warn,
        Mark::Aside => t.text_faint,
    };
    if p.mark == Mark::Aside {
        for (a, b) in [((-4.0, -4.0), (4.0, 4.0)), ((-4.0, 4.0), (4.0, -4.0))] {
            painter.line_segment(
                [at + vec2(a.0, a.1), at + vec2(b.0, b.1)],
                Stroke::new(1.6, colour),
            );
        }
        return;
    }
    // From what the library said to what the other cuts say.
    let way = Stroke::new(1.0, mix(t.sunken, t.text_soft, 0.5));
    painter.extend(Shape::dashed_line(&[before, at], way, 3.0, 3.0));
    painter.circle(before, 3.5, t.sunken, Stroke::new(1.2, t.text_soft));
    let band = |sign: f64| place(p.actual, p.left_out * (sign * p.log_sd).exp());
    let (low, high) = (band(-1.0), band(1.0));
    painter.line_segment([low, high], Stroke::new(4.0, mix(t.sunken, colour, 0.45)));
    painter.circle_filled(at, 4.0, colour);
    if p.mark == Mark::Suspect {
        painter.circle_stroke(at, 8.0, Stroke::new(1.5, colour));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(actual: f64, left_out: f64) -> Point {
        Point {
            row: 1,
            actual,
            before: left_out,
            left_out,
            log_sd: 0.1,
            mark: Mark::Counts,
        }
    }

    #[test]
    fn every_point_lies_within_the_scale_and_marks_are_few() {
        for points in [
            vec![],
            vec![at(300.0, 280.0)],
            vec![at(4.0, 9.0), at(6000.0, 3000.0)],
        ] {
            let scale = LogScale::of(&points);
            assert!(scale.low < scale.high);
            for p in &points {
                for v in [p.actual, p.left_out] {
                    assert!((0.0..=1.0).contains(&scale.at(v)), "{v}");
                }
            }
            assert!((1..=18).contains(&scale.marks().count()));
        }
    }
}
