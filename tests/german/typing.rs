//! What a German types is taken as the page says it.

use crate::german;
use crate::harness::{Window, settle, type_into, type_over, window_of};
use egui::Key;
use egui::accesskit::Role;
use egui_kittest::kittest::Queryable as _;
use kerfcast::language::said;

fn window() -> Window {
    window_of([1500.0, 1000.0])
}

fn thickness(window: &Window) -> f64 {
    window
        .state()
        .front()
        .expect("a drawing")
        .job
        .thickness
        .mm()
}

/// What stands in a field.
fn shown(window: &Window, name: &str) -> String {
    use egui_kittest::kittest::NodeT as _;
    let field = window.get_by_role_and_label(Role::TextInput, name);
    field.accesskit_node().value().unwrap_or_default()
}

fn opened(window: &mut Window, page: Key) {
    window.key_press(page);
    settle(window);
}

#[test]
fn a_thickness_is_read_as_it_is_written() {
    let _german = german();
    let mut window = window();
    for (typed, mm) in [
        ("12,5", 12.5),
        ("0,25 mm", 0.25),
        ("12.5", 12.5),
        ("1,250 in", 31.75),
        ("1,125", 1.125),
        ("40", 40.0),
    ] {
        type_into(&mut window, "Dicke", typed);
        assert!(
            (thickness(&window) - mm).abs() < 1e-9,
            "{typed}: {}",
            thickness(&window)
        );
    }
    type_into(&mut window, "Dicke", "62,5");
    assert_eq!(shown(&window, "Dicke"), "62,5\u{202f}mm");
    // What cannot be is refused in German, and with a comma.
    type_into(&mut window, "Dicke", "dick");
    let told = window.state().message().expect("a message").to_owned();
    assert!(told.contains("1,5 in") && told.contains("62,5"), "{told}");
    // A point parts thousands there.
    type_into(&mut window, "Stückzahl", "1.200");
    assert_eq!(window.state().front().unwrap().job.quantity, 1200);
}

#[test]
fn what_is_wanted_is_said_with_german_days_and_words() {
    let _german = german();
    let mut window = window();
    opened(&mut window, Key::A);
    let wish = |w: &Window| w.state().front().unwrap().wish;
    type_into(&mut window, "Rauheit Ra höchstens", "0,8");
    assert_eq!(wish(&window).finish.roughness_um, Some(0.8));
    for typed in ["Di 8:00", "Dienstag 8:00", "di 08:00", "Tue 8:00"] {
        type_into(&mut window, "Fertig bis", "jederzeit");
        assert_eq!(wish(&window).by, None);
        type_into(&mut window, "Fertig bis", typed);
        let by = wish(&window).by.expect(typed);
        assert_eq!(by.to_string(), "Di 8:00", "{typed}");
    }
    for none in ["beliebig", "Beliebig"] {
        type_into(&mut window, "Rauheit Ra höchstens", "1,6");
        assert_eq!(wish(&window).finish.roughness_um, Some(1.6));
        type_into(&mut window, "Rauheit Ra höchstens", none);
        assert_eq!(wish(&window).finish.roughness_um, None, "{none}");
    }
    type_into(&mut window, "Fertig bis", "morgen");
    let told = window.state().message().expect("a message").to_owned();
    assert!(told.contains("Di 8:00"), "{told}");
}

#[test]
fn quantities_and_times_are_read_as_german_writes_them() {
    let _german = german();
    let mut window = window();
    opened(&mut window, Key::L);
    let minutes = said("Actual minutes");
    type_over(&mut window, minutes, "312,5");
    window
        .get_by_role_and_label(Role::Button, said("Log the cut"))
        .click();
    settle(&mut window);
    let cuts = &window.state().learning().cuts;
    assert_eq!(cuts.len(), 1, "{:?}", window.state().message());
    assert_eq!(cuts[0].cutting_minutes.min_value(), 312.5);
}
