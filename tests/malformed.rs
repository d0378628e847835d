//! Broken and odd files: what is read and what is listed, together, is what is there.
//!
//! expected.csv holds the number of entities that a good reader recovers; see each word below.

use kerfcast::drawing::{Drawing, Progress, ReadOptions, read_on_big_stack};

mod shared;

fn total(drawing: &Drawing) -> (usize, usize) {
    (drawing.read.values().sum(), drawing.skipped.values().sum())
}

#[test]
fn what_is_read_and_what_is_listed_is_what_is_there() {
    let Some(folder) = shared::folder("malformed") else {
        return;
    };
    let mut faults = Vec::new();
    let table = shared::rows(&folder.join("expected.csv"));
    assert!(!table.is_empty());
    for row in &table {
        let (file, expected) = (&row["file"], row["entities_to_read"].as_str());
        let bytes = std::fs::read(folder.join(file)).expect("the file opens");
        let result = read_on_big_stack(bytes, &ReadOptions::default(), &Progress::default());
        let told = |d: &Drawing| d.findings.iter().any(|f| f.code != "units-guessed");
        let fault = match (expected, &result) {
            // A clear refusal, or what was intact with a finding.
            ("err" | "?", Err(e)) if !e.to_string().is_empty() && !e.hint().is_empty() => None,
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
            (_, Err(e)) => Some(format!("refused: {e}")),
        };
        faults.extend(fault.map(|f| format!("{file}: {f}")));
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
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
        assert!(error.to_string().contains(word), "{error}");
        assert!(!error.hint().is_empty());
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
