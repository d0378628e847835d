//! What lies still, as triangles: made once, then handed on while nothing that they depend on changes. A view that is
//! moved or zoomed takes them along, and while it does they are made anew on a thread of their own.

use super::ink::{Ink, Shift};
use crate::gui::scene::Placement;
use crate::gui::set_free::set_free;
use egui::emath::{Rect, vec2};
use egui::epaint::Mesh;
use egui::{Painter, Shape};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, sync_channel};
use std::time::Duration;

/// While a view is moved, so much beside it is painted too: a share of its shorter side, within these, points.
const BESIDE: f32 = 0.3;
const LEAST_BESIDE: f32 = 60.0;
const MOST_BESIDE: f32 = 400.0;
/// So many times larger or smaller what was made may be seen: the chords of arcs are chosen for its own size.
const SERVES: f32 = 1.5;
/// From here on it is made anew while the view still moves.
const AGEING: f32 = 1.1;

/// How the drawing lies on the screen.
pub type Seen = (Placement, Rect);

/// Makes what is seen in a part of the screen.
pub type Make = Box<dyn FnOnce(Seen) -> Ink + Send>;

/// Triangles, and what they depend on: a key, and the view they were made for.
pub struct Baked<K> {
    kept: Option<Kept<K>>,
    /// What is made meanwhile, and what came of that.
    coming: Option<(K, Receiver<Made>)>,
    came: Option<(K, Made)>,
    /// How the drawing lay in the frame before.
    before: Option<Seen>,
}

struct Kept<K> {
    key: K,
    made: Made,
    /// For which view it was handed on last.
    shown: Shift,
}

struct Made {
    ink: Ink,
    seen: Seen,
    /// The part of the screen in which nothing is missing.
    around: Rect,
    /// What was handed on last, and what was before that: a frame that is still being painted keeps its own.
    meshes: [Arc<Mesh>; 2],
}

impl<K> Default for Baked<K> {
    fn default() -> Self {
        Self {
            kept: None,
            coming: None,
            came: None,
            before: None,
        }
    }
}

impl Made {
    fn new((placement, rect): Seen, beside: f32, make: impl FnOnce(Seen) -> Ink) -> Self {
        let around = rect.expand(beside);
        // Both have one middle, so that the drawing lies the same way in either.
        let ink = make((placement, around));
        let mut mesh = Mesh::default();
        ink.show(Shift::NONE, &mut mesh);
        Self {
            ink,
            seen: (placement, rect),
            around,
            meshes: [Arc::new(mesh), Arc::default()],
        }
    }
    /// How many times larger a view shows it.
    fn scale(&self, placement: Placement) -> f32 {
        placement.scale / self.seen.0.scale
    }
    /// How a view lies to it.
    fn shift(&self, (placement, rect): Seen) -> Shift {
        let (of, place) = self.seen;
        let scale = self.scale(placement);
        let d = of.middle - placement.middle;
        let middle = rect.center() + vec2(d.x, -d.y) * placement.scale;
        Shift {
            scale,
            by: middle.to_vec2() - scale * place.center().to_vec2(),
        }
    }
    /// Whether nothing is missing of what a view shows, `beside` more points on each side of it; `all` is the part of
    /// the drawing in which something is painted.
    fn holds(&self, (placement, rect): Seen, beside: f32, all: Rect) -> bool {
        let scale = self.scale(placement);
        let sight = placement.rect_to_drawing(rect, rect.expand(beside));
        let sight = sight.intersect(all);
        let there = self.seen.0.rect_to_drawing(self.seen.1, self.around);
        let band = 1.0 / SERVES..=SERVES;
        // Rounding apart.
        let there = there.expand(0.01 / placement.scale);
        band.contains(&scale) && (!sight.is_positive() || there.contains_rect(sight))
    }
}

/// How far beside a view is painted that is being moved.
fn beside(rect: Rect) -> f32 {
    (BESIDE * rect.size().min_elem()).clamp(LEAST_BESIDE, MOST_BESIDE)
}

