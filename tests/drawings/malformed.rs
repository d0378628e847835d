//! Broken and odd files: what is read and what is listed, together, is what is there.
//!
//! expected.csv holds the number of entities that a good reader recovers; see each word below.

use kerfcast::drawing::{Drawing, Progress, ReadOptions, read_on_big_stack};
use kerfcast::words::reading::{hint, problem};

use crate::shared;

fn total(drawing: &Drawing) -> (usize, usize) {
    (drawing.read.values().sum(), drawing.skipped.values().sum())
}

#[test]
#[ignore = "needs ../shared"]
fn what_is_read_and_what_is_listed_is_what_is_there() {
    let folder = shared::folder("malformed");
    let mut faults = Vec::new();
    let table = shared::rows(&folder.join("expected.csv"));
    assert!(!table.is_empty());
    for row in &table {
        let (file, expected) = (&row["file"], row["entities_to_read"].as_str());
        let bytes = std::fs::read(folder.join(file)).expect("the file opens");
        let result = read_on_big_stack(bytes, &ReadOptions::default(), &Progress::default());
        let told = |d: &Drawing| d.findings.iter().any(|f| f.code() != "units-guessed");
        let fault = match (expected, &result) {
            // A clear refusal, or what was intact with a finding.
            ("err" | "?", Err(e)) if !problem(e).is_empty() && !hint(e).is_empty() => None,
            ("err", Ok(d)) => (!told(d)).then(|| "read without a word".to_owned()),
            ("?", Ok(d)) => {
                let (read, skipped) = total(d);
                (skipped > 0 && !told(d) || read + skipped == 0)
                    .then(|| "lost in silence".to_owned())
            }
            // The bad one rejected and listed.
            ("6nan", Ok(d)) => (total(d) != (5, 1) || !told(d)).then(|| format!("{:?}", total(d))),
            ("2inf", Ok(d)) => (total(d) != (1, 1) || !told(d)).then(|| format!("{:?}", total(d))),
            // The INSERT, the good line of its block, the bad one named.
            ("blk", Ok(d)) => {
                let good = total(d) == (1, 0) && d.curves.len() == 1 && told(d);
                (!good).then(|| format!("{:?}, {} curves", total(d), d.curves.len()))
            }
            ("0", Err(_)) => None,
            (number, Ok(d)) => {
                let (read, skipped) = total(d);
                let wanted: usize = number.parse().expect("a number of entities");
                // An unknown entity or one with a value missing is listed, not read.
                let silent = skipped > 0 && !told(d) && d.skipped.keys().all(|k| k != "FOOBAR");
                let wrong = read + skipped != wanted && read != wanted;
                (wrong || silent)
                    .then(|| format!("read {read}, listed {skipped}, expected {wanted}"))
            }
            (_, Err(e)) => Some(format!("refused: {e:?}")),
        };
        faults.extend(fault.map(|f| format!("{file}: {f}")));
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// A square of four lines with a circle in it, and the same in other clothes.
const SQUARE: &str = "0\nSECTION\n2\nENTITIES\n\
    0\nLINE\n8\n0\n10\n0\n20\n0\n11\n8\n21\n0\n0\nLINE\n8\n0\n10\n8\n20\n0\n11\n8\n21\n8\n\
    0\nLINE\n8\n0\n10\n8\n20\n8\n11\n0\n21\n8\n0\nLINE\n8\n0\n10\n0\n20\n8\n11\n0\n21\n0\n\
    0\nCIRCLE\n8\n0\n10\n4\n20\n4\n40\n2\n0\nENDSEC\n0\nEOF\n";

fn recovered(text: &str) -> Drawing {
    let bytes = text.as_bytes().to_vec();
    read_on_big_stack(bytes, &ReadOptions::default(), &Progress::default())
        .unwrap_or_else(|e| panic!("{e:?}: {text:?}"))
}

fn told(drawing: &Drawing) -> bool {
    drawing.findings.iter().any(|f| f.code() != "units-guessed")
}

#[test]
fn harmless_oddities_lose_nothing() {
    let circle = "0\nCIRCLE\n";
    for (what, text) in [
        ("as it should be", SQUARE.to_owned()),
        (
            "lines end with a carriage return",
            SQUARE.replace('\n', "\r"),
        ),
        ("lines end with both", SQUARE.replace('\n', "\r\n")),
        ("no end of the last line", SQUARE.trim_end().to_owned()),
        ("a blank line first", format!("\n{SQUARE}")),
        ("a mark of the byte order", format!("\u{feff}{SQUARE}")),
        ("an end-of-file sign of old", format!("{SQUARE}\u{1a}")),
        (
            "a comment",
            SQUARE.replace(circle, &format!("999\nwords\n{circle}")),
        ),
        (
            "values indented",
            SQUARE.replace("\n8\n0\n", "\n  8\n   0\n"),
        ),
        ("words in lower case", SQUARE.to_lowercase()),
        (
            "an unknown code",
            SQUARE.replace(circle, &format!("{circle}5000\nx\n")),
        ),
        ("no end of the section", SQUARE.replace("0\nENDSEC\n", "")),
    ] {
        let d = recovered(&text);
        assert_eq!(total(&d), (5, 0), "{what}");
        // The circle (π·4) within the square (64), in the unit that is guessed.
        let unit = d.units.used.mm();
        let whole = (64.0 + 4.0 * std::f64::consts::PI) * unit * unit;
        let areas: Vec<f64> = d
            .profile
            .contours()
            .iter()
            .map(|c| c.drawn_area.mm2())
            .collect();
        assert_eq!(areas.len(), 2, "{what}");
        assert!(
            (areas.iter().sum::<f64>() - whole).abs() < 1e-9 * whole,
            "{what}"
        );
    }
}

#[test]
fn one_bad_entity_is_listed_and_the_others_read() {
    for (what, bad) in [
        (
            "not a number",
            "0\nLINE\n8\n0\n10\nnan\n20\n0\n11\n1\n21\n1\n",
        ),
        (
            "beyond all numbers",
            "0\nLINE\n8\n0\n10\n1e999\n20\n0\n11\n1\n21\n1\n",
        ),
        ("no radius", "0\nCIRCLE\n8\n0\n10\n1\n20\n1\n40\n0\n"),
        (
            "a negative radius",
            "0\nCIRCLE\n8\n0\n10\n1\n20\n1\n40\n-2\n",
        ),
    ] {
        let d = recovered(&SQUARE.replace("0\nENDSEC", &format!("{bad}0\nENDSEC")));
        let (read, skipped) = total(&d);
        assert_eq!(read + skipped, 6, "{what}");
        assert!(told(&d), "{what}: read without a word");
        assert_eq!(d.profile.contours().len(), 2, "{what}");
    }
    // An entity of a kind that nobody knows is counted and changes nothing.
    let d = recovered(&SQUARE.replace("0\nENDSEC", "0\nFOOBAR\n8\n0\n0\nENDSEC"));
    assert_eq!((total(&d), d.skipped.get("FOOBAR")), ((5, 1), Some(&1)));
    // The good line of a block with a bad one in it.
    let line = |x: &str| format!("0\nLINE\n8\n0\n10\n{x}\n20\n0\n11\n5\n21\n5\n");
    let d = recovered(&format!(
        "0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n8\n0\n2\nB\n70\n0\n10\n0\n20\n0\n{}{}0\nENDBLK\n0\nENDSEC\n\
         0\nSECTION\n2\nENTITIES\n0\nINSERT\n8\n0\n2\nB\n10\n0\n20\n0\n0\nENDSEC\n0\nEOF\n",
        line("abc"),
        line("1")
    ));
    assert_eq!((total(&d), d.curves.len()), ((1, 0), 1));
    assert!(told(&d));
}

#[test]
fn a_file_cut_off_is_refused_or_said_to_be_incomplete() {
    let end = SQUARE.find("0\nENDSEC").expect("it ends");
    for at in (0..end).step_by(7) {
        let bytes = SQUARE.as_bytes()[..at].to_vec();
        match read_on_big_stack(bytes, &ReadOptions::default(), &Progress::default()) {
            Err(e) => assert!(!problem(&e).is_empty() && !hint(&e).is_empty()),
            Ok(d) => assert!(told(&d), "cut off after {at} bytes and read without a word"),
        }
    }
}

#[test]
fn other_kinds_of_file_are_named() {
    for (bytes, word) in [
        (b"AC1032\0\0\0".as_slice(), "DWG"),
        (b"%PDF-1.7\n", "PDF"),
        (b"ISO-10303-21;\n", "STEP"),
        (b"PK\x03\x04\x14\0", "ZIP"),
        (b"", "empty"),
        (b"hello world\nthis is prose\n", "not a DXF"),
    ] {
        let error = read_on_big_stack(
            bytes.to_vec(),
            &ReadOptions::default(),
            &Progress::default(),
        );
        let error = error.expect_err("it is no drawing");
        assert!(problem(&error).contains(word), "{error:?}");
        assert!(!hint(&error).is_empty());
    }
}

#[test]
fn a_cancelled_reading_stops() {
    let progress = Progress::default();
    progress.cancel();
    let line = "0\nLINE\n8\n0\n10\n0\n20\n0\n11\n1\n21\n1\n";
    let text = format!(
        "0\nSECTION\n2\nENTITIES\n{}0\nENDSEC\n0\nEOF\n",
        line.repeat(2000)
    );
    let result = read_on_big_stack(text.into_bytes(), &ReadOptions::default(), &progress);
    assert_eq!(result.err(), Some(kerfcast::drawing::ReadError::Cancelled));
}
