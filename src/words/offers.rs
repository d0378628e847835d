//! What an offer of the import would do, and what it did.

use super::System;
use super::findings::lengths;
use crate::drawing::{Offer, OfferKind};
use crate::units::Length;

/// Decimals of a way that an end moves, in mm and inch.
const FINE: (usize, usize) = (4, 5);
/// And how many of them stay where the others are zeros.
const KEPT: (usize, usize) = (2, 3);

/// What it would do.
pub fn sentence(offer: &Offer, system: System) -> String {
    let end = if offer.at_start {
        say!("start")
    } else {
        say!("end")
    };
    let by = by(offer.by(), system);
    match offer.kind {
        OfferKind::Trim => say!("trim the {end} of a curve{by}"),
        OfferKind::Extend => say!("extend the {end} of a curve{by}"),
        OfferKind::TakeEdges => say!("take its edges as curves").to_owned(),
    }
}

/// As many decimals as say something: "1.00 mm", "0.0254 mm"; nothing where that rounds to zero.
fn fine(way: Length, system: System) -> Option<String> {
    let whole = lengths(system, way, FINE)?;
    let (digits, unit) = whole.split_once(' ')?;
    let (most, kept) = match system {
        System::Metric => (FINE.0, KEPT.0),
        System::Inch => (FINE.1, KEPT.1),
    };
    let zeros = digits.len() - digits.trim_end_matches('0').len();
    let digits = &digits[..digits.len() - zeros.min(most - kept)];
    Some(format!("{digits} {unit}"))
}

fn by(way: Length, system: System) -> String {
    fine(way, system).map_or_else(String::new, |by| say!(" by {by}"))
}

/// What a click on it does, as words of a button.
pub fn deed(kind: OfferKind) -> &'static str {
    match kind {
        OfferKind::Trim => say!("Trim here"),
        OfferKind::Extend => say!("Extend to meet"),
        OfferKind::TakeEdges => say!("Take these edges"),
    }
}

/// How far the ends of one corner move: "by 0.2 mm", "2 ends, by up to 0.2 mm"; nothing where that rounds to zero.
pub fn amount(corner: &[Offer], system: System) -> String {
    let most = corner.iter().map(Offer::by).fold(Length::ZERO, Length::max);
    match (fine(most, system), corner.len()) {
        (None, _) => String::new(),
        (Some(by), 1) => say!("by {by}"),
        (Some(by), n) => say!("{n} ends, by up to {by}"),
    }
}

/// What was done to the ends of one corner.
pub fn done(corner: &[Offer], system: System) -> String {
    let by = amount(corner, system);
    match corner.first().map(|o| o.kind) {
        Some(OfferKind::Trim) => say!("trimmed {by}"),
        Some(OfferKind::Extend) => say!("extended {by}"),
        Some(OfferKind::TakeEdges) | None => say!("edges taken as curves").to_owned(),
    }
}
