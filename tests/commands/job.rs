//! Job files, lists and batches as a script meets them: what a job file says is what the options say.

use crate::calling;

use calling::{json, number, run, sample};
use serde_json::Value;
use std::fs;
use std::path::Path;

fn text(path: &Path) -> String {
    path.display().to_string()
}

/// An estimate of one drawing, without what only names it.
fn wires(v: &Value) -> String {
    v[0]["wires"].to_string()
}

#[test]
fn a_job_file_estimates_as_its_options_did() {
    let folder = tempfile::tempdir().unwrap();
    let out = text(&folder.path().join("a.kerfcast"));
    let drawing = sample("latch-cam");
    let options = [
        "--thickness",
        "23.4",
        "--material",
        "1.4301",
        "--passes",
        "3",
        "--quantity",
        "7",
        "--setup",
        "1.25",
        "--wire",
        "hard plain brass@0.25:10/6",
        "--wire",
        "zinc-coated brass@0.2",
        "--begin",
        "Tue 9:30",
    ];
    let made = run(&[&["job", "new", &out, &drawing][..], &options].concat());
    assert!(
        made.status.success(),
        "{}",
        String::from_utf8_lossy(&made.stderr)
    );
    let (by_options, _) = json(&[&["estimate", "--json", &drawing][..], &options].concat());
    let (by_job, code) = json(&["estimate", "--json", "--job", &out]);
    assert_eq!(code, Some(0));
    // To the last bit: JSON carries numbers unrounded.
    assert_eq!(wires(&by_options), wires(&by_job));
    assert_eq!(by_job[0]["job"]["quantity"], 7);
    // The other options cannot be meant for a job file.
    let both = run(&["estimate", "--job", &out, "--thickness", "10"]);
    assert_eq!(both.status.code(), Some(2));

    let (shown, code) = json(&["job", "show", &out, "--json", "--breaks", "1,7"]);
    assert_eq!(code, Some(0), "{shown}");
    let item = &shown["items"][0];
    assert_eq!(item["seen"]["cost"], item["cost"]);
    assert_eq!(item["breaks"][1]["cost"], item["cost"]);
    assert!(number(&item["breaks"][0]["cost"]) > number(&item["cost"]));
    assert_eq!(
        number(&shown["totals"]["cost"]),
        7.0 * number(&item["cost"])
    );
}

#[test]
fn a_file_is_written_over_only_when_asked_and_an_input_never() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("a.kerfcast");
    let drawing = sample("latch-cam");
    fs::write(&out, "mine").unwrap();
    let call = |more: &[&str]| run(&[&["job", "new", &text(&out), &drawing][..], more].concat());
    let refused = call(&[]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&refused.stderr).contains("--force"));
    assert_eq!(fs::read(&out).unwrap(), b"mine");
    assert!(call(&["--force"]).status.success());
    // Thickness that nobody gave is assumed, and said to be.
    let (shown, _) = json(&["job", "show", &text(&out), "--json"]);
    assert_eq!(shown["items"][0]["assumed"][0], "thickness");
    let copy = folder.path().join("copy.dxf");
    fs::copy(&drawing, &copy).unwrap();
    let onto_itself = run(&["job", "new", &text(&copy), &text(&copy), "--force"]);
    assert_eq!(onto_itself.status.code(), Some(2));
    assert_eq!(fs::read(&copy).unwrap(), fs::read(&drawing).unwrap());
}

