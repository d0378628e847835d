//! The headless command as a script sees it: JSON, text, exit status, a pipe that closes early.

use kerfcast::units::Money;
use kerfcast::words::{Style, System};
use serde_json::Value;
use std::io::Write;
use std::path::PathBuf;
use std::process::{Command, Output, Stdio};

fn kerfcast() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_kerfcast-cli"));
    // A user who has kept nothing.
    command
        .env("HOME", "/nonexistent")
        .env_remove("XDG_DATA_HOME");
    command
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

/// Three rings side by side: parts, or openings in a plate?
#[test]
fn what_lies_side_by_side_is_to_be_checked_until_the_call_says_what_stays() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("rings.dxf");
    let circle = |x: u32| format!("0\nCIRCLE\n8\n0\n10\n{x}\n20\n0\n40\n5\n");
    let rings = [0, 20, 50].map(circle).concat();
    let head = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n";
    std::fs::write(&path, format!("{head}{rings}0\nENDSEC\n0\nEOF\n")).expect("written");
    let path = path.to_str().expect("a plain path");
    let page = folder.path().join("rings.html");
    let page = page.to_str().expect("a plain path");
    let mut costs = Vec::new();
    for (said, verdict) in [
        (&[][..], "check this"),
        (&["--keep", "inside"], "safe to quote"),
        (&["--keep", "outside"], "safe to quote"),
    ] {
        for command in [
            &["measure"][..],
            &["estimate", "--thickness", "10", "--no-shop"],
        ] {
            let to = if command[0] == "estimate" {
                &["--report", page, "--force"][..]
            } else {
                &[]
            };
            let arguments = [command, said, to, &["--json", path]].concat();
            let output = kerfcast().args(arguments).output().expect("it runs");
            let json = json(&output);
            let of = if command[0] == "measure" {
                &json[0]["import"]
            } else {
                &json[0]
            };
            assert_eq!(of["verdict"], verdict, "{command:?} {said:?}");
            if command[0] == "estimate" {
                let wires = of["wires"].as_array().expect("wires");
                let wire = |w: &Value| (w["cost"]["part"].as_f64(), w["cost_as_openings"].as_f64());
                costs.push(wires.iter().map(wire).collect::<Vec<_>>());
                // The report says of the first wire what the JSON says of it.
                let page = std::fs::read_to_string(page).expect("a report");
                let told = costs.last().and_then(|c| c.first()).and_then(|c| c.1);
                let style = Style::plain(System::Metric);
                let money =
                    |cost: &Value| style.money(Money::from_amount(cost.as_f64().expect("a cost")));
                match told {
                    Some(_) => {
                        let [parts, openings] =
                            [&wires[0]["cost"]["part"], &wires[0]["cost_as_openings"]].map(money);
                        let told = format!("{parts} as parts, {openings} as openings in a plate");
                        assert!(page.contains(&told), "{told}");
                    }
                    None => assert!(!page.contains("as openings in a plate")),
                }
            }
        }
    }
    // What is told while it is a question is what the same call says once it is answered.
    let [unsaid, inside, outside] = &costs[..] else {
        panic!("three estimates")
    };
    assert!(unsaid.len() > 1);
    for ((asked, inside), outside) in unsaid.iter().zip(inside).zip(outside) {
        assert!(asked.0.is_some() && asked.1.is_some());
        assert_eq!(*inside, (asked.0, None));
        assert_eq!(*outside, (asked.1, None));
    }
}

#[test]
fn a_job_of_this_program_is_named_as_one() {
    let folder = tempfile::tempdir().expect("a folder");
    let drawing = sample(&folder);
    let job = folder.path().join("plate.kerfcast");
    let (drawing, job) = (drawing.to_str().unwrap(), job.to_str().unwrap());
    let made = ["job", "new", job, drawing, "--thickness", "10", "--no-shop"];
    assert!(kerfcast().args(made).status().expect("it runs").success());
    let text = String::from_utf8_lossy(&measured(&[job]).stdout).into_owned();
    assert!(
        text.contains("a job of Kerfcast") && text.contains("job show"),
        "{text}"
    );
}

