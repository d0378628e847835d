//! A picture of the window without a graphics card: the triangles that a card would be given, painted one by one.

use egui::epaint::textures::{TextureFilter, TexturesDelta};
use egui::epaint::{ImageData, Mesh, Primitive, Vertex};
use egui::{Color32, ColorImage, TextureId};
use egui_kittest::TestRenderer;
use image::{Rgb, RgbImage};
use std::cell::RefCell;
use std::collections::HashMap;
use std::rc::Rc;

use crate::harness::Window;

/// What the window has uploaded so far: letters, pages of a quote.
#[derive(Clone, Default)]
pub struct Textures(Rc<RefCell<HashMap<TextureId, Texture>>>);

struct Texture {
    image: ColorImage,
    smooth: bool,
}

impl TestRenderer for Textures {
    fn handle_delta(&mut self, delta: &mut TexturesDelta) {
        let mut textures = self.0.borrow_mut();
        for (id, parts) in delta.set.drain() {
            for part in parts {
                let ImageData::Color(image) = part.image;
                if let (Some([x, y]), Some(texture)) = (part.pos, textures.get_mut(&id)) {
                    lay(&image, &mut texture.image, x, y);
                } else {
                    let smooth = part.options.magnification == TextureFilter::Linear;
                    let image = image.as_ref().clone();
                    textures.insert(id, Texture { image, smooth });
                }
            }
        }
        // What is free is still seen in the frame that frees it; the few pictures of a test may stay.
        delta.clear();
    }
}

fn lay(part: &ColorImage, whole: &mut ColorImage, x: usize, y: usize) {
    let ([wide, _], stride) = (part.size, whole.size[0]);
    for (row, colours) in part.pixels.chunks_exact(wide).enumerate() {
        let at = (y + row) * stride + x;
        whole.pixels[at..at + wide].copy_from_slice(colours);
    }
}

impl Texture {
    fn texel(&self, x: i32, y: i32) -> [f32; 4] {
        let [wide, high] = self.image.size;
        let within = |v: i32, most: usize| (v.max(0) as usize).min(most - 1);
        let at = within(y, high) * wide + within(x, wide);
        self.image.pixels[at].to_array().map(f32::from)
    }
    /// Colour at a place, 0 to 1 across the texture.
    fn colour(&self, u: f32, v: f32) -> [f32; 4] {
        let [wide, high] = self.image.size;
        let (x, y) = (u * wide as f32, v * high as f32);
        if !self.smooth {
            return self.texel(x.floor() as i32, y.floor() as i32);
        }
        let (x, y) = (x - 0.5, y - 0.5);
        let (left, top) = (x.floor(), y.floor());
        let (right_share, low_share) = (x - left, y - top);
        let at = |dx, dy| self.texel(left as i32 + dx, top as i32 + dy);
        let (a, b, c, d) = (at(0, 0), at(1, 0), at(0, 1), at(1, 1));
        std::array::from_fn(|k| {
            let high = a[k] + (b[k] - a[k]) * right_share;
            let low = c[k] + (d[k] - c[k]) * right_share;
            high + (low - high) * low_share
        })
    }
}

/// The window as it stands, one pixel a point.
pub fn picture(window: &Window, textures: &Textures) -> RgbImage {
    let output = window.output();
    assert_eq!(
        output.pixels_per_point, 1.0,
        "pictures are made at one pixel a point"
    );
    let size = window.ctx.content_rect().size();
    let mut out = RgbImage::new(size.x as u32, size.y as u32);
    let textures = textures.0.borrow();
    for clipped in window.ctx.tessellate(output.shapes.clone(), 1.0) {
        let Primitive::Mesh(mesh) = clipped.primitive else {
            continue;
        };
        let texture = textures.get(&mesh.texture_id).expect("it was uploaded");
        let clip = clipped.clip_rect;
        let edge = |v: f32, most: f32| v.round().clamp(0.0, most) as i32;
        let across = edge(clip.left(), size.x)..edge(clip.right(), size.x);
        let down = edge(clip.top(), size.y)..edge(clip.bottom(), size.y);
        paint(&mut out, &mesh, texture, (&across, &down));
    }
    out
}

