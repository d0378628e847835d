//! Rings about what the wire cannot do or what wants a look, where it lies. No two touch; of very many one stands for those of
//! a whole stretch of the drawing, with their number.

use super::baked::Seen;
use super::gather::{Place, gather, in_sight, nearest};
use super::marks::{number, stepped};
use crate::gui::open_file::OpenFile;
use crate::gui::scene::Placement;
use crate::gui::theme::Tokens;
use egui::emath::{Pos2, Rect, Vec2, vec2};
use egui::{Painter, Shape, Stroke};
use std::collections::HashSet;

/// Radius of a ring, points.
pub const RING: f32 = 11.0;
/// Rings nearer than this to each other are one, points.
const APART: f32 = 2.0 * RING + 3.0;
/// More rings than this would hide what they are about: then one stands for those of a larger square, so many times as wide.
const FEW: usize = 12;
const OF_MANY: f32 = 4.0;

/// A ring.
#[derive(Debug, Clone, PartialEq)]
pub struct Ring {
    /// Where, mm about the model's centre.
    at: Pos2,
    /// Whether the wire cannot do it; else it wants a look.
    blocks: bool,
    /// How many places it stands for; one where they are few.
    count: usize,
}

/// What rings and marks of the paths depend on: about how large the drawing is seen, and the paths by their number and wire. At either end of
/// a step of the scale no two touch.
pub type Key = (f32, Option<(u64, usize)>);

/// Their key as they are seen.
pub fn key(file: &OpenFile, placement: Placement) -> Key {
    let paths = file.paths.answer.as_ref();
    (stepped(placement.scale), paths.map(|p| (p.0, p.1)))
}

/// The rings of the paths shown; nothing where there are none.
pub fn rings(file: &OpenFile, (scale, _): Key) -> Vec<Ring> {
    let obstacles = file
        .paths
        .answer
        .as_ref()
        .map_or(&[][..], |p| &p.2.obstacles);
    gathered(obstacles, scale)
}

/// Of places and whether they block; what blocks comes before what only wants a look.
fn gathered(obstacles: &[(Pos2, bool)], scale: f32) -> Vec<Ring> {
    let mut known = HashSet::new();
    let of = |wanted: bool| obstacles.iter().copied().filter(move |o| o.1 == wanted);
    let places: Vec<(Pos2, bool)> = of(true)
        .chain(of(false))
        .filter(|(at, _)| known.insert((at.x.to_bits(), at.y.to_bits())))
        .collect();
    let in_squares = |times: f32| {
        let wide = times * APART / scale;
        let places = places.iter().map(|(at, _)| Place { at: *at, wide });
        gather(&places.collect::<Vec<_>>(), APART / scale)
    };
    let mut all = in_squares(1.0);
    let crowded = all.len() > FEW;
    if crowded {
        all = in_squares(OF_MANY);
    }
    let ring = |g: super::gather::Gathered| Ring {
        at: g.at,
        blocks: places[g.places[0]].1,
        count: if crowded { g.places.len() } else { 1 },
    };
    all.into_iter().map(ring).collect()
}

/// Those in sight, and where they are seen.
fn seen(all: &[Ring], view: Seen) -> impl Iterator<Item = (&Ring, Pos2)> {
    in_sight(all, view, view.1, |r| r.at)
}

/// Whether a place lies in a ring, which marks it already; both mm about the model's centre.
pub fn marks_it(all: &[Ring], at: Pos2, scale: f32) -> bool {
    all.iter().any(|r| r.at.distance(at) * scale <= RING)
}

/// Whether a ring is under the pointer, and whether it blocks.
pub fn at(all: &[Ring], view: (Placement, Rect), at: Pos2) -> Option<bool> {
    let blocks = seen(all, view).map(|(ring, p)| (ring.blocks, p));
    nearest(blocks, at, RING)
}

/// What a ring stands for.
pub fn words(blocks: bool) -> &'static str {
    if blocks {
        say!("what this wire cannot do")
    } else {
        say!("to be checked, see Findings")
    }
}

/// Where rings are seen.
pub fn places(all: &[Ring], view: (Placement, Rect)) -> Vec<Pos2> {
    seen(all, view).map(|(_, at)| at).collect()
}

/// The rings themselves; what blocks is struck through.
pub fn shapes(all: &[Ring], view: (Placement, Rect), t: &Tokens) -> Vec<Shape> {
    let mut shapes = Vec::new();
    for (ring, p) in seen(all, view) {
        let colour = if ring.blocks { t.fault } else { t.warn };
        let stroke = Stroke::new(2.0, colour);
        shapes.push(Shape::circle_stroke(p, RING, stroke));
        if ring.blocks {
            let d = Vec2::splat(7.5);
            shapes.push(Shape::line_segment([p - d, p + d], stroke));
        }
    }
    shapes
}

/// How many places each stands for, where they are several; where words lie, which nothing else may cover.
pub fn numbers(painter: &Painter, all: &[Ring], view: (Placement, Rect), t: &Tokens) -> Vec<Rect> {
    let several = seen(all, view).filter(|(ring, _)| ring.count > 1);
    several
        .map(|(ring, at)| {
            let colour = if ring.blocks { t.fault } else { t.warn };
            number(painter, at + vec2(RING + 3.0, 0.0), ring.count, colour, t)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::emath::pos2;
    use proptest::prelude::*;

    proptest! {
        /// However many places are ringed, no two rings touch, none is forgotten, and what blocks is never told as less.
        #[test]
        fn rings_are_told_apart(
            places in prop::collection::vec(((0.0_f32..300.0, 0.0_f32..300.0), any::<bool>()), 0..200),
        ) {
            let places: Vec<(Pos2, bool)> =
                places.into_iter().map(|((x, y), blocks)| (pos2(x, y), blocks)).collect();
            let found = gathered(&places, 1.0);
            for (k, a) in found.iter().enumerate() {
                for b in &found[..k] {
                    prop_assert!(a.at.distance(b.at) > 2.0 * RING, "{a:?} {b:?}");
                }
            }
            if found.len() > FEW {
                prop_assert_eq!(found.iter().map(|r| r.count).sum::<usize>(), places.len());
            }
            // Within its square and the way to a ring beside it.
            let far = OF_MANY * APART * std::f32::consts::SQRT_2 + APART;
            for (at, blocks) in &places {
                let near = |r: &Ring| (r.blocks || !blocks) && r.at.distance(*at) <= far;
                prop_assert!(found.iter().any(near), "{at}");
            }
        }
    }

    #[test]
    fn many_rings_are_few_with_their_number() {
        let places: Vec<(Pos2, bool)> = (0..400_u16)
            .map(|k| {
                (
                    pos2(f32::from(k % 20) * 26.0, f32::from(k / 20) * 26.0),
                    true,
                )
            })
            .collect();
        let found = gathered(&places, 1.0);
        assert!(found.len() <= 36, "{}", found.len());
        assert!(found.iter().all(|r| r.count > 1));
        // Seen four times as large, each stands for its own place.
        assert_eq!(gathered(&places, 4.0).len(), 400);
    }
}
