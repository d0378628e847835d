//! Rates given in a call; the shop's own where nothing is said.

use super::outcome::Failure;
use crate::job::{Blank, Shop};
use crate::units::{Length, Money};
use crate::words::{Style, System};

/// Arguments about money. Amounts are in the shop's own currency.
#[derive(Debug, clap::Args)]
pub struct ShopArguments {
    /// The wire is threaded by hand: longer, and somebody stands there.
    #[arg(long)]
    thread_by_hand: bool,
    /// Diameters of the start holes that the shop drills, mm: "0.5,1,2". The largest that fits is taken.
    #[arg(long, value_name = "MM,MM,…", value_parser = hole_sizes)]
    hole_sizes: Option<HoleSizes>,
    /// Machine, an hour.
    #[arg(long, value_name = "MONEY", value_parser = amount)]
    machine_rate: Option<f64>,
    /// Labour, an hour.
    #[arg(long, value_name = "MONEY", value_parser = amount)]
    labour_rate: Option<f64>,
    /// Plain brass wire, a kilogram.
    #[arg(long, value_name = "MONEY", value_parser = amount)]
    wire_price: Option<f64>,
    /// Used wire, a kilogram.
    #[arg(long, value_name = "MONEY", value_parser = amount)]
    scrap_value: Option<f64>,
    /// Filters, resin, contacts and guides, an hour.
    #[arg(long, value_name = "MONEY", value_parser = amount)]
    consumables: Option<f64>,
    /// Set-up of the lot, hours.
    #[arg(long, value_name = "HOURS", value_parser = amount)]
    setup: Option<f64>,
    /// Programming of the lot, hours; 0 leaves it out.
    #[arg(long, value_name = "HOURS", value_parser = amount)]
    programming: Option<f64>,
    /// Programming, an hour. Default: the labour rate.
    #[arg(long, value_name = "MONEY", value_parser = amount)]
    programming_rate: Option<f64>,
    /// Inspection of a part, minutes at the labour rate; 0 leaves it out.
    #[arg(long, value_name = "MINUTES", value_parser = amount)]
    inspection: Option<f64>,
    /// Price of the work piece of one part; not counted unless given.
    #[arg(long, value_name = "MONEY", value_parser = amount, conflicts_with = "material_price")]
    blank_price: Option<f64>,
    /// Price of the material, a kilogram: of the box around what is cut, with the allowance.
    #[arg(long, value_name = "MONEY", value_parser = amount)]
    material_price: Option<f64>,
    /// What the work piece is larger than that box, on every side, mm.
    #[arg(long, value_name = "MM", value_parser = amount, default_value_t = 5.0)]
    allowance: f64,
    /// Anything else a part.
    #[arg(long, value_name = "MONEY", value_parser = amount)]
    other_cost: Option<f64>,
    /// Added to the cost of a part, per cent.
    #[arg(long, value_name = "PERCENT", value_parser = amount)]
    markup: Option<f64>,
    /// Share of the week in which the machine cuts, per cent.
    #[arg(
        long = "utilisation",
        alias = "uptime",
        value_name = "PERCENT",
        value_parser = amount
    )]
    uptime: Option<f64>,
}

impl ShopArguments {
    /// Lays what was given over a shop.
    ///
    /// # Errors
    /// An amount that cannot be.
    pub fn apply(&self, shop: &mut Shop) -> Result<(), Failure> {
        shop.threads_by_hand |= self.thread_by_hand;
        if let Some(HoleSizes(sizes)) = &self.hole_sizes {
            shop.hole_sizes.clone_from(sizes);
        }
        let money = |place: &mut Money, given: Option<f64>| {
            if let Some(v) = given {
                *place = Money::from_amount(v);
            }
        };
        money(&mut shop.machine_rate, self.machine_rate);
        money(&mut shop.labour_rate, self.labour_rate);
        money(&mut shop.wire_price, self.wire_price);
        money(&mut shop.scrap_value, self.scrap_value);
        money(&mut shop.consumables, self.consumables);
        money(&mut shop.other, self.other_cost);
        let number = |place: &mut f64, given: Option<f64>, factor: f64| {
            if let Some(v) = given {
                *place = v * factor;
            }
        };
        number(&mut shop.setup_hours, self.setup, 1.0);
        number(&mut shop.programming_hours, self.programming, 1.0);
        number(&mut shop.inspection_minutes, self.inspection, 1.0);
        number(&mut shop.markup, self.markup, 0.01);
        if let Some(share) = uptime(self.uptime)? {
            shop.uptime = share;
        }
        if let Some(rate) = self.programming_rate {
            shop.programming_rate = Some(Money::from_amount(rate));
        }
        shop.blank = match (self.blank_price, self.material_price) {
            (Some(price), _) => Blank::Price(Money::from_amount(price)),
            (None, Some(price)) => Blank::ByMass {
                price: Money::from_amount(price),
                allowance: Length::from_mm(self.allowance),
            },
            (None, None) => shop.blank,
        };
        if !shop.blank.is_sane() {
            let message = say!("The allowance of the blank has to lie between 0 and 1000 mm.");
            return Err(Failure::Call(message.to_owned()));
        }
        Ok(())
    }
}

/// Share of the week, 0 … 1, from per cent.
///
/// # Errors
/// It lies above 100 %, or is 0.
pub(super) fn uptime(percent: Option<f64>) -> Result<Option<f64>, Failure> {
    match percent {
        Some(p) if p > 100.0 || p <= 0.0 => {
            let message = say!(
                "The utilisation has to lie above 0 and up to 100 %. Give the share of the week in per cent."
            );
            Err(Failure::Call(message.to_owned()))
        }
        given => Ok(given.map(|p| p * 0.01)),
    }
}

/// As given: a list that is one argument.
#[derive(Debug, Clone)]
struct HoleSizes(Vec<Length>);

/// Read as in the window; commas part sizes, because the command's numbers have points.
fn hole_sizes(text: &str) -> Result<HoleSizes, String> {
    let apart = text.replace(',', " ");
    Style::plain(System::Metric)
        .parse_hole_sizes(&apart)
        .map(HoleSizes)
}

pub(super) fn amount(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(v) if (0.0..=1e9).contains(&v) => Ok(v),
        _ => Err(say!("a number from 0 to 1 000 000 000 is needed").to_owned()),
    }
}
