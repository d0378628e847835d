//! What each change between two drawings of a part costs or saves, with one wire.

use super::Figures;
use super::at_stake::share_of_cost;
use crate::plan::Step;
use crate::profile::Revision;
use crate::units::{Minutes, Money};
use std::ops::{Add, Sub};

/// Time and money of a part; less than 0 is saved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChangePrice {
    /// Machine time.
    pub minutes: Minutes,
    /// Cost, the freed machine hours sold.
    pub cost: Money,
}

impl ChangePrice {
    const NOTHING: Self = Self {
        minutes: Minutes::ZERO,
        cost: Money::ZERO,
    };
}

impl Add for ChangePrice {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        Self {
            minutes: self.minutes + o.minutes,
            cost: self.cost + o.cost,
        }
    }
}

impl Sub for ChangePrice {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        Self {
            minutes: self.minutes - o.minutes,
            cost: self.cost - o.cost,
        }
    }
}

/// A revision with what it costs.
#[derive(Debug, Clone, PartialEq)]
pub struct PricedRevision {
    /// Of each contour of the revision, in its order: what its own steps take after less what they took before, with
    /// their share of the cost as [`super::at_stake()`] has it. Contours that are the same have none of it.
    pub each: Vec<ChangePrice>,
    /// What is left: contours that are the same but begun elsewhere or cut otherwise, expected wire breaks, set-up, and
    /// all that the job has otherwise.
    pub elsewhere: ChangePrice,
    /// After less before; the parts sum to it.
    pub whole: ChangePrice,
}

/// The changes of a revision with their price, from the figures before to those after.
pub fn priced(revision: &Revision, before: &Figures, after: &Figures) -> PricedRevision {
    let of = |f: &Figures| ChangePrice {
        minutes: f.minutes.median,
        cost: f.cost.part.median,
    };
    let whole = of(after) - of(before);
    let mut each = vec![ChangePrice::NOTHING; revision.contours.len()];
    for (k, c) in revision.differing() {
        let own = |f: &Figures, i: usize| own(f, i, c.open);
        let then = c.after.map_or(ChangePrice::NOTHING, |i| own(after, i));
        let was = c.before.map_or(ChangePrice::NOTHING, |i| own(before, i));
        each[k] = then - was;
    }
    let told = each.iter().fold(ChangePrice::NOTHING, |sum, w| sum + *w);
    PricedRevision {
        each,
        elsewhere: whole - told,
        whole,
    }
}

