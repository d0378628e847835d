//! Pictures that are taken along: as a file of lines and letters, and their numbers as a table.

use crate::harness;

use egui::{Key, OutputCommand};
use egui_kittest::kittest::Queryable as _;
use harness::{Window, settle, wait_for_place, window_in};
use kerfcast::samples;
use std::fs;

/// What is on the clipboard after a click.
fn copied(window: &mut Window, name: &str) -> String {
    window.get_by_label(name).click();
    for _ in 0..4 {
        window.step();
        let commands = &window.output().platform_output.commands;
        let text = commands.iter().find_map(|c| match c {
            OutputCommand::CopyText(text) => Some(text.clone()),
            _ => None,
        });
        if let Some(text) = text {
            return text;
        }
    }
    panic!("nothing was copied by “{name}”");
}

#[test]
fn the_radii_that_wires_leave_are_a_picture_to_save_and_numbers_to_copy() {
    let folder = tempfile::tempdir().expect("a folder");
    let drawing = folder.path().join("bore.dxf");
    let sample = samples::ALL.iter().find(|s| s.name.starts_with("splined"));
    fs::write(&drawing, sample.expect("it is there").bytes).expect("written");
    let mut window = window_in(&folder.path().join("own"), vec![drawing]);
    window.key_press(Key::G);
    settle(&mut window);
    let file = window.state().front().expect("open");
    let limits = file.limits.of(file.shown).expect("they are known");
    let radii: Vec<f64> = limits
        .wires
        .iter()
        .map(|w| w.radius_left.expect("the wire is in the library").mm())
        .collect();
    // A line a wire, each number as it is, with no digits that only the machine knows.
    let table = copied(&mut window, "copy the numbers, radii left");
    let rows: Vec<Vec<&str>> = table.lines().map(|l| l.split('\t').collect()).collect();
    assert_eq!(rows.len(), 1 + radii.len());
    for (row, radius) in rows[1..].iter().zip(&radii) {
        assert_eq!(row.len(), 2);
        let copied: f64 = row[1].parse().expect("a number");
        assert!(
            (copied - radius).abs() < 1e-9 && row[1].len() < 9,
            "{row:?}"
        );
    }
    window.get_by_label("save the picture, radii left").click();
    // Beside the drawing is offered; Return takes it.
    wait_for_place(&mut window);
    window.key_press(Key::Enter);
    settle(&mut window);
    let path = folder.path().join("bore-radii-left.svg");
    let lines = fs::read_to_string(&path).expect("it is saved");
    // The words of the picture, and its lines.
    for radius in &radii {
        assert!(
            lines.contains(&format!("{radius:.3}")),
            "{radius} in {lines}"
        );
    }
    assert!(lines.contains("<title>radii left</title>"));
    assert!(lines.matches("<path").count() > 2);
    for tag in ["svg", "g", "clipPath", "text"] {
        let ends = lines.matches(&format!("</{tag}>")).count();
        let begins = lines.matches(&format!("<{tag} ")).count();
        assert_eq!(begins, ends, "{tag}");
    }
    let message = window.state().message().expect("it is told");
    assert!(message.contains("bore-radii-left.svg"), "{message}");
}

#[test]
fn every_picture_has_its_numbers() {
    let mut window = harness::window_of([1500.0, 2400.0]);
    for (key, name, column) in [
        (
            Key::Q,
            "copy the numbers, cost of a part against quantity",
            "cost each",
        ),
        (
            Key::A,
            "copy the numbers, time against cost of all plans",
            "cost",
        ),
        (
            Key::T,
            "copy the numbers, days of the job",
            "what the machine does",
        ),
    ] {
        window.key_press(key);
        settle(&mut window);
        let table = copied(&mut window, name);
        let head: Vec<&str> = table.lines().next().expect("a head").split('\t').collect();
        assert!(head.contains(&column), "{head:?}");
        assert!(table.lines().count() > 1);
        assert!(table.lines().all(|l| l.split('\t').count() == head.len()));
    }
    // Each quantity that is asked for, with what its lot comes to.
    window.key_press(Key::Q);
    settle(&mut window);
    let table = copied(
        &mut window,
        "copy the numbers, cost of a part against quantity",
    );
    for row in table.lines().skip(1) {
        let cells: Vec<f64> = row
            .split('\t')
            .map(|c| c.parse().expect("a number"))
            .collect();
        let (parts, each, low, high, all) = (cells[0], cells[1], cells[2], cells[3], cells[4]);
        assert!(low < each && each < high);
        assert!((parts * each - all).abs() < 0.01 * all, "{row}");
    }
}

/// The cells of a copied table after the first of each line, and the heads before them.
fn numbers(table: &str) -> Vec<Vec<f64>> {
    let cells = |l: &str| {
        let cells = l.split('\t').skip(1);
        cells.map(|c| c.parse().expect("a number")).collect()
    };
    table.lines().skip(1).map(cells).collect()
}

#[test]
fn the_parts_of_a_difference_sum_to_it_in_the_numbers_that_are_copied() {
    let mut window = harness::window_of([1500.0, 2400.0]);
    let difference = "difference of time, gamma-phase";
    window.get_by_label_contains(difference).click();
    settle(&mut window);
    let minutes = numbers(&copied(
        &mut window,
        "copy the numbers, where the minutes go",
    ));
    let (all, parts) = minutes.split_last().expect("a sum");
    assert!(parts.len() > 2);
    for (column, sum) in all.iter().enumerate() {
        let parts: f64 = parts.iter().map(|row| row[column]).sum();
        assert!((parts - sum).abs() < 1e-6, "{parts} {sum}");
    }
    for row in &minutes {
        assert!((row[1] - row[0] - row[2]).abs() < 1e-6, "{row:?}");
    }
    let wire = numbers(&copied(
        &mut window,
        "copy the numbers, where the wire goes",
    ));
    let (all, parts) = wire.split_last().expect("a sum");
    let sum: f64 = parts.iter().map(|row| row[0]).sum();
    assert!((sum - all[0]).abs() < 1e-6, "{wire:?}");
    let name = "copy the numbers, how sure the differences are";
    for row in numbers(&copied(&mut window, name)) {
        let [value, low, high, chance] = row[..] else {
            panic!("{row:?}");
        };
        assert!(low <= value && value <= high, "{row:?}");
        assert!((0.0..=100.0).contains(&chance), "{row:?}");
    }
}
