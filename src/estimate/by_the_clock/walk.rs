//! The walk through the steps, shift by shift.

use super::stints::{Alone, Doing, Repeats, Stint};
use crate::estimate::Figures;
use crate::job::hours::WEEK;
use crate::job::{Candidate, Job, LotOrder, StaffedHours};
use crate::library::Library;
use crate::plan::{Step, StepKind};
use crate::progress::look;
use crate::units::{Length, Mass, Minutes, wire_mass};
use std::collections::HashMap;

/// Most steps that are walked through; a longer lot without weeks that are alike is told up to here.
const MOST_STEPS: usize = 100_000;
/// Longest time that is walked through, minutes: a year, weeks that repeat not counted.
const LONGEST: f64 = 52.0 * 10_080.0;
/// From here on a moment of two million years has lost its seconds: nothing is walked beyond, minutes.
const BEYOND_CLOCKS: f64 = 1e12;

/// A step or a lot that has longer than this to run is told week by week no more, minutes: once all is as it was a
/// week, or some weeks, before, all the others but the last are the same.
const TOLD_IN_FULL: f64 = 4.0 * WEEK;
/// Two begins at the same moment of the week, minutes.
const SAME_MOMENT: f64 = 1e-6;

/// Nobody begins what would keep them longer than this after the end of a shift, minutes (judgement).
const STAYS: f64 = 15.0;

/// How many steps from the first on nobody may leave in between: from securing a piece until it is out.
fn block(steps: &[Step]) -> usize {
    let first = steps.first().filter(|s| s.attended);
    let Some(first) = first.filter(|s| s.kind == StepKind::Secure || s.pass.is_some()) else {
        return 1;
    };
    let own = |s: &&Step| s.attended && s.contour == first.contour;
    let attended = steps.iter().take_while(own).count();
    let out = |s: &Step| matches!(s.kind, StepKind::SlugStop | StepKind::PartStop);
    let to_the_end = steps[..attended].iter().position(out);
    to_the_end.map_or(attended.max(1), |k| k + 1)
}

/// What can be cut while every tab holds, and what then follows: for each piece threading, the stop, its cut-off, and
/// all that comes after it at that contour.
///
/// The wire has left a contour whose tab stays; where the steps have no threading before the stop, one is added.
pub(super) fn held_and_let_go(steps: &[Step], threading: &Step) -> (Vec<Step>, Vec<Step>) {
    let (mut held, mut let_go): (Vec<Step>, Vec<Step>) = (Vec::new(), Vec::new());
    let mut k = 0;
    while k < steps.len() {
        let s = steps[k];
        // Waste that has fallen apart leaves at once.
        let apart = |x: &Step| x.contour == s.contour && x.kind == StepKind::Pass && x.attended;
        if s.kind != StepKind::Secure || held.last().is_some_and(apart) {
            held.push(s);
            k += 1;
            continue;
        }
        let same = |x: &&Step| x.contour == s.contour;
        // Moves and threading for this visit go with it.
        let way = held.iter().rev().take_while(same);
        let way = way.take_while(|x| matches!(x.kind, StepKind::Move | StepKind::Threading));
        let way: Vec<Step> = way.copied().collect();
        held.truncate(held.len() - way.len());
        let threaded = way.iter().any(|x| x.kind == StepKind::Threading);
        if !threaded {
            let_go.push(Step {
                contour: s.contour,
                plan: s.plan,
                ..*threading
            });
        }
        let_go.extend(way.into_iter().rev());
        let after = steps[k..].iter().take_while(same).count();
        let_go.extend(&steps[k..k + after]);
        k += after;
    }
    (held, let_go)
}

/// Wire on a full spool of the shop.
fn full_spool(candidate: &Candidate, job: &Job, library: &Library) -> Length {
    let spool = library.spools.iter().find(|s| s.name == job.shop.spool);
    let net = spool
        .or(library.spools.first())
        .map_or(0.0, |s| s.net_mass.value);
    let metre = library.wire(&candidate.wire).map_or(Mass::ZERO, |w| {
        wire_mass(Length::from_m(1.0), candidate.diameter, w.density())
    });
    Length::from_m(if metre.kg() > 0.0 {
        net / metre.kg()
    } else {
        f64::INFINITY
    })
}

/// Somebody is there until a moment, or nobody until one.
#[derive(Clone, Copy)]
enum Presence {
    Staffed(f64),
    Nobody(f64),
}

