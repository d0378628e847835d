//! Units, layers and counts against ezdxf, an independent reader, and splines given by points alone.
//!
//! `tests/data/ezdxf_reference.json` was made by the script beside it with ezdxf 1.4.5.

use kerfcast::drawing::{Drawing, Progress, ReadOptions, Unit, UnitSource, read};
use serde_json::Value;
use std::path::Path;

use crate::shared;

fn table() -> Value {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/ezdxf_reference.json");
    let text = std::fs::read_to_string(path).expect("the stored values open");
    serde_json::from_str(&text).expect("they are JSON")
}

fn opened(bytes: &[u8]) -> Drawing {
    read(bytes, &ReadOptions::default(), &Progress::default()).expect("it reads")
}

/// `$INSUNITS` by the DXF reference.
fn unit(code: i64) -> Option<Unit> {
    Some(match code {
        1 => Unit::Inch,
        2 => Unit::Foot,
        4 => Unit::Millimetre,
        5 => Unit::Centimetre,
        6 => Unit::Metre,
        9 => Unit::Thou,
        13 => Unit::Micrometre,
        _ => return None,
    })
}

fn faults(file: &str, bytes: &[u8], theirs: &Value) -> Vec<String> {
    let drawing = opened(bytes);
    let mut faults = Vec::new();
    // ezdxf gives drawings of release 12 a unit that the file does not name.
    let named = bytes.windows(9).any(|w| w == b"$INSUNITS");
    let in_header = theirs["insunits"].as_i64().filter(|_| named).and_then(unit);
    let ours = (drawing.units.from == UnitSource::Header).then_some(drawing.units.used);
    if ours != in_header {
        faults.push(format!("{file}: unit {ours:?}, ezdxf {in_header:?}"));
    }
    for (kind, count) in theirs["counts"].as_object().expect("counts") {
        let of = |list: &std::collections::BTreeMap<String, usize>| {
            list.get(kind).copied().unwrap_or_default()
        };
        let (read, skipped) = (of(&drawing.read), of(&drawing.skipped));
        if Some((read + skipped) as u64) != count.as_u64() {
            faults.push(format!(
                "{file}: {read} {kind} read and {skipped} skipped, ezdxf {count}"
            ));
        }
    }
    for (name, layer) in theirs["layers"].as_object().expect("layers") {
        let same = |l: &&kerfcast::drawing::Layer| l.name.to_lowercase() == name.to_lowercase();
        let Some(ours) = drawing.layers.iter().find(same) else {
            // ezdxf adds this one to every drawing.
            if !name.eq_ignore_ascii_case("defpoints") {
                faults.push(format!("{file}: no layer {name}"));
            }
            continue;
        };
        let visible = layer["frozen"] == false && layer["off"] == false;
        if ours.visible != visible || layer["colour"] != ours.colour {
            faults.push(format!("{file}: layer {name} is {ours:?}, ezdxf {layer}"));
        }
    }
    faults
}

/// Compares the stored drawings of a folder; how many there were, and what differs.
fn compared(table: &Value, folder: &str, root: &Path) -> (usize, Vec<String>) {
    let (mut compared, mut faulty) = (0, Vec::new());
    for (file, theirs) in table["files"].as_object().expect("files") {
        // Two of the corpus have no answer: ezdxf cannot read them.
        if theirs.is_null() || !file.starts_with(folder) {
            continue;
        }
        let bytes = std::fs::read(root.join(file)).expect("the drawing opens");
        faulty.extend(faults(file, &bytes, theirs));
        compared += 1;
    }
    (compared, faulty)
}

#[test]
fn units_layers_and_counts_of_our_own_drawings_agree() {
    let table = table();
    assert_eq!(table["ezdxf"], "1.4.5");
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let (compared, faulty) = compared(&table, "sample_drawings", root);
    assert!(compared >= 6, "{compared}");
    assert!(faulty.is_empty(), "{}", faulty.join("\n"));
}

#[test]
#[ignore = "needs ../shared"]
fn units_layers_and_counts_agree() {
    let table = table();
    for (name, number) in [("corpus", 50), ("joining", 20)] {
        let folder = shared::folder(name);
        let root = folder.parent().expect("a folder above");
        let (compared, faulty) = compared(&table, name, root);
        assert!(compared > number, "{compared} of {name}");
        assert!(faulty.is_empty(), "{}", faulty.join("\n"));
    }
}

#[test]
fn a_spline_given_by_points_alone_is_the_curve_that_others_draw() {
    // By ezdxf's account common CAD programs draw a cubic of continuous curvature over the lengths of
    // the chords, straight at its ends where no direction is given.
    for row in table()["fit_splines"].as_array().expect("rows") {
        let pairs = |list: &Value, code: i32| -> String {
            let list = list.as_array().cloned().unwrap_or_default();
            // Fit points share a code; the two directions have one each.
            let step = i32::from(code == 12);
            let codes = (0..).map(|k| code + k * step);
            let text = |(code, p): (i32, &Value)| {
                format!(
                    "{code}\n{}\n{}\n{}\n{}\n0\n",
                    p[0],
                    code + 10,
                    p[1],
                    code + 20
                )
            };
            codes.zip(&list).map(text).collect::<Vec<_>>().concat()
        };
        let text = format!(
            "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n\
             0\nSPLINE\n8\n0\n70\n8\n71\n3\n{}{}0\nENDSEC\n0\nEOF\n",
            pairs(&row["points"], 11),
            pairs(&row["tangents"], 12)
        );
        let drawing = opened(text.as_bytes());
        let length = drawing.curves[0].length();
        let expected = row["length"].as_f64().expect("a length");
        // Chords of 20 000 parts are too short by about 1e-9 of the length.
        assert!(
            (length - expected).abs() <= 1e-7 * expected,
            "{row}: {length}"
        );
    }
}
