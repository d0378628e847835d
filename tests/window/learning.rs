//! Finished cuts, differences, advice, sweeps and the library in the window, driven as a person would.

use egui::Key;
use egui::accesskit::Role;
use egui_kittest::kittest::Queryable as _;
use kerfcast::gui::sweeps::Vary;
use kerfcast::plan::Share;
use std::time::Duration;

use crate::harness;

use harness::{Window, drop_on, settle, type_over, window_of};

fn window() -> Window {
    window_of([1400.0, 1700.0])
}

/// Median and both ends of the range, min.
fn minutes(window: &Window, wire: usize) -> (f64, f64, f64) {
    let file = window.state().front().unwrap();
    let m = file
        .estimate(wire)
        .unwrap()
        .figures
        .as_ref()
        .unwrap()
        .minutes;
    (m.median.min_value(), m.low.min_value(), m.high.min_value())
}

/// Rough, skims and corners of the wire shown.
fn cutting(window: &Window) -> f64 {
    let file = window.state().front().unwrap();
    let figures = file.shown_estimate().unwrap().figures.as_ref().unwrap();
    [Share::Rough, Share::Skims, Share::Corners]
        .into_iter()
        .map(|s| figures.share(s).min_value())
        .sum()
}

/// Logs the wire shown as having taken so many minutes.
fn log_cut(window: &mut Window, minutes: &str) {
    type_over(window, "Actual minutes", minutes);
    window
        .get_by_role_and_label(Role::Button, "Log the cut")
        .click();
    settle(window);
}

#[test]
fn a_cut_that_took_twice_as_long_raises_the_estimate_and_the_switch_takes_it_back() {
    let mut window = window();
    let before: Vec<_> = (0..5).map(|w| minutes(&window, w)).collect();
    window.key_press(Key::L);
    settle(&mut window);
    let twice = format!("{:.1}", 2.0 * cutting(&window));
    log_cut(&mut window, &twice);
    let after: Vec<_> = (0..5).map(|w| minutes(&window, w)).collect();
    for (b, a) in before.iter().zip(&after) {
        assert!(a.0 > 1.2 * b.0, "{b:?} then {a:?}");
        // One cut says much about the machine, so the range becomes narrower too.
        assert!(a.2 / a.1 < b.2 / b.1, "{b:?} then {a:?}");
    }
    // The reasons rest on it as well.
    window.key_press(Key::Y);
    settle(&mut window);
    let file = window.state().front().unwrap();
    let (_, figure) = file.explained.as_ref().unwrap();
    assert!((figure.value - after[0].0).abs() < 1e-9);
    window.key_press(Key::L);
    settle(&mut window);
    let switch = "Estimates use what was learned";
    window.get_by_role_and_label(Role::CheckBox, switch).click();
    settle(&mut window);
    let off: Vec<_> = (0..5).map(|w| minutes(&window, w)).collect();
    assert_eq!(off, before);
    assert_eq!(window.state().learning().cuts.len(), 1, "the log stays");
    window.get_by_role_and_label(Role::CheckBox, switch).click();
    settle(&mut window);
    let on: Vec<_> = (0..5).map(|w| minutes(&window, w)).collect();
    assert_eq!(on, after);
    // Set aside, the cut is shown and teaches nothing; counted again, it does.
    let mark = "outlier, cut 1";
    window
        .get_by_role_and_label(Role::CheckBox, mark)
        .scroll_to_me();
    settle(&mut window);
    window.get_by_role_and_label(Role::CheckBox, mark).click();
    settle(&mut window);
    assert_eq!(minutes(&window, 0), before[0]);
    window.get_by_role_and_label(Role::CheckBox, mark).click();
    settle(&mut window);
    assert_eq!(minutes(&window, 0), after[0]);
}

