//! A stretch on which θ runs linearly, and what it costs: the integral in closed form.

use std::f64::consts::{FRAC_PI_2, PI};

/// A stretch of a path on which θ runs linearly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Where it begins along the path, mm.
    pub from: f64,
    /// Where it ends, mm.
    pub to: f64,
    /// θ where it begins, radians.
    pub theta: f64,
    /// Change of θ, radians a mm.
    pub slope: f64,
}

impl Stretch {
    /// Length of a straight path that takes as long: ∫ dx/r, mm. `slowdown` c in 0 … 1 (below 1).
    pub fn slowed(&self, slowdown: f64) -> f64 {
        let length = self.to - self.from;
        length + excess_of(length, self.theta, self.slope, slowdown)
    }
    /// Share of the feed at a place along the path inside it.
    pub fn feed_share(&self, along: f64, slowdown: f64) -> f64 {
        let theta = self.theta + self.slope * (along - self.from);
        1.0 - slowdown * (1.0 - theta.clamp(0.0, PI).cos()) / 2.0
    }
    /// How far from its beginning the wire is when it has run `slowed` mm of the straight path that takes
    /// as long: the inverse of [`Self::slowed`], mm.
    pub fn place_after(&self, slowed: f64, slowdown: f64) -> f64 {
        let length = self.to - self.from;
        let slowest = 1.0 - slowdown;
        let h = Halves::of(length, self.theta, self.slope);
        let place = if h.smooth_first {
            let until = h.smooth + smooth_excess(h.smooth, h.from, h.to, slowdown);
            if slowed <= until {
                smooth_place(h.smooth, h.from, h.to, slowed, slowdown)
            } else {
                h.smooth + (slowed - until) * slowest
            }
        } else {
            let beyond = length - h.smooth;
            let until = beyond / slowest;
            if slowed <= until {
                slowed * slowest
            } else {
                beyond + smooth_place(h.smooth, h.from, h.to, slowed - until, slowdown)
            }
        };
        place.clamp(0.0, length)
    }
}

/// A stretch parted where θ passes π: beyond it the feed falls no further.
struct Halves {
    /// Length on which θ lies within 0 … π, mm.
    smooth: f64,
    /// θ where that part begins and ends, at most π exactly.
    from: f64,
    to: f64,
    /// Whether it comes first; the part beyond π then follows.
    smooth_first: bool,
}

impl Halves {
    fn of(length: f64, theta: f64, slope: f64) -> Self {
        let end = theta + slope * length;
        // θ at the parting is π by what it is, not by a sum that rounding could lift past it.
        let to_pi = || ((PI - theta) / slope).clamp(0.0, length);
        let smooth = match (theta > PI, end > PI) {
            (false, false) => length,
            (true, true) => 0.0,
            (false, true) => to_pi(),
            (true, false) => length - to_pi(),
        };
        Self {
            smooth,
            from: theta.clamp(0.0, PI),
            to: end.clamp(0.0, PI),
            smooth_first: theta <= PI,
        }
    }
}

/// ∫ (1/r − 1) dx over a stretch on which θ runs linearly.
pub(super) fn excess_of(length: f64, theta: f64, slope: f64, c: f64) -> f64 {
    let h = Halves::of(length, theta, slope);
    let full = 1.0 / (1.0 - c) - 1.0;
    smooth_excess(h.smooth, h.from, h.to, c) + full * (length - h.smooth)
}

/// Over less turn than this the feed is one and the same, radians: taking the middle misses by h²/24 times the second
/// derivative, below rounding.
const NO_TURN: f64 = 1e-7;
/// Up to this turn three places are enough: they miss by h⁶/2 016 000 times the sixth derivative, below 1e-14 (error
/// term of Gauss–Legendre quadrature, from memory).
const THREE_PLACES: f64 = 0.05;
/// Up to this turn five are: they miss by 4e-13·h¹⁰ times the tenth derivative.
const FIVE_PLACES: f64 = 0.2;

/// 1/r, the inverse of the share of the feed, at θ within 0 … π.
fn inverse_share(theta: f64, c: f64) -> f64 {
    1.0 / (1.0 - c * (1.0 - cosine(theta)) / 2.0)
}

