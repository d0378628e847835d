//! A moved segment, and where two of them meet.

use crate::geometry::point::Point;
use crate::geometry::segment::Segment;

/// Ends of moved neighbours that lie nearer than this are one point, mm: a ten-thousandth of what a machine can place.
const ONE_POINT: f64 = 1e-7;
/// Least share of a radius that has to be left: what is left of it is no arc but a point.
const LEAST_RADIUS: f64 = 1e-6;
/// 1 + cos of a turn back that leaves no common point within reach: within 0.000 045 rad of a half turn.
const TURNS_BACK: f64 = 1e-9;
/// Newton's steps for a common point. Each doubles the digits, so six are enough where it converges at all.
const MOST_STEPS: usize = 20;
/// Two moved curves have met when they are this near, mm: a hundredth of the rounding that distances are allowed.
const MET: f64 = 1e-11;
/// Sine of the angle between two curves that run beside each other and meet nowhere, or all along.
const PARALLEL: f64 = 1e-12;
/// Circles whose centres are nearer than this are about one point, mm.
const ONE_CENTRE: f64 = 1e-9;

/// Chord of a moved segment, mm; negative where its radius is used up.
pub(super) fn moved_chord(s: &Segment, distance: f64) -> f64 {
    let chord = (s.b - s.a).norm();
    chord - 4.0 * s.bulge * distance / (1.0 + s.bulge * s.bulge)
}

/// A segment with its directions, once worked out; or a vertex that the wire goes around, as a segment without length.
#[derive(Clone, Copy)]
pub(super) struct DirectedSegment {
    of: Segment,
    /// Of the drawn segment, or of the wire's arc around the vertex, mm.
    pub(super) length: f64,
    curvature: f64,
    start: Point,
    end: Point,
    is_vertex: bool,
}

impl DirectedSegment {
    /// `None` where it has no length, or where its radius would shrink to nothing.
    pub(super) fn of(s: Segment, distance: f64) -> Option<Self> {
        let chord = s.b - s.a;
        let c = chord.dot(chord).sqrt();
        if c <= 0.0 {
            return None;
        }
        let along = chord * (1.0 / c);
        if s.is_straight() {
            return Some(Self {
                of: s,
                length: c,
                curvature: 0.0,
                start: along,
                end: along,
                is_vertex: false,
            });
        }
        let (b, whole) = (s.bulge, 1.0 + s.bulge * s.bulge);
        let curvature = 4.0 * b / (c * whole);
        if 1.0 - curvature * distance < LEAST_RADIUS {
            return None;
        }
        let (cos, sin) = ((1.0 - b * b) / whole, 2.0 * b / whole);
        Some(Self {
            of: s,
            length: s.sweep() / curvature,
            curvature,
            start: along * cos - along.left() * sin,
            end: along * cos + along.left() * sin,
            is_vertex: false,
        })
    }

    /// A vertex between two directions of the contour; `None` where the wire goes around none.
    pub(super) fn of_vertex(at: Point, start: Point, end: Point, distance: f64) -> Option<Self> {
        let turn = start.turn_to(end);
        let length = -turn * distance;
        (start.cross(end) * distance <= -ONE_POINT && length > 0.0).then(|| Self {
            of: Segment {
                a: at,
                b: at,
                bulge: 0.0,
            },
            length,
            curvature: -1.0 / distance,
            start,
            end,
            is_vertex: true,
        })
    }

    /// Length once moved, before any cut.
    pub(super) fn moved_length(&self, distance: f64) -> f64 {
        if self.is_vertex {
            return self.length;
        }
        self.length * (1.0 - self.curvature * distance)
    }

    /// Moved point and direction at a distance forwards from the start, or (negative) back from the end.
    fn moved_at(&self, along: f64, distance: f64) -> (Point, Point) {
        let (at, way) = if along >= 0.0 {
            (self.of.a, self.start)
        } else {
            (self.of.b, self.end)
        };
        if self.curvature == 0.0 {
            return (at + way * along + way.left() * distance, way);
        }
        let (sin, cos) = (self.curvature * along).sin_cos();
        let there = way * cos + way.left() * sin;
        let radius = 1.0 / self.curvature;
        let centre = at + way.left() * radius;
        (centre - there.left() * (radius - distance), there)
    }