#[test]
fn what_cannot_be_logged_is_refused_and_what_was_typed_stays() {
    let mut window = window();
    window.key_press(Key::L);
    settle(&mut window);
    for (typed, words) in [("long", "not a time"), ("0", "must lie between")] {
        log_cut(&mut window, typed);
        let message = window.state().message().unwrap_or_default().to_owned();
        assert!(message.contains(words), "{typed}: {message}");
        let field = window.get_by_role_and_label(Role::TextInput, "Actual minutes");
        assert_eq!(field.value().as_deref(), Some(typed));
    }
    type_over(&mut window, "Date of the cut", "2990-01-01");
    log_cut(&mut window, "100");
    assert!(window.state().message().unwrap().contains("future"));
    type_over(&mut window, "Date of the cut", "2024-01-31");
    type_over(&mut window, "Wire used", "-3");
    log_cut(&mut window, "100");
    assert!(window.state().message().unwrap().contains("wire used"));
    assert!(window.state().learning().cuts.is_empty());
    type_over(&mut window, "Wire used", "0.5");
    log_cut(&mut window, "100");
    assert!(window.state().message().unwrap().contains("Threadings"));
    // Logged without what the threadings waste, which says nothing about the run-off.
    let file = window.state().front().unwrap();
    let figures = file.shown_estimate().unwrap().figures.as_ref().unwrap();
    let run = 900.0 - figures.wasted_wire().m();
    type_over(&mut window, "Wire used", "900");
    log_cut(&mut window, "1:40");
    assert_eq!(window.state().message(), None);
    let cut = &window.state().learning().cuts[0];
    assert_eq!(cut.cutting_minutes.min_value(), 100.0);
    assert_eq!(cut.date.to_string(), "2024-01-31");
    assert!((cut.wire_used.unwrap().m() - run).abs() < 1e-9);
}

const HEADER: &str = "date,machine,material,wire,diameter_mm,thickness_mm,flushing,passes,cut_length_mm,cutting_minutes\n";
const ROW: &str = "2024-03-01,left,cold-work tool steel,hard plain brass,0.25,40,close,4,512,300\n";

#[test]
fn a_bad_row_is_named_with_its_line_and_the_rest_is_kept() {
    let mut window = window();
    let before = minutes(&window, 0);
    let bad = ROW.replace(",300", ",five hours");
    let text = format!("{HEADER}{ROW}{bad}{ROW}");
    drop_on(&mut window, "cuts.csv", text.as_bytes());
    let learning = window.state().learning();
    assert_eq!(learning.cuts.len(), 2);
    assert_ne!(minutes(&window, 0), before, "the fit is used at once");
    let shown = "Line 3: cutting_minutes is “five hours”";
    assert!(
        window.query_by_label_contains(shown).is_some(),
        "line and reason are shown"
    );
    // A second time nothing is added; undo takes the file back as a whole.
    drop_on(&mut window, "cuts.csv", text.as_bytes());
    assert_eq!(window.state().learning().cuts.len(), 2);
    window
        .get_by_role_and_label(Role::Button, "Undo in the table")
        .click();
    settle(&mut window);
    assert!(window.state().learning().cuts.is_empty());
    assert_eq!(minutes(&window, 0), before);
}

#[test]
fn a_file_that_is_no_table_of_cuts_is_refused_and_the_cuts_stay() {
    let mut window = window();
    drop_on(&mut window, "cuts.csv", format!("{HEADER}{ROW}").as_bytes());
    let before = minutes(&window, 0);
    for (name, bytes) in [
        ("empty.csv", &b""[..]),
        ("letter.csv", b"Dear Sir, find the cuts attached."),
    ] {
        drop_on(&mut window, name, bytes);
        let message = window.state().message().unwrap();
        assert!(
            message.contains(name) && message.contains("column"),
            "{message}"
        );
    }
    assert_eq!(window.state().learning().cuts.len(), 1);
    assert_eq!(minutes(&window, 0), before);
    assert_eq!(window.state().open_count(), 1);
}

