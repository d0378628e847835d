//! Start holes and entry points: shown, the order as a route, those of the selected contour moved by hand.

use super::overlay::detailed_from;
use crate::geometry::Point;
use crate::gui::open_file::{OpenFile, Target};
use crate::gui::scene::{PathModel, Placement, near};
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, Tokens, mix, strong};
use crate::job::{Job, contour_key};
use crate::plan::schedule::PlannedStart;
use crate::plan::start_offers::{Shown, StartOffer, take_offer};
use crate::plan::{Step, StepKind};
use crate::profile::{Profile, Role};
use crate::units::Length;
use egui::emath::{Pos2, Rect, Vec2, vec2};
use egui::{FontId, Painter, Stroke, Ui};

/// How near the pointer must come to a hole or join, points.
const REACH: f32 = 9.0;
/// Radius of a hole's mark, points.
const HOLE: f32 = 5.5;
/// Half the side of a join's mark, points.
const JOIN: f32 = 2.6;
/// Most contours whose order is shown as a route; more are noise.
const MOST_ON_ROUTE: usize = 60;

/// What is taken hold of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// The start hole.
    Hole,
    /// Where the path is joined.
    Join,
}

/// A start hole or join of a contour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Grip {
    /// Contour of the profile.
    pub contour: usize,
    /// Which of the two.
    pub kind: Kind,
}

/// Where contours are begun on the wire shown.
pub fn planned(file: &OpenFile) -> &[PlannedStart] {
    let figures = file.shown_estimate().and_then(|e| e.figures.as_ref());
    figures.map_or(&[], |f| &f.starts)
}

/// Paths of the wire shown, which know where its starts are.
fn paths_shown(file: &OpenFile) -> Option<&PathModel> {
    let (_, wire, paths) = file.paths.answer.as_ref()?;
    (*wire == file.shown).then_some(&**paths)
}

/// Where a contour is begun, by the places in the order of cutting.
fn starts_of(file: &OpenFile, contour: usize) -> impl Iterator<Item = usize> {
    let all = planned(file).len();
    let own = paths_shown(file).into_iter();
    own.flat_map(move |paths| paths.starts_of(contour))
        .filter(move |k| *k < all)
}

/// Starts that may be seen, by their places in the order of cutting: those of contours large enough on the screen, and
/// of some that are shown in any case.
fn shown(
    file: &OpenFile,
    (placement, sight): (Placement, Rect),
    always: impl IntoIterator<Item = usize>,
) -> Vec<usize> {
    let (model, all) = (&file.model, planned(file));
    let Some(paths) = paths_shown(file) else {
        return Vec::new();
    };
    let least = detailed_from(model, placement.scale);
    let mut out: Vec<usize> = if let Some(few) = model.few_from(least) {
        few.iter().flat_map(|i| paths.starts_of(*i)).collect()
    } else {
        let in_sight = paths.starts_in(placement.rect_to_drawing(sight, sight));
        let is_large = |k: &usize| {
            let line = all.get(*k).and_then(|s| model.contours.get(s.contour));
            line.is_some_and(|l| l.size() >= least)
        };
        in_sight.into_iter().filter(is_large).collect()
    };
    out.extend(always.into_iter().flat_map(|i| paths.starts_of(i)));
    out.retain(|k| *k < all.len());
    out.sort_unstable();
    out.dedup();
    out
}

fn seen(file: &OpenFile, p: Point, placement: Placement, rect: Rect) -> Pos2 {
    placement.to_screen(rect, near(p, file.model.centre))
}

/// The hole or join of the selected contour under the pointer; holes come before joins. Marks of other contours are
/// no grips, so that a drag pans wherever it begins.
pub fn grip_at(file: &OpenFile, placement: Placement, rect: Rect, at: Pos2) -> Option<Grip> {
    let mut best: Option<(f32, Grip)> = None;
    let Some(Target::Contour(selected)) = file.selected else {
        return None;
    };
    for s in starts_of(file, selected).map(|k| &planned(file)[k]) {
        let places = [(Kind::Hole, s.start.hole), (Kind::Join, s.start.join)];
        for (kind, p) in places
            .into_iter()
            .filter(|p| p.0 == Kind::Join || s.hole.is_some())
        {
            let contour = s.contour;
            let distance = seen(file, p, placement, rect).distance(at);
            if distance <= REACH && best.is_none_or(|b| distance < b.0) {
                best = Some((distance, Grip { contour, kind }));
            }
        }
    }
    best.map(|b| b.1)
}

