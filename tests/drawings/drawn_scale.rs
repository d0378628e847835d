//! Dimensions and scale notes held against what is drawn. Expected lengths are those of a 40 x 20 mm plate with a
//! corner of 10 x 45° and a bore Ø 10, drawn at the scale of each case; group codes are those of the DXF reference.

use kerfcast::drawing::{
    Drawing, Progress, ReadOptions, Scale, ScaleChoice, ScaleSource, Unit, UnitSource, Verdict,
    read,
};
use kerfcast::measures::measure;
use kerfcast::profile::Keep;
use kerfcast::words::System;
use kerfcast::words::findings::sentence;
use std::fmt::Write as _;

use crate::shared;

/// A drawing that is written here.
struct Sheet {
    styles: String,
    blocks: String,
    entities: String,
    unit: Option<i64>,
    line: usize,
}

impl Sheet {
    /// The plate with its bore, each length multiplied.
    fn plate(times: f64) -> Self {
        let (w, h, r) = (40.0 * times, 20.0 * times, 5.0 * times);
        let mut entities = String::new();
        let c = 10.0 * times;
        let corners = [[0.0, 0.0], [w, 0.0], [w, h], [c, h], [0.0, h - c]];
        for k in 0..corners.len() {
            let ([x0, y0], [x1, y1]) = (corners[k], corners[(k + 1) % corners.len()]);
            let _ = write!(
                entities,
                "0\nLINE\n8\n0\n10\n{x0}\n20\n{y0}\n11\n{x1}\n21\n{y1}\n"
            );
        }
        let _ = write!(
            entities,
            "0\nCIRCLE\n8\n0\n10\n{}\n20\n{}\n40\n{r}\n",
            w / 2.0,
            h / 2.0
        );
        Self {
            styles: String::new(),
            blocks: String::new(),
            entities,
            unit: Some(4),
            line: 0,
        }
    }
    fn unit(mut self, code: Option<i64>) -> Self {
        self.unit = code;
        self
    }
    fn style(mut self, name: &str, factor: f64) -> Self {
        let _ = write!(self.styles, "0\nDIMSTYLE\n2\n{name}\n144\n{factor}\n");
        self
    }
    /// A turned dimension between two points, with its style, a text typed for it and more pairs.
    fn linear(mut self, [x0, y0, x1, y1]: [f64; 4], style: &str, typed: &str, more: &str) -> Self {
        self.line += 1;
        let turn = if (x1 - x0).abs() > (y1 - y0).abs() {
            0
        } else {
            90
        };
        let _ = write!(
            self.entities,
            "0\nDIMENSION\n8\n0\n2\n*D{}\n10\n{x1}\n20\n{y1}\n11\n{}\n21\n{}\n70\n32\n1\n{typed}\n3\n{style}\n13\n{x0}\n23\n{y0}\n14\n{x1}\n24\n{y1}\n50\n{turn}\n{more}",
            self.line,
            f64::midpoint(x0, x1),
            f64::midpoint(y0, y1) - 3.0,
        );
        self
    }
    fn diameter(mut self, [x, y]: [f64; 2], r: f64, style: &str, typed: &str) -> Self {
        let _ = write!(
            self.entities,
            "0\nDIMENSION\n8\n0\n10\n{}\n20\n{y}\n11\n{x}\n21\n{y}\n70\n35\n1\n{typed}\n3\n{style}\n15\n{}\n25\n{y}\n",
            x - r,
            x + r,
        );
        self
    }
    /// The picture of the dimension drawn last.
    fn shown(mut self, text: &str) -> Self {
        let _ = write!(
            self.blocks,
            "0\nBLOCK\n2\n*D{}\n10\n0\n20\n0\n0\nMTEXT\n10\n0\n20\n0\n40\n2.5\n1\n\\A1;{text}\n0\nENDBLK\n",
            self.line
        );
        self
    }
    fn text(mut self, [x, y]: [f64; 2], text: &str) -> Self {
        let _ = write!(
            self.entities,
            "0\nTEXT\n8\n0\n10\n{x}\n20\n{y}\n40\n2.5\n1\n{text}\n"
        );
        self
    }
    fn dxf(&self) -> String {
        let unit = self
            .unit
            .map_or_else(String::new, |u| format!("9\n$INSUNITS\n70\n{u}\n"));
        format!(
            "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n{unit}0\nENDSEC\n0\nSECTION\n2\nTABLES\n0\nTABLE\n2\nDIMSTYLE\n{}0\nENDTAB\n0\nENDSEC\n\
             0\nSECTION\n2\nBLOCKS\n{}0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{}0\nENDSEC\n0\nEOF\n",
            self.styles, self.blocks, self.entities
        )
    }
    fn read_at(&self, scale: ScaleChoice) -> Drawing {
        let options = ReadOptions {
            scale,
            ..ReadOptions::default()
        };
        read(self.dxf().as_bytes(), &options, &Progress::default()).expect("it reads")
    }
    fn read(&self) -> Drawing {
        self.read_at(ScaleChoice::default())
    }
}

