//! Two drawings laid over each other, and quick variants of one, as a person finds them.

use egui::Key;
use egui_kittest::kittest::Queryable as _;
use kerfcast::gui::page::Page;
use kerfcast::job::Edit;
use kerfcast::profile::RevisedKind;
use kerfcast::units::Length;

use crate::harness;

use harness::{Window, drop_on, settle, type_into, window_of};

fn window() -> Window {
    window_of([1500.0, 1400.0])
}

/// A plate without symmetry with round openings, turned by an angle about the origin and moved, as a DXF drawing.
fn plate(holes: &[(f64, f64, f64)], degrees: f64, shift: (f64, f64)) -> Vec<u8> {
    let (sin, cos) = degrees.to_radians().sin_cos();
    let place = |(x, y): (f64, f64)| (cos * x - sin * y + shift.0, sin * x + cos * y + shift.1);
    let corners = [
        (0.0, 0.0),
        (60.0, 0.0),
        (60.0, 24.0),
        (24.0, 40.0),
        (0.0, 40.0),
    ];
    let mut out =
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n"
            .to_owned();
    for (k, from) in corners.iter().enumerate() {
        let ((a, b), (c, d)) = (place(*from), place(corners[(k + 1) % corners.len()]));
        out += &format!("0\nLINE\n8\n0\n10\n{a}\n20\n{b}\n11\n{c}\n21\n{d}\n");
    }
    for (x, y, r) in holes {
        let (x, y) = place((*x, *y));
        out += &format!("0\nCIRCLE\n8\n0\n10\n{x}\n20\n{y}\n40\n{r}\n");
    }
    (out + "0\nENDSEC\n0\nEOF\n").into_bytes()
}

const BEFORE: [(f64, f64, f64); 2] = [(8.0, 8.0, 3.0), (30.0, 12.0, 5.0)];
const AFTER: [(f64, f64, f64); 2] = [(8.0, 8.0, 3.5), (48.0, 12.0, 4.0)];

#[test]
fn a_revision_that_was_drawn_turned_lies_over_the_old_one_with_each_change_and_its_price() {
    let mut window = window();
    drop_on(&mut window, "plate-a.dxf", &plate(&BEFORE, 0.0, (0.0, 0.0)));
    drop_on(
        &mut window,
        "plate-b.dxf",
        &plate(&AFTER, 90.0, (300.0, 20.0)),
    );
    window.key_press(Key::D);
    settle(&mut window);
    let pair = window.state().pair().expect("two drawings are open");
    let laid = pair.laid.as_ref().expect("one lies over the other");
    assert!((laid.motion.degrees() - 90.0).abs() < 1e-6);
    assert!(
        (laid.motion.shift.x - 300.0).abs() < 1e-6 && (laid.motion.shift.y - 20.0).abs() < 1e-6
    );
    let kinds: Vec<_> = laid.revision.contours.iter().map(|c| c.kind).collect();
    assert_eq!(
        kinds,
        [
            RevisedKind::Same,
            RevisedKind::Changed,
            RevisedKind::Added,
            RevisedKind::Removed
        ]
    );
    assert_eq!(laid.ghost.marks.len(), 3);
    let prices = pair.prices.as_ref().expect("both can be cut");
    let (a, b) = pair.both.as_ref().expect("both can be cut");
    let whole = a.figures.minutes.median - b.figures.minutes.median;
    assert!((prices.whole.minutes - whole).min_value().abs() < 1e-9);
    // Read and chosen in the list.
    window.get_by_label_contains("turned by 90°");
    window.get_by_label_contains("contour 3 added: +");
    window.get_by_label_contains("contour 3 removed: −");
    window.get_by_label_contains("contour 2 changed").click();
    settle(&mut window);
    let selected = window.state().front().expect("open").selected;
    assert_eq!(selected, Some(kerfcast::gui::open_file::Target::Contour(1)));
}

/// The page of variants beside square openings, so that there are corners to round.
fn beside_corners_to_round() -> Window {
    let mut window = window();
    let sample = kerfcast::samples::ALL
        .iter()
        .find(|s| s.name.starts_with("splined"));
    let sample = sample.expect("it is there");
    drop_on(&mut window, sample.name, sample.bytes);
    window.key_press(Key::Num2);
    settle(&mut window);
    window
}

