//! Where the wire is threaded and where it joins its path.

use crate::geometry::hits::crosses;
use crate::geometry::offset::Side;
use crate::geometry::path_index::PathIndex;
use crate::geometry::room::{depth_in, roomiest};
use crate::geometry::{Contour, Point};
use crate::progress::look;
use crate::units::Length;

/// Shortest lead-in worth planning, mm: the hole then lies almost on the path.
const SHORTEST_LEAD_IN: f64 = 0.3;
/// How many of the longest segments are tried.
const TRIED: usize = 12;
/// The same beside an outline.
const TRIED_OUTSIDE: usize = 400;
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
    /// From the hole to the nearest place of the path, or of what else must not be cut into.
    pub room: Length,
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
    /// Room that the smallest hole needs: with less, the hole goes to where there is most.
    pub enough: Length,
    /// Of equally good places the one nearest to this, so that turning the drawing changes nothing.
    pub towards: Option<Point>,
}

/// How far a place is from whatever else must not be cut into, mm.
pub type FreeOf<'a> = &'a dyn Fn(Point) -> f64;

impl StartWanted {
    /// Hole and place left to the program.
    pub fn free(lead_in: Length) -> Self {
        Self {
            lead_in,
            hole: None,
            join: None,
            enough: Length::ZERO,
            towards: None,
        }
    }
}

/// The start on a path as it is wanted; `None` without a path.
pub fn start_as_wanted(
    loops: &[Contour],
    side: Side,
    wanted: &StartWanted,
    free: FreeOf<'_>,
) -> Option<Start> {
    let path = loops.first()?;
    let start = match (wanted.hole, wanted.join) {
        (None, None) => choose_start(loops, side, wanted, free)?,
        (Some(hole), None) => join_near(path, hole)?,
        (hole, Some(place)) => {
            let near = path.nearest(place)?;
            let at = |hole: Point| Start {
                hole,
                join: near.at,
                lead_in: Length::from_mm(hole.distance(near.at)),
                along: near.along,
                room: Length::from_mm(room_at(path, hole).min(free(hole))),
            };
            if let Some(hole) = hole {
                at(hole)
            } else {
                let index = PathIndex::new(loops);
                let s = path.segment(near.segment);
                let before: f64 = path.segments().take(near.segment).map(|s| s.length()).sum();
                let within = near.along - before;
                let square = s.direction_at(within).left() * way(side);
                let places = Places {
                    index: &index,
                    lead_in: wanted.lead_in,
                    free,
                };
                let start = places.with_room(near.at, square, near.along);
                let roomy = roomier(path, side, wanted, free, &start);
                let roomy = roomy.filter(|h| is_free(*h, near.at, path, free));
                roomy.map_or(start, at)
            }
        }
    };
    Some(Start {
        room: Length::from_mm(room_at(path, start.hole).min(free(start.hole))),
        ..start
    })
}

/// Distance of a place from a path, mm.
fn room_at(path: &Contour, hole: Point) -> f64 {
    path.nearest(hole).map_or(0.0, |n| n.distance)
}

/// Where the waste has most room, if a start does not have enough.
fn roomier(
    path: &Contour,
    side: Side,
    wanted: &StartWanted,
    free: FreeOf<'_>,
    start: &Start,
) -> Option<Point> {
    if start.lead_in > Length::ZERO && start.lead_in >= wanted.enough {
        return None;
    }
    let (around, depth) = (path.bounds(), depth_in(path));
    let enough = wanted.enough.mm();
    let found = match side {
        Side::Inside => roomiest(around, (enough, f64::INFINITY), |p| depth(p).min(free(p))),
        Side::Outside => {
            let near = wanted.lead_in.mm();
            // Within the path there is no room, whatever else lies there.
            let room = |p| match -depth(p) {
                within if within <= 0.0 => within,
                beside => beside.min(free(p)).min(near),
            };
            roomiest(around.grown(near), (enough, near), room)
        }
    };
    let (hole, _) = found.filter(|(_, room)| *room > start.lead_in.mm())?;
    Some(hole)
}

/// Whether nothing of the path, and nothing else that must not be cut into, lies between a hole and where it joins.
fn is_free(hole: Point, join: Point, path: &Contour, free: FreeOf<'_>) -> bool {
    const LOOKS: usize = 32;
    let between = |k: usize| hole.lerp(join, k as f64 / LOOKS as f64);
    !crosses(hole, join, path) && (0..LOOKS).all(|k| free(between(k)) > 0.0)
}

