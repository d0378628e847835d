//! What a program reads is the same whatever language is spoken; what a person reads is in the one that was asked for.

use crate::calling::{SAMPLES, run, sample};
use kerfcast::samples;
use std::fs;

/// The same call in both languages.
fn in_both(call: &[&str]) -> [Vec<u8>; 2] {
    ["en", "de"].map(|language| {
        let out = run(&[&["--language", language], call].concat());
        let told = String::from_utf8_lossy(&out.stderr).into_owned();
        assert!(!out.stdout.is_empty(), "{call:?}: {told}");
        out.stdout
    })
}

fn is_the_same(call: &[&str]) {
    let [en, de] = in_both(call).map(|b| String::from_utf8(b).expect("UTF-8"));
    // Named by the line, for the whole is long.
    for (k, (a, b)) in en.lines().zip(de.lines()).enumerate() {
        assert_eq!(a, b, "{call:?}, line {}", k + 1);
    }
    assert_eq!(en, de, "{call:?}");
}

fn german(call: &[&str]) -> String {
    let out = run(&[&["--language", "de"], call].concat());
    String::from_utf8(out.stdout).expect("UTF-8")
}

#[test]
fn json_and_csv_are_the_same_to_the_byte() {
    for s in samples::ALL {
        let file = format!("{SAMPLES}/{}", s.name);
        is_the_same(&["measure", "--json", &file]);
        for table in ["--json", "--csv"] {
            is_the_same(&["estimate", table, &file, "--thickness", "40"]);
        }
        is_the_same(&[
            "together",
            "--json",
            &file,
            "--thickness",
            "20",
            "--quantity",
            "6",
        ]);
        is_the_same(&[
            "plan",
            "--json",
            &file,
            "--thickness",
            "20",
            "--passes",
            "2",
        ]);
    }
    let [a, b] = ["latch-cam", "escapement-wheel"].map(sample);
    is_the_same(&["compare", "--json", &a, &b, "--thickness", "20"]);
    is_the_same(&[
        "worth",
        "--json",
        "--run",
        "5:01:46,2855",
        "--run",
        "208,1949",
    ]);
    let folder = tempfile::tempdir().expect("a folder");
    let cuts = folder.path().join("cuts.csv").display().to_string();
    fs::write(
        &cuts,
        "date,machine,material,wire,diameter_mm,thickness_mm,flushing,passes,cut_length_mm,cutting_minutes\n\
         2024-03-01,left,cold-work tool steel,hard plain brass,0.25,40,close,4,512,300\n",
    )
    .expect("written");
    is_the_same(&["learn", "--json", &cuts]);
}

#[test]
fn files_that_the_command_writes_for_programs_are_the_same_to_the_byte() {
    let folder = tempfile::tempdir().expect("a folder");
    let place = |name: &str| folder.path().join(name).display().to_string();
    let file = sample("loom-stamping-die");
    let made = |language: &str| {
        let name = |ending: &str| place(&format!("{language}.{ending}"));
        let [dxf, svg, holes, job] = ["dxf", "svg", "csv", "kerfcast"].map(name);
        let of = ["--language", language];
        let what = ["--thickness", "20", "--quantity", "3"];
        let out = run(&[
            &of[..],
            &[
                "export", &file, "--paths", "--dxf", &dxf, "--svg", &svg, "--holes", &holes,
            ],
            &what,
        ]
        .concat());
        assert!(
            out.status.success(),
            "{}",
            String::from_utf8_lossy(&out.stderr)
        );
        let out = run(&[&of[..], &["job", "new", &job, &file], &what].concat());
        assert!(
            out.status.success(),
            "{}",
            String::from_utf8_lossy(&out.stderr)
        );
        [dxf, svg, holes, job]
    };
    let files = made("en").into_iter().zip(made("de"));
    for (k, (en, de)) in files.enumerate() {
        let [a, b] = [&en, &de]
            .map(|p| String::from_utf8_lossy(&fs::read(p).expect("written")).into_owned());
        let other: Vec<_> = (a.lines().zip(b.lines())).filter(|(a, b)| a != b).collect();
        // The first is the DXF.
        if k == 0 {
            // What a person reads on the drawing: that its paths are no machine program.
            assert!(
                matches!(other[..], [(_, note)] if note.contains("kein Maschinenprogramm")),
                "{other:?}"
            );
        } else {
            assert_eq!(other, [], "{de}");
        }
        assert_eq!(a.lines().count(), b.lines().count(), "{de}");
    }
    let job = place("de.kerfcast");
    for table in ["--json", "--csv"] {
        is_the_same(&["job", "show", table, &job]);
    }
}

#[test]
fn what_a_person_reads_is_german_where_german_is_asked_for() {
    let file = sample("latch-cam");
    let told = german(&["estimate", &file, "--thickness", "12.5"]);
    for word in ["Nachschnitte", "Kosten", "12,5", "Urteil"] {
        assert!(told.contains(word), "{word}: {told}");
    }
    for word in ["rough", " cost", " wire ", "12.5"] {
        assert!(!told.contains(word), "{word}: {told}");
    }
    let folder = tempfile::tempdir().expect("a folder");
    let report = folder.path().join("report.html").display().to_string();
    german(&[
        "estimate",
        &file,
        "--thickness",
        "12.5",
        "--report",
        &report,
    ]);
    let page = fs::read_to_string(&report).expect("a report");
    assert!(page.contains("<html lang=\"de\">"), "{}", &page[..200]);
    assert!(page.contains("Schätzung Drahterodieren"));
}
