//! What is drawn but seldom cut is proposed with its reason, counted until answered, and left out on a
//! word; parts that lie apart are told apart.

use kerfcast::drawing::{
    Answer, Drawing, Progress, Proposal, ProposalKind, ReadOptions, Severity, Status, Verdict, read,
};
use kerfcast::measures::{measure, totals_of_part};
use kerfcast::profile::Keep;
use kerfcast::words::System;
use kerfcast::words::findings::sentence;
use kerfcast::words::reading::reason;
use std::f64::consts::PI;
use std::path::Path;

use crate::shared;

/// A file in mm with a dashed and dotted line type, from pairs one a line: `code value`.
fn file(blocks: &str, entities: &str) -> String {
    let text = format!(
        "0 SECTION\n2 HEADER\n9 $INSUNITS\n70 4\n0 ENDSEC\n0 SECTION\n2 TABLES\n\
         0 TABLE\n2 LTYPE\n0 LTYPE\n2 CHAIN\n70 0\n72 65\n73 4\n40 20\n49 12\n49 -3\n49 2\n49 -3\n\
         0 LTYPE\n2 DASHED\n70 0\n72 65\n73 2\n40 5\n49 3\n49 -2\n0 ENDTAB\n0 ENDSEC\n\
         0 SECTION\n2 BLOCKS\n{blocks}\n0 ENDSEC\n0 SECTION\n2 ENTITIES\n{entities}\n0 ENDSEC\n0 EOF"
    );
    text.lines()
        .map(str::trim)
        .filter(|l| !l.is_empty())
        .fold(String::new(), |out, line| {
            let (code, value) = line.split_once(' ').unwrap_or((line, ""));
            out + code + "\n" + value + "\n"
        })
}

fn opened(text: &str) -> Drawing {
    read(
        text.as_bytes(),
        &ReadOptions::default(),
        &Progress::default(),
    )
    .expect("the drawing reads")
}

fn rectangle(layer: &str, [x, y]: [f64; 2], [w, h]: [f64; 2]) -> String {
    let corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)];
    let corners = corners.map(|(x, y)| format!("10 {x}\n20 {y}\n")).concat();
    format!("0 LWPOLYLINE\n8 {layer}\n90 4\n70 1\n{corners}")
}

fn line(layer: &str, more: &str, [x0, y0, x1, y1]: [f64; 4]) -> String {
    format!("0 LINE\n8 {layer}\n{more}10 {x0}\n20 {y0}\n11 {x1}\n21 {y1}\n")
}

fn circle(layer: &str, [x, y]: [f64; 2], r: f64) -> String {
    format!("0 CIRCLE\n8 {layer}\n10 {x}\n20 {y}\n40 {r}\n")
}

fn text([x, y]: [f64; 2], words: &str) -> String {
    format!("0 TEXT\n8 0\n10 {x}\n20 {y}\n40 2.5\n1 {words}\n")
}

fn of_kind(drawing: &Drawing, kind: ProposalKind) -> Vec<&Proposal> {
    drawing
        .proposals
        .iter()
        .filter(|p| p.kind == kind)
        .collect()
}

fn cut_length(drawing: &Drawing) -> f64 {
    drawing
        .profile
        .contours()
        .iter()
        .map(|c| c.drawn_length.mm())
        .sum()
}

fn finding(drawing: &Drawing, code: &str) -> Option<usize> {
    let found = drawing.findings.iter().find(|f| f.code() == code);
    found.map(|f| f.count)
}

