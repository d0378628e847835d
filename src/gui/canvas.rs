//! The drawing: pan, zoom, hover, selection; the wire's path on it.
//!
//! The scene holds the polylines and places them, `paint` turns them into shapes, which are kept as triangles (`baked`)
//! until something they depend on changes, `pick` answers what is under the cursor. What opens over the drawing
//! is laid there by the window: the canvas knows no panel.

mod baked;
mod cut;
mod feed;
mod fill;
mod gather;
mod ghost;
mod ink;
mod legend;
mod lines;
mod marks;
mod notes;
mod overlay;
mod paint;
mod pick;
mod rings;
mod stamp;
mod starts;
mod touch;
mod uncut;

pub use ghost::sign;
pub use starts::{Grip, Kind, planned, reset};

use super::open_file::{OpenFile, Target};
use super::scene::{Camera, Placement};
use super::state::{Action, View};
use super::theme::{Tokens, mix, tokens};
use crate::job::Job;
use crate::plan::timeline::Moment;
use crate::process::PassNumber;
use crate::profile::Profile;
use crate::units::Length;
use baked::{Baked, Make, Memo, Seen};
use egui::emath::{Rect, Vec2};
use egui::{CursorIcon, Painter, Response, Role as AccessRole, Sense, Shape, Ui, WidgetInfo};
use ink::Ink;
use legend::Legend;
use paint::Look;
use std::sync::Arc;
use std::time::Duration;

/// What was painted last of the drawing in front, and what the pointer does with it.
#[derive(Default)]
pub struct Canvas {
    /// The profile that is painted; with another one everything here begins anew.
    of: Option<Arc<Profile>>,
    /// Pan and zoom, those of the file in front while it is painted.
    camera: Camera,
    hovered: Option<Target>,
    painted: Baked<Key>,
    cut: Baked<CutKey>,
    ghost: Baked<ghost::Key>,
    /// The contour under the pointer and the one selected.
    prominent: Baked<(Option<Target>, Option<Target>, bool)>,
    /// Marks of the import; these and the profile change together.
    clusters: Memo<marks::ClusterKey, Vec<marks::Cluster>>,
    signs: Baked<marks::SignKey>,
    /// Marks of what the wire cannot reach; these and the paths change together.
    uncut: Memo<rings::Key, Vec<gather::Gathered>>,
    uncut_signs: Baked<(rings::Key, bool)>,
    /// Rings about what the wire cannot do.
    rings: Memo<rings::Key, Vec<rings::Ring>>,
    /// How each contour is shown, until profile or job change.
    looks: Option<(Arc<Profile>, Job, Looks)>,
    /// Where the legend of the feed stands, until the view or the paths change.
    feed_corner: Option<(FeedKey, Rect)>,
    /// A start hole or join in the hand.
    moving: starts::Moving,
    /// What the menu that is open is about.
    menu: (Option<Grip>, Option<Target>),
    /// Points at the right that a page covers.
    covered: f32,
}

/// What the place of the feed's legend depends on: view, size of the legend, paths, starts.
type FeedKey = (Placement, Rect, Vec2, u64, usize);

/// How the contours of a drawing are shown, and what is cut of them.
#[derive(Clone)]
struct Looks {
    each: Arc<[Look]>,
    cut: (usize, Length),
}

/// What the shapes of finished steps depend on beside the view.
#[derive(PartialEq)]
struct CutKey {
    dark: bool,
    course: (u64, usize),
    step: usize,
}

/// What the still shapes depend on beside the view.
#[derive(PartialEq, Clone)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "a key of independent switches"
)]
struct Key {
    dark: bool,
    looks: Arc<[Look]>,
    paths: Option<(u64, usize)>,
    skims: bool,
    faint: bool,
    in_place: Vec<bool>,
    /// Contours of pieces that want care; none while nobody looks at the cautions.
    care: Vec<bool>,
    /// Course and pass that is shaded by its feed.
    feed: Option<(u64, PassNumber)>,
    outside_stays: bool,
}