/// To which side of a counter-clockwise path its waste lies: 1 to the left.
fn way(side: Side) -> f64 {
    match side {
        Side::Inside => 1.0,
        Side::Outside => -1.0,
    }
}

struct Places<'a> {
    index: &'a PathIndex,
    lead_in: Length,
    free: FreeOf<'a>,
}

impl Places<'_> {
    /// Whether a hole so far square to the path has nothing nearer to it than where it joins.
    fn has_room(&self, join: Point, square: Point, distance: f64) -> bool {
        let hole = join + square * distance;
        self.index.distance(hole) >= distance - 1e-7 && (self.free)(hole) >= distance
    }

    /// The farthest hole up to the lead-in away, square to the path, to which nothing else is nearer.
    fn with_room(&self, join: Point, square: Point, along: f64) -> Start {
        let has_room = |distance: f64| self.has_room(join, square, distance);
        let (mut least, mut most) = (0.0, self.lead_in.mm());
        if has_room(most) {
            least = most;
        } else {
            // What once is nearer stays nearer farther out.
            for _ in 0..20 {
                let middle = 0.5 * (least + most);
                if has_room(middle) {
                    least = middle;
                } else {
                    most = middle;
                }
            }
        }
        if least < SHORTEST_LEAD_IN {
            least = 0.0;
        }
        Start {
            hole: join + square * least,
            join,
            lead_in: Length::from_mm(least),
            along,
            room: Length::from_mm(least),
        }
    }
}