#[test]
fn centre_lines_by_layer_by_line_type_and_by_what_they_cross() {
    let d = opened(&file(
        "",
        &[
            circle("PART", [0.0, 0.0], 20.0),
            circle("PART", [0.0, 0.0], 5.0),
            line("Mittellinien", "", [-25.0, 1.0, 25.0, 1.0]),
            line("PART", "6 CHAIN\n", [-1.0, 22.0, -1.0, -22.0]),
            line("PART", "6 DASHED\n", [-2.0, 22.0, -2.0, -22.0]),
            line("PART", "", [-25.0, 0.0, 25.0, 0.0]),
            line("PART", "", [0.0, 3.0, 9.0, 3.0]),
        ]
        .concat(),
    ));
    let found = of_kind(&d, ProposalKind::CentreLine);
    let mut curves: Vec<usize> = found.iter().flat_map(|p| p.curves.clone()).collect();
    curves.sort_unstable();
    assert_eq!(curves, [2, 3, 5], "{found:?}");
    // Counted until answered: nothing is left out unasked.
    assert!(curves.iter().all(|&c| d.status[c] == Status::Used));
    assert_eq!(finding(&d, "maybe-centre-lines"), Some(3));
    assert_eq!(d.profile.open().len(), 5);
    let mut options = ReadOptions::default();
    options
        .answers
        .extend(d.proposals.iter().map(|p| (p.key(), Answer::LeaveOut)));
    let d = d.rejoin(&options, &Progress::default()).expect("it joins");
    assert_eq!(d.profile.open().len(), 2);
    assert_eq!(finding(&d, "maybe-centre-lines"), None);
    assert_eq!(finding(&d, "left-out"), Some(3));
    // What was asked stays listed, so that the answer can be taken back.
    assert_eq!(of_kind(&d, ProposalKind::CentreLine).len(), 3);
}

#[test]
fn a_contour_with_one_side_in_a_chain_line_stays_whole() {
    let sides = [
        line("0", "6 CHAIN\n", [0.0, 0.0, 10.0, 0.0]),
        line("0", "", [10.0, 0.0, 10.0, 8.0]),
        line("0", "", [10.0, 8.0, 0.0, 0.0]),
    ];
    assert!(opened(&file("", &sides.concat())).proposals.is_empty());
    // A drawing that lies on such a layer altogether is the part.
    assert!(
        opened(&file("", &circle("FRAME", [0.0, 0.0], 4.0)))
            .proposals
            .is_empty()
    );
}

/// A sheet: its border, a title block in the corner as a block, a plate of 100 × 60 with a bore.
fn sheet(border_layer: &str, block: &str) -> String {
    let title = format!(
        "0 BLOCK\n8 0\n2 {block}\n70 0\n10 0\n20 0\n{}{}{}{}0 ENDBLK\n",
        rectangle("0", [0.0, 0.0], [80.0, 20.0]),
        line("0", "", [0.0, 10.0, 80.0, 10.0]),
        text([2.0, 3.0], "PLATE"),
        text([2.0, 13.0], "STEEL")
    );
    let entities = [
        rectangle(border_layer, [10.0, 10.0], [277.0, 190.0]),
        rectangle("PART", [50.0, 80.0], [100.0, 60.0]),
        circle("PART", [80.0, 110.0], 10.0),
        format!("0 INSERT\n8 0\n2 {block}\n10 200\n20 15\n"),
        text([60.0, 60.0], "BREAK EDGES"),
    ];
    file(&title, &entities.concat())
}

#[test]
fn a_border_and_a_title_block_by_name_or_by_shape() {
    for (layer, block) in [("BORDER", "TITLE_BLOCK"), ("0", "X")] {
        let d = opened(&sheet(layer, block));
        let border = of_kind(&d, ProposalKind::Border);
        let title = of_kind(&d, ProposalKind::TitleBlock);
        assert_eq!((border.len(), title.len()), (1, 1), "{:?}", d.proposals);
        assert_eq!(border[0].contours, [0]);
        assert!(
            title[0].curves.len() == 2,
            "its rectangle and the line in it"
        );
        // The plate within the border is the outermost rectangle that is left.
        assert_eq!(of_kind(&d, ProposalKind::BlockEdge).len(), 1);
        let all = cut_length(&d);
        let answers = [border[0], title[0]].map(|p| (p.key(), Answer::LeaveOut));
        let options = ReadOptions {
            answers: answers.into_iter().collect(),
            ..ReadOptions::default()
        };
        let part = d.rejoin(&options, &Progress::default()).expect("it joins");
        // Plate 2·(100 + 60), bore 2·π·10; before it also the border and the title block's box.
        assert!((cut_length(&part) - (320.0 + 20.0 * PI)).abs() < 1e-9);
        assert!((all - cut_length(&part) - (2.0 * (277.0 + 190.0) + 200.0)).abs() < 1e-9);
        assert_eq!(part.profile.contours()[0].depth, 0);
    }
}

