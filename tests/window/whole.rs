//! The window driven as a person would: by drop, click, typing and keys, without a display.

use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::Node;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use kerfcast::geometry::Point;
use kerfcast::gui::open_file::Target;
use kerfcast::gui::scene::near;
use kerfcast::job::{CuttingOrder, contour_key};
use kerfcast::samples;
use kerfcast::words::{Style, System};
use std::time::Duration;

use crate::harness;

use harness::{Window, drop_on, open_list, settle, type_into, window_of};

fn window() -> Window {
    window_of([1280.0, 800.0])
}

fn field<'a>(window: &'a Window, name: &'a str) -> Node<'a> {
    window.get_by_role_and_label(Role::TextInput, name)
}

fn thickness(window: &Window) -> f64 {
    window.state().front().unwrap().job.thickness.mm()
}

fn minutes(window: &Window, wire: usize) -> f64 {
    let file = window.state().front().unwrap();
    let figures = file.estimate(wire).unwrap().figures.as_ref().unwrap();
    figures.minutes.median.min_value()
}

#[test]
fn a_newcomer_sees_the_sample_estimated() {
    let mut window = window();
    open_list(&mut window);
    let file = window.state().front().unwrap();
    assert_eq!(file.name, samples::first().name);
    let answer = file.answer.as_ref().unwrap();
    assert!(answer.comparison.estimates.len() >= 5);
    assert!(answer.comparison.estimates[0].is_possible());
    assert!(window.query_by_label("Drawing").is_some());
    assert!(window.query_by_label("outline 1").is_some());
    assert!(
        window
            .query_all_by_label_contains("time, hard plain brass")
            .next()
            .is_some()
    );
}

#[test]
fn a_dropped_drawing_opens_in_front() {
    let mut window = window();
    let sample = samples::ALL[1];
    drop_on(&mut window, "customer.dxf", sample.bytes);
    assert_eq!(window.state().open_count(), 2);
    let file = window.state().front().unwrap();
    assert_eq!(file.name, "customer.dxf");
    assert!(file.answer.is_some());
    // The switcher leads back to the first one.
    window.get_by_label("Open drawings").click();
    settle(&mut window);
    window
        .get_by_role_and_label(Role::Button, samples::first().name)
        .click();
    settle(&mut window);
    assert_eq!(window.state().front().unwrap().name, samples::first().name);
}

#[test]
fn what_is_no_drawing_is_refused_and_the_open_one_stays() {
    let mut window = window();
    drop_on(
        &mut window,
        "letter.dxf",
        b"Dear Sir, please find the drawing attached.",
    );
    let state = window.state();
    assert_eq!(state.open_count(), 1);
    assert_eq!(state.front().unwrap().name, samples::first().name);
    let message = state.message().unwrap().to_owned();
    assert!(
        message.contains("letter.dxf") && message.contains("DXF"),
        "{message}"
    );
    assert!(window.query_by_label(&message).is_some());
    window.get_by_label("Dismiss").click();
    settle(&mut window);
    assert_eq!(window.state().message(), None);
}

#[test]
fn a_drawing_without_a_closed_contour_says_so() {
    let mut window = window();
    let line = b"0\nSECTION\n2\nENTITIES\n0\nLINE\n8\n0\n10\n0\n20\n0\n11\n50\n21\n10\n0\nENDSEC\n0\nEOF\n";
    drop_on(&mut window, "line.dxf", line);
    let message = window.state().message().unwrap();
    assert!(message.contains("no closed contour"), "{message}");
    let empty = b"0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n";
    let before = window.state().open_count();
    drop_on(&mut window, "empty.dxf", empty);
    assert_eq!(window.state().open_count(), before);
    assert!(
        window
            .state()
            .message()
            .unwrap()
            .contains("empty.dxf was not opened")
    );
}

#[test]
fn a_thicker_plate_takes_longer_and_undo_goes_back() {
    let mut window = window();
    let before = minutes(&window, 0);
    type_into(&mut window, "Thickness", "80");
    assert_eq!(thickness(&window), 80.0);
    let thick = minutes(&window, 0);
    assert!(thick > 1.3 * before, "{before} min, then {thick} min");
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut window);
    assert_eq!(thickness(&window), 40.0);
    assert_eq!(minutes(&window, 0), before);
    window.key_press_modifiers(Modifiers::COMMAND.plus(Modifiers::SHIFT), Key::Z);
    settle(&mut window);
    assert_eq!(thickness(&window), 80.0);
}

