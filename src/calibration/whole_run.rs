//! A whole run of the machine, split into its cutting and the rest by the steps of an estimate.

use super::cut::Cut;
use super::row_fault::RowFaultKind;
use crate::library::Library;
use crate::process::WireRun;
use crate::process::passes::passes;
use crate::units::Minutes;

/// Minutes of cutting in a whole run with so many threadings and stops, each as long as the library says: the rest
/// is cutting and, in its rough, the breaks that are expected there. Rapid moves take seconds and stay in it.
///
/// # Errors
/// Threading and stops alone take longer than the run took.
pub(super) fn cutting(
    run: Minutes,
    (threadings, stops): (f64, f64),
    cut: &Cut,
    library: &Library,
) -> Result<Minutes, RowFaultKind> {
    let o = &library.overheads;
    let wire = library.wire(&cut.wire.wire);
    // Whether the shop threads all its wires by hand stands in no log.
    let by_hand = matches!(cut.wire.run, WireRun::Reciprocating { .. })
        || wire.is_some_and(|w| w.is_too_soft_to_thread(library));
    let threading = if by_hand {
        &o.manual_threading
    } else {
        &o.automatic_threading
    };
    let others = Minutes::from_min(threadings * threading.value + stops * o.slug_removal.value);
    if others >= run {
        return Err(RowFaultKind::NothingLeft { run, others });
    }
    let an_hour = o.breaks_in_rough.value * o.rethreading_after_break.value / 60.0;
    Ok((run - others) * (1.0 / (1.0 + an_hour * rough_share(cut, library))))
}

/// The rough's predicted share of the cutting.
fn rough_share(cut: &Cut, library: &Library) -> f64 {
    let Some(conditions) = cut.conditions(library) else {
        return 1.0;
    };
    let plan = passes(cut.passes, &conditions, library);
    let minutes = plan.iter().enumerate().map(|(k, p)| {
        let path = cut.pass_path.as_ref().and_then(|l| l.get(k));
        (*path.unwrap_or(&cut.cut_length) / p.feed).min_value()
    });
    let minutes: Vec<f64> = minutes.collect();
    let all: f64 = minutes.iter().sum();
    minutes
        .first()
        .filter(|_| all > 0.0)
        .map_or(1.0, |r| r / all)
}
