//! Time, wire and cost of every candidate while one decision is varied.

use super::{Estimate, Ranged, compare};
use crate::job::{Candidate, Job};
use crate::library::Library;
use crate::plan::PathCache;
use crate::profile::Profile;
use crate::units::{Length, Minutes, Money};

/// What is varied.
#[derive(Debug, Clone, PartialEq)]
pub enum Axis {
    /// Thickness of the work, usually ascending.
    Thickness(Vec<Length>),
    /// Passes, 1 the rough alone.
    Passes(Vec<usize>),
    /// Materials by name.
    Material(Vec<String>),
}

impl Axis {
    /// Thicknesses from one to another in equal ratios, at least two; both ends as given.
    pub fn thicknesses(from: Length, to: Length, count: usize) -> Self {
        let last = count.max(2) - 1;
        let ratio = to / from;
        let at = |k: usize| match k {
            0 => from,
            k if k == last => to,
            k => from * ratio.powf(k as f64 / last as f64),
        };
        Self::Thickness((0..=last).map(at).collect())
    }
    /// Every pass plan of a library.
    pub fn all_passes(library: &Library) -> Self {
        Self::Passes((1..=library.passes.len()).collect())
    }
    /// Every material of a library.
    pub fn all_materials(library: &Library) -> Self {
        Self::Material(library.materials.iter().map(|m| m.name.clone()).collect())
    }
    /// How many points.
    pub fn len(&self) -> usize {
        match self {
            Self::Thickness(v) => v.len(),
            Self::Passes(v) => v.len(),
            Self::Material(v) => v.len(),
        }
    }
    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
    /// The job at a point of the axis; `None` beyond its end.
    pub fn job_at(&self, job: &Job, point: usize) -> Option<Job> {
        let mut job = job.clone();
        match self {
            Self::Thickness(v) => job.thickness = *v.get(point)?,
            Self::Passes(v) => job.passes = *v.get(point)?,
            Self::Material(v) => job.material.clone_from(v.get(point)?),
        }
        Some(job)
    }
}

/// One candidate at one point, a part, each with its 68 % band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SweepFigures {
    /// Time.
    pub minutes: Ranged<Minutes>,
    /// Wire.
    pub wire: Ranged<Length>,
    /// Cost.
    pub cost: Ranged<Money>,
}

/// All candidates at one point; `None` for one that cannot do it there.
#[derive(Debug, Clone, PartialEq)]
pub struct SweepPoint {
    /// In the job's order.
    pub candidates: Vec<Option<SweepFigures>>,
}

/// Curves of all candidates.
#[derive(Debug, Clone, PartialEq)]
pub struct Sweep {
    /// What was varied.
    pub axis: Axis,
    /// Whose curves they are.
    pub candidates: Vec<Candidate>,
    /// One per point of the axis.
    pub points: Vec<SweepPoint>,
}

/// One point; `None` beyond the end of the axis. For a worker that reports as it goes.
pub fn sweep_point(
    profile: &Profile,
    job: &Job,
    library: &Library,
    cache: &PathCache,
    axis: &Axis,
    point: usize,
) -> Option<SweepPoint> {
    let job = axis.job_at(job, point)?;
    let of = |e: &Estimate| {
        e.figures.as_ref().map(|f| SweepFigures {
            minutes: f.minutes,
            wire: f.wire,
            cost: f.cost.part,
        })
    };
    let comparison = compare(profile, &job, library, cache);
    Some(SweepPoint {
        candidates: comparison.estimates.iter().map(of).collect(),
    })
}

/// All points.
///
/// Paths are laid once per pass plan and diameter; thickness and material cost no geometry.
pub fn sweep(
    profile: &Profile,
    job: &Job,
    library: &Library,
    cache: &PathCache,
    axis: Axis,
) -> Sweep {
    let points = (0..axis.len())
        .filter_map(|k| sweep_point(profile, job, library, cache, &axis, k))
        .collect();
    Sweep {
        axis,
        candidates: job.candidates.clone(),
        points,
    }
}
