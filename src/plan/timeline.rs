//! Where the wire is at any moment, and how fast the path is run.
//!
//! Built from the steps of an estimate, by the same sums, so that its end is the estimate's time exactly.
//! Every look-up is two or three binary searches.

mod basis;
mod rides;
mod track;
mod way;

pub use basis::TimelineBasis;
pub use way::Passed;

use super::steps::StepKind;
use crate::geometry::turning::{Stretch, stretches};
use crate::geometry::{Contour, Point};
use crate::process::PassNumber;
use crate::process::corner_slowdown::window;
use crate::process::passes::Pass;
use crate::units::{Length, Minutes};
use rides::{Ride, Rider};
use track::Track;

/// What happens at a moment on the scale.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum EventKind {
    /// The wire is threaded.
    Threading,
    /// A slug comes free; somebody has to be there.
    SlugStop,
    /// The part comes free; somebody has to be there.
    PartFree,
}

/// An event on the scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Event {
    /// When it begins.
    pub at: Minutes,
    /// What happens.
    pub kind: EventKind,
    /// The step.
    pub step: usize,
    /// The contour.
    pub contour: Option<usize>,
}

/// What a moment looks like.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// The step that runs.
    pub step: usize,
    /// Its pass.
    pub pass: Option<PassNumber>,
    /// Where the wire is, mm about the profile's origin.
    pub at: Point,
    /// Share of the pass's straight feed; 1 where nothing slows it or nothing is cut.
    pub feed_share: f64,
    /// Time gone.
    pub elapsed: Minutes,
    /// Time to go.
    pub remaining: Minutes,
    /// Wire used so far.
    pub wire: Length,
}

/// A stretch of a path with the share of the feed at its ends, for shading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FeedKnot {
    /// Distance from the path's first vertex, mm.
    pub from: f64,
    /// Where it ends, mm.
    pub to: f64,
    /// Share of the straight feed at `from`.
    pub share_from: f64,
    /// Share of the straight feed at `to`.
    pub share_to: f64,
}

/// Shares of the feed along a closed wire path, by the definition that also makes its time.
pub fn feed_along(path: &Contour, thickness: Length, pass: &Pass) -> Vec<FeedKnot> {
    let c = pass.corner_slowdown;
    let knot = |s: Stretch| FeedKnot {
        from: s.from,
        to: s.to,
        share_from: s.feed_share(s.from, c),
        share_to: s.feed_share(s.to, c),
    };
    let all = stretches(path, window(thickness).mm());
    all.into_iter().map(knot).collect()
}

/// Where the wire is at any moment of one part.
pub struct Timeline {
    /// Start of each step, and the end of the last.
    starts: Vec<f64>,
    wire: Vec<f64>,
    rides: Vec<Ride>,
    passes: Vec<Option<PassNumber>>,
    tracks: Vec<Track>,
    events: Vec<Event>,
}

impl Timeline {
    /// From an estimate's figures; `path` gives the loops of a contour's pass, `rings` those
    /// that erode its waste, the innermost first.
    pub fn new<'a>(
        basis: &TimelineBasis<'_>,
        path: impl Fn(usize, PassNumber) -> Option<&'a [Contour]>,
        rings: impl Fn(usize) -> Vec<&'a Contour>,
    ) -> Self {
        let mut b = Rider::new(basis);
        let n = basis.steps.len();
        let (mut starts, mut wire) = (Vec::with_capacity(n + 1), Vec::with_capacity(n + 1));
        let (mut time, mut used) = (Minutes::ZERO, Length::ZERO);
        let mut rides = Vec::with_capacity(n);
        let mut events = Vec::new();
        for (k, s) in basis.steps.iter().enumerate() {
            starts.push(time.min_value());
            wire.push(used.mm());
            rides.push(b.ride(k, s, &path, &rings));
            let kind = match s.kind {
                StepKind::Threading => Some(EventKind::Threading),
                StepKind::SlugStop => Some(EventKind::SlugStop),
                StepKind::PartStop => Some(EventKind::PartFree),
                _ => None,
            };
            events.extend(kind.map(|kind| Event {
                at: time,
                kind,
                step: k,
                contour: s.contour,
            }));
            time += s.minutes;
            used += s.wire;
        }
        starts.push(time.min_value());
        wire.push(used.mm());
        Self {
            starts,
            wire,
            rides,
            passes: basis.steps.iter().map(|s| s.pass).collect(),
            tracks: b.tracks,
            events,
        }
    }

    /// The whole time: the estimate's minutes exactly.
    pub fn total(&self) -> Minutes {
        Minutes::from_min(self.starts[self.starts.len() - 1])
    }
    /// Threadings and stops in order.
    pub fn events(&self) -> &[Event] {
        &self.events
    }
    /// When a step begins; the end of the last one for any number beyond.
    pub fn start_of(&self, step: usize) -> Minutes {
        Minutes::from_min(self.starts[step.min(self.starts.len() - 1)])
    }
    /// Segments and stretches that it holds, for judging its size.
    pub fn size(&self) -> usize {
        self.tracks
            .iter()
            .map(|t| t.segments.len() + t.stretches.len())
            .sum()
    }
    /// What a moment looks like; held to the beginning and the end. `None` without steps.
    pub fn at(&self, minutes: Minutes) -> Option<Moment> {
        let total = self.total().min_value();
        let asked = minutes.min_value();
        let t = if asked.is_nan() {
            0.0
        } else {
            asked.clamp(0.0, total)
        };
        let last = self.rides.len().checked_sub(1)?;
        let step = self
            .starts
            .partition_point(|s| *s <= t)
            .saturating_sub(1)
            .min(last);
        let length = self.starts[step + 1] - self.starts[step];
        let share = if length > 0.0 {
            ((t - self.starts[step]) / length).min(1.0)
        } else {
            1.0
        };
        let (at, feed_share) = match self.rides[step] {
            Ride::Stand(p) => (p, 1.0),
            Ride::Straight(a, b) => (a.lerp(b, share), 1.0),
            Ride::Along { track, from, to } => self.tracks[track].at(from + share * (to - from)),
        };
        Some(Moment {
            step,
            pass: self.passes[step],
            at,
            feed_share,
            elapsed: Minutes::from_min(t),
            remaining: Minutes::from_min(total - t),
            wire: Length::from_mm(
                self.wire[step] + share * (self.wire[step + 1] - self.wire[step]),
            ),
        })
    }
}
