//! What a part costs, and when a dearer wire pays.
//!
//! part = set-up·(machine + labour)/n + loading·(machine + labour) + dressing·labour + t·(machine + attended share·labour) + wire·(price − scrap)
//! + t·consumables + start holes + allowance: these are medians, and the median of a sum lies above the sum of medians.
//!
//! Where the shop says so, it adds: programming of the lot, inspection, the work piece, anything else, and a mark-up
//! on the whole. Without those it is the plain formula.

use super::question::Question;
use super::range::{Overhead, Ranged, Slopes};
use super::terms::Terms;
use crate::geometry::Bounds;
use crate::job::{Blank, Job, Shop, cut_contours};
use crate::library::{Library, Material, Wire};
use crate::profile::Profile;
use crate::units::{Area, Length, Mass, Minutes, Money, prism_mass};

/// What it costs, one part unless said.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Cost {
    /// Start holes.
    pub holes: Money,
    /// Machine.
    pub machine: Money,
    /// Somebody standing there.
    pub labour: Money,
    /// Wire less scrap.
    pub wire: Money,
    /// Filters, resin, contacts, guides.
    pub consumables: Money,
    /// A part's share of the set-up.
    pub setup: Money,
    /// Loading and aligning.
    pub loading: Money,
    /// Dressing by hand where the part's tab was.
    pub dressing: Money,
    /// A part's share of the programming; 0 where the shop does not count it.
    pub programming: Money,
    /// Inspection; 0 where it is not counted.
    pub inspection: Money,
    /// The work piece; 0 where it is not counted.
    pub material: Money,
    /// Anything else the shop adds to a part.
    pub other: Money,
    /// What the median of the whole lies above the sum of the lines before it.
    pub allowance: Money,
    /// Added to all of that.
    pub markup: Money,
    /// All of it.
    pub part: Ranged<Money>,
    /// Of it, what is really spent where freed machine hours are not sold: wire, consumables, start holes and attended
    /// work, without set-up and mark-up.
    pub unsold: Ranged<Money>,
}

/// What the cost of a part is computed from.
#[derive(Debug, Clone, Copy)]
pub struct CostBasis<'a> {
    /// Rates.
    pub shop: &'a Shop,
    /// Parts in the lot.
    pub quantity: u32,
    /// Pieces in one estimate that are inspected and paid for one by one; 1 but for a set.
    pub pieces: u32,
    /// Machine time a part.
    pub minutes: Minutes,
    /// Of that, with somebody standing there.
    pub attended: Minutes,
    /// Wire a part.
    pub wire_mass: Mass,
    /// Its price a kilogram against plain brass.
    pub price_factor: f64,
    /// Loading and aligning a part: the machine stands, and somebody is there.
    pub loading: Minutes,
    /// Dressing by hand at the bench.
    pub dressing: Minutes,
    /// Cost of the start holes of a part.
    pub holes: Money,
    /// Cost of the work piece.
    pub material: Money,
    /// What the median of the whole lies above the sum of all that.
    pub allowance: Money,
}

/// Slopes of what the cost of a part goes with.
#[derive(Debug, Clone, Copy)]
pub struct CostDoubts<'a> {
    /// Of the time a part.
    pub minutes: &'a Slopes,
    /// Of the wire a part.
    pub wire: &'a Slopes,
    /// Of the time with somebody standing there.
    pub attended: &'a Slopes,
    /// Of the time to drill the start holes.
    pub holes: &'a Slopes,
}

/// The plate that a part is taken from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plate {
    /// Its sides, allowance included.
    pub sides: (Length, Length),
    /// Its thickness.
    pub thickness: Length,
    /// Its mass.
    pub mass: Mass,
}

