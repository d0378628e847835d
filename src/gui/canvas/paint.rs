//! From polylines to shapes: culled, thinned in screen space, told apart by line and pattern. What is smaller than its
//! own line is a dot, and of a line that leaves the view only what is seen is painted.

use super::fill::{Boundary, rows};
use crate::gui::scene::{Line, Model, PathModel, Placement};
use crate::gui::theme::{Tokens, mix};
use crate::profile::Role;
use egui::emath::{Pos2, Rect, Vec2, vec2};
use egui::epaint::{Color32, Mesh, PathStroke};
use egui::{Shape, Stroke};
use std::collections::HashMap;

/// Points nearer than this on the screen are left out.
const THIN: f32 = 0.7;
/// A contour of this size on the screen shows nothing but its line: it is painted as a dot, points.
const TINY: f32 = 2.0;
/// How far beside the view a line may be out of sight: half of a wide line and the sharpest corner, points.
const BESIDE: f32 = 40.0;
/// Ticks on the waste side: their distance and length, screen points.
const TICK: (f32, f32) = (13.0, 5.0);
/// Dashes and gaps of open curves.
const DASH: (f32, f32) = (7.0, 5.0);
/// Dashes and gaps of the lower edge of a tapered contour.
pub const LOWER_EDGE: (f32, f32) = (4.0, 3.0);
/// Dashes and gaps of contours out of the cut.
const DOTS: (f32, f32) = (2.0, 4.0);

/// More rings than this about what only wants a look hide what they are about; the page of findings lists it.
const MOST_RINGS: usize = 12;
/// Radius of such a ring, points.
pub const RING: f32 = 11.0;

/// How a contour is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Look {
    /// What it bounds.
    pub role: Role,
    /// Whether it is cut.
    pub cut: bool,
}

/// Thinned screen points of a line, or nothing when it is out of sight.
pub fn screen_points(line: &Line, view: Placement, rect: Rect) -> Option<Vec<Pos2>> {
    if line.points.is_empty() || !view.rect_to_screen(rect, line.bounds).intersects(rect) {
        return None;
    }
    Some(thinned(&line.points, view, rect))
}

/// Screen points of a chain, without those that lie on their neighbours.
pub fn thinned(points: &[Pos2], view: Placement, rect: Rect) -> Vec<Pos2> {
    let (Some(first), Some(last)) = (points.first(), points.last()) else {
        return Vec::new();
    };
    let mut out = Vec::with_capacity(points.len().min(4096));
    let mut before = view.to_screen(rect, *first);
    out.push(before);
    for p in points.iter().skip(1) {
        let q = view.to_screen(rect, *p);
        if (q - before).length_sq() >= THIN * THIN {
            out.push(q);
            before = q;
        }
    }
    let end = view.to_screen(rect, *last);
    if points.len() > 1 && before != end {
        out.push(end);
    }
    out
}

/// The points of a line without those that are beyond one side of the view together with all before and after them:
/// what is seen stays as it is, however far in one has zoomed.
pub fn in_sight(points: &[Pos2], rect: Rect) -> Vec<Pos2> {
    let sight = rect.expand(BESIDE);
    let sides = |p: &Pos2| {
        u8::from(p.x < sight.left())
            | u8::from(p.x > sight.right()) << 1
            | u8::from(p.y < sight.top()) << 2
            | u8::from(p.y > sight.bottom()) << 3
    };
    let mut out = Vec::with_capacity(points.len().min(4096));
    // Sides beyond which everything lies since the last point that was kept, and the last point of that.
    let (mut beyond, mut left_out) = (0, None);
    for p in points {
        let s = sides(p);
        if beyond & s != 0 {
            beyond &= s;
            left_out = Some(*p);
        } else {
            out.extend(left_out.take());
            out.push(*p);
            beyond = s;
        }
    }
    out.extend(left_out);
    out
}

/// The dot that a line is which is too small to be seen as one.
fn dot(line: &Line, view: Placement, rect: Rect) -> Option<Rect> {
    let seen = view.rect_to_screen(rect, line.bounds);
    (seen.size().max_elem() <= TINY).then_some(seen)
}

/// What lies still on the canvas.
pub struct Still<'a> {
    /// The drawing.
    pub model: &'a Model,
    /// How each contour is shown.
    pub looks: &'a [Look],
    /// Paths of the wire shown and its colour.
    pub paths: Option<(&'a PathModel, Color32)>,
    /// Whether skims are drawn.
    pub skims: bool,
    /// Whether paths stand back behind what is cut at a moment, or behind the shades of the feed.
    pub faint: bool,
    /// Openings whose waste is still in place; none while no moment is shown.
    pub in_place: &'a [bool],
    /// Contours in which a piece comes loose that wants care.
    pub care: &'a [bool],
    /// Whether the plate around the contours stays.
    pub outside_stays: bool,
}

