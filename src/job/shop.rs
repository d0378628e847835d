//! The shop's own rates and habits.

use super::hours::StaffedHours;
use crate::library::Library;
use crate::units::{Length, Mass, Money};
use serde::{Deserialize, Serialize};

/// What the work piece costs before it is cut.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Blank {
    /// Not counted: the customer brings it, or it is quoted apart.
    #[default]
    NotCounted,
    /// A price a part.
    Price(Money),
    /// By the mass of the plate it is taken from.
    ByMass {
        /// A kilogram.
        price: Money,
        /// What the plate is larger than the box around the contours that are cut, on every side.
        allowance: Length,
    },
}

impl Blank {
    /// Its amounts and lengths are 0 or more, and believable.
    pub fn is_sane(self) -> bool {
        let money = |m: Money| (0.0..=1e9).contains(&m.amount());
        match self {
            Self::NotCounted => true,
            Self::Price(price) => money(price),
            Self::ByMass { price, allowance } => {
                money(price) && (0.0..=1000.0).contains(&allowance.mm())
            }
        }
    }
}

/// The shop's own rates and habits; the library's defaults until changed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Shop {
    /// Machine, an hour.
    pub machine_rate: Money,
    /// Labour, an hour.
    pub labour_rate: Money,
    /// Plain brass wire, a kilogram; coated wires by their price factor.
    pub wire_price: Money,
    /// Used wire, a kilogram.
    pub scrap_value: Money,
    /// Filters, resin, contacts and guides, an hour.
    pub consumables: Money,
    /// Set-up of a lot, hours.
    pub setup_hours: f64,
    /// Share of the week in which the machine cuts, 0 … 1.
    pub uptime: f64,
    /// Common name of the spool that is loaded.
    pub spool: String,
    /// From this mass on a slug may fall and has to be held.
    #[serde(default = "Shop::usual_heavy_slug")]
    pub heavy_slug: Mass,
    /// Up to this size (its longer side) a slug may slip into the lower nozzle and jam.
    #[serde(default = "Shop::usual_jamming_slug")]
    pub jamming_slug: Length,
    /// Below this mass a piece may drop alone: nobody secures it or takes it out. 0: every piece is secured.
    #[serde(default)]
    pub drops_alone: Mass,
    /// Whether parts are clamped while their tab's stretch is skimmed; else it is dressed by hand.
    #[serde(default)]
    pub clamps_parts: bool,
    /// Diameters of the start holes that the shop drills.
    #[serde(default = "Shop::usual_holes")]
    pub hole_sizes: Vec<Length>,
    /// Whether the wire is threaded by hand: longer, and somebody stands there.
    #[serde(default)]
    pub threads_by_hand: bool,
    /// When somebody is there.
    #[serde(default)]
    pub staffed: StaffedHours,
    /// Programming of a lot, hours; 0 where it is not counted.
    #[serde(default)]
    pub programming_hours: f64,
    /// Programming, an hour; `None` as labour.
    #[serde(default)]
    pub programming_rate: Option<Money>,
    /// Inspection of a part, minutes at the labour rate; 0 where it is not counted.
    #[serde(default)]
    pub inspection_minutes: f64,
    /// The work piece.
    #[serde(default)]
    pub blank: Blank,
    /// Anything else a part, such as hardening or freight.
    #[serde(default)]
    pub other: Money,
    /// What is added to the whole, as a share: 0.15 is 15 %.
    #[serde(default)]
    pub markup: f64,
}

/// Does the same with every field of three shops.
macro_rules! each_field {
    ($does:ident, $own:expr, $from:expr, $to:expr) => {
        each_field!($does, $own, $from, $to;
            machine_rate labour_rate wire_price scrap_value consumables setup_hours uptime spool heavy_slug
            jamming_slug drops_alone clamps_parts hole_sizes threads_by_hand staffed programming_hours
            programming_rate inspection_minutes blank other markup)
    };
    ($does:ident, $own:expr, $from:expr, $to:expr; $($field:ident)*) => {{
        // Without `..`: a field that is missing in the list is an error.
        let Self { $($field: _),* } = $own;
        $($does(&mut $own.$field, &$from.$field, &$to.$field);)*
    }};
}

impl Shop {
    /// The library's defaults.
    pub fn from_library(library: &Library) -> Self {
        let o = &library.overheads;
        Self {
            machine_rate: Money::from_amount(o.machine_rate.value),
            labour_rate: Money::from_amount(o.labour_rate.value),
            wire_price: Money::from_amount(o.wire_price.value),
            scrap_value: Money::from_amount(o.scrap_value.value),
            consumables: Money::from_amount(o.consumables.value),
            setup_hours: o.setup.value,
            uptime: o.uptime.value / 100.0,
            spool: "P-5".to_owned(),
            heavy_slug: Self::usual_heavy_slug(),
            jamming_slug: Self::usual_jamming_slug(),
            drops_alone: Mass::ZERO,
            clamps_parts: false,
            hole_sizes: Self::usual_holes(),
            threads_by_hand: false,
            staffed: StaffedHours::default(),
            programming_hours: o.programming.value,
            programming_rate: None,
            inspection_minutes: o.inspection.value,
            blank: Blank::NotCounted,
            other: Money::ZERO,
            markup: 0.0,
        }
    }
    /// Follows the library, or the shop's own rates, from one state to another: what stood at the value before goes
    /// to the one after, what the user has set stays.
    pub fn follow(&mut self, from: &Self, to: &Self) {
        fn moved<T: PartialEq + Clone>(own: &mut T, from: &T, to: &T) {
            if own == from {
                own.clone_from(to);
            }
        }
        each_field!(moved, self, from, to);
    }
    /// Takes over what differs between two others.
    pub fn take_changes(&mut self, from: &Self, to: &Self) {
        fn changed<T: PartialEq + Clone>(own: &mut T, from: &T, to: &T) {
            if from != to {
                own.clone_from(to);
            }
        }
        each_field!(changed, self, from, to);
    }
    /// What programming costs an hour.
    pub fn programming(&self) -> Money {
        self.programming_rate.unwrap_or(self.labour_rate)
    }
    /// 0.2 kg (judgement).
    pub const fn usual_heavy_slug() -> Mass {
        Mass::from_kg(0.2)
    }
    /// 0.5 to 3 mm (judgement).
    pub fn usual_holes() -> Vec<Length> {
        [0.5, 0.8, 1.0, 1.5, 2.0, 3.0].map(Length::from_mm).to_vec()
    }
    /// 6 mm, about the bore of a lower nozzle (judgement).
    pub const fn usual_jamming_slug() -> Length {
        Length::from_mm(6.0)
    }
}
