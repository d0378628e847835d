//! The plan that is wanted: the cheapest that reaches a finish and a tolerance and is done in time, and the two next.
//!
//! All plans are tried: every wire of the job, every number of passes, each contour in turn or all roughs first, slugs
//! out before or after the skims; and, where a time is set, every begin of a short list. The answer depends on nothing
//! but profile, job and library.

use super::pass_advice::{Wanted, pass_plans};
use super::{ByTheClock, Figures, by_the_clock, compare};
use crate::job::hours::WEEK;
use crate::job::{Candidate, CutOff, CuttingOrder, Job, WeekTime};
use crate::library::Library;
use crate::plan::PathCache;
use crate::profile::Profile;
use crate::progress::look;
use crate::units::{Minutes, Money};
use serde::{Deserialize, Serialize};

/// Begins are tried every so many minutes within a day, while somebody is there.
const BEGIN_STEP: f64 = 120.0;

/// Which of the plans that are fine enough and in time is the best.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Aim {
    /// The cheapest.
    #[default]
    Cheapest,
    /// The one whose lot is done first.
    Soonest,
}

/// What is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Wish {
    /// What the best is best in.
    pub aim: Aim,
    /// Finish and tolerance that have to be reached.
    pub finish: Wanted,
    /// The lot is done at the latest at the first such time after the job's own begin.
    pub by: Option<WeekTime>,
}

/// A way to cut the job.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    /// The wire.
    pub candidate: Candidate,
    /// Passes, 1 the rough alone.
    pub passes: usize,
    /// Order of contours.
    pub order: CuttingOrder,
    /// When slugs are cut off.
    pub cut_off: CutOff,
    /// When the first part is begun.
    pub begin: WeekTime,
}

impl Way {
    /// The job cut so, with this wire alone.
    pub fn job(&self, job: &Job) -> Job {
        Job {
            candidates: vec![self.candidate.clone()],
            baseline: 0,
            passes: self.passes,
            order: self.order,
            cut_off: self.cut_off,
            begin: self.begin,
            ..job.clone()
        }
    }
}

/// A plan and what it comes to.
#[derive(Debug, Clone, PartialEq)]
#[allow(
    clippy::struct_excessive_bools,
    reason = "each answers a question of its own"
)]
pub struct TriedPlan {
    /// The way.
    pub way: Way,
    /// Time a part.
    pub minutes: Minutes,
    /// Cost a part.
    pub cost: Money,
    /// Whether its finish and tolerance are usually enough.
    pub is_fine: bool,
    /// Whether it makes every drawn radius that another round wire might make.
    pub makes_radii: bool,
    /// Minutes after Monday 0:00 at which the lot is done; `None` where nobody asks for it or the clock does not tell.
    pub done: Option<f64>,
    /// Minutes that the machine stands and waits meanwhile.
    pub waits: Minutes,
    /// Whether its wire is on hand for the machine, or nothing is known of that.
    pub on_hand: bool,
    /// Whether it is done in time; true where no time is set.
    pub in_time: bool,
}

impl TriedPlan {
    /// Whether it is what was asked for, but for the radii.
    pub fn meets(&self) -> bool {
        self.is_fine && self.in_time
    }
}

/// All plans and the best of them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Answer {
    /// Every plan that can be cut, in the order tried: wires as in the job, passes, order, release.
    pub plans: Vec<TriedPlan>,
    /// The cheapest that is what was asked for, of equal ones the one that is done first; or the one that is done
    /// first, of equal ones the cheapest. Then the first tried.
    pub best: Option<usize>,
    /// The two next best with another wire or another number of passes.
    pub next: Vec<usize>,
    /// Plans that no other one beats in time and cost, by time.
    pub front: Vec<usize>,
    /// Minutes after Monday 0:00 by which the lot has to be done.
    pub deadline: Option<f64>,
    /// The fewest passes that are usually enough on some wire of the job; `None` where none are.
    pub passes_needed: Option<usize>,
}

/// The plans of a job and the best for a wish.
pub fn wanted_plan(
    profile: &Profile,
    job: &Job,
    library: &Library,
    wish: &Wish,
    cache: &PathCache,
) -> Answer {
    let deadline = wish.by.map(|by| deadline(job.begin, by));
    let begins = begins(job, deadline);
    let mut plans = Vec::new();
    let mut passes_needed: Option<usize> = None;
    for passes in 1..=library.passes.len() {
        for (order, cut_off) in ORDERS {
            let all = Job {
                passes,
                order,
                cut_off,
                ..job.clone()
            };
            // All wires at once: their paths are laid on all cores.
            for e in compare(profile, &all, library, cache).estimates {
                look();
                let Some(figures) = &e.figures else { continue };
                let is_fine = is_fine(library, &e.candidate, passes, &wish.finish);
                if is_fine {
                    passes_needed = Some(passes_needed.map_or(passes, |p| p.min(passes)));
                }
                let mut plan = TriedPlan {
                    way: Way {
                        candidate: e.candidate.clone(),
                        passes,
                        order,
                        cut_off,
                        begin: job.begin,
                    },
                    minutes: figures.minutes.median,
                    cost: figures.cost.part.median,
                    is_fine,
                    makes_radii: !e.leaves_a_radius(),
                    on_hand: e.is_on_hand(),
                    done: None,
                    waits: Minutes::ZERO,
                    in_time: deadline.is_none(),
                };
                // Only what is fine enough has to be in time.
                if is_fine {
                    if let Some(deadline) = deadline {
                        let times = (begins.as_slice(), deadline, wish.aim);
                        take_begin(&mut plan, figures, &all, library, times);
                    } else if wish.aim == Aim::Soonest {
                        let clock = by_the_clock(figures, &e.candidate, &all, library);
                        let whole = clock.filter(ByTheClock::is_whole);
                        plan.done = whole.map(|c| c.all_done());
                    }
                }
                plans.push(plan);
            }
        }
    }
    let place = |c: &Candidate| job.candidates.iter().position(|own| own == c);
    plans.sort_by_key(|p| place(&p.way.candidate));
    let (best, next) = best(&plans, wish.aim);
    Answer {
        front: front(&plans),
        best,
        next,
        deadline,
        passes_needed,
        plans,
    }
}

