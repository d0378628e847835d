//! What the steps of an estimate move with: the slopes of its time and wire, and their terms.

use super::cost::CostBasis;
use super::doubts::FigureTerms;
use super::drilling::hole_terms;
use super::range::{Overhead, Slopes};
use super::step_doubts::StepDoubts;
use super::terms::Terms;
use crate::library::Library;
use crate::plan::{ContourPlan, Share, Step, StepKind};
use crate::process::cutting_rate::RoughConditions;
use crate::units::{Length, Minutes};

/// Slopes of the minutes or the wire (`amount`) of some passes, each contour under its own conditions. All is one and
/// the same cut.
pub(super) fn slopes(
    base: &RoughConditions<'_>,
    plans: &[ContourPlan],
    steps: &[Step],
    amount: &dyn Fn(&Step) -> f64,
    of: &dyn Fn(&Step) -> bool,
) -> Slopes {
    let sum = |plan: usize, counts: &dyn Fn(&Step) -> bool| -> f64 {
        steps
            .iter()
            .filter(|s| s.plan == plan && of(s) && counts(s))
            .map(amount)
            .sum()
    };
    let own: Vec<(f64, f64)> = (0..plans.len())
        .map(|k| (sum(k, &|s| s.pass.is_some()), sum(k, &Step::is_skim)))
        .collect();
    let all: f64 = own.iter().map(|o| o.0).sum();
    plans
        .iter()
        .zip(own)
        .filter(|(_, (whole, _))| *whole > 0.0)
        .map(|(plan, (whole, skims))| {
            let one = Slopes::of_cutting(&plan.conditions(base), skims / whole);
            one.times(whole / all)
        })
        .fold(Slopes::default(), |sum, one| sum.plus(&one))
}

/// Standard deviations of the logarithms of the minutes of the rough and of the skims.
pub(super) fn pass_log_sds(
    conditions: &RoughConditions<'_>,
    plans: &[ContourPlan],
    steps: &[Step],
    library: &Library,
) -> [f64; 2] {
    let log_sd = |of: &dyn Fn(&Step) -> bool| {
        slopes(conditions, plans, steps, &|s| s.minutes.min_value(), of).log_sd(library)
    };
    [log_sd(&Step::is_rough), log_sd(&Step::is_skim)]
}

/// Slopes of the wire: what cuts moves with time and run-off, what is wasted at threadings and breaks with these.
pub(super) fn wire_slopes(
    conditions: &RoughConditions<'_>,
    plans: &[ContourPlan],
    steps: &[Step],
) -> Slopes {
    let metres = |of: &dyn Fn(&Step) -> bool| -> f64 {
        steps.iter().filter(|s| of(s)).map(|s| s.wire.m()).sum()
    };
    let all = metres(&|_| true).max(f64::MIN_POSITIVE);
    let threading = metres(&|s| s.kind == StepKind::Threading);
    let breaks = metres(&|s| s.kind == StepKind::Breaks);
    let cutting = slopes(conditions, plans, steps, &|s| s.wire.m(), &|s| {
        s.pass.is_some()
    });
    let wasted = [
        (Overhead::ThreadingWaste, (threading + breaks) / all),
        (Overhead::Breaks, breaks / all),
    ];
    Slopes::of_wire(&cutting, conditions.run)
        .times((all - threading - breaks) / all)
        .plus(&Slopes::of_overheads(&wasted))
}

/// Time, wire and cost by what their parts move with.
pub(super) fn figure_terms(
    steps: &[Step],
    plans: &[ContourPlan],
    basis: &CostBasis<'_>,
    conditions: &RoughConditions<'_>,
    holes: &[(Length, usize)],
    by_hand: bool,
    library: &Library,
) -> FigureTerms {
    let doubt = StepDoubts::new(conditions, plans, by_hand);
    let time = |s: &Step| s.minutes.min_value();
    let minutes = Terms::of(steps.iter().map(|s| (time(s), doubt.of_time(s))));
    let wire = Terms::of(steps.iter().map(|s| (s.wire.m(), doubt.of_wire(s))));
    let attended = steps.iter().filter(|s| s.attended);
    let attended = Terms::of(attended.map(|s| (time(s), doubt.of_time(s))));
    let drilling = hole_terms(holes, conditions, library);
    let (cost, cash) = basis.terms(&minutes, &wire, &attended, &drilling, library);
    FigureTerms {
        minutes,
        wire,
        cost,
        cash,
    }
}

/// Slopes of all minutes, and of those with somebody standing there.
pub(super) fn time_slopes(
    steps: &[Step],
    cutting_slopes: &Slopes,
    by_hand: bool,
) -> (Slopes, Slopes) {
    let sum = |of: &dyn Fn(&Step) -> Minutes| steps.iter().map(of).sum::<Minutes>().min_value();
    let share = |share| sum(&|s| s.share(share));
    let cutting = share(Share::Rough) + share(Share::Skims) + share(Share::Corners);
    let threading = if by_hand {
        Overhead::ThreadingByHand
    } else {
        Overhead::Threading
    };
    let overheads = [
        (threading, share(Share::Threading)),
        (Overhead::Stops, share(Share::SlugStops)),
        (Overhead::Moves, share(Share::Moves)),
        (Overhead::Breaks, share(Share::Breaks)),
    ];
    let whole = sum(&|s| s.minutes).max(f64::MIN_POSITIVE);
    let minutes = Slopes {
        overheads: overheads.map(|(o, m)| (o, m / whole)).to_vec(),
        ..cutting_slopes.times(cutting / whole)
    };
    // What somebody stands by for is as uncertain in the labour as in the machine's minutes.
    let stood_by_for = |of: &dyn Fn(&&Step) -> bool| -> f64 {
        let own = steps.iter().filter(|s| s.attended).filter(of);
        own.map(|s| s.minutes.min_value()).sum()
    };
    let stood_by = stood_by_for(&|_| true).max(f64::MIN_POSITIVE);
    // A tab's rough, and a rough that is watched.
    let watched = stood_by_for(&|s| s.pass.is_some());
    let attended: Vec<(Overhead, f64)> = overheads
        .into_iter()
        .filter(|(o, _)| !matches!(o, Overhead::Threading | Overhead::Moves))
        .map(|(o, m)| (o, m / stood_by))
        .collect();
    let attended = Slopes {
        overheads: attended,
        ..cutting_slopes.times(watched / stood_by)
    };
    (minutes, attended)
}
