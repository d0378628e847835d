//! One line or circular arc, the only two curves that a wire machine knows.

use super::point::{Bounds, Point};
use std::f64::consts::{FRAC_PI_2, TAU};

/// Below this bulge a segment counts as straight: its sagitta is then under 1e-9 of its chord.
const STRAIGHT_BULGE: f64 = 1e-9;
/// A sweep this near to a full turn is one, radians: about a thousand times what one angle is rounded by, for angles that
/// have been added up, and a nanometre on a radius of a kilometre.
const FULL_TURN_ROUNDING: f64 = 1e-12;
/// Below this sweep, radians, θ − sin θ has lost five of its sixteen digits; the next term of the series that takes its
/// place is there θ⁶/60 480 of the first, below rounding.
const SMALL_SWEEP: f64 = 1e-2;
/// Up to this bulge atan is taken from its series, to the term t⁹/9: the next one is below rounding.
const SHORT_ARC_BULGE: f64 = 0.02;
/// Ends this share of the radius off an axis through the centre are so beyond the rounding of angle and centre.
const OFF_AN_AXIS: f64 = 1e-6;
/// Finest step of an arc that is flattened, radians: 63 000 chords to a full turn, so that a sagitta near zero makes no
/// list without end.
const FINEST_STEP: f64 = 1e-4;

/// A line or an arc of at most a half turn, as chord and bulge.
///
/// `bulge = tan(sweep / 4)`, positive where the arc turns left (counter-clockwise), as in the DXF
/// reference's LWPOLYLINE, group code 42. Keeping |bulge| ≤ 1 makes every sweep unambiguous.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Segment {
    /// Start, mm.
    pub a: Point,
    /// End, mm.
    pub b: Point,
    /// Tangent of a quarter of the sweep; 0 for a line.
    pub bulge: f64,
}

