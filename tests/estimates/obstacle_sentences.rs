//! Every kind of obstacle and fault as a sentence: in inch without a millimetre left, each with a code of its own.

use kerfcast::estimate::{About, NamedContour, Obstacle, ObstacleKind, WhyNothing};
use kerfcast::job::{Candidate, JobFault, TightRadii};
use kerfcast::library::Library;
use kerfcast::process::WireRun;
use kerfcast::profile::Role;
use kerfcast::units::{Length, Mass, RunOff};
use kerfcast::words::{System, job_faults, obstacles};
use std::collections::BTreeSet;

fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

/// One fault of every kind.
fn faults() -> Vec<JobFault> {
    let all = vec![
        JobFault::Thickness(mm(2000.0)),
        JobFault::UnknownMaterial("cheese".to_owned()),
        JobFault::UnknownWire("a wire of nobody".to_owned()),
        JobFault::Run("hard plain brass".to_owned()),
        JobFault::Diameter(mm(0.9)),
        JobFault::Passes { asked: 9, most: 6 },
        JobFault::Taper(60.0),
        JobFault::Tab(mm(-1.0)),
        JobFault::NobodyThere,
        JobFault::Quantity(0),
        JobFault::LooseLimit,
    ];
    // A new kind does not compile until it stands in the list above.
    let place = |f: &JobFault| match f {
        JobFault::Thickness(_) => 0,
        JobFault::UnknownMaterial(_) => 1,
        JobFault::UnknownWire(_) => 2,
        JobFault::Run(_) => 3,
        JobFault::Diameter(_) => 4,
        JobFault::Passes { .. } => 5,
        JobFault::Taper(_) => 6,
        JobFault::Tab(_) => 7,
        JobFault::NobodyThere => 8,
        JobFault::Quantity(_) => 9,
        JobFault::LooseLimit => 10,
    };
    assert!(all.iter().map(place).eq(0..all.len()));
    all
}

