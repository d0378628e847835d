//! What stands on the canvas beside the drawing: numbers, scale bar, coordinates, and what the lines mean.

use super::marks;
use super::paint::LOWER_EDGE;
use super::starts::{hole_mark, planned};
use super::view::{Placement, round_length};
use crate::gui::format::{System, count, number};
use crate::gui::state::{Target, View};
use crate::gui::theme::{SMALL, Tokens, mix, strong_family};
use crate::units::Length;
use egui::emath::{Align2, Pos2, Rect, pos2, vec2};
use egui::{FontId, Shape, Stroke};

/// More labels than this are noise.
const MOST_LABELS: usize = 80;

/// Numbers of the contours, as in the list.
pub fn labels(
    painter: &egui::Painter,
    placement: Placement,
    rect: Rect,
    view: &View<'_>,
    t: &Tokens,
) {
    let model = &view.file.model;
    if model.contours.len() > MOST_LABELS {
        return;
    }
    for (i, line) in model.contours.iter().enumerate() {
        let seen = placement.rect_to_screen(rect, line.bounds);
        if seen.width().max(seen.height()) < 22.0 {
            continue;
        }
        let at = placement.to_screen(rect, line.top);
        let selected = view.file.selected == Some(Target::Contour(i));
        let colour = if selected { t.accent } else { t.text_faint };
        let up = vec2(0.0, -9.0);
        if rect.contains(at + up) {
            painter.text(
                at + up,
                Align2::CENTER_CENTER,
                i + 1,
                FontId::new(SMALL, strong_family()),
                colour,
            );
        }
    }
}

/// A round length in the unit shown.
pub fn scale_bar(
    painter: &egui::Painter,
    placement: Placement,
    rect: Rect,
    system: System,
    t: &Tokens,
) {
    // In the unit shown, so that the bar is round in it.
    let unit_mm = match system {
        System::Metric => 1.0,
        System::Inch => crate::units::MM_PER_INCH,
    };
    let a_unit = f64::from(placement.scale) * unit_mm;
    let length = round_length(140.0 / a_unit);
    let width = (length * a_unit) as f32;
    let left = rect.left_bottom() + vec2(14.0, -14.0);
    let right = left + vec2(width, 0.0);
    let stroke = Stroke::new(1.5, t.text_soft);
    painter.line_segment([left, right], stroke);
    for end in [left, right] {
        painter.line_segment([end - vec2(0.0, 4.0), end + vec2(0.0, 1.0)], stroke);
    }
    painter.text(
        left + vec2(0.0, -6.0),
        Align2::LEFT_BOTTOM,
        system.typed_length(Length::from_mm(length * unit_mm)),
        FontId::proportional(SMALL),
        t.text_soft,
    );
}

/// Where the pointer is, in the drawing's own coordinates.
pub fn coordinates(
    painter: &egui::Painter,
    placement: Placement,
    rect: Rect,
    view: &View<'_>,
    cursor: Pos2,
    t: &Tokens,
) {
    let file = view.file;
    let p = placement.to_drawing(rect, cursor);
    let (x, y) = (
        f64::from(p.x) + file.model.centre.x + file.profile.origin.x,
        f64::from(p.y) + file.model.centre.y + file.profile.origin.y,
    );
    let decimals = match view.system {
        System::Metric => 2,
        System::Inch => 4,
    };
    let value = |v| number(view.system.length_value(Length::from_mm(v)), decimals);
    painter.text(
        rect.right_bottom() + vec2(-14.0, -12.0),
        Align2::RIGHT_BOTTOM,
        format!(
            "x {}   y {}   {}",
            value(x),
            value(y),
            view.system.length_unit()
        ),
        FontId::proportional(SMALL),
        t.text_soft,
    );
}

