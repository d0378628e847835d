//! A short order in which to visit points.

use super::point::Point;
use rstar::RTree;
use rstar::primitives::GeomWithData;

/// Neighbours tried for each point when improving.
const NEIGHBOURS: usize = 10;

/// Length of an order, mm, without a way back.
pub fn length(points: &[Point], order: &[usize]) -> f64 {
    order
        .windows(2)
        .map(|w| points[w[0]].distance(points[w[1]]))
        .sum()
}

/// A short order through all points that begins nearest to `from`: nearest neighbour, then 2-opt and
/// moves of short runs until nothing shortens it.
pub fn short_order(points: &[Point], from: Point) -> Vec<usize> {
    let mut order = nearest_neighbour(points, from);
    improve(points, &mut order);
    order
}

fn tree(points: &[Point]) -> RTree<GeomWithData<[f64; 2], usize>> {
    RTree::bulk_load(
        points
            .iter()
            .enumerate()
            .map(|(i, p)| GeomWithData::new([p.x, p.y], i))
            .collect(),
    )
}

fn nearest_neighbour(points: &[Point], from: Point) -> Vec<usize> {
    let mut rest = tree(points);
    let mut order = Vec::with_capacity(points.len());
    let mut at = [from.x, from.y];
    while let Some(next) = rest.pop_nearest_neighbor(&at) {
        at = *next.geom();
        order.push(next.data);
    }
    order
}

/// Shortens an order in place; its first point stays first.
fn improve(points: &[Point], order: &mut [usize]) {
    let n = order.len();
    if n < 4 {
        return;
    }
    let near = tree(points);
    let neighbours: Vec<Vec<usize>> = points
        .iter()
        .enumerate()
        .map(|(i, p)| {
            let all = near.nearest_neighbor_iter(&[p.x, p.y]).map(|g| g.data);
            all.filter(|&k| k != i).take(NEIGHBOURS).collect()
        })
        .collect();
    let mut place = vec![0; points.len()];
    for (k, &i) in order.iter().enumerate() {
        place[i] = k;
    }
    let d = |a: usize, b: usize| points[a].distance(points[b]);
    // Each sweep only ever shortens, so it ends; the bound keeps a freak of rounding from looping.
    for _ in 0..50 {
        let mut improved = false;
        // The order changes underneath: visit every point once, by its number.
        for (a, near) in neighbours.iter().enumerate() {
            improved |= reverse_a_run(order, &mut place, near, a, &d);
            improved |= move_a_run(order, &mut place, near, a, &d);
        }
        if !improved {
            break;
        }
    }
}

/// 2-opt: join `a` to a near point by turning round what lies between.
fn reverse_a_run(
    order: &mut [usize],
    place: &mut [usize],
    neighbours: &[usize],
    a: usize,
    d: &dyn Fn(usize, usize) -> f64,
) -> bool {
    let n = order.len();
    let i = place[a];
    if i + 1 >= n {
        return false;
    }
    let b = order[i + 1];
    for &c in neighbours {
        if d(a, c) >= d(a, b) {
            break;
        }
        let j = place[c];
        let after = (j + 1 < n).then(|| order[j + 1]);
        let was = d(a, b) + after.map_or(0.0, |e| d(c, e));
        let will = d(a, c) + after.map_or(0.0, |e| d(b, e));
        if will < was - 1e-9 {
            let (low, high) = if i < j { (i + 1, j) } else { (j + 1, i) };
            order[low..=high].reverse();
            for k in low..=high {
                place[order[k]] = k;
            }
            return true;
        }
    }
    false
}

/// Or-opt: move the run of one to three points that begins at `a` behind a near point.
fn move_a_run(
    order: &mut [usize],
    place: &mut [usize],
    neighbours: &[usize],
    a: usize,
    d: &dyn Fn(usize, usize) -> f64,
) -> bool {
    let n = order.len();
    let i = place[a];
    for run in 1..=3 {
        if i == 0 || i + run > n {
            break;
        }
        let (before, last) = (order[i - 1], order[i + run - 1]);
        let after = order.get(i + run).copied();
        let gain = d(before, a) + after.map_or(0.0, |x| d(last, x) - d(before, x));
        for &c in neighbours {
            if d(c, a) >= gain {
                break;
            }
            let j = place[c];
            if (i..i + run).contains(&j) || j + 1 == i {
                continue;
            }
            let next = order.get(j + 1).copied();
            let added = d(c, a) + next.map_or(0.0, |e| d(last, e) - d(c, e));
            if added < gain - 1e-9 {
                let (low, high) = if j < i {
                    order[j + 1..i + run].rotate_right(run);
                    (j + 1, i + run)
                } else {
                    order[i..=j].rotate_left(run);
                    (i, j + 1)
                };
                for k in low..high {
                    place[order[k]] = k;
                }
                return true;
            }
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_point_is_visited_once_and_a_line_is_solved() {
        let points: Vec<Point> = [7, 2, 9, 4, 1, 3, 8, 5, 6, 0]
            .iter()
            .map(|&x| Point::new(f64::from(x), 0.0))
            .collect();
        let order = short_order(&points, Point::new(-1.0, 0.0));
        let mut seen = order.clone();
        seen.sort_unstable();
        assert_eq!(seen, (0..10).collect::<Vec<_>>());
        assert!((length(&points, &order) - 9.0).abs() < 1e-12);
    }

    #[test]
    fn it_is_never_longer_than_nearest_neighbour() {
        // A fixed linear congruential sequence: any points will do.
        let mut state = 1_u64;
        let mut next = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            (state >> 33) as f64 / 2.0_f64.powi(31) * 100.0
        };
        let points: Vec<Point> = (0..300).map(|_| Point::new(next(), next())).collect();
        let naive = nearest_neighbour(&points, Point::ORIGIN);
        let order = short_order(&points, Point::ORIGIN);
        let mut seen = order.clone();
        seen.sort_unstable();
        assert_eq!(seen, (0..300).collect::<Vec<_>>());
        assert!(length(&points, &order) < length(&points, &naive));
    }

    #[test]
    fn none_one_and_two_points_work() {
        assert!(short_order(&[], Point::ORIGIN).is_empty());
        assert_eq!(short_order(&[Point::ORIGIN], Point::ORIGIN), [0]);
        assert_eq!(
            short_order(&[Point::new(5.0, 0.0), Point::ORIGIN], Point::ORIGIN),
            [1, 0]
        );
    }
}
