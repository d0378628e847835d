//! Contours that belong together: several parts, or several views, in one drawing.

use super::Profile;
use crate::geometry::{Bounds, Point, Segment};
use static_aabb2d_index::{StaticAABB2DIndex, StaticAABB2DIndexBuilder};

/// Arcs are of one circle where their centres are nearer than this share of its diagonal: a micrometre on a metre,
/// above what a file of six decimals rounds.
const ONE_CENTRE: f64 = 1e-6;
/// Most segments of a circle that is drawn as arcs; one of more is something else made of arcs.
const MOST_ARCS: usize = 8;
/// Most distances that are worked out for loose curves, boxes times curves, so that a drawing of very
/// many parts and very many loose curves is answered all the same.
const MOST_DISTANCES: usize = 10_000_000;

/// A part of the drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Its contours, ascending: indices into [`Profile::contours`].
    pub contours: Vec<usize>,
    /// Its open chains, ascending: indices into [`Profile::open`].
    pub open: Vec<usize>,
    /// Box around it, mm about [`Profile::origin`].
    pub bounds: Bounds,
}

impl Profile {
    /// The parts in the order of their first contour; none without a closed contour.
    ///
    /// An outermost contour belongs with all inside it. Outermost contours with nothing inside are
    /// taken together where the gap between two is no wider than the larger of them: the openings of
    /// one die have no outline around them. A circle alone is a bore and goes with the part nearest to
    /// it, as an open chain does. Of a profile [`Profile::with_each_apart`] every outermost contour is a part of its own.
    pub fn parts(&self) -> Vec<Part> {
        let n = self.contours.len();
        let mut above: Vec<usize> = (0..n)
            .map(|k| self.contours[k].parent.unwrap_or(k))
            .collect();
        let mut top: Vec<usize> = (0..n).map(|k| find(&mut above, k)).collect();
        let mut is_alone = vec![true; n];
        for (k, root) in top.iter().enumerate() {
            if *root != k {
                is_alone[*root] = false;
            }
        }
        let alone: Vec<usize> = (0..n).filter(|&k| top[k] == k && is_alone[k]).collect();
        let bores = if self.each_apart {
            Vec::new()
        } else {
            self.group_neighbours(&alone, &mut top);
            self.bores(&alone, &top)
        };
        let mut place = vec![usize::MAX; n];
        let mut parts: Vec<Part> = Vec::new();
        for (k, root) in top.into_iter().enumerate() {
            if bores.binary_search(&k).is_ok() {
                continue;
            }
            if place[root] == usize::MAX {
                place[root] = parts.len();
                parts.push(Part {
                    contours: Vec::new(),
                    open: Vec::new(),
                    bounds: Bounds::EMPTY,
                });
            }
            let part = &mut parts[place[root]];
            part.contours.push(k);
            part.bounds.include_bounds(&self.contours[k].bounds);
        }
        let nearest = Nearest::of(&parts);
        for k in bores {
            let b = self.contours[k].bounds;
            if let Some(p) = nearest.to(b.centre(), self.contours.len()) {
                parts[p].contours.push(k);
                parts[p].bounds.include_bounds(&b);
            }
        }
        for part in &mut parts {
            part.contours.sort_unstable();
        }
        parts.sort_by_key(|p| p.contours.first().copied());
        self.add_open(&mut parts);
        parts
    }

    /// Gives contours that stand alone and near each other one root.
    fn group_neighbours(&self, alone: &[usize], top: &mut [usize]) {
        let boxes: Vec<Bounds> = alone.iter().map(|&k| self.contours[k].bounds).collect();
        let Some(index) = index(&boxes) else { return };
        let mut root: Vec<usize> = (0..alone.len()).collect();
        for (i, b) in boxes.iter().enumerate() {
            let reach = b.grown(b.size().x.max(b.size().y));
            for j in index.query(reach.min.x, reach.min.y, reach.max.x, reach.max.y) {
                let (p, q) = (find(&mut root, i), find(&mut root, j));
                root[p.max(q)] = p.min(q);
            }
        }
        for (i, &k) in alone.iter().enumerate() {
            top[k] = alone[find(&mut root, i)];
        }
    }

    /// Circles that stand alone, ascending; none where the first would be left without a part.
    fn bores(&self, alone: &[usize], top: &[usize]) -> Vec<usize> {
        let is_circle = |k: usize| {
            let shape = &self.contours[k].shape;
            let first = shape.segments().next();
            let centre = first.and_then(|s| s.centre());
            centre.is_some_and(|c| {
                let near = ONE_CENTRE * shape.bounds().diagonal();
                let same = |s: Segment| s.centre().is_some_and(|d| d.distance(c) <= near);
                shape.len() <= MOST_ARCS && shape.segments().all(same)
            })
        };
        let circles: Vec<usize> = alone.iter().copied().filter(|&k| is_circle(k)).collect();
        // Of bores alone, those near the first make a part that the others go with.
        let others = self.contours.len() > circles.len();
        let first = circles.first().map(|&k| top[k]);
        let go = |k: &usize| others || Some(top[*k]) != first;
        circles.into_iter().filter(go).collect()
    }

