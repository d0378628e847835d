//! The figures of one wire as JSON.

use crate::estimate::{CostLine, Difference, Estimate, Figures, Question, explain};
use crate::job::Job;
use crate::library::Library;
use crate::process::PassNumber;
use crate::units::Money;
use serde::Serialize;
use serde_json::{Map, Value, json};

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
    /// Gain in speed from which it pays, the freed hours sold; `null` where an hour costs nothing.
    pays_from_gain: Option<f64>,
    probability_faster: Option<f64>,
    probability_less_wire: Option<f64>,
    probability_cheaper: Option<f64>,
    probability_cheaper_unsold: Option<f64>,
    /// What two single cuts may differ by on top of that: standard deviation of the logarithm.
    single_cut_log_sd: f64,
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
        pays_from_gain: Some(d.pays_from_gain).filter(|g| g.is_finite()),
        probability_faster: d.minutes.probability_less,
        probability_less_wire: d.wire.probability_less,
        probability_cheaper: d.cost.probability_less,
        probability_cheaper_unsold: d.cash.probability_less,
        single_cut_log_sd: d.minutes.scatter,
    }
}

/// Every figure of the one table under its key, with what belongs beside it: the lines of the cost, the minutes of
/// single passes, and why the finish is what it is.
pub(super) fn figures(job: &Job, library: &Library, e: &Estimate) -> Map<String, Value> {
    let mut out = crate::words::figures::json(e.figures.as_ref());
    let Some(f) = &e.figures else { return out };
    let because = |q| explain(q, job, library, e).map_or_else(String::new, |f| f.one_line());
    let line = |l: CostLine| {
        json!({
            "what": l.what,
            "amount": l.amount.amount(),
            "because": because(l.question),
        })
    };
    let c = &f.cost;
    add(
        &mut out,
        "cost",
        json!({
            "holes": c.holes.amount(),
            "machine": c.machine.amount(),
            "labour": c.labour.amount(),
            "wire": c.wire.amount(),
            "consumables": c.consumables.amount(),
            "setup": c.setup.amount(),
            "loading": c.loading.amount(),
            "dressing": c.dressing.amount(),
            "programming": c.programming.amount(),
            "inspection": c.inspection.amount(),
            "work_piece": c.material.amount(),
            "other": c.other.amount(),
            "allowance": c.allowance.amount(),
            "markup": c.markup.amount(),
            "lines": c.lines().into_iter().map(line).collect::<Vec<_>>(),
        }),
    );
    let passes: Vec<[f64; 2]> = PassNumber::all(f.passes.len())
        .filter_map(|p| f.pass_minutes(p))
        .map(|m| [m.low.min_value(), m.high.min_value()])
        .collect();
    add(&mut out, "ranges", json!({ "pass_minutes": passes }));
    add(
        &mut out,
        "finish",
        json!({
            "in_doubt": f.finish.in_doubt.is_some(),
            "because": because(Question::Finish),
        }),
    );
    out
}

/// Puts more keys beside those of a group.
fn add(out: &mut Map<String, Value>, group: &str, more: Value) {
    if let (Some(Value::Object(there)), Value::Object(more)) = (out.get_mut(group), more) {
        there.extend(more);
    }
}

pub(super) fn lines(f: &Figures, job: &Job, library: &Library, e: &Estimate) -> Vec<LineJson> {
    f.steps
        .iter()
        .enumerate()
        .map(|(k, s)| LineJson {
            what: s.words(),
            pass: s.pass.map(PassNumber::number),
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
