//! Where the wire is threaded and where it joins its path.

use crate::geometry::offset::Side;
use crate::geometry::reach::PathIndex;
use crate::geometry::{Contour, Point};
use crate::units::Length;

/// Shortest lead-in worth planning, mm: the hole then lies almost on the path.
const SHORTEST_LEAD_IN: f64 = 0.3;
/// How many of the longest segments are tried.
const TRIED: usize = 12;

/// A start hole and the place where the path is joined.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Start {
    /// Where the wire is threaded, mm about the profile's origin.
    pub hole: Point,
    /// Where the path is joined.
    pub join: Point,
    /// From hole to path.
    pub lead_in: Length,
    /// Distance of `join` along the path's first loop, mm.
    pub along: f64,
}

/// A start in the waste: on the middle of a long straight, away from corners, with room for the lead-in.
///
/// The hole lies square to the path, up to `lead_in` away, and no other part of the path is nearer to it
/// than where it joins. Arcs serve where no line does. `None` without a path.
pub fn choose_start(loops: &[Contour], side: Side, lead_in: Length) -> Option<Start> {
    let path = loops.first()?;
    let index = PathIndex::new(loops);
    let mut segments: Vec<(bool, f64, f64, usize)> = Vec::with_capacity(path.len());
    let mut along = 0.0;
    for (k, s) in path.segments().enumerate() {
        let length = s.length();
        segments.push((s.is_straight(), length, along, k));
        along += length;
    }
    // Long lines first, then long arcs; ties keep the drawing's order.
    segments.sort_by(|a, b| {
        (b.0, b.1)
            .partial_cmp(&(a.0, a.1))
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    let longest_line = segments.first().filter(|s| s.0).map_or(0.0, |s| s.1);
    // A line shorter than a tab is no better than an arc.
    if longest_line < 2.0 {
        segments.sort_by(|a, b| b.1.total_cmp(&a.1));
    }
    let way = match side {
        Side::Inside => 1.0,
        Side::Outside => -1.0,
    };
    let mut best: Option<Start> = None;
    for &(_, length, before, k) in segments.iter().take(TRIED) {
        let s = path.segment(k);
        let join = s.point_at(length / 2.0);
        let square = s.direction_at(length / 2.0).left() * way;
        let mut distance = lead_in.mm();
        while distance >= SHORTEST_LEAD_IN {
            let hole = join + square * distance;
            if index.distance(hole) >= distance * 0.999 {
                break;
            }
            distance *= 0.8;
        }
        let distance = if distance < SHORTEST_LEAD_IN {
            0.0
        } else {
            distance
        };
        let start = Start {
            hole: join + square * distance,
            join,
            lead_in: Length::from_mm(distance),
            along: before + length / 2.0,
        };
        if best.is_none_or(|b| start.lead_in > b.lead_in) {
            best = Some(start);
        }
        if distance >= lead_in.mm() {
            break;
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_square_opening_is_joined_in_the_middle_of_a_side() {
        let path = Contour::polygon(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]);
        let s = choose_start(
            std::slice::from_ref(&path),
            Side::Inside,
            Length::from_mm(3.0),
        )
        .unwrap();
        assert!((s.lead_in.mm() - 3.0).abs() < 1e-12);
        assert_eq!(s.join, Point::new(5.0, 0.0));
        assert_eq!(s.hole, Point::new(5.0, 3.0));
        let s = choose_start(&[path], Side::Outside, Length::from_mm(3.0)).unwrap();
        assert_eq!(s.hole, Point::new(5.0, -3.0));
    }

    #[test]
    fn a_small_hole_is_threaded_where_there_is_room() {
        let path = Contour::circle(Point::ORIGIN, 1.0);
        let s = choose_start(&[path], Side::Inside, Length::from_mm(3.0)).unwrap();
        assert!(s.lead_in.mm() > 0.7 && s.lead_in.mm() <= 1.0 && s.hole.norm() < 0.3);
    }
}
