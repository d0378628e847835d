//! What the window costs: frames of large and of crowded drawings, the longest frame while something large comes
//! in (a file, an enquiry), from the drop to the first estimate, how soon a cancelled reading has ended, and the
//! window that nobody touches.
//!
//! `cargo bench --bench window`, all of it or what is named: `cargo bench --bench window -- paint`. Prints
//! milliseconds. A frame is the whole window: layout, shapes and the triangles that the graphics card is given, and
//! the tree that a screen reader is given, which is left away where none listens.

#[path = "../harness/mod.rs"]
mod harness;

use harness::{LONGEST, Window, drop_path, drop_without_waiting, window_of};
use std::fmt::Write;
use std::time::{Duration, Instant};

/// How many frames a figure is the mean of, and how long it may take. The system counts a thread's time by ticks of
/// some milliseconds.
const FRAMES: usize = 60;
const LONG: f64 = 3000.0;

fn main() {
    let named: Vec<_> = std::env::args()
        .skip(1)
        .filter(|a| !a.starts_with("--"))
        .collect();
    let wanted = |name: &str| named.is_empty() || named.iter().any(|n| n == name);
    if wanted("paint") || wanted("segments") {
        many_segments();
    }
    if wanted("paint") || wanted("openings") {
        many_marks();
    }
    if wanted("idle") {
        idle();
    }
    if wanted("arrive") {
        arriving();
    }
    if wanted("many") {
        opened_at_once(200, &exploded(6, 2_000));
    }
    if wanted("enquiry") {
        enquiry_of(500);
    }
}

/// Frames of drawings of 200 000 segments.
fn many_segments() {
    let squares = drawing(200_000);
    let teeth = toothed(20, 5_000);
    for (what, bytes) in [
        ("50 000 squares", &squares),
        ("20 rings of 5 000 teeth", &teeth),
    ] {
        let mut window = window_of([1280.0, 800.0]);
        open(&mut window, "large.dxf", bytes);
        let segments: usize = (window.state().front()).map_or(0, |f| {
            f.profile
                .contours()
                .iter()
                .map(|c| c.shape.segments().count())
                .sum()
        });
        println!("{what}: {segments} segments");
        frames_of(&mut window);
    }
}

/// Frames of a plate with 500 openings, each with its number, start hole, lead-in, text and a finding to look at.
fn many_marks() {
    for (what, size) in [
        ("1280×800", [1280.0, 800.0]),
        ("3840×2160", [3840.0, 2160.0]),
    ] {
        let mut window = window_of(size);
        open(&mut window, "openings.dxf", &plate(25, 20));
        let file = window.state().front();
        let findings: usize =
            file.map_or(0, |f| f.drawing.findings.iter().map(|f| f.at.len()).sum());
        println!(
            "plate at {what}: {} contours, {findings} places with a finding, {} texts",
            file.map_or(0, |f| f.profile.contours().len()),
            file.map_or(0, |f| f.drawing.notes.len())
        );
        frames_of(&mut window);
        println!("  the same shaded by feed");
        window.key_press(egui::Key::H);
        harness::settle(&mut window);
        frames_of(&mut window);
    }
}

/// Opens a drawing and waits until all about it is there.
fn open(window: &mut Window, name: &str, bytes: &[u8]) {
    drop_without_waiting(window, name, bytes);
    until(window, |w| {
        w.state()
            .front()
            .is_some_and(|f| f.name == name && f.paths.answer.is_some())
    });
    assert!(
        window.state_mut().wait_until_idle(4 * LONGEST),
        "an answer is late"
    );
    for _ in 0..10 {
        window.step();
    }
}

/// What frames cost: as it stands, with the pointer on the way over it, panned, zoomed, with the job
/// played, and with the list of contours open.
fn frames_of(window: &mut Window) {
    use egui_kittest::kittest::Queryable as _;
    let rect = window.get_by_label("Drawing").rect();
    let at = |k: usize| rect.center() + egui::vec2(3.0 * k as f32 - 90.0, 2.0 * k as f32 - 60.0);
    let moved = |k| egui::Event::PointerMoved(at(k));
    cpu_of(window, "nothing moves", |_| Vec::new());
    cpu_of(window, "the pointer moves", |k| vec![moved(k)]);
    let button = |pressed| egui::Event::PointerButton {
        pos: at(0),
        button: egui::PointerButton::Primary,
        pressed,
        modifiers: egui::Modifiers::NONE,
    };
    window.event(moved(0));
    window.event(button(true));
    window.event(moved(5));
    window.step();
    cpu_of(window, "panned", |k| vec![moved(k)]);
    window.event(button(false));
    window.step();
    cpu_of(window, "zoomed", |k| {
        vec![egui::Event::Zoom(if k < FRAMES / 2 {
            1.02
        } else {
            1.0 / 1.02
        })]
    });
    window.key_press(egui::Key::F);
    window.step();
    window.remove_cursor();
    window.step();
    window.key_press(egui::Key::P);
    window.step();
    cpu_of(window, "played", |_| Vec::new());
    window.key_press(egui::Key::W);
    window.key_press(egui::Key::C);
    window.step();
    cpu_of(window, "the list of contours is open", |_| Vec::new());
    window.key_press(egui::Key::C);
    window.step();
}