#[test]
fn a_list_makes_one_item_a_row_and_names_what_it_refuses() {
    let folder = tempfile::tempdir().unwrap();
    for name in ["latch-cam", "escapement-wheel"] {
        fs::copy(sample(name), folder.path().join(format!("{name}.dxf"))).unwrap();
    }
    let list = folder.path().join("items.csv");
    let out = text(&folder.path().join("all.kerfcast"));
    let new = |table: &str| {
        fs::write(&list, table).unwrap();
        run(&[
            "job",
            "new",
            &out,
            "--list",
            &text(&list),
            "--thickness",
            "30",
            "--force",
        ])
    };
    // As a spreadsheet in a country of decimal commas writes it.
    let made = new("Drawing;Quantity;Thickness_mm;Material;Wire;Note\n\
        latch-cam.dxf;4;12,5;1.2379;hard plain brass@0.25|zinc-coated brass@0.2;rush\n\
        escapement-wheel.dxf;;;;;\n");
    assert!(
        made.status.success(),
        "{}",
        String::from_utf8_lossy(&made.stderr)
    );
    let (shown, _) = json(&["job", "show", &out, "--json"]);
    let items = &shown["items"];
    assert_eq!(
        (&items[0]["quantity"], &items[0]["thickness_mm"]),
        (&4.into(), &12.5.into())
    );
    assert_eq!(items[0]["material"], "cold-work tool steel");
    assert_eq!(items[0]["note"], "rush");
    assert_eq!(
        (&items[1]["quantity"], &items[1]["thickness_mm"]),
        (&1.into(), &30.0.into())
    );
    // The table that is shown is a list again, and says the same.
    let table = run(&["job", "show", &out, "--csv"]).stdout;
    fs::write(&list, table).unwrap();
    let again = text(&folder.path().join("again.kerfcast"));
    assert!(
        run(&["job", "new", &again, "--list", &text(&list)])
            .status
            .success()
    );
    let (second, _) = json(&["job", "show", &again, "--json"]);
    for k in 0..2 {
        assert_eq!(second["items"][k]["cost"], items[k]["cost"]);
    }
    for (table, words) in [
        (
            "drawing,quantity\nlatch-cam.dxf,many\n",
            ["Line 2", "quantity"],
        ),
        (
            "drawing,material\nlatch-cam.dxf,\nlatch-cam.dxf,cheese\n",
            ["Line 3", "cheese"],
        ),
        (
            "drawing,wire\nlatch-cam.dxf,string@0.25\n",
            ["Line 2", "string"],
        ),
        ("drawing,colour\nlatch-cam.dxf,red\n", ["Line 1", "colour"]),
        ("quantity\n4\n", ["Line 1", "drawing"]),
        ("drawing,quantity\n,4\n", ["Line 2", "drawing"]),
    ] {
        let refused = new(table);
        let message = String::from_utf8_lossy(&refused.stderr).into_owned();
        assert_eq!(refused.status.code(), Some(2), "{message}");
        assert!(words.iter().all(|w| message.contains(w)), "{message}");
    }
}

#[test]
fn items_alike_share_a_set_up() {
    let folder = tempfile::tempdir().unwrap();
    let out = text(&folder.path().join("two.kerfcast"));
    let (a, b) = (sample("latch-cam"), sample("latch-cam"));
    let options = [
        "--thickness",
        "20",
        "--setup",
        "2",
        "--machine-rate",
        "40",
        "--labour-rate",
        "35",
        "--markup",
        "0",
    ];
    assert!(
        run(&[&["job", "new", &out, &a, &b][..], &options].concat())
            .status
            .success()
    );
    let (shown, _) = json(&["job", "show", &out, "--json"]);
    let totals = &shown["totals"];
    assert_eq!(
        totals["shared_setups"][0]["items"],
        serde_json::json!([1, 2])
    );
    // By hand: the second set-up of 2 h at 40 + 35 is saved.
    let saved = number(&totals["cost"]) - number(&totals["cost_with_shared_setups"]);
    assert!((saved - 150.0).abs() < 1e-9, "{saved}");
}

/// Lines of a table by the drawing's name.
fn lines(path: &Path) -> Vec<std::collections::HashMap<String, String>> {
    let mut reader = csv::Reader::from_path(path).unwrap();
    reader.deserialize().collect::<Result<_, _>>().unwrap()
}

