//! Where the wire is at any moment, and how fast the path is run.
//!
//! Built from the steps of an estimate, by the same sums, so that its end is the estimate's time exactly.
//! Every look-up is two or three binary searches.

use super::contour_plan::ContourPlan;
use super::schedule::PlannedStart;
use super::steps::{Step, StepKind};
use crate::geometry::turning::{Stretch, chain_stretches, stretches};
use crate::geometry::{Contour, Point, Segment};
use crate::process::corner_slowdown::window;
use crate::process::passes::Pass;
use crate::profile::Profile;
use crate::units::{Length, Minutes};
use std::collections::HashMap;

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
    /// Its pass, 1 the rough.
    pub pass: Option<usize>,
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

/// A path with running sums of length and of slowed length.
struct Track {
    segments: Vec<Segment>,
    /// Length before each segment, mm, and the whole at the end.
    before: Vec<f64>,
    stretches: Vec<Stretch>,
    /// Slowed length before each stretch, mm, and the whole at the end.
    slowed: Vec<f64>,
    slowdown: f64,
    /// Whether its end runs on into its beginning.
    closed: bool,
}

impl Track {
    fn new(segments: Vec<Segment>, stretches: Vec<Stretch>, slowdown: f64, closed: bool) -> Self {
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

    fn length(&self) -> f64 {
        self.before[self.before.len() - 1]
    }

    /// Slowed length up to a distance along, with whole rounds.
    fn slowed_at(&self, along: f64) -> f64 {
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
    fn at(&self, slowed: f64) -> (Point, f64) {
        let whole = self.slowed[self.slowed.len() - 1];
        if self.stretches.is_empty() || whole <= 0.0 {
            return (self.point(slowed), 1.0);
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
        (self.point(along), s.feed_share(along, self.slowdown))
    }

    fn point(&self, along: f64) -> Point {
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

/// How a step moves the wire.
#[derive(Clone, Copy)]
enum Ride {
    Stand(Point),
    Straight(Point, Point),
    /// Along a track between two slowed lengths.
    Along {
        track: usize,
        from: f64,
        to: f64,
    },
}

/// Where the wire is at any moment of one part.
pub struct Timeline {
    /// Start of each step, and the end of the last.
    starts: Vec<f64>,
    wire: Vec<f64>,
    rides: Vec<Ride>,
    passes: Vec<Option<usize>>,
    tracks: Vec<Track>,
    events: Vec<Event>,
}

/// What a timeline is built from: parts of an estimate.
#[derive(Clone, Copy)]
pub struct TimelineBasis<'a> {
    /// The profile that was estimated.
    pub profile: &'a Profile,
    /// Its steps.
    pub steps: &'a [Step],
    /// Where contours are begun.
    pub starts: &'a [PlannedStart],
    /// Conditions and passes.
    pub plans: &'a [ContourPlan],
}

impl Timeline {
    /// From an estimate's figures; `path` gives the loops of a contour's pass (1 the rough), `rings` those
    /// that erode its waste, the innermost first.
    pub fn new<'a>(
        basis: &TimelineBasis<'_>,
        path: impl Fn(usize, usize) -> Option<&'a [Contour]>,
        rings: impl Fn(usize) -> Vec<&'a Contour>,
    ) -> Self {
        let mut b = Builder {
            basis,
            starts: basis.starts.iter().map(|s| (s.contour, s)).collect(),
            tracks: Vec::new(),
            known: HashMap::new(),
            at: basis.starts.first().map_or(Point::ORIGIN, |s| s.start.hole),
        };
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

struct Builder<'b> {
    basis: &'b TimelineBasis<'b>,
    starts: HashMap<usize, &'b PlannedStart>,
    tracks: Vec<Track>,
    /// Track and where the wire joins it, by contour and pass.
    known: HashMap<(usize, usize), (usize, f64)>,
    at: Point,
}

impl Builder<'_> {
    fn ride<'a>(
        &mut self,
        k: usize,
        s: &Step,
        path: &impl Fn(usize, usize) -> Option<&'a [Contour]>,
        rings: &impl Fn(usize) -> Vec<&'a Contour>,
    ) -> Ride {
        let start = s.contour.and_then(|c| self.starts.get(&c).copied());
        let ride = match s.kind {
            StepKind::Move => Ride::Straight(self.at, self.after_move(k)),
            StepKind::Threading => {
                let hole = match (start, s.open) {
                    (Some(p), _) => Some(p.start.hole),
                    (None, Some(o)) => self
                        .basis
                        .profile
                        .open
                        .get(o)
                        .and_then(|c| c.segments.first())
                        .map(|s| s.a),
                    (None, None) => None,
                };
                Ride::Stand(hole.unwrap_or(self.at))
            }
            StepKind::LeadIn | StepKind::Across => {
                let from = match (s.kind, start) {
                    (StepKind::LeadIn, Some(p)) => p.start.hole,
                    _ => self.at,
                };
                Ride::Straight(from, self.lead_to(s, start, rings))
            }
            StepKind::Erode => self.erosion(s, start, rings),
            StepKind::Pass | StepKind::Tab => self.along(s, start, path),
            StepKind::SlugStop | StepKind::PartStop | StepKind::Breaks => Ride::Stand(self.at),
        };
        self.at = match ride {
            Ride::Stand(p) | Ride::Straight(_, p) => p,
            Ride::Along { track, to, .. } => self.tracks[track].at(to).0,
        };
        ride
    }

    /// A move ends where the wire is threaded next, or on the path when it has just been threaded.
    fn after_move(&self, k: usize) -> Point {
        let steps = self.basis.steps;
        let start = |s: &Step| {
            let of = |c| self.starts.get(&c);
            s.contour.and_then(of).map(|p| p.start)
        };
        match (steps.get(k), steps.get(k + 1)) {
            (_, Some(next)) if next.kind == StepKind::Threading => match next.open {
                Some(o) => {
                    let chain = self.basis.profile.open.get(o);
                    chain
                        .and_then(|c| c.segments.first())
                        .map_or(self.at, |s| s.a)
                }
                None => start(next).map_or(self.at, |s| s.hole),
            },
            (Some(s), _) => start(s).map_or(self.at, |s| s.join),
            (None, _) => self.at,
        }
    }

    fn lead_to<'a>(
        &self,
        s: &Step,
        start: Option<&PlannedStart>,
        rings: &impl Fn(usize) -> Vec<&'a Contour>,
    ) -> Point {
        let Some(p) = start else { return self.at };
        let inner = s.contour.map(rings).unwrap_or_default();
        let ring = inner.first().and_then(|r| r.nearest(p.start.hole));
        ring.map_or(p.start.join, |n| n.at)
    }

    /// Ring after ring with the ways between, as one long chain at an even feed.
    fn erosion<'a>(
        &mut self,
        s: &Step,
        start: Option<&PlannedStart>,
        rings: &impl Fn(usize) -> Vec<&'a Contour>,
    ) -> Ride {
        let (Some(c), Some(p)) = (s.contour, start) else {
            return Ride::Stand(self.at);
        };
        let mut chain = Vec::new();
        let mut at = None;
        for ring in rings(c) {
            let Some(near) = ring.nearest(at.unwrap_or(p.start.hole)) else {
                continue;
            };
            if let Some(from) = at {
                chain.push(Segment::line(from, near.at));
            }
            let n = ring.len();
            let before: f64 = ring.segments().take(near.segment).map(|s| s.length()).sum();
            let first = ring.segment(near.segment);
            chain.push(first.part(near.along - before, first.length()));
            chain.extend((1..n).map(|i| ring.segment((near.segment + i) % n)));
            chain.push(first.part(0.0, near.along - before));
            at = Some(near.at);
        }
        chain.extend(at.map(|from| Segment::line(from, p.start.join)));
        chain.retain(|s| s.length() > 0.0);
        if chain.is_empty() {
            return Ride::Stand(self.at);
        }
        let track = Track::new(chain, Vec::new(), 0.0, false);
        let to = track.length();
        self.tracks.push(track);
        Ride::Along {
            track: self.tracks.len() - 1,
            from: 0.0,
            to,
        }
    }