#[test]
fn the_edge_of_a_ground_block_is_asked_for() {
    let plate = rectangle("0", [0.0, 0.0], [100.0, 60.0]);
    let d = opened(&file(
        "",
        &(plate.clone() + &circle("0", [50.0, 30.0], 8.0)),
    ));
    let edge = of_kind(&d, ProposalKind::BlockEdge);
    assert_eq!(edge.len(), 1);
    assert_eq!(
        (edge[0].contours.clone(), edge[0].curves.clone()),
        (vec![0], vec![0])
    );
    assert!((cut_length(&d) - (320.0 + 16.0 * PI)).abs() < 1e-9);
    let answered = |answer| {
        let options = ReadOptions {
            answers: [(edge[0].key(), answer)].into(),
            ..ReadOptions::default()
        };
        d.rejoin(&options, &Progress::default()).expect("it joins")
    };
    assert!((cut_length(&answered(Answer::LeaveOut)) - 16.0 * PI).abs() < 1e-9);
    let cut = answered(Answer::Cut);
    assert!((cut_length(&cut) - cut_length(&d)).abs() < 1e-9);
    assert_eq!(finding(&cut, "maybe-block-edge"), None);
    // A rectangle with nothing in it is the part itself.
    assert!(opened(&file("", &plate)).proposals.is_empty());
}

#[test]
fn the_centre_lines_of_the_customers_plate() {
    let path =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("sample_drawings/dirty-customer-plate.dxf");
    let d = read(
        &std::fs::read(path).expect("it opens"),
        &ReadOptions::default(),
        &Progress::default(),
    )
    .expect("it reads");
    // Its five centre lines lie on layer CENTER; so its maker wrote them.
    let centre = of_kind(&d, ProposalKind::CentreLine);
    assert_eq!(centre.len(), 1, "{:?}", d.proposals);
    assert_eq!(centre[0].curves.len(), 5);
    assert_eq!(centre[0].layer, "CENTER");
}

#[test]
fn parts_that_lie_apart_are_measured_alone() {
    let d = opened(&file(
        "",
        &[
            rectangle("0", [0.0, 0.0], [40.0, 20.0]),
            circle("0", [10.0, 10.0], 4.0),
            rectangle("0", [45.0, 0.0], [40.0, 20.0]),
            circle("0", [60.0, 10.0], 5.0),
            line("0", "", [70.0, 5.0, 75.0, 5.0]),
        ]
        .concat(),
    ));
    assert_eq!(d.parts.len(), 2);
    assert_eq!(finding(&d, "several-parts"), Some(2));
    // Told, but no reason to doubt the drawing: every part is counted.
    let several = d.findings.iter().find(|f| f.code() == "several-parts");
    assert!(several.is_some_and(|f| f.severity() == Severity::Note));
    assert!(several.is_some_and(|f| sentence(f, System::Metric).starts_with("2 parts")));
    let measures = measure(&d.profile, Keep::Inside);
    let totals: Vec<_> = d
        .parts
        .iter()
        .map(|p| totals_of_part(&d.profile, &measures, p))
        .collect();
    assert!((totals[0].cut_length.mm() - (120.0 + 8.0 * PI)).abs() < 1e-9);
    assert!((totals[1].net_area.mm2() - (800.0 - 25.0 * PI)).abs() < 1e-9);
    assert_eq!((totals[0].open, totals[1].open), (0, 1));
}

