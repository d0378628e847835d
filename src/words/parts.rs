//! Several parts of one drawing, and a set of them.

use super::Style;
use crate::estimate::set::SetOfParts;

/// "2 × part 1, 1 × part 2".
pub fn members(set: &SetOfParts, style: Style) -> String {
    let one = |count: u32, part: usize| {
        let count = style.number(f64::from(count), 0);
        format!("{count} × part {}", part + 1)
    };
    let members: Vec<String> = set.parts.iter().map(|p| one(p.count, p.part)).collect();
    members.join(", ")
}

/// "set of 3 (2 × part 1, 1 × part 2): 4 h 10 min and 330.00, 110.00 a piece".
pub fn set(set: &SetOfParts, style: Style) -> String {
    format!(
        "set of {} ({}): {} and {}, {} a piece",
        set.pieces(),
        members(set, style),
        style.time(set.minutes),
        style.money(set.cost),
        style.money(set.price_a_piece())
    )
}

/// Why numbers of parts cannot be taken for a drawing, and what to do.
pub fn too_many_counts(given: usize, there: usize) -> String {
    format!("{given} numbers were given for the parts of a set, but the drawing holds {there}.")
}
