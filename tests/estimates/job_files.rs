//! Job files: what is saved comes back to the last bit, and what is damaged is refused with a reason.

use kerfcast::drawing::{
    Answer, Offer, OfferKind, Progress, ProposalKind, ReadOptions, Scale, ScaleChoice, ScaleSource,
    Unit, UnitChoice, proposal_id, proposal_key,
};
use kerfcast::enquiry::{DrawingFile, Enquiry, FileFault, Item, ItemFault, State};
use kerfcast::estimate::breaks;
use kerfcast::geometry::{DrawingPoint, Point};
use kerfcast::job::{
    Blank, BurnOut, Candidate, Confirmed, ContourChoice, CutOff, CuttingOrder, Edit, Flushing, Job,
    LotOrder, StaffedHours, TightRadii, Travel, Variant, Waste, WeekTime, WireRun,
};
use kerfcast::library::knowledge::Learned;
use kerfcast::library::{CurvePoint, Factor, Knowledge, Library, ThicknessCurve};
use kerfcast::profile::Keep;
use kerfcast::samples;
use kerfcast::units::{Length, Mass, Money, RunOff};
use kerfcast::words::job_files::refused;
use proptest::prelude::*;
use proptest::sample::select;
use std::sync::Arc;

/// A square of 40 mm with a round hole of 10 mm.
const PLATE: &str = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n\
0\nLINE\n8\n0\n10\n0\n20\n0\n11\n40\n21\n0\n0\nLINE\n8\n0\n10\n40\n20\n0\n11\n40\n21\n40\n\
0\nLINE\n8\n0\n10\n40\n20\n40\n11\n0\n21\n40\n0\nLINE\n8\n0\n10\n0\n20\n40\n11\n0\n21\n0\n\
0\nCIRCLE\n8\n0\n10\n20\n20\n20\n40\n5\n0\nENDSEC\n0\nEOF\n";

fn plate() -> DrawingFile {
    DrawingFile::new(PLATE.as_bytes())
}

fn small(job: Job) -> Enquiry {
    let mut enquiry = Enquiry::new(Arc::new(Library::built_in().clone()));
    enquiry
        .items
        .push(Item::new("plate.dxf".to_owned(), plate(), job));
    enquiry
}

fn starting() -> Job {
    Job {
        candidates: vec![
            Candidate::new("hard plain brass", 0.25),
            Candidate::new("zinc-coated brass", 0.2),
        ],
        ..Job::starting(Library::built_in())
    }
}

/// What was saved, opened again and saved once more.
fn again(enquiry: &Enquiry) -> Enquiry {
    let bytes = enquiry.to_bytes().expect("a whole job is saved");
    let read = Enquiry::from_bytes(&bytes).expect("what was saved is read");
    assert_eq!(read.to_bytes().unwrap(), bytes, "saving changes nothing");
    read
}

fn library() -> Library {
    let mut library = Library::built_in().clone();
    library.materials[0].relative_speed.value = 0.9 + 0.1 + 1e-15;
    library.overheads.setup.value = 2.0 / 3.0;
    library.model.peak_rate.value = 151.000_000_000_000_03;
    let point = |h, a| CurvePoint {
        thickness_mm: h,
        rate_mm2_per_min: a,
    };
    let points = vec![point(10.0, 90.1), point(50.0, 140.7), point(120.3, 100.0)];
    library.thickness_curve = Some(ThicknessCurve::new(points).unwrap());
    let learned = |factor, log_mean| Learned {
        factor,
        log_mean,
        prior_log_sd: 0.35,
        cuts: 3,
    };
    library.learned = Some(
        Knowledge::new(
            "saw 3".to_owned(),
            3,
            vec![
                learned(Factor::Machine, -0.123_456_789_012_345_67),
                learned(Factor::Wire("hard plain brass".into()), 1e-17),
            ],
            vec![vec![0.01, -0.001], vec![-0.001, 0.02]],
        )
        .unwrap(),
    );
    library
}