fn codes(drawing: &Drawing) -> Vec<&'static str> {
    drawing
        .findings
        .iter()
        .map(kerfcast::drawing::Finding::code)
        .collect()
}

fn offered(drawing: &Drawing) -> Option<(f64, ScaleSource)> {
    let offered = drawing.scale.offered?;
    Some((offered.scale.factor(), offered.from))
}

fn cut_length(drawing: &Drawing) -> f64 {
    measure(&drawing.profile, Keep::Inside)
        .totals
        .cut_length
        .mm()
}

/// Outline and bore of the plate in true size.
fn true_length() -> f64 {
    100.0 + 200_f64.sqrt() + std::f64::consts::PI * 10.0
}

/// Drawn ten times as large, with a style that says so.
fn ten_to_one() -> Sheet {
    Sheet::plate(10.0)
        .style("tenth", 0.1)
        .linear([0.0, 0.0, 400.0, 0.0], "tenth", "", "")
        .linear([0.0, 0.0, 0.0, 200.0], "tenth", "<>", "")
        .diameter([200.0, 100.0], 50.0, "tenth", "")
}

#[test]
fn a_style_of_a_tenth_says_ten_to_one_and_nothing_is_taken_unasked() {
    let sheet = ten_to_one();
    let d = sheet.read();
    assert!(
        codes(&d).contains(&"scale-in-dimensions"),
        "{:?}",
        codes(&d)
    );
    assert_eq!(d.verdict, Verdict::CheckThis);
    assert_eq!(offered(&d), Some((10.0, ScaleSource::Dimensions)));
    assert_eq!(d.scale.used, ScaleChoice::default());
    assert!((cut_length(&d) - 10.0 * true_length()).abs() < 1e-6);
    let finding = d
        .findings
        .iter()
        .find(|f| f.code() == "scale-in-dimensions");
    assert_eq!(finding.map(|f| f.at.len()), Some(3));
}

#[test]
fn the_scale_taken_gives_the_true_part_and_settles_the_finding() {
    let sheet = ten_to_one();
    let first = sheet.read();
    let taken = sheet.read_at(first.scale.offered.expect("it is offered"));
    assert_eq!(taken.verdict, Verdict::SafeToQuote, "{:?}", codes(&taken));
    assert_eq!(offered(&taken), None);
    assert!((cut_length(&taken) - true_length()).abs() < 1e-9);
    assert!((taken.bounds.max.x - 40.0).abs() < 1e-12);
    let totals = measure(&taken.profile, Keep::Inside).totals;
    let area = 750.0 - std::f64::consts::PI * 25.0;
    assert!((totals.net_area.mm2() - area).abs() < 1e-9);
    // Joined anew it keeps its scale.
    let again = taken
        .rejoin(&ReadOptions::default(), &Progress::default())
        .expect("it joins");
    assert!((cut_length(&again) - true_length()).abs() < 1e-9);
}

#[test]
fn one_to_two_by_the_dimensions_own_factor() {
    let own =
        "1001\nACAD\n1000\nDSTYLE\n1002\n{\n1070\n40\n1040\n1.0\n1070\n144\n1040\n2.0\n1002\n}\n";
    let d = Sheet::plate(0.5)
        .style("plain", 1.0)
        .linear([0.0, 0.0, 20.0, 0.0], "plain", "", own)
        .linear([0.0, 0.0, 0.0, 10.0], "plain", "", own)
        .read();
    assert_eq!(offered(&d), Some((0.5, ScaleSource::Dimensions)));
    let taken = ScaleChoice::chosen("1:2".parse().expect("a scale"));
    assert_eq!(taken.scale.factor(), 0.5);
}

#[test]
fn texts_typed_over_that_agree_on_a_scale() {
    let d = Sheet::plate(10.0)
        .linear([0.0, 0.0, 400.0, 0.0], "none", "40", "")
        .linear([0.0, 0.0, 0.0, 200.0], "none", "20 ±0.01", "")
        .diameter([200.0, 100.0], 50.0, "none", "%%c10 H7")
        .read();
    assert_eq!(offered(&d), Some((10.0, ScaleSource::Dimensions)));
}

