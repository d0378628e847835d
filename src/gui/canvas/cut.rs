//! What is cut at a moment: the kerf so far, the waste still in place, and the wire.

use super::baked::Seen;
use super::ink::Ink;
use super::lines::{in_sight, is_dense, screen_points, thinned};
use super::paint::{Ground, dot};
use crate::geometry::Point;
use crate::gui::scene::course::{Timing, WayLine};
use crate::gui::scene::near;
use crate::gui::theme::{Tokens, mix};
use crate::plan::StepKind;
use crate::plan::timeline::Moment;
use crate::process::PassNumber;
use egui::emath::Pos2;
use egui::epaint::Color32;
use egui::{Shape, Stroke};

/// Narrowest line of a kerf, points.
const NARROWEST: f32 = 2.4;
/// Radius of the wire's dot, where its true size is smaller, points.
const DOT: f32 = 5.0;

/// The wire that is shown.
#[derive(Debug, Clone, Copy)]
pub struct Wire {
    /// mm.
    pub diameter: f32,
    /// Its colour.
    pub colour: Color32,
}

/// Contours whose waste is still there at a moment.
pub fn in_place(timing: &Timing, m: &Moment, contours: usize) -> Vec<bool> {
    let mut out = vec![true; contours];
    for (when, contour) in &timing.gone {
        if *when <= m.elapsed
            && let Some(s) = out.get_mut(*contour)
        {
            *s = false;
        }
    }
    out
}

/// How a way is painted: the rough as wide as its kerf, skims as a line within it.
fn stroke(
    way: &WayLine,
    pass: Option<PassNumber>,
    scale: f32,
    wire: Color32,
    t: &Tokens,
) -> Stroke {
    match (pass, way.kerf > 0.0) {
        (_, false) => Stroke::new(1.0, t.text_faint),
        (None | Some(PassNumber::ROUGH), true) => {
            Stroke::new((way.kerf * scale).max(NARROWEST), wire)
        }
        (Some(_), true) => Stroke::new(1.4, mix(wire, t.text, 0.65)),
    }
}

/// Everything that is cut before the step that runs; moves leave no mark.
pub fn finished(
    timing: &Timing,
    step: usize,
    ink: &mut Ink,
    (view, rect): Seen,
    wire: Color32,
    t: &Tokens,
) {
    let pixels = ink.pixels_per_point();
    // Of roughs alone: what is too small to be a line, or too dense.
    let mut ground = Some(Ground::new(wire, rect, pixels));
    // Skims above all roughs, in whichever order they were cut.
    for rough in [true, false] {
        for (s, way) in timing.steps.iter().zip(&timing.ways).take(step) {
            let Some(way) = way else { continue };
            let is_rough = !s.is_skim();
            if s.kind == StepKind::Move || is_rough != rough {
                continue;
            }
            let stroke = stroke(way, s.pass, view.scale, wire, t);
            let dot = dot(&way.line, view, rect);
            let points = || screen_points(&way.line, (view, rect), ink.pixel());
            match (&mut ground, dot) {
                (Some(ground), Some(dot)) => ground.stamp.rect(dot.expand(0.5 * stroke.width)),
                // The rough hides it.
                (None, Some(_)) => (),
                (ground, None) => match (ground, points()) {
                    (Some(ground), Some(points)) if is_dense(&points, stroke.width) => {
                        ground.stamp.line(&points, stroke.width);
                    }
                    (_, Some(points)) => {
                        ink.line(&in_sight(&points, rect.expand(stroke.width)), stroke);
                    }
                    (_, None) => (),
                },
            }
        }
        if let Some(ground) = ground.take() {
            ground.lay(ink);
        }
    }
}

/// The step that runs up to the moment, and the wire in it.
pub fn running(
    timing: &Timing,
    m: &Moment,
    centre: Point,
    wire: Wire,
    ((view, rect), pixel): (Seen, f32),
    t: &Tokens,
) -> Vec<Shape> {
    let mut shapes = Vec::new();
    let here = view.to_screen(rect, near(m.at, centre));
    let step = timing.steps.get(m.step);
    if let (Some(s), Some(Some(way))) = (step, timing.ways.get(m.step)) {
        let passed = way.minutes.partition_point(|t| *t <= m.elapsed.min_value());
        let mut points: Vec<Pos2> = thinned(&way.line.points[..passed], (view, rect), pixel);
        points.push(here);
        let stroke = stroke(way, s.pass, view.scale, wire.colour, t);
        if s.kind == StepKind::Move {
            shapes.extend(Shape::dashed_line(&points, stroke, 4.0, 4.0));
        } else if points.len() > 1 {
            shapes.push(Shape::line(points, stroke));
        }
    }
    let radius = (0.5 * wire.diameter * view.scale).max(DOT);
    // Cut or stands: while the wire is cut off for a move the dot is hollow.
    let threaded = step.is_none_or(|s| s.kind != StepKind::Move);
    shapes.push(Shape::circle_filled(here, radius + 2.0, t.canvas));
    if threaded {
        shapes.push(Shape::circle_filled(here, radius, t.text));
        shapes.push(Shape::circle_filled(here, radius * 0.45, wire.colour));
    } else {
        let ring = Stroke::new(1.6, t.text);
        shapes.push(Shape::circle_stroke(here, radius, ring));
    }
    shapes
}
