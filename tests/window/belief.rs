//! Finish, run-off, cost, two drawings and the report, in the window as a person uses it.

use egui_kittest::kittest::Queryable as _;
use kerfcast::estimate::Cost;
use kerfcast::job::{Blank, WireRun};
use kerfcast::samples;

use crate::harness;

use egui::accesskit::Role;
use egui::{Key, Modifiers};
use harness::{Window, drop_on, settle, type_into, window_of};

fn window() -> Window {
    window_of([1280.0, 800.0])
}

#[test]
fn the_finish_stands_beside_every_wire_and_says_why() {
    let mut window = window();
    window.get_by_label("Columns of the table").click();
    settle(&mut window);
    window.get_by_role_and_label(Role::CheckBox, "Ra").click();
    settle(&mut window);
    window.key_press(Key::Escape);
    settle(&mut window);
    window
        .get_by_label("Ra, zinc-coated brass Ø\u{202f}0.25\u{202f}mm, 0.35–0.56")
        .click();
    settle(&mut window);
    assert!(
        window
            .query_by_label_contains("Ra of this wire against it")
            .is_some()
    );
}

#[test]
fn every_skim_may_run_at_its_own_run_off() {
    let mut window = window();
    let before = window.state().front().expect("open").job.candidates.len();
    window.get_by_label("Add a wire").click();
    settle(&mut window);
    window.get_by_label("your wire speed").click();
    settle(&mut window);
    window.get_by_label("each pass for itself").click();
    settle(&mut window);
    type_into(&mut window, "Wire speed of skim 3", "5");
    window.get_by_label("add hard plain brass").click();
    settle(&mut window);
    let file = window.state().front().expect("open");
    assert_eq!(
        file.job.candidates[before].run,
        WireRun::parse("10/9/9/5").expect("sane")
    );
    let e = file.estimate(before).expect("estimated");
    assert!(e.obstacles.iter().any(|o| o.code() == "finish-in-doubt"));
}

#[test]
fn the_shop_adds_programming_inspection_and_the_work_piece() {
    let mut window = window();
    let cost = |w: &Window| {
        let e = w.state().front().expect("open").estimate(0).expect("there");
        e.figures.clone().expect("possible").cost
    };
    // Without what the library says of both.
    let others = |c: &Cost| {
        let own = c.programming + c.inspection + c.allowance;
        (c.part.median - own).amount()
    };
    let before = others(&cost(&window));
    window.get_by_label("Shop").click();
    settle(&mut window);
    window.get_by_label("Shop rates").click();
    settle(&mut window);
    type_into(&mut window, "Programming h per lot", "2");
    type_into(&mut window, "Inspection min per part", "12");
    let c = cost(&window);
    // 2 h and 12 min at 35 an hour, one part in the lot.
    assert!((c.programming.amount() - 70.0).abs() < 1e-9);
    assert!((c.inspection.amount() - 7.0).abs() < 1e-9);
    assert!((others(&c) - before).abs() < 1e-6);
    window
        .get_by_role_and_label(Role::ComboBox, "Blank")
        .click();
    settle(&mut window);
    window.get_by_label("a price a part").click();
    settle(&mut window);
    type_into(&mut window, "Its price a part", "30");
    let shop = &window.state().front().expect("open").job.shop;
    assert!(matches!(shop.blank, Blank::Price(m) if m.amount() == 30.0));
    assert!((cost(&window).material.amount() - 30.0).abs() < 1e-9);
}

#[test]
fn two_open_drawings_are_held_against_each_other() {
    let mut window = window();
    assert!(window.query_by_label("Two drawings").is_none());
    let sample = samples::ALL[2];
    drop_on(&mut window, sample.name, sample.bytes);
    window.get_by_label("Two drawings").click();
    settle(&mut window);
    let pair = window.state().pair().expect("held").clone();
    let (front, other) = pair.both.expect("both are possible");
    let found = pair.variants.expect("split");
    assert_eq!(
        (front.name.as_str(), other.name.as_str()),
        (sample.name, "latch-cam.dxf")
    );
    let minutes = front.figures.minutes.median - other.figures.minutes.median;
    assert!((found.why.minutes - minutes).min_value().abs() < 1e-9);
    assert!(window.query_by_label_contains("time in all").is_some());
    // The other way round once the other drawing is in front.
    window.key_press_modifiers(Modifiers::COMMAND, Key::Tab);
    settle(&mut window);
    let turned = window.state().pair().expect("held").clone();
    let back = turned.variants.expect("split").why.minutes;
    assert!((back + found.why.minutes).min_value().abs() < 1e-9);
}

#[test]
fn the_report_is_that_of_the_drawing_in_front() {
    let window = window();
    let html = window.state().report().expect("an estimate is there");
    assert!(html.contains("latch-cam.dxf") && html.contains("machine maker"));
}
