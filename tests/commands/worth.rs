//! `worth`, called as a script calls it: two runs from the machine's own record.

use crate::calling;

use calling::{json, number, run};

fn worth(arguments: &[&str]) -> serde_json::Value {
    let (v, code) = json(&[&["worth", "--json"], arguments].concat());
    assert_eq!(code, Some(0), "{v}");
    v
}

#[test]
fn two_runs_that_are_known() {
    // Facts of the trade, common practice, no source: 7 560 min a week; 301 and 208 min give 25 and 36 parts a week, 11
    // more, 572 a year of 52 weeks.
    let v = worth(&["--run", "301,2855", "--run", "208,1949", "--uptime", "75"]);
    assert!((number(&v["available_minutes"]) - 7560.0).abs() < 1e-9);
    let week = |k: usize| number(&v["runs"][k]["parts_per_week"]);
    assert_eq!((week(0), week(1)), (25.0, 36.0));
    assert_eq!(number(&v["more"]["per_week"]), 11.0);
    assert_eq!(number(&v["more"]["per_year_by_weeks"]), 572.0);
    // By whole years with the seconds: 1 302 and 1 889, 587 more; wire 31.7 % less, of 906 m 883 by time, 23 by speed.
    let v = worth(&[
        "--run",
        "5:01:46,2855",
        "--run",
        "3 h 28 min 2 s,1949",
        "--uptime",
        "75",
    ]);
    let year = |k: usize| number(&v["runs"][k]["parts_per_year"]);
    assert_eq!((year(0), year(1)), (1302.0, 1889.0));
    assert_eq!(number(&v["more"]["per_year"]), 587.0);
    let saved = |key: &str| number(&v["saved"][key]);
    assert!((saved("wire_percent") - 31.7).abs() < 0.05);
    assert!((saved("wire_m") - 906.0).abs() < 1e-9);
    assert!((saved("wire_m_by_time") - 883.0).abs() < 0.5);
    assert!((saved("wire_m_by_run_off") - 23.0).abs() < 0.5);
}

#[test]
fn what_pays_and_where_it_turns() {
    // From an independent script: R 60/h, 0.25 mm, 10 m/min, 10 against 16 a kilogram pay from 2.387 % on.
    let v = worth(&[
        "--run",
        "60,600,10,0.25",
        "--run",
        "55,550,16,0.25",
        "--machine-rate",
        "60",
    ]);
    let w = |key: &str| number(&v["worth"][key]);
    assert!((w("break_even_gain_percent") - 2.387).abs() < 5e-4);
    assert!((w("gain_percent") - 100.0 / 11.0).abs() < 1e-9);
    // Five minutes at 60 are 5; the rest is the wire, the same in both cases.
    assert!((w("per_part_sold") - w("per_part_unsold") - 5.0).abs() < 1e-9);
    assert!(w("per_part_unsold") < 0.0 && w("turns_at_machine_rate") > 0.0);
    let year = number(&v["runs"][0]["parts_per_year"]);
    assert!((w("per_year_unsold") - year * w("per_part_unsold")).abs() < 1e-6);
    // The same run twice: nothing saved, nothing lost.
    let v = worth(&["--run", "60,600", "--run", "60,600"]);
    assert_eq!(number(&v["saved"]["minutes"]), 0.0);
    assert_eq!(number(&v["worth"]["per_part_sold"]), 0.0);
    assert!(v["worth"]["turns_at_machine_rate"].is_null());
}

#[test]
fn a_run_that_cannot_be_is_refused_by_name() {
    for (bad, said) in [
        ("5:61,100", "time"),
        ("208", "two to four values"),
        ("208,none", "wire"),
        ("208,100,x", "price"),
        ("208,100,10,9", "diameter"),
        ("0,100", "time"),
    ] {
        let out = run(&["worth", "--run", bad, "--run", "208,100"]);
        assert_eq!(out.status.code(), Some(2), "{bad}");
        let text = String::from_utf8_lossy(&out.stderr).into_owned();
        assert!(text.contains(said) && text.contains(bad), "{bad}: {text}");
    }
    let one = run(&["worth", "--run", "208,100"]);
    assert_eq!(one.status.code(), Some(2));
    let uptime = run(&["worth", "--run", "208,100", "--run", "1,1", "--uptime", "0"]);
    assert_eq!(uptime.status.code(), Some(2));
}
