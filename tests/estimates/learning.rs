//! Learning from finished cuts against independent answers, a reported pair, and simulated shops.

use kerfcast::calibration::{
    Cut, Day, Lesson, MachineFit, RowFaultKind, assess, fit, read_cuts, what_was_learned,
    why_cut_differs, write_cuts,
};
use kerfcast::job::{Candidate, WireRun};
use kerfcast::library::priors::spread;
use kerfcast::library::{Factor, Flushing, Library};
use kerfcast::process::cutting_rate::RoughConditions;
use kerfcast::process::passes::passes;
use kerfcast::units::{Length, Minutes};

fn cut(material: &str, wire: &str, diameter: f64, thickness: f64, passes: usize) -> Cut {
    Cut {
        row: 1,
        line: 2,
        date: Day::parse("2026-01-15").unwrap(),
        machine: String::new(),
        material: material.to_owned(),
        wire: Candidate::new(wire, diameter),
        thickness: Length::from_mm(thickness),
        flushing: Flushing::Close,
        passes,
        cut_length: Length::from_mm(500.0),
        cutting_minutes: Minutes::from_min(1.0),
        wire_used: None,
        note: String::new(),
        outlier: false,
        pass_path: None,
        quoted: None,
    }
}

/// Minutes of a cut from its length alone, with the built-in values.
fn built_in_minutes(c: &Cut) -> f64 {
    let l = Library::built_in();
    passes(c.passes, &c.conditions(l).unwrap(), l)
        .iter()
        .map(|p| (c.cut_length / p.feed).min_value())
        .sum()
}

fn fit_one(cuts: &[Cut]) -> MachineFit {
    let mut fits = fit(cuts, Library::built_in());
    assert_eq!(fits.len(), 1);
    fits.remove(0)
}

const STEEL: &str = "cold-work tool steel";
const STAINLESS: &str = "austenitic stainless steel";
const PLAIN: &str = "hard plain brass";
const ZINC: &str = "zinc-coated brass";
const GAMMA: &str = "gamma-phase annealed brass";

#[test]
fn the_posterior_agrees_with_numpy() {
    // Normal equations in numpy 2.4.6: tests/data/check_learning.py.
    let of = |c: Cut, length: f64, minutes: f64| Cut {
        cut_length: Length::from_mm(length),
        cutting_minutes: Minutes::from_min(minutes),
        ..c
    };
    let mut cuts = vec![
        of(cut(STEEL, PLAIN, 0.25, 40.0, 1), 400.0, 95.0),
        of(cut(STEEL, PLAIN, 0.25, 80.0, 4), 300.0, 330.0),
        of(cut(STEEL, ZINC, 0.25, 50.0, 4), 500.0, 260.0),
        of(cut(STAINLESS, PLAIN, 0.20, 30.0, 3), 250.0, 150.0),
        of(cut(STAINLESS, ZINC, 0.25, 150.0, 2), 600.0, 790.0),
    ];
    cuts[3].flushing = Flushing::OneAway;
    let found = fit_one(&cuts);
    let expected = [
        (Factor::Machine, 0.088_053_871_4, 0.109_339_732_2),
        (
            Factor::Material(STEEL.into()),
            0.014_438_744_9,
            0.087_601_012_8,
        ),
        (
            Factor::Material(STAINLESS.into()),
            -0.020_249_148_4,
            0.110_128_749_8,
        ),
        (Factor::Wire(ZINC.into()), 0.031_456_599_6, 0.056_723_269_8),
        (Factor::Diameter, 0.047_743_797_7, 0.280_336_640_3),
        (Factor::CurveBelow, -0.000_340_799_2, 0.029_974_068_2),
        (Factor::CurveAbove, -0.004_681_803_7, 0.148_637_797_4),
        (
            Factor::Flushing(Flushing::OneAway),
            -0.044_575_003_2,
            0.112_040_739_6,
        ),
        (Factor::Skims, -0.103_504_898_5, 0.173_319_290_1),
    ];
    let known = &found.knowledge;
    assert_eq!(known.factors().len(), expected.len());
    for (f, mean, sd) in &expected {
        assert!((known.log_mean(f) - mean).abs() < 1e-9, "{f:?}");
        assert!((known.log_sd(f).unwrap() - sd).abs() < 1e-9, "{f:?}");
    }
    // Covariances too: zinc-coated against plain, both cuts with their own noise.
    let mut l = Library::built_in().clone();
    l.learned = Some(known.clone());
    let difference = [(Factor::Wire(ZINC.into()), 1.0)];
    let sd = (l.log_variance(&difference, Some(known)) + 2.0 * spread::CUT.powi(2)).sqrt();
    assert!((sd - 0.152_372_994_1).abs() < 1e-9);
    // Each cut from the other four: logarithm and its spread. The program applies what was learned of the
    // skims to the skims alone, numpy the first order of it; they differ by less than 1 %.
    let left_out = [
        (0.037_487_658_5, 0.164_762_929_1),
        (0.119_430_993_8, 0.135_746_453_1),
        (0.023_665_810_2, 0.141_806_392_4),
        (0.050_136_904_0, 0.225_600_074_6),
        (0.044_240_357_6, 0.183_398_701_5),
    ];
    for (r, (log, sd)) in found.rows.iter().zip(left_out) {
        assert!((r.left_out_log_sd - sd).abs() < 1e-9);
        assert!(((r.before / r.left_out).ln() - log).abs() < 0.01);
        assert_eq!(r.weight, 1.0);
    }
    assert!(((found.rows[0].before / found.rows[0].left_out).ln() - 0.037_487_658_5).abs() < 1e-9);
}

