//! A drawing that was estimated, with its prices by quantity: everything that a quote takes long over, worked once.

use crate::drawing::Drawing;
use crate::enquiry::{Answered, Item};
use crate::estimate::{Break, Comparison, Estimate, Figures, as_openings, breaks, by_the_clock};
use crate::job::hours::DAY;
use crate::job::{Confirmed, Job};
use crate::library::Library;
use crate::plan::PathCache;
use crate::units::Money;

/// One quantity of a ladder.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rung {
    /// Pieces.
    pub quantity: u32,
    /// Price a piece, rounded to hundredths; `None` where nothing is charged.
    pub each: Option<Money>,
    /// That times the quantity.
    pub lot: Option<Money>,
    /// Working days from the begin of the work until all are done; `None` where the clock does not tell.
    pub days: Option<u32>,
}

/// A thing that is quoted: a drawing, its job and its estimate.
#[derive(Debug, Clone, Copy)]
pub struct QuotedItem<'a> {
    /// Name of the drawing.
    pub name: &'a str,
    /// What was read.
    pub drawing: &'a Drawing,
    /// What was decided.
    pub job: &'a Job,
    /// What of it was given for this drawing.
    pub confirmed: Confirmed,
    /// Its estimates.
    pub comparison: &'a Comparison,
    /// The candidate that it is quoted on.
    pub chosen: usize,
    /// What its contours side by side cost as openings with that candidate; `None` where that is no question.
    pub as_openings: Option<Money>,
    /// Its prices, ascending, the job's own quantity among them; empty where no wire can do it.
    pub ladder: &'a [Rung],
}

/// A drawing that was estimated, with its prices.
#[derive(Debug)]
pub struct Quoted {
    name: String,
    drawing: Drawing,
    job: Job,
    confirmed: Confirmed,
    comparison: Comparison,
    chosen: usize,
    as_openings: Option<Money>,
    ladder: Vec<Rung>,
}

impl Quoted {
    /// An item of an enquiry, with the prices at several quantities and at its own.
    pub fn of(item: &Item, answered: Answered, quantities: &[u32], library: &Library) -> Self {
        let Answered {
            drawing,
            comparison,
            cache,
        } = answered;
        let chosen = item.wire.or_else(|| comparison.to_quote()).unwrap_or(0);
        // Of the wire that is quoted alone.
        let openings = item.job.candidates.get(chosen).and_then(|wire| {
            let job = Job {
                candidates: vec![wire.clone()],
                ..item.job.clone()
            };
            let all = as_openings(&drawing, &job, library, &cache);
            all.first().copied().flatten()
        });
        let mut out = Self {
            name: item.name.clone(),
            drawing,
            job: item.job.clone(),
            confirmed: item.confirmed,
            comparison,
            chosen,
            as_openings: openings,
            ladder: Vec::new(),
        };
        out.ladder = out.prices(quantities, library, &cache);
        out
    }
    /// As it stands in a quote.
    pub fn item(&self) -> QuotedItem<'_> {
        QuotedItem {
            name: &self.name,
            drawing: &self.drawing,
            job: &self.job,
            confirmed: self.confirmed,
            comparison: &self.comparison,
            chosen: self.chosen,
            as_openings: self.as_openings,
            ladder: &self.ladder,
        }
    }
    fn prices(&self, quantities: &[u32], library: &Library, cache: &PathCache) -> Vec<Rung> {
        let item = self.item();
        let Some((estimate, figures)) = item.estimate().zip(item.figures()) else {
            return Vec::new();
        };
        let mut all: Vec<u32> = quantities.to_vec();
        all.push(self.job.quantity);
        all.sort_unstable();
        all.dedup();
        let profile = &self.drawing.profile;
        let ladder = breaks(profile, &self.job, library, cache, self.chosen, &all);
        let rung = |b: &Break| {
            let hundredths = (b.each.median.amount() * 100.0).round();
            let charged = hundredths > 0.0;
            let money = |amount: f64| charged.then(|| Money::from_amount(amount / 100.0));
            let job = Job {
                quantity: b.quantity,
                ..self.job.clone()
            };
            Rung {
                quantity: b.quantity,
                each: money(hundredths),
                lot: money(hundredths * f64::from(b.quantity)),
                // A part's steps are the same in every lot.
                days: working_days(figures, estimate, &job, library),
            }
        };
        ladder.iter().flatten().map(rung).collect()
    }
}

impl QuotedItem<'_> {
    /// The estimate that it is quoted on.
    pub fn estimate(&self) -> Option<&Estimate> {
        self.comparison.estimates.get(self.chosen)
    }
    /// Its figures; `None` where no wire can do it.
    pub fn figures(&self) -> Option<&Figures> {
        self.estimate()?.figures.as_ref()
    }
    /// Pieces that one estimate cuts.
    pub fn pieces(&self) -> usize {
        self.job.pieces(&self.drawing.profile, &self.drawing.parts)
    }
}

/// The name of a drawing without the ending of its file.
pub(super) fn title_of(name: &str) -> String {
    let cut = name.len().saturating_sub(4);
    let ending = name.get(cut..).filter(|e| e.eq_ignore_ascii_case(".dxf"));
    match ending {
        Some(_) if cut > 0 => name[..cut].to_owned(),
        _ => name.to_owned(),
    }
}

/// Working days that a lot takes, from the day it is begun to the day it is done, both counted.
fn working_days(figures: &Figures, e: &Estimate, job: &Job, library: &Library) -> Option<u32> {
    let clock = by_the_clock(figures, &e.candidate, job, library)?;
    let done = clock.all_done();
    let staffed = &job.shop.staffed.days;
    let in_week = staffed.iter().filter(|d| **d).count() as u32;
    let (first, last) = ((clock.begun / DAY).floor(), (done / DAY).floor());
    if !last.is_finite() || last - first > 1e6 {
        return None;
    }
    let (weeks, rest) = (((last - first) / 7.0).floor(), (last - first) % 7.0);
    let is_staffed = |k: u32| {
        let day = (first + f64::from(k)).rem_euclid(7.0) as usize % 7;
        u32::from(staffed[day])
    };
    let days: u32 = (0..=rest as u32).map(is_staffed).sum();
    Some((weeks as u32 * in_week + days).max(1))
}
