//! A cut logged from its own estimate: what came out as predicted teaches nothing.

use kerfcast::calibration::{
    Cut, Day, Done, fit, is_of_another_speed, read_cuts, wire_if_run, write_cuts,
};
use kerfcast::estimate::{Figures, compare};
use kerfcast::geometry::{Contour, Point, Segment};
use kerfcast::job::{Candidate, Job, WireRun, chain_key, contour_key, cut_length};
use kerfcast::library::Library;
use kerfcast::plan::{PathCache, Share, StepKind};
use kerfcast::profile::{Keep, OpenChain, Profile};
use kerfcast::units::{Length, Minutes};

/// Many small openings, so that much of the wire is wasted at threadings; and a line of 25 mm.
fn profile() -> Profile {
    let opening = |k: usize| {
        let (x, side) = (30.0 * k as f64, 2.0);
        Contour::polygon(&[(x, 0.0), (x + side, 0.0), (x + side, side), (x, side)])
    };
    Profile::of_shapes((0..6).map(opening)).with_open(vec![OpenChain {
        segments: vec![Segment::line(Point::new(0.0, 40.0), Point::new(25.0, 40.0))],
        drawn_length: Length::from_mm(25.0),
        layer: "0".to_owned(),
        curves: vec![6],
    }])
}

fn job() -> Job {
    Job {
        thickness: Length::from_mm(10.0),
        passes: 3,
        keep: Keep::Outside,
        candidates: vec![Candidate::new("hard plain brass", 0.25)],
        ..Job::starting(Library::built_in())
    }
}

fn figures(profile: &Profile, job: &Job) -> Figures {
    let mut c = compare(profile, job, Library::built_in(), &PathCache::default());
    let e = c.estimates.remove(0);
    e.figures.unwrap_or_else(|| panic!("{:?}", e.obstacles))
}

fn today() -> Day {
    Day::parse("2026-03-01").unwrap()
}

/// The job logged as having gone exactly as predicted.
fn as_predicted(profile: &Profile, job: &Job, f: &Figures) -> Cut {
    let cutting: Minutes = [Share::Rough, Share::Skims, Share::Corners]
        .map(|s| f.share(s))
        .into_iter()
        .sum();
    let done = Done {
        date: today(),
        machine: "left",
        cut_length: cut_length(job, profile),
        cutting_minutes: cutting,
        run: None,
        wire_used: Some(f.wire.median),
        note: "",
    };
    Cut::of_job(job, &job.candidates[0], f, &done).expect("more than is wasted")
}

/// What is logged reads back from the shop's file and leaves every factor at its built-in value.
fn teaches_nothing(cut: &Cut) {
    let written = write_cuts(std::slice::from_ref(cut));
    let read = read_cuts(&written, Library::built_in(), today()).unwrap();
    assert_eq!(read.faults, []);
    let fits = fit(&read.cuts, Library::built_in());
    let learned = fits[0].knowledge.factors();
    assert!(!learned.is_empty());
    for l in learned {
        assert!(l.log_mean.abs() < 1e-9, "{:?}: {}", l.factor, l.log_mean);
    }
    assert!(fits[0].rows[0].run_off_log.unwrap().abs() < 1e-9);
}

#[test]
fn a_cut_that_went_as_predicted_teaches_nothing() {
    let (p, j) = (profile(), job());
    let f = figures(&p, &j);
    let share = f.wasted_wire() / f.wire.median;
    assert!(share > 0.01, "the case needs waste: {share}");
    teaches_nothing(&as_predicted(&p, &j, &f));
}

#[test]
fn a_pass_that_no_contour_has_can_be_logged() {
    let (p, mut j) = (profile(), job());
    for c in p.contours() {
        j.choose(contour_key(c), |own| own.passes = Some(1));
    }
    let f = figures(&p, &j);
    let cut = as_predicted(&p, &j, &f);
    assert_eq!(cut.pass_path.as_ref().unwrap()[1], Length::ZERO);
    teaches_nothing(&cut);
}

#[test]
fn chains_cut_on_their_line_count() {
    let (p, mut j) = (profile(), job());
    assert!((cut_length(&j, &p).mm() - 48.0).abs() < 1e-12);
    j.choose(chain_key(&p.open()[0]), |c| c.on_line = true);
    assert!((cut_length(&j, &p).mm() - 73.0).abs() < 1e-12);
    // The line alone: a job without any closed contour can be logged too.
    let alone = p.only(&[], &[0]);
    assert!((cut_length(&j, &alone).mm() - 25.0).abs() < 1e-12);
    teaches_nothing(&as_predicted(&alone, &j, &figures(&alone, &j)));
}

