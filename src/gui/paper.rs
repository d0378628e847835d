//! Pages as pictures for the screen: the same marks that become the PDF, each glyph by its own outline.

use crate::quote::pages::{Image, ImageKind, Ink, Mark, Page, Paper};
use crate::quote::typeset::{Font, Line, Step};
use egui::{Color32, ColorImage};
use vello_cpu::color::{AlphaColor, Srgb};
use vello_cpu::kurbo::{Affine, BezPath, Point, Stroke};
use vello_cpu::peniko::Fill;
use vello_cpu::{Pixmap, RenderContext, Resources};

/// Widest picture of a page, pixels.
const WIDEST: u16 = 2400;
/// Length of a dash and of the gap after it, pt, as in the file.
const DASH: f64 = 3.0;

/// A page so many pixels wide.
pub fn picture(page: &Page, paper: Paper, width: u16) -> ColorImage {
    let (wide, high) = paper.size();
    let width = width.clamp(16, WIDEST);
    let scale = f64::from(width) / f64::from(wide);
    let height = (f64::from(high) * scale).round() as u16;
    let mut context = RenderContext::new(width, height);
    context.set_paint(colour(Ink::Paper));
    context.fill_rect(&vello_cpu::kurbo::Rect::new(
        0.0,
        0.0,
        f64::from(width),
        f64::from(height),
    ));
    context.set_transform(Affine::scale(scale));
    page.marks.iter().for_each(|m| draw(m, &mut context));
    let mut target = Pixmap::new(width, height);
    context.flush();
    context.render(&mut target, &mut Resources::new());
    let pixels = target.data_as_u8_slice().chunks_exact(4);
    let pixels = pixels.map(|p| Color32::from_rgba_premultiplied(p[0], p[1], p[2], p[3]));
    let size = [usize::from(width), usize::from(height)];
    let mut out = ColorImage::new(size, pixels.collect());
    for mark in &page.marks {
        if let Mark::Picture { x, y, size, image } = mark
            && let Some(own) = decoded(image)
        {
            let place = |v: f32| f64::from(v) * scale;
            lay(
                &own,
                &mut out,
                (place(*x), place(*y)),
                (place(size.0), place(size.1)),
            );
        }
    }
    out
}

fn colour(ink: Ink) -> AlphaColor<Srgb> {
    let [r, g, b] = ink.rgb();
    AlphaColor::from_rgb8(r, g, b)
}

fn draw(mark: &Mark, context: &mut RenderContext) {
    match mark {
        Mark::Text {
            x,
            y,
            line,
            size,
            ink,
        } => {
            context.set_paint(colour(*ink));
            context.set_fill_rule(Fill::NonZero);
            text((*x, *y), line, *size, context);
        }
        Mark::Rule {
            from,
            to,
            width,
            ink,
        } => {
            context.set_paint(colour(*ink));
            context.set_stroke(Stroke::new(f64::from(*width)));
            context.stroke_path(&path(&[vec![*from, *to]], false));
        }
        Mark::Shape {
            chains,
            closed,
            fill,
            stroke,
            dashed,
        } => {
            let path = path(chains, *closed);
            if let Some(ink) = fill {
                context.set_paint(colour(*ink));
                context.set_fill_rule(Fill::EvenOdd);
                context.fill_path(&path);
            }
            if let Some((width, ink)) = stroke {
                context.set_paint(colour(*ink));
                let line = Stroke::new(f64::from(*width));
                context.set_stroke(if *dashed {
                    line.with_dashes(0.0, [DASH, DASH])
                } else {
                    line
                });
                context.stroke_path(&path);
            }
        }
        // Laid over the finished page.
        Mark::Picture { .. } => {}
    }
}

fn text((x, y): (f32, f32), line: &Line, size: f32, context: &mut RenderContext) {
    for run in &line.runs {
        let mut pen = x + run.x;
        let mut path = BezPath::new();
        for glyph in &run.glyphs {
            let at = (pen + glyph.x * size, y - glyph.y * size);
            outline(run.font, glyph.id, at, size, &mut path);
            pen += glyph.advance * size;
        }
        context.fill_path(&path);
    }
}

fn outline(font: Font, glyph: u32, at: (f32, f32), size: f32, path: &mut BezPath) {
    let place =
        |p: (f32, f32)| Point::new(f64::from(at.0 + p.0 * size), f64::from(at.1 - p.1 * size));
    for step in font.outline(glyph) {
        match step {
            Step::Move(p) => path.move_to(place(p)),
            Step::Line(p) => path.line_to(place(p)),
            Step::Quad(a, p) => path.quad_to(place(a), place(p)),
            Step::Cubic(a, b, p) => path.curve_to(place(a), place(b), place(p)),
            Step::Close => path.close_path(),
        }
    }
}

