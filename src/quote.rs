//! The quote: what a customer gets, and what the shop keeps beside the machine.
//!
//! [`Quote`] gathers what was estimated, exactly as the screen shows it; [`customer`] and [`shop`] say it as a
//! [`document`]; [`layout`] sets that on [`pages`], which become a file in [`pdf`] or a picture on screen. Letterhead
//! and words are the shop's own ([`stationery`]). The customer's document holds none of the shop's rates.

mod customer;
pub mod document;
pub mod layout;
pub mod pages;
pub mod pdf;
pub mod picture;
mod shop;
pub mod stationery;
pub mod typeset;

pub use customer::customer;
pub use shop::{Depth, shop};

use crate::calibration::Day;
use crate::drawing::Drawing;
use crate::estimate::{Break, Comparison, Estimate, Figures, breaks, by_the_clock};
use crate::job::hours::DAY;
use crate::job::{Confirmed, Job};
use crate::library::Library;
use crate::plan::PathCache;
use crate::units::{Minutes, Money};
use crate::words::Style;
use document::Letterhead;
use pages::Image;
use stationery::Stationery;
use std::sync::Arc;

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
}

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

/// What a quote is made from.
#[derive(Debug, Clone)]
pub struct Quote<'a> {
    /// The items.
    pub items: Vec<QuotedItem<'a>>,
    /// What the figures rest on.
    pub library: &'a Library,
    /// The shop's letterhead and words.
    pub stationery: &'a Stationery,
    /// Its picture.
    pub logo: Option<Arc<Image>>,
    /// Its number.
    pub number: String,
    /// The day it is written.
    pub date: Day,
    /// Whom it is for; may be empty.
    pub customer: String,
    /// Quantities beside each job's own.
    pub quantities: Vec<u32>,
    /// mm or inch.
    pub style: Style,
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
    /// The prices at several quantities, ascending, the job's own among them; empty where no wire can do it.
    pub fn ladder(&self, quantities: &[u32], library: &Library) -> Vec<Rung> {
        let Some((estimate, figures)) = self.estimate().zip(self.figures()) else {
            return Vec::new();
        };
        let mut all: Vec<u32> = quantities.to_vec();
        all.push(self.job.quantity);
        all.sort_unstable();
        all.dedup();
        let profile = &self.drawing.profile;
        let ladder = breaks(
            profile,
            self.job,
            library,
            &PathCache::default(),
            self.chosen,
            &all,
        );
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

impl Quote<'_> {
    fn letterhead(&self) -> Letterhead {
        Letterhead {
            name: self.stationery.name.clone(),
            lines: self.stationery.address.clone(),
            logo: self.logo.clone(),
        }
    }
    /// "Each, €", or "each" where the shop's currency has no sign here.
    fn in_currency(&self, head: &str) -> String {
        if self.stationery.currency.is_empty() {
            head.to_owned()
        } else {
            format!("{head}, {}", self.stationery.currency)
        }
    }
    fn money(&self, amount: Option<Money>) -> String {
        amount.map_or_else(|| "–".to_owned(), |m| self.style.number(m.amount(), 2))
    }
    /// Minutes as the screen shows them.
    fn time(&self, minutes: Minutes) -> String {
        self.style.time(minutes)
    }
}