#[test]
fn a_thickness_that_is_none_is_refused_with_a_message() {
    let mut window = window();
    for typed in ["thick", "0", "-3", "1e9", ""] {
        type_into(&mut window, "Thickness", typed);
        assert_eq!(thickness(&window), 40.0, "{typed}");
        let message = window.state().message().unwrap_or_default().to_owned();
        assert!(message.len() > 20, "{typed}: {message}");
        assert!(!window.state().front().unwrap().waiting);
    }
    type_into(&mut window, "Thickness", "2 in");
    assert_eq!(thickness(&window), 50.8);
    assert_eq!(window.state().message(), None);
}

#[test]
fn another_baseline_turns_the_differences() {
    let mut window = window();
    let name = {
        let job = &window.state().front().unwrap().job;
        format!(
            "baseline {}",
            Style::default().candidate(&job.candidates[1])
        )
    };
    window
        .get_by_role_and_label(Role::RadioButton, &name)
        .click();
    settle(&mut window);
    let file = window.state().front().unwrap();
    assert_eq!(file.job.baseline, 1);
    let comparison = &file.answer.as_ref().unwrap().comparison;
    assert_eq!(comparison.baseline, 1);
    assert!(comparison.difference(1).is_none());
    assert!(comparison.difference(0).unwrap().minutes.share > 0.0);
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut window);
    assert_eq!(window.state().front().unwrap().job.baseline, 0);
}

#[test]
fn one_key_switches_to_inch_everywhere() {
    let mut window = window();
    assert_eq!(field(&window, "Thickness").value().unwrap(), "40\u{202f}mm");
    window.key_press(Key::U);
    settle(&mut window);
    assert_eq!(window.state().system(), System::Inch);
    assert_eq!(
        field(&window, "Thickness").value().unwrap(),
        "1.5748\u{202f}in"
    );
    // The job itself has not changed, and a number typed now is in inches.
    assert_eq!(thickness(&window), 40.0);
    type_into(&mut window, "Thickness", "1");
    assert_eq!(thickness(&window), 25.4);
}

#[test]
fn list_and_drawing_select_the_same_contour() {
    let mut window = window();
    open_list(&mut window);
    window
        .get_by_role_and_label(Role::Button, "opening 2")
        .click();
    settle(&mut window);
    let selected = |w: &Window| w.state().front().unwrap().selected;
    assert_eq!(selected(&window), Some(Target::Contour(1)));
    // A click on the first contour in the drawing selects it in the list.
    let rect = window.get_by_label("Drawing").rect();
    let at = {
        let file = window.state().front().unwrap();
        let placement = file.camera.placement.unwrap();
        placement.to_screen(rect, file.model.contours[0].points[0])
    };
    window.hover_at(at);
    window.run();
    window.drag_at(at);
    window.run();
    window.drop_at(at);
    settle(&mut window);
    assert_eq!(selected(&window), Some(Target::Contour(0)));
}

#[test]
fn a_contour_left_out_is_not_cut() {
    let mut window = window();
    open_list(&mut window);
    let before = minutes(&window, 0);
    window
        .get_by_role_and_label(Role::CheckBox, "cut opening 2")
        .click();
    settle(&mut window);
    let file = window.state().front().unwrap();
    let key = contour_key(&file.profile.contours()[1]);
    assert!(file.job.left_out.contains(&key));
    assert!(minutes(&window, 0) < before);
}

#[test]
fn a_click_on_a_figure_says_why() {
    let mut window = window();
    window
        .get_all_by_label_contains("time, hard plain brass")
        .next()
        .unwrap()
        .click();
    settle(&mut window);
    let file = window.state().front().unwrap();
    let (asked, figure) = file.explained.as_ref().unwrap();
    assert_eq!(asked.wire, 0);
    assert!((figure.value - minutes(&window, 0)).abs() < 1e-9);
    assert!(window.query_by_label("close the panel").is_some());
}

#[test]
fn the_palette_runs_a_command_by_name() {
    let mut window = window();
    window.key_press_modifiers(Modifiers::COMMAND, Key::K);
    settle(&mut window);
    window.event(egui::Event::Text("inch".to_owned()));
    window.run();
    window.key_press(Key::Enter);
    settle(&mut window);
    assert_eq!(window.state().system(), System::Inch);
    assert!(window.query_by_label("Command").is_none());
}

