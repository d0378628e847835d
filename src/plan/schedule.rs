//! The steps of one part on one wire.

use super::contour_plan::{ContourPlan, Plans};
use super::erosion::rings;
use super::links::linked_start;
use super::paths::{LaidPath, PathCache, PathWanted, ShapeId, wire_side};
use super::sequence::cutting_order;
use super::starts::{Start, StartWanted};
use super::steps::{Step, StepKind};
use super::visits::{Act, acts};
use crate::geometry::route::short_order;
use crate::geometry::turning::chain_excess;
use crate::geometry::{Contour, Point, Segment};
use crate::job::{CuttingOrder, Job, Travel, Waste, contour_key};
use crate::process::Library;
use crate::process::corner_slowdown::window;
use crate::process::passes::{Pass, kerf};
use crate::profile::{Profile, Role};
use crate::units::{Length, Minutes};
use std::sync::Arc;

/// Longest share of a path that is left as a tab.
const LARGEST_TAB: f64 = 0.2;

/// The paths of one contour, the rough first.
#[derive(Debug, Clone)]
pub struct ContourPaths {
    /// Index in the profile.
    pub contour: usize,
    /// What it bounds.
    pub role: Role,
    /// Index of its plan.
    pub plan: usize,
    /// One path a pass.
    pub passes: Vec<Arc<LaidPath>>,
    /// Rings that erode the waste away, the innermost first; `None` where a slug comes loose.
    pub rings: Option<Vec<Arc<LaidPath>>>,
    /// Whether other contours that are cut lie directly inside.
    pub holds_others: bool,
}

/// Where a contour is begun and what holds its piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlannedStart {
    /// Contour of the profile.
    pub contour: usize,
    /// Hole, place and lead-in.
    pub start: Start,
    /// Tab left between rough and cut-off.
    pub tab: Length,
    /// Whether the wire is threaded here; else it comes across the waste from the contour before.
    pub threaded: bool,
}

/// The steps of a part, and where its contours are begun.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Schedule {
    /// In order.
    pub steps: Vec<Step>,
    /// In the order in which the contours are first visited.
    pub starts: Vec<PlannedStart>,
}

/// Lays the paths of every contour that is cut, pass by pass.
///
/// `shapes` are the identities of the profile's contours.
pub fn lay_paths(
    profile: &Profile,
    shapes: &[ShapeId],
    job: &Job,
    plans: &Plans,
    diameter: Length,
    cache: &PathCache,
) -> Vec<ContourPaths> {
    let wanted = |k: usize, p: &Pass| PathWanted {
        shape: shapes[k],
        contour: &profile.contours[k].shape,
        side: wire_side(job.role(profile, k)),
        offset: p.offset,
    };
    let cut: Vec<usize> = (0..profile.contours.len())
        .filter(|&k| job.cuts(&profile.contours[k]))
        .collect();
    let mut holds_others = vec![false; profile.contours.len()];
    for &k in &cut {
        if let Some(parent) = profile.contours[k].parent {
            holds_others[parent] = true;
        }
    }
    let all: Vec<PathWanted<'_>> = cut
        .iter()
        .flat_map(|&k| plans.contour(k).passes.iter().map(move |p| wanted(k, p)))
        .collect();
    cache.prepare(&all);
    cut.into_iter()
        .map(|k| {
            let plan = plans.contour(k);
            let role = job.role(profile, k);
            let erode = job.choice(contour_key(&profile.contours[k])).waste == Waste::Erode
                && role == Role::Opening
                && !holds_others[k];
            let rough = plan.passes.first().filter(|_| erode);
            ContourPaths {
                contour: k,
                role,
                plan: plans.of_contour[k],
                passes: plan
                    .passes
                    .iter()
                    .map(|p| cache.path(&wanted(k, p)))
                    .collect(),
                rings: rough.and_then(|p| rings(&wanted(k, p), kerf(diameter, p), cache)),
                holds_others: holds_others[k],
            }
        })
        .collect()
}