/// CPU of a frame with some events in it, of the thread of the window alone.
fn cpu_of(window: &mut Window, what: &str, events: impl Fn(usize) -> Vec<egui::Event>) {
    let (mut frame, mut triangles, mut longest) = (0.0, 0.0, 0.0_f64);
    let (mut count, mut frames) = (0, 0.0);
    for k in 0..FRAMES {
        if frame + triangles > LONG {
            break;
        }
        frames += 1.0;
        window.input_mut().events.extend(events(k));
        let begun = (cpu(), Instant::now());
        window.step();
        let laid = cpu();
        let shapes = window.output().shapes.clone();
        let cloned = cpu();
        let meshes = window
            .ctx
            .tessellate(shapes, window.output().pixels_per_point);
        let done = cpu();
        count = meshes
            .iter()
            .map(|m| match &m.primitive {
                egui::epaint::Primitive::Mesh(m) => m.indices.len() / 3,
                egui::epaint::Primitive::Callback(_) => 0,
            })
            .sum();
        frame += laid - begun.0;
        triangles += done - cloned;
        longest = longest.max(ms(begun.1.elapsed()) - (cloned - laid));
    }
    let mean = |sum: f64| sum / frames;
    println!(
        "  {what}: {:.1} ms CPU a frame ({:.1} window, {:.1} triangles, {} of them), longest {:.1} ms by the clock",
        mean(frame + triangles),
        mean(frame),
        mean(triangles),
        count,
        longest
    );
}

/// CPU that this thread has used, milliseconds; where the system does not say it, the clock.
fn cpu() -> f64 {
    static BEGUN: std::sync::LazyLock<Instant> = std::sync::LazyLock::new(Instant::now);
    spent("/proc/thread-self/schedstat".as_ref()).unwrap_or_else(|| ms(BEGUN.elapsed()))
}

/// CPU that a thread has used, milliseconds, as the system tells it.
fn spent(file: &std::path::Path) -> Option<f64> {
    let told = std::fs::read_to_string(file).ok()?;
    let nanoseconds: f64 = told.split(' ').next()?.parse().ok()?;
    Some(1e-6 * nanoseconds)
}

/// What a window costs that nobody touches: frames that it asks for, and the time of all its threads.
fn idle() {
    let mut window = window_of([1280.0, 800.0]);
    let all = || -> f64 {
        let threads = std::fs::read_dir("/proc/self/task")
            .into_iter()
            .flatten()
            .flatten();
        threads
            .filter_map(|t| spent(&t.path().join("schedstat")))
            .sum()
    };
    let asked = window
        .output()
        .viewport_output
        .values()
        .map(|v| v.repaint_delay)
        .min();
    let before = (all(), Instant::now());
    std::thread::sleep(Duration::from_secs(3));
    println!(
        "idle: next frame asked for in {asked:?}, {:.2} ms CPU in {:.1} s",
        all() - before.0,
        before.1.elapsed().as_secs_f64()
    );
    window.step();
}

/// From the drop to the estimate, and the longest frame while a large file comes in.
fn arriving() {
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
            file.is_some_and(|f| {
                f.name.starts_with(&format!("usual {round}")) && f.paths.answer.is_some()
            })
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
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("large.dxf");
    std::fs::write(&path, &large).expect("a file");
    drop_path(&mut window, &path);
    let asked = Instant::now();
    let is_large = |w: &Window| w.state().front().is_some_and(|f| f.name == "large.dxf");
    let (seen, longest) = until(&mut window, is_large);
    println!(
        "large file read in {:.1} s, longest frame {:.1} ms",
        (seen - asked).as_secs_f64(),
        ms(longest)
    );
    let (seen, longest) = until(&mut window, |w| {
        w.state().front().is_some_and(|f| f.paths.answer.is_some())
    });
    println!(
        "and estimated after {:.1} s, longest frame {:.1} ms",
        (seen - asked).as_secs_f64(),
        ms(longest)
    );
    for _ in 0..3 {
        let begun = Instant::now();
        window.step();
        println!("frame with it open: {:.1} ms", ms(begun.elapsed()));
    }
    drop(window);
    let mut window = window_of([1280.0, 800.0]);
    drop_without_waiting(&mut window, "entities.dxf", &drawing(100_000));
    let asked = Instant::now();
    let (seen, longest) = until(&mut window, |w| {
        let file = w.state().front();
        file.is_some_and(|f| f.name == "entities.dxf" && f.paths.answer.is_some())
    });
    println!(
        "100 000 entities estimated in {:.1} s, longest frame meanwhile {:.1} ms",
        (seen - asked).as_secs_f64(),
        ms(longest)
    );
}

