//! What the words of a drawing say: right or silent. The phrasings are our own, as shops in English and German
//! write them; common practice, no source, except where one is named.

use kerfcast::drawing::{Drawing, Note, NoteKind, Progress, ReadOptions, Unit, UnitChoice, read};
use kerfcast::library::Library;
use kerfcast::notes::{NoteReader, Says, Vocabulary};
use kerfcast::units::Length;

fn reader_of(unit: Unit, check: impl FnOnce(&NoteReader<'_>)) {
    let empty =
        b"0\nSECTION\n2\nENTITIES\n0\nLINE\n8\n0\n10\n0\n20\n0\n11\n1\n21\n0\n0\nENDSEC\n0\nEOF\n";
    let options = ReadOptions {
        units: UnitChoice::Fixed(unit),
        ..ReadOptions::default()
    };
    let drawing = read(empty, &options, &Progress::default()).expect("it reads");
    let vocabulary = Vocabulary::of(Library::built_in());
    check(&NoteReader::new(&vocabulary, &drawing.units));
}

fn material(designation: &str) -> String {
    // D2 = 1.2379, H13 = 1.2344 (EN ISO 4957 and AISI names, from memory); 304 = 1.4301, 316 = 1.4401 (EN 10088-1).
    match designation {
        "D2" => "cold-work tool steel",
        "H13" => "hot-work tool steel",
        "304" => "austenitic stainless steel",
        "6061" => "aluminium 6061-T6",
        "C45" => "carbon steel",
        "17-4PH" => "precipitation-hardening stainless",
        other => panic!("{other}"),
    }
    .to_owned()
}

/// One line of what is expected, as a person would note it.
fn words(says: &Says) -> String {
    let mut out = Vec::new();
    if let Some(v) = says.thickness {
        out.push(format!("t {:.3}", v.mm()));
    }
    if let Some(n) = says.quantity {
        out.push(format!("n {n}"));
    }
    if let Some(m) = &says.material {
        out.push(m.clone());
    }
    if let Some(v) = says.roughness_um {
        out.push(format!("Ra {v:.3}"));
    }
    if let Some(v) = says.tolerance {
        out.push(format!("± {:.4}", v.mm()));
    }
    if let Some(v) = says.scale {
        out.push(format!("{v}"));
    }
    out.join(", ")
}

#[test]
fn phrasings_in_millimetre_drawings() {
    let d2 = &material("D2");
    let h13 = &material("H13");
    let v2a = &material("304");
    let alu = &material("6061");
    let cases: Vec<(&str, String)> = vec![
        // Thickness.
        ("Dicke 20", "t 20.000".into()),
        ("Dicke: 20 mm", "t 20.000".into()),
        ("t = 20", "t 20.000".into()),
        ("t=12,5", "t 12.500".into()),
        ("20 thick", "t 20.000".into()),
        ("20 mm THICK", "t 20.000".into()),
        ("THK 20", "t 20.000".into()),
        ("THK. 20 MM", "t 20.000".into()),
        ("20mm THK", "t 20.000".into()),
        ("THICKNESS: 0.5 mm", "t 0.500".into()),
        ("Blechdicke 3", "t 3.000".into()),
        ("Plattendicke = 45,5 mm", "t 45.500".into()),
        ("20 dick", "t 20.000".into()),
        ("Material thickness 6", "t 6.000".into()),
        ("Dicke / Thickness: 8", "t 8.000".into()),
        ("1.5\" THK", "t 38.100".into()),
        ("Dicke 20 ±0.1", "t 20.000".into()),
        ("PLATE 20 THK", "t 20.000".into()),
        // Quantity.
        ("3 Stück", "n 3".into()),
        ("3 Stk.", "n 3".into()),
        ("QTY 4", "n 4".into()),
        ("Qty: 12 pcs", "n 12".into()),
        ("4 off", "n 4".into()),
        ("Menge: 25", "n 25".into()),
        ("Stückzahl 100", "n 100".into()),
        ("2 REQ'D", "n 2".into()),
        ("6 PCS", "n 6".into()),
        // Material.
        ("Material: 1.2379", d2.clone()),
        ("MATERIAL D2", d2.clone()),
        ("Werkstoff 1.4301", v2a.clone()),
        ("Werkstoff: 1.2344", h13.clone()),
        ("MAT'L: H13", h13.clone()),
        ("Mat.: 1.2379 / X153CrMoV12", d2.clone()),
        ("Werkstoff-Nr.: 1.2379", d2.clone()),
        ("AISI 304", v2a.clone()),
        ("SS 304", v2a.clone()),
        ("304 stainless steel", v2a.clone()),
        ("D2 tool steel", d2.clone()),
        ("D2 STEEL", d2.clone()),
        ("EN AW-6061", alu.clone()),
        ("Aluminium 6061-T6", alu.clone()),
        ("Material: D2 or equivalent", d2.clone()),
        ("Material: D2, 58-60 HRC", d2.clone()),
        ("Material: D2 hardened 60 HRC", d2.clone()),
        ("Stahl 1.2379", d2.clone()),
        ("SKD11", d2.clone()),
        ("Material: C45", material("C45")),
        ("Material: 17-4PH", material("17-4PH")),
        // Roughness.
        ("Ra 0,8", "Ra 0.800".into()),
        ("Ra0.8", "Ra 0.800".into()),
        ("Ra = 1.6 µm", "Ra 1.600".into()),
        ("Oberfläche Ra 0,4", "Ra 0.400".into()),
        ("Ra max. 0.8", "Ra 0.800".into()),
        ("SURFACE FINISH Ra 32 µin", "Ra 0.813".into()),
        // Tolerance, half the band.
        ("±0.01", "± 0.0100".into()),
        ("+/-0,02 mm", "± 0.0200".into()),
        ("Tol. ±0.005", "± 0.0050".into()),
        ("20 +0.02/-0.01", "± 0.0150".into()),
        ("+0.02/0", "± 0.0100".into()),
        // Scale.
        ("SCALE 10:1", "10:1".into()),
        ("Scale: 1:2", "1:2".into()),
        ("Maßstab 10:1", "10:1".into()),
        ("MASSSTAB: 1:5", "1:5".into()),
        ("M 2:1", "2:1".into()),
        ("Maßstab / Scale 2:1", "2:1".into()),
        // Several at once.
        (
            "Material: 1.2379, Dicke 20 mm, 3 Stück",
            format!("t 20.000, n 3, {d2}"),
        ),
        (
            "D2 steel; 10 thk; Ra 0.8",
            format!("t 10.000, {d2}, Ra 0.800"),
        ),
        (
            "Werkstoff 1.4301\nDicke 5\nMaßstab 1:1",
            format!("t 5.000, {v2a}, 1:1"),
        ),
    ];
    assert!(cases.len() >= 40);
    reader_of(Unit::Millimetre, |reader| {
        for (text, expected) in &cases {
            assert_eq!(&words(&reader.text(text)), expected, "{text:?}");
        }
    });
}

#[test]
fn what_is_not_plain_says_nothing() {
    let silent = [
        "20",
        "1.2379",
        "304",
        "D2",
        "10:1",
        "0,8",
        "M2",
        "H13",
        "M8",
        "M8x1.25",
        "4x M6",
        "M 10 x 1.5",
        "R5",
        "R 0.2",
        "2x R3",
        "Ø8 H7",
        "2x45°",
        "C0.5",
        "1x45°",
        "12.03.2024",
        "2024-11-25",
        "Date: 1.2.24",
        "Gez. 20.11.25",
        "Z-1.2379-04",
        "DWG NO 304",
        "Drawing No. 6061-20",
        "Rev. D2",
        "Part no 1045",
        "Pos. 3",
        "ISO 2768-mK",
        "DIN 7168 m",
        "Unless otherwise specified ±0.1",
        "UNLESS OTHERWISE SPECIFIED\n±0.1",
        "Allgemeintoleranzen ±0.1",
        "General tolerances ±0.2",
        "TOLERANCES: X.XX ±0.01",
        "±0.5°",
        "ANGLES ±1",
        "4 holes",
        "4 x Ø8",
        "2 Bohrungen",
        "4 off holes Ø5",
        "2 pcs per set",
        "4x",
        "Sheet 1 of 2",
        "coating 0.02 thick",
        "Wandstärke 3",
        "wall thickness 3",
        "Schichtdicke 5 µm",
        "20 x 100 thick",
        "min 20 thick",
        "Kegel 1:10",
        "taper 1:20",
        "Steigung 1:5",
        "DETAIL A SCALE 5:1",
        "Schnitt A-A Maßstab 2:1",
        "A (5:1)",
        "DO NOT SCALE",
        "Scale: NTS",
        "SCALE 1/4\"=1'-0\"",
        "scale = (1, -1, 1)",
        "Scale:       1:",
        "Material: D2 or H13",
        "Material: 1.2379 / 1.2344",
        "Material: A2",
        "not D2 steel",
        "Material: 304L",
        "Rz 6.3",
        "Ra 0.8 - 1.6",
        "Ra 3.2 (Ra 0.8)",
        "N6",
        "t = 20°C",
        "T=60 min",
        "t20",
        "Dicke siehe Tabelle",
        "QTY 1,5",
        "3.5 Stück",
        "QTY:",
        "Dicke",
        ".500 THK",
        "Dicke 9000",
        "10.000 Stück",
        "±0.01\n±0.1",
        "Härte 60 HRC",
        "HRC 58-60",
        "60 HRC",
        "1 fits 2",
        "100701",
        "75",
        "fine grain",
        "CUBE2",
        "Steel 304 holes",
        "Material: steel",
    ];
    reader_of(Unit::Millimetre, |reader| {
        for text in silent {
            assert_eq!(words(&reader.text(text)), "", "{text:?}");
        }
    });
}

#[test]
fn inches_are_inches_only_where_it_is_plain() {
    // 1 in is 25.4 mm (exact by definition).
    reader_of(Unit::Inch, |reader| {
        assert_eq!(words(&reader.text(".500 THK")), "t 12.700");
        assert_eq!(words(&reader.text("0.5 thick")), "t 12.700");
        assert_eq!(words(&reader.text("THK 10 mm")), "t 10.000");
        assert_eq!(words(&reader.text("±.001")), "± 0.0254");
        // Ra in an inch drawing may be in microinches; a German text is in millimetres, or not.
        assert_eq!(words(&reader.text("Ra 32")), "");
        assert_eq!(words(&reader.text("Dicke 2")), "");
        assert_eq!(
            words(&reader.text("20 thick")),
            "",
            "508 mm is no work for a wire"
        );
    });
}

fn drawing(entities: &str) -> Drawing {
    let text = format!(
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n"
    );
    read(
        text.as_bytes(),
        &ReadOptions::default(),
        &Progress::default(),
    )
    .expect("it reads")
}

const SQUARE: &str = "0\nLWPOLYLINE\n8\ncut\n90\n4\n70\n1\n10\n0\n20\n0\n10\n10\n20\n0\n10\n10\n20\n10\n10\n0\n20\n10\n";

fn said(drawing: &Drawing) -> Vec<(Note, Says)> {
    let vocabulary = Vocabulary::of(Library::built_in());
    let reader = NoteReader::new(&vocabulary, &drawing.units);
    drawing
        .notes
        .iter()
        .map(|n| (n.clone(), reader.says(n)))
        .collect()
}

#[test]
fn texts_of_every_kind_are_read_and_still_count_as_skipped() {
    let d = drawing(&format!(
        "{SQUARE}0\nTEXT\n8\nwords\n10\n1\n20\n2\n40\n2.5\n1\nDicke 20%%p0.1\n\
         0\nMTEXT\n8\nwords\n10\n5\n20\n30\n40\n2.5\n3\n{{\\fArial|b0;Material: \n1\n1.2379}}\\PRa 0,8\n"
    ));
    assert_eq!(d.skipped.get("TEXT"), Some(&1));
    assert_eq!(d.skipped.get("MTEXT"), Some(&1));
    let all = said(&d);
    assert_eq!(&*all[0].0.text, "Dicke 20±0.1");
    assert_eq!(all[0].0.at, kerfcast::geometry::DrawingPoint::new(1.0, 2.0));
    assert_eq!(&*all[0].0.layer, "words");
    assert_eq!(all[0].1.thickness, Some(Length::from_mm(20.0)));
    assert_eq!(words(&all[1].1), format!("{}, Ra 0.800", material("D2")));
}

#[test]
fn cells_of_a_title_block_go_together() {
    let cell = |x: f64, y: f64, text: &str| {
        format!("0\nTEXT\n8\n0\n10\n{x}\n20\n{y}\n40\n2.5\n1\n{text}\n")
    };
    let d = drawing(&format!(
        "{SQUARE}{}{}{}{}{}{}",
        cell(100.0, 0.0, "Material:"),
        cell(125.0, 0.0, "1.2379"),
        cell(100.0, -10.0, "QTY"),
        cell(100.0, -14.0, "4"),
        cell(100.0, -30.0, "Thickness"),
        cell(200.0, -30.0, "20"),
    ));
    let all = said(&d);
    assert_eq!(words(&all[1].1), material("D2"));
    assert_eq!(words(&all[3].1), "n 4");
    assert_eq!(words(&all[5].1), "", "too far away to be its cell");
}

#[test]
fn attributes_of_an_inserted_title_block() {
    let insert = "0\nINSERT\n8\n0\n66\n1\n2\nTITLE\n10\n50\n20\n0\n";
    let attrib = |tag: &str, text: &str| {
        format!("0\nATTRIB\n8\n0\n10\n60\n20\n5\n40\n2.5\n1\n{text}\n2\n{tag}\n70\n0\n")
    };
    let d = drawing(&format!(
        "{SQUARE}{insert}{}{}0\nSEQEND\n8\n0\n",
        attrib("WERKSTOFF", "1.4301"),
        attrib("MENGE", "7")
    ));
    let all = said(&d);
    assert!(all.iter().all(|(n, _)| n.kind == NoteKind::Attribute));
    assert_eq!(words(&all[0].1), material("304"));
    assert_eq!(words(&all[1].1), "n 7");
}

#[test]
fn a_pile_of_texts_is_kept_within_bounds() {
    let many: String = (0..20_000)
        .map(|k| format!("0\nTEXT\n8\n0\n10\n{k}\n20\n0\n40\n2\n1\nnote {k}\n"))
        .collect();
    let d = drawing(&format!("{SQUARE}{many}"));
    assert_eq!(d.skipped.get("TEXT"), Some(&20_000));
    assert!(d.notes.len() <= 5_000);
}
