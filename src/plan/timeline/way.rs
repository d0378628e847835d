//! The way of a step as points, each with the time at which the wire passes it: for painting what is cut so far.

use super::{Ride, Timeline, Track};
use crate::geometry::Point;
use crate::units::Minutes;

/// A point of a step's way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passed {
    /// Where, mm about the profile's origin.
    pub at: Point,
    /// When, from the beginning of the part.
    pub minutes: Minutes,
}

impl Timeline {
    /// The way of a step from its beginning to its end; chords leave arcs by at most `sagitta` mm.
    ///
    /// Between two of its points the wire runs along the chord, though not always evenly: [`Timeline::at`]
    /// gives the place at a moment between. Empty where the wire stands still, and beyond the last step.
    pub fn way(&self, step: usize, sagitta: f64) -> Vec<Passed> {
        let (Some(ride), Some(&end)) = (self.rides.get(step), self.starts.get(step + 1)) else {
            return Vec::new();
        };
        let begin = self.starts[step];
        let passed = |at, minutes: f64| Passed {
            at,
            minutes: Minutes::from_min(minutes.clamp(begin, end)),
        };
        match *ride {
            Ride::Stand(_) => Vec::new(),
            Ride::Straight(a, b) => vec![passed(a, begin), passed(b, end)],
            Ride::Along { track, from, to } => {
                let t = &self.tracks[track];
                let per_mm = if to > from {
                    (end - begin) / (to - from)
                } else {
                    0.0
                };
                let when = |along: f64| begin + (t.slowed_at(along) - from) * per_mm;
                let points = t.between(t.distance_at(from), t.distance_at(to), sagitta);
                let mut out: Vec<Passed> = Vec::with_capacity(points.len());
                out.extend(
                    points
                        .into_iter()
                        .map(|(at, along)| passed(at, when(along))),
                );
                out
            }
        }
    }
}

impl Track {
    /// Distance along the track, whole rounds included, at which a slowed length is reached.
    fn distance_at(&self, slowed: f64) -> f64 {
        let whole = self.slowed[self.slowed.len() - 1];
        let Some((_, along)) = self.stretch_at(slowed) else {
            return slowed;
        };
        let rounds = if self.closed {
            (slowed / whole).floor()
        } else {
            0.0
        };
        rounds * self.length() + along
    }

    /// Points between two distances, each with its own distance.
    fn between(&self, from: f64, to: f64, sagitta: f64) -> Vec<(Point, f64)> {
        let total = self.length();
        let n = self.segments.len();
        if total <= 0.0 || n == 0 || to <= from {
            return Vec::new();
        }
        let round = if self.closed {
            (from / total).floor()
        } else {
            0.0
        };
        let mut base = round * total;
        let mut k = self
            .before
            .partition_point(|b| *b <= from - base)
            .saturating_sub(1)
            .min(n - 1);
        let mut out = vec![(self.point(from - base), from)];
        let mut flat: Vec<Point> = Vec::new();
        loop {
            let s = &self.segments[k];
            let (first, last) = (base + self.before[k], base + self.before[k + 1]);
            let (a, b) = (from.max(first), to.min(last));
            if b > a {
                flat.clear();
                s.part(a - first, b - first)
                    .flatten_into(sagitta, &mut flat);
                let count = flat.len() as f64;
                let pieces = flat.iter().zip(1_u32..);
                out.extend(pieces.map(|(p, i)| (*p, a + (b - a) * f64::from(i) / count)));
            }
            if last >= to {
                return out;
            }
            k += 1;
            if k == n {
                if !self.closed {
                    return out;
                }
                k = 0;
                base += total;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Contour;
    use crate::geometry::turning::stretches;
    use crate::process::PassNumber;

    fn timeline(path: &Contour, from: f64, to: f64) -> Timeline {
        let track = Track::new(path.segments().collect(), stretches(path, 0.75), 0.65, true);
        let (a, b) = (track.slowed_at(from), track.slowed_at(to));
        Timeline {
            starts: vec![0.0, 10.0],
            wire: vec![0.0, 1.0],
            rides: vec![Ride::Along {
                track: 0,
                from: a,
                to: b,
            }],
            passes: vec![Some(PassNumber::ROUGH)],
            tracks: vec![track],
            events: Vec::new(),
        }
    }

    #[test]
    fn points_of_a_way_are_where_the_wire_is_at_their_time() {
        // From the middle of a side past the seam to 1 mm beyond where it began.
        let square = Contour::polygon(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]);
        let t = timeline(&square, 15.0, 56.0);
        let way = t.way(0, 1e-3);
        let corners: Vec<Point> = way[1..way.len() - 1].iter().map(|p| p.at).collect();
        let expected = [(10.0, 10.0), (0.0, 10.0), (0.0, 0.0), (10.0, 0.0)];
        assert_eq!(corners, expected.map(|(x, y)| Point::new(x, y)));
        for p in &way {
            let there = t.at(p.minutes).map(|m| m.at);
            assert!(
                there.is_some_and(|q| q.distance(p.at) < 1e-6),
                "{p:?} {there:?}"
            );
        }
        assert!(way.windows(2).all(|w| w[0].minutes <= w[1].minutes));
        assert_eq!(way[0].minutes, Minutes::ZERO);
        assert!(t.way(1, 1e-3).is_empty());
    }

    #[test]
    fn the_way_around_a_circle_is_as_long_as_the_circle() {
        let circle = Contour::circle(Point::ORIGIN, 5.0);
        let t = timeline(&circle, 3.0, 3.0 + circle.length());
        let way = t.way(0, 1e-5);
        let length: f64 = way.windows(2).map(|w| w[0].at.distance(w[1].at)).sum();
        assert!((length / circle.length() - 1.0).abs() < 1e-5, "{length}");
    }
}
