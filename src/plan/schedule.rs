//! The steps of one part on one wire.

mod cutting;
mod moving;

use super::contour_paths::ContourPaths;
use super::contour_plan::Plans;
use super::links::linked_start;
use super::sequence::cutting_order;
use super::starts::{Start, StartWanted};
use super::steps::{Step, StepKind};
use super::visits::{Act, acts};
use crate::geometry::Point;
use crate::job::{CuttingOrder, Job, Travel, contour_key};
use crate::library::Library;
use crate::profile::{Profile, Role};
use crate::units::{Length, Minutes};

/// Longest share of a path that is left as a tab (judgement).
pub const LARGEST_TAB: f64 = 0.2;

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

/// Everything the machine and the person beside it do for one part, in order.
///
/// For each contour: thread, lead in, rough and skims up to the tab that holds the piece, then the tab
/// with all its passes while the piece is held by hand or magnet, then the stop at which it is taken out.
/// With the cut-off before the skims the stop follows the rough, the wire is threaded again (nobody
/// reaches in beside a live wire; common practice) and the skims run all the way round. When all roughs
/// come first, every contour is visited again for its skims and for its cut-off, unless the wire is still in
/// it. Curves that are cut on the line come before everything else. `by_hand` says how the wire is threaded.
pub fn schedule(
    profile: &Profile,
    job: &Job,
    library: &Library,
    plans: &Plans,
    paths: &[ContourPaths],
    by_hand: bool,
) -> Schedule {
    let mut s = Scheduler {
        profile,
        job,
        library,
        plans,
        by_hand,
        out: Schedule::default(),
        at: None,
        within: None,
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
    by_hand: bool,
    out: Schedule,
    at: Option<Point>,
    /// The contour in whose kerf the wire still is.
    within: Option<usize>,
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
        let mut last: Option<Start> = None;
        for &(p, own) in order {
            let path = p.passes.first().and_then(|r| r.loops.first());
            let linked = last.as_ref().zip(path).and_then(|(last, path)| {
                (self.job.travel == Travel::KeepThreaded && p.rings.is_none())
                    .then(|| {
                        let rough = self.plans.all[p.plan].passes.first()?;
                        linked_start(self.profile, last.join, path, rough.offset)
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
                } else {
                    self.come_back(p, &start);
                }
                self.act(p, act, tab);
            }
            self.at = Some(start.join);
            last = Some(start);
        }
    }

    /// Round after round of one kind of work: a contour with fewer passes waits for the others, and no piece
    /// comes free while something in it is still to be cut.
    fn roughs_first(&mut self, order: &[(&ContourPaths, Start)]) {
        for round in Act::ROUNDS {
            let mut visits: Vec<&(&ContourPaths, Start)> = order.iter().collect();
            if round == [Act::CutOff] {
                // Inner before outer, and of what lies side by side a part after the slugs.
                let depth = |p: &ContourPaths| self.profile.contours[p.contour].depth;
                visits.sort_by_key(|(p, _)| (std::cmp::Reverse(depth(p)), p.role == Role::Outline));
            }
            for (p, start) in visits {
                let own = acts(p, self.job, self.profile);
                for act in own.into_iter().filter(|a| round.contains(a)) {
                    let tab = self.tab_of(p);
                    if act == Act::Rough {
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
    }
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
