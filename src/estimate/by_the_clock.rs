//! When a job is done by the clock: what runs while nobody is there, what stands still and waits for somebody.
//!
//! The steps of the estimate are walked through, part after part, each loaded first. What somebody must stand by
//! begins only while the shop is staffed, and nobody leaves between securing a piece and taking it out, so that none
//! is ever let go with nobody there; until then the machine stands. Everything else runs on. Expected wire
//! breaks and the allowance lie evenly in the roughing, so that the walk takes the estimate's own time.
//!
//! Moments are minutes after Monday 0:00 of the week in which the job is begun.

mod stints;
mod walk;

pub use stints::{Alone, Doing, Repeats, Stint};

use super::Figures;
use crate::job::{Candidate, Job, LotOrder, WeekTime};
use crate::library::Library;
use crate::progress::look;
use crate::units::{Length, Minutes};
use walk::Walk;

/// A job by the clock.
#[derive(Debug, Clone, PartialEq)]
pub struct ByTheClock {
    /// When the first part is begun, the first staffed moment from the job's begin on.
    pub begun: f64,
    /// When the last part is done, by the median.
    pub done: f64,
    /// The same at the ends of the time's range.
    pub done_range: (f64, f64),
    /// Minutes the machine stands and waits for somebody, by the median.
    pub waits: Minutes,
    /// How often somebody has to come.
    pub visits: usize,
    /// What is done when, in order, the median; of weeks that repeat the first one.
    pub stints: Vec<Stint>,
    /// Times without anybody, in order; of weeks that repeat those of the first one.
    pub alone: Vec<Alone>,
    /// Weeks of a long step or lot that go on as those before: they are in no list, but in every sum.
    pub repeats: Vec<Repeats>,
    /// Metres on a full spool.
    pub spool: Length,
    /// Parts that were walked through; fewer than the lot where that is very long and no weeks of it are alike. All
    /// moments, sums and lists are of these.
    pub parts: u32,
    /// Parts of the lot.
    pub wanted: u32,
}

impl ByTheClock {
    /// Whether the whole lot was walked through.
    pub fn is_whole(&self) -> bool {
        self.parts >= self.wanted
    }
    /// When the whole lot is done, by the median: where it was walked in part, as if the rest went on at that pace.
    pub fn all_done(&self) -> f64 {
        self.at_pace(self.done)
    }
    /// The same at the ends of the time's range.
    pub fn all_done_range(&self) -> (f64, f64) {
        (
            self.at_pace(self.done_range.0),
            self.at_pace(self.done_range.1),
        )
    }
    fn at_pace(&self, done: f64) -> f64 {
        if self.is_whole() {
            return done;
        }
        self.begun + (done - self.begun) * f64::from(self.wanted) / f64::from(self.parts.max(1))
    }
}

/// Walks a wire's steps through the clock; `None` without steps or where nobody is ever there.
pub fn by_the_clock(
    figures: &Figures,
    candidate: &Candidate,
    job: &Job,
    library: &Library,
) -> Option<ByTheClock> {
    in_order(job.lot_order, figures, candidate, job, library)
}

/// The lot with the tabs of all its parts left for the end, where that is done at least a quarter of an hour earlier
/// than part by part, and the job is not cut so already.
pub fn tabs_together(
    figures: &Figures,
    candidate: &Candidate,
    job: &Job,
    library: &Library,
) -> Option<ByTheClock> {
    if job.quantity < 2 || job.lot_order == LotOrder::TabsTogether {
        return None;
    }
    let one_by_one = by_the_clock(figures, candidate, job, library)?;
    // Moments of two lots of which one was walked in part do not compare.
    let whole = one_by_one.is_whole();
    let together = in_order(LotOrder::TabsTogether, figures, candidate, job, library);
    together.filter(|t| whole && t.is_whole() && t.done + 15.0 <= one_by_one.done)
}