impl Key {
    /// Whether what belongs to one may be shown until what belongs to another is there: while a job is played only what
    /// has come out differs, and which pass of the same course is shaded.
    fn serves(&self, other: &Self) -> bool {
        let played = !self.in_place.is_empty() && !other.in_place.is_empty();
        let course = |key: &Self| key.feed.map(|f| f.0);
        self == other
            || played
                && course(self) == course(other)
                && *self
                    == Self {
                        in_place: self.in_place.clone(),
                        feed: self.feed,
                        ..other.clone()
                    }
    }
}

impl Canvas {
    /// What the menu over the drawing is about.
    pub fn menu(&self) -> (Option<Grip>, Option<Target>) {
        self.menu
    }
    /// How many contours are cut, and their length together, as they are painted.
    pub fn cut(&self) -> (usize, Length) {
        self.looks.as_ref().map_or((0, Length::ZERO), |l| l.2.cut)
    }
    /// Waits for what is made beside the window, at most for so long each; whether nothing is being made then.
    pub fn wait(&mut self, longest: Duration) -> bool {
        self.painted.wait(longest) && self.cut.wait(longest)
    }
    /// How each contour is shown.
    fn looks(&mut self, view: &View<'_>) -> Looks {
        let (profile, job) = (&view.file.profile, &view.file.job);
        match &self.looks {
            Some((p, j, looks)) if Arc::ptr_eq(p, profile) && j == job => looks.clone(),
            _ => {
                let look = |(i, c)| Look {
                    role: job.role(profile, i),
                    cut: job.cuts(c),
                };
                let all = profile.contours();
                let each: Arc<[Look]> = all.iter().enumerate().map(look).collect();
                let cut = all.iter().zip(&*each).filter(|(_, look)| look.cut);
                let length = cut.clone().map(|(c, _)| c.drawn_length).sum();
                let cut = (cut.count(), length);
                let looks = Looks { each, cut };
                self.looks = Some((profile.clone(), job.clone(), looks.clone()));
                looks
            }
        }
    }
    /// The freest corner for the legend of the feed: fewest start holes, then fewest lines under it.
    fn feed_ground(
        &mut self,
        (placement, rect): (Placement, Rect),
        view: &View<'_>,
        clear: Rect,
        size: Vec2,
    ) -> Rect {
        let file = view.file;
        let (number, wire) = file.course.answer.as_ref().map_or((0, 0), |c| (c.0, c.1));
        let key = (placement, clear, size, number, wire);
        match self.feed_corner {
            Some((k, ground)) if k == key => ground,
            _ => {
                let corners = feed::corners(clear, size);
                let load = |ground: &Rect| {
                    let holes = starts::marks_in(file, placement, rect, *ground);
                    (
                        holes,
                        feed::lines_in(&file.model, (placement, rect), *ground),
                    )
                };
                let ground = corners.into_iter().min_by_key(load).unwrap_or(clear);
                self.feed_corner = Some((key, ground));
                ground
            }
        }
    }
}

