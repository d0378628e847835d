//! What matters most: each thing that is not known exactly, moved from one end of its range to the other.

use super::compare;
use super::range::overhead_log_sd;
use crate::job::{Candidate, Job};
use crate::language::said;
use crate::library::Factor;
use crate::library::{Knowledge, Library};
use crate::plan::PathCache;
use crate::profile::Profile;
use crate::standing::Value;
use crate::units::{Minutes, Money};

/// One input over its range of about 68 %, all others as they are.
#[derive(Debug, Clone, PartialEq)]
pub struct Mattering {
    /// What, in words.
    pub name: String,
    /// Its range, low and high, in `unit`.
    pub input: (f64, f64),
    /// Unit as printed; empty for a ratio.
    pub unit: String,
    /// Time a part at the low and at the high end of the input.
    pub minutes: (Minutes, Minutes),
    /// Cost a part at both ends.
    pub cost: (Money, Money),
}

impl Mattering {
    /// Minutes between both ends.
    pub fn minutes_swing(&self) -> Minutes {
        Minutes::from_min((self.minutes.1 - self.minutes.0).min_value().abs())
    }
    /// Cost between both ends.
    pub fn cost_swing(&self) -> Money {
        Money::from_amount((self.cost.1 - self.cost.0).amount().abs())
    }
}

/// Everything that moves time or cost of one candidate, what moves the cost most first.
///
/// Empty where the candidate cannot do the job. Sort by [`Mattering::minutes_swing`] for a chart of the time.
pub fn what_matters(
    profile: &Profile,
    job: &Job,
    library: &Library,
    candidate: &Candidate,
    cache: &PathCache,
) -> Vec<Mattering> {
    let library = &*job.library_on_machine(library);
    let mut job = job.clone();
    job.candidates = vec![candidate.clone()];
    job.baseline = 0;
    let asked = Weighing {
        profile,
        job: &job,
        library,
        cache,
    };
    let mut out = asked.factors(candidate);
    out.extend(asked.overheads());
    out.extend(asked.rates());
    out.retain(|m| m.minutes_swing().min_value() > 0.0 || m.cost_swing().amount() > 0.0);
    out.sort_by(|a, b| {
        let key = |m: &Mattering| (m.cost_swing().amount(), m.minutes_swing().min_value());
        let (a, b) = (key(a), key(b));
        b.0.total_cmp(&a.0).then(b.1.total_cmp(&a.1))
    });
    out
}

/// Where a value lies two times in three around `now`. Low and high of an overhead, a rate or a price hold about 95 %,
/// those of a factor 68 %: told side by side they have to mean the same.
fn two_in_three(value: &Value, now: f64) -> Option<(f64, f64)> {
    value.low.zip(value.high)?;
    let sd = overhead_log_sd(value);
    (now > 0.0).then(|| (now * (-sd).exp(), now * sd.exp()))
}

struct Weighing<'a> {
    profile: &'a Profile,
    job: &'a Job,
    library: &'a Library,
    cache: &'a PathCache,
}

