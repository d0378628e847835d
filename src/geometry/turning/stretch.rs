//! A stretch on which θ runs linearly, and what it costs: the integral in closed form.

use std::f64::consts::PI;

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

/// 1/r, the inverse of the share of the feed, at θ within 0 … π.
fn inverse_share(theta: f64, c: f64) -> f64 {
    1.0 / (1.0 - c * (1.0 - theta.cos()) / 2.0)
}

/// The same integral where θ runs from `a` to `b`, both within 0 … π.
fn smooth_excess(length: f64, a: f64, b: f64, c: f64) -> f64 {
    if (b - a).abs() < 1e-7 {
        return length * (inverse_share(0.5 * (a + b), c) - 1.0);
    }
    if (b - a).abs() < 0.1 {
        // Gauss–Legendre with three points: exact to rounding over so short a turn, and quicker.
        let (middle, half) = (0.5 * (a + b), 0.5 * (b - a));
        let node = half * 0.774_596_669_241_483_4;
        let sides = inverse_share(middle - node, c) + inverse_share(middle + node, c);
        let mean = (5.0 * sides + 8.0 * inverse_share(middle, c)) / 18.0;
        return length * (mean - 1.0);
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
    if (b - a).abs() < 1e-7 {
        return slowed / inverse_share(0.5 * (a + b), c);
    }
    let slope = (b - a) / length;
    let root = (1.0 - c).sqrt();
    let start = (root * (a / 2.0).sin()).atan2((a / 2.0).cos());
    let angle = start + root / 2.0 * slope * slowed;
    let theta = 2.0 * angle.sin().atan2(root * angle.cos());
    (theta - a) / slope
}
