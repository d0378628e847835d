//! Why a part costs what it costs, and how many come out of a week.

use super::{Asked, product, sum};
use crate::estimate::one_wire::{conditions, holes_by_thickness};
use crate::plan::Share;
use crate::reason::{Figure, Sign, Unit};
use crate::standing::Standing;
use crate::units::Length;

impl Asked<'_> {
    pub(super) fn cost(&self) -> Option<Figure> {
        let parts = vec![
            self.machine(),
            self.labour(),
            self.wire_cost()?,
            self.consumables(),
            self.setup(),
            self.holes()?,
        ];
        let c = self.figures.cost.part;
        Some(
            sum(
                "cost a part",
                Unit::Money,
                parts,
                "without programming, inspection, material and overhead",
            )
            .with_range(c.low.amount(), c.high.amount()),
        )
    }

    pub(super) fn hours(&self) -> Figure {
        Figure::formula(
            "time a part",
            self.figures.minutes.median.hours(),
            Unit::Hours,
            vec![
                (Sign::Plus, self.minutes()),
                (
                    Sign::Over,
                    Figure::value(
                        "minutes in an hour",
                        60.0,
                        Unit::Plain,
                        Standing::Computed,
                        "",
                    ),
                ),
            ],
            "",
        )
    }

    pub(super) fn machine(&self) -> Figure {
        let rate = Self::yours(
            "machine rate",
            self.job.shop.machine_rate.amount(),
            Unit::MoneyPerHour,
        );
        product(
            "machine",
            Unit::Money,
            vec![(Sign::Plus, self.hours()), (Sign::Times, rate)],
            "",
        )
    }

    pub(super) fn attended(&self) -> Figure {
        let mut parts = vec![self.stops()];
        if self.by_hand() {
            parts.push(self.share_without_range(Share::Threading));
        }
        parts.push(self.breaks());
        sum("attended", Unit::Minutes, parts, "somebody stands there")
    }

    pub(super) fn labour(&self) -> Figure {
        let hours = Figure::formula(
            "attended time",
            self.figures.attended.hours(),
            Unit::Hours,
            vec![
                (Sign::Plus, self.attended()),
                (
                    Sign::Over,
                    Figure::value(
                        "minutes in an hour",
                        60.0,
                        Unit::Plain,
                        Standing::Computed,
                        "",
                    ),
                ),
            ],
            "",
        );
        let rate = Self::yours(
            "labour rate",
            self.job.shop.labour_rate.amount(),
            Unit::MoneyPerHour,
        );
        product(
            "labour",
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
                "drilling",
                Unit::Minutes,
                vec![
                    (
                        Sign::Plus,
                        Self::yours("thickness", thickness.mm(), Unit::Mm),
                    ),
                    (
                        Sign::Over,
                        Figure::library("drilling feed", drill, Unit::Feed),
                    ),
                ],
                "",
            );
            let setup = Figure::library("set-up", &o.hole_setup, Unit::Minutes);
            let each = sum("one hole", Unit::Minutes, vec![setup, drilling], "");
            let count = Figure::given("start holes", count as f64, Unit::Plain, Standing::Measured);
            let hour = Figure::value(
                "minutes in an hour",
                60.0,
                Unit::Plain,
                Standing::Computed,
                "",
            );
            let rate = Self::yours(
                "labour rate",
                self.job.shop.labour_rate.amount(),
                Unit::MoneyPerHour,
            );
            product(
                "start holes",
                Unit::Money,
                vec![
                    (Sign::Plus, count),
                    (Sign::Times, each),
                    (Sign::Over, hour),
                    (Sign::Times, rate),
                ],
                "drilled beside the machine, one a contour",
            )
        };
        let mut parts: Vec<Figure> = holes_by_thickness(&self.figures.steps, &self.figures.plans)
            .into_iter()
            .map(hours)
            .collect();
        if parts.len() == 1 {
            return Some(parts.remove(0));
        }
        Some(sum("start holes", Unit::Money, parts, ""))
    }

    pub(super) fn wire_cost(&self) -> Option<Figure> {
        let c = conditions(self.job, &self.estimate.candidate, self.library)?;
        let s = &self.job.shop;
        let price = Figure::formula(
            "wire less scrap",
            s.wire_price.amount() * c.wire.price_factor.value - s.scrap_value.amount(),
            Unit::MoneyPerKg,
            vec![
                (
                    Sign::Plus,
                    Self::yours("plain brass", s.wire_price.amount(), Unit::MoneyPerKg),
                ),
                (
                    Sign::Times,
                    Figure::library(
                        "price of this wire against it",
                        &c.wire.price_factor,
                        Unit::Plain,
                    ),
                ),
                (
                    Sign::Minus,
                    Self::yours("scrap", s.scrap_value.amount(), Unit::MoneyPerKg),
                ),
            ],
            "",
        );
        Some(product(
            "wire",
            Unit::Money,
            vec![(Sign::Plus, self.wire_mass()?), (Sign::Times, price)],
            "",
        ))
    }

    pub(super) fn consumables(&self) -> Figure {
        let rate = Self::yours(
            "filters, resin, contacts, guides",
            self.job.shop.consumables.amount(),
            Unit::MoneyPerHour,
        );
        product(
            "consumables",
            Unit::Money,
            vec![(Sign::Plus, self.hours()), (Sign::Times, rate)],
            "",
        )
    }

    pub(super) fn setup(&self) -> Figure {
        let s = &self.job.shop;
        let rates = sum(
            "machine and labour",
            Unit::MoneyPerHour,
            vec![
                Self::yours("machine rate", s.machine_rate.amount(), Unit::MoneyPerHour),
                Self::yours("labour rate", s.labour_rate.amount(), Unit::MoneyPerHour),
            ],
            "",
        );
        product(
            "set-up",
            Unit::Money,
            vec![
                (
                    Sign::Plus,
                    Self::yours("set-up of the lot", s.setup_hours, Unit::Hours),
                ),
                (Sign::Times, rates),
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

    pub(super) fn parts_per_week(&self) -> Figure {
        let week = Figure::value(
            "minutes in a week",
            10_080.0,
            Unit::Plain,
            Standing::Computed,
            "7 × 24 × 60",
        );
        Figure::formula(
            "whole parts a week",
            self.figures.parts_per_week as f64,
            Unit::Plain,
            vec![
                (Sign::Plus, week),
                (
                    Sign::Times,
                    Self::yours("uptime", self.job.shop.uptime, Unit::Plain),
                ),
                (Sign::Over, self.minutes()),
            ],
            "rounded down to whole parts",
        )
        .with_range(
            self.figures.parts_per_week_range.0 as f64,
            self.figures.parts_per_week_range.1 as f64,
        )
    }
}
