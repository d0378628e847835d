//! The smallest pass plan for a finish or tolerance that was asked for, as JSON.

use super::basis::EstimateBasis;
use crate::estimate::{Estimate, Wanted, advise, price_of_last_pass};
use crate::words::pass_advice;
use serde::Serialize;

/// What is usually enough with one wire.
#[derive(Serialize)]
pub(super) struct AdviceJson {
    usually_enough_passes: Option<usize>,
    perhaps_enough_passes: Option<usize>,
    words: String,
    /// What the last pass of the plan that is usually enough takes; null for the rough alone.
    last_pass: Option<LastPassJson>,
}

#[derive(Serialize)]
struct LastPassJson {
    minutes: f64,
    wire_m: f64,
    cost: f64,
}

/// `None` where the library lacks the wire.
pub(super) fn advice(
    asked: &EstimateBasis<'_>,
    e: &Estimate,
    wanted: &Wanted,
) -> Option<AdviceJson> {
    let (job, library) = (asked.job, asked.library);
    let advice = advise(library, library.wire(&e.candidate.wire)?, wanted);
    let enough = advice.usually_enough.as_ref().map(|p| p.passes);
    let last = enough.and_then(|passes| {
        let profile = &asked.drawing.profile;
        price_of_last_pass(profile, job, library, &e.candidate, passes, asked.cache)
    });
    Some(AdviceJson {
        usually_enough_passes: enough,
        perhaps_enough_passes: advice.perhaps_enough.as_ref().map(|p| p.passes),
        words: pass_advice::sentence(&advice),
        last_pass: last.map(|l| LastPassJson {
            minutes: l.minutes.min_value(),
            wire_m: l.wire.m(),
            cost: l.cost.amount(),
        }),
    })
}
