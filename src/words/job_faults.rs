//! Decisions that cannot be estimated, as one says it: what is wrong and what may be entered.

use super::{System, within};
use crate::job::{Candidate, ContourChoice, Edit, Job, JobFault};
use crate::process::wire_run::MOST_RUN_OFF;
use crate::units::{Length, RunOff};
use std::ops::RangeInclusive;

/// The fault in two sentences.
pub fn sentence(fault: &JobFault, system: System) -> String {
    let length = |l| within::entered(l, system);
    let between = |mm: RangeInclusive<f64>| {
        let [low, high] = [mm.start(), mm.end()].map(|l| Length::from_mm(*l));
        within::between(low, high, system)
    };
    match fault {
        JobFault::Thickness(t) => say!(
            "A thickness of {} cannot be cut. Enter a thickness between {}.",
            length(*t),
            between(Job::THICKNESS_MM)
        ),
        JobFault::UnknownMaterial(name) => {
            say!("{} Choose one of its materials.", unknown_material(name))
        }
        JobFault::UnknownWire(name) => {
            say!("{} Choose one of its wires.", unknown_wire(name))
        }
        JobFault::Run(wire) => {
            say!("{} Change how {wire} is run.", limits_of_a_run(system))
        }
        JobFault::Diameter(d) => say!(
            "No wire is {} thick. Enter a diameter between {}.",
            length(*d),
            between(Candidate::DIAMETER_MM)
        ),
        JobFault::Passes { asked, most } => {
            say!("{asked} passes cannot be planned. Choose between 1 (rough only) and {most}.")
        }
        JobFault::Taper(degrees) => {
            let most = ContourChoice::MOST_TAPER_DEGREES;
            say!(
                "A taper of {degrees}° cannot be estimated. Enter between −{most}° and {most}°."
            )
        }
        JobFault::Tab(t) => say!(
            "A tab of {} cannot be left. Enter between {}.",
            length(*t),
            between(ContourChoice::TAB_MM)
        ),
        JobFault::LooseLimit => {
            say!("Below which size or mass an opening is burned out, or a piece may drop alone, is 0 or a number above it. \
             Enter such a limit.")
                .to_owned()
        }
        JobFault::NobodyThere => {
            say!("No operator is ever there to begin the job. Choose at least one day with an operator in the shop.").to_owned()
        }
        JobFault::Quantity(n) => {
            say!("A lot of {n} parts cannot be estimated. Enter between 1 and 1 000 000.")
        }
    }
}

/// What may be entered for a variant.
pub fn edit(edit: &Edit, system: System) -> String {
    match edit {
        Edit::Scale(_) => {
            let (low, high) = (Edit::SCALE.start(), Edit::SCALE.end());
            say!("A drawing can be scaled by {low} to {high}. Enter a factor between them.")
        }
        Edit::InsideRadii(_) => {
            let [low, high] =
                [Edit::RADIUS_MM.start(), Edit::RADIUS_MM.end()].map(|l| Length::from_mm(*l));
            say!(
                "Enter an inside radius between {}.",
                within::between(low, high, system)
            )
        }
        Edit::Thickness(t) => sentence(&JobFault::Thickness(*t), system),
        Edit::Mirror | Edit::LeaveOut(_) | Edit::Passes(_) => {
            say!("This cannot be made.").to_owned()
        }
    }
}

/// What a way to run a wire may hold.
pub fn limits_of_a_run(system: System) -> String {
    let most = RunOff::from_m_per_min(MOST_RUN_OFF);
    say!(
        "A wire speed has to lie above 0 and up to {}, and a reel needs wire and hours.",
        within::run_off(most, system)
    )
}

/// A material that the library lacks.
pub fn unknown_material(name: &str) -> String {
    say!("The library has no material “{name}”.")
}

/// A wire that the library lacks.
pub fn unknown_wire(name: &str) -> String {
    say!("The library has no wire “{name}”.")
}
