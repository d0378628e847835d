//! How much a path turns inside a sliding window, and what that costs.
//!
//! θ(x) is the sum of absolute direction changes inside a window of length s centred at x. The machine
//! runs at the share r = 1 − c·(1 − cos min(θ, π))/2 of its feed there. θ is piecewise linear along lines
//! and arcs with jumps at corners, so the time is integrated exactly, and a finely chopped arc costs the
//! same as the arc.

use super::contour::Contour;
use super::point::Point;
use super::segment::Segment;
use std::f64::consts::PI;

/// A place where θ changes: by a jump at once, and by a change of its slope from there on.
#[derive(Clone, Copy)]
struct Change {
    at: f64,
    jump: f64,
    slope: f64,
}

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
        length + stretch(length, self.theta, self.slope, slowdown)
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

/// Length in mm that a closed path seems longer by because corners slow it: ∫ (1/r − 1) dx.
///
/// Divided by the feed it is the time that corners add. `window` in mm, `slowdown` c in 0 … 1 (below 1).
pub fn corner_excess(path: &Contour, window: f64, slowdown: f64) -> f64 {
    excess(&Turning::of(path), window, slowdown)
}

/// The same for an open chain of segments; before its first and behind its last nothing turns.
pub fn chain_excess(chain: &[Segment], window: f64, slowdown: f64) -> f64 {
    excess(&Turning::of_chain(chain), window, slowdown)
}

/// The stretches of a closed path from vertex 0 once around, for a window in mm.
pub fn stretches(path: &Contour, window: f64) -> Vec<Stretch> {
    collected(&Turning::of(path), window)
}

/// The stretches of an open chain from end to end.
pub fn chain_stretches(chain: &[Segment], window: f64) -> Vec<Stretch> {
    collected(&Turning::of_chain(chain), window)
}

fn excess(turning: &Turning, window: f64, slowdown: f64) -> f64 {
    if turning.total <= 0.0 || window <= 0.0 || slowdown <= 0.0 {
        return 0.0;
    }
    let mut sum = 0.0;
    turning.sweep(window / 2.0, |s| {
        sum += stretch(s.to - s.from, s.theta, s.slope, slowdown);
    });
    sum.max(0.0)
}

fn collected(turning: &Turning, window: f64) -> Vec<Stretch> {
    let mut out = Vec::with_capacity(2 * turning.changes.len() + 1);
    if turning.total > 0.0 {
        turning.sweep(window.max(0.0) / 2.0, |s| out.push(s));
    }
    out
}

/// Corners as jumps and |curvature| as slopes, along a path from its first vertex.
struct Turning {
    /// Whether the end runs on into the beginning.
    closed: bool,
    changes: Vec<Change>,
    /// |Curvature| just before vertex 0, 1/mm.
    seam_curvature: f64,
    /// Length of the path, mm.
    total: f64,
    /// Turning once around, radians.
    whole: f64,
}

impl Turning {
    fn of(path: &Contour) -> Self {
        let n = path.len();
        if n == 0 {
            return Self {
                closed: true,
                changes: Vec::new(),
                seam_curvature: 0.0,
                total: 0.0,
                whole: 0.0,
            };
        }
        let before = path.segment(n - 1);
        let seam_curvature = before.curvature().abs();
        let (mut direction, mut curvature) = (before.end_direction(), seam_curvature);
        let (mut along, mut whole) = (0.0, 0.0);
        let mut changes = Vec::with_capacity(n);
        for s in path.segments() {
            let k = s.curvature().abs();
            let jump = direction.turn_to(s.start_direction()).abs();
            changes.push(Change {
                at: along,
                jump,
                slope: k - curvature,
            });
            whole += jump + s.sweep().abs();
            direction = s.end_direction();
            curvature = k;
            along += s.length();
        }
        Self {
            closed: true,
            changes,
            seam_curvature,
            total: along,
            whole,
        }
    }

