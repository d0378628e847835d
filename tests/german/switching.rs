//! Another language in the menu: everything is said in it at once, it is kept, and a second window follows.

use crate::any_language;
use crate::harness::{Window, drop_on, settle, window_in};
use egui::accesskit::Role;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use kerfcast::language::{self, Language};
use kerfcast::samples;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

/// Everything that stands on the screen or is read aloud.
fn words(window: &Window) -> BTreeSet<String> {
    let all = window.query_all_by(|_| true);
    all.filter_map(|n| n.accesskit_node().label().or(n.accesskit_node().value()))
        .collect()
}

/// Chooses in the menu, by what the languages are called.
fn choose(window: &mut Window, menu: &str, languages: &str, language: Language) {
    window.get_by_role_and_label(Role::Button, menu).click();
    settle(window);
    window.get_by_label_contains(languages).click();
    settle(window);
    window
        .get_by_role_and_label(Role::RadioButton, language.name())
        .click();
    settle(window);
    // Nothing is told of what lies under the pointer.
    window.event(egui::Event::PointerGone);
    settle(window);
}

fn opened(folder: &Path) -> Window {
    let mut window = window_in(folder, Vec::new());
    drop_on(&mut window, samples::ALL[1].name, samples::ALL[1].bytes);
    window
}

#[test]
fn everything_is_said_anew_and_it_is_kept_for_the_next_start() {
    let _any = any_language();
    language::speak(Language::English);
    let folder = tempfile::tempdir().expect("a folder");
    let mut window = opened(folder.path());
    window.key_press(egui::Key::Y);
    settle(&mut window);
    let english = words(&window);
    assert!(english.contains("Drawing") && english.contains("Menu"));
    choose(&mut window, "Menu", "Language", Language::German);
    let german = words(&window);
    // A word that was said in English is said no more, unless both languages have it.
    let table: Vec<(&str, &str)> = language::table().collect();
    let left: Vec<_> = table
        .iter()
        .filter(|(e, g)| {
            e != g && german.contains(*e) && !table.iter().any(|(_, other)| other == e)
        })
        .collect();
    assert!(left.is_empty(), "{left:?}");
    assert!(german.contains("Zeichnung"));
    let rates = fs::read_to_string(folder.path().join("rates.toml")).expect("rates");
    assert!(rates.contains("language = \"de\""), "{rates}");
    drop(window);
    // The next start speaks it by itself, and what it says is what the running window said.
    language::speak(Language::English);
    let mut window = opened(folder.path());
    window.key_press(egui::Key::Y);
    settle(&mut window);
    assert_eq!(language::now(), Language::German);
    assert_eq!(words(&window), german);
    choose(&mut window, "Menü", "Sprache", Language::English);
    assert_eq!(words(&window), english);
    drop(window);
}
