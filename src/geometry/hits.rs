//! Where a straight way meets lines and arcs.

use super::contour::Contour;
use super::point::Point;
use super::segment::Segment;

/// Hits nearer than this to an end of the way are its own ends touching, mm.
const END: f64 = 1e-6;

/// Whether the straight way from `a` to `b` crosses or touches a contour between its ends.
pub fn crosses(a: Point, b: Point, contour: &Contour) -> bool {
    contour.segments().any(|s| meets(a, b, &s))
}

/// Smallest distance of the straight way from `a` to `b` from a contour that it does not cross, mm.
pub fn clearance(a: Point, b: Point, contour: &Contour) -> f64 {
    let way = Segment::line(a, b);
    let to_way = |p: Point| way.nearest_point(p).distance(p);
    contour
        .segments()
        .map(|s| {
            let ends = [a, b].map(|p| s.nearest_point(p).distance(p));
            // An arc may bulge towards the way between its ends: beside the foot of its centre.
            let bulge = s.centre().map_or(f64::INFINITY, |c| {
                let foot = way.nearest_point(c);
                s.nearest_point(foot).distance(foot)
            });
            ends[0].min(ends[1]).min(to_way(s.a)).min(bulge)
        })
        .fold(f64::INFINITY, f64::min)
}

/// Whether the straight way from `a` to `b` meets a segment between its ends.
pub fn meets(a: Point, b: Point, s: &Segment) -> bool {
    let way = b - a;
    let length = way.norm();
    if length <= 2.0 * END {
        return false;
    }
    let inside = |t: f64| t * length > END && (1.0 - t) * length > END;
    let Some(centre) = s.centre().filter(|_| !s.is_straight()) else {
        let along = s.b - s.a;
        let across = way.cross(along);
        if across == 0.0 {
            return false;
        }
        let t = (s.a - a).cross(along) / across;
        let u = (s.a - a).cross(way) / across;
        return inside(t) && (0.0..=1.0).contains(&u);
    };
    // |a + t·way − c|² = r².
    let from = a - centre;
    let (p, q) = (
        from.dot(way) / (length * length),
        (from.dot(from) - s.radius() * s.radius()) / (length * length),
    );
    let root = p * p - q;
    root >= 0.0
        && [-p - root.sqrt(), -p + root.sqrt()].into_iter().any(|t| {
            let hit = a + way * t;
            inside(t) && s.nearest_point(hit).distance(hit) < END
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ways_that_cross_and_ways_that_do_not() {
        let square = Contour::polygon(&[(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)]);
        assert!(crosses(Point::new(2.0, 2.0), Point::new(6.0, 2.0), &square));
        assert!(!crosses(
            Point::new(1.0, 1.0),
            Point::new(3.0, 3.0),
            &square
        ));
        // It may end on the contour.
        assert!(!crosses(
            Point::new(2.0, 2.0),
            Point::new(4.0, 2.0),
            &square
        ));
        let circle = Contour::circle(Point::ORIGIN, 1.0);
        assert!(crosses(
            Point::new(-2.0, 0.5),
            Point::new(2.0, 0.5),
            &circle
        ));
        assert!(!crosses(
            Point::new(-2.0, 1.5),
            Point::new(2.0, 1.5),
            &circle
        ));
        assert!(!crosses(Point::ORIGIN, Point::new(0.5, 0.5), &circle));
        let beside = clearance(Point::new(-3.0, 1.25), Point::new(3.0, 1.25), &circle);
        assert!((beside - 0.25).abs() < 1e-12);
        let corner = clearance(Point::new(5.0, 4.0), Point::new(4.0, 5.0), &square);
        assert!((corner - 0.5_f64.sqrt()).abs() < 1e-12);
    }
}