#[test]
fn wires_come_and_go() {
    let mut window = window();
    let count = |w: &Window| w.state().front().unwrap().job.candidates.len();
    let before = count(&window);
    let last = {
        let job = &window.state().front().unwrap().job;
        Style::default().candidate(&job.candidates[before - 1])
    };
    window.get_by_label(&format!("remove {last}")).click();
    settle(&mut window);
    assert_eq!(count(&window), before - 1);
    window
        .get_by_role_and_label(Role::ComboBox, "Add a wire")
        .click();
    settle(&mut window);
    window.get_by_label("add half-hard plain brass").click();
    settle(&mut window);
    assert_eq!(count(&window), before);
}

#[test]
fn every_sample_opens_and_every_panel_shows() {
    let mut window = window();
    for sample in &samples::ALL[1..] {
        drop_on(&mut window, sample.name, sample.bytes);
        for key in [Key::Y, Key::S, Key::E, Key::L, Key::N, Key::R, Key::H] {
            window.key_press(key);
            settle(&mut window);
        }
    }
    assert_eq!(window.state().open_count(), samples::ALL.len());
}

#[test]
fn another_unit_scales_the_drawing_and_keeps_the_job() {
    let mut window = window();
    let length = |w: &Window| {
        let file = w.state().front().unwrap();
        file.profile.contours()[0].drawn_length.mm()
    };
    type_into(&mut window, "Thickness", "30");
    let before = length(&window);
    window.key_press(Key::N);
    settle(&mut window);
    // It lies below the findings.
    window
        .get_by_role_and_label(Role::ComboBox, "Unit of the drawing")
        .scroll_to_me();
    settle(&mut window);
    window
        .get_by_role_and_label(Role::ComboBox, "Unit of the drawing")
        .click();
    settle(&mut window);
    window.get_by_role_and_label(Role::Button, "in").click();
    settle(&mut window);
    assert!((length(&window) / before - 25.4).abs() < 1e-6);
    assert_eq!(thickness(&window), 30.0);
    assert_eq!(window.state().open_count(), 1);
}

#[test]
fn nothing_repaints_by_itself() {
    let mut window = window();
    window.run();
    window.step();
    let delay = window
        .output()
        .viewport_output
        .values()
        .map(|v| v.repaint_delay)
        .min();
    assert!(
        delay.is_none_or(|d| d > Duration::from_secs(1)),
        "{delay:?}"
    );
}

/// A place on the time band, by its share of the whole time.
fn on_band(window: &Window, share: f32) -> egui::Pos2 {
    let r = window.get_by_role_and_label(Role::Slider, "Time").rect();
    egui::pos2(r.left() + r.width() * share, r.center().y)
}

fn click_at(window: &mut Window, at: egui::Pos2) {
    window.hover_at(at);
    window.run();
    window.drag_at(at);
    window.run();
    window.drop_at(at);
    settle(window);
}

fn drag(window: &mut Window, from: egui::Pos2, to: egui::Pos2) {
    window.hover_at(from);
    window.run();
    window.drag_at(from);
    window.run();
    let middle = from + 0.5 * (to - from);
    for at in [middle, to, to] {
        window.hover_at(at);
        window.run();
    }
    window.drop_at(to);
    settle(window);
}

fn share_shown(window: &Window) -> Option<f64> {
    window.state().front().unwrap().clock.share()
}

#[test]
fn the_slider_moves_to_a_moment_and_names_its_pass() {
    let mut window = window();
    assert_eq!(share_shown(&window), None);
    for asked in [0.1_f32, 0.9, 0.97] {
        let at = on_band(&window, asked);
        click_at(&mut window, at);
        let share = share_shown(&window).unwrap();
        assert!((share - f64::from(asked)).abs() < 0.01, "{share}");
        let name = {
            // The step that runs, by the estimate's own list.
            let file = window.state().front().unwrap();
            let figures = file.estimate(file.shown).unwrap().figures.as_ref().unwrap();
            let total: f64 = figures.steps.iter().map(|s| s.minutes.min_value()).sum();
            let mut gone = 0.0;
            let running = figures.steps.iter().find(|s| {
                gone += s.minutes.min_value();
                gone > share * total
            });
            let s = running.unwrap();
            let role = if s.contour == Some(0) {
                "outline"
            } else {
                "opening"
            };
            format!("{}, {role} {}", s.words(), s.contour.unwrap() + 1)
        };
        assert!(window.query_by_label(&name).is_some(), "{name} at {asked}");
    }
    window.key_press(Key::W);
    settle(&mut window);
    assert_eq!(share_shown(&window), None);
}

