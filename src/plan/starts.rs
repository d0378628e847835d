//! Where the wire is threaded and where it joins its path.

use crate::geometry::hits::crosses;
use crate::geometry::offset::Side;
use crate::geometry::reach::PathIndex;
use crate::geometry::room::most_room;
use crate::geometry::{Contour, Point};
use crate::units::Length;

/// Shortest lead-in worth planning, mm: the hole then lies almost on the path.
const SHORTEST_LEAD_IN: f64 = 0.3;
/// How many of the longest segments are tried.
const TRIED: usize = 12;
/// A path is joined at least this far from the ends of a segment, mm, where it is long enough (judgement).
const FROM_CORNERS: f64 = 1.0;
/// Arcs tighter than this are joined only where there is nothing else, mm (judgement).
const TIGHT: f64 = 1.0;

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

/// What a start has to keep to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StartWanted {
    /// Longest lead-in from a hole that the program places.
    pub lead_in: Length,
    /// The user's own hole.
    pub hole: Option<Point>,
    /// The place of the drawn contour beside which the user wants the path joined.
    pub join: Option<Point>,
}

impl StartWanted {
    /// Hole and place left to the program.
    pub fn free(lead_in: Length) -> Self {
        Self {
            lead_in,
            hole: None,
            join: None,
        }
    }
}

/// The start on a path as it is wanted; `None` without a path.
pub fn start_as_wanted(loops: &[Contour], side: Side, wanted: &StartWanted) -> Option<Start> {
    let path = loops.first()?;
    match (wanted.hole, wanted.join) {
        (None, None) => choose_start(loops, side, wanted.lead_in),
        (Some(hole), None) => join_near(path, hole),
        (hole, Some(place)) => {
            let near = path.nearest(place)?;
            let Some(hole) = hole else {
                let index = PathIndex::new(loops);
                let s = path.segment(near.segment);
                let before: f64 = path.segments().take(near.segment).map(|s| s.length()).sum();
                let within = near.along - before;
                let square = s.direction_at(within).left() * way(side);
                let start = with_room(near.at, square, near.along, wanted.lead_in, &index);
                if side == Side::Inside && start.lead_in == Length::ZERO {
                    let hole = most_room(path).map(|(hole, _)| hole);
                    if let Some(hole) = hole.filter(|h| !crosses(*h, near.at, path)) {
                        return Some(Start {
                            hole,
                            lead_in: Length::from_mm(hole.distance(near.at)),
                            ..start
                        });
                    }
                }
                return Some(start);
            };
            Some(Start {
                hole,
                join: near.at,
                lead_in: Length::from_mm(hole.distance(near.at)),
                along: near.along,
            })
        }
    }
}

/// To which side of a counter-clockwise path its waste lies: 1 to the left.
fn way(side: Side) -> f64 {
    match side {
        Side::Inside => 1.0,
        Side::Outside => -1.0,
    }
}

/// The farthest hole up to `lead_in` away, square to the path, to which no other part of it is nearer.
fn with_room(join: Point, square: Point, along: f64, lead_in: Length, index: &PathIndex) -> Start {
    let mut distance = lead_in.mm();
    while distance >= SHORTEST_LEAD_IN {
        let hole = join + square * distance;
        if index.distance(hole) >= distance * 0.999 {
            break;
        }
        distance *= 0.8;
    }
    if distance < SHORTEST_LEAD_IN {
        distance = 0.0;
    }
    Start {
        hole: join + square * distance,
        join,
        lead_in: Length::from_mm(distance),
        along,
    }
}