/// What the steps of one contour, or of one open curve that is cut on its line, take, and their share of the cost.
fn own(f: &Figures, number: usize, open: bool) -> ChangePrice {
    let is_own = |s: &Step| {
        let of = if open { s.open } else { s.contour };
        of == Some(number)
    };
    let steps = f.steps.iter().filter(|s| is_own(s));
    ChangePrice {
        minutes: steps.map(|s| s.minutes).sum(),
        cost: share_of_cost(f, &is_own, &|k| !open && k == number),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::compare;
    use crate::geometry::{Contour, Motion, Point, Segment};
    use crate::job::{Edit, Job, Variant};
    use crate::library::Library;
    use crate::plan::PathCache;
    use crate::profile::{OpenChain, Profile, RevisedKind};
    use crate::progress::Progress;
    use crate::units::Length;

    fn plate(holes: &[f64]) -> Profile {
        let outline = Contour::polygon(&[(0.0, 0.0), (80.0, 0.0), (80.0, 30.0), (0.0, 30.0)]);
        let hole =
            |(k, r): (usize, &f64)| Contour::circle(Point::new(12.0 + 22.0 * k as f64, 15.0), *r);
        Profile::of_shapes(std::iter::once(outline).chain(holes.iter().enumerate().map(hole)))
    }

    fn figures(p: &Profile, job: &Job) -> Vec<Figures> {
        let all = compare(p, job, Library::built_in(), &PathCache::default()).estimates;
        let all = all.into_iter().filter_map(|e| e.figures);
        all.collect()
    }

    fn all(p: &Profile) -> Vec<bool> {
        vec![true; p.contours().len()]
    }

    #[test]
    fn the_parts_sum_to_the_whole_for_every_wire() {
        let job = Job::starting(Library::built_in());
        let (before, after) = (plate(&[5.0, 6.0]), plate(&[5.0, 7.0, 4.0]));
        let r = Revision::laid(
            (&before, &all(&before)),
            (&after, &all(&after)),
            Motion::NONE,
            &Progress::default(),
        );
        let r = r.expect("nobody stops it");
        let words: Vec<_> = r.contours.iter().map(|c| c.kind.word()).collect();
        assert_eq!(words, ["same", "same", "changed", "added"]);
        let (a, b) = (figures(&before, &job), figures(&after, &job));
        assert_eq!((a.len(), b.len()), (6, 6));
        for (a, b) in a.iter().zip(&b) {
            let p = priced(&r, a, b);
            let sum = p.each.iter().fold(p.elsewhere, |s, w| s + *w);
            assert!((sum.minutes - p.whole.minutes).min_value().abs() < 1e-9);
            assert!((sum.cost - p.whole.cost).amount().abs() < 1e-9);
            assert!((p.whole.minutes - (b.minutes.median - a.minutes.median)).min_value() == 0.0);
            assert_eq!(p.each[0], ChangePrice::NOTHING);
            assert!(p.each[2].minutes.min_value() > 0.0 && p.each[3].cost.amount() > 0.0);
        }
    }

    #[test]
    fn an_opening_that_is_gone_saves_its_own_steps() {
        let job = Job::starting(Library::built_in());
        let (before, after) = (plate(&[5.0, 6.0]), plate(&[5.0]));
        let r = Revision::laid(
            (&before, &all(&before)),
            (&after, &all(&after)),
            Motion::NONE,
            &Progress::default(),
        );
        let r = r.expect("nobody stops it");
        assert_eq!(r.contours[2].kind, RevisedKind::Removed);
        let (a, b) = (figures(&before, &job), figures(&after, &job));
        let p = priced(&r, &a[0], &b[0]);
        let own = a[0].steps.iter().filter(|s| s.contour == Some(2));
        let own: Minutes = own.map(|s| s.minutes).sum();
        assert!((p.each[2].minutes + own).min_value().abs() < 1e-9);
        // What else is saved are breaks and ways, far less than a tenth of it.
        assert!(p.elsewhere.minutes.min_value().abs() < 0.1 * own.min_value());
    }

    #[test]
    fn an_open_curve_costs_what_its_own_steps_take_where_it_is_cut_and_else_nothing() {
        let line = OpenChain {
            segments: vec![Segment::new(
                Point::new(12.0, 4.0),
                Point::new(40.0, 4.0),
                0.0,
            )],
            drawn_length: Length::from_mm(28.0),
            layer: String::new(),
            curves: vec![90],
        };
        let before = plate(&[5.0]);
        let after = before.clone().with_open(vec![line]);
        let mut job = Job::starting(Library::built_in());
        let r = Revision::of_the_same((&before, &all(&before)), (&after, &all(&after)));
        assert_eq!(r.contours.len(), 3);
        assert!(r.contours[2].open && r.contours[2].kind == RevisedKind::Added);
        let was = figures(&before, &job);
        let p = priced(&r, &was[0], &figures(&after, &job)[0]);
        assert_eq!(p.each[2], ChangePrice::NOTHING);
        job.choose(90, |c| c.on_line = true);
        let cut = figures(&after, &job);
        let p = priced(&r, &was[0], &cut[0]);
        let own = cut[0].steps.iter().filter(|s| s.open == Some(0));
        let own: Minutes = own.map(|s| s.minutes).sum();
        assert!(own.min_value() > 1.0);
        assert!((p.each[2].minutes - own).min_value().abs() < 1e-9);
    }

    #[test]
    fn with_radii_as_large_as_a_wire_leaves_nothing_is_left_larger_than_drawn() {
        let library = Library::built_in();
        let job = Job::starting(library);
        let square = Contour::polygon(&[(10.0, 8.0), (24.0, 8.0), (24.0, 22.0), (10.0, 22.0)]);
        let outline = plate(&[]).contours()[0].shape.clone();
        let p = Profile::of_shapes([outline, square]);
        let cache = PathCache::default();
        let as_drawn = compare(&p, &job, library, &cache);
        assert!(as_drawn.estimates.iter().all(|e| !e.uncut.is_empty()));
        for wire in &job.candidates {
            let left = crate::estimate::changes::radius_left(&job, wire, library);
            let radius = left.expect("the library has it") * 1.001;
            let variant = Variant::of(Edit::InsideRadii(Length::from_mm(radius.mm())));
            let made = variant.made(&p, &job);
            let mut alone = made.job.clone();
            alone.candidates = vec![wire.clone()];
            let e = compare(&made.profile, &alone, library, &cache);
            assert!(e.estimates[0].uncut.is_empty(), "{wire:?}");
            assert!(!e.estimates[0].leaves_a_radius(), "{wire:?}");
        }
    }
}
