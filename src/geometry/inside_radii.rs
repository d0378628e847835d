//! Inside corners rounded: every corner and arc towards the wire gets at least a radius, where there is room for it.
//!
//! A ball of that radius is laid in the corner, where it touches the line before and the line after and cuts into no other:
//! its centre is where the parallels of both, a radius away, meet. Between the two places that it touches the contour
//! becomes an arc of the ball. Exact for lines and arcs.

use super::{Contour, Point, Segment};
use std::f64::consts::{PI, TAU};

/// A corner is left where rounding it would move it by less, mm: nobody measures that.
const UNSEEN: f64 = 2e-4;
/// Radii smaller by less than this share are as large.
const AS_LARGE: f64 = 1e-6;
/// How far the ball may cut into a line, as a share of its radius: rounding.
const ROUNDING: f64 = 1e-7;
/// Segments on either side that may give way to the ball, and how far away from the corner they may be, radii.
const MOST_SEGMENTS: usize = 24;
const FARTHEST: f64 = 8.0;
/// Corners of one contour that are looked at.
const MOST_CORNERS: usize = 20_000;

/// A contour with its inside corners rounded.
#[derive(Debug, Clone, PartialEq)]
pub struct Rounded {
    /// The contour; it runs as the one before.
    pub contour: Contour,
    /// Where it was rounded, mm.
    pub places: Vec<Point>,
    /// Where there is no room for the radius, mm: it stays as it is there.
    pub no_room: Vec<Point>,
}

/// Rounds the corners that turn towards the wire, which runs on the left or on the right of the contour. `radius` in mm.
pub fn with_inside_radii(contour: &Contour, wire_left: bool, radius: f64) -> Rounded {
    let way = if wire_left {
        contour.clone()
    } else {
        contour.reversed()
    };
    let mut segments: Vec<Segment> = way.segments().filter(|s| s.chord() > 0.0).collect();
    let (mut places, mut no_room) = (Vec::new(), Vec::<Point>::new());
    if radius > 0.0 && radius.is_finite() {
        for _ in 0..MOST_CORNERS {
            let Some(run) = next_tight(&segments, radius, &no_room) else {
                break;
            };
            match laid_in(&segments, &run, radius) {
                Some(ball) => {
                    places.push(run.at);
                    segments = with_ball(&segments, &ball);
                }
                None => no_room.push(run.at),
            }
        }
    }
    let rounded = Contour::from_segments(&segments);
    Rounded {
        contour: if places.is_empty() {
            contour.clone()
        } else if wire_left {
            rounded
        } else {
            rounded.reversed()
        },
        places,
        no_room,
    }
}

/// A corner, or arcs in a row, tighter than the radius.
struct Run {
    /// The segment before and the one after.
    before: usize,
    after: usize,
    at: Point,
}

fn is_tight(s: &Segment, radius: f64) -> bool {
    s.sweep() > 0.0 && s.radius() < radius * (1.0 - AS_LARGE)
}

/// Whether the way turns left between two segments so sharply that a radius there would be seen.
fn is_corner(a: &Segment, b: &Segment, radius: f64) -> bool {
    let turn = a.directions().1.turn_to(b.directions().0);
    turn > 0.0 && radius * (1.0 / (0.5 * turn).cos().max(1e-9) - 1.0) > UNSEEN
}

/// The next place that is too tight, unless it is known to have no room.
fn next_tight(segments: &[Segment], radius: f64, no_room: &[Point]) -> Option<Run> {
    let n = segments.len();
    let known = |at: Point| {
        no_room
            .iter()
            .any(|p| p.distance(at) < 1e-9 * (1.0 + at.norm()))
    };
    for k in 0..n {
        let next = (k + 1) % n;
        let (s, t) = (&segments[k], &segments[next]);
        if is_tight(s, radius) {
            // From the first of the arcs in a row on.
            let is_first = !is_tight(&segments[(k + n - 1) % n], radius);
            let mut last = k;
            while is_tight(&segments[(last + 1) % n], radius) && (last + 1) % n != k {
                last = (last + 1) % n;
            }
            let all = (last + 1) % n == k && is_tight(&segments[last], radius);
            let at = s.point_at(0.5 * s.length());
            if (is_first || (all && k == 0)) && !known(at) {
                return Some(Run {
                    before: (k + n - 1) % n,
                    after: (last + 1) % n,
                    at,
                });
            }
        } else if !is_tight(t, radius) && is_corner(s, t, radius) && !known(s.b) {
            return Some(Run {
                before: k,
                after: next,
                at: s.b,
            });
        }
    }
    None
}

