//! A closed chain of lines and arcs.

use super::point::{Bounds, Point};
use super::segment::Segment;
use cavalier_contours::polyline::{
    PlineCreation, PlineSource, PlineSourceMut, PlineVertex, Polyline,
};
use std::f64::consts::TAU;

/// Arcs are of one circle where centres and radii agree to this share of the radius.
const ONE_CIRCLE: f64 = 1e-9;
/// Once around it they turn by a full turn, radians; what does not misses by half a turn or more.
const AROUND_ONCE: f64 = 1e-6;

/// Start of a segment: where it is and how the segment that leaves it bends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vertex {
    /// Where, mm.
    pub at: Point,
    /// Bulge of the segment to the next vertex; see [`Segment::bulge`].
    pub bulge: f64,
}

/// A closed chain of lines and arcs in mm, the last vertex joined to the first.
///
/// Contours of a [`crate::profile::Profile`] run counter-clockwise whatever their role, so material
/// inside lies to the left. A wire path may run either way; its own code says which.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Contour {
    vertices: Vec<Vertex>,
}

impl Contour {
    /// From vertices in order.
    pub fn new(vertices: Vec<Vertex>) -> Self {
        Self { vertices }
    }
    /// From segments that follow each other; each one's end is taken to be the next one's start.
    pub fn from_segments<'a>(segments: impl IntoIterator<Item = &'a Segment>) -> Self {
        Self::new(
            segments
                .into_iter()
                .map(|s| Vertex {
                    at: s.a,
                    bulge: s.bulge,
                })
                .collect(),
        )
    }
    /// A polygon from its corners.
    pub fn polygon(corners: &[(f64, f64)]) -> Self {
        Self::new(
            corners
                .iter()
                .map(|&(x, y)| Vertex {
                    at: Point::new(x, y),
                    bulge: 0.0,
                })
                .collect(),
        )
    }
    /// A circle, counter-clockwise, as two half turns.
    pub fn circle(centre: Point, radius: f64) -> Self {
        let r = Point::new(radius, 0.0);
        Self::new(vec![
            Vertex {
                at: centre - r,
                bulge: 1.0,
            },
            Vertex {
                at: centre + r,
                bulge: 1.0,
            },
        ])
    }
    /// The vertices in order.
    pub fn vertices(&self) -> &[Vertex] {
        &self.vertices
    }
    /// Number of segments, equal to the number of vertices.
    pub fn len(&self) -> usize {
        self.vertices.len()
    }
    /// Whether there is nothing.
    pub fn is_empty(&self) -> bool {
        self.vertices.is_empty()
    }
    /// The segment that leaves vertex `i`.
    pub fn segment(&self, i: usize) -> Segment {
        let a = self.vertices[i];
        let b = self.vertices[(i + 1) % self.vertices.len()];
        Segment::new(a.at, b.at, a.bulge)
    }
    /// All segments in order.
    pub fn segments(&self) -> impl ExactSizeIterator<Item = Segment> + '_ {
        (0..self.vertices.len()).map(|i| self.segment(i))
    }
    /// Centre and radius, mm, where every segment is an arc of one circle and goes around it once to the left.
    pub fn as_circle(&self) -> Option<(Point, f64)> {
        let first = self.vertices.first().map(|_| self.segment(0))?;
        let (centre, radius) = (first.centre()?, first.radius());
        let rounding = ONE_CIRCLE * radius.max(1.0);
        let turn: f64 = self.segments().map(|s| s.sweep()).sum();
        let same = self.segments().all(|s| {
            s.centre().is_some_and(|o| o.distance(centre) < rounding)
                && (s.radius() - radius).abs() < rounding
        });
        (same && (turn - TAU).abs() < AROUND_ONCE).then_some((centre, radius))
    }
    /// Length around, mm.
    pub fn length(&self) -> f64 {
        self.segments().map(|s| s.length()).sum()
    }
    /// Enclosed area with sign, mm²; positive when counter-clockwise.
    ///
    /// Shoelace sum about the first vertex, plus what lies between each arc and its chord. Taking a
    /// vertex as the origin keeps the digits of a small part drawn far from the drawing's origin.
    pub fn signed_area(&self) -> f64 {
        let Some(origin) = self.vertices.first().map(|v| v.at) else {
            return 0.0;
        };
        self.segments()
            .map(|s| 0.5 * (s.a - origin).cross(s.b - origin) + s.area_beyond_chord())
            .sum()
    }
    /// Enclosed area with sign (mm²) and length around (mm), both at once.
    pub fn signed_area_and_length(&self) -> (f64, f64) {
        let Some(origin) = self.vertices.first().map(|v| v.at) else {
            return (0.0, 0.0);
        };
        let mut sums = (0.0, 0.0);
        for s in self.segments() {
            sums.0 += 0.5 * (s.a - origin).cross(s.b - origin) + s.area_beyond_chord();
            sums.1 += s.length();
        }
        sums
    }
    /// Enclosed area, mm².
    pub fn area(&self) -> f64 {
        self.signed_area().abs()
    }
    /// Upright box around the chain.
    pub fn bounds(&self) -> Bounds {
        let mut b = Bounds::EMPTY;
        self.segments().for_each(|s| b.include_bounds(&s.bounds()));
        b
    }
    /// The same chain the other way round.
    #[must_use]
    pub fn reversed(&self) -> Self {
        let n = self.vertices.len();
        Self::new(
            (0..n)
                .map(|k| {
                    let i = n - 1 - k;
                    Vertex {
                        at: self.vertices[i].at,
                        bulge: -self.vertices[(i + n - 1) % n].bulge,
                    }
                })
                .collect(),
        )
    }
    /// Turned to run counter-clockwise.
    #[must_use]
    pub fn counter_clockwise(self) -> Self {
        if self.signed_area() < 0.0 {
            self.reversed()
        } else {
            self
        }
    }
    /// Moved by a vector.
    #[must_use]
    pub fn moved(&self, by: Point) -> Self {
        Self::new(
            self.vertices
                .iter()
                .map(|v| Vertex {
                    at: v.at + by,
                    bulge: v.bulge,
                })
                .collect(),
        )
    }
    /// Times the chain winds around a point (0 outside).
    pub fn winding(&self, p: Point) -> i32 {
        self.to_polyline()
            .winding_number(cavalier_contours::core::math::Vector2::new(p.x, p.y))
    }
    /// The nearest point of the chain to `p`: the point, the segment's index, the distance along the
    /// whole chain from vertex 0 (mm).
    pub fn nearest(&self, p: Point) -> Option<Nearest> {
        let mut best: Option<Nearest> = None;
        let mut before = 0.0;
        for (i, s) in self.segments().enumerate() {
            let (at, along) = s.nearest(p);
            let distance = at.distance(p);
            if best.as_ref().is_none_or(|b| distance < b.distance) {
                best = Some(Nearest {
                    at,
                    segment: i,
                    along: before + along,
                    distance,
                });
            }
            before += s.length();
        }
        best
    }
    /// Point at a distance along the chain from vertex 0, mm, taken around as often as needed.
    pub fn point_at(&self, along: f64) -> Point {
        let total = self.length();
        let mut rest = if total > 0.0 {
            along.rem_euclid(total)
        } else {
            0.0
        };
        for s in self.segments() {
            let l = s.length();
            if rest <= l {
                return s.point_at(rest);
            }
            rest -= l;
        }
        self.vertices.first().map_or(Point::ORIGIN, |v| v.at)
    }
    /// Chain of chords within `sagitta` mm, first point repeated at the end.
    pub fn flattened(&self, sagitta: f64) -> Vec<Point> {
        let mut out = Vec::with_capacity(self.len() + 1);
        if let Some(v) = self.vertices.first() {
            out.push(v.at);
        }
        self.segments()
            .for_each(|s| s.flatten_into(sagitta, &mut out));
        out
    }
    /// As the offset library's polyline.
    pub fn to_polyline(&self) -> Polyline<f64> {
        let mut p = Polyline::with_capacity(self.len(), true);
        for v in &self.vertices {
            p.add(v.at.x, v.at.y, v.bulge);
        }
        p
    }
    /// From the offset library's polyline.
    pub fn from_polyline(p: &Polyline<f64>) -> Self {
        Self::new(
            p.iter_vertexes()
                .map(|v: PlineVertex<f64>| Vertex {
                    at: Point::new(v.x, v.y),
                    bulge: v.bulge,
                })
                .collect(),
        )
    }
}

