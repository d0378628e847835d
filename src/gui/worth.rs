//! What the page of worth holds two runs against each other by: taken from the estimate, or typed from the machine's record.

use crate::estimate::worth::{Run, WorthBasis};
use crate::estimate::{Comparison, Figures};
use crate::job::{Candidate, Job};
use crate::library::{Library, Wire};
use crate::units::{Density, Length, Minutes, Money};
use serde::{Deserialize, Serialize};

/// Weeks in a year in which a machine works, until something else is typed.
const WEEKS: f64 = 52.0;

/// One of the two runs: what is typed stands in the place of what is estimated.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct TypedRun {
    /// Minutes a part.
    pub minutes: Option<f64>,
    /// Metres of wire a part.
    pub wire_m: Option<f64>,
    /// Price of the wire a kilogram.
    pub price: Option<f64>,
    /// Its diameter, mm.
    pub diameter_mm: Option<f64>,
}

/// What was typed on the page.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Typed {
    /// The run to beat, and the other one.
    pub runs: [TypedRun; 2],
    /// Weeks a year.
    pub weeks: Option<f64>,
    /// Per cent of the week in which the machine cuts.
    pub uptime_percent: Option<f64>,
    /// Value of a machine hour.
    pub machine_rate: Option<f64>,
}

impl Typed {
    /// Whether nothing was typed, so that the page shows the estimate alone.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
    /// Time in which parts are made, and what an hour of it is worth.
    pub fn basis(&self, job: &Job, library: &Library) -> WorthBasis {
        WorthBasis {
            uptime: self.uptime_percent.map_or(job.shop.uptime, |p| p / 100.0),
            weeks: self.weeks.unwrap_or(WEEKS),
            machine_rate: self
                .machine_rate
                .map_or(job.machine_rate(library), Money::from_amount),
            consumables: job.shop.consumables,
        }
    }
    /// A run, 0 the one to beat; `None` where neither the estimate nor what was typed gives time and wire.
    pub fn run(
        &self,
        k: usize,
        estimated: Option<(&Candidate, Option<&Figures>)>,
        job: &Job,
        library: &Library,
    ) -> Option<Run> {
        let typed = &self.runs[k];
        // A record of the machine says nothing of the work beside it, so it counts on both sides or on none.
        let estimate_alone = self.runs == [TypedRun::default(); 2];
        let figures = estimated.and_then(|(_, f)| f);
        let wire = estimated.and_then(|(c, _)| library.wire(&c.wire));
        let density = wire
            .or(library.wires.first())
            .map_or(Density::from_kg_per_m3(0.0), Wire::density);
        let factor = wire.map_or(1.0, |w| w.price_factor.value);
        let diameter = typed.diameter_mm.map(Length::from_mm);
        Some(Run {
            minutes: typed
                .minutes
                .map(Minutes::from_min)
                .or_else(|| figures.map(|f| f.minutes.median))?,
            wire: typed
                .wire_m
                .map(Length::from_m)
                .or_else(|| figures.map(|f| f.wire.median))?,
            price: typed
                .price
                .map_or(job.shop.wire_price * factor, Money::from_amount)
                - job.shop.scrap_value,
            diameter: diameter.or_else(|| estimated.map(|(c, _)| c.diameter))?,
            density,
            // All that is spent but wire and consumables, which stand beside it: the page says what the table says.
            attended: figures.filter(|_| estimate_alone).map_or(Money::ZERO, |f| {
                f.cost.unsold.median - f.cost.wire - f.cost.consumables
            }),
        })
    }
}

/// The two candidates that are held against each other: the baseline, and the one shown or else the fastest.
pub fn pair(comparison: &Comparison, shown: usize) -> (usize, usize) {
    let first = comparison.baseline;
    if shown != first {
        return (first, shown);
    }
    let fastest = comparison.fastest().filter(|k| *k != first);
    (first, fastest.unwrap_or(first))
}
