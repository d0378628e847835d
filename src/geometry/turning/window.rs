//! θ along a path: the turning inside a window that slides over corners, lines and arcs.

use super::stretch::Stretch;
use crate::geometry::contour::Contour;
use crate::geometry::point::Point;
use crate::geometry::segment::Segment;

/// A place where θ changes: by a jump at once, and by a change of its slope from there on.
#[derive(Clone, Copy)]
pub(super) struct Change {
    at: f64,
    jump: f64,
    slope: f64,
}

/// Corners as jumps and |curvature| as slopes, along a path from its first vertex.
pub(super) struct Turning {
    /// Whether the end runs on into the beginning.
    closed: bool,
    pub(super) changes: Vec<Change>,
    /// |Curvature| just before vertex 0, 1/mm.
    seam_curvature: f64,
    /// Length of the path, mm.
    pub(super) total: f64,
    /// Turning once around, radians.
    whole: f64,
}

impl Turning {
    pub(super) fn of(path: &Contour) -> Self {
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

    pub(super) fn of_chain(chain: &[Segment]) -> Self {
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
    pub(super) fn sweep(&self, half: f64, mut visit: impl FnMut(Stretch)) {
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