/// Orders of contours and releases that are tried.
const ORDERS: [(CuttingOrder, CutOff); 4] = [
    (CuttingOrder::EachInTurn, CutOff::AfterSkims),
    (CuttingOrder::EachInTurn, CutOff::BeforeSkims),
    (CuttingOrder::RoughsFirst, CutOff::AfterSkims),
    (CuttingOrder::RoughsFirst, CutOff::BeforeSkims),
];

/// The first moment after the begin that is such a time of the week.
fn deadline(begin: WeekTime, by: WeekTime) -> f64 {
    let (from, to) = (begin.minutes(), by.minutes());
    if to > from { to } else { to + WEEK }
}

/// The job's own begin, and later ones within a day while somebody is there, before the deadline.
pub fn begins(job: &Job, deadline: Option<f64>) -> Vec<WeekTime> {
    let own = job.begin.minutes();
    let mut out = vec![job.begin];
    let steps = (24.0 * 60.0 / BEGIN_STEP) as u32;
    let later = (1..=steps).map(|k| own + BEGIN_STEP * f64::from(k));
    let before = |moment: &f64| deadline.is_some_and(|d| *moment < d);
    let staffed = later
        .filter(before)
        .filter(|m| job.shop.staffed.is_staffed(*m));
    // A begin of the next week would be taken for one of this week.
    let staffed = staffed.filter(|m| *m < WEEK);
    out.extend(staffed.map(WeekTime::after_monday));
    out
}

fn is_fine(library: &Library, candidate: &Candidate, passes: usize, wanted: &Wanted) -> bool {
    let Some(wire) = library.wire(&candidate.wire) else {
        return false;
    };
    let plans = pass_plans(library, wire);
    plans.get(passes - 1).is_some_and(|p| {
        wanted.roughness_um.is_none_or(|ra| p.roughness_um[1] <= ra)
            && wanted.tolerance_mm.is_none_or(|t| p.tolerance_mm[1] <= t)
    })
}

/// Of the begins that are in time the one that lets the machine stand least; else, and where the soonest is wanted, the
/// one that is done first.
fn take_begin(
    plan: &mut TriedPlan,
    figures: &Figures,
    job: &Job,
    library: &Library,
    (begins, deadline, aim): (&[WeekTime], f64, Aim),
) {
    for &begin in begins {
        let at = Job {
            begin,
            ..job.clone()
        };
        let Some(clock) = by_the_clock(figures, &plan.way.candidate, &at, library) else {
            continue;
        };
        // A lot too long to be walked through is in no time that can be told.
        let done_at = clock.all_done();
        let in_time = clock.is_whole() && done_at <= deadline;
        let better = match plan.done {
            None => true,
            Some(done) if in_time == plan.in_time && in_time && aim == Aim::Cheapest => {
                (clock.waits, done_at) < (plan.waits, done)
            }
            Some(done) if in_time == plan.in_time => done_at < done,
            Some(_) => in_time,
        };
        if better {
            plan.way.begin = begin;
            plan.done = Some(done_at);
            plan.waits = clock.waits;
            plan.in_time = in_time;
        }
    }
}

/// The best plan, and the two next with another wire or number of passes.
fn best(plans: &[TriedPlan], aim: Aim) -> (Option<usize>, Vec<usize>) {
    let some_make_all = plans.iter().any(|p| p.meets() && p.makes_radii);
    let mut order: Vec<usize> = (0..plans.len())
        .filter(|&k| plans[k].meets() && (plans[k].makes_radii || !some_make_all))
        .collect();
    order.sort_by(|&a, &b| {
        let (x, y) = (&plans[a], &plans[b]);
        let cost = x.cost.amount().total_cmp(&y.cost.amount());
        // Where the clock tells nothing of a very long lot, it comes after those of which it does.
        let end = |p: &TriedPlan| p.done.unwrap_or(f64::INFINITY);
        let done = end(x).total_cmp(&end(y));
        let minutes = x.minutes.min_value().total_cmp(&y.minutes.min_value());
        match aim {
            Aim::Cheapest => cost.then(done).then(minutes),
            Aim::Soonest => done.then(minutes).then(cost),
        }
        .then(a.cmp(&b))
    });
    let mut told: Vec<usize> = Vec::new();
    for k in order {
        let same = |other: &usize| {
            let (a, b) = (&plans[k].way, &plans[*other].way);
            a.candidate == b.candidate && a.passes == b.passes
        };
        if !told.iter().any(same) {
            told.push(k);
        }
        if told.len() == 3 {
            break;
        }
    }
    let mut told = told.into_iter();
    (told.next(), told.collect())
}

/// Plans that no other one beats in both time and cost, by time; of equal ones the first.
fn front(plans: &[TriedPlan]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..plans.len()).collect();
    order.sort_by(|&a, &b| {
        let (x, y) = (&plans[a], &plans[b]);
        let minutes = x.minutes.min_value().total_cmp(&y.minutes.min_value());
        let cost = x.cost.amount().total_cmp(&y.cost.amount());
        minutes.then(cost).then(a.cmp(&b))
    });
    let mut cheapest = f64::INFINITY;
    order.retain(|&k| {
        let cost = plans[k].cost.amount();
        let stays = cost < cheapest;
        cheapest = cheapest.min(cost);
        stays
    });
    order
}