/// Into the pipe nobody writes for two seconds: that is told, and what comes then is measured.
#[cfg(unix)]
#[test]
fn whoever_waits_for_a_file_is_told_so() {
    let folder = tempfile::tempdir().expect("a folder");
    let drawing = std::fs::read(sample(&folder)).expect("the sample");
    let pipe = folder.path().join("pipe.dxf");
    let made = Command::new("mkfifo").arg(&pipe).status();
    assert!(made.expect("mkfifo").success());
    let mut child = kerfcast()
        .args(["measure", "--json"])
        .arg(&pipe)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("it starts");
    let mut told = String::new();
    let errors = child.stderr.take().expect("its messages");
    let mut errors = std::io::BufReader::new(errors);
    // Comes while nobody writes: without it this waits for ever.
    std::io::BufRead::read_line(&mut errors, &mut told).expect("it is told");
    assert!(
        told.contains("still waiting for this file") && told.contains("pipe.dxf"),
        "{told}"
    );
    std::fs::write(&pipe, drawing).expect("written into the pipe");
    let output = child.wait_with_output().expect("it ends");
    assert_eq!(json(&output)[0]["totals"]["outlines"], 1);
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

/// Lines in mm, each from and to.
fn lines(folder: &tempfile::TempDir, list: &[[f64; 4]]) -> String {
    let path = folder.path().join("lines.dxf");
    let lines = list
        .iter()
        .map(|[a, b, c, d]| format!("0\nLINE\n8\n0\n10\n{a}\n20\n{b}\n11\n{c}\n21\n{d}\n"));
    let text = format!(
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{}0\nENDSEC\n0\nEOF\n",
        lines.collect::<String>()
    );
    std::fs::write(&path, text).expect("the sample is written");
    path.to_str().expect("a plain path").to_owned()
}

fn json(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).expect("it is JSON")
}

#[test]
fn offers_are_listed_and_taken_by_their_ids() {
    let folder = tempfile::tempdir().expect("a folder");
    // A square of 100 whose sides run 0.2 past its corners.
    let path = lines(
        &folder,
        &[
            [0.0, 100.2, 0.0, -0.2],
            [100.2, 0.0, -0.2, 0.0],
            [-0.2, 100.0, 100.2, 100.0],
            [100.0, -0.2, 100.0, 100.2],
        ],
    );
    let listed = json(&measured(&["--json", &path]));
    let findings = listed[0]["import"]["findings"].as_array().expect("a list");
    let crossing = findings.iter().find(|f| f["code"] == "crossing");
    let offers = crossing.expect("it crosses")["offers"]
        .as_array()
        .expect("offers")
        .clone();
    assert_eq!(offers.len(), 8);
    let first = &offers[0];
    let id = first["id"].as_str().expect("an id");
    assert_eq!(first["accept"], format!("--accept {id}"));
    assert!(first["does"].as_str().expect("words").contains("0.20 mm"));
    let taken = json(&measured(&["--json", "--accept", "all", &path]));
    assert_eq!(taken[0]["totals"]["cut_length_mm"], 400.0);
    assert_eq!(taken[0]["totals"]["outlines"], 1);
    // Every one by its id does the same.
    let mut arguments = vec!["--json"];
    for offer in &offers {
        arguments.extend(["--accept", offer["id"].as_str().expect("an id")]);
    }
    arguments.push(&path);
    assert_eq!(json(&measured(&arguments))[0]["totals"], taken[0]["totals"]);
    let none = measured(&["--json", "--accept", "trim-99-end", &path]);
    assert_eq!(none.status.code(), Some(1));
    let message = &json(&none)[0]["error"]["message"];
    assert!(message.as_str().expect("a message").contains("trim-99-end"));
}

#[test]
fn joining_at_sides_can_be_chosen() {
    let folder = tempfile::tempdir().expect("a folder");
    // Three sides of a square of 100 on a base of 140.
    let path = lines(
        &folder,
        &[
            [-20.0, 0.0, 120.0, 0.0],
            [0.0, 0.0, 0.0, 100.0],
            [0.0, 100.0, 100.0, 100.0],
            [100.0, 100.0, 100.0, 0.0],
        ],
    );
    for (choice, outlines) in [("never", 0), ("outline", 1), ("always", 1)] {
        let choice = format!("--join-at-sides={choice}");
        let found = json(&measured(&["--json", &choice, &path]));
        assert_eq!(found[0]["totals"]["outlines"], outlines, "{choice}");
    }
}

