//! Choices about the drawing and the wires, made in the window as a person would.

use egui::Key;
use egui::accesskit::Role;
use egui_kittest::kittest::Queryable as _;
use kerfcast::job::{BurnOut, LotOrder, WireRun};
use kerfcast::samples;
use std::fmt::Write as _;

use kerfcast::plan::StepKind;
use kerfcast::profile::Keep;
use kerfcast::units::{Length, Mass};

use crate::harness;

use harness::{Window, drop_on, open_list, settle, type_into, window_of};

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
    let openings = [(15.0, 15.0, 2.0), (45.0, 15.0, 4.0), (30.0, 40.0, 20.0)];
    drop_on(&mut window, "plate.dxf", &plate_with(&openings));
    window.key_press(Key::E);
    open_list(&mut window);
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
    // What is burned out leaves no slug that a tab could hold.
    select(&mut window, 3);
    window
        .get_by_role_and_label(Role::ComboBox, "Waste of the contour")
        .click();
    settle(&mut window);
    window.get_by_label("is burned out, no slug").click();
    settle(&mut window);
    assert!(tab(&window).starts_with('0'), "{}", tab(&window));
    assert!(says(&window, "no tab: no slug comes loose"));
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
        // The lines alone: the allowance for what runs long moves with them.
        let lines = f.minutes.median - f.share(kerfcast::plan::Share::Allowance);
        (lines.min_value(), threadings.count() as f64)
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

#[test]
fn pieces_are_let_go_as_the_window_says() {
    let mut window = window();
    drop_on(
        &mut window,
        "plate.dxf",
        &plate_with(&[(15.0, 15.0, 4.0), (45.0, 15.0, 4.0), (30.0, 40.0, 20.0)]),
    );
    window.key_press(Key::T);
    settle(&mut window);
    let job = |w: &Window| w.state().front().expect("open").job.clone();
    let slugs = |w: &Window| {
        let file = w.state().front().expect("open");
        let e = file.estimate(file.shown).expect("estimated");
        e.figures.as_ref().expect("possible").slugs.len()
    };
    assert_eq!(slugs(&window), 3);
    // Burned out up to 3 mm, then 5 mm: a slug of Ø 4 is 4 − 2 × 0.384 = 3.232 mm long.
    window
        .get_by_role_and_label(Role::ComboBox, "Openings that are burned out")
        .click();
    settle(&mut window);
    window.get_by_label("openings with a slug up to").click();
    settle(&mut window);
    assert_eq!(slugs(&window), 3);
    type_into(&mut window, "Longest slug that is burned out", "3.3");
    assert_eq!(
        job(&window).burn_out,
        BurnOut::UpToSize(Length::from_mm(3.3))
    );
    assert_eq!(slugs(&window), 1);
    // 20 g may drop alone: the shop's own decision, none before it.
    assert_eq!(job(&window).shop.drops_alone, Mass::ZERO);
    type_into(&mut window, "Mass below which pieces may drop alone", "20");
    assert!((job(&window).shop.drops_alone.kg() - 0.02).abs() < 1e-12);
    window
        .get_by_label("Parts stay clamped while their tab is skimmed")
        .click();
    settle(&mut window);
    assert!(job(&window).shop.clamps_parts);
}

#[test]
fn tabs_cut_together_are_offered_where_that_is_done_earlier() {
    let mut window = window();
    drop_on(&mut window, "plate.dxf", &plate_with(&[(30.0, 30.0, 20.0)]));
    type_into(&mut window, "Quantity", "8");
    window.key_press(Key::T);
    settle(&mut window);
    let done = |w: &Window| {
        let file = w.state().front().expect("open");
        let clocks = file.clocks.of(file.shown).expect("walked through");
        clocks.wires[file.shown].as_ref().expect("possible").done
    };
    let one_by_one = done(&window);
    window.get_by_label("Cut all tabs together").click();
    settle(&mut window);
    let order = |w: &Window| w.state().front().expect("open").job.lot_order;
    assert_eq!(order(&window), LotOrder::TabsTogether);
    assert!(
        done(&window) < one_by_one - 14.9,
        "{} {one_by_one}",
        done(&window)
    );
    window.get_by_label("One part after the other").click();
    settle(&mut window);
    assert_eq!(order(&window), LotOrder::PartByPart);
}