/// Where the ball lies: what it touches, and how far along.
struct Ball {
    before: usize,
    after: usize,
    /// Where the segment before ends now, and the one after begins, mm along each.
    end: f64,
    begin: f64,
    arc: Vec<Segment>,
}

/// The nearest place around a corner where the ball touches both sides.
fn laid_in(segments: &[Segment], run: &Run, radius: f64) -> Option<Ball> {
    let n = segments.len();
    let inner = (run.after + n - run.before) % n;
    if inner == 0 {
        return None;
    }
    // How many segments on either side give way, fewest first.
    let far = |s: &Segment| s.a.distance(run.at).min(s.b.distance(run.at)) > FARTHEST * radius;
    let reach = |step: &dyn Fn(usize) -> usize| {
        let most = MOST_SEGMENTS.min(n.saturating_sub(inner + 1));
        (0..=most)
            .take_while(|k| *k == 0 || !far(&segments[step(*k)]))
            .count()
    };
    let back = |k: usize| (run.before + n - k % n) % n;
    let on = |k: usize| (run.after + k) % n;
    let (most_back, most_on) = (reach(&back), reach(&on));
    let mut ways: Vec<(usize, usize)> = (0..most_back)
        .flat_map(|a| (0..most_on).map(move |b| (a, b)))
        .filter(|(a, b)| inner + a + b < n)
        .collect();
    ways.sort_by_key(|(a, b)| (a + b, a.abs_diff(*b)));
    ways.into_iter()
        .find_map(|(a, b)| touching(segments, (back(a), on(b)), radius))
}

/// The ball that touches two segments from the left and cuts into none.
fn touching(segments: &[Segment], (before, after): (usize, usize), radius: f64) -> Option<Ball> {
    let (s, t) = (&segments[before], &segments[after]);
    let slack = ROUNDING * radius;
    let mut best: Option<Ball> = None;
    for centre in meeting(&Parallel::of(s, radius)?, &Parallel::of(t, radius)?) {
        let ((p, end), (q, begin)) = (s.nearest(centre), t.nearest(centre));
        let touches = |p: Point| (p.distance(centre) - radius).abs() <= slack + 1e-9;
        if !touches(p) || !touches(q) {
            continue;
        }
        let cuts = |u: &Segment| u.nearest_point(centre).distance(centre) < radius - slack - 1e-9;
        if segments.iter().any(cuts) {
            continue;
        }
        // From one to the other to the left, around the centre.
        let sweep = (p - centre).turn_to(q - centre).rem_euclid(TAU);
        if !(1e-9..TAU - 1e-9).contains(&sweep) {
            continue;
        }
        let arc = if sweep < PI {
            vec![Segment::new(p, q, (0.25 * sweep).tan())]
        } else {
            let half = Segment::arc(centre, radius, (p - centre).angle(), sweep);
            let middle = half.first()?.b;
            let bulge = (0.125 * sweep).tan();
            vec![
                Segment::new(p, middle, bulge),
                Segment::new(middle, q, bulge),
            ]
        };
        if best
            .as_ref()
            .is_none_or(|b| end + (t.length() - begin) > b.end + (t.length() - b.begin))
        {
            best = Some(Ball {
                before,
                after,
                end,
                begin,
                arc,
            });
        }
    }
    best
}

/// The line of all centres from which a ball touches a segment from its left.
enum Parallel {
    Line { at: Point, along: Point },
    Circle { centre: Point, radius: f64 },
}

impl Parallel {
    fn of(s: &Segment, radius: f64) -> Option<Self> {
        let Some(centre) = s.centre() else {
            let along = (s.b - s.a).unit();
            let at = s.a + along.left() * radius;
            return Some(Self::Line { at, along });
        };
        // Inside an arc that turns left the ball has less room, outside one that turns right more.
        let r = if s.bulge > 0.0 {
            s.radius() - radius
        } else {
            s.radius() + radius
        };
        (r > 0.0).then_some(Self::Circle { centre, radius: r })
    }
}

