//! The drawing: pan, zoom, hover, selection; the wire's path on it.
//!
//! `model` makes polylines once, `view` places them, `paint` turns them into shapes that are kept until
//! something they depend on changes, `pick` answers what is under the cursor.

mod cut;
mod feed;
mod fill;
mod model;
mod overlay;
mod paint;
mod pick;
mod starts;
mod view;

pub use model::{Line, Model, PathModel, near};
pub use starts::{Grip, Kind, planned, reset};
pub use view::{Placement, round_length};

use super::format::count;
use super::panels::contour_menu;
use super::state::{Action, Target, View};
use super::theme::{Tokens, mix, tokens};
use crate::geometry::Point;
use crate::plan::timeline::Moment;
use egui::emath::{Pos2, Rect};
use egui::{CursorIcon, PointerButton, Role as AccessRole, Sense, Shape, Ui, WidgetInfo};
use paint::Look;

/// Pan, zoom and what was painted last.
#[derive(Default)]
pub struct Canvas {
    placement: Option<Placement>,
    /// Whether the user moved the view; until then it follows the window.
    moved: bool,
    hovered: Option<Target>,
    painted: Option<(Key, Vec<Shape>)>,
    cut: Option<(CutKey, Vec<Shape>)>,
    /// A start hole or join in the hand.
    moving: starts::Moving,
    /// What the menu that is open is about.
    menu: (Option<Grip>, Option<Target>),
}