#[test]
fn a_clean_sheet_of_several_parts_is_safe_to_quote() {
    let d = opened(&file(
        "",
        &[
            circle("0", [0.0, 0.0], 20.0),
            circle("0", [0.0, 0.0], 5.0),
            circle("0", [100.0, 0.0], 20.0),
            circle("0", [100.0, 0.0], 6.0),
        ]
        .concat(),
    ));
    assert_eq!((d.parts.len(), d.verdict), (2, Verdict::SafeToQuote));
    assert!((cut_length(&d) - 2.0 * PI * 51.0).abs() < 1e-9);
}

/// A plate with a hole near one corner, and its mirror image 60 mm further.
fn two_views(second_hole: f64) -> String {
    [
        rectangle("0", [0.0, 0.0], [40.0, 20.0]),
        circle("0", [8.0, 6.0], 3.0),
        rectangle("0", [60.0, 0.0], [40.0, 20.0]),
        circle("0", [100.0 - second_hole, 6.0], 3.0),
    ]
    .concat()
}

#[test]
fn the_same_outline_twice_is_a_question_of_parts_or_views() {
    let text = file("", &two_views(8.0));
    let d = opened(&text);
    let asked = of_kind(&d, ProposalKind::SameAgain);
    assert_eq!((d.parts.len(), asked.len()), (2, 1));
    assert_eq!(d.verdict, Verdict::CheckThis);
    let found = d.findings.iter().find(|f| f.code() == "maybe-same-again");
    let said = found.map(|f| sentence(f, System::Metric));
    let said = said.expect("it is a finding");
    assert!(said.contains("two parts or two views?"), "{said}");
    assert!(said.contains("twice, mirrored"), "{said}");
    // Until it is answered both are counted.
    assert!((cut_length(&d) - (240.0 + 12.0 * PI)).abs() < 1e-9);
    let answered = |answer| {
        let options = ReadOptions {
            answers: [(asked[0].key(), answer)].into(),
            ..ReadOptions::default()
        };
        read(text.as_bytes(), &options, &Progress::default()).expect("it reads")
    };
    let two = answered(Answer::Cut);
    assert_eq!((two.parts.len(), two.verdict), (2, Verdict::SafeToQuote));
    assert_eq!(finding(&two, "maybe-same-again"), None);
    let views = answered(Answer::LeaveOut);
    assert_eq!(
        (views.parts.len(), views.verdict),
        (1, Verdict::SafeToQuote)
    );
    assert!((cut_length(&views) - (120.0 + 6.0 * PI)).abs() < 1e-9);
    // A hole that sits elsewhere makes two parts, and no question.
    let other = opened(&file("", &two_views(8.05)));
    assert!(of_kind(&other, ProposalKind::SameAgain).is_empty());
    assert_eq!(other.verdict, Verdict::SafeToQuote);
}

#[test]
fn views_within_a_border_are_asked_about_too() {
    let border = [
        rectangle("0", [-20.0, -60.0], [160.0, 120.0]),
        text([-15.0, -50.0], "DRAWN"),
        text([-15.0, -55.0], "CHECKED"),
    ]
    .concat();
    let d = opened(&file("", &(border + &two_views(8.0))));
    assert_eq!(of_kind(&d, ProposalKind::Border).len(), 1);
    assert_eq!(of_kind(&d, ProposalKind::SameAgain).len(), 1);
}