pub(super) struct Walk<'a> {
    steps: &'a [Step],
    /// Steps before which a part is loaded.
    loads: &'a [usize],
    hours: StaffedHours,
    /// Times the median that a step takes.
    stretch: f64,
    /// Times that roughing takes with its share of the breaks and of the allowance.
    with_breaks: f64,
    /// Breaks a minute of roughing.
    break_rate: f64,
    threading_success: f64,
    /// The same after a break; 0 where somebody threads the wire.
    after_a_break: f64,
    wanted: u32,
    /// Loading and aligning, between parts.
    loading: Vec<Step>,
    /// A threading as this wire has it.
    threading: Step,
    pub(super) now: f64,
    pub(super) begun: f64,
    pub(super) visits: usize,
    pub(super) stints: Vec<Stint>,
    pub(super) alone: Vec<Alone>,
    pub(super) repeats: Vec<Repeats>,
    /// Minutes that the machine stands, those in the weeks that repeat among them.
    stands: f64,
    pub(super) spool: Length,
    pub(super) parts: u32,
}

impl<'a> Walk<'a> {
    pub(super) fn new(
        figures: &'a Figures,
        candidate: &Candidate,
        job: &Job,
        library: &Library,
        stretch: f64,
    ) -> Option<Self> {
        let hours = job.shop.staffed;
        let begin = job.begin.minutes();
        // Somebody has to press the button.
        let begun = hours.shift_at(begin)?.0.max(begin);
        let sum = |keep: fn(&&Step) -> bool| -> f64 {
            let kept = figures.steps.iter().filter(keep);
            kept.map(|s| s.minutes.min_value()).sum()
        };
        let roughing = sum(|s| s.is_rough());
        let spread = sum(|s| is_spread(s.kind));
        let o = &library.overheads;
        let wire = library.wire(&candidate.wire);
        let by_hand = wire.is_some_and(|w| job.threads_by_hand(candidate.run, w, library));
        let threading = if by_hand {
            &o.manual_threading
        } else {
            &o.automatic_threading
        };
        let threading_success = (o.threading_success.value / 100.0).clamp(0.0, 1.0);
        (!figures.steps.is_empty()).then(|| Self {
            steps: &figures.steps,
            loads: &figures.loads,
            hours,
            stretch,
            with_breaks: if roughing > 0.0 {
                1.0 + spread / roughing
            } else {
                1.0
            },
            break_rate: o.breaks_in_rough.value / 60.0,
            threading_success,
            after_a_break: if by_hand { 0.0 } else { threading_success },
            wanted: job.quantity.max(1),
            loading: figures
                .beside
                .iter()
                .filter(|s| s.kind == StepKind::Loading)
                .copied()
                .collect(),
            threading: Step {
                kind: StepKind::Threading,
                pass: None,
                contour: None,
                open: None,
                plan: 0,
                length: Length::ZERO,
                minutes: Minutes::from_min(threading.value),
                corner_minutes: Minutes::ZERO,
                wire: Length::from_m(o.threading_waste.value),
                attended: by_hand,
            },
            now: begun,
            begun,
            visits: 0,
            stints: Vec::new(),
            alone: Vec::new(),
            repeats: Vec::new(),
            stands: 0.0,
            spool: full_spool(candidate, job, library),
            parts: 0,
        })
    }

    /// Part by part, or with the tabs of all parts left until the rest of the lot is cut; `false` where the lot is too
    /// long for the latter.
    pub(super) fn go(&mut self, order: LotOrder) -> bool {
        match order {
            LotOrder::PartByPart => {
                let part = self.loaded();
                self.parts = self.rounds(&part, MOST_STEPS);
            }
            LotOrder::TabsTogether => {
                let (held, let_go) = held_and_let_go(self.steps, &self.threading);
                // All parts lie on the machine at once.
                self.walk(&self.loading.clone());
                for steps in [held, let_go] {
                    if self.rounds(&steps, MOST_STEPS / 2) < self.wanted {
                        return false;
                    }
                }
                self.parts = self.wanted;
            }
        }
        self.finish();
        true
    }

    /// The steps of a part, or of the pieces of a set, each loaded before it.
    fn loaded(&self) -> Vec<Step> {
        let mut part = Vec::with_capacity(self.steps.len() + self.loading.len());
        let mut loading = self.loading.iter();
        let mut loads = vec![0; self.steps.len()];
        for &k in self.loads {
            if let Some(count) = loads.get_mut(k) {
                *count += 1;
            }
        }
        for (step, loads) in self.steps.iter().zip(loads) {
            part.extend(loading.by_ref().take(loads));
            part.push(*step);
        }
        part
    }