impl Plate {
    /// The box around the contours that are cut, with the shop's allowance; `None` where no mass is paid.
    pub fn of(profile: &Profile, job: &Job, material: &Material) -> Option<Self> {
        let Blank::ByMass { allowance, .. } = job.shop.blank else {
            return None;
        };
        let mut bounds = Bounds::EMPTY;
        for (_, c) in cut_contours(job, profile) {
            bounds.include_bounds(&c.bounds);
        }
        let size = bounds.size();
        let side = |mm: f64| Length::from_mm(mm) + allowance * 2.0;
        let sides = (side(size.x), side(size.y));
        let area = Area::from_mm2(sides.0.mm() * sides.1.mm());
        Some(Self {
            sides,
            thickness: job.thickness,
            mass: prism_mass(area, job.thickness, material.density()),
        })
    }
}

/// What the work pieces of so many pieces cost, taken from these plates, each as often as it says.
pub fn material_cost(shop: &Shop, plates: &[(Plate, u32)], pieces: u32) -> Money {
    match shop.blank {
        Blank::NotCounted => Money::ZERO,
        Blank::Price(price) => price * f64::from(pieces),
        Blank::ByMass { price, .. } => {
            let mass = |(plate, count): &(Plate, u32)| plate.mass.kg() * f64::from(*count);
            price * plates.iter().map(mass).sum::<f64>()
        }
    }
}

/// One line of the cost of a part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CostLine {
    /// As shown.
    pub what: &'static str,
    /// Money a part.
    pub amount: Money,
    /// Why it is what it is.
    pub question: Question,
}

impl Cost {
    /// Everything that the cost of a part is the sum of, in order. What a shop may add is there only where it does.
    pub fn lines(&self) -> Vec<CostLine> {
        let line = |what, amount, question| CostLine {
            what,
            amount,
            question,
        };
        let mut all = vec![
            line(say!("machine"), self.machine, Question::Machine),
            line(say!("labour"), self.labour, Question::Labour),
            line(say!("wire"), self.wire, Question::WireCost),
            line(say!("consumables"), self.consumables, Question::Consumables),
            line(say!("set-up"), self.setup, Question::Setup),
            line(say!("start holes"), self.holes, Question::Holes),
        ];
        let added = [
            line(say!("loading"), self.loading, Question::Loading),
            line(say!("dressing"), self.dressing, Question::Dressing),
            line(say!("programming"), self.programming, Question::Programming),
            line(say!("inspection"), self.inspection, Question::Inspection),
            line(say!("blank"), self.material, Question::Material),
            line(say!("other"), self.other, Question::Other),
            line(say!("allowance"), self.allowance, Question::CostAllowance),
            line(say!("mark-up"), self.markup, Question::Markup),
        ];
        all.extend(added.into_iter().filter(|l| l.amount != Money::ZERO));
        all
    }
}