#[test]
fn a_batch_says_of_every_drawing_what_its_estimate_says() {
    let folder = tempfile::tempdir().unwrap();
    let drawings = folder.path().join("drawings");
    fs::create_dir_all(drawings.join("below")).unwrap();
    for (name, to) in [
        ("latch-cam", "a.dxf"),
        ("escapement-wheel", "below/b.DXF"),
        ("dirty-customer-plate", "c.dxf"),
        ("loom-bracket-inch", "d.dxf"),
    ] {
        fs::copy(sample(name), drawings.join(to)).unwrap();
    }
    fs::write(drawings.join("letter.dxf"), "Dear Sir").unwrap();
    fs::write(drawings.join("notes.txt"), "no drawing").unwrap();
    let table = folder.path().join("table.csv");
    let call = [
        "batch",
        &text(&drawings),
        "--thickness",
        "25",
        "--out",
        &text(&table),
    ];
    let first = run(&call);
    // One of them failed, and stopped no other.
    assert_eq!(
        first.status.code(),
        Some(1),
        "{}",
        String::from_utf8_lossy(&first.stderr)
    );
    let all = lines(&table);
    assert_eq!(all.len(), 5);
    assert!(
        all[0]["drawing"] == "letter.dxf" && !all[0]["error"].is_empty(),
        "the worst comes first"
    );
    for line in &all[1..] {
        let path = text(&drawings.join(&line["drawing"]));
        let (alone, _) = json(&["estimate", "--json", &path, "--thickness", "25"]);
        let wires = alone[0]["wires"].as_array().unwrap();
        let best = wires.iter().find(|w| {
            format!("{}@{}", w["wire"].as_str().unwrap(), w["diameter_mm"]) == line["best_wire"]
        });
        let best = best.unwrap_or_else(|| panic!("{line:?}"));
        assert_eq!(line["verdict"], alone[0]["verdict"].as_str().unwrap());
        for (column, value) in [
            ("minutes", &best["minutes"]["total"]),
            ("minutes_low", &best["minutes"]["low"]),
            ("minutes_high", &best["minutes"]["high"]),
            ("wire_m", &best["wire_m"]),
            ("cost", &best["cost"]["part"]),
        ] {
            assert_eq!(
                line[column].parse::<f64>().unwrap(),
                number(value),
                "{column} of {path}"
            );
        }
    }
    // Again: nothing of it is worked a second time but what failed, and the table stays as it is.
    let before = fs::read(&table).unwrap();
    let second = run(&call);
    let told = String::from_utf8_lossy(&second.stderr).into_owned();
    assert!(told.contains("4 of them unchanged"), "{told}");
    assert_eq!(fs::read(&table).unwrap(), before);
    // Another job is another answer, another drawing too.
    let mut other = call;
    other[3] = "26";
    assert!(String::from_utf8_lossy(&run(&other).stderr).contains("0 of them unchanged"));
    fs::copy(sample("splined-bore"), drawings.join("a.dxf")).unwrap();
    assert!(String::from_utf8_lossy(&run(&other).stderr).contains("3 of them unchanged"));
    // A table of somebody else's is not written over.
    fs::write(&table, "name,price\n").unwrap();
    assert_eq!(run(&call).status.code(), Some(2));
    assert_eq!(fs::read(&table).unwrap(), b"name,price\n");
}