    /// Walks through the same steps once for each part of the lot; for how many it came to that.
    ///
    /// What begins at the same moment of the week as once before, with somebody there, goes on as it did then: nothing
    /// else is carried from one part to the next. All rounds of such weeks but the last are then counted, not walked.
    fn rounds(&mut self, steps: &[Step], most_steps: usize) -> u32 {
        let (mut begun, mut walked) = (HashMap::new(), 0);
        let (mut done, mut repeated) = (0, 0.0);
        while done < self.wanted
            && (done == 0 || walked + steps.len() <= most_steps)
            && self.now - self.begun - repeated < LONGEST
            && self.now < BEYOND_CLOCKS
        {
            let long = self.now - self.begun > TOLD_IN_FULL && repeated == 0.0;
            if long && matches!(self.presence(), Presence::Staffed(_)) {
                let moment = (self.now.rem_euclid(WEEK) / SAME_MOMENT).round() as u64;
                let here = (done, self.now, self.stands, self.visits);
                if let Some(before) = begun.insert(moment, here) {
                    let rounds = self.repeat_rounds(before, done);
                    repeated = self.repeats.last().map_or(0.0, |r| r.weeks * WEEK);
                    done += rounds;
                }
            }
            look();
            self.walk(steps);
            walked += steps.len();
            done += 1;
        }
        done
    }

    /// Takes what happened since a moment at which all was as it is now as often as it fits into the lot, the last
    /// time excepted; how many parts that makes.
    fn repeat_rounds(&mut self, before: (u32, f64, f64, usize), done: u32) -> u32 {
        let (parts, moment, stood, visits) = before;
        let parts = done - parts;
        let round = ((self.now - moment) / WEEK).round();
        let times = ((self.wanted - done) / parts.max(1)).saturating_sub(1);
        if times == 0 || round < 1.0 {
            return 0;
        }
        let weeks = f64::from(times) * round;
        self.repeats.push(Repeats {
            from: self.now,
            weeks,
            round,
        });
        self.now += weeks * WEEK;
        self.stands += f64::from(times) * (self.stands - stood);
        self.visits += times as usize * (self.visits - visits);
        times * parts
    }

    fn walk(&mut self, steps: &[Step]) {
        let mut k = 0;
        while k < steps.len() {
            let s = &steps[k];
            let len = block(&steps[k..]);
            if is_spread(s.kind) {
                // Spread over the roughing.
            } else if s.attended {
                self.attend(&steps[k..k + len]);
            } else {
                self.run(s);
            }
            k += len;
        }
    }

    fn finish(&mut self) {
        if let Some(last) = self.alone.last_mut()
            && last.to > self.now
        {
            last.done = Some(self.now);
        }
        for a in &mut self.alone {
            // Breaks as rare events that come by themselves: those that cannot be threaded again are thinned out.
            let failing = a.breaks * (1.0 - self.after_a_break);
            let threadings = i32::try_from(a.threadings).unwrap_or(i32::MAX);
            a.needs_nobody = self.threading_success.powi(threadings) * (-failing).exp();
        }
    }

    pub(super) fn waits(&self) -> Minutes {
        Minutes::from_min(self.stands)
    }

    fn presence(&self) -> Presence {
        match self.hours.shift_at(self.now) {
            Some((from, to)) if from <= self.now => Presence::Staffed(to),
            Some((from, _)) => Presence::Nobody(from),
            // Cannot be: hours without any shift have no walk.
            None => Presence::Staffed(f64::INFINITY),
        }
    }

    /// The time without anybody that lasts until a moment.
    fn alone_until(&mut self, until: f64) -> &mut Alone {
        let known = self.alone.last().is_some_and(|a| a.to == until);
        if !known {
            self.alone.push(Alone {
                from: self.now,
                to: until,
                runs: Minutes::ZERO,
                stops: None,
                done: None,
                wire: Length::ZERO,
                threadings: 0,
                breaks: 0.0,
                needs_nobody: 1.0,
            });
        }
        let last = self.alone.len() - 1;
        &mut self.alone[last]
    }

    /// Goes on to a moment.
    fn pass(&mut self, to: f64, doing: Doing, contour: Option<usize>) {
        if to <= self.now {
            return;
        }
        if matches!(doing, Doing::Waits | Doing::OutOfWire) {
            self.stands += to - self.now;
        }
        match self.stints.last_mut() {
            Some(s) if s.doing == doing && s.contour == contour && s.to == self.now => s.to = to,
            _ => self.stints.push(Stint {
                from: self.now,
                to,
                doing,
                contour,
            }),
        }
        self.now = to;
    }

    /// Minutes that a step takes in this walk: what cuts or moves is stretched, what somebody does is not.
    fn minutes(&self, s: &Step) -> f64 {
        let slower = if s.is_rough() { self.with_breaks } else { 1.0 };
        let stretch = if s.attended && s.pass.is_none() {
            1.0
        } else {
            self.stretch
        };
        s.minutes.min_value() * slower * stretch
    }

    /// Until when somebody is there, shifts that touch taken as one; `now` where nobody is.
    fn somebody_until(&self) -> f64 {
        let mut until = self.now;
        // A week of touching shifts goes on for ever.
        while until - self.now < 2.0 * WEEK {
            match self.hours.shift_at(until) {
                Some((from, to)) if from <= until && to > until => until = to,
                _ => break,
            }
        }
        until
    }

