//! Choices about the drawing and the wires, made in the window as a person would.

use egui_kittest::kittest::Queryable as _;
use kerfcast::job::WireRun;
use kerfcast::samples;

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
    let contours = |w: &Window| w.state().front().expect("open").profile.contours.len();
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
    window.get_by_label("your run-off").click();
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