#[test]
fn quick_variants_stand_beside_the_drawing_with_their_differences_and_undo_takes_them_back() {
    let mut window = beside_corners_to_round();
    let before = window.state().front().expect("open").job.clone();
    window.get_by_label("+ larger inside radii").click();
    settle(&mut window);
    let file = window.state().front().expect("open");
    let Some(Edit::InsideRadii(r)) = file.job.variants[0].edits.first().copied() else {
        panic!("radii were asked for");
    };
    // What the wire shown leaves, rounded up to a twentieth: more than half its diameter.
    assert!(r.mm() > 0.5 * file.job.candidates[file.shown].diameter.mm());
    let done = file.variant_shown().expect("it is shown at once");
    assert!(done.of.made.rounded > 0);
    assert!(done.ghost.marks.len() == 1);
    let e = &done.of.comparison.estimates[file.shown];
    assert!(!e.leaves_a_radius(), "as large as the wire leaves");
    assert!(file.shown_estimate().expect("estimated").leaves_a_radius());
    window.get_by_label_contains("inside corners rounded");
    // Another value, in place.
    type_into(&mut window, "Inside radius of variant 1", "0.4");
    let file = window.state().front().expect("open");
    let edit = file.job.variants[0].edits[0];
    assert_eq!(edit, Edit::InsideRadii(Length::from_mm(0.4)));
    // One that cannot be made is told and changes nothing.
    type_into(&mut window, "Inside radius of variant 1", "500");
    assert!(
        window
            .state()
            .message()
            .expect("told")
            .contains("inside radius between")
    );
    // More of them, each with its figures.
    window.get_by_label("+ mirrored").click();
    settle(&mut window);
    window.get_by_label("+ another thickness").click();
    settle(&mut window);
    let file = window.state().front().expect("open");
    let all = file.variants.of(0).expect("estimated");
    assert_eq!(all.len(), 3);
    let share = |k: usize| {
        all[k].of.wires[file.shown]
            .as_ref()
            .expect("cut")
            .difference
            .minutes
            .share
    };
    assert!(share(1).abs() < 1e-3, "the other hand takes as long");
    assert!(share(2) < -0.1, "half as thick is faster");
    // The job itself is as it was, but for its variants.
    let mut job = file.job.clone();
    job.variants.clear();
    assert_eq!(job, before);
    window.key_press_modifiers(egui::Modifiers::COMMAND, Key::Z);
    settle(&mut window);
    assert_eq!(window.state().front().expect("open").job.variants.len(), 2);
    window
        .get_by_label_contains("take away inside radii")
        .click();
    settle(&mut window);
    let file = window.state().front().expect("open");
    assert_eq!(file.job.variants.len(), 1);
    assert_eq!(file.job.variants[0].edits, [Edit::Mirror]);
}