type Span = std::ops::Range<i32>;

fn paint(out: &mut RgbImage, mesh: &Mesh, texture: &Texture, clip: (&Span, &Span)) {
    for corners in mesh.indices.chunks_exact(3) {
        let corners = [corners[0], corners[1], corners[2]];
        triangle(
            out,
            corners.map(|k| mesh.vertices[k as usize]),
            texture,
            clip,
        );
    }
}

/// One triangle: every pixel whose middle lies in it, by the top-left rule of graphics cards, so that triangles side
/// by side paint none twice.
fn triangle(
    out: &mut RgbImage,
    mut v: [Vertex; 3],
    texture: &Texture,
    (across, down): (&Span, &Span),
) {
    let side = |a: &Vertex, b: &Vertex, x: f32, y: f32| {
        (b.pos.x - a.pos.x) * (y - a.pos.y) - (b.pos.y - a.pos.y) * (x - a.pos.x)
    };
    let mut area = side(&v[0], &v[1], v[2].pos.x, v[2].pos.y);
    if area < 0.0 {
        v.swap(1, 2);
        area = -area;
    }
    if area == 0.0 || !area.is_finite() {
        return;
    }
    let range = |values: [f32; 3], clip: &Span| {
        let low = values.into_iter().fold(f32::INFINITY, f32::min);
        let high = values.into_iter().fold(f32::NEG_INFINITY, f32::max);
        (low.floor() as i32).max(clip.start)..(high.ceil() as i32).min(clip.end)
    };
    let across = range(v.map(|v| v.pos.x), across);
    // With y down and a positive area the inside lies right of the way: a top side runs right, a left one up.
    let owned = |a: &Vertex, b: &Vertex| {
        let (dx, dy) = (b.pos.x - a.pos.x, b.pos.y - a.pos.y);
        dy < 0.0 || (dy == 0.0 && dx > 0.0)
    };
    let sides = [(1, 2), (2, 0), (0, 1)];
    let owns = sides.map(|(a, b)| owned(&v[a], &v[b]));
    let one_uv = v[0].uv == v[1].uv && v[0].uv == v[2].uv;
    let plain = one_uv.then(|| texture.colour(v[0].uv.x, v[0].uv.y));
    for y in range(v.map(|v| v.pos.y), down) {
        for x in across.clone() {
            let (px, py) = (x as f32 + 0.5, y as f32 + 0.5);
            let share = sides.map(|(a, b)| side(&v[a], &v[b], px, py));
            let inside = share
                .iter()
                .zip(owns)
                .all(|(s, own)| *s > 0.0 || (*s == 0.0 && own));
            if !inside {
                continue;
            }
            let share = share.map(|s| s / area);
            let mean = |of: [f32; 3]| of[0] * share[0] + of[1] * share[1] + of[2] * share[2];
            let tint = plain.unwrap_or_else(|| {
                texture.colour(mean(v.map(|v| v.uv.x)), mean(v.map(|v| v.uv.y)))
            });
            let colour: [f32; 4] = std::array::from_fn(|k| {
                let channel = |c: Color32| f32::from(c.to_array()[k]);
                mean(v.map(|v| channel(v.color))) * tint[k] / 255.0
            });
            // Colours are premultiplied and are mixed as they are kept, as the toolkit does it.
            let Rgb(below) = out.get_pixel_mut(x as u32, y as u32);
            for (below, colour_k) in below.iter_mut().zip(colour) {
                let mixed = colour_k + f32::from(*below) * (1.0 - colour[3] / 255.0);
                *below = mixed.round().clamp(0.0, 255.0) as u8;
            }
        }
    }
}
