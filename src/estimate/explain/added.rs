//! Why what the shop adds to a part costs what it costs: programming, inspection, the work piece, a mark-up.

use super::{Explaining, product, sum};
use crate::estimate::Plate;
use crate::job::Blank;
use crate::plan::StepKind;
use crate::reason::Wording;
use crate::reason::{Figure, Sign, Unit};
use crate::standing::Standing;
use crate::units::Length;

impl Explaining<'_> {
    /// The machine stands while a part is loaded, and somebody is there.
    pub(super) fn loading(&self) -> Figure {
        product(
            say!("loading"),
            Unit::Money,
            vec![
                (Sign::Plus, self.loading_a_part()),
                (Sign::Times, self.pieces()),
                (Sign::Over, Self::minutes_in_an_hour()),
                (Sign::Times, self.machine_and_labour()),
            ],
            say!("between two parts, so not in the time of one"),
        )
    }

    /// Of the loading, the one who does it.
    pub(super) fn standing_by_while_loading(&self) -> Figure {
        let o = &self.library.overheads;
        product(
            say!("labour of loading"),
            Unit::Money,
            vec![
                (
                    Sign::Plus,
                    Figure::library(say!("loading and aligning"), &o.loading, Unit::Minutes),
                ),
                (Sign::Times, self.pieces()),
                (Sign::Over, Self::minutes_in_an_hour()),
                (Sign::Times, self.labour_rate()),
            ],
            "",
        )
    }

    /// A part that has come free is not skimmed where its tab was.
    pub(super) fn dressing(&self) -> Figure {
        let kind = StepKind::Dressing;
        let parts = self.figures.beside.iter().filter(|s| s.kind == kind);
        let parts = Figure::given(
            say!("parts dressed"),
            parts.count() as f64,
            Unit::Plain,
            Standing::Measured,
        );
        product(
            say!("dressing"),
            Unit::Money,
            vec![
                (Sign::Plus, parts),
                (Sign::Times, self.dressing_a_part()),
                (Sign::Over, Self::minutes_in_an_hour()),
                (Sign::Times, self.labour_rate()),
            ],
            say!("at the bench, with no machine time"),
        )
    }

    pub(super) fn programming(&self) -> Figure {
        let s = &self.job.shop;
        let rate = s.programming_rate.map_or_else(
            || self.labour_rate(),
            |own| Self::yours(say!("programming rate"), own.amount(), Unit::MoneyPerHour),
        );
        product(
            say!("programming"),
            Unit::Money,
            vec![
                (
                    Sign::Plus,
                    Self::rate(
                        say!("programming of the lot"),
                        s.programming_hours,
                        &self.library.overheads.programming,
                        Unit::Hours,
                    ),
                ),
                (Sign::Times, rate),
                (Sign::Over, self.parts_in_the_lot()),
            ],
            "",
        )
    }

    pub(super) fn inspection(&self) -> Figure {
        let s = &self.job.shop;
        product(
            say!("inspection"),
            Unit::Money,
            vec![
                (
                    Sign::Plus,
                    Self::rate(
                        say!("inspection of a part"),
                        s.inspection_minutes,
                        &self.library.overheads.inspection,
                        Unit::Minutes,
                    ),
                ),
                (Sign::Times, self.pieces()),
                (Sign::Over, Self::minutes_in_an_hour()),
                (Sign::Times, self.labour_rate()),
            ],
            "",
        )
    }

    /// What is loaded, inspected and paid for one by one: a part, or the pieces of a set.
    fn pieces(&self) -> Figure {
        let pieces = self.figures.loads.len() as f64;
        Figure::given(say!("pieces"), pieces, Unit::Plain, Standing::Measured)
    }

    pub(super) fn material(&self) -> Figure {
        let name = say!("blank");
        let none = || Self::yours(name, 0.0, Unit::Money);
        let (price, allowance) = match self.job.shop.blank {
            Blank::NotCounted => return none(),
            Blank::Price(price) => {
                let price = Self::yours(say!("price of a blank"), price.amount(), Unit::Money);
                let terms = vec![(Sign::Plus, price), (Sign::Times, self.pieces())];
                return product(name, Unit::Money, terms, "");
            }
            Blank::ByMass { price, allowance } => (price, allowance),
        };
        let Some(material) = self.library.material(&self.job.material) else {
            return none();
        };
        let side = |name, length: Length| {
            let note = Wording::with_lengths(
                say!(
                    "box around what is cut, and {} on every side",
                    Wording::LENGTH
                ),
                [allowance],
            );
            Figure::value(name, length.mm(), Unit::Mm, Standing::Measured, note)
        };
        let mass = |(plate, count): &(Plate, u32)| {
            let mut terms = vec![
                (Sign::Plus, side(say!("length"), plate.sides.0)),
                (Sign::Times, side(say!("width"), plate.sides.1)),
                (
                    Sign::Times,
                    Self::yours(say!("thickness"), plate.thickness.mm(), Unit::Mm),
                ),
                (
                    Sign::Times,
                    Figure::library(say!("density"), &material.density, Unit::Density),
                ),
                (
                    Sign::Over,
                    Figure::value(say!("mm³ in m³"), 1e9, Unit::Plain, Standing::Computed, ""),
                ),
            ];
            if *count > 1 {
                let plates = Figure::given(
                    say!("plates"),
                    f64::from(*count),
                    Unit::Plain,
                    Standing::Measured,
                );
                terms.push((Sign::Times, plates));
            }
            product(say!("mass of the plate"), Unit::Kg, terms, "")
        };
        let mut masses: Vec<Figure> = self.figures.plates.iter().map(mass).collect();
        let mass = match masses.len() {
            0 => return none(),
            1 => masses.remove(0),
            _ => sum(say!("mass of the plates"), Unit::Kg, masses, ""),
        };
        let price = Self::yours(
            say!("price of the material"),
            price.amount(),
            Unit::MoneyPerKg,
        );
        product(
            name,
            Unit::Money,
            vec![(Sign::Plus, mass), (Sign::Times, price)],
            "",
        )
    }

    pub(super) fn other(&self) -> Figure {
        let other = Self::yours(
            say!("other, a part"),
            self.job.shop.other.amount(),
            Unit::Money,
        );
        let terms = vec![(Sign::Plus, other), (Sign::Times, self.pieces())];
        product(say!("other"), Unit::Money, terms, "")
    }

    pub(super) fn markup(&self) -> Option<Figure> {
        let all = sum(
            say!("cost before the mark-up"),
            Unit::Money,
            self.before_markup()?,
            "",
        );
        let share = Self::yours(say!("mark-up"), self.job.shop.markup, Unit::Plain);
        Some(product(
            say!("mark-up"),
            Unit::Money,
            vec![(Sign::Plus, all), (Sign::Times, share)],
            "",
        ))
    }
}