/// One obstacle of every kind, with its sentence in mm and in inch.
///
/// Inch values by hand, ÷ 25.4: 0.1 → .0039, 0.131 → .0052, 0.2 → .0079, 0.438 → .0172, 0.35 → .0138, 0.384 → .0151,
/// 0.05 → .0020, 0.5 → .0197, 0.715 → .0281, 0.281 → .0111, 200 → 7.874, 250 → 9.8425; wires by their inch names; 5 and 7 m/min ÷ 0.3048 → 16.40 and 22.97.
#[allow(clippy::too_many_lines)] // One line or two a kind, and there are many.
fn obstacles_with_sentences() -> Vec<(ObstacleKind, &'static str, &'static str)> {
    let places = 2;
    let all = vec![
        (
            ObstacleKind::Job(JobFault::Diameter(mm(0.9))),
            "No wire is 0.9 mm thick. Enter a diameter between 0.03 and 0.4 mm.",
            "No wire is .0354 in thick. Enter a diameter between .0012 and .0157 in.",
        ),
        (
            ObstacleKind::NothingToCut(WhyNothing::AllLeftOut),
            "No contour is in the cut. Tick at least one.",
            "No contour is in the cut. Tick at least one.",
        ),
        (
            ObstacleKind::TooThick {
                thickness: mm(250.0),
                usual: mm(200.0),
            },
            "250 mm is more than a 0.25 mm wire usually cuts (200 mm of steel, common practice). Ask whether your \
             machine holds it, or take a thicker wire.",
            "9.8425 in is more than a .010 in wire usually cuts (7.874 in of steel, common practice). Ask whether your \
             machine holds it, or take a thicker wire.",
        ),
        (
            ObstacleKind::FinishInDoubt {
                skim: 2,
                run_off: RunOff::from_m_per_min(5.0),
                least: RunOff::from_m_per_min(7.0),
                wire: "zinc-coated brass".to_owned(),
            },
            "Skim 2 runs 5 m/min of wire. With zinc-coated brass about 7 m/min usually keep the finish (judgement), so \
             this one may come out rougher. Try it on a test piece, or run the skims faster.",
            "Skim 2 runs 16.4 ft/min of wire. With zinc-coated brass about 22.97 ft/min usually keep the finish \
             (judgement), so this one may come out rougher. Try it on a test piece, or run the skims faster.",
        ),
        (
            ObstacleKind::SelfCrossing { has_path: false },
            "Opening 2 crosses or touches itself, so what is inside is not clear, whatever the wire. Ask for a correct \
             drawing, or mend it there.",
            "Opening 2 crosses or touches itself, so what is inside is not clear, whatever the wire. Ask for a correct \
             drawing, or mend it there.",
        ),
        (
            ObstacleKind::CannotEnter { needs: mm(0.438) },
            "Opening 2 is too narrow for a 0.25 mm wire: its path needs 0.438 mm. Take a thinner wire or fewer passes, \
             or widen it.",
            "Opening 2 is too narrow for a .010 in wire: its path needs .0172 in. Take a thinner wire or fewer passes, \
             or widen it.",
        ),
        (
            ObstacleKind::NeckClosed { needs: mm(0.438) },
            "Opening 2 has a neck narrower than 0.438 mm, where a 0.25 mm wire does not pass. Take a thinner wire or \
             fewer passes, or widen the neck.",
            "Opening 2 has a neck narrower than .0172 in, where a .010 in wire does not pass. Take a thinner wire or \
             fewer passes, or widen the neck.",
        ),
        (
            ObstacleKind::PathUnsure,
            "Two computations of the wire path along opening 2 do not agree. Check the contour for crossings, and the \
             path on the drawing before you quote.",
            "Two computations of the wire path along opening 2 do not agree. Check the contour for crossings, and the \
             path on the drawing before you quote.",
        ),
        (
            ObstacleKind::InsideRadius {
                radius: mm(0.1),
                places,
                leaves: mm(0.131),
                depth: mm(0.0128),
                said: TightRadii::Undecided,
                thinner: Some(mm(0.15)),
            },
            "Opening 2 has an inside radius of 0.1 mm in 2 places; a 0.25 mm wire leaves a radius of 0.131 mm after this \
             plan, up to 0.013 mm deep. Take a wire of 0.15 mm or less, open the radius to 0.131 mm, or accept it for \
             this drawing.",
            "Opening 2 has an inside radius of .0039 in at 2 places; a .010 in wire leaves a radius of .0052 in after \
             this plan, up to .0005 in deep. Take a wire of .006 in or less, open the radius to .0052 in, or accept it \
             for this drawing.",
        ),
        (
            ObstacleKind::NarrowPlace {
                width: Some(mm(0.2)),
                places: 1,
                needs: mm(0.438),
                thinner: None,
            },
            "Opening 2 has a place 0.200 mm wide that a 0.25 mm wire does not enter, in one place; its plan needs \
             0.438 mm. Take a thinner wire, or widen it to 0.438 mm.",
            "Opening 2 has a place .0079 in wide that a .010 in wire does not enter, in one place; its plan needs \
             .0172 in. Take a thinner wire, or widen it to .0172 in.",
        ),
        (
            ObstacleKind::RoughCannotFollow {
                width: Some(mm(0.35)),
                places,
                needs: mm(0.438),
                most_passes: Some(1),
            },
            "Opening 2 has a place 0.350 mm wide that the rough of a 0.25 mm wire does not enter, in 2 places; a later \
             pass would cut it from the solid. Widen it to 0.438 mm, or plan rough only there, or take a thinner wire.",
            "Opening 2 has a place .0138 in wide that the rough of a .010 in wire does not enter, in 2 places; a later \
             pass would cut it from the solid. Widen it to .0172 in, or plan rough only there, or take a thinner wire.",
        ),
        (
            ObstacleKind::TooClose {
                into: NamedContour {
                    index: 4,
                    role: Role::Outline,
                },
                apart: mm(0.05),
                reach: mm(0.384),
            },
            "The rough beside opening 2 cuts into outline 5: they lie 0.050 mm apart, and a 0.25 mm wire with its \
             sparks reaches 0.384 mm from its contour. Move them that far apart, or take a thinner wire or fewer passes.",
            "The rough beside opening 2 cuts into outline 5: they lie .0020 in apart, and a .010 in wire with its \
             sparks reaches .0151 in from its contour. Move them that far apart, or take a thinner wire or fewer passes.",
        ),
        (
            ObstacleKind::NoStartHole {
                smallest: Some(mm(0.5)),
                needs: Some(mm(0.715)),
                room: mm(0.281),
                thinner: Some(mm(0.1)),
                own: false,
                edge: false,
            },
            "No start hole fits beside the cut of opening 2: a 0.5 mm hole with its stock and half the kerf needs \
             0.715 mm from the wire's path, and there is 0.281 mm. Take a wire of 0.1 mm or less, or set the start hole \
             yourself where one is there.",
            "No start hole fits beside the cut of opening 2: a .0197 in hole with its stock and half the kerf needs \
             .0281 in from the wire's path, and there is .0111 in. Take a wire of .004 in or less, or set the start \
             hole yourself where one is there.",
        ),
        (
            ObstacleKind::TooIntricate,
            "Opening 2 is too intricate for a wire: it crosses itself over and over, or is noise finer than any wire. \
             Look at it there, and ask for a clean contour.",
            "Opening 2 is too intricate for a wire: it crosses itself over and over, or is noise finer than any wire. \
             Look at it there, and ask for a clean contour.",
        ),
        (
            ObstacleKind::TooLarge {
                size: mm(2_000_000.0),
            },
            "Opening 2 is 2 000 000 mm across, more than a kilometre. Nothing of this size is cut; check the unit of the \
             drawing.",
            "Opening 2 is 78 740 in across, more than a kilometre. Nothing of this size is cut; check the unit of the \
             drawing.",
        ),
        (
            ObstacleKind::DiameterNotTaken {
                takes: vec![mm(0.2), mm(0.3)],
                machine: "left".to_owned(),
            },
            "left takes wire of 0.2 mm, 0.3 mm, and none of 0.25 mm. Take one of these, or another machine.",
            "left takes wire of .008 in, .012 in, and none of .010 in. Take one of these, or another machine.",
        ),
        (
            ObstacleKind::BeyondTravel {
                needs: (mm(508.0), mm(254.0)),
                travel: [Some(mm(381.0)), None],
                machine: "left".to_owned(),
            },
            "With its lead-ins it needs 508 mm × 254 mm of travel, however it is turned; left has 381 mm × any. \
             Choose another machine, or cut it in two set-ups.",
            "With its lead-ins it needs 20 in × 10 in of travel, however it is turned; left has 15 in × any. \
             Choose another machine, or cut it in two set-ups.",
        ),
        (
            ObstacleKind::TooHigh {
                thickness: mm(254.0),
                most: mm(203.2),
                machine: "left".to_owned(),
            },
            "254 mm is thicker than left takes (203.2 mm). Choose another machine.",
            "10 in is thicker than left takes (8 in). Choose another machine.",
        ),
        (
            // 500 kg / 0.453 592 37 = 1102.3 lb; 200 kg are 440.92 lb.
            ObstacleKind::TooHeavy {
                mass: Mass::from_kg(500.0),
                most: Mass::from_kg(200.0),
                machine: "left".to_owned(),
            },
            "The plate weighs at least 500 kg, more than left carries (200 kg). Choose another machine, or a smaller blank.",
            "The plate weighs at least 1102 lb, more than left carries (440.9 lb). Choose another machine, or a smaller blank.",
        ),
        (
            ObstacleKind::TaperTooSteep {
                degrees: 12.5,
                most: 7.0,
                machine: "left".to_owned(),
            },
            "A taper of 12.5° is steeper than left cuts (7°). Choose another machine.",
            "A taper of 12.5° is steeper than left cuts (7°). Choose another machine.",
        ),
        (
            ObstacleKind::NotOnHand {
                wire: "zinc-coated brass".to_owned(),
                machine: "left".to_owned(),
            },
            "Zinc-coated brass of 0.25 mm is not on hand for left: it has to be ordered.",
            "Zinc-coated brass of .010 in is not on hand for left: it has to be ordered.",
        ),
        (
            ObstacleKind::SpoolNotOnHand {
                spool: "P-5".to_owned(),
                machine: "left".to_owned(),
            },
            "A spool P-5 is not on hand for left. The page Shop says which are, and which one is loaded.",
            "A spool P-5 is not on hand for left. The page Shop says which are, and which one is loaded.",
        ),
        (
            ObstacleKind::UnknownMachine {
                name: "right".to_owned(),
            },
            "The shop has no machine “right”, so nothing is held against it. Choose one of its machines.",
            "The shop has no machine “right”, so nothing is held against it. Choose one of its machines.",
        ),
    ];
    // A new kind does not compile until it stands in the list above.
    let place = |k: &ObstacleKind| match k {
        ObstacleKind::Job(_) => 0,
        ObstacleKind::NothingToCut(_) => 1,
        ObstacleKind::TooThick { .. } => 2,
        ObstacleKind::FinishInDoubt { .. } => 3,
        ObstacleKind::SelfCrossing { .. } => 4,
        ObstacleKind::CannotEnter { .. } => 5,
        ObstacleKind::NeckClosed { .. } => 6,
        ObstacleKind::PathUnsure => 7,
        ObstacleKind::InsideRadius { .. } => 8,
        ObstacleKind::NarrowPlace { .. } => 9,
        ObstacleKind::RoughCannotFollow { .. } => 10,
        ObstacleKind::TooClose { .. } => 11,
        ObstacleKind::NoStartHole { .. } => 12,
        ObstacleKind::TooIntricate => 13,
        ObstacleKind::TooLarge { .. } => 14,
        ObstacleKind::DiameterNotTaken { .. } => 15,
        ObstacleKind::BeyondTravel { .. } => 16,
        ObstacleKind::TooHigh { .. } => 17,
        ObstacleKind::TooHeavy { .. } => 18,
        ObstacleKind::TaperTooSteep { .. } => 19,
        ObstacleKind::NotOnHand { .. } => 20,
        ObstacleKind::SpoolNotOnHand { .. } => 21,
        ObstacleKind::UnknownMachine { .. } => 22,
    };
    assert!(all.iter().map(|(k, ..)| place(k)).eq(0..all.len()));
    all
}

