//! Quote and actual of a finished cut side by side, and what the difference is made of.

use crate::estimate::Figures;
use crate::units::{Length, Minutes, Money};

/// What was quoted for a cut, a part, and what a part has cost then.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AgainstQuote {
    /// Minutes of cutting that were quoted, corners included, without stops and threading.
    pub minutes: Minutes,
    /// Wire in cutting that was quoted, without what is wasted at threadings.
    pub wire: Option<Length>,
    /// Cost that was quoted.
    pub cost: Money,
    /// Cost with the time and the wire that it really took.
    pub actual_cost: Money,
}

/// What a part costs more than quoted (less where negative), by what it is made of; the parts sum to the difference.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CostSplit {
    /// Because the machine ran longer or shorter: machine and consumables.
    pub by_time: Money,
    /// Because more or less wire was used.
    pub by_wire: Money,
}

/// The difference in cost of a part that took another time and, where noted, other wire than estimated, mark-up
/// included. What is not noted counts as estimated; attended work is taken to be as estimated.
pub fn cost_split(figures: &Figures, cutting: Minutes, wire: Option<Length>) -> CostSplit {
    let c = &figures.cost;
    let before_markup = (c.part.median - c.markup).amount();
    let markup = if before_markup > 0.0 {
        1.0 + c.markup.amount() / before_markup
    } else {
        1.0
    };
    let share = |part: f64, whole: f64| if whole > 0.0 { part / whole } else { 0.0 };
    let longer = cutting - quoted_minutes(figures);
    let by_time = share(longer.min_value(), figures.minutes.median.min_value());
    let more = wire.map_or(0.0, |w| (w - quoted_wire(figures)).m());
    let by_wire = share(more, figures.wire.median.m());
    CostSplit {
        by_time: (c.machine + c.consumables) * (by_time * markup),
        by_wire: c.wire * (by_wire * markup),
    }
}

/// Minutes of cutting of an estimate, corners included.
pub fn quoted_minutes(figures: &Figures) -> Minutes {
    figures.passes.iter().map(|p| p.minutes).sum()
}

/// Wire in cutting of an estimate.
pub fn quoted_wire(figures: &Figures) -> Length {
    figures.wire.median - figures.wasted_wire()
}

impl AgainstQuote {
    /// An estimate as the quote of a part that took so long and, where noted, so much wire.
    pub fn of(figures: &Figures, cutting: Minutes, wire: Option<Length>) -> Self {
        let split = cost_split(figures, cutting, wire);
        let cost = figures.cost.part.median;
        Self {
            minutes: quoted_minutes(figures),
            wire: Some(quoted_wire(figures)),
            cost,
            actual_cost: cost + split.by_time + split.by_wire,
        }
    }
}
