//! The page of worth in the window: from the estimate, and from what is typed.

use crate::harness;

use egui::Key;
use egui_kittest::kittest::Queryable as _;
use harness::{settle, type_into, window_of};

#[test]
fn two_runs_of_the_machines_own_record() {
    let mut window = window_of([1280.0, 800.0]);
    settle(&mut window);
    // One key opens it; everything else is typing.
    window.key_press(Key::V);
    settle(&mut window);
    for (name, text) in [
        ("time a part, the run to beat", "5:01:46"),
        ("wire a part, the run to beat", "2855"),
        ("time a part, the other run", "3:28:02"),
        ("wire a part, the other run", "1949"),
        ("share of the week in which the machine cuts", "75"),
    ] {
        type_into(&mut window, name, text);
    }
    // Facts of the trade, common practice, no source: 25 and 36 parts a week, 572 more a year of 52 weeks, 587 by years.
    for said in [
        "+11 more parts/week",
        "+572 more parts/year, whole weeks",
        "+587 more parts/year",
    ] {
        assert!(window.query_by_label(said).is_some(), "{said}");
    }
    // What is not a time is told, and nothing changes.
    type_into(&mut window, "time a part, the other run", "3:99");
    assert!(window.state().message().is_some_and(|m| m.contains("3:99")));
    assert!(window.query_by_label("+11 more parts/week").is_some());
    // Back to the estimate in one click.
    window.get_by_label("Back to the estimate").click();
    settle(&mut window);
    assert!(window.query_by_label("+11 more parts/week").is_none());
}

#[test]
fn the_page_and_the_headline_say_the_same() {
    let mut window = window_of([1280.0, 800.0]);
    settle(&mut window);
    let app = window.state();
    let answer = app
        .front()
        .and_then(|f| f.answer.as_ref())
        .expect("estimated");
    let (fast, job) = (answer.comparison.fastest().expect("possible"), &answer.job);
    let d = answer
        .comparison
        .difference(fast)
        .expect("not the baseline");
    let typed = kerfcast::gui::worth::Typed::default();
    let library = kerfcast::library::Library::built_in();
    let run = |k: usize, c: usize| {
        let e = &answer.comparison.estimates[c];
        typed
            .run(k, Some((&e.candidate, e.figures.as_ref())), job, library)
            .expect("possible")
    };
    let runs = [run(0, answer.comparison.baseline), run(1, fast)];
    let w = kerfcast::estimate::worth::Worth::of(
        &runs[0],
        &runs[1],
        &typed.basis(job, kerfcast::library::Library::built_in()),
    );
    // The wires differ in time and wire alone, so both ways of counting come to the same money; but for what runs long
    // the whole costs are allowed another few per cent of what they differ by.
    assert!((w.per_part_unsold + d.cash_amount).amount().abs() < 1e-9);
    let sold = w.per_part_sold.amount();
    assert!((sold + d.cost_amount.amount()).abs() < 0.05 * sold.abs());
    let (a, b) = (
        w.turns_at_rate.expect("turns"),
        d.turns_at_rate.expect("turns"),
    );
    assert!((a - b).amount().abs() < 1e-9);
    // And pay from the same gain in speed.
    assert!((w.break_even_gain - d.pays_from_gain).abs() < 1e-12);
}
