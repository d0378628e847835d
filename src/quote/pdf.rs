//! Pages as a PDF file: real text in embedded fonts, lines and shapes, no picture of text.

use super::pages::{ImageKind, Ink, Mark, Pages};
use super::typeset::{Font, Line};
use krilla::color::rgb;
use krilla::geom::{Path, PathBuilder, Point, Size, Transform};
use krilla::image::Image;
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font as PdfFont, GlyphId, KrillaGlyph};
use krilla::{Data, Document};
use std::collections::BTreeMap;
use std::fmt;

/// Length of a dash and of the gap after it, pt.
const DASH: f32 = 3.0;

/// Why no file was made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PdfError(String);

impl fmt::Display for PdfError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let why = &self.0;
        f.write_str(&say!("the pages could not be written: {why}"))
    }
}
impl std::error::Error for PdfError {}

/// The pages as a file.
///
/// # Errors
/// What the writer says.
pub fn pdf(pages: &Pages) -> Result<Vec<u8>, PdfError> {
    let mut document = Document::new();
    let (width, height) = pages.paper.size();
    let mut fonts = BTreeMap::new();
    for font in Font::ALL {
        let data = Data::from(font.bytes().to_vec());
        if let Some(found) = PdfFont::new(data, 0) {
            fonts.insert(font, found);
        }
    }
    for page in &pages.pages {
        let Some(settings) = PageSettings::from_wh(width, height) else {
            continue;
        };
        let mut on = document.start_page_with(settings);
        let mut surface = on.surface();
        for mark in &page.marks {
            draw(mark, &fonts, &mut surface);
        }
        surface.finish();
        on.finish();
    }
    let about = Metadata::new()
        .title(pages.title.clone())
        .authors(vec![pages.author.clone()])
        .language(crate::language::now().tag().to_owned());
    document.set_metadata(about);
    document.finish().map_err(|e| PdfError(format!("{e:?}")))
}

fn draw(mark: &Mark, fonts: &BTreeMap<Font, PdfFont>, surface: &mut Surface<'_>) {
    match mark {
        Mark::Text {
            x,
            y,
            line,
            size,
            ink,
        } => {
            surface.set_fill(Some(fill(*ink)));
            surface.set_stroke(None);
            text((*x, *y), line, *size, fonts, surface);
        }
        Mark::Rule {
            from,
            to,
            width,
            ink,
        } => {
            surface.set_fill(None);
            surface.set_stroke(Some(stroke(*width, *ink, false)));
            if let Some(path) = path(&[vec![*from, *to]], false) {
                surface.draw_path(&path);
            }
        }
        Mark::Shape {
            chains,
            closed,
            fill: inside,
            stroke: line,
            dashed,
        } => {
            let inside = inside.map(|ink| Fill {
                rule: FillRule::EvenOdd,
                ..fill(ink)
            });
            surface.set_fill(inside);
            surface.set_stroke(line.map(|(width, ink)| stroke(width, ink, *dashed)));
            if let Some(path) = path(chains, *closed) {
                surface.draw_path(&path);
            }
        }
        Mark::Picture { x, y, size, image } => {
            let data = Data::from(image.bytes.clone());
            let made = match image.kind {
                ImageKind::Png => Image::from_png(data, true),
                ImageKind::Jpeg => Image::from_jpeg(data, true),
            };
            if let (Ok(made), Some(size)) = (made, Size::from_wh(size.0, size.1)) {
                surface.push_transform(&Transform::from_translate(*x, *y));
                surface.draw_image(made, size);
                surface.pop();
            }
        }
    }
}

fn text(
    (x, y): (f32, f32),
    line: &Line,
    size: f32,
    fonts: &BTreeMap<Font, PdfFont>,
    surface: &mut Surface<'_>,
) {
    for run in &line.runs {
        let Some(font) = fonts.get(&run.font) else {
            continue;
        };
        let glyphs: Vec<KrillaGlyph> = run
            .glyphs
            .iter()
            .map(|g| {
                let id = GlyphId::new(g.id);
                KrillaGlyph::new(id, g.advance, g.x, g.y, 0.0, g.text.clone(), None)
            })
            .collect();
        let at = Point::from_xy(x + run.x, y);
        surface.draw_glyphs(at, &glyphs, font.clone(), &run.text, size, false);
    }
}

fn colour(ink: Ink) -> rgb::Color {
    let [r, g, b] = ink.rgb();
    rgb::Color::new(r, g, b)
}

fn fill(ink: Ink) -> Fill {
    Fill {
        paint: colour(ink).into(),
        opacity: NormalizedF32::ONE,
        rule: FillRule::NonZero,
    }
}

fn stroke(width: f32, ink: Ink, dashed: bool) -> Stroke {
    Stroke {
        paint: colour(ink).into(),
        width,
        dash: dashed.then(|| StrokeDash {
            array: vec![DASH, DASH],
            offset: 0.0,
        }),
        ..Stroke::default()
    }
}

fn path(chains: &[Vec<(f32, f32)>], closed: bool) -> Option<Path> {
    let mut builder = PathBuilder::new();
    for chain in chains {
        let Some((first, rest)) = chain.split_first() else {
            continue;
        };
        builder.move_to(first.0, first.1);
        rest.iter().for_each(|p| builder.line_to(p.0, p.1));
        if closed {
            builder.close();
        }
    }
    builder.finish()
}
