//! Machines of the shop: what does not fit on one is told, what it does not say sets no limit.

use kerfcast::estimate::{Estimate, Obstacle, ObstacleKind, compare};
use kerfcast::geometry::Contour;
use kerfcast::job::{Candidate, Job};
use kerfcast::library::knowledge::Learned;
use kerfcast::library::{Factor, Knowledge, Library, UserLibrary};
use kerfcast::plan::PathCache;
use kerfcast::profile::Profile;
use kerfcast::units::Length;

/// A plate of 60 × 30 mm with a square opening.
fn plate() -> Profile {
    Profile::of_shapes([
        Contour::polygon(&[(0.0, 0.0), (60.0, 0.0), (60.0, 30.0), (0.0, 30.0)]),
        Contour::polygon(&[(5.0, 5.0), (20.0, 5.0), (20.0, 20.0), (5.0, 20.0)]),
    ])
}

/// The built-in library with a machine of which these lines are said.
fn with(lines: &str) -> Library {
    let text = format!("kerfcast_library = 1\n[[machine]]\nname = \"left\"\n{lines}");
    let own = UserLibrary::parse(&text).expect("it reads");
    own.over(Library::built_in())
}

fn job() -> Job {
    let mut job = Job::starting(Library::built_in());
    job.candidates.truncate(2);
    job
}

fn estimates(job: &Job, library: &Library) -> Vec<Estimate> {
    compare(&plate(), job, library, &PathCache::default()).estimates
}

/// What is said of the machine by the first wire.
fn told(job: &Job, library: &Library) -> Vec<ObstacleKind> {
    let first = estimates(job, library).remove(0);
    let kinds = first.obstacles.into_iter().map(|o| o.kind);
    kinds.filter(ObstacleKind::is_of_the_machine).collect()
}

#[test]
fn a_machine_that_says_nothing_changes_nothing() {
    let job = job();
    let without = estimates(&job, Library::built_in());
    assert_eq!(estimates(&job, &with("")), without);
    // Nor does one on which all fits.
    let roomy = "travel_x = 400\ntravel_y = 300\nheight = 250\nmass = 300\ntaper = 15\n\
                 diameters = [\"0.2\", \"0.25\"]\nwires = [\"hard plain brass\", \"zinc-coated brass@0.25\"]\nspools = [\"P-5\"]\n";
    assert_eq!(estimates(&job, &with(roomy)), without);
}

#[test]
fn travel_is_held_against_the_way_of_the_wire_however_it_is_turned() {
    let job = job();
    let fits = |x: f64, y: f64| told(&job, &with(&format!("travel_x = {x}\ntravel_y = {y}\n")));
    // The wire runs around the part at half its diameter and more, so the size of the part itself is too little.
    assert!(matches!(
        fits(60.0, 30.0)[..],
        [ObstacleKind::BeyondTravel { .. }]
    ));
    // The farthest that it goes: a lead-in, and less than a millimetre for wire and gap, on every side.
    let beyond = Library::built_in().overheads.lead_in.value + 1.0;
    let (a, b) = (60.0 + 2.0 * beyond, 30.0 + 2.0 * beyond);
    assert_eq!((fits(a, b), fits(b, a)), (vec![], vec![]));
    // 45° to the table the part is (60 + 30)/√2 = 63.6 mm wide: it does not fit straight into 62 × 62, nor turned.
    assert_eq!(fits(59.0, 59.0).len(), 1);
    assert_eq!(told(&job, &with("travel_x = 1000\n")), vec![]);
    let [ObstacleKind::BeyondTravel { needs, travel, .. }] = &fits(50.0, 50.0)[..] else {
        panic!("it is told");
    };
    assert_eq!(travel.map(|t| t.map(Length::mm)), [Some(50.0); 2]);
    assert!(needs.0.mm() > 60.0 && needs.0.mm() < a && needs.1.mm() > 30.0 && needs.1.mm() < b);
}

#[test]
fn height_mass_and_taper_are_told_and_still_computed() {
    let mut job = job();
    // 60 × 30 × 40 mm are 72 cm³.
    let density = Library::built_in()
        .material(&job.material)
        .map_or(0.0, |m| m.density.value);
    let kg = density * 72e-6;
    for (lines, is) in [
        ("height = 40\n".to_owned(), None),
        ("height = 39.9\n".to_owned(), Some("too-high")),
        (format!("mass = {}\n", kg * 1.001), None),
        (format!("mass = {}\n", kg * 0.999), Some("too-heavy")),
        ("taper = 0\n".to_owned(), None),
    ] {
        let codes: Vec<_> = told(&job, &with(&lines))
            .iter()
            .map(ObstacleKind::code)
            .collect();
        assert_eq!(codes, Vec::from_iter(is), "{lines}");
        assert!(estimates(&job, &with(&lines))[0].is_possible());
    }
    job.choose(1, |c| c.taper_degrees = -5.0);
    assert_eq!(told(&job, &with("taper = 5\n")), vec![]);
    assert!(matches!(
        told(&job, &with("taper = 4\n"))[..],
        [ObstacleKind::TaperTooSteep { degrees, most, .. }] if degrees == 5.0 && most == 4.0
    ));
}