#[test]
fn a_variant_has_a_name_of_its_own_and_as_many_changes_as_one_likes() {
    let mut window = beside_corners_to_round();
    window.get_by_label("+ larger inside radii").click();
    settle(&mut window);
    let minutes = |window: &Window, k: usize| {
        let file = window.state().front().expect("open");
        let all = file.variants.of(0).expect("estimated");
        let figures = all[k].of.comparison.estimates[file.shown].figures.as_ref();
        figures.expect("it can be cut").minutes.median.min_value()
    };
    let rounded = minutes(&window, 0);
    // Another thickness in the same variant.
    window.get_by_label("Add to it ▾").click();
    window.run();
    window.get_by_label("another thickness").click();
    settle(&mut window);
    let variant = |window: &Window, k: usize| {
        let file = window.state().front().expect("open");
        file.job.variants[k].clone()
    };
    assert!(matches!(
        variant(&window, 0).edits[..],
        [Edit::InsideRadii(_), Edit::Thickness(_)]
    ));
    let file = window.state().front().expect("open");
    let done = file.variant_shown().expect("it is shown");
    assert!(done.of.made.rounded > 0 && !done.ghost.marks.is_empty());
    assert_eq!(
        done.of.made.job.thickness.mm(),
        0.5 * file.job.thickness.mm()
    );
    assert!(minutes(&window, 0) < 0.9 * rounded, "half as thick, too");
    // A name in place; undo takes it back and says so.
    type_into(&mut window, "Name of variant 1", "  thin and round ");
    assert_eq!(variant(&window, 0).name, "thin and round");
    window.get_by_label_contains("thin and round: ");
    window.key_press_modifiers(egui::Modifiers::COMMAND, Key::Z);
    settle(&mut window);
    assert_eq!(variant(&window, 0).name, "");
    window.key_press_modifiers(egui::Modifiers::COMMAND, Key::Y);
    settle(&mut window);
    assert_eq!(variant(&window, 0).name, "thin and round");
    // Once more, without its name, and with one change less.
    window.get_by_label("Duplicate").click();
    settle(&mut window);
    assert_eq!(variant(&window, 1).edits, variant(&window, 0).edits);
    assert_eq!(variant(&window, 1).name, "");
    window.get_by_label_contains("take inside radii ≥").click();
    settle(&mut window);
    assert!(matches!(
        variant(&window, 1).edits[..],
        [Edit::Thickness(_)]
    ));
    assert!(matches!(
        variant(&window, 0).edits[..],
        [Edit::InsideRadii(_), Edit::Thickness(_)]
    ));
    // Both stand in one table, each under its name.
    assert!((minutes(&window, 1) - minutes(&window, 0)).abs() > 1e-6);
    let radio = egui::accesskit::Role::RadioButton;
    window
        .get_by_role_and_label(radio, "thin and round")
        .click();
    settle(&mut window);
    assert_eq!(window.state().front().expect("open").variant, Some(0));
}

/// The plate with some open lines in it, of one length each.
fn with_lines(holes: &[(f64, f64, f64)], lines: &[(f64, f64)], length: f64) -> Vec<u8> {
    let drawn = String::from_utf8(plate(holes, 0.0, (0.0, 0.0))).expect("it is text");
    let mut more = String::new();
    for (x, y) in lines {
        let to = x + length;
        more += &format!("0\nLINE\n8\n0\n10\n{x}\n20\n{y}\n11\n{to}\n21\n{y}\n");
    }
    let end = "0\nENDSEC\n0\nEOF\n";
    drawn.replace(end, &(more + end)).into_bytes()
}

#[test]
fn open_curves_that_came_or_went_are_told_and_marked() {
    let mut window = window();
    let before = with_lines(&BEFORE, &[(40.0, 4.0)], 6.0);
    let after = with_lines(&BEFORE, &[(4.0, 30.0)], 9.0);
    drop_on(&mut window, "plate-a.dxf", &before);
    drop_on(&mut window, "plate-b.dxf", &after);
    window.key_press(Key::D);
    settle(&mut window);
    let pair = window.state().pair().expect("two drawings are open");
    let laid = pair.laid.as_ref().expect("one lies over the other");
    let differing: Vec<_> = laid.revision.differing().map(|(_, c)| c).collect();
    assert!(differing.iter().all(|c| c.open));
    assert_eq!(laid.ghost.marks.len(), 2);
    window.get_by_label_contains("1 open curve added, 1 open curve removed");
    window.get_by_label_contains("open curve 1 removed: –, –");
    window
        .get_by_label_contains("open curve 1 added: –, –")
        .click();
    settle(&mut window);
    let selected = window.state().front().expect("open").selected;
    assert_eq!(selected, Some(kerfcast::gui::open_file::Target::Open(0)));
}

