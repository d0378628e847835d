//! The import in the window: what it offers is seen, made, taken back and undone; findings lead to their
//! places and back; parts of one file are chosen; reading can be stopped.

use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable as _;
use kerfcast::gui::open_file::Spot;
use kerfcast::gui::page::Page;
use kerfcast::words::System;
use kerfcast::words::findings::sentence;
use std::fmt::Write as _;

use crate::harness;

use harness::{Window, drop_on, open_list, settle, window_of};

/// High enough for the whole report: what is scrolled away cannot be clicked.
fn window() -> Window {
    window_of([1280.0, 1700.0])
}

/// A file in mm of lines and circles, written here.
struct Drawn(String);

impl Drawn {
    fn new() -> Self {
        Self(
            "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n"
                .to_owned(),
        )
    }
    fn line(mut self, [x0, y0, x1, y1]: [f64; 4]) -> Self {
        let _ = write!(
            self.0,
            "0\nLINE\n8\n0\n10\n{x0}\n20\n{y0}\n11\n{x1}\n21\n{y1}\n"
        );
        self
    }
    fn rectangle(self, [x, y]: [f64; 2], [w, h]: [f64; 2]) -> Self {
        self.line([x, y, x + w, y])
            .line([x + w, y, x + w, y + h])
            .line([x + w, y + h, x, y + h])
            .line([x, y + h, x, y])
    }
    fn circle(mut self, [x, y]: [f64; 2], r: f64) -> Self {
        let _ = write!(self.0, "0\nCIRCLE\n8\n0\n10\n{x}\n20\n{y}\n40\n{r}\n");
        self
    }
    fn bytes(&self) -> Vec<u8> {
        format!("{}0\nENDSEC\n0\nEOF\n", self.0).into_bytes()
    }
}

/// A bore of 10 in a square of 100 whose sides run 0.2 past its corners.
fn overshoot() -> Vec<u8> {
    Drawn::new()
        .circle([50.0, 50.0], 5.0)
        .line([0.0, 100.2, 0.0, -0.2])
        .line([100.2, 0.0, -0.2, 0.0])
        .line([-0.2, 100.0, 100.2, 100.0])
        .line([100.0, -0.2, 100.0, 100.2])
        .bytes()
}

fn contours(window: &Window) -> usize {
    window.state().front().unwrap().profile.contours().len()
}

fn cut_length(window: &Window) -> f64 {
    let profile = &window.state().front().unwrap().profile;
    profile.contours().iter().map(|c| c.drawn_length.mm()).sum()
}

fn accepted(window: &Window) -> usize {
    window.state().front().unwrap().wanted.accepted.len()
}

fn side(window: &Window) -> bool {
    window.query_by_label("close the panel").is_some()
}

fn undo(window: &mut Window) {
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(window);
}

#[test]
fn crossing_ends_are_trimmed_on_a_click_and_come_back() {
    let mut window = window();
    drop_on(&mut window, "overshoot.dxf", &overshoot());
    // Nothing is guessed: the bore alone closes.
    assert_eq!((contours(&window), accepted(&window)), (1, 0));
    window.key_press(Key::N);
    settle(&mut window);
    let job = window.state().front().unwrap().job.clone();
    window
        .get_by_label("Trim here, offer 1 of crossing")
        .click();
    settle(&mut window);
    // Both ends of the corner.
    assert_eq!((contours(&window), accepted(&window)), (1, 2));
    window.get_by_label("Trim all 6 ends").click();
    settle(&mut window);
    assert_eq!((contours(&window), accepted(&window)), (2, 8));
    // By hand: four sides of 100 and the circle's 10π.
    let whole = 400.0 + 10.0 * std::f64::consts::PI;
    assert!((cut_length(&window) - whole).abs() < 1e-9);
    let file = window.state().front().unwrap();
    assert_eq!(file.job, job);
    assert!(file.answer.as_ref().unwrap().comparison.estimates[0].is_possible());
    // One is taken back, undo puts it in again, and back to the drawing as it came.
    window.get_by_label("Take back, change 3").click();
    settle(&mut window);
    assert_eq!((contours(&window), accepted(&window)), (1, 6));
    undo(&mut window);
    assert_eq!((contours(&window), accepted(&window)), (2, 8));
    undo(&mut window);
    undo(&mut window);
    assert_eq!((contours(&window), accepted(&window)), (1, 0));
    window.key_press_modifiers(Modifiers::COMMAND.plus(Modifiers::SHIFT), Key::Z);
    settle(&mut window);
    assert_eq!(accepted(&window), 2);
    window.get_by_label("Take back, change 1").click();
    settle(&mut window);
    assert_eq!(accepted(&window), 0);
}