/// What the shapes of finished steps depend on.
#[derive(PartialEq)]
struct CutKey {
    placement: Placement,
    rect: Rect,
    dark: bool,
    course: (u64, usize),
    step: usize,
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
    faint: bool,
    standing: Vec<bool>,
    /// Course and pass that is shaded by its feed.
    feed: Option<(u64, usize)>,
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
    let file = view.file;
    let place_of = |placement: Placement, at: Pos2| {
        let p = placement.to_drawing(rect, at);
        Point::new(f64::from(p.x), f64::from(p.y)) + model.centre
    };
    if response.drag_started_by(PointerButton::Primary) {
        let pressed = ui.input(|i| i.pointer.press_origin());
        canvas.moving = pressed
            .and_then(|at| Some((starts::grip_at(file, placement, rect, at)?, at)))
            .map(|(grip, at)| (grip, place_of(placement, at)));
    }
    if let Some((grip, to)) = &mut canvas.moving {
        if let Some(at) = response.interact_pointer_pos() {
            *to = place_of(placement, at);
        }
        if response.drag_stopped() {
            actions.extend(starts::moved(file, *grip, *to));
            canvas.moving = None;
        } else if !response.dragged() {
            canvas.moving = None;
        }
    } else if response.dragged() {
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
    let pointer = response.hover_pos();
    let grip = pointer.and_then(|at| starts::grip_at(file, placement, rect, at));
    let offer = pointer.and_then(|at| starts::offer_at(file, placement, rect, at));
    if response.clicked() {
        actions.push(match (offer, grip) {
            (Some(offer), _) => starts::accept(file, &offer),
            (None, Some(grip)) => Action::Select(Some(Target::Contour(grip.contour))),
            (None, None) => Action::Select(canvas.hovered),
        });
    }
    if response.secondary_clicked() {
        let of_grip = grip.map(|g| Target::Contour(g.contour));
        canvas.menu = (grip, of_grip.or(canvas.hovered));
    }
    let moment = file
        .clock
        .share()
        .and_then(|s| Some((file.timing()?, file.timing()?.moment(s)?)));
    let menu = canvas.menu;
    response.context_menu(|ui| contour_menu::menu_ui(ui, menu.0, menu.1, view, actions));

    painter.extend(still_shapes(
        canvas,
        placement,
        rect,
        view,
        moment.as_ref().map(|m| &m.1),
        ui.visuals().dark_mode,
        t,
    ));
    if let Some((timing, m)) = &moment {
        let wire = t.wire(file.shown);
        if !view.feed {
            let dark = ui.visuals().dark_mode;
            painter.extend(finished_shapes(canvas, placement, rect, view, m, dark, t));
        }
        let diameter = file
            .shown_estimate()
            .map_or(0.0, |e| e.candidate.diameter.mm()) as f32;
        let seen = (placement, rect);
        painter.extend(cut::running(
            timing,
            m,
            model.centre,
            diameter,
            seen,
            wire,
            t,
        ));
    }
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
    starts::paint(&painter, placement, rect, view, canvas.moving, grip, t);
    overlay::labels(&painter, placement, rect, view, t);
    overlay::scale_bar(&painter, placement, rect, view.system, t);
    overlay::legend(&painter, rect, view, t);
    if view.feed {
        let pass = shaded_pass(moment.as_ref().map(|m| &m.1));
        if let Some(feeds) = file.timing().and_then(|f| f.feeds.get(pass - 1)) {
            feed::legend(&painter, rect, feeds, pass, view.system, t);
        }
    }
    if let Some(cursor) = response.hover_pos() {
        overlay::coordinates(&painter, placement, rect, view, cursor, t);
    }
    if canvas.moving.is_some() {
        ui.set_cursor_icon(CursorIcon::Grabbing);
        return;
    }
    if let Some(offer) = offer {
        response
            .on_hover_cursor(CursorIcon::PointingHand)
            .on_hover_text_at_pointer(starts::offer_words(view, &offer));
        return;
    }
    if let Some(grip) = grip {
        response
            .on_hover_cursor(CursorIcon::Grab)
            .on_hover_ui_at_pointer(|ui| grip_ui(ui, grip, view));
        return;
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

/// The pass that is shaded: the one that runs, else the rough.
fn shaded_pass(moment: Option<&Moment>) -> usize {
    moment.and_then(|m| m.pass).unwrap_or(1).max(1)
}

/// Everything cut before the step that runs, kept until another step begins.
fn finished_shapes(
    canvas: &mut Canvas,
    placement: Placement,
    rect: Rect,
    view: &View<'_>,
    m: &Moment,
    dark: bool,
    t: &Tokens,
) -> Vec<Shape> {
    let file = view.file;
    let (Some(timing), Some((number, wire, _))) = (file.timing(), &file.course.answer) else {
        return Vec::new();
    };
    let key = CutKey {
        placement,
        rect,
        dark,
        course: (*number, *wire),
        step: m.step,
    };
    match &canvas.cut {
        Some((k, shapes)) if *k == key => shapes.clone(),
        _ => {
            let shapes = cut::finished(timing, m.step, placement, rect, t.wire(*wire), t);
            canvas.cut = Some((key, shapes.clone()));
            shapes
        }
    }
}

fn still_shapes(
    canvas: &mut Canvas,
    placement: Placement,
    rect: Rect,
    view: &View<'_>,
    moment: Option<&Moment>,
    dark: bool,
    t: &Tokens,
) -> Vec<Shape> {
    let file = view.file;
    let timing = file.timing();
    let pass = shaded_pass(moment);
    let shaded = timing
        .filter(|_| view.feed)
        .and_then(|f| f.feeds.get(pass - 1));
    let key = Key {
        placement,
        rect,
        dark,
        looks: (0..file.profile.contours.len())
            .map(|i| Look {
                role: file.job.role(&file.profile, i),
                cut: file.job.cuts(&file.profile.contours[i]),
            })
            .collect(),
        paths: file.paths.as_ref().map(|(n, wire, _)| (*n, *wire)),
        skims: view.skims,
        faint: moment.is_some() || shaded.is_some(),
        standing: match (timing, moment) {
            (Some(timing), Some(m)) => cut::standing(timing, m, file.profile.contours.len()),
            _ => Vec::new(),
        },
        feed: shaded.and(file.course.answer.as_ref()).map(|c| (c.0, pass)),
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
                faint: key.faint,
                standing: &key.standing,
                outside_stays: key.outside_stays,
            };
            let mut shapes = paint::still(&still, placement, rect, t);
            if let Some(feeds) = shaded {
                shapes.extend(feed::shapes(feeds, placement, rect, t));
            }
            canvas.painted = Some((key, shapes.clone()));
            shapes
        }
    }
}

/// Name and measures of what is under the cursor.
fn about_ui(ui: &mut Ui, target: Target, view: &View<'_>) {
    let (file, system) = (view.file, view.system);
    match target {
        Target::Contour(i) => {
            let contour = &file.profile.contours[i];
            let role = file.job.role(&file.profile, i).word();
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

/// What a start hole or join is, and that it can be moved.
fn grip_ui(ui: &mut Ui, grip: Grip, view: &View<'_>) {
    let file = view.file;
    let all = planned(file);
    let Some(k) = all.iter().position(|s| s.contour == grip.contour) else {
        return;
    };
    let role = file.job.role(&file.profile, grip.contour).word();
    let number = grip.contour + 1;
    let s = &all[k];
    let title = match grip.kind {
        Kind::Hole => format!("start hole of {role} {number}, cut as number {}", k + 1),
        Kind::Join => format!("where the path of {role} {number} is joined"),
    };
    ui.label(super::theme::strong(title, super::theme::BODY));
    ui.label(format!("lead-in {}", view.system.length(s.start.lead_in)));
    ui.weak("drag to move it; a right click leaves it to the program again");
}

/// Where a point of the profile lies in a model, for centring.
pub fn place(model: &Model, at: Point) -> Pos2 {
    near(at, model.centre)
}
