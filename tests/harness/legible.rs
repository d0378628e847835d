//! What can be read in the window, in whatever language it speaks: nothing cut off, nothing over another, and room for
//! the drawing.

#![allow(dead_code, reason = "not every program looks at all of it")]

use super::{Window, drop_on, settle, type_into, window_of};
use egui::Key;
use egui::emath::{Rect, vec2};
use egui_kittest::kittest::Queryable as _;
use kerfcast::language::said;
use kerfcast::samples;
use std::path::Path;

/// Windows from the smallest that is of use to a large screen, in points.
const SIZES: [[f32; 2]; 6] = [
    [800.0, 600.0],
    [960.0, 600.0],
    [1280.0, 800.0],
    [1366.0, 768.0],
    [1920.0, 1080.0],
    [2560.0, 1440.0],
];
/// Text as it is, and a quarter larger: the same screen then holds fewer points.
const TEXT: [f32; 2] = [1.0, 1.25];

/// Keys of the pages.
pub const PAGES: [Key; 15] = [
    Key::A,
    Key::Q,
    Key::Y,
    Key::Num2,
    Key::S,
    Key::E,
    Key::G,
    Key::T,
    Key::N,
    Key::R,
    Key::B,
    Key::D,
    Key::L,
    Key::I,
    Key::V,
];

/// Where the drawing lies.
pub fn drawing(window: &Window) -> Rect {
    window.get_by_label(said("Drawing")).rect()
}

fn whole(window: &Window) -> Rect {
    window.ctx.content_rect()
}

/// Every text on the screen outside the drawing, with what of it is to be seen.
fn texts(window: &Window) -> Vec<(String, Rect, Rect)> {
    fn collect(shape: &egui::Shape, clip: Rect, out: &mut Vec<(String, Rect, Rect)>) {
        match shape {
            egui::Shape::Text(t) => {
                for row in &t.galley.rows {
                    // From the first letter to the last: a line that goes on after another widget begins with a gap.
                    let letters = || row.glyphs.iter().filter(|g| !g.chr.is_whitespace());
                    let (Some(first), Some(last)) = (letters().next(), letters().next_back())
                    else {
                        continue;
                    };
                    let rect = row.rect().translate(t.pos.to_vec2());
                    let from = t.pos.x + row.pos.x;
                    let rect = rect
                        .with_min_x(from + first.pos.x)
                        .with_max_x(from + last.pos.x + last.advance_width);
                    out.push((letters().map(|g| g.chr).collect(), rect, clip));
                }
            }
            egui::Shape::Vec(list) => list.iter().for_each(|s| collect(s, clip, out)),
            _ => {}
        }
    }
    let mut out = Vec::new();
    for clipped in &window.output().shapes {
        collect(&clipped.shape, clipped.clip_rect, &mut out);
    }
    let canvas = drawing(window);
    out.retain(|(_, rect, clip)| {
        let seen = rect.intersect(*clip);
        // Marks of the drawing may lie half under a page.
        seen.is_positive() && !canvas.intersects(*rect)
    });
    out
}

/// Texts over another one, and texts that are cut off at their sides.
fn illegible(window: &Window, what: &str) -> Vec<String> {
    let all = texts(window);
    assert!(all.len() > 20, "{what}: {} texts", all.len());
    let mut told = Vec::new();
    for (k, (a, rect, clip)) in all.iter().enumerate() {
        if rect.left() < clip.left() - 1.0 || rect.right() > clip.right() + 1.0 {
            told.push(format!("{what}: “{a}” is cut off, {rect:?} in {clip:?}"));
        }
        for (b, other, other_clip) in &all[..k] {
            // Lines set solid touch with their empty margins.
            let seen = rect.intersect(*clip).shrink2(vec2(1.0, 3.0));
            let over = seen.intersect(other.intersect(*other_clip).shrink2(vec2(1.0, 3.0)));
            if over.width() > 0.5 && over.height() > 0.5 {
                told.push(format!("{what}: “{a}” lies over “{b}” at {over:?}"));
            }
        }
    }
    told
}

/// Everything that was found, at once.
fn assert_none(told: &[String]) {
    assert!(told.is_empty(), "{} times\n{}", told.len(), told.join("\n"));
}

/// The drawing has most of the height in every window, alone and beside a page.
pub fn in_every_window() {
    let mut told = Vec::new();
    for size in SIZES {
        for text in TEXT {
            let mut window = window_of([size[0] / text, size[1] / text]);
            let what = format!("{size:?} with text {text}");
            let least = 0.45 * whole(&window).height();
            assert!(
                drawing(&window).height() >= least,
                "{what}: {:?}",
                drawing(&window)
            );
            told.extend(illegible(&window, &what));
            // The same beside a page, and with a message across the window.
            window.key_press(Key::Y);
            settle(&mut window);
            assert!(drawing(&window).height() >= least, "{what}, beside a page");
        }
    }
    assert_none(&told);
}

/// Every page, in windows of three sizes.
pub fn on_every_page() {
    let mut told = Vec::new();
    for size in [[1280.0, 800.0], [960.0, 600.0], [1600.0, 900.0]] {
        let mut window = window_of(size);
        for key in PAGES {
            window.key_press(key);
            settle(&mut window);
            told.extend(illegible(&window, &format!("{key:?} at {size:?}")));
        }
    }
    // Long jobs of many parts have long figures.
    let mut window = window_of([1280.0, 800.0]);
    type_into(&mut window, said("Thickness"), "150");
    type_into(&mut window, said("Quantity"), "250");
    for key in PAGES {
        window.key_press(key);
        settle(&mut window);
        told.extend(illegible(&window, &format!("{key:?} of a long job")));
    }
    assert_none(&told);
}

/// Nothing of what the window shows now is cut off or lies over another.
pub fn now(window: &Window, what: &str) {
    assert_none(&illegible(window, what));
}

/// Every sample.
pub fn of_the_samples() {
    let mut told = Vec::new();
    for size in [[1280.0, 800.0], [960.0, 600.0]] {
        let mut window = window_of(size);
        for sample in &samples::ALL[1..] {
            drop_on(&mut window, sample.name, sample.bytes);
            let what = format!("{} at {size:?}", sample.name);
            assert!(drawing(&window).height() >= 0.45 * size[1], "{what}");
            told.extend(illegible(&window, &what));
        }
    }
    assert_none(&told);
}

/// Real drawings of all kinds, from a folder.
pub fn of_drawings_in(folder: &Path) {
    let names = [
        "alu_plate_multi_in",
        "arrayed_holes",
        "av_back_panel",
        "cycloid_holes_in",
        "gear_unitless",
        "kb_split_case",
        "panel_with_dims_mm",
        "pcb_edge_cuts",
        "robot_base_negz",
        "types_in",
    ];
    let mut told = Vec::new();
    for size in [[1280.0, 800.0], [960.0, 600.0]] {
        let mut window = window_of(size);
        for name in names {
            let bytes =
                std::fs::read(folder.join(name).with_extension("dxf")).expect("it is there");
            drop_on(&mut window, name, &bytes);
            let what = format!("{name} at {size:?}");
            assert!(drawing(&window).height() >= 0.44 * size[1], "{what}");
            told.extend(illegible(&window, &what));
        }
    }
    assert_none(&told);
}
