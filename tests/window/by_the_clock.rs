//! Day and night: the job by the clock, in the command and in the window.

use egui_kittest::kittest::Queryable as _;
use kerfcast::estimate::by_the_clock;
use kerfcast::job::{CuttingOrder, StaffedHours, WeekTime};
use kerfcast::units::Minutes;
use serde_json::Value;

use crate::{calling, harness};

use harness::{Window, settle, type_into, window_of};

const SAMPLE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/sample_drawings/latch-cam.dxf");

fn estimate(more: &[&str]) -> Value {
    let out = calling::command()
        .args(["estimate", SAMPLE, "--thickness", "40", "--json"])
        .args(more)
        .output()
        .expect("the command starts");
    assert!(
        out.status.success(),
        "{}",
        String::from_utf8_lossy(&out.stderr)
    );
    serde_json::from_slice(&out.stdout).expect("JSON")
}

fn number(v: &Value) -> f64 {
    v.as_f64().unwrap_or_else(|| panic!("{v} is no number"))
}

#[test]
fn round_the_clock_the_command_is_done_after_the_time_of_the_estimate() {
    let v = estimate(&["--begin", "Wed 5:00", "--staffed", "Mon-Sun 0:00-0:00"]);
    for w in v[0]["wires"].as_array().expect("wires") {
        let clock = &w["clock"];
        let took = number(&clock["done"]) - number(&clock["begun"]);
        // The part is loaded and aligned first: 15 minutes that are not in its own time.
        assert!(
            (took - 15.0 - number(&w["minutes"]["total"])).abs() < 1e-6,
            "{w}"
        );
        assert_eq!(number(&clock["begun"]), 2.0 * 1440.0 + 300.0);
        assert_eq!(number(&clock["waits_minutes"]), 0.0);
    }
}

#[test]
fn where_all_roughs_come_first_no_slug_waits_before_the_last_skim() {
    let turn = estimate(&["--begin", "Mon 14:30", "--order", "each-in-turn"]);
    let first = estimate(&["--begin", "Mon 14:30", "--order", "roughs-first"]);
    let at = |v: &Value, what: &str| number(&v[0]["wires"][0]["clock"][what]);
    let stops = |v: &Value| v[0]["wires"][0]["clock"]["alone"][0]["stops"].as_f64();
    // Each in turn, a slug comes free that evening; the night is lost to it.
    let (evening, midnight) = (stops(&turn).expect("waits"), 1440.0);
    assert!(evening < midnight && evening > 16.0 * 60.0);
    // All roughs first, it runs on through all roughs and skims before anybody is needed.
    assert!(stops(&first).is_none_or(|s| s > evening));
    assert!(at(&first, "waits_minutes") < at(&turn, "waits_minutes"));
}

#[test]
fn a_lot_walked_in_part_says_so_and_when_all_of_it_is_done() {
    let clock_of = |quantity: &str, hours: &str| {
        let v = estimate(&[
            "--quantity",
            quantity,
            "--begin",
            "Mon 7:00",
            "--staffed",
            hours,
        ]);
        v[0]["wires"][0].clone()
    };
    // Round the clock no two parts of this lot begin at the same moment of the week.
    let w = clock_of("100000", "Mon-Sun 0:00-0:00");
    let clock = &w["clock"];
    assert_eq!(clock["whole_lot"], false);
    assert!(number(&clock["parts"]) < 1e5 && number(&clock["quantity"]) == 1e5);
    // Of the whole lot it says what the sum says: each part is loaded, 15 minutes, and cut.
    let all = number(&clock["all_done"]) - number(&clock["begun"]);
    let a_part = 15.0 + number(&w["minutes"]["total"]);
    assert!((all / (1e5 * a_part) - 1.0).abs() < 1e-9, "{clock}");
    // With nights it stands every evening: weeks come that are as one before, and all of it is told.
    let w = clock_of("2000", "Mon-Fri 7:00-16:00");
    let clock = &w["clock"];
    assert_eq!(clock["whole_lot"], true);
    assert_eq!(clock["all_done"], clock["done"]);
    assert_eq!(clock["repeats"].as_array().map(Vec::len), Some(1));
    let worked = number(&clock["done"]) - number(&clock["begun"]) - number(&clock["waits_minutes"]);
    assert!((worked / (2000.0 * a_part) - 1.0).abs() < 1e-9, "{clock}");
    let text = |quantity: &str, hours: &str| {
        let out = calling::command()
            .args([
                "estimate",
                SAMPLE,
                "--thickness",
                "40",
                "--quantity",
                quantity,
            ])
            .args(["--begin", "Mon 7:00", "--staffed", hours])
            .output()
            .expect("the command starts");
        String::from_utf8(out.stdout).expect("UTF-8")
    };
    let part = text("100000", "Mon-Sun 0:00-0:00");
    assert!(part.contains("of 100 000 done") && part.contains("at that pace all are done about"));
    let weeks = text("2000", "Mon-Fri 7:00-16:00");
    assert!(
        weeks.contains("all 2000 done") && weeks.contains(" times more"),
        "{weeks}"
    );
}

