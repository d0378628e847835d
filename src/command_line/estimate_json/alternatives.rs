//! Other ways to go about a job, and what would let a thicker wire in, as JSON.

use super::basis::{EstimateBasis, absolute};
use crate::estimate::Estimate;
use crate::estimate::alternatives::{WayOfCutting, ways_of_cutting};
use crate::estimate::changes::{Change, Needed, largest_diameter, next_larger, radius_left};
use crate::job::{CutOff, CuttingOrder, Travel};
use crate::units::Length;
use crate::words::ways;
use serde::Serialize;

/// Other ways to go about it.
#[derive(Serialize)]
pub(super) struct AlternativesJson {
    ways: Vec<WayJson>,
    radius_left_mm: Option<f64>,
    largest_diameter_mm: Option<f64>,
    next_larger: Option<NextLargerJson>,
}

#[derive(Serialize)]
pub(super) struct WayJson {
    words: String,
    order: CuttingOrder,
    cut_off: CutOff,
    travel: Travel,
    minutes: f64,
    attended_minutes: f64,
    alone_minutes: f64,
    threadings: usize,
    chosen: bool,
}

/// The next larger wire that the drawing keeps out, and what would let it in.
#[derive(Serialize)]
pub(super) struct NextLargerJson {
    diameter_mm: f64,
    changes: Vec<ChangeJson>,
    minutes: f64,
    saves_minutes: f64,
    saves_cost: f64,
}

#[derive(Serialize)]
pub(super) struct ChangeJson {
    contour: usize,
    at_mm: [f64; 2],
    radius_mm: Option<f64>,
    width_mm: Option<f64>,
}

pub(super) fn alternatives(
    asked: &EstimateBasis<'_>,
    candidate: usize,
    e: &Estimate,
) -> AlternativesJson {
    let EstimateBasis {
        drawing,
        job,
        library,
        cache,
        ..
    } = *asked;
    let profile = &drawing.profile;
    let way = |w: WayOfCutting| WayJson {
        words: ways::of_cutting(&w),
        order: w.order,
        cut_off: w.cut_off,
        travel: w.travel,
        minutes: w.minutes.min_value(),
        attended_minutes: w.attended.min_value(),
        alone_minutes: w.alone.min_value(),
        threadings: w.threadings,
        chosen: w.chosen,
    };
    let change = |c: &Change| ChangeJson {
        contour: c.contour,
        at_mm: absolute(asked, c.at),
        radius_mm: if let Needed::Radius(r) = c.needed {
            Some(r.mm())
        } else {
            None
        },
        width_mm: if let Needed::Width(w) = c.needed {
            Some(w.mm())
        } else {
            None
        },
    };
    AlternativesJson {
        ways: ways_of_cutting(profile, job, library, candidate, cache)
            .into_iter()
            .map(way)
            .collect(),
        radius_left_mm: radius_left(job, &e.candidate, library).map(Length::mm),
        largest_diameter_mm: largest_diameter(profile, job, library, &e.candidate.wire, cache)
            .map(Length::mm),
        next_larger: next_larger(profile, job, library, &e.candidate, cache).map(|n| {
            NextLargerJson {
                diameter_mm: n.candidate.diameter.mm(),
                changes: n.changes.iter().map(change).collect(),
                minutes: n.minutes.min_value(),
                saves_minutes: n.saves.min_value(),
                saves_cost: n.saves_cost.amount(),
            }
        }),
    }
}
