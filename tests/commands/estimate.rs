//! The headless command as a script calls it.

use serde_json::Value;

use crate::calling;

use calling::{SAMPLES, json, number, run, sample, sum};

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
            "allowance",
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
        let parts: f64 = [
            "holes",
            "machine",
            "labour",
            "wire",
            "consumables",
            "setup",
            "loading",
            "dressing",
            "programming",
            "inspection",
            "allowance",
        ]
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
    let estimate = |more: &[&str]| {
        let args = ["estimate", &file, "--thickness", "30", "--json"];
        let wire = ["--wire", "hard plain brass@0.25"];
        let (v, code) = json(&[&args[..], &wire[..], more].concat());
        assert_eq!(code, Some(0));
        v[0]["wires"][0].clone()
    };
    // A radius that it leaves larger takes no figures away, unless it is required as drawn.
    for more in [&[][..], &["--as-drawn", "accepted"]] {
        let w = estimate(more);
        assert_eq!(
            (&w["possible"], &w["as_drawn"]),
            (&true.into(), &false.into())
        );
        assert!(w["minutes"]["total"].is_number());
        assert_eq!(w["warnings"][0]["code"], "inside-radius");
    }
    let w = estimate(&["--as-drawn", "required"]);
    assert_eq!(
        (&w["possible"], &w["as_drawn"]),
        (&false.into(), &false.into())
    );
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
    let head = csv.headers().expect("a header").clone();
    let place = |name: &str| head.iter().position(|h| h == name).expect(name);
    let rows: Vec<csv::StringRecord> = csv.records().flatten().collect();
    assert_eq!(rows.len(), 4);
    assert!(rows.iter().all(|r| r[place("run")].is_empty()));
    assert!(rows.iter().all(|r| r[place("part")].is_empty()));
    for pair in rows.chunks(2) {
        let number = |k: usize, name: &str| pair[k][place(name)].parse::<f64>().expect(name);
        // The differences are those of the figures beside them; the baseline has none.
        assert_eq!(&pair[0][place("minutes_difference")], "");
        let share = number(1, "minutes") / number(0, "minutes") - 1.0;
        assert!((number(1, "minutes_difference") - share).abs() < 1e-12);
        let share = number(1, "cost_part") / number(0, "cost_part") - 1.0;
        assert!((number(1, "cost_difference") - share).abs() < 1e-12);
        assert!(number(1, "probability_faster") > 0.5);
        assert!(number(1, "ra_high_um") < number(0, "ra_high_um"));
    }
}

