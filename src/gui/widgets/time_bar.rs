//! Where the time goes and how sure that is, on a scale common to all wires.

use crate::estimate::{Ranged, Shares};
use crate::gui::theme::{Tokens, tokens};
use crate::plan::Share;
use crate::units::Minutes;
use crate::words::Style;
use egui::emath::{Rect, pos2, vec2};
use egui::{Color32, Painter, Response, Role, Sense, Stroke, Ui, WidgetInfo};

/// One scale for all bars: from 0 to the longest range, with round marks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Axis {
    /// End of the scale, min.
    pub end: f64,
    /// Distance of marks, min.
    pub mark: f64,
}

impl Axis {
    /// Long enough for the longest, with three to six marks.
    pub fn new(longest: Minutes) -> Self {
        const MARKS: [f64; 16] = [
            1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 240.0, 360.0, 720.0, 1440.0, 2880.0,
            7200.0, 14_400.0, 43_200.0,
        ];
        let end = longest.min_value().max(1.0) * 1.03;
        let mark = MARKS
            .into_iter()
            .find(|m| end / m <= 6.0)
            .unwrap_or_else(|| end / 4.0);
        Self { end, mark }
    }
    /// Where a time lies between 0 and 1.
    pub fn at(&self, minutes: Minutes) -> f32 {
        (minutes.min_value() / self.end).clamp(0.0, 1.0) as f32
    }
    /// The round marks, 0 first.
    pub fn marks(&self) -> impl Iterator<Item = Minutes> + '_ {
        (0..)
            .map(|k| Minutes::from_min(self.mark * f64::from(k)))
            .take_while(|m| m.min_value() <= self.end)
            .take(40)
    }
    /// Vertical hairlines at the marks.
    pub fn grid(&self, painter: &Painter, rect: Rect, t: &Tokens) {
        for m in self.marks() {
            let x = rect.left() + rect.width() * self.at(m);
            painter.line_segment(
                [pos2(x, rect.top()), pos2(x, rect.bottom())],
                Stroke::new(1.0, t.edge),
            );
        }
    }
}

/// The stacked bar up to the median, and the range over it.
pub struct TimeBar<'a> {
    /// Where the time goes.
    pub shares: &'a Shares,
    /// The whole, with its range.
    pub minutes: Ranged<Minutes>,
    /// The common scale.
    pub axis: Axis,
    /// The wire's colour.
    pub colour: Color32,
    /// Name of the wire.
    pub name: &'a str,
    /// How times are written.
    pub style: Style,
}

impl TimeBar<'_> {
    /// Lays it out; the share under the pointer comes back with the response.
    pub fn show(&self, ui: &mut Ui, width: f32, height: f32) -> (Response, Option<Share>) {
        let t = tokens(ui);
        let (rect, response) = ui.allocate_exact_size(vec2(width, height), Sense::click());
        let label = say!("where the time goes, {}", self.name);
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &label));
        let painter = ui.painter();
        self.axis.grid(painter, rect, t);
        let bar = Rect::from_min_max(
            rect.left_top() + vec2(0.0, height * 0.20),
            pos2(rect.right(), rect.top() + height * 0.80),
        );
        let pointer = response.hover_pos().filter(|p| bar.y_range().contains(p.y));
        let mut under = None;
        let mut from = Minutes::ZERO;
        for (share, part) in Share::ALL.into_iter().zip(self.shares) {
            let to = from + *part;
            let span = Rect::from_min_max(
                pos2(rect.left() + width * self.axis.at(from), bar.top()),
                pos2(rect.left() + width * self.axis.at(to), bar.bottom()),
            );
            from = to;
            if span.width() <= 0.0 {
                continue;
            }
            paint_share(painter, span, share, self.colour, t);
            if pointer.is_some_and(|p| span.x_range().contains(p.x)) {
                under = Some((share, *part));
            }
        }
        self.range(painter, rect, t);
        let response = match under {
            Some((share, part)) => {
                response.on_hover_text(format!("{} {}", share.words(), self.style.time(part)))
            }
            None => response,
        };
        (response, under.map(|u| u.0))
    }

    /// The range over the bar, on a ground of its own so that it is seen on every colour.
    fn range(&self, painter: &Painter, rect: Rect, t: &Tokens) {
        let m = self.minutes;
        let x = |v| rect.left() + rect.width() * self.axis.at(v);
        let y = rect.center().y;
        for (width, colour) in [(4.0, t.ground), (1.5, t.text)] {
            let stroke = Stroke::new(width, colour);
            let more = (width - 1.5) / 2.0;
            painter.hline(x(m.low) - more..=x(m.high) + more, y, stroke);
            for end in [m.low, m.high] {
                painter.vline(x(end), y - 4.0 - more..=y + 4.0 + more, stroke);
            }
        }
        painter.circle(
            pos2(x(m.median), y),
            3.2,
            t.text,
            Stroke::new(1.2, t.ground),
        );
    }
}

/// Paints a share of the time in a wire's colour.
pub fn paint_share(painter: &Painter, span: Rect, share: Share, wire: Color32, t: &Tokens) {
    let (colour, hatched) = t.share(share, wire);
    if !hatched {
        painter.rect_filled(span, 0, colour);
        return;
    }
    painter.rect_filled(span, 0, crate::gui::theme::mix(t.raised, colour, 0.3));
    let inner = painter.with_clip_rect(span.intersect(painter.clip_rect()));
    let mut x = span.left() - span.height();
    while x < span.right() {
        inner.line_segment(
            [pos2(x, span.bottom()), pos2(x + span.height(), span.top())],
            Stroke::new(1.3, colour),
        );
        x += 4.0;
    }
}

/// A share's mark for a legend, in a neutral wire colour.
pub fn share_swatch(ui: &mut Ui, share: Share) {
    let t = tokens(ui);
    let (rect, _) = ui.allocate_exact_size(vec2(16.0, 10.0), Sense::hover());
    paint_share(ui.painter(), rect, share, t.accent, t);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_few_and_round() {
        for minutes in [0.0, 3.0, 47.0, 312.0, 5000.0, 1e6] {
            let axis = Axis::new(Minutes::from_min(minutes));
            let n = axis.marks().count();
            assert!((2..=8).contains(&n), "{minutes}: {n} marks");
        }
        let axis = Axis::new(Minutes::from_min(312.0));
        assert_eq!(axis.mark, 60.0);
    }
}