    /// Work that somebody begins and sees through to its end.
    fn attend(&mut self, block: &[Step]) {
        let contour = block.iter().find_map(|s| s.contour);
        let length: f64 = block.iter().map(|s| self.minutes(s)).sum();
        let until = self.somebody_until();
        let just_come = !self.hours.is_staffed(self.now - 1e-6);
        if until > self.now && !just_come && self.now + length > until + STAYS {
            // Nobody begins what would keep them so long.
            self.pass(until, Doing::Waits, contour);
        }
        if let Presence::Nobody(until) = self.presence() {
            let now = self.now;
            self.alone_until(until).stops = Some((now, Doing::Waits, contour));
            self.pass(until, Doing::Waits, contour);
        }
        self.visits += 1;
        for s in block {
            self.pass(self.now + self.minutes(s), Doing::Attended, s.contour);
        }
    }

    /// Runs a step, shift by shift.
    fn run(&mut self, s: &Step) {
        let rough = s.is_rough();
        let slower = if rough { self.with_breaks } else { 1.0 };
        let mut left = self.minutes(s);
        let pace = Pace {
            wire: if left > 0.0 {
                s.wire * self.stretch / left
            } else {
                Length::ZERO
            },
            breaks: if rough { self.break_rate / slower } else { 0.0 },
        };
        let mut first = true;
        while left > 0.0 {
            if left > TOLD_IN_FULL && matches!(self.presence(), Presence::Staffed(_)) {
                left = self.repeat_weeks(s, pace, left, first);
            } else {
                left = self.run_on(s, pace, left, f64::INFINITY, first);
            }
            first = false;
        }
    }

    /// Walks through one week of a long step and takes as many more as are like it; what is left of the step.
    ///
    /// Begun while somebody is there, a week ends as it began: no night and no spool is under way.
    fn repeat_weeks(&mut self, s: &Step, pace: Pace, left: f64, mut first: bool) -> f64 {
        let (begun, stood) = (self.now, self.stands);
        // No more than a week can be worked in one, and what is taken from a short piece keeps its digits.
        let piece = left.min(2.0 * WEEK);
        let mut rest = piece;
        while self.now < begun + WEEK && rest > 0.0 {
            rest = self.run_on(s, pace, rest, begun + WEEK, first);
            first = false;
        }
        let a_week = piece - rest;
        let after = left - a_week;
        let weeks = (after / a_week).floor() - 1.0;
        if !weeks.is_finite() || a_week <= 0.0 || begun + left + WEEK == begun + left {
            // Beyond all clocks: a week is less than the rounding of the moment.
            self.now += after;
            return 0.0;
        }
        if weeks < 1.0 {
            return after;
        }
        self.repeats.push(Repeats {
            from: self.now,
            weeks,
            round: 1.0,
        });
        self.stands += weeks * (self.stands - stood);
        self.now += weeks * WEEK;
        (after - weeks * a_week).max(0.0)
    }

    /// Runs on until the step is done, somebody comes or leaves, or a moment is reached; what is left of the step.
    fn run_on(&mut self, s: &Step, pace: Pace, left: f64, end: f64, first: bool) -> f64 {
        let left = match self.presence() {
            Presence::Staffed(to) => {
                let piece = left.min(to.min(end) - self.now);
                self.pass(self.now + piece, Doing::Runs, s.contour);
                left - piece
            }
            Presence::Nobody(until) => {
                let (spool, now) = (self.spool, self.now);
                let a = self.alone_until(until);
                // A full spool is put on before leaving.
                let lasts = if pace.wire > Length::ZERO {
                    ((spool - a.wire).max(Length::ZERO) / pace.wire).max(0.0)
                } else {
                    f64::INFINITY
                };
                let piece = left.min(until - now).min(lasts);
                a.runs += Minutes::from_min(piece);
                a.wire += pace.wire * piece;
                a.breaks += pace.breaks * piece;
                a.threadings += usize::from(first && s.kind == StepKind::Threading);
                let out = lasts <= left.min(until - now);
                if out {
                    a.stops = Some((now + piece, Doing::OutOfWire, s.contour));
                }
                self.pass(now + piece, Doing::Runs, s.contour);
                let left = left - piece;
                if out && left > 0.0 {
                    self.pass(until, Doing::OutOfWire, s.contour);
                }
                left
            }
        };
        // What is left of rounding is no time.
        if left < 1e-9 { 0.0 } else { left }
    }
}

/// What belongs to no moment and lies evenly in the roughing.
fn is_spread(kind: StepKind) -> bool {
    matches!(kind, StepKind::Breaks | StepKind::Allowance)
}

/// What a minute of a step takes.
#[derive(Clone, Copy)]
struct Pace {
    wire: Length,
    breaks: f64,
}
