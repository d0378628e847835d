//! How corners slow the machine: window and depth of the slowdown (judgement).
//!
//! The window's integral is in [`crate::geometry::turning`]. For information there is also what the lag of
//! the wire itself would be.

use crate::units::Length;

/// Length of path over which direction changes count together: min(0.5 + 0.005·H, 1.5) mm.
pub fn window(thickness: Length) -> Length {
    Length::from_mm((0.5 + 0.005 * thickness.mm()).min(1.5))
}

/// Share of the feed left where the path turns by an angle (radians) inside the window.
pub fn feed_share(turn: f64, slowdown: f64) -> f64 {
    1.0 - slowdown * (1.0 - turn.abs().min(std::f64::consts::PI).cos()) / 2.0
}

/// Lag of a wire under a uniform load over its whole span, mm: q·L²/(8·T).
///
/// `load` N/mm, `span` mm, `tension` N. Published: Roark's formulas for a tensioned wire.
pub fn lag_full_span(load: f64, span: f64, tension: f64) -> f64 {
    load * span * span / (8.0 * tension)
}

/// The same when only the work's height H in the middle of the span is loaded: q·H·(2L − H)/(8·T) (computed).
pub fn lag_part_span(load: f64, height: f64, span: f64, tension: f64) -> f64 {
    load * height * (2.0 * span - height) / (8.0 * tension)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sharp_corners_at_50_mm() {
        // s 0.75, c 0.65, v 2.9851: share and minutes added, from an independent script.
        let s = window(Length::from_mm(50.0));
        assert!((s.mm() - 0.75).abs() < 1e-12);
        for (degrees, share, minutes) in [
            (30.0_f64, 0.9565, 0.0114),
            (90.0, 0.6750, 0.1210),
            (150.0, 0.3935, 0.3872),
        ] {
            let r = feed_share(degrees.to_radians(), 0.65);
            assert!((r - share).abs() < 5.1e-5, "{degrees}: {r}");
            let added = s.mm() / 2.985_075 * (1.0 / r - 1.0);
            assert!((added - minutes).abs() < 5.1e-5, "{degrees}: {added}");
        }
    }

    #[test]
    fn lag_of_a_wire() {
        assert!((lag_full_span(0.001, 60.0, 12.0) - 0.0375).abs() < 1e-12);
        assert!((lag_part_span(0.001, 40.0, 60.0, 12.0) - 0.033_333).abs() < 1e-6);
        // Loaded over the whole span both agree.
        assert_eq!(
            lag_part_span(0.001, 60.0, 60.0, 12.0),
            lag_full_span(0.001, 60.0, 12.0)
        );
    }
}
