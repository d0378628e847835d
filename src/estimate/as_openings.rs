//! What contours that lie side by side come to as openings in a plate, while nobody has said that they are parts.

use super::{Comparison, compare, estimate_all};
use crate::drawing::Drawing;
use crate::job::Job;
use crate::library::Library;
use crate::plan::PathCache;
use crate::profile::Keep;
use crate::progress::piece;
use crate::units::Money;

/// Most contours of which it is told: it takes a second estimate, and nobody should wait for that of very many (judgement).
const MOST: usize = 500;

/// The estimates of every candidate, and [`as_openings`] beside them: one stretch of progress for both.
pub fn compare_either_way(
    drawing: &Drawing,
    job: &Job,
    library: &Library,
    cache: &PathCache,
) -> (Comparison, Vec<Option<Money>>) {
    let parts = || compare(&drawing.profile, job, library, cache);
    if !is_told(drawing, job) {
        return (parts(), Vec::new());
    }
    let openings = || as_openings(drawing, job, library, cache);
    (piece(0, 2, parts), piece(1, 2, openings))
}

/// Whether [`as_openings`] makes an estimate of its own.
fn is_told(drawing: &Drawing, job: &Job) -> bool {
    let many = drawing.profile.contours().len() > MOST;
    drawing.asks_what_stays() && !many && job.keep != Keep::Outside
}

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
    if !is_told(drawing, job) {
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
