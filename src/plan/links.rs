//! From one outline to the next with the wire still threaded, through the waste between them.

use super::starts::{Start, join_near};
use crate::geometry::hits::crosses;
use crate::geometry::{Bounds, Contour};
use crate::job::Job;
use crate::profile::{Profile, Role};

/// Farther than this the wire is threaded anew, mm (judgement).
const LONGEST: f64 = 25.0;

/// Where the next outline is joined when the wire cuts its way across from the end of the last.
///
/// `None` where it cannot: other waste, too far, or a contour between them. Whatever a drawn contour
/// encloses stays untouched, cut or not.
pub fn linked_start(
    profile: &Profile,
    job: &Job,
    from: (usize, &Start),
    to: (usize, &Contour),
) -> Option<Start> {
    let outlines = [from.0, to.0]
        .iter()
        .all(|&k| job.role(profile, k) == Role::Outline);
    if !outlines || profile.contours[from.0].parent != profile.contours[to.0].parent {
        return None;
    }
    let at = from.1.join;
    let start = join_near(to.1, at)?;
    if start.lead_in.mm() > LONGEST {
        return None;
    }
    let mut way = Bounds::EMPTY;
    way.include(at);
    way.include(start.join);
    let free = profile.contours.iter().all(|c| {
        let b = c.shape.bounds();
        let apart = b.min.x > way.max.x
            || b.max.x < way.min.x
            || b.min.y > way.max.y
            || b.max.y < way.min.y;
        apart || !crosses(at, start.join, &c.shape)
    });
    free.then_some(start)
}