fn in_order(
    order: LotOrder,
    figures: &Figures,
    candidate: &Candidate,
    job: &Job,
    library: &Library,
) -> Option<ByTheClock> {
    let walk = |stretch: f64| {
        let mut w = Walk::new(figures, candidate, job, library, stretch)?;
        if w.go(order) {
            return Some(w);
        }
        let mut w = Walk::new(figures, candidate, job, library, stretch)?;
        w.go(LotOrder::PartByPart);
        Some(w)
    };
    let m = &figures.minutes;
    let part = |end: Minutes| {
        if m.median > Minutes::ZERO {
            end / m.median
        } else {
            1.0
        }
    };
    let median = walk(1.0)?;
    // The same parts at the ends, which may have come less far or farther.
    let end = |w: Walk<'_>| {
        if w.parts == median.parts {
            return w.now;
        }
        w.begun + (w.now - w.begun) * f64::from(median.parts) / f64::from(w.parts.max(1))
    };
    let low = end(walk(part(m.low))?);
    let high = end(walk(part(m.high))?);
    Some(ByTheClock {
        begun: median.begun,
        done: median.now,
        done_range: (low, high),
        waits: median.waits(),
        visits: median.visits,
        alone: median.alone,
        stints: median.stints,
        repeats: median.repeats,
        spool: median.spool,
        parts: median.parts,
        wanted: job.quantity.max(1),
    })
}