fn obstacle(kind: ObstacleKind) -> Obstacle {
    let about = NamedContour {
        index: 1,
        role: Role::Opening,
    };
    Obstacle {
        kind,
        about: About::Contour(about),
        at: None,
        diameter: mm(0.25),
    }
}

#[test]
fn every_obstacle_reads_well_in_mm_and_in_inch() {
    for (kind, metric, inch) in obstacles_with_sentences() {
        let o = obstacle(kind);
        assert_eq!(obstacles::sentence(&o, System::Metric), metric);
        assert_eq!(obstacles::sentence(&o, System::Inch), inch);
    }
}

#[test]
fn equal_sentences_are_told_once_with_their_contours() {
    let of = |index, kind| Obstacle {
        about: About::Contour(NamedContour {
            index,
            role: Role::Opening,
        }),
        ..obstacle(kind)
    };
    let narrow = || ObstacleKind::CannotEnter { needs: mm(0.438) };
    let mut all: Vec<Obstacle> = [1, 2, 4, 6, 7, 8].map(|k| of(k, narrow())).into();
    all.push(of(3, ObstacleKind::CannotEnter { needs: mm(0.5) }));
    all.push(of(3, ObstacleKind::PathUnsure));
    all.push(of(5, ObstacleKind::PathUnsure));
    let told = obstacles::told(&all, System::Metric);
    assert_eq!(told.len(), 3);
    // People count contours from 1.
    assert_eq!(
        told[0].sentence,
        "Each of 6 openings (2, 3, 5, 7, 8, 9) is too narrow for a 0.25 mm wire: its path needs 0.438 mm. Take a thinner \
         wire or fewer passes, or widen it."
    );
    assert_eq!(told[0].all, [0, 1, 2, 3, 4, 5]);
    assert_eq!(
        told[1].sentence,
        obstacles::sentence(&all[6], System::Metric)
    );
    assert!(
        told[2].sentence.starts_with(
            "Two computations of the wire path along each of 2 openings (4, 6) do not agree."
        ),
        "{}",
        told[2].sentence
    );
    let many: Vec<Obstacle> = (0..40).map(|k| of(k, narrow())).collect();
    let told = obstacles::told(&many, System::Inch);
    assert_eq!(told.len(), 1);
    assert!(
        told[0]
            .sentence
            .starts_with("Each of 40 openings (1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, …) is")
    );
}

