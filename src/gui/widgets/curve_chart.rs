//! Curves of several wires over one input; the wire shown with the band that holds about 68 %.

use super::AxisLabels;
use crate::gui::theme::{SMALL, Tokens, mix, tokens};
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::epaint::Mesh;
use egui::text::{LayoutJob, TextWrapping};
use egui::{Color32, FontId, Painter, Response, Role, Sense, Shape, Stroke, Ui, WidgetInfo};

/// One wire at one place of the axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// The input.
    pub x: f64,
    /// Median.
    pub y: f64,
    /// Lower end of the band.
    pub low: f64,
    /// Upper end of the band.
    pub high: f64,
}

/// One wire's curve; `None` where it cannot do the job.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// Its name stands in the legend and in the hover.
    pub name: String,
    /// The wire's colour.
    pub colour: Color32,
    /// Drawn above the others, with its band.
    pub strong: bool,
    /// In the order of the axis.
    pub spots: Vec<Option<Spot>>,
}

/// Room at the right of the plot; with names of the curves, and from which width on they are written there.
const MARGIN: f32 = 12.0;
const NAMES: f32 = 176.0;
const WITH_NAMES: f32 = 470.0;

/// Curves and how their axes are marked.
pub struct CurveChart<'a> {
    /// The wires.
    pub curves: &'a [Curve],
    /// Equal ratios take equal room.
    pub log_x: bool,
    /// Between two places of the axis there is nothing: drawn as steps.
    pub steps: bool,
    /// Both ends of the input.
    pub x_range: (f64, f64),
    /// Where the axis is marked, and how.
    pub x_marks: Vec<(f64, String)>,
    /// The job's own place.
    pub now: f64,
    /// Marks and text of the figure for a largest value.
    pub y_marks: Vec<(f64, String)>,
    /// What is drawn, for screen readers.
    pub title: String,
    /// Name of the input.
    pub x_title: String,
}

/// Round steps of a figure from 0 to `most`: 1, 2 or 5 times a power of ten, at most seven.
pub fn round_marks(most: f64) -> Vec<f64> {
    if !(most.is_finite() && most > 0.0) {
        return vec![0.0];
    }
    let rough = most / 5.0;
    let power = 10_f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|s| s * power)
        .find(|s| *s >= rough)
        .unwrap_or(10.0 * power);
    (0..8)
        .map(|k| step * f64::from(k))
        .take_while(|v| *v <= most)
        .collect()
}

/// The top of the scale: above every median and the bands of the curves that are stressed.
pub fn top(curves: &[Curve]) -> f64 {
    let of = |c: &Curve| {
        let strong = c.strong;
        c.spots
            .iter()
            .flatten()
            .map(|s| if strong { s.high } else { s.y })
            .fold(0.0, f64::max)
    };
    curves.iter().map(of).fold(1e-9, f64::max) * 1.06
}