/// Everything that lies still: fill, contours, open curves, wire paths, marks.
pub fn still(still: &Still<'_>, view: Placement, rect: Rect, t: &Tokens) -> Vec<Shape> {
    let Still {
        model,
        looks,
        paths,
        skims,
        faint,
        in_place,
        care,
        outside_stays,
    } = *still;
    let mut shapes = Vec::new();
    let dots: Vec<_> = model.contours.iter().map(|l| dot(l, view, rect)).collect();
    let contours: Vec<_> = (model.contours.iter().zip(&dots))
        .map(|(l, dot)| {
            dot.is_none()
                .then(|| screen_points(l, view, rect))
                .flatten()
        })
        .collect();
    // For the fill a contour around the whole view counts too, so none is left out there.
    let boundaries = boundaries_of(&contours, model, looks, |_, look| {
        look.role == Role::Outline
    });
    let plate = outside_stays.then(|| {
        let margin = 0.08 * model.bounds.size().max_elem();
        view.rect_to_screen(rect, model.bounds.expand(margin))
    });
    if in_place.iter().any(|s| *s) {
        // Waste that is still there, under what stays.
        let waste: Vec<_> = boundaries_of(&contours, model, looks, |i, look| {
            look.role == Role::Outline || in_place.get(i).copied().unwrap_or(false)
        });
        shapes.push(fill(
            &rows(&waste, rect, plate),
            mix(t.canvas, t.kept, 0.55),
        ));
    }
    shapes.push(fill(&rows(&boundaries, rect, plate), t.kept));
    if care.iter().any(|c| *c) {
        // The piece itself, without what stays inside it.
        let pieces = boundaries_of(&contours, model, looks, |i, _| {
            care.get(i).copied().unwrap_or(false)
        });
        shapes.push(fill(&rows(&pieces, rect, None), mix(t.canvas, t.warn, 0.4)));
    }
    if let Some(p) = plate {
        dashed(&mut shapes, &corners(p), Stroke::new(1.0, t.edge), DASH);
    }
    // Behind the shades of the feed the drawn line stands back.
    let ink = if faint && in_place.is_empty() {
        mix(t.canvas, t.outline, 0.45)
    } else {
        t.outline
    };
    let mut tiny = Mesh::default();
    for ((points, dot), look) in contours.iter().zip(dots).zip(looks) {
        if let Some(points) = points {
            contour(&mut shapes, points, *look, ink, rect, t);
        } else if let Some(dot) = dot.filter(|d| d.intersects(rect)) {
            let colour = if look.cut { ink } else { t.left_out };
            tiny.add_colored_rect(dot.expand(0.5 * width(look.role)), colour);
        }
    }
    shapes.push(Shape::mesh(tiny));
    for line in &model.open {
        if let Some(points) = screen_points(line, view, rect) {
            let stroke = Stroke::new(1.6, t.open_curve);
            dashed(&mut shapes, &points, stroke, DASH);
            for end in [points.first(), points.last()].into_iter().flatten() {
                shapes.push(Shape::circle_filled(*end, 3.5, t.open_curve));
            }
        }
    }
    if let Some((paths, colour)) = paths {
        let colour = if faint {
            mix(t.canvas, colour, 0.4)
        } else {
            colour
        };
        wire_paths(&mut shapes, paths, colour, skims, view, rect, t);
    }
    shapes
}

fn boundaries_of<'a>(
    contours: &'a [Option<Vec<Pos2>>],
    model: &Model,
    looks: &[Look],
    keeps: impl Fn(usize, &Look) -> bool,
) -> Vec<Boundary<'a>> {
    let all = contours.iter().zip(looks).enumerate();
    all.filter_map(|(i, (points, look))| {
        Some(Boundary {
            points: points.as_deref()?,
            depth: model.depth[i],
            keeps_inside: look.cut.then(|| keeps(i, look)),
        })
    })
    .collect()
}

fn corners(r: Rect) -> [Pos2; 5] {
    [
        r.left_top(),
        r.right_top(),
        r.right_bottom(),
        r.left_bottom(),
        r.left_top(),
    ]
}

fn fill(spans: &[Rect], colour: Color32) -> Shape {
    let mut mesh = Mesh::default();
    mesh.reserve_triangles(2 * spans.len());
    mesh.reserve_vertices(4 * spans.len());
    for span in spans {
        mesh.add_colored_rect(*span, colour);
    }
    Shape::mesh(mesh)
}

/// Width of the line of a contour that is cut, points.
fn width(role: Role) -> f32 {
    match role {
        Role::Outline => 2.0,
        Role::Opening => 1.3,
    }
}

