//! Pan and zoom: where a point of the drawing lies on the screen, and back.

use egui::emath::{Pos2, Rect, Vec2, pos2, vec2};

/// How the drawing lies in its rectangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placement {
    /// Screen points a mm.
    pub scale: f32,
    /// The drawing's point in the middle, mm about the model's centre, y up.
    pub middle: Pos2,
}

/// Part of the room that a fitted drawing fills.
const FIT: f32 = 0.93;
/// Room kept free at top and bottom, for what stands on the drawing and the scale bar, screen points each.
const STRIP: f32 = 36.0;
/// Room kept free at the sides together, screen points.
const SIDES: f32 = 24.0;
/// Half the width of a mark at the edge of what is fitted, screen points.
const MARK: f32 = 8.0;
/// Limits of the zoom, screen points a mm.
const SCALE: std::ops::RangeInclusive<f32> = 1e-4..=2e4;

impl Placement {
    /// The whole of `bounds` in the left of a rectangle of `size`, of which `covered` points on the right are hidden.
    pub fn fit(bounds: Rect, size: Vec2, covered: f32) -> Self {
        let size = size - vec2(covered, 0.0);
        let by = |room: f32, length: f32| {
            if length > 0.0 {
                room / length
            } else {
                f32::INFINITY
            }
        };
        let high = (size.y - 2.0 * STRIP).max(size.y * 0.5);
        let scale = by(size.x - SIDES, bounds.width()).min(by(high, bounds.height())) * FIT;
        let empty = !bounds.is_finite();
        let scale = if scale.is_finite() && scale > 0.0 && !empty {
            scale.clamp(*SCALE.start(), *SCALE.end())
        } else {
            1.0
        };
        let middle = if empty { Pos2::ZERO } else { bounds.center() };
        Self {
            scale,
            // The middle of what is seen lies left of the middle of the whole.
            middle: middle + vec2(0.5 * covered / scale, 0.0),
        }
    }
    /// As [`Placement::fit`]; where `more`, which lies on the drawing and about it, would not be seen whole, the room is
    /// made for it too. What fits anyway moves nothing, so that another answer leaves the drawing where it is.
    pub fn fit_with(bounds: Rect, more: Rect, size: Vec2, covered: f32) -> Self {
        let alone = Self::fit(bounds, size, covered);
        let rect = Rect::from_min_size(Pos2::ZERO, size);
        let room = rect
            .with_max_x(size.x - covered)
            .shrink2(vec2(0.5 * SIDES, STRIP));
        let seen = alone.rect_to_screen(rect, more).expand(MARK);
        if !more.is_finite() || !bounds.is_finite() || room.contains_rect(seen) {
            return alone;
        }
        Self::fit(bounds.union(more), size, covered)
    }
    /// Where a point of the drawing is seen.
    pub fn to_screen(&self, rect: Rect, p: Pos2) -> Pos2 {
        let c = rect.center();
        pos2(
            c.x + (p.x - self.middle.x) * self.scale,
            c.y - (p.y - self.middle.y) * self.scale,
        )
    }
    /// The point of the drawing that is seen somewhere.
    pub fn to_drawing(&self, rect: Rect, p: Pos2) -> Pos2 {
        let c = rect.center();
        pos2(
            self.middle.x + (p.x - c.x) / self.scale,
            self.middle.y - (p.y - c.y) / self.scale,
        )
    }
    /// A box of the drawing on the screen.
    pub fn rect_to_screen(&self, rect: Rect, b: Rect) -> Rect {
        Rect::from_two_pos(self.to_screen(rect, b.min), self.to_screen(rect, b.max))
    }
    /// The box of the drawing that a rectangle of the screen shows.
    pub fn rect_to_drawing(&self, rect: Rect, r: Rect) -> Rect {
        Rect::from_two_pos(self.to_drawing(rect, r.min), self.to_drawing(rect, r.max))
    }
    /// Moved by a distance on the screen.
    #[must_use]
    pub fn panned(self, by: Vec2) -> Self {
        Self {
            middle: self.middle - vec2(by.x, -by.y) / self.scale,
            ..self
        }
    }
    /// Zoomed by a factor with the point under the cursor kept there.
    #[must_use]
    pub fn zoomed(self, rect: Rect, cursor: Pos2, factor: f32) -> Self {
        let kept = self.to_drawing(rect, cursor);
        let scale = (self.scale * factor).clamp(*SCALE.start(), *SCALE.end());
        let off = cursor - rect.center();
        Self {
            scale,
            middle: kept - vec2(off.x, -off.y) / scale,
        }
    }
}

/// A round length for a scale bar of at most `longest` units: 1, 2 or 5 times a power of ten.
pub fn round_length(longest: f64) -> f64 {
    if longest <= 0.0 || !longest.is_finite() {
        return 1.0;
    }
    let power = 10f64.powf(longest.log10().floor());
    [5.0, 2.0, 1.0]
        .into_iter()
        .map(|k| k * power)
        .find(|l| *l <= longest)
        .unwrap_or(power)
}

/// Pan and zoom of one drawing.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Camera {
    /// How the drawing lies, once it was shown.
    pub placement: Option<Placement>,
    /// Whether the user moved the view; until then it follows the window.
    pub moved: bool,
    /// Points at the right that a page covered when everything was brought into view.
    pub covered: f32,
}

