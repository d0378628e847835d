//! Choices about the drawing and the wires, made in the window as a person would.

#![cfg(feature = "window")]

use egui::Key;
use egui::accesskit::Role;
use egui_kittest::kittest::Queryable as _;
use kerfcast::job::WireRun;
use kerfcast::samples;
use std::fmt::Write as _;

use kerfcast::plan::StepKind;

mod harness;

use harness::{Window, drop_on, settle, window_of};

fn window() -> Window {
    // High enough for the whole report: what is scrolled away cannot be clicked.
    window_of([1280.0, 1300.0])
}

#[test]
fn a_title_block_is_left_out_on_a_word_and_the_job_stays() {
    let mut window = window();
    let sample = samples::ALL
        .iter()
        .find(|s| s.name.starts_with("dirty"))
        .expect("the sample is there");
    drop_on(&mut window, sample.name, sample.bytes);
    let contours = |w: &Window| w.state().front().expect("open").profile.contours().len();
    let job = window.state().front().expect("open").job.clone();
    // The plate and its four openings, and the frame of the title block until it is answered.
    assert_eq!(contours(&window), 6);
    window.get_by_label_contains("Findings").click();
    settle(&mut window);
    window
        .get_by_label("leave it out, title block on layer TITLE")
        .click();
    settle(&mut window);
    assert_eq!(contours(&window), 5);
    assert_eq!(window.state().front().expect("open").job, job);
    window
        .get_by_label("cut it, title block on layer TITLE")
        .click();
    settle(&mut window);
    assert_eq!(contours(&window), 6);
}

#[test]
fn the_same_wire_run_the_shops_own_way_is_another_candidate() {
    let mut window = window();
    let before = window.state().front().expect("open").job.candidates.len();
    window.get_by_label("Add a wire").click();
    settle(&mut window);
    window.get_by_label("your wire speed").click();
    settle(&mut window);
    window.get_by_label("add hard plain brass").click();
    settle(&mut window);
    let file = window.state().front().expect("open");
    assert_eq!(file.job.candidates.len(), before + 1);
    assert!(matches!(
        file.job.candidates[before].run,
        WireRun::Own { .. }
    ));
    let of = |k: usize| {
        file.estimate(k)
            .and_then(|e| e.figures.as_ref())
            .expect("possible")
    };
    assert_eq!(of(before).minutes.median, of(0).minutes.median);
}

/// A plate of 60 × 60 with round openings, in millimetres.
fn plate_with(openings: &[(f64, f64, f64)]) -> Vec<u8> {
    let corners = [(0.0, 0.0), (60.0, 0.0), (60.0, 60.0), (0.0, 60.0)];
    let mut text =
        String::from("0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n9\n$INSUNITS\n70\n4\n");
    text += "0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n8\n0\n90\n4\n70\n1\n";
    for (x, y) in corners {
        let _ = write!(text, "10\n{x}\n20\n{y}\n");
    }
    for (x, y, d) in openings {
        let r = d / 2.0;
        let _ = write!(text, "0\nCIRCLE\n8\n0\n10\n{x}\n20\n{y}\n40\n{r}\n");
    }
    text += "0\nENDSEC\n0\nEOF\n";
    text.into_bytes()
}

#[test]
fn the_tab_shown_is_the_tab_cut_and_what_is_not_there_is_said() {
    let mut window = window();
    let openings = [(15.0, 15.0, 2.0), (45.0, 15.0, 0.7), (30.0, 40.0, 20.0)];
    drop_on(&mut window, "plate.dxf", &plate_with(&openings));
    window.key_press(Key::E);
    settle(&mut window);
    let select = |w: &mut Window, k: usize| {
        let name = format!("opening {k}");
        w.get_by_role_and_label(Role::Button, &name).click();
        settle(w);
    };
    let tab = |w: &Window| {
        let field = w.get_by_role_and_label(Role::TextInput, "Tab of the contour");
        field.value().expect("a tab")
    };
    let says = |w: &Window, text: &str| w.query_all_by_label_contains(text).next().is_some();
    // A quarter of the rough's path, 2π·(1 − 0.219)/4 = 1.227 mm, is less than the usual 3 mm.
    select(&mut window, 2);
    assert!(tab(&window).starts_with("1.22"), "{}", tab(&window));
    assert!(says(&window, "of the path is left as a tab"));
    // A path of 2π·(10 − 0.219) has room for it.
    select(&mut window, 4);
    assert!(tab(&window).starts_with('3'), "{}", tab(&window));
    assert!(!says(&window, "of the path is left as a tab"));
    // The kerf takes all of Ø 0.7.
    select(&mut window, 3);
    assert!(tab(&window).starts_with('0'), "{}", tab(&window));
    assert!(says(&window, "no tab: no slug comes loose"));
    assert!(says(&window, "the kerf takes it all"));
    // The part has its mass and its caution.
    window
        .get_by_role_and_label(Role::Button, "outline 1")
        .click();
    settle(&mut window);
    assert!(says(&window, "part in outline 1") && says(&window, "heavy enough to fall"));
}

#[test]
fn a_shop_that_threads_by_hand_says_so_once() {
    let mut window = window();
    let minutes = |w: &Window| {
        let file = w.state().front().expect("open");
        let f = file
            .estimate(0)
            .and_then(|e| e.figures.as_ref())
            .expect("possible");
        let threadings = f.steps.iter().filter(|s| s.kind == StepKind::Threading);
        (f.minutes.median.min_value(), threadings.count() as f64)
    };
    let (before, threadings) = minutes(&window);
    window.key_press(Key::R);
    settle(&mut window);
    window
        .get_by_role_and_label(Role::CheckBox, "Threads by hand")
        .click();
    settle(&mut window);
    // Five minutes instead of one for each threading.
    assert!((minutes(&window).0 - before - 4.0 * threadings).abs() < 1e-9);
}
