//! Why what the shop adds to a part costs what it costs: programming, inspection, the work piece, a mark-up.

use super::{Explaining, product, sum};
use crate::job::Blank;
use crate::plan::StepKind;
use crate::reason::{Figure, Sign, Unit};
use crate::standing::Standing;
use crate::units::Length;

impl Explaining<'_> {
    /// The machine stands while a part is loaded, and somebody is there.
    pub(super) fn loading(&self) -> Figure {
        let o = &self.library.overheads;
        let s = &self.job.shop;
        let rates = vec![
            Self::rate(
                "machine rate",
                s.machine_rate.amount(),
                &o.machine_rate,
                Unit::MoneyPerHour,
            ),
            Self::rate(
                "labour rate",
                s.labour_rate.amount(),
                &o.labour_rate,
                Unit::MoneyPerHour,
            ),
        ];
        product(
            "loading",
            Unit::Money,
            vec![
                (
                    Sign::Plus,
                    Figure::library("loading and aligning a part", &o.loading, Unit::Minutes),
                ),
                (Sign::Over, Self::minutes_in_an_hour()),
                (
                    Sign::Times,
                    sum("machine and labour", Unit::MoneyPerHour, rates, ""),
                ),
            ],
            "between two parts, so not in the time of one",
        )
    }

    /// Of the loading, the one who does it.
    pub(super) fn standing_by_while_loading(&self) -> Figure {
        let o = &self.library.overheads;
        let rate = Self::rate(
            "labour rate",
            self.job.shop.labour_rate.amount(),
            &o.labour_rate,
            Unit::MoneyPerHour,
        );
        product(
            "labour of loading",
            Unit::Money,
            vec![
                (
                    Sign::Plus,
                    Figure::library("loading and aligning", &o.loading, Unit::Minutes),
                ),
                (Sign::Over, Self::minutes_in_an_hour()),
                (Sign::Times, rate),
            ],
            "",
        )
    }

    /// A part that has come free is not skimmed where its tab was.
    pub(super) fn dressing(&self) -> Figure {
        let o = &self.library.overheads;
        let kind = StepKind::Dressing;
        let parts = self.figures.beside.iter().filter(|s| s.kind == kind);
        let parts = Figure::given(
            "parts dressed",
            parts.count() as f64,
            Unit::Plain,
            Standing::Measured,
        );
        product(
            "dressing",
            Unit::Money,
            vec![
                (Sign::Plus, parts),
                (
                    Sign::Times,
                    Figure::library(
                        "dressing the tab's stretch by hand",
                        &o.dressing,
                        Unit::Minutes,
                    ),
                ),
                (Sign::Over, Self::minutes_in_an_hour()),
                (
                    Sign::Times,
                    Self::rate(
                        "labour rate",
                        self.job.shop.labour_rate.amount(),
                        &o.labour_rate,
                        Unit::MoneyPerHour,
                    ),
                ),
            ],
            "at the bench, with no machine time",
        )
    }

    pub(super) fn programming(&self) -> Figure {
        let s = &self.job.shop;
        let name = if s.programming_rate.is_some() {
            "programming rate"
        } else {
            "labour rate"
        };
        product(
            "programming",
            Unit::Money,
            vec![
                (
                    Sign::Plus,
                    Self::rate(
                        "programming of the lot",
                        s.programming_hours,
                        &self.library.overheads.programming,
                        Unit::Hours,
                    ),
                ),
                (
                    Sign::Times,
                    Self::yours(name, s.programming().amount(), Unit::MoneyPerHour),
                ),
                (
                    Sign::Over,
                    Self::yours(
                        "parts in the lot",
                        f64::from(self.job.quantity),
                        Unit::Plain,
                    ),
                ),
            ],
            "",
        )
    }

    pub(super) fn inspection(&self) -> Figure {
        let s = &self.job.shop;
        let rate = s.labour_rate.amount();
        product(
            "inspection",
            Unit::Money,
            vec![
                (
                    Sign::Plus,
                    Self::rate(
                        "inspection of a part",
                        s.inspection_minutes,
                        &self.library.overheads.inspection,
                        Unit::Minutes,
                    ),
                ),
                (Sign::Over, Self::minutes_in_an_hour()),
                (
                    Sign::Times,
                    Self::yours("labour rate", rate, Unit::MoneyPerHour),
                ),
            ],
            "",
        )
    }

    pub(super) fn material(&self) -> Figure {
        let name = "blank";
        let (price, allowance) = match self.job.shop.blank {
            Blank::NotCounted => return Self::yours(name, 0.0, Unit::Money),
            Blank::Price(price) => return Self::yours(name, price.amount(), Unit::Money),
            Blank::ByMass { price, allowance } => (price, allowance),
        };
        let (Some(plate), Some(material)) = (
            self.figures.plate,
            self.library.material(&self.job.material),
        ) else {
            return Self::yours(name, 0.0, Unit::Money);
        };
        let side = |name, length: Length| {
            let note = format!(
                "box around what is cut, and {} mm on every side",
                crate::reason::short(allowance.mm())
            );
            Figure::value(name, length.mm(), Unit::Mm, Standing::Measured, note)
        };
        let mass = product(
            "mass of the plate",
            Unit::Kg,
            vec![
                (Sign::Plus, side("length", plate.sides.0)),
                (Sign::Times, side("width", plate.sides.1)),
                (
                    Sign::Times,
                    Self::yours("thickness", plate.thickness.mm(), Unit::Mm),
                ),
                (
                    Sign::Times,
                    Figure::library("density", &material.density, Unit::Density),
                ),
                (
                    Sign::Over,
                    Figure::value("mm³ in m³", 1e9, Unit::Plain, Standing::Computed, ""),
                ),
            ],
            "",
        );
        let price = Self::yours("price of the material", price.amount(), Unit::MoneyPerKg);
        product(
            name,
            Unit::Money,
            vec![(Sign::Plus, mass), (Sign::Times, price)],
            "",
        )
    }

    pub(super) fn other(&self) -> Figure {
        Self::yours("other, a part", self.job.shop.other.amount(), Unit::Money)
    }

    pub(super) fn markup(&self) -> Option<Figure> {
        let all = sum(
            "cost before the mark-up",
            Unit::Money,
            self.before_markup()?,
            "",
        );
        let share = Self::yours("mark-up", self.job.shop.markup, Unit::Plain);
        Some(product(
            "mark-up",
            Unit::Money,
            vec![(Sign::Plus, all), (Sign::Times, share)],
            "",
        ))
    }
}
