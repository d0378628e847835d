//! The plan that is wanted and pieces together, as they are found, asked and taken in the window.

use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use kerfcast::estimate::{Aim, Wanted, Wish, wanted_plan};
use kerfcast::plan::PathCache;

use crate::harness;

use harness::{Window, settle, type_into, window_of};

/// The button that takes the best plan, by what it says.
fn take_best(window: &mut Window) {
    let name = |n: &egui_kittest::Node<'_>| n.accesskit_node().label();
    let buttons: Vec<String> = window
        .get_all_by_role(Role::Button)
        .filter_map(|n| name(&n))
        .filter(|n| n.starts_with("Take it:"))
        .collect();
    assert_eq!(buttons.len(), 1);
    window
        .get_by_role_and_label(Role::Button, &buttons[0])
        .click();
    settle(window);
}

#[test]
fn a_plan_is_asked_for_taken_and_taken_back() {
    let mut window = window_of([1600.0, 1000.0]);
    window.key_press(Key::A);
    settle(&mut window);
    type_into(&mut window, "Roughness Ra at most", "0.8");
    type_into(&mut window, "Tolerance at most", "0.01");
    type_into(&mut window, "Done by", "Wed 12:00");
    let app = window.state();
    let file = app.front().expect("the sample");
    let asked = file.wish;
    assert_eq!(
        (asked.aim, asked.finish),
        (
            Aim::Cheapest,
            Wanted {
                roughness_um: Some(0.8),
                tolerance_mm: Some(0.01)
            }
        )
    );
    assert_eq!(
        asked.by.map(|b| b.to_string()),
        Some("Wed 12:00".to_owned())
    );
    // The page shows what the same search says by itself.
    let cache = PathCache::default();
    let own = wanted_plan(&file.profile, &file.job, app.library(), &asked, &cache);
    let (shown, wish) = app.planning().answer(file).expect("it is there");
    assert_eq!((shown, *wish), (&own, asked));
    let best = own.plans[own.best.expect("some plan does")].way.clone();
    let before = file.job.clone();
    assert_eq!(file.quoted, None, "no wire is decided on yet");
    take_best(&mut window);
    let file = window.state().front().expect("the sample");
    assert_eq!(file.job.passes, best.passes);
    assert_eq!(file.job.order, best.order);
    let quoted = file.quoted.expect("the wire of the plan is quoted");
    assert_eq!(file.job.candidates[quoted], best.candidate);
    assert_eq!(file.shown, quoted);
    window.get_by_label("taken");
    // One step back takes job and wire back together.
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut window);
    let file = window.state().front().expect("the sample");
    assert_eq!((&file.job, file.quoted), (&before, None));
    assert_eq!(file.wish, asked, "what is asked for stays");
    // The soonest is done no later than the cheapest.
    let done = |window: &Window| {
        let app = window.state();
        let (answer, _) = app.planning().answer(app.front()?)?;
        answer.plans[answer.best?].done
    };
    let cheapest = done(&window).expect("it is told");
    window.get_by_label("Soonest").click();
    settle(&mut window);
    assert!(done(&window).expect("it is told") <= cheapest);
    // What is no number is refused with a reason, and what was asked stays.
    type_into(&mut window, "Done by", "soon");
    let message = window.state().message().expect("a reason");
    assert!(message.contains("soon") && message.contains("Tue 8:00"));
    type_into(&mut window, "Done by", "any time");
    type_into(&mut window, "Tolerance at most", "any");
    type_into(&mut window, "Roughness Ra at most", "any");
    let file = window.state().front().expect("the sample");
    let nothing = Wish {
        aim: Aim::Soonest,
        ..Wish::default()
    };
    assert_eq!(file.wish, nothing);
}

#[test]
fn stacked_plates_are_found_below_the_prices_by_quantity() {
    let mut window = window_of([1600.0, 1400.0]);
    type_into(&mut window, "Quantity", "12");
    window.key_press(Key::Q);
    settle(&mut window);
    type_into(&mut window, "Pieces in a plate", "6");
    type_into(&mut window, "Highest stack", "130");
    let app = window.state();
    let file = app.front().expect("the sample");
    let (known, is_current) = app.planning().together(file);
    let known = known.expect("it is there");
    assert!(is_current);
    // 130 mm hold three plates of 40 mm; twelve pieces are twelve, six and four stacks.
    let stacks: Vec<(u32, u32)> = known.stacks.iter().map(|s| (s.plates, s.stacks)).collect();
    assert_eq!(stacks, [(1, 12), (2, 6), (3, 4)]);
    let nest = known.nest.expect("something is cut");
    let (across, up) = nest.rows;
    assert!(across * up >= 6);
    // A plate's side: so many pieces and one gap more.
    let side = f64::from(across) * nest.piece.length + 5.0 * f64::from(across + 1);
    assert!((nest.sides.0.mm() - side).abs() < 1e-9);
    assert!(
        window
            .query_all_by_label_contains("Stacked plates must be flat")
            .next()
            .is_some(),
        "what stacking risks is told"
    );
}
