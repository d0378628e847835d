//! Several parts of one drawing in unequal numbers: two of this one, one of that one.
//!
//! A set is one estimate like any other: the steps of each part as often as it is wanted, one loading a piece, one set-up
//! and programming for the lot. So headline, table, night, cost and report speak of the set. Nothing is said of moves from
//! one part to the next.

use super::compare;
use super::cost::Plate;
use crate::job::{Candidate, Job};
use crate::library::{Library, Material};
use crate::plan::PathCache;
use crate::plan::contour_paths::ContourPaths;
use crate::plan::schedule::Schedule;
use crate::profile::{Part, Profile};
use crate::units::{Minutes, Money};
use std::collections::HashMap;

/// Which parts make the set that a job is about, and how many of each.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Members {
    /// The job, with parts of which none is wanted left out.
    pub job: Job,
    members: Vec<(Part, u32)>,
}

/// How often each contour and each open curve is cut in one estimate; once where nothing is said.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Copies {
    contours: HashMap<usize, u32>,
    open: HashMap<usize, u32>,
}

impl Copies {
    /// Of a contour.
    pub fn of_contour(&self, contour: usize) -> u32 {
        self.contours.get(&contour).copied().unwrap_or(1)
    }
    /// Of a contour, or else of an open curve.
    pub fn of(&self, contour: Option<usize>, open: Option<usize>) -> u32 {
        let open = || open.and_then(|o| self.open.get(&o)).copied();
        contour.map_or_else(|| open().unwrap_or(1), |c| self.of_contour(c))
    }
}

