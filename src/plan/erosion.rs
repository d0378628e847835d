//! Waste that never comes loose: taken by the kerf, or eroded away instead of dropping a slug.

use super::paths::{LaidPath, PathCache, PathWanted};
use crate::progress::look;
use crate::units::Length;
use std::sync::Arc;

/// Rings lie this share of the kerf apart, so that nothing stays between them (judgement).
const RING_SPACING: f64 = 0.8;
/// An opening that takes more rings is no small one: it drops its slug.
pub const MOST_RINGS: usize = 400;

/// Rings inside the rough's path, the innermost first; empty where the rough alone leaves no waste.
///
/// `rough` is the rough's path, `kerf` its full width. `None` where the opening is too large for it.
pub fn rings(
    rough: &PathWanted<'_>,
    kerf: Length,
    cache: &PathCache,
) -> Option<Vec<Arc<LaidPath>>> {
    let at = |offset: Length| cache.path(&PathWanted { offset, ..*rough });
    let mut rings = Vec::new();
    let mut offset = rough.offset;
    loop {
        look();
        let left = at(offset + kerf * 0.5);
        if left.loops.is_empty() {
            break;
        }
        if rings.len() >= MOST_RINGS {
            return None;
        }
        // A full spacing, unless a last crumb of the waste would then be passed over.
        let wide = at(offset + kerf * RING_SPACING);
        let ring = if wide.loops.len() < left.loops.len() {
            offset += kerf * 0.5;
            left
        } else {
            offset += kerf * RING_SPACING;
            wide
        };
        rings.push(ring);
    }
    rings.reverse();
    Some(rings)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::offset::Side;
    use crate::geometry::{Contour, Point};
    use crate::plan::paths::ShapeId;

    #[test]
    fn rings_leave_nothing_of_a_round_opening() {
        // Radius 1, rough at 0.165 with a kerf of 0.33: radii 0.835 − 0.264·k, and one in the middle.
        let c = Contour::circle(Point::ORIGIN, 1.0);
        let rough = PathWanted {
            shape: ShapeId::of(&c),
            contour: &c,
            side: Side::Inside,
            offset: Length::from_mm(0.165),
        };
        let found = rings(&rough, Length::from_mm(0.33), &PathCache::default()).unwrap();
        let radii: Vec<f64> = found
            .iter()
            .map(|r| r.length.mm() / (2.0 * std::f64::consts::PI))
            .collect();
        let expected = [0.043, 0.307, 0.571];
        assert_eq!(radii.len(), 3, "{radii:?}");
        for (r, e) in radii.iter().zip(expected) {
            assert!((r - e).abs() < 1e-9, "{radii:?}");
        }
    }

    #[test]
    fn a_slot_as_wide_as_the_kerf_has_no_rings_and_a_large_opening_too_many() {
        let cache = PathCache::default();
        let of = |c: &Contour| {
            let rough = PathWanted {
                shape: ShapeId::of(c),
                contour: c,
                side: Side::Inside,
                offset: Length::from_mm(0.165),
            };
            rings(&rough, Length::from_mm(0.33), &cache)
        };
        let slot = Contour::polygon(&[(0.0, 0.0), (9.0, 0.0), (9.0, 0.5), (0.0, 0.5)]);
        assert_eq!(of(&slot).map(|r| r.len()), Some(0));
        assert!(of(&Contour::circle(Point::ORIGIN, 200.0)).is_none());
    }
}
