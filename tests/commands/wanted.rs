//! The plan that is wanted against brute force over its whole space, and the command that tells it.

use kerfcast::drawing::{Progress, ReadOptions, read};
use kerfcast::estimate::{
    Aim, Wanted, Wish, by_the_clock, compare, pass_plans, wanted, wanted_plan,
};
use kerfcast::job::{CutOff, CuttingOrder, Flushing, Job, WeekTime};
use kerfcast::library::Library;
use kerfcast::plan::PathCache;
use kerfcast::samples;
use kerfcast::units::Length;

use crate::calling::{self, json, run, sample};

/// A small generator of our own, so that the same jobs come every time (Knuth's MMIX constants).
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % n
    }
}

fn random_job(dice: &mut Dice, library: &Library) -> (Job, Wish) {
    let mut job = Job::starting(library);
    job.thickness = Length::from_mm([5.0, 20.0, 40.0, 80.0][dice.below(4)]);
    let materials = &library.materials;
    job.material = materials[dice.below(materials.len())].name.clone();
    job.flushing = [Flushing::Close, Flushing::OneAway][dice.below(2)];
    job.quantity = [1, 2, 5][dice.below(3)];
    job.begin = WeekTime::new(dice.below(5) as u16, (7 + dice.below(8) as u16) * 60);
    // A few wires in any order.
    let all = job.candidates.clone();
    let first = dice.below(all.len());
    job.candidates = (0..2)
        .map(|k| all[(first + k * (1 + dice.below(2))) % all.len()].clone())
        .collect();
    job.candidates.dedup();
    let wish = Wish {
        aim: [Aim::Cheapest, Aim::Soonest][dice.below(2)],
        finish: Wanted {
            roughness_um: [None, Some(0.6), Some(0.8), Some(1.8)][dice.below(4)],
            tolerance_mm: [None, Some(0.005), Some(0.01)][dice.below(3)],
        },
        by: [
            None,
            Some(WeekTime::new(1, 480)),
            Some(WeekTime::new(3, 720)),
        ][dice.below(3)],
    };
    (job, wish)
}

/// The lowest cost, or the earliest end, of any way that meets the wish, tried one by one without any of the search's shortcuts: first of
/// those that make every radius, else of all.
fn by_brute_force(
    profile: &kerfcast::profile::Profile,
    job: &Job,
    library: &Library,
    wish: &Wish,
    cache: &PathCache,
) -> Option<f64> {
    let deadline = wish.by.map(|by| {
        let later = by.minutes() > job.begin.minutes();
        by.minutes() + if later { 0.0 } else { 7.0 * 1440.0 }
    });
    let mut best = [None::<f64>, None];
    for candidate in &job.candidates {
        let wire = library.wire(&candidate.wire).expect("a wire");
        for passes in 1..=library.passes.len() {
            let usual = &pass_plans(library, wire)[passes - 1];
            let ra = wish.finish.roughness_um.unwrap_or(f64::INFINITY);
            let tolerance = wish.finish.tolerance_mm.unwrap_or(f64::INFINITY);
            if usual.roughness_um[1] > ra || usual.tolerance_mm[1] > tolerance {
                continue;
            }
            for order in [CuttingOrder::EachInTurn, CuttingOrder::RoughsFirst] {
                for cut_off in [CutOff::AfterSkims, CutOff::BeforeSkims] {
                    for begin in wanted::begins(job, deadline) {
                        let one = Job {
                            candidates: vec![candidate.clone()],
                            passes,
                            order,
                            cut_off,
                            begin,
                            ..job.clone()
                        };
                        let comparison = compare(profile, &one, library, cache);
                        let e = &comparison.estimates[0];
                        let Some(f) = &e.figures else { continue };
                        let done = by_the_clock(f, candidate, &one, library).map(|c| c.done);
                        let in_time = deadline.is_none_or(|d| done.is_some_and(|c| c <= d));
                        let cost = match wish.aim {
                            Aim::Cheapest => f.cost.part.median.amount(),
                            Aim::Soonest => done.expect("a short lot is walked through"),
                        };
                        let place = &mut best[usize::from(e.leaves_a_radius())];
                        if in_time && place.is_none_or(|b| cost < b) {
                            *place = Some(cost);
                        }
                    }
                }
            }
        }
    }
    best[0].or(best[1])
}