#[test]
fn the_band_answers_to_keys() {
    let mut window = window();
    let at = on_band(&window, 0.5);
    click_at(&mut window, at);
    let before = share_shown(&window).unwrap();
    window.key_press(Key::ArrowRight);
    settle(&mut window);
    let after = share_shown(&window).unwrap();
    assert!(after > before && after < before + 0.05, "{before} {after}");
    window.key_press(Key::Home);
    settle(&mut window);
    assert_eq!(share_shown(&window), Some(0.0));
    // From step to step.
    window.key_press_modifiers(Modifiers::SHIFT, Key::ArrowRight);
    settle(&mut window);
    let file = window.state().front().unwrap();
    let timing = file.timing().unwrap();
    assert_eq!(timing.moment(file.clock.share().unwrap()).unwrap().step, 1);
    window.key_press(Key::Space);
    window.step();
    assert!(window.state().front().unwrap().clock.is_playing());
    window.key_press(Key::Space);
    settle(&mut window);
    assert!(!window.state().front().unwrap().clock.is_playing());
}

#[test]
fn play_advances_and_a_pause_stops_repainting() {
    let mut window = window();
    window.get_by_role_and_label(Role::Button, "Play").click();
    window.run_steps(8);
    let first = share_shown(&window).unwrap();
    window.run_steps(8);
    let second = share_shown(&window).unwrap();
    assert!(first > 0.0 && second > first, "{first} {second}");
    let soon = |w: &Window| {
        let views = w.output().viewport_output.values();
        views.map(|v| v.repaint_delay).min().unwrap()
    };
    assert_eq!(soon(&window), Duration::ZERO);
    window.get_by_role_and_label(Role::Button, "Pause").click();
    settle(&mut window);
    window.step();
    let paused = share_shown(&window).unwrap();
    assert!(soon(&window) > Duration::from_secs(1));
    window.run_steps(4);
    assert_eq!(share_shown(&window), Some(paused));
}

#[test]
fn another_order_changes_the_time() {
    let mut window = window();
    let before = minutes(&window, 0);
    window
        .get_by_role_and_label(Role::ComboBox, "Order of cutting")
        .click();
    settle(&mut window);
    window
        .get_all_by_label_contains("every contour roughed before the first skim")
        .next()
        .unwrap()
        .click();
    settle(&mut window);
    let job = &window.state().front().unwrap().job;
    assert_eq!(job.order, CuttingOrder::RoughsFirst);
    // Every contour is threaded again for its skims and its cut-off.
    assert!(minutes(&window, 0) > before);
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut window);
    assert_eq!(minutes(&window, 0), before);
}

/// Where the start hole of a contour is seen.
fn hole_seen(window: &Window, contour: usize) -> egui::Pos2 {
    let rect = window.get_by_label("Drawing").rect();
    let file = window.state().front().unwrap();
    let figures = file.estimate(file.shown).unwrap().figures.as_ref().unwrap();
    let start = figures.starts.iter().find(|s| s.contour == contour);
    let at = near(start.unwrap().start.hole, file.model.centre);
    file.camera.placement.unwrap().to_screen(rect, at)
}

fn own_hole(window: &Window, contour: usize) -> Option<Point> {
    let file = window.state().front().unwrap();
    let key = contour_key(&file.profile.contours()[contour]);
    file.job.choice(key).hole
}