fn contour(
    shapes: &mut Vec<Shape>,
    points: &[Pos2],
    look: Look,
    ink: Color32,
    rect: Rect,
    t: &Tokens,
) {
    if !look.cut {
        dashed(shapes, points, Stroke::new(1.4, t.left_out), DOTS);
        return;
    }
    let stroke = Stroke::new(width(look.role), ink);
    shapes.push(Shape::line(in_sight(points, rect), stroke));
    if look.role == Role::Opening {
        ticks(shapes, points, rect, t.waste_tick);
    }
}

/// Short ticks on the left of the way, which is the inside of a contour.
fn ticks(shapes: &mut Vec<Shape>, points: &[Pos2], rect: Rect, colour: Color32) {
    let length: f32 = points.windows(2).map(|s| (s[1] - s[0]).length()).sum();
    if length < 40.0 {
        return;
    }
    let mut next = TICK.0 / 2.0;
    let mut done = 0.0;
    for s in points.windows(2) {
        let d = s[1] - s[0];
        let l = d.length();
        if l > 0.0 {
            let along = d / l;
            // Left of the way in the drawing; the screen's y runs the other way.
            let side = vec2(along.y, -along.x) + along * 0.6;
            while next <= done + l {
                let at = s[0] + along * (next - done);
                if rect.contains(at) {
                    shapes.push(Shape::line_segment(
                        [at, at + side.normalized() * TICK.1],
                        Stroke::new(1.0, colour),
                    ));
                }
                next += TICK.0;
            }
        }
        done += l;
        if done > 200_000.0 {
            // Zoomed in so far that the rest is out of sight in any case.
            return;
        }
    }
}

/// A broken line.
pub fn dashed(shapes: &mut Vec<Shape>, points: &[Pos2], stroke: Stroke, (dash, gap): (f32, f32)) {
    let length: f32 = points.windows(2).map(|s| (s[1] - s[0]).length()).sum();
    if length > 60_000.0 {
        // Far beyond the view: dashes would be counted by the ten thousand.
        shapes.push(Shape::line(points.to_vec(), stroke));
    } else {
        shapes.extend(Shape::dashed_line(points, stroke, dash, gap));
    }
}

fn wire_paths(
    shapes: &mut Vec<Shape>,
    paths: &PathModel,
    colour: Color32,
    skims: bool,
    view: Placement,
    rect: Rect,
    t: &Tokens,
) {
    for edge in &paths.lower_edges {
        if let Some(points) = screen_points(edge, view, rect) {
            dashed(shapes, &points, Stroke::new(1.0, t.outline), LOWER_EDGE);
        }
    }
    // The rough last, so that it lies on top.
    for rough in [false, true] {
        let mut tiny = Mesh::default();
        for (pass, line) in paths.loops.iter().filter(|(p, _)| p.is_rough() == rough) {
            if !rough && !skims {
                continue;
            }
            let stroke = if rough {
                Stroke::new(1.5, colour)
            } else {
                let fade = 0.5 - 0.08 * (pass.place() as f32 - 1.0).min(4.0);
                Stroke::new(1.0, mix(t.canvas, colour, fade))
            };
            if let Some(dot) = dot(line, view, rect) {
                // The rough lies over its skims.
                if rough && dot.intersects(rect) {
                    tiny.add_colored_rect(dot.expand(0.5 * stroke.width), stroke.color);
                }
            } else if let Some(points) = screen_points(line, view, rect) {
                let points = in_sight(&points, rect);
                shapes.push(Shape::line(points, PathStroke::from(stroke)));
            }
        }
        shapes.push(Shape::mesh(tiny));
    }
    for at in &paths.uncut {
        let p = view.to_screen(rect, *at);
        if rect.contains(p) {
            shapes.push(triangle(p, 5.0, t.warn, t.canvas));
        }
    }
    for (p, blocks) in rings(&paths.obstacles, view, rect) {
        let colour = if blocks { t.fault } else { t.warn };
        shapes.push(Shape::circle_stroke(p, RING, Stroke::new(2.0, colour)));
        if blocks {
            let d = Vec2::splat(7.5);
            shapes.push(Shape::line_segment(
                [p - d, p + d],
                Stroke::new(2.0, colour),
            ));
        }
    }
}

