//! What lies still, as triangles: made once, then handed on as they are while nothing that they depend on changes.

use egui::emath::Rect;
use egui::epaint::{Mesh, TessellationOptions, Tessellator};
use egui::{Painter, Shape};
use std::sync::Arc;

/// Triangles, and what they depend on.
pub struct Baked<K>(Option<(K, f32, Arc<Mesh>)>);

impl<K> Default for Baked<K> {
    fn default() -> Self {
        Self(None)
    }
}

impl<K: PartialEq> Baked<K> {
    /// The shapes of a key as one: the one that is kept, or made anew of what is seen in `rect`.
    pub fn shape(
        &mut self,
        painter: &Painter,
        rect: Rect,
        key: K,
        shapes: impl FnOnce(&K) -> Vec<Shape>,
    ) -> Shape {
        let pixels = painter.pixels_per_point();
        if let Some((k, p, mesh)) = &self.0
            && *k == key
            && *p == pixels
        {
            return Shape::Mesh(Arc::clone(mesh));
        }
        let mesh = Arc::new(mesh(painter, rect, shapes(&key)));
        self.0 = Some((key, pixels, Arc::clone(&mesh)));
        Shape::Mesh(mesh)
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
