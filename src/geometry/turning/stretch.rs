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
        let end = self.theta + self.slope * length;
        let slowest = 1.0 - slowdown;
        let place = if self.theta >= PI && end >= PI {
            slowed * slowest
        } else if (end - self.theta).abs() < 1e-7 {
            slowed * self.feed_share(0.5 * (self.from + self.to), slowdown)
        } else if self.theta.max(end) > PI {
            let to_pi = (PI - self.theta) / self.slope;
            let first = Self {
                to: self.from + to_pi,
                ..*self
            };
            let second = Self {
                from: first.to,
                theta: if self.slope > 0.0 { PI + 1e-12 } else { PI },
                ..*self
            };
            let until = if self.slope > 0.0 {
                first.slowed(slowdown)
            } else {
                to_pi / slowest
            };
            match (slowed <= until, self.slope > 0.0) {
                (true, true) => first.place_after(slowed, slowdown),
                (true, false) => slowed * slowest,
                (false, true) => to_pi + (slowed - until) * slowest,
                (false, false) => to_pi + second.place_after(slowed - until, slowdown),
            }
        } else {
            let root = slowest.sqrt();
            let start = (root * (self.theta / 2.0).sin()).atan2((self.theta / 2.0).cos());
            let angle = start + root / 2.0 * self.slope * slowed;
            let theta = 2.0 * angle.sin().atan2(root * angle.cos());
            (theta - self.theta) / self.slope
        };
        place.clamp(0.0, length)
    }
}

/// ∫ (1/r − 1) dx over a stretch on which θ runs linearly.
pub(super) fn excess_of(length: f64, theta: f64, slope: f64, c: f64) -> f64 {
    let end = theta + slope * length;
    let full = 1.0 / (1.0 - c) - 1.0;
    if theta.max(end) > PI && (theta - PI) * (end - PI) < 0.0 {
        // Split where the half turn is reached: beyond it the feed falls no further.
        let to_pi = (PI - theta) / slope;
        return if theta < PI {
            excess_of(to_pi, theta, slope, c) + full * (length - to_pi)
        } else {
            full * to_pi + excess_of(length - to_pi, PI, slope, c)
        };
    }
    if theta >= PI && end >= PI {
        return full * length;
    }
    let (a, b) = (theta.clamp(0.0, PI), end.clamp(0.0, PI));
    if (b - a).abs() < 1e-7 {
        let middle = 0.5 * (a + b);
        return length * (1.0 / (1.0 - c * (1.0 - middle.cos()) / 2.0) - 1.0);
    }
    if (b - a).abs() < 0.1 {
        // Gauss–Legendre with three points: exact to rounding over so short a turn, and quicker.
        let (middle, half) = (0.5 * (a + b), 0.5 * (b - a));
        let node = half * 0.774_596_669_241_483_4;
        let inverse = |t: f64| 1.0 / (1.0 - c * (1.0 - t.cos()) / 2.0);
        let mean = (5.0 * (inverse(middle - node) + inverse(middle + node))
            + 8.0 * inverse(middle))
            / 18.0;
        return length * (mean - 1.0);
    }
    // ∫ dθ / (1 − c(1 − cos θ)/2) = 2/√(1−c) · atan(√(1−c) · tan(θ/2)), a standard integral.
    let root = (1.0 - c).sqrt();
    let primitive = |t: f64| 2.0 / root * (root * (t / 2.0).sin()).atan2((t / 2.0).cos());
    length * ((primitive(b) - primitive(a)) / (b - a) - 1.0)
}