#[test]
fn a_radius_that_is_not_made_says_what_was_decided_about_it() {
    let said = |radius, places, said| {
        let kind = ObstacleKind::InsideRadius {
            radius: mm(radius),
            places,
            leaves: mm(0.131),
            depth: mm(0.0543),
            said,
            thinner: None,
        };
        obstacles::sentence(&obstacle(kind), System::Metric)
    };
    assert_eq!(
        said(0.0, 4, TightRadii::Undecided),
        "Opening 2 has 4 sharp inside corners; a 0.25 mm wire leaves a radius of 0.131 mm after this plan, up to \
         0.054 mm deep. Draw a radius of 0.131 mm or more, or accept it for this drawing."
    );
    assert_eq!(
        said(0.0, 1, TightRadii::Accepted),
        "Opening 2 has a sharp inside corner; a 0.25 mm wire leaves a radius of 0.131 mm after this plan, up to \
         0.054 mm deep. That is accepted for this drawing."
    );
    assert_eq!(
        said(0.03, 1, TightRadii::Required),
        "Opening 2 has an inside radius of 0.03 mm in one place; a 0.25 mm wire leaves a radius of 0.131 mm after this \
         plan, up to 0.054 mm deep. It has to come out as drawn: take a thinner wire, or open the radius to 0.131 mm."
    );
}