#[test]
fn every_part_is_listed_with_its_own_numbers() {
    let folder = tempfile::tempdir().expect("a folder");
    let square = |x: f64| {
        let (u, v) = (x + 10.0, 10.0);
        [
            [x, 0.0, u, 0.0],
            [u, 0.0, u, v],
            [u, v, x, v],
            [x, v, x, 0.0],
        ]
    };
    let path = lines(&folder, &[square(0.0), square(200.0)].concat());
    let found = json(&measured(&["--json", &path, &path]));
    assert_eq!(found.as_array().map(Vec::len), Some(2));
    let parts = found[1]["parts"].as_array().expect("a list");
    assert_eq!((parts.len(), &parts[1]["name"]), (2, &"part 2".into()));
    assert_eq!(parts[1]["cut_length_mm"], 40.0);
    assert_eq!(
        parts[1]["bounds_mm"],
        serde_json::json!([200.0, 0.0, 210.0, 10.0])
    );
    assert_eq!(parts[1]["contours"], serde_json::json!([1]));
}

#[test]
fn scale_and_notes_of_a_drawing() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("large.dxf");
    let text = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n\
        0\nCIRCLE\n8\n0\n10\n100\n20\n0\n40\n50\n0\nTEXT\n8\nwords\n10\n200\n20\n0\n40\n2\n1\nSCALE 10:1\n\
        0\nTEXT\n8\nwords\n10\n200\n20\n-20\n40\n2\n1\nMaterial: D2, t = 20\n0\nENDSEC\n0\nEOF\n";
    std::fs::write(&path, text).expect("the sample is written");
    let path = path.to_str().expect("a plain path");
    let object = |more: &[&str]| -> Value {
        let arguments: Vec<&str> = [&["--json", path], more].concat();
        let output = measured(&arguments);
        assert_eq!(output.status.code(), Some(0));
        let all: Value = serde_json::from_slice(&output.stdout).expect("JSON");
        all[0].clone()
    };
    let as_drawn = object(&[]);
    assert_eq!(as_drawn["scale"]["used"], 1.0);
    assert_eq!(as_drawn["scale"]["from"], "default");
    assert_eq!(as_drawn["scale"]["offered"]["scale"], 10.0);
    assert_eq!(as_drawn["scale"]["offered"]["from"], "text");
    assert_eq!(as_drawn["import"]["skipped"]["TEXT"], 2);
    let notes = as_drawn["notes"].as_array().expect("a list");
    assert_eq!(notes[0]["says"], serde_json::json!({ "scale": 10.0 }));
    assert_eq!(notes[0]["at_mm"], serde_json::json!([200.0, 0.0]));
    let says = serde_json::json!({ "material": "cold-work tool steel", "thickness_mm": 20.0 });
    assert_eq!(notes[1]["says"], says);
    let taken = object(&["--scale", "10:1"]);
    assert_eq!(taken["scale"]["used"], 10.0);
    assert_eq!(taken["scale"]["from"], "option");
    assert_eq!(taken["notes"][0]["at_mm"], serde_json::json!([20.0, 0.0]));
    // A circle of radius 5.
    let length = taken["totals"]["cut_length_mm"].as_f64().expect("a number");
    assert!((length - 10.0 * std::f64::consts::PI).abs() < 1e-9);
    assert_eq!(measured(&["--scale", "ten", path]).status.code(), Some(2));
    // An estimate says what nobody has taken or given, and no more than that.
    let estimate = |more: &[&str]| -> String {
        let output = kerfcast()
            .args(["estimate", "--thickness", "20", path])
            .args(more)
            .output()
            .expect("the command runs");
        String::from_utf8(output.stdout).expect("UTF-8")
    };
    let unasked = estimate(&[]);
    assert!(unasked.contains("To take it: --scale 10:1."), "{unasked}");
    assert!(unasked.contains("Material is assumed"), "{unasked}");
    let given = estimate(&["--scale", "10:1", "--material", "cold-work tool steel"]);
    assert!(
        !given.contains("--scale") && !given.contains("assumed"),
        "{given}"
    );
}
