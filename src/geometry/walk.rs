//! A contour with the distance to each of its vertices added up once, for many questions by distance.

use super::contour::Contour;
use super::point::Point;
use super::segment::Segment;

/// A contour measured along. A question costs a binary search, where [`Contour::point_at`] walks from vertex 0.
#[derive(Debug, Clone)]
pub struct Walk {
    segments: Vec<Segment>,
    /// Distance to the start of each segment, and to the end of the last, mm.
    starts: Vec<f64>,
}

impl Walk {
    /// Of a contour.
    pub fn new(contour: &Contour) -> Self {
        let segments: Vec<Segment> = contour.segments().collect();
        let mut starts = Vec::with_capacity(segments.len() + 1);
        let mut along = 0.0;
        starts.push(along);
        for s in &segments {
            along += s.length();
            starts.push(along);
        }
        Self { segments, starts }
    }
    /// The segments in order.
    pub fn segments(&self) -> &[Segment] {
        &self.segments
    }
    /// Distance to the start of each segment, and to the end of the last, mm.
    pub fn starts(&self) -> &[f64] {
        &self.starts
    }
    /// Length around, mm.
    pub fn length(&self) -> f64 {
        self.starts.last().copied().unwrap_or(0.0)
    }
    /// The segment at a distance from vertex 0, taken around as often as needed, and how far into it, mm.
    pub(super) fn place(&self, along: f64) -> (usize, f64) {
        let total = self.length();
        let rest = if total > 0.0 {
            along.rem_euclid(total)
        } else {
            0.0
        };
        let k = self.starts.partition_point(|s| *s <= rest);
        let k = k.clamp(1, self.segments.len().max(1)) - 1;
        (k, rest - self.starts[k])
    }
    /// Point at a distance along the contour from vertex 0, mm, taken around as often as needed.
    pub fn point_at(&self, along: f64) -> Point {
        let (k, into) = self.place(along);
        self.segments
            .get(k)
            .map_or(Point::ORIGIN, |s| s.point_at(into))
    }
    /// The stretch from one distance to another, mm, in order: index of the segment and what of it lies there.
    ///
    /// `from` may be negative; never more than once around.
    pub fn parts(&self, from: f64, to: f64) -> impl Iterator<Item = (usize, Segment)> + '_ {
        let (mut k, mut into) = self.place(from);
        let mut left = (to - from).min(self.length());
        std::iter::from_fn(move || {
            while left > 0.0 {
                let (index, begin) = (k, into);
                let length = self.starts[k + 1] - self.starts[k];
                let end = (begin + left).min(length);
                left = if end < length {
                    0.0
                } else {
                    left - (end - begin)
                };
                (k, into) = ((k + 1) % self.segments.len(), 0.0);
                if end > begin {
                    return Some((index, self.segments[index].part(begin, end)));
                }
            }
            None
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    #[test]
    fn points_are_those_of_the_contour() {
        let c = Contour::polygon(&[(0.0, 0.0), (4.0, 0.0), (4.0, 3.0)]);
        let w = Walk::new(&c);
        assert_eq!(w.length(), 12.0);
        for k in -40..40 {
            let along = f64::from(k) * 0.7;
            assert!(w.point_at(along).distance(c.point_at(along)) < 1e-12);
        }
    }

    #[test]
    fn parts_follow_each_other_over_the_seam() {
        let c = Contour::circle(Point::ORIGIN, 2.0);
        let w = Walk::new(&c);
        let parts: Vec<_> = w.parts(-PI, PI).collect();
        assert_eq!(parts.iter().map(|p| p.0).collect::<Vec<_>>(), [1, 0]);
        assert!((parts.iter().map(|p| p.1.length()).sum::<f64>() - 2.0 * PI).abs() < 1e-12);
        assert!(parts[0].1.b.distance(parts[1].1.a) < 1e-12);
        assert_eq!(w.parts(0.0, 100.0).count(), 2);
        assert_eq!(w.parts(1.0, 1.0).count(), 0);
        assert_eq!(Walk::new(&Contour::default()).parts(0.0, 1.0).count(), 0);
    }
}