/// The page of the night says the same, in the answer and beside every other wire.
#[test]
fn the_night_page_tells_a_lot_walked_in_part() {
    let mut window = window_of([1500.0, 1600.0]);
    window.get_by_label("Night").click();
    settle(&mut window);
    type_into(&mut window, "Operator present from", "0:00");
    type_into(&mut window, "Operator present until", "0:00");
    window.get_by_label("Sat").click();
    settle(&mut window);
    window.get_by_label("Sun").click();
    settle(&mut window);
    let quantity = |w: &mut Window| {
        w.get_by_role_and_label(egui::Role::TextInput, "Quantity")
            .click();
        settle(w);
    };
    quantity(&mut window);
    window.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    window.event(egui::Event::Text("100000".to_owned()));
    window.run();
    window.key_press(egui::Key::Enter);
    settle(&mut window);
    let told = |window: &Window, text: &str| window.query_all_by_label_contains(text).count();
    assert_eq!(told(&window, "at that pace all are done about"), 1);
    assert!(told(&window, "of 100\u{202f}000 done") >= 1);
    let wires = window.state().front().expect("open").job.candidates.len();
    assert!(
        told(&window, "about Mon")
            + told(&window, "about Tue")
            + told(&window, "about Wed")
            + told(&window, "about Thu")
            + told(&window, "about Fri")
            + told(&window, "about Sat")
            + told(&window, "about Sun")
            > wires.min(2)
    );
}

#[test]
fn wrong_times_are_refused_with_what_would_be_right() {
    for (flag, value, says) in [
        ("--begin", "noon", "Mon 14:00"),
        ("--begin", "Mon 26:00", "Mon 14:00"),
        ("--staffed", "always", "Mon-Fri 7:00-16:00"),
    ] {
        let out = calling::command()
            .args(["estimate", SAMPLE, "--thickness", "40", flag, value])
            .output()
            .expect("the command starts");
        assert_eq!(out.status.code(), Some(2));
        let text = String::from_utf8_lossy(&out.stderr).into_owned();
        assert!(text.contains(says) && text.contains(value), "{text}");
    }
}

/// On Friday evening the last one has gone: nothing is begun before Monday, and both surfaces say so.
#[test]
fn a_begin_with_nobody_there_is_told_to_be_later() {
    let text = |begin: &str| {
        let out = calling::command()
            .args(["estimate", SAMPLE, "--thickness", "40", "--no-shop"])
            .args(["--begin", begin, "--staffed", "Mon-Fri 7:00-16:00"])
            .output()
            .expect("the command starts");
        String::from_utf8(out.stdout).expect("text")
    };
    let said = "Nobody is there on Fri 17:00: it is begun on Mon 7:00.";
    assert_eq!(text("Fri 17:00").matches(said).count(), 1);
    assert!(!text("Fri 15:00").contains("Nobody is there on"));
    let mut window = window_of([1500.0, 1600.0]);
    window.get_by_label("Night").click();
    settle(&mut window);
    type_into(&mut window, "Time of the begin", "17:00");
    let said = "Nobody is there on Mon 17:00: it is begun on Tue 7:00.";
    assert!(window.query_by_label(said).is_some());
    type_into(&mut window, "Time of the begin", "8:00");
    assert!(
        window
            .query_by_label_contains("Nobody is there on")
            .is_none()
    );
}

