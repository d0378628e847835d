//! A part of the window as a file of lines and letters, from the very shapes that are painted there.

use crate::report::escaped::escaped;
use egui::emath::{Pos2, Rect};
use egui::epaint::{
    CircleShape, ClippedShape, ColorMode, CubicBezierShape, EllipseShape, Mesh, PathShape,
    PathStroke, QuadraticBezierShape, RectShape, TextShape,
};
use egui::{Color32, FontFamily, Shape, Stroke, StrokeKind, TextureId};
use std::fmt::Write as _;

/// Everything that lies in a rectangle, in the order in which it is painted, as an SVG file; lengths are points of the
/// window. What is only an image (a texture) is left out.
pub fn svg<'a>(
    shapes: impl IntoIterator<Item = &'a ClippedShape>,
    picture: Rect,
    title: &str,
) -> String {
    let mut out = Writer {
        origin: picture.min,
        text: String::new(),
        clips: 0,
    };
    for shape in shapes {
        out.clipped(shape, picture);
    }
    let (width, height) = (number(picture.width()), number(picture.height()));
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" \
         height=\"{height}\" viewBox=\"0 0 {width} {height}\">\n<title>{}</title>\n{}</svg>\n",
        escaped(title),
        out.text
    )
}

struct Writer {
    origin: Pos2,
    text: String,
    clips: usize,
}

impl Writer {
    fn clipped(&mut self, shape: &ClippedShape, picture: Rect) {
        let clip = shape.clip_rect.intersect(picture);
        let covers = shape.shape.visual_bounding_rect();
        if !clip.is_positive() || !covers.intersects(clip) {
            return;
        }
        if clip.contains_rect(covers) {
            self.shape(&shape.shape);
            return;
        }
        self.clips += 1;
        let (k, place) = (self.clips, self.place(clip));
        let _ = writeln!(
            self.text,
            "<clipPath id=\"c{k}\"><rect {place}/></clipPath>\n<g clip-path=\"url(#c{k})\">"
        );
        self.shape(&shape.shape);
        self.text.push_str("</g>\n");
    }

    fn shape(&mut self, shape: &Shape) {
        match shape {
            Shape::Vec(all) => all.iter().for_each(|s| self.shape(s)),
            Shape::Circle(c) => self.circle(c),
            Shape::Ellipse(e) => self.ellipse(e),
            Shape::LineSegment { points, stroke } => {
                let line = self.line(points, false);
                self.drawn(&line, Color32::TRANSPARENT, &stroke_of(*stroke));
            }
            Shape::Path(p) => self.path(p),
            Shape::Rect(r) => self.rect(r),
            Shape::Text(t) => self.letters(t),
            Shape::Mesh(m) => self.mesh(m),
            Shape::QuadraticBezier(b) => self.quadratic(b),
            Shape::CubicBezier(b) => self.cubic(b),
            Shape::Noop | Shape::Band(_) | Shape::Callback(_) => {}
        }
    }

    fn at(&self, p: Pos2) -> String {
        let p = p - self.origin;
        format!("{} {}", number(p.x), number(p.y))
    }

    fn place(&self, r: Rect) -> String {
        let from = r.min - self.origin;
        format!(
            "x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"",
            number(from.x),
            number(from.y),
            number(r.width()),
            number(r.height())
        )
    }

    fn line(&self, points: &[Pos2], closed: bool) -> String {
        let points: Vec<String> = points.iter().map(|p| self.at(*p)).collect();
        let end = if closed { " Z" } else { "" };
        format!("M {}{end}", points.join(" L "))
    }

    /// A path with its fill and its line, where it has them.
    fn drawn(&mut self, path: &str, fill: Color32, stroke: &PathStroke) {
        if let Some(look) = look(fill, stroke) {
            let _ = writeln!(self.text, "<path d=\"{path}\" {look}/>");
        }
    }

    fn path(&mut self, p: &PathShape) {
        if p.points.len() > 1 {
            let line = self.line(&p.points, p.closed);
            self.drawn(&line, p.fill, &p.stroke);
        }
    }

    fn circle(&mut self, c: &CircleShape) {
        let at = c.center - self.origin;
        if let Some(look) = look(c.fill, &stroke_of(c.stroke)) {
            let _ = writeln!(
                self.text,
                "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" {look}/>",
                number(at.x),
                number(at.y),
                number(c.radius)
            );
        }
    }

    fn ellipse(&mut self, e: &EllipseShape) {
        let at = e.center - self.origin;
        if let Some(look) = look(e.fill, &stroke_of(e.stroke)) {
            let (x, y) = (number(at.x), number(at.y));
            let _ = writeln!(
                self.text,
                "<ellipse cx=\"{x}\" cy=\"{y}\" rx=\"{}\" ry=\"{}\" transform=\"rotate({} {x} {y})\" {look}/>",
                number(e.radius.x),
                number(e.radius.y),
                number(e.angle.to_degrees())
            );
        }
    }