#[test]
fn what_is_predicted_after_the_fit_is_what_estimates_then_say() {
    let mut cuts = vec![
        cut(STEEL, PLAIN, 0.25, 40.0, 4),
        cut(STEEL, ZINC, 0.20, 90.0, 5),
        cut(STAINLESS, GAMMA, 0.25, 8.0, 3),
    ];
    for (c, factor) in cuts.iter_mut().zip([1.3, 1.1, 0.9]) {
        c.cutting_minutes = Minutes::from_min(built_in_minutes(c) * factor);
    }
    let found = fit_one(&cuts);
    let mut l = Library::built_in().clone();
    l.learned = Some(found.knowledge.clone());
    for (c, r) in cuts.iter().zip(&found.rows) {
        let conditions = c.conditions(&l).unwrap().in_library(&l);
        let minutes: f64 = passes(c.passes, &conditions, &l)
            .iter()
            .map(|p| (c.cut_length / p.feed).min_value())
            .sum();
        assert!((minutes / r.after.min_value() - 1.0).abs() < 1e-12);
        assert!((r.before.min_value() / built_in_minutes(c) - 1.0).abs() < 1e-12);
        // The fit lies between the prediction and what happened.
        let (before, after) = (
            (r.before / r.actual).ln().abs(),
            (r.after / r.actual).ln().abs(),
        );
        assert!(after < before);
    }
    // Fitting again with the fit in force changes nothing.
    assert_eq!(fit(&cuts, &l)[0], found);
}

#[test]
fn a_reported_pair_moves_the_coated_wire_the_right_way() {
    // Common practice, no source: one reported pair, the same profile with a rough and three skims. Thickness and
    // length are chosen so that the plain log equals its prediction.
    let mut plain = cut(STEEL, PLAIN, 0.25, 60.0, 4);
    plain.cutting_minutes = Minutes::from_min(301.0 + 46.0 / 60.0);
    plain.cut_length =
        plain.cut_length * (plain.cutting_minutes.min_value() / built_in_minutes(&plain));
    assert!((built_in_minutes(&plain) - 301.766_667).abs() < 1e-5);
    plain.wire_used = Some(Length::from_m(2855.0));
    let mut coated = plain.clone();
    coated.wire = Candidate::new(GAMMA, 0.25);
    coated.cutting_minutes = Minutes::from_min(208.0 + 2.0 / 60.0);
    coated.wire_used = Some(Length::from_m(1949.0));
    let found = fit_one(&[plain, coated]);
    let wire = Factor::Wire(GAMMA.into());
    let factor = 1.30 * found.knowledge.log_mean(&wire).exp();
    // By numpy (tests/data/check_learning.py) 1.3639; the two logs alone would say 1.4506.
    assert!((factor - 1.3639).abs() < 5e-4, "{factor}");
    assert!((found.knowledge.learned(&wire).unwrap().prior_log_sd - 0.1228).abs() < 1e-4);
    // Wire: 9.46 and 9.37 m/min against about 9.5 in the plan, so the run-off hardly moves.
    assert!(found.knowledge.run_off() > 0.98 && found.knowledge.run_off() < 1.0);
    // Such wires usually save 10 to 30 % of the time (common practice, no source): the 90 % range covers it.
    let l = Library::built_in();
    let value = &l.wire(GAMMA).unwrap().relative_speed;
    let reach = 1.645 * value.log_sd().unwrap();
    let saved = |sign: f64| 1.0 - 1.0 / (value.value * (sign * reach).exp());
    assert!(
        saved(-1.0) <= 0.10 && saved(1.0) >= 0.30,
        "{} {}",
        saved(-1.0),
        saved(1.0)
    );
}