/// The begin within the next day that lets the machine stand least, where it saves at least a quarter of an hour.
///
/// Tried every half hour while somebody is there. With it, what the machine then stands. `None`, too, where the lot is
/// walked in part: what parts of it wait does not compare.
pub fn best_begin(
    figures: &Figures,
    candidate: &Candidate,
    job: &Job,
    library: &Library,
) -> Option<(f64, Minutes)> {
    let usual = by_the_clock(figures, candidate, job, library)?;
    if !usual.is_whole() {
        return None;
    }
    let mut best: Option<(f64, Minutes)> = None;
    for k in 1..48 {
        look();
        let moment = usual.begun + 30.0 * f64::from(k);
        if !job.shop.staffed.is_staffed(moment) {
            continue;
        }
        let later = Job {
            begin: WeekTime::after_monday(moment),
            ..job.clone()
        };
        let mut w = Walk::new(figures, candidate, &later, library, 1.0)?;
        w.go(job.lot_order);
        if w.parts < usual.parts {
            continue;
        }
        let waits = w.waits();
        if best.is_none_or(|b| waits < b.1 - Minutes::from_min(1.0)) {
            best = Some((moment, waits));
        }
    }
    best.filter(|b| b.1 + Minutes::from_min(15.0) <= usual.waits)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::{Cost, Ranged};
    use crate::job::StaffedHours;
    use crate::plan::{Step, StepKind};
    use crate::process::PassNumber;
    use crate::units::Mass;

    fn step(kind: StepKind, minutes: f64, pass: Option<PassNumber>, contour: usize) -> Step {
        Step {
            kind,
            pass,
            contour: Some(contour),
            open: None,
            plan: 0,
            length: Length::ZERO,
            minutes: Minutes::from_min(minutes),
            corner_minutes: Minutes::ZERO,
            wire: Length::from_m(if kind == StepKind::Pass {
                10.0 * minutes
            } else {
                0.0
            }),
            attended: matches!(
                kind,
                StepKind::SlugStop | StepKind::PartStop | StepKind::Breaks
            ),
        }
    }

    fn figures(steps: Vec<Step>) -> Figures {
        let all: Minutes = steps.iter().map(|s| s.minutes).sum();
        Figures {
            steps,
            minutes: Ranged {
                median: all,
                low: all * 0.5,
                high: all * 2.0,
            },
            attended: Minutes::ZERO,
            passes: Vec::new(),
            wire: Ranged::default(),
            wire_mass: Mass::ZERO,
            quantity: 1,
            spools: 0.0,
            cost: Cost::default(),
            parts_per_week: 0,
            parts_per_week_range: (0, 0),
            parts_per_week_exactly: 0.0,
            start_holes: 0,
            copies: crate::estimate::Copies::default(),
            loads: vec![0],
            starts: Vec::new(),
            beside: Vec::new(),
            plans: Vec::new(),
            slugs: Vec::new(),
            doubts: crate::estimate::doubts::Doubts::default(),
            parts: Vec::new(),
            finish: crate::process::finish::Finish {
                roughness_um: [0.0; 2],
                in_doubt: None,
            },
            plates: Vec::new(),
        }
    }

    fn job(begin: &str, hours: &str) -> Job {
        let mut job = Job::starting(Library::built_in());
        job.begin = WeekTime::parse(begin).expect("a time");
        job.shop.staffed = StaffedHours::parse(hours).expect("hours");
        job
    }

    fn walked(steps: Vec<Step>, job: &Job) -> ByTheClock {
        by_the_clock(
            &figures(steps),
            &job.candidates[0],
            job,
            Library::built_in(),
        )
        .expect("a walk")
    }

    fn at(text: &str) -> f64 {
        WeekTime::parse(text).expect("a time").minutes()
    }

    /// An opening with a slug, then the outline.
    fn two_contours(first: f64, second: f64) -> Vec<Step> {
        vec![
            step(StepKind::Threading, 1.0, None, 1),
            step(StepKind::Pass, first, Some(PassNumber::ROUGH), 1),
            step(StepKind::SlugStop, 4.0, None, 1),
            step(StepKind::Threading, 1.0, None, 0),
            step(StepKind::Pass, second, Some(PassNumber::ROUGH), 0),
            step(StepKind::PartStop, 4.0, None, 0),
        ]
    }

    #[test]
    fn a_slug_that_comes_free_at_night_waits_for_the_morning() {
        // 14:00 threading, 14:01 to 19:01 rough, slug from 7:00 to 7:04, 7:05 to 8:45, part out at 8:49.
        let clock = walked(
            two_contours(300.0, 100.0),
            &job("Mon 14:00", "Mon-Fri 7:00-16:00"),
        );
        assert!((clock.done - at("Tue 8:49")).abs() < 1e-9);
        assert!((clock.waits.min_value() - (11.0 * 60.0 + 59.0)).abs() < 1e-9);
        assert_eq!((clock.alone.len(), clock.visits, clock.parts), (1, 2, 1));
        let night = clock.alone[0];
        assert_eq!((night.from, night.to), (at("Mon 16:00"), at("Tue 7:00")));
        assert!((night.runs.min_value() - 181.0).abs() < 1e-9);
        assert!((night.wire.m() - 1810.0).abs() < 1e-6);
        assert_eq!(night.stops, Some((at("Mon 19:01"), Doing::Waits, Some(1))));
        // 0.05 breaks an hour, of which one in twenty is not threaded again: a Poisson count, thinned.
        assert!((night.breaks - 0.05 * 181.0 / 60.0).abs() < 1e-9);
        assert!((night.needs_nobody - (-night.breaks * 0.05).exp()).abs() < 1e-12);
    }

    #[test]
    fn what_only_runs_goes_through_the_night() {
        let mut steps = two_contours(300.0, 900.0);
        steps.remove(2);
        // 14:00 to 19:01, threading at night, then to 10:02.
        let clock = walked(steps, &job("Mon 14:00", "Mon-Fri 7:00-16:00"));
        assert_eq!(clock.waits, Minutes::ZERO);
        assert!((clock.done - at("Tue 10:06")).abs() < 1e-9);
        let night = clock.alone[0];
        assert_eq!((night.stops, night.threadings), (None, 1));
        assert!((night.runs.min_value() - 15.0 * 60.0).abs() < 1e-9);
        assert!(night.needs_nobody < 0.95 && night.needs_nobody > 0.90);
    }

    #[test]
    fn over_the_weekend_the_spool_runs_out() {
        // 5 kg of 0.25 mm brass at 8440 kg/m³ are 12 068.6 m, at 10 m/min 1 206.86 min.
        let mut job = job("Fri 15:00", "Mon-Fri 7:00-16:00");
        job.shop.spool = "P-5".to_owned();
        let steps = vec![
            step(StepKind::Pass, 3000.0, Some(PassNumber::ROUGH), 0),
            step(StepKind::PartStop, 4.0, None, 0),
        ];
        let clock = walked(steps, &job);
        assert!(
            (clock.spool.m() - 12_068.6).abs() < 1.0,
            "{:?}",
            clock.spool
        );
        let (stopped, doing, _) = clock.alone[0].stops.expect("stops");
        assert_eq!(doing, Doing::OutOfWire);
        assert!((stopped - (at("Fri 16:00") + 1206.86)).abs() < 0.1);
        // 60 + 1206.86 of 3000 min are done; 1 733.14 follow from Monday 7:00 on, through Monday night, for which
        // a full spool lasts, to Tuesday 11:53.
        let monday = at("Mon 7:00") + crate::job::hours::WEEK;
        let left = 3000.0 - 60.0 - clock.spool.m() / 10.0;
        assert!((left - 1733.14).abs() < 0.1);
        assert!((clock.done - (monday + left + 4.0)).abs() < 1e-6);
        assert_eq!((clock.alone.len(), clock.alone[1].stops), (2, None));
    }

    #[test]
    fn round_the_clock_it_takes_the_time_of_the_estimate() {
        let mut steps = two_contours(700.0, 333.0);
        steps.push(step(StepKind::Breaks, 3.0, None, 0));
        let sum: f64 = steps.iter().map(|s| s.minutes.min_value()).sum();
        let mut always = job("Wed 3:33", "Mon-Sun 0:00-0:00");
        always.quantity = 7;
        let clock = walked(steps.clone(), &always);
        assert_eq!(
            (clock.waits, clock.alone.len(), clock.parts),
            (Minutes::ZERO, 0, 7)
        );
        assert!((clock.done - clock.begun - 7.0 * sum).abs() < 1e-6);
        // Attended work is not stretched by the range; all else is, at both ends.
        let attended = 7.0 * 8.0;
        let (low, high) = clock.done_range;
        let running = 7.0 * sum - attended;
        assert!((low - clock.begun - attended - 0.5 * running).abs() < 1e-6);
        assert!((high - clock.begun - attended - 2.0 * running).abs() < 1e-6);
        // With fewer hours it works as long, and stands as well.
        let mut seldom = job("Wed 3:33", "Tue,Sat 22:00-2:00");
        seldom.quantity = 3;
        let clock = walked(steps, &seldom);
        assert!(clock.repeats.is_empty());
        let works = |s: &&Stint| matches!(s.doing, Doing::Runs | Doing::Attended);
        let worked: f64 = clock
            .stints
            .iter()
            .filter(works)
            .map(|s| s.to - s.from)
            .sum();
        assert!((worked - 3.0 * sum).abs() < 1e-6);
        assert!((clock.done - clock.begun - worked - clock.waits.min_value()).abs() < 1e-6);
        assert!(clock.stints.windows(2).all(|w| w[0].to == w[1].from));
    }

    #[test]
    fn a_long_run_is_told_by_one_of_its_weeks() {
        // Wire for a night and no more, so that it stands every weekend.
        let mut job = job("Wed 11:00", "Mon-Fri 7:00-16:00");
        job.shop.spool = "P-5".to_owned();
        let weeks = 40.0;
        let week = crate::job::hours::WEEK;
        let long = vec![step(
            StepKind::Pass,
            weeks * week,
            Some(PassNumber::ROUGH),
            0,
        )];
        let short: Vec<Step> = (0..80)
            .map(|_| step(StepKind::Pass, 0.5 * week, Some(PassNumber::ROUGH), 0))
            .collect();
        let (told, plain) = (walked(long, &job), walked(short, &job));
        assert!(plain.repeats.is_empty() && told.repeats.len() == 1);
        assert!((told.done - plain.done).abs() < 1e-4, "{told:?}");
        assert!((told.waits - plain.waits).min_value().abs() < 1e-4);
        assert!(told.alone.len() < 60 && plain.alone.len() > 200);
        assert!(told.waits > Minutes::from_min(week));
        // However long it runs, it is told as briefly, and works as long and stands as well.
        for minutes in [1e8, 1e12, 1e100, f64::MAX] {
            let clock = walked(
                vec![step(StepKind::Pass, minutes, Some(PassNumber::ROUGH), 0)],
                &job,
            );
            assert!(clock.stints.len() < 300 && clock.alone.len() < 60);
            let works = clock.done - clock.begun - clock.waits.min_value();
            assert!((works / minutes - 1.0).abs() < 1e-9, "{works} {minutes}");
        }
    }

    #[test]
    fn a_long_lot_is_told_by_weeks_that_repeat() {
        // A part takes 49 minutes with somebody at its end, so that every night one waits.
        let steps = vec![
            step(StepKind::Pass, 45.0, Some(PassNumber::ROUGH), 0),
            step(StepKind::PartStop, 4.0, None, 0),
        ];
        let mut job = job("Mon 7:00", "Mon-Fri 7:00-16:00");
        // Eleven parts are out after 539 minutes of Monday's 540. A twelfth is begun, runs into the evening and is
        // taken out at 7:04 the next day; 539 minutes after 7:00 the eleventh of that day is cut, and taking it out
        // keeps somebody three minutes longer. So twelve are out on every day after the first.
        job.quantity = 40_000;
        let clock = walked(steps.clone(), &job);
        assert!(clock.is_whole() && clock.repeats.len() == 1, "{clock:?}");
        let day: f64 = ((40_000.0_f64 - 11.0) / 12.0).ceil();
        let week = (day / 5.0).floor();
        let weekday = day - 5.0 * week;
        assert_eq!(
            (clock.done / crate::job::hours::DAY).floor(),
            7.0 * week + weekday,
            "{}",
            clock.done
        );
        assert_eq!(clock.visits, 40_000);
        let worked = clock.done - clock.begun - clock.waits.min_value();
        assert!((worked - 40_000.0 * 49.0).abs() < 1e-3, "{worked}");
        assert!(clock.stints.len() < 3000 && clock.alone.len() < 60);
        // A lot of four weeks and less is told day by day.
        job.quantity = 200;
        let clock = walked(steps, &job);
        assert!(clock.repeats.is_empty() && clock.is_whole());
    }

    #[test]
    fn a_lot_without_equal_weeks_is_told_as_walked_in_part() {
        // Round the clock, a third of a minute and a bit: no part begins when another began a week before.
        let mut always = job("Mon 0:00", "Mon-Sun 0:00-0:00");
        always.quantity = 4_000_000;
        let steps = vec![step(
            StepKind::Pass,
            100.0 / 3.0 + 0.01,
            Some(PassNumber::ROUGH),
            0,
        )];
        let clock = walked(steps, &always);
        assert!(!clock.is_whole() && clock.parts < clock.wanted);
        let all = 4e6 * (100.0 / 3.0 + 0.01);
        assert!((clock.all_done() / all - 1.0).abs() < 1e-9);
        let (low, high) = clock.all_done_range();
        assert!((low / all - 0.5).abs() < 1e-9 && (high / all - 2.0).abs() < 1e-9);
        // Nothing is advised from parts of lots.
        let f = figures(vec![step(
            StepKind::Pass,
            100.0 / 3.0 + 0.01,
            Some(PassNumber::ROUGH),
            0,
        )]);
        let wire = &always.candidates[0];
        assert_eq!(best_begin(&f, wire, &always, Library::built_in()), None);
        assert_eq!(tabs_together(&f, wire, &always, Library::built_in()), None);
    }

    #[test]
    fn a_later_begin_can_stand_less() {
        // Begun at 8:00 the slug comes at 16:01 and waits all night; half an hour's choice avoids it, at
        // 7:00 of the next day the latest.
        let job = job("Mon 8:00", "Mon-Fri 7:00-16:00");
        let f = figures(two_contours(480.0, 5.0));
        let (moment, waits) =
            best_begin(&f, &job.candidates[0], &job, Library::built_in()).expect("a better begin");
        assert!(waits < Minutes::from_min(1.0));
        assert!((moment - at("Tue 7:00")).abs() < 1e-9, "{moment}");
        // Nothing waits: nothing better.
        let f = figures(two_contours(60.0, 5.0));
        assert_eq!(
            best_begin(&f, &job.candidates[0], &job, Library::built_in()),
            None
        );
    }
}
