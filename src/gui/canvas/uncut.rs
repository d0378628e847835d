//! Places that the wire cannot reach, marked where they lie: one mark with a number where they lie close together, and in
//! contours too small to be read one for a whole stretch of the plate.

use super::baked::Seen;
use super::gather::{Gathered, Place, gather, in_sight, nearest};
use super::ink::Ink;
use super::marks::{CLUSTER, number};
use super::overlay::detailed_from;
use super::rings::{Key, Ring, marks_it};
use crate::gui::open_file::{OpenFile, Target};
use crate::gui::page::Page;
use crate::gui::scene::Placement;
use crate::gui::state::{Action, View};
use crate::gui::theme::Tokens;
use crate::units::Length;
use crate::words::uncut;
use egui::emath::{Pos2, Rect, Vec2, vec2};
use egui::{Painter, Stroke};

/// In contours too small to be shown in detail one mark stands for so many squares of [`CLUSTER`] along each side.
const OF_SMALL: f32 = 4.0;
/// Length of a mark from its tip, points.
const LONG: f32 = 8.0;
/// How near the pointer must come to the middle of a mark, points.
const REACH: f32 = 7.0;

/// All marks of the paths shown but those in rings, which say as much; nothing where there are none.
pub fn marks(file: &OpenFile, rings: &[Ring], (scale, _): Key) -> Vec<Gathered> {
    let uncut = file.paths.answer.as_ref().map_or(&[][..], |p| &p.2.uncut);
    let contours = &file.model.contours;
    let place = |(at, contour): &(Pos2, usize)| {
        let line = contours.get(*contour);
        let is_large = line.is_some_and(|l| l.size() >= detailed_from(&file.model, scale));
        let squares = if is_large { 1.0 } else { OF_SMALL };
        Place {
            at: *at,
            wide: squares * CLUSTER / scale,
        }
    };
    let places: Vec<Place> = uncut.iter().map(place).collect();
    let mut all = gather(&places, CLUSTER / scale);
    all.retain(|g| !marks_it(rings, g.at, scale));
    all
}

/// Those in a part of the screen, and where their tips are seen.
fn seen(all: &[Gathered], view: Seen, sight: Rect) -> impl Iterator<Item = (&Gathered, Pos2)> {
    in_sight(all, view, sight, |g| g.at)
}

/// Triangles with their tips at the places.
pub fn signs(all: &[Gathered], ink: &mut Ink, view: Seen, t: &Tokens) {
    let corners = [
        Vec2::ZERO,
        vec2(0.44 * LONG, LONG),
        vec2(-0.44 * LONG, LONG),
    ];
    for (_, at) in seen(all, view, view.1.expand(LONG)) {
        ink.convex(at, &corners, t.warn, Stroke::new(1.0, t.canvas));
    }
}

/// How many places each mark stands for, where they are several; where words lie, which nothing else may cover.
pub fn numbers(
    painter: &Painter,
    all: &[Gathered],
    view: (Placement, Rect),
    t: &Tokens,
) -> Vec<Rect> {
    let several = seen(all, view, view.1).filter(|(g, _)| g.places.len() > 1);
    let beside = vec2(0.44 * LONG + 2.0, 0.6 * LONG);
    several
        .map(|(g, at)| number(painter, at + beside, g.places.len(), t.warn, t))
        .collect()
}

/// The mark under the pointer.
pub fn at(all: &[Gathered], view: (Placement, Rect), at: Pos2) -> Option<&Gathered> {
    let middle = vec2(0.0, 0.5 * LONG);
    let around = Rect::from_center_size(at - middle, Vec2::splat(2.0 * REACH));
    nearest(seen(all, view, around), at - middle, REACH)
}

/// What a mark stands for.
pub fn words(view: &View<'_>, mark: &Gathered) -> Option<String> {
    let uncut = &view.file.shown_estimate()?.uncut;
    let own = mark.places.iter().filter_map(|k| uncut.get(*k));
    let deepest = own.map(|u| u.depth).fold(Length::ZERO, Length::max);
    Some(uncut::together(
        mark.places.len(),
        deepest,
        view.style.system,
    ))
}

/// Leads to the list of what the wire cannot do, with the contour of the first place selected where it is one that the wire
/// cannot reach.
pub fn clicked(view: &View<'_>, first: Option<usize>, actions: &mut Vec<Action>) {
    let paths = view.file.paths.answer.as_ref();
    let uncut = paths.zip(first).and_then(|(p, first)| p.2.uncut.get(first));
    actions.extend(uncut.map(|u| Action::Select(Some(Target::Contour(u.1)))));
    if view.page != Some(Page::Findings) {
        actions.push(Action::Run(crate::gui::commands::Command::Page(
            Page::Findings,
        )));
    }
}
