//! A short order in which to visit points.
//!
//! Distances are rounded to a millionth of a millimetre and kept as whole numbers, and of equal ones the point with the
//! lower number is taken, so that the order does not depend on how a drawing is turned or mirrored.

use super::point::Point;
use crate::progress::look;
use rstar::RTree;
use rstar::primitives::GeomWithData;

/// Neighbours tried for each point when improving, and a few more where they are equally far.
const NEIGHBOURS: usize = 8;
const MOST_NEIGHBOURS: usize = 32;
/// Up to this many points the shortest order of all is found.
const EXACT: usize = 9;

/// Length of an order, mm, without a way back.
pub fn length(points: &[Point], order: &[usize]) -> f64 {
    order
        .windows(2)
        .map(|w| points[w[0]].distance(points[w[1]]))
        .sum()
}

/// A short order through all points, from `from` where that is given, else begun wherever it is shortest.
///
/// The shortest of all for a few points; else the best of several, each begun elsewhere and improved by 2-opt and
/// moves of short runs until nothing shortens it.
pub fn short_order(points: &[Point], from: Option<Point>) -> Vec<usize> {
    let n = points.len();
    if n < 2 {
        return (0..n).collect();
    }
    let route = Route { points, from };
    if n <= EXACT {
        return route.shortest();
    }
    let near = tree(points);
    let neighbours = route.neighbours(&near);
    let mut best: Option<(i64, Vec<usize>)> = None;
    for first in route.beginnings(&near) {
        // Number n stands for where the route begins, and stays first.
        let mut order = vec![n];
        order.extend(route.nearest_neighbour(first));
        route.improve(&neighbours, &mut order);
        let length = order.windows(2).map(|w| route.between(w[0], w[1])).sum();
        if best.as_ref().is_none_or(|b| length < b.0) {
            best = Some((length, order));
        }
    }
    best.map_or_else(Vec::new, |b| b.1[1..].to_vec())
}

type Tree = RTree<GeomWithData<[f64; 2], usize>>;

fn tree(points: &[Point]) -> Tree {
    RTree::bulk_load(
        points
            .iter()
            .enumerate()
            .map(|(i, p)| GeomWithData::new([p.x, p.y], i))
            .collect(),
    )
}

/// Millionths of a millimetre.
fn rounded(distance: f64) -> i64 {
    (distance * 1e6).round() as i64
}

struct Route<'a> {
    points: &'a [Point],
    from: Option<Point>,
}