#[test]
fn a_log_may_write_its_times_as_the_machine_does() {
    let header = "date,machine,material,wire,diameter_mm,thickness_mm,flushing,passes,cut_length_mm,cutting_minutes\n";
    let row = |time: &str| {
        format!(
            "2024-03-01,left,cold-work tool steel,hard plain brass,0.25,40,close,4,512,{time}\n"
        )
    };
    let text = header.to_owned()
        + &row("5:01:46")
        + &row("3h28")
        + &row("301.5")
        + &row("5:75")
        + &row("-3");
    let today = kerfcast::calibration::Day::parse("2026-01-01").expect("a day");
    let read = kerfcast::calibration::read_cuts(text.as_bytes(), Library::built_in(), today)
        .expect("the columns are there");
    let minutes: Vec<f64> = read
        .cuts
        .iter()
        .map(|c| c.cutting_minutes.min_value())
        .collect();
    assert_eq!(minutes.len(), 3, "{:?}", read.faults);
    for (found, seconds) in minutes.iter().zip([18_106.0, 12_480.0, 18_090.0]) {
        assert!((found * 60.0 - seconds).abs() < 1e-9);
    }
    assert_eq!(read.faults.len(), 2);
}

#[test]
fn a_whole_run_is_split_by_the_steps_of_the_estimate() {
    let (p, j) = (profile(), job());
    let f = figures(&p, &j);
    let count = |kinds: &[StepKind]| f.steps.iter().filter(|s| kinds.contains(&s.kind)).count();
    let (threadings, stops) = (
        count(&[StepKind::Threading]),
        count(&[StepKind::SlugStop, StepKind::PartStop]),
    );
    assert!(threadings > 0 && stops > 0);
    let of = |shares: &[Share]| -> f64 { shares.iter().map(|s| f.share(*s).min_value()).sum() };
    let cutting = of(&[Share::Rough, Share::Skims, Share::Corners]);
    let whole = cutting + of(&[Share::Threading, Share::SlugStops, Share::Breaks]);
    let header = "date,machine,material,wire,diameter_mm,thickness_mm,flushing,passes,cut_length_mm,run_minutes,threadings,stops\n";
    let length = cut_length(&j, &p).mm();
    let row = |rest: &str| {
        format!(
            "2024-03-01,left,{},hard plain brass,0.25,{},close,{},{length},{rest}\n",
            j.material,
            j.thickness.mm(),
            j.passes
        )
    };
    let read = |text: &str| {
        let text = header.to_owned() + text;
        read_cuts(text.as_bytes(), Library::built_in(), today())
            .expect("one of both columns is enough")
    };
    // The estimate's own lines come back as its cutting; the breaks' share of the rough is that of the drawn length.
    let good = read(&row(&format!("{whole},{threadings},{stops}")));
    let found = good.cuts[0].cutting_minutes.min_value();
    assert!((found / cutting - 1.0).abs() < 1e-3, "{found} {cutting}");
    // Whatever the run: what is longer by ten minutes is ten minutes of cutting, but for their own breaks.
    let longer = read(&row(&format!("{},{threadings},{stops}", whole + 10.0)));
    let more = longer.cuts[0].cutting_minutes.min_value() - found;
    assert!(more < 10.0 && more > 9.97, "{more}");
    // Told what is missing, and what cannot be.
    for (rest, kind) in [
        (format!("{whole},,{stops}"), "threadings is empty"),
        (format!("{whole},{threadings},"), "stops is empty"),
        (format!("5,{threadings},{stops}"), "cannot have taken"),
        (format!(",{threadings},{stops}"), "cutting_minutes is empty"),
    ] {
        let faults = read(&row(&rest)).faults;
        let told = kerfcast::words::cuts::row(&faults[0]);
        assert!(told.contains(kind), "{told}");
    }
}

#[test]
fn a_cut_remembers_the_wire_speed_it_was_run_at() {
    let p = profile();
    let run = |text| WireRun::parse(text).expect("a run");
    let at = |text| {
        let mut job = job();
        job.candidates[0].run = run(text);
        let f = figures(&p, &job);
        (job, f)
    };
    let ((slow, f_slow), (_, f_fast)) = (at("10/6"), at("10/9"));
    let shares = [Share::Rough, Share::Skims, Share::Corners];
    let cutting: Minutes = shares.map(|s| f_slow.share(s)).into_iter().sum();
    // The same minutes at another wire speed use what an estimate at that speed says.
    let expected = wire_if_run(&f_slow, run("10/9"), cutting);
    // But for the allowance, which is the slower run's own and differs by a hair.
    assert!((expected / f_fast.wire.median - 1.0).abs() < 2e-3);
    let as_shown = wire_if_run(&f_slow, WireRun::Usual, cutting);
    assert!((as_shown / f_slow.wire.median - 1.0).abs() < 1e-9);
    // Noted under the slower one, the faster one's wire cannot be.
    assert!(is_of_another_speed(expected * 1.3, expected));
    assert!(!is_of_another_speed(expected * 1.1, expected));
    let done = |typed| Done {
        date: today(),
        machine: "left",
        cut_length: cut_length(&slow, &p),
        cutting_minutes: cutting,
        run: typed,
        wire_used: Some(f_fast.wire.median),
        note: "",
    };
    for (typed, remembered) in [(Some(run("10/9")), "10/9"), (None, "10/6")] {
        let cut = Cut::of_job(&slow, &slow.candidates[0], &f_slow, &done(typed)).expect("logged");
        let written = write_cuts(std::slice::from_ref(&cut));
        let read = read_cuts(&written, Library::built_in(), today()).expect("read");
        assert_eq!(read.cuts[0].wire.run, run(remembered));
        assert_eq!(read.cuts[0].wire_used, cut.wire_used);
    }
}
