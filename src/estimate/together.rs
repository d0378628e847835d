//! Several parts together: stacked plates, a nest in rows, and the blank that each takes.

use super::Figures;
use super::compare::compare;
use crate::geometry::smallest_rectangle::{Rectangle, smallest_rectangle};
use crate::job::{Candidate, Job, cut_contours};
use crate::library::Library;
use crate::plan::PathCache;
use crate::profile::Profile;
use crate::units::{Area, Length, Mass, Minutes, Money, prism_mass};
use serde::{Deserialize, Serialize};

/// How several pieces are to be cut together.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Arrangement {
    /// Pieces in a plate; `None` for the whole lot.
    pub in_a_plate: Option<u32>,
    /// Between the pieces in a plate and around them.
    pub spacing: Length,
    /// Highest stack of plates; below two plates they are cut one by one.
    pub highest: Length,
}

impl Default for Arrangement {
    fn default() -> Self {
        Self {
            in_a_plate: None,
            spacing: Length::from_mm(5.0),
            highest: Length::ZERO,
        }
    }
}

/// Plates on top of each other, cut at once.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stack {
    /// Plates in a stack.
    pub plates: u32,
    /// Thickness of the stack.
    pub height: Length,
    /// Stacks for the lot; the last one may be lower, and is counted as a whole one.
    pub stacks: u32,
    /// Machine time a piece.
    pub minutes: Minutes,
    /// Cost a piece.
    pub each: Money,
}

/// Every stack up to a height and up to the lot, one plate first; those that the wire cannot cut are left out.
///
/// The stack is cut as one work of its whole thickness: the feed follows from that, tabs and slugs are those of the
/// whole stack. Set-up is once a lot, loading once a stack.
pub fn stacks(
    profile: &Profile,
    job: &Job,
    library: &Library,
    candidate: &Candidate,
    highest: Length,
    cache: &PathCache,
) -> Vec<Stack> {
    let most = (highest.mm() / job.thickness.mm() + 1e-9).floor();
    let most = most.clamp(1.0, f64::from(job.quantity)) as u32;
    let one = |plates: u32| {
        let stacks = job.quantity.div_ceil(plates);
        let height = job.thickness * f64::from(plates);
        let stacked = Job {
            thickness: height,
            quantity: stacks,
            candidates: vec![candidate.clone()],
            baseline: 0,
            ..job.clone()
        };
        let comparison = compare(profile, &stacked, library, cache);
        let figures: &Figures = comparison.estimates.first()?.figures.as_ref()?;
        let share = f64::from(stacks) / f64::from(job.quantity);
        Some(Stack {
            plates,
            height,
            stacks,
            minutes: figures.minutes.median * share,
            each: figures.cost.part.median * share,
        })
    };
    (1..=most).filter_map(one).collect()
}

/// A blank for several pieces in rows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nest {
    /// The smallest rectangle around one piece.
    pub piece: Rectangle,
    /// Pieces along the longer and the shorter side of the piece.
    pub rows: (u32, u32),
    /// Sides of the plate, spacing all round.
    pub sides: (Length, Length),
    /// Its mass.
    pub mass: Mass,
    /// Its mass a piece.
    pub mass_each: Mass,
}

/// The plate for `count` pieces in equal rows with a spacing between and around them: of all rows the plate of the
/// least area, of equal ones the one nearest to a square. `None` where nothing is cut or the material is unknown.
///
/// Each piece takes its smallest rectangle; pieces that would nestle into each other are not tried.
pub fn nest(
    profile: &Profile,
    job: &Job,
    library: &Library,
    count: u32,
    spacing: Length,
) -> Option<Nest> {
    let density = library.material(&job.material)?.density();
    let piece = smallest_rectangle(cut_contours(job, profile).map(|(_, c)| &c.shape))?;
    let count = count.max(1);
    let gap = spacing.mm();
    let side = |size: f64, n: u32| f64::from(n) * (size + gap) + gap;
    let of = |across: u32| {
        let up = count.div_ceil(across);
        (
            across,
            up,
            side(piece.length, across),
            side(piece.width, up),
        )
    };
    // Rows beyond the root of the count are the same as the other way round, but for the sides.
    let tried = (1..=count.min(1000)).map(of);
    let best = tried.min_by(|a, b| {
        let area = (a.2 * a.3).total_cmp(&(b.2 * b.3));
        let longest = a.2.max(a.3).total_cmp(&b.2.max(b.3));
        area.then(longest)
    })?;
    let area = Area::from_mm2(best.2 * best.3);
    let mass = prism_mass(area, job.thickness, density);
    Some(Nest {
        piece,
        rows: (best.0, best.1),
        sides: (Length::from_mm(best.2), Length::from_mm(best.3)),
        mass,
        mass_each: Mass::from_kg(mass.kg() / f64::from(count)),
    })
}
