//! The rule of the house: who may know whom.
//!
//! units ← geometry ← drawing; units ← library ← process; {drawing, process} ← job ← plan ← estimate ← calibration ← words ←
//! report ← files ← {command_line, gui}. Nothing imports gui, and only gui and main know egui.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// What each room may import.
fn allowed() -> BTreeMap<&'static str, Vec<&'static str>> {
    let core = [
        "units", "geometry", "standing", "reason", "library", "process", "profile", "job", "plan",
        "measures", "estimate",
    ];
    let with = |extra: &[&'static str]| core.iter().chain(extra).copied().collect::<Vec<_>>();
    BTreeMap::from([
        ("units", vec![]),
        ("geometry", vec!["units"]),
        ("standing", vec![]),
        ("reason", vec!["standing"]),
        ("safe_file", vec![]),
        ("files", vec![]),
        ("library", vec!["units", "standing", "safe_file"]),
        (
            "process",
            vec!["units", "standing", "reason", "geometry", "library"],
        ),
        ("profile", vec!["units", "geometry"]),
        ("drawing", vec!["units", "geometry", "profile", "files"]),
        (
            "job",
            vec!["units", "geometry", "library", "process", "profile"],
        ),
        ("measures", vec!["units", "geometry", "profile"]),
        ("notes", vec!["units", "drawing", "library"]),
        (
            "plan",
            vec!["units", "geometry", "library", "process", "profile", "job"],
        ),
        (
            "estimate",
            vec![
                "units", "geometry", "standing", "reason", "library", "process", "profile", "job",
                "plan",
            ],
        ),
        ("calibration", with(&[])),
        ("words", with(&["drawing", "calibration"])),
        ("report", with(&["words"])),
        ("samples", vec![]),
        (
            "command_line",
            with(&[
                "drawing",
                "files",
                "notes",
                "samples",
                "calibration",
                "words",
                "report",
                "safe_file",
            ]),
        ),
        (
            "gui",
            with(&[
                "drawing",
                "files",
                "notes",
                "samples",
                "calibration",
                "words",
                "report",
                "safe_file",
            ]),
        ),
        ("main", vec!["gui"]),
    ])
}

fn sources(folder: &Path, out: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("src is there") {
        let path = entry.expect("readable").path();
        if path.is_dir() {
            sources(&path, out);
        } else if path.extension().is_some_and(|e| e == "rs") {
            out.push(path);
        }
    }
}

#[test]
fn rooms_import_only_what_lies_below_them() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    sources(&src, &mut files);
    assert!(files.len() > 20, "the sources were found");
    let allowed = allowed();
    let mut wrong = Vec::new();
    for file in &files {
        let inside = file.strip_prefix(&src).expect("below src");
        let first = inside
            .components()
            .next()
            .expect("a name")
            .as_os_str()
            .to_string_lossy();
        let room = first.trim_end_matches(".rs").to_owned();
        if ["lib", "window", "bin"].contains(&room.as_str()) {
            continue;
        }
        let may = allowed
            .get(room.as_str())
            .unwrap_or_else(|| panic!("the room {room} has no rule"));
        let text = fs::read_to_string(file).expect("readable");
        // Tests inside a file may look further.
        let code = text.split("#[cfg(test)]").next().unwrap_or_default();
        for line in code.lines().filter(|l| !l.trim_start().starts_with("//")) {
            for path in line.split("crate::").skip(1) {
                let name: String = path
                    .chars()
                    .take_while(|c| c.is_alphanumeric() || *c == '_')
                    .collect();
                if !name.is_empty() && name != room && !may.contains(&name.as_str()) {
                    wrong.push(format!("{} imports {name}", inside.display()));
                }
            }
            let knows_egui = line.contains("egui") || line.contains("eframe");
            if knows_egui && room != "gui" && room != "main" {
                wrong.push(format!("{} knows egui", inside.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
