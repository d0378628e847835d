//! From polylines to shapes: culled, thinned in screen space, told apart by line and pattern. What is smaller than its
//! own line is a dot, of a line that leaves the view only what is seen is painted, and what is too dense to be seen as
//! lines is painted as the ground that it covers.

use super::baked::Seen;
use super::feed;
use super::fill::{Boundary, rows};
use super::ink::Ink;
use super::lines::{in_sight, is_dense, screen_points, thinned};
use super::stamp::Stamp;
use crate::gui::scene::{Line, Model, PathModel, Placement, Skim};
use crate::gui::theme::{Tokens, mix};
use crate::process::PassNumber;
use crate::profile::Role;
use egui::Stroke;
use egui::emath::{Pos2, Rect, vec2};
use egui::epaint::Color32;

/// A contour of this size on the screen shows nothing but its line: it is painted as a dot, points.
const TINY: f32 = 2.0;
/// Where lines in sight have more corners than this together, those up to a size (points) are painted as the pixels that
/// they cover, without smoothed edges.
const CROWDED: usize = 60_000;
const SMALL: f32 = 14.0;
/// Widths of the lines of the rough and of a skim, points.
const ROUGH: f32 = 1.5;
const SKIM: f32 = 1.0;
/// A skim that lies nearer to the rough than this, points, is not told apart from it: less than half of it would be
/// seen beside it. So it is with passes among each other.
const HIDDEN: f32 = 0.5 * ROUGH;
/// So much of a line may look out beside another that hides it, points.
const UNSEEN: f32 = 0.15;
/// A parallel is longer or shorter by at most so many times its distance: 2π around a curve, 8 around a square, and twice
/// that for corners that point both ways.
const MITRES: f32 = 16.0;
/// Ticks on the waste side: their distance and length, screen points.
const TICK: (f32, f32) = (13.0, 5.0);
/// Dashes and gaps of open curves.
const DASH: (f32, f32) = (7.0, 5.0);
/// Dashes and gaps of the lower edge of a tapered contour.
pub const LOWER_EDGE: (f32, f32) = (4.0, 3.0);
/// Dashes and gaps of contours out of the cut.
const DOTS: (f32, f32) = (2.0, 4.0);

/// How a contour is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Look {
    /// What it bounds.
    pub role: Role,
    /// Whether it is cut.
    pub cut: bool,
}

/// The dot that a line is which is too small to be seen as one.
pub fn dot(line: &Line, view: Placement, rect: Rect) -> Option<Rect> {
    (line.size() * view.scale <= TINY).then(|| view.rect_to_screen(rect, line.bounds))
}

/// The plate around openings, as much of it as is shown of one that nobody has drawn.
pub fn plate(bounds: Rect) -> Rect {
    bounds.expand(0.08 * bounds.size().max_elem())
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
    /// The pass that the shades of the feed cover.
    pub shaded: Option<PassNumber>,
    /// Whether paths stand back behind what is cut at a moment, or behind the shades of the feed.
    pub faint: bool,
    /// Openings whose waste is still in place; none while no moment is shown.
    pub in_place: &'a [bool],
    /// Contours in which a piece comes loose that wants care.
    pub care: &'a [bool],
    /// Whether the plate around the contours stays.
    pub outside_stays: bool,
}

