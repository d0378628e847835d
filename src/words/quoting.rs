//! What a quote says beside its figures. Cautions are common practice, no source; no list of them is complete.

use super::Style;
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