    fn along<'a>(
        &mut self,
        s: &Step,
        start: Option<&PlannedStart>,
        path: &impl Fn(usize, usize) -> Option<&'a [Contour]>,
    ) -> Ride {
        let plan = self.basis.plans.get(s.plan);
        let pass = s.pass.and_then(|p| plan?.passes.get(p - 1));
        let (Some(plan), Some(pass), Some(number)) = (plan, pass, s.pass) else {
            return Ride::Stand(self.at);
        };
        let slow_window = window(plan.thickness).mm();
        if let Some(chain) = s.open.and_then(|o| self.basis.profile.open.get(o)) {
            let segments = chain.segments.clone();
            let slow = chain_stretches(&segments, slow_window);
            let track = Track::new(segments, slow, pass.corner_slowdown, false);
            let to = track.slowed[track.slowed.len() - 1];
            self.tracks.push(track);
            return Ride::Along {
                track: self.tracks.len() - 1,
                from: 0.0,
                to,
            };
        }
        let (Some(contour), Some(start)) = (s.contour, start) else {
            return Ride::Stand(self.at);
        };
        let (track, joined) = if let Some(&known) = self.known.get(&(contour, number)) {
            known
        } else {
            let Some(first) = path(contour, number).and_then(<[Contour]>::first) else {
                return Ride::Stand(self.at);
            };
            let joined = if number == 1 {
                start.start.along
            } else {
                first.nearest(start.start.join).map_or(0.0, |n| n.along)
            };
            self.tracks.push(Track::new(
                first.segments().collect(),
                stretches(first, slow_window),
                pass.corner_slowdown,
                true,
            ));
            let new = (self.tracks.len() - 1, joined);
            self.known.insert((contour, number), new);
            new
        };
        let t = &self.tracks[track];
        let (from, to) = match s.kind {
            StepKind::Tab => {
                let from = joined + t.length() - start.tab.mm();
                (from, from + s.length.mm())
            }
            _ => (joined, joined + s.length.mm()),
        };
        Ride::Along {
            track,
            from: t.slowed_at(from),
            to: t.slowed_at(to),
        }
    }
}
