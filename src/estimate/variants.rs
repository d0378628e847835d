//! Two drawings or two jobs side by side: what differs in them, and what that does.

use super::{Difference, Figures, WhyDifferent, why_different};
use crate::job::{Candidate, Job, passes_words};
use crate::library::Library;
use crate::profile::Keep;
use crate::reason::short;

/// Why one estimate differs from another.
#[derive(Debug, Clone, PartialEq)]
pub struct Variants {
    /// Of time, wire and cost, with ranges and probabilities.
    pub difference: Difference,
    /// Minutes and wire, split.
    pub why: WhyDifferent,
    /// What is decided otherwise in the second job, in words; empty where only the drawing differs.
    pub decided: Vec<String>,
}

/// From one to the other: job and figures of each.
///
/// What both share cancels in the ranges, as between two wires: one shop, one library.
pub fn variants(
    before: (&Job, &Candidate, &Figures),
    after: (&Job, &Candidate, &Figures),
    library: &Library,
) -> Variants {
    Variants {
        difference: Difference::between(after.2, before.2, library),
        why: why_different(before.2, after.2),
        decided: decided_otherwise((before.0, before.1), (after.0, after.1)),
    }
}

/// What was decided otherwise, one phrase each: "thickness 40 mm → 60 mm".
fn decided_otherwise(before: (&Job, &Candidate), after: (&Job, &Candidate)) -> Vec<String> {
    let ((a, wire_a), (b, wire_b)) = (before, after);
    let wire = |c: &Candidate| {
        let run = c.run.words();
        let gap = if run.is_empty() { "" } else { ", " };
        format!("{} Ø {} mm{gap}{run}", c.wire, short(c.diameter.mm()))
    };
    let keep = |k: Keep| match k {
        Keep::Inside => "the inside stays",
        Keep::Outside => "the outside stays",
    };
    let pairs = [
        ("wire", wire(wire_a), wire(wire_b)),
        (
            "thickness",
            format!("{} mm", short(a.thickness.mm())),
            format!("{} mm", short(b.thickness.mm())),
        ),
        ("material", a.material.clone(), b.material.clone()),
        ("passes", passes_words(a.passes), passes_words(b.passes)),
        (
            "flushing",
            a.flushing.words().to_owned(),
            b.flushing.words().to_owned(),
        ),
        ("parts", a.quantity.to_string(), b.quantity.to_string()),
        ("kept", keep(a.keep).to_owned(), keep(b.keep).to_owned()),
    ];
    let mut out: Vec<String> = pairs
        .into_iter()
        .filter(|(_, a, b)| a != b)
        .map(|(what, a, b)| format!("{what} {a} → {b}"))
        .collect();
    if (a.order, a.cut_off, a.travel) != (b.order, b.cut_off, b.travel) {
        out.push("another order of cutting".to_owned());
    }
    if a.shop != b.shop {
        out.push("other shop rates".to_owned());
    }
    if !(a.contours.is_empty() && b.contours.is_empty()) {
        out.push("single contours with choices of their own".to_owned());
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

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
                "wire hard plain brass Ø 0.25 mm → hard plain brass Ø 0.2 mm",
                "thickness 40 mm → 60 mm",
                "passes rough and three skims → rough and one skim",
            ]
        );
    }
}
