//! What all items of an enquiry come to together.

use super::item::Item;
use super::row::Row;
use crate::job::Candidate;
use crate::units::{Length, Mass, Minutes, Money};

/// Wire of one kind and diameter for all lots.
#[derive(Debug, Clone, PartialEq)]
pub struct WireTotal {
    /// Which, run as it is.
    pub candidate: Candidate,
    /// Length.
    pub length: Length,
    /// Mass.
    pub mass: Mass,
    /// Spools, unrounded.
    pub spools: f64,
}

/// Items that one set-up of the machine serves.
#[derive(Debug, Clone, PartialEq)]
pub struct Shared {
    /// Their places among the items.
    pub items: Vec<usize>,
    /// The wire they are cut with.
    pub candidate: Candidate,
    /// The thickness they have.
    pub thickness: Length,
    /// What is saved where the machine is set up once for all of them: every set-up but the dearest.
    pub saved: Money,
}

/// What all items come to; those without figures are left out and counted.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Totals {
    /// Items with figures.
    pub counted: usize,
    /// Items without.
    pub without: usize,
    /// Machine time of all lots.
    pub minutes: Minutes,
    /// Of that, with somebody standing there.
    pub attended: Minutes,
    /// Cost of all lots, each with its own set-up.
    pub cost: Money,
    /// Wire by kind, in the order of the items.
    pub wires: Vec<WireTotal>,
    /// Items that may share a set-up: the same wire, run alike, in the same thickness (common practice, no source).
    pub shared: Vec<Shared>,
}

impl Totals {
    /// Cost of all lots where set-ups are shared as far as they can be.
    pub fn cost_shared(&self) -> Money {
        self.cost - self.shared.iter().map(|s| s.saved).sum::<Money>()
    }
    /// Weeks of one machine, where it cuts a share `uptime` of each.
    pub fn weeks(&self, uptime: f64) -> f64 {
        if uptime > 0.0 {
            self.minutes.min_value() / (10_080.0 * uptime)
        } else {
            0.0
        }
    }
}

/// Of items and what each comes to, in the same order; `None` where one is not known or failed.
pub fn totals<'a>(all: impl Iterator<Item = (&'a Item, Option<&'a Row>)>) -> Totals {
    let mut t = Totals::default();
    let mut groups: Vec<(Shared, Money)> = Vec::new();
    for (k, (item, row)) in all.enumerate() {
        let Some((row, best)) = row.and_then(|r| Some((r, r.best.as_ref()?))) else {
            t.without += 1;
            continue;
        };
        let lot = f64::from(row.quantity);
        t.counted += 1;
        t.minutes += best.minutes.median * lot;
        t.attended += best.attended * lot;
        t.cost += best.cost.part.median * lot;
        let known = t.wires.iter().position(|w| w.candidate == best.candidate);
        let place = known.unwrap_or_else(|| {
            t.wires.push(WireTotal {
                candidate: best.candidate.clone(),
                length: Length::ZERO,
                mass: Mass::ZERO,
                spools: 0.0,
            });
            t.wires.len() - 1
        });
        let wire = &mut t.wires[place];
        wire.length += best.wire * lot;
        wire.mass += best.wire_mass * lot;
        wire.spools += best.spools;
        let setup = best.cost.setup * (lot * (1.0 + item.job.shop.markup));
        let same = groups
            .iter_mut()
            .find(|(g, _)| g.candidate == best.candidate && g.thickness == item.job.thickness);
        if let Some((group, dearest)) = same {
            group.items.push(k);
            group.saved += setup.min(*dearest);
            *dearest = dearest.max(setup);
        } else {
            let group = Shared {
                items: vec![k],
                candidate: best.candidate.clone(),
                thickness: item.job.thickness,
                saved: Money::ZERO,
            };
            groups.push((group, setup));
        }
    }
    let shared = groups.into_iter().map(|(g, _)| g);
    t.shared = shared.filter(|g| g.items.len() > 1).collect();
    t
}
