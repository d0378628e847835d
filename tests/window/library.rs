//! The shop's own library in the window: changed, checked, taken back, taken over from a file, and kept between starts.

use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use kerfcast::gui::sweeps::Vary;
use kerfcast::gui::{App, Start};
use kerfcast::library::{Library, LibraryTable, UserLibrary};
use kerfcast::standing::Standing;
use std::fs;
use std::path::Path;

use crate::harness;

use harness::{Window, drop_on, settle, type_into, window_of};

const SIZE: [f32; 2] = [1500.0, 1700.0];

/// A window with the page of the library open.
fn library_window() -> Window {
    let mut window = window_of(SIZE);
    window.key_press(Key::B);
    settle(&mut window);
    window
}

/// A window whose files lie in a folder, as after a start.
fn start_in(folder: &Path) -> Window {
    start_with(Start {
        folder: Some(folder.to_owned()),
        ..Start::default()
    })
}

fn start_with(start: Start) -> Window {
    let start = Start {
        theme: Some(egui::Theme::Dark),
        forget: true,
        ..start
    };
    let mut window = Harness::builder()
        .with_size(SIZE)
        .with_max_steps(60)
        .build_eframe(move |cc| App::new(cc, start));
    settle(&mut window);
    window
}

fn click(window: &mut Window, name: &str) {
    let button = window.get_by_role_and_label(Role::Button, name);
    // Lists are longer than the window.
    button.scroll_to_me();
    window.run();
    window.get_by_role_and_label(Role::Button, name).click();
    settle(window);
}

/// Cost and time of a wire of the drawing in front.
fn cost_and_minutes(window: &Window, wire: usize) -> (f64, f64) {
    let file = window.state().front().unwrap();
    let figures = file.estimate(wire).unwrap().figures.as_ref().unwrap();
    (
        figures.cost.part.median.amount(),
        figures.minutes.median.min_value(),
    )
}

#[test]
fn a_dearer_wire_costs_more_at_once_and_undo_brings_the_price_back() {
    let mut window = library_window();
    let before = cost_and_minutes(&window, 0);
    let wire = |w: &Window| {
        let file = w.state().front().unwrap();
        let figures = file.estimate(0).unwrap().figures.as_ref().unwrap();
        (figures.wire_mass.kg(), figures.cost.wire.amount())
    };
    let (mass, paid) = wire(&window);
    click(&mut window, "Besides cutting");
    type_into(&mut window, "Plain brass wire", "21");
    let after = cost_and_minutes(&window, 0);
    // From 11 to 21 a kilogram: ten more for each kilogram, and not a minute more.
    let (same_mass, more) = wire(&window);
    assert_eq!(same_mass, mass);
    assert!(
        (more - paid - 10.0 * mass).abs() < 1e-9,
        "{paid} then {more}"
    );
    assert!(after.0 > before.0 && after.1 == before.1);
    let own = window.state().own_library();
    assert!(own.own().has(LibraryTable::Overheads, "wire_price"));
    // Undo by key is meant for the library while it was changed last.
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut window);
    assert_eq!(cost_and_minutes(&window, 0), before);
    assert_eq!(window.state().own_library().own().count(), 0);
    click(&mut window, "Redo");
    assert_eq!(cost_and_minutes(&window, 0), after);
    click(&mut window, "Plain brass wire, back to the built-in value");
    assert_eq!(cost_and_minutes(&window, 0), before);
}

