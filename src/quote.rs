//! The quote: what a customer gets, and what the shop keeps beside the machine.
//!
//! [`Quoted`] is a drawing as it was estimated, exactly as the screen shows it, with its prices; [`Quote`] gathers them;
//! [`customer`] and [`shop`] say it as a [`document`]; [`layout`] sets that on [`pages`], which become a file in [`pdf`]
//! or a picture on screen. Letterhead and standing words are the shop's own ([`stationery`]), the words of one quote lie
//! in its job file. The customer's document holds none of the shop's rates.

mod customer;
pub mod document;
pub mod layout;
pub mod pages;
pub mod pdf;
pub mod picture;
mod quoted;
mod shop;
pub mod stationery;
pub mod typeset;

pub use customer::customer;
pub use quoted::{Quoted, QuotedItem, Rung};
pub use shop::{Depth, shop};

use crate::calibration::Day;
use crate::enquiry::QuoteWords;
use crate::library::Library;
use crate::units::{Minutes, Money};
use crate::words::Style;
use document::Letterhead;
use pages::Image;
use stationery::Stationery;
use std::sync::Arc;

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
    /// The words of this quote; what they leave empty is said by the shop's standing words.
    pub words: &'a QuoteWords,
    /// The day it is written where the words name none.
    pub today: Day,
    /// mm or inch.
    pub style: Style,
}

impl Quote<'_> {
    /// Its number: as given, else the day and the first drawing's name.
    pub fn number(&self) -> String {
        let given = self.words.number.trim();
        if !given.is_empty() {
            return given.to_owned();
        }
        let first = self.items.first().map(|i| quoted::title_of(i.name));
        // A number stays what it is in any language.
        let date = match self.words.date.trim() {
            "" => self.today.to_string(),
            given => given.to_owned(),
        };
        format!("{date} {}", first.unwrap_or_default())
    }
    /// The day it is written, as the language writes days; words that are no day as they are given.
    pub fn date(&self) -> String {
        match self.words.date.trim() {
            "" => self.today.said(),
            given => Day::parse(given).map_or_else(|| given.to_owned(), Day::said),
        }
    }
    /// Until when it holds: as given, else so many days after its own.
    pub fn valid_until(&self) -> Option<String> {
        let given = self.words.valid_until.trim();
        if !given.is_empty() {
            return Some(Day::parse(given).map_or_else(|| given.to_owned(), Day::said));
        }
        let day = Day::typed(&self.words.date).unwrap_or(self.today);
        let until = day.after(self.stationery.valid_days);
        until.map(Day::said)
    }
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
