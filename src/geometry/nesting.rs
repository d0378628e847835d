//! Which contour lies in which: the forest of disjoint closed contours.

use super::contour::Contour;
use super::point::{Bounds, Point};
use static_aabb2d_index::StaticAABB2DIndexBuilder;

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
/// Contours are taken to be disjoint or to touch. One that crosses another counts as inside it when
/// its first point off the other's edge does; crossings are reported elsewhere.
pub fn nest(contours: &[Contour]) -> Vec<Nesting> {
    let bounds: Vec<Bounds> = contours.iter().map(Contour::bounds).collect();
    let areas: Vec<f64> = contours.iter().map(Contour::area).collect();
    let mut nesting = vec![Nesting::default(); contours.len()];
    let mut builder = StaticAABB2DIndexBuilder::new(contours.len());
    for b in &bounds {
        builder.add(b.min.x, b.min.y, b.max.x, b.max.y);
    }
    // An empty list has no index and nothing to nest.
    let Ok(index) = builder.build() else { return nesting };
    for (i, b) in bounds.iter().enumerate() {
        let centre = b.centre();
        let mut around: Vec<usize> = index
            .query(centre.x, centre.y, centre.x, centre.y)
            .into_iter()
            // Of two equal contours the later one counts as the inner one.
            .filter(|&j| j != i && (areas[j], i) > (areas[i], j) && holds(&bounds[j], b))
            .collect();
        around.sort_by(|&a, &b| areas[a].total_cmp(&areas[b]).then(b.cmp(&a)));
        nesting[i].parent = around.into_iter().find(|&j| is_inside(&contours[i], &contours[j]));
    }
    let mut from_outside: Vec<usize> = (0..contours.len()).collect();
    from_outside.sort_by(|&a, &b| areas[b].total_cmp(&areas[a]).then(a.cmp(&b)));
    for i in from_outside {
        nesting[i].depth = nesting[i].parent.map_or(0, |p| nesting[p].depth + 1);
    }
    nesting
}

/// Whether the outer box holds the inner one, an edge in common allowed for rounding.
fn holds(outer: &Bounds, inner: &Bounds) -> bool {
    let outer = outer.grown(1e-9 * outer.diagonal());
    outer.contains(inner.min) && outer.contains(inner.max)
}

/// Whether `inner` lies inside `outer`, judged at its first point clearly off the outer edge.
fn is_inside(inner: &Contour, outer: &Contour) -> bool {
    let off = 1e-7 * outer.bounds().diagonal();
    let clear = |p: &Point| outer.nearest(*p).is_some_and(|n| n.distance > off);
    let ends = inner.vertices().iter().map(|v| v.at);
    let middles = inner.segments().map(|s| s.point_at(0.5 * s.length()));
    let probe = ends.chain(middles).find(clear);
    // No point off the edge: the same contour drawn twice, the smaller one counts as inside.
    probe.is_none_or(|p| outer.winding(p) != 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(centre: (f64, f64), half: f64) -> Contour {
        let (x, y) = centre;
        Contour::polygon(&[(x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)])
    }

    #[test]
    fn outer_hole_island_and_a_neighbour() {
        let n = nest(&[
            square((0.0, 0.0), 1.0),
            square((0.0, 0.0), 10.0),
            Contour::circle(Point::ORIGIN, 5.0),
            square((30.0, 0.0), 5.0),
        ]);
        assert_eq!(n[1], Nesting { parent: None, depth: 0 });
        assert_eq!(n[2], Nesting { parent: Some(1), depth: 1 });
        assert_eq!(n[0], Nesting { parent: Some(2), depth: 2 });
        assert_eq!(n[3], Nesting { parent: None, depth: 0 });
        assert!(nest(&[]).is_empty());
    }

    #[test]
    fn a_square_that_shares_a_corner_is_inside_all_the_same() {
        let outer = Contour::polygon(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]);
        let inner = Contour::polygon(&[(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)]);
        assert_eq!(nest(&[inner, outer])[0].parent, Some(1));
    }

    #[test]
    fn a_neighbour_in_the_bay_of_a_l_shape_is_not_inside() {
        let l = Contour::polygon(&[(0.0, 0.0), (10.0, 0.0), (10.0, 2.0), (2.0, 2.0), (2.0, 10.0), (0.0, 10.0)]);
        let n = nest(&[l, square((6.0, 6.0), 1.0)]);
        assert_eq!(n[1].parent, None);
    }
}
