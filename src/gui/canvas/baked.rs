//! What lies still, as triangles: made once, then handed on as they are while nothing that they depend on changes. A
//! view that is only moved takes them along.

use crate::gui::scene::Placement;
use egui::emath::{Rect, Vec2, vec2};
use egui::epaint::{Mesh, TessellationOptions, Tessellator};
use egui::{Painter, Shape};
use std::sync::Arc;

/// While a view is moved, so much beside it is painted too: a share of its shorter side, within these, points.
const BESIDE: f32 = 0.3;
const LEAST_BESIDE: f32 = 60.0;
const MOST_BESIDE: f32 = 400.0;

/// Triangles, and what they depend on: a key, the view, and the pixels of a point.
pub struct Baked<K>(Option<Kept<K>>);

struct Kept<K> {
    key: K,
    pixels: f32,
    placement: Placement,
    rect: Rect,
    /// How far the view may be moved until something is missing, points.
    beside: f32,
    mesh: Arc<Mesh>,
    /// The same, moved by so much: what was handed on last.
    moved: (Vec2, Arc<Mesh>),
}

impl<K> Default for Baked<K> {
    fn default() -> Self {
        Self(None)
    }
}

impl<K: PartialEq> Baked<K> {
    /// The shapes of a key as one: those that are kept, moved with the view, or made anew of what is seen in a
    /// rectangle around the middle of `rect`.
    pub fn shape(
        &mut self,
        painter: &Painter,
        (placement, rect): (Placement, Rect),
        key: K,
        shapes: impl FnOnce(&K, Rect) -> Vec<Shape>,
    ) -> Shape {
        let pixels = painter.pixels_per_point();
        let by = |kept: &Kept<K>| {
            let d = kept.placement.middle - placement.middle;
            vec2(d.x, -d.y) * placement.scale
        };
        let kept = self.0.as_mut().filter(|k| {
            k.key == key
                && k.pixels == pixels
                && k.rect == rect
                && k.placement.scale == placement.scale
        });
        let moves = kept.is_some();
        if let Some(kept) = kept
            && by(kept).abs().max_elem() <= kept.beside
        {
            let by = by(kept);
            if kept.moved.0 != by {
                let mut mesh = Mesh::clone(&kept.mesh);
                mesh.translate(by);
                kept.moved = (by, Arc::new(mesh));
            }
            return Shape::Mesh(Arc::clone(&kept.moved.1));
        }
        let beside = if moves {
            (BESIDE * rect.size().min_elem()).clamp(LEAST_BESIDE, MOST_BESIDE)
        } else {
            0.0
        };
        let around = rect.expand(beside);
        let mesh = Arc::new(mesh(painter, around, shapes(&key, around)));
        self.0 = Some(Kept {
            key,
            pixels,
            placement,
            rect,
            beside,
            moved: (Vec2::ZERO, Arc::clone(&mesh)),
            mesh: Arc::clone(&mesh),
        });
        Shape::Mesh(mesh)
    }
}

/// Something that was worked out of a key, until that is another one.
pub struct Memo<K, T>(Option<(K, T)>);

impl<K, T> Default for Memo<K, T> {
    fn default() -> Self {
        Self(None)
    }
}

impl<K: PartialEq, T> Memo<K, T> {
    /// What belongs to a key.
    pub fn of(&mut self, key: K, make: impl FnOnce(&K) -> T) -> &T {
        if self.0.as_ref().is_some_and(|(k, _)| *k != key) {
            self.0 = None;
        }
        &self
            .0
            .get_or_insert_with(|| {
                let made = make(&key);
                (key, made)
            })
            .1
    }
}

/// The triangles that the toolkit makes of shapes; letters are none of them, because where they lie in their texture
/// may change.
fn mesh(painter: &Painter, rect: Rect, shapes: Vec<Shape>) -> Mesh {
    let options = TessellationOptions {
        // These lie among the letters too.
        prerasterized_discs: false,
        ..painter.ctx().tessellation_options(|o| *o)
    };
    let mut tessellator = Tessellator::new(painter.pixels_per_point(), options, [1, 1], Vec::new());
    tessellator.set_clip_rect(rect);
    let mut out = Mesh::default();
    for shape in shapes {
        tessellator.tessellate_shape(shape, &mut out);
    }
    out
}
