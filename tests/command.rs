//! The headless command as a script calls it.

use serde_json::Value;
use std::process::{Command, Output};

const SAMPLES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/sample_drawings");

fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_kerfcast-cli"))
        .args(arguments)
        .output()
        .expect("the command starts")
}

fn sample(name: &str) -> String {
    format!("{SAMPLES}/{name}.dxf")
}

fn json(arguments: &[&str]) -> (Value, Option<i32>) {
    let out = run(arguments);
    let text = String::from_utf8(out.stdout).expect("UTF-8");
    (
        serde_json::from_str(&text).unwrap_or_else(|e| panic!("{e}: {text}")),
        out.status.code(),
    )
}

fn number(v: &Value) -> f64 {
    v.as_f64().unwrap_or_else(|| panic!("{v} is no number"))
}

fn sum(lines: &Value, field: &str) -> f64 {
    lines
        .as_array()
        .expect("lines")
        .iter()
        .map(|l| number(&l[field]))
        .sum()
}

#[test]
fn totals_are_the_sums_of_the_lines() {
    let file = sample("latch-cam");
    let (v, code) = json(&["estimate", &file, "--thickness", "40", "--json"]);
    assert_eq!(code, Some(0));
    let wires = v[0]["wires"].as_array().expect("wires");
    assert!(wires.len() >= 5);
    assert!(
        wires
            .iter()
            .any(|w| w["wire"] == "hard plain brass" && w["diameter_mm"] == 0.25)
    );
    for w in wires {
        let m = &w["minutes"];
        let parts: f64 = [
            "cutting",
            "corners",
            "threading",
            "slug_stops",
            "moves",
            "breaks",
        ]
        .iter()
        .map(|k| number(&m[k]))
        .sum();
        assert!((parts - number(&m["total"])).abs() < 1e-9);
        assert!((sum(&w["lines"], "minutes") - number(&m["total"])).abs() < 1e-9);
        assert!((sum(&w["lines"], "wire_m") - number(&w["wire_m"])).abs() < 1e-9);
        let passes: f64 = w["pass_minutes"]
            .as_array()
            .expect("passes")
            .iter()
            .map(number)
            .sum();
        assert!((passes - number(&m["cutting"]) - number(&m["corners"])).abs() < 1e-9);
        assert!(
            number(&m["low"]) < number(&m["total"]) && number(&m["total"]) < number(&m["high"])
        );
        let cost = &w["cost"];
        let parts: f64 = ["holes", "machine", "labour", "wire", "consumables", "setup"]
            .iter()
            .map(|k| number(&cost[k]))
            .sum();
        assert!((parts - number(&cost["part"])).abs() < 1e-9);
        // Common practice, no source: a week has 10 080 minutes, of which a machine cuts 75 %.
        assert_eq!(
            number(&w["parts_per_week"]),
            (7560.0 / number(&m["total"])).floor()
        );
        assert!(
            w["lines"]
                .as_array()
                .expect("lines")
                .iter()
                .all(|l| l["because"].as_str().is_some_and(|b| !b.is_empty()))
        );
    }
}

#[test]
fn wires_come_in_the_order_given_and_the_rough_alone_has_one_pass() {
    let file = sample("escapement-wheel");
    let (v, _) = json(&[
        "estimate",
        &file,
        "--thickness",
        "12",
        "--passes",
        "1",
        "--json",
        "--wire",
        "zinc-coated brass@0.2",
        "--wire",
        "hard plain brass@0.25",
    ]);
    let wires = v[0]["wires"].as_array().expect("wires");
    assert_eq!(wires.len(), 2);
    assert_eq!(
        (wires[0]["wire"].as_str(), wires[0]["diameter_mm"].as_f64()),
        (Some("zinc-coated brass"), Some(0.2))
    );
    for w in wires {
        assert_eq!(w["pass_length_mm"].as_array().map(Vec::len), Some(1));
    }
}

#[test]
fn a_wire_that_is_not_possible_has_null_figures() {
    let file = sample("splined-bore");
    let (v, code) = json(&[
        "estimate",
        &file,
        "--thickness",
        "30",
        "--json",
        "--wire",
        "hard plain brass@0.25",
    ]);
    assert_eq!(code, Some(0));
    let w = &v[0]["wires"][0];
    assert_eq!(w["possible"], false);
    assert!(w["minutes"].is_null() && w["cost"].is_null() && w["wire_m"].is_null());
    assert_eq!(w["blockers"][0]["code"], "inside-radius");
}

#[test]
fn a_file_that_cannot_be_read_stands_in_its_place_and_the_others_are_done() {
    let (good, bad) = (sample("latch-cam"), format!("{SAMPLES}/README.md"));
    let (v, code) = json(&["measure", "--json", &bad, &good]);
    assert_eq!(code, Some(1));
    assert!(v[0]["error"]["message"].is_string() && v[0]["error"]["hint"].is_string());
    assert_eq!(v[1]["totals"]["openings"], 4);
    let (v, code) = json(&["estimate", "--json", "--thickness", "40", &good, &bad]);
    assert_eq!(code, Some(1));
    assert!(v[0]["wires"].is_array() && v[1]["error"]["hint"].is_string());
}

#[test]
fn a_wrong_call_says_what_would_be_right() {
    let file = sample("latch-cam");
    for (arguments, word) in [
        (vec!["estimate", &file], "thickness"),
        (vec!["estimate", &file, "--thickness", "0"], "0.05"),
        (vec!["estimate", &file, "--thickness", "forty"], "forty"),
        (
            vec![
                "estimate",
                &file,
                "--thickness",
                "40",
                "--material",
                "cheese",
            ],
            "Materials",
        ),
        (
            vec!["estimate", &file, "--thickness", "40", "--wire", "string"],
            "@",
        ),
        (
            vec![
                "estimate",
                &file,
                "--thickness",
                "40",
                "--wire",
                "string@0.25",
            ],
            "Wires",
        ),
        (vec!["measure"], "FILE"),
        (vec!["bake"], "bake"),
    ] {
        let out = run(&arguments);
        assert_eq!(out.status.code(), Some(2), "{arguments:?}");
        let message = String::from_utf8_lossy(&out.stderr);
        assert!(message.contains(word), "{arguments:?}: {message}");
    }
}

#[test]
fn csv_has_one_row_per_file_and_wire() {
    let (a, b) = (sample("latch-cam"), sample("loom-bracket-inch"));
    let out = run(&[
        "estimate",
        "--csv",
        "--thickness",
        "25",
        &a,
        &b,
        "--wire",
        "hard plain brass@0.25",
        "--wire",
        "zinc-coated brass@0.25",
    ]);
    let mut csv = csv::Reader::from_reader(out.stdout.as_slice());
    assert_eq!(csv.records().flatten().count(), 4);
}

#[test]
fn units_and_what_stays_can_be_told() {
    let file = sample("latch-cam");
    let (v, _) = json(&[
        "measure", "--json", "--units", "in", "--keep", "outside", &file,
    ]);
    assert_eq!(v[0]["units"]["used"], "in");
    assert_eq!(v[0]["units"]["from"], "option");
    let (mm, _) = json(&["measure", "--json", &file]);
    let ratio =
        number(&v[0]["totals"]["cut_length_mm"]) / number(&mm[0]["totals"]["cut_length_mm"]);
    assert!((ratio - 25.4).abs() < 1e-9);
    assert_eq!(
        v[0]["totals"]["openings"], 1,
        "what was the outline is now an opening"
    );
}