#[test]
fn shares_of_a_batch_make_the_whole_and_lines_cut_short_are_worked_again() {
    let folder = tempfile::tempdir().unwrap();
    let drawings = folder.path().join("drawings");
    fs::create_dir_all(&drawings).unwrap();
    for k in 0..12 {
        let name = drawings.join(format!("part {k}.dxf"));
        fs::copy(sample("latch-cam"), name).unwrap();
    }
    let whole = |shard: &str| {
        let table = folder
            .path()
            .join(format!("{}.csv", shard.replace('/', "-")));
        let call = [
            "batch",
            &text(&drawings),
            "--thickness",
            "25",
            "--out",
            &text(&table),
            "--shard",
            shard,
        ];
        assert!(run(&call).status.success());
        let mut names: Vec<String> = lines(&table).iter().map(|l| l["drawing"].clone()).collect();
        names.sort();
        names
    };
    let mut shares = [whole("1/3"), whole("2/3"), whole("3/3")].concat();
    shares.sort();
    assert_eq!(shares, whole("1/1"));
    // Put together, the shares are the table of the whole, line for line.
    let of = |name: &str| text(&folder.path().join(name));
    let (all, parts) = (of("all.csv"), [of("1-3.csv"), of("2-3.csv"), of("3-3.csv")]);
    let merge = [
        "batch", "--merge", &parts[0], &parts[1], &parts[2], "--out", &all,
    ];
    assert!(run(&merge).status.success());
    let bytes = |name: &str| fs::read(folder.path().join(name)).unwrap();
    assert_eq!(bytes("all.csv"), bytes("1-1.csv"));
    // Never over a table that it reads, and never from what is none.
    let over = ["batch", "--merge", &parts[0], "--out", &parts[0], "--force"];
    assert_eq!(run(&over).status.code(), Some(2));
    let none = [
        "batch",
        "--merge",
        &sample("latch-cam"),
        "--out",
        &of("none.csv"),
    ];
    assert_eq!(run(&none).status.code(), Some(2));
    assert!(!folder.path().join("none.csv").exists());
    // As a run leaves it that was ended in the middle of a line.
    let table = folder.path().join("broken.csv");
    let done = fs::read_to_string(folder.path().join("1-1.csv")).unwrap();
    let part = folder.path().join("broken.csv.part");
    let some: Vec<&str> = done.lines().take(6).collect();
    fs::write(
        &part,
        format!(
            "{}\n{}",
            some.join("\n"),
            &done.lines().nth(6).unwrap()[..40]
        ),
    )
    .unwrap();
    let call = [
        "batch",
        &text(&drawings),
        "--thickness",
        "25",
        "--out",
        &text(&table),
    ];
    let told = String::from_utf8_lossy(&run(&call).stderr).into_owned();
    assert!(told.contains("5 of them unchanged"), "{told}");
    assert_eq!(fs::read_to_string(&table).unwrap(), done);
    assert!(!part.exists());
}

#[test]
fn proposals_layers_and_contours_are_taken_out_by_name() {
    let file = sample("dirty-customer-plate");
    let (v, _) = json(&["measure", &file, "--json"]);
    let proposals = v[0]["import"]["proposals"].as_array().unwrap();
    assert!(!proposals.is_empty());
    let id = proposals[0]["id"].as_str().unwrap();
    let (left, _) = json(&["measure", &file, "--json", "--leave-out", id]);
    let answered = left[0]["import"]["proposals"].as_array().unwrap();
    let answer = answered.iter().find(|p| p["id"] == id).unwrap();
    assert_eq!(answer["answer"], "leave-out");
    let layer = v[0]["contours"][0]["layer"].as_str().unwrap();
    let (without, _) = json(&["measure", &file, "--json", "--without-layer", layer]);
    let contours = without[0]["contours"].as_array().unwrap();
    assert!(contours.iter().all(|c| c["layer"] != layer));
    for (option, name) in [
        ("--leave-out", "maybe-border-99999"),
        ("--without-layer", "no such layer"),
    ] {
        let refused = run(&["estimate", &file, "--thickness", "20", option, name]);
        assert_eq!(refused.status.code(), Some(1));
        assert!(String::from_utf8_lossy(&refused.stderr).contains(name));
    }
    let cam = sample("latch-cam");
    let cut = |more: &[&str]| {
        let (v, _) = json(&[&["estimate", "--json", &cam, "--thickness", "20"][..], more].concat());
        number(&v[0]["wires"][0]["pass_length_mm"][0])
    };
    assert!(cut(&["--without-contour", "2"]) < cut(&[]));
}