fn path(chains: &[Vec<(f32, f32)>], closed: bool) -> BezPath {
    let mut out = BezPath::new();
    for chain in chains {
        let mut points = chain.iter().map(|p| Point::new(p.0.into(), p.1.into()));
        let Some(first) = points.next() else { continue };
        out.move_to(first);
        points.for_each(|p| out.line_to(p));
        if closed {
            out.close_path();
        }
    }
    out
}

/// The picture of a letterhead; `None` where it cannot be decoded.
pub fn decoded(image: &Image) -> Option<ColorImage> {
    match image.kind {
        ImageKind::Png => {
            let read = image::load_from_memory_with_format(&image.bytes, image::ImageFormat::Png);
            let read = read.ok()?.to_rgba8();
            let size = [read.width() as usize, read.height() as usize];
            Some(ColorImage::from_rgba_unmultiplied(size, read.as_raw()))
        }
        ImageKind::Jpeg => {
            let bytes = zune_jpeg::zune_core::bytestream::ZCursor::new(&image.bytes[..]);
            let options = zune_jpeg::zune_core::options::DecoderOptions::default()
                .jpeg_set_out_colorspace(zune_jpeg::zune_core::colorspace::ColorSpace::RGB);
            let mut decoder = zune_jpeg::JpegDecoder::new_with_options(bytes, options);
            let pixels = decoder.decode().ok()?;
            let (width, height) = decoder.dimensions()?;
            (pixels.len() == width * height * 3)
                .then(|| ColorImage::from_rgb([width, height], &pixels))
        }
    }
}

/// Lays a picture over another: each of its pixels there is the mean of those it covers.
fn lay(own: &ColorImage, on: &mut ColorImage, at: (f64, f64), size: (f64, f64)) {
    let [wide, high] = on.size;
    let span = |from: f64, length: f64, most: usize| {
        let end = (from + length).round().max(0.0) as usize;
        (from.round().max(0.0) as usize).min(most)..end.min(most)
    };
    let covered = |k: usize, from: f64, length: f64, most: usize| {
        let part = |k: f64| ((k - from.round()) / length.max(1.0) * most as f64).max(0.0);
        let begin = (part(k as f64) as usize).min(most - 1);
        begin..(part(k as f64 + 1.0).ceil() as usize).clamp(begin + 1, most)
    };
    for y in span(at.1, size.1, high) {
        let rows = covered(y, at.1, size.1, own.size[1]);
        for x in span(at.0, size.0, wide) {
            let mut sum = [0_u64; 4];
            let mut count = 0;
            for row in rows.clone() {
                for column in covered(x, at.0, size.0, own.size[0]) {
                    let pixel = own.pixels[row * own.size[0] + column].to_array();
                    sum.iter_mut()
                        .zip(pixel)
                        .for_each(|(s, v)| *s += u64::from(v));
                    count += 1;
                }
            }
            let mean = sum.map(|s| (s / count.max(1)) as u8);
            let below = &mut on.pixels[y * wide + x];
            let over = Color32::from_rgba_premultiplied(mean[0], mean[1], mean[2], mean[3]);
            *below = below.blend(over);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quote::typeset::line;

    #[test]
    fn a_page_is_white_where_nothing_is_and_dark_where_a_rule_lies() {
        let page = Page {
            marks: vec![
                Mark::Rule {
                    from: (100.0, 100.0),
                    to: (300.0, 100.0),
                    width: 8.0,
                    ink: Ink::Text,
                },
                Mark::Text {
                    x: 100.0,
                    y: 300.0,
                    line: line("HHHH", Font::Strong, 40.0),
                    size: 40.0,
                    ink: Ink::Text,
                },
            ],
        };
        let (wide, high) = Paper::A4.size();
        let image = picture(&page, Paper::A4, 1190);
        // Both sides are rounded to whole pixels.
        let [w, h] = image.size;
        assert!((h as f32 / w as f32 - high / wide).abs() < 2e-3);
        let scale = w as f32 / wide;
        let at = |x: f32, y: f32| image.pixels[(y * scale) as usize * w + (x * scale) as usize];
        assert_eq!(at(20.0, 20.0), Color32::WHITE);
        let [r, g, b] = Ink::Text.rgb();
        assert_eq!(at(200.0, 100.0), Color32::from_rgb(r, g, b));
        // Letters stand on their baseline: ink above it, none below.
        let dark = |from: f32, to: f32| {
            let rows = (from * scale) as usize..(to * scale) as usize;
            let all = rows.flat_map(|y| image.pixels[y * w..(y + 1) * w].iter());
            all.filter(|p| p.r() < 128).count()
        };
        assert!(dark(272.0, 299.0) > 500);
        assert_eq!(dark(302.0, 340.0), 0);
    }
}