impl Route<'_> {
    /// Distance of two points by number; where the route begins is as near to all where nothing else is said.
    fn between(&self, a: usize, b: usize) -> i64 {
        match (self.points.get(a), self.points.get(b)) {
            (Some(a), Some(b)) => rounded(a.distance(*b)),
            (Some(p), None) | (None, Some(p)) => self.from.map_or(0, |f| rounded(f.distance(*p))),
            (None, None) => 0,
        }
    }

    /// The shortest order of all, over subsets (Held and Karp 1962).
    fn shortest(&self) -> Vec<usize> {
        let n = self.points.len();
        let between: Vec<i64> = (0..n * n).map(|k| self.between(k / n, k % n)).collect();
        let all = 1_usize << n;
        // Length and point before, by what was visited and where one is.
        let mut known = vec![(i64::MAX, n); all * n];
        for k in 0..n {
            known[(1 << k) * n + k] = (self.between(n, k), n);
        }
        for visited in 1..all {
            for at in (0..n).filter(|k| visited & (1 << k) != 0) {
                let so_far = known[visited * n + at].0;
                if so_far == i64::MAX {
                    continue;
                }
                for next in (0..n).filter(|k| visited & (1 << k) == 0) {
                    let length = so_far + between[at * n + next];
                    let place = &mut known[(visited | (1 << next)) * n + next];
                    if length < place.0 {
                        *place = (length, at);
                    }
                }
            }
        }
        let mut visited = all - 1;
        let mut at = (0..n).min_by_key(|k| known[visited * n + k].0).unwrap_or(0);
        let mut order = Vec::with_capacity(n);
        while order.len() < n {
            order.push(at);
            let before = known[visited * n + at].1;
            visited &= !(1 << at);
            at = before;
        }
        order.reverse();
        order
    }

    /// Points nearest to each, the nearest first.
    fn neighbours(&self, near: &Tree) -> Vec<Vec<usize>> {
        let of = |i: usize| {
            let p = self.points[i];
            let mut found: Vec<(i64, usize)> = Vec::with_capacity(NEIGHBOURS + 4);
            for g in near.nearest_neighbor_iter(&[p.x, p.y]) {
                let d = self.between(i, g.data);
                let full = found.len() >= NEIGHBOURS && found[found.len() - 1].0 < d;
                if full || found.len() >= MOST_NEIGHBOURS {
                    break;
                }
                if g.data != i {
                    found.push((d, g.data));
                }
            }
            found.sort_unstable();
            found.into_iter().map(|f| f.1).collect()
        };
        (0..self.points.len()).map(of).collect()
    }

    /// First points to try: the nearest to where the route begins, or the ends and the middle of them all.
    fn beginnings(&self, near: &Tree) -> Vec<usize> {
        let n = self.points.len();
        if let Some(from) = self.from {
            let first = self.nearest(near, from);
            let second = (0..n).filter(|k| Some(*k) != first);
            let second = second.min_by_key(|k| (self.between(n, *k), *k));
            return first.into_iter().chain(second).collect();
        }
        let sum = self.points.iter().fold(Point::ORIGIN, |s, p| s + *p);
        let middle = sum * (1.0 / n as f64);
        let off = |k: &usize| rounded(self.points[*k].distance(middle));
        let far = (0..n).min_by_key(|k| (-off(k), *k)).unwrap_or(0);
        let opposite = (0..n).min_by_key(|k| (-self.between(far, *k), *k));
        let inmost = (0..n).min_by_key(|k| (off(k), *k));
        let mut out = vec![far];
        out.extend(opposite);
        out.extend(inmost);
        out.dedup();
        out
    }

    /// The nearest point of a tree, the lowest number of equally near ones.
    fn nearest(&self, near: &Tree, at: Point) -> Option<usize> {
        let mut all = near.nearest_neighbor_iter(&[at.x, at.y]).map(|g| g.data);
        let first = all.next()?;
        let far = |k: usize| rounded(self.points[k].distance(at));
        let limit = far(first);
        Some(all.take_while(|k| far(*k) <= limit).fold(first, usize::min))
    }

    fn nearest_neighbour(&self, first: usize) -> Vec<usize> {
        let mut rest = tree(self.points);
        let mut order = Vec::with_capacity(self.points.len());
        let mut next = Some(first);
        while let Some(k) = next {
            look();
            let p = self.points[k];
            rest.remove(&GeomWithData::new([p.x, p.y], k));
            order.push(k);
            next = self.nearest(&rest, p);
        }
        order
    }

    /// Shortens an order in place; its first stays first.
    fn improve(&self, neighbours: &[Vec<usize>], order: &mut [usize]) {
        let mut place = vec![0; order.len()];
        for (k, &i) in order.iter().enumerate() {
            place[i] = k;
        }
        let d = |a: usize, b: usize| self.between(a, b);
        // Each sweep only ever shortens, so it ends; the bound keeps the time within reason.
        for _ in 0..50 {
            let mut improved = false;
            // The order changes underneath: visit every point once, by its number.
            for (a, near) in neighbours.iter().enumerate() {
                look();
                improved |= reverse_a_run(order, &mut place, near, a, &d);
                improved |= reverse_before(order, &mut place, near, a, &d);
                improved |= move_a_run(order, &mut place, near, a, &d);
            }
            if !improved {
                break;
            }
        }
    }
}

/// 2-opt: join `a` to a near point by turning round what lies between.
fn reverse_a_run(
    order: &mut [usize],
    place: &mut [usize],
    neighbours: &[usize],
    a: usize,
    d: &dyn Fn(usize, usize) -> i64,
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
        let was = d(a, b) + after.map_or(0, |e| d(c, e));
        let will = d(a, c) + after.map_or(0, |e| d(b, e));
        if will < was {
            let (low, high) = if i < j { (i + 1, j) } else { (j + 1, i) };
            turn_round(order, place, low, high);
            return true;
        }
    }
    false
}

/// 2-opt on the other side: what comes before `a` and before a near point.
fn reverse_before(
    order: &mut [usize],
    place: &mut [usize],
    neighbours: &[usize],
    a: usize,
    d: &dyn Fn(usize, usize) -> i64,
) -> bool {
    let i = place[a];
    if i == 0 {
        return false;
    }
    let before = order[i - 1];
    for &c in neighbours {
        if d(a, c) >= d(before, a) {
            break;
        }
        let j = place[c];
        if j == 0 {
            continue;
        }
        let other = order[j - 1];
        if d(before, other) + d(a, c) < d(before, a) + d(other, c) {
            let (low, high) = if i < j { (i, j - 1) } else { (j, i - 1) };
            turn_round(order, place, low, high);
            return true;
        }
    }
    false
}

fn turn_round(order: &mut [usize], place: &mut [usize], low: usize, high: usize) {
    order[low..=high].reverse();
    for k in low..=high {
        place[order[k]] = k;
    }
}

