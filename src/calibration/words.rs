//! What was learned, in plain sentences.

use super::assessment::assess;
use super::fit::MachineFit;
use crate::library::Library;
use crate::library::{Factor, knowledge::Learned};

/// Less than this many standard deviations from its prior value, and hardly narrower: not worth a sentence.
const WORTH: f64 = 0.1;

/// Most cuts that are named because they do not fit.
const MOST_NAMED: usize = 5;

/// One sentence a line, the most telling first: what was learned, and how far to trust it.
pub fn what_was_learned(fit: &MachineFit, library: &Library) -> Vec<String> {
    let mut out = Vec::new();
    let known = &fit.knowledge;
    let machine = if fit.machine.is_empty() {
        "your machine".to_owned()
    } else {
        fit.machine.clone()
    };
    if known.cuts == 0 {
        return vec![format!("No cut on {machine} could be learned from.")];
    }
    let plural = if known.cuts == 1 { "cut" } else { "cuts" };
    out.push(format!(
        "Learned from {} finished {plural} on {machine}.",
        known.cuts
    ));
    for l in known.factors() {
        let sd = known.log_sd(&l.factor).unwrap_or(l.prior_log_sd);
        let moved = (l.log_mean / l.prior_log_sd).abs() >= WORTH;
        let narrower = sd < (1.0 - WORTH) * l.prior_log_sd;
        if moved || narrower {
            out.push(sentence(l, sd, &machine, library));
        }
    }
    if let Some(a) = assess([fit]) {
        out.push(format!(
            "Predicted from the other cuts, a cut was off by about {} %; with itself among them by {} %, before learning by {} %.",
            percent(a.left_out),
            percent(a.after),
            percent(a.before)
        ));
    }
    let suspects: Vec<_> = fit.rows.iter().filter(|r| r.is_suspect()).collect();
    for r in suspects.iter().take(MOST_NAMED) {
        out.push(format!(
            "Row {} does not fit the others: {:.0} min where {:.0} were expected. It counts for little. Check it, or mark it as an outlier.",
            r.row,
            r.actual.min_value(),
            r.left_out.min_value()
        ));
    }
    if suspects.len() > MOST_NAMED {
        let more = suspects.len() - MOST_NAMED;
        out.push(format!(
            "{more} more do not fit the others. With so many, look for what these cuts have in common."
        ));
    }
    let marked = fit.rows.iter().filter(|r| r.outlier).count();
    if marked > 0 {
        let (plural, verb) = if marked == 1 {
            ("cut", "is")
        } else {
            ("cuts", "are")
        };
        out.push(format!(
            "{marked} {plural} marked as outliers {verb} shown, but not learned from."
        ));
    }
    out
}

fn percent(log_rms: f64) -> String {
    format!("{:.0}", log_rms.exp_m1() * 100.0)
}

/// "8 % faster (68 %: 2 to 15 % faster)".
fn faster(log: f64, sd: f64) -> String {
    more_or_less(log, sd, "faster", "slower")
}

fn more_or_less(log: f64, sd: f64, more: &str, less: &str) -> String {
    let one = |x: f64| {
        let p = x.exp_m1() * 100.0;
        if p.abs() < 0.5 {
            "0 %".to_owned()
        } else {
            format!("{:.0} % {}", p.abs(), if p > 0.0 { more } else { less })
        }
    };
    format!(
        "{} (68 %: {} to {})",
        one(log),
        one(log - sd),
        one(log + sd)
    )
}

fn sentence(l: &Learned, sd: f64, machine: &str, library: &Library) -> String {
    let cuts = if l.cuts == 1 {
        "1 cut".to_owned()
    } else {
        format!("{} cuts", l.cuts)
    };
    match &l.factor {
        Factor::Machine => format!(
            "On {machine}, cutting is {} than the library’s curve, from {cuts}.",
            faster(l.log_mean, sd)
        ),
        Factor::Material(name) => format!(
            "In {name}, cutting is {} than the library says, beside the machine, from {cuts}.",
            faster(l.log_mean, sd)
        ),
        Factor::Wire(name) => {
            let built_in = library.wire(name).map_or(1.0, |w| w.relative_speed.value);
            format!(
                "With {name}, cutting runs at {:.2} times hard plain brass ({:.2} to {:.2}); the library says {built_in:.2}. From {cuts}.",
                built_in * l.log_mean.exp(),
                built_in * (l.log_mean - sd).exp(),
                built_in * (l.log_mean + sd).exp(),
            )
        }
        Factor::Diameter => format!(
            "Diameter matters {:.2} ± {sd:.2} times as much as the library says, from {cuts}.",
            1.0 + l.log_mean
        ),
        Factor::CurveBelow => hump(
            "thin",
            "20 mm",
            (20.0_f64 / 60.0).ln().powi(2),
            l,
            sd,
            &cuts,
        ),
        Factor::CurveAbove => hump(
            "thick",
            "150 mm",
            (150.0_f64 / 60.0).ln().powi(2),
            l,
            sd,
            &cuts,
        ),
        Factor::Flushing(f) => format!(
            "With {}, cutting is {} than the library says, from {cuts}.",
            f.words(),
            faster(l.log_mean, sd)
        ),
        Factor::Skims => format!(
            "Skims run {} than the library says, beside the rough, from {cuts}.",
            faster(l.log_mean, sd)
        ),
        Factor::RunOff => format!(
            "Wire runs off {} than the library says, from {cuts} with their wire noted.",
            more_or_less(l.log_mean, sd, "faster", "slower")
        ),
    }
}

fn hump(which: &str, at: &str, curve: f64, l: &Learned, sd: f64, cuts: &str) -> String {
    format!(
        "In {which} work, at {at} for one, cutting is {} than the library’s curve, beside the machine, from {cuts}.",
        faster(-curve * l.log_mean, curve * sd)
    )
}
