//! Wire paths of a profile, laid once and kept: a price or thickness changes no geometry.

use crate::geometry::clearance::{Gap, gaps};
use crate::geometry::corners::{Corner, corners};
use crate::geometry::offset::{Side, offset};
use crate::geometry::reach::{Unreached, unreached};
use crate::geometry::route::short_order;
use crate::geometry::simple::is_simple;
use crate::geometry::turning::corner_excess;
use crate::geometry::{Contour, Point};
use crate::plan::starts::{FreeOf, Start, StartWanted, start_as_wanted};
use crate::profile::Role;
use crate::progress::{help, look, reached, watched};
use crate::units::Length;
use std::collections::HashMap;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

/// Most paths kept; beyond it the cache starts anew.
const MOST_PATHS: usize = 200_000;

/// The closed way of the wire's centre along one contour at one offset.
#[derive(Debug)]
pub struct LaidPath {
    /// Usually one loop; none where the wire cannot enter, several where a neck closes.
    pub loops: Arc<Vec<Contour>>,
    /// Length of all loops.
    pub length: Length,
    /// Area inside, pockets taken off, mm².
    pub area: f64,
    /// Whether two independent computations agreed.
    pub confirmed: bool,
    /// Where the contour is too intricate for any path, mm about the profile's origin; then there are no loops.
    pub intricate: Option<Point>,
    offset: f64,
    side: Side,
    uncut: OnceLock<Vec<Unreached>>,
    /// Start by what was wanted last.
    start: Mutex<Option<(StartWanted, u64, Option<Start>)>>,
    /// Excess lengths by window and slowdown; few are asked for at a time.
    excess: Mutex<Vec<(u64, u64, f64)>>,
}

impl LaidPath {
    fn new(contour: &Contour, side: Side, distance: f64) -> Self {
        let o = offset(contour, side, distance);
        Self {
            length: Length::from_mm(o.length()),
            area: o.area(),
            confirmed: o.confirmed,
            intricate: o.intricate,
            loops: Arc::new(o.loops),
            offset: distance,
            side,
            uncut: OnceLock::new(),
            start: Mutex::new(None),
            excess: Mutex::new(Vec::new()),
        }
    }
    /// Stretches of the contour that the wire leaves uncut from this path.
    pub fn uncut(&self, contour: &Contour) -> &[Unreached] {
        self.uncut
            .get_or_init(|| unreached(contour, &self.loops, self.offset))
    }
    /// Where to thread and where to join the path; `None` without a path. `free` is how far a place is from what
    /// else must not be cut into, and `around` identifies that.
    pub fn start(&self, wanted: &StartWanted, around: u64, free: FreeOf<'_>) -> Option<Start> {
        let mut known = self.start.lock().unwrap_or_else(PoisonError::into_inner);
        match &*known {
            Some((asked, known_around, start)) if asked == wanted && *known_around == around => {
                *start
            }
            _ => {
                let start = start_as_wanted(&self.loops, self.side, wanted, free);
                *known = Some((*wanted, around, start));
                start
            }
        }
    }
    /// On which side of its contour it runs.
    pub fn side(&self) -> Side {
        self.side
    }
    /// Length by which the path seems longer because corners slow the machine.
    pub fn corner_excess(&self, window: Length, slowdown: f64) -> Length {
        let key = (window.mm().to_bits(), slowdown.to_bits());
        let mut known = self.excess.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(e) = known.iter().find(|e| (e.0, e.1) == key) {
            return Length::from_mm(e.2);
        }
        let sum = self
            .loops
            .iter()
            .map(|l| corner_excess(l, window.mm(), slowdown))
            .sum();
        if known.len() >= 8 {
            known.clear();
        }
        known.push((key.0, key.1, sum));
        Length::from_mm(sum)
    }
}

/// On which side the wire runs: inside an opening, outside an outline.
pub fn wire_side(role: Role) -> Side {
    match role {
        Role::Opening => Side::Inside,
        Role::Outline => Side::Outside,
    }
}

/// Identifies a contour by what it looks like, so that a cache serves any drawing without mistake.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct ShapeId(u64, usize);

impl ShapeId {
    /// Of a contour.
    pub fn of(contour: &Contour) -> Self {
        let mut h = DefaultHasher::new();
        for v in contour.vertices() {
            (v.at.x.to_bits(), v.at.y.to_bits(), v.bulge.to_bits()).hash(&mut h);
        }
        Self(h.finish(), contour.len())
    }
}

type Key = (ShapeId, Side, u64);

/// Paths laid so far. Cheap to share between threads; answers do not depend on what was asked before.
#[derive(Debug, Default)]
pub struct PathCache {
    paths: Mutex<HashMap<Key, Arc<LaidPath>>>,
    corners: Mutex<HashMap<ShapeId, Arc<Vec<Corner>>>>,
    crossing: Mutex<HashMap<ShapeId, bool>>,
    /// Of the contours asked about last.
    gaps: Mutex<Option<KnownGaps>>,
    /// Orders of many points: holes stay where they are when thickness or price change.
    orders: Mutex<HashMap<Points, Arc<Vec<usize>>>>,
}

/// Points to be visited and where the way begins, as bits.
type Points = (Vec<[u64; 2]>, Option<[u64; 2]>);

/// Most orders kept; beyond it they are found anew.
const MOST_ORDERS: usize = 256;
/// So few points are ordered sooner than looked up.
const FEW_POINTS: usize = 4;

/// Contours nearer to each other than a limit, mm.
#[derive(Debug)]
struct KnownGaps {
    shapes: Vec<ShapeId>,
    limit: f64,
    found: Arc<Vec<Gap>>,
}

