//! What finished cuts teach, in plain sentences.

use super::{System, within};
use crate::calibration::lessons::{Lesson, OfFactor};
use crate::language::{localised, said};
use crate::library::Factor;
use crate::units::Length;

/// One lesson about a machine; `machine` is its name in the log and may be empty.
pub fn sentence(lesson: &Lesson, machine: &str, system: System) -> String {
    let machine = if machine.is_empty() {
        say!("your machine")
    } else {
        machine
    };
    match lesson {
        Lesson::NoCut => say!("No cut on {machine} could be learned from."),
        Lesson::Learned { cuts } => {
            say!("Learned from {} on {machine}.", finished(*cuts))
        }
        Lesson::Factor(l) => factor(l, machine, system),
        Lesson::Error(a) => say!(
            "Predicted from the other cuts, a cut was off by about {} %; with itself among them by {} %, before learning by {} %.",
            percent(a.left_out),
            percent(a.after),
            percent(a.before)
        ),
        Lesson::DoesNotFit {
            row,
            actual,
            expected,
        } => say!(
            "Row {row} does not fit the others: {:.0} min where {:.0} were expected. It counts for little. Check it, or mark it as an outlier.",
            actual.min_value(),
            expected.min_value()
        ),
        Lesson::MoreDoNotFit(more) => say!(
            "{more} more do not fit the others. With so many, look for what these cuts have in common."
        ),
        Lesson::Outliers(1) => {
            say!("1 cut marked as outliers is shown, but not learned from.").to_owned()
        }
        Lesson::Outliers(n) => {
            say!("{n} cuts marked as outliers are shown, but not learned from.")
        }
    }
}

fn finished(cuts: usize) -> String {
    match cuts {
        1 => say!("1 finished cut").to_owned(),
        n => say!("{n} finished cuts"),
    }
}

fn percent(log_rms: f64) -> String {
    format!("{:.0}", log_rms.exp_m1() * 100.0)
}

/// "8 % faster (68 %: 2 % faster to 15 % faster)".
fn more_or_less(log: f64, sd: f64, more: &str, less: &str) -> String {
    let one = |x: f64| {
        let p = x.exp_m1() * 100.0;
        if p.abs() < 0.5 {
            "0 %".to_owned()
        } else {
            format!("{:.0} % {}", p.abs(), if p > 0.0 { more } else { less })
        }
    };
    say!(
        "{} (68 %: {} to {})",
        one(log),
        one(log - sd),
        one(log + sd)
    )
}

fn factor(l: &OfFactor, machine: &str, system: System) -> String {
    let cuts = match l.cuts {
        1 => say!("1 cut").to_owned(),
        n => say!("{n} cuts"),
    };
    let faster = || more_or_less(l.log, l.log_sd, say!("faster"), say!("slower"));
    let hump = |which: &str| {
        let at = l.thickness.unwrap_or(Length::ZERO);
        say!(
            "In {which} work, at {} for one, cutting is {} than the library’s curve, beside the machine, from {cuts}.",
            within::entered(at, system),
            faster()
        )
    };
    match &l.factor {
        Factor::Machine => say!(
            "On {machine}, cutting is {} than the library’s curve, from {cuts}.",
            faster()
        ),
        Factor::Material(name) => say!(
            "In {name}, cutting is {} than the library says, beside the machine, from {cuts}.",
            faster(),
            name = said(name)
        ),
        Factor::Wire(name) => {
            let times = |log: f64| two(l.built_in * log.exp());
            say!(
                "With {name}, cutting runs at {} times hard plain brass ({} to {}); the library says {}. From {cuts}.",
                times(l.log),
                times(l.log - l.log_sd),
                times(l.log + l.log_sd),
                two(l.built_in),
                name = said(name)
            )
        }
        Factor::Diameter => say!(
            "Diameter matters {} ± {} times as much as the library says, from {cuts}.",
            two(1.0 + l.log),
            two(l.log_sd)
        ),
        Factor::CurveBelow => hump(say!("thin")),
        Factor::CurveAbove => hump(say!("thick" in "thick work")),
        Factor::Flushing(f) => say!(
            "With {}, cutting is {} than the library says, from {cuts}.",
            f.words(),
            faster()
        ),
        Factor::Skims => say!(
            "Skims run {} than the library says, beside the rough, from {cuts}.",
            faster()
        ),
        Factor::RunOff => say!(
            "Wire runs {} than the library says, from {cuts} with their wire noted.",
            faster()
        ),
    }
}
/// With two decimals.
fn two(value: f64) -> String {
    localised(format!("{value:.2}"))
}