#[test]
fn nine_parts_over_a_metre_are_not_safe_to_quote() {
    // Nine rings, none like another.
    let rings = |step: f64| {
        let one = |k: i32| {
            let (x, k) = (step * f64::from(k), f64::from(k));
            circle("0", [x, 0.0], 20.0) + &circle("0", [x, 0.0], 5.0 + k)
        };
        file("", &(0..9).map(one).collect::<String>())
    };
    let wide = opened(&rings(130.0));
    assert_eq!((wide.parts.len(), wide.verdict), (9, Verdict::CheckThis));
    let found = wide.findings.iter().find(|f| f.code() == "spreads-wide");
    let said = found.map(|f| sentence(f, System::Metric));
    assert!(said.is_some_and(|s| s.contains("1080.0 × 40.00 mm")));
    let near = opened(&rings(60.0));
    assert_eq!((near.parts.len(), near.verdict), (9, Verdict::SafeToQuote));
}

#[test]
#[ignore = "needs ../shared"]
fn proposals_of_real_drawings_are_questions_with_a_reason() {
    let folder = shared::folder("corpus");
    let mut asked = 0;
    for row in shared::rows(&folder.join("../manifest.csv")) {
        let file = &row["file"];
        let bytes = std::fs::read(folder.join(file)).expect("it opens");
        let Ok(d) = read(&bytes, &ReadOptions::default(), &Progress::default()) else {
            continue;
        };
        let mut claimed = std::collections::BTreeSet::new();
        for p in &d.proposals {
            asked += 1;
            assert!(
                !reason(&p.reason, System::Metric).is_empty() && !p.curves.is_empty(),
                "{file}: {p:?}"
            );
            assert!(p.answer.is_none(), "{file}: nobody has answered");
            for k in &p.curves {
                assert!(*k < d.curves.len(), "{file}: {p:?}");
                assert!(claimed.insert(*k), "{file}: curve {k} is asked about twice");
                assert_ne!(d.status[*k], Status::LeftOut, "{file}: left out unasked");
            }
        }
        // Answered with "cut", everything is as it was.
        let answers = d.proposals.iter().map(|p| (p.key(), Answer::Cut)).collect();
        let options = ReadOptions {
            answers,
            ..ReadOptions::default()
        };
        let kept = d.rejoin(&options, &Progress::default()).expect("it joins");
        assert_eq!(cut_length(&kept), cut_length(&d), "{file}");
    }
    assert!(asked > 10, "{asked} questions");
}

#[test]
fn what_lies_side_by_side_is_a_question_until_somebody_says_what_stays() {
    let text = file(
        "",
        &[
            circle("0", [0.0, 0.0], 8.0),
            circle("0", [30.0, 0.0], 5.0),
            rectangle("0", [50.0, 0.0], [12.0, 9.0]),
        ]
        .concat(),
    );
    let d = opened(&text);
    assert_eq!(finding(&d, "side-by-side"), Some(1));
    assert_eq!(d.verdict, Verdict::CheckThis);
    let asked = d.findings.iter().find(|f| f.code() == "side-by-side");
    let said = asked.map(|f| sentence(f, System::Metric));
    assert!(said.is_some_and(|s| s.contains("3 contours lie side by side")));
    let options = ReadOptions {
        what_stays: Some(Keep::Outside),
        ..ReadOptions::default()
    };
    let said = d.rejoin(&options, &Progress::default()).expect("joined");
    assert_eq!(finding(&said, "side-by-side"), None);
    assert_eq!(
        (said.verdict, said.parts.len()),
        (Verdict::SafeToQuote, d.parts.len())
    );
    // Parts are parts however near they lie.
    let options = ReadOptions {
        what_stays: Some(Keep::Inside),
        ..ReadOptions::default()
    };
    let said = d.rejoin(&options, &Progress::default()).expect("joined");
    assert_eq!((said.verdict, said.parts.len()), (Verdict::SafeToQuote, 3));
    // One contour alone is a part, and an opening within another leaves no doubt.
    let plate = file(
        "",
        &[circle("0", [0.0, 0.0], 8.0), circle("0", [0.0, 0.0], 3.0)].concat(),
    );
    for text in [file("", &circle("0", [0.0, 0.0], 8.0)), plate] {
        assert_eq!(finding(&opened(&text), "side-by-side"), None);
    }
}
