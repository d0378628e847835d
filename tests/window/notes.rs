//! The drawing's own words in the window: offered with one click, never taken unasked, taken back by undo; what is
//! assumed is marked until somebody says it.

use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable as _;
use kerfcast::drawing::ScaleSource;
use kerfcast::gui::open_file::OpenFile;

use crate::harness;

use harness::{Window, drop_on, settle, window_of};

/// A plate of 40 x 20 mm drawn ten times as large, dimensioned with a factor of a tenth, with notes.
fn ten_to_one() -> Vec<u8> {
    let mut entities = String::new();
    for [x0, y0, x1, y1] in [
        [0, 0, 400, 0],
        [400, 0, 400, 200],
        [400, 200, 0, 200],
        [0, 200, 0, 0],
    ] {
        entities += &format!("0\nLINE\n8\n0\n10\n{x0}\n20\n{y0}\n11\n{x1}\n21\n{y1}\n");
    }
    for (x1, y1, turn) in [(400, 0, 0), (0, 200, 90)] {
        entities += &format!(
            "0\nDIMENSION\n8\n0\n10\n0\n20\n0\n11\n{}\n21\n{}\n70\n32\n3\nTENTH\n13\n0\n23\n0\n14\n{x1}\n24\n{y1}\n50\n{turn}\n",
            x1 / 2,
            y1 / 2
        );
    }
    for (y, text) in [
        (-30, "MASSSTAB 10:1"),
        (-50, "Dicke 20"),
        (-70, "Material: 1.2344"),
        (-90, "3 Stück"),
    ] {
        entities += &format!("0\nTEXT\n8\nwords\n10\n0\n20\n{y}\n40\n8\n1\n{text}\n");
    }
    format!(
        "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1021\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nTABLES\n0\nDIMSTYLE\n2\nTENTH\n144\n0.1\n0\nENDSEC\n\
         0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n"
    )
    .into_bytes()
}

fn opened() -> Window {
    let mut window = window_of([1280.0, 1700.0]);
    drop_on(&mut window, "plate.dxf", &ten_to_one());
    window.key_press(Key::N);
    settle(&mut window);
    window
}

fn front(window: &Window) -> &OpenFile {
    window.state().front().expect("a drawing is open")
}

fn length(window: &Window) -> f64 {
    let contours = &front(window).profile.contours();
    contours.iter().map(|c| c.drawn_length.mm()).sum()
}

fn click(window: &mut Window, label: &str) {
    window.get_by_label(label).click();
    settle(window);
}

fn undo(window: &mut Window) {
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(window);
}

#[test]
fn the_scale_is_taken_on_a_click_and_comes_back() {
    let mut window = opened();
    assert!(
        (length(&window) - 1200.0).abs() < 1e-9,
        "nothing is taken unasked"
    );
    assert!(window.query_by_label("drawn 10:1").is_none());
    let first = window.get_all_by_label("Take scale 10:1").next();
    first.expect("it is offered").click();
    settle(&mut window);
    assert!((length(&window) - 120.0).abs() < 1e-9);
    assert_eq!(
        front(&window).drawing.scale.used.from,
        ScaleSource::Dimensions
    );
    assert!(window.query_by_label("drawn 10:1").is_some());
    assert!(front(&window).answer.is_some());
    undo(&mut window);
    assert!((length(&window) - 1200.0).abs() < 1e-9);
}

#[test]
fn what_the_drawing_says_is_taken_on_a_click_and_marked_until_then() {
    let mut window = opened();
    let before = front(&window).job.clone();
    assert!(window.query_by_label("assumed").is_some());
    assert!(
        window
            .state()
            .report()
            .expect("a report")
            .contains("Thickness and material are assumed")
    );
    click(&mut window, "Take thickness 20\u{202f}mm");
    assert_eq!(front(&window).job.thickness.mm(), 20.0);
    assert!(window.query_by_label("material assumed").is_some());
    click(&mut window, "Take hot-work tool steel");
    assert_eq!(front(&window).job.material, "hot-work tool steel");
    assert!(window.query_by_label("material assumed").is_none());
    assert!(
        !window
            .state()
            .report()
            .expect("a report")
            .contains("assumed, not confirmed")
    );
    click(&mut window, "Take quantity 3");
    assert_eq!(front(&window).job.quantity, 3);
    for _ in 0..3 {
        undo(&mut window);
    }
    assert_eq!(front(&window).job, before);
    assert!(window.query_by_label("assumed").is_some());
}

#[test]
fn a_click_on_the_word_confirms_what_stands_there() {
    let mut window = opened();
    let before = front(&window).job.clone();
    click(&mut window, "assumed");
    assert_eq!(front(&window).job, before);
    assert!(window.query_by_label("assumed").is_none());
    undo(&mut window);
    assert!(window.query_by_label("assumed").is_some());
}