/// The drawing with its overlays, seen by `camera`, which the pointer moves. A page covers `covered` points at its
/// right: the drawing keeps its place below.
pub fn canvas_ui(
    ui: &mut Ui,
    canvas: &mut Canvas,
    camera: &mut Camera,
    covered: f32,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) -> Response {
    let profile = &view.file.profile;
    if !canvas.of.as_ref().is_some_and(|p| Arc::ptr_eq(p, profile)) {
        *canvas = Canvas {
            of: Some(Arc::clone(profile)),
            ..Canvas::default()
        };
    }
    canvas.camera = *camera;
    canvas.covered = covered;
    let t = tokens(ui);
    let (response, painter) = ui.allocate_painter(ui.available_size(), Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(AccessRole::Canvas, true, say!("Drawing")));
    let clear = response.rect;
    let rect = clear.with_max_x(clear.right() + covered);
    painter.rect_filled(clear, 0, t.canvas);
    let looks = canvas.looks(view).each;
    let legend = view.legend.then(|| Legend::new(&painter, &looks, view, t));
    let (placement, under) = touch::touch(ui, &response, rect, canvas, view, actions);
    *camera = canvas.camera;

    let dark = ui.visuals().dark_mode;
    let clock = &view.file.clock;
    let moment = clock.share().and_then(|s| view.file.timing()?.moment(s));
    let seen = (placement, rect);
    let still = still_shape(
        &mut canvas.painted,
        &painter,
        seen,
        (view, looks),
        moment.as_ref(),
        dark,
        t,
    );
    // In a piece of its own, which is handed on as it is: what follows would make it grow, and be copied once more.
    let own = painter.clip_rect().shrink(0.01);
    painter.with_clip_rect(own).add(still);
    let ringed = rings::key(view.file, placement);
    let all = canvas.rings.of(ringed, |k| rings::rings(view.file, *k));
    painter.extend(rings::shapes(all, seen, t));
    let ringed = rings::places(all, seen);
    let numbers = rings::numbers(&painter, all, seen, t);
    if let Some(m) = &moment {
        let shapes = moment_shapes(&mut canvas.cut, &painter, seen, view, m, dark, t);
        painter.extend(shapes);
    }
    if let Some(ghost) = view.ghost {
        let kept = &mut canvas.ghost;
        painter.add(ghost::shape(kept, &painter, ghost, seen, dark, t));
    }
    painter.extend(prominent_shape(canvas, &painter, seen, view, dark, t));
    notes::paint(&painter, seen, view, t);
    starts::paint(&painter, seen, view, canvas.moving, under.grip, t);
    let mut words = numbers;
    words.extend(uncut_shown(canvas, &painter, seen, view, dark, t));
    words.extend(marks_shown(canvas, &painter, seen, view, dark, t));
    if let Some(ghost) = view.ghost {
        ghost::labels(&painter, ghost, seen, view, t);
    }
    overlay::labels(&painter, seen, (&words, &ringed), view, t);
    let bar = overlay::scale_bar(&painter, placement, clear, view.style, t);
    if let Some(legend) = &legend {
        legend.paint(&painter, clear, t);
    }
    if view.feed {
        let pass = shaded_pass(moment.as_ref());
        if let Some(feeds) = view.file.timing().and_then(|f| f.feeds.get(pass.place())) {
            let scale = feed::Scale::new(&painter, feeds, pass, view.style, t);
            let ground = canvas.feed_ground(seen, view, clear, scale.size());
            scale.paint(&painter, ground, t);
        }
    }
    let facts = canvas.hovered.map(|target| overlay::facts(view, target));
    let at = response.hover_pos();
    let cursor = at.map(|p| placement.to_drawing(rect, p));
    overlay::status(
        &painter,
        clear.with_min_x(bar + 16.0),
        view,
        facts,
        cursor,
        t,
    );
    about_pointed(ui, response.clone(), canvas, &under, view);
    response
}

/// The contour under the pointer and the one selected, where there are any.
fn prominent_shape(
    canvas: &mut Canvas,
    painter: &Painter,
    seen: Seen,
    view: &View<'_>,
    dark: bool,
    t: &Tokens,
) -> Option<Shape> {
    let model = &view.file.model;
    let line = |target: Target| match target {
        Target::Contour(i) => model.contours.get(i),
        Target::Open(i) => model.open.get(i),
    };
    let (hovered, selected) = (canvas.hovered, view.file.selected);
    if hovered.is_none() && selected.is_none() {
        return None;
    }
    let key = (hovered, selected, dark);
    let pixels = painter.pixels_per_point();
    let make = |_: &_, (placement, rect): Seen| {
        let mut ink = Ink::new(pixels);
        let targets = [(hovered, mix(t.canvas, t.text, 0.7)), (selected, t.text)];
        for (target, colour) in targets {
            let line = target.and_then(line);
            let points = line.and_then(|l| lines::screen_points(l, (placement, rect), ink.pixel()));
            if let Some(points) = points {
                paint::prominent(&mut ink, &points, (colour, t.canvas), rect);
            }
        }
        ink
    };
    let all = reach(view.file);
    Some(canvas.prominent.shape(painter, seen, (key, all), make))
}

/// The part of the drawing in which anything is painted that lies still, mm about the model's centre.
fn reach(file: &OpenFile) -> Rect {
    let paths = file
        .paths
        .answer
        .as_ref()
        .map_or(Rect::NOTHING, |p| p.2.bounds);
    let all = file.model.bounds.union(paths);
    // The plate around it is shown too.
    all.expand(0.1 * all.size().max_elem())
}

