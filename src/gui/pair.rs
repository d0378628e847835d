//! Two open drawings held against each other.

use super::laid::{Laid, LaidWanted};
use super::open_file::OpenFile;
use crate::drawing::Progress;
use crate::estimate::{Figures, PricedRevision, Variants, priced, variants};
use crate::job::Candidate;
use crate::library::Library;
use crate::units::Length;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// One of the two.
#[derive(Debug, Clone, PartialEq)]
pub struct OneOfTwo {
    /// Names the drawing while the program runs.
    pub id: u64,
    /// As shown.
    pub name: String,
    /// The wire.
    pub candidate: Candidate,
    /// Length of its outlines and openings.
    pub cut_length: Length,
    /// Contours.
    pub contours: usize,
    /// Sharp corners.
    pub corners: usize,
    /// Pieces of waste.
    pub slugs: usize,
    /// What was estimated.
    pub figures: Figures,
}

/// The drawing in front against another one.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    /// Estimates that it was built from.
    pub key: PairKey,
    /// The drawing in front and the other one; `None` where either has no figures.
    pub both: Option<(OneOfTwo, OneOfTwo)>,
    /// From the other one to the one in front.
    pub variants: Option<Variants>,
    /// One laid over the other, once that is found.
    pub laid: Option<Arc<Laid>>,
    /// What each change costs with the wire shown.
    pub prices: Option<PricedRevision>,
}

/// Drawing, estimate and candidate, of the one in front and of the other.
pub type PairKey = [(u64, u64, usize); 2];

/// Two drawings that are laid over each other: which, how far that is, and what came of it.
#[derive(Default)]
pub struct Laying {
    /// What was asked for last.
    pub wanted: Option<LaidWanted>,
    /// Since when.
    pub since: Option<Instant>,
    /// The answer to it.
    pub found: Option<Arc<Laid>>,
}

impl Laying {
    /// Laid within this time, it needs no bar.
    const NOTICEABLE: Duration = Duration::from_secs(1);
    /// How often one looks how far it is.
    pub const LOOK: Duration = Duration::from_millis(150);

    /// How far it is, while it is not done.
    pub fn progress(&self) -> Option<&Progress> {
        let progress = &self.wanted.as_ref()?.progress;
        self.found.is_none().then_some(progress)
    }
    /// Whether it takes so long that one wants to see how far it is.
    pub fn takes_long(&self) -> bool {
        let long = |since: Instant| since.elapsed() >= Self::NOTICEABLE;
        self.since.is_some_and(long) && self.progress().is_some_and(|p| !p.is_cancelled())
    }
    /// Whether somebody stopped it.
    pub fn was_stopped(&self) -> bool {
        self.progress().is_some_and(Progress::is_cancelled)
    }
    /// Stops it, if it goes on.
    pub fn stop(&self) {
        if let Some(progress) = self.progress() {
            progress.cancel();
        }
    }
}

impl Pair {
    /// Which estimates two drawings stand for: the wire shown in front, and the same one in the other drawing; where
    /// that does not have it, the wire shown there.
    pub fn key(front: &OpenFile, other: &OpenFile) -> PairKey {
        let wire = front.job.candidates.get(front.shown);
        let same = |c: &Candidate| wire == Some(c);
        let there = other.job.candidates.iter().position(same);
        [
            (front.id, front.awaited, front.shown),
            (other.id, other.awaited, there.unwrap_or(other.shown)),
        ]
    }
    /// Computed once for a key.
    pub fn new(
        key: PairKey,
        front: &OpenFile,
        other: &OpenFile,
        laid: Option<Arc<Laid>>,
        library: &Library,
    ) -> Self {
        let both = one(front, key[0].2).zip(one(other, key[1].2));
        let variants = both.as_ref().map(|(a, b)| {
            variants(
                (&other.job, &b.candidate, &b.figures),
                (&front.job, &a.candidate, &a.figures),
                library,
            )
        });
        let prices = laid.as_ref().zip(both.as_ref());
        let prices = prices.map(|(l, (a, b))| priced(&l.revision, &b.figures, &a.figures));
        Self {
            key,
            both,
            variants,
            laid,
            prices,
        }
    }
    /// Whether it is what these estimates and this way of laying them come to.
    pub fn is_of(&self, key: PairKey, laid: Option<&Arc<Laid>>) -> bool {
        let same = match (&self.laid, laid) {
            (Some(a), Some(b)) => Arc::ptr_eq(a, b),
            (None, None) => true,
            _ => false,
        };
        self.key == key && same
    }
}

fn one(file: &OpenFile, wire: usize) -> Option<OneOfTwo> {
    let answer = file.answer.as_ref()?;
    let e = answer.comparison.estimates.get(wire)?;
    let totals = &answer.measures.totals;
    Some(OneOfTwo {
        id: file.id,
        name: file.name.clone(),
        candidate: e.candidate.clone(),
        cut_length: totals.cut_length,
        contours: totals.outlines + totals.openings,
        corners: totals.corners,
        slugs: totals.slugs,
        figures: e.figures.clone()?,
    })
}