#[test]
fn a_picture_says_the_number_where_nothing_is_typed() {
    let d = Sheet::plate(5.0)
        .linear([0.0, 0.0, 200.0, 0.0], "none", "", "")
        .shown("40.00")
        .linear([0.0, 0.0, 0.0, 100.0], "none", "", "")
        .shown("20.0")
        .read();
    assert_eq!(offered(&d), Some((5.0, ScaleSource::Dimensions)));
    let fair = Sheet::plate(1.0)
        .linear([0.0, 0.0, 40.0, 0.0], "none", "", "")
        .shown("40.00 [1.575]")
        .read();
    assert_eq!(offered(&fair), None);
    assert_eq!(fair.verdict, Verdict::SafeToQuote, "{:?}", codes(&fair));
}

#[test]
fn dimensions_that_give_what_is_drawn_are_no_finding() {
    let d = Sheet::plate(1.0)
        .linear([0.0, 0.0, 40.0, 0.0], "none", "", "42\n40.0\n")
        .linear([0.0, 0.0, 0.0, 20.0], "none", "20", "")
        .linear([0.0, 0.0, 0.0, 20.0], "none", "d1=40/2", "")
        .diameter([20.0, 10.0], 5.0, "none", "2x %%c10")
        .linear([0.0, 0.0, 40.0, 0.0], "none", "see table", "")
        .read();
    assert_eq!(d.verdict, Verdict::SafeToQuote, "{:?}", codes(&d));
    assert_eq!(offered(&d), None);
}

#[test]
fn one_text_typed_over_is_named_with_its_place() {
    let d = Sheet::plate(1.0)
        .linear([0.0, 0.0, 40.0, 0.0], "none", "", "")
        .linear([0.0, 0.0, 0.0, 20.0], "none", "25", "")
        .diameter([20.0, 10.0], 5.0, "none", "%%c10")
        .read();
    assert_eq!(codes(&d), ["dimension-disagrees"]);
    let finding = &d.findings[0];
    assert!(
        sentence(finding, System::Metric).contains("25 where 20 is drawn"),
        "{}",
        sentence(finding, System::Metric)
    );
    assert_eq!(
        finding.at,
        [kerfcast::geometry::DrawingPoint::new(0.0, 7.0)]
    );
    assert_eq!(d.verdict, Verdict::CheckThis);
    assert_eq!(offered(&d), None);
}

#[test]
fn mixed_scales_name_their_places_and_offer_nothing() {
    let d = Sheet::plate(1.0)
        .style("detail", 0.2)
        .linear([0.0, 0.0, 40.0, 0.0], "none", "", "")
        .linear([0.0, 0.0, 0.0, 20.0], "none", "", "")
        .linear([100.0, 0.0, 150.0, 0.0], "detail", "", "")
        .read();
    assert_eq!(codes(&d), ["mixed-scales"]);
    assert_eq!(
        d.findings[0].at,
        [kerfcast::geometry::DrawingPoint::new(125.0, -3.0)]
    );
    assert!(sentence(&d.findings[0], System::Metric).contains("5:1"));
    assert_eq!(offered(&d), None);
}

#[test]
fn inches_and_millimetres_are_no_scale() {
    // 1 in is 25.4 mm (exact by definition). A drawing in inches may be dimensioned in mm, and the other way round.
    for (unit, factor) in [(1, 25.4), (4, 1.0 / 25.4)] {
        let d = Sheet::plate(1.0)
            .unit(Some(unit))
            .style("other", factor)
            .linear([0.0, 0.0, 40.0, 0.0], "other", "", "")
            .read();
        assert_eq!(offered(&d), None);
        assert!(codes(&d).is_empty(), "{:?}", codes(&d));
    }
    // Said the wrong way round it is the drawing's unit that is in doubt.
    for (unit, factor) in [(4, 25.4), (1, 1.0 / 25.4), (4, 254.0)] {
        let d = Sheet::plate(1.0)
            .unit(Some(unit))
            .style("other", factor)
            .linear([0.0, 0.0, 40.0, 0.0], "other", "", "")
            .read();
        assert_eq!(offered(&d), None);
        assert_eq!(codes(&d), ["dimensions-in-other-unit"]);
    }
    let typed = Sheet::plate(1.0)
        .linear([0.0, 0.0, 40.0, 0.0], "none", "1016", "")
        .read();
    assert_eq!(codes(&typed), ["dimensions-in-other-unit"]);
}

