//! The headless command as a script sees it: JSON, text, exit status, a pipe that closes early.

use serde_json::Value;
use std::io::Write;
use std::path::PathBuf;
use std::process::{Command, Output, Stdio};

fn kerfcast() -> Command {
    Command::new(env!("CARGO_BIN_EXE_kerfcast-cli"))
}

fn measured(arguments: &[&str]) -> Output {
    kerfcast()
        .arg("measure")
        .args(arguments)
        .output()
        .expect("the command runs")
}

/// A square of 20 with a hole of radius 5, one line astray and a text, in inch when asked for.
fn sample(folder: &tempfile::TempDir) -> PathBuf {
    let text = "0 SECTION|2 HEADER|9 $INSUNITS|70 4|0 ENDSEC|0 SECTION|2 ENTITIES|\
        0 LWPOLYLINE|8 part|70 1|10 0|20 0|10 20|20 0|10 20|20 20|10 0|20 20|\
        0 CIRCLE|8 part|10 10|20 10|40 5|0 LINE|8 loose|10 30|20 0|11 40|21 0|\
        0 TEXT|8 0|10 0|20 0|40 2|1 hello|0 ENDSEC|0 EOF|";
    let path = folder.path().join("plate.dxf");
    let mut file = std::fs::File::create(&path).expect("the sample is written");
    for pair in text.split('|').filter(|p| !p.is_empty()) {
        let (code, value) = pair.split_once(' ').expect("code and value");
        writeln!(file, "{code}\n{value}").expect("the sample is written");
    }
    path
}

#[test]
fn json_has_the_agreed_fields_and_true_numbers() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = sample(&folder);
    let output = measured(&["--json", path.to_str().expect("a plain path")]);
    assert_eq!(output.status.code(), Some(0));
    let json: Value = serde_json::from_slice(&output.stdout).expect("it is JSON");
    let plate = &json[0];
    assert_eq!(plate["units"]["used"], "mm");
    assert_eq!(plate["units"]["from"], "header");
    assert_eq!(
        plate["bounds_mm"],
        serde_json::json!([0.0, 0.0, 40.0, 20.0])
    );
    let contours = plate["contours"].as_array().expect("a list");
    let roles: Vec<&str> = contours.iter().filter_map(|c| c["role"].as_str()).collect();
    assert_eq!(roles, ["outline", "opening", "open"]);
    assert!(
        contours[2]["area_mm2"].is_null(),
        "no area is claimed for what does not close"
    );
    assert_eq!(contours[0]["corners"], 4);
    assert_eq!(contours[1]["layer"], "part");
    let totals = &plate["totals"];
    let number = |name: &str| totals[name].as_f64().expect("a number");
    let pi = std::f64::consts::PI;
    assert!((number("cut_length_mm") - (80.0 + 10.0 * pi)).abs() < 1e-12);
    assert!((number("net_area_mm2") - (400.0 - 25.0 * pi)).abs() < 1e-12);
    assert!((number("open_length_mm") - 10.0).abs() < 1e-12);
    assert_eq!(
        (
            &totals["outlines"],
            &totals["openings"],
            &totals["open"],
            &totals["slugs"]
        ),
        (&1.into(), &1.into(), &1.into(), &1.into())
    );
    assert_eq!(
        plate["import"]["read"],
        serde_json::json!({"CIRCLE": 1, "LINE": 1, "LWPOLYLINE": 1})
    );
    assert_eq!(plate["import"]["skipped"], serde_json::json!({"TEXT": 1}));
    let finding = &plate["import"]["findings"][0];
    assert_eq!(
        (&finding["code"], &finding["count"]),
        (&"open-end".into(), &2.into())
    );
    assert_eq!(finding["at_mm"].as_array().map(Vec::len), Some(2));
}

#[test]
fn what_stays_turns_the_roles() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = sample(&folder);
    let output = measured(&[
        "--json",
        "--keep",
        "outside",
        path.to_str().expect("a plain path"),
    ]);
    let json: Value = serde_json::from_slice(&output.stdout).expect("it is JSON");
    assert_eq!(json[0]["contours"][0]["role"], "opening");
    assert_eq!(json[0]["contours"][1]["role"], "outline");
}

#[test]
fn a_file_that_cannot_be_read_stands_in_its_place() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = sample(&folder);
    let good = path.to_str().expect("a plain path");
    let output = measured(&["--json", "no such file.dxf", good]);
    assert_eq!(output.status.code(), Some(1));
    let json: Value = serde_json::from_slice(&output.stdout).expect("it is JSON");
    let error = &json[0]["error"];
    assert!(
        error["message"]
            .as_str()
            .is_some_and(|m| m.contains("cannot be opened"))
    );
    assert!(error["hint"].as_str().is_some_and(|h| !h.is_empty()));
    assert_eq!(json[1]["totals"]["outlines"], 1);
    let text = measured(&[good, "no such file.dxf"]);
    let text = String::from_utf8_lossy(&text.stdout).into_owned();
    assert!(text.contains("opening") && text.contains("cannot be opened"));
}

#[test]
fn a_wrong_call_has_status_2_and_says_why() {
    for arguments in [
        &["--units", "furlong", "a.dxf"][..],
        &["--join-gap", "-1", "a.dxf"],
        &["--join-gap", "nan", "a.dxf"],
        &["--keep", "both", "a.dxf"],
        &[],
    ] {
        let output = measured(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(!output.stderr.is_empty() && output.stdout.is_empty());
    }
}

#[test]
fn a_pipe_closed_early_is_no_error() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = sample(&folder);
    let mut child = kerfcast()
        .arg("measure")
        .args(std::iter::repeat_n(&path, 400))
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the command runs");
    drop(child.stdout.take());
    let output = child.wait_with_output().expect("it ends");
    assert_eq!(output.status.code(), Some(0));
    assert!(output.stderr.is_empty());
}
