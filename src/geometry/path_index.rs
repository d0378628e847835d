//! How near places lie to closed paths: an index of their lines and arcs, asked by place or by box.

use super::contour::Contour;
use super::point::{Bounds, Point};
use super::ready::Ready;
use super::segment::Segment;
use static_aabb2d_index::{Control, StaticAABB2DIndex, StaticAABB2DIndexBuilder};

/// Nearest-point questions about a set of closed paths.
pub struct PathIndex {
    segments: Vec<Ready>,
    /// Their boxes; none of no segment.
    boxes: Option<StaticAABB2DIndex<f64>>,
}

impl PathIndex {
    /// From closed paths.
    pub fn new(loops: &[Contour]) -> Self {
        Self::of(loops.iter().flat_map(Contour::segments))
    }
    /// From lines and arcs.
    pub(super) fn of(segments: impl Iterator<Item = Segment>) -> Self {
        let segments: Vec<Ready> = segments.map(|s| Ready::of(&s)).collect();
        let mut builder = StaticAABB2DIndexBuilder::new(segments.len());
        for b in segments.iter().map(|s| s.segment.bounds()) {
            builder.add(b.min.x, b.min.y, b.max.x, b.max.y);
        }
        Self {
            // Only a wrong count is an error, and the count is right.
            boxes: builder.build().ok(),
            segments,
        }
    }
    /// The segment nearest to a place and how far it is, mm; `None` where there is none and of what is no place.
    fn nearest_segment(&self, p: Point) -> Option<(&Ready, f64)> {
        let boxes = self.boxes.as_ref().filter(|_| p.is_finite())?;
        let mut best: Option<(&Ready, f64)> = None;
        boxes.visit_neighbors(p.x, p.y, &mut |k: usize, squared: f64| {
            // Boxes come from near to far: no later one holds anything nearer.
            if best.is_some_and(|b| squared > b.1 * b.1) {
                return Control::Break(());
            }
            let away = self.segments[k].distance(p);
            if best.is_none_or(|b| away < b.1) {
                best = Some((&self.segments[k], away));
            }
            Control::Continue
        });
        best
    }
    /// Distance of a point from the nearest path, mm; infinite where there is none, no number from what is no point.
    pub fn distance(&self, p: Point) -> f64 {
        if !p.is_finite() {
            return f64::NAN;
        }
        if self.segments.len() <= FEW_OF_ALL {
            let away = self.segments.iter().map(|s| s.distance(p));
            return away.fold(f64::INFINITY, f64::min);
        }
        self.nearest_segment(p).map_or(f64::INFINITY, |n| n.1)
    }
    /// The same, quicker where the path is likely to lie within `near` mm.
    pub fn distance_expecting(&self, p: Point, near: f64) -> f64 {
        // Whatever lies within `near` has a box that meets this one.
        let mut around = Bounds::EMPTY;
        around.include(p);
        let mut nearest = f64::INFINITY;
        self.visit(&around.grown(near), |s| {
            nearest = nearest.min(s.distance(p));
        });
        if nearest <= near {
            nearest
        } else {
            self.distance(p)
        }
    }
    /// What lies around a box, to be asked many times about points in it: few segments are looked through faster
    /// than the index is searched. Most answers are below `near` mm, nearly all below `within` mm.
    pub(super) fn around(&self, b: &Bounds, (near, within): (f64, f64)) -> Around<'_> {
        let wide = b.grown(within);
        let mut few = Vec::new();
        let mut more = false;
        if let Some(boxes) = &self.boxes {
            let (min, max) = (wide.min, wide.max);
            boxes.visit_query(min.x, min.y, max.x, max.y, &mut |k: usize| {
                if few.len() == FEW {
                    more = true;
                    return Control::Break(());
                }
                few.push(self.segments[k]);
                Control::Continue
            });
        }
        Around {
            index: self,
            few: (!more).then_some(few),
            near,
            within,
        }
    }
    /// Calls with every segment whose box meets a box.
    fn visit(&self, b: &Bounds, mut found: impl FnMut(&Ready)) {
        if let Some(boxes) = &self.boxes {
            let mut tell = |k: usize| found(&self.segments[k]);
            boxes.visit_query(b.min.x, b.min.y, b.max.x, b.max.y, &mut tell);
        }
    }
    /// Segments whose boxes meet a box.
    pub fn meeting(&self, b: &Bounds) -> impl Iterator<Item = &Segment> {
        let boxes = self.boxes.iter();
        let found = boxes.flat_map(|i| i.query_iter(b.min.x, b.min.y, b.max.x, b.max.y));
        found.map(|k| &self.segments[k].segment)
    }
    /// The nearest point of any path; `None` where there is none.
    pub fn nearest(&self, p: Point) -> Option<Point> {
        let nearest = self.nearest_segment(p)?;
        Some(nearest.0.segment.nearest_point(p))
    }
}

/// Of so few segments in all the nearest is found without their boxes.
const FEW_OF_ALL: usize = 8;
/// Segments that are looked through one by one: more are searched by the index.
const FEW: usize = 24;

/// The surroundings of a box, answering as the whole index does.
pub(super) struct Around<'a> {
    index: &'a PathIndex,
    /// Every segment within `within` mm of the box, where these are few.
    few: Option<Vec<Ready>>,
    near: f64,
    within: f64,
}

impl Around<'_> {
    /// Distance of a point in the box from the nearest path, mm.
    pub(super) fn distance(&self, p: Point) -> f64 {
        let Some(few) = &self.few else {
            return self.index.distance_expecting(p, self.near);
        };
        let away = few.iter().map(|s| s.distance(p));
        let nearest = away.fold(f64::INFINITY, f64::min);
        if nearest <= self.within {
            nearest
        } else {
            self.index.distance(p)
        }
    }
    /// The place of the paths nearest to a point in the box; `None` where there is none.
    pub(super) fn nearest(&self, p: Point) -> Option<Point> {
        let of_few = self.nearest_of_few(p).map(|s| s.nearest_point(p));
        let of_few = of_few.filter(|near| near.distance(p) <= self.within);
        of_few.or_else(|| self.index.nearest(p))
    }
    /// Of few the segment nearest to a point; `None` where they are many.
    pub(super) fn nearest_of_few(&self, p: Point) -> Option<&Segment> {
        let few = self.few.as_ref()?.iter().map(|t| (t.distance(p), t));
        let nearest = few.min_by(|t, u| t.0.total_cmp(&u.0))?;
        Some(&nearest.1.segment)
    }
}