/// Marks of what the wire cannot reach; where their numbers lie.
fn uncut_shown(
    canvas: &mut Canvas,
    painter: &Painter,
    seen: (Placement, Rect),
    view: &View<'_>,
    dark: bool,
    t: &Tokens,
) -> Vec<Rect> {
    let key = rings::key(view.file, seen.0);
    let ringed = canvas.rings.of(key, |k| rings::rings(view.file, *k));
    let all = canvas
        .uncut
        .of(key, |k| uncut::marks(view.file, ringed, *k));
    if all.is_empty() {
        return Vec::new();
    }
    let mut ink = Ink::new(painter.pixels_per_point());
    let make = |_: &_, seen| {
        uncut::signs(all, &mut ink, seen, t);
        ink
    };
    let everywhere = ((key, dark), Rect::EVERYTHING);
    painter.add(canvas.uncut_signs.shape(painter, seen, everywhere, make));
    uncut::numbers(painter, all, seen, t)
}

/// Marks of the import; where their words lie.
fn marks_shown(
    canvas: &mut Canvas,
    painter: &Painter,
    (placement, rect): (Placement, Rect),
    view: &View<'_>,
    dark: bool,
    t: &Tokens,
) -> Vec<Rect> {
    let key = marks::cluster_key(view.file, placement);
    let all = canvas.clusters.of(key, |k| marks::clusters(view.file, *k));
    if !all.is_empty() {
        let key = (key, view.file.spot, dark);
        let mut ink = Ink::new(painter.pixels_per_point());
        let make = |_: &_, seen| {
            marks::signs(all, &mut ink, seen, view.file.spot, t);
            ink
        };
        let seen = (placement, rect);
        let everywhere = (key, Rect::EVERYTHING);
        painter.add(canvas.signs.shape(painter, seen, everywhere, make));
    }
    marks::paint(painter, all, (placement, rect), view, t)
}

/// Cursor and words for what the pointer is on.
fn about_pointed(
    ui: &Ui,
    response: Response,
    canvas: &Canvas,
    under: &touch::Under,
    view: &View<'_>,
) {
    if canvas.moving.is_some() || response.dragged() {
        ui.set_cursor_icon(CursorIcon::Grabbing);
    } else if let Some(offer) = &under.offer {
        response
            .on_hover_cursor(CursorIcon::PointingHand)
            .on_hover_text_at_pointer(starts::offer_words(view, offer));
    } else if let Some(grip) = under.grip {
        response
            .on_hover_cursor(CursorIcon::Grab)
            .on_hover_ui_at_pointer(|ui| starts::grip_ui(ui, grip, view));
    } else if let Some(spot) = under.mark {
        response
            .on_hover_cursor(CursorIcon::PointingHand)
            .on_hover_text_at_pointer(marks::words(view.file, spot, view.style.system));
    } else if let Some((_, words)) = &under.uncut {
        response
            .on_hover_cursor(CursorIcon::PointingHand)
            .on_hover_text_at_pointer(words);
    } else if canvas.hovered.is_some() {
        response.on_hover_cursor(CursorIcon::PointingHand);
    }
}

/// What is cut at a moment and where the wire is.
fn moment_shapes(
    kept: &mut Baked<CutKey>,
    painter: &Painter,
    seen: (Placement, Rect),
    view: &View<'_>,
    m: &Moment,
    dark: bool,
    t: &'static Tokens,
) -> Vec<Shape> {
    let file = view.file;
    let Some(timing) = file.timing() else {
        return Vec::new();
    };
    let mut shapes = if view.feed {
        // The shades say where the path is; what is cut would hide them.
        Vec::new()
    } else {
        let shape = finished_shape(kept, painter, seen, view, m, dark, t);
        shape.into_iter().collect()
    };
    let diameter = file.shown_estimate().map(|e| e.candidate.diameter);
    let wire = cut::Wire {
        diameter: diameter.map_or(0.0, |d| d.mm() as f32),
        colour: t.wire(file.shown),
    };
    let centre = file.model.centre;
    let seen = (seen, 1.0 / painter.pixels_per_point());
    shapes.extend(cut::running(timing, m, centre, wire, seen, t));
    shapes
}

