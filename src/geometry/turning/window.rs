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
        let seam = Contribution::of(&path.segment(n - 1));
        let mut out = Self {
            closed: true,
            changes: Vec::with_capacity(n),
            seam_curvature: seam.curvature,
            total: 0.0,
            whole: 0.0,
        };
        path.segments().fold(seam, |before, s| out.add(&before, &s));
        out
    }

    pub(super) fn of_chain(chain: &[Segment]) -> Self {
        let mut out = Self {
            closed: false,
            changes: Vec::with_capacity(chain.len() + 1),
            seam_curvature: 0.0,
            total: 0.0,
            whole: 0.0,
        };
        let last = chain
            .iter()
            .fold(Contribution::NOTHING, |before, s| out.add(&before, s));
        out.changes.push(Change {
            at: out.total,
            jump: 0.0,
            slope: -last.curvature,
        });
        out
    }

    /// Goes on by one segment.
    fn add(&mut self, before: &Contribution, s: &Segment) -> Contribution {
        let piece = Contribution::of(s);
        let jump = angle(before.end, piece.start);
        self.changes.push(Change {
            at: self.total,
            jump,
            slope: piece.curvature - before.curvature,
        });
        self.whole += jump + piece.curvature * piece.length;
        self.total += piece.length;
        piece
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
        mut enter: impl Iterator<Item = Change>,
        mut leave: impl Iterator<Item = Change>,
        visit: &mut impl FnMut(Stretch),
    ) {
        // In place of what is used up: a change beyond the end.
        let end = Change {
            at: f64::INFINITY,
            jump: 0.0,
            slope: 0.0,
        };
        let (mut a, mut b) = (enter.next().unwrap_or(end), leave.next().unwrap_or(end));
        let mut x = 0.0;
        loop {
            let change = if a.at <= b.at {
                std::mem::replace(&mut a, enter.next().unwrap_or(end))
            } else {
                std::mem::replace(&mut b, leave.next().unwrap_or(end))
            };
            let to = change.at.min(self.total);
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
            if change.at == f64::INFINITY {
                break;
            }
            theta = (theta + change.jump).max(0.0);
            slope += change.slope;
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
        let shift = shift.rem_euclid(self.total);
        let place = move |c: &Change| {
            let at = c.at + shift;
            if at < self.total { at } else { at - self.total }
        };
        let n = self.changes.len();
        // Moving keeps the cyclic order: begin where it wraps.
        let first = self.changes.partition_point(|c| c.at + shift < self.total) % n.max(1);
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

/// What a segment contributes.
struct Contribution {
    start: Point,
    end: Point,
    /// Without sign, 1/mm.
    curvature: f64,
    length: f64,
}

impl Contribution {
    /// Before the first segment of an open chain nothing turns.
    const NOTHING: Self = Self {
        start: Point::ORIGIN,
        end: Point::ORIGIN,
        curvature: 0.0,
        length: 0.0,
    };

    fn of(s: &Segment) -> Self {
        let (start, end) = s.directions();
        let length = s.length();
        let curvature = if length > 0.0 {
            s.sweep().abs() / length
        } else {
            0.0
        };
        Self {
            start,
            end,
            curvature,
            length,
        }
    }
}

/// Up to this sine an angle is its sine, radians: they differ by x³/6, below 2e-16.
const SMALL_ANGLE: f64 = 1e-5;

/// Angle between two directions, radians; 0 where one of them is none.
fn angle(u: Point, w: Point) -> f64 {
    let (sin, cos) = (u.cross(w).abs(), u.dot(w));
    // On a wire's path most joints are smooth. The cosine tells them from a turn back.
    if sin < SMALL_ANGLE && cos > 0.5 {
        sin
    } else {
        sin.atan2(cos)
    }
}
