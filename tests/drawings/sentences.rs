//! Every finding and offer of the import reads well in mm and in inch, and its code stands for it alone.

use kerfcast::drawing::{
    About, Fault, Finding, HeaderUnit, Offer, OfferKind, Prefers, Reason, StandInKind, Unit,
    UnitSource, Units,
};
use kerfcast::geometry::DrawingPoint;
use kerfcast::units::Length;
use kerfcast::words::System;
use kerfcast::words::findings::sentence;
use kerfcast::words::offers;
use std::collections::{BTreeSet, HashSet};

fn finding(fault: Fault, count: usize, about: About) -> Finding {
    Finding {
        fault,
        count,
        about,
        at: Vec::new(),
        lines: Vec::new(),
        offers: Vec::new(),
    }
}

/// All that a finding can be about.
fn abouts() -> Vec<About> {
    let inch = Length::from_inch(1.0);
    vec![
        About::Nothing,
        About::Length(inch),
        About::Count(3),
        About::Names(vec!["OUTER".to_owned()]),
        About::StandIns(BTreeSet::from([
            StandInKind::HatchedArea,
            StandInKind::Multiline,
        ])),
        About::Units(Units {
            used: Unit::Inch,
            from: UnitSource::Guess,
            header: HeaderUnit::Silent,
            prefers: Some(Prefers::English),
            size: (inch, inch),
        }),
        About::Size(inch, inch),
        About::Reasons(vec![Reason::Frame(inch, inch), Reason::FrameWithTexts(2)]),
    ]
}

/// A finding about the unit always says which; any other reads well whatever it is about.
fn belongs(fault: Fault, about: &About) -> bool {
    let asks_unit = matches!(fault, Fault::UnitsGuessed | Fault::SizeImplausible);
    !asks_unit || matches!(about, About::Units(_))
}

#[test]
fn every_kind_reads_in_mm_and_in_inch() {
    for fault in Fault::ALL {
        for count in [1, 2] {
            for about in abouts().into_iter().filter(|a| belongs(fault, a)) {
                let f = finding(fault, count, about);
                let metric = sentence(&f, System::Metric);
                assert!(
                    metric.len() > 10 && metric.ends_with('.'),
                    "{fault:?}: {metric}"
                );
                let inch = sentence(&f, System::Inch);
                let words: Vec<&str> = inch.split(|c: char| !c.is_alphanumeric()).collect();
                assert!(!words.contains(&"mm"), "{fault:?}: {inch}");
            }
        }
    }
}

#[test]
fn a_code_stands_for_one_kind() {
    let codes: HashSet<&str> = Fault::ALL.iter().map(|f| f.code()).collect();
    assert_eq!(codes.len(), Fault::ALL.len());
    let kinds: HashSet<Fault> = Fault::ALL.into_iter().collect();
    assert_eq!(kinds.len(), Fault::ALL.len());
}

#[test]
fn amounts_that_round_to_nothing_are_not_said() {
    let gap = |mm| About::Length(Length::from_mm(mm));
    let told = |fault, mm, system| sentence(&finding(fault, 2, gap(mm)), system);
    let (metric, inch) = (System::Metric, System::Inch);
    assert_eq!(told(Fault::GapBridged, 4e-5, metric), "2 gaps closed.");
    assert_eq!(
        told(Fault::GapBridged, 6e-5, metric),
        "2 gaps closed, the largest 0.0001 mm."
    );
    assert_eq!(
        told(Fault::GapBridged, 0.0254, inch),
        "2 gaps closed, the largest 0.00100 in."
    );
    assert_eq!(
        told(Fault::EndMoved, 0.0, metric),
        "2 ends trimmed or extended as you accepted."
    );
    assert!(!told(Fault::Branch, 1e-4, metric).contains("0.000"));
}

#[test]
fn offers_read_in_both_systems() {
    let by = |way: f64, kind| Offer {
        kind,
        curve: 3,
        at_start: true,
        from: DrawingPoint::new(1.0, 2.0),
        to: DrawingPoint::new(1.0 + way, 2.0),
    };
    for kind in [OfferKind::Trim, OfferKind::Extend, OfferKind::TakeEdges] {
        let offer = by(0.254, kind);
        assert!(!offers::sentence(&offer, System::Inch).contains("mm"));
        assert!(!offers::deed(kind).is_empty());
    }
    let trim = by(0.254, OfferKind::Trim);
    assert_eq!(
        offers::sentence(&trim, System::Metric),
        "trim the start of a curve by 0.254 mm"
    );
    assert_eq!(
        offers::sentence(&trim, System::Inch),
        "trim the start of a curve by 0.010 in"
    );
    assert_eq!(
        offers::sentence(&by(1e-5, OfferKind::Extend), System::Metric),
        "extend the start of a curve"
    );
    assert_eq!(
        offers::done(&[trim, trim], System::Metric),
        "trimmed 2 ends, by up to 0.254 mm"
    );
}