/// The pass that is shaded: the one that runs, else the rough.
fn shaded_pass(moment: Option<&Moment>) -> PassNumber {
    moment.and_then(|m| m.pass).unwrap_or(PassNumber::ROUGH)
}

/// Everything cut before the step that runs; while a job is played fast, before one that ran a moment ago.
fn finished_shape(
    kept: &mut Baked<CutKey>,
    painter: &Painter,
    seen: (Placement, Rect),
    view: &View<'_>,
    m: &Moment,
    dark: bool,
    t: &'static Tokens,
) -> Option<Shape> {
    let file = view.file;
    let (timing, (number, wire, _)) = (file.timing()?, file.course.answer.as_ref()?);
    let key = CutKey {
        dark,
        course: (*number, *wire),
        step: m.step,
    };
    let (step, wire, pixels) = (m.step, t.wire(*wire), painter.pixels_per_point());
    let serves = |a: &CutKey, b: &CutKey| (a.dark, a.course) == (b.dark, b.course);
    let make = |_: &_| -> Make {
        let timing = Arc::clone(timing);
        Box::new(move |seen| {
            let mut ink = Ink::new(pixels);
            cut::finished(&timing, step, &mut ink, seen, wire, t);
            ink
        })
    };
    let key = (key, Rect::EVERYTHING);
    Some(kept.shape_made_beside(painter, seen, key, serves, make))
}

/// Everything that lies still, kept until something it depends on changes.
fn still_shape(
    kept: &mut Baked<Key>,
    painter: &Painter,
    seen: Seen,
    (view, looks): (&View<'_>, Arc<[Look]>),
    moment: Option<&Moment>,
    dark: bool,
    t: &'static Tokens,
) -> Shape {
    let file = view.file;
    let timing = file.timing();
    let pass = shaded_pass(moment);
    let shaded = timing
        .filter(|_| view.feed)
        .and_then(|f| f.feeds.get(pass.place()));
    let key = Key {
        dark,
        looks,
        paths: file.paths.answer.as_ref().map(|(n, wire, _)| (*n, *wire)),
        skims: view.skims,
        faint: moment.is_some() || shaded.is_some() || view.ghost.is_some(),
        in_place: match (timing, moment) {
            (Some(timing), Some(m)) => cut::in_place(timing, m, file.profile.contours().len()),
            _ => Vec::new(),
        },
        care: if view.shows_care {
            file.wants_care()
        } else {
            Vec::new()
        },
        feed: shaded.and(file.course.answer.as_ref()).map(|c| (c.0, pass)),
        outside_stays: file.job.keep == crate::profile::Keep::Outside,
    };
    let pixels = painter.pixels_per_point();
    let all = reach(file);
    kept.shape_made_beside(painter, seen, (key, all), Key::serves, |key| -> Make {
        let model = Arc::clone(&file.model);
        let paths = file.paths.answer.as_ref();
        let paths = paths.map(|(_, wire, p)| (Arc::clone(p), t.wire(*wire)));
        let shaded = shaded.map(Arc::clone);
        let covered = shaded.as_ref().filter(|s| s.whole).map(|_| pass);
        let (looks, in_place) = (Arc::clone(&key.looks), key.in_place.clone());
        let (care, outside_stays) = (key.care.clone(), key.outside_stays);
        let (skims, faint) = (key.skims, key.faint);
        Box::new(move |seen| {
            let still = paint::Still {
                model: &model,
                looks: &looks,
                paths: paths.as_ref().map(|(p, colour)| (&**p, *colour)),
                skims,
                shaded: covered,
                faint,
                in_place: &in_place,
                care: &care,
                outside_stays,
            };
            let mut ink = Ink::new(pixels);
            paint::still(&still, &mut ink, seen, t);
            if let Some(feeds) = &shaded {
                feed::shades(feeds, &mut ink, seen, t);
            }
            ink
        })
    })
}