impl Weighing<'_> {
    fn figures(&self, job: &Job, library: &Library) -> Option<(Minutes, Money)> {
        let comparison = compare(self.profile, job, library, self.cache);
        let f = comparison.estimates.into_iter().next()?.figures?;
        Some((f.minutes.median, f.cost.part.median))
    }
    fn between(
        &self,
        name: String,
        input: (f64, f64),
        unit: &str,
        with: impl Fn(f64) -> (Job, Library),
    ) -> Option<Mattering> {
        let at = |x: f64| {
            let (job, library) = with(x);
            self.figures(&job, &library)
        };
        let (low, high) = (at(input.0)?, at(input.1)?);
        Some(Mattering {
            name,
            input,
            unit: unit.to_owned(),
            minutes: (low.0, high.0),
            cost: (low.1, high.1),
        })
    }
    /// Machine, material, wire, … as multipliers of the speed (of the run-off for that).
    fn factors(&self, candidate: &Candidate) -> Vec<Mattering> {
        let Some(conditions) = super::one_wire::conditions(self.job, candidate, self.library)
        else {
            return Vec::new();
        };
        let mut all = conditions.acting();
        if self.job.passes > 1 {
            all.push((Factor::Skims, 1.0));
        }
        all.push((Factor::RunOff, 1.0));
        let known = self.library.learned.clone().unwrap_or_default();
        all.into_iter()
            .filter_map(|(factor, x)| {
                let sd = known
                    .log_sd(&factor)
                    .unwrap_or_else(|| self.library.prior_log_sd(&factor));
                let (mean, reach) = (x * known.log_mean(&factor), (x * sd).abs());
                let input = ((mean - reach).exp(), (mean + reach).exp());
                self.between(factor.words(), input, "", |multiplier| {
                    let by = multiplier.ln() / x - known.log_mean(&factor);
                    let library = Library {
                        learned: Some(Knowledge::moved(
                            &known,
                            &factor,
                            by,
                            self.library.prior_log_sd(&factor),
                        )),
                        ..self.library.clone()
                    };
                    (self.job.clone(), library)
                })
            })
            .collect()
    }
    fn overheads(&self) -> Vec<Mattering> {
        const MOVING: [(&str, &str); 13] = [
            ("automatic_threading", key!("threading")),
            ("manual_threading", key!("threading by hand")),
            ("slug_removal", key!("taking a piece out")),
            ("loading", key!("loading and aligning")),
            ("dressing", key!("dressing by hand")),
            ("rapid", key!("rapid move")),
            ("breaks_in_rough", key!("wire breaks")),
            (
                "rethreading_after_break",
                key!("re-threading after a break"),
            ),
            ("lead_in_feed", key!("feed in the lead-in")),
            ("overlap", key!("overlap")),
            ("threading_waste", key!("wire wasted at a threading")),
            ("hole_setup", key!("start hole set-up")),
            ("hole_drilling", key!("start hole drilling")),
        ];
        MOVING
            .into_iter()
            .filter_map(|(key, words)| {
                let value = self.library.overheads.get(key)?;
                let input = two_in_three(&value, value.value)?;
                self.between(said(words).to_owned(), input, &value.unit, |x| {
                    let mut library = self.library.clone();
                    let moved = Value {
                        value: x,
                        ..value.clone()
                    };
                    // The key is that of a field: its value was found above.
                    let _ = library.overheads.set(key, moved);
                    (self.job.clone(), library)
                })
            })
            .collect()
    }
    /// Rates and prices: the library's relative range around what the job says.
    fn rates(&self) -> Vec<Mattering> {
        type Change = fn(&mut Job, f64);
        let (o, s) = (&self.library.overheads, &self.job.shop);
        // A machine's own rate is given for that machine, and is no doubt of the shop's.
        let own_rate = self
            .job
            .machine_in(self.library)
            .is_some_and(|m| m.rate.is_some());
        let all: [(&str, f64, &Value, Change); 8] = [
            (
                say!("machine rate"),
                s.machine_rate.amount(),
                &o.machine_rate,
                |j, x| {
                    j.shop.machine_rate = Money::from_amount(x);
                },
            ),
            (
                say!("labour rate"),
                s.labour_rate.amount(),
                &o.labour_rate,
                |j, x| {
                    j.shop.labour_rate = Money::from_amount(x);
                },
            ),
            (
                say!("wire price"),
                s.wire_price.amount(),
                &o.wire_price,
                |j, x| {
                    j.shop.wire_price = Money::from_amount(x);
                },
            ),
            (
                say!("scrap value"),
                s.scrap_value.amount(),
                &o.scrap_value,
                |j, x| {
                    j.shop.scrap_value = Money::from_amount(x);
                },
            ),
            (
                say!("filters, resin, contacts, guides"),
                s.consumables.amount(),
                &o.consumables,
                |j, x| {
                    j.shop.consumables = Money::from_amount(x);
                },
            ),
            (say!("set-up per lot"), s.setup_hours, &o.setup, |j, x| {
                j.shop.setup_hours = x;
            }),
            (
                say!("programming per lot"),
                s.programming_hours,
                &o.programming,
                |j, x| {
                    j.shop.programming_hours = x;
                },
            ),
            (
                say!("inspection of a part"),
                s.inspection_minutes,
                &o.inspection,
                |j, x| {
                    j.shop.inspection_minutes = x;
                },
            ),
        ];
        all.into_iter()
            .skip(usize::from(own_rate))
            .filter_map(|(name, now, value, change)| {
                let input = two_in_three(value, now)?;
                self.between(name.to_owned(), input, &value.unit, |x| {
                    let mut job = self.job.clone();
                    change(&mut job, x);
                    (job, self.library.clone())
                })
            })
            .collect()
    }
}
