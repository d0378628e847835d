//! Length and area of a smooth curve by adaptive Gauss–Legendre quadrature.

use crate::geometry::Point;
use crate::geometry::biarc::Sample;
use std::sync::OnceLock;

/// Nodes of the rule: exact for polynomials up to degree 23.
const NODES: usize = 12;
/// Relative agreement of one step with its two halves.
const AGREEMENT: f64 = 1e-13;
/// Halvings after which the sum stands as it is.
const DEEPEST: u32 = 24;

/// Length and area beyond the chord from `start`: ½∮(x dy − y dx) over the curve closed by its chord.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Measure {
    /// Length, mm.
    pub length: f64,
    /// Signed area between curve and chord, mm²; see `Segment::area_beyond_chord`.
    pub area: f64,
}

/// Measures the curve `f` between two parameters.
///
/// Positions are taken about the start, so a curve far from the origin keeps its digits. `scale` is
/// the largest coordinate, mm: below its rounding nothing is refined.
pub fn measure(f: &impl Fn(f64) -> Sample, from: f64, to: f64, scale: f64) -> Measure {
    let start = f(from).0;
    let integrand = |t: f64| {
        let (p, d) = f(t);
        [d.norm(), 0.5 * (p - start).cross(d)]
    };
    let floor = 1e-13 * scale.max(1e-3);
    let whole = rule(&integrand, from, to);
    let [length, area] = refine(
        &integrand,
        from,
        to,
        whole,
        [floor, floor * scale.max(1e-3)],
        DEEPEST,
    );
    Measure { length, area }
}

fn refine(
    f: &impl Fn(f64) -> [f64; 2],
    from: f64,
    to: f64,
    whole: [f64; 2],
    floor: [f64; 2],
    depth: u32,
) -> [f64; 2] {
    let middle = 0.5 * (from + to);
    let (left, right) = (rule(f, from, middle), rule(f, middle, to));
    let sum = [left[0] + right[0], left[1] + right[1]];
    let agrees =
        (0..2).all(|k| (sum[k] - whole[k]).abs() <= (AGREEMENT * sum[k].abs()).max(floor[k]));
    if agrees || depth == 0 {
        return sum;
    }
    let left = refine(f, from, middle, left, floor, depth - 1);
    let right = refine(f, middle, to, right, floor, depth - 1);
    [left[0] + right[0], left[1] + right[1]]
}

fn rule(f: &impl Fn(f64) -> [f64; 2], from: f64, to: f64) -> [f64; 2] {
    let (middle, half) = (0.5 * (from + to), 0.5 * (to - from));
    let mut sum = [0.0; 2];
    for &(node, weight) in table() {
        let value = f(middle + half * node);
        sum[0] += weight * value[0];
        sum[1] += weight * value[1];
    }
    [sum[0] * half, sum[1] * half]
}

/// Nodes and weights: zeros of the Legendre polynomial by Newton's method, from the start values of
/// Abramowitz and Stegun, Handbook of Mathematical Functions, 22.16.6; weights by 25.4.29.
fn table() -> &'static [(f64, f64); NODES] {
    static TABLE: OnceLock<[(f64, f64); NODES]> = OnceLock::new();
    TABLE.get_or_init(|| {
        std::array::from_fn(|k| {
            let n = NODES as f64;
            let mut x = (std::f64::consts::PI * (k as f64 + 0.75) / (n + 0.5)).cos();
            let mut slope = 1.0;
            for _ in 0..8 {
                let (mut before, mut p) = (1.0, x);
                for j in 2..=NODES {
                    let j = j as f64;
                    (before, p) = (p, ((2.0 * j - 1.0) * x * p - (j - 1.0) * before) / j);
                }
                slope = n * (x * p - before) / (x * x - 1.0);
                x -= p / slope;
            }
            (x, 2.0 / ((1.0 - x * x) * slope * slope))
        })
    })
}

/// Adds pieces that follow each other: joints in order with each piece's measure.
pub fn joined(pieces: impl IntoIterator<Item = (Point, Point, Measure)>) -> Measure {
    let mut total = Measure::default();
    let mut origin: Option<Point> = None;
    for (a, b, m) in pieces {
        let origin = *origin.get_or_insert(a);
        total.length += m.length;
        total.area += m.area + 0.5 * (a - origin).cross(b - origin);
    }
    total
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    #[test]
    fn the_weights_add_up_and_a_high_power_is_exact() {
        assert!((table().iter().map(|t| t.1).sum::<f64>() - 2.0).abs() < 1e-14);
        // ∫₋₁¹ x²² dx = 2/23.
        let sum: f64 = table().iter().map(|t| t.1 * t.0.powi(22)).sum();
        assert!((sum - 2.0 / 23.0).abs() < 1e-14);
    }

    #[test]
    fn an_ellipse_by_its_series() {
        // Perimeter 2πa·Σ −[(2n)!/(2ⁿn!)²]²·e²ⁿ/(2n−1): Abramowitz and Stegun 17.3.12 for E(m).
        let (a, b) = (10.0, 4.0);
        let m = 1.0 - b * b / (a * a);
        let (mut c, mut series) = (1.0_f64, 1.0_f64);
        for n in 1..400 {
            let n = f64::from(n);
            c *= ((2.0 * n - 1.0) / (2.0 * n)).powi(2) * m;
            series -= c / (2.0 * n - 1.0);
        }
        let f = |t: f64| {
            (
                Point::new(a * t.cos(), b * t.sin()),
                Point::new(-a * t.sin(), b * t.cos()),
            )
        };
        let measured = measure(&f, 0.0, TAU, a);
        assert!((measured.length - TAU * a * series).abs() < 1e-10 * TAU * a);
        assert!((measured.area - std::f64::consts::PI * a * b).abs() < 1e-10);
    }
}