#[test]
fn a_start_hole_moved_by_hand_survives_undo_and_redo() {
    let mut window = window();
    let before = hole_seen(&window, 1);
    // Of a contour that is not selected it is no grip: the drag moves the view.
    drag(&mut window, before, before + egui::vec2(30.0, -20.0));
    assert_eq!(own_hole(&window, 1), None);
    assert!((hole_seen(&window, 1) - before - egui::vec2(30.0, -20.0)).length() < 8.0);
    open_list(&mut window);
    window
        .get_by_role_and_label(Role::Button, "opening 2")
        .click();
    window.key_press(Key::C);
    window.key_press(Key::F);
    settle(&mut window);
    let before = hole_seen(&window, 1);
    drag(&mut window, before, before + egui::vec2(-20.0, 0.0));
    let placed = own_hole(&window, 1).unwrap();
    assert!((hole_seen(&window, 1) - before - egui::vec2(-20.0, 0.0)).length() < 1.0);
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut window);
    assert_eq!(own_hole(&window, 1), None);
    assert!((hole_seen(&window, 1) - before).length() < 1e-3);
    window.key_press_modifiers(Modifiers::COMMAND.plus(Modifiers::SHIFT), Key::Z);
    settle(&mut window);
    assert_eq!(own_hole(&window, 1), Some(placed));
    // Into the part itself it cannot go, and the view has not been dragged along.
    let now = hole_seen(&window, 1);
    let inside_the_part = now + egui::vec2(0.0, 70.0);
    drag(&mut window, now, inside_the_part);
    assert_eq!(own_hole(&window, 1), Some(placed));
    assert!(window.state().message().unwrap().contains("start hole"));
    assert!((hole_seen(&window, 1) - now).length() < 30.0);
}

#[test]
fn fewer_passes_on_one_contour_take_less_time() {
    let mut window = window();
    open_list(&mut window);
    let before = minutes(&window, 0);
    window
        .get_by_role_and_label(Role::Button, "opening 2")
        .click();
    settle(&mut window);
    window.key_press(Key::E);
    settle(&mut window);
    window
        .get_by_role_and_label(Role::ComboBox, "Passes of the contour")
        .click();
    settle(&mut window);
    window
        .get_by_role_and_label(Role::Button, "rough only")
        .click();
    settle(&mut window);
    assert!(minutes(&window, 0) < before);
    // The page says so in words.
    assert!(
        window
            .query_by_label_contains("apart from the job: rough only")
            .is_some()
    );
    window.get_by_label("As the job").click();
    settle(&mut window);
    assert_eq!(minutes(&window, 0), before);
}

#[test]
fn limits_are_tried_when_asked_for() {
    let mut window = window();
    assert!(window.state().front().unwrap().limits.of(0).is_none());
    window.key_press(Key::G);
    settle(&mut window);
    let file = window.state().front().unwrap();
    let limits = file.limits.of(0).unwrap();
    assert_eq!(limits.wires.len(), file.job.candidates.len());
    // A thinner wire of the same kind leaves a smaller radius.
    let left = |i: usize| limits.wires[i].radius_left.unwrap();
    assert!(left(5) < left(0));
}

#[test]
fn the_cleaned_drawing_is_in_the_menu_and_read_back_has_the_same_contours() {
    let mut window = window();
    window.get_by_label("Menu").click();
    settle(&mut window);
    window.get_by_label("Export").click();
    settle(&mut window);
    assert!(window.query_by_label_contains("Cleaned drawing…").is_some());
    assert!(
        window
            .query_by_label_contains("Cleaned drawing with wire paths…")
            .is_some()
    );
    let app = window.state();
    let before = app.front().expect("a drawing").profile.contours().len();
    let contours = |with_paths| {
        let bytes = app
            .exported(with_paths)
            .expect("an estimate")
            .expect("written");
        let options = kerfcast::drawing::ReadOptions::default();
        let progress = kerfcast::drawing::Progress::default();
        let back = kerfcast::drawing::read(&bytes, &options, &progress).expect("it reads");
        back.profile.contours().len()
    };
    assert_eq!(contours(false), before);
    assert!(contours(true) > before);
}

#[test]
fn letters_typed_into_an_open_list_search_it_and_do_nothing_else() {
    let mut window = window();
    window
        .get_by_role_and_label(Role::ComboBox, "Material")
        .click();
    settle(&mut window);
    let material = |w: &Window| w.state().front().unwrap().job.material.clone();
    let before = material(&window);
    // H shades the feed and N opens the findings where no list is open.
    for (letter, key) in [("h", Key::H), ("1", Key::Num1), ("n", Key::N)] {
        window.key_press(key);
        window.event(egui::Event::Text(letter.to_owned()));
        settle(&mut window);
    }
    assert!(window.query_by_label("close the panel").is_none());
    assert!(window.query_by_label("nothing is called “h1n”").is_some());
    for _ in 0..3 {
        window.key_press(Key::Backspace);
    }
    window.event(egui::Event::Text("aluminium".to_owned()));
    settle(&mut window);
    assert_eq!(material(&window), before);
    window.key_press(Key::Enter);
    settle(&mut window);
    assert!(
        material(&window).to_lowercase().contains("alumin"),
        "{}",
        material(&window)
    );
    // The list is closed, and keys act again.
    window.key_press(Key::N);
    settle(&mut window);
    assert!(window.query_by_label("close the panel").is_some());
}