#[test]
fn a_library_comes_back_whole_from_its_text() {
    let mut all = library();
    all.learned = None;
    for library in [Library::built_in(), &all] {
        assert_eq!(Library::from_toml(&library.to_toml()).unwrap(), *library);
    }
}

#[test]
fn proposals_are_named_and_found_by_their_name() {
    for kind in ProposalKind::ALL {
        assert_eq!(proposal_key(&proposal_id((kind, 17))), Some((kind, 17)));
    }
    for wrong in [
        "",
        "maybe-border",
        "maybe-border-",
        "border-1",
        "maybe-border-x",
    ] {
        assert_eq!(proposal_key(wrong), None, "{wrong}");
    }
}

/// Numbers that lose digits in a careless file.
fn number(low: f64, high: f64) -> impl Strategy<Value = f64> {
    (low..high).prop_map(|v| v + v * f64::EPSILON)
}

fn length(low: f64, high: f64) -> impl Strategy<Value = Length> {
    number(low, high).prop_map(Length::from_mm)
}

fn money() -> impl Strategy<Value = Money> {
    number(0.0, 500.0).prop_map(Money::from_amount)
}

fn run() -> impl Strategy<Value = WireRun> {
    let speed = || number(1.0, 15.0).prop_map(RunOff::from_m_per_min);
    prop_oneof![
        Just(WireRun::Usual),
        (speed(), speed()).prop_map(|(rough, skims)| WireRun::Own { rough, skims }),
        [speed(), speed(), speed(), speed(), speed(), speed()].prop_map(WireRun::Each),
        (length(1e4, 1e6), number(1.0, 200.0))
            .prop_map(|(reel, hours)| WireRun::Reciprocating { reel, hours }),
    ]
}

fn candidates() -> impl Strategy<Value = Vec<Candidate>> {
    let names: Vec<String> = Library::built_in()
        .wires
        .iter()
        .map(|w| w.name.clone())
        .collect();
    let one = (select(names), number(0.1, 0.3), run())
        .prop_map(|(name, d, run)| Candidate::new(&name, d).running(run));
    prop::collection::vec(one, 1..4)
}

fn choice() -> impl Strategy<Value = ContourChoice> {
    (
        (
            prop::option::of(1_usize..5),
            prop::option::of(length(1.0, 90.0)),
            prop::option::of(select(vec![Flushing::Close, Flushing::Away])),
            number(-10.0, 10.0),
            any::<bool>(),
        ),
        prop::option::of((number(-1.0, 41.0), number(-1.0, 41.0))),
        prop::option::of(length(0.0, 100.0)),
        prop::option::of(length(0.1, 5.0)),
        prop::option::of(select(vec![CutOff::AfterSkims, CutOff::BeforeSkims])),
        prop::option::of(select(vec![Waste::Slug, Waste::Erode])),
    )
        .prop_map(|(first, hole, join, tab, cut_off, waste)| ContourChoice {
            passes: first.0,
            thickness: first.1,
            flushing: first.2,
            taper_degrees: first.3,
            from_edge: hole.is_none().then_some(first.4),
            turned: first.4,
            on_line: false,
            hole: hole.map(|(x, y)| Point::new(x, y)),
            join,
            tab,
            cut_off,
            waste,
        })
}

/// Quick variants of every kind.
fn variants() -> impl Strategy<Value = Vec<Variant>> {
    let edit = prop_oneof![
        number(0.5, 2.0).prop_map(Edit::Scale),
        Just(Edit::Mirror),
        length(0.05, 3.0).prop_map(Edit::InsideRadii),
        (0_usize..9).prop_map(Edit::LeaveOut),
        length(1.0, 200.0).prop_map(Edit::Thickness),
        (1_usize..6).prop_map(Edit::Passes),
    ];
    let edits = prop::collection::vec(edit, 1..3);
    let name = select(vec![String::new(), "larger radii, as asked".to_owned()]);
    let one = (name, edits).prop_map(|(name, edits)| Variant { name, edits });
    prop::collection::vec(one, 0..3)
}