#[test]
fn a_run_off_of_the_shops_own_teaches_nothing_about_the_usual_one() {
    let mut usual = cut(STEEL, PLAIN, 0.25, 60.0, 4);
    usual.cutting_minutes = Minutes::from_min(built_in_minutes(&usual));
    // What the plan itself would use: 10 m/min in the rough and 9 in the skims, at most.
    usual.wire_used = Some(Length::from_m(8.0 * usual.cutting_minutes.min_value()));
    let mut own = usual.clone();
    own.wire.run = WireRun::parse("8/8").unwrap();
    let learned = |c: &Cut| fit_one(std::slice::from_ref(c)).knowledge.run_off();
    assert!(learned(&usual) < 0.97);
    assert_eq!(learned(&own), 1.0);
    // And the way it was run is kept in the table.
    let text = String::from_utf8(write_cuts(std::slice::from_ref(&own))).unwrap();
    let today = Day::parse("2027-01-01").unwrap();
    let read = read_cuts(text.as_bytes(), Library::built_in(), today).unwrap();
    assert_eq!(read.cuts[0].wire.run, own.wire.run);
    let wrong = text.replace(",8/8,", ",fast,");
    let read = read_cuts(wrong.as_bytes(), Library::built_in(), today).unwrap();
    assert_eq!(
        read.faults[0].kind,
        RowFaultKind::Run("fast".to_owned()),
        "{:?}",
        read.faults
    );
}

#[test]
fn one_wrong_log_is_found_and_hardly_moves_the_fit() {
    let mut cuts: Vec<Cut> = [20.0, 40.0, 60.0, 90.0, 50.0, 30.0]
        .into_iter()
        .map(|h| {
            let c = cut(STEEL, PLAIN, 0.25, h, 4);
            Cut {
                cutting_minutes: Minutes::from_min(built_in_minutes(&c) / 1.2),
                row: 0,
                ..c
            }
        })
        .collect();
    let clean = fit_one(&cuts);
    cuts[3].cutting_minutes = cuts[3].cutting_minutes * 2.0;
    let wrong = fit_one(&cuts);
    let machine = |f: &MachineFit| f.rows[0].after.min_value();
    assert!(
        (machine(&wrong) / machine(&clean) - 1.0).abs() < 0.06,
        "{}",
        machine(&wrong) / machine(&clean)
    );
    assert!(
        wrong.rows[3].is_suspect() && wrong.rows.iter().filter(|r| r.is_suspect()).count() == 1
    );
    let learned = what_was_learned(&wrong, Library::built_in());
    let named = |l: &Lesson| matches!(l, Lesson::DoesNotFit { row: 4, .. });
    assert!(learned.iter().any(named), "{learned:?}");
    // Marked, it is shown and has no part at all; unmarked again, all is as before.
    cuts[3].outlier = true;
    let marked = fit_one(&cuts);
    assert_eq!(marked.rows[3].weight, 0.0);
    assert_eq!(marked.knowledge.cuts, 5);
    let five: Vec<Cut> = cuts.iter().filter(|c| !c.outlier).cloned().collect();
    assert_eq!(marked.knowledge, fit_one(&five).knowledge);
    cuts[3].outlier = false;
    assert_eq!(fit_one(&cuts), wrong);
}

#[test]
fn why_a_cut_took_longer_sums_to_the_difference() {
    let mut cuts = vec![
        cut(STEEL, PLAIN, 0.25, 60.0, 4),
        cut(STEEL, ZINC, 0.20, 20.0, 2),
    ];
    for c in &mut cuts {
        c.cutting_minutes = Minutes::from_min(built_in_minutes(c) * 1.5);
    }
    let found = fit_one(&cuts);
    for c in &cuts {
        let why = why_cut_differs(c, &found.knowledge, Library::built_in()).unwrap();
        let more = 0.5 * built_in_minutes(c);
        assert!((why.difference.min_value() - more).abs() < 1e-9);
        let sum: f64 = why.by_factor.iter().map(|p| p.1.min_value()).sum();
        assert!((sum + why.own.min_value() - more).abs() < 1e-12 * more);
        // Two cuts that say the same of the machine: most of it is the machine's, little the single cut's.
        let machine = why
            .by_factor
            .iter()
            .find(|p| p.0 == Factor::Machine)
            .unwrap();
        assert!(machine.1.min_value() > 0.5 * more && why.own.min_value().abs() < 0.2 * more);
    }
}

