//! Nothing is let go with nobody there: the order of the steps, and the clock held against a plain simulation.

use kerfcast::estimate::{ByTheClock, Doing, Figures, by_the_clock, compare, tabs_together};
use kerfcast::geometry::{Contour, Point};
use kerfcast::job::{
    BurnOut, Candidate, CutOff, CuttingOrder, Job, LotOrder, StaffedHours, WeekTime,
};
use kerfcast::library::Library;
use kerfcast::plan::holding::Holds;
use kerfcast::plan::{PathCache, Step, StepKind};
use kerfcast::profile::{Keep, Profile};
use kerfcast::units::{Length, Mass, Minutes};

fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

fn profile(contours: Vec<Contour>) -> Profile {
    Profile::of_shapes(contours)
}

fn rectangle(x: f64, y: f64, w: f64, h: f64) -> Contour {
    Contour::polygon(&[(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
}

fn round(x: f64, y: f64, diameter: f64) -> Contour {
    Contour::circle(Point::new(x, y), diameter / 2.0)
}

fn job() -> Job {
    Job {
        candidates: vec![Candidate::new("hard plain brass", 0.25)],
        ..Job::starting(Library::built_in())
    }
}

fn figures(p: &Profile, j: &Job) -> Figures {
    let e = compare(p, j, Library::built_in(), &PathCache::default())
        .estimates
        .remove(0);
    e.figures.unwrap_or_else(|| panic!("{:?}", e.obstacles))
}

/// Two squares of 6 joined by a neck 0.6 wide, which the kerf of the rough takes.
fn dumbbell(x: f64, y: f64) -> Contour {
    let p = |dx: f64, dy: f64| (x + dx, y + dy);
    Contour::polygon(&[
        p(0.0, 0.0),
        p(6.0, 0.0),
        p(6.0, 2.7),
        p(9.0, 2.7),
        p(9.0, 0.0),
        p(15.0, 0.0),
        p(15.0, 6.0),
        p(9.0, 6.0),
        p(9.0, 3.3),
        p(6.0, 3.3),
        p(6.0, 6.0),
        p(0.0, 6.0),
    ])
}

/// Parts and openings of every sort, alone and in each other.
fn profiles() -> Vec<Profile> {
    vec![
        profile(vec![rectangle(0.0, 0.0, 60.0, 60.0)]),
        profile(vec![
            rectangle(0.0, 0.0, 60.0, 60.0),
            round(20.0, 20.0, 10.0),
            round(40.0, 40.0, 14.0),
        ]),
        profile(vec![
            rectangle(0.0, 0.0, 80.0, 60.0),
            dumbbell(10.0, 10.0),
            round(50.0, 40.0, 12.0),
        ]),
        // A part in the waste of an opening, and another beside it.
        profile(vec![
            rectangle(0.0, 0.0, 90.0, 90.0),
            rectangle(10.0, 10.0, 50.0, 50.0),
            rectangle(20.0, 20.0, 24.0, 24.0),
            rectangle(120.0, 0.0, 30.0, 30.0),
        ]),
    ]
}

/// A repeatable sequence; any numbers will do.
struct Numbers(u64);

impl Numbers {
    fn next(&mut self, below: u64) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % below
    }
}

/// Who is there in every minute of a week, by hand: a shift begins on its day and may run past midnight.
fn week(hours: &StaffedHours) -> Vec<bool> {
    let mut there = vec![false; 10_080];
    let (from, to) = (usize::from(hours.from), usize::from(hours.to));
    let length = if to > from {
        to - from
    } else {
        to + 1440 - from
    };
    for day in (0..7).filter(|d| hours.days[*d]) {
        (0..length).for_each(|m| there[(day * 1440 + from + m) % 10_080] = true);
    }
    there
}

/// A job minute by minute: when it is done, and in which minutes a piece was let go.
///
/// A step with somebody there begins in a minute in which somebody is, and what belongs together is not begun more
/// than a quarter of an hour too late in a shift, unless the shift has just begun.
fn simulated(steps: &[&Step], begin: usize, there: &[bool]) -> (usize, Vec<(usize, usize)>) {
    let at = |t: usize| there[t % 10_080];
    let length = |s: &Step| s.minutes.min_value() as usize;
    let mut now = begin;
    while !at(now) {
        now += 1;
    }
    let mut gone = Vec::new();
    let mut k = 0;
    while k < steps.len() {
        if !steps[k].attended {
            now += length(steps[k]);
            k += 1;
            continue;
        }
        // From the stop to the piece out nobody leaves; watched roughs belong to it.
        let holds = |s: &Step| s.kind == StepKind::Secure || s.pass.is_some();
        let mut end = k + 1;
        if holds(steps[k]) {
            while !matches!(steps[end - 1].kind, StepKind::SlugStop | StepKind::PartStop) {
                end += 1;
            }
        }
        let takes: usize = steps[k..end].iter().map(|s| length(s)).sum();
        loop {
            let just_come = at(now) && !at(now + 10_080 * 4 - 1);
            let stays = (0..).take(20_160).take_while(|m| at(now + m)).count();
            if at(now) && (just_come || takes <= stays + 15) {
                break;
            }
            now += 1;
        }
        let begun = now;
        for s in &steps[k..end] {
            now += length(s);
            if s.lets_go() {
                gone.push((begun, now));
            }
        }
        k = end;
    }
    (now, gone)
}

/// Steps of every profile in every order, each with its job.
fn planned() -> Vec<(Figures, Job)> {
    let library = Library::built_in();
    let cache = PathCache::default();
    let mut planned = Vec::new();
    for p in profiles() {
        for order in [CuttingOrder::EachInTurn, CuttingOrder::RoughsFirst] {
            for cut_off in [CutOff::AfterSkims, CutOff::BeforeSkims] {
                for (keep, clamps) in [
                    (Keep::Inside, false),
                    (Keep::Inside, true),
                    (Keep::Outside, false),
                ] {
                    let mut j = Job {
                        order,
                        cut_off,
                        keep,
                        ..job()
                    };
                    j.shop.clamps_parts = clamps;
                    let e = compare(&p, &j, library, &cache).estimates.remove(0);
                    planned.push((e.figures.expect("possible"), j));
                }
            }
        }
    }
    planned
}

#[test]
fn the_clock_agrees_with_a_plain_simulation_and_lets_nothing_go_alone() {
    let library = Library::built_in();
    let planned = planned();
    let mut n = Numbers(7);
    for round in 0..10_000 {
        let (figures, job) = &planned[n.next(planned.len() as u64) as usize];
        let (mut f, mut j) = (figures.clone(), job.clone());
        // Times of whole minutes, so that minutes can be counted; breaks and wire are not asked about.
        f.steps
            .retain(|s| !matches!(s.kind, StepKind::Breaks | StepKind::Allowance));
        let long = [20, 200, 900][n.next(3) as usize];
        for s in f.steps.iter_mut().chain(&mut f.beside) {
            let most = if s.attended { 25 } else { long };
            s.minutes = Minutes::from_min((1 + n.next(most)) as f64);
            s.wire = Length::ZERO;
        }
        let sum: Minutes = f.steps.iter().map(|s| s.minutes).sum();
        (f.minutes.median, f.minutes.low, f.minutes.high) = (sum, sum, sum);
        j.quantity = 1 + n.next(3) as u32;
        j.begin = WeekTime::new(n.next(7) as u16, n.next(1440) as u16);
        let mut days = [false; 7];
        days.iter_mut().for_each(|d| *d = n.next(3) > 0);
        days[n.next(7) as usize] = true;
        j.shop.staffed = StaffedHours {
            days,
            from: n.next(1440) as u16,
            to: n.next(1440) as u16,
        };
        let there = week(&j.shop.staffed);
        let loading: Vec<&Step> = f
            .beside
            .iter()
            .filter(|s| s.kind == StepKind::Loading)
            .collect();
        let part = || loading.iter().copied().chain(&f.steps);
        let lot: Vec<&Step> = (0..j.quantity).flat_map(|_| part()).collect();
        let begin = usize::from(u16::from(j.begin));
        let (done, gone) = simulated(&lot, begin, &there);
        let clock = by_the_clock(&f, &j.candidates[0], &j, library).expect("walked");
        assert!(
            (clock.done - done as f64).abs() < 1e-6,
            "{round}: {} {done}",
            clock.done
        );
        // Whatever is let go has somebody beside it from the stop on.
        assert_eq!(gone.len(), lot.iter().filter(|s| s.lets_go()).count());
        for (from, to) in gone {
            let (from, to) = (from as f64, to as f64);
            let beside = |s: &&kerfcast::estimate::Stint| {
                s.doing == Doing::Attended && s.from < to && s.to > from
            };
            let stood: f64 = clock
                .stints
                .iter()
                .filter(beside)
                .map(|s| s.to.min(to) - s.from.max(from))
                .sum();
            assert!((stood - (to - from)).abs() < 1e-6, "{round}");
            assert!(
                there[from as usize % 10_080],
                "{round}: begun with nobody there"
            );
        }
        tabs_together_are_cut_by_somebody(&f, &j, &clock, &there);
    }
}

/// With the tabs left for the end the same work is done, and as much of it with somebody there.
fn tabs_together_are_cut_by_somebody(f: &Figures, j: &Job, clock: &ByTheClock, there: &[bool]) {
    let library = Library::built_in();
    let later = Job {
        lot_order: LotOrder::TabsTogether,
        ..j.clone()
    };
    let together = by_the_clock(f, &j.candidates[0], &later, library).expect("walked");
    assert_eq!(together.parts, j.quantity);
    let attended = |c: &ByTheClock| -> f64 {
        let own = c.stints.iter().filter(|s| s.doing == Doing::Attended);
        own.map(|s| s.to - s.from).sum()
    };
    let loads = f.beside_minutes(StepKind::Loading).min_value() * f64::from(j.quantity - 1);
    assert!((attended(clock) - attended(&together) - loads).abs() < 1e-6);
    for s in together
        .stints
        .iter()
        .filter(|s| s.doing == Doing::Attended)
    {
        let begun_by_somebody = there[s.from as usize % 10_080];
        let goes_on = together
            .stints
            .iter()
            .any(|b| b.doing == Doing::Attended && b.to == s.from);
        assert!(begun_by_somebody || goes_on);
    }
}

#[test]
fn what_comes_loose_is_secured_cut_off_and_taken_out_with_somebody_there() {
    for p in profiles() {
        for order in [CuttingOrder::EachInTurn, CuttingOrder::RoughsFirst] {
            for cut_off in [CutOff::AfterSkims, CutOff::BeforeSkims] {
                let f = figures(
                    &p,
                    &Job {
                        order,
                        cut_off,
                        ..job()
                    },
                );
                for (k, s) in f.steps.iter().enumerate().filter(|(_, s)| s.lets_go()) {
                    assert!(s.attended);
                    let (before, after) = (f.steps[k - 1], f.steps[k + 1]);
                    assert_eq!((before.kind, before.contour), (StepKind::Secure, s.contour));
                    assert!(matches!(
                        after.kind,
                        StepKind::SlugStop | StepKind::PartStop
                    ));
                    assert_eq!(after.contour, s.contour);
                    // Nothing of the piece's own contour is skimmed between the stop and the piece's leaving, and in
                    // an opening the tab's stretch comes afterwards with nobody needed.
                    let later = f.steps[k + 2..].iter().filter(|x| x.contour == s.contour);
                    assert!(later.filter(|x| x.pass.is_some()).all(|x| !x.attended));
                }
                let released = f.steps.iter().filter(|s| s.lets_go()).count();
                assert_eq!(released, p.contours().len());
            }
        }
    }
}

#[test]
fn a_part_is_dressed_by_hand_or_skimmed_in_its_clamp() {
    // One part: loading 15 min and dressing 5 min beside the machine, at 60 and 35 an hour.
    let p = profile(vec![rectangle(0.0, 0.0, 60.0, 60.0)]);
    let f = figures(&p, &job());
    let kinds: Vec<StepKind> = f.beside.iter().map(|s| s.kind).collect();
    assert_eq!(kinds, [StepKind::Loading, StepKind::Dressing]);
    assert!((f.cost.loading.amount() - 0.25 * 95.0).abs() < 1e-9);
    assert!((f.cost.dressing.amount() - 5.0 / 60.0 * 35.0).abs() < 1e-9);
    let tabs = |f: &Figures| f.steps.iter().filter(|s| s.kind == StepKind::Tab).count();
    assert_eq!(tabs(&f), 1);
    let mut clamping = job();
    clamping.shop.clamps_parts = true;
    let f = figures(&p, &clamping);
    assert_eq!((tabs(&f), f.beside.len()), (4, 1));
    // Only roughed, it has the rough's finish all round.
    let f = figures(&p, &Job { passes: 1, ..job() });
    assert_eq!((tabs(&f), f.beside.len()), (1, 1));
}

#[test]
fn light_pieces_drop_alone_only_where_the_shop_says_so() {
    // Slugs of Ø 10 and 14 less 2 · 0.384, through 40 mm of 7700 kg/m³: 20.6 and 42.4 g.
    let p = profiles().remove(1);
    let stops = |limit: f64| {
        let mut j = job();
        j.shop.drops_alone = Mass::from_kg(limit);
        let f = figures(&p, &j);
        f.steps
            .iter()
            .filter(|s| s.kind == StepKind::SlugStop)
            .count()
    };
    assert_eq!([0.0, 0.020, 0.021, 0.050].map(stops), [2, 2, 1, 0]);
}

#[test]
fn small_openings_are_burnt_out_in_one_decision() {
    let p = profiles().remove(1);
    let slugs = |burn_out| figures(&p, &Job { burn_out, ..job() }).slugs.len();
    assert_eq!(slugs(BurnOut::Nothing), 2);
    assert_eq!(slugs(BurnOut::UpToSize(mm(9.0))), 2);
    assert_eq!(slugs(BurnOut::UpToSize(mm(9.3))), 1);
    assert_eq!(slugs(BurnOut::UpToMass(Mass::from_kg(0.1))), 0);
}

#[test]
fn a_heavy_thin_plate_has_a_long_tab_and_wants_support() {
    // From an independent script: 200 × 200 mm of 7700 kg/m³, 10 mm thick, the tab in the middle of a side: 9.061 mm.
    // The tab lies before the place where the path is joined, half of its length off the middle.
    let p = profile(vec![rectangle(0.0, 0.0, 200.0, 200.0)]);
    let at = |h: f64| {
        let f = figures(
            &p,
            &Job {
                thickness: mm(h),
                ..job()
            },
        );
        f.starts[0]
    };
    let s = at(10.0);
    assert!((s.tab.mm() - 9.061).abs() < 0.02, "{}", s.tab.mm());
    assert_eq!(s.holds, Holds::WantsSecondTab);
    let s = at(100.0);
    assert_eq!((s.tab, s.holds), (mm(3.0), Holds::Well));
    // t goes with 1/H: 226 mm at 0.4 mm, more than a quarter of 800 mm all round.
    assert_eq!(at(0.4).holds, Holds::WantsSupport);
}

#[test]
fn a_friday_evening_part_waits_for_monday_and_its_lot_may_wait_together() {
    let p = profile(vec![rectangle(0.0, 0.0, 60.0, 60.0)]);
    let library = Library::built_in();
    let mut j = Job {
        quantity: 4,
        thickness: mm(60.0),
        ..job()
    };
    j.begin = WeekTime::parse("Fri 14:00").expect("a time");
    let f = figures(&p, &j);
    let clock = by_the_clock(&f, &j.candidates[0], &j, library).expect("walked");
    let night = clock.alone[0];
    let (stops, doing, _) = night.stops.expect("it waits");
    assert_eq!(doing, Doing::Waits);
    assert!(stops > night.from && stops < night.to);
    // All four are cut over the weekend, and their tabs on Monday.
    let together = tabs_together(&f, &j.candidates[0], &j, library).expect("earlier");
    assert!(together.done + 15.0 <= clock.done);
    assert_eq!(together.parts, 4);
    // One part has nothing to wait for.
    let one = Job {
        quantity: 1,
        ..j.clone()
    };
    assert_eq!(tabs_together(&f, &one.candidates[0], &one, library), None);
}

#[test]
fn soft_wire_is_threaded_by_somebody_and_a_night_break_ends_it() {
    // Tensile strength of soft brass up to 440 N/mm² (published: R. Kern in EDM Today): not threaded by itself.
    let p = profile(vec![rectangle(0.0, 0.0, 100.0, 100.0)]);
    let library = Library::built_in();
    let mut j = Job {
        thickness: mm(100.0),
        ..job()
    };
    j.begin = WeekTime::parse("Mon 15:00").expect("a time");
    let needs = |wire: &str| {
        let mut j = j.clone();
        j.candidates = vec![Candidate::new(wire, 0.25)];
        let f = figures(&p, &j);
        let by_hand = f
            .steps
            .iter()
            .filter(|s| s.kind == StepKind::Threading)
            .all(|s| s.attended);
        let c = by_the_clock(&f, &j.candidates[0], &j, library).expect("walked");
        (by_hand, c.alone[0])
    };
    let (by_hand, night) = needs("soft plain brass");
    assert!(by_hand && night.threadings == 0 && night.breaks > 0.0);
    // No break may come: a Poisson count of none.
    assert!((night.needs_nobody - (-night.breaks).exp()).abs() < 1e-12);
    let (by_hand, night) = needs("hard plain brass");
    assert!(!by_hand);
    assert!((night.needs_nobody - (-night.breaks * 0.05).exp()).abs() < 1e-12);
}
