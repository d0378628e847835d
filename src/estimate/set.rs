//! Several parts of one drawing in unequal numbers: two of this one, one of that one.
//!
//! Each part is estimated by itself, cut from the same set-up as the others: set-up and programming are shared by all
//! pieces of the lot. What a set takes is the sum over its pieces; nothing is said of moves from one part to the next.

use super::compare;
use crate::job::{Candidate, Job};
use crate::library::Library;
use crate::plan::PathCache;
use crate::profile::{Part, Profile};
use crate::units::{Minutes, Money};

/// One of the parts in a set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OfPart {
    /// Index among the drawing's parts; people count from 1.
    pub part: usize,
    /// Pieces of it in a set, 1 or more.
    pub count: u32,
    /// Time a piece.
    pub minutes: Minutes,
    /// Cost a piece.
    pub cost: Money,
}

/// What a set takes on one wire.
#[derive(Debug, Clone, PartialEq)]
pub struct SetOfParts {
    /// Its parts, in the order of the drawing.
    pub parts: Vec<OfPart>,
    /// Time of all its pieces.
    pub minutes: Minutes,
    /// Cost of all its pieces.
    pub cost: Money,
}

impl SetOfParts {
    /// Pieces in a set.
    pub fn pieces(&self) -> u32 {
        self.parts.iter().map(|p| p.count).sum()
    }
    /// Cost of a set by the number of its pieces.
    pub fn price_a_piece(&self) -> Money {
        self.cost * (1.0 / f64::from(self.pieces().max(1)))
    }
}

/// What a set takes on a wire, as many of each part as the job says; the job's quantity counts sets.
///
/// `None` where the wire cannot cut one of the parts that are wanted, where none is wanted, and where one part is taken
/// alone.
pub fn set_of_parts(
    profile: &Profile,
    parts: &[Part],
    job: &Job,
    library: &Library,
    candidate: &Candidate,
    cache: &PathCache,
) -> Option<SetOfParts> {
    if job.part_taken(profile, parts).is_some() {
        return None;
    }
    let counts: Vec<u32> = parts.iter().map(|p| job.count_of(profile, p)).collect();
    let pieces: u32 = counts.iter().sum();
    if pieces == 0 {
        return None;
    }
    let each = |part: &Part| {
        let mut alone = Job {
            candidates: vec![candidate.clone()],
            baseline: 0,
            quantity: job.quantity.saturating_mul(pieces).min(Job::MOST_PARTS),
            ..job.clone()
        };
        alone.take_part(profile, Some(part));
        let comparison = compare(profile, &alone, library, cache);
        let figures = comparison.estimates.into_iter().next()?.figures?;
        Some((figures.minutes.median, figures.cost.part.median))
    };
    let wanted = parts.iter().zip(&counts).enumerate();
    let parts: Vec<OfPart> = wanted
        .filter(|(_, (_, count))| **count > 0)
        .map(|(k, (part, count))| {
            let (minutes, cost) = each(part)?;
            Some(OfPart {
                part: k,
                count: *count,
                minutes,
                cost,
            })
        })
        .collect::<Option<_>>()?;
    Some(SetOfParts {
        minutes: parts.iter().map(|p| p.minutes * f64::from(p.count)).sum(),
        cost: parts.iter().map(|p| p.cost * f64::from(p.count)).sum(),
        parts,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Drawing, Progress, ReadOptions, read};
    use crate::library::Library;

    /// A ring of 40 mm and, 90 mm away, one of 30 mm.
    fn rings() -> Drawing {
        let circle = |x: f64, r: f64| format!("0\nCIRCLE\n8\n0\n10\n{x}\n20\n0\n40\n{r}\n");
        let all = [(0.0, 20.0), (0.0, 6.0), (90.0, 15.0), (90.0, 6.0)];
        let all = all.map(|(x, r)| circle(x, r)).concat();
        let text = format!("0\nSECTION\n2\nENTITIES\n{all}0\nENDSEC\n0\nEOF\n");
        read(
            text.as_bytes(),
            &ReadOptions::default(),
            &Progress::default(),
        )
        .expect("it reads")
    }

    #[test]
    fn a_set_is_the_sum_of_its_pieces_and_shares_one_set_up() {
        let (drawing, library) = (rings(), Library::built_in());
        let (p, parts) = (&drawing.profile, &drawing.parts);
        let mut job = Job::starting(library);
        assert_eq!(parts.len(), 2);
        assert_eq!(job.set_pieces(p, parts), 2);
        job.set_count(p, &parts[0], 2);
        assert_eq!(
            (job.set_pieces(p, parts), job.count_of(p, &parts[0])),
            (3, 2)
        );
        let wire = job.candidates[0].clone();
        let cache = PathCache::default();
        let of = |job: &Job| set_of_parts(p, parts, job, library, &wire, &cache);
        let set = of(&job).expect("the wire can");
        assert_eq!(set.pieces(), 3);
        // Alone, in a lot of its own: the times are those; three pieces pay one set-up and one programming in all.
        let alone = |part: &Part, quantity: u32| {
            let mut job = job.clone();
            job.quantity = quantity;
            job.candidates.truncate(1);
            job.take_part(p, Some(part));
            let all = compare(p, &job, library, &cache).estimates;
            all.into_iter()
                .next()
                .and_then(|e| e.figures)
                .expect("the wire can")
        };
        let (a, b) = (alone(&parts[0], 1), alone(&parts[1], 1));
        let minutes = a.minutes.median * 2.0 + b.minutes.median;
        assert!((set.minutes - minutes).min_value().abs() < 1e-9);
        let once = a.cost.setup + a.cost.programming;
        let cost = a.cost.part.median * 2.0 + b.cost.part.median - once * 2.0;
        // The allowances are those of lots of another size.
        assert!((set.cost - cost).amount().abs() < 0.06 * cost.amount());
        assert!((set.price_a_piece() * 3.0 - set.cost).amount().abs() < 1e-9);
        // None of the second.
        job.set_count(p, &parts[1], 0);
        let set = of(&job).expect("the wire can");
        assert_eq!(set.parts.len(), 1);
        job.set_count(p, &parts[0], 0);
        assert_eq!(of(&job), None);
        // Back to one each, nothing is remembered.
        parts.iter().for_each(|part| job.set_count(p, part, 1));
        assert_eq!(job, Job::starting(library));
    }
}
