//! Which contour lies in which: parents and depths of closed contours.

use super::boxes::Boxes;
use super::contour::Contour;
use super::point::{Bounds, Point};
use super::segment::Segment;
use cavalier_contours::core::math::Vector2;
use cavalier_contours::polyline::{
    PlineSegIntr, PlineSource, PlineVertex, Polyline, pline_seg_intr,
};
use std::cell::OnceCell;

/// Share of a contour's diagonal that its coordinates may be rounded by: far above the rounding of sixteen digits, far
/// below the last digit of any file.
const ROUNDING: f64 = 1e-9;
/// Points this many roundings off an edge are clearly on one side of it.
const CLEAR: f64 = 100.0;
/// Segments nearer than this meet, mm.
const CONTACT: f64 = 1e-9;

/// Place of one contour among the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Nesting {
    /// The contour directly around this one, an index into the list that was given.
    pub parent: Option<usize>,
    /// Number of contours around this one.
    pub depth: usize,
}

/// Parent and depth of each contour.
///
/// Contours are taken to be disjoint or to touch. Those that cross lie beside each other; crossings
/// are reported elsewhere.
pub fn nest(contours: &[Contour]) -> Vec<Nesting> {
    nest_unless(contours, &|| false).unwrap_or_default()
}

/// As [`nest`]; `None` as soon as `stop` says so.
pub fn nest_unless(contours: &[Contour], stop: &dyn Fn() -> bool) -> Option<Vec<Nesting>> {
    let shapes: Vec<Shape<'_>> = contours
        .iter()
        .map(|c| (!stop()).then(|| Shape::new(c)))
        .collect::<Option<_>>()?;
    let mut nesting = vec![Nesting::default(); contours.len()];
    let index = Boxes::of(shapes.iter().map(|s| s.bounds));
    for (i, shape) in shapes.iter().enumerate() {
        if stop() {
            return None;
        }
        let centre = shape.bounds.centre();
        let at_centre = Bounds {
            min: centre,
            max: centre,
        };
        let own = &mut nesting[i];
        index.visit(&at_centre, |j| {
            let outer = &shapes[j];
            // Of two equal contours the later one counts as the inner one.
            let larger = j != i && (outer.area, i) > (shape.area, j);
            if !larger || !outer.may_hold(shape) || stop() || !outer.holds(shape, stop) {
                return;
            }
            own.depth += 1;
            // And here too.
            let nearer = |p: usize| {
                let order = outer.area.total_cmp(&shapes[p].area);
                order.then(p.cmp(&j)).is_lt()
            };
            if own.parent.is_none_or(nearer) {
                own.parent = Some(j);
            }
        });
    }
    (!stop()).then_some(nesting)
}

/// A contour with what the questions about it need, each made once.
struct Shape<'a> {
    contour: &'a Contour,
    bounds: Bounds,
    area: f64,
    /// Centre and radius where it is a whole circle.
    circle: Option<(Point, f64)>,
    polyline: Polyline<f64>,
    /// Boxes of its segments.
    index: OnceCell<Boxes>,
}