#[test]
fn ends_that_stop_short_are_extended_on_a_click() {
    let mut window = window();
    let (near, far) = (0.3, 99.7);
    let drawing = Drawn::new()
        .line([near, 0.0, far, 0.0])
        .line([100.0, near, 100.0, far])
        .line([far, 100.0, near, 100.0])
        .line([0.0, far, 0.0, near]);
    drop_on(&mut window, "short.dxf", &drawing.bytes());
    // Nothing can be cut yet, so the report with its offers is open already.
    assert!(side(&window));
    assert!(window.state().message().unwrap().contains("offer"));
    window.get_by_label("Extend all 8 ends").click();
    settle(&mut window);
    assert_eq!(contours(&window), 1);
    assert!((cut_length(&window) - 400.0).abs() < 1e-9);
    assert_eq!(window.state().message(), None);
    window.get_by_label("Take all back").click();
    settle(&mut window);
    assert_eq!(contours(&window), 0);
}

#[test]
fn ends_on_the_side_of_a_curve_are_joined_by_switch_or_finding() {
    let mut window = window();
    let drawing = Drawn::new()
        .circle([50.0, 50.0], 5.0)
        .line([-20.0, 0.0, 120.0, 0.0])
        .line([0.0, 0.0, 0.0, 100.0])
        .line([0.0, 100.0, 100.0, 100.0])
        .line([100.0, 100.0, 100.0, 0.0]);
    drop_on(&mut window, "sides.dxf", &drawing.bytes());
    window.key_press(Key::N);
    settle(&mut window);
    let choose = |w: &mut Window, words: &str| {
        w.get_by_label("Ends on the side of another curve").click();
        settle(w);
        w.get_by_label(words).click();
        settle(w);
    };
    // The outline of the part is found by itself, and told.
    assert_eq!(contours(&window), 2);
    window.get_by_label("Leave these ends open").click();
    settle(&mut window);
    assert_eq!(contours(&window), 1);
    window.get_by_label("Join at the sides").click();
    settle(&mut window);
    assert_eq!(contours(&window), 2);
    assert!(window.query_by_label("Join at the sides").is_none());
    choose(&mut window, "left open");
    assert_eq!(contours(&window), 1);
    choose(&mut window, "joined where the outline is missing");
    assert_eq!(contours(&window), 2);
    undo(&mut window);
    assert_eq!(contours(&window), 1);
}

/// Where a place of a finding is seen.
fn mark_seen(window: &Window, spot: Spot) -> egui::Pos2 {
    // The drawing goes on below a page.
    let rect = window.get_by_label("Drawing").rect();
    let rect = rect.with_max_x(window.ctx.content_rect().right());
    let file = window.state().front().unwrap();
    let at = kerfcast::gui::scene::near(file.place_of(spot).unwrap(), file.model.centre);
    file.camera.placement.unwrap().to_screen(rect, at)
}

fn click_at(window: &mut Window, at: egui::Pos2) {
    window.hover_at(at);
    window.run();
    window.drag_at(at);
    window.run();
    window.drop_at(at);
    settle(window);
}

