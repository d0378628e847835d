//! The walk through the steps, shift by shift.

use super::{Alone, Doing, Stint};
use crate::estimate::Figures;
use crate::job::{Candidate, Job, StaffedHours};
use crate::library::Library;
use crate::plan::{Step, StepKind};
use crate::units::{Length, Mass, Minutes, wire_mass};

/// Most steps that are walked through; a longer lot is told up to here.
const MOST_STEPS: usize = 100_000;
/// Longest time that is walked through, minutes: a year.
const LONGEST: f64 = 52.0 * 10_080.0;

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
    hours: StaffedHours,
    /// Times the median that a step takes.
    stretch: f64,
    /// Times that roughing takes with its share of the breaks.
    with_breaks: f64,
    /// Breaks a minute of roughing.
    break_rate: f64,
    threading_success: f64,
    wanted: u32,
    pub(super) now: f64,
    pub(super) begun: f64,
    pub(super) visits: usize,
    pub(super) stints: Vec<Stint>,
    pub(super) alone: Vec<Alone>,
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
        let roughing = sum(|s| s.pass == Some(1));
        let breaks = sum(|s| s.kind == StepKind::Breaks);
        let o = &library.overheads;
        (!figures.steps.is_empty()).then(|| Self {
            steps: &figures.steps,
            hours,
            stretch,
            with_breaks: if roughing > 0.0 {
                1.0 + breaks / roughing
            } else {
                1.0
            },
            break_rate: o.breaks_in_rough.value / 60.0,
            threading_success: (o.threading_success.value / 100.0).clamp(0.0, 1.0),
            wanted: job.quantity.max(1),
            now: begun,
            begun,
            visits: 0,
            stints: Vec::new(),
            alone: Vec::new(),
            spool: full_spool(candidate, job, library),
            parts: 0,
        })
    }

    pub(super) fn go(&mut self) {
        let mut walked = 0;
        while self.parts < self.wanted
            && walked + self.steps.len() <= MOST_STEPS.max(self.steps.len())
            && self.now - self.begun < LONGEST
        {
            for k in 0..self.steps.len() {
                let s = self.steps[k];
                match s.kind {
                    // Spread over the roughing.
                    StepKind::Breaks => {}
                    _ if s.attended => self.attend(&s),
                    _ => self.run(&s),
                }
            }
            walked += self.steps.len();
            self.parts += 1;
        }
        if let Some(last) = self.alone.last_mut()
            && last.to > self.now
        {
            last.done = Some(self.now);
        }
        for a in &mut self.alone {
            // Breaks as rare events that come by themselves: those that cannot be threaded again are thinned out.
            let failing = a.breaks * (1.0 - self.threading_success);
            let threadings = i32::try_from(a.threadings).unwrap_or(i32::MAX);
            a.needs_nobody = self.threading_success.powi(threadings) * (-failing).exp();
        }
    }

    pub(super) fn waits(&self) -> Minutes {
        let standing = |s: &&Stint| matches!(s.doing, Doing::Waits | Doing::OutOfWire);
        let stints = self.stints.iter().filter(standing);
        stints.map(|s| Minutes::from_min(s.to - s.from)).sum()
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

    fn attend(&mut self, s: &Step) {
        if let Presence::Nobody(until) = self.presence() {
            let now = self.now;
            self.alone_until(until).stops = Some((now, Doing::Waits, s.contour));
            self.pass(until, Doing::Waits, s.contour);
        }
        self.visits += 1;
        self.pass(self.now + s.minutes.min_value(), Doing::Attended, s.contour);
    }

    /// Runs a step, shift by shift.
    fn run(&mut self, s: &Step) {
        let rough = s.pass == Some(1);
        let slower = if rough { self.with_breaks } else { 1.0 };
        let mut left = s.minutes.min_value() * slower * self.stretch;
        let a_minute = if left > 0.0 {
            s.wire * self.stretch / left
        } else {
            Length::ZERO
        };
        let breaks = if rough { self.break_rate / slower } else { 0.0 };
        let mut first = true;
        while left > 0.0 {
            match self.presence() {
                Presence::Staffed(to) => {
                    let piece = left.min(to - self.now);
                    self.pass(self.now + piece, Doing::Runs, s.contour);
                    left -= piece;
                }
                Presence::Nobody(until) => {
                    let (spool, now) = (self.spool, self.now);
                    let a = self.alone_until(until);
                    // A full spool is put on before leaving.
                    let lasts = if a_minute > Length::ZERO {
                        ((spool - a.wire).max(Length::ZERO) / a_minute).max(0.0)
                    } else {
                        f64::INFINITY
                    };
                    let piece = left.min(until - now).min(lasts);
                    a.runs += Minutes::from_min(piece);
                    a.wire += a_minute * piece;
                    a.breaks += breaks * piece;
                    a.threadings += usize::from(first && s.kind == StepKind::Threading);
                    let out = lasts <= left.min(until - now);
                    if out {
                        a.stops = Some((now + piece, Doing::OutOfWire, s.contour));
                    }
                    self.pass(now + piece, Doing::Runs, s.contour);
                    left -= piece;
                    if out && left > 0.0 {
                        self.pass(until, Doing::OutOfWire, s.contour);
                    }
                }
            }
            first = false;
            // What is left of rounding is no time.
            if left < 1e-9 {
                left = 0.0;
            }
        }
    }
}