impl<K: PartialEq> Baked<K> {
    /// The triangles of a key as one shape: those that are kept, moved with the view, or made anew. `all` is the part
    /// of the drawing in which something is painted.
    pub fn shape(
        &mut self,
        painter: &Painter,
        seen: Seen,
        (key, all): (K, Rect),
        make: impl FnOnce(&K, Seen) -> Ink,
    ) -> Shape {
        let fits = self.fits(painter, seen, |kept| *kept == key, all);
        let moves = self.before.is_some_and(|b| b != seen);
        let rests = !moves && self.differs(seen);
        if !fits || rests {
            let beside = if moves { beside(seen.1) } else { 0.0 };
            let made = Made::new(seen, beside, |seen| make(&key, seen));
            self.keep(key, made);
        } else if self.differs(seen) {
            painter.ctx().request_repaint();
        }
        self.before = Some(seen);
        self.shown(seen)
    }
    /// The same of what takes long to make: while what is kept serves, it is made anew beside the window. `serves` says
    /// whether what belongs to one key may be shown until what belongs to another is there.
    pub fn shape_made_beside(
        &mut self,
        painter: &Painter,
        seen: Seen,
        (key, all): (K, Rect),
        serves: impl Fn(&K, &K) -> bool,
        make: impl FnOnce(&K) -> Make,
    ) -> Shape {
        self.take_what_came(Duration::ZERO);
        if let Some((k, made)) = self.came.take()
            && serves(&k, &key)
            && made.holds(seen, 0.0, all)
        {
            self.keep(k, made);
        }
        let moves = self.before.is_some_and(|b| b != seen);
        if !self.fits(painter, seen, |kept| serves(kept, &key), all) {
            self.coming = None;
            let beside = if moves { beside(seen.1) } else { 0.0 };
            let made = Made::new(seen, beside, make(&key));
            self.keep(key, made);
        } else if self.coming.as_ref().is_none_or(|c| !serves(&c.0, &key)) {
            let is_other = self.kept.as_ref().is_some_and(|kept| kept.key != key);
            let ages = self.kept.as_ref().is_some_and(|kept| {
                let scale = kept.made.scale(seen.0);
                let band = 1.0 / AGEING..=AGEING;
                !band.contains(&scale) || !kept.made.holds(seen, 0.5 * beside(seen.1), all)
            });
            if is_other || (moves && ages) || (!moves && self.differs(seen)) {
                self.make_beside(painter, seen, key, make);
            } else if self.differs(seen) {
                // To look once more when it rests.
                painter.ctx().request_repaint();
            }
        }
        self.before = Some(seen);
        self.shown(seen)
    }
    /// Waits for what is being made, at most for so long; whether nothing is being made then.
    pub fn wait(&mut self, longest: Duration) -> bool {
        self.take_what_came(longest);
        self.coming.is_none()
    }

    fn make_beside(
        &mut self,
        painter: &Painter,
        seen: Seen,
        key: K,
        make: impl FnOnce(&K) -> Make,
    ) {
        let make = make(&key);
        let beside = beside(seen.1);
        let (done, coming) = sync_channel(1);
        let ctx = painter.ctx().clone();
        let thread = std::thread::Builder::new().name("canvas".to_owned());
        let spawned = thread.spawn(move || {
            // Where nobody waits for it any more it is given back here.
            let mut made = Made::new(seen, beside, make);
            made.meshes[1] = Arc::new(Mesh::clone(&made.meshes[0]));
            if done.send(made).is_ok() {
                ctx.request_repaint();
            }
        });
        self.coming = spawned.ok().map(|_| (key, coming));
    }
    fn take_what_came(&mut self, longest: Duration) {
        let Some((key, coming)) = self.coming.take() else {
            return;
        };
        match coming.recv_timeout(longest) {
            Ok(made) => self.came = Some((key, made)),
            Err(RecvTimeoutError::Timeout) => self.coming = Some((key, coming)),
            // It failed; what is kept serves on, or is made here.
            Err(RecvTimeoutError::Disconnected) => (),
        }
    }
    fn keep(&mut self, key: K, made: Made) {
        let shown = Shift::NONE;
        let kept = Kept { key, made, shown };
        if let Some(old) = self.kept.replace(kept) {
            set_free(old.made);
        }
    }
    /// Whether what is kept can be shown.
    fn fits(&self, painter: &Painter, seen: Seen, serves: impl Fn(&K) -> bool, all: Rect) -> bool {
        self.kept.as_ref().is_some_and(|kept| {
            serves(&kept.key)
                && kept.made.ink.pixels_per_point() == painter.pixels_per_point()
                && kept.made.holds(seen, 0.0, all)
        })
    }
    /// Whether what is kept was made for another scale.
    fn differs(&self, seen: Seen) -> bool {
        let kept = self.kept.as_ref();
        kept.is_some_and(|kept| kept.made.seen.0.scale != seen.0.scale)
    }
    fn shown(&mut self, seen: Seen) -> Shape {
        let Some(kept) = &mut self.kept else {
            return Shape::Noop;
        };
        let shift = kept.made.shift(seen);
        let Made { ink, meshes, .. } = &mut kept.made;
        if kept.shown != shift {
            kept.shown = shift;
            meshes.swap(0, 1);
            if let Some(mesh) = Arc::get_mut(&mut meshes[0]) {
                ink.show(shift, mesh);
            } else {
                let mut mesh = Mesh::default();
                ink.show(shift, &mut mesh);
                meshes[0] = Arc::new(mesh);
            }
        }
        Shape::Mesh(Arc::clone(&meshes[0]))
    }
}

/// Something that was worked out of a key, until that is another one.
pub struct Memo<K, T>(Option<(K, T)>);

impl<K, T> Default for Memo<K, T> {
    fn default() -> Self {
        Self(None)
    }
}

impl<K: PartialEq, T> Memo<K, T> {
    /// What belongs to a key.
    pub fn of(&mut self, key: K, make: impl FnOnce(&K) -> T) -> &T {
        if self.0.as_ref().is_some_and(|(k, _)| *k != key) {
            self.0 = None;
        }
        &self
            .0
            .get_or_insert_with(|| {
                let made = make(&key);
                (key, made)
            })
            .1
    }
}
