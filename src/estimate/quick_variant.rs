//! What a quick variant of a job comes to with every wire, held against the drawing as it is.

use super::{Comparison, Difference, PricedRevision, compare, priced};
use crate::job::{Job, JobFault, MadeVariant, Variant};
use crate::library::Library;
use crate::plan::PathCache;
use crate::profile::{Profile, Revision};

/// A variant, made and estimated.
pub struct QuickVariant {
    /// What it has otherwise.
    pub variant: Variant,
    /// Its drawing and job.
    pub made: MadeVariant,
    /// Why it cannot be estimated; nothing is compared then.
    pub fault: Option<JobFault>,
    /// All wires.
    pub comparison: Comparison,
    /// What differs from the drawing as it is.
    pub revision: Revision,
    /// What it does with each wire; `None` where that cannot cut one of both.
    pub wires: Vec<Option<VariantWire>>,
}

/// What a variant does with one wire.
pub struct VariantWire {
    /// Against the drawing as it is.
    pub difference: Difference,
    /// What each change costs.
    pub prices: PricedRevision,
}

impl QuickVariant {
    /// Makes and estimates it; `as_it_is` is what the job comes to without it.
    pub fn of(
        variant: &Variant,
        (profile, job): (&Profile, &Job),
        as_it_is: &Comparison,
        library: &Library,
        cache: &PathCache,
    ) -> Self {
        let made = variant.made(profile, job);
        let fault = made.job.faults(library).into_iter().next();
        let comparison = if fault.is_none() {
            compare(&made.profile, &made.job, library, cache)
        } else {
            Comparison::default()
        };
        let (before, after) = (job.cut_mask(profile), made.cut());
        let revision = Revision::of_the_same((profile, &before), (&made.profile, &after));
        let both = as_it_is.estimates.iter().zip(&comparison.estimates);
        let wires = both.map(|(a, b)| {
            let (a, b) = (a.figures.as_ref()?, b.figures.as_ref()?);
            Some(VariantWire {
                difference: Difference::between(b, a, library),
                prices: priced(&revision, a, b),
            })
        });
        Self {
            wires: wires.collect(),
            variant: variant.clone(),
            made,
            fault,
            comparison,
            revision,
        }
    }
}