/// Gaps are looked for up to this at once, mm: more than any usual kerf, so that all wires share the answer.
const GAP_LIMIT: f64 = 0.8;

/// A path to be laid.
#[derive(Debug, Clone, Copy)]
pub struct PathWanted<'a> {
    /// Identity of `contour`.
    pub shape: ShapeId,
    /// The drawn contour.
    pub contour: &'a Contour,
    /// Where the wire runs.
    pub side: Side,
    /// Wire centre to contour.
    pub offset: Length,
}

impl PathCache {
    /// Corners and small fillets of a contour, found once.
    pub fn corners(&self, shape: ShapeId, contour: &Contour) -> Arc<Vec<Corner>> {
        let mut known = self.corners.lock().unwrap_or_else(PoisonError::into_inner);
        if known.len() >= MOST_PATHS {
            known.clear();
        }
        let found = known
            .entry(shape)
            .or_insert_with(|| Arc::new(corners(contour)));
        Arc::clone(found)
    }

    /// Whether a closed contour crosses or touches itself, found once. Two arcs, or an arc and its chord, cannot.
    pub fn crosses_itself(&self, shape: ShapeId, contour: &Contour) -> bool {
        let known = || self.crossing.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(crosses) = known().get(&shape) {
            return *crosses;
        }
        let crosses = contour.len() > 2 && !is_simple(contour);
        let mut known = known();
        if known.len() >= MOST_PATHS {
            known.clear();
        }
        known.insert(shape, crosses);
        crosses
    }

    /// Contours that come nearer to each other than `limit`, and perhaps some a little farther apart.
    ///
    /// `shapes` are the identities of `contours`.
    pub fn gaps(&self, shapes: &[ShapeId], contours: &[&Contour], limit: Length) -> Arc<Vec<Gap>> {
        let known = || self.gaps.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(k) = known().as_ref()
            && k.shapes == shapes
            && k.limit >= limit.mm()
        {
            return Arc::clone(&k.found);
        }
        // Measured outside the lock, as paths are laid.
        let limit = limit.mm().max(GAP_LIMIT);
        let found = Arc::new(gaps(contours, limit));
        *known() = Some(KnownGaps {
            shapes: shapes.to_vec(),
            limit,
            found: Arc::clone(&found),
        });
        found
    }

    /// A short order through points, found once, see [`short_order`].
    pub fn order(&self, points: &[Point], from: Option<Point>) -> Arc<Vec<usize>> {
        if points.len() <= FEW_POINTS {
            return Arc::new(short_order(points, from));
        }
        let bits = |p: Point| [p.x.to_bits(), p.y.to_bits()];
        let key = (points.iter().copied().map(bits).collect(), from.map(bits));
        let known = || self.orders.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(order) = known().get(&key) {
            return Arc::clone(order);
        }
        // Found outside the lock, as paths are laid.
        let order = Arc::new(short_order(points, from));
        let mut known = known();
        if known.len() >= MOST_ORDERS {
            known.clear();
        }
        known.insert(key, Arc::clone(&order));
        order
    }

    /// The path, laid now if it is new.
    pub fn path(&self, wanted: &PathWanted<'_>) -> Arc<LaidPath> {
        let key = (wanted.shape, wanted.side, wanted.offset.mm().to_bits());
        if let Some(p) = self.lock().get(&key) {
            return Arc::clone(p);
        }
        // Laid outside the lock: other threads go on. Two threads may lay the same path; both are the same.
        let path = Arc::new(LaidPath::new(
            wanted.contour,
            wanted.side,
            wanted.offset.mm(),
        ));
        let mut paths = self.lock();
        if paths.len() >= MOST_PATHS {
            paths.clear();
        }
        Arc::clone(paths.entry(key).or_insert(path))
    }

    /// Lays what is new of several paths, on all cores.
    pub fn prepare(&self, wanted: &[PathWanted<'_>]) {
        let new: Vec<&PathWanted<'_>> = {
            let paths = self.lock();
            wanted
                .iter()
                .filter(|w| !paths.contains_key(&(w.shape, w.side, w.offset.mm().to_bits())))
                .collect()
        };
        let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
        if new.len() < 2 || cores < 2 {
            new.iter().for_each(|w| drop(self.path(w)));
            return;
        }
        let next = AtomicUsize::new(0);
        let lay = || {
            let mine = || next.fetch_add(1, Ordering::Relaxed);
            while let Some((k, w)) = Some(mine()).and_then(|k| Some((k, new.get(k)?))) {
                reached(k as f64 / new.len() as f64);
                self.path(w);
            }
        };
        let work = watched();
        std::thread::scope(|scope| {
            for _ in 0..cores.min(new.len()) {
                scope.spawn(|| help(work.clone(), lay));
            }
        });
        // The threads end early where the work is to stop.
        look();
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, HashMap<Key, Arc<LaidPath>>> {
        // A panic while laying happens outside the lock, so what is inside is whole.
        self.paths.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_is_laid_once() {
        let cache = PathCache::default();
        let c = Contour::circle(Point::ORIGIN, 5.0);
        let wanted = PathWanted {
            shape: ShapeId::of(&c),
            contour: &c,
            side: Side::Inside,
            offset: Length::from_mm(0.2),
        };
        cache.prepare(&[wanted, wanted]);
        let a = cache.path(&wanted);
        assert!(Arc::ptr_eq(&a, &cache.path(&wanted)));
        assert!((a.length.mm() - 2.0 * std::f64::consts::PI * 4.8).abs() < 1e-9);
    }
}
