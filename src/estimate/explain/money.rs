//! Why a part costs what it costs, and how many come out of a week.

use super::{Explaining, product, sum};
use crate::estimate::Question;
use crate::estimate::drilling::holes_by_thickness;
use crate::estimate::one_wire::conditions;
use crate::plan::Share;
use crate::reason::{Figure, Origin, Sign, Unit};
use crate::standing::Standing;
use crate::units::{Length, Money};

impl Explaining<'_> {
    pub(super) fn cost(&self) -> Option<Figure> {
        let mut parts = self.before_markup()?;
        if self.figures.cost.markup != Money::ZERO {
            parts.push(self.markup()?);
        }
        let c = self.figures.cost.part;
        let mut cost =
            sum(say!("cost"), Unit::Money, parts, "").with_range(c.low.amount(), c.high.amount());
        if let Origin::Formula { note, .. } = &mut cost.origin {
            let missing = self.not_counted();
            let gap = if missing.is_empty() { "" } else { "; " };
            *note = format!("{}{gap}{missing}", self.range_holds()).into();
        }
        Some(cost)
    }

    /// What is really spent where freed machine hours are not sold.
    pub(super) fn unsold(&self) -> Option<Figure> {
        let c = &self.figures.cost;
        let mut parts = Vec::new();
        if c.holes != Money::ZERO {
            parts.push(self.holes()?);
        }
        parts.push(self.labour());
        parts.push(self.wire_cost()?);
        parts.push(self.consumables());
        if c.loading != Money::ZERO {
            parts.push(self.standing_by_while_loading());
        }
        if c.dressing != Money::ZERO {
            parts.push(self.dressing());
        }
        let allowed = Self::allowance_of_spent(c.unsold.median.amount(), &parts);
        if allowed.value > 0.0 {
            parts.push(allowed);
        }
        let note = say!(
            "machine hours that are not sold cost nothing more, so they do not count; nor do set-up and mark-up"
        );
        let range = (c.unsold.low.amount(), c.unsold.high.amount());
        let spent = sum(
            say!("spent, freed hours not sold"),
            Unit::Money,
            parts,
            note,
        );
        Some(spent.with_range(range.0, range.1))
    }

    /// Every line but the mark-up.
    pub(super) fn before_markup(&self) -> Option<Vec<Figure>> {
        let lines = self.figures.cost.lines().into_iter();
        lines
            .filter(|l| l.question != Question::Markup)
            .map(|l| self.answer(l.question))
            .collect()
    }

    /// What the range of the cost is made of.
    fn range_holds(&self) -> &'static str {
        if self.job.shop.setup_hours == self.library.overheads.setup.value {
            say!(
                "the range holds time, wire, attended work, start holes, set-up, programming and inspection; rates and prices count as given"
            )
        } else {
            say!(
                "the range holds time, wire, attended work and start holes; your set-up, rates and prices count as given"
            )
        }
    }

    /// What an estimator may miss in the cost.
    fn not_counted(&self) -> String {
        let c = &self.figures.cost;
        let missing: Vec<&str> = [
            (c.programming, say!("programming")),
            (c.inspection, say!("inspection")),
            (c.material, say!("the blank")),
            (c.markup, say!("mark-up")),
        ]
        .into_iter()
        .filter(|(amount, _)| *amount == Money::ZERO)
        .map(|(_, word)| word)
        .collect();
        if missing.is_empty() {
            String::new()
        } else {
            say!("not counted: {} (shop rates)", missing.join(", "))
        }
    }

    pub(super) fn hours(&self) -> Figure {
        Figure::formula(
            say!("time"),
            self.figures.minutes.median.hours(),
            Unit::Hours,
            vec![
                (Sign::Plus, self.minutes()),
                (Sign::Over, Self::minutes_in_an_hour()),
            ],
            "",
        )
    }

    pub(super) fn machine(&self) -> Figure {
        product(
            say!("machine"),
            Unit::Money,
            vec![
                (Sign::Plus, self.hours()),
                (Sign::Times, self.machine_rate()),
            ],
            "",
        )
    }

    pub(super) fn attended(&self) -> Figure {
        let mut parts = vec![self.stops()];
        parts.extend(self.watched());
        if self.by_hand() {
            parts.push(self.share_without_range(Share::Threading));
        }
        parts.push(self.breaks());
        sum(
            say!("attended"),
            Unit::Minutes,
            parts,
            say!("operator present"),
        )
    }

    pub(super) fn labour(&self) -> Figure {
        let hours = Figure::formula(
            say!("attended time"),
            self.figures.attended.hours(),
            Unit::Hours,
            vec![
                (Sign::Plus, self.attended()),
                (Sign::Over, Self::minutes_in_an_hour()),
            ],
            "",
        );
        let rate = self.labour_rate();
        product(
            say!("labour"),
            Unit::Money,
            vec![(Sign::Plus, hours), (Sign::Times, rate)],
            "",
        )
    }

    pub(super) fn holes(&self) -> Option<Figure> {
        let o = &self.library.overheads;
        let material = self.library.material(&self.job.material)?;
        let drill = if material.is_carbide() {
            &o.hole_drilling_carbide
        } else {
            &o.hole_drilling
        };
        let hours = |(thickness, count): (Length, usize)| {
            let drilling = product(
                say!("drilling"),
                Unit::Minutes,
                vec![
                    (
                        Sign::Plus,
                        Self::yours(say!("thickness"), thickness.mm(), Unit::Mm),
                    ),
                    (
                        Sign::Over,
                        Figure::library(say!("drilling feed"), drill, Unit::Feed),
                    ),
                ],
                "",
            );
            let setup = Figure::library(say!("set-up"), &o.hole_setup, Unit::Minutes);
            let each = sum(say!("one hole"), Unit::Minutes, vec![setup, drilling], "");
            let count = Figure::given(
                say!("start holes"),
                count as f64,
                Unit::Plain,
                Standing::Measured,
            );
            let hour = Self::minutes_in_an_hour();
            let rate = self.labour_rate();
            product(
                say!("start holes"),
                Unit::Money,
                vec![
                    (Sign::Plus, count),
                    (Sign::Times, each),
                    (Sign::Over, hour),
                    (Sign::Times, rate),
                ],
                say!("drilled beside the machine, one a contour"),
            )
        };
        let mut parts: Vec<Figure> = holes_by_thickness(
            &self.figures.steps,
            &self.figures.starts,
            &self.figures.plans,
            &self.figures.copies,
        )
        .into_iter()
        .map(hours)
        .collect();
        if parts.len() == 1 {
            return Some(parts.remove(0));
        }
        Some(sum(say!("start holes"), Unit::Money, parts, ""))
    }

    pub(super) fn wire_cost(&self) -> Option<Figure> {
        let c = conditions(self.job, &self.estimate.candidate, self.library)?;
        let (s, o) = (&self.job.shop, &self.library.overheads);
        let price = Figure::formula(
            say!("wire less scrap"),
            s.wire_price.amount() * c.wire.price_factor.value - s.scrap_value.amount(),
            Unit::MoneyPerKg,
            vec![
                (
                    Sign::Plus,
                    Self::rate(
                        say!("plain brass"),
                        s.wire_price.amount(),
                        &o.wire_price,
                        Unit::MoneyPerKg,
                    ),
                ),
                (
                    Sign::Times,
                    Figure::library(
                        say!("price of this wire against it"),
                        &c.wire.price_factor,
                        Unit::Plain,
                    ),
                ),
                (
                    Sign::Minus,
                    Self::rate(
                        say!("scrap"),
                        s.scrap_value.amount(),
                        &o.scrap_value,
                        Unit::MoneyPerKg,
                    ),
                ),
            ],
            "",
        );
        let note = if price.value < 0.0 {
            say!("the scrap brings more than this wire costs: check both prices")
        } else {
            ""
        };
        Some(product(
            say!("wire"),
            Unit::Money,
            vec![(Sign::Plus, self.wire_mass()?), (Sign::Times, price)],
            note,
        ))
    }

    pub(super) fn consumables(&self) -> Figure {
        let rate = Self::rate(
            say!("filters, resin, contacts, guides"),
            self.job.shop.consumables.amount(),
            &self.library.overheads.consumables,
            Unit::MoneyPerHour,
        );
        product(
            say!("consumables"),
            Unit::Money,
            vec![(Sign::Plus, self.hours()), (Sign::Times, rate)],
            "",
        )
    }

    pub(super) fn setup(&self) -> Figure {
        let (s, o) = (&self.job.shop, &self.library.overheads);
        product(
            say!("set-up"),
            Unit::Money,
            vec![
                (
                    Sign::Plus,
                    Self::rate(
                        say!("set-up of the lot"),
                        s.setup_hours,
                        &o.setup,
                        Unit::Hours,
                    ),
                ),
                (Sign::Times, self.machine_and_labour()),
                (Sign::Over, self.parts_in_the_lot()),
            ],
            "",
        )
    }

    /// What an hour of the machine costs.
    fn machine_rate(&self) -> Figure {
        let own = self.job.machine_rate(self.library).amount();
        let known = &self.library.overheads.machine_rate;
        Self::rate(say!("machine rate"), own, known, Unit::MoneyPerHour)
    }

    /// What an hour of an operator costs.
    pub(super) fn labour_rate(&self) -> Figure {
        let own = self.job.shop.labour_rate.amount();
        let known = &self.library.overheads.labour_rate;
        Self::rate(say!("labour rate"), own, known, Unit::MoneyPerHour)
    }

    /// Both, where the machine stands while somebody works at it.
    pub(super) fn machine_and_labour(&self) -> Figure {
        let rates = vec![self.machine_rate(), self.labour_rate()];
        sum(say!("machine and labour"), Unit::MoneyPerHour, rates, "")
    }

    /// Minutes of putting a part on the machine.
    pub(super) fn loading_a_part(&self) -> Figure {
        let known = &self.library.overheads.loading;
        Figure::library(say!("loading and aligning a part"), known, Unit::Minutes)
    }

    /// Minutes of work on the stretch that held a part.
    pub(super) fn dressing_a_part(&self) -> Figure {
        let known = &self.library.overheads.dressing;
        Figure::library(
            say!("dressing the tab's stretch by hand"),
            known,
            Unit::Minutes,
        )
    }

    /// How fast the lead-in is against the rough.
    pub(super) fn lead_in_share(&self) -> Figure {
        let known = &self.library.overheads.lead_in_feed;
        Figure::library(say!("share of the rough feed"), known, Unit::Plain)
    }

    pub(super) fn parts_in_the_lot(&self) -> Figure {
        let count = f64::from(self.job.quantity);
        Self::yours(say!("parts in the lot"), count, Unit::Plain)
    }

    pub(super) fn minutes_in_an_hour() -> Figure {
        Figure::value(
            say!("minutes in an hour"),
            60.0,
            Unit::Plain,
            Standing::Computed,
            "",
        )
    }

    pub(super) fn parts_per_week(&self) -> Figure {
        let week = Figure::value(
            say!("minutes in a week"),
            10_080.0,
            Unit::Plain,
            Standing::Computed,
            "7 × 24 × 60",
        );
        Figure::formula(
            say!("whole parts a week"),
            self.figures.parts_per_week as f64,
            Unit::Plain,
            vec![
                (Sign::Plus, week),
                (
                    Sign::Times,
                    Self::yours(say!("utilisation"), self.job.shop.uptime, Unit::Plain),
                ),
                (Sign::Over, self.minutes()),
            ],
            say!("rounded down to whole parts"),
        )
        .with_range(
            self.figures.parts_per_week_range.0 as f64,
            self.figures.parts_per_week_range.1 as f64,
        )
    }
}
