//! What is decided for one contour, made in the window as a person would: waste, taper, side of the wire, layer.

use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable as _;
use kerfcast::estimate::Figures;
use kerfcast::gui::open_file::{OpenFile, Target};
use kerfcast::job::{ContourChoice, Waste, contour_key};
use kerfcast::plan::StepKind;
use std::fmt::Write as _;

use crate::harness;

use harness::{Window, drop_on, open_list, settle, type_into, window_of};

/// The outline of the plate and its openings, in the order of the drawing.
const OUTLINE: usize = 0;
const SMALL: usize = 1;
const LARGE: usize = 2;

/// A plate of 60 × 60 on layer 0 with openings Ø 2 and Ø 20 on layer HOLES, and the page of contours open.
fn window() -> Window {
    let mut text =
        String::from("0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n9\n$INSUNITS\n70\n4\n");
    text += "0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n8\n0\n90\n4\n70\n1\n";
    for (x, y) in [(0.0, 0.0), (60.0, 0.0), (60.0, 60.0), (0.0, 60.0)] {
        let _ = write!(text, "10\n{x}\n20\n{y}\n");
    }
    for (x, y, r) in [(15.0, 15.0, 1.0), (35.0, 35.0, 10.0)] {
        let _ = write!(text, "0\nCIRCLE\n8\nHOLES\n10\n{x}\n20\n{y}\n40\n{r}\n");
    }
    text += "0\nENDSEC\n0\nEOF\n";
    // High enough for the whole page: what is scrolled away cannot be clicked.
    let mut window = window_of([1280.0, 1300.0]);
    drop_on(&mut window, "plate.dxf", text.as_bytes());
    window.key_press(Key::E);
    open_list(&mut window);
    window
}

fn file(window: &Window) -> &OpenFile {
    window.state().front().expect("open")
}

fn figures(window: &Window) -> &Figures {
    let e = file(window).estimate(0).expect("estimated");
    e.figures.as_ref().expect("possible")
}

fn choice_of(window: &Window, contour: usize) -> ContourChoice {
    let file = file(window);
    *file
        .job
        .choice(contour_key(&file.profile.contours()[contour]))
}

fn click(window: &mut Window, role: Role, name: &str) {
    window.get_by_role_and_label(role, name).click();
    settle(window);
}

/// Chooses a word in one of the page's fields.
fn choose(window: &mut Window, field: &str, word: &str) {
    click(window, Role::ComboBox, field);
    window.get_by_label(word).click();
    settle(window);
}

/// Length of the first pass around a contour, mm, with what is left as a tab until later.
fn rough(window: &Window, contour: usize) -> f64 {
    let steps = figures(window).steps.iter();
    steps
        .filter(|s| s.contour == Some(contour) && s.is_rough())
        .filter(|s| matches!(s.kind, StepKind::Pass | StepKind::Tab))
        .map(|s| s.length.mm())
        .sum()
}

#[test]
fn waste_that_is_burned_out_needs_no_operator_and_a_longer_way() {
    let mut window = window();
    click(&mut window, Role::Button, "opening 2");
    let attended = |w: &Window| {
        let steps = figures(w).steps.iter();
        steps
            .filter(|s| s.contour == Some(SMALL) && s.attended)
            .count()
    };
    let way = |w: &Window| -> f64 {
        let steps = figures(w).steps.iter();
        let own = steps.filter(|s| s.contour == Some(SMALL));
        own.map(|s| s.length.mm()).sum()
    };
    let (before, way_before) = (figures(&window).minutes.median, way(&window));
    assert!(attended(&window) > 0, "a slug has to be taken out");
    choose(
        &mut window,
        "Waste of the contour",
        "is burned out, no slug",
    );
    assert_eq!(choice_of(&window, SMALL).waste, Some(Waste::Erode));
    assert_eq!(choice_of(&window, LARGE).waste, None);
    assert_eq!(attended(&window), 0);
    // All of the waste goes through the gap, so the wire runs farther than once around it.
    assert!(way(&window) > way_before);
    // Where nothing is left over there is no time for taking it out to choose.
    let there = |name: &str| window.query_by_label(name).is_some();
    assert!(!there("Slug out of the contour"));
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut window);
    assert_eq!(choice_of(&window, SMALL).waste, None);
    assert_eq!(figures(&window).minutes.median, before);
}