    /// Centre and signed radius of a moved arc.
    fn moved_circle(&self, distance: f64) -> Option<(Point, f64)> {
        if self.is_vertex {
            return Some((self.of.a, -distance));
        }
        (self.curvature != 0.0).then(|| {
            let radius = 1.0 / self.curvature;
            (self.of.a + self.start.left() * radius, radius - distance)
        })
    }

    /// How far along the segment the foot of a point of its moved curve lies.
    fn along(&self, x: Point) -> f64 {
        if self.curvature == 0.0 {
            return (x - self.of.a).dot(self.start);
        }
        let radius = 1.0 / self.curvature;
        if self.is_vertex {
            return (self.start.left() * -radius).turn_to(x - self.of.a) * radius;
        }
        let centre = self.of.a + self.start.left() * radius;
        (self.of.a - centre).turn_to(x - centre) * radius
    }
}

/// Whether two sides meet.
#[derive(Clone, Copy)]
pub(super) enum Meeting {
    /// They do.
    At(Joint),
    /// The second one's curve runs into the first one's before the latter begins.
    FirstUsedUp,
    /// The first one's curve runs into the second one's beyond its end.
    SecondUsedUp,
    /// They do not.
    Nowhere,
}

/// What becomes of two sides where they meet.
#[derive(Clone, Copy)]
pub(super) struct Joint {
    /// Where the first one's moved curve ends.
    pub(super) end: Point,
    /// Where the second one's begins.
    pub(super) start: Point,
    /// Bulge of the arc between the two; 0 where they are one point.
    pub(super) arc: f64,
    /// Length that is cut off the first and the second, measured on the contour.
    pub(super) cut: (f64, f64),
    /// Whether the cut is another than that of two straight neighbours.
    pub(super) bends: bool,
}

impl Joint {
    /// In place of one that is not known yet.
    pub(super) const NONE: Self = Self {
        end: Point::ORIGIN,
        start: Point::ORIGIN,
        arc: 0.0,
        cut: (0.0, 0.0),
        bends: false,
    };

    /// Of two sides in a row; `neighbours` where nothing lies between them.
    pub(super) fn between(
        p: &DirectedSegment,
        q: &DirectedSegment,
        distance: f64,
        neighbours: bool,
    ) -> Meeting {
        if neighbours {
            Self::of_neighbours(p, q, distance)
        } else {
            common_point(p, q, distance)
        }
    }

    fn of_neighbours(p: &DirectedSegment, q: &DirectedSegment, distance: f64) -> Meeting {
        let (sin, cos) = (p.end.cross(q.start), p.end.dot(q.start));
        let (end, start) = (
            p.of.b + p.end.left() * distance,
            q.of.a + q.start.left() * distance,
        );
        if p.is_vertex || q.is_vertex {
            return Meeting::At(Self {
                end: start,
                start,
                ..Self::NONE
            });
        }
        if (sin * distance).abs() < ONE_POINT && cos > 0.0 {
            let one = (end + start) * 0.5;
            return Meeting::At(Self {
                end: one,
                start: one,
                ..Self::NONE
            });
        }
        if 1.0 + cos < TURNS_BACK {
            return Meeting::Nowhere;
        }
        // tan of half the turn.
        let half = sin / (1.0 + cos);
        if sin * distance < 0.0 {
            return Meeting::At(Self {
                end,
                start,
                arc: half / (1.0 + (1.0 + half * half).sqrt()),
                ..Self::NONE
            });
        }
        let cut = half * distance;
        if p.curvature == 0.0 && q.curvature == 0.0 {
            if cut >= q.length {
                return Meeting::SecondUsedUp;
            }
            let at = q.of.a + (p.end + q.start).left() * (distance / (1.0 + cos));
            return Meeting::At(Self {
                end: at,
                start: at,
                cut: (cut, cut),
                ..Self::NONE
            });
        }
        near_point(p, q, distance, cut).map_or_else(|| common_point(p, q, distance), Meeting::At)
    }