/// A start in the waste: on the middle of a long straight, away from corners, with room for the lead-in.
///
/// The hole lies square to the path, up to the lead-in away, and nothing that must not be cut into is nearer to it
/// than where it joins. Arcs serve where no line does. `None` without a path.
pub fn choose_start(
    loops: &[Contour],
    side: Side,
    wanted: &StartWanted,
    free: FreeOf<'_>,
) -> Option<Start> {
    let path = loops.first()?;
    let index = PathIndex::new(loops);
    // Micrometres and parts of them: what is equal stays equal however the drawing lies.
    let rounded = |mm: f64| (mm * 1e5).round() as i64;
    let mut runs: Vec<(Run, (Point, Point, f64), i64)> = runs(path)
        .into_iter()
        .map(|run| {
            let middle = run.middle(path, wanted.towards);
            let off = wanted.towards.map_or(0, |t| rounded(t.distance(middle.0)));
            (run, middle, off)
        })
        .collect();
    // Long lines first, then long arcs; of equal ones the nearest to where it should lie, then the drawing's order.
    let key = |r: &(Run, (Point, Point, f64), i64)| (-rounded(r.0.length), r.2);
    runs.sort_by_key(|r| (!r.0.straight, key(r)));
    let longest_line = runs
        .first()
        .filter(|r| r.0.straight)
        .map_or(0.0, |r| r.0.length);
    // A line shorter than a tab is no better than an arc.
    if longest_line < 2.0 {
        runs.sort_by_key(key);
    }
    let places = Places {
        index: &index,
        lead_in: wanted.lead_in,
        free,
    };
    // Outside an outline there is room somewhere: more places are worth a try.
    let tried = match side {
        Side::Inside => TRIED,
        Side::Outside => TRIED_OUTSIDE,
    };
    let mut best: Option<Start> = None;
    for (_, (join, direction, along), _) in runs.iter().take(tried) {
        let square = direction.left() * way(side);
        // Only what has more room than the best so far is looked at closely.
        if best.is_some_and(|b| !places.has_room(*join, square, b.lead_in.mm() + 1e-3)) {
            continue;
        }
        let start = places.with_room(*join, square, *along);
        if best.is_none_or(|b| start.lead_in > b.lead_in) {
            best = Some(start);
        }
        if start.lead_in >= wanted.lead_in {
            break;
        }
    }
    // Where no hole fits square to the path, it goes to where there is most room.
    let roomy = best.and_then(|b| roomier(path, side, wanted, free, &b));
    let joined = roomy.and_then(|hole| {
        let places = places_by_distance(path, hole);
        let mut near = places.into_iter().take(4 * TRIED);
        near.find(|s| is_free(hole, s.join, path, free))
    });
    joined.or(best)
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
    /// Middle, direction there, and its distance along the path; of a whole circle the place nearest to `towards`.
    fn middle(&self, path: &Contour, towards: Option<Point>) -> (Point, Point, f64) {
        if self.count == path.len()
            && let Some(near) = towards.and_then(|t| path.nearest(t))
            && towards.is_some_and(|t| t.distance(path.bounds().centre()) > 1e-4)
        {
            let s = path.segment(near.segment);
            let before: f64 = path.segments().take(near.segment).map(|s| s.length()).sum();
            return (near.at, s.direction_at(near.along - before), near.along);
        }
        let mut rest = self.length / 2.0;
        let n = path.len();
        let mut s = path.segment(self.first);
        for k in 0..self.count {
            look();
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
        look();
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
                room: Length::from_mm(hole.distance(join)),
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

    fn free_start(loops: &[Contour], side: Side) -> Option<Start> {
        let wanted = StartWanted::free(Length::from_mm(3.0));
        choose_start(loops, side, &wanted, &|_| f64::INFINITY)
    }

    fn square() -> Contour {
        Contour::polygon(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)])
    }

    #[test]
    fn a_square_opening_is_joined_in_the_middle_of_a_side() {
        let path = square();
        let s = free_start(std::slice::from_ref(&path), Side::Inside).unwrap();
        assert!((s.lead_in.mm() - 3.0).abs() < 1e-12);
        assert_eq!(s.join, Point::new(5.0, 0.0));
        assert_eq!(s.hole, Point::new(5.0, 3.0));
        let s = free_start(&[path], Side::Outside).unwrap();
        assert_eq!(s.hole, Point::new(5.0, -3.0));
    }

    #[test]
    fn a_small_hole_is_threaded_where_there_is_room() {
        let path = Contour::circle(Point::ORIGIN, 1.0);
        let s = free_start(&[path], Side::Inside).unwrap();
        assert!((s.lead_in.mm() - 1.0).abs() < 1e-5 && s.hole.norm() < 1e-5);
    }

    #[test]
    fn a_tiny_hole_is_threaded_in_its_middle() {
        // An opening of Ø 1 leaves the wire at 0.219 a path of radius 0.281: less than the shortest lead-in.
        let middle = Point::new(7.0, 4.0);
        let path = Contour::circle(middle, 0.281);
        let lead_in = Length::from_mm(3.0);
        let s = free_start(std::slice::from_ref(&path), Side::Inside).unwrap();
        assert!(s.hole.distance(middle) < 1e-9);
        assert!(
            (s.lead_in.mm() - 0.281).abs() < 1e-9 && (s.join.distance(middle) - 0.281).abs() < 1e-9
        );
        // Beside a place of one's own as well.
        let wanted = StartWanted {
            join: Some(Point::new(7.0, 9.0)),
            ..StartWanted::free(lead_in)
        };
        let s = start_as_wanted(&[path], Side::Inside, &wanted, &|_| f64::INFINITY).unwrap();
        assert!(s.hole.distance(middle) < 1e-9 && s.join.distance(Point::new(7.0, 4.281)) < 1e-9);
        // A slot 0.4 wide: half of that from either long side.
        let slot = Contour::polygon(&[(0.0, 0.0), (9.0, 0.0), (9.0, 0.4), (0.0, 0.4)]);
        let s = free_start(&[slot], Side::Inside).unwrap();
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
        let s = start_as_wanted(&[square()], Side::Inside, &wanted, &|_| f64::INFINITY).unwrap();
        assert_eq!(s.join, Point::new(2.0, 0.0));
        // Two millimetres from the corner no longer lead-in than two has room.
        assert!(s.lead_in.mm() > 1.5 && s.lead_in.mm() <= 2.0 + 1e-2);
        let wanted = StartWanted {
            hole: Some(Point::new(5.0, 5.0)),
            ..wanted
        };
        let s = start_as_wanted(&[square()], Side::Inside, &wanted, &|_| f64::INFINITY).unwrap();
        assert_eq!(
            (s.hole, s.join),
            (Point::new(5.0, 5.0), Point::new(2.0, 0.0))
        );
    }
}