/// Everything that lies still: fill, contours, open curves, wire paths.
pub fn still(still: &Still<'_>, ink: &mut Ink, (view, rect): Seen, t: &Tokens) {
    let Still {
        model,
        looks,
        paths,
        faint,
        in_place,
        care,
        outside_stays,
        ..
    } = *still;
    let pixels = ink.pixels_per_point();
    let (seen, open) = model.meeting(view.rect_to_drawing(rect, rect));
    // Behind the shades of the feed the drawn line stands back.
    let colour = if faint && in_place.is_empty() {
        mix(t.canvas, t.outline, 0.45)
    } else {
        t.outline
    };
    let mut inked = Ground::new(colour, rect, pixels);
    let mut left_out = Ground::new(t.left_out, rect, pixels);
    let mut contours = Vec::new();
    for i in seen {
        let (Some(look), line) = (looks.get(i), &model.contours[i]) else {
            continue;
        };
        let ground = if look.cut { &mut inked } else { &mut left_out };
        if let Some(dot) = dot(line, view, rect) {
            ground.stamp.rect(dot.expand(0.5 * width(look.role)));
        } else {
            contours.push((i, *look, thinned(&line.points, (view, rect), ink.pixel())));
        }
    }
    let crowded = is_crowded(&contours, paths.is_some());
    // For the fill a contour around the whole view counts too, so none is left out there.
    let boundaries = boundaries_of(&contours, model, |_, look| look.role == Role::Outline);
    let plate = outside_stays.then(|| view.rect_to_screen(rect, plate(model.bounds)));
    if in_place.iter().any(|s| *s) {
        // Waste that is still there, under what stays.
        let waste: Vec<_> = boundaries_of(&contours, model, |i, look| {
            look.role == Role::Outline || in_place.get(i).copied().unwrap_or(false)
        });
        fill(ink, &waste, (rect, plate), mix(t.canvas, t.kept, 0.55));
    }
    fill(ink, &boundaries, (rect, plate), t.kept);
    if care.iter().any(|c| *c) {
        // The piece itself, without what stays inside it.
        let pieces = boundaries_of(&contours, model, |i, _| {
            care.get(i).copied().unwrap_or(false)
        });
        fill(ink, &pieces, (rect, None), mix(t.canvas, t.warn, 0.4));
    }
    if let Some(p) = plate {
        dashed(ink, &corners(p), Stroke::new(1.0, t.edge), DASH, rect);
    }
    for (i, look, points) in &contours {
        if look.cut && is_hidden(still, *i, width(look.role), view.scale) {
            if look.role == Role::Opening {
                ticks(ink, points, rect, t.waste_tick);
            }
            continue;
        }
        let ground = if look.cut { &mut inked } else { &mut left_out };
        let small = crowded && model.contours[*i].size() * view.scale <= SMALL;
        if small || (look.cut && is_dense(points, width(look.role))) {
            ground.stamp.line(points, width(look.role));
        } else {
            contour(ink, points, *look, colour, rect, t);
        }
    }
    inked.lay(ink);
    left_out.lay(ink);
    for line in open.iter().map(|i| &model.open[*i]) {
        if let Some(points) = screen_points(line, (view, rect), ink.pixel()) {
            let stroke = Stroke::new(1.6, t.open_curve);
            dashed(ink, &points, stroke, DASH, rect);
            for end in [points.first(), points.last()].into_iter().flatten() {
                ink.disc(*end, 3.5, t.open_curve);
            }
        }
    }
    if let Some((paths, colour)) = paths {
        let colour = if faint {
            mix(t.canvas, colour, 0.4)
        } else {
            colour
        };
        let paths = (paths, colour, still.shaded);
        wire_paths(ink, paths, (still.skims, crowded), (view, rect), t);
    }
}

/// Whether the line of a contour, so many points wide, lies under that of its rough, or under the shades of that. A rough
/// that leaves a slit out is shorter than a parallel would be.
fn is_hidden(still: &Still<'_>, contour: usize, width: f32, scale: f32) -> bool {
    let line = &still.model.contours[contour];
    let rough = still.paths.and_then(|p| p.0.rough_of(contour));
    rough.is_some_and(|rough| {
        let over = if still.shaded == Some(PassNumber::ROUGH) {
            feed::NARROWEST
        } else {
            ROUGH
        };
        let most = 0.5 * (over - width) + UNSEEN;
        line.beside(rough) * scale <= most
            && (line.length() - rough.length()).abs() * scale <= MITRES * most
    })
}

/// Whether contours and paths in sight have too many corners to be painted one by one.
fn is_crowded(contours: &[(usize, Look, Vec<Pos2>)], with_paths: bool) -> bool {
    // Of each contour about as many loops of the rough.
    let loops = if with_paths { 2 } else { 1 };
    loops * contours.iter().map(|c| c.2.len()).sum::<usize>() > CROWDED
}

/// What is covered in one colour.
pub struct Ground {
    /// Which pixels.
    pub stamp: Stamp,
    colour: Color32,
}

impl Ground {
    /// Nothing yet, of a part of the screen with so many pixels a point.
    pub fn new(colour: Color32, rect: Rect, pixels: f32) -> Self {
        Self {
            stamp: Stamp::new(rect, pixels),
            colour,
        }
    }
    /// As triangles.
    pub fn lay(self, ink: &mut Ink) {
        for span in self.stamp.spans() {
            ink.rect(span, 0.0, self.colour);
        }
    }
}

fn boundaries_of<'a>(
    contours: &'a [(usize, Look, Vec<Pos2>)],
    model: &Model,
    keeps: impl Fn(usize, &Look) -> bool,
) -> Vec<Boundary<'a>> {
    let boundary = |(i, look, points): &'a (usize, Look, Vec<Pos2>)| Boundary {
        points,
        depth: model.depth[*i],
        keeps_inside: look.cut.then(|| keeps(*i, look)),
    };
    contours.iter().map(boundary).collect()
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

