//! The drawing: pan, zoom, hover, selection; the wire's path on it.
//!
//! `model` makes polylines once, `view` places them, `paint` turns them into shapes that are kept until
//! something they depend on changes, `pick` answers what is under the cursor.

mod fill;
mod model;
mod paint;
mod pick;
mod view;

pub use model::{Model, PathModel, near};
pub use view::{Placement, round_length};

use super::format::{System, count, number};
use super::state::{Action, Target, View};
use super::theme::{SMALL, Tokens, mix, strong_family, tokens};
use crate::geometry::Point;
use crate::units::Length;
use egui::emath::{Align2, Pos2, Rect, pos2, vec2};
use egui::{CursorIcon, FontId, Role as AccessRole, Sense, Shape, Stroke, Ui, WidgetInfo};
use paint::Look;

/// More labels than this are noise.
const MOST_LABELS: usize = 80;

/// Pan, zoom and what was painted last.
#[derive(Default)]
pub struct Canvas {
    placement: Option<Placement>,
    /// Whether the user moved the view; until then it follows the window.
    moved: bool,
    hovered: Option<Target>,
    painted: Option<(Key, Vec<Shape>)>,
}

/// What the still shapes depend on.
#[derive(PartialEq)]
struct Key {
    placement: Placement,
    rect: Rect,
    dark: bool,
    looks: Vec<Look>,
    paths: Option<(u64, usize)>,
    skims: bool,
    outside_stays: bool,
}

impl Canvas {
    /// Bring everything into view at the next frame.
    pub fn fit(&mut self) {
        self.placement = None;
        self.moved = false;
    }
    /// Bring a place into the middle, zooming in where it would be lost.
    pub fn centre_on(&mut self, at: Pos2, least_scale: f32) {
        let scale = self.placement.map_or(least_scale, |p| p.scale);
        self.placement = Some(Placement {
            scale: scale.max(least_scale),
            middle: at,
        });
        self.moved = true;
    }
    /// How the drawing lies, once it was shown.
    pub fn placement(&self) -> Option<Placement> {
        self.placement
    }
}

/// The drawing with its overlays. `canvas` is the file's own, taken out while the rest is looked at.
pub fn canvas_ui(ui: &mut Ui, canvas: &mut Canvas, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let (response, painter) = ui.allocate_painter(ui.available_size(), Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(AccessRole::Canvas, true, "Drawing"));
    let rect = response.rect;
    painter.rect_filled(rect, 0, t.canvas);
    let model = &view.file.model;

    if response.double_clicked() {
        canvas.fit();
    }
    let mut placement = match canvas.placement {
        Some(p) if canvas.moved => p,
        _ => Placement::fit(model.bounds, rect.size()),
    };
    if response.dragged() {
        placement = placement.panned(response.drag_delta());
        canvas.moved = true;
    }
    if let Some(cursor) = response.hover_pos() {
        let zoom = ui.input(|i| i.zoom_delta() * (i.smooth_scroll_delta().y * 0.004).exp());
        if zoom != 1.0 {
            placement = placement.zoomed(rect, cursor, zoom);
            canvas.moved = true;
        }
        canvas.hovered = pick::pick(model, placement, rect, cursor);
    } else {
        canvas.hovered = None;
    }
    canvas.placement = Some(placement);
    if response.clicked() {
        actions.push(Action::Select(canvas.hovered));
    }

    painter.extend(still_shapes(
        canvas,
        placement,
        rect,
        view,
        ui.visuals().dark_mode,
        t,
    ));
    let line = |target: Target| match target {
        Target::Contour(i) => model.contours.get(i),
        Target::Open(i) => model.open.get(i),
    };
    for (target, colour) in [
        (canvas.hovered, mix(t.outline, t.accent, 0.5)),
        (view.file.selected, t.accent),
    ] {
        let points = target
            .and_then(line)
            .and_then(|l| paint::screen_points(l, placement, rect));
        if let Some(points) = points {
            painter.extend(paint::prominent(points, colour, t.canvas));
        }
    }
    labels(&painter, placement, rect, view, t);
    scale_bar(&painter, placement, rect, view.system, t);
    legend(&painter, rect, view, t);
    if let Some(cursor) = response.hover_pos() {
        coordinates(&painter, placement, rect, view, cursor, t);
    }
    if let Some(target) = canvas.hovered {
        response
            .clone()
            .on_hover_cursor(CursorIcon::PointingHand)
            .on_hover_ui_at_pointer(|ui| about_ui(ui, target, view));
    } else if response.dragged() {
        ui.set_cursor_icon(CursorIcon::Grabbing);
    }
}

