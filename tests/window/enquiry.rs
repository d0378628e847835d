//! The enquiry in the window: dropped, changed in its table, saved, opened again, brought back after a crash.

use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable as _;
use kerfcast::enquiry::{Enquiry, State};
use kerfcast::gui::desk::Known;
use kerfcast::samples;
use std::fs;
use std::path::{Path, PathBuf};

use crate::harness;

use harness::{Window, drop_without_waiting, settle, type_into, window_in};

fn press(window: &mut Window, name: &str) {
    window.get_by_role_and_label(Role::Button, name).click();
    settle(window);
}

/// All samples and a letter, at once.
fn drop_all(window: &mut Window) {
    for sample in samples::ALL {
        drop_without_waiting(window, sample.name, sample.bytes);
    }
    drop_without_waiting(window, "letter.dxf", b"Dear Sir");
    settle(window);
}

fn costs(window: &Window) -> Vec<Option<f64>> {
    let entries = window.state().desk().entries.iter();
    let cost =
        |e: &kerfcast::gui::desk::Entry| Some(e.row()?.best.as_ref()?.cost.part.median.amount());
    entries.map(cost).collect()
}

/// Saves by keys, and types where: no desktop is there to show a dialog.
fn save_as(window: &mut Window, path: &Path) {
    window.key_press_modifiers(Modifiers::COMMAND, Key::S);
    // The dialog answers on a thread of its own.
    for _ in 0..100 {
        settle(window);
        if window
            .query_by_role_and_label(Role::TextInput, "Save as")
            .is_some()
        {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
    type_into(window, "Save as", &path.display().to_string());
    settle(window);
}

#[test]
fn many_drawings_dropped_at_once_are_an_enquiry() {
    let folder = tempfile::tempdir().unwrap();
    let mut window = window_in(folder.path(), Vec::new());
    drop_all(&mut window);
    let desk = window.state().desk();
    assert_eq!(desk.entries.len(), samples::ALL.len() + 1);
    // The worst comes first, and stops no other.
    let first = &desk.entries[desk.order()[0]];
    assert!(
        matches!(&first.known, Known::Failed(_)),
        "{:?}",
        first.known
    );
    assert!(
        desk.entries[..samples::ALL.len()]
            .iter()
            .all(|e| e.row().is_some())
    );
    // Where its figures would stand, why there are none.
    assert!(
        window
            .query_by_label_contains("This is not a DXF drawing")
            .is_some()
    );
    let desk = window.state().desk();
    assert_eq!(
        desk.totals().without,
        1 + costs(&window)[..6].iter().filter(|c| c.is_none()).count()
    );
    // One row changed, then the same in all that are chosen.
    let before = costs(&window);
    type_into(&mut window, "parts, item 1", "8");
    assert_eq!(window.state().desk().entries[0].item.job.quantity, 8);
    assert!(
        costs(&window)[0] < before[0],
        "set-up is shared by more parts"
    );
    assert_eq!(costs(&window)[1], before[1]);
    window.get_by_label("choose all").click();
    settle(&mut window);
    type_into(&mut window, "thickness, item 2", "12.5");
    for entry in &window.state().desk().entries {
        assert!((entry.item.job.thickness.mm() - 12.5).abs() < 1e-12);
    }
    // What cannot be is refused with a reason, and nothing changes.
    type_into(&mut window, "parts, item 1", "none");
    assert!(window.state().message().unwrap().contains("1 000 000"));
    assert_eq!(window.state().desk().entries[0].item.job.quantity, 8);
}

#[test]
fn a_wide_window_says_beside_the_figures_what_is_to_be_looked_at_first() {
    let question = "Perhaps a title block";
    for (width, told) in [(1280.0, false), (1920.0, true)] {
        let mut window = harness::window_of([width, 800.0]);
        drop_all(&mut window);
        let all = window.query_all_by_label_contains(question).count();
        assert_eq!(all > 0, told, "{width}");
        let head = window.query_by_label("to look at first");
        assert_eq!(head.is_some(), told, "{width}");
    }
}

#[test]
fn an_item_is_opened_as_a_drawing_and_both_are_one() {
    let folder = tempfile::tempdir().unwrap();
    let mut window = window_in(folder.path(), Vec::new());
    drop_all(&mut window);
    press(&mut window, "open item 3");
    let front = window.state().front().unwrap();
    assert_eq!(front.name, samples::ALL[2].name);
    window
        .get_by_role_and_label(Role::TextInput, "Quantity")
        .click();
    window.run();
    window.key_press_modifiers(Modifiers::COMMAND, Key::A);
    window.event(egui::Event::Text("33".to_owned()));
    window.key_press(Key::Enter);
    settle(&mut window);
    let desk = window.state().desk();
    assert_eq!(desk.entries[2].item.job.quantity, 33);
    let answer = window.state().front().unwrap().answer.as_ref().unwrap();
    let best = answer.comparison.cheapest().unwrap();
    let figures = answer.comparison.estimates[best].figures.as_ref().unwrap();
    assert_eq!(costs(&window)[2], Some(figures.cost.part.median.amount()));
}

#[test]
fn what_is_saved_is_opened_again_to_the_last_bit() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("loom.kerfcast");
    let before = {
        let mut window = window_in(&folder.path().join("a"), Vec::new());
        drop_all(&mut window);
        type_into(&mut window, "parts, item 2", "40");
        assert!(window.state().desk().is_unsaved());
        save_as(&mut window, &path);
        assert!(
            !window.state().desk().is_unsaved(),
            "{:?}",
            window.state().message()
        );
        // A second save keeps the first beside it.
        type_into(&mut window, "parts, item 2", "41");
        window.key_press_modifiers(Modifiers::COMMAND, Key::S);
        settle(&mut window);
        assert!(!window.state().desk().is_unsaved());
        let backup = Enquiry::load(&folder.path().join("loom.kerfcast.bak")).unwrap();
        assert_eq!(backup.items[1].job.quantity, 40);
        costs(&window)
    };
    let enquiry = Enquiry::load(&path).unwrap();
    assert_eq!(enquiry.items[1].job.quantity, 41);
    assert!(enquiry.items.iter().all(|i| i.state == State::Asked));
    let window = window_in(&folder.path().join("b"), vec![path]);
    assert_eq!(costs(&window), before);
    assert!(!window.state().desk().is_unsaved());
    assert!(
        window.query_by_label("sort by verdict").is_some(),
        "the table is shown"
    );
}

#[test]
fn what_was_not_saved_comes_back_after_a_crash() {
    let folder = tempfile::tempdir().unwrap();
    let (first, second) = (folder.path().join("a"), folder.path().join("b"));
    let mut one = window_in(&first, Vec::new());
    drop_all(&mut one);
    type_into(&mut one, "parts, item 1", "17");
    // It is put aside every few seconds.
    std::thread::sleep(std::time::Duration::from_millis(3200));
    settle(&mut one);
    let aside: Vec<PathBuf> = fs::read_dir(first.join("recovery"))
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "kerfcast"))
        .collect();
    assert_eq!(aside.len(), 1);
    // Another window that starts meanwhile leaves it alone.
    let other = window_in(&first, Vec::new());
    assert!(other.query_by_label("Bring it back").is_none());
    // A program that was ended holds no lock any more: so its file looks in another folder.
    fs::create_dir_all(second.join("recovery")).unwrap();
    fs::copy(&aside[0], second.join("recovery/1-0.kerfcast")).unwrap();
    fs::write(second.join("recovery/1-0.kerfcast.lock"), "").unwrap();
    let mut next = window_in(&second, Vec::new());
    press(&mut next, "Bring it back");
    let desk = next.state().desk();
    assert_eq!(desk.entries.len(), samples::ALL.len() + 1);
    assert_eq!(desk.entries[0].item.job.quantity, 17);
    assert!(desk.is_unsaved(), "it is in no file of the user's yet");
    assert_eq!(costs(&next), costs(&one));
}

