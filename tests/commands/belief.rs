//! The headless command: finish, cost, comparisons and the report.

use crate::calling;

use calling::{json, number, run, sample, sum};

#[test]
fn the_table_shows_the_differences_against_the_baseline() {
    let file = sample("latch-cam");
    let out = run(&["estimate", &file, "--thickness", "40"]);
    let text = String::from_utf8_lossy(&out.stdout).into_owned();
    assert!(
        text.contains("Differences are against hard plain brass Ø 0.25 mm"),
        "{text}"
    );
    let coated = text
        .lines()
        .find(|l| l.contains("gamma-phase"))
        .expect("the coated wire");
    assert_eq!(coated.matches('−').count(), 3, "{coated}");
}

#[test]
fn a_finish_that_is_wanted_names_the_smallest_plan_wire_by_wire() {
    let file = sample("latch-cam");
    let (v, code) = json(&[
        "estimate",
        &file,
        "--thickness",
        "40",
        "--json",
        "--ra",
        "0.95",
        "--wire",
        "hard plain brass@0.25",
        "--wire",
        "zinc-coated brass@0.25:10/9/5",
    ]);
    assert_eq!(code, Some(0));
    let wires = &v[0]["wires"];
    // Skim 2 leaves up to 1.0 µm with plain brass (common practice, from memory).
    assert_eq!(wires[0]["advice"]["usually_enough_passes"], 4);
    assert_eq!(wires[1]["advice"]["usually_enough_passes"], 3);
    assert!(number(&wires[0]["advice"]["last_pass"]["minutes"]) > 0.0);
    assert_eq!(wires[0]["finish"]["in_doubt"], false);
    assert_eq!(wires[1]["finish"]["in_doubt"], true);
    assert_eq!(wires[1]["warnings"][0]["code"], "finish-in-doubt");
    let because = wires[1]["finish"]["because"].as_str().expect("a reason");
    assert!(because.contains("judgement"), "{because}");
    assert_eq!(
        wires[1]["pass_run_off_m_min"],
        serde_json::json!([10.0, 9.0, 5.0, 5.0])
    );
}

#[test]
fn what_the_shop_adds_is_in_the_cost_and_says_why() {
    let file = sample("latch-cam");
    let base = [
        "estimate",
        &file,
        "--thickness",
        "40",
        "--json",
        "--wire",
        "hard plain brass@0.25",
        "--quantity",
        "4",
    ];
    let added = [
        "--programming",
        "2",
        "--inspection",
        "12",
        "--blank-price",
        "30",
        "--other-cost",
        "4",
        "--markup",
        "10",
        "--labour-rate",
        "50",
    ];
    let cost = |more: &[&str]| {
        let (v, code) = json(&[&base[..], more].concat());
        assert_eq!(code, Some(0));
        v[0]["wires"][0]["cost"].clone()
    };
    let plain = cost(&["--labour-rate", "50"]);
    // Six of every job, programming, inspection, loading, dressing where the tab was, and the allowance.
    assert_eq!(plain["lines"].as_array().map(Vec::len), Some(11));
    let c = cost(&added);
    // By hand: 2 h at 50 over 4 parts; 12 min at 50 an hour.
    assert!((number(&c["programming"]) - 25.0).abs() < 1e-9);
    assert!((number(&c["inspection"]) - 10.0).abs() < 1e-9);
    let usual = number(&plain["programming"]) + number(&plain["inspection"]);
    // What is given is known, so the allowance for what may run long is less.
    let allowed = number(&plain["allowance"]) - number(&c["allowance"]);
    assert!(allowed > 0.0 && number(&c["allowance"]) > 0.0);
    let before = number(&plain["part"]) - usual - allowed + 25.0 + 10.0 + 30.0 + 4.0;
    assert!((number(&c["part"]) - 1.1 * before).abs() < 1e-9);
    assert!((sum(&c["lines"], "amount") - number(&c["part"])).abs() < 1e-9);
    assert!(c["lines"].to_string().contains("programming of the lot"));
    let wrong = run(&[&base[..], &["--markup", "-5"]].concat());
    assert_eq!(wrong.status.code(), Some(2));
}