/// How many holes and joins are seen in a part of the canvas.
pub fn marks_in(file: &OpenFile, placement: Placement, rect: Rect, part: Rect) -> usize {
    let part = part.expand(HOLE);
    let places = planned(file).iter().flat_map(|s| {
        let hole = s.hole.map(|_| s.start.hole);
        hole.into_iter().chain([s.start.join])
    });
    let inside = |p: &Point| part.contains(seen(file, *p, placement, rect));
    places.filter(inside).count()
}

/// Offers in a part of the canvas that are not taken yet, and where they are seen.
fn open_offers(
    file: &OpenFile,
    (placement, rect): (Placement, Rect),
    sight: Rect,
) -> impl Iterator<Item = (&StartOffer, Pos2)> {
    let offers = file.course.of(file.shown).map_or(&[][..], |c| &c.offers);
    let placed = offers
        .iter()
        .map(move |o| (o, seen(file, o.hole, placement, rect)));
    placed.filter(move |(o, at)| {
        let contour = file.profile.contours().get(o.contour);
        sight.contains(*at)
            && contour.is_some_and(|c| file.job.choice(contour_key(c)).hole != Some(o.hole))
    })
}

/// The offered hole under the pointer.
pub fn offer_at(file: &OpenFile, placement: Placement, rect: Rect, at: Pos2) -> Option<StartOffer> {
    let near = Rect::from_center_size(at, Vec2::splat(2.0 * REACH));
    let mut reached = open_offers(file, (placement, rect), near);
    let offer = reached.find(|(_, place)| place.distance(at) <= REACH);
    offer.map(|(o, _)| *o)
}

/// Takes an offered hole.
pub fn accept(file: &OpenFile, offer: &StartOffer) -> Action {
    let mut job = file.job.clone();
    take_offer(&file.profile, &mut job, offer);
    Action::Edit(Box::new(job))
}

/// Puts a hole or join where it was let go, or says why that is no place for it.
pub fn moved(file: &OpenFile, grip: Grip, to: Point) -> Option<Action> {
    let c = file.profile.contours().get(grip.contour)?;
    let mut job = file.job.clone();
    match grip.kind {
        Kind::Join => {
            let along = c.shape.nearest(to)?.along;
            job.choose(contour_key(c), |c| c.join = Some(Length::from_mm(along)));
        }
        Kind::Hole => {
            if !in_waste(&file.profile, &file.job, grip.contour, to) {
                let role = file.job.role(&file.profile, grip.contour).word();
                let number = grip.contour + 1;
                return Some(Action::Refuse(say!(
                    "The start hole of {role} {number} would lie in material that stays, or in other waste. \
                     Put it into the waste that the wire of {role} {number} runs in."
                )));
            }
            job.choose(contour_key(c), |c| c.hole = Some(to));
        }
    }
    Some(Action::Edit(Box::new(job)))
}

/// Leaves hole or join to the program again.
pub fn reset(file: &OpenFile, grip: Grip) -> Option<Action> {
    let c = file.profile.contours().get(grip.contour)?;
    let mut job = file.job.clone();
    job.choose(contour_key(c), |c| match grip.kind {
        Kind::Hole => c.hole = None,
        Kind::Join => c.join = None,
    });
    Some(Action::Edit(Box::new(job)))
}

/// Whether a place lies in the waste beside a contour's path.
fn in_waste(profile: &Profile, job: &Job, contour: usize, p: Point) -> bool {
    let around = |k: &usize| {
        let c = &profile.contours()[*k];
        job.cuts(c) && c.shape.bounds().contains(p) && c.shape.winding(p) != 0
    };
    let innermost = (0..profile.contours().len())
        .filter(around)
        .max_by_key(|k| profile.contours()[*k].depth);
    match job.role(profile, contour) {
        Role::Opening => innermost == Some(contour),
        Role::Outline => {
            let mut parent = profile.contours()[contour].parent;
            while let Some(p) = parent.filter(|p| !job.cuts(&profile.contours()[*p])) {
                parent = profile.contours()[p].parent;
            }
            innermost == parent
        }
    }
}

/// What is being moved, and where to (mm about the profile's origin).
pub type Moving = Option<(Grip, Point)>;

