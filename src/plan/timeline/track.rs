//! One path with the running sums that find a place by time and a time by place.

use crate::geometry::turning::Stretch;
use crate::geometry::{Point, Segment};

/// A path with running sums of length and of slowed length.
pub(super) struct Track {
    pub(super) segments: Vec<Segment>,
    /// Length before each segment, mm, and the whole at the end.
    pub(super) before: Vec<f64>,
    pub(super) stretches: Vec<Stretch>,
    /// Slowed length before each stretch, mm, and the whole at the end.
    pub(super) slowed: Vec<f64>,
    slowdown: f64,
    /// Whether its end runs on into its beginning.
    pub(super) closed: bool,
}

impl Track {
    pub(super) fn new(
        segments: Vec<Segment>,
        stretches: Vec<Stretch>,
        slowdown: f64,
        closed: bool,
    ) -> Self {
        let mut before = Vec::with_capacity(segments.len() + 1);
        let mut sum = 0.0;
        before.push(sum);
        for s in &segments {
            sum += s.length();
            before.push(sum);
        }
        let mut slowed = Vec::with_capacity(stretches.len() + 1);
        let mut sum = 0.0;
        slowed.push(sum);
        for s in &stretches {
            sum += s.slowed(slowdown);
            slowed.push(sum);
        }
        Self {
            segments,
            before,
            stretches,
            slowed,
            slowdown,
            closed,
        }
    }

    pub(super) fn length(&self) -> f64 {
        self.before[self.before.len() - 1]
    }

    /// Slowed length up to a distance along, with whole rounds.
    pub(super) fn slowed_at(&self, along: f64) -> f64 {
        let (total, whole) = (self.length(), self.slowed[self.slowed.len() - 1]);
        if total <= 0.0 || self.stretches.is_empty() {
            return along;
        }
        let rounds = if self.closed {
            (along / total).floor()
        } else {
            0.0
        };
        let rest = along - rounds * total;
        let k = self
            .stretches
            .partition_point(|s| s.from <= rest)
            .saturating_sub(1);
        let s = self.stretches[k];
        let part = Stretch {
            to: rest.min(s.to),
            ..s
        };
        rounds * whole + self.slowed[k] + part.slowed(self.slowdown)
    }

    /// Place and share of the feed where a slowed length is reached.
    pub(super) fn at(&self, slowed: f64) -> (Point, f64) {
        match self.stretch_at(slowed) {
            Some((s, along)) => (self.point(along), s.feed_share(along, self.slowdown)),
            None => (self.point(slowed), 1.0),
        }
    }

    /// The stretch in which a slowed length is reached, and the distance along; whole rounds are taken off.
    pub(super) fn stretch_at(&self, slowed: f64) -> Option<(&Stretch, f64)> {
        let whole = self.slowed[self.slowed.len() - 1];
        if self.stretches.is_empty() || whole <= 0.0 {
            return None;
        }
        let rest = if self.closed {
            slowed.rem_euclid(whole)
        } else {
            slowed.clamp(0.0, whole)
        };
        let k = (self
            .slowed
            .partition_point(|s| *s <= rest)
            .saturating_sub(1))
        .min(self.stretches.len() - 1);
        let s = &self.stretches[k];
        let along = s.from + s.place_after(rest - self.slowed[k], self.slowdown);
        Some((s, along))
    }

    pub(super) fn point(&self, along: f64) -> Point {
        let k = (self
            .before
            .partition_point(|b| *b <= along)
            .saturating_sub(1))
        .min(self.segments.len().saturating_sub(1));
        self.segments.get(k).map_or(Point::ORIGIN, |s| {
            s.point_at((along - self.before[k]).max(0.0))
        })
    }
}