impl Camera {
    /// Bring everything into view at the next frame.
    pub fn fit(&mut self) {
        *self = Self::default();
    }
    /// Bring everything into view at the next frame, left of a page that covers so many points.
    pub fn fit_beside(&mut self, covered: f32) {
        *self = Self {
            covered,
            ..Self::default()
        };
    }
    /// Bring a place into the middle of what a page leaves that covers so many points at the right, zooming in where
    /// it would be lost.
    pub fn centre_on(&mut self, at: Pos2, least_scale: f32, covered: f32) {
        let scale = self.placement.map_or(least_scale, |p| p.scale);
        let scale = scale.max(least_scale);
        self.placement = Some(Placement {
            scale,
            middle: at + vec2(0.5 * covered / scale, 0.0),
        });
        self.moved = true;
    }
    /// The same view of a drawing that was joined anew and whose model is counted from elsewhere.
    pub fn shift(&mut self, by: Vec2) {
        if let Some(p) = &mut self.placement {
            p.middle += by;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back() {
        let rect = Rect::from_min_size(pos2(100.0, 50.0), vec2(640.0, 480.0));
        let v = Placement::fit(
            Rect::from_min_max(pos2(-50.0, -10.0), pos2(50.0, 10.0)),
            rect.size(),
            0.0,
        );
        let p = pos2(12.0, -3.0);
        assert!((v.to_drawing(rect, v.to_screen(rect, p)) - p).length() < 1e-3);
        // Up in the drawing is up on the screen.
        assert!(v.to_screen(rect, pos2(0.0, 1.0)).y < v.to_screen(rect, Pos2::ZERO).y);
    }

    #[test]
    fn zoom_keeps_what_is_under_the_cursor() {
        let rect = Rect::from_min_size(Pos2::ZERO, vec2(800.0, 600.0));
        let v = Placement {
            scale: 3.0,
            middle: pos2(5.0, 5.0),
        };
        let cursor = pos2(123.0, 456.0);
        let before = v.to_drawing(rect, cursor);
        let after = v.zoomed(rect, cursor, 1.7).to_drawing(rect, cursor);
        assert!((after - before).length() < 1e-3);
    }

    #[test]
    fn a_drag_moves_the_drawing_with_it() {
        let rect = Rect::from_min_size(Pos2::ZERO, vec2(800.0, 600.0));
        let v = Placement {
            scale: 4.0,
            middle: Pos2::ZERO,
        };
        let by = vec2(30.0, -20.0);
        let moved = v.panned(by).to_screen(rect, pos2(1.0, 1.0));
        assert!((moved - v.to_screen(rect, pos2(1.0, 1.0)) - by).length() < 1e-3);
    }

    #[test]
    fn nothing_to_fit_is_no_trouble() {
        let size = vec2(100.0, 100.0);
        assert!(Placement::fit(Rect::NOTHING, size, 50.0).scale > 0.0);
        assert!(
            Placement::fit(Rect::from_min_size(Pos2::ZERO, Vec2::ZERO), size, 50.0).scale > 0.0
        );
    }

    #[test]
    fn a_fitted_drawing_keeps_clear_of_what_stands_on_it_and_of_a_page() {
        let rect = Rect::from_min_size(pos2(20.0, 90.0), vec2(1280.0, 500.0));
        for (w, h) in [(10.0, 90.0), (100.0, 100.0), (100.0, 3.0)] {
            let bounds = Rect::from_center_size(Pos2::ZERO, vec2(w, h));
            for covered in [0.0, 360.0, 560.0] {
                let seen =
                    Placement::fit(bounds, rect.size(), covered).rect_to_screen(rect, bounds);
                // Up to the rounding of single precision.
                assert!(seen.top() >= rect.top() + STRIP - 1e-3, "{seen:?}");
                assert!(seen.bottom() <= rect.bottom() - STRIP + 1e-3, "{seen:?}");
                assert!(seen.left() >= rect.left(), "{seen:?}");
                assert!(seen.right() <= rect.right() - covered, "{seen:?}");
                let middle = rect.left() + (rect.width() - covered) / 2.0;
                assert!((seen.center().x - middle).abs() < 1e-2, "{seen:?}");
            }
        }
    }

    #[test]
    fn what_lies_about_the_drawing_is_seen_whole_and_moves_nothing_where_it_fits() {
        let rect = Rect::from_min_size(pos2(20.0, 90.0), vec2(1280.0, 500.0));
        let bounds = Rect::from_center_size(Pos2::ZERO, vec2(10.0, 6.0));
        let alone = Placement::fit(bounds, rect.size(), 0.0);
        let fit = |more| Placement::fit_with(bounds, more, rect.size(), 0.0);
        for none in [Rect::NOTHING, bounds, Rect::from_pos(pos2(5.5, 0.0))] {
            assert_eq!(fit(none), alone);
        }
        // A start hole of 2 mm beside the part, above it and below it.
        for at in [pos2(0.0, 7.0), pos2(0.0, -7.0), pos2(3.0, 4.5)] {
            let hole = Rect::from_center_size(at, Vec2::splat(2.0));
            let seen = fit(hole).rect_to_screen(rect, bounds.union(hole));
            assert!(
                rect.shrink2(vec2(0.0, STRIP - 1e-3)).contains_rect(seen),
                "{seen:?}"
            );
        }
    }

    #[test]
    fn scale_bars_are_round() {
        assert_eq!(round_length(37.0), 20.0);
        assert_eq!(round_length(0.6), 0.5);
        assert_eq!(round_length(1.0), 1.0);
    }
}
