//! What contours that lie side by side come to as openings in a plate, while nobody has said that they are parts.

use super::estimate_all;
use crate::drawing::Drawing;
use crate::job::Job;
use crate::library::Library;
use crate::plan::PathCache;
use crate::profile::Keep;
use crate::units::Money;

/// Most contours of which it is told: it takes a second estimate, and nobody should wait for that of very many (judgement).
const MOST: usize = 500;

/// What the plate costs with each wire, in the order of the candidates; `None` for a wire that cannot cut it so. Nothing
/// where it is no question, of very many contours, and where the job has them as openings already.
///
/// Beside the estimate, which has them as parts, it says what hangs on the answer: openings need start holes and leave
/// slugs, parts come off one by one.
pub fn as_openings(
    drawing: &Drawing,
    job: &Job,
    library: &Library,
    cache: &PathCache,
) -> Vec<Option<Money>> {
    let many = drawing.profile.contours().len() > MOST;
    if !drawing.asks_what_stays() || many || job.keep == Keep::Outside {
        return Vec::new();
    }
    let job = Job {
        keep: Keep::Outside,
        ..job.clone()
    };
    let all = estimate_all(&drawing.profile, &job, library, cache).estimates;
    let cost = all.into_iter().map(|e| Some(e.figures?.cost.part.median));
    cost.collect()
}