#[test]
fn csv_says_how_the_wire_is_run() {
    let file = sample("latch-cam");
    let out = run(&[
        "estimate",
        "--csv",
        &file,
        "--thickness",
        "40",
        "--wire",
        "hard plain brass@0.25",
        "--wire",
        "hard plain brass@0.25:10/6",
    ]);
    let mut csv = csv::Reader::from_reader(out.stdout.as_slice());
    let head = csv.headers().expect("a header").clone();
    let run_off = head.iter().position(|h| h == "run").expect("run");
    let found: Vec<String> = (csv.records().flatten())
        .map(|r| r[run_off].to_owned())
        .collect();
    assert_eq!(found, ["", "10/6"]);
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

/// Two machines, a wrong row, and a library of the shop's own.
const CUTS: &str = "machine,date,material,wire,diameter_mm,thickness_mm,flushing,passes,cut_length_mm,cutting_minutes,wire_m,outlier
left,2026-01-05,cold-work tool steel,hard plain brass,0.25,60,close,1,500,150,1500,
left,2026-01-06,cold-work tool steel,hard plain brass,0.25,60,close,1,500,long,1500,
left,2026-01-07,cold-work tool steel,zinc-coated brass,0.25,60,close,4,500,280,2600,
right,2026-01-04,cold-work tool steel,hard plain brass,0.25,60,close,1,500,300,,
right,2026-01-04,cold-work tool steel,hard plain brass,0.25,60,close,1,500,900,,yes
";

#[test]
fn learn_says_what_finished_cuts_teach_and_estimates_follow() {
    let folder = tempfile::tempdir().expect("a folder");
    let cuts = folder.path().join("cuts.csv");
    std::fs::write(&cuts, CUTS).expect("written");
    let cuts = cuts.to_str().expect("UTF-8");
    let out = run(&["learn", cuts, "--json"]);
    assert_eq!(out.status.code(), Some(0));
    let said = String::from_utf8_lossy(&out.stderr).into_owned();
    assert!(said.contains("Line 3: cutting_minutes is “long”"), "{said}");
    let v: Value = serde_json::from_slice(&out.stdout).expect("JSON");
    assert_eq!(v["cuts"], 4);
    assert_eq!(v["unused"][0]["line"], 3);
    let rows = v["rows"].as_array().expect("rows");
    assert_eq!(rows.len(), 4);
    // 500 mm × 60 mm ÷ 150 mm²/min = 200 min.
    assert!((number(&rows[0]["before_minutes"]) - 200.0).abs() < 1e-9);
    assert_eq!(
        (&rows[3]["outlier"], &rows[3]["row"]),
        (&Value::Bool(true), &Value::from(5))
    );
    let of = |machine: &str, name: &str| {
        let all = v["factors"].as_array().expect("factors");
        let one = all
            .iter()
            .find(|f| f["machine"] == machine && f["name"] == name);
        one.map(|f| {
            (
                number(&f["log_mean"]),
                number(&f["log_sd"]),
                number(&f["prior_log_sd"]),
            )
        })
    };
    let (mean, sd, prior) = of("left", "machine").expect("a machine");
    assert!(mean > 0.1 && sd < prior && prior == 0.35);
    assert!(of("right", "machine").expect("a machine").0 < 0.0);
    // One cut at 300 where 200 were said, by hand: ln(2/3)·0.35²/(0.35² + s² + 0.10²), s half of ln(1.1/0.9).
    let s = 0.5 * (1.1_f64 / 0.9).ln();
    let expected = (2.0_f64 / 3.0).ln() * 0.1225 / (0.1225 + s * s + 0.01);
    assert!((of("right", "machine").expect("a machine").0 - expected).abs() < 1e-9);
    assert!(number(&v["error_log_rms"]["after"]) < number(&v["error_log_rms"]["before"]));

    let file = sample("latch-cam");
    let minutes = |more: &[&str]| {
        let call = [&["estimate", &file, "--thickness", "60", "--json"], more].concat();
        let (v, code) = json(&call);
        assert_eq!(code, Some(0));
        let m = &v[0]["wires"][0]["minutes"];
        let because = v[0]["wires"][0]["lines"].to_string();
        (
            number(&m["cutting"]),
            number(&m["high"]) / number(&m["low"]),
            because,
        )
    };
    let (plain, width, _) = minutes(&[]);
    // The latest cut is the left machine's.
    let (left, narrower, because) = minutes(&["--learned", cuts]);
    let (right, ..) = minutes(&["--learned", cuts, "--machine", "right"]);
    assert!(left < plain && right > plain && narrower < width);
    assert!(because.contains("machine"), "{because}");
    let wrong = run(&[
        "estimate",
        &file,
        "--thickness",
        "60",
        "--learned",
        cuts,
        "--machine",
        "middle",
    ]);
    assert_eq!(wrong.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&wrong.stderr).contains("left, right"));
}

#[test]
fn an_own_library_lies_over_the_built_in_one() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("own.toml");
    let own = "kerfcast_library = 1\n[[wire]]\nname = \"ours\"\ncopy_of = \"zinc-coated brass\"\nrelative_speed = 2.0\n";
    std::fs::write(&path, own).expect("written");
    let path = path.to_str().expect("UTF-8");
    let file = sample("latch-cam");
    let call = [
        "estimate",
        &file,
        "--thickness",
        "60",
        "--json",
        "--wire",
        "hard plain brass@0.25",
        "--wire",
        "ours@0.25",
    ];
    let (v, code) = json(&[&call[..], &["--library", path]].concat());
    assert_eq!(code, Some(0));
    let d = &v[0]["wires"][1]["against_baseline"];
    assert!(number(&d["minutes"]) < -0.3 && number(&d["probability_faster"]) > 0.95);
    assert!(v[0]["wires"][0]["against_baseline"].is_null());
    let unknown = run(&call);
    assert_eq!(unknown.status.code(), Some(2));
    std::fs::write(path, own.replace("2.0", "200")).expect("written");
    let refused = run(&[&call[..], &["--library", path]].concat());
    assert_eq!(refused.status.code(), Some(2));
    let said = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert!(
        said.contains("Line 5: wire “ours”, relative_speed: 200 lies outside"),
        "{said}"
    );
    // A file of cuts that is not there.
    let missing = run(&["learn", "no-such-cuts.csv"]);
    assert_eq!(missing.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&missing.stderr).contains("no-such-cuts.csv"));
}