fn still_shapes(
    canvas: &mut Canvas,
    placement: Placement,
    rect: Rect,
    view: &View<'_>,
    dark: bool,
    t: &Tokens,
) -> Vec<Shape> {
    let file = view.file;
    let key = Key {
        placement,
        rect,
        dark,
        looks: (0..file.profile.contours.len())
            .map(|i| Look {
                role: file.profile.role(i, file.job.keep),
                cut: file.job.cuts(&file.profile.contours[i]),
            })
            .collect(),
        paths: file.paths.as_ref().map(|(n, wire, _)| (*n, *wire)),
        skims: view.skims,
        outside_stays: file.job.keep == crate::profile::Keep::Outside,
    };
    match &canvas.painted {
        Some((k, shapes)) if *k == key => shapes.clone(),
        _ => {
            let still = paint::Still {
                model: &file.model,
                looks: &key.looks,
                paths: file.paths.as_ref().map(|(_, wire, p)| (p, t.wire(*wire))),
                skims: key.skims,
                outside_stays: key.outside_stays,
            };
            let shapes = paint::still(&still, placement, rect, t);
            canvas.painted = Some((key, shapes.clone()));
            shapes
        }
    }
}

/// Numbers of the contours, as in the list.
fn labels(painter: &egui::Painter, placement: Placement, rect: Rect, view: &View<'_>, t: &Tokens) {
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

fn scale_bar(
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

fn coordinates(
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
fn legend(painter: &egui::Painter, rect: Rect, view: &View<'_>, t: &Tokens) {
    use crate::profile::Role;
    let file = view.file;
    let roles: Vec<_> = file
        .profile
        .contours
        .iter()
        .enumerate()
        .map(|(i, c)| (file.profile.role(i, file.job.keep), file.job.cuts(c)))
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
    if let (Some(e), Some((_, wire, paths))) = (file.shown_estimate(), &file.paths) {
        if !paths.loops.is_empty() {
            let p = place(&format!("path of {}", view.system.candidate(&e.candidate)));
            painter.line_segment(bar(p), stroke(1.5, t.wire(*wire)));
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

/// Name and measures of what is under the cursor.
fn about_ui(ui: &mut Ui, target: Target, view: &View<'_>) {
    let (file, system) = (view.file, view.system);
    match target {
        Target::Contour(i) => {
            let contour = &file.profile.contours[i];
            let role = file.profile.role(i, file.job.keep).word();
            let cut = if file.job.cuts(contour) {
                ""
            } else {
                ", left out"
            };
            ui.label(super::theme::strong(
                format!("{}  {role}{cut}", i + 1),
                super::theme::BODY,
            ));
            ui.label(format!(
                "{} long, {} inside",
                system.length(contour.drawn_length),
                system.area(contour.drawn_area)
            ));
            if let Some(m) = file
                .answer
                .as_ref()
                .and_then(|a| a.measures.contours.get(i))
            {
                let corners = count(m.corners, "corner", "corners");
                ui.label(match m.tightest_inside_radius {
                    Some(r) if r.mm() > 0.0 => {
                        format!("{corners}, tightest inside radius {}", system.fine(r))
                    }
                    Some(_) => format!("{corners}, a sharp inside corner"),
                    None => corners,
                });
            }
            if !contour.layer.is_empty() {
                ui.weak(format!("layer {}", contour.layer));
            }
        }
        Target::Open(i) => {
            let chain = &file.profile.open[i];
            ui.label(super::theme::strong("open curve", super::theme::BODY));
            ui.label(format!(
                "{} long; it closes no contour and is not cut",
                system.length(chain.drawn_length)
            ));
        }
    }
}

/// Where a point of the profile lies in a model, for centring.
pub fn place(model: &Model, at: Point) -> Pos2 {
    near(at, model.centre)
}