impl Members {
    /// `None` where one of each is wanted, or one part alone.
    pub(super) fn of(profile: &Profile, job: &Job) -> Option<Self> {
        if job.counts.is_empty() || !job.part.is_empty() {
            return None;
        }
        let parts = profile.parts();
        if !job.has_counts(profile, &parts) {
            return None;
        }
        let mut own = job.clone();
        let mut members = Vec::new();
        for part in parts {
            match job.count_of(profile, &part) {
                0 => own.left_out.extend(crate::job::part_keys(profile, &part)),
                count => members.push((part, count)),
            }
        }
        Some(Self { job: own, members })
    }
    /// The contours of each part, in the order of the drawing; each is loaded by itself.
    pub(super) fn contours(&self) -> impl Iterator<Item = &[usize]> {
        self.members
            .iter()
            .map(|(part, _)| part.contours.as_slice())
    }
    /// How often each contour is cut.
    pub(super) fn copies(&self) -> Copies {
        let mut all = Copies::default();
        for (part, count) in self.members.iter().filter(|m| m.1 > 1) {
            let contours = part.contours.iter();
            all.contours.extend(contours.map(|c| (*c, *count)));
            all.open.extend(part.open.iter().map(|o| (*o, *count)));
        }
        all
    }
    /// The plates that the pieces are taken from, where their mass is paid.
    pub(super) fn plates(
        &self,
        profile: &Profile,
        job: &Job,
        material: &Material,
    ) -> Vec<(Plate, u32)> {
        let plate = |(part, count): &(Part, u32)| {
            let mut own = job.clone();
            own.take_part(profile, Some(part));
            Some((Plate::of(profile, &own, material)?, *count))
        };
        self.members.iter().filter_map(plate).collect()
    }
    /// The steps of all pieces, part by part, from those of each part; `job` is the set's, under other conditions perhaps.
    pub(super) fn schedule(
        &self,
        profile: &Profile,
        job: &Job,
        paths: &[ContourPaths],
        of_part: impl Fn(&Job, &[ContourPaths]) -> Schedule,
    ) -> Schedule {
        let mut all = Schedule::default();
        for (part, count) in &self.members {
            let mut own = job.clone();
            own.take_part(profile, Some(part));
            let is_own = |p: &&ContourPaths| part.contours.binary_search(&p.contour).is_ok();
            let paths: Vec<ContourPaths> = paths.iter().filter(is_own).cloned().collect();
            let one = of_part(&own, &paths);
            for _ in 0..*count {
                all.loads.push(all.steps.len());
                all.steps.extend(&one.steps);
                all.beside.extend(&one.beside);
            }
            all.starts.extend(one.starts);
        }
        all
    }
}

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
/// Time and cost are those of the estimate. A piece has the share in them that it would have alone, cut from the same
/// set-up. `None` where the wire cannot cut one of the parts that are wanted, where none is wanted, and where one part is
/// taken alone.
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
    let pieces = counts.iter().fold(0_u32, |n, c| n.saturating_add(*c));
    if pieces == 0 {
        return None;
    }
    let figures = |job: &Job| {
        let alone = Job {
            candidates: vec![candidate.clone()],
            baseline: 0,
            ..job.clone()
        };
        let comparison = compare(profile, &alone, library, cache);
        let figures = comparison.estimates.into_iter().next()?.figures?;
        Some((figures.minutes.median, figures.cost.part.median))
    };
    let (minutes, cost) = figures(job)?;
    let wanted = parts.iter().zip(&counts).enumerate();
    let mut parts: Vec<OfPart> = wanted
        .filter(|(_, (_, count))| **count > 0)
        .map(|(k, (part, count))| {
            let mut alone = Job {
                quantity: job.quantity.saturating_mul(pieces).min(Job::MOST_PARTS),
                ..job.clone()
            };
            alone.take_part(profile, Some(part));
            let (minutes, cost) = figures(&alone)?;
            Some(OfPart {
                part: k,
                count: *count,
                minutes,
                cost,
            })
        })
        .collect::<Option<_>>()?;
    // The median of the whole is not the sum of those of its pieces.
    let all = |of: &dyn Fn(&OfPart) -> f64| -> f64 {
        parts.iter().map(|p| of(p) * f64::from(p.count)).sum()
    };
    let share = |whole: f64, parts: f64| if parts > 0.0 { whole / parts } else { 1.0 };
    let of_time = share(minutes.min_value(), all(&|p| p.minutes.min_value()));
    let of_cost = share(cost.amount(), all(&|p| p.cost.amount()));
    for p in &mut parts {
        p.minutes = p.minutes * of_time;
        p.cost = p.cost * of_cost;
    }
    Some(SetOfParts {
        parts,
        minutes,
        cost,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Drawing, Progress, ReadOptions, read};
    use crate::estimate::{Figures, by_the_clock};
    use crate::library::Library;
    use crate::plan::Share;

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
        // What each piece pays for itself.
        job.shop.other = Money::from_amount(3.0);
        job.shop.blank = crate::job::Blank::ByMass {
            price: Money::from_amount(4.0),
            allowance: crate::units::Length::from_mm(5.0),
        };
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
        let whole = compare(p, &job, library, &cache).estimates[0].clone();
        let whole = whole.figures.expect("the wire can");
        let lines = |f: &Figures| {
            let minutes = f.minutes.median - f.share(Share::Allowance);
            let holes = f.start_holes as f64;
            // By hand: three pieces pay one set-up and one programming in all, and are loaded one by one.
            let once = f.cost.setup + f.cost.programming;
            let each = f.cost.loading + f.cost.dressing + f.cost.holes + f.cost.labour;
            let each = each + f.cost.inspection + f.cost.other + f.cost.material;
            let path = f.passes[0].length.mm();
            [
                minutes.min_value(),
                holes,
                once.amount(),
                each.amount(),
                path,
            ]
        };
        let (of_a, of_b, all) = (lines(&a), lines(&b), lines(&whole));
        for k in [0, 1, 3, 4] {
            let by_hand = 2.0 * of_a[k] + of_b[k];
            assert!((all[k] - by_hand).abs() < 1e-9 * by_hand, "{k}: {all:?}");
        }
        assert!((all[2] - of_a[2]).abs() < 1e-9);
        assert_eq!(whole.steps.len(), 2 * a.steps.len() + b.steps.len() - 2);
        assert_eq!(whole.beside.len(), 2 * a.beside.len() + b.beside.len());
        // What is told of the set is the estimate, shared out to its pieces.
        assert_eq!(
            (set.minutes, set.cost),
            (whole.minutes.median, whole.cost.part.median)
        );
        let sum: f64 = set
            .parts
            .iter()
            .map(|p| p.cost.amount() * f64::from(p.count))
            .sum();
        assert!((sum - set.cost.amount()).abs() < 1e-9);
        assert!((set.price_a_piece() * 3.0 - set.cost).amount().abs() < 1e-9);
        // Round the clock a set takes its time and the loading of each piece.
        let mut always = job.clone();
        always.shop.staffed = crate::job::StaffedHours::parse("Mon-Sun 0:00-0:00").expect("hours");
        let clock = by_the_clock(&whole, &wire, &always, library).expect("somebody is there");
        let loading = 3.0 * library.overheads.loading.value;
        let took = clock.done - clock.begun;
        assert!(
            (took - whole.minutes.median.min_value() - loading).abs() < 1e-6,
            "{took}"
        );
        // Each piece is loaded when it comes, not all of them at the beginning: what the machine waits with for them
        // that left is the first slug, at contour 1, and no loading.
        let mut evening = job.clone();
        evening.begin = crate::job::WeekTime::new(4, 15 * 60);
        evening.shop.staffed =
            crate::job::StaffedHours::parse("Mon-Fri 7:00-15:20").expect("hours");
        let clock = by_the_clock(&whole, &wire, &evening, library).expect("somebody is there");
        let alone = clock.alone[0];
        let stopped_at = alone.stops.and_then(|s| s.2);
        assert!(
            stopped_at == Some(1) && alone.runs.min_value() > 1.0,
            "{alone:?}"
        );
        // None of the second.
        job.set_count(p, &parts[1], 0);
        let set = of(&job).expect("the wire can");
        assert_eq!(set.parts.len(), 1);
        job.set_count(p, &parts[0], 0);
        assert_eq!(of(&job), None);
        // Back to one each, nothing is remembered.
        parts.iter().for_each(|part| job.set_count(p, part, 1));
        assert_eq!(job.counts, Job::starting(library).counts);
    }
}
