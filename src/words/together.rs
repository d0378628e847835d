//! Several parts together: what is said of stacks, nests and blanks.

use super::Style;
use crate::estimate::together::{Nest, Stack};
use crate::units::Length;

/// What stacking risks (common practice, no source).
pub const STACKING: &str = key!(
    "Stacked plates must be flat, clean and clamped or welded so that they touch everywhere: a gap \
     between them breaks the wire and marks the walls, and pieces of every plate come loose at once. The dielectric \
     reaches the middle of a high stack less well, and the walls of the outer plates may differ. One fault spoils all \
     plates. Local rules and the machine maker's manual come first."
);

/// "3 plates, 30 mm: 1 h 20 min and 85.20 a piece, 4 stacks".
pub fn stack(stack: &Stack, style: Style) -> String {
    say!(
        "{}, {}: {} and {} a piece, {}",
        style.count(stack.plates as usize, say!("plate"), say!("plates")),
        style.typed_length(stack.height),
        style.time(stack.minutes),
        style.money(stack.each),
        style.count(stack.stacks as usize, say!("stack"), say!("stacks")),
    )
}

/// "80.00 × 30.00 mm, turned by 13.0°".
pub fn piece(nest: &Nest, style: Style) -> String {
    let side = |mm: f64| style.length(Length::from_mm(mm));
    say!(
        "{} × {}, its longer side at {}° to the drawing's x",
        side(nest.piece.length),
        side(nest.piece.width),
        style.number(nest.piece.angle.to_degrees(), 1),
    )
}

/// "3 × 4 in a plate of 255.00 × 135.00, 5.40 kg, 0.45 kg a piece".
pub fn plate(nest: &Nest, style: Style) -> String {
    say!(
        "{} × {} in a plate of {} × {}, {}, {} a piece",
        nest.rows.0,
        nest.rows.1,
        style.length(nest.sides.0),
        style.length(nest.sides.1),
        style.mass(nest.mass),
        style.mass(nest.mass_each),
    )
}