#[test]
fn the_window_tells_the_night_and_offers_what_avoids_the_wait() {
    // High enough for the whole page.
    let mut window = window_of([1500.0, 1600.0]);
    window.get_by_label("Night").click();
    settle(&mut window);
    type_into(&mut window, "Time of the begin", "14:30");
    {
        let file = window.state().front().expect("open");
        assert_eq!(file.job.begin, WeekTime::new(0, 14 * 60 + 30));
        let clocks = file.clocks.of(file.shown).expect("walked");
        let shown = clocks.wires[file.shown].as_ref().expect("possible");
        let e = file.estimate(file.shown).expect("estimated");
        let figures = e.figures.as_ref().expect("possible");
        let again = by_the_clock(figures, &e.candidate, &file.job, window.state().library());
        assert_eq!(Some(shown), again.as_ref());
        assert!(shown.waits > Minutes::from_min(60.0));
    }
    assert!(
        window
            .query_all_by_label_contains("nobody there")
            .next()
            .is_some()
    );
    // Another order is one click away, and the page follows.
    let other = window
        .query_all_by_label_contains("every contour roughed before the first skim, slugs out after")
        .next()
        .expect("another order");
    other.click();
    settle(&mut window);
    let job = &window.state().front().expect("open").job;
    assert_eq!(job.order, CuttingOrder::RoughsFirst);
    // A day more, and a wrong time changes nothing.
    window.get_by_label("Sat").click();
    settle(&mut window);
    type_into(&mut window, "Operator present until", "25:00");
    assert!(
        window
            .state()
            .message()
            .is_some_and(|m| m.contains("25:00"))
    );
    let staffed = window.state().front().expect("open").job.shop.staffed;
    assert_eq!(
        staffed,
        StaffedHours::parse("Mon-Sat 7:00-16:00").expect("hours")
    );
}

#[test]
fn tonight_begins_in_the_last_hour_in_which_somebody_is_there() {
    let mut window = window_of([1400.0, 1200.0]);
    window.key_press(egui::Key::T);
    settle(&mut window);
    window.get_by_label("begin tonight").click();
    settle(&mut window);
    let job = &window.state().front().expect("open").job;
    let (begin, staffed) = (job.begin.minutes(), &job.shop.staffed);
    assert!(staffed.is_staffed(begin));
    let (_, to) = staffed.shift_at(begin).expect("a shift");
    assert!((0.0..=60.0).contains(&(to - begin)), "{begin} {to}");
    window.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::Z);
    settle(&mut window);
    let job = &window.state().front().expect("open").job;
    assert_eq!(job.begin, kerfcast::job::Job::usual_begin());
}

#[test]
fn the_night_begins_with_its_answer_and_ends_with_its_settings() {
    let mut window = window_of([1280.0, 1600.0]);
    window.get_by_label("Night").click();
    settle(&mut window);
    // So late that a night comes between.
    type_into(&mut window, "Time of the begin", "15:00");
    settle(&mut window);
    let top = |text: &str| {
        let node = window.query_all_by_label_contains(text).next();
        node.unwrap_or_else(|| panic!("{text}")).rect().top()
    };
    let order = [
        top("visits"),
        top("Begun on"),
        top("unattended"),
        top("What it rests on"),
        top("Operator present"),
        top("Burn out"),
        top("In another order"),
        top("With another wire"),
    ];
    assert!(order.is_sorted(), "{order:?}");
}
