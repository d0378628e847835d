//! What a price is for, and what of it is in question.

use super::Style;
use crate::drawing::{Fault, Finding, ProposalKind, Verdict};
use crate::estimate::{AtStake, Quotable};
use crate::units::Money;
use crate::words::findings;

/// Pieces that one estimate cuts, and the price of each.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pieces {
    /// One or more.
    pub count: usize,
    /// The cost of all, divided by their number.
    pub each: Money,
}

impl Pieces {
    /// Of the cost of all that is cut at once.
    pub fn of(count: usize, all: Money) -> Self {
        let count = count.max(1);
        Self {
            count,
            each: all * (1.0 / count as f64),
        }
    }
    /// "a part", or "for all 9 parts, 12.30 a piece".
    pub fn words(&self, style: Style) -> String {
        match self.count {
            1 => say!("a part").to_owned(),
            n => say!("for all {n} parts, {} a piece", style.money(self.each)),
        }
    }
}

/// What figures are for: "a part", or "for all 9 parts".
pub fn for_what(pieces: usize) -> String {
    match pieces {
        0 | 1 => say!("a part").to_owned(),
        n => say!("for all {n} parts"),
    }
}

/// What money is spent on: "on a part", or "on all 9 parts".
pub fn spent_on(pieces: usize) -> String {
    match pieces {
        0 | 1 => say!("on a part").to_owned(),
        n => say!("on all {n} parts"),
    }
}

/// What is made of a drawing: "10 parts", or of one with several "10 sets of 3 parts".
pub fn how_many(quantity: u32, pieces: usize) -> String {
    let several = |one: &str, more: &str| match quantity {
        1 => format!("1 {one}"),
        n => format!("{n} {more}"),
    };
    match pieces {
        0 | 1 => several(say!("part"), say!("parts")),
        n => say!("{} of {n} parts", several(say!("set"), say!("sets"))),
    }
}

/// "154 for what looks like a title block".
pub fn sentence(stake: &AtStake, style: Style) -> String {
    say!("{} for {}", style.money(stake.cost), looks_like(stake.kind))
}

/// What contours side by side cost as parts, where a wire can cut them so, and as openings in a plate.
pub fn either_way(parts: Option<Money>, openings: Money, style: Style) -> String {
    let openings = style.money(openings);
    match parts {
        Some(parts) => say!(
            "{} as parts, {openings} as openings in a plate",
            style.money(parts)
        ),
        None => say!("{openings} as openings in a plate"),
    }
}

/// A finding, with what contours side by side cost either way where that is the question and somebody worked it out.
pub fn finding(
    found: &Finding,
    parts: Option<Money>,
    openings: Option<Money>,
    style: Style,
) -> String {
    let sentence = findings::sentence(found, style.system);
    match openings.filter(|_| found.fault == Fault::SideBySide) {
        Some(openings) => format!("{sentence} {}.", either_way(parts, openings, style)),
        None => sentence,
    }
}

/// What curves look like, said of money.
pub fn looks_like(kind: ProposalKind) -> &'static str {
    match kind {
        ProposalKind::CentreLine => say!("what looks like centre lines"),
        ProposalKind::Border => say!("what looks like a border"),
        ProposalKind::TitleBlock => say!("what looks like a title block"),
        ProposalKind::BlockEdge => say!("what may be the edge of a ground block"),
        ProposalKind::SameAgain => say!("what may be another view of the same part"),
    }
}

/// May a price be given? For a person.
pub fn quotable(quotable: Quotable) -> &'static str {
    match quotable {
        Quotable::Drawing(verdict) => findings::verdict(verdict),
        Quotable::NoWire => say!("no wire can cut it"),
    }
}

/// Verdict and money at stake of one wire as a line: "check first; of 646.86, 154 for what looks like a border".
pub fn line(of: Quotable, whole: Option<Money>, stakes: &[AtStake], style: Style) -> String {
    let mut line = quotable(of).to_owned();
    if let Some(whole) = whole.filter(|_| !stakes.is_empty()) {
        let told: Vec<String> = stakes.iter().map(|s| sentence(s, style)).collect();
        line = say!("{line}; of {}, {}", style.money(whole), told.join(", "));
    }
    if of == Quotable::Drawing(Verdict::SafeToQuote) && !stakes.is_empty() {
        line += say!(", still open");
    }
    line
}