#[test]
fn a_taper_leans_by_its_tangent_and_a_wrong_one_is_refused() {
    let mut window = window();
    type_into(&mut window, "Thickness", "40");
    click(&mut window, Role::Button, "opening 3");
    let before = figures(&window).minutes.median;
    type_into(&mut window, "Taper of the contour", "3°");
    assert_eq!(choice_of(&window, LARGE).taper_degrees, 3.0);
    assert_eq!(choice_of(&window, SMALL).taper_degrees, 0.0);
    // 40 mm · tan 3° = 2.096 mm.
    assert!(
        window
            .query_by_label_contains("2.10\u{202f}mm from top to bottom")
            .is_some()
    );
    // Leaning wire cuts no faster than upright wire (common practice, no source).
    assert!(figures(&window).minutes.median >= before);
    for wrong in ["89", "steep"] {
        type_into(&mut window, "Taper of the contour", wrong);
        assert_eq!(choice_of(&window, LARGE).taper_degrees, 3.0, "{wrong}");
        assert!(window.state().message().is_some(), "{wrong}");
    }
}

#[test]
fn what_is_cut_apart_from_the_job_stands_in_one_place() {
    let mut window = window();
    let says = |w: &Window, words: &str| w.query_by_label_contains(words).is_some();
    assert!(says(&window, "Every contour is cut as the job says."));
    click(&mut window, Role::Button, "opening 3");
    type_into(&mut window, "Taper of the contour", "3°");
    // The same row again lets it go.
    click(&mut window, Role::Button, "opening 3");
    assert!(file(&window).selected.is_none());
    assert!(!says(&window, "Every contour is cut as the job says."));
    assert!(says(&window, "Apart from the job"));
    click(&mut window, Role::Link, "opening 3");
    assert_eq!(file(&window).selected, Some(Target::Contour(LARGE)));
}

#[test]
fn what_holds_for_one_contour_is_given_to_its_layer() {
    let mut window = window();
    click(&mut window, Role::Button, "opening 3");
    type_into(&mut window, "Thickness of the contour", "12");
    assert_eq!(choice_of(&window, SMALL).thickness, None);
    click(&mut window, Role::Button, "The same for all of layer HOLES");
    let thickness = |w: &Window, k| choice_of(w, k).thickness.map(kerfcast::units::Length::mm);
    assert_eq!(thickness(&window, SMALL), Some(12.0));
    assert_eq!(thickness(&window, LARGE), Some(12.0));
    assert_eq!(thickness(&window, OUTLINE), None);
    // One step back takes it from the layer, and leaves it with the contour.
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut window);
    assert_eq!(thickness(&window, SMALL), None);
    assert_eq!(thickness(&window, LARGE), Some(12.0));
    click(&mut window, Role::Button, "As the job");
    assert_eq!(thickness(&window, LARGE), None);
}

#[test]
fn a_turned_side_puts_the_wire_around_the_contour() {
    let mut window = window();
    click(&mut window, Role::Button, "opening 3");
    // Parallels of a circle are circles: 2π(r − d) inside, 2π(r + d) outside, whose mean is the circle itself. At
    // the end of each the wire runs on over its own begin by the library's overlap.
    let overlap = window.state().library().overheads.overlap.value;
    let circle = std::f64::consts::TAU * 10.0 + overlap;
    let inside = rough(&window, LARGE);
    assert!(inside < circle, "{inside}");
    choose(&mut window, "Side of the wire", "runs outside the contour");
    assert!(choice_of(&window, LARGE).turned);
    let outside = rough(&window, LARGE);
    assert!(
        (f64::midpoint(inside, outside) - circle).abs() < 1e-3,
        "{inside} and {outside}"
    );
    // It is an outline now, and turned back an opening again.
    choose(&mut window, "Side of the wire", "runs inside the contour");
    assert!(!choice_of(&window, LARGE).turned);
    assert!((rough(&window, LARGE) - inside).abs() < 1e-9);
}
