//! The steps that bring the wire to a contour: moves, threading, lead-in, the way across the waste.

use super::super::contour_paths::ContourPaths;
use super::super::starts::Start;
use super::super::steps::{Step, StepKind};
use super::{Scheduler, blank};
use crate::geometry::Point;
use crate::process::PassNumber;
use crate::units::{Length, Minutes};

impl Scheduler<'_> {
    /// Travel and threading, or the way across the waste, then the lead-in.
    pub(super) fn begin(&mut self, p: &ContourPaths, start: &Start, threaded: bool) {
        let Some(rough) = self.plans.all[p.plan].passes.first() else {
            return;
        };
        let mut step = Step {
            contour: Some(p.contour),
            plan: p.plan,
            pass: Some(PassNumber::ROUGH),
            length: start.lead_in,
            ..blank(if threaded {
                StepKind::LeadIn
            } else {
                StepKind::Across
            })
        };
        let feed = if threaded {
            self.thread_at(start.hole, &step);
            rough.feed * self.library.overheads.lead_in_feed.value
        } else {
            rough.feed
        };
        step.minutes = start.lead_in / feed;
        step.wire = rough.run_off * step.minutes;
        self.out.steps.push(step);
        self.within = Some(p.contour);
    }

    /// Threads again in the start hole and goes through the open kerf to the path, unless the wire is there.
    pub(super) fn come_back(&mut self, p: &ContourPaths, start: &Start) {
        if self.within == Some(p.contour) {
            return;
        }
        self.within = Some(p.contour);
        let of = Step {
            contour: Some(p.contour),
            plan: p.plan,
            ..blank(StepKind::Move)
        };
        if let Some(at) = self.at {
            self.travel(at, start.hole, &of);
        }
        self.at = None;
        self.thread_at(start.hole, &of);
        self.travel(start.hole, start.join, &of);
        self.at = Some(start.join);
    }

    pub(super) fn travel(&mut self, from: Point, to: Point, of: &Step) {
        let length = Length::from_mm(from.distance(to));
        self.out.steps.push(Step {
            length,
            minutes: Minutes::from_min(length.mm() / self.library.overheads.rapid.value),
            pass: None,
            wire: Length::ZERO,
            kind: StepKind::Move,
            ..*of
        });
    }

    pub(super) fn thread_at(&mut self, hole: Point, of: &Step) {
        if let Some(at) = self.at {
            self.travel(at, hole, of);
        }
        let o = &self.library.overheads;
        let threading = if self.thread.by_hand {
            &o.manual_threading
        } else {
            &o.automatic_threading
        };
        self.out.steps.push(Step {
            kind: StepKind::Threading,
            pass: None,
            length: Length::ZERO,
            minutes: Minutes::from_min(threading.value),
            attended: self.thread.by_hand,
            wire: Length::from_m(o.threading_waste.value),
            ..*of
        });
    }
}
