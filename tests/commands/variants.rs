//! The headless command: what differs between two drawings of a part contour by contour, and quick variants of one.

use crate::calling;

use calling::{json, number, run, sample};
use kerfcast::enquiry::Enquiry;
use kerfcast::job::{Edit, Variant};
use kerfcast::samples;
use kerfcast::units::Length;
use serde_json::Value;

const WIRE: [&str; 4] = ["--thickness", "20", "--wire", "hard plain brass@0.25"];

fn compared(call: &[&str]) -> Value {
    let (v, code) = json(&[&["compare"], call, &WIRE[..], &["--json"]].concat());
    assert_eq!(code, Some(0));
    v
}

fn list<'a>(v: &'a Value, key: &str) -> &'a [Value] {
    v[key].as_array().expect("a list")
}

fn words(v: &Value) -> Vec<&str> {
    let all = list(&v["revision"], "contours").iter();
    all.map(|c| c["what"].as_str().unwrap_or_default())
        .collect()
}

/// Each contour's minutes and what is elsewhere, together, are the difference.
fn sums(v: &Value) {
    let w = &v["wires"][0];
    let each: f64 = list(w, "contours")
        .iter()
        .map(|c| number(&c["minutes"]))
        .sum();
    let elsewhere = number(&w["elsewhere"]["minutes"]);
    let whole = number(&w["minutes"]["difference"]);
    assert!(
        (each + elsewhere - whole).abs() < 1e-9,
        "{each} {elsewhere} {whole}"
    );
    assert_eq!(list(w, "contours").len(), words(v).len());
}

#[test]
fn a_drawing_against_itself_is_the_same_all_over() {
    for s in samples::ALL {
        let file = sample(s.name.trim_end_matches(".dxf"));
        let v = compared(&[&file, &file]);
        assert!(words(&v).iter().all(|w| *w == "same"), "{}", s.name);
        assert_eq!(number(&v["revision"]["turned_degrees"]), 0.0);
        assert_eq!(v["revision"]["mirrored"], false);
        for w in list(&v, "wires") {
            assert!(number(&w["minutes"]["difference"]) == 0.0);
        }
    }
}

#[test]
fn an_opening_left_out_is_removed_and_saves_its_minutes() {
    let file = sample("loom-stamping-die");
    let v = compared(&[&file, "--keep", "outside", "--then-leave-out", "2"]);
    let removed: Vec<_> = words(&v).into_iter().filter(|w| *w == "removed").collect();
    assert_eq!(removed.len(), 1);
    let all = list(&v["revision"], "contours");
    let k = all
        .iter()
        .position(|c| c["what"] == "removed")
        .expect("one");
    assert_eq!(all[k]["before"], 1);
    assert!(all[k]["after"].is_null());
    assert!(number(&v["wires"][0]["contours"][k]["minutes"]) < 0.0);
    sums(&v);
}

#[test]
fn twice_as_large_is_twice_as_long_and_mirrored_is_the_same_part() {
    let file = sample("latch-cam");
    let v = compared(&[&file, "--then-scale", "2"]);
    assert!(words(&v).iter().all(|w| *w == "changed"));
    sums(&v);
    let parts = list(&v["wires"][0]["minutes"], "parts");
    let rough = parts
        .iter()
        .find(|p| p["what"] == "rough")
        .expect("roughing");
    // The rough's path is the contour and a constant more, so a little less than twice.
    let ratio = number(&rough["after"]) / number(&rough["before"]);
    assert!((1.9..2.05).contains(&ratio), "{ratio}");
    let v = compared(&[&file, "--then-mirror"]);
    assert!(number(&v["wires"][0]["minutes"]["difference"]).abs() < 1e-6);
}

#[test]
fn inside_radii_are_said_with_what_they_cost() {
    let file = sample("splined-bore");
    let v = compared(&[&file, "--then-inside-radii", "0.3"]);
    let made = number(&v["revision"]["inside_radii_made"]);
    let without = number(&v["revision"]["inside_radii_without_room"]);
    assert!(made + without > 0.0);
    sums(&v);
    let out = run(&[&["compare", &file, "--then-inside-radii", "0.3"], &WIRE[..]].concat());
    let text = String::from_utf8_lossy(&out.stdout).into_owned();
    assert!(text.contains("inside corners"), "{text}");
}

#[test]
fn what_cannot_be_made_is_told() {
    let file = sample("latch-cam");
    for (call, told) in [
        (["--then-leave-out", "99"], "numbered from 1"),
        (["--then-scale", "1000"], "0.01 to 100"),
        (["--then-inside-radii", "500"], "inside radius between"),
    ] {
        let out = run(&[&["compare", &file], &call[..], &WIRE[..]].concat());
        assert_eq!(out.status.code(), Some(2));
        let text = String::from_utf8_lossy(&out.stderr).into_owned();
        assert!(text.contains(told), "{text}");
    }
}

