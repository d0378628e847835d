//! Points that lie within a distance of one another.

use crate::drawing::format::{Cancelled, Progress};
use crate::geometry::Point;

/// Calls with each point's number and all others within a distance of it, as distances and numbers in no order.
///
/// The points are sorted into square cells, column by column, and looked at in that order: what can be near one stands at
/// three places of the list that only move on. One sort for all takes the place of a question to an index for each.
pub(crate) fn within(
    points: &[Point],
    reach: f64,
    progress: &Progress,
    mut tell: impl FnMut(usize, &mut Vec<(f64, usize)>),
) -> Result<(), Cancelled> {
    // Twice the distance: rounding of a quotient never hides a neighbour two cells away.
    let cell = 2.0 * reach;
    let at = |v: f64| (v / cell).floor() as i64;
    let mut list: Vec<((i64, i64), u32)> = Vec::with_capacity(points.len());
    for (k, p) in points.iter().enumerate() {
        progress.check()?;
        list.push(((at(p.x), at(p.y)), k as u32));
    }
    list.sort_unstable();
    let mut from = [0; 3];
    let mut near = Vec::new();
    for &((x, y), k) in &list {
        progress.check()?;
        near.clear();
        let p = points[k as usize];
        for (column, from) in [x.saturating_sub(1), x, x.saturating_add(1)]
            .into_iter()
            .zip(&mut from)
        {
            let (low, high) = ((column, y.saturating_sub(1)), (column, y.saturating_add(1)));
            while list.get(*from).is_some_and(|other| other.0 < low) {
                *from += 1;
            }
            for &(_, other) in list[*from..].iter().take_while(|other| other.0 <= high) {
                let distance = p.distance(points[other as usize]);
                if other != k && distance <= reach {
                    near.push((distance, other as usize));
                }
            }
        }
        tell(k as usize, &mut near);
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Scattered, in rows, on one spot and far from the origin: each answer is that of looking at every pair.
    #[test]
    fn every_pair_within_the_distance_is_told() {
        let scattered = |k: u32| {
            // Weyl's sequence of two roots.
            let (x, y) = (f64::from(k) * 2.0_f64.sqrt(), f64::from(k) * 3.0_f64.sqrt());
            Point::new(x.fract() * 50.0 - 25.0, y.fract() * 50.0 - 25.0)
        };
        let mut points: Vec<Point> = (0..600).map(scattered).collect();
        points.extend((0..300).map(|k| Point::new(1.0, f64::from(k) * 0.25)));
        points.extend((0..40).map(|_| Point::new(7.0, 7.0)));
        points.extend((0..40).map(|k| Point::new(1e9 + f64::from(k) * 0.5, -1e9)));
        for reach in [1e-9, 0.25, 1.0, 10.0, 200.0] {
            let mut told = vec![None; points.len()];
            within(&points, reach, &Progress::default(), |k, near| {
                let mut list: Vec<usize> = near.iter().map(|n| n.1).collect();
                assert!(near.iter().all(|n| n.0 == points[k].distance(points[n.1])));
                list.sort_unstable();
                assert!(told[k].replace(list).is_none(), "{k} is told twice");
            })
            .unwrap();
            for (k, told) in told.into_iter().enumerate() {
                let all = (0..points.len()).filter(|&j| j != k);
                let plain: Vec<usize> = all
                    .filter(|&j| points[k].distance(points[j]) <= reach)
                    .collect();
                assert_eq!(told, Some(plain), "point {k}, reach {reach}");
            }
        }
    }
}