/// Everything the machine and the person beside it do for one part, in order.
///
/// For each contour: thread, lead in, rough and skims up to the tab that holds the piece, then the tab
/// with all its passes while the piece is held by hand or magnet, then the stop at which it is taken out.
/// With the cut-off before the skims the stop follows the rough, the wire is threaded again (nobody
/// reaches in beside a live wire; common practice) and the skims run all the way round. When all roughs
/// come first, every contour is visited again for its skims and for its cut-off. Curves that are cut on
/// the line come before everything else.
pub fn schedule(
    profile: &Profile,
    job: &Job,
    library: &Library,
    plans: &Plans,
    paths: &[ContourPaths],
) -> Schedule {
    let mut s = Scheduler {
        profile,
        job,
        library,
        plans,
        out: Schedule::default(),
        at: None,
    };
    s.cut_on_lines();
    let mut of_contour: Vec<Option<&ContourPaths>> = vec![None; profile.contours.len()];
    paths.iter().for_each(|p| of_contour[p.contour] = Some(p));
    let own_start = |k: usize| of_contour[k].and_then(|p| s.start_of(p));
    let order: Vec<(&ContourPaths, Start)> = {
        let hole = |k: usize| own_start(k).map_or(Point::ORIGIN, |s| s.hole);
        let order = cutting_order(profile, job, hole);
        let both = |k: usize| of_contour[k].zip(own_start(k));
        order.into_iter().filter_map(both).collect()
    };
    match job.order {
        CuttingOrder::EachInTurn => s.each_in_turn(&order),
        CuttingOrder::RoughsFirst => s.roughs_first(&order),
    }
    let breaks = expected_breaks(&s.out.steps, library);
    s.out.steps.extend(breaks);
    s.out
}

/// A step of nothing, to be filled.
fn blank(kind: StepKind) -> Step {
    Step {
        kind,
        pass: None,
        contour: None,
        open: None,
        plan: 0,
        length: Length::ZERO,
        minutes: Minutes::ZERO,
        corner_minutes: Minutes::ZERO,
        wire: Length::ZERO,
        attended: false,
    }
}

struct Scheduler<'a> {
    profile: &'a Profile,
    job: &'a Job,
    library: &'a Library,
    plans: &'a Plans,
    out: Schedule,
    at: Option<Point>,
}