/// So many usual files dropped at once, until each has been read and estimated.
fn opened_at_once(count: usize, usual: &[u8]) {
    // Files of a folder, as they are dropped from one.
    let folder = tempfile::tempdir().expect("a folder");
    let mut window = window_of([1280.0, 800.0]);
    for k in 0..count {
        let path = folder.path().join(format!("file {k}.dxf"));
        std::fs::write(&path, usual).expect("a file");
        drop_path(&mut window, &path);
    }
    let asked = Instant::now();
    let (seen, longest) = until(&mut window, |w| {
        let entries = &w.state().desk().entries;
        entries.len() == count && entries.iter().all(|e| e.row().is_some())
    });
    println!(
        "{count} files of {} kB read and estimated in {:.1} s, longest frame meanwhile {:.1} ms",
        usual.len() / 1000,
        (seen - asked).as_secs_f64(),
        ms(longest)
    );
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
    // Whichever stands highest now; what is out of sight is no widget.
    let first = window.query_all_by_label_contains("parts, item ").next();
    first.expect("a row is in sight").click();
    window.step();
    window.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    window.event(egui::Event::Text("25".to_owned()));
    window.key_press(egui::Key::Enter);
    window.step();
    let (seen, longest) = {
        let asked = Instant::now();
        let changed = |w: &Window| {
            let entries = &w.state().desk().entries;
            all_known(w) && entries.iter().all(|e| e.item.job.quantity == 25)
        };
        let (seen, longest) = until(&mut window, changed);
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

/// Frames until something holds; when it did, and the longest frame, that which takes the answer among them.
fn until(window: &mut Window, mut holds: impl FnMut(&Window) -> bool) -> (Instant, Duration) {
    let end = Instant::now() + 4 * LONGEST;
    let mut longest = Duration::ZERO;
    while !holds(window) && Instant::now() < end {
        let begun = Instant::now();
        window.step();
        longest = longest.max(begun.elapsed());
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

/// Rings within one another, each of so many teeth of two sides.
fn toothed(rings: usize, teeth: usize) -> Vec<u8> {
    let mut out = HEAD.to_owned();
    for ring in 1..=rings {
        let sides = 2 * teeth;
        let at = |k: usize| {
            let angle = std::f64::consts::TAU * (k % sides) as f64 / sides as f64;
            let radius = 50.0 * ring as f64 + 5.0 * (k % 2) as f64;
            (radius * angle.cos(), radius * angle.sin())
        };
        (0..sides).for_each(|k| line(&mut out, at(k), at(k + 1)));
    }
    out.push_str("0\nENDSEC\n0\nEOF\n");
    out.into_bytes()
}

/// A plate with circles in rows; a text in each, and beside each a short line that ends nowhere.
fn plate(columns: usize, rows: usize) -> Vec<u8> {
    let mut out = HEAD.to_owned();
    let (wide, high) = (20.0 * columns as f64, 20.0 * rows as f64);
    let corners = [(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)];
    (0..4).for_each(|k| line(&mut out, corners[k], corners[(k + 1) % 4]));
    for k in 0..columns * rows {
        let (x, y) = (
            10.0 + 20.0 * (k % columns) as f64,
            10.0 + 20.0 * (k / columns) as f64,
        );
        let _ = write!(out, "0\nCIRCLE\n8\nPART\n10\n{x}\n20\n{y}\n40\n8.5\n");
        let _ = write!(
            out,
            "0\nTEXT\n8\nTEXT\n10\n{x}\n20\n{y}\n40\n2.0\n1\nA{k}\n"
        );
        line(&mut out, (x + 9.0, y + 9.0), (x + 10.0, y + 9.5));
    }
    out.push_str("0\nENDSEC\n0\nEOF\n");
    out.into_bytes()
}