/// Or-opt: move the run of one to three points that begins at `a` behind a near point.
fn move_a_run(
    order: &mut [usize],
    place: &mut [usize],
    neighbours: &[usize],
    a: usize,
    d: &dyn Fn(usize, usize) -> i64,
) -> bool {
    let n = order.len();
    let i = place[a];
    for run in 1..=3 {
        if i == 0 || i + run > n {
            break;
        }
        let (before, last) = (order[i - 1], order[i + run - 1]);
        let after = order.get(i + run).copied();
        let gain = d(before, a) + after.map_or(0, |x| d(last, x) - d(before, x));
        for &c in neighbours {
            if d(c, a) >= gain {
                break;
            }
            let j = place[c];
            if (i..i + run).contains(&j) || j + 1 == i {
                continue;
            }
            let next = order.get(j + 1).copied();
            let added = d(c, a) + next.map_or(0, |e| d(last, e) - d(c, e));
            if added < gain {
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

    /// A fixed linear congruential sequence: any points will do.
    fn scattered(count: usize, seed: u64) -> Vec<Point> {
        let mut state = seed;
        let mut next = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            (state >> 33) as f64 / 2.0_f64.powi(31) * 100.0
        };
        (0..count).map(|_| Point::new(next(), next())).collect()
    }

    fn sorted(order: &[usize]) -> Vec<usize> {
        let mut seen = order.to_vec();
        seen.sort_unstable();
        seen
    }

    #[test]
    fn every_point_is_visited_once_and_a_line_is_solved() {
        let points: Vec<Point> = [7, 2, 9, 4, 1, 3, 8, 5, 6, 0, 12, 11]
            .iter()
            .map(|&x| Point::new(f64::from(x), 0.0))
            .collect();
        for (from, expected) in [(Some(Point::new(-1.0, 0.0)), 12.0), (None, 12.0)] {
            let order = short_order(&points, from);
            assert_eq!(sorted(&order), (0..12).collect::<Vec<_>>());
            assert!((length(&points, &order) - expected).abs() < 1e-12);
        }
    }

    #[test]
    fn a_few_points_have_the_shortest_order_of_all() {
        // Against every order there is.
        fn orders(n: usize) -> Vec<Vec<usize>> {
            if n == 0 {
                return vec![Vec::new()];
            }
            let mut out = Vec::new();
            for shorter in orders(n - 1) {
                for at in 0..=shorter.len() {
                    let mut o = shorter.clone();
                    o.insert(at, n - 1);
                    out.push(o);
                }
            }
            out
        }
        for seed in 1..20 {
            let points = scattered(6, seed);
            for from in [None, Some(Point::new(50.0, -20.0))] {
                let whole = |o: &[usize]| {
                    length(&points, o) + from.map_or(0.0, |f| f.distance(points[o[0]]))
                };
                let best = orders(6)
                    .iter()
                    .map(|o| whole(o))
                    .fold(f64::INFINITY, f64::min);
                assert!((whole(&short_order(&points, from)) - best).abs() < 1e-5);
            }
        }
    }

    #[test]
    fn turned_and_mirrored_the_order_stays_the_same() {
        let grid = (0..60).map(|k| Point::new(f64::from(k % 10) * 7.0, f64::from(k / 10) * 7.0));
        for points in [grid.collect::<Vec<_>>(), scattered(300, 3)] {
            let own = short_order(&points, None);
            for k in 1..12 {
                let (sin, cos) = (f64::from(k) * 0.53).sin_cos();
                let turned = |p: &Point| Point::new(cos * p.x - sin * p.y, sin * p.x + cos * p.y);
                let turned: Vec<Point> = points.iter().map(turned).collect();
                assert_eq!(short_order(&turned, None), own, "turned {k}");
                let mirrored: Vec<Point> = turned.iter().map(|p| Point::new(-p.x, p.y)).collect();
                assert_eq!(short_order(&mirrored, None), own, "mirrored {k}");
            }
        }
    }

    #[test]
    fn it_is_never_longer_than_nearest_neighbour() {
        for seed in 1..6 {
            let points = scattered(300, seed);
            let route = Route {
                points: &points,
                from: None,
            };
            let naive = route.nearest_neighbour(0);
            let order = short_order(&points, None);
            assert_eq!(sorted(&order), (0..300).collect::<Vec<_>>());
            assert!(length(&points, &order) < length(&points, &naive));
        }
        // Two rows of ten, 7 apart: along one and back along the other.
        let rows: Vec<Point> = (0..20)
            .map(|k| Point::new(f64::from(k % 10) * 7.0, f64::from(k / 10) * 7.0))
            .collect();
        assert!((length(&rows, &short_order(&rows, None)) - 19.0 * 7.0).abs() < 1e-9);
    }

    #[test]
    fn none_one_two_and_equal_points_work() {
        assert!(short_order(&[], None).is_empty());
        assert_eq!(short_order(&[Point::ORIGIN], Some(Point::ORIGIN)), [0]);
        assert_eq!(
            short_order(&[Point::new(5.0, 0.0), Point::ORIGIN], Some(Point::ORIGIN)),
            [1, 0]
        );
        let same = vec![Point::ORIGIN; 50];
        assert_eq!(sorted(&short_order(&same, None)).len(), 50);
    }
}