#[test]
fn every_machine_is_fitted_for_itself() {
    let on = |machine: &str, factor: f64| {
        let c = cut(STEEL, PLAIN, 0.25, 60.0, 1);
        Cut {
            machine: machine.to_owned(),
            cutting_minutes: Minutes::from_min(built_in_minutes(&c) * factor),
            ..c
        }
    };
    let both = fit(
        &[on("left", 0.8), on("right", 1.5), on("left", 0.8)],
        Library::built_in(),
    );
    assert_eq!(
        both.iter().map(|f| f.machine.as_str()).collect::<Vec<_>>(),
        ["left", "right"]
    );
    let left = fit(&[on("left", 0.8), on("left", 0.8)], Library::built_in());
    assert_eq!(both[0].knowledge, left[0].knowledge);
    assert!(both[1].knowledge.log_mean(&Factor::Machine) < 0.0);
}

#[test]
fn no_usable_cut_leaves_everything_as_it_was() {
    assert_eq!(fit(&[], Library::built_in()), []);
    assert!(assess(&[]).is_none());
    let marked = Cut {
        outlier: true,
        ..cut(STEEL, PLAIN, 0.25, 60.0, 1)
    };
    let found = fit_one(&[marked]);
    assert!(found.knowledge.factors().is_empty());
    assert_eq!(found.rows[0].before, found.rows[0].after);
}

#[test]
fn a_file_with_one_bad_row_still_teaches() {
    let today = Day::parse("2026-06-01").unwrap();
    let text = "date,machine,material,wire,diameter_mm,thickness_mm,flushing,passes,cut_length_mm,cutting_minutes\n\
        2026-01-02,,cold-work tool steel,hard plain brass,0.25,60,close,1,500,200\n\
        2026-01-03,,cold-work tool steel,hard plain brass,0.25,60,close,1,500,many\n\
        2026-01-04,,cold-work tool steel,hard plain brass,0.25,60,close,1,500,210\n";
    let read = read_cuts(text.as_bytes(), Library::built_in(), today).unwrap();
    assert_eq!((read.cuts.len(), read.faults.len()), (2, 1));
    // 500 mm × 60 mm ÷ 150 mm²/min = 200 min.
    assert!((fit_one(&read.cuts).rows[0].before.min_value() - 200.0).abs() < 1e-9);
}

/// Random numbers without a library: SplitMix64 (published: G. L. Steele, D. Lea, C. H. Flood, "Fast splittable
/// pseudorandom number generators", OOPSLA 2014; constants from memory), Box and Muller for the normal ones.
struct Random(u64);

impl Random {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }
    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.unit()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.unit()).cos()
    }
    fn one_of<T: Copy>(&mut self, list: &[T]) -> T {
        list[((self.unit() * list.len() as f64) as usize).min(list.len() - 1)]
    }
}

/// A shop whose true factors are drawn from the prior.
struct Shop {
    truth: Vec<(Factor, f64)>,
}

const MATERIALS: [&str; 4] = [STEEL, STAINLESS, "aluminium 6061-T6", "tungsten carbide"];
const WIRES: [&str; 4] = [PLAIN, ZINC, GAMMA, "copper-core annealed"];