    fn cut_at(at: Point, cut: (f64, f64)) -> Self {
        Self {
            end: at,
            start: at,
            arc: 0.0,
            cut,
            bends: true,
        }
    }
}

/// Where two moved neighbours meet, by Newton's method from where straight ones would.
fn near_point(
    p: &DirectedSegment,
    q: &DirectedSegment,
    distance: f64,
    guess: f64,
) -> Option<Joint> {
    let (mut u, mut w) = (guess, guess);
    for _ in 0..MOST_STEPS {
        if !(0.0 < u && u < p.length && 0.0 < w && w < q.length) {
            return None;
        }
        let (a, back) = p.moved_at(-u, distance);
        let (b, on) = q.moved_at(w, distance);
        let apart = b - a;
        if apart.norm() < MET {
            return Some(Joint::cut_at((a + b) * 0.5, (u, w)));
        }
        let across = back.cross(on);
        if across.abs() < PARALLEL {
            return None;
        }
        // The first goes back along `back`, the second on along `on`, each by its own scale.
        u -= apart.cross(on) / across / (1.0 - p.curvature * distance);
        w -= back.cross(apart) / across / (1.0 - q.curvature * distance);
    }
    None
}

/// Where two moved curves meet on both their lengths; of two such points the one that leaves more.
fn common_point(p: &DirectedSegment, q: &DirectedSegment, distance: f64) -> Meeting {
    let line = |s: &DirectedSegment| (s.of.a + s.start.left() * distance, s.start);
    let points = match (p.moved_circle(distance), q.moved_circle(distance)) {
        (None, None) => {
            let ((a, u), (b, w)) = (line(p), line(q));
            let across = u.cross(w);
            let at = (across.abs() > PARALLEL).then(|| a + u * ((b - a).cross(w) / across));
            [at, None]
        }
        (None, Some(circle)) => line_and_circle(line(p), circle),
        (Some(circle), None) => line_and_circle(line(q), circle),
        (Some(a), Some(b)) => two_circles(a, b),
    };
    let mut best: Option<Joint> = None;
    let mut otherwise = Meeting::Nowhere;
    for x in points.into_iter().flatten() {
        let (u, w) = (p.along(x), q.along(x));
        let (on_p, on_q) = (0.0 < u && u < p.length, 0.0 < w && w < q.length);
        if on_p && on_q {
            let cut = (p.length - u, w);
            if best.is_none_or(|b| cut.0 + cut.1 < b.cut.0 + b.cut.1) {
                best = Some(Joint::cut_at(x, cut));
            }
        } else if on_p && w >= q.length {
            otherwise = Meeting::SecondUsedUp;
        } else if u <= 0.0 {
            otherwise = Meeting::FirstUsedUp;
        }
    }
    best.map_or(otherwise, Meeting::At)
}

fn line_and_circle((a, u): (Point, Point), (c, r): (Point, f64)) -> [Option<Point>; 2] {
    let foot = a + u * (c - a).dot(u);
    let beside = c - foot;
    let half = r * r - beside.dot(beside);
    if half < 0.0 {
        return [None, None];
    }
    let half = half.sqrt();
    [Some(foot - u * half), Some(foot + u * half)]
}

fn two_circles((a, r): (Point, f64), (b, s): (Point, f64)) -> [Option<Point>; 2] {
    let between = b - a;
    let d2 = between.dot(between);
    if d2 < ONE_CENTRE * ONE_CENTRE {
        return [None, None];
    }
    let share = 0.5 + (r * r - s * s) / (2.0 * d2);
    let height = r * r / d2 - share * share;
    if height < 0.0 {
        return [None, None];
    }
    let (foot, up) = (a + between * share, between.left() * height.sqrt());
    [Some(foot - up), Some(foot + up)]
}