    fn rect(&mut self, r: &RectShape) {
        // A shadow is only light, and an image no lines.
        if r.blur_width > 0.0 || r.brush.is_some() {
            return;
        }
        let Some(look) = look(r.fill, &stroke_of(r.stroke)) else {
            return;
        };
        // The line of an SVG lies half on either side.
        let out = match r.stroke_kind {
            _ if r.stroke.is_empty() => 0.0,
            StrokeKind::Inside => -0.5 * r.stroke.width,
            StrokeKind::Middle => 0.0,
            StrokeKind::Outside => 0.5 * r.stroke.width,
        };
        let place = self.place(r.rect.expand(out));
        let c = r.corner_radius;
        let round = [c.nw, c.ne, c.sw, c.se].into_iter().max().unwrap_or(0);
        let _ = writeln!(self.text, "<rect {place} rx=\"{round}\" {look}/>");
    }

    fn quadratic(&mut self, b: &QuadraticBezierShape) {
        let [from, by, to] = b.points.map(|p| self.at(p));
        let end = if b.closed { " Z" } else { "" };
        self.drawn(&format!("M {from} Q {by} {to}{end}"), b.fill, &b.stroke);
    }

    fn cubic(&mut self, b: &CubicBezierShape) {
        let [from, first, second, to] = b.points.map(|p| self.at(p));
        let end = if b.closed { " Z" } else { "" };
        let path = format!("M {from} C {first} {second} {to}{end}");
        self.drawn(&path, b.fill, &b.stroke);
    }

    /// Triangles of one colour as one path, all turning the same way, so that no seam shows between them.
    fn mesh(&mut self, mesh: &Mesh) {
        if mesh.texture_id != TextureId::default() {
            return;
        }
        let mut of: Vec<(Color32, String)> = Vec::new();
        for triangle in mesh.indices.chunks_exact(3) {
            let corner = |k: usize| mesh.vertices.get(triangle[k] as usize);
            let (Some(a), Some(b), Some(c)) = (corner(0), corner(1), corner(2)) else {
                continue;
            };
            let turn = (b.pos - a.pos).rot90().dot(c.pos - a.pos);
            let points = if turn < 0.0 {
                [a.pos, b.pos, c.pos]
            } else {
                [a.pos, c.pos, b.pos]
            };
            let path = self.line(&points, true);
            match of.last_mut().filter(|last| last.0 == a.color) {
                Some((_, paths)) => {
                    paths.push(' ');
                    paths.push_str(&path);
                }
                None => of.push((a.color, path)),
            }
        }
        for (colour, path) in of {
            self.drawn(&path, colour, &PathStroke::NONE);
        }
    }

    /// Each line of a text in stretches of one colour, as wide as on the screen whatever letters there are to draw it with.
    fn letters(&mut self, t: &TextShape) {
        let Some(section) = t.galley.job.sections.first() else {
            return;
        };
        let font = &section.format.font_id;
        let weight = match font.family {
            FontFamily::Name(_) => " font-weight=\"600\"",
            FontFamily::Monospace | FontFamily::Proportional => "",
        };
        let angle = t.angle.to_degrees();
        for row in &t.galley.rows {
            let vertices = &row.row.visuals.mesh.vertices;
            let ink = |first: u32| {
                let own = vertices
                    .get(first as usize)
                    .map_or(t.fallback_color, |v| v.color);
                let own = t.override_text_color.unwrap_or(own);
                let own = if own == Color32::PLACEHOLDER {
                    t.fallback_color
                } else {
                    own
                };
                own.gamma_multiply(t.opacity_factor)
            };
            // A blank has no letter to ask; it goes on in the colour from before.
            let same = |a: &egui::epaint::text::Glyph, b: &egui::epaint::text::Glyph| {
                b.chr.is_whitespace() || ink(a.first_vertex) == ink(b.first_vertex)
            };
            for run in row.row.glyphs.chunk_by(same) {
                let (Some(first), Some(last)) = (run.first(), run.last()) else {
                    continue;
                };
                let words: String = run.iter().map(|g| g.chr).collect();
                if words.trim().is_empty() {
                    continue;
                }
                let at = t.pos - self.origin;
                let from = row.pos + first.pos.to_vec2();
                let width = last.pos.x + last.advance_width - first.pos.x;
                let turned = if angle == 0.0 {
                    String::new()
                } else {
                    let (x, y) = (number(at.x), number(at.y));
                    format!(" transform=\"rotate({} {x} {y})\"", number(angle))
                };
                let _ = writeln!(
                    self.text,
                    "<text x=\"{}\" y=\"{}\" font-family=\"IBM Plex Sans, Arial, sans-serif\" font-size=\"{}\"{weight} \
                     textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\" xml:space=\"preserve\" {}{turned}>{}</text>",
                    number(at.x + from.x),
                    number(at.y + from.y),
                    number(font.size),
                    number(width),
                    paint("fill", ink(first.first_vertex)),
                    escaped(&words)
                );
            }
        }
    }
}