#[test]
fn laying_one_drawing_over_the_other_can_be_stopped_and_begun_again() {
    let mut window = window();
    // Many lines of one length, everywhere else in the other drawing: each may have moved to where any other lies.
    let mut state = 5_u64;
    let mut random = move || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    let mut lines = || -> Vec<(f64, f64)> {
        (0..1500)
            .map(|_| (70.0 + 400.0 * random(), 400.0 * random()))
            .collect()
    };
    let (before, after) = (lines(), lines());
    drop_on(
        &mut window,
        "plate-a.dxf",
        &with_lines(&BEFORE, &before, 1.0),
    );
    drop_on(
        &mut window,
        "plate-b.dxf",
        &with_lines(&BEFORE, &after, 1.0),
    );
    window.key_press(Key::D);
    let stop = "stop laying one over the other";
    let end = std::time::Instant::now() + harness::LONGEST;
    while window.query_by_label(stop).is_none() {
        assert!(std::time::Instant::now() < end, "no bar is shown");
        std::thread::sleep(std::time::Duration::from_millis(50));
        window.run_steps(1);
    }
    window.get_by_label(stop).click();
    window.run_steps(2);
    settle(&mut window);
    let pair = window.state().pair().expect("two drawings are open");
    assert!(pair.laid.is_none());
    window.get_by_label_contains("that was stopped");
    window.get_by_label("Lay it over").click();
    window.run_steps(2);
    window.get_by_label_contains("Laying one over the other");
    assert!(window.query_by_label_contains("that was stopped").is_none());
}

#[test]
fn the_selected_contour_left_out_is_a_variant_and_can_become_the_job() {
    let mut window = window();
    window.key_press(Key::Num2);
    settle(&mut window);
    window.get_by_label_contains("Select a contour");
    window.key_press(Key::C);
    settle(&mut window);
    let opening = window
        .state()
        .front()
        .expect("open")
        .profile
        .contours()
        .len()
        - 1;
    let name = format!("without contour {}", opening + 1);
    // As a click on it in the drawing or the list does.
    window
        .get_by_label(&format!("opening {}", opening + 1))
        .click();
    settle(&mut window);
    window.get_by_label(&format!("+ {name}")).click();
    settle(&mut window);
    window.get_by_label_contains("removed: −");
    window.get_by_label("Make it the job").click();
    settle(&mut window);
    let file = window.state().front().expect("open");
    assert_eq!(file.job.left_out.len(), 1);
    assert!(!file.job.cuts(&file.profile.contours()[opening]));
    assert_eq!(Page::Variants.about().0, "Variants");
}

#[test]
fn a_drawing_that_changes_on_disk_is_told_and_laid_under_the_one_from_before() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("plate.dxf");
    std::fs::write(&path, plate(&BEFORE, 0.0, (0.0, 0.0))).expect("written");
    let start = kerfcast::gui::Start {
        theme: Some(egui::Theme::Dark),
        forget: true,
        files: vec![path.clone()],
        ..kerfcast::gui::Start::default()
    };
    let mut window: Window = egui_kittest::Harness::builder()
        .with_size([1500.0, 1400.0])
        .with_max_steps(60)
        .build_eframe(move |cc| kerfcast::gui::App::new(cc, start));
    settle(&mut window);
    let job = window.state().front().expect("open").job.clone();
    std::fs::write(&path, plate(&AFTER, 0.0, (0.0, 0.0))).expect("written again");
    // The system says so when it likes.
    let end = std::time::Instant::now() + harness::LONGEST;
    while window
        .state()
        .message()
        .is_none_or(|m| !m.contains("has changed on disk"))
    {
        assert!(std::time::Instant::now() < end, "nothing was told");
        std::thread::sleep(std::time::Duration::from_millis(20));
        window.run();
    }
    window.get_by_label("Compare with its file").click();
    settle(&mut window);
    let app = window.state();
    assert_eq!(app.open_count(), 2);
    let front = app.front().expect("open");
    assert_eq!(
        (front.name.as_str(), front.path.as_ref()),
        ("plate.dxf", Some(&path))
    );
    assert_eq!(front.job, job);
    let pair = app.pair().expect("the two are held against each other");
    let (now, before) = pair.both.as_ref().expect("both can be cut");
    assert_eq!(
        (now.name.as_str(), before.name.as_str()),
        ("plate.dxf", "plate.dxf, before")
    );
    let laid = pair.laid.as_ref().expect("one lies over the other");
    assert_eq!(laid.revision.differing().count(), 3);
    // Read again and nothing else: the drawing is the new one in its place.
    window.key_press(Key::F5);
    settle(&mut window);
    assert_eq!(window.state().open_count(), 2);
}
