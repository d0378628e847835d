//! Two drawings or two jobs side by side: what differs in them, and what that does.

use super::{Difference, Figures, WhyDifferent, why_different};
use crate::job::{Candidate, Flushing, Job};
use crate::library::Library;
use crate::profile::Keep;
use crate::units::Length;

/// Why one estimate differs from another.
#[derive(Debug, Clone, PartialEq)]
pub struct Variants {
    /// Of time, wire and cost, with ranges and probabilities.
    pub difference: Difference,
    /// Minutes and wire, split.
    pub why: WhyDifferent,
    /// What is decided otherwise in the second job; empty where only the drawing differs.
    pub decided: Vec<Otherwise>,
}

/// From one to the other: job and figures of each.
///
/// What both share cancels in the ranges, as between two wires: one shop, one library.
pub fn variants(
    before: (&Job, &Candidate, &Figures),
    after: (&Job, &Candidate, &Figures),
    library: &Library,
) -> Variants {
    let library = &*before.0.library_on_machine(library);
    Variants {
        difference: Difference::between(after.2, before.2, library),
        why: why_different(before.2, after.2),
        decided: decided_otherwise((before.0, before.1), (after.0, after.1)),
    }
}

/// One thing that was decided otherwise: before and after.
#[derive(Debug, Clone, PartialEq)]
pub enum Otherwise {
    /// The wire, its diameter or how it is run.
    Wire(Candidate, Candidate),
    /// Thickness of the work.
    Thickness(Length, Length),
    /// Material, by its name in the library.
    Material(String, String),
    /// Passes, 1 the rough alone.
    Passes(usize, usize),
    /// How well the dielectric reaches the cut.
    Flushing(Flushing, Flushing),
    /// Parts in the lot.
    Parts(u32, u32),
    /// What stays.
    Kept(Keep, Keep),
    /// The order of cutting.
    Order,
    /// Rates and habits of the shop.
    Shop,
    /// Some contour has a choice of its own, before or after.
    Contours,
}

/// Everything that was decided otherwise, in a fixed order.
fn decided_otherwise(before: (&Job, &Candidate), after: (&Job, &Candidate)) -> Vec<Otherwise> {
    let ((a, wire_a), (b, wire_b)) = (before, after);
    let order = |j: &Job| (j.order, j.cut_off, j.travel);
    let all = [
        (wire_a != wire_b).then(|| Otherwise::Wire(wire_a.clone(), wire_b.clone())),
        (a.thickness != b.thickness).then_some(Otherwise::Thickness(a.thickness, b.thickness)),
        (a.material != b.material)
            .then(|| Otherwise::Material(a.material.clone(), b.material.clone())),
        (a.passes != b.passes).then_some(Otherwise::Passes(a.passes, b.passes)),
        (a.flushing != b.flushing).then_some(Otherwise::Flushing(a.flushing, b.flushing)),
        (a.quantity != b.quantity).then_some(Otherwise::Parts(a.quantity, b.quantity)),
        (a.keep != b.keep).then_some(Otherwise::Kept(a.keep, b.keep)),
        (order(a) != order(b)).then_some(Otherwise::Order),
        (a.shop != b.shop || a.machine != b.machine).then_some(Otherwise::Shop),
        (!(a.contours.is_empty() && b.contours.is_empty())).then_some(Otherwise::Contours),
    ];
    all.into_iter().flatten().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_differs_is_named() {
        let job = Job::starting(Library::built_in());
        let wire = &job.candidates[0];
        assert!(decided_otherwise((&job, wire), (&job, wire)).is_empty());
        let other = Job {
            thickness: Length::from_mm(60.0),
            passes: 2,
            ..job.clone()
        };
        assert_eq!(
            decided_otherwise((&job, wire), (&other, &job.candidates[5])),
            [
                Otherwise::Wire(wire.clone(), job.candidates[5].clone()),
                Otherwise::Thickness(Length::from_mm(40.0), Length::from_mm(60.0)),
                Otherwise::Passes(4, 2),
            ]
        );
    }
}
