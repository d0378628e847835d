//! The machine of the job in the command: by name, with what does not fit on it and what is not on hand.

use crate::calling::{json, run, sample};
use std::fs;
use std::path::PathBuf;

/// A library file with two machines: a small one first, and a large one.
fn shop() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("library.toml");
    let text = "kerfcast_library = 1\n\
        [[machine]]\nname = \"small\"\ntravel_x = 3\ntravel_y = 2\nheight = 30\ndiameters = [\"0.2\"]\nrate = 90\n\
        [[machine]]\nname = \"large\"\ntravel_x = 600\ntravel_y = 400\nheight = 300\nmass = 900\nwires = [\"hard plain brass\"]\n";
    fs::write(&path, text).expect("written");
    (folder, path)
}

#[test]
fn the_first_machine_is_the_jobs_unless_another_is_named() {
    let (_folder, library) = shop();
    let (file, library) = (sample("latch-cam"), library.display().to_string());
    let with = |more: &[&str]| {
        let mut call = vec!["estimate", &file, "--thickness", "40", "--json"];
        call.extend(["--library", &library, "--wire", "zinc-coated brass@0.25"]);
        call.extend(["--wire", "hard plain brass@0.2"]);
        call.extend(more);
        json(&call).0
    };
    let codes = |v: &serde_json::Value, wire: usize, what: &str| -> Vec<String> {
        let list = v[0]["wires"][wire][what].as_array().expect("a list");
        let code = |o: &serde_json::Value| o["code"].as_str().unwrap_or_default().to_owned();
        // Inside corners smaller than the wire allows are the drawing's, whatever machine cuts it.
        list.iter()
            .map(code)
            .filter(|c| c != "inside-radius")
            .collect()
    };
    let small = with(&[]);
    assert_eq!(small[0]["job"]["machine"], "small");
    assert_eq!(codes(&small, 0, "blockers"), ["diameter-not-taken"]);
    assert_eq!(small[0]["wires"][1]["possible"], true);
    assert_eq!(codes(&small, 1, "warnings"), ["beyond-travel", "too-high"]);
    let large = with(&["--machine", "large"]);
    assert_eq!(large[0]["job"]["machine"], "large");
    assert_eq!(codes(&large, 0, "warnings"), ["not-on-hand"]);
    assert!(codes(&large, 1, "warnings").is_empty());
    // Its own rate: 90 an hour instead of the shop's.
    let money =
        |v: &serde_json::Value| v[0]["wires"][1]["cost"]["machine"].as_f64().expect("money");
    let usual = kerfcast::library::Library::built_in()
        .overheads
        .machine_rate
        .value;
    assert!((money(&small) / money(&large) - 90.0 / usual).abs() < 1e-12);
}

#[test]
fn a_machine_that_the_shop_does_not_have_is_refused_with_those_that_it_has() {
    let (_folder, library) = shop();
    let (file, library) = (sample("latch-cam"), library.display().to_string());
    let out = run(&[
        "estimate",
        &file,
        "--thickness",
        "40",
        "--library",
        &library,
        "--machine",
        "medium",
    ]);
    let told = String::from_utf8_lossy(&out.stderr);
    assert!(
        !out.status.success() && told.contains("small, large"),
        "{told}"
    );
}

#[test]
fn text_plan_and_set_up_sheet_tell_it() {
    let (folder, library) = shop();
    let (file, library) = (sample("latch-cam"), library.display().to_string());
    let text = |more: &[&str]| {
        let mut call = vec![more[0], &file, "--thickness", "40", "--library", &library];
        call.extend(&more[1..]);
        let out = run(&call);
        String::from_utf8_lossy(&out.stdout).into_owned()
    };
    let thin = ["--wire", "hard plain brass@0.2"];
    let told = text(&[&["estimate"], &thin[..]].concat());
    assert!(told.contains("small has 3 mm × 2 mm"), "{told}");
    assert!(told.contains("is thicker than small takes"), "{told}");
    let zinc = ["--wire", "zinc-coated brass@0.25", "--machine", "large"];
    let told = text(&[&["plan"], &zinc[..]].concat());
    assert!(told.contains("(not on hand)"), "{told}");
    let page = folder.path().join("page.html").display().to_string();
    text(&[&["estimate", "--report", &page], &thin[..]].concat());
    let page = fs::read_to_string(&page).expect("written");
    assert!(page.contains("is thicker than small takes"));
    let pdf = folder.path().join("sheet.pdf").display().to_string();
    let told = text(&[&["quote", "--pdf", &pdf, "--for", "shop"], &thin[..]].concat());
    assert!(told.contains("page"), "{told}");
}
