//! What the window writes for programs, and for itself, has the same bytes whatever it speaks.

use crate::any_language;
use crate::harness::{Window, drop_without_waiting, settle, type_over, window_in};
use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable as _;
use kerfcast::language::{self, Language, localised, said};
use kerfcast::samples;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::time::Duration;

/// Names and bytes of all files in a folder and below.
fn all_in(folder: &Path, out: &mut BTreeMap<String, Vec<u8>>) {
    for entry in fs::read_dir(folder).expect("the folder").flatten() {
        let path = entry.path();
        if path.is_dir() {
            all_in(&path, out);
        } else {
            let name = entry.file_name().to_string_lossy().into_owned();
            out.insert(name, fs::read(&path).expect("a file"));
        }
    }
}

/// A name with a number in it, as a screen reader reads it.
fn numbered(name: &str, gap: &str, number: &str) -> String {
    said(name).replace(gap, number)
}

fn scroll(window: &mut Window, role: Role, name: &str) {
    window.get_by_role_and_label(role, name).scroll_to_me();
    window.run();
}

fn press(window: &mut Window, name: &str) {
    scroll(window, Role::Button, name);
    window.get_by_role_and_label(Role::Button, name).click();
    settle(window);
}

fn fill(window: &mut Window, name: &str, text: &str) {
    scroll(window, Role::TextInput, name);
    type_over(window, name, text);
    window.key_press(Key::Enter);
    settle(window);
}

/// Waits for what another thread writes.
fn until_there(window: &mut Window, path: &Path) {
    for _ in 0..200 {
        settle(window);
        if path.exists() {
            return;
        }
        std::thread::sleep(Duration::from_millis(50));
    }
    panic!("{} is not written", path.display());
}

/// An enquiry with everything that is kept of it: the same deeds, in a language.
fn made_in(language: Language) -> BTreeMap<String, Vec<u8>> {
    language::speak(language);
    let folder = tempfile::tempdir().expect("a folder");
    let (own, job) = (
        folder.path().join("own"),
        folder.path().join("loom.kerfcast"),
    );
    let mut window = window_in(&own, Vec::new());
    for sample in samples::ALL.iter().take(3) {
        drop_without_waiting(&mut window, sample.name, sample.bytes);
    }
    settle(&mut window);
    if window.query_by_label(said("choose all")).is_none() {
        window.key_press(Key::J);
        settle(&mut window);
    }
    fill(
        &mut window,
        &numbered("parts, item {number}", "{number}", "1"),
        "8",
    );
    let thickness = localised("12.5".to_owned());
    fill(
        &mut window,
        &numbered("thickness, item {number}", "{number}", "2"),
        &thickness,
    );
    // The quote's words.
    window.key_press(Key::Z);
    settle(&mut window);
    fill(&mut window, said("Customer"), "Northmill Looms");
    fill(&mut window, said("Name of the shop"), "Weaver & Daughters");
    press(
        &mut window,
        &match language {
            Language::English => "Mark 3 items as quoted".to_owned(),
            Language::German => "3 Positionen als angeboten markieren".to_owned(),
        },
    );
    // The job file.
    window.key_press_modifiers(Modifiers::COMMAND, Key::S);
    let field = said("Save as");
    for _ in 0..200 {
        settle(&mut window);
        if window
            .query_by_role_and_label(Role::TextInput, field)
            .is_some()
        {
            break;
        }
        std::thread::sleep(Duration::from_millis(50));
    }
    fill(&mut window, field, &job.display().to_string());
    until_there(&mut window, &job);
    // The table of the enquiry, which goes beside the job where no desktop offers a dialog.
    window.key_press(Key::J);
    settle(&mut window);
    press(&mut window, said("Save as a table…"));
    until_there(&mut window, &folder.path().join("enquiry.csv"));
    // Rates, library, a finished cut: of the drawing that is opened from the enquiry.
    press(
        &mut window,
        &numbered("open item {number}", "{number}", "1"),
    );
    window.key_press(Key::R);
    settle(&mut window);
    fill(
        &mut window,
        &format!("{} {}", said("Labour"), said("an hour")),
        &localised("51.5".to_owned()),
    );
    window.key_press(Key::B);
    settle(&mut window);
    press(&mut window, said("Besides cutting"));
    fill(
        &mut window,
        said("Used wire as scrap"),
        &localised("2.25".to_owned()),
    );
    window.key_press(Key::L);
    settle(&mut window);
    type_over(
        &mut window,
        said("Actual minutes"),
        &localised("312.5".to_owned()),
    );
    press(&mut window, said("Log the cut"));
    assert_eq!(
        window.state().learning().cuts.len(),
        1,
        "{:?}",
        window.state().message()
    );
    settle(&mut window);
    drop(window);
    let mut files = BTreeMap::new();
    all_in(folder.path(), &mut files);
    files
}

#[test]
fn files_are_the_same_to_the_byte_whatever_is_spoken() {
    let _any = any_language();
    let english = made_in(Language::English);
    for file in [
        "loom.kerfcast",
        "enquiry.csv",
        "rates.toml",
        "library.toml",
        "finished-cuts.csv",
        "quote.toml",
    ] {
        assert!(english.contains_key(file), "{file}: {:?}", english.keys());
    }
    let german = made_in(Language::German);
    let names = |files: &BTreeMap<String, Vec<u8>>| files.keys().cloned().collect::<Vec<_>>();
    assert_eq!(names(&english), names(&german));
    for (name, bytes) in &english {
        let [en, de] = [bytes, &german[name]].map(|b| String::from_utf8_lossy(b).into_owned());
        assert_eq!(en, de, "{name}");
    }
}
