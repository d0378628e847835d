//! The list of other people's libraries, compiled into the program, is that of the lock file.
//!
//! `KERFCAST_WRITE_LICENCES=1 cargo test --test licences` writes it anew.

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::process::Command;

/// Systems that packages are made for; a library may be needed by one of them alone.
const TARGETS: [&str; 3] = [
    "x86_64-unknown-linux-gnu",
    "x86_64-pc-windows-gnu",
    "aarch64-apple-darwin",
];

/// A library: name, version, licence, and the texts that lie beside it.
type Libraries = BTreeMap<(String, String), (String, BTreeSet<String>)>;

fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value[key].as_str().unwrap_or_default()
}

/// Libraries that the program is linked with on a system, by the package manager's own resolution.
fn linked(target: &str, found: &mut Libraries) {
    let root = env!("CARGO_MANIFEST_DIR");
    let output = Command::new(env!("CARGO"))
        .args([
            "metadata",
            "--format-version=1",
            "--locked",
            "--features=wgpu",
        ])
        .args(["--filter-platform", target])
        .current_dir(root)
        .output()
        .expect("cargo runs");
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let all: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let packages: BTreeMap<&str, &Value> = all["packages"]
        .as_array()
        .into_iter()
        .flatten()
        .map(|p| (text(p, "id"), p))
        .collect();
    let nodes: BTreeMap<&str, &Value> = all["resolve"]["nodes"]
        .as_array()
        .into_iter()
        .flatten()
        .map(|n| (text(n, "id"), n))
        .collect();
    let mut seen = BTreeSet::new();
    let mut open = vec![text(&all["resolve"], "root")];
    while let Some(id) = open.pop() {
        if !seen.insert(id) {
            continue;
        }
        for dependency in nodes[id]["deps"].as_array().into_iter().flatten() {
            let kinds = dependency["dep_kinds"].as_array();
            if kinds.into_iter().flatten().any(|k| k["kind"].is_null()) {
                open.push(text(dependency, "pkg"));
            }
        }
    }
    for package in seen.into_iter().map(|id| packages[id]) {
        // Ours have no source.
        if package["source"].is_null() {
            continue;
        }
        let key = (
            text(package, "name").to_owned(),
            text(package, "version").to_owned(),
        );
        let folder = Path::new(text(package, "manifest_path")).parent();
        found.entry(key).or_insert_with(|| {
            let texts = folder.map(texts_of).unwrap_or_default();
            (text(package, "license").to_owned(), texts)
        });
    }
}

/// The licence texts that lie in a library's folder, spaces made even.
fn texts_of(folder: &Path) -> BTreeSet<String> {
    let mut texts = BTreeSet::new();
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let name = entry.file_name().to_string_lossy().to_uppercase();
        let is_licence = ["LICENSE", "LICENCE", "COPYING", "NOTICE", "COPYRIGHT"]
            .iter()
            .any(|w| name.starts_with(w));
        if is_licence && let Ok(text) = fs::read_to_string(entry.path()) {
            let lines: Vec<_> = text.lines().map(str::trim_end).collect();
            texts.insert(lines.join("\n").trim().to_owned());
        }
    }
    texts
}

/// The general texts of the two commonest licences differ from library to library only in the names before them.
fn written(found: &Libraries) -> String {
    let mut out =
        String::from("Libraries by others that Kerfcast is built of, each with its licence.\n\n");
    for ((name, version), (licence, _)) in found {
        out += &format!("{name} {version}: {licence}\n");
    }
    let mut by_text: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for ((name, _), (_, texts)) in found {
        for text in texts {
            by_text.entry(text).or_default().push(name);
        }
    }
    let mut by_names: Vec<_> = by_text.into_iter().collect();
    by_names.sort_by_key(|(_, names)| (std::cmp::Reverse(names.len()), names.join(" ")));
    for (text, names) in by_names {
        let names: BTreeSet<_> = names.into_iter().collect();
        let names: Vec<_> = names.into_iter().collect();
        out += &format!("\n\n———\n{}\n\n{text}\n", names.join(", "));
    }
    out
}

#[test]
fn every_library_is_named_with_its_version_and_licence() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("assets/licences.txt");
    let mut found = Libraries::new();
    for target in TARGETS {
        linked(target, &mut found);
    }
    assert!(found.len() > 50);
    for ((name, _), (licence, texts)) in &found {
        assert!(
            !licence.is_empty() || !texts.is_empty(),
            "{name} says no licence"
        );
    }
    if std::env::var_os("KERFCAST_WRITE_LICENCES").is_some() {
        fs::write(&path, written(&found)).expect("writes the list");
    }
    let listed = fs::read_to_string(&path).expect("assets/licences.txt");
    let named: BTreeSet<_> = listed
        .lines()
        .skip(2)
        .take_while(|l| !l.is_empty())
        .collect();
    let needed: BTreeSet<_> = found
        .iter()
        .map(|((name, version), (licence, _))| format!("{name} {version}: {licence}"))
        .collect();
    let needed: BTreeSet<_> = needed.iter().map(String::as_str).collect();
    let missing: Vec<_> = needed.difference(&named).collect();
    let old: Vec<_> = named.difference(&needed).collect();
    assert!(
        missing.is_empty() && old.is_empty(),
        "the list of licences is not that of the lock file; write it anew (see the top of this file). \
         Missing {missing:?}, no longer used {old:?}"
    );
}