impl Segment {
    /// A straight line.
    pub const fn line(a: Point, b: Point) -> Self {
        Self { a, b, bulge: 0.0 }
    }
    /// A line or arc from its ends and bulge.
    pub const fn new(a: Point, b: Point, bulge: f64) -> Self {
        Self { a, b, bulge }
    }
    /// An arc about a centre, cut into equal pieces of at most a half turn each.
    ///
    /// `start` and `sweep` in radians, sweep signed (left positive) and within a full turn.
    pub fn arc(centre: Point, radius: f64, start: f64, sweep: f64) -> Vec<Self> {
        let pieces = if sweep.abs() > std::f64::consts::PI {
            2
        } else {
            1
        };
        let step = sweep / f64::from(pieces);
        let bulge = (step / 4.0).tan();
        let full = (sweep.abs() - TAU).abs() < FULL_TURN_ROUNDING;
        let at = |k: i32| {
            if full && k == pieces {
                centre + Point::at_angle(start) * radius
            } else {
                centre + Point::at_angle(start + step * f64::from(k)) * radius
            }
        };
        (0..pieces)
            .map(|k| Self::new(at(k), at(k + 1), bulge))
            .collect()
    }
    /// Whether this is a line for all purposes.
    pub fn is_straight(&self) -> bool {
        self.bulge.abs() < STRAIGHT_BULGE
    }
    /// Distance between the ends, mm.
    pub fn chord(&self) -> f64 {
        self.a.distance(self.b)
    }
    /// Signed angle of the arc, radians; 0 for a line.
    pub fn sweep(&self) -> f64 {
        if self.is_straight() {
            0.0
        } else {
            4.0 * arc_tangent(self.bulge)
        }
    }
    /// Unit directions at the start and the end; both zero where the ends are one point.
    pub fn directions(&self) -> (Point, Point) {
        let along = (self.b - self.a).unit();
        if self.is_straight() {
            return (along, along);
        }
        // cos and sin of half the sweep.
        let whole = 1.0 + self.bulge * self.bulge;
        let (cos, sin) = ((2.0 - whole) / whole, 2.0 * self.bulge / whole);
        let across = along.left() * sin;
        (along * cos - across, along * cos + across)
    }
    /// Radius, mm; infinite for a line.
    pub fn radius(&self) -> f64 {
        if self.is_straight() {
            f64::INFINITY
        } else {
            self.chord() * (1.0 + self.bulge * self.bulge) / (4.0 * self.bulge.abs())
        }
    }
    /// Signed curvature, 1/mm, left positive.
    pub fn curvature(&self) -> f64 {
        if self.is_straight() {
            0.0
        } else {
            self.bulge.signum() / self.radius()
        }
    }
    /// Length along the curve, mm.
    pub fn length(&self) -> f64 {
        if self.is_straight() {
            self.chord()
        } else {
            self.radius() * self.sweep().abs()
        }
    }
    /// Centre of an arc; `None` for a line.
    pub fn centre(&self) -> Option<Point> {
        if self.is_straight() {
            return None;
        }
        let chord = self.b - self.a;
        let h = (1.0 - self.bulge * self.bulge) / (4.0 * self.bulge);
        Some((self.a + self.b) * 0.5 + chord.left() * h)
    }
    /// Area between the arc and its chord, mm², positive to the right of a left turn.
    ///
    /// ½·r²·(θ − sin θ), signed with the sweep: added to the shoelace sum of the ends it gives the
    /// exact area of a closed chain.
    pub fn area_beyond_chord(&self) -> f64 {
        if self.is_straight() {
            return 0.0;
        }
        let (r, t) = (self.radius(), self.sweep());
        let d = if t.abs() < SMALL_SWEEP {
            let t2 = t * t;
            t * t2 / 6.0 * (1.0 - t2 / 20.0 * (1.0 - t2 / 42.0))
        } else {
            t - t.sin()
        };
        0.5 * r * r * d
    }
    /// The point at a distance along the curve from its start, mm.
    pub fn point_at(&self, along: f64) -> Point {
        let length = self.length();
        let f = if length > 0.0 { along / length } else { 0.0 };
        match self.centre() {
            None => self.a.lerp(self.b, f),
            Some(c) => {
                if f <= 0.0 {
                    return self.a;
                }
                if f >= 1.0 {
                    return self.b;
                }
                let v = self.a - c;
                let (s, k) = (self.sweep() * f).sin_cos();
                c + Point::new(v.x * k - v.y * s, v.x * s + v.y * k)
            }
        }
    }
    /// Unit direction of travel at a distance along the curve, mm.
    pub fn direction_at(&self, along: f64) -> Point {
        let chord = (self.b - self.a).unit();
        if self.is_straight() {
            return chord;
        }
        let f = along / self.length();
        // The chord's direction is that of the arc's middle.
        let (s, k) = (self.sweep() * (f - 0.5)).sin_cos();
        Point::new(chord.x * k - chord.y * s, chord.x * s + chord.y * k)
    }
    /// Unit direction at the start.
    pub fn start_direction(&self) -> Point {
        self.direction_at(0.0)
    }
    /// Unit direction at the end.
    pub fn end_direction(&self) -> Point {
        self.direction_at(self.length())
    }
    /// The same curve the other way.
    #[must_use]
    pub fn reversed(&self) -> Self {
        Self::new(self.b, self.a, -self.bulge)
    }
    /// The part between two distances along the curve, mm.
    #[must_use]
    pub fn part(&self, from: f64, to: f64) -> Self {
        let (a, b) = (self.point_at(from), self.point_at(to));
        if self.is_straight() {
            // One without length too.
            return Self::line(a, b);
        }
        let share = (to - from) / self.length();
        Self::new(a, b, (self.sweep() * share / 4.0).tan())
    }
    /// Upright box around the curve.
    pub fn bounds(&self) -> Bounds {
        let mut b = Bounds::EMPTY;
        b.include(self.a);
        b.include(self.b);
        if let Some(c) = self.centre() {
            let r = self.radius();
            if self.stays_in_a_quadrant(c, r) {
                return b;
            }
            let start = (self.a - c).angle();
            let sweep = self.sweep();
            let (lo, hi) = (start.min(start + sweep), start.max(start + sweep));
            let mut k = (lo / FRAC_PI_2).ceil();
            while k * FRAC_PI_2 <= hi {
                b.include(c + Point::at_angle(k * FRAC_PI_2) * r);
                k += 1.0;
            }
        }
        b
    }
    /// Whether an arc comes to no place that is straight above, below or beside its centre, by more than rounding: of at
    /// most a half turn, it has both ends in one quadrant then. Most arcs do, and need no angle for their box.
    fn stays_in_a_quadrant(&self, centre: Point, radius: f64) -> bool {
        let (v, w) = (self.a - centre, self.b - centre);
        let clear = OFF_AN_AXIS * radius;
        let one_side = |p: f64, q: f64| p > clear && q > clear || p < -clear && q < -clear;
        self.bulge.abs() <= 1.0 && one_side(v.x, w.x) && one_side(v.y, w.y)
    }
    /// The nearest point of the curve to `p`, and its distance along the curve.
    pub fn nearest(&self, p: Point) -> (Point, f64) {
        match self.centre() {
            None => {
                let d = self.b - self.a;
                let l2 = d.dot(d);
                let t = if l2 > 0.0 {
                    ((p - self.a).dot(d) / l2).clamp(0.0, 1.0)
                } else {
                    0.0
                };
                (self.a.lerp(self.b, t), t * l2.sqrt())
            }
            Some(c) => {
                let v = p - c;
                let r = self.radius();
                let sweep = self.sweep();
                // Angle from the start, measured the way the arc runs.
                let turned = (self.a - c).turn_to(v) * sweep.signum();
                let turned = if turned < 0.0 { turned + TAU } else { turned };
                if v.norm() > 0.0 && turned <= sweep.abs() {
                    (c + v.unit() * r, turned * r)
                } else if p.distance(self.a) <= p.distance(self.b) {
                    (self.a, 0.0)
                } else {
                    (self.b, self.length())
                }
            }
        }
    }
    /// The nearest point of the curve to `p`, as [`Self::nearest`] finds it, without the angles that the way along takes.
    pub fn nearest_point(&self, p: Point) -> Point {
        let Some(c) = self.centre().filter(|_| self.bulge.abs() <= 1.0) else {
            return self.nearest(p).0;
        };
        let (v, turn) = (p - c, self.bulge.signum());
        // Of at most a half turn: beside the arc lies what is past its start and before its end.
        let past_start = turn * (self.a - c).cross(v) >= 0.0;
        if past_start && turn * v.cross(self.b - c) >= 0.0 && v.norm() > 0.0 {
            c + v.unit() * self.radius()
        } else if p.distance(self.a) <= p.distance(self.b) {
            self.a
        } else {
            self.b
        }
    }
    /// Points of a chain of chords within `sagitta` mm of the curve, without the start point.
    pub fn flatten_into(&self, sagitta: f64, out: &mut Vec<Point>) {
        if !self.is_straight() {
            let r = self.radius();
            let step = 2.0 * (1.0 - (sagitta / r).min(1.0)).acos();
            let n = (self.sweep().abs() / step.max(FINEST_STEP)).ceil().max(1.0) as usize;
            let length = self.length();
            for k in 1..n {
                out.push(self.point_at(length * k as f64 / n as f64));
            }
        }
        out.push(self.b);
    }
}