#[test]
fn the_best_plan_is_the_one_of_brute_force() {
    let library = Library::built_in();
    let drawings: Vec<_> = samples::ALL
        .iter()
        .map(|s| read(s.bytes, &ReadOptions::default(), &Progress::default()).expect("it reads"))
        .filter(|d| d.profile.contours().len() <= 8)
        .collect();
    assert!(drawings.len() >= 3);
    let caches: Vec<PathCache> = drawings.iter().map(|_| PathCache::default()).collect();
    let mut dice = Dice(7);
    let (mut found, mut none) = (0, 0);
    for _ in 0..200 {
        let k = dice.below(drawings.len());
        let (job, wish) = random_job(&mut dice, library);
        let profile = &drawings[k].profile;
        let answer = wanted_plan(profile, &job, library, &wish, &caches[k]);
        let ours = answer.best.map(|b| match wish.aim {
            Aim::Cheapest => answer.plans[b].cost.amount(),
            Aim::Soonest => answer.plans[b].done.expect("it is told"),
        });
        assert_eq!(
            ours,
            by_brute_force(profile, &job, library, &wish, &caches[k]),
            "{job:?} {wish:?}"
        );
        match ours {
            Some(_) => found += 1,
            None => none += 1,
        }
        // Deterministic, and paths that are known change nothing.
        let fresh = PathCache::default();
        assert_eq!(answer, wanted_plan(profile, &job, library, &wish, &fresh));
        // The two next are no cheaper, and cut with another wire or another number of passes.
        if let Some(best) = answer.best {
            for &next in &answer.next {
                let (a, b) = (&answer.plans[best], &answer.plans[next]);
                assert!(
                    b.meets()
                        && (a.way.candidate != b.way.candidate || a.way.passes != b.way.passes)
                );
                let no_better = match wish.aim {
                    Aim::Cheapest => b.cost >= a.cost,
                    Aim::Soonest => b.done >= a.done,
                };
                assert!(no_better || !a.makes_radii || !b.makes_radii);
            }
        }
        // No plan beats one of the front in both.
        for &f in &answer.front {
            let on = &answer.plans[f];
            let beaten =
                |p: &kerfcast::estimate::TriedPlan| p.minutes < on.minutes && p.cost < on.cost;
            assert!(!answer.plans.iter().any(beaten));
        }
    }
    assert!(found > 20 && none > 5, "{found} found, {none} without");
}

#[test]
fn the_command_tells_the_plan_as_a_sentence() {
    let file = sample("latch-cam");
    let out = run(&[
        "plan",
        &file,
        "--thickness",
        "40",
        "--ra",
        "0.8",
        "--tolerance",
        "0.01",
        "--by",
        "Thu 8:00",
    ]);
    assert_eq!(out.status.code(), Some(0));
    let text = String::from_utf8(out.stdout).expect("UTF-8");
    assert!(
        text.starts_with("Cheapest with Ra ≤ 0.8 µm and ± 0.01 mm, done by Thu 8:00: "),
        "{text}"
    );
    assert!(text.contains("Next: ") && text.contains("Then: "));
    let (v, code) = json(&["plan", &file, "--thickness", "40", "--ra", "0.01", "--json"]);
    assert_eq!(code, Some(0));
    assert!(v["best"].is_null());
    assert!(
        v["sentences"][0]
            .as_str()
            .expect("text")
            .contains("No number of passes")
    );
}

/// Plans and stacks cost what the estimate says, by the rates that the shop keeps.
#[test]
fn plans_and_stacks_rest_on_the_rates_that_the_shop_keeps() {
    let home = tempfile::tempdir().expect("a folder");
    let shop = home.path().join("kerfcast");
    std::fs::create_dir(&shop).expect("the shop's folder");
    std::fs::write(
        shop.join("rates.toml"),
        "kerfcast_rates = 1\nmachine_rate = 137\nlabour_rate = 71\n",
    )
    .expect("written");
    let file = sample("latch-cam");
    let of = |arguments: &[&str]| -> serde_json::Value {
        let mut command = calling::command();
        command.env("XDG_DATA_HOME", home.path());
        let out = command.args(arguments).output().expect("it starts");
        assert_eq!(out.status.code(), Some(0), "{out:?}");
        serde_json::from_slice(&out.stdout).expect("JSON")
    };
    let wires = of(&["estimate", &file, "--thickness", "40", "--json"])[0]["wires"].take();
    let cost = |k: usize| wires[k]["cost"]["part"].as_f64().expect("a cost");
    let usual = json(&["estimate", &file, "--thickness", "40", "--json"]).0;
    assert!(
        cost(0)
            > 1.3
                * usual[0]["wires"][0]["cost"]["part"]
                    .as_f64()
                    .expect("a cost")
    );
    let plan = of(&["plan", &file, "--thickness", "40", "--json"]);
    let plans = plan["plans"].as_array().expect("plans");
    for k in 0..wires.as_array().expect("wires").len() {
        let is_like = |p: &&serde_json::Value| {
            p["wire"] == wires[k]["wire"]
                && p["diameter_mm"] == wires[k]["diameter_mm"]
                && p["passes"] == 4
        };
        let costs: Vec<f64> = plans
            .iter()
            .filter(is_like)
            .filter_map(|p| p["cost"].as_f64())
            .collect();
        assert!(
            costs.iter().any(|c| (c / cost(k) - 1.0).abs() < 1e-12),
            "{costs:?}"
        );
    }
    let stacks = of(&["together", &file, "--thickness", "40", "--json"]);
    let each = stacks["stacks"][0]["cost_each"].as_f64().expect("a cost");
    assert!((each / cost(0) - 1.0).abs() < 1e-12, "{each}");
}
