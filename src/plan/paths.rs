//! Wire paths of a profile, laid once and kept: a price or thickness changes no geometry.

use crate::geometry::clearance::{Gap, gaps};
use crate::geometry::corners::{Corner, corners};
use crate::geometry::offset::{Side, offset_of};
use crate::geometry::reach::{Unreached, unreached};
use crate::geometry::route::short_order;
use crate::geometry::simple::is_simple;
use crate::geometry::turning::corner_excess;
use crate::geometry::{Contour, Point};
use crate::plan::holding::centroid;
use crate::plan::pieces::{LoosePiece, pieces};
use crate::plan::remembered::Remembered;
use crate::plan::starts::{FreeOf, Start, StartWanted, start_as_wanted};
use crate::profile::Role;
use crate::progress::side_by_side;
use crate::units::Length;
use std::hash::{DefaultHasher, Hash, Hasher};
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
    pieces: OnceLock<Vec<LoosePiece>>,
    /// Start by what was wanted last.
    start: Mutex<Option<(StartWanted, u64, Option<Start>)>>,
    /// Excess lengths by window and slowdown; few are asked for at a time.
    excess: Mutex<Vec<(u64, u64, f64)>>,
}

impl LaidPath {
    fn new(contour: &Contour, side: Side, distance: f64, simple: &dyn Fn() -> bool) -> Self {
        let o = offset_of(contour, side, distance, simple);
        Self {
            length: Length::from_mm(o.length()),
            area: o.area(),
            confirmed: o.confirmed,
            intricate: o.intricate,
            loops: Arc::new(o.loops),
            offset: distance,
            side,
            uncut: OnceLock::new(),
            pieces: OnceLock::new(),
            start: Mutex::new(None),
            excess: Mutex::new(Vec::new()),
        }
    }
    /// Stretches of the contour that the wire leaves uncut from this path.
    pub fn uncut(&self, contour: &Contour) -> &[Unreached] {
        self.uncut
            .get_or_init(|| unreached(contour, &self.loops, self.offset))
    }
    /// What comes loose inside it where it is the edge of waste.
    pub fn pieces(&self) -> &[LoosePiece] {
        self.pieces.get_or_init(|| pieces(&self.loops))
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

/// All that a path rests on: the contour as drawn, the side, and the offset as bits.
type PathKey = (ShapeId, Side, u64);

/// Paths laid so far, and what else of a contour rests on its shape alone. Cheap to share between threads; answers do not
/// depend on what was asked before.
#[derive(Debug, Default)]
pub struct PathCache {
    paths: Remembered<PathKey, Arc<LaidPath>, MOST_PATHS>,
    corners: Remembered<ShapeId, Arc<Vec<Corner>>, MOST_PATHS>,
    crossing: Remembered<ShapeId, bool, MOST_PATHS>,
    centroids: Remembered<ShapeId, Point, MOST_PATHS>,
    /// Of the contours asked about last.
    gaps: Mutex<Option<KnownGaps>>,
    /// Orders of many points: holes stay where they are when thickness or price change.
    orders: Remembered<Points, Arc<Vec<usize>>, MOST_ORDERS>,
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

impl PathWanted<'_> {
    fn key(&self) -> PathKey {
        (self.shape, self.side, self.offset.mm().to_bits())
    }
    fn lay(&self, cache: &PathCache) -> Arc<LaidPath> {
        let simple = || !cache.crosses_itself(self.shape, self.contour);
        let distance = self.offset.mm();
        Arc::new(LaidPath::new(self.contour, self.side, distance, &simple))
    }
}

impl PathCache {
    /// Corners and small fillets of a contour, found once.
    pub fn corners(&self, shape: ShapeId, contour: &Contour) -> Arc<Vec<Corner>> {
        self.corners.answer(shape, || Arc::new(corners(contour)))
    }

    /// Whether a closed contour crosses or touches itself, found once. Two arcs, or an arc and its chord, cannot.
    pub fn crosses_itself(&self, shape: ShapeId, contour: &Contour) -> bool {
        let crosses = || contour.len() > 2 && !is_simple(contour);
        self.crossing.answer(shape, crosses)
    }

    /// Centre of area of a contour, found once, see [`centroid`].
    pub fn centroid(&self, shape: ShapeId, contour: &Contour) -> Point {
        self.centroids.answer(shape, || centroid(contour))
    }

    /// Contours that come nearer to each other than `limit`, and perhaps some a little farther apart.
    ///
    /// `shapes` are the identities of `contours`.
    pub fn gaps(&self, shapes: &[ShapeId], contours: &[&Contour], limit: Length) -> Arc<Vec<Gap>> {
        // Measured under the lock: whoever else wants them waits, and they are not measured twice.
        let mut known = self.gaps.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(k) = known.as_ref()
            && k.shapes == shapes
            && k.limit >= limit.mm()
        {
            return Arc::clone(&k.found);
        }
        let limit = limit.mm().max(GAP_LIMIT);
        let found = Arc::new(gaps(contours, limit));
        *known = Some(KnownGaps {
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
        let question = (points.iter().copied().map(bits).collect(), from.map(bits));
        let find = || Arc::new(short_order(points, from));
        self.orders.answer(question, find)
    }

    /// The path, laid now if it is new.
    pub fn path(&self, wanted: &PathWanted<'_>) -> Arc<LaidPath> {
        self.paths.answer(wanted.key(), || wanted.lay(self))
    }

    /// Several paths in their order; what is new is laid on all cores.
    pub fn lay(&self, wanted: &[PathWanted<'_>]) -> Vec<Arc<LaidPath>> {
        let places = self.paths.places(wanted.iter().map(PathWanted::key));
        let laid = |k: usize| places[k].get_or_init(|| wanted[k].lay(self));
        let new: Vec<usize> = (0..wanted.len())
            .filter(|&k| places[k].get().is_none())
            .collect();
        if !new.is_empty() {
            side_by_side(new.len(), |k| {
                laid(new[k]);
            });
        }
        (0..wanted.len()).map(|k| Arc::clone(laid(k))).collect()
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
        let both = cache.lay(&[wanted, wanted]);
        let a = cache.path(&wanted);
        assert!(both.iter().all(|b| Arc::ptr_eq(&a, b)));
        assert!((a.length.mm() - 2.0 * std::f64::consts::PI * 4.8).abs() < 1e-9);
    }
}
