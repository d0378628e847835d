//! How each step moves the wire, from the steps of an estimate.

use super::super::schedule::PlannedStart;
use super::super::steps::{Step, StepKind};
use super::basis::TimelineBasis;
use super::track::Track;
use crate::geometry::turning::{chain_stretches, stretches};
use crate::geometry::{Contour, Point, Segment};
use crate::process::PassNumber;
use crate::process::corner_slowdown::window;
use std::collections::HashMap;

/// How a step moves the wire.
#[derive(Clone, Copy)]
pub(super) enum Ride {
    Stand(Point),
    Straight(Point, Point),
    /// Along a track between two slowed lengths.
    Along {
        track: usize,
        from: f64,
        to: f64,
    },
}

pub(super) struct Rider<'b> {
    basis: &'b TimelineBasis<'b>,
    starts: HashMap<usize, &'b PlannedStart>,
    pub(super) tracks: Vec<Track>,
    /// Track and where the wire joins it, by contour and pass.
    known: HashMap<(usize, PassNumber), (usize, f64)>,
    at: Point,
}

impl<'b> Rider<'b> {
    pub(super) fn new(basis: &'b TimelineBasis<'b>) -> Self {
        Self {
            basis,
            starts: basis.starts.iter().map(|s| (s.contour, s)).collect(),
            tracks: Vec::new(),
            known: HashMap::new(),
            at: basis.starts.first().map_or(Point::ORIGIN, |s| s.start.hole),
        }
    }

    pub(super) fn ride<'a>(
        &mut self,
        k: usize,
        s: &Step,
        path: &impl Fn(usize, PassNumber) -> Option<&'a [Contour]>,
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
                        .open()
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
            StepKind::Secure
            | StepKind::SlugStop
            | StepKind::PartStop
            | StepKind::Breaks
            | StepKind::Allowance
            | StepKind::Loading
            | StepKind::Dressing => Ride::Stand(self.at),
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
                    let chain = self.basis.profile.open().get(o);
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
        path: &impl Fn(usize, PassNumber) -> Option<&'a [Contour]>,
    ) -> Ride {
        let plan = self.basis.plans.get(s.plan);
        let pass = s.pass.and_then(|p| plan?.passes.get(p.place()));
        let (Some(plan), Some(pass), Some(number)) = (plan, pass, s.pass) else {
            return Ride::Stand(self.at);
        };
        let slow_window = window(plan.thickness).mm();
        if let Some(chain) = s.open.and_then(|o| self.basis.profile.open().get(o)) {
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
            let joined = if number.is_rough() {
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