fn stroke_of(stroke: Stroke) -> PathStroke {
    PathStroke::new(stroke.width, stroke.color)
}

/// Fill and line as attributes; `None` where there is neither.
fn look(fill: Color32, stroke: &PathStroke) -> Option<String> {
    let line = match stroke.color {
        ColorMode::Solid(colour) if stroke.width > 0.0 && colour.a() > 0 => Some(colour),
        ColorMode::Solid(_) | ColorMode::UV(_) => None,
    };
    let line = line.map(|c| {
        let width = number(stroke.width);
        format!(" {} stroke-width=\"{width}\"", paint("stroke", c))
    });
    (fill.a() > 0 || line.is_some()).then(|| paint("fill", fill) + &line.unwrap_or_default())
}

/// `fill="#5bb4f0"`, with its opacity where one sees through it.
fn paint(what: &str, colour: Color32) -> String {
    let [r, g, b, a] = colour.to_srgba_unmultiplied();
    match a {
        0 => format!("{what}=\"none\""),
        255 => format!("{what}=\"#{r:02x}{g:02x}{b:02x}\""),
        _ => {
            let share = number(f32::from(a) / 255.0);
            format!("{what}=\"#{r:02x}{g:02x}{b:02x}\" {what}-opacity=\"{share}\"")
        }
    }
}

/// To a thousandth of a point, without zeros behind.
fn number(v: f32) -> String {
    let text = format!("{v:.3}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0" } else { text }.to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::CornerRadius;
    use egui::emath::pos2;

    fn of(shapes: Vec<Shape>) -> String {
        let clip_rect = Rect::from_min_max(pos2(0.0, 0.0), pos2(100.0, 100.0));
        let shapes: Vec<ClippedShape> = shapes
            .into_iter()
            .map(|shape| ClippedShape::new(clip_rect, shape))
            .collect();
        let picture = Rect::from_min_max(pos2(10.0, 20.0), pos2(60.0, 50.0));
        svg(&shapes, picture, "time < cost")
    }

    #[test]
    fn shapes_stand_where_they_were_from_the_corner_of_the_picture() {
        let red = Color32::from_rgb(255, 0, 0);
        let line = Shape::line_segment([pos2(12.0, 22.0), pos2(20.5, 30.0)], Stroke::new(1.5, red));
        let ground = Shape::rect_filled(
            Rect::from_min_max(pos2(11.0, 21.0), pos2(31.0, 26.0)),
            CornerRadius::same(2),
            Color32::from_rgba_unmultiplied(0, 0, 255, 51),
        );
        let text = of(vec![ground, line]);
        assert!(text.contains("width=\"50\" height=\"30\" viewBox=\"0 0 50 30\""));
        assert!(text.contains("<title>time &lt; cost</title>"));
        let rect = "<rect x=\"1\" y=\"1\" width=\"20\" height=\"5\" rx=\"2\" fill=\"#0000ff\" fill-opacity=\"0.2\"/>";
        assert!(text.contains(rect), "{text}");
        let path =
            "<path d=\"M 2 2 L 10.5 10\" fill=\"none\" stroke=\"#ff0000\" stroke-width=\"1.5\"/>";
        assert!(text.contains(path), "{text}");
        assert!(
            text.find(rect) < text.find(path),
            "in the order of painting"
        );
    }

    #[test]
    fn what_reaches_out_of_the_picture_is_clipped_and_what_lies_outside_is_not_there() {
        let dot = |x: f32| Shape::circle_filled(pos2(x, 30.0), 4.0, Color32::WHITE);
        let text = of(vec![dot(30.0), dot(59.0), dot(80.0)]);
        assert_eq!(text.matches("<circle").count(), 2);
        assert_eq!(text.matches("<clipPath").count(), 1);
        assert!(text.contains("<rect x=\"0\" y=\"0\" width=\"50\" height=\"30\"/></clipPath>"));
        assert_eq!(text.matches("<g ").count(), text.matches("</g>").count());
    }

    #[test]
    fn a_band_of_triangles_is_one_path_of_one_turn() {
        let mut mesh = Mesh::default();
        for p in [
            pos2(20.0, 30.0),
            pos2(20.0, 40.0),
            pos2(30.0, 30.0),
            pos2(30.0, 40.0),
        ] {
            mesh.colored_vertex(p, Color32::WHITE);
        }
        mesh.add_triangle(0, 1, 2);
        mesh.add_triangle(1, 2, 3);
        let text = of(vec![Shape::mesh(mesh)]);
        assert_eq!(text.matches("<path").count(), 1);
        assert_eq!(text.matches(" Z").count(), 2);
    }
}