/// The number behind a name in the panel, such as −35.2 in "rough, −35.2 min".
fn shown_number(window: &Window, name: &str) -> Option<f64> {
    let before = format!("{name}, ");
    let node = window.query_by_label_contains(&before)?;
    let text = format!("{node:?}");
    let rest = text.split_once(&before)?.1;
    let plain: String = rest
        .chars()
        .map(|c| if c == '−' { '-' } else { c })
        .filter(|c| *c != '\u{202f}')
        .skip_while(|c| *c == '+')
        .take_while(|c| c.is_ascii_digit() || matches!(c, '.' | '-'))
        .collect();
    plain.parse().ok()
}

#[test]
fn a_click_on_a_difference_shows_shares_that_sum_to_it() {
    let mut window = window();
    window
        .get_by_label_contains("difference of time, gamma-phase")
        .click();
    settle(&mut window);
    let file = window.state().front().unwrap();
    let wire = file.compared.unwrap();
    let whole = minutes(&window, wire).0 - minutes(&window, 0).0;
    let sum: f64 = Share::ALL
        .into_iter()
        .filter_map(|s| shown_number(&window, s.words()))
        .sum();
    let total = shown_number(&window, "time in all").unwrap();
    assert!(whole < -10.0, "{whole}");
    // Rounded to a tenth, seven parts miss by 0.4 at most.
    assert!((sum - total).abs() < 0.4, "{sum} and {total}");
    assert!((total - whole).abs() < 0.06, "{total} and {whole}");
    let by: f64 = [
        "because of the time",
        "because of the wire speed",
        "at threadings",
    ]
    .into_iter()
    .filter_map(|n| shown_number(&window, n))
    .sum();
    let wire_total = shown_number(&window, "wire in all").unwrap();
    assert!((by - wire_total).abs() <= 1.5, "{by} and {wire_total}");
    assert!(
        window
            .query_by_label_contains("chance that it is faster")
            .is_some()
    );
    // A figure leads back to its own reasons.
    window.get_by_label("Back to one wire’s figures").click();
    settle(&mut window);
    assert_eq!(window.state().front().unwrap().compared, None);
}

#[test]
fn curves_meet_the_estimate_and_are_computed_only_while_looked_at() {
    let mut window = window();
    let run = |w: &Window| {
        let file = w.state().front().unwrap();
        let run = w.state().sweeps().run(Vary::Passes, file)?;
        assert!(run.is_complete());
        let point = run.points[file.job.passes - 1].candidates[0]?;
        Some(point.minutes.median.min_value())
    };
    assert_eq!(run(&window), None, "nobody has looked yet");
    window.key_press(Key::I);
    settle(&mut window);
    window.get_by_role_and_label(Role::Button, "passes").click();
    settle(&mut window);
    assert_eq!(run(&window), Some(minutes(&window, 0).0));
    let file = window.state().front().unwrap();
    let bars = window.state().sweeps().matters(0, file).flatten().unwrap();
    assert!(bars.iter().any(|b| b.name == "machine"));
    assert!(window.query_by_label_contains("machine, ").is_some());
    // Nothing repaints once the curves are there; a thread may wake the window once more after its last answer.
    let quiet = (0..20).any(|_| {
        std::thread::sleep(Duration::from_millis(10));
        window.step();
        let viewports = window.output().viewport_output.values();
        let delay = viewports.map(|v| v.repaint_delay).min();
        delay.is_none_or(|d| d > Duration::from_secs(1))
    });
    assert!(quiet, "the window repaints without end");
}

#[test]
fn the_smallest_plan_for_a_finish_is_named_and_taken() {
    let mut window = window();
    window
        .get_by_role_and_label(Role::ComboBox, "Passes")
        .click();
    settle(&mut window);
    type_over(&mut window, "Finish wanted", "1.0");
    window.key_press(Key::Enter);
    settle(&mut window);
    assert!(
        window
            .query_by_label_contains("Usually enough: rough and two skims.")
            .is_some()
    );
    window
        .get_by_role_and_label(Role::Button, "rough and two skims")
        .click();
    settle(&mut window);
    assert_eq!(window.state().front().unwrap().job.passes, 3);
}