/// atan, by its series where that is exact to rounding: most arcs of wire paths are short.
fn arc_tangent(t: f64) -> f64 {
    if t.abs() > SHORT_ARC_BULGE {
        return t.atan();
    }
    let q = t * t;
    t * (1.0 - q * (1.0 / 3.0 - q * (0.2 - q * (1.0 / 7.0 - q / 9.0))))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    #[test]
    fn a_quarter_arc_by_hand() {
        let s = Segment::arc(Point::ORIGIN, 2.0, 0.0, PI / 2.0)[0];
        assert!((s.length() - PI).abs() < 1e-12);
        assert!((s.radius() - 2.0).abs() < 1e-12);
        assert!(s.centre().is_some_and(|c| c.norm() < 1e-12));
        // Circular segment: ½·r²·(π/2 − 1).
        assert!((s.area_beyond_chord() - 2.0 * (PI / 2.0 - 1.0)).abs() < 1e-12);
        assert!(
            s.point_at(PI / 2.0)
                .distance(Point::at_angle(PI / 4.0) * 2.0)
                < 1e-12
        );
        assert!((s.start_direction() - Point::new(0.0, 1.0)).norm() < 1e-12);
        assert!((s.end_direction() - Point::new(-1.0, 0.0)).norm() < 1e-12);
        let (q, along) = s.nearest(Point::new(3.0, 3.0));
        assert!(
            q.distance(Point::at_angle(PI / 4.0) * 2.0) < 1e-12 && (along - PI / 2.0).abs() < 1e-12
        );
    }

    #[test]
    fn a_whole_circle_is_two_halves_that_close() {
        let c = Segment::arc(Point::new(5.0, 1.0), 3.0, 0.3, TAU);
        assert_eq!(c.len(), 2);
        assert_eq!(c[0].a, c[1].b);
        let mut b = Bounds::EMPTY;
        c.iter().for_each(|s| b.include_bounds(&s.bounds()));
        assert!((b.size() - Point::new(6.0, 6.0)).norm() < 1e-12);
    }

    /// Around lines, short arcs and half turns, on either side and at the centre.
    #[test]
    fn the_nearest_point_is_that_with_its_way_along() {
        for bulge in [0.0, 1e-3, -0.02, 0.4, -0.9, 1.0, -1.0] {
            let s = Segment::new(Point::new(1.0, 2.0), Point::new(4.0, 6.5), bulge);
            let around = (-40..=40).flat_map(|x| (-40..=40).map(move |y| (x, y)));
            for (x, y) in around {
                let p = Point::new(0.31 * f64::from(x), 0.29 * f64::from(y));
                let (found, quick) = (s.nearest(p).0, s.nearest_point(p));
                let off = (found.distance(p) - quick.distance(p)).abs();
                assert!(off < 1e-12, "{bulge} {p:?}: {found:?} {quick:?}");
            }
            if let Some(c) = s.centre() {
                assert!((s.nearest_point(c).distance(c) - s.radius()).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn directions_at_the_ends_are_those_along() {
        for bulge in [0.0, 1e-3, -0.02, 0.021, 0.4, -1.0] {
            let s = Segment::new(Point::new(1.0, 2.0), Point::new(4.0, 6.5), bulge);
            let (start, end) = s.directions();
            assert!((start - s.start_direction()).norm() < 1e-14);
            assert!((end - s.end_direction()).norm() < 1e-14);
            assert!((s.sweep() - 4.0 * bulge.atan()).abs() <= 4e-16 * bulge.abs());
        }
    }

    #[test]
    fn the_small_angle_series_meets_the_formula() {
        let s = Segment::arc(Point::ORIGIN, 1.0, 0.0, 0.009_99)[0];
        let t: f64 = 0.009_99;
        // Next term of the series, t⁹/9!, is below 1e-22.
        let exact = 0.5 * (t.powi(3) / 6.0 - t.powi(5) / 120.0 + t.powi(7) / 5040.0);
        assert!((s.area_beyond_chord() - exact).abs() < 1e-18);
    }
}