#[test]
fn arrows_choose_in_a_list() {
    let mut window = window();
    let chosen = |w: &Window| w.state().front().unwrap().job.material.clone();
    let names: Vec<String> = {
        let library = kerfcast::library::Library::built_in();
        library.materials.iter().map(|m| m.name.clone()).collect()
    };
    let place = names.iter().position(|n| *n == chosen(&window)).unwrap();
    window
        .get_by_role_and_label(Role::ComboBox, "Material")
        .click();
    settle(&mut window);
    window.key_press(Key::ArrowDown);
    settle(&mut window);
    window.key_press(Key::ArrowDown);
    settle(&mut window);
    window.key_press(Key::ArrowUp);
    settle(&mut window);
    window.key_press(Key::Enter);
    settle(&mut window);
    assert_eq!(chosen(&window), names[place + 1]);
}

#[test]
fn undo_says_what_it_takes_back_and_ctrl_y_makes_it_again() {
    let mut window = window();
    type_into(&mut window, "Thickness", "80");
    window.get_by_label("Menu").click();
    settle(&mut window);
    assert!(
        window
            .query_by_label_contains("Undo: thickness 80\u{202f}mm")
            .is_some()
    );
    window.key_press(Key::Escape);
    settle(&mut window);
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut window);
    assert_eq!(thickness(&window), 40.0);
    window.key_press_modifiers(Modifiers::COMMAND, Key::Y);
    settle(&mut window);
    assert_eq!(thickness(&window), 80.0);
}

#[test]
fn a_closed_drawing_comes_back_with_its_job() {
    let mut window = window();
    type_into(&mut window, "Thickness", "80");
    window.key_press_modifiers(Modifiers::COMMAND, Key::W);
    settle(&mut window);
    assert_eq!(window.state().open_count(), 0);
    // Without a drawing the window says what to do.
    assert!(window.query_by_label("Drop a DXF drawing here").is_some());
    assert!(window.query_by_label(samples::ALL[1].title).is_some());
    window.key_press_modifiers(Modifiers::COMMAND.plus(Modifiers::SHIFT), Key::T);
    settle(&mut window);
    assert_eq!(thickness(&window), 80.0);
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut window);
    assert_eq!(thickness(&window), 40.0);
}

/// With nothing open, and with an enquiry of which nothing is: the guide comes, and goes.
#[test]
fn the_guide_needs_no_drawing() {
    let folder = tempfile::tempdir().unwrap();
    let mut window = harness::window_in(folder.path(), Vec::new());
    // The sample that a window begins with.
    window.key_press_modifiers(Modifiers::COMMAND, Key::W);
    settle(&mut window);
    for has_items in [false, true] {
        if has_items {
            for sample in samples::ALL {
                harness::drop_without_waiting(&mut window, sample.name, sample.bytes);
            }
            settle(&mut window);
        }
        assert_eq!(window.state().open_count(), 0);
        window.key_press(Key::F1);
        settle(&mut window);
        assert!(window.query_by_label("What it is for").is_some());
        let below = if has_items {
            "choose all"
        } else {
            "Drop a DXF drawing here"
        };
        assert!(window.query_by_label(below).is_some(), "{below}");
        window.key_press(Key::Escape);
        settle(&mut window);
        assert!(window.query_by_label("What it is for").is_none());
    }
}

#[test]
fn each_of_several_files_that_fail_is_told() {
    let mut window = window();
    for name in ["first.dxf", "second.dxf"] {
        harness::drop_without_waiting(&mut window, name, b"Dear Sir, the drawing follows.");
    }
    settle(&mut window);
    let message = window.state().message().unwrap();
    assert!(
        message.contains("first.dxf") && message.contains("second.dxf"),
        "{message}"
    );
}

