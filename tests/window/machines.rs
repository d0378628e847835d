//! Machines of the shop in the window: added, filled in, chosen, renamed, taken out, and what is told of a part that does not fit.

use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable as _;
use kerfcast::estimate::ObstacleKind;
use kerfcast::library::UserLibrary;
use kerfcast::samples;
use kerfcast::units::Length;
use kerfcast::words::{Style, System};

use crate::harness;

use harness::{Window, drop_on, settle, type_into, window_in};

fn click(window: &mut Window, name: &str) {
    window.get_by_label(name).scroll_to_me();
    window.run();
    window.get_by_label(name).click();
    settle(window);
}

fn add(window: &mut Window, name: &str) {
    click(window, "Add a machine…");
    type_into(window, "Name of the new machine", name);
}

/// What is told of the machine with the wire shown.
fn told(window: &Window) -> Vec<&'static str> {
    let file = window.state().front().expect("open");
    let shown = file.shown_estimate().expect("estimated");
    let of_machine = shown
        .obstacles
        .iter()
        .filter(|o| o.kind.is_of_the_machine());
    of_machine.map(kerfcast::estimate::Obstacle::code).collect()
}

fn names(window: &Window) -> Vec<String> {
    let machines = &window.state().library().machines;
    machines.iter().map(|m| m.name.clone()).collect()
}

#[test]
fn machines_are_kept_for_the_shop_and_a_part_that_does_not_fit_is_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let own = folder.path().join("own");
    {
        let mut window = window_in(&own, Vec::new());
        drop_on(&mut window, samples::ALL[0].name, samples::ALL[0].bytes);
        let estimates = |w: &Window| {
            let answer = w.state().front().expect("open").answer.as_ref();
            answer.expect("estimated").comparison.estimates.clone()
        };
        let before = estimates(&window);
        click(&mut window, "Shop");
        click(&mut window, "Shop rates");
        add(&mut window, "left");
        assert_eq!(names(&window), ["left"]);
        // Nothing is said of it yet, so nothing has changed.
        assert_eq!(estimates(&window), before);
        type_into(&mut window, "Travel in X, left", "3");
        type_into(&mut window, "Travel in Y, left", "2");
        type_into(&mut window, "Highest work, left", "10");
        assert_eq!(told(&window), ["beyond-travel", "too-high"]);
        // It stands in the sentence of the job.
        assert!(window.query_by_label("does not fit").is_some());
        // What cannot be is refused beside its field, and the one from before stays.
        type_into(&mut window, "Highest work, left", "-5");
        assert!(window.query_by_label_contains("lies outside").is_some());
        assert_eq!(told(&window), ["beyond-travel", "too-high"]);
        // An empty field sets no limit.
        type_into(&mut window, "Highest work, left", "");
        assert_eq!(told(&window), ["beyond-travel"]);
        // Guides rule a wire out; what is not on hand is marked.
        let thin = Style::of(System::Metric).diameter(Length::from_mm(0.2));
        let takes = format!("left takes {thin}");
        click(&mut window, &takes);
        assert_eq!(told(&window).first(), Some(&"diameter-not-taken"));
        click(&mut window, &takes);
        // Another machine, chosen for the job: nothing is said of it.
        add(&mut window, "right");
        click(&mut window, "cut on right");
        assert!(told(&window).is_empty());
        assert_eq!(
            window.state().front().expect("open").job.machine.as_deref(),
            Some("right")
        );
        // A new name goes along with the job, and undo takes it back.
        type_into(&mut window, "Name of machine right", "the new one");
        assert_eq!(names(&window), ["left", "the new one"]);
        let of_job = |w: &Window| w.state().front().expect("open").job.machine.clone();
        assert_eq!(of_job(&window).as_deref(), Some("the new one"));
        window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
        settle(&mut window);
        assert_eq!(
            (names(&window).as_slice(), of_job(&window).as_deref()),
            (
                ["left", "right"].map(str::to_owned).as_slice(),
                Some("right")
            )
        );
        click(&mut window, "machine right");
        click(&mut window, "Take this machine out");
        assert_eq!(names(&window), ["left"]);
        // The job still names it, and that is told.
        assert_eq!(told(&window), ["unknown-machine"]);
        click(&mut window, "cut on left");
        assert_eq!(told(&window), ["beyond-travel"]);
    }
    let bytes = std::fs::read(own.join("library.toml")).expect("kept");
    let kept = UserLibrary::from_bytes(&bytes).expect("it reads");
    assert_eq!(kept.machines.len(), 1);
    assert_eq!(
        kept.machines[0].travel().map(|t| t.map(Length::mm)),
        [Some(3.0), Some(2.0)]
    );
    // The next start holds new drawings against it.
    let mut window = window_in(&own, Vec::new());
    drop_on(&mut window, samples::ALL[0].name, samples::ALL[0].bytes);
    let file = window.state().front().expect("open");
    let shown = file.shown_estimate().expect("estimated");
    let beyond = |k: &ObstacleKind| matches!(k, ObstacleKind::BeyondTravel { .. });
    assert!(shown.obstacles.iter().any(|o| beyond(&o.kind)) && shown.is_possible());
}