#[test]
fn two_windows_on_one_file_and_a_later_file_are_told() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("one.kerfcast");
    let mut first = window_in(&folder.path().join("a"), Vec::new());
    drop_all(&mut first);
    save_as(&mut first, &path);
    let second = window_in(&folder.path().join("b"), vec![path.clone()]);
    let message = second.state().message().unwrap();
    assert!(message.contains("another window"), "{message}");
    assert_eq!(
        second.state().desk().path,
        None,
        "saving asks for another name"
    );
    // Somebody else's change is never written over.
    drop(second);
    let other = fs::read_to_string(&path).unwrap() + "\n";
    fs::write(&path, &other).unwrap();
    type_into(&mut first, "parts, item 1", "3");
    first.key_press_modifiers(Modifiers::COMMAND, Key::S);
    settle(&mut first);
    assert_eq!(
        fs::read_to_string(folder.path().join("one (2).kerfcast")).unwrap(),
        other
    );
    assert_eq!(Enquiry::load(&path).unwrap().items[0].job.quantity, 3);
    // A later version is refused by name, and what is open stays.
    let later = folder.path().join("later.kerfcast");
    fs::write(&later, "{\"kerfcast_job\": 99}").unwrap();
    let third = window_in(&folder.path().join("c"), vec![later.clone()]);
    let message = third.state().message().unwrap();
    assert!(
        message.contains("later.kerfcast") && message.contains("newer"),
        "{message}"
    );
    assert_eq!(
        fs::read_to_string(&later).unwrap(),
        "{\"kerfcast_job\": 99}"
    );
}

#[test]
fn a_drawing_changed_on_disk_is_told_and_taken_when_asked() {
    let folder = tempfile::tempdir().unwrap();
    let drawing = folder.path().join("part.dxf");
    fs::write(&drawing, samples::ALL[0].bytes).unwrap();
    let path = folder.path().join("one.kerfcast");
    let mut first = window_in(&folder.path().join("a"), vec![drawing.clone()]);
    save_as(&mut first, &path);
    drop(first);
    fs::write(&drawing, samples::ALL[2].bytes).unwrap();
    let mut window = window_in(&folder.path().join("b"), vec![path]);
    let message = window.state().message().unwrap();
    assert!(message.contains("changed on disk"), "{message}");
    let front = window.state().front().unwrap();
    assert_eq!(front.name, "part.dxf");
    let was = costs(&window);
    window.key_press(Key::J);
    settle(&mut window);
    press(&mut window, "take the new drawing of item 1");
    assert_ne!(costs(&window), was);
    let entry = &window.state().desk().entries[0];
    assert_eq!(entry.item.drawing.bytes(), samples::ALL[2].bytes);
    assert_eq!(
        entry.item.seen.as_ref().map(|s| s.cost),
        was[0],
        "the old figure stays to compare"
    );
}