/// Where something is ringed that the wire cannot do, and whether it blocks: one ring for all that it would touch, what
/// blocks before what only wants a look.
pub fn rings(obstacles: &[(Pos2, bool)], view: Placement, rect: Rect) -> Vec<(Pos2, bool)> {
    let on_screen = |at: Pos2| Some(view.to_screen(rect, at)).filter(|p| rect.contains(*p));
    let mut out: Vec<(Pos2, bool)> = Vec::new();
    // A ring touches only those of its own cell and of the eight around it.
    let mut cells: HashMap<(i32, i32), Vec<Pos2>> = HashMap::new();
    let least = 2.0 * RING + 3.0;
    for wanted in [true, false] {
        let before = out.len();
        for (at, _) in obstacles.iter().filter(|(_, blocks)| *blocks == wanted) {
            let Some(p) = on_screen(*at) else { continue };
            let cell = ((p.x / least).floor() as i32, (p.y / least).floor() as i32);
            let around = (-1..=1).flat_map(|x| (-1..=1).map(move |y| (cell.0 + x, cell.1 + y)));
            let mut others = around.flat_map(|c| cells.get(&c).into_iter().flatten());
            if others.all(|o| o.distance(p) >= least) {
                cells.entry(cell).or_default().push(p);
                out.push((p, wanted));
            }
        }
        if !wanted && out.len() - before > MOST_RINGS {
            out.truncate(before);
        }
    }
    out
}

/// A mark with its tip at `p`, seen on any ground.
fn triangle(p: Pos2, size: f32, colour: Color32, ground: Color32) -> Shape {
    Shape::convex_polygon(
        vec![
            p,
            p + vec2(size * 0.7, size * 1.6),
            p + vec2(-size * 0.7, size * 1.6),
        ],
        colour,
        Stroke::new(1.0, ground),
    )
}

/// A line made prominent: a wide pale band and the line above it.
pub fn prominent(points: Vec<Pos2>, colour: Color32, ground: Color32) -> [Shape; 2] {
    [
        Shape::line(points.clone(), Stroke::new(9.0, mix(ground, colour, 0.35))),
        Shape::line(points, Stroke::new(3.0, colour)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::emath::pos2;
    use proptest::prelude::*;

    proptest! {
        /// Of a line on its way anywhere every stretch that crosses the view is there as it was, in its order, and no
        /// other stretch crosses the view.
        #[test]
        fn what_is_seen_of_a_line_stays_when_the_rest_is_left_out(
            way in prop::collection::vec((-400.0_f32..900.0, -400.0_f32..900.0), 2..60),
        ) {
            let rect = Rect::from_min_max(pos2(0.0, 0.0), pos2(500.0, 500.0));
            let points: Vec<_> = way.into_iter().map(Pos2::from).collect();
            let beside = |s: &&[Pos2]| {
                let both = |of: &dyn Fn(Pos2) -> bool| of(s[0]) && of(s[1]);
                both(&|p| p.x < -BESIDE) || both(&|p| p.x > 500.0 + BESIDE)
                    || both(&|p| p.y < -BESIDE) || both(&|p| p.y > 500.0 + BESIDE)
            };
            let crossing = |line: &[Pos2]| -> Vec<[Pos2; 2]> {
                line.windows(2).filter(|s| !beside(s)).map(|s| [s[0], s[1]]).collect()
            };
            let kept = in_sight(&points, rect);
            prop_assert_eq!(crossing(&kept), crossing(&points));
            prop_assert_eq!((kept.first(), kept.last()), (points.first(), points.last()));
        }
    }

    proptest! {
        /// However many places are ringed, no two rings touch, and no place that blocks lies outside of all.
        #[test]
        fn rings_are_told_apart(
            places in prop::collection::vec(((0.0_f32..300.0, 0.0_f32..300.0), any::<bool>()), 0..200),
        ) {
            let rect = Rect::from_min_max(pos2(0.0, 0.0), pos2(300.0, 300.0));
            let view = Placement { scale: 1.0, middle: pos2(0.0, 0.0) };
            let places: Vec<(Pos2, bool)> = places
                .into_iter()
                .map(|((x, y), blocks)| (view.to_drawing(rect, pos2(x, y)), blocks))
                .collect();
            let found = rings(&places, view, rect);
            for (k, (a, _)) in found.iter().enumerate() {
                for (b, _) in &found[..k] {
                    prop_assert!(a.distance(*b) > 2.0 * RING, "{a} {b}");
                }
            }
            for (at, _) in places.iter().filter(|p| p.1) {
                let p = view.to_screen(rect, *at);
                let near = |(o, blocks): &(Pos2, bool)| *blocks && o.distance(p) < 2.0 * RING + 3.0;
                prop_assert!(!rect.contains(p) || found.iter().any(near), "{p}");
            }
        }
    }

    #[test]
    fn of_a_line_far_outside_little_is_left() {
        let rect = Rect::from_min_max(pos2(0.0, 0.0), pos2(500.0, 500.0));
        let around: Vec<_> = (0..4000)
            .map(|k| std::f32::consts::TAU * k as f32 / 4000.0)
            .map(|a| pos2(250.0 + 9000.0 * a.cos(), 250.0 + 9000.0 * a.sin()))
            .collect();
        // Four sides and the corners between them.
        assert!(in_sight(&around, rect).len() <= 20);
    }
}
