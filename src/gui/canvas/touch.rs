//! What the pointer does on the canvas: pan, zoom, take hold of a start, select, open the menu.

use super::Canvas;
use super::marks;
use super::paint::plate;
use super::pick;
use super::rings;
use super::starts::{self, Grip};
use super::uncut;
use crate::geometry::Point;
use crate::gui::open_file::{OpenFile, Spot, Target};
use crate::gui::scene::Placement;
use crate::gui::state::{Action, View};
use crate::plan::start_offers::StartOffer;
use crate::profile::Keep;
use egui::emath::{Pos2, Rect};
use egui::{PointerButton, Response, Ui};

/// In a window narrower than this, points, a page would hide half of the part: as long as nobody moved the view, the
/// part keeps beside it. In a wider one the drawing stays where it is.
const NARROW: f32 = 1100.0;

/// What is under the pointer before any curve.
pub struct Under {
    /// A start hole or join.
    pub grip: Option<Grip>,
    /// A start hole that is offered.
    pub offer: Option<StartOffer>,
    /// A finding of the import.
    pub mark: Option<Spot>,
    /// Places that the wire cannot reach or what else it cannot do: the first of those places, and what is said.
    pub uncut: Option<(Option<usize>, String)>,
}

/// Takes what was done since the last frame; returns how the drawing lies in `rect` now.
pub fn touch(
    ui: &Ui,
    response: &Response,
    rect: Rect,
    canvas: &mut Canvas,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) -> (Placement, Under) {
    let (file, model) = (view.file, &view.file.model);
    if response.double_clicked() {
        canvas.camera.fit_beside(canvas.covered);
    }
    let mut placement = match canvas.camera.placement {
        Some(p) if canvas.camera.moved => p,
        _ => {
            let narrow = rect.width() < NARROW;
            let covered = if narrow { canvas.covered } else { 0.0 };
            let covered = covered.max(canvas.camera.covered);
            let (bounds, more) = to_fit(file);
            Placement::fit_with(bounds, more, rect.size(), covered)
        }
    };
    if !move_start(ui, response, (placement, rect), canvas, view, actions) && response.dragged() {
        placement = placement.panned(response.drag_delta());
        canvas.camera.moved = true;
    }
    let pointer = response.hover_pos();
    if let Some(cursor) = pointer {
        let zoom = ui.input(|i| i.zoom_delta() * (i.smooth_scroll_delta().y * 0.004).exp());
        if zoom != 1.0 {
            placement = placement.zoomed(rect, cursor, zoom);
            canvas.camera.moved = true;
        }
    }
    canvas.hovered = pointer.and_then(|at| pick::pick(model, placement, rect, at));
    canvas.camera.placement = Some(placement);
    let under = Under {
        grip: pointer.and_then(|at| starts::grip_at(file, placement, rect, at)),
        offer: pointer.and_then(|at| starts::offer_at(file, placement, rect, at)),
        mark: pointer.and_then(|at| {
            let key = marks::cluster_key(file, placement);
            let all = canvas.clusters.of(key, |k| marks::clusters(file, *k));
            marks::mark_at(all, (placement, rect), at)
        }),
        uncut: pointer.and_then(|at| {
            let key = rings::key(file, placement);
            let ringed = canvas.rings.of(key, |k| rings::rings(file, *k));
            let all = canvas.uncut.of(key, |k| uncut::marks(file, ringed, *k));
            if let Some(mark) = uncut::at(all, (placement, rect), at) {
                return Some((mark.places.first().copied(), uncut::words(view, mark)?));
            }
            let blocks = rings::at(ringed, (placement, rect), at)?;
            Some((None, rings::words(blocks).to_owned()))
        }),
    };
    let of_grip = under.grip.map(|g| Target::Contour(g.contour));
    if response.clicked() {
        match (&under.offer, under.grip, under.mark, &under.uncut) {
            (Some(offer), ..) => actions.push(starts::accept(file, offer)),
            (None, None, Some(spot), _) => actions.push(Action::Spot(Some(spot))),
            (None, None, None, Some((first, _))) => {
                // A ring may cover a whole opening, which is to be selected all the same.
                actions.push(Action::Select(canvas.hovered));
                uncut::clicked(view, *first, actions);
            }
            _ => actions.push(Action::Select(of_grip.or(canvas.hovered))),
        }
    }
    if response.secondary_clicked() {
        canvas.menu = (under.grip, of_grip.or(canvas.hovered));
    }
    (placement, under)
}

/// What is seen at first: the drawing, with the plate where that stays; and what the wire shown does about it.
fn to_fit(file: &OpenFile) -> (Rect, Rect) {
    let bounds = file.model.bounds;
    let stays = file.job.keep == Keep::Outside;
    let bounds = if stays { plate(bounds) } else { bounds };
    let paths = file.paths.answer.as_ref();
    (bounds, paths.map_or(Rect::NOTHING, |p| p.2.bounds))
}

/// Moves a start hole or join with the pointer; whether one is in the hand.
fn move_start(
    ui: &Ui,
    response: &Response,
    (placement, rect): (Placement, Rect),
    canvas: &mut Canvas,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) -> bool {
    let file = view.file;
    let place_of = |at: Pos2| {
        let p = placement.to_drawing(rect, at);
        Point::new(f64::from(p.x), f64::from(p.y)) + file.model.centre
    };
    if response.drag_started_by(PointerButton::Primary) {
        let pressed = ui.input(|i| i.pointer.press_origin());
        canvas.moving = pressed.and_then(|at| {
            let grip = starts::grip_at(file, placement, rect, at)?;
            Some((grip, place_of(at)))
        });
    }
    let Some((grip, to)) = &mut canvas.moving else {
        return false;
    };
    if let Some(at) = response.interact_pointer_pos() {
        *to = place_of(at);
    }
    if response.drag_stopped() {
        actions.extend(starts::moved(file, *grip, *to));
    }
    if response.drag_stopped() || !response.dragged() {
        canvas.moving = None;
    }
    true
}
