//! What an offer of the import would do, and what it did.

use super::System;
use super::findings::lengths;
use crate::drawing::{Offer, OfferKind};
use crate::units::Length;

/// Decimals of a way that an end moves, in mm and inch.
const FINE: (usize, usize) = (4, 5);

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

fn by(way: Length, system: System) -> String {
    lengths(system, way, FINE).map_or_else(String::new, |by| say!(" by {by}"))
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
    match (lengths(system, most, FINE), corner.len()) {
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
