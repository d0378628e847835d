//! An inside corner to scale, with the radii that wires leave in it.

use crate::gui::theme::{BODY, SMALL, Tokens, mix, tokens};
use egui::emath::{Align2, Pos2, Rect, pos2, vec2};
use egui::{Color32, FontId, Painter, Response, Role, Sense, Shape, Stroke, Ui, WidgetInfo};
use std::f32::consts::FRAC_PI_2;

/// What one wire leaves.
#[derive(Debug, Clone, PartialEq)]
pub struct CornerLine {
    /// Radius, mm.
    pub radius: f64,
    /// The radius in words.
    pub text: String,
    /// Whose it is.
    pub name: String,
    /// The wire's colour.
    pub colour: Color32,
    /// The wire that is shown.
    pub strong: bool,
}

/// Height of the picture, points.
const HEIGHT: f32 = 190.0;
/// Least distance of two labels, points.
const APART: f32 = 22.0;
/// Radii nearer than this, as a share, are one line with several names.
const ONE_LINE: f64 = 0.004;
/// A drawn radius is drawn up to so many times the largest that a wire leaves.
const WITHIN: f64 = 1.15;
/// Chords of a quarter of a circle.
const CHORDS: u32 = 48;

/// The corner between two walls at the lower left; what is cut away lies at the upper right. `drawn` is the tightest inside
/// radius of the drawing, mm.
pub fn corner_ui(ui: &mut Ui, lines: &[CornerLine], drawn: Option<(f64, String)>) -> Response {
    let t = tokens(ui);
    let width = ui.available_width();
    let (rect, response) = ui.allocate_exact_size(vec2(width, HEIGHT), Sense::hover());
    let told = lines.iter().map(|l| format!("{} {}", l.name, l.text));
    let told: Vec<String> = told.collect();
    let label = say!("an inside corner to scale: {}", told.join("; "));
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &label));
    let painter = ui.painter_at(rect);
    painter.rect_filled(rect, 4, t.sunken);
    let most = lines.iter().map(|l| l.radius).fold(0.0, f64::max);
    if most <= 0.0 {
        return response;
    }
    // The largest arc takes about half of the height; the walls go on beyond it.
    let corner = pos2(rect.left() + 26.0, rect.bottom() - 26.0);
    let side = (rect.height() - 40.0).min(rect.width() * 0.5);
    let scale = f64::from(side) * 0.8 / most;
    let wall = Rect::from_min_max(rect.left_top(), pos2(corner.x, rect.bottom()));
    painter.rect_filled(wall, 0, t.kept);
    let floor = Rect::from_min_max(
        pos2(corner.x, corner.y),
        pos2(corner.x + side + 14.0, rect.bottom()),
    );
    painter.rect_filled(floor, 0, t.kept);
    let arc = |radius: f64| -> Vec<Pos2> {
        let r = (radius * scale) as f32;
        let centre = corner + vec2(r, -r);
        (0..=CHORDS)
            .map(|k| {
                let angle = FRAC_PI_2 * (k as f32 / CHORDS as f32) + FRAC_PI_2;
                centre + vec2(angle.cos() * r, angle.sin() * r)
            })
            .collect()
    };
    // What the wire shown leaves standing.
    if let Some(shown) = lines.iter().find(|l| l.strong) {
        let mut fill = arc(shown.radius);
        fill.push(corner);
        let mut mesh = egui::Mesh::default();
        for p in &fill {
            mesh.colored_vertex(*p, mix(t.sunken, shown.colour, 0.35));
        }
        let last = fill.len() as u32 - 1;
        for k in 1..last {
            mesh.add_triangle(last, k - 1, k);
        }
        painter.add(Shape::mesh(mesh));
    }
    let outline = Stroke::new(2.0, t.outline);
    painter.line_segment([corner, pos2(corner.x, rect.top())], outline);
    painter.line_segment([corner, pos2(corner.x + side + 14.0, corner.y)], outline);
    let mut order: Vec<&CornerLine> = lines.iter().collect();
    order.sort_by(|a, b| b.radius.total_cmp(&a.radius));
    // Largest on top: its middle lies furthest from the corner.
    let mut next = rect.top() + 16.0;
    let labels = corner.x + side * 0.72 + 26.0;
    let mut k = 0;
    while k < order.len() {
        let first = order[k];
        let same = |l: &&&CornerLine| (l.radius - first.radius).abs() <= ONE_LINE * first.radius;
        let group: Vec<&&CornerLine> = order[k..].iter().take_while(same).collect();
        let colour_of = group
            .iter()
            .find(|l| l.strong)
            .map_or(first.colour, |l| l.colour);
        let strong = group.iter().any(|l| l.strong);
        let points = arc(first.radius);
        let middle = points[points.len() / 2];
        let width = if strong { 2.6 } else { 1.5 };
        painter.line(points, Stroke::new(width, colour_of));
        let at = pos2(labels, next);
        next += APART;
        let elbow = at - vec2(14.0, 0.0);
        let thread = Stroke::new(0.8, mix(t.sunken, colour_of, 0.7));
        painter.line_segment([middle, elbow], thread);
        painter.line_segment([elbow, at - vec2(3.0, 0.0)], thread);
        let ink = if strong { t.text } else { t.text_soft };
        let font = FontId::proportional(BODY);
        let words = painter.text(at, Align2::LEFT_CENTER, &first.text, font, ink);
        for (n, l) in group.iter().enumerate() {
            let dot = pos2(words.right() + 12.0 + 12.0 * n as f32, at.y);
            painter.circle_filled(dot, if l.strong { 5.0 } else { 4.0 }, l.colour);
        }
        k += group.len();
    }
    if let Some((radius, text)) = drawn {
        // A radius far larger than any wire leaves is only told.
        let points = if radius <= WITHIN * most {
            arc(radius)
        } else {
            Vec::new()
        };
        drawn_ui(&painter, &points, pos2(labels, corner.y - 12.0), text, t);
    }
    response
}

/// The tightest radius of the drawing, broken, with its words.
fn drawn_ui(painter: &Painter, points: &[Pos2], at: Pos2, text: String, t: &Tokens) {
    let outline = Stroke::new(1.6, t.outline);
    painter.extend(Shape::dashed_line(points, outline, 4.0, 3.0));
    if let Some(middle) = points.get(points.len() / 2) {
        painter.circle_stroke(*middle, 3.0, Stroke::new(1.4, t.outline));
        let thread = Stroke::new(0.8, t.text_faint);
        painter.line_segment([*middle, at - vec2(4.0, 0.0)], thread);
    }
    let font = FontId::proportional(SMALL);
    painter.text(at, Align2::LEFT_CENTER, text, font, t.text_soft);
}