#[test]
fn a_wrong_value_is_named_and_marked_and_never_put_in_force() {
    let mut window = library_window();
    let before = cost_and_minutes(&window, 0);
    let steel = "cold-work tool steel";
    click(&mut window, "cold-work tool steel, built-in");
    let field = "Speed in the rough, cold-work tool steel";
    for (typed, reason) in [
        ("105", "105 lies outside 0.01 to 20."),
        ("-1", "−1 lies outside 0.01 to 20."),
        ("quick", "“quick” is not a number"),
    ] {
        type_into(&mut window, field, typed);
        let wrong = window.state().own_library().wrong();
        assert_eq!(wrong.len(), 1, "{typed}");
        assert!(wrong[0].reason.contains(reason), "{}", wrong[0].reason);
        // What was typed stays in its cell, the cell is named, and the page says what is in force.
        let shown = window.get_by_role_and_label(Role::TextInput, field);
        assert_eq!(shown.value().as_deref(), Some(typed));
        let named = format!("{steel}, speed in the rough: ");
        assert!(window.query_by_label_contains(&named).is_some());
        assert!(
            window
                .query_by_label_contains("The library from before stays in force")
                .is_some()
        );
        assert_eq!(cost_and_minutes(&window, 0), before);
        assert_eq!(
            window.state().library().materials,
            Library::built_in().materials
        );
    }
    // A range that does not hold its number is wrong too, until the number is put right.
    type_into(&mut window, field, "1.1");
    assert!(window.state().own_library().wrong().is_empty());
    type_into(
        &mut window,
        "Speed in the rough from, cold-work tool steel",
        "1.2",
    );
    let wrong = window.state().own_library().wrong();
    assert!(
        wrong[0].reason.contains("does not hold"),
        "{}",
        wrong[0].reason
    );
    type_into(&mut window, field, "1.3");
    assert!(window.state().own_library().wrong().is_empty());
    let own = &window
        .state()
        .library()
        .material(steel)
        .unwrap()
        .relative_speed;
    assert_eq!(
        (own.value, own.low, own.standing),
        (1.3, Some(1.2), Standing::Yours)
    );
    // Faster material, shorter rough: the estimate has followed.
    assert!(cost_and_minutes(&window, 0).1 < before.1);
}

#[test]
fn an_entry_is_copied_chosen_in_the_sentence_explained_and_deleted() {
    let mut window = library_window();
    click(&mut window, "high-speed steel, built-in");
    click(&mut window, "Copy under another name…");
    type_into(&mut window, "Name of the new material", "our powder steel");
    let field = "Speed in the rough, our powder steel";
    type_into(&mut window, field, "0.5");
    window
        .get_by_role_and_label(Role::ComboBox, "Material")
        .click();
    settle(&mut window);
    click(&mut window, "our powder steel");
    assert_eq!(
        window.state().front().unwrap().job.material,
        "our powder steel"
    );
    // Twice as slow in the rough and, held to it, in the skims: clearly longer.
    window.key_press(Key::Y);
    settle(&mut window);
    let text = format!("{:?}", window.state().front().unwrap().explained);
    assert!(text.contains("your own library"), "the reasons name it");
    window.key_press(Key::B);
    settle(&mut window);
    // In use it cannot go; the drawing is named.
    click(&mut window, "Delete");
    let message = window.state().message().unwrap().to_owned();
    assert!(
        message.contains("our powder steel") && message.contains("uses the material"),
        "{message}"
    );
    assert!(
        window
            .state()
            .own_library()
            .own()
            .has(LibraryTable::Materials, "our powder steel")
    );
    window
        .get_by_role_and_label(Role::ComboBox, "Material")
        .click();
    settle(&mut window);
    click(&mut window, "cold-work tool steel");
    click(&mut window, "Delete");
    assert_eq!(window.state().message(), None);
    assert_eq!(*window.state().library(), *Library::built_in());
}

#[test]
fn deleting_a_copy_brings_the_built_in_entry_back() {
    let mut window = library_window();
    let before = cost_and_minutes(&window, 1);
    click(&mut window, "Wires");
    click(&mut window, "zinc-coated brass, built-in");
    click(&mut window, "Copy to change it");
    type_into(&mut window, "Price a kilogram, zinc-coated brass", "3");
    assert!(cost_and_minutes(&window, 1).0 > before.0);
    assert!(
        window
            .query_by_label("zinc-coated brass, your copy")
            .is_some()
    );
    click(&mut window, "Delete your copy");
    assert_eq!(cost_and_minutes(&window, 1), before);
    assert_eq!(*window.state().library(), *Library::built_in());
}

const FILE: &str = "kerfcast_library = 1\n\n[[wire]]\nname = \"our wire\"\ncopy_of = \"zinc-coated brass\"\nrelative_speed = 1.2\n\n[overheads]\nslug_removal = 6\n";