/// What the line styles mean; only those that occur.
pub fn legend(painter: &egui::Painter, rect: Rect, view: &View<'_>, t: &Tokens) {
    use crate::profile::Role;
    let file = view.file;
    let roles: Vec<_> = file
        .profile
        .contours
        .iter()
        .enumerate()
        .map(|(i, c)| (file.job.role(&file.profile, i), file.job.cuts(c)))
        .collect();
    let font = FontId::proportional(SMALL);
    let start = rect.left_top() + vec2(14.0, 15.0);
    let at = std::cell::Cell::new(start);
    // Places an entry, in the next line where this one is full, on a ground of its own.
    let place = |text: &str| {
        let galley = painter.layout_no_wrap(text.to_owned(), font.clone(), t.text_soft);
        let width = 30.0 + galley.size().x;
        if at.get().x > start.x && at.get().x + width > rect.right() - 8.0 {
            at.set(pos2(start.x, at.get().y + 19.0));
        }
        let p = at.get();
        let ground = Rect::from_min_size(p - vec2(4.0, 9.0), vec2(width + 8.0, 18.0));
        painter.rect_filled(ground, 3, t.canvas.gamma_multiply(0.85));
        painter.galley(p + vec2(30.0, -galley.size().y / 2.0), galley, t.text_soft);
        at.set(p + vec2(width + 18.0, 0.0));
        p
    };
    let stroke = |w, c| Stroke::new(w, c);
    let bar = |p: Pos2| [p, p + vec2(24.0, 0.0)];
    if roles.contains(&(Role::Outline, true)) {
        let p = place("outline, inside stays");
        let under = Rect::from_min_size(p, vec2(24.0, 6.0));
        painter.rect_filled(under, 0, mix(t.kept, t.text, 0.08));
        painter.line_segment(bar(p), stroke(2.0, t.outline));
    }
    if roles.contains(&(Role::Opening, true)) {
        let p = place("opening, ticks on the waste");
        painter.line_segment(bar(p), stroke(1.3, t.outline));
        for k in 0..3u8 {
            let q = p + vec2(3.0 + 8.0 * f32::from(k), 0.0);
            painter.line_segment([q, q + vec2(3.0, 4.0)], stroke(1.0, t.waste_tick));
        }
    }
    if !file.model.open.is_empty() {
        let p = place("open, not cut");
        painter.extend(Shape::dashed_line(
            &bar(p),
            stroke(1.6, t.open_curve),
            6.0,
            4.0,
        ));
        painter.circle_filled(p, 3.0, t.open_curve);
    }
    if roles.iter().any(|(_, cut)| !cut) {
        let p = place("left out");
        painter.extend(Shape::dashed_line(
            &bar(p),
            stroke(1.4, t.left_out),
            2.0,
            4.0,
        ));
    }
    if let Some(words) = marks::legend_words(file) {
        let p = place(&words);
        let colour = marks::legend_colour(file, t);
        marks::mark(painter, p + vec2(12.0, 0.0), colour, t.canvas);
    }
    let starts = planned(file).len();
    if starts > 0 {
        let p = place(if starts > 1 {
            "start hole, in cutting order"
        } else {
            "start hole"
        });
        hole_mark(painter, p + vec2(12.0, 0.0), stroke(1.3, t.text), t);
    }
    if let (Some(e), Some((_, wire, paths))) = (file.shown_estimate(), &file.paths) {
        if !paths.loops.is_empty() {
            let p = place(&format!("path of {}", view.system.candidate(&e.candidate)));
            painter.line_segment(bar(p), stroke(1.5, t.wire(*wire)));
        }
        if !paths.lower_edges.is_empty() {
            let p = place("bottom edge of a taper");
            let (dash, gap) = LOWER_EDGE;
            let line = stroke(1.0, t.outline);
            painter.extend(Shape::dashed_line(&bar(p), line, dash, gap));
        }
        if !paths.uncut.is_empty() {
            let n = paths.uncut.len();
            let p = place(&count(n, "place left standing", "places left standing"));
            let tip = p + vec2(12.0, -5.0);
            painter.add(Shape::convex_polygon(
                vec![tip, tip + vec2(4.0, 9.0), tip + vec2(-4.0, 9.0)],
                t.warn,
                Stroke::NONE,
            ));
        }
    }
}
