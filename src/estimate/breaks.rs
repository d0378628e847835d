//! What a part costs in lots of several sizes, and what is paid once however many there are.

use super::compare::compare;
use super::cost::Cost;
use super::range::Ranged;
use crate::job::Job;
use crate::library::Library;
use crate::plan::PathCache;
use crate::profile::Profile;
use crate::units::{Minutes, Money};

/// One quantity of a ladder, for one wire.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Break {
    /// Parts in the lot.
    pub quantity: u32,
    /// Cost of a part.
    pub each: Ranged<Money>,
    /// Cost of the lot.
    pub lot: Money,
    /// Machine time of the lot.
    pub minutes: Minutes,
    /// Of the lot, paid once an order: programming.
    pub once_a_lot: Money,
    /// Of the lot, paid each time the machine is set up for it: set-up.
    pub once_a_setup: Money,
    /// Paid with every part: everything else.
    pub once_a_part: Money,
}

impl Break {
    fn of(quantity: u32, cost: &Cost, minutes: Minutes) -> Self {
        let lot = f64::from(quantity);
        let whole = cost.part.median;
        let before_markup = (whole - cost.markup).amount();
        // The mark-up lies on each of them alike.
        let marked = if before_markup == 0.0 {
            1.0
        } else {
            whole.amount() / before_markup
        };
        let once_a_lot = cost.programming * (lot * marked);
        let once_a_setup = cost.setup * (lot * marked);
        Self {
            quantity,
            each: cost.part,
            lot: whole * lot,
            minutes: minutes * lot,
            once_a_lot,
            once_a_setup,
            once_a_part: whole - (cost.programming + cost.setup) * marked,
        }
    }
}

/// The ladder of one candidate: the whole job is estimated at every quantity, with wire paths laid once.
///
/// `None` where the wire cannot do the job. Quantities that no lot may have are left out.
pub fn breaks(
    profile: &Profile,
    job: &Job,
    library: &Library,
    cache: &PathCache,
    candidate: usize,
    quantities: &[u32],
) -> Option<Vec<Break>> {
    let one = job.candidates.get(candidate)?;
    let may = quantities.iter().copied();
    may.filter(|n| (1..=Job::MOST_PARTS).contains(n))
        .map(|quantity| {
            let job = Job {
                quantity,
                candidates: vec![one.clone()],
                baseline: 0,
                ..job.clone()
            };
            let comparison = compare(profile, &job, library, cache);
            let figures = comparison.estimates.first()?.figures.as_ref()?;
            Some(Break::of(quantity, &figures.cost, figures.minutes.median))
        })
        .collect()
}