/// All starts and offers; what is being moved is shown where it would be let go.
pub fn paint(
    painter: &Painter,
    (placement, rect): (Placement, Rect),
    view: &View<'_>,
    moving: Moving,
    hovered: Option<Grip>,
    t: &Tokens,
) {
    let file = view.file;
    let wire = t.wire(file.shown);
    let all = planned(file);
    let sight = rect.expand(20.0);
    route(painter, (placement, rect), file, all, t);
    let selected = match file.selected {
        Some(Target::Contour(i)) => Some(i),
        _ => None,
    };
    let always = selected.into_iter().chain(moving.map(|m| m.0.contour));
    for s in shown(file, (placement, sight), always)
        .into_iter()
        .map(|k| &all[k])
    {
        let in_hand = moving.filter(|m| m.0.contour == s.contour);
        let mut hole = s.start.hole;
        let mut join = s.start.join;
        let mut free = true;
        if let Some((grip, to)) = in_hand {
            let contour = file.profile.contours().get(s.contour);
            match grip.kind {
                Kind::Hole => {
                    hole = to;
                    free = in_waste(&file.profile, &file.job, s.contour, to);
                }
                Kind::Join => {
                    join = contour
                        .and_then(|c| c.shape.nearest(to))
                        .map_or(to, |n| n.at);
                }
            }
        }
        let at = seen(file, hole, placement, rect);
        let foot = seen(file, join, placement, rect);
        if !sight.contains(at) && !sight.contains(foot) {
            continue;
        }
        let on = |kind| {
            hovered
                == Some(Grip {
                    contour: s.contour,
                    kind,
                })
        };
        let ink = |kind| {
            if !free {
                t.fault
            } else if on(kind) {
                t.accent
            } else {
                t.text
            }
        };
        painter.line_segment([at, foot], Stroke::new(1.2, wire));
        let square = Rect::from_center_size(foot, vec2(2.0 * JOIN, 2.0 * JOIN));
        painter.rect_filled(square.expand(1.2), 0, t.canvas);
        painter.rect_filled(square, 0, ink(Kind::Join));
        if let Some(d) = s.hole.filter(|_| s.threaded) {
            let radius = (d.mm() / 2.0) as f32 * placement.scale;
            true_hole(painter, at, radius, Stroke::new(1.3, ink(Kind::Hole)), t);
        }
        if let Some((grip, _)) = in_hand {
            let held = if grip.kind == Kind::Hole { at } else { foot };
            let words = in_hand_words(view, s, (hole, join), free);
            let font = FontId::proportional(SMALL + 0.5);
            let galley = painter.layout_no_wrap(words, font, if free { t.text } else { t.fault });
            let corner = held + vec2(14.0, -8.0 - galley.size().y);
            let ground = Rect::from_min_size(corner, galley.size()).expand2(vec2(5.0, 2.0));
            painter.rect_filled(ground, 3, t.raised);
            painter.galley(corner, galley, t.text);
        }
    }
    for (_, at) in open_offers(file, (placement, rect), sight) {
        offer_mark(painter, at, t);
    }
}

/// What the place in the hand comes to: the lead-in, and its minutes in proportion to those of today's.
fn in_hand_words(
    view: &View<'_>,
    s: &PlannedStart,
    (hole, join): (Point, Point),
    free: bool,
) -> String {
    if !free {
        return say!("material that stays, or other waste").to_owned();
    }
    let style = view.style;
    let length = hole.distance(join);
    let before = s.start.hole.distance(s.start.join);
    let words = say!("lead-in {}", style.length(Length::from_mm(length)));
    let figures = view.file.shown_estimate().and_then(|e| e.figures.as_ref());
    let step = figures.and_then(|f| {
        let own = |k: &&Step| k.contour == Some(s.contour) && k.kind == StepKind::LeadIn;
        f.steps.iter().find(own)
    });
    match step.filter(|_| before > 0.0) {
        Some(step) => format!(
            "{words} · {}",
            style.step_time(step.minutes * (length / before))
        ),
        None => words,
    }
}