#[test]
fn two_drawings_and_two_jobs_are_split_into_their_parts() {
    let (a, b) = (sample("latch-cam"), sample("escapement-wheel"));
    let wire = ["--wire", "hard plain brass@0.25", "--json"];
    let total = |file: &str, thickness: &str| {
        let call = [&["estimate", file, "--thickness", thickness], &wire[..]].concat();
        number(&json(&call).0[0]["wires"][0]["minutes"]["total"])
    };
    for (call, before, after, words) in [
        (
            vec![&*a, &*b, "--thickness", "20"],
            (&a, "20"),
            (&b, "20"),
            0,
        ),
        (
            vec![&*a, "--thickness", "20", "--then-thickness", "60"],
            (&a, "20"),
            (&a, "60"),
            1,
        ),
    ] {
        let (v, code) = json(&[&["compare"], &call[..], &wire[..]].concat());
        assert_eq!(code, Some(0));
        let w = &v["wires"][0];
        let difference = total(after.0, after.1) - total(before.0, before.1);
        assert!((number(&w["minutes"]["difference"]) - difference).abs() < 1e-9);
        assert!((sum(&w["minutes"]["parts"], "difference") - difference).abs() < 1e-9);
        let split = &w["wire_m"];
        let parts: f64 = ["by_time", "by_run_off", "by_threading"]
            .iter()
            .map(|k| number(&split[k]))
            .sum();
        assert!((parts - number(&split["difference"])).abs() < 1e-9);
        assert_eq!(w["decided_otherwise"].as_array().map(Vec::len), Some(words));
    }
    // What really happened: 20 % more cutting and 20 % more wire.
    let (v, _) = json(&[&["estimate", &a, "--thickness", "20"], &wire[..]].concat());
    let m = &v[0]["wires"][0]["minutes"];
    let cutting = number(&m["cutting"]) + number(&m["corners"]);
    let actual = (1.2 * cutting).to_string();
    let call = ["compare", &a, "--thickness", "20", "--actual", &actual];
    let (v, _) = json(&[&call, &wire[..]].concat());
    let minutes = &v["wires"][0]["minutes"];
    assert!((number(&minutes["difference"]) - 0.2 * cutting).abs() < 1e-9);
    assert_eq!(minutes["cutting_in_proportion"], true);
    // Nothing that differs is no comparison.
    let out = run(&["compare", &a, "--thickness", "20"]);
    assert_eq!(out.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&out.stderr).contains("--then-thickness"));
}

/// Names of tags that are opened and not closed, or closed and not opened: none in a well-formed page.
fn unbalanced(html: &str) -> Vec<String> {
    let mut open: Vec<String> = Vec::new();
    let mut wrong = Vec::new();
    for tag in html.split('<').skip(1) {
        let inside = tag.split('>').next().unwrap_or_default();
        let name = |s: &str| s.split_whitespace().next().unwrap_or_default().to_owned();
        if inside.starts_with('!') || inside.ends_with('/') {
            continue;
        }
        match inside.strip_prefix('/') {
            Some(end) => {
                if open.pop().as_deref() != Some(end) {
                    wrong.push(end.to_owned());
                }
            }
            None => open.push(name(inside)),
        }
    }
    wrong.extend(open);
    wrong
}

#[test]
fn a_report_holds_the_figures_their_reasons_and_the_cautions() {
    let folder = tempfile::tempdir().expect("a folder");
    let page = folder.path().join("report.html");
    let page = page.to_str().expect("UTF-8");
    let file = sample("latch-cam");
    let call = [
        "estimate",
        &file,
        "--thickness",
        "40",
        "--material",
        "titanium alloy",
        "--json",
        "--report",
        page,
    ];
    let (v, code) = json(&call);
    assert_eq!(code, Some(0));
    let html = std::fs::read_to_string(page).expect("written");
    assert_eq!(unbalanced(&html), Vec::<String>::new());
    for w in v[0]["wires"].as_array().expect("wires") {
        assert!(html.contains(w["wire"].as_str().expect("a name")));
        // From a hundred on the range leaves no cents worth writing.
        let cost = number(&w["cost"]["part"]);
        let cost = if cost < 100.0 {
            format!("{cost:.2}")
        } else {
            format!("{cost:.0}")
        };
        assert!(html.contains(&cost), "{cost}");
        let minutes = format!("{:.1}", number(&w["minutes"]["total"]));
        assert!(html.contains(&minutes), "{minutes}");
    }
    for words in [
        "<svg",
        "two in three",
        "judgement",
        "common practice",
        "machine maker",
        "Reactive fines",
        "planning aid",
        "start holes",
    ] {
        assert!(html.contains(words), "{words}");
    }
    // Nothing is fetched and nothing runs.
    assert!(!html.contains("<script") && !html.contains("src=") && !html.contains("<link"));
    let two = run(&[&call[..], &[&sample("escapement-wheel")]].concat());
    assert_eq!(two.status.code(), Some(2));
    let nowhere = run(&[
        "estimate",
        &file,
        "--thickness",
        "40",
        "--report",
        "/no/such/folder/x.html",
    ]);
    assert_eq!(nowhere.status.code(), Some(1));
}
