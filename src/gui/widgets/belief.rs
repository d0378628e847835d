//! What was believed of a factor before the cuts and what is believed after them, on one scale.

use crate::gui::theme::{BODY, SMALL, mix, tokens};
use crate::words::style;
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::{FontId, Response, Role, Sense, Stroke, Ui, WidgetInfo};

/// A factor before and after, in logarithms; 0 is the library's value.
#[derive(Debug, Clone, PartialEq)]
pub struct Belief {
    /// Which.
    pub name: String,
    /// Spread before.
    pub prior_log_sd: f64,
    /// Best value after.
    pub log_mean: f64,
    /// Spread after.
    pub log_sd: f64,
    /// Cuts that say something about it.
    pub cuts: usize,
}

impl Belief {
    /// The farthest that any of its bands reaches from 0.
    pub fn reach(&self) -> f64 {
        self.prior_log_sd.max(self.log_mean.abs() + self.log_sd)
    }
    /// "× 0.78 (0.71–0.86)".
    fn words(&self) -> String {
        let n = |log: f64| style::number(log.exp(), 2);
        format!(
            "×\u{202f}{} ({}–{})",
            n(self.log_mean),
            n(self.log_mean - self.log_sd),
            n(self.log_mean + self.log_sd)
        )
    }
}

/// One line: name, both bands, the multiplier; `reach` is the half width of the common scale.
pub fn belief(ui: &mut Ui, b: &Belief, reach: f64, width: f32) -> Response {
    let t = tokens(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(width, 23.0), Sense::hover());
    let words = b.words();
    let label = format!("{}, {words}", b.name);
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &label));
    let painter = ui.painter();
    let (name_width, words_width) = (212.0, 112.0);
    let name = Rect::from_min_size(rect.min, vec2(name_width - 8.0, rect.height()));
    super::elided(ui, &b.name, FontId::proportional(BODY - 0.5), t.text, name);
    painter.text(
        rect.right_center(),
        Align2::RIGHT_CENTER,
        &words,
        FontId::proportional(SMALL),
        t.text_soft,
    );
    let track = Rect::from_min_max(
        pos2(rect.left() + name_width, rect.top() + 3.0),
        pos2(rect.right() - words_width - 8.0, rect.bottom() - 3.0),
    );
    let x = |log: f64| track.center().x + track.width() * 0.5 * (log / reach) as f32;
    let band = |low: f64, high: f64, top: f32, bottom: f32| {
        Rect::from_min_max(pos2(x(low), top), pos2(x(high).max(x(low) + 1.0), bottom))
    };
    painter.rect_filled(
        band(-b.prior_log_sd, b.prior_log_sd, track.top(), track.bottom()),
        3,
        mix(t.ground, t.text_soft, 0.22),
    );
    painter.line_segment(
        [
            pos2(x(0.0), track.top() - 2.0),
            pos2(x(0.0), track.bottom() + 2.0),
        ],
        Stroke::new(1.0, t.text_faint),
    );
    let middle = track.center().y;
    painter.rect_filled(
        band(
            b.log_mean - b.log_sd,
            b.log_mean + b.log_sd,
            middle - 3.0,
            middle + 3.0,
        ),
        2,
        mix(t.ground, t.accent, 0.6),
    );
    painter.circle_filled(pos2(x(b.log_mean), middle), 4.0, t.accent);
    response.on_hover_text(say!(
        "{}: {words} after {}; {}–{} before",
        b.name,
        style::count(b.cuts, say!("cut"), say!("cuts")),
        style::number((-b.prior_log_sd).exp(), 2),
        style::number(b.prior_log_sd.exp(), 2)
    ))
}