    fn add_open(&self, parts: &mut [Part]) {
        let nearest = Nearest::of(parts);
        for (k, chain) in self.open.iter().enumerate() {
            let mut b = Bounds::EMPTY;
            chain
                .segments
                .iter()
                .for_each(|s| b.include_bounds(&s.bounds()));
            if let Some(p) = nearest.to(b.centre(), self.open.len()) {
                parts[p].open.push(k);
                parts[p].bounds.include_bounds(&b);
            }
        }
    }
}

/// Finds the part around or nearest to a point.
struct Nearest {
    boxes: Vec<Bounds>,
    index: Option<StaticAABB2DIndex<f64>>,
}

impl Nearest {
    fn of(parts: &[Part]) -> Self {
        let boxes: Vec<Bounds> = parts.iter().map(|p| p.bounds).collect();
        let index = index(&boxes);
        Self { boxes, index }
    }
    /// The smallest box around a point, else the nearest one.
    fn to(&self, at: Point, questions: usize) -> Option<usize> {
        let boxes = &self.boxes;
        let around = self.index.as_ref()?.query(at.x, at.y, at.x, at.y);
        let size = |k: usize| boxes[k].diagonal();
        let smallest = around
            .into_iter()
            .min_by(|&p, &q| size(p).total_cmp(&size(q)).then(p.cmp(&q)));
        smallest.or_else(|| {
            // A drawing of very many parts and very many loose curves is not sorted out further.
            let few = boxes.len() * questions <= MOST_DISTANCES;
            let candidates = 0..if few { boxes.len() } else { 1 };
            candidates.min_by(|&p, &q| away(&boxes[p], at).total_cmp(&away(&boxes[q], at)))
        })
    }
}

fn index(boxes: &[Bounds]) -> Option<StaticAABB2DIndex<f64>> {
    let mut builder = StaticAABB2DIndexBuilder::new(boxes.len());
    for b in boxes {
        builder.add(b.min.x, b.min.y, b.max.x, b.max.y);
    }
    builder.build().ok()
}

fn find(root: &mut [usize], mut i: usize) -> usize {
    while root[i] != i {
        root[i] = root[root[i]];
        i = root[i];
    }
    i
}

/// Distance of a point from a box.
fn away(b: &Bounds, p: Point) -> f64 {
    let beyond = |low: f64, v: f64, high: f64| (low - v).max(v - high).max(0.0);
    beyond(b.min.x, p.x, b.max.x).hypot(beyond(b.min.y, p.y, b.max.y))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Contour;

    fn square(x: f64, y: f64, a: f64) -> Contour {
        Contour::polygon(&[(x, y), (x + a, y), (x + a, y + a), (x, y + a)])
    }

    #[test]
    fn plates_with_holes_are_parts_and_openings_of_a_die_are_one() {
        let plates = Profile::of_shapes(vec![
            square(0.0, 0.0, 10.0),
            square(2.0, 2.0, 2.0),
            square(12.0, 0.0, 10.0),
            square(14.0, 2.0, 2.0),
        ]);
        let parts = plates.parts();
        assert_eq!(parts.len(), 2);
        assert_eq!(parts[0].contours, [0, 1]);
        assert_eq!(parts[1].contours, [2, 3]);
        let die = Profile::of_shapes((0..5).map(|k| square(15.0 * f64::from(k), 0.0, 10.0)));
        assert_eq!(die.parts().len(), 1);
        let each = die.with_each_apart(true).parts();
        assert_eq!(each.len(), 5);
        assert!(each.iter().enumerate().all(|(k, p)| p.contours == [k]));
        let far = Profile::of_shapes(vec![square(0.0, 0.0, 10.0), square(25.0, 0.0, 10.0)]);
        assert_eq!(far.parts().len(), 2);
        let dowel = |x: f64| Contour::circle(Point::new(x, 5.0), 2.0);
        let with_dowels =
            Profile::of_shapes(vec![dowel(-30.0), square(0.0, 0.0, 10.0), dowel(60.0)]);
        assert_eq!(with_dowels.parts()[0].contours, [0, 1, 2]);
        assert_eq!(with_dowels.with_each_apart(true).parts().len(), 3);
        assert_eq!(
            Profile::of_shapes(vec![dowel(0.0), dowel(50.0)])
                .parts()
                .len(),
            1
        );
        assert!(Profile::default().parts().is_empty());
    }
}