impl<'a> Shape<'a> {
    fn new(contour: &'a Contour) -> Self {
        Self {
            contour,
            bounds: contour.bounds(),
            area: contour.area(),
            circle: contour.as_circle(),
            polyline: contour.to_polyline(),
            index: OnceCell::new(),
        }
    }
    /// Segments whose boxes meet a box.
    fn near(&self, b: &Bounds) -> Vec<usize> {
        let index = self
            .index
            .get_or_init(|| Boxes::of(self.contour.segments().map(|s| s.bounds())));
        index.meeting(b)
    }
    /// Whether the box holds the other's box, an edge in common allowed for rounding.
    fn may_hold(&self, inner: &Self) -> bool {
        let outer = self.bounds.grown(self.rounding());
        outer.contains(inner.bounds.min) && outer.contains(inner.bounds.max)
    }
    fn rounding(&self) -> f64 {
        ROUNDING * self.bounds.diagonal()
    }
    /// Whether a point is farther than `off` from the edge.
    fn is_clear(&self, p: Point, off: f64) -> bool {
        let around = Bounds { min: p, max: p }.grown(off);
        let mut near = self.near(&around).into_iter();
        near.all(|k| self.contour.segment(k).nearest_point(p).distance(p) > off)
    }
    /// Whether one circle holds another, where that is beyond rounding; `None` for all else.
    fn holds_as_circles(&self, inner: &Self, off: f64) -> Option<bool> {
        let ((c, r), (d, s)) = (self.circle?, inner.circle?);
        let spare = r - s - c.distance(d);
        (spare.abs() > 2.0 * off).then_some(spare > 0.0)
    }
    /// Whether the other lies inside: its first point clearly off the edge does, and they do not cross.
    fn holds(&self, inner: &Self, stop: &dyn Fn() -> bool) -> bool {
        let off = CLEAR * self.rounding();
        if let Some(holds) = self.holds_as_circles(inner, off) {
            return holds;
        }
        let ends = inner.contour.vertices().iter().map(|v| v.at);
        let middles = inner
            .contour
            .segments()
            .map(|s| s.point_at(0.5 * s.length()));
        let probe = ends.chain(middles).find(|p| self.is_clear(*p, off));
        // No point off the edge: the same contour drawn twice, the smaller one counts as inside.
        let inside =
            probe.is_none_or(|p| self.polyline.winding_number(Vector2::new(p.x, p.y)) != 0);
        inside && !self.crosses(inner, off, stop)
    }
    /// Whether an edge of the other goes out through an edge of this one, by more than `off`.
    fn crosses(&self, other: &Self, off: f64, stop: &dyn Fn() -> bool) -> bool {
        let is_outside = |p: Point| {
            self.polyline.winding_number(Vector2::new(p.x, p.y)) == 0 && self.is_clear(p, off)
        };
        other.contour.segments().any(|q| {
            stop()
                || self.near(&q.bounds()).into_iter().any(|k| {
                    // Between the crossings and the ends the edge is on one side throughout.
                    let mut stops = vec![0.0, q.length()];
                    stops.extend(
                        crossings(&self.contour.segment(k), &q)
                            .iter()
                            .map(|x| q.nearest(*x).1),
                    );
                    stops.sort_by(f64::total_cmp);
                    stops.len() > 2
                        && stops
                            .windows(2)
                            .any(|s| is_outside(q.point_at(0.5 * (s[0] + s[1]))))
                })
        })
    }
}

/// Points that two segments have in common, overlaps left out.
fn crossings(p: &Segment, q: &Segment) -> Vec<Point> {
    let vertex = |at: Point, bulge: f64| PlineVertex::new(at.x, at.y, bulge);
    let (a, b) = (vertex(p.a, p.bulge), vertex(p.b, 0.0));
    let (c, d) = (vertex(q.a, q.bulge), vertex(q.b, 0.0));
    let points = match pline_seg_intr(a, b, c, d, CONTACT) {
        PlineSegIntr::OneIntersect { point } => vec![point],
        PlineSegIntr::TwoIntersects { point1, point2 } => vec![point1, point2],
        _ => Vec::new(),
    };
    points.into_iter().map(|v| Point::new(v.x, v.y)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(centre: (f64, f64), half: f64) -> Contour {
        let (x, y) = centre;
        Contour::polygon(&[
            (x - half, y - half),
            (x + half, y - half),
            (x + half, y + half),
            (x - half, y + half),
        ])
    }

    #[test]
    fn outer_hole_island_and_a_neighbour() {
        let n = nest(&[
            square((0.0, 0.0), 1.0),
            square((0.0, 0.0), 10.0),
            Contour::circle(Point::ORIGIN, 5.0),
            square((30.0, 0.0), 5.0),
        ]);
        assert_eq!(
            n[1],
            Nesting {
                parent: None,
                depth: 0
            }
        );
        assert_eq!(
            n[2],
            Nesting {
                parent: Some(1),
                depth: 1
            }
        );
        assert_eq!(
            n[0],
            Nesting {
                parent: Some(2),
                depth: 2
            }
        );
        assert_eq!(
            n[3],
            Nesting {
                parent: None,
                depth: 0
            }
        );
        assert!(nest(&[]).is_empty());
    }

    #[test]
    fn a_square_that_shares_a_corner_is_inside_all_the_same() {
        let outer = Contour::polygon(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]);
        let inner = Contour::polygon(&[(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)]);
        assert_eq!(nest(&[inner, outer])[0].parent, Some(1));
    }

    #[test]
    fn contours_that_cross_lie_beside_each_other() {
        let n = nest(&[square((0.0, 0.0), 5.0), square((4.0, 0.0), 4.0)]);
        assert!(n.iter().all(|n| n.parent.is_none()));
    }

    #[test]
    fn a_neighbour_in_the_bay_of_a_l_shape_is_not_inside() {
        let l = Contour::polygon(&[
            (0.0, 0.0),
            (10.0, 0.0),
            (10.0, 2.0),
            (2.0, 2.0),
            (2.0, 10.0),
            (0.0, 10.0),
        ]);
        let n = nest(&[l, square((6.0, 6.0), 1.0)]);
        assert_eq!(n[1].parent, None);
    }
}