#[test]
fn several_variants_stand_in_one_table_with_their_names_and_differences() {
    let file = sample("splined-bore");
    let both = [
        "--variant",
        "thin and round: inside-radii=0.3, thickness=10",
    ];
    let thin = ["--variant", "thickness=10"];
    let v = compared(&[&[&*file], &both[..], &thin[..]].concat());
    let all = list(&v, "variants");
    assert_eq!(all.len(), 2);
    assert_eq!(all[0]["name"], "thin and round");
    assert_eq!(
        list(&all[0], "changes"),
        ["inside-radii=0.3", "thickness=10"]
    );
    assert!(
        number(&all[0]["inside_radii_made"]) + number(&all[0]["inside_radii_without_room"]) > 0.0
    );
    assert_eq!(number(&all[1]["inside_radii_made"]), 0.0);
    let minutes = |k: usize| number(&all[k]["wires"][0]["minutes"]);
    // The same variant by the options for one alone.
    let one = compared(&[&file, "--then-thickness", "10"]);
    let after = number(&one["wires"][0]["after_minutes"]);
    assert!(
        (minutes(1) - after).abs() < 1e-6 * after,
        "{} {after}",
        minutes(1)
    );
    // What each contour changes sums up, with what is elsewhere, to the difference in time.
    let wire = &all[0]["wires"][0];
    let each: f64 = list(wire, "contours")
        .iter()
        .map(|c| number(&c["minutes"]))
        .sum();
    let before = number(&one["wires"][0]["before_minutes"]);
    let elsewhere = number(&wire["elsewhere"]["minutes"]);
    assert!((each + elsewhere - (minutes(0) - before)).abs() < 1e-6 * before);
    let out = run(&[&["compare", &*file], &both[..], &thin[..], &WIRE[..]].concat());
    let text = String::from_utf8_lossy(&out.stdout).into_owned();
    for told in [
        "Δ time",
        "as it is",
        "thin and round",
        "10 mm thick",
        "inside corners",
    ] {
        assert!(text.contains(told), "{told} in {text}");
    }
}

#[test]
fn what_is_no_variant_is_told() {
    let file = sample("latch-cam");
    for (variant, told) in [
        ("thin: leave-out=99", "numbered from 1"),
        ("thin: scale=1000", "0.01 to 100"),
        ("thin", "inside-radii=0.3"),
        ("thin: thinner=2", "inside-radii=0.3"),
    ] {
        let out = run(&[&["compare", &*file, "--variant", variant], &WIRE[..]].concat());
        assert_eq!(out.status.code(), Some(2), "{variant}");
        let text = String::from_utf8_lossy(&out.stderr).into_owned();
        assert!(text.contains(told), "{text}");
    }
}

#[test]
fn an_estimate_writes_the_variants_that_a_comparison_writes() {
    let file = sample("splined-bore");
    let asked = ["--variant", "thin: thickness=10", "--variant", "mirror"];
    let compared = compared(&[&[&*file], &asked[..]].concat());
    let call = [&["estimate", &*file], &asked[..], &WIRE[..]].concat();
    let (estimated, code) = json(&[&call[..], &["--json"]].concat());
    assert_eq!(code, Some(0));
    assert_eq!(estimated[0]["variants"], compared["variants"]);
    // Without any there is no such key: what reads it from before reads it still.
    let (plain, _) = json(&[&["estimate", &*file][..], &WIRE[..], &["--json"]].concat());
    assert!(plain[0].get("variants").is_none());
    assert_eq!(plain[0]["wires"], estimated[0]["wires"]);
    let text = run(&call).stdout;
    let text = String::from_utf8_lossy(&text).into_owned();
    for told in ["as it is", "thin  ", "mirrored"] {
        assert!(text.contains(told), "{told} in {text}");
    }
    // A contour that is not there is told of that drawing.
    let wrong = ["--variant", "thin: leave-out=99"];
    let out = run(&[&["estimate", &*file], &wrong[..], &WIRE[..]].concat());
    assert_eq!(out.status.code(), Some(1));
    let told = String::from_utf8_lossy(&out.stderr).into_owned();
    assert!(told.contains("numbered from 1"), "{told}");
}

#[test]
fn a_job_file_shows_the_variants_that_are_kept_in_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("bore.kerfcast");
    let file = sample("splined-bore");
    let out = path.to_string_lossy().into_owned();
    let made = run(&[&["job", "new", &*out, &*file], &WIRE[..]].concat());
    assert!(made.status.success());
    let mut enquiry = Enquiry::load(&path).expect("it was just written");
    let thin = Variant::of(Edit::Thickness(Length::from_mm(10.0))).called("thin one");
    enquiry.items[0].job.variants = vec![thin];
    enquiry.save(&path).expect("written");
    let (shown, code) = json(&["job", "show", &out, "--json"]);
    assert_eq!(code, Some(0));
    let variants = &shown["items"][0]["variants"];
    let compared = compared(&[&*file, "--variant", "thin one: thickness=10"]);
    assert_eq!(variants, &compared["variants"]);
    let text = run(&["job", "show", &out]).stdout;
    let text = String::from_utf8_lossy(&text).into_owned();
    for told in ["variants kept with it", "as it is", "thin one"] {
        assert!(text.contains(told), "{told} in {text}");
    }
}