prop_compose! {
    fn ways()(
        order in select(vec![CuttingOrder::EachInTurn, CuttingOrder::RoughsFirst]),
        travel in select(vec![Travel::Rethread, Travel::KeepThreaded]),
        cut_off in select(vec![CutOff::AfterSkims, CutOff::BeforeSkims]),
        burn_out in prop_oneof![
            Just(BurnOut::Nothing),
            length(0.0, 20.0).prop_map(BurnOut::UpToSize),
            number(0.0, 0.1).prop_map(|kg| BurnOut::UpToMass(Mass::from_kg(kg))),
        ],
        tight_radii in select(vec![TightRadii::Undecided, TightRadii::Accepted, TightRadii::Required]),
        lot_order in select(vec![LotOrder::PartByPart, LotOrder::TabsTogether]),
        begin in (0_u16..7, 0_u16..1440),
        variants in variants(),
    ) -> Job {
        Job {
            variants,
            order, travel, cut_off, burn_out, tight_radii, lot_order,
            begin: WeekTime::new(begin.0, begin.1),
            ..starting()
        }
    }
}

prop_compose! {
    fn job()(
        ways in ways(),
        material in select(Library::built_in().materials.iter().map(|m| m.name.clone()).collect::<Vec<_>>()),
        thickness in length(1.0, 200.0),
        passes in 1_usize..6,
        flushing in select(vec![Flushing::Close, Flushing::OneAway, Flushing::Away]),
        quantity in 1_u32..500,
        keep in select(vec![Keep::Inside, Keep::Outside]),
        candidates in candidates(),
        left_out in prop::collection::btree_set(0_usize..6, 0..2),
        contours in prop::collection::btree_map(0_usize..6, choice(), 0..3),
        rates in [money(), money(), money(), money(), money()],
        hours in (number(0.0, 5.0), number(0.0, 5.0), number(0.0, 90.0), number(0.01, 1.0), number(0.0, 0.5)),
        days in any::<[bool; 7]>(),
        blank in prop_oneof![
            Just(Blank::NotCounted),
            money().prop_map(Blank::Price),
            (money(), length(0.0, 9.0)).prop_map(|(price, allowance)| Blank::ByMass { price, allowance }),
        ],
        own_rate in prop::option::of(money()),
    ) -> Job {
        let mut job = Job { material, thickness, passes, flushing, quantity, keep, candidates, left_out, contours, ..ways };
        job.baseline = passes % job.candidates.len();
        let shop = &mut job.shop;
        [shop.machine_rate, shop.labour_rate, shop.wire_price, shop.scrap_value, shop.other] = rates;
        (shop.setup_hours, shop.programming_hours, shop.inspection_minutes, shop.uptime, shop.markup) = hours;
        shop.staffed = StaffedHours { days, ..StaffedHours::default() };
        shop.staffed.days[2] = true;
        (shop.blank, shop.programming_rate) = (blank, own_rate);
        job
    }
}

