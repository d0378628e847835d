//! From one contour to the next with the wire still threaded, through the waste between them.

use super::starts::{Start, places_by_distance};
use crate::geometry::boxes::Boxes;
use crate::geometry::hits::{clearance, crosses};
use crate::geometry::{Bounds, Contour, Point};
use crate::profile::Profile;
use crate::units::Length;

/// Farther than this the wire is threaded anew, mm (judgement).
const LONGEST: f64 = 25.0;
/// Offsets are exact up to this, mm.
const ROUNDING: f64 = 1e-5;

/// How many places of the next contour are tried.
const TRIED: usize = 24;

/// The ways from one contour of a profile to the next.
pub struct Links<'a> {
    profile: &'a Profile,
    /// Around each contour.
    boxes: Boxes,
}

impl<'a> Links<'a> {
    /// In a profile.
    pub fn of(profile: &'a Profile) -> Self {
        let shapes = profile.contours().iter().map(|c| c.bounds);
        Self {
            profile,
            boxes: Boxes::of(shapes),
        }
    }
    /// Where the next contour is joined when the wire cuts its way across from `at`, where it left the last.
    ///
    /// Both paths run in waste, and a way that crosses no drawn contour stays in the waste it began in: from
    /// outline to outline, or from the last outline inside an opening to that opening. `offset` is what the
    /// wire's centre keeps from anything that stays. `None` where it cannot: other waste, too far, or a contour
    /// between them. Whatever a drawn contour encloses stays untouched, cut or not.
    pub fn start(&self, at: Point, to: &Contour, offset: Length) -> Option<Start> {
        let keep = offset.mm() - ROUNDING;
        let free = |b: Point| {
            let mut way = Bounds::EMPTY;
            way.include(at);
            way.include(b);
            let near = self.boxes.meeting(&way.grown(offset.mm())).into_iter();
            let mut shapes = near.map(|k| &self.profile.contours()[k].shape);
            shapes.all(|shape| !crosses(at, b, shape) && clearance(at, b, shape) >= keep)
        };
        let places = places_by_distance(to, at);
        let near = places.into_iter().filter(|s| s.lead_in.mm() <= LONGEST);
        near.take(TRIED).find(|s| free(s.join))
    }
}
