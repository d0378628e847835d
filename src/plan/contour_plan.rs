//! Under which conditions each contour is cut, and with which passes.

use super::paths::{PathWanted, ShapeId};
use crate::geometry::Contour;
use crate::geometry::offset::Side;
use crate::job::{Job, chain_key, contour_key};
use crate::library::{Flushing, Library};
use crate::process::cutting_rate::{RoughConditions, leaning_length};
use crate::process::passes::{Pass, passes_leaning};
use crate::profile::Profile;
use crate::units::Length;

/// Conditions and passes that one or more contours share.
#[derive(Debug, Clone, PartialEq)]
pub struct ContourPlan {
    /// Thickness of the work.
    pub thickness: Length,
    /// Flushing.
    pub flushing: Flushing,
    /// How far the wire leans, degrees.
    pub taper_degrees: f64,
    /// The rough first; feeds with the taper in them.
    pub passes: Vec<Pass>,
}

impl ContourPlan {
    /// A plan of `count` passes; `base` gives material, wire and diameter.
    fn new(
        count: usize,
        thickness: Length,
        flushing: Flushing,
        taper_degrees: f64,
        base: &RoughConditions<'_>,
        library: &Library,
    ) -> Self {
        let mut plan = Self {
            thickness,
            flushing,
            taper_degrees,
            passes: Vec::new(),
        };
        plan.passes = passes_leaning(count, taper_degrees, &plan.conditions(base), library);
        plan
    }

    /// The conditions of its rough before the taper's own factor: the wire in the work is H/cos θ long.
    pub fn conditions<'a>(&self, base: &RoughConditions<'a>) -> RoughConditions<'a> {
        RoughConditions {
            thickness: leaning_length(self.thickness, self.taper_degrees),
            flushing: self.flushing,
            ..*base
        }
    }

    /// How far the lower edge lies inside the upper one when the wire leans: H·tan θ (computed); negative
    /// where it lies outside. The drawn contour is the upper edge.
    pub fn lean(&self) -> Length {
        self.thickness * self.taper_degrees.to_radians().tan()
    }

    /// The parallel of a contour that is the lower edge, as wanted from the paths' cache; `None` without taper.
    pub fn lower_edge<'a>(&self, shape: ShapeId, contour: &'a Contour) -> Option<PathWanted<'a>> {
        let lean = self.lean();
        (lean != Length::ZERO).then(|| inside_by(shape, contour, lean))
    }
}

/// The parallel of a contour inside it by a length, outside where that is negative.
pub fn inside_by(shape: ShapeId, contour: &Contour, by: Length) -> PathWanted<'_> {
    PathWanted {
        shape,
        contour,
        side: if by < Length::ZERO {
            Side::Outside
        } else {
            Side::Inside
        },
        offset: Length::from_mm(by.mm().abs()),
    }
}

/// The plans of a job and who has which.
#[derive(Debug, Clone, PartialEq)]
pub struct Plans {
    /// The job's own first, then others in the order of their first contour.
    pub all: Vec<ContourPlan>,
    /// Index into `all` by contour.
    pub of_contour: Vec<usize>,
    /// Index into `all` by open chain.
    pub of_chain: Vec<usize>,
}

impl Plans {
    /// Of every contour; `base` are the job's own conditions.
    pub fn of(profile: &Profile, job: &Job, base: &RoughConditions<'_>, library: &Library) -> Self {
        type Wanted = (usize, Length, Flushing, f64);
        let own: Wanted = (job.passes, job.thickness, job.flushing, 0.0);
        let mut wanted: Vec<Wanted> = vec![own];
        let mut place = |key: usize, passes: Option<usize>| {
            let c = job.choice(key);
            let w: Wanted = (
                passes
                    .or(c.passes)
                    .unwrap_or(job.passes)
                    .clamp(1, job.passes.max(1)),
                c.thickness.unwrap_or(job.thickness),
                c.flushing.unwrap_or(job.flushing),
                c.taper_degrees,
            );
            wanted.iter().position(|x| *x == w).unwrap_or_else(|| {
                wanted.push(w);
                wanted.len() - 1
            })
        };
        let of_contour = profile
            .contours()
            .iter()
            .map(|c| place(contour_key(c), None))
            .collect();
        // Nothing is left to skim on a line that is cut on itself; what is not cut needs no plan.
        let of_chain = profile
            .open()
            .iter()
            .map(|c| {
                if job.cuts_on_line(c) {
                    place(chain_key(c), Some(1))
                } else {
                    0
                }
            })
            .collect();
        Self {
            all: wanted
                .into_iter()
                .map(|(n, h, f, t)| ContourPlan::new(n, h, f, t, base, library))
                .collect(),
            of_contour,
            of_chain,
        }
    }

    /// The plan of a contour.
    pub fn contour(&self, contour: usize) -> &ContourPlan {
        &self.all[self.of_contour.get(contour).copied().unwrap_or(0)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_taper_of_15_degrees_in_a_50_mm_plate() {
        // H_eff 51.7638 mm; 2.8883 × 0.82 = 2.3684 mm/min, from an independent script.
        let l = Library::built_in();
        let base = RoughConditions::new(
            &l.materials[0],
            &l.wires[0],
            Length::from_mm(0.25),
            Length::from_mm(50.0),
            Flushing::Close,
        );
        let plan = ContourPlan::new(4, base.thickness, base.flushing, 15.0, &base, l);
        assert!((plan.conditions(&base).thickness.mm() - 51.7638).abs() < 5e-5);
        assert!((plan.passes[0].feed.mm_per_min() - 2.3684).abs() < 5e-5);
        // In 20 mm the skims would be faster than their ceiling, leaning too: 12 mm/min holds last of all.
        let thin = ContourPlan::new(4, Length::from_mm(20.0), base.flushing, 15.0, &base, l);
        assert!((thin.passes[1].feed.mm_per_min() - 12.0).abs() < 1e-12);
        assert!((plan.lean().mm() - 50.0 * 15.0_f64.to_radians().tan()).abs() < 1e-12);
    }
}