#[test]
fn only_a_wire_that_the_guides_do_not_take_is_ruled_out() {
    let mut job = job();
    job.candidates = vec![
        Candidate::new("hard plain brass", 0.25),
        Candidate::new("hard plain brass", 0.20),
    ];
    let library =
        with("diameters = [\"0.2\"]\nwires = [\"zinc-coated brass@0.2\"]\nspools = [\"P-3\"]\n");
    let [thick, thin] = &estimates(&job, &library)[..] else {
        panic!("two wires");
    };
    assert!(!thick.is_possible() && thin.is_possible());
    // The square opening's corners stay round with either wire; that is not the machine's.
    let of_the_machine = |o: &&Obstacle| o.kind.is_of_the_machine();
    let codes = |e: &Estimate| -> Vec<_> {
        let told = e.obstacles.iter().filter(of_the_machine);
        told.map(Obstacle::code).collect()
    };
    assert_eq!(
        codes(thick),
        ["diameter-not-taken", "not-on-hand", "spool-not-on-hand"]
    );
    assert_eq!(codes(thin), ["not-on-hand", "spool-not-on-hand"]);
    // The figures are those of the same wire without a machine.
    assert_eq!(
        thin.figures,
        estimates(&job, Library::built_in())[1].figures
    );
}

#[test]
fn a_machine_has_a_rate_and_a_way_to_thread_of_its_own() {
    let mut job = job();
    let figures = |job: &Job, library: &Library| estimates(job, library)[0].figures.clone();
    let mut as_shop = job.clone();
    as_shop.shop.machine_rate = kerfcast::units::Money::from_amount(91.0);
    assert_eq!(
        figures(&job, &with("rate = 91\n")),
        figures(&as_shop, Library::built_in())
    );
    let mut by_hand = job.clone();
    by_hand.shop.threads_by_hand = true;
    assert_eq!(
        figures(&job, &with("threading = \"by hand\"\n")),
        figures(&by_hand, Library::built_in())
    );
    assert_eq!(
        figures(&by_hand, &with("threading = \"by itself\"\n")),
        figures(&job, Library::built_in())
    );
    // Another machine than the first is named; one that is not there is told.
    let two = with("rate = 91\n[[machine]]\nname = \"right\"\nrate = 40\n");
    job.machine = Some("right".to_owned());
    as_shop.shop.machine_rate = kerfcast::units::Money::from_amount(40.0);
    assert_eq!(figures(&job, &two), figures(&as_shop, Library::built_in()));
    job.machine = Some("gone".to_owned());
    assert!(matches!(
        told(&job, &two)[..],
        [ObstacleKind::UnknownMachine { .. }]
    ));
}

/// So much faster on a machine than the built-in values say, in logarithms.
fn learned(machine: &str, faster: f64) -> Knowledge {
    let factor = Learned {
        factor: Factor::Machine,
        log_mean: faster,
        prior_log_sd: 0.35,
        cuts: 3,
    };
    Knowledge::new(machine.to_owned(), 3, vec![factor], vec![vec![0.01]]).expect("a Gaussian")
}

#[test]
fn what_was_learned_on_a_machine_counts_for_jobs_on_it() {
    let two = with("[[machine]]\nname = \"right\"\n");
    let on = |learned: Option<Knowledge>, elsewhere: Vec<Knowledge>| Library {
        learned,
        learned_elsewhere: elsewhere,
        ..two.clone()
    };
    let (fast, slow) = (learned("left", 0.2), learned("right", -0.1));
    let both = on(Some(fast.clone()), vec![slow.clone()]);
    let mut job = job();
    // The first machine, where none is named.
    assert_eq!(
        estimates(&job, &both),
        estimates(&job, &on(Some(fast.clone()), Vec::new()))
    );
    job.machine = Some("right".to_owned());
    let only_right = Library {
        learned: Some(slow.clone()),
        ..Library::built_in().clone()
    };
    assert_eq!(estimates(&job, &both), estimates(&job, &only_right));
    // What one machine taught says nothing of another.
    let only_left = on(Some(fast), Vec::new());
    assert_eq!(estimates(&job, &only_left), estimates(&job, &two));
    // Cuts that name no machine are those of the only one.
    let unnamed = Library {
        learned: Some(learned("", 0.2)),
        ..with("")
    };
    job.machine = None;
    let without = Library {
        learned: unnamed.learned.clone(),
        ..Library::built_in().clone()
    };
    assert_eq!(estimates(&job, &unnamed), estimates(&job, &without));
}

#[test]
fn what_is_quoted_unasked_is_on_hand_where_any_is() {
    let mut job = job();
    let names = ["hard plain brass", "zinc-coated brass"];
    job.candidates = names.map(|n| Candidate::new(n, 0.25)).to_vec();
    let of = |library: &Library| compare(&plate(), &job, library, &PathCache::default());
    // Nothing is known of wires on hand: the cheapest is quoted.
    let any = of(Library::built_in());
    let cheapest = any.cheapest().expect("both can");
    assert_eq!(any.to_quote(), Some(cheapest));
    let dearer = 1 - cheapest;
    for k in [cheapest, dearer] {
        let there = of(&with(&format!("wires = [\"{}\"]\n", names[k])));
        assert_eq!(
            (there.to_quote(), there.cheapest()),
            (Some(k), Some(cheapest))
        );
    }
    // None is on hand: it is still told what it would cost.
    let none = of(&with("wires = [\"molybdenum\"]\n"));
    assert_eq!(none.to_quote(), Some(cheapest));
}