impl CostBasis<'_> {
    /// The cost of a part, without ranges and without what is spent of it.
    pub fn cost(&self) -> Cost {
        let s = self.shop;
        let machine = s.machine_rate * self.minutes.hours();
        let labour = s.labour_rate * self.attended.hours();
        let wire = (s.wire_price * self.price_factor - s.scrap_value) * self.wire_mass.kg();
        let consumables = s.consumables * self.minutes.hours();
        let setup =
            (s.machine_rate + s.labour_rate) * (s.setup_hours / f64::from(self.quantity.max(1)));
        let loading = (s.machine_rate + s.labour_rate) * self.loading.hours();
        let dressing = s.labour_rate * self.dressing.hours();
        let lot = f64::from(self.quantity.max(1));
        let programming = s.programming() * (s.programming_hours / lot);
        let pieces = f64::from(self.pieces);
        let inspection = s.labour_rate * (s.inspection_minutes / 60.0 * pieces);
        let other = s.other * pieces;
        let before_markup = machine
            + labour
            + wire
            + consumables
            + setup
            + loading
            + dressing
            + self.holes
            + programming
            + inspection
            + self.material
            + other
            + self.allowance;
        let markup = before_markup * s.markup;
        let part = before_markup + markup;
        Cost {
            holes: self.holes,
            machine,
            labour,
            wire,
            consumables,
            setup,
            loading,
            dressing,
            programming,
            inspection,
            material: self.material,
            other,
            allowance: self.allowance,
            markup,
            part: Ranged {
                median: part,
                low: part,
                high: part,
            },
            unsold: Ranged::default(),
        }
    }
    /// The slopes of the cost.
    ///
    /// Machine and consumables go with the time, labour with its attended part, start holes with their drilling; the
    /// wire's cost goes with its length, and so with the time too. Set-up, programming and inspection are as uncertain as
    /// the library says while they stand at its value; what the shop has set itself, rates and prices are taken as given.
    pub fn slopes(&self, doubts: &CostDoubts<'_>, library: &Library) -> Slopes {
        let cost = self.cost();
        let whole = cost.part.median.amount();
        // The mark-up moves with what it is added to.
        let marked = 1.0 + self.shop.markup;
        let share = |m: Money| {
            if whole > 0.0 {
                marked * m.amount() / whole
            } else {
                0.0
            }
        };
        let mut slopes = doubts
            .minutes
            .times(share(cost.machine + cost.consumables))
            .plus(&doubts.wire.times(share(cost.wire)))
            .plus(&doubts.attended.times(share(cost.labour)))
            .plus(&doubts.holes.times(share(cost.holes)));
        let (s, o) = (self.shop, &library.overheads);
        for (what, own, default, amount) in [
            (Overhead::Setup, s.setup_hours, &o.setup, cost.setup),
            (
                Overhead::Programming,
                s.programming_hours,
                &o.programming,
                cost.programming,
            ),
            (
                Overhead::Inspection,
                s.inspection_minutes,
                &o.inspection,
                cost.inspection,
            ),
        ] {
            if own == default.value {
                slopes.overheads.push((what, share(amount)));
            }
        }
        let beside = [
            (Overhead::Loading, share(cost.loading)),
            (Overhead::Dressing, share(cost.dressing)),
        ];
        slopes
            .overheads
            .extend(beside.into_iter().filter(|(_, share)| *share > 0.0));
        slopes
    }
}

impl CostBasis<'_> {
    /// The cost of a part by what its parts move with, and of that what is really spent where freed machine hours are
    /// not sold: wire, consumables, start holes and attended work, without set-up and mark-up.
    ///
    /// From the terms of minutes, metres of wire, attended minutes and minutes of drilling.
    pub fn terms(
        &self,
        minutes: &Terms,
        wire: &Terms,
        attended: &Terms,
        holes: &Terms,
        library: &Library,
    ) -> (Terms, Terms) {
        let cost = self.cost();
        let marked = 1.0 + self.shop.markup;
        let share = |terms: &Terms, amount: Money| {
            let whole = terms.total();
            let by = if whole > 0.0 {
                amount.amount() / whole
            } else {
                0.0
            };
            terms.clone().times(by)
        };
        let mut cash = share(minutes, cost.consumables)
            .plus(&share(wire, cost.wire))
            .plus(&share(attended, cost.labour))
            .plus(&share(holes, cost.holes));
        let dressing = Slopes::of_overheads(&[(Overhead::Dressing, 1.0)]);
        cash.add(cost.dressing.amount(), &dressing);
        let loading = Slopes::of_overheads(&[(Overhead::Loading, 1.0)]);
        let standing_by = self.shop.labour_rate * self.loading.hours();
        cash.add(standing_by.amount(), &loading);
        let setup = if self.shop.setup_hours == library.overheads.setup.value {
            Slopes::of_overheads(&[(Overhead::Setup, 1.0)])
        } else {
            Slopes::default()
        };
        let mut whole = share(minutes, cost.machine).plus(&cash);
        whole.add(cost.setup.amount(), &setup);
        whole.add((cost.loading - standing_by).amount(), &loading);
        let (s, o) = (self.shop, &library.overheads);
        let at_library = [
            (
                cost.programming,
                s.programming_hours == o.programming.value,
                Overhead::Programming,
            ),
            (
                cost.inspection,
                s.inspection_minutes == o.inspection.value,
                Overhead::Inspection,
            ),
        ];
        for (amount, at_library, what) in at_library {
            let known = at_library.then(|| Slopes::of_overheads(&[(what, 1.0)]));
            whole.add(amount.amount(), &known.unwrap_or_default());
        }
        let known = cost.material + cost.other;
        whole.add(known.amount(), &Slopes::default());
        (whole.times(marked), cash)
    }
}

