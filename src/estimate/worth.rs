//! What it is worth: two runs whose time and wire are known, held against each other.
//!
//! The runs come from an estimate or from the machine's own record. Nothing here is estimated: it is the arithmetic of
//! a week's minutes, in two ways of counting parts, and of money, with the freed machine hours sold and not sold.

use super::cost::break_even_gain;
use super::why_different::log_mean_split;
use crate::units::{Density, Length, Mass, Minutes, Money, wire_mass};

/// Minutes in a week, all day and night.
pub const WEEK: f64 = 7.0 * 24.0 * 60.0;

/// One run of a part on one wire.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Run {
    /// From start to finish, a part; above 0.
    pub minutes: Minutes,
    /// Wire it used, a part; above 0.
    pub wire: Length,
    /// Price of that wire, a kilogram, less what its scrap brings.
    pub price: Money,
    /// Its diameter.
    pub diameter: Length,
    /// Its density.
    pub density: Density,
    /// What else is really spent on a part: attended work and start holes, where they are known.
    pub attended: Money,
}

impl Run {
    /// Mass of the wire a part.
    pub fn mass(&self) -> Mass {
        wire_mass(self.wire, self.diameter, self.density)
    }
    /// What the wire of a part costs.
    pub fn wire_cost(&self) -> Money {
        self.price * self.mass().kg()
    }
    /// Wire used an hour, kg, and its price a kilogram.
    fn by_the_hour(&self) -> (f64, f64) {
        (self.mass().kg() / self.minutes.hours(), self.price.amount())
    }
}

/// What is needed beside the two runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WorthBasis {
    /// Share of the week in which the machine cuts, above 0 and up to 1.
    pub uptime: f64,
    /// Weeks in a year in which it works.
    pub weeks: f64,
    /// Value of a machine hour that can be sold.
    pub machine_rate: Money,
    /// Consumables, an hour of machine time: spent whether or not freed hours are sold.
    pub consumables: Money,
}

/// How many parts one run makes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Output {
    /// Whole parts in a week's minutes.
    pub per_week: u64,
    /// That number times the weeks: a part begun on Friday is not gone on with on Monday.
    pub per_year_by_weeks: f64,
    /// Whole parts in the minutes of the year: it is.
    pub per_year: u64,
}

/// Two runs held against each other; positive where the second is the better.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Worth {
    /// Minutes of a week in which the machine cuts.
    pub available: Minutes,
    /// What each run makes.
    pub outputs: [Output; 2],
    /// Minutes a part that the second saves.
    pub minutes: Minutes,
    /// The same as a share of the first.
    pub time_share: f64,
    /// Wire a part that it saves.
    pub wire: Length,
    /// The same as a share of the first.
    pub wire_share: f64,
    /// Of the wire saved, what comes of the shorter time.
    pub wire_by_time: Length,
    /// Of the wire saved, what comes of another speed of the wire.
    pub wire_by_speed: Length,
    /// Money a part: that, and the freed machine time sold.
    pub per_part_sold: Money,
    /// Money a part where the freed time is not sold: what is really spent: wire, consumables, attended work.
    pub per_part_unsold: Money,
    /// Those for the parts that the first run makes in a year (its whole-year count).
    pub per_year_sold: Money,
    /// The same, freed time not sold.
    pub per_year_unsold: Money,
    /// Gain in speed (0.05 is 5 % more feed) from which the second pays, the freed hours sold.
    pub break_even_gain: f64,
    /// The gain that it has: time of the first over time of the second, less 1.
    pub gain: f64,
    /// Value of a machine hour at which neither is better; `None` where one saves both time and money.
    pub turns_at_rate: Option<Money>,
}

impl Worth {
    /// Of the second run against the first.
    pub fn of(first: &Run, second: &Run, basis: &WorthBasis) -> Self {
        let week = WEEK * basis.uptime;
        let output = |run: &Run| {
            let per_week = whole(week / run.minutes.min_value());
            Output {
                per_week,
                per_year_by_weeks: per_week as f64 * basis.weeks,
                per_year: whole(week * basis.weeks / run.minutes.min_value()),
            }
        };
        let outputs = [output(first), output(second)];
        let minutes = first.minutes - second.minutes;
        let speed = |r: &Run| r.wire.m() / r.minutes.min_value();
        let (by_time, by_speed) = log_mean_split(
            (first.minutes.min_value(), speed(first)),
            (second.minutes.min_value(), speed(second)),
        );
        let spent =
            |run: &Run| run.wire_cost() + run.attended + basis.consumables * run.minutes.hours();
        let unsold = spent(first) - spent(second);
        let sold = unsold + basis.machine_rate * minutes.hours();
        let rate = -(unsold.amount()) / minutes.hours();
        let year = outputs[0].per_year as f64;
        Self {
            available: Minutes::from_min(week),
            outputs,
            minutes,
            time_share: minutes.min_value() / first.minutes.min_value(),
            wire: first.wire - second.wire,
            wire_share: 1.0 - second.wire.m() / first.wire.m(),
            wire_by_time: Length::from_m(-by_time),
            wire_by_speed: Length::from_m(-by_speed),
            per_part_sold: sold,
            per_part_unsold: unsold,
            per_year_sold: sold * year,
            per_year_unsold: unsold * year,
            break_even_gain: break_even_gain(
                (basis.machine_rate + basis.consumables).amount(),
                first.by_the_hour(),
                second.by_the_hour(),
            ),
            gain: first.minutes.min_value() / second.minutes.min_value() - 1.0,
            turns_at_rate: (rate.is_finite() && rate > 0.0).then(|| Money::from_amount(rate)),
        }
    }
    /// Money a part at another value of a machine hour: a straight line in it.
    pub fn per_part_at(&self, machine_rate: Money) -> Money {
        self.per_part_unsold + machine_rate * self.minutes.hours()
    }
    /// Parts more a week, a year by weeks, and a year: the second less the first.
    pub fn more(&self) -> (i64, f64, i64) {
        let [a, b] = self.outputs;
        let less = |x: u64, y: u64| x.cast_signed() - y.cast_signed();
        (
            less(b.per_week, a.per_week),
            b.per_year_by_weeks - a.per_year_by_weeks,
            less(b.per_year, a.per_year),
        )
    }
}