/// Where two of them meet.
fn meeting(a: &Parallel, b: &Parallel) -> Vec<Point> {
    match (a, b) {
        (Parallel::Line { at: p, along: d }, Parallel::Line { at: q, along: e }) => {
            let across = d.cross(*e);
            if across.abs() < 1e-12 {
                return Vec::new();
            }
            vec![*p + *d * ((*q - *p).cross(*e) / across)]
        }
        (Parallel::Line { at, along }, Parallel::Circle { centre, radius })
        | (Parallel::Circle { centre, radius }, Parallel::Line { at, along }) => {
            let foot = *at + *along * (*centre - *at).dot(*along);
            let rest = radius * radius - foot.distance(*centre).powi(2);
            if rest < 0.0 {
                return Vec::new();
            }
            let half = *along * rest.sqrt();
            vec![foot - half, foot + half]
        }
        (
            Parallel::Circle {
                centre: p,
                radius: r,
            },
            Parallel::Circle {
                centre: q,
                radius: s,
            },
        ) => {
            let way = *q - *p;
            let d = way.norm();
            if d < 1e-12 {
                return Vec::new();
            }
            let along = (d * d + r * r - s * s) / (2.0 * d);
            let rest = r * r - along * along;
            if rest < 0.0 {
                return Vec::new();
            }
            let (foot, half) = (*p + way.unit() * along, way.unit().left() * rest.sqrt());
            vec![foot - half, foot + half]
        }
    }
}

