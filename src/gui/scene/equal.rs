//! Equal contours of a drawing, so that what is decided for one can be decided for all of them.

use crate::geometry::Segment;
use crate::profile::{Profile, ProfileContour};

/// Relative difference within which two measures are one and the same.
const SAME: f64 = 1e-5;
/// More pieces than this are compared by length and area alone.
const MOST_PIECES: usize = 400;

/// What two equal contours share wherever they lie, turned or mirrored.
#[derive(Debug, Clone)]
struct Measure {
    depth: usize,
    length: f64,
    area: f64,
    /// Length and curvature of each piece, sorted.
    pieces: Vec<(f64, f64)>,
}

impl Measure {
    fn of(c: &ProfileContour) -> Self {
        let segments = c.shape.segments();
        let piece = |s: Segment| (s.length(), s.curvature());
        let mut pieces: Vec<_> = segments.take(MOST_PIECES).map(piece).collect();
        if is_circle(c) {
            // A circle may be drawn in any number of arcs.
            pieces.clear();
        }
        pieces.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        Self {
            depth: c.depth,
            length: c.drawn_length.mm(),
            area: c.drawn_area.mm2(),
            pieces,
        }
    }
    fn is_like(&self, other: &Self) -> bool {
        let same = |a: f64, b: f64| (a - b).abs() <= SAME * a.abs().max(b.abs()).max(1e-9);
        self.depth == other.depth
            && self.pieces.len() == other.pieces.len()
            && same(self.length, other.length)
            && same(self.area, other.area)
            && self.pieces.iter().zip(&other.pieces).all(|(a, b)| {
                let near = 10.0 * SAME * self.length;
                (a.0 - b.0).abs() <= near && (a.1 - b.1).abs() <= 100.0 * SAME * a.1.abs().max(1e-6)
            })
    }
}

/// Whether a contour is a circle: of all curves of a length it alone surrounds the largest area
/// (isoperimetric inequality, L² = 4πA).
pub fn is_circle(c: &ProfileContour) -> bool {
    let (l, a) = (c.drawn_length.mm(), c.drawn_area.mm2());
    let four_pi_a = 4.0 * std::f64::consts::PI * a;
    a > 0.0 && (l * l - four_pi_a).abs() <= 1e-5 * l * l
}

/// Contours in groups of equals, each in the order of the profile; one that is like no other stands alone.
pub fn groups(profile: &Profile) -> Vec<Vec<usize>> {
    let measures: Vec<Measure> = profile.contours().iter().map(Measure::of).collect();
    let mut order: Vec<usize> = (0..measures.len()).collect();
    order.sort_by(|&a, &b| {
        measures[a]
            .length
            .total_cmp(&measures[b].length)
            .then(a.cmp(&b))
    });
    let mut groups: Vec<Vec<usize>> = Vec::new();
    // Groups that an equal contour may still join: those of about its length.
    let mut open: Vec<usize> = Vec::new();
    for i in order {
        let here = &measures[i];
        open.retain(|g| here.length - measures[groups[*g][0]].length <= SAME * here.length);
        if let Some(g) = open.iter().find(|g| measures[groups[**g][0]].is_like(here)) {
            groups[*g].push(i);
        } else {
            open.push(groups.len());
            groups.push(vec![i]);
        }
    }
    for group in &mut groups {
        group.sort_unstable();
    }
    groups.sort_by_key(|g| g[0]);
    groups
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Contour, Point};

    #[test]
    fn equal_ones_are_one_group_turned_or_moved_and_others_are_not() {
        let circle = |x: f64, r: f64| Contour::circle(Point::new(x, 0.0), r);
        let plate = [(-99.0, -99.0), (99.0, -99.0), (99.0, 99.0), (-99.0, 99.0)];
        let upright = [(-50.0, 0.0), (-48.0, 0.0), (-48.0, 8.0), (-50.0, 8.0)];
        let lying = [(50.0, 50.0), (58.0, 50.0), (58.0, 52.0), (50.0, 52.0)];
        let profile = Profile::of_shapes([
            Contour::polygon(&plate),
            circle(0.0, 4.0),
            Contour::polygon(&upright),
            circle(20.0, 4.0),
            Contour::polygon(&lying),
            circle(40.0, 4.001),
        ]);
        assert_eq!(groups(&profile), [vec![0], vec![1, 3], vec![2, 4], vec![5]]);
        assert!(is_circle(&profile.contours()[1]) && !is_circle(&profile.contours()[2]));
    }
}
