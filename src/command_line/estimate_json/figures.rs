//! The figures of one wire as JSON.

use crate::estimate::{CostLine, Difference, Estimate, Figures, Question, explain};
use crate::job::Job;
use crate::library::Library;
use crate::plan::Share;
use crate::units::Money;
use serde::Serialize;

/// Low and high, about 68 %.
#[derive(Serialize)]
pub(super) struct RangesJson {
    pass_minutes: Vec<[f64; 2]>,
    wire_m: [f64; 2],
    wire_kg: [f64; 2],
    spools: [f64; 2],
    parts_per_week: [u64; 2],
}

/// As shares: −0.31 is 31 % less.
#[derive(Serialize)]
pub(in crate::command_line) struct DifferenceJson {
    minutes: f64,
    minutes_range: [f64; 2],
    wire: f64,
    wire_range: [f64; 2],
    cost: f64,
    cost_range: [f64; 2],
    /// Of what is really spent, the freed machine hours not sold.
    cost_unsold: f64,
    cost_unsold_range: [f64; 2],
    /// Money a part.
    cost_amount: f64,
    cost_unsold_amount: f64,
    /// Value of a machine hour at which the two cost the same; `null` where one saves time and money.
    turns_at_machine_rate: Option<f64>,
    probability_faster: Option<f64>,
    probability_less_wire: Option<f64>,
    probability_cheaper: Option<f64>,
    probability_cheaper_unsold: Option<f64>,
    /// What two single cuts may differ by on top of that: standard deviation of the logarithm.
    single_cut_log_sd: f64,
}

/// Minutes by what they go into; see the interface's words.
#[derive(Serialize)]
pub(in crate::command_line) struct MinutesJson {
    pub total: f64,
    pub low: f64,
    pub high: f64,
    pub cutting: f64,
    pub corners: f64,
    pub threading: f64,
    pub slug_stops: f64,
    pub moves: f64,
    pub breaks: f64,
}

#[derive(Serialize)]
pub(super) struct CostJson {
    holes: f64,
    machine: f64,
    labour: f64,
    wire: f64,
    consumables: f64,
    setup: f64,
    loading: f64,
    dressing: f64,
    programming: f64,
    inspection: f64,
    work_piece: f64,
    other: f64,
    markup: f64,
    part: f64,
    low: f64,
    high: f64,
    lines: Vec<CostLineJson>,
}

#[derive(Serialize)]
struct CostLineJson {
    what: &'static str,
    amount: f64,
    because: String,
}

/// The finish that the job's passes usually leave with this wire.
#[derive(Serialize)]
pub(super) struct FinishJson {
    /// Low and high of the usual Ra.
    ra_um: [f64; 2],
    /// Whether a skim is run slower than this wire is known to bear.
    in_doubt: bool,
    because: String,
}

#[derive(Serialize)]
pub(super) struct LineJson {
    what: String,
    pass: Option<usize>,
    contour: Option<usize>,
    length_mm: f64,
    minutes: f64,
    corner_minutes: f64,
    wire_m: f64,
    attended: bool,
    because: String,
}

/// Minutes by what they go into.
pub(in crate::command_line) fn minutes(f: &Figures) -> MinutesJson {
    let share = |s| f.share(s).min_value();
    MinutesJson {
        total: f.minutes.median.min_value(),
        low: f.minutes.low.min_value(),
        high: f.minutes.high.min_value(),
        cutting: share(Share::Rough) + share(Share::Skims),
        corners: share(Share::Corners),
        threading: share(Share::Threading),
        slug_stops: share(Share::SlugStops),
        moves: share(Share::Moves),
        breaks: share(Share::Breaks),
    }
}

pub(super) fn ranges(f: &Figures) -> RangesJson {
    let (kg, spools) = (f.wire_mass_ranged(), f.spools_ranged());
    RangesJson {
        pass_minutes: (1..=f.passes.len())
            .filter_map(|p| f.pass_minutes(p))
            .map(|m| [m.low.min_value(), m.high.min_value()])
            .collect(),
        wire_m: [f.wire.low.m(), f.wire.high.m()],
        wire_kg: [kg.low.kg(), kg.high.kg()],
        spools: [spools.low, spools.high],
        parts_per_week: f.parts_per_week_range.into(),
    }
}

pub(in crate::command_line) fn difference_json(d: Difference) -> DifferenceJson {
    DifferenceJson {
        minutes: d.minutes.share,
        minutes_range: d.minutes.range.into(),
        wire: d.wire.share,
        wire_range: d.wire.range.into(),
        cost: d.cost.share,
        cost_range: d.cost.range.into(),
        cost_unsold: d.cash.share,
        cost_unsold_range: d.cash.range.into(),
        cost_amount: d.cost_amount.amount(),
        cost_unsold_amount: d.cash_amount.amount(),
        turns_at_machine_rate: d.turns_at_rate.map(Money::amount),
        probability_faster: d.minutes.probability_less,
        probability_less_wire: d.wire.probability_less,
        probability_cheaper: d.cost.probability_less,
        probability_cheaper_unsold: d.cash.probability_less,
        single_cut_log_sd: d.minutes.scatter,
    }
}

pub(super) fn cost(f: &Figures, job: &Job, library: &Library, e: &Estimate) -> CostJson {
    let c = &f.cost;
    let line = |l: CostLine| CostLineJson {
        what: l.what,
        amount: l.amount.amount(),
        because: explain(l.question, job, library, e).map_or_else(String::new, |f| f.one_line()),
    };
    CostJson {
        holes: c.holes.amount(),
        machine: c.machine.amount(),
        labour: c.labour.amount(),
        wire: c.wire.amount(),
        consumables: c.consumables.amount(),
        setup: c.setup.amount(),
        loading: c.loading.amount(),
        dressing: c.dressing.amount(),
        programming: c.programming.amount(),
        inspection: c.inspection.amount(),
        work_piece: c.material.amount(),
        other: c.other.amount(),
        markup: c.markup.amount(),
        part: c.part.median.amount(),
        low: c.part.low.amount(),
        high: c.part.high.amount(),
        lines: c.lines().into_iter().map(line).collect(),
    }
}

pub(super) fn finish(f: &Figures, job: &Job, library: &Library, e: &Estimate) -> FinishJson {
    FinishJson {
        ra_um: f.finish.roughness_um,
        in_doubt: f.finish.in_doubt.is_some(),
        because: explain(Question::Finish, job, library, e)
            .map_or_else(String::new, |f| f.one_line()),
    }
}

pub(super) fn lines(f: &Figures, job: &Job, library: &Library, e: &Estimate) -> Vec<LineJson> {
    f.steps
        .iter()
        .enumerate()
        .map(|(k, s)| LineJson {
            what: s.words(),
            pass: s.pass,
            contour: s.contour,
            length_mm: s.length.mm(),
            minutes: s.minutes.min_value(),
            corner_minutes: s.corner_minutes.min_value(),
            wire_m: s.wire.m(),
            attended: s.attended,
            because: explain(Question::Step(k), job, library, e)
                .map_or_else(String::new, |f| f.one_line()),
        })
        .collect()
}