/// The contour with the ball's arc in place of all between what it touches.
fn with_ball(segments: &[Segment], ball: &Ball) -> Vec<Segment> {
    const NOTHING: f64 = 1e-9;
    let n = segments.len();
    let (first, last) = (&segments[ball.before], &segments[ball.after]);
    let mut out = Vec::with_capacity(n + 2);
    if ball.end > NOTHING {
        out.push(first.part(0.0, ball.end));
    }
    out.extend(ball.arc.iter().copied());
    if last.length() - ball.begin > NOTHING {
        out.push(last.part(ball.begin, last.length()));
    }
    let mut k = (ball.after + 1) % n;
    while k != ball.before && k != ball.after {
        out.push(segments[k]);
        k = (k + 1) % n;
    }
    // Each begins exactly where the one before ends.
    let count = out.len();
    for k in 0..count {
        let end = out[k].b;
        let next = &mut out[(k + 1) % count];
        *next = Segment::new(end, next.b, next.bulge);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::FRAC_PI_2;

    fn square(a: f64) -> Contour {
        Contour::polygon(&[(0.0, 0.0), (a, 0.0), (a, a), (0.0, a)])
    }

    /// What the fillet of a corner takes away: two tangents of r/tan(α/2) and the sector of π − α between them, for the
    /// inner angle α. A right angle gives r²·(1 − π/4).
    fn fillet_area(angle: f64, r: f64) -> f64 {
        r * r * (1.0 / (0.5 * angle).tan() - 0.5 * (PI - angle))
    }

    #[test]
    fn square_corners_lose_a_quarter_of_what_lies_between_square_and_circle() {
        let r = 0.7;
        assert!((fillet_area(FRAC_PI_2, r) - r * r * (1.0 - PI / 4.0)).abs() < 1e-15);
        let found = with_inside_radii(&square(10.0), true, r);
        assert_eq!((found.places.len(), found.no_room.len()), (4, 0));
        let lost = 100.0 - found.contour.signed_area();
        assert!((lost - 4.0 * fillet_area(FRAC_PI_2, r)).abs() < 1e-12);
        let length = 40.0 - 8.0 * r + TAU * r;
        assert!((found.contour.length() - length).abs() < 1e-12);
        // Around a part the same corners are outside ones.
        let part = with_inside_radii(&square(10.0), false, r);
        assert_eq!(part.contour, square(10.0));
        assert!(part.places.is_empty() && part.no_room.is_empty());
    }

    #[test]
    fn the_inside_corner_of_a_bracket_gains_what_its_fillet_fills() {
        let bracket = Contour::polygon(&[
            (0.0, 0.0),
            (20.0, 0.0),
            (20.0, 5.0),
            (5.0, 5.0),
            (5.0, 20.0),
            (0.0, 20.0),
        ]);
        let found = with_inside_radii(&bracket, false, 1.5);
        assert_eq!(found.places, [Point::new(5.0, 5.0)]);
        let gained = found.contour.signed_area() - bracket.signed_area();
        assert!((gained - fillet_area(FRAC_PI_2, 1.5)).abs() < 1e-12);
    }

    #[test]
    fn regular_polygons_of_any_angle() {
        for n in 3..12_u32 {
            let corner = |k: u32| Point::at_angle(TAU * f64::from(k) / f64::from(n)) * 10.0;
            let corners: Vec<(f64, f64)> = (0..n).map(|k| (corner(k).x, corner(k).y)).collect();
            let polygon = Contour::polygon(&corners);
            let r = 0.4;
            let found = with_inside_radii(&polygon, true, r);
            assert_eq!(found.places.len(), n as usize);
            let angle = PI - TAU / f64::from(n);
            let lost = polygon.area() - found.contour.area();
            assert!(
                (lost - f64::from(n) * fillet_area(angle, r)).abs() < 1e-11,
                "{n}"
            );
        }
    }

    #[test]
    fn arcs_that_are_too_small_become_larger_and_those_large_enough_stay() {
        let small = with_inside_radii(&square(10.0), true, 0.2).contour;
        let larger = with_inside_radii(&small, true, 0.5);
        assert_eq!(larger.places.len(), 4);
        let at_once = with_inside_radii(&square(10.0), true, 0.5).contour;
        assert!((larger.contour.area() - at_once.area()).abs() < 1e-9);
        assert!((larger.contour.length() - at_once.length()).abs() < 1e-9);
        let again = with_inside_radii(&larger.contour, true, 0.5);
        assert!(again.places.is_empty() && again.no_room.is_empty());
        let less = with_inside_radii(&larger.contour, true, 0.3);
        assert_eq!(less.contour, larger.contour);
    }

    #[test]
    fn between_a_line_and_an_arc_the_fillet_touches_both() {
        // Half a disc of radius 10: in both corners a chord meets the arc at a right angle.
        let half = Contour::new(vec![
            crate::geometry::Vertex {
                at: Point::new(-10.0, 0.0),
                bulge: 0.0,
            },
            crate::geometry::Vertex {
                at: Point::new(10.0, 0.0),
                bulge: 1.0,
            },
        ]);
        let r = 1.0;
        let found = with_inside_radii(&half, true, r);
        assert_eq!(found.places.len(), 2);
        // The ball's centre lies r above the chord and 10 − r from the middle.
        let x = ((10.0 - r) * (10.0 - r) - r * r).sqrt();
        let arcs: Vec<Segment> = found
            .contour
            .segments()
            .filter(|s| !s.is_straight() && (s.radius() - r).abs() < 1e-9)
            .collect();
        assert_eq!(arcs.len(), 2);
        for a in arcs {
            let c = a.centre().expect("it is an arc");
            assert!((c.x.abs() - x).abs() < 1e-9 && (c.y - r).abs() < 1e-9);
        }
        // Where one segment ends the next goes on in the same direction.
        let all: Vec<Segment> = found.contour.segments().collect();
        for (k, s) in all.iter().enumerate() {
            let next = &all[(k + 1) % all.len()];
            assert!(s.end_direction().turn_to(next.start_direction()).abs() < 1e-6);
        }
    }

    #[test]
    fn what_has_no_room_stays_and_is_told() {
        let slot = Contour::polygon(&[(0.0, 0.0), (10.0, 0.0), (10.0, 1.0), (0.0, 1.0)]);
        let found = with_inside_radii(&slot, true, 0.6);
        assert_eq!(found.contour, slot);
        assert_eq!(found.no_room.len(), 4);
        // A radius that just fits makes a slot with round ends.
        let round = with_inside_radii(&slot, true, 0.5);
        assert!((round.contour.area() - (9.0 + PI / 4.0)).abs() < 1e-9);
        // A hole is too small or it is not.
        let hole = Contour::circle(Point::new(3.0, 4.0), 0.5);
        assert_eq!(with_inside_radii(&hole, true, 0.6).no_room.len(), 1);
        assert!(with_inside_radii(&hole, true, 0.4).no_room.is_empty());
        assert_eq!(with_inside_radii(&hole, true, 0.6).contour, hole);
    }

    #[test]
    fn chords_around_a_corner_give_way_together() {
        // A square corner that was exported as two cuts of 0.1 mm.
        let cut = Contour::polygon(&[
            (0.1, 0.0),
            (10.0, 0.0),
            (10.0, 10.0),
            (0.0, 10.0),
            (0.0, 0.1),
        ]);
        let found = with_inside_radii(&cut, true, 1.0);
        assert!(found.no_room.is_empty());
        let whole = with_inside_radii(&square(10.0), true, 1.0).contour;
        assert!((found.contour.area() - whole.area()).abs() < 1e-9);
    }
}
