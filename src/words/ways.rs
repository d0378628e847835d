//! Ways to go about a job: the order of contours, when slugs are cut off, how the wire travels, how it is run.

use super::{System, within};
use crate::estimate::alternatives::WayOfCutting;
use crate::job::{CutOff, CuttingOrder, NoCandidate, Travel, WireRun};
use crate::reason::{Unit, short};

/// "each contour in turn".
pub fn order(order: CuttingOrder) -> &'static str {
    match order {
        CuttingOrder::EachInTurn => say!("each contour in turn"),
        CuttingOrder::RoughsFirst => say!("every contour roughed before the first skim"),
    }
}

/// "slugs out after the skims".
pub fn cut_off(cut_off: CutOff) -> &'static str {
    match cut_off {
        CutOff::AfterSkims => say!("slugs out after the skims"),
        CutOff::BeforeSkims => say!("slugs out before the skims"),
    }
}

/// The way without its numbers: "each contour in turn, slugs out after the skims".
pub fn of_cutting(way: &WayOfCutting) -> String {
    let travel = match way.travel {
        Travel::Rethread => "",
        Travel::KeepThreaded => say!(", threaded from part to part"),
    };
    format!("{}, {}{travel}", order(way.order), cut_off(way.cut_off))
}

/// How a wire is run, as added to its name: "at 10 and 6 m/min"; empty for the usual way.
pub fn of_running(run: WireRun, system: System) -> String {
    match run {
        WireRun::Usual => String::new(),
        WireRun::Own { .. } | WireRun::Each(_) => {
            let (factor, sign) = system.conversion(Unit::RunOff);
            let given: Vec<String> = (run.given().iter())
                .map(|u| short(u.m_per_min() * factor))
                .collect();
            let (others, last) = given.split_at(given.len().saturating_sub(1));
            say!("at {} and {} {sign}", others.join(", "), last.concat())
        }
        WireRun::Reciprocating { reel, hours } => say!(
            "reciprocating, {} in {} h",
            within::wire(reel, system),
            short(hours)
        ),
    }
}

/// Text that says no way to run a wire. Numbers are read in metric units wherever it is typed.
pub fn not_a_run(text: &str) -> String {
    say!(
        "“{text}” is no way to run a wire. Write the wire speed in rough and skims in m/min, such as 10/6, or pass by \
         pass, such as 10/9/8/6, or the metres on a reel and the hours it lasts, such as reel 200/80."
    )
}

/// Text that names no wire to compare.
pub fn no_candidate(text: &str, why: &NoCandidate) -> String {
    match why {
        NoCandidate::Wire => say!(
            "“{text}” is no wire. Write its name, @ and its diameter in mm, such as \"hard plain brass@0.25\"."
        ),
        NoCandidate::Run(run) => not_a_run(run),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_run_reads_in_the_unit_shown() {
        let said = |text: &str, system| of_running(WireRun::parse(text).unwrap(), system);
        assert_eq!(said("10/9/8/6", System::Metric), "at 10, 9, 8 and 6 m/min");
        assert_eq!(said("10/6", System::Metric), "at 10 and 6 m/min");
        // ÷ 0.3048: 10 → 32.81, 6 → 19.69, 200 → 656.2.
        assert_eq!(said("10/6", System::Inch), "at 32.81 and 19.69 ft/min");
        assert_eq!(
            said("reel 200/80", System::Inch),
            "reciprocating, 656.2 ft in 80 h"
        );
        assert_eq!(said("", System::Inch), "");
    }
}