/// A start in the waste: on the middle of a long straight, away from corners, with room for the lead-in.
///
/// The hole lies square to the path, up to `lead_in` away, and no other part of the path is nearer to it
/// than where it joins. Arcs serve where no line does. `None` without a path.
pub fn choose_start(loops: &[Contour], side: Side, lead_in: Length) -> Option<Start> {
    let path = loops.first()?;
    let index = PathIndex::new(loops);
    let mut runs = runs(path);
    // Long lines first, then long arcs; ties keep the drawing's order.
    runs.sort_by(|a, b| {
        (b.straight, b.length)
            .partial_cmp(&(a.straight, a.length))
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    let longest_line = runs
        .first()
        .filter(|r| r.straight)
        .map_or(0.0, |r| r.length);
    // A line shorter than a tab is no better than an arc.
    if longest_line < 2.0 {
        runs.sort_by(|a, b| b.length.total_cmp(&a.length));
    }
    let mut best: Option<Start> = None;
    for run in runs.iter().take(TRIED) {
        let (join, direction, along) = run.middle(path);
        let start = with_room(join, direction.left() * way(side), along, lead_in, &index);
        if best.is_none_or(|b| start.lead_in > b.lead_in) {
            best = Some(start);
        }
        if start.lead_in >= lead_in {
            break;
        }
    }
    // Where no lead-in fits square to the path, a hole on the path would cut into the wall: it goes to where
    // there is most room.
    if side == Side::Inside && best.is_some_and(|b| b.lead_in == Length::ZERO) {
        let roomy = most_room(path).and_then(|(hole, _)| join_near(path, hole));
        return roomy.or(best);
    }
    best
}

/// Segments that continue one another as one line or one arc, however often the drawing divides it.
struct Run {
    straight: bool,
    length: f64,
    /// Distance of its beginning along the path, mm.
    before: f64,
    /// Its first segment and how many follow, around the seam if need be.
    first: usize,
    count: usize,
}

impl Run {
    /// Middle, direction there, and its distance along the path.
    fn middle(&self, path: &Contour) -> (Point, Point, f64) {
        let mut rest = self.length / 2.0;
        let n = path.len();
        let mut s = path.segment(self.first);
        for k in 0..self.count {
            s = path.segment((self.first + k) % n);
            if rest <= s.length() || k + 1 == self.count {
                break;
            }
            rest -= s.length();
        }
        (
            s.point_at(rest),
            s.direction_at(rest),
            self.before + self.length / 2.0,
        )
    }
}

fn runs(path: &Contour) -> Vec<Run> {
    // Turns and curvatures that differ by less are one and the same.
    const SAME: f64 = 1e-6;
    let n = path.len();
    let goes_on = |a: usize, b: usize| {
        let (a, b) = (path.segment(a), path.segment(b));
        (a.curvature() - b.curvature()).abs() < SAME
            && a.end_direction().turn_to(b.start_direction()).abs() < SAME
    };
    let mut out: Vec<Run> = Vec::with_capacity(n);
    let mut before = 0.0;
    for k in 0..n {
        let s = path.segment(k);
        match out.last_mut() {
            Some(run) if goes_on(k - 1, k) => {
                run.length += s.length();
                run.count += 1;
            }
            _ => out.push(Run {
                straight: s.is_straight(),
                length: s.length(),
                before,
                first: k,
                count: 1,
            }),
        }
        before += s.length();
    }
    if out.len() > 1 && goes_on(n - 1, 0) {
        let first = out.swap_remove(0);
        // The last run has come to the front or stays at the end.
        let last = out.iter_mut().max_by_key(|r| r.first);
        if let Some(last) = last {
            last.length += first.length;
            last.count += first.count;
        }
        out.sort_by_key(|r| r.first);
    }
    out
}

/// From a given hole to the nearest suitable place: no corner, no tight arc, and nothing of the path between.
pub fn join_near(path: &Contour, hole: Point) -> Option<Start> {
    let places = places_by_distance(path, hole);
    let mut near = places.iter().take(4 * TRIED);
    let free = near.find(|s| !crosses(hole, s.join, path));
    free.or(places.first()).copied()
}

/// Places at which a path can be joined from a hole: the suitable ones first, then by distance.
pub fn places_by_distance(path: &Contour, hole: Point) -> Vec<Start> {
    let mut places: Vec<(bool, Start)> = Vec::with_capacity(path.len());
    let mut before = 0.0;
    for s in path.segments() {
        let length = s.length();
        let margin = FROM_CORNERS.min(length / 2.0);
        let within = s.nearest(hole).1.clamp(margin, length - margin);
        let join = s.point_at(within);
        let tight = length < 2.0 * FROM_CORNERS || (!s.is_straight() && s.radius() < TIGHT);
        places.push((
            tight,
            Start {
                hole,
                join,
                lead_in: Length::from_mm(hole.distance(join)),
                along: before + within,
            },
        ));
        before += length;
    }
    places.sort_by(|a, b| {
        a.0.cmp(&b.0)
            .then(a.1.lead_in.mm().total_cmp(&b.1.lead_in.mm()))
    });
    places.into_iter().map(|(_, s)| s).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square() -> Contour {
        Contour::polygon(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)])
    }

    #[test]
    fn a_square_opening_is_joined_in_the_middle_of_a_side() {
        let path = square();
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

    #[test]
    fn a_tiny_hole_is_threaded_in_its_middle() {
        // An opening of Ø 1 leaves the wire at 0.219 a path of radius 0.281: less than the shortest lead-in.
        let middle = Point::new(7.0, 4.0);
        let path = Contour::circle(middle, 0.281);
        let lead_in = Length::from_mm(3.0);
        let s = choose_start(std::slice::from_ref(&path), Side::Inside, lead_in).unwrap();
        assert!(s.hole.distance(middle) < 1e-9);
        assert!(
            (s.lead_in.mm() - 0.281).abs() < 1e-9 && (s.join.distance(middle) - 0.281).abs() < 1e-9
        );
        // Beside a place of one's own as well.
        let wanted = StartWanted {
            join: Some(Point::new(7.0, 9.0)),
            ..StartWanted::free(lead_in)
        };
        let s = start_as_wanted(&[path], Side::Inside, &wanted).unwrap();
        assert!(s.hole.distance(middle) < 1e-9 && s.join.distance(Point::new(7.0, 4.281)) < 1e-9);
        // A slot 0.4 wide: half of that from either long side.
        let slot = Contour::polygon(&[(0.0, 0.0), (9.0, 0.0), (9.0, 0.4), (0.0, 0.4)]);
        let s = choose_start(&[slot], Side::Inside, lead_in).unwrap();
        assert!((s.hole.y - 0.2).abs() < 0.005 && (s.lead_in.mm() - 0.2).abs() < 0.005);
    }

    #[test]
    fn a_hole_of_ones_own_is_led_in_away_from_the_corner() {
        // Nearest the corner (10, 10), yet joined 1 mm from it.
        let s = join_near(&square(), Point::new(9.8, 9.5)).unwrap();
        assert_eq!(s.join, Point::new(10.0, 9.0));
        assert!((s.along - 19.0).abs() < 1e-12);
        // A U: from inside the left leg the near side of the right leg lies behind material.
        let u = Contour::polygon(&[
            (0.0, 0.0),
            (10.0, 0.0),
            (10.0, 10.0),
            (9.0, 10.0),
            (9.0, 1.0),
            (1.0, 1.0),
            (1.0, 10.0),
            (0.0, 10.0),
        ]);
        let s = join_near(&u, Point::new(0.6, 6.0)).unwrap();
        assert_eq!(s.join, Point::new(1.0, 6.0));
    }

    #[test]
    fn a_place_of_ones_own_is_joined_there() {
        let wanted = StartWanted {
            join: Some(Point::new(2.0, -0.2)),
            ..StartWanted::free(Length::from_mm(3.0))
        };
        let s = start_as_wanted(&[square()], Side::Inside, &wanted).unwrap();
        assert_eq!(s.join, Point::new(2.0, 0.0));
        // Two millimetres from the corner no longer lead-in than two has room.
        assert!(s.lead_in.mm() > 1.5 && s.lead_in.mm() <= 2.0 + 1e-2);
        let wanted = StartWanted {
            hole: Some(Point::new(5.0, 5.0)),
            ..wanted
        };
        let s = start_as_wanted(&[square()], Side::Inside, &wanted).unwrap();
        assert_eq!(
            (s.hole, s.join),
            (Point::new(5.0, 5.0), Point::new(2.0, 0.0))
        );
    }
}