    fn of_chain(chain: &[Segment]) -> Self {
        let (mut along, mut curvature) = (0.0, 0.0);
        let mut changes = Vec::with_capacity(chain.len() + 1);
        let mut direction = None;
        for s in chain {
            let k = s.curvature().abs();
            let jump = direction.map_or(0.0, |d: Point| d.turn_to(s.start_direction()).abs());
            changes.push(Change {
                at: along,
                jump,
                slope: k - curvature,
            });
            direction = Some(s.end_direction());
            curvature = k;
            along += s.length();
        }
        changes.push(Change {
            at: along,
            jump: 0.0,
            slope: -curvature,
        });
        Self {
            closed: false,
            changes,
            seam_curvature: 0.0,
            total: along,
            whole: 0.0,
        }
    }

    /// Hands out stretch after stretch from 0 to the end, for a window of twice `half`.
    fn sweep(&self, half: f64, mut visit: impl FnMut(Stretch)) {
        // A change enters the window half a window before its place and leaves half a window behind it.
        if self.closed {
            let theta = self.cumulative(half) - self.cumulative(-half);
            let slope = self.curvature_before(half) - self.curvature_before(-half);
            let (enter, leave) = (self.shifted(-half, 1.0), self.shifted(half, -1.0));
            self.run((theta, slope), enter, leave, &mut visit);
        } else {
            let inside = self.changes.iter().take_while(|c| c.at < half);
            let (mut theta, mut slope) = (0.0, 0.0);
            for c in inside {
                theta += c.jump + c.slope * (half - c.at);
                slope += c.slope;
            }
            let moved = |shift: f64, sign: f64| {
                self.changes
                    .iter()
                    .map(move |c| Change {
                        at: c.at + shift,
                        jump: sign * c.jump,
                        slope: sign * c.slope,
                    })
                    .filter(|c| c.at >= 0.0 && c.at < self.total)
            };
            self.run(
                (theta, slope),
                moved(-half, 1.0),
                moved(half, -1.0),
                &mut visit,
            );
        }
    }

    fn run(
        &self,
        (mut theta, mut slope): (f64, f64),
        enter: impl Iterator<Item = Change>,
        leave: impl Iterator<Item = Change>,
        visit: &mut impl FnMut(Stretch),
    ) {
        let (mut enter, mut leave) = (enter.peekable(), leave.peekable());
        let mut x = 0.0;
        loop {
            let change = match (enter.peek(), leave.peek()) {
                (Some(a), Some(b)) if a.at <= b.at => enter.next(),
                (_, Some(_)) => leave.next(),
                (_, None) => enter.next(),
            };
            let to = change.map_or(self.total, |c| c.at);
            if to > x {
                visit(Stretch {
                    from: x,
                    to,
                    theta,
                    slope,
                });
                theta += slope * (to - x);
                x = to;
            }
            let Some(c) = change else { break };
            theta = (theta + c.jump).max(0.0);
            slope += c.slope;
        }
    }

    /// Turning from vertex 0 up to but not at x, taken around; negative before vertex 0.
    fn cumulative(&self, x: f64) -> f64 {
        let turns = (x / self.total).floor();
        let end = x - turns * self.total;
        let (mut sum, mut curvature, mut at) = (0.0, self.seam_curvature, 0.0);
        for c in self.changes.iter().take_while(|c| c.at < end) {
            sum += curvature * (c.at - at) + c.jump;
            curvature += c.slope;
            at = c.at;
        }
        turns * self.whole + sum + curvature * (end - at)
    }

    /// |Curvature| just before x, taken around, 1/mm.
    fn curvature_before(&self, x: f64) -> f64 {
        let x = x.rem_euclid(self.total);
        let passed = self.changes.iter().take_while(|c| c.at < x);
        self.seam_curvature + passed.map(|c| c.slope).sum::<f64>()
    }

    /// The changes moved along the path, in order from 0, taken around; `sign` −1 undoes them.
    fn shifted(&self, shift: f64, sign: f64) -> impl Iterator<Item = Change> {
        let place = move |c: &Change| (c.at + shift).rem_euclid(self.total);
        let n = self.changes.len();
        // Moving keeps the cyclic order: begin where it wraps.
        let first = (1..n)
            .find(|&k| place(&self.changes[k]) < place(&self.changes[k - 1]))
            .unwrap_or(0);
        (0..n).map(move |k| {
            let c = self.changes[(first + k) % n];
            Change {
                at: place(&c),
                jump: sign * c.jump,
                slope: sign * c.slope,
            }
        })
    }
}