#[test]
fn the_first_hints_go_one_by_one() {
    let mut window = window();
    for _ in 0..4 {
        window.get_by_label("hint read").click();
        settle(&mut window);
    }
    assert!(window.query_by_label("hint read").is_none());
}

#[test]
fn who_dropped_a_drawing_is_not_told_how_to() {
    let mut window = window();
    let told = |w: &Window| w.query_by_label_contains("Drop a DXF").is_some();
    assert!(told(&window));
    let wheel = &samples::ALL[2];
    drop_on(&mut window, "our own wheel.dxf", wheel.bytes);
    assert!(!told(&window));
    assert!(
        window
            .query_by_label_contains("Whatever is amber")
            .is_some()
    );
}

#[test]
fn the_list_of_steps_reaches_to_the_foot_of_its_page() {
    let mut window = window_of([1280.0, 800.0]);
    window.key_press(Key::S);
    settle(&mut window);
    let steps = window.get_all_by_label_contains("step ");
    let lowest = steps.map(|n| n.rect().bottom()).fold(0.0, f32::max);
    assert!(lowest > 780.0, "{lowest}");
}

#[test]
fn the_answer_says_what_comes_out_otherwise_than_drawn_and_does_not_call_it_safe() {
    let mut window = window_of([1280.0, 800.0]);
    // Eight splines with two roots of 0.1 mm each.
    let bore = &samples::ALL[3];
    drop_on(&mut window, bore.name, bore.bytes);
    let told = window.get_by_label_contains("Not as drawn: an inside radius of 0.1 mm");
    let label = told.accesskit_node().label().unwrap_or_default();
    assert!(label.ends_with("in 16 places."), "{label}");
    assert!(window.query_by_label("Safe to quote.").is_none());
    told.click();
    settle(&mut window);
    assert!(window.query_by_label("close the panel").is_some());
    // A thinner wire makes them all.
    window
        .get_by_label_contains("fastest and cheapest is hard plain brass Ø\u{202f}0.20")
        .click();
    settle(&mut window);
    assert!(window.query_by_label_contains("Not as drawn: ").is_none());
    assert!(window.query_by_label("Safe to quote.").is_some());
}

#[test]
fn the_sheet_of_keys_names_every_command_that_has_one() {
    let mut window = window_of([1280.0, 800.0]);
    window.key_press(Key::Questionmark);
    settle(&mut window);
    let close = window.get_by_label("Close").rect();
    for command in kerfcast::gui::commands::Command::all() {
        if command.shortcut().is_some() {
            let all = window.query_all_by_label(command.text());
            // On the sheet, above its button: nothing has to be scrolled.
            let on_sheet = |n: &egui_kittest::Node<'_>| n.rect().bottom() <= close.top() + 1.0;
            assert!(all.into_iter().any(|n| on_sheet(&n)), "{command:?}");
        }
    }
    window.key_press(Key::Escape);
    settle(&mut window);
    assert!(window.query_by_label("Close").is_none());
}

#[test]
fn the_band_of_the_time_leaves_out_nothing_that_can_be_seen_and_its_shares_are_the_whole() {
    let window = window_of([1280.0, 800.0]);
    let file = window.state().front().expect("the sample");
    let timing = file.timing().expect("its course");
    // A point of the widest band that screens hold.
    let is_seen = |minutes| timing.share_of(minutes) >= 1.0 / 4096.0;
    for (k, step) in timing.steps.iter().enumerate() {
        if is_seen(step.minutes) {
            assert!(timing.seen.steps.contains(&k), "step {k}");
            let visits = &timing.seen.visits;
            assert!(visits.iter().any(|v| v.contains(&k)), "step {k}");
        }
    }
    let attended = || timing.steps.iter().filter(|s| s.attended);
    let seen = &timing.seen.attended;
    assert!(attended().count() > 0 && !seen.is_empty());
    assert!(seen.iter().all(|k| timing.steps[*k].attended));
    // Steps are all that the time is made of, and shares are all of every step.
    let answer = file.answer.as_ref().expect("estimated");
    for (e, shares) in answer.comparison.estimates.iter().zip(&answer.shares) {
        let Some(f) = &e.figures else { continue };
        let steps: f64 = f.steps.iter().map(|s| s.minutes.min_value()).sum();
        let sum: f64 = shares.iter().map(|m| m.min_value()).sum();
        assert!((sum - steps).abs() < 1e-9 * steps, "{sum} of {steps}");
    }
}
