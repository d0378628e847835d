//! In which order contours are cut: what lies inside first, then short travel.

use crate::geometry::Point;
use crate::job::Job;
use crate::plan::paths::PathCache;
use crate::profile::Profile;

/// Indices of the contours that are cut, in order.
///
/// A contour is cut before the one around it, or it would fall away with it. Within one depth the order
/// is that of short travel between the points given by `start`.
pub fn cutting_order(
    profile: &Profile,
    job: &Job,
    cache: &PathCache,
    start: impl Fn(usize) -> Point,
) -> Vec<usize> {
    let mut cut: Vec<usize> = (0..profile.contours().len())
        .filter(|&k| job.cuts(&profile.contours()[k]))
        .collect();
    cut.sort_by_key(|&k| std::cmp::Reverse(profile.contours()[k].depth));
    // The first way leads to no contour: it begins wherever the whole is shortest.
    let mut at = None;
    let mut order = Vec::with_capacity(cut.len());
    for level in cut.chunk_by(|&a, &b| profile.contours()[a].depth == profile.contours()[b].depth) {
        let points: Vec<Point> = level.iter().map(|&k| start(k)).collect();
        for &i in cache.order(&points, at).iter() {
            order.push(level[i]);
            at = Some(points[i]);
        }
    }
    order
}