impl CurveChart<'_> {
    /// Lays it out; the index of the place under the pointer comes back with the response.
    pub fn show(&self, ui: &mut Ui, width: f32, height: f32) -> (Response, Option<usize>) {
        let t = tokens(ui);
        let (rect, response) = ui.allocate_exact_size(vec2(width, height), Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &self.title));
        let painter = ui.painter_at(rect);
        let plot = Rect::from_min_max(
            pos2(rect.left() + 72.0, rect.top() + 8.0),
            pos2(rect.right() - for_names(width), rect.bottom() - 36.0),
        );
        painter.rect_filled(plot, 4, t.sunken);
        let highest = top(self.curves);
        let x = |v: f64| plot.left() + plot.width() * self.at(v);
        let y = |v: f64| plot.bottom() - plot.height() * (v / highest) as f32;
        self.axes(&painter, plot, &x, &y, t);
        let inner = painter.with_clip_rect(plot);
        for strong in [false, true] {
            for c in self.curves.iter().filter(|c| c.strong == strong) {
                curve(&inner, c, self.steps, &x, &y, t);
            }
        }
        if for_names(width) > MARGIN {
            self.names(&painter, plot, &x, &y, t);
        }
        let under = response
            .hover_pos()
            .filter(|p| plot.contains(*p))
            .and_then(|p| {
                let spots = self.curves.iter().flat_map(|c| c.spots.iter().enumerate());
                spots
                    .filter_map(|(k, s)| Some((k, (x(s.as_ref()?.x) - p.x).abs())))
                    .min_by(|a, b| a.1.total_cmp(&b.1))
                    .map(|(k, _)| k)
            });
        if let Some(k) = under {
            for c in self.curves {
                if let Some(Some(s)) = c.spots.get(k) {
                    inner.circle(
                        pos2(x(s.x), y(s.y)),
                        4.0,
                        c.colour,
                        Stroke::new(1.0, t.sunken),
                    );
                }
            }
        }
        (response, under)
    }

    /// Each curve's name beside its end, kept apart from the others.
    fn names(
        &self,
        painter: &Painter,
        plot: Rect,
        x: &impl Fn(f64) -> f32,
        y: &impl Fn(f64) -> f32,
        t: &Tokens,
    ) {
        const APART: f32 = 14.0;
        let end = |c: &Curve| c.spots.iter().rev().flatten().next().copied();
        let mut ends: Vec<_> = self
            .curves
            .iter()
            .filter_map(|c| Some((c, end(c)?)))
            .map(|(c, s)| (c, pos2(x(s.x), y(s.y).max(plot.top()))))
            .collect();
        ends.sort_by(|a, b| a.1.y.total_cmp(&b.1.y));
        let mut next = plot.top() + 6.0;
        let mut places: Vec<f32> = Vec::new();
        for (_, at) in &ends {
            let place = at.y.max(next);
            next = place + APART;
            places.push(place);
        }
        // Those that were pushed out at the bottom come up again.
        let mut most = plot.bottom() - 4.0;
        for place in places.iter_mut().rev() {
            *place = place.min(most);
            most = *place - APART;
        }
        for ((c, at), place) in ends.into_iter().zip(places) {
            let to = pos2(plot.right() + 10.0, place);
            let faint = Stroke::new(0.8, mix(t.raised, c.colour, 0.7));
            painter.line_segment([pos2(at.x.min(plot.right()), at.y), to], faint);
            painter.circle_filled(to + vec2(3.0, 0.0), 3.0, c.colour);
            let colour = if c.strong { t.text } else { t.text_soft };
            let font = FontId::proportional(SMALL);
            let mut job = LayoutJob::simple_singleline(c.name.clone(), font, colour);
            job.wrap = TextWrapping::truncate_at_width(NAMES - 24.0);
            let galley = painter.layout_job(job);
            let corner = to + vec2(9.0, -0.5 * galley.size().y);
            painter.galley(corner, galley, colour);
        }
    }

    fn at(&self, v: f64) -> f32 {
        let (low, high) = self.x_range;
        let share = if self.log_x {
            (v / low).ln() / (high / low).ln()
        } else {
            (v - low) / (high - low)
        };
        share as f32
    }

    fn axes(
        &self,
        painter: &Painter,
        plot: Rect,
        x: &impl Fn(f64) -> f32,
        y: &impl Fn(f64) -> f32,
        t: &Tokens,
    ) {
        let small = FontId::proportional(SMALL);
        let hairline = Stroke::new(1.0, mix(t.sunken, t.edge, 0.8));
        let mut upward = AxisLabels::upward(painter, t);
        for (v, text) in &self.y_marks {
            let at = y(*v);
            if at < plot.top() {
                continue;
            }
            painter.line_segment([pos2(plot.left(), at), pos2(plot.right(), at)], hairline);
            upward.at_y(at, plot.left() - 6.0, text);
        }
        let mut along = AxisLabels::along(painter, plot.right() + 12.0, t);
        for (v, text) in &self.x_marks {
            let at = x(*v);
            painter.line_segment([pos2(at, plot.top()), pos2(at, plot.bottom())], hairline);
            along.at_x(at, plot.bottom() + 10.0, text);
        }
        painter.text(
            pos2(plot.center().x, plot.bottom() + 18.0),
            Align2::CENTER_TOP,
            &self.x_title,
            small.clone(),
            t.text_soft,
        );
        if !(self.x_range.0..=self.x_range.1).contains(&self.now) {
            return;
        }
        let now = x(self.now);
        painter.extend(Shape::dashed_line(
            &[pos2(now, plot.top()), pos2(now, plot.bottom())],
            Stroke::new(1.2, t.accent),
            4.0,
            4.0,
        ));
        let (anchor, shift) = if now > plot.center().x {
            (Align2::RIGHT_TOP, -5.0)
        } else {
            (Align2::LEFT_TOP, 5.0)
        };
        painter.text(
            pos2(now + shift, plot.top() + 4.0),
            anchor,
            say!("this job"),
            small,
            t.accent,
        );
    }
}

/// Room at the right for the names of the curves, where the picture is wide enough to hold them.
fn for_names(width: f32) -> f32 {
    if width >= WITH_NAMES { NAMES } else { MARGIN }
}

/// The band of the wire shown first, the line above it; a gap where the wire cannot do it.
fn curve(
    painter: &Painter,
    c: &Curve,
    steps: bool,
    x: &impl Fn(f64) -> f32,
    y: &impl Fn(f64) -> f32,
    t: &Tokens,
) {
    let fill = c.colour.gamma_multiply(0.26);
    let level = |s: &Spot| [s.x - 0.5, s.x + 0.5].map(|x| Spot { x, ..*s });
    for run in c.spots.split(Option::is_none) {
        let mut spots: Vec<Spot> = run.iter().flatten().copied().collect();
        if steps {
            spots = spots.iter().flat_map(level).collect();
        }
        let mut mesh = Mesh::default();
        for s in &spots {
            mesh.colored_vertex(pos2(x(s.x), y(s.low)), fill);
            mesh.colored_vertex(pos2(x(s.x), y(s.high)), fill);
        }
        for k in 1..spots.len() as u32 {
            mesh.add_triangle(2 * k - 2, 2 * k - 1, 2 * k);
            mesh.add_triangle(2 * k - 1, 2 * k, 2 * k + 1);
        }
        if c.strong {
            painter.add(Shape::mesh(mesh));
        }
        let line: Vec<_> = spots.iter().map(|s| pos2(x(s.x), y(s.y))).collect();
        if c.strong {
            painter.line(line.clone(), Stroke::new(4.5, t.sunken));
        }
        let width = if c.strong { 2.4 } else { 1.5 };
        painter.line(line, Stroke::new(width, c.colour));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_round_and_few() {
        for most in [0.3, 7.0, 99.0, 1234.0, 1e7] {
            let marks = round_marks(most);
            assert!((3..=7).contains(&marks.len()), "{most}: {marks:?}");
            assert_eq!(marks[0], 0.0);
        }
        assert_eq!(round_marks(f64::NAN), vec![0.0]);
        assert_eq!(round_marks(10.0), vec![0.0, 2.0, 4.0, 6.0, 8.0, 10.0]);
    }
}