#[test]
fn a_file_is_taken_over_and_a_damaged_one_refused_with_its_line() {
    let mut window = library_window();
    let before = cost_and_minutes(&window, 0);
    drop_on(&mut window, "shop.toml", FILE.as_bytes());
    let message = window.state().message().unwrap().to_owned();
    assert!(message.contains("2 entries imported"), "{message}");
    let good = window.state().own_library().own().clone();
    let after = cost_and_minutes(&window, 0);
    assert!(after.1 > before.1, "slugs take longer");
    for (from, to, words) in [
        ("slug_removal = 6", "slug_removal = ", "Line 9"),
        (
            "relative_speed = 1.2",
            "relative_speed = 120",
            "Line 6: wire “our wire”, relative_speed: 120 lies outside",
        ),
        ("kerfcast_library = 1", "", "no library"),
    ] {
        drop_on(&mut window, "bad.toml", FILE.replace(from, to).as_bytes());
        let message = window.state().message().unwrap();
        assert!(
            message.contains("bad.toml was not imported") && message.contains(words),
            "{message}"
        );
        assert!(message.contains("stays in force"), "{message}");
        assert_eq!(*window.state().own_library().own(), good);
        assert_eq!(cost_and_minutes(&window, 0), after);
    }
    assert_eq!(
        window.state().open_count(),
        1,
        "no library is opened as a drawing"
    );
    click(&mut window, "Undo in the library");
    assert_eq!(cost_and_minutes(&window, 0), before);
}

#[test]
fn own_points_make_the_curve() {
    let mut window = library_window();
    let before = cost_and_minutes(&window, 0);
    click(&mut window, "Curve");
    click(&mut window, "Begin your own curve");
    let points = |w: &Window| {
        let own = w.state().own_library().own();
        own.thickness_curve.as_ref().map_or(0, |c| c.points().len())
    };
    assert_eq!(points(&window), 6);
    // The job's 40 mm lie between two points of the curve.
    let begun = cost_and_minutes(&window, 0);
    assert!(
        (begun.1 / before.1 - 1.0).abs() < 0.05,
        "{before:?} {begun:?}"
    );
    type_into(&mut window, "thickness of a new point", "40");
    type_into(&mut window, "rate of a new point", "73.2");
    click(&mut window, "Add the point");
    assert_eq!(points(&window), 7);
    // Half the built-in 146.3 mm²/min.
    assert!(cost_and_minutes(&window, 0).1 > 1.5 * before.1);
    type_into(&mut window, "rate of point 4", "0");
    assert!(
        window.state().own_library().wrong()[0]
            .reason
            .contains("outside")
    );
    click(&mut window, "take out point 4");
    assert!(window.state().own_library().wrong().is_empty());
    assert_eq!(points(&window), 6);
    click(&mut window, "Back to the built-in curve");
    assert_eq!(cost_and_minutes(&window, 0), before);
}

#[test]
fn what_was_changed_is_there_at_the_next_start() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("library.toml");
    let mut window = start_in(folder.path());
    assert!(
        !path.exists(),
        "nothing is written before anything is changed"
    );
    window.key_press(Key::B);
    settle(&mut window);
    click(&mut window, "Besides cutting");
    type_into(&mut window, "Machine rate", "72");
    // Saved right after the change, not at the end.
    let kept = UserLibrary::load(&path).unwrap();
    assert_eq!(kept.overheads["machine_rate"].value, 72.0);
    let cost = cost_and_minutes(&window, 0);
    drop(window);
    let next = start_in(folder.path());
    assert_eq!(cost_and_minutes(&next, 0), cost);
    assert_eq!(next.state().library().overheads.machine_rate.value, 72.0);
}

#[test]
fn a_library_that_is_named_at_the_start_is_the_one_in_force_and_kept() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("shop.toml");
    fs::write(&path, FILE).unwrap();
    let mut window = start_with(Start {
        folder: Some(folder.path().to_owned()),
        library: Some(path.clone()),
        ..Start::default()
    });
    assert_eq!(window.state().library().overheads.slug_removal.value, 6.0);
    assert!(window.state().library().wire("our wire").is_some());
    window.key_press(Key::B);
    settle(&mut window);
    click(&mut window, "Besides cutting");
    type_into(&mut window, "Taking a slug out", "5");
    let kept = UserLibrary::load(&path).unwrap();
    assert_eq!(
        (kept.overheads["slug_removal"].value, kept.count()),
        (5.0, 2)
    );
    assert!(!folder.path().join("library.toml").exists());
}