#[test]
fn inch_means_inch_in_every_sentence() {
    let kinds = obstacles_with_sentences().into_iter().map(|(k, ..)| k);
    let faults = faults().into_iter().map(ObstacleKind::Job);
    for kind in kinds.chain(faults) {
        let said = obstacles::sentence(&obstacle(kind), System::Inch);
        let metric = ["mm", "m/min", "m"];
        let left: Vec<_> = metric.iter().filter(|m| contains_unit(&said, m)).collect();
        assert!(left.is_empty(), "{said}");
    }
}

/// Whether a unit stands in a text, and is no part of a longer word.
fn contains_unit(text: &str, unit: &str) -> bool {
    text.split(|c: char| c.is_whitespace() || ".,;:()".contains(c))
        .any(|word| word == unit)
}

#[test]
fn every_obstacle_has_a_code_of_its_own() {
    let all = obstacles_with_sentences();
    let codes: BTreeSet<&str> = all.iter().map(|(k, ..)| k.code()).collect();
    assert_eq!(codes.len(), all.len());
}

#[test]
fn what_blocks_leaves_no_figures_and_the_rest_is_a_warning() {
    // Half as much again as usual is still planned for, with a warning (judgement).
    let too_thick = |mm_thick| ObstacleKind::TooThick {
        thickness: mm(mm_thick),
        usual: mm(100.0),
    };
    assert!(!too_thick(150.0).blocks() && too_thick(150.1).blocks());
    assert!(!ObstacleKind::PathUnsure.blocks());
}

#[test]
fn faults_say_what_may_be_entered_in_the_unit_shown() {
    let said = |fault: &JobFault| job_faults::sentence(fault, System::Inch);
    // 0.05 mm and 1000 mm; 2000 mm.
    assert_eq!(
        said(&JobFault::Thickness(mm(2000.0))),
        "A thickness of 78.7402 in cannot be cut. Enter a thickness between .002 and 39.3701 in."
    );
    // 60 m/min ÷ 0.3048.
    assert!(said(&JobFault::Run("brass".to_owned())).contains("196.9 ft/min"));
    // What may be entered is not refused.
    let thin = Candidate::new("hard plain brass", 0.03).running(WireRun::Usual);
    assert_eq!(thin.faults(Library::built_in()), []);
}
