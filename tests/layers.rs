//! The rules of the house: who may know whom, and no circles.
//!
//! Every path of every source file is read (`use` trees with groups, `crate::`, `super::`, `self::`, names brought in by
//! another `use`, and what stands in macros) and followed to the file in which the item is defined, through doors
//! (`pub use`) and globs. Tests inside the sources may look further and are left out.

mod imports;

use imports::House;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Each room and what it may import; a room below a folder is written with `::` and may be known through its parent's
/// door by everybody who knows the parent. A new room is one line.
const ROOMS: &[(&str, &str)] = &[
    ("language", ""),
    ("numbers", ""),
    ("progress", ""),
    ("toml_change", ""),
    ("units", "numbers"),
    ("standing", ""),
    ("safe_file", ""),
    ("files", ""),
    ("samples", ""),
    ("geometry", "progress units"),
    ("reason", "standing units"),
    ("profile", "progress units geometry"),
    ("drawing", "progress units geometry profile files"),
    ("library", "units standing safe_file files toml_change"),
    ("process", "units standing reason geometry library"),
    ("job", "units geometry library process profile"),
    ("measures", "progress units geometry profile"),
    ("notes", "units drawing library"),
    (
        "plan",
        "progress units geometry library process profile job",
    ),
    (
        "estimate",
        "progress units geometry standing reason library process profile drawing job plan",
    ),
    (
        "calibration",
        "units numbers geometry standing reason library process profile job plan measures estimate",
    ),
    (
        "enquiry",
        "progress numbers units geometry library profile job plan estimate drawing files safe_file",
    ),
    (
        "words",
        "units numbers geometry standing reason library process profile job plan measures estimate drawing files calibration enquiry shop_files",
    ),
    (
        "report",
        "units geometry standing reason library process profile job plan measures estimate drawing words",
    ),
    (
        "quote",
        "units geometry reason library process profile drawing job plan estimate calibration enquiry files words",
    ),
    ("export", "units geometry profile job estimate drawing"),
    (
        "command_line",
        "progress units geometry standing reason library process profile job plan measures estimate drawing files notes numbers samples calibration enquiry words report safe_file shop_files export quote",
    ),
    (
        "gui",
        "progress units geometry standing reason library process profile job plan measures estimate drawing files notes numbers samples calibration enquiry words report safe_file shop_files export quote",
    ),
    (
        "shop_files",
        "units numbers standing library job calibration files safe_file toml_change",
    ),
    ("main", "command_line gui words"),
    // The build script.
    ("stamp", ""),
];

/// Rooms that may know the windowing crates.
const WINDOW: [&str; 2] = ["gui", "main"];

/// Files in a circle of the window that may stay; elsewhere there is none.
const LARGEST: usize = 3;

fn house() -> House {
    let house = House::of(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"));
    assert!(house.files().count() > 100, "the sources were found");
    house
}

/// The room of a module: the longest entry of [`ROOMS`] that it lies in.
fn room(module: &str) -> Option<&'static str> {
    let lies_in = |room: &&str| {
        module == *room || module.starts_with(room) && module[room.len()..].starts_with("::")
    };
    let rooms = ROOMS.iter().map(|(room, _)| *room).filter(lies_in);
    rooms.max_by_key(|room| room.len())
}

fn outermost(module: &str) -> &str {
    module.split("::").next().unwrap_or(module)
}

#[test]
fn rooms_import_only_what_lies_below_them() {
    let may: BTreeMap<_, BTreeSet<_>> = ROOMS
        .iter()
        .map(|(room, list)| (*room, list.split_whitespace().collect()))
        .collect();
    let mut wrong = BTreeSet::new();
    let house = house();
    for file in house.files() {
        let own = room(file).unwrap_or_else(|| panic!("the room of {file} has no rule"));
        for to in house.arrows(file) {
            let Some(mut other) = room(to) else { continue };
            // From another room only the outermost door is seen; a door sees what it opens to.
            if outermost(other) != outermost(own) {
                other = outermost(other);
            }
            let within = other.starts_with(own) && other[own.len()..].starts_with("::");
            // In which language a text is shown, every room may ask.
            if other != own && other != "language" && !within && !may[own].contains(other) {
                wrong.insert(format!("{file} imports {to}: {own} may not know {other}"));
            }
        }
        for outside in house.crates(file) {
            let windowing = ["egui", "eframe", "rfd"].contains(&outside);
            if windowing && !WINDOW.contains(&outermost(own)) {
                wrong.insert(format!("{file} knows {outside}"));
            }
        }
    }
    let wrong: Vec<_> = wrong.into_iter().collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn files_do_not_import_each_other_in_circles() {
    let house = house();
    let circles = house.circles();
    let mut told = String::new();
    for circle in &circles {
        told += &format!("{} files in a circle:\n", circle.len());
        for file in circle {
            let arrows = house.arrows(file);
            let within: Vec<_> = arrows
                .iter()
                .filter(|to| circle.iter().any(|c| c == *to))
                .collect();
            told += &format!("    {file} imports {within:?}\n");
        }
    }
    let too_large = |circle: &&Vec<String>| {
        let most = if outermost(&circle[0]) == "gui" {
            LARGEST
        } else {
            0
        };
        circle.len() > most
    };
    let wrong = circles.iter().filter(too_large).count();
    assert_eq!(wrong, 0, "files import each other in circles:\n{told}");
}
