//! Two open drawings held against each other.

use super::open_file::OpenFile;
use crate::estimate::{Figures, Variants, variants};
use crate::job::Candidate;
use crate::library::Library;
use crate::units::Length;

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
}

/// Drawing, estimate and candidate, of the one in front and of the other.
pub type PairKey = [(u64, u64, usize); 2];

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
    pub fn new(key: PairKey, front: &OpenFile, other: &OpenFile, library: &Library) -> Self {
        let both = one(front, key[0].2).zip(one(other, key[1].2));
        let variants = both.as_ref().map(|(a, b)| {
            variants(
                (&other.job, &b.candidate, &b.figures),
                (&front.job, &a.candidate, &a.figures),
                library,
            )
        });
        Self {
            key,
            both,
            variants,
        }
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