/// Answer of [`Contour::nearest`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearest {
    /// The nearest point, mm.
    pub at: Point,
    /// Index of the segment it lies on.
    pub segment: usize,
    /// Distance along the chain from vertex 0, mm.
    pub along: f64,
    /// Distance from the point asked about, mm.
    pub distance: f64,
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    #[test]
    fn a_circle_is_exact() {
        let c = Contour::circle(Point::new(1e5, -1e5), 7.0);
        assert!((c.length() - 14.0 * PI).abs() < 1e-9);
        assert!((c.signed_area() - 49.0 * PI).abs() < 1e-8);
        assert_eq!(c.winding(Point::new(1e5, -1e5)), 1);
        assert_eq!(c.reversed().winding(Point::new(1e5, -1e5)), -1);
        assert_eq!(c.winding(Point::new(1e5 + 7.1, -1e5)), 0);
    }

    #[test]
    fn reversing_twice_gives_the_same_chain() {
        let c = Contour::new(vec![
            Vertex {
                at: Point::new(0.0, 0.0),
                bulge: 0.0,
            },
            Vertex {
                at: Point::new(10.0, 0.0),
                bulge: 0.4,
            },
            Vertex {
                at: Point::new(10.0, 5.0),
                bulge: -0.2,
            },
        ]);
        let twice = c.reversed().reversed();
        assert_eq!(twice, c);
        assert!((c.signed_area() + c.reversed().signed_area()).abs() < 1e-12);
    }
}