#[test]
fn a_scale_in_the_title_block_counts_where_no_dimension_says_otherwise() {
    let alone = Sheet::plate(10.0).text([500.0, 0.0], "SCALE 10:1").read();
    assert_eq!(offered(&alone), Some((10.0, ScaleSource::Text)));
    assert_eq!(codes(&alone), ["scale-in-text"]);
    assert_eq!(alone.verdict, Verdict::CheckThis);
    let cells = Sheet::plate(10.0)
        .text([500.0, 0.0], "Maßstab:")
        .text([520.0, 0.0], "10:1")
        .read();
    assert_eq!(offered(&cells), Some((10.0, ScaleSource::Text)));
    // A true drawing whose sheet is plotted smaller.
    let plotted = Sheet::plate(1.0)
        .linear([0.0, 0.0, 40.0, 0.0], "none", "40", "")
        .text([100.0, 0.0], "SCALE 1:2")
        .read();
    assert_eq!(offered(&plotted), None);
    assert_eq!(codes(&plotted), ["scale-of-plot"]);
    assert_eq!(plotted.verdict, Verdict::SafeToQuote);
    let true_size = Sheet::plate(1.0).text([100.0, 0.0], "SCALE 1:1").read();
    assert!(codes(&true_size).is_empty());
    // The scale of a view is not that of the drawing, nor is that of a layout.
    let view = Sheet::plate(1.0)
        .text([100.0, 0.0], "DETAIL A SCALE 5:1")
        .read();
    assert!(codes(&view).is_empty());
    let layout = Sheet::plate(1.0)
        .text([100.0, 0.0], "SCALE 5:1\n67\n1")
        .read();
    assert_eq!(offered(&layout), None);
    assert_eq!(layout.notes.len(), 1);
    let two = Sheet::plate(1.0)
        .text([100.0, 0.0], "SCALE 5:1")
        .text([200.0, 0.0], "SCALE 1:2")
        .read();
    assert_eq!(codes(&two), ["mixed-scales"]);
}

#[test]
fn a_dimension_in_a_scaled_insertion_tells_the_view() {
    let mut sheet = Sheet::plate(1.0).linear([0.0, 0.0, 40.0, 0.0], "none", "", "");
    let inner = Sheet::plate(1.0).linear([0.0, 0.0, 40.0, 0.0], "none", "40", "");
    let dimension = inner
        .entities
        .split("0\nDIMENSION")
        .nth(1)
        .expect("it has one");
    let _ = write!(
        sheet.blocks,
        "0\nBLOCK\n2\nVIEW\n10\n0\n20\n0\n0\nDIMENSION{dimension}0\nENDBLK\n"
    );
    sheet.entities += "0\nINSERT\n8\n0\n2\nVIEW\n10\n200\n20\n0\n41\n2\n42\n2\n43\n2\n";
    let d = sheet.read();
    assert_eq!(
        codes(&d).first(),
        Some(&"dimension-disagrees"),
        "{:?}",
        codes(&d)
    );
    assert_eq!(
        d.findings[0].at,
        [kerfcast::geometry::DrawingPoint::new(240.0, -6.0)]
    );
}

#[test]
fn the_guess_of_the_unit_goes_by_what_is_drawn() {
    let sheet = Sheet::plate(10.0).unit(None);
    let ten = ScaleChoice::chosen("10:1".parse().expect("a scale"));
    let d = sheet.read_at(ten);
    assert_eq!(
        (d.units.used, d.units.from),
        (Unit::Millimetre, UnitSource::Guess)
    );
    assert!((cut_length(&d) - true_length()).abs() < 1e-9);
}

#[test]
fn scales_are_written_and_read() {
    for (text, factor) in [
        ("10:1", 10.0),
        ("1:2", 0.5),
        ("1:2.5", 0.4),
        ("2,5:1", 2.5),
        ("1:1", 1.0),
    ] {
        let scale: Scale = text.parse().expect("a scale");
        assert!((scale.factor() - factor).abs() < 1e-12);
        assert_eq!(scale.to_string(), text.replace(',', "."));
    }
    for text in [
        "10",
        "0:1",
        "1:0",
        "a:b",
        "-1:2",
        "1:1000000",
        "",
        "1:2:3",
        "nan:1",
    ] {
        assert!(text.parse::<Scale>().is_err(), "{text:?}");
    }
}

/// Drawings by others, looked at one by one: their dimensions give what is drawn, in mm, in inches, typed, measured,
/// as the formulas of constraints, and rounded in their pictures.
#[test]
#[ignore = "needs ../shared"]
fn real_drawings_with_dimensions_give_what_is_drawn() {
    let lengths = [
        ("bracket_dims_negz_r12", 13),
        ("panel_with_dims_mm", 22),
        ("shaft_profile", 2),
        ("alu_plate_multi_in", 2),
        ("sample_r2018_binary", 8),
    ];
    for (name, least) in lengths {
        let path = shared::folder("corpus").join(format!("{name}.dxf"));
        let bytes = std::fs::read(path).expect("the drawing opens");
        let d = read(&bytes, &ReadOptions::default(), &Progress::default()).expect("it reads");
        assert!(
            d.dimensions.len() >= least,
            "{name}: {}",
            d.dimensions.len()
        );
        assert_eq!(offered(&d), None, "{name}");
        let about =
            |c: &&str| c.contains("scale-in") || c.contains("dimension") || c.contains("mixed");
        assert_eq!(codes(&d).iter().find(|c| about(c)), None, "{name}");
    }
}