prop_compose! {
    fn options()(
        units in prop_oneof![Just(UnitChoice::Auto), select(Unit::ALL.to_vec()).prop_map(UnitChoice::Fixed)],
        scale in number(0.1, 10.0),
        from in select(ScaleSource::ALL.to_vec()),
        gap in length(0.0, 1.0),
        layers in prop::collection::btree_set("[ -~äöü\"\\\\]{0,12}", 0..3),
        colours in prop::collection::btree_set(1_i16..255, 0..3),
        answers in prop::collection::btree_map(
            (select(ProposalKind::ALL.to_vec()), 0_usize..40),
            select(vec![Answer::Cut, Answer::LeaveOut]),
            0..4,
        ),
        accepted in prop::collection::vec(
            (select(vec![OfferKind::Trim, OfferKind::Extend, OfferKind::TakeEdges]), 0_usize..9,
             any::<bool>(), [number(-9e5, 9e5), number(-9e5, 9e5), number(-9e5, 9e5), number(-9e5, 9e5)]),
            0..3,
        ),
        sides in any::<[bool; 2]>(),
        what_stays in select(vec![None, Some(Keep::Inside), Some(Keep::Outside)]),
    ) -> ReadOptions {
        ReadOptions {
            units,
            scale: ScaleChoice { scale: Scale::new(scale).unwrap(), from },
            join_gap: gap,
            excluded_layers: layers,
            excluded_colours: colours,
            answers,
            accepted: accepted.into_iter().map(|(kind, curve, at_start, p)| Offer {
                kind, curve, at_start,
                from: DrawingPoint::new(p[0], p[1]),
                to: DrawingPoint::new(p[2], p[3]),
            }).collect(),
            join_at_sides: sides[0],
            outline_at_sides: sides[1],
            what_stays,
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn any_job_comes_back_to_the_last_bit(
        jobs in prop::collection::vec((job(), options(), "\\PC{0,20}"), 1..4),
        state in select(State::ALL.to_vec()),
        bytes in prop::collection::vec(any::<u8>(), 0..300),
    ) {
        let mut enquiry = Enquiry::new(Arc::new(library()));
        enquiry.quote.remarks = "two\nlines \"quoted\"".to_owned();
        for (job, options, name) in jobs {
            let mut item = Item::new(name, DrawingFile::new(bytes.clone()), job);
            item.options = options;
            item.confirmed = Confirmed { thickness: true, material: false };
            item.wire = Some(0);
            item.state = state;
            enquiry.items.push(item);
        }
        let back = again(&enquiry);
        prop_assert_eq!(&back.items, &enquiry.items);
        prop_assert_eq!(&back.library, &enquiry.library);
        prop_assert_eq!(&back.quote, &enquiry.quote);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn any_job_estimates_the_same_after_it_was_saved(job in job()) {
        let mut enquiry = small(job);
        enquiry.library = Arc::new(library());
        let back = again(&again(&enquiry));
        let estimate = |e: &Enquiry| {
            let answered = e.items[0].answer(&e.library, &Progress::default()).unwrap();
            // With every digit: -0 and 0 are equal, but not the same.
            format!("{:?}", answered.comparison)
        };
        prop_assert_eq!(estimate(&enquiry), estimate(&back));
    }
}

/// A file as version 1 wrote it: two items, the second with a contour, a layer and a question answered for itself.
#[test]
fn a_file_of_version_1_is_read() {
    let bytes = include_bytes!("../data/jobs/version-1.kerfcast");
    let enquiry = Enquiry::from_bytes(bytes).unwrap();
    assert_eq!(enquiry.quote.customer, "Loom works");
    let [cam, plate] = enquiry.items.as_slice() else {
        panic!("two items");
    };
    assert_eq!(
        (cam.name.as_str(), cam.job.quantity, cam.job.passes),
        ("latch-cam.dxf", 4, 3)
    );
    assert_eq!(cam.job.thickness.mm(), 12.5);
    assert_eq!(cam.job.candidates.len(), 2);
    assert_eq!(cam.job.candidates[0].run, WireRun::parse("10/6").unwrap());
    assert_eq!(cam.note, "rush");
    assert!(cam.confirmed.thickness && cam.confirmed.material);
    assert_eq!(plate.job.thickness.mm(), 30.0);
    assert!(plate.confirmed.thickness && !plate.confirmed.material);
    assert!(!plate.options.answers.is_empty());
    for item in &enquiry.items {
        let answered = item.answer(&enquiry.library, &Progress::default()).unwrap();
        assert!(item.row(&answered).best.is_some() && item.seen.is_some());
    }
}

#[test]
fn a_later_version_is_refused_by_name() {
    let bytes = small(starting()).to_bytes().unwrap();
    let text = String::from_utf8(bytes).unwrap();
    let later = text.replace("\"kerfcast_job\": 1", "\"kerfcast_job\": 2");
    let fault = Enquiry::from_bytes(later.as_bytes()).unwrap_err();
    assert!(matches!(fault, FileFault::Newer(2)), "{fault:?}");
    assert!(refused(&fault).contains("newer Kerfcast (version 2"));
    // Even where the later file has another shape.
    let fault = Enquiry::from_bytes(b"{\"kerfcast_job\": 7, \"parts\": {}}").unwrap_err();
    assert!(matches!(fault, FileFault::Newer(7)), "{fault:?}");
}

#[test]
fn what_is_no_job_file_is_said_to_be_none() {
    for bytes in [
        &b""[..],
        b"  \n",
        b"[]",
        b"0\nSECTION",
        b"{}",
        b"{\"kerfcast_job\": 0}",
    ] {
        let fault = Enquiry::from_bytes(bytes).unwrap_err();
        assert!(matches!(fault, FileFault::NoJobFile), "{fault:?}");
    }
}

#[test]
fn what_is_not_understood_is_kept() {
    let bytes = small(starting()).to_bytes().unwrap();
    let text = String::from_utf8(bytes).unwrap();
    let with = text
        .replace(
            "\"saved_by\"",
            "\"colour\": [1, {\"of\": \"the folder\"}],\n  \"saved_by\"",
        )
        .replace("\"note\": \"\"", "\"note\": \"\", \"drawer\": 12.5")
        .replace("\"spool\": \"P-5\"", "\"spool\": \"P-5\", \"coffee\": null");
    assert_ne!(with, text);
    let mut enquiry = Enquiry::from_bytes(with.as_bytes()).unwrap();
    // An item put in front must not take over what is another's.
    let first = Item::new("first.dxf".to_owned(), plate(), starting());
    enquiry.items.insert(0, first);
    let saved = enquiry.to_bytes().unwrap();
    let saved: serde_json::Value = serde_json::from_slice(&saved).unwrap();
    assert_eq!(saved["colour"][1]["of"], "the folder");
    assert_eq!(saved["items"][1]["drawer"], 12.5);
    assert!(
        saved["items"][1]["job"]["shop"]
            .as_object()
            .unwrap()
            .contains_key("coffee")
    );
    assert!(saved["items"][0].get("drawer").is_none());
}

#[test]
fn a_file_cut_short_anywhere_is_refused_with_a_reason() {
    let bytes = small(starting()).to_bytes().unwrap();
    let whole = bytes.trim_ascii_end().len();
    for end in (0..whole).step_by(10).chain([whole - 1]) {
        let fault = Enquiry::from_bytes(&bytes[..end]).unwrap_err();
        assert!(!refused(&fault).is_empty());
    }
}

/// Steps of a plain generator (Marsaglia, Xorshift RNGs, J. Stat. Softw. 8, 2003), the same at every run.
fn next(state: &mut u64) -> u64 {
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    *state
}

#[test]
fn a_damaged_file_is_refused_or_can_be_estimated() {
    let bytes = small(starting()).to_bytes().unwrap();
    let mut state = 0x9e37_79b9_7f4a_7c15;
    let (mut refusals, mut taken) = (0, 0);
    for round in 0..4000 {
        let mut damaged = bytes.clone();
        for _ in 0..=(round % 3) {
            let at = (next(&mut state) as usize) % damaged.len();
            match next(&mut state) % 4 {
                0 => damaged[at] = (next(&mut state) & 0x7f) as u8,
                1 => damaged[at] = b'0' + (next(&mut state) % 10) as u8,
                2 => {
                    damaged.remove(at);
                }
                _ => {
                    let to = (at + 1 + (next(&mut state) as usize) % 60).min(damaged.len());
                    damaged.drain(at..to);
                }
            }
        }
        match Enquiry::from_bytes(&damaged) {
            Err(fault) => {
                assert!(!refused(&fault).is_empty());
                refusals += 1;
            }
            Ok(enquiry) => {
                taken += 1;
                if taken % 40 == 0 {
                    for item in &enquiry.items {
                        // Whatever was changed: a job that is taken can be worked.
                        let _ = item.answer(&enquiry.library, &Progress::default());
                    }
                }
            }
        }
    }
    assert!(refusals > 1000 && taken > 100, "{refusals} {taken}");
}

#[test]
fn another_drawing_than_the_one_saved_is_noticed() {
    let bytes = small(starting()).to_bytes().unwrap();
    let text = String::from_utf8(bytes).unwrap();
    let hash = plate().hash().to_string();
    let other = text.replace(&hash, &DrawingFile::new(&b"other"[..]).hash().to_string());
    let fault = Enquiry::from_bytes(other.as_bytes()).unwrap_err();
    let is_other = |f: &FileFault| {
        matches!(
            f,
            FileFault::Item {
                item: 0,
                fault: ItemFault::OtherBytes,
                ..
            }
        )
    };
    assert!(is_other(&fault), "{fault:?}");
}

#[test]
fn what_cannot_be_estimated_is_refused_and_never_saved() {
    let mut enquiry = small(starting());
    enquiry.items[0].job.quantity = 0;
    assert!(matches!(
        enquiry.to_bytes(),
        Err(FileFault::Item {
            fault: ItemFault::Job(_),
            ..
        })
    ));
    let mut enquiry = small(starting());
    enquiry.items[0].job.shop.machine_rate = Money::from_amount(f64::NAN);
    assert!(enquiry.to_bytes().is_err());
    let mut enquiry = small(starting());
    enquiry.items[0].wire = Some(2);
    assert!(enquiry.to_bytes().is_err());
}

#[test]
fn a_lot_is_what_is_paid_once_and_what_is_paid_with_every_part() {
    let mut job = starting();
    job.shop.programming_hours = 1.5;
    job.shop.setup_hours = 2.0;
    job.shop.markup = 0.25;
    job.shop.machine_rate = Money::from_amount(40.0);
    job.shop.labour_rate = Money::from_amount(35.0);
    let item = Item::new(String::new(), plate(), job.clone());
    let library = Library::built_in();
    let answered = item.answer(library, &Progress::default()).unwrap();
    let profile = &answered.drawing.profile;
    let ladder = breaks(profile, &job, library, &answered.cache, 0, &[1, 5, 20, 100]).unwrap();
    let close = |a: f64, b: f64| (a - b).abs() < 1e-9 * b.abs().max(1.0);
    for step in &ladder {
        // By hand: programming 1.5 h at 35, set-up 2 h at 40 + 35, each with a quarter on top.
        assert!(close(step.once_a_lot.amount(), 65.625), "{step:?}");
        assert!(close(step.once_a_setup.amount(), 187.5), "{step:?}");
        let n = f64::from(step.quantity);
        let once = step.once_a_lot + step.once_a_setup;
        assert!(close(
            (once + step.once_a_part * n).amount(),
            step.lot.amount()
        ));
        assert!(close(step.each.median.amount(), step.lot.amount() / n));
        // A part takes what the first one does, however many there are.
        assert!(close(
            step.once_a_part.amount(),
            ladder[0].once_a_part.amount()
        ));
    }
    // The ladder says what the estimate of that quantity says, to the bit.
    let twenty = Job {
        quantity: 20,
        ..job
    };
    let item = Item::new(String::new(), plate(), twenty);
    let alone = item.answer(library, &Progress::default()).unwrap();
    let figures = alone.comparison.estimates[0].figures.as_ref().unwrap();
    assert_eq!(figures.cost.part, ladder[2].each);
}

#[test]
fn every_sample_is_kept_with_all_its_bytes() {
    let mut enquiry = Enquiry::new(Arc::new(Library::built_in().clone()));
    for sample in samples::ALL {
        let drawing = DrawingFile::new(sample.bytes);
        enquiry
            .items
            .push(Item::new(sample.name.to_owned(), drawing, starting()));
    }
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("all.kerfcast");
    enquiry.save(&path).unwrap();
    let back = Enquiry::load(&path).unwrap();
    for (item, sample) in back.items.iter().zip(samples::ALL) {
        assert_eq!(item.drawing.bytes(), sample.bytes, "{}", sample.name);
    }
    assert_eq!(back.items.len(), samples::ALL.len());
}