#[test]
fn a_mark_leads_to_its_finding_and_a_finding_to_its_mark() {
    let mut window = window();
    drop_on(&mut window, "overshoot.dxf", &overshoot());
    let finding = {
        let findings = &window.state().front().unwrap().drawing.findings;
        findings
            .iter()
            .position(|f| f.code() == "crossing")
            .unwrap()
    };
    let spot = Spot { finding, place: 2 };
    let at = mark_seen(&window, spot);
    click_at(&mut window, at);
    let selected = |w: &Window| w.state().front().unwrap().spot;
    // A crossing and the loose ends beside it may lie within a few points; one of them is selected.
    let chosen = selected(&window).unwrap();
    assert!(side(&window));
    let file = window.state().front().unwrap();
    let apart = file
        .place_of(chosen)
        .unwrap()
        .distance(file.place_of(spot).unwrap());
    assert!(apart < 2.0, "{apart} mm");
    // The finding brings its place into the middle.
    let name = format!("place 3 of finding {}", finding + 1);
    window.get_by_label(&name).click();
    settle(&mut window);
    assert_eq!(selected(&window), Some(spot));
    let middle = window.get_by_label("Drawing").rect().center();
    assert!((mark_seen(&window, spot) - middle).length() < 2.0);
    // A change of the drawing keeps the view where one looks.
    window
        .get_by_label("Trim here, offer 1 of crossing")
        .click();
    settle(&mut window);
    let placement = window.state().front().unwrap().camera.placement.unwrap();
    assert!(placement.scale > 20.0);
}

#[test]
fn every_finding_with_a_place_leads_there() {
    let mut window = window();
    let sample = kerfcast::samples::ALL
        .iter()
        .find(|s| s.name.starts_with("dirty"))
        .unwrap();
    drop_on(&mut window, sample.name, sample.bytes);
    window.key_press(Key::N);
    settle(&mut window);
    let findings: Vec<(String, bool)> = {
        let list = &window.state().front().unwrap().drawing.findings;
        list.iter()
            .map(|f| (sentence(f, System::Metric), !f.at.is_empty()))
            .collect()
    };
    assert!(findings.iter().filter(|f| f.1).count() >= 3);
    for (finding, (message, placed)) in findings.iter().enumerate() {
        if !placed {
            continue;
        }
        window.get_by_label(message).click();
        settle(&mut window);
        let spot = Spot { finding, place: 0 };
        assert_eq!(
            window.state().front().unwrap().spot,
            Some(spot),
            "{message}"
        );
        let middle = window.get_by_label("Drawing").rect().center();
        assert!(
            (mark_seen(&window, spot) - middle).length() < 2.0,
            "{message}"
        );
    }
    assert!(Page::ALL.contains(&Page::Findings));
    assert!(
        window
            .query_by_role_and_label(Role::Button, "Check first.")
            .is_some()
    );
}

/// Two plates far apart: 40 × 20 with a bore of 8, and 30 × 10.
fn two_plates() -> Vec<u8> {
    Drawn::new()
        .rectangle([0.0, 0.0], [40.0, 20.0])
        .circle([10.0, 10.0], 4.0)
        .rectangle([200.0, 0.0], [30.0, 10.0])
        .bytes()
}

fn minutes(window: &Window) -> f64 {
    let file = window.state().front().unwrap();
    let figures = file.estimate(0).unwrap().figures.as_ref().unwrap();
    figures.minutes.median.min_value()
}

#[test]
fn one_part_of_several_is_estimated_alone() {
    let mut window = window();
    drop_on(&mut window, "sheet.dxf", &two_plates());
    open_list(&mut window);
    let together = minutes(&window);
    let told = {
        let file = window.state().front().unwrap();
        let taken = file.parts.of(0).unwrap();
        let time = |t: kerfcast::gui::scene::course::Taken| t.unwrap().0.min_value();
        assert_eq!(taken.each.len(), 2);
        assert_eq!(time(taken.together), together);
        [time(taken.each[0]), time(taken.each[1])]
    };
    // The list says beforehand what each takes.
    for (k, told) in told.into_iter().enumerate() {
        let name = format!("estimate part {}", k + 1);
        window.get_by_label(&name).click();
        settle(&mut window);
        assert_eq!(minutes(&window), told);
        assert!(told < together);
        let file = window.state().front().unwrap();
        assert_eq!(file.part_taken(), Some(k));
        let cut = file.profile.contours().iter().filter(|c| file.job.cuts(c));
        assert_eq!(cut.count(), [2, 1][k]);
    }
    // Only the contours of the part are listed.
    assert!(window.query_by_label("outline 3").is_some());
    assert!(window.query_by_label("outline 1").is_none());
    undo(&mut window);
    assert_eq!(window.state().front().unwrap().part_taken(), Some(0));
    window.get_by_label("estimate all parts together").click();
    settle(&mut window);
    assert_eq!(minutes(&window), together);
    // The choice stays when the drawing is joined otherwise.
    window.get_by_label("estimate part 2").click();
    settle(&mut window);
    window.key_press(Key::N);
    settle(&mut window);
    window
        .get_by_label("Ends on the side of another curve")
        .click();
    settle(&mut window);
    window
        .get_by_label("joined wherever that closes a contour")
        .click();
    settle(&mut window);
    assert_eq!(window.state().front().unwrap().part_taken(), Some(1));
    assert_eq!(minutes(&window), told[1]);
}