impl Shop {
    fn drawn(random: &mut Random) -> Self {
        let l = Library::built_in();
        let mut factors = vec![
            Factor::Machine,
            Factor::Diameter,
            Factor::CurveBelow,
            Factor::CurveAbove,
            Factor::Flushing(Flushing::OneAway),
            Factor::Flushing(Flushing::Away),
            Factor::Skims,
        ];
        factors.extend(MATERIALS.map(|m| Factor::Material(m.into())));
        factors.extend(WIRES.map(|w| Factor::Wire(w.into())));
        let truth = factors
            .into_iter()
            .map(|f| {
                let value = l.prior_log_sd(&f) * random.normal();
                (f, value)
            })
            .collect();
        Self { truth }
    }
    fn of(&self, factor: &Factor) -> f64 {
        self.truth
            .iter()
            .find(|t| t.0 == *factor)
            .map_or(0.0, |t| t.1)
    }
    /// A job of this shop, and what it really takes before the noise of the single cut.
    fn job(&self, random: &mut Random) -> (Cut, f64) {
        let l = Library::built_in();
        let mut c = cut(
            random.one_of(&MATERIALS),
            random.one_of(&WIRES),
            random.one_of(&[0.20, 0.25, 0.25, 0.30]),
            random.one_of(&[8.0, 20.0, 35.0, 50.0, 80.0, 130.0]),
            random.one_of(&[1, 2, 3, 4]),
        );
        c.flushing = random.one_of(&[
            Flushing::Close,
            Flushing::Close,
            Flushing::OneAway,
            Flushing::Away,
        ]);
        let conditions = c.conditions(l).unwrap();
        let speed: f64 = conditions
            .acting()
            .iter()
            .map(|(f, x)| x * self.of(f))
            .sum();
        let minutes: f64 = passes(c.passes, &conditions, l)
            .iter()
            .enumerate()
            .map(|(k, p)| {
                let skims = if k == 0 { 0.0 } else { self.of(&Factor::Skims) };
                (c.cut_length / p.feed).min_value() * (-speed - skims).exp()
            })
            .sum();
        (c, minutes)
    }
}

struct Outcome {
    rms: f64,
    covered: f64,
}

/// Shops drawn from the prior, each with so many logged cuts, judged on twenty new cuts.
fn simulate(logged: usize, wrong_share: f64) -> Outcome {
    let l = Library::built_in();
    let mut random = Random(20_260_131);
    let (mut squares, mut inside, mut count) = (0.0, 0, 0);
    for _ in 0..200 {
        let shop = Shop::drawn(&mut random);
        let mut log = Vec::new();
        // The wrong ones are drawn from a stream of their own, so that both runs see the same shops.
        let mut slips = Random((shop.truth[0].1 * 1e9) as u64);
        for _ in 0..20 {
            let (mut c, minutes) = shop.job(&mut random);
            let noise = (spread::CUT * random.normal()).exp();
            let slip = if slips.unit() < wrong_share {
                slips.one_of(&[0.5, 2.0])
            } else {
                1.0
            };
            c.cutting_minutes = Minutes::from_min(minutes * noise * slip);
            log.push(c);
        }
        let mut library = l.clone();
        library.learned = fit(&log[..logged], l).pop().map(|f| f.knowledge);
        for _ in 0..20 {
            let (c, minutes) = shop.job(&mut random);
            let actual = minutes * (spread::CUT * random.normal()).exp();
            let conditions = RoughConditions {
                learned: library.learned.as_ref(),
                ..c.conditions(l).unwrap()
            };
            let plan: Vec<f64> = passes(c.passes, &conditions, &library)
                .iter()
                .map(|p| (c.cut_length / p.feed).min_value())
                .collect();
            let predicted: f64 = plan.iter().sum();
            let skims = (predicted - plan[0]) / predicted;
            let slopes = kerfcast::estimate::range::Slopes::of_cutting(&conditions, skims);
            let error = (predicted / actual).ln();
            squares += error * error;
            inside += usize::from(error.abs() <= slopes.log_sd(&library));
            count += 1;
        }
    }
    Outcome {
        rms: (squares / f64::from(count)).sqrt(),
        covered: inside as f64 / f64::from(count),
    }
}

#[test]
fn two_hundred_simulated_shops() {
    println!("cuts   rms error   within 68 % range   rms error with 5 % of logs wrong by 2");
    let mut last = f64::INFINITY;
    for cuts in [0, 1, 3, 5, 10, 20] {
        let clean = simulate(cuts, 0.0);
        let wrong = simulate(cuts, 0.05);
        println!(
            "{cuts:4}   {:9.4}   {:17.3}   {:9.4}",
            clean.rms, clean.covered, wrong.rms
        );
        assert!(
            (0.64..=0.72).contains(&clean.covered),
            "{cuts}: {}",
            clean.covered
        );
        assert!(clean.rms < last, "{cuts}: more cuts must teach more");
        assert!(
            wrong.rms < 2.0 * clean.rms,
            "{cuts}: {} {}",
            wrong.rms,
            clean.rms
        );
        last = clean.rms;
    }
}