impl Scheduler<'_> {
    fn start_of(&self, p: &ContourPaths) -> Option<Start> {
        let drawn = &self.profile.contours[p.contour];
        let choice = self.job.choice(contour_key(drawn));
        let wanted = StartWanted {
            lead_in: Length::from_mm(self.library.overheads.lead_in.value),
            hole: choice.hole.filter(|h| h.is_finite()),
            join: choice.join.map(|along| drawn.shape.point_at(along.mm())),
        };
        let start = p.passes.first()?.start(&wanted)?;
        let Some(innermost) = p.rings.as_ref().and_then(|r| r.first()) else {
            return Some(start);
        };
        // Eroding begins in the middle of the waste.
        let from = wanted.hole.unwrap_or(start.hole);
        let first = innermost.loops.first()?.nearest(from)?.at;
        let hole = wanted.hole.unwrap_or(first);
        Some(Start {
            hole,
            lead_in: Length::from_mm(hole.distance(first)),
            ..start
        })
    }

    fn tab_of(&self, p: &ContourPaths) -> Length {
        if p.rings.is_some() {
            return Length::ZERO;
        }
        let shortest = p
            .passes
            .iter()
            .map(|p| p.length.mm())
            .fold(f64::INFINITY, f64::min);
        let choice = self
            .job
            .choice(contour_key(&self.profile.contours[p.contour]));
        let usual = Length::from_mm(self.library.overheads.tab.value);
        choice
            .tab
            .unwrap_or(usual)
            .min(Length::from_mm(LARGEST_TAB * shortest))
    }

    fn each_in_turn(&mut self, order: &[(&ContourPaths, Start)]) {
        let mut last: Option<(usize, Start)> = None;
        for &(p, own) in order {
            let path = p.passes.first().and_then(|r| r.loops.first());
            let linked = last.as_ref().zip(path).and_then(|((k, start), path)| {
                (self.job.travel == Travel::KeepThreaded && p.rings.is_none())
                    .then(|| {
                        let rough = self.plans.all[p.plan].passes.first()?;
                        let (from, to) = ((*k, start), (p.contour, path));
                        linked_start(self.profile, self.job, from, to, rough.offset)
                    })
                    .flatten()
            });
            let start = linked.unwrap_or(own);
            let tab = self.tab_of(p);
            self.out.starts.push(PlannedStart {
                contour: p.contour,
                start,
                tab,
                threaded: linked.is_none(),
            });
            for (i, act) in acts(p, self.job, self.profile).into_iter().enumerate() {
                if i == 0 {
                    self.begin(p, &start, linked.is_none());
                } else if self
                    .out
                    .steps
                    .last()
                    .is_some_and(|s| s.kind == StepKind::SlugStop)
                {
                    self.come_back(p, &start);
                }
                self.act(p, act, tab);
            }
            self.at = Some(start.join);
            last = Some((p.contour, start));
        }
    }

    fn roughs_first(&mut self, order: &[(&ContourPaths, Start)]) {
        let all: Vec<Vec<Act>> = order
            .iter()
            .map(|(p, _)| acts(p, self.job, self.profile))
            .collect();
        let rounds = all.iter().map(Vec::len).max().unwrap_or(0);
        for round in 0..rounds {
            for ((p, start), acts) in order.iter().zip(&all) {
                let Some(&act) = acts.get(round) else {
                    continue;
                };
                let tab = self.tab_of(p);
                if round == 0 {
                    self.out.starts.push(PlannedStart {
                        contour: p.contour,
                        start: *start,
                        tab,
                        threaded: true,
                    });
                    self.begin(p, start, true);
                } else {
                    self.come_back(p, start);
                }
                self.act(p, act, tab);
                self.at = Some(start.join);
            }
        }
    }

    /// Travel and threading, or the way across the waste, then the lead-in.
    fn begin(&mut self, p: &ContourPaths, start: &Start, threaded: bool) {
        let Some(rough) = self.plans.all[p.plan].passes.first() else {
            return;
        };
        let mut step = Step {
            contour: Some(p.contour),
            plan: p.plan,
            pass: Some(1),
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
    }

    /// Threads again in the start hole and goes through the open kerf to the path.
    fn come_back(&mut self, p: &ContourPaths, start: &Start) {
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

    fn travel(&mut self, from: Point, to: Point, of: &Step) {
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

    fn thread_at(&mut self, hole: Point, of: &Step) {
        if let Some(at) = self.at {
            self.travel(at, hole, of);
        }
        let o = &self.library.overheads;
        self.out.steps.push(Step {
            kind: StepKind::Threading,
            pass: None,
            length: Length::ZERO,
            minutes: Minutes::from_min(o.automatic_threading.value),
            wire: Length::from_m(o.threading_waste.value),
            ..*of
        });
    }

    fn act(&mut self, p: &ContourPaths, act: Act, tab: Length) {
        let plan = &self.plans.all[p.plan];
        let n = plan.passes.len();
        match act {
            Act::Rough => {
                self.erode(p, plan);
                self.passes(p, plan, 0..1, tab);
                if p.rings.is_some() {
                    self.tabs(p, plan, 0..1, tab);
                }
            }
            Act::Skims => self.passes(p, plan, 1..n, tab),
            Act::SkimsAllRound => {
                for k in 1..n {
                    self.passes(p, plan, k..k + 1, tab);
                    self.tabs(p, plan, k..k + 1, tab);
                }
            }
            Act::CutOff => self.tabs(p, plan, 0..n, tab),
            Act::CutOffRough => self.tabs(p, plan, 0..1, tab),
        }
        if matches!(act, Act::CutOff | Act::CutOffRough) {
            let kind = match p.role {
                Role::Opening => StepKind::SlugStop,
                Role::Outline => StepKind::PartStop,
            };
            self.out.steps.push(Step {
                contour: Some(p.contour),
                plan: p.plan,
                minutes: Minutes::from_min(self.library.overheads.slug_removal.value),
                attended: true,
                ..blank(kind)
            });
            if let Some(start) = self
                .out
                .starts
                .iter()
                .rev()
                .find(|s| s.contour == p.contour)
            {
                self.at = Some(start.start.join);
            }
        }
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
                pass: Some(k + 1),
                contour: Some(p.contour),
                plan: p.plan,
                length,
                minutes,
                corner_minutes: corners,
                wire: pass.run_off * minutes,
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
    ) {
        let length = tab + Length::from_mm(self.library.overheads.overlap.value);
        for k in which {
            let pass = &plan.passes[k];
            let minutes = length / pass.feed;
            self.out.steps.push(Step {
                pass: Some(k + 1),
                contour: Some(p.contour),
                plan: p.plan,
                length,
                minutes,
                wire: pass.run_off * minutes,
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
            pass: Some(1),
            contour: Some(p.contour),
            plan: p.plan,
            length,
            minutes,
            corner_minutes: corners,
            wire: rough.run_off * minutes,
            ..blank(StepKind::Erode)
        });
    }

    fn cut_on_lines(&mut self) {
        let chains: Vec<usize> = (0..self.profile.open.len())
            .filter(|&k| self.job.cuts_on_line(&self.profile.open[k]))
            .filter(|&k| !self.profile.open[k].segments.is_empty())
            .collect();
        let first: Vec<Point> = chains
            .iter()
            .map(|&k| self.profile.open[k].segments[0].a)
            .collect();
        for i in short_order(&first, self.profile.bounds().min) {
            let chain = &self.profile.open[chains[i]];
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
                pass: Some(1),
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

/// Breaks an hour of roughing, each with its re-threading: an expectation, not a forecast of one.
fn expected_breaks(steps: &[Step], library: &Library) -> Option<Step> {
    let o = &library.overheads;
    let roughing: Minutes = steps
        .iter()
        .filter(|s| s.pass == Some(1))
        .map(|s| s.minutes)
        .sum();
    let count = roughing.hours() * o.breaks_in_rough.value;
    (count > 0.0).then(|| Step {
        minutes: Minutes::from_min(count * o.rethreading_after_break.value),
        wire: Length::from_m(count * o.threading_waste.value),
        attended: true,
        ..blank(StepKind::Breaks)
    })
}
