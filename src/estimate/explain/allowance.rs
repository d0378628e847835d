//! Why the median of a whole is more than the sum of its lines.

use super::Explaining;
use crate::language::said;
use crate::reason::{Figure, Sign, Unit};
use crate::standing::Standing;

const WHY: &str = key!(
    "every line is a median; one that runs long runs farther than one that runs short, so the middle of their sum lies above the sum of their middles"
);

impl Explaining<'_> {
    /// Of the time.
    pub(super) fn time_allowance(&self) -> Figure {
        let step = self.figures.allowance();
        let own = step.map_or(0.0, |s| s.minutes.min_value());
        Self::above(
            say!("allowance"),
            self.figures.minutes.median.min_value(),
            own,
            Unit::Minutes,
        )
    }
    /// Of the wire.
    pub(super) fn wire_allowance(&self) -> Figure {
        let own = self.figures.allowance().map_or(0.0, |s| s.wire.m());
        Self::above(
            say!("allowance"),
            self.figures.wire.median.m(),
            own,
            Unit::WireM,
        )
    }
    /// Of the cost.
    pub(super) fn cost_allowance(&self) -> Figure {
        let c = &self.figures.cost;
        let whole = (c.part.median - c.markup).amount();
        Self::above(say!("allowance"), whole, c.allowance.amount(), Unit::Money)
    }
    /// Of what is really spent: what its lines come to is missing from its median.
    pub(super) fn allowance_of_spent(whole: f64, lines: &[Figure]) -> Figure {
        let lines: f64 = lines.iter().map(|f| f.value).sum();
        Self::above(say!("allowance"), whole, whole - lines, Unit::Money)
    }
    fn above(name: &'static str, whole: f64, own: f64, unit: Unit) -> Figure {
        let terms = vec![
            (
                Sign::Plus,
                Figure::given(say!("median of the whole"), whole, unit, Standing::Computed),
            ),
            (
                Sign::Minus,
                Figure::given(
                    say!("sum of the other lines"),
                    whole - own,
                    unit,
                    Standing::Computed,
                ),
            ),
        ];
        Figure::formula(name, own, unit, terms, said(WHY))
    }
}
