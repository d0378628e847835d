//! The window as it looks, in dark and light, against stored pictures.
//!
//! `cargo test --features snapshots --test snapshots`; with `KERFCAST_WRITE_SNAPSHOTS=1` the pictures of
//! `tests/data/snapshots` are made anew, to be looked at before they are committed. Where one differs, the window as
//! it looks now and a picture of what differs lie in `target/tmp`, and the test names them.

#[path = "../harness/mod.rs"]
mod harness;

mod canvas;
mod stored;

use canvas::Textures;
use egui::{Key, Modifiers, Theme};
use harness::{Window, drop_on, drop_without_waiting, settle, type_into, window_painted_by};
use kerfcast::samples;

/// Shows something in a window of each theme and holds it against its picture.
fn both(name: &str, show: impl Fn(&mut Window)) {
    let mut told = Vec::new();
    for (theme, called) in [(Theme::Dark, "dark"), (Theme::Light, "light")] {
        let folder = tempfile::tempdir().expect("a folder");
        let textures = Textures::default();
        let mut window = window_painted_by(textures.clone(), theme, folder.path());
        show(&mut window);
        settle(&mut window);
        told.extend(stored::held_against(
            &format!("{name}_{called}"),
            &canvas::picture(&window, &textures),
        ));
    }
    assert!(told.is_empty(), "\n{}\n", told.join("\n"));
}

/// A drawing of a plate without symmetry, with round openings: middle and radius, mm.
fn plate(holes: &[(f64, f64, f64)]) -> Vec<u8> {
    let mut out =
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n"
            .to_owned();
    let corners = [(0, 0), (160, 0), (160, 64), (130, 100), (0, 100)];
    for (k, (a, b)) in corners.iter().enumerate() {
        let (c, d) = corners[(k + 1) % corners.len()];
        out += &format!("0\nLINE\n8\n0\n10\n{a}\n20\n{b}\n11\n{c}\n21\n{d}\n");
    }
    for (x, y, r) in holes {
        out += &format!("0\nCIRCLE\n8\n0\n10\n{x}\n20\n{y}\n40\n{r}\n");
    }
    (out + "0\nENDSEC\n0\nEOF\n").into_bytes()
}

/// Opens a page by its key.
fn page(window: &mut Window, key: Key) {
    window.key_press(key);
    settle(window);
}

#[test]
fn the_sample_of_the_first_start() {
    both("sample", |_| ());
}

#[test]
fn a_crowded_plate() {
    both("crowded", |window| {
        let hole = |k: i32| {
            let (x, y) = (k % 24, k / 24);
            (
                f64::from(6 + 6 * x),
                f64::from(7 + 6 * y),
                1.1 + 0.15 * f64::from((x * 7 + y * 3) % 9),
            )
        };
        let in_the_corner = |(x, y, _): &(f64, f64, f64)| x + y > 180.0;
        let holes: Vec<_> = (0..24 * 15)
            .map(hole)
            .filter(|h| !in_the_corner(h))
            .collect();
        drop_on(window, "sieve.dxf", &plate(&holes));
    });
}

#[test]
fn an_empty_window() {
    both("empty", |window| {
        window.key_press_modifiers(Modifiers::COMMAND, Key::W);
        settle(window);
        assert!(window.state().front().is_none());
    });
}

#[test]
fn findings_of_a_drawing_with_gaps() {
    both("findings", |window| {
        // An edge ends a little short of the next, another lies twice, and one leads nowhere.
        let mut dxf = String::from_utf8(plate(&[(30.0, 30.0, 12.0)])).expect("plain text");
        let more = "0\nLINE\n8\n0\n10\n60\n20\n20\n11\n100\n21\n20\n\
                    0\nLINE\n8\n0\n10\n100.04\n20\n20\n11\n100\n21\n60\n\
                    0\nLINE\n8\n0\n10\n100\n20\n60\n11\n60\n21\n20\n\
                    0\nLINE\n8\n0\n10\n60\n20\n20\n11\n100\n21\n20\n\
                    0\nLINE\n8\n0\n10\n120\n20\n70\n11\n120\n21\n82\n0\nENDSEC\n";
        dxf = dxf.replacen("0\nENDSEC\n0\nEOF", &format!("{more}0\nEOF"), 1);
        drop_on(window, "gaps.dxf", dxf.as_bytes());
        page(window, Key::N);
    });
}

#[test]
fn the_reason_of_a_figure() {
    both("why", |window| page(window, Key::Y));
}

#[test]
fn the_limits_of_each_wire() {
    both("limits", |window| page(window, Key::G));
}

#[test]
fn two_revisions_over_each_other() {
    both("compare", |window| {
        drop_on(
            window,
            "bracket-a.dxf",
            &plate(&[(20.0, 20.0, 8.0), (80.0, 40.0, 14.0)]),
        );
        drop_on(
            window,
            "bracket-b.dxf",
            &plate(&[(20.0, 20.0, 9.0), (120.0, 30.0, 10.0)]),
        );
        page(window, Key::D);
        assert!(window.state().pair().is_some_and(|p| p.laid.is_some()));
    });
}

fn drop_samples(window: &mut Window) {
    for sample in samples::ALL {
        drop_without_waiting(window, sample.name, sample.bytes);
    }
    settle(window);
}

#[test]
fn an_enquiry() {
    both("enquiry", |window| {
        drop_samples(window);
        assert_eq!(window.state().desk().entries.len(), samples::ALL.len());
    });
}

#[test]
fn a_quote() {
    both("quote", |window| {
        drop_samples(window);
        page(window, Key::Z);
        // Else it is the day on which the test runs.
        type_into(window, "Date", "2026-01-15");
        assert!(window.state().quoting().made().is_some());
    });
}