#[test]
fn an_outline_begins_at_the_edge_and_holes_are_those_of_the_shop() {
    let mut window = window();
    drop_on(&mut window, "plate.dxf", &plate_with(&[(30.0, 30.0, 20.0)]));
    let list = |w: &Window| w.state().drill_list().map_or(0, |l| l.lines().count());
    // A head and two holes.
    assert_eq!(list(&window), 3);
    open_list(&mut window);
    window.key_press(Key::E);
    settle(&mut window);
    window
        .get_by_role_and_label(Role::Button, "outline 1")
        .click();
    settle(&mut window);
    assert!(
        window
            .query_all_by_label_contains("Ø\u{202f}3")
            .next()
            .is_some()
    );
    window
        .get_by_role_and_label(Role::ComboBox, "Where the outline is begun")
        .click();
    settle(&mut window);
    window.get_by_label("at the edge of the blank").click();
    settle(&mut window);
    assert_eq!(list(&window), 2);
    window.key_press(Key::R);
    settle(&mut window);
    type_into(&mut window, "Diameters of start holes", "1 0.6");
    let sizes = window
        .state()
        .front()
        .expect("open")
        .job
        .shop
        .hole_sizes
        .clone();
    assert_eq!(sizes, [0.6, 1.0].map(Length::from_mm));
    // Where all outlines begin stands beside the holes, and so does the list for the drill.
    window
        .get_by_role_and_label(Role::ComboBox, "Where outlines begin")
        .click();
    settle(&mut window);
    window.get_by_label("at the edge of the blank").click();
    settle(&mut window);
    assert!(window.state().front().expect("open").job.outlines_from_edge);
    window.get_by_label("List of 1 start hole for the drill…");
    let text = window.state().drill_list().expect("a hole");
    assert!(
        text.lines().nth(1).expect("a hole").contains(",1,"),
        "{text}"
    );
}

/// The die of the samples: openings that lie side by side in a plate that nobody has drawn.
#[test]
fn what_lies_side_by_side_is_said_with_a_click_and_taken_back_with_another() {
    let die = samples::ALL.iter().find(|s| s.name.contains("die"));
    let die = die.expect("the sample is there");
    let open = || {
        let mut window = window();
        drop_on(&mut window, die.name, die.bytes);
        window
    };
    let asks = |w: &Window| w.query_all_by_label_contains("Check first").count() > 0;
    for (answer, keep) in [
        ("16 parts?", Keep::Inside),
        ("Or 16 openings in a plate, for ", Keep::Outside),
    ] {
        let mut window = open();
        assert!(asks(&window));
        assert!(window.query_by_label("Safe to quote.").is_none());
        let file = window.state().front().expect("open");
        let told = match keep {
            Keep::Inside => file.cost_shown(),
            Keep::Outside => file.cost_as_openings(),
        };
        window.get_by_label_contains(answer).click();
        settle(&mut window);
        let file = window.state().front().expect("open");
        assert_eq!(file.job.keep, keep);
        assert!(told.is_some());
        assert_eq!(file.cost_shown(), told, "what was told is what it costs");
        assert_eq!(file.cost_as_openings(), None);
        assert!(!asks(&window));
        assert!(window.query_by_label_contains(answer).is_none());
        window.key_press_modifiers(egui::Modifiers::COMMAND, Key::Z);
        settle(&mut window);
        assert!(asks(&window));
        assert_eq!(window.state().front().expect("open").job.keep, Keep::Inside);
    }
    // The choice in the sentence is an answer too, also where it stays as it was assumed.
    let mut window = open();
    window.get_by_label("What is kept").click();
    settle(&mut window);
    window
        .get_by_label_contains("keep the inside (part")
        .click();
    settle(&mut window);
    assert!(!asks(&window));
}