#[test]
fn roughs_first_takes_a_threading_more_a_contour_and_the_alternatives_say_so() {
    let file = sample("latch-cam");
    let base = [
        "estimate",
        &file,
        "--thickness",
        "40",
        "--json",
        "--wire",
        "hard plain brass@0.25",
    ];
    let (turn, _) = json(&base);
    let (first, _) = json(&[&base[..], &["--order", "roughs-first", "--alternatives"]].concat());
    let w = &first[0]["wires"][0];
    let total = |v: &Value| number(&v[0]["wires"][0]["minutes"]["threading"]);
    assert!(total(&first) > total(&turn));
    let ways = w["ways"].as_array().expect("ways");
    let chosen = ways
        .iter()
        .find(|w| w["chosen"] == true)
        .expect("the way of the job is among them");
    assert_eq!(chosen["order"], "roughs-first");
    assert!((number(&chosen["minutes"]) - number(&w["minutes"]["total"])).abs() < 1e-9);
    // d/2 + gap of the last of four passes.
    assert!((number(&w["radius_left_mm"]) - 0.131).abs() < 1e-12);
}

#[test]
fn one_part_of_a_sheet_is_estimated_alone() {
    let folder = std::env::temp_dir().join(format!("kerfcast-parts-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let path = folder.join("sheet.dxf");
    let square = |x: i32, side: i32| {
        let (a, b) = (x, x + side);
        [
            (a, 0, b, 0),
            (b, 0, b, side),
            (b, side, a, side),
            (a, side, a, 0),
        ]
        .map(|(x0, y0, x1, y1)| format!("0\nLINE\n8\n0\n10\n{x0}\n20\n{y0}\n11\n{x1}\n21\n{y1}\n"))
        .concat()
    };
    let text = format!(
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{}{}0\nENDSEC\n0\nEOF\n",
        square(0, 10),
        square(300, 20)
    );
    std::fs::write(&path, text).expect("it is written");
    let file = path.display().to_string();
    let call = ["estimate", &file, "--thickness", "40", "--json"];
    let estimated = |more: &[&str]| json(&[&call[..], more].concat());
    let (together, _) = estimated(&[]);
    assert_eq!(together[0]["parts"], 2);
    assert!(together[0]["job"]["part"].is_null());
    // The rough runs round the part at its offset: by hand, a square of side a with an offset o outside
    // is 4a + 2πo long.
    for (part, side) in [("1", 10.0), ("2", 20.0)] {
        let (v, code) = estimated(&["--part", part]);
        assert_eq!(code, Some(0));
        assert_eq!(v[0]["job"]["part"].to_string(), part);
        let wire = &v[0]["wires"][0];
        let offset = number(&wire["pass_offset_mm"][0]);
        let length = number(&wire["pass_length_mm"][0]);
        let by_hand = 4.0 * side + std::f64::consts::TAU * offset;
        assert!((length - by_hand).abs() < 1e-6, "{length} and {by_hand}");
    }
    // A set: its figures are those of the whole estimate, and the steps of part 1 stand in it twice.
    let alone = |part| estimated(&["--part", part]).0[0]["wires"][0].clone();
    let (one, other) = (alone("1"), alone("2"));
    let (v, _) = estimated(&["--counts", "2,1"]);
    let all = &v[0]["wires"][0];
    for share in [
        "cutting",
        "corners",
        "threading",
        "slug_stops",
        "moves",
        "breaks",
    ] {
        let of = |w: &serde_json::Value| number(&w["minutes"][share]);
        let by_hand = 2.0 * of(&one) + of(&other);
        assert!(
            (of(all) - by_hand).abs() < 1e-9 * by_hand.max(1.0),
            "{share}"
        );
    }
    let set = &all["set"];
    assert_eq!(
        (&set["pieces"], &all["pieces"]["count"]),
        (&3.into(), &3.into())
    );
    assert_eq!(set["minutes"], all["minutes"]["total"]);
    assert_eq!(set["cost"], all["cost"]["part"]);
    assert!((sum(&all["lines"], "minutes") - number(&set["minutes"])).abs() < 1e-9);
    let text = run(&["estimate", &file, "--thickness", "40", "--counts", "2,1"]).stdout;
    let text = String::from_utf8(text).expect("UTF-8");
    assert!(text.contains("a set is 2 × part 1, 1 × part 2"), "{text}");
    assert!(text.contains("1 set of 3 parts"), "{text}");
    // The largest hole of the list is Ø 0.3, through which no 0.25 wire goes.
    let (v, _) = estimated(&["--hole-sizes", "0.2,0.3", "--wire", "hard plain brass@0.25"]);
    let blockers = v[0]["wires"][0]["blockers"].to_string();
    assert!(blockers.contains("no-start-hole"), "{blockers}");
    for wrong in ["", "0", "0.5,two"] {
        let call = [&call[..], &["--hole-sizes", wrong]].concat();
        assert_eq!(run(&call).status.code(), Some(2), "{wrong}");
    }
    let (v, code) = estimated(&["--part", "3"]);
    assert_eq!(code, Some(1));
    let message = v[0]["error"]["message"].to_string();
    assert!(message.contains("2 parts"), "{message}");
    std::fs::remove_dir_all(&folder).expect("it is removed");
}

#[test]
fn threading_by_hand_is_asked_for_and_always_meant_by_a_reel() {
    let file = sample("latch-cam");
    let base = ["estimate", &file, "--thickness", "40", "--json", "--wire"];
    let wire = "hard plain brass@0.25";
    let threading = |more: &[&str]| {
        let (v, _) = json(&[&base[..], more].concat());
        number(&v[0]["wires"][0]["minutes"]["threading"])
    };
    let by_machine = threading(&[wire]);
    // Five minutes instead of one, each time.
    assert!((threading(&[wire, "--thread-by-hand"]) - 5.0 * by_machine).abs() < 1e-9);
    let reel = format!("{wire}:reel 200/80");
    assert!((threading(&[&reel]) - 5.0 * by_machine).abs() < 1e-9);
}

#[test]
fn the_list_for_the_drill_is_written_once_and_never_over_the_drawing() {
    let folder = tempfile::tempdir().expect("a folder");
    let drawing = folder.path().join("latch.dxf");
    std::fs::copy(sample("latch-cam"), &drawing).expect("a copy");
    let list = folder.path().join("holes.csv");
    let (drawing, list) = (drawing.display().to_string(), list.display().to_string());
    let export = |to: &str, more: &[&str]| {
        let mut call = vec![
            "export",
            &drawing,
            "--thickness",
            "40",
            "--wire",
            "hard plain brass@0.25",
            "--holes",
            to,
        ];
        call.extend(more);
        run(&call).status.code()
    };
    assert_eq!(export(&list, &[]), Some(0));
    let text = std::fs::read_to_string(&list).expect("a list");
    let mut lines = text.lines();
    assert_eq!(lines.next(), Some("number,x_mm,y_mm,diameter_mm,depth_mm"));
    // As many as the estimate counts, every one through the whole plate.
    let (v, _) = json(&[
        "estimate",
        &drawing,
        "--thickness",
        "40",
        "--wire",
        "hard plain brass@0.25",
        "--json",
    ]);
    let cut = v[0]["wires"][0]["lines"].as_array().expect("lines");
    let threaded = cut.iter().filter(|l| l["what"] == "lead-in").count();
    let rows: Vec<&str> = lines.collect();
    assert!(threaded > 0 && rows.len() == threaded && rows.iter().all(|r| r.ends_with(",40")));
    assert_eq!(export(&list, &[]), Some(2));
    // How deep a hole is nobody can guess.
    let without = run(&["export", &drawing, "--holes", &list, "--force"]);
    assert_eq!(without.status.code(), Some(2));
    assert_eq!(export(&list, &["--force"]), Some(0));
    let before = std::fs::read(&drawing).expect("the drawing");
    assert_eq!(export(&drawing, &["--force"]), Some(2));
    assert_eq!(std::fs::read(&drawing).expect("the drawing"), before);
    // From the edge of the blank one hole less is drilled.
    assert_eq!(export(&list, &["--force", "--from-edge"]), Some(0));
    let fewer = std::fs::read_to_string(&list).expect("a list");
    assert_eq!(fewer.lines().count(), text.lines().count() - 1);
}
