//! A line or arc made ready to be asked many times how far it is: centre, radius and directions are found once.

use super::point::Point;
use super::segment::Segment;

/// A segment and what its distance from a place is made of.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ready {
    /// The segment itself.
    pub segment: Segment,
    form: Form,
}

#[derive(Debug, Clone, Copy)]
enum Form {
    /// From the start to the end, and one over the square of that.
    Line { along: Point, over: f64 },
    /// Of at most a half turn: centre, radius, and the ways to its ends, that which lies to the right of all first.
    Arc {
        centre: Point,
        radius: f64,
        right: Point,
        left: Point,
    },
    /// Anything else.
    Other,
}

impl Ready {
    /// Of a segment.
    pub fn of(segment: &Segment) -> Self {
        let form = match segment.centre() {
            None => {
                let along = segment.b - segment.a;
                let squared = along.dot(along);
                let over = if squared > 0.0 { 1.0 / squared } else { 0.0 };
                Form::Line { along, over }
            }
            Some(centre) if segment.bulge.abs() <= 1.0 => {
                let (a, b) = (segment.a - centre, segment.b - centre);
                let (right, left) = if segment.bulge > 0.0 { (a, b) } else { (b, a) };
                let radius = segment.radius();
                Form::Arc {
                    centre,
                    radius,
                    right,
                    left,
                }
            }
            Some(_) => Form::Other,
        };
        Self {
            segment: *segment,
            form,
        }
    }
    /// Distance from a place, mm, as [`Segment::nearest_point`] has it but for rounding.
    pub fn distance(&self, p: Point) -> f64 {
        let s = &self.segment;
        match self.form {
            Form::Line { along, over } => {
                let v = p - s.a;
                let t = (v.dot(along) * over).clamp(0.0, 1.0);
                (v - along * t).norm()
            }
            Form::Arc {
                centre,
                radius,
                right,
                left,
            } => {
                let v = p - centre;
                if right.cross(v) >= 0.0 && v.cross(left) >= 0.0 {
                    (v.norm() - radius).abs()
                } else {
                    p.distance(s.a).min(p.distance(s.b))
                }
            }
            Form::Other => s.nearest_point(p).distance(p),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_far_as_the_nearest_point() {
        for bulge in [0.0, 1e-3, -0.02, 0.4, -0.9, 1.0, -1.0, 2.0] {
            let s = Segment::new(Point::new(1.0, 2.0), Point::new(4.0, 6.5), bulge);
            let ready = Ready::of(&s);
            let around = (-40..=40).flat_map(|x| (-40..=40).map(move |y| (x, y)));
            for (x, y) in around {
                let p = Point::new(0.31 * f64::from(x), 0.29 * f64::from(y));
                let found = s.nearest(p).0.distance(p);
                assert!((found - ready.distance(p)).abs() < 1e-12, "{bulge} {p:?}");
            }
        }
        let no_length = Segment::line(Point::new(1.0, 1.0), Point::new(1.0, 1.0));
        assert_eq!(Ready::of(&no_length).distance(Point::new(4.0, 5.0)), 5.0);
    }
}
