//! The window while drawings come in: from the drop to the first estimate, the longest frame while a large
//! file is read, how soon a cancelled reading has ended, and a frame with the large drawing open.
//!
//! `cargo bench --bench window`; prints milliseconds.

#[path = "../harness/mod.rs"]
mod harness;

use harness::{LONGEST, Window, drop_without_waiting, window_of};
use std::fmt::Write;
use std::time::{Duration, Instant};

fn main() {
    // A usual file of a customer, under 3 MB: a part exploded to short lines; and one of 500 000 lines.
    let (usual, large) = (exploded(6, 2_000), drawing(500_000));
    println!(
        "files of {} and {} kB",
        usual.len() / 1000,
        large.len() / 1000
    );
    let mut window = window_of([1280.0, 800.0]);
    for round in 1..=3 {
        let asked = Instant::now();
        drop_without_waiting(&mut window, &format!("usual {round}.dxf"), &usual);
        let (seen, _) = until(&mut window, |w| {
            let file = w.state().front();
            file.is_some_and(|f| f.name.starts_with(&format!("usual {round}")) && f.paths.is_some())
        });
        println!("drop to estimate on screen: {:.0} ms", ms(seen - asked));
        // What follows in the background must not stand in the way of the next.
        assert!(
            window.state_mut().wait_until_idle(LONGEST),
            "an answer is late"
        );
    }
    drop_without_waiting(&mut window, "large.dxf", &large);
    let end = Instant::now() + Duration::from_secs(1);
    until(&mut window, |_| Instant::now() > end);
    cancel(&mut window);
    drop_without_waiting(&mut window, "large.dxf", &large);
    let asked = Instant::now();
    let (seen, longest) = until(&mut window, |w| {
        w.state().front().is_some_and(|f| f.name == "large.dxf")
    });
    println!(
        "large file read in {:.1} s, longest frame meanwhile {:.1} ms",
        (seen - asked).as_secs_f64(),
        ms(longest)
    );
    for _ in 0..3 {
        let begun = Instant::now();
        window.step();
        println!("frame with it open: {:.1} ms", ms(begun.elapsed()));
    }
    drop(window);
    enquiry_of(500);
}

/// The longest frame while an enquiry of so many items comes in, is estimated, and is changed as a whole.
fn enquiry_of(count: usize) {
    use egui_kittest::kittest::Queryable as _;
    let mut window = window_of([1280.0, 800.0]);
    for k in 0..count {
        let sample = kerfcast::samples::ALL[k % kerfcast::samples::ALL.len()];
        drop_without_waiting(&mut window, &format!("part {k}.dxf"), sample.bytes);
    }
    let all_known = |w: &Window| {
        let entries = &w.state().desk().entries;
        entries.len() == count && entries.iter().all(|e| e.row().is_some())
    };
    let asked = Instant::now();
    let (seen, longest) = until(&mut window, all_known);
    println!(
        "{count} items estimated in {:.1} s, longest frame meanwhile {:.1} ms",
        (seen - asked).as_secs_f64(),
        ms(longest)
    );
    window.get_by_label("choose all").click();
    let end = Instant::now() + Duration::from_millis(300);
    let (_, longest) = until(&mut window, |_| Instant::now() > end);
    println!("all chosen: longest frame {:.1} ms", ms(longest));
    window.get_by_label("sort by cost each").click();
    let end = Instant::now() + Duration::from_millis(300);
    let (_, longest) = until(&mut window, |_| Instant::now() > end);
    println!("sorted: longest frame {:.1} ms", ms(longest));
    window.get_by_label("parts, item 1").click();
    window.step();
    window.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    window.event(egui::Event::Text("25".to_owned()));
    window.key_press(egui::Key::Enter);
    window.step();
    let (seen, longest) = {
        let asked = Instant::now();
        let (seen, longest) = until(&mut window, all_known);
        (seen - asked, longest)
    };
    println!(
        "all changed and estimated in {:.1} s, longest frame meanwhile {:.1} ms",
        seen.as_secs_f64(),
        ms(longest)
    );
}

fn ms(d: Duration) -> f64 {
    d.as_secs_f64() * 1e3
}

/// Frames until something holds; when it did, and the longest frame but the last, which takes the answer.
fn until(window: &mut Window, mut holds: impl FnMut(&Window) -> bool) -> (Instant, Duration) {
    let end = Instant::now() + LONGEST;
    let (mut longest, mut last) = (Duration::ZERO, Duration::ZERO);
    while !holds(window) && Instant::now() < end {
        longest = longest.max(last);
        let begun = Instant::now();
        window.step();
        last = begun.elapsed();
        std::thread::sleep(Duration::from_millis(1));
    }
    (Instant::now(), longest)
}

/// Cancels what is read and says when that was done.
fn cancel(window: &mut Window) {
    use egui_kittest::kittest::Queryable as _;
    window.get_by_label("cancel reading").click();
    let asked = Instant::now();
    let gone = |w: &Window| w.state().message().is_some_and(|m| m.contains("cancelled"));
    let (seen, _) = until(window, gone);
    println!("cancel to its message: {:.0} ms", ms(seen - asked));
}

const HEAD: &str =
    "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n";

fn line(out: &mut String, (x, y): (f64, f64), (u, v): (f64, f64)) {
    let _ = write!(
        out,
        "0\nLINE\n5\n1F\n100\nAcDbEntity\n8\nPART\n100\nAcDbLine\n\
         10\n{x:.9}\n20\n{y:.9}\n30\n0.000000000\n11\n{u:.9}\n21\n{v:.9}\n31\n0.000000000\n"
    );
}

/// Cams within one another, each of so many chords.
fn exploded(cams: usize, chords: usize) -> Vec<u8> {
    let mut out = HEAD.to_owned();
    for cam in 1..=cams {
        let at = |k: usize| {
            let angle = std::f64::consts::TAU * (k % chords) as f64 / chords as f64;
            let radius = 12.0 * cam as f64 + 1.5 * (5.0 * angle).sin();
            (radius * angle.cos(), radius * angle.sin())
        };
        (0..chords).for_each(|k| line(&mut out, at(k), at(k + 1)));
    }
    out.push_str("0\nENDSEC\n0\nEOF\n");
    out.into_bytes()
}

/// Squares of four lines on a grid.
fn drawing(lines: usize) -> Vec<u8> {
    let mut out = HEAD.to_owned();
    let squares = lines / 4;
    let columns = (squares as f64).sqrt().ceil() as usize;
    for k in 0..squares {
        let (x, y) = ((k % columns) as f64 * 10.0, (k / columns) as f64 * 10.0);
        let corners = [(x, y), (x + 6.0, y), (x + 6.0, y + 6.0), (x, y + 6.0)];
        for (i, corner) in corners.into_iter().enumerate() {
            line(&mut out, corner, corners[(i + 1) % 4]);
        }
    }
    out.push_str("0\nENDSEC\n0\nEOF\n");
    out.into_bytes()
}