/// ∫ (1/r − 1) dx over a stretch on which θ runs linearly.
fn stretch(length: f64, theta: f64, slope: f64, c: f64) -> f64 {
    let end = theta + slope * length;
    let full = 1.0 / (1.0 - c) - 1.0;
    if theta.max(end) > PI && (theta - PI) * (end - PI) < 0.0 {
        // Split where the half turn is reached: beyond it the feed falls no further.
        let to_pi = (PI - theta) / slope;
        return if theta < PI {
            stretch(to_pi, theta, slope, c) + full * (length - to_pi)
        } else {
            full * to_pi + stretch(length - to_pi, PI, slope, c)
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Vertex;

    /// Polygon with one corner of interest far from others cannot close, so compare whole shapes by hand.
    fn by_hand(turns: &[f64], window: f64, c: f64) -> f64 {
        turns
            .iter()
            .map(|t| window * (1.0 / (1.0 - c * (1.0 - t.cos()) / 2.0) - 1.0))
            .sum()
    }

    #[test]
    fn sharp_corners_add_exactly_the_window_each() {
        let square = Contour::polygon(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]);
        let expected = by_hand(&[PI / 2.0; 4], 0.75, 0.65);
        assert!((corner_excess(&square, 0.75, 0.65) - expected).abs() < 1e-12);
        let triangle = Contour::polygon(&[(0.0, 0.0), (30.0, 0.0), (15.0, 15.0 * 3.0_f64.sqrt())]);
        let expected = by_hand(&[PI / 1.5; 3], 1.5, 0.65);
        assert!((corner_excess(&triangle, 1.5, 0.65) - expected).abs() < 1e-12);
    }

    #[test]
    fn a_circle_is_slowed_evenly() {
        // θ = s/R everywhere.
        for r in [0.2, 0.4, 2.0, 50.0] {
            let c = Contour::circle(Point::new(3.0, 4.0), r);
            let theta = (0.7_f64 / r).min(PI);
            let expected = c.length() * (1.0 / (1.0 - 0.65 * (1.0 - theta.cos()) / 2.0) - 1.0);
            assert!(
                (corner_excess(&c, 0.7, 0.65) - expected).abs() < 1e-9 * expected.max(1.0),
                "{r}"
            );
        }
    }

    #[test]
    fn a_chopped_circle_costs_what_the_circle_costs() {
        let r = 2.0;
        let n = 720;
        let points: Vec<(f64, f64)> = (0..n)
            .map(|k| {
                let a = 2.0 * PI * f64::from(k) / f64::from(n);
                (r * a.cos(), r * a.sin())
            })
            .collect();
        let exact = corner_excess(&Contour::circle(Point::ORIGIN, r), 0.7, 0.65);
        let chopped = corner_excess(&Contour::polygon(&points), 0.7, 0.65);
        assert!((chopped / exact - 1.0).abs() < 1e-2, "{chopped} {exact}");
    }

    #[test]
    fn start_and_direction_do_not_matter() {
        let v = |x, y, bulge| Vertex {
            at: Point::new(x, y),
            bulge,
        };
        let shape = vec![
            v(0.0, 0.0, 0.0),
            v(10.0, 0.0, 0.4),
            v(10.0, 6.0, -0.3),
            v(4.0, 6.0, 0.0),
            v(4.0, 6.4, 0.9),
            v(0.0, 3.0, 0.0),
        ];
        let c = Contour::new(shape.clone());
        let reference = corner_excess(&c, 0.9, 0.65);
        assert!((corner_excess(&c.reversed(), 0.9, 0.65) - reference).abs() < 1e-9);
        for k in 1..shape.len() {
            let mut turned = shape.clone();
            turned.rotate_left(k);
            let e = corner_excess(&Contour::new(turned), 0.9, 0.65);
            assert!((e - reference).abs() < 1e-9, "{k}: {e} {reference}");
        }
    }

    #[test]
    fn an_open_chain_turns_only_where_it_turns() {
        // One right angle far from the ends adds the window; a straight chain adds nothing.
        let p = Point::new;
        let elbow = [
            Segment::line(p(0.0, 0.0), p(9.0, 0.0)),
            Segment::line(p(9.0, 0.0), p(9.0, 9.0)),
        ];
        let expected = by_hand(&[PI / 2.0], 0.75, 0.65);
        assert!((chain_excess(&elbow, 0.75, 0.65) - expected).abs() < 1e-12);
        assert_eq!(chain_excess(&elbow[..1], 0.75, 0.65), 0.0);
        // A quarter circle of radius 2: θ rises over the window's half at either end, else s/R.
        let arc = Segment::arc(Point::ORIGIN, 2.0, 0.0, PI / 2.0);
        let n = 100_000;
        let total = PI;
        let expected: f64 = (0..n)
            .map(|k| {
                let x = total * (f64::from(k) + 0.5) / f64::from(n);
                let theta = ((x + 0.4).min(total) - (x - 0.4).max(0.0)) / 2.0;
                total / f64::from(n) * (1.0 / (1.0 - 0.65 * (1.0 - theta.cos()) / 2.0) - 1.0)
            })
            .sum();
        assert!((chain_excess(&arc, 0.8, 0.65) - expected).abs() < 1e-8);
    }

    #[test]
    fn a_place_on_a_stretch_is_found_again() {
        for (theta, slope) in [
            (0.0, 0.0),
            (1.0, 0.0),
            (0.1, 2.0),
            (2.0, -1.5),
            (2.5, 1.5),
            (4.0, -1.5),
            (4.0, 0.1),
        ] {
            let s = Stretch {
                from: 3.0,
                to: 4.2,
                theta,
                slope,
            };
            for share in [0.0, 0.2, 0.5, 0.9, 1.0] {
                let until = Stretch {
                    to: 3.0 + 1.2 * share,
                    ..s
                };
                let back = s.place_after(until.slowed(0.65), 0.65);
                assert!(
                    (back - 1.2 * share).abs() < 1e-7,
                    "{theta} {slope} {share}: {back}"
                );
            }
        }
    }

    #[test]
    fn a_numerical_integral_agrees() {
        // Independent of the closed form: sum θ over a fine grid by brute force.
        let v = |x, y, bulge| Vertex {
            at: Point::new(x, y),
            bulge,
        };
        let c = Contour::new(vec![
            v(0.0, 0.0, 0.2),
            v(8.0, 0.0, 0.0),
            v(8.0, 5.0, -0.5),
            v(3.0, 5.0, 0.1),
            v(0.0, 4.0, 0.0),
        ]);
        let (window, slow) = (1.3, 0.65);
        let total = c.length();
        let n = 400_000;
        let h = total / f64::from(n);
        // Turning per cell of the grid.
        let mut cell = vec![0.0; n as usize];
        let mut along = 0.0;
        let mut before = c.segment(c.len() - 1).end_direction();
        for s in c.segments() {
            cell[((along / h) as usize).min(n as usize - 1)] +=
                before.turn_to(s.start_direction()).abs();
            before = s.end_direction();
            let k = s.curvature().abs();
            let (a, b) = ((along / h) as usize, ((along + s.length()) / h) as usize);
            for x in cell.iter_mut().take(b.min(n as usize)).skip(a) {
                *x += k * h;
            }
            along += s.length();
        }
        let w = (window / h / 2.0) as usize;
        let m = n as usize;
        let mut theta: f64 = (0..=2 * w).map(|j| cell[(m + j - w) % m]).sum();
        let mut excess = 0.0;
        for i in 0..m {
            excess += h * (1.0 / (1.0 - slow * (1.0 - theta.clamp(0.0, PI).cos()) / 2.0) - 1.0);
            theta += cell[(i + w + 1) % m] - cell[(m + i - w) % m];
        }
        let exact = corner_excess(&c, window, slow);
        assert!((exact / excess - 1.0).abs() < 1e-3, "{exact} {excess}");
    }
}
