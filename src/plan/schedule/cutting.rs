//! The steps that cut: passes, tabs, rings, curves on the line, and the stops at which a piece comes free.

use super::super::contour_paths::ContourPaths;
use super::super::contour_plan::ContourPlan;
use super::super::steps::{Step, StepKind};
use super::super::visits::Act;
use super::{PlannedStart, Scheduler, blank};
use crate::geometry::route::short_order;
use crate::geometry::turning::chain_excess;
use crate::geometry::{Contour, Point, Segment};
use crate::process::PassNumber;
use crate::process::corner_slowdown::window;
use crate::profile::Role;
use crate::units::{Length, Minutes};

impl Scheduler<'_> {
    pub(super) fn act(&mut self, p: &ContourPaths, act: Act, planned: &PlannedStart) {
        let plan = &self.plans.all[p.plan];
        let n = plan.passes.len();
        let tab = planned.tab;
        match act {
            Act::Rough => {
                self.erode(p, plan);
                self.passes(p, plan, 0..1, tab);
                if p.rings.is_some() {
                    self.tabs(p, plan, 0..1, tab, false);
                }
            }
            Act::Skims => self.passes(p, plan, 1..n, tab),
            Act::SkimsAllRound => {
                for k in 1..n {
                    self.passes(p, plan, k..k + 1, tab);
                    self.tabs(p, plan, k..k + 1, tab, false);
                }
            }
            Act::RoughAndOut => {
                self.passes(p, plan, 0..1, tab);
                self.let_go(p, plan, planned);
            }
            Act::CutOffRough => self.let_go(p, plan, planned),
            Act::CutOff => {
                self.let_go(p, plan, planned);
                if p.role == Role::Opening && n > 1 {
                    self.come_back(p, &planned.start);
                    self.tabs(p, plan, 1..n, tab, false);
                }
            }
        }
    }

    /// The stop, the tab's rough with somebody there, the piece out; a light one drops alone where the shop says so.
    fn let_go(&mut self, p: &ContourPaths, plan: &ContourPlan, planned: &PlannedStart) {
        let n = plan.passes.len();
        if self.drops_alone(p) {
            self.tabs(p, plan, 0..1, planned.tab, false);
            return;
        }
        let removal = Minutes::from_min(self.library.overheads.slug_removal.value);
        let securing = removal * self.library.overheads.securing.value;
        let stop = |kind, minutes| Step {
            contour: Some(p.contour),
            plan: p.plan,
            minutes,
            attended: true,
            ..blank(kind)
        };
        self.out.steps.push(stop(StepKind::Secure, securing));
        self.tabs(p, plan, 0..1, planned.tab, true);
        if p.role == Role::Outline && self.job.shop.clamps_parts {
            // Only the clamp holds it: somebody stays.
            self.tabs(p, plan, 1..n, planned.tab, true);
        }
        let out = match p.role {
            Role::Opening => StepKind::SlugStop,
            Role::Outline => StepKind::PartStop,
        };
        self.out.steps.push(stop(out, removal - securing));
        // Nobody reaches in beside a live wire: it is cut.
        self.within = None;
        self.at = Some(planned.start.join);
    }

    fn passes(
        &mut self,
        p: &ContourPaths,
        plan: &ContourPlan,
        which: std::ops::Range<usize>,
        tab: Length,
    ) {
        let slow_window = window(plan.thickness);
        for k in which {
            let (pass, path) = (&plan.passes[k], &p.passes[k]);
            let length = path.length - tab;
            let corners = path.corner_excess(slow_window, pass.corner_slowdown) / pass.feed;
            let minutes = length / pass.feed + corners;
            self.out.steps.push(Step {
                pass: Some(PassNumber::at(k)),
                contour: Some(p.contour),
                plan: p.plan,
                length,
                minutes,
                corner_minutes: corners,
                wire: pass.run_off * minutes,
                // Pieces come loose on the way.
                attended: k == 0 && self.falls_apart(p),
                ..blank(StepKind::Pass)
            });
        }
    }

    fn tabs(
        &mut self,
        p: &ContourPaths,
        plan: &ContourPlan,
        which: std::ops::Range<usize>,
        tab: Length,
        attended: bool,
    ) {
        let length = tab + Length::from_mm(self.library.overheads.overlap.value);
        for k in which {
            let pass = &plan.passes[k];
            let minutes = length / pass.feed;
            self.out.steps.push(Step {
                pass: Some(PassNumber::at(k)),
                contour: Some(p.contour),
                plan: p.plan,
                length,
                minutes,
                wire: pass.run_off * minutes,
                attended,
                ..blank(StepKind::Tab)
            });
        }
    }

    /// Rings from the inside out, at the feed of the rough.
    fn erode(&mut self, p: &ContourPaths, plan: &ContourPlan) {
        let (Some(rings), Some(rough)) = (&p.rings, plan.passes.first()) else {
            return;
        };
        let Some(first) = rings.first() else { return };
        let slow_window = window(plan.thickness);
        let loops: Vec<&Contour> = rings.iter().flat_map(|r| r.loops.iter()).collect();
        let excess: Length = rings
            .iter()
            .map(|r| r.corner_excess(slow_window, rough.corner_slowdown))
            .sum();
        let rounds: Length = rings.iter().map(|r| r.length).sum();
        let from = self
            .out
            .starts
            .iter()
            .rev()
            .find(|s| s.contour == p.contour);
        let from = from.map(|s| s.start);
        let begin = from.and_then(|s| Some(first.loops.first()?.nearest(s.hole)?.at));
        let links = ring_links(&loops, begin, from.map(|s| s.join));
        let length = rounds + links;
        let corners = excess / rough.feed;
        let minutes = length / rough.feed + corners;
        self.out.steps.push(Step {
            pass: Some(PassNumber::ROUGH),
            contour: Some(p.contour),
            plan: p.plan,
            length,
            minutes,
            corner_minutes: corners,
            wire: rough.run_off * minutes,
            ..blank(StepKind::Erode)
        });
    }

    pub(super) fn cut_on_lines(&mut self) {
        let chains: Vec<usize> = (0..self.profile.open().len())
            .filter(|&k| self.job.cuts_on_line(&self.profile.open()[k]))
            .filter(|&k| !self.profile.open()[k].segments.is_empty())
            .collect();
        let first: Vec<Point> = chains
            .iter()
            .map(|&k| self.profile.open()[k].segments[0].a)
            .collect();
        for i in short_order(&first, None) {
            let chain = &self.profile.open()[chains[i]];
            let plan_index = self.plans.of_chain[chains[i]];
            let plan = &self.plans.all[plan_index];
            let Some(pass) = plan.passes.first() else {
                continue;
            };
            let of = Step {
                open: Some(chains[i]),
                plan: plan_index,
                ..blank(StepKind::Pass)
            };
            self.thread_at(first[i], &of);
            let length: f64 = chain.segments.iter().map(Segment::length).sum();
            let length = Length::from_mm(length);
            let excess = chain_excess(
                &chain.segments,
                window(plan.thickness).mm(),
                pass.corner_slowdown,
            );
            let corners = Length::from_mm(excess) / pass.feed;
            let minutes = length / pass.feed + corners;
            self.out.steps.push(Step {
                pass: Some(PassNumber::ROUGH),
                length,
                minutes,
                corner_minutes: corners,
                wire: pass.run_off * minutes,
                ..of
            });
            self.at = chain.segments.last().map(|s| s.b);
        }
    }
}

/// Length of the ways from ring to ring and from the last to the path, each begun nearest to where it was.
fn ring_links(loops: &[&Contour], begin: Option<Point>, end: Option<Point>) -> Length {
    let Some(mut at) = begin else {
        return Length::ZERO;
    };
    let mut sum = 0.0;
    for l in loops {
        let Some(near) = l.nearest(at) else { continue };
        sum += near.distance;
        at = near.at;
    }
    Length::from_mm(sum + end.map_or(0.0, |e| e.distance(at)))
}