/// A plate in red, a mark in blue on the same layer.
fn coloured() -> Vec<u8> {
    let bytes = Drawn::new()
        .circle([50.0, 50.0], 30.0)
        .circle([50.0, 50.0], 5.0)
        .bytes();
    let text = String::from_utf8(bytes).unwrap();
    let mut colour = ["1", "5"].into_iter();
    let lines = text.lines().map(|l| {
        if l == "CIRCLE" {
            format!("CIRCLE\n62\n{}\n", colour.next().unwrap())
        } else {
            format!("{l}\n")
        }
    });
    lines.collect::<String>().into_bytes()
}

#[test]
fn a_colour_is_switched_out_of_the_cut_and_undo_brings_it_back() {
    let mut window = window();
    drop_on(&mut window, "colours.dxf", &coloured());
    assert_eq!(contours(&window), 2);
    window.key_press(Key::N);
    settle(&mut window);
    window
        .get_by_role_and_label(Role::CheckBox, "blue (1)")
        .click();
    settle(&mut window);
    assert_eq!(contours(&window), 1);
    assert!((cut_length(&window) - 60.0 * std::f64::consts::PI).abs() < 1e-9);
    undo(&mut window);
    assert_eq!(contours(&window), 2);
}

#[test]
fn a_page_beside_the_drawing_leaves_it_room() {
    let mut window = window_of([1280.0, 800.0]);
    let name = "customer-4711-stamping-insert-with-a-very-long-name-rev-C.dxf";
    drop_on(&mut window, name, &overshoot());
    let bare = window.get_by_label("Drawing").rect();
    for key in [
        Key::N,
        Key::Y,
        Key::S,
        Key::E,
        Key::G,
        Key::R,
        Key::L,
        Key::I,
    ] {
        window.key_press(key);
        settle(&mut window);
        assert!(side(&window));
        let width = window.get_by_label("Drawing").rect().width();
        assert!(width >= 0.449 * 1280.0, "{key:?}: {width}");
    }
    // The sentence keeps to one line whatever the name.
    let mut short = window_of([1280.0, 800.0]);
    drop_on(&mut short, "a.dxf", &overshoot());
    assert_eq!(short.get_by_label("Drawing").rect().top(), bare.top());
}

/// A file of many lines, so that reading it takes a while.
fn long_file(lines: usize) -> Vec<u8> {
    let mut drawn = Drawn::new();
    for k in 0..lines {
        let (x, y) = ((k % 500) as f64, (k / 500) as f64);
        drawn = drawn.line([x, y, x + 0.5, y + 0.25]);
    }
    drawn.bytes()
}

#[test]
fn reading_is_cancelled_and_the_open_drawing_stays() {
    let mut window = window();
    let name = window.state().front().unwrap().name.clone();
    let bytes = long_file(150_000);
    harness::drop_without_waiting(&mut window, "long.dxf", &bytes);
    // Frames go on while it is read, until the bar with its way out is there.
    let mut seen = false;
    for _ in 0..2_000 {
        window.step();
        if window.query_by_label("cancel reading").is_some() {
            seen = true;
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(1));
    }
    assert!(seen, "it was read before the bar came");
    window.get_by_label("cancel reading").click();
    window.step();
    settle(&mut window);
    assert_eq!(window.state().open_count(), 1);
    assert_eq!(window.state().front().unwrap().name, name);
    let message = window.state().message().unwrap();
    assert!(message.contains("you cancelled"), "{message}");
}