/// Whole parts; a hair of rounding must not lose one that fits exactly.
fn whole(parts: f64) -> u64 {
    (parts + 1e-9).floor() as u64
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(minutes: f64, wire: f64) -> Run {
        Run {
            minutes: Minutes::from_min(minutes),
            wire: Length::from_m(wire),
            price: Money::from_amount(10.0),
            diameter: Length::from_mm(0.25),
            density: Density::from_kg_per_m3(8440.0),
            attended: Money::ZERO,
        }
    }
    fn basis(uptime: f64) -> WorthBasis {
        WorthBasis {
            uptime,
            weeks: 52.0,
            machine_rate: Money::from_amount(60.0),
            consumables: Money::ZERO,
        }
    }

    #[test]
    fn parts_a_week_and_a_year_by_both_ways_of_counting() {
        // Facts of the trade, common practice, no source: 10 080 min a week at 75 % are 7 560; runs of 301 and 208 min
        // give 25 and 36 parts a week, 11 more, 572 a year of 52 weeks.
        let w = Worth::of(&run(301.0, 2855.0), &run(208.0, 1949.0), &basis(0.75));
        assert!((w.available.min_value() - 7560.0).abs() < 1e-9);
        assert_eq!(w.outputs.map(|o| o.per_week), [25, 36]);
        assert_eq!((w.more().0, w.more().1), (11, 572.0));
        // By whole years, 301 min 46 s and 208 min 2 s: 1 302 and 1 889, 587 more.
        let first = run(301.0 + 46.0 / 60.0, 2855.0);
        let w = Worth::of(&first, &run(208.0 + 2.0 / 60.0, 1949.0), &basis(0.75));
        assert_eq!(w.outputs.map(|o| o.per_year), [1302, 1889]);
        assert_eq!(w.more().2, 587);
        // 2 855 and 1 949 m: 31.7 % less wire; of the 906 m about 883 by time and 23 by the wire's speed.
        assert!((w.wire_share - 0.317).abs() < 5e-4);
        assert!((w.wire.m() - 906.0).abs() < 1e-9);
        assert!((w.wire_by_time.m() - 883.0).abs() < 0.5);
        assert!((w.wire_by_speed.m() - 23.0).abs() < 0.5);
        assert!((w.wire_by_time + w.wire_by_speed - w.wire).m().abs() < 1e-9);
        // 6 000 available minutes, 290 and 210 min, from an independent script.
        let w = Worth::of(&run(290.0, 1.0), &run(210.0, 1.0), &basis(6000.0 / WEEK));
        assert_eq!(w.outputs.map(|o| o.per_week), [20, 28]);
        assert_eq!(w.more(), (8, 416.0, 410));
        assert_eq!(w.outputs.map(|o| o.per_year), [1075, 1485]);
    }

    #[test]
    fn sold_or_not_by_hand() {
        // 60 min against 48 on wire of 10 against 20 a kilogram, 600 and 480 m of 0.25 mm (2413.7 m/kg): the wire costs
        // 2.4858 and 3.9773; not sold 1.4915 is lost, sold at 60 an hour 12 min bring 12. It turns at 7.4575 an hour.
        let dear = Run {
            price: Money::from_amount(20.0),
            ..run(48.0, 480.0)
        };
        let w = Worth::of(&run(60.0, 600.0), &dear, &basis(0.75));
        assert!((w.per_part_unsold.amount() + 1.4915).abs() < 1e-4);
        assert!((w.per_part_sold.amount() - 10.5085).abs() < 1e-4);
        let turns = w.turns_at_rate.unwrap();
        assert!((turns.amount() - 7.4575).abs() < 1e-3);
        assert!(w.per_part_at(turns).amount().abs() < 1e-9);
        // At the rate where it turns, the gain it has is just the gain from which it pays.
        let at = WorthBasis {
            machine_rate: turns,
            ..basis(0.75)
        };
        let w = Worth::of(&run(60.0, 600.0), &dear, &at);
        assert!((w.break_even_gain - w.gain).abs() < 1e-12);
    }
}
