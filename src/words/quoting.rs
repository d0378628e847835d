//! What a quote says beside its figures. Cautions are common practice, no source; no list of them is complete.

use super::Style;
use crate::drawing::Fault;
use crate::language::said;
use crate::units::Length;

/// What every price rests on.
pub const AS_DRAWN: &str = key!(
    "The contours as they were read from the drawing and are shown here to scale; texts, tolerances \
     and notes of the drawing that are not repeated here are not part of the price."
);

/// Where no wire can cut it.
pub const NO_PRICE: &str =
    key!("No price: as drawn it cannot be cut with the wires that were considered.");

/// On the use of parts that were cut by wire.
pub const ON_USE: [&str; 3] = [
    key!(
        "Cut edges are sharp, and small pieces may cling to them: wear gloves, and deburr before use."
    ),
    key!(
        "Spark erosion leaves a thin recast layer on the cut faces, and stress in the material can move a part when it is \
     cut free. Where parts carry load, hold pressure or protect people, whoever is responsible for the design decides \
     whether that layer has to be removed and what has to be inspected."
    ),
    key!(
        "Local codes, the maker's manual of the machine or tool that the part goes into, and licensed practice come before \
     anything written here."
    ),
];

/// How long it takes, and from when that counts.
pub fn lead_time(days_before: u32) -> String {
    let from = match days_before {
        0 => say!("from the day the work is begun").to_owned(),
        1 => say!("from the order; the work is begun on the next working day").to_owned(),
        n => say!("from the order; the work is begun after {n} working days"),
    };
    say!(
        "Working days are counted {from}, in the shop's hours as they are today, for each quantity by itself. They are \
         an estimate, not a promise, until the order is confirmed."
    )
}

/// Inside corners and radii that come out larger than drawn: the radius that is left, how many contours have such places,
/// and how much is left standing in the worst of them.
pub fn radii_left(leaves: Length, contours: usize, depth: Length, style: Style) -> String {
    let has = style.count(contours, say!("contour has"), say!("contours have"));
    let (leaves, depth) = (style.fine(leaves), style.fine(depth));
    say!(
        "The wire is round: {has} inside corners or radii that come out with a radius of {leaves}, which leaves up to \
         {depth} standing in them."
    )
}

/// A drawing that names no unit.
pub fn unit_taken(sign: &str) -> String {
    say!("The drawing names no unit; its lengths are taken as {sign}.")
}

/// What a finding of the import means for the one who gets the quote: what is part of the price and what is not. `None` where
/// it is no concern of theirs: what is asked of the shop, what the drawing on the quote shows anyway, what leaves no price.
pub fn of_finding(fault: Fault) -> Option<&'static str> {
    let text = match fault {
        Fault::ScaleInDimensions | Fault::ScaleInText | Fault::MixedScales => key!(
            "The drawing names another scale for all or some of its parts; lengths are those given here."
        ),
        Fault::DimensionDisagrees | Fault::DimensionsInOtherUnit => key!(
            "Some dimensions of the drawing give other sizes than its lines; the lines count, as they are shown here."
        ),
        Fault::SizeImplausible | Fault::BeyondMachines | Fault::TooLarge => {
            key!("The size given here is the one that the drawing's lines have. Please check it.")
        }
        Fault::Damaged
        | Fault::CutOff
        | Fault::UnreadableNumber
        | Fault::NotFinite
        | Fault::Incomplete
        | Fault::FarAway
        | Fault::SplineUnusable
        | Fault::BlockMissing
        | Fault::BlockRecursive
        | Fault::BlockTooDeep
        | Fault::TooManyCurves
        | Fault::TooManySegments => {
            key!(
                "Not all of the drawing's file could be read; what is shown here is what is priced."
            )
        }
        Fault::PaperSpace | Fault::HiddenLayer | Fault::Invisible => {
            key!("What the drawing holds on hidden layers or in layouts is not part of the price.")
        }
        Fault::SplineRepaired | Fault::FitPointsOnly | Fault::Tilted => key!(
            "The drawing does not give some of its curves completely; they are taken as they are shown here."
        ),
        Fault::GapBridged
        | Fault::OpenEnd
        | Fault::Branch
        | Fault::TJunction
        | Fault::Crossing
        | Fault::SelfCrossing
        | Fault::ContoursCross
        | Fault::ClosesAtSides
        | Fault::JoinedAtSides
        | Fault::OutlineAtSides
        | Fault::EndMoved => key!(
            "Some lines of the drawing do not meet, or cross; the contours are those shown here."
        ),
        Fault::MaybeCentreLines => {
            key!("Curves that may be centre lines are counted as contours to be cut.")
        }
        Fault::MaybeBorder | Fault::MaybeTitleBlock => {
            key!("Curves that may be a border or a title block are counted as contours to be cut.")
        }
        Fault::MaybeBlockEdge => key!(
            "Curves that may be the edge of the finished blank are counted as contours to be cut."
        ),
        Fault::MaybeSameAgain => {
            key!("Views that may show the same part again are counted as parts of their own.")
        }
        Fault::SideBySide => key!(
            "The contours lie side by side; whether they are parts or openings is assumed as it is shown here."
        ),
        Fault::SeveralParts | Fault::SpreadsWide => {
            key!("The drawing shows several parts; the price is for all of them together.")
        }
        Fault::EdgesTaken => key!("The edges of filled areas are taken as contours to be cut."),
        _ => return None,
    };
    Some(said(text))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_that_is_asked_of_the_shop_is_said_to_the_customer() {
        for fault in Fault::ALL {
            let Some(text) = of_finding(fault) else {
                continue;
            };
            for asks in ["you ", "Ask ", "Look ", "join gap", "layer it"] {
                assert!(!text.contains(asks), "{fault:?}: {text}");
            }
        }
    }
}