/// A comb of many teeth, which takes long to estimate.
fn comb(teeth: usize) -> Vec<u8> {
    let mut out = String::from("0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n8\n0\n70\n1\n");
    let width = 2 * teeth;
    let back = [(width, 0), (width, -5), (0, -5)].map(|(x, y)| (x as f64, f64::from(y)));
    let teeth = (0..teeth).flat_map(|k| {
        let x = 2.0 * k as f64;
        [(x, 0.0), (x, 20.0), (x + 1.0, 20.0), (x + 1.0, 0.0)]
    });
    for (x, y) in teeth.chain(back) {
        out.push_str(&format!("10\n{x}\n20\n{y}\n"));
    }
    out.push_str("0\nENDSEC\n0\nEOF\n");
    out.into_bytes()
}

#[test]
fn an_estimate_that_takes_long_is_stopped_and_says_so() {
    let mut window = window();
    harness::drop_without_waiting(&mut window, "comb.dxf", &comb(20_000));
    let mut seen = false;
    for _ in 0..60_000 {
        window.step();
        if window.query_by_label("cancel the estimate").is_some() {
            seen = true;
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(1));
    }
    assert!(seen, "it was estimated before the bar came");
    window.get_by_label("cancel the estimate").click();
    window.step();
    settle(&mut window);
    let file = window.state().front().expect("open");
    assert!(file.stopped && file.answer.is_none() && !file.is_current());
    assert!(window.query_by_label("Estimate again").is_some());
    assert!(
        window
            .query_by_label_contains("There are no figures")
            .is_some()
    );
    // Nothing goes out of a drawing whose figures are not its own, and another one is answered at once.
    assert!(window.state().report().is_none());
    drop_on(&mut window, "twice.dxf", &twice());
    assert!(window.state().front().expect("open").answer.is_some());
    assert!(window.query_by_label("Estimate again").is_none());
}

/// A plate with a hole, and the same again 60 mm further.
fn twice() -> Vec<u8> {
    Drawn::new()
        .rectangle([0.0, 0.0], [40.0, 20.0])
        .circle([8.0, 6.0], 3.0)
        .rectangle([60.0, 0.0], [40.0, 20.0])
        .circle([68.0, 6.0], 3.0)
        .bytes()
}

#[test]
fn the_price_says_what_of_it_is_in_question_and_leads_there() {
    let mut window = window();
    drop_on(&mut window, "twice.dxf", &twice());
    assert!(
        window.query_by_label_contains("for all 2 parts").is_some(),
        "a part is not said of two"
    );
    let doubt = "for what may be another view of the same part.";
    window.get_by_label_contains(doubt).click();
    settle(&mut window);
    let answer = "another view, leave it out, part drawn again on layer 0";
    window.get_by_label(answer).click();
    settle(&mut window);
    assert!(window.query_by_label_contains(doubt).is_none());
    assert!(window.query_by_label_contains("for all 2 parts").is_none());
    assert!(window.query_by_label_contains("Safe to quote.").is_some());
}

#[test]
fn nothing_is_safe_to_quote_that_no_wire_can_cut() {
    let mut window = window();
    // A slot of 0.02 mm: no wire goes in.
    let slot = Drawn::new()
        .rectangle([0.0, 0.0], [40.0, 20.0])
        .rectangle([5.0, 10.0], [30.0, 0.02]);
    drop_on(&mut window, "slot.dxf", &slot.bytes());
    assert!(window.query_by_label("None of the wires can.").is_some());
    // The chosen row says why in full, over all its height.
    let why = window.get_all_by_label_contains("Opening 2 is too narrow");
    let highest = why.map(|n| n.rect().height()).fold(0.0, f32::max);
    assert!(highest > 50.0, "{highest}");
    assert!(window.query_by_label("safe to quote").is_none());
    assert!(window.query_by_label("Safe to quote.").is_none());
}

#[test]
fn files_that_are_held_over_the_window_are_told_what_letting_go_does() {
    let mut window = harness::window_of([1280.0, 800.0]);
    let told =
        |window: &harness::Window| window.query_by_label_contains("Let go to open").is_some();
    assert!(!told(&window));
    let held = egui::HoveredFile {
        path: Some("plate.dxf".into()),
        ..egui::HoveredFile::default()
    };
    window.input_mut().hovered_files = vec![held; 3];
    window.run_steps(2);
    assert!(window.query_by_label("Let go to open 3 files").is_some());
    window.input_mut().hovered_files.clear();
    window.run_steps(2);
    assert!(!told(&window));
}