/// The order of cutting as a way from start to start, with an arrow on each stretch that has room for one.
fn route(
    painter: &Painter,
    (placement, rect): (Placement, Rect),
    file: &OpenFile,
    all: &[PlannedStart],
    t: &Tokens,
) {
    if !(2..=MOST_ON_ROUTE).contains(&all.len()) {
        return;
    }
    let colour = mix(t.canvas, t.text_soft, 0.55);
    let stroke = Stroke::new(1.0, colour);
    let at = |s: &PlannedStart| seen(file, s.start.hole, placement, rect);
    for pair in all.windows(2) {
        let (from, to) = (at(&pair[0]), at(&pair[1]));
        if !Rect::from_two_pos(from, to).intersects(rect) {
            continue;
        }
        painter.extend(egui::Shape::dashed_line(&[from, to], stroke, 2.0, 5.0));
        let way = to - from;
        if way.length() > 34.0 {
            let along = way.normalized();
            let side = vec2(-along.y, along.x);
            let tip = from + way * 0.5 + along * 4.0;
            let back = tip - along * 8.0;
            let points = vec![tip, back + side * 3.5, back - side * 3.5];
            painter.add(egui::Shape::convex_polygon(points, colour, Stroke::NONE));
        }
    }
}

/// A start hole at its true size, with a cross in its middle that is seen however small it is.
fn true_hole(painter: &Painter, at: Pos2, radius: f32, stroke: Stroke, t: &Tokens) {
    if radius < HOLE {
        hole_mark(painter, at, stroke, t);
        painter.circle_stroke(at, radius.max(0.5), Stroke::new(1.0, stroke.color));
        return;
    }
    painter.circle(at, radius, t.canvas.gamma_multiply(0.8), stroke);
    for d in [vec2(HOLE, 0.0), vec2(0.0, HOLE)] {
        painter.line_segment([at - d, at + d], Stroke::new(1.0, stroke.color));
    }
}

/// A cross in a circle.
pub fn hole_mark(painter: &Painter, at: Pos2, stroke: Stroke, t: &Tokens) {
    painter.circle(at, HOLE, t.canvas.gamma_multiply(0.8), stroke);
    for d in [vec2(HOLE, 0.0), vec2(0.0, HOLE)] {
        painter.line_segment([at - d, at + d], Stroke::new(1.0, stroke.color));
    }
}

/// An open circle of four arcs with a small plus: it may be taken.
fn offer_mark(painter: &Painter, at: Pos2, t: &Tokens) {
    let points: Vec<Pos2> = (0..=24)
        .map(|k| {
            let a = std::f32::consts::TAU * k as f32 / 24.0;
            at + vec2(a.cos(), a.sin()) * (HOLE + 1.5)
        })
        .collect();
    let stroke = Stroke::new(1.4, t.accent);
    painter.extend(egui::Shape::dashed_line(&points, stroke, 5.0, 4.0));
    for d in [vec2(3.0, 0.0), vec2(0.0, 3.0)] {
        painter.line_segment([at - d, at + d], stroke);
    }
}

/// What an offer would do.
pub fn offer_words(view: &View<'_>, offer: &StartOffer) -> String {
    let file = view.file;
    let role = file.job.role(&file.profile, offer.contour).word();
    let what = match offer.shown {
        Shown::Point => say!("This point of the drawing").to_owned(),
        Shown::Circle { diameter, .. } => {
            say!("This circle of {}", view.style.diameter(diameter))
        }
    };
    let also = match offer.shown {
        Shown::Point => "",
        Shown::Circle { .. } => say!(" The circle itself is then left out of the cut."),
    };
    say!(
        "{what} may be the start hole of {role} {}. Click to take it.{also}",
        offer.contour + 1
    )
}

/// What a start hole or join is, and that it can be moved.
pub fn grip_ui(ui: &mut Ui, grip: Grip, view: &View<'_>) {
    let file = view.file;
    let all = planned(file);
    let Some(k) = all.iter().position(|s| s.contour == grip.contour) else {
        return;
    };
    let role = file.job.role(&file.profile, grip.contour).word();
    let number = grip.contour + 1;
    let s = &all[k];
    let title = match grip.kind {
        Kind::Hole => say!("start hole of {role} {number}, cut as number {}", k + 1),
        Kind::Join => say!("where the path of {role} {number} is joined"),
    };
    ui.label(strong(title, BODY));
    if let Some(d) = s.hole {
        ui.label(format!("Ø\u{202f}{}", view.style.typed_length(d)));
    }
    ui.label(say!("lead-in {}", view.style.length(s.start.lead_in)));
    ui.weak(say!(
        "drag to move it; a right click leaves it to the program again"
    ));
}
