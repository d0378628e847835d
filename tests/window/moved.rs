//! A view that is panned and zoomed shows what was made for the view before it, moved along, until that is made anew: what
//! is seen meanwhile is what is seen then.

use crate::canvas::{Textures, picture};
use crate::harness::{Window, drop_on, settle, window_painted_by};
use egui::{Event, Pos2, Theme, Vec2, vec2};
use egui_kittest::kittest::Queryable as _;
use image::RgbImage;
use std::fmt::Write as _;

/// Side of the squares that are held against each other, pixels.
const SQUARE: u32 = 16;
/// A pixel more or less of a line from edge to edge of a square, in white on black.
const PIXEL: f64 = 1.0 / SQUARE as f64 * 255.0;
/// Chords are chosen to a quarter of a pixel, and a pass is left out where less than half of its line would be seen. A
/// line that is missing is three times as much.
const OF_LINES: f64 = 0.5 * PIXEL;
/// Ground that stands for lines too dense to be told apart grows with the view until it is made anew, at either edge.
const OF_GROUND: f64 = PIXEL;
/// Of all that is painted so much may be more or less: ticks and dashes keep their places while the view moves, and are
/// laid anew when it rests. Lines that grew with the view would be a third more.
const MORE: f64 = 0.05;

fn dxf(entities: &str) -> Vec<u8> {
    let head = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n";
    format!("{head}{entities}0\nENDSEC\n0\nEOF\n").into_bytes()
}

fn closed(out: &mut String, corners: &[(f64, f64)]) {
    let ends = corners.iter().zip(corners.iter().cycle().skip(1));
    for ((x, y), (u, v)) in ends {
        let _ = write!(out, "0\nLINE\n8\n0\n10\n{x}\n20\n{y}\n11\n{u}\n21\n{v}\n");
    }
}

/// A plate with round openings of many sizes, and a curve that closes nothing.
fn openings() -> Vec<u8> {
    let mut out = String::new();
    closed(
        &mut out,
        &[
            (0.0, 0.0),
            (160.0, 0.0),
            (160.0, 64.0),
            (130.0, 100.0),
            (0.0, 100.0),
        ],
    );
    for k in 0..40 {
        let (x, y, r) = (14 + 14 * (k % 8), 12 + 18 * (k / 8), 1 + k % 6);
        let _ = write!(out, "0\nCIRCLE\n8\n0\n10\n{x}\n20\n{y}\n40\n{r}\n");
    }
    out.push_str("0\nARC\n8\n0\n10\n140\n20\n30\n40\n12\n50\n20\n51\n200\n");
    dxf(&out)
}

/// A ring with many teeth, which lie on each other until one zooms in, and a plain one within it.
fn teeth() -> Vec<u8> {
    let mut out = String::new();
    let at = |k: i32, count: i32, radius: f64| {
        let angle = std::f64::consts::TAU * f64::from(k) / f64::from(count);
        (radius * angle.cos(), radius * angle.sin())
    };
    let ring: Vec<_> = (0..3000)
        .map(|k| at(k, 3000, 50.0 + f64::from(3 * (k % 2))))
        .collect();
    closed(&mut out, &ring);
    let plain: Vec<_> = (0..60).map(|k| at(k, 60, 30.0)).collect();
    closed(&mut out, &plain);
    dxf(&out)
}

/// Mean brightness of each square of the drawing's part of a picture.
fn squares(of: &RgbImage, drawing: egui::Rect) -> Vec<f64> {
    let place = |p: Pos2| (p.x as u32 / SQUARE + 1, p.y as u32 / SQUARE + 1);
    // Without the edge, on which other things stand.
    let ((left, top), (right, low)) = (place(drawing.min), place(drawing.max - Vec2::splat(32.0)));
    let mean = |x: u32, y: u32| {
        let all = (0..SQUARE * SQUARE).map(|k| {
            let pixel = of.get_pixel(x * SQUARE + k % SQUARE, y * SQUARE + k / SQUARE);
            pixel.0.map(f64::from).iter().sum::<f64>() / 3.0
        });
        all.sum::<f64>() / f64::from(SQUARE * SQUARE)
    };
    (top..low)
        .flat_map(|y| (left..right).map(move |x| (x, y)))
        .map(|(x, y)| mean(x, y))
        .collect()
}

/// Moves the view step by step, each from one that rests, and holds what is seen at once against what is seen once it
/// rests again.
fn moved_is_fresh((name, bytes): (&str, &[u8]), most: f64, theme: Theme) {
    let folder = tempfile::tempdir().expect("a folder");
    let textures = Textures::default();
    let mut window: Window = window_painted_by(textures.clone(), theme, folder.path());
    // What the pointer is on is told only once it rests, over what is compared.
    let patient = |style: &mut egui::Style| style.interaction.tooltip_delay = 1e6;
    window.ctx.all_styles_mut(patient);
    drop_on(&mut window, name, bytes);
    let drawing = window.get_by_label("Drawing").rect();
    let at = drawing.center() + vec2(-60.0, 30.0);
    let (mut views, mut taken_along) = (0, 0);
    let mut before = squares(&picture(&window, &textures), drawing);
    for (zoom, pan) in [
        (1.02, Vec2::ZERO),
        (1.3, Vec2::ZERO),
        (1.0, vec2(37.0, -21.0)),
        (1.4, vec2(-80.0, 40.0)),
        (1.45, Vec2::ZERO),
        (0.8, Vec2::ZERO),
        (0.7, vec2(15.0, 33.0)),
        (1.1, Vec2::ZERO),
    ] {
        window.event(Event::PointerMoved(at));
        window.event(Event::Zoom(zoom));
        window.step();
        if pan != Vec2::ZERO {
            let button = |pressed| Event::PointerButton {
                pos: at,
                button: egui::PointerButton::Middle,
                pressed,
                modifiers: egui::Modifiers::NONE,
            };
            window.event(button(true));
            window.step();
            window.event(Event::PointerMoved(at + pan));
            window.step();
            window.event(button(false));
            window.step();
        }
        let moved = squares(&picture(&window, &textures), drawing);
        settle(&mut window);
        let rests = squares(&picture(&window, &textures), drawing);
        views += usize::from(before != moved);
        taken_along += usize::from(moved != rests);
        before.clone_from(&rests);
        let step = format!("{name}, {theme:?}, zoomed by {zoom} and moved by {pan}");
        let furthest = moved.iter().zip(&rests).map(|(a, b)| (a - b).abs());
        let furthest = furthest.fold(0.0, f64::max);
        assert!(furthest <= most, "{step}: a square differs by {furthest}");
        // What is painted, as its distance from the ground.
        let ground = f64::from(if theme == Theme::Dark { 0_u8 } else { 255 });
        let all = |of: &[f64]| of.iter().map(|v| (v - ground).abs()).sum::<f64>();
        let (seen, then) = (all(&moved), all(&rests));
        assert!(
            (seen - then).abs() <= MORE * then,
            "{step}: {seen} in place of {then}"
        );
    }
    assert!(views > 6, "{name}: the view did not move");
    assert!(taken_along > 2, "{name}: all was made anew at once");
}

#[test]
fn a_moved_view_shows_what_a_fresh_one_does() {
    moved_is_fresh(("openings.dxf", &openings()), OF_LINES, Theme::Light);
    moved_is_fresh(("teeth.dxf", &teeth()), OF_GROUND, Theme::Dark);
    let sample = &kerfcast::samples::ALL[1];
    moved_is_fresh((sample.name, sample.bytes), OF_LINES, Theme::Dark);
}