#[test]
fn a_damaged_kept_library_is_named_and_not_lost() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("library.toml");
    let damaged = FILE.replace("1.2", "120");
    fs::write(&path, &damaged).unwrap();
    let mut window = start_in(folder.path());
    let message = window.state().message().unwrap().to_owned();
    assert!(
        message.contains("Line 6") && message.contains("built-in library is in force"),
        "{message}"
    );
    window.key_press(Key::B);
    settle(&mut window);
    click(&mut window, "Besides cutting");
    type_into(&mut window, "Machine rate", "72");
    assert_eq!(UserLibrary::load(&path).unwrap().count(), 1);
    let aside = fs::read_to_string(folder.path().join("library (2).toml")).unwrap();
    assert_eq!(aside, damaged);
}

const CUTS: &str = "date,machine,material,wire,diameter_mm,thickness_mm,flushing,passes,cut_length_mm,cutting_minutes\n2024-03-01,left,cold-work tool steel,hard plain brass,0.25,40,close,4,512,300\n";

#[test]
fn finished_cuts_are_saved_at_once_and_read_at_the_next_start() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("finished-cuts.csv");
    let mut window = start_in(folder.path());
    drop_on(&mut window, "cuts.csv", CUTS.as_bytes());
    assert!(fs::read_to_string(&path).unwrap().contains("2024-03-01"));
    drop(window);
    let mut next = start_in(folder.path());
    assert_eq!(next.state().learning().cuts.len(), 1);
    next.key_press(Key::L);
    settle(&mut next);
    click(&mut next, "Undo in the table");
    // There is nothing to take back after a start; the cut stays.
    assert_eq!(next.state().learning().cuts.len(), 1);
    // A library that changes what is predicted changes what the cut teaches.
    let speed = |w: &Window| w.state().learning().fits[0].knowledge.clone();
    let before = speed(&next);
    drop_on(
        &mut next,
        "steel.toml",
        b"kerfcast_library = 1\n[[material]]\nname = \"cold-work tool steel\"\nrelative_speed = 0.8\n",
    );
    assert_ne!(speed(&next), before);
}

#[test]
fn the_library_in_inch_takes_and_shows_inch() {
    let mut window = library_window();
    window.key_press(Key::U);
    settle(&mut window);
    click(&mut window, "Besides cutting");
    // A tab of 3 mm is 0.1181 in; typed as 0.2 it is 5.08 mm.
    let tab = "Tab that holds the slug";
    let shown = window.get_by_role_and_label(Role::TextInput, tab).value();
    assert_eq!(shown.as_deref(), Some("0.11811"));
    type_into(&mut window, tab, "0.2");
    let value = window.state().library().overheads.tab.value;
    assert!((value - 5.08).abs() < 1e-9, "{value}");
    type_into(&mut window, tab, "100");
    let reason = &window.state().own_library().wrong()[0].reason;
    assert!(reason.contains("100 lies outside 0 to 39.37"), "{reason}");
}

#[test]
fn the_same_job_in_every_material_is_sorted_by_time() {
    let mut window = window_of(SIZE);
    window.key_press(Key::I);
    settle(&mut window);
    click(&mut window, "material");
    let file = window.state().front().unwrap();
    let run = window.state().sweeps().run(Vary::Material, file).unwrap();
    assert!(run.is_complete() && run.points.len() == window.state().library().materials.len());
    // The job's own material is one of the lines, with the figure of the estimate.
    let own = run.points[0].candidates[0]
        .unwrap()
        .minutes
        .median
        .min_value();
    assert_eq!(own, cost_and_minutes(&window, 0).1);
    let magnesium = window.get_by_label_contains("magnesium alloy, ").rect();
    let carbide = window.get_by_label_contains("tungsten carbide, ").rect();
    assert!(magnesium.top() < carbide.top(), "the quickest first");
}
