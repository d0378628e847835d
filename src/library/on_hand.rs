//! How a shop writes what a machine takes and what lies beside it: wire diameters, and wires as NAME or NAME@DIAMETER.

use super::faults::Reason;
use crate::units::Length;

/// Wires that exist, mm.
pub(super) const DIAMETERS_MM: std::ops::RangeInclusive<f64> = 0.03..=0.4;
/// Wires that differ by less run in the same guides: 0.25 mm and .010 in, which are 0.254 mm (judgement).
const SAME_GUIDE_MM: f64 = 0.005;
/// Between a wire's name and its diameter.
pub(super) const AT: char = '@';

/// A wire of a list of those on hand: its name, and the diameter where it holds for that alone, as it is written.
pub fn parts_of(on_hand: &str) -> (&str, Option<&str>) {
    match on_hand.rsplit_once(AT) {
        Some((name, diameter)) => (name.trim(), Some(diameter.trim())),
        None => (on_hand, None),
    }
}

/// How a wire of one diameter is written in such a list.
pub fn written(name: &str, diameter: Length) -> String {
    format!("{name}{AT}{}", diameter.mm())
}

/// Whether two wires run in the same guides.
pub(super) fn is_same(a: Length, b: Length) -> bool {
    (a.mm() - b.mm()).abs() < SAME_GUIDE_MM
}

/// What is wrong with a diameter of a list.
pub(super) fn diameter_fault(text: &str) -> Option<Reason> {
    match text.trim().parse::<f64>() {
        Err(_) => Some(Reason::NoDiameter),
        Ok(mm) => (!DIAMETERS_MM.contains(&mm)).then_some(Reason::DiameterOutside),
    }
}

/// What is wrong with a wire on hand.
pub(super) fn wire_fault(text: &str) -> Option<Reason> {
    let (name, diameter) = parts_of(text);
    if name.trim().is_empty() {
        return Some(Reason::NoName);
    }
    diameter.and_then(diameter_fault)
}