/// The same integral where θ runs from `a` to `b`, both within 0 … π.
fn smooth_excess(length: f64, a: f64, b: f64, c: f64) -> f64 {
    let turned = (b - a).abs();
    if a + b == 0.0 {
        return 0.0;
    }
    let middle = 0.5 * (a + b);
    if turned < NO_TURN {
        return length * (inverse_share(middle, c) - 1.0);
    }
    if turned < FIVE_PLACES {
        // Gauss–Legendre: exact to rounding over so short a turn, and quicker than the closed form.
        let nodes: &[(f64, f64)] = if turned < THREE_PLACES {
            &GAUSS_3
        } else {
            &GAUSS_5
        };
        let mean: f64 = nodes
            .iter()
            .map(|(place, weight)| weight * inverse_share(middle + 0.5 * (b - a) * place, c))
            .sum();
        return length * (0.5 * mean - 1.0);
    }
    // ∫ dθ / (1 − c(1 − cos θ)/2) = 2/√(1−c) · atan(√(1−c) · tan(θ/2)), a standard integral.
    let root = (1.0 - c).sqrt();
    let primitive = |t: f64| 2.0 / root * (root * (t / 2.0).sin()).atan2((t / 2.0).cos());
    length * ((primitive(b) - primitive(a)) / (b - a) - 1.0)
}

/// Where the wire is after `slowed` mm of the straight path that takes as long, θ running from `a` to `b`.
fn smooth_place(length: f64, a: f64, b: f64, slowed: f64, c: f64) -> f64 {
    if length <= 0.0 {
        return 0.0;
    }
    if (b - a).abs() < NO_TURN {
        return slowed / inverse_share(0.5 * (a + b), c);
    }
    let slope = (b - a) / length;
    let root = (1.0 - c).sqrt();
    let start = (root * (a / 2.0).sin()).atan2((a / 2.0).cos());
    let angle = start + root / 2.0 * slope * slowed;
    let theta = 2.0 * angle.sin().atan2(root * angle.cos());
    (theta - a) / slope
}

/// Places and weights of Gauss–Legendre quadrature on −1 … 1 (Abramowitz & Stegun, table 25.4; from memory).
const GAUSS_3: [(f64, f64); 3] = [
    (-0.774_596_669_241_483_4, 5.0 / 9.0),
    (0.0, 8.0 / 9.0),
    (0.774_596_669_241_483_4, 5.0 / 9.0),
];
/// Of five points.
const GAUSS_5: [(f64, f64); 5] = [
    (-0.906_179_845_938_664, 0.236_926_885_056_189_1),
    (-0.538_469_310_105_683, 0.478_628_670_499_366_5),
    (0.0, 0.568_888_888_888_888_9),
    (0.538_469_310_105_683, 0.478_628_670_499_366_5),
    (0.906_179_845_938_664, 0.236_926_885_056_189_1),
];

/// cos t for t from 0 to π: the series of −sin about the quarter turn, whose next term is below 3e-16.
fn cosine(t: f64) -> f64 {
    let x = t - FRAC_PI_2;
    let q = x * x;
    let series = COEFFICIENTS.iter().rev().fold(0.0, |sum, c| sum * q + c);
    -x * series
}

/// 1/1!, −1/3!, 1/5! … −1/19!.
const COEFFICIENTS: [f64; 10] = [
    1.0,
    -1.0 / 6.0,
    1.0 / 120.0,
    -1.0 / 5_040.0,
    1.0 / 362_880.0,
    -1.0 / 39_916_800.0,
    1.0 / 6_227_020_800.0,
    -1.0 / 1_307_674_368_000.0,
    1.0 / 355_687_428_096_000.0,
    -1.0 / 121_645_100_408_832_000.0,
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quadrature_and_closed_form_agree() {
        // ∫ dθ / (1 − c(1 − cos θ)/2) in closed form, see above.
        for c in [0.3, 0.65] {
            let root = f64::sqrt(1.0 - c);
            let closed = |a: f64, b: f64| {
                let p = |t: f64| 2.0 / root * (root * (t / 2.0).sin()).atan2((t / 2.0).cos());
                (p(b) - p(a)) / (b - a) - 1.0
            };
            for a in [0.0, 0.7, 2.5] {
                for turned in [0.04, 0.06, 0.15, 0.19, 0.3] {
                    for (from, to) in [(a, a + turned), (a + turned, a)] {
                        let found = excess_of(2.0, from, (to - from) / 2.0, c);
                        assert!(
                            (found - 2.0 * closed(from, to)).abs() < 1e-11,
                            "{c} {from} {to}"
                        );
                    }
                }
            }
            // Past a half turn and back.
            let full = 1.0 / (1.0 - c) - 1.0;
            let expected = closed(2.6, PI) * (PI - 2.6) + full * (3.4 - PI);
            assert!((excess_of(0.8, 2.6, 1.0, c) - expected).abs() < 1e-11);
            assert!((excess_of(0.8, 3.4, -1.0, c) - expected).abs() < 1e-11);
        }
    }

    #[test]
    fn the_cosine_is_the_cosine() {
        for k in 0..=1000 {
            let t = PI * f64::from(k) / 1000.0;
            assert!((cosine(t) - t.cos()).abs() < 1e-15, "{t}");
        }
    }
}