/// Price of a wire less what its scrap brings, a kilogram.
pub fn net_wire_price(shop: &Shop, wire: &Wire) -> Money {
    shop.wire_price * wire.price_factor.value - shop.scrap_value
}

/// Speed gain from which a dearer wire pays: (R + w₂p₂)/(R + w₁p₁) − 1.
///
/// R is the hourly value of the machine, w kg/h, p currency a kilogram. The gain has that value only when
/// the freed hours are sold.
pub fn break_even_gain(hourly_value: f64, plain: (f64, f64), dearer: (f64, f64)) -> f64 {
    (hourly_value + dearer.0 * dearer.1) / (hourly_value + plain.0 * plain.1) - 1.0
}

/// Whole parts in a week of 10 080 minutes at an uptime (0 … 1).
pub fn parts_per_week(minutes: Minutes, uptime: f64) -> u64 {
    if minutes.min_value() <= 0.0 {
        return 0;
    }
    // A hair of rounding must not lose a part that fits exactly.
    (10_080.0 * uptime / minutes.min_value() + 1e-9).floor() as u64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Density, RunOff, wire_mass};

    /// R. H. Garrison, E. W. Noreen, P. C. Brewer, Managerial Accounting, job-order costing, the exercise of the Landen
    /// Corporation, as its solution is told on a public page: an overhead of 465 000 over 77 500 machine hours and 9.60 an
    /// hour make a machine hour 15.60; a job of 5 machine hours with direct material of 210 and direct labour of 349 in
    /// 15 hours costs 637, and sold at 200 % above its cost 1911. By direct labour hours, at 7.80, it costs 676 and 2028.
    #[test]
    fn a_published_job_by_machine_hours_and_by_labour_hours() {
        let mut shop = Shop::from_library(Library::built_in());
        shop.consumables = Money::ZERO;
        shop.setup_hours = 0.0;
        (shop.programming_hours, shop.inspection_minutes) = (0.0, 0.0);
        shop.markup = 2.0;
        let (hours, labour) = (15.0, 349.0 / 15.0);
        for (machine_rate, labour_rate, whole, price) in [
            (465_000.0 / 77_500.0 + 9.60, labour, 637.0, 1911.0),
            (0.0, labour + 465_000.0 / 155_000.0 + 4.80, 676.0, 2028.0),
        ] {
            shop.machine_rate = Money::from_amount(machine_rate);
            shop.labour_rate = Money::from_amount(labour_rate);
            let cost = CostBasis {
                shop: &shop,
                quantity: 1,
                minutes: Minutes::from_hours(5.0),
                attended: Minutes::from_hours(hours),
                wire_mass: Mass::ZERO,
                price_factor: 1.0,
                loading: Minutes::ZERO,
                dressing: Minutes::ZERO,
                holes: Money::ZERO,
                material: Money::from_amount(210.0),
                allowance: Money::ZERO,
                pieces: 1,
            }
            .cost();
            assert!((cost.part.median.amount() - price).abs() < 1e-9, "{cost:?}");
            let before = cost.part.median.amount() - cost.markup.amount();
            assert!((before - whole).abs() < 1e-9, "{cost:?}");
        }
    }

    #[test]
    fn a_batch_of_five() {
        // Programming and inspection are not in this sum.
        // t_su 1 h, R_m 40, R_l 35, n 5, t 2 h, attended 0.2, wire 0.24858 kg/h, price 11, scrap 4: 112.4801.
        let mut shop = Shop::from_library(Library::built_in());
        shop.machine_rate = Money::from_amount(40.0);
        shop.labour_rate = Money::from_amount(35.0);
        shop.consumables = Money::ZERO;
        (shop.programming_hours, shop.inspection_minutes) = (0.0, 0.0);
        let basis = CostBasis {
            shop: &shop,
            quantity: 5,
            minutes: Minutes::from_hours(2.0),
            attended: Minutes::from_hours(0.4),
            wire_mass: Mass::from_kg(2.0 * 0.24858),
            price_factor: 1.0,
            loading: Minutes::ZERO,
            dressing: Minutes::ZERO,
            holes: Money::ZERO,
            material: Money::ZERO,
            allowance: Money::ZERO,
            pieces: 1,
        };
        let cost = basis.cost();
        assert!(
            (cost.part.median.amount() - 112.4801).abs() < 1e-4,
            "{cost:?}"
        );
        let sum: f64 = cost.lines().iter().map(|l| l.amount.amount()).sum();
        assert!((sum - cost.part.median.amount()).abs() < 1e-12);
        assert_eq!(cost.lines().len(), 6, "nothing is added unasked");
        // By hand: time and wire 0.1 on 80 + 3.48; labour 14 by its stops, 2 to 10 min, a quarter of ln 5 = 0.4024; set-up
        // 15 by the library's 0.5 to 3 h, a quarter of ln 6 = 0.4479.
        let l = Library::built_in();
        let cut = Slopes {
            cut: 1.0,
            ..Slopes::default()
        };
        let stops = Slopes::of_overheads(&[(Overhead::Stops, 1.0)]);
        let doubts = CostDoubts {
            minutes: &cut,
            wire: &cut,
            attended: &stops,
            holes: &Slopes::default(),
        };
        let slopes = basis.slopes(&doubts, l);
        let sd = |slopes: &Slopes| slopes.log_sd(l);
        let moving: f64 = 0.1 * (80.0 + 2.0 * 0.24858 * 7.0);
        let squares = |setup: f64| {
            let squares = moving.powi(2) + (14.0 * 0.402_359_478_f64).powi(2) + setup.powi(2);
            squares.sqrt() / 112.480_12
        };
        assert!((sd(&slopes) - squares(15.0 * 0.447_939_867_5)).abs() < 1e-7);
        // Minutes of the stops swing with the same factor in machine and labour: the two add before they are squared.
        let half = cut.times(0.5).plus(&stops.times(0.5));
        let both = CostDoubts {
            minutes: &half,
            ..doubts
        };
        let slopes = basis.slopes(&both, l);
        let alike: f64 = (0.5 * 80.0 + 14.0) * 0.402_359_478;
        let own: f64 = 0.1 * (0.5 * 80.0 + 2.0 * 0.24858 * 7.0);
        let setup: f64 = 15.0 * 0.447_939_867_5;
        let expected = (alike.powi(2) + own.powi(2) + setup.powi(2)).sqrt() / 112.480_12;
        assert!((sd(&slopes) - expected).abs() < 1e-7);
        // A set-up of the shop's own is known.
        let mut own = shop.clone();
        own.setup_hours = 1.0 + 1e-9;
        let known = CostBasis {
            shop: &own,
            ..basis
        };
        let slopes = known.slopes(&doubts, l);
        assert!((sd(&slopes) - squares(0.0)).abs() < 1e-7);
    }

    #[test]
    fn what_the_shop_adds_stands_in_lines_of_its_own() {
        // By hand, on the batch of five above: programming 2 h at 45 over 5 parts is 18; inspection 12 min at 35 an
        // hour is 7; the work piece 30; freight 4; 10 % on the whole of 112.4801 + 59 = 171.4801 is 17.14801.
        let mut shop = Shop::from_library(Library::built_in());
        shop.machine_rate = Money::from_amount(40.0);
        shop.consumables = Money::ZERO;
        shop.programming_hours = 2.0;
        shop.programming_rate = Some(Money::from_amount(45.0));
        shop.inspection_minutes = 12.0;
        shop.blank = Blank::Price(Money::from_amount(30.0));
        shop.other = Money::from_amount(4.0);
        shop.markup = 0.10;
        let basis = CostBasis {
            shop: &shop,
            quantity: 5,
            minutes: Minutes::from_hours(2.0),
            attended: Minutes::from_hours(0.4),
            wire_mass: Mass::from_kg(2.0 * 0.24858),
            price_factor: 1.0,
            loading: Minutes::ZERO,
            dressing: Minutes::ZERO,
            holes: Money::ZERO,
            material: material_cost(&shop, &[], 1),
            allowance: Money::ZERO,
            pieces: 1,
        };
        let cost = basis.cost();
        let near = |m: Money, v: f64| (m.amount() - v).abs() < 1e-9;
        assert!(near(cost.programming, 18.0) && near(cost.inspection, 7.0));
        assert!(near(cost.material, 30.0) && near(cost.other, 4.0));
        assert!((cost.part.median.amount() - 1.1 * 171.4801).abs() < 2e-4);
        let sum: f64 = cost.lines().iter().map(|l| l.amount.amount()).sum();
        assert!((sum - cost.part.median.amount()).abs() < 1e-9);
        assert_eq!(cost.lines().len(), 11);
        // The mark-up is on time and wire as well, so their share of the whole stays the same.
        let cut = Slopes {
            cut: 1.0,
            ..Slopes::default()
        };
        let none = Slopes::default();
        let doubts = CostDoubts {
            minutes: &cut,
            wire: &cut,
            attended: &none,
            holes: &none,
        };
        let mut own = shop.clone();
        own.setup_hours = 1.0 + 1e-12;
        let basis = CostBasis {
            shop: &own,
            ..basis
        };
        let library = Library::built_in();
        let (cost, slopes) = (basis.cost(), basis.slopes(&doubts, library));
        let moving = 1.1 * ((cost.machine + cost.wire) / cost.part.median);
        assert!((slopes.log_sd(library) - 0.1 * moving).abs() < 1e-12);
    }

    #[test]
    fn a_dearer_wire_pays_from_a_small_gain_on() {
        // R 60/h, 0.25 mm, 10 m/min, 10 against 16 a kilogram: 2.387 %; run-off 14 against 10: 4.933 %.
        let kg_per_hour = |run_off: f64| {
            let hour = RunOff::from_m_per_min(run_off) * Minutes::from_hours(1.0);
            wire_mass(hour, Length::from_mm(0.25), Density::from_kg_per_m3(8440.0)).kg()
        };
        let w = kg_per_hour(10.0);
        assert!((break_even_gain(60.0, (w, 10.0), (w, 16.0)) - 0.02387).abs() < 5e-6);
        assert!(
            (break_even_gain(60.0, (w, 10.0), (kg_per_hour(14.0), 16.0)) - 0.04933).abs() < 5e-6
        );
    }

    #[test]
    fn parts_a_week() {
        // Common practice, no source: 10 080 minutes at 75 % are 7 560; 301 and 208 minutes a part.
        assert_eq!(parts_per_week(Minutes::from_min(301.0), 0.75), 25);
        assert_eq!(parts_per_week(Minutes::from_min(208.0), 0.75), 36);
        // 6 000 available minutes, cycles of 290 and 210 minutes.
        let uptime = 6000.0 / 10_080.0;
        assert_eq!(parts_per_week(Minutes::from_min(290.0), uptime), 20);
        assert_eq!(parts_per_week(Minutes::from_min(210.0), uptime), 28);
        assert_eq!(parts_per_week(Minutes::from_min(300.0), uptime), 20);
        // The same over a year of 52 such weeks, by whole years: 1075 and 1485.
        let year = 52.0 * uptime;
        assert_eq!(parts_per_week(Minutes::from_min(290.0), year), 1075);
        assert_eq!(parts_per_week(Minutes::from_min(210.0), year), 1485);
    }
}