fn fill(
    ink: &mut Ink,
    boundaries: &[Boundary<'_>],
    (clip, plate): (Rect, Option<Rect>),
    colour: Color32,
) {
    for corners in rows(boundaries, clip, plate) {
        ink.ground(corners, colour);
    }
}

/// Width of the line of a contour that is cut, points.
fn width(role: Role) -> f32 {
    match role {
        Role::Outline => 2.0,
        Role::Opening => 1.3,
    }
}

fn contour(ink: &mut Ink, points: &[Pos2], look: Look, colour: Color32, rect: Rect, t: &Tokens) {
    if !look.cut {
        dashed(ink, points, Stroke::new(1.4, t.left_out), DOTS, rect);
        return;
    }
    let stroke = Stroke::new(width(look.role), colour);
    ink.line(&in_sight(points, rect), stroke);
    if look.role == Role::Opening {
        ticks(ink, points, rect, t.waste_tick);
    }
}

/// Short ticks on the left of the way, which is the inside of a contour.
fn ticks(ink: &mut Ink, points: &[Pos2], rect: Rect, colour: Color32) {
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
                    ink.tick(at, side.normalized() * TICK.1, Stroke::new(1.0, colour));
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
pub fn dashed(ink: &mut Ink, points: &[Pos2], stroke: Stroke, dashes: (f32, f32), rect: Rect) {
    let length: f32 = points.windows(2).map(|s| (s[1] - s[0]).length()).sum();
    if length > 60_000.0 {
        // Far beyond the view: dashes would be counted by the ten thousand.
        ink.line(points, stroke);
    } else {
        ink.dashes(points, stroke, dashes, rect);
    }
}

fn wire_paths(
    ink: &mut Ink,
    (paths, colour, shaded): (&PathModel, Color32, Option<PassNumber>),
    (skims, crowded): (bool, bool),
    (view, rect): Seen,
    t: &Tokens,
) {
    let pixels = ink.pixels_per_point();
    let sight = view.rect_to_drawing(rect, rect);
    let is_seen = |line: &&Line| line.bounds.intersects(sight);
    for edge in paths.lower_edges.iter().filter(is_seen) {
        let points = thinned(&edge.points, (view, rect), ink.pixel());
        let stroke = Stroke::new(1.0, t.outline);
        dashed(ink, &points, stroke, LOWER_EDGE, rect);
    }
    // What is dense is laid down last.
    let mut dense = Vec::new();
    let stroked = |line: &Line, stroke: Stroke, ground: &mut Ground, ink: &mut Ink| {
        let points = thinned(&line.points, (view, rect), ink.pixel());
        let small = crowded && line.size() * view.scale <= SMALL;
        if small || is_dense(&points, stroke.width) {
            ground.stamp.line(&points, stroke.width);
        } else {
            ink.line(&in_sight(&points, rect), stroke);
        }
    };
    // The rough last, so that it lies on top: it hides skims right beside it, and those of dots.
    if skims {
        let pass = |s: &Skim| s.pass.place();
        for skims in paths.skims.chunk_by(|a, b| pass(a) == pass(b)) {
            if shaded == Some(skims[0].pass) {
                continue;
            }
            let fade = 0.5 - 0.08 * (pass(&skims[0]) as f32 - 1.0).min(4.0);
            let stroke = Stroke::new(SKIM, mix(t.canvas, colour, fade));
            let mut ground = Ground::new(stroke.color, rect, pixels);
            let apart = skims
                .iter()
                .filter(|s| is_seen(&&s.line) && is_apart(s, view.scale))
                .filter(|s| s.line.size() * view.scale > TINY);
            apart.for_each(|s| stroked(&s.line, stroke, &mut ground, ink));
            dense.push(ground);
        }
    }
    let stroke = Stroke::new(ROUGH, colour);
    let mut ground = Ground::new(colour, rect, pixels);
    let roughs = Some(&paths.roughs).filter(|_| shaded != Some(PassNumber::ROUGH));
    for line in roughs.into_iter().flatten().filter(is_seen) {
        if let Some(dot) = dot(line, view, rect) {
            ground.stamp.rect(dot.expand(0.5 * stroke.width));
        } else {
            stroked(line, stroke, &mut ground, ink);
        }
    }
    dense.push(ground);
    dense.into_iter().for_each(|ground| ground.lay(ink));
}

/// Whether a skim is seen beside the rough and the pass before it: of those within one step only the first is.
fn is_apart(skim: &Skim, scale: f32) -> bool {
    let step = |beside: f32| (beside * scale / HIDDEN).floor();
    step(skim.beside) > step(skim.before)
}

/// A line made prominent: a wide pale band and the line above it.
pub fn prominent(ink: &mut Ink, points: &[Pos2], (colour, ground): (Color32, Color32), rect: Rect) {
    for (width, colour) in [(9.0, mix(ground, colour, 0.35)), (3.0, colour)] {
        if is_dense(points, width) {
            let mut ground = Ground::new(colour, rect, ink.pixels_per_point());
            ground.stamp.line(points, width);
            ground.lay(ink);
        } else {
            ink.line(points, Stroke::new(width, colour));
        }
    }
}
