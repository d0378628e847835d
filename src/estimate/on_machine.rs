//! Whether a job fits on its machine: travel, height, mass, taper, the guides of its wire, and what is on hand for it.

use super::set::Members;
use super::{Obstacle, ObstacleKind};
use crate::geometry::smallest_rectangle::{fits_within, rectangle_around};
use crate::geometry::{Bounds, Point};
use crate::job::{Blank, Candidate, Job, cut_contours};
use crate::library::{Library, Machine};
use crate::plan::Plans;
use crate::plan::contour_paths::ContourPaths;
use crate::plan::start_holes::HoledStart;
use crate::profile::Profile;
use crate::units::{Area, Length, Mass, prism_mass};
use std::collections::HashSet;

/// Arcs of a path are taken as chords within this, mm.
const SAGITTA: f64 = 1e-3;

/// A job as it is laid with one wire.
pub(super) struct OnMachine<'a> {
    pub profile: &'a Profile,
    pub job: &'a Job,
    pub library: &'a Library,
    pub candidate: &'a Candidate,
    pub plans: &'a Plans,
    pub paths: &'a [ContourPaths],
    pub starts: &'a [Option<HoledStart>],
    /// Where its parts are loaded one by one.
    pub set: Option<&'a Members>,
}

impl OnMachine<'_> {
    /// What does not fit; none where the shop has said nothing of machines.
    ///
    /// All of it is told and none of it stops the estimate, but for a wire that the guides do not take.
    pub(super) fn obstacles(&self) -> Vec<Obstacle> {
        let (job, library) = (self.job, self.library);
        let Some(machine) = job.machine_in(library) else {
            return self.unknown().into_iter().collect();
        };
        let name = || machine.name.clone();
        let mut kinds = Vec::new();
        if !machine.takes(self.candidate.diameter) {
            kinds.push(ObstacleKind::DiameterNotTaken {
                takes: machine.guides(),
                machine: name(),
            });
        }
        kinds.extend(self.beyond_travel(machine));
        let plans = self.plans_in_use();
        let thickest = plans.iter().map(|k| self.plans.all[*k].thickness);
        let thickest = thickest.fold(Length::ZERO, Length::max);
        if let Some(most) = machine.highest_work().filter(|most| thickest > *most) {
            kinds.push(ObstacleKind::TooHigh {
                thickness: thickest,
                most,
                machine: name(),
            });
        }
        kinds.extend(self.too_heavy(machine));
        let leans = plans.iter().map(|k| self.plans.all[*k].taper_degrees.abs());
        let degrees = leans.fold(0.0, f64::max);
        if let Some(most) = machine.taper.as_ref().map(|v| v.value)
            && degrees > most
        {
            kinds.push(ObstacleKind::TaperTooSteep {
                degrees,
                most,
                machine: name(),
            });
        }
        let wire = &self.candidate.wire;
        if machine.has_wire(wire, self.candidate.diameter) == Some(false) {
            kinds.push(ObstacleKind::NotOnHand {
                wire: wire.clone(),
                machine: name(),
            });
        }
        if machine.has_spool(&job.shop.spool) == Some(false) {
            kinds.push(ObstacleKind::SpoolNotOnHand {
                spool: job.shop.spool.clone(),
                machine: name(),
            });
        }
        let of_job = |kind| Obstacle::of_job(kind, self.candidate.diameter);
        kinds.into_iter().map(of_job).collect()
    }

    /// A machine by a name that the shop does not have: nothing can be held against it. Without any machine of the shop a
    /// name only chooses the cuts that are learned from.
    fn unknown(&self) -> Option<Obstacle> {
        let name = self.job.machine.as_ref()?;
        let learned = self.library.learned.as_ref();
        if self.library.machines.is_empty() || learned.is_some_and(|k| k.machine == *name) {
            return None;
        }
        let kind = ObstacleKind::UnknownMachine { name: name.clone() };
        Some(Obstacle::of_job(kind, self.candidate.diameter))
    }

    /// The plans by which anything is cut.
    fn plans_in_use(&self) -> Vec<usize> {
        let open = self.profile.open().iter().enumerate();
        let open = open.filter(|(_, c)| self.job.cuts_on_line(c));
        let of_chains = open.map(|(k, _)| self.plans.of_chain[k]);
        self.paths.iter().map(|p| p.plan).chain(of_chains).collect()
    }

    /// What is loaded at once: all that is cut, or in a set each part.
    fn loads(&self) -> Vec<HashSet<usize>> {
        match self.set {
            Some(set) => set
                .contours()
                .map(|c| c.iter().copied().collect())
                .collect(),
            None => vec![self.paths.iter().map(|p| p.contour).collect()],
        }
    }

    /// Where the wire goes to, at the least the corners of it: paths of all passes, start holes, open curves.
    fn reached(&self, load: &HashSet<usize>, exactly: bool) -> Vec<Point> {
        let mut out = Vec::new();
        for p in self.paths.iter().filter(|p| load.contains(&p.contour)) {
            for path in p.passes.iter().flat_map(|p| p.loops.iter()) {
                if exactly {
                    out.extend(path.flattened(SAGITTA));
                } else {
                    let b = path.bounds();
                    out.extend([b.min, b.max]);
                }
            }
            let start = self.starts.get(p.contour).and_then(Option::as_ref);
            out.extend(start.map(|s| s.start.hole));
        }
        if self.set.is_none() {
            let open = self.profile.open().iter();
            for segment in open
                .filter(|c| self.job.cuts_on_line(c))
                .flat_map(|c| &c.segments)
            {
                let b = segment.bounds();
                out.extend([b.min, b.max, segment.a, segment.b]);
            }
        }
        out
    }

    fn beyond_travel(&self, machine: &Machine) -> Option<ObstacleKind> {
        let travel = machine.travel();
        if travel == [None, None] {
            return None;
        }
        let [x, y] = travel.map(|t| t.map_or(f64::INFINITY, Length::mm));
        let beyond = |load: &HashSet<usize>| {
            // Most jobs fit as they lie; the turned box is looked for where they do not.
            let mut upright = Bounds::EMPTY;
            let corners = self.reached(load, false);
            corners.iter().for_each(|p| upright.include(*p));
            let size = upright.size();
            let lies = |a: f64, b: f64| a <= x && b <= y;
            if corners.is_empty() || lies(size.x, size.y) || lies(size.y, size.x) {
                return None;
            }
            let points = self.reached(load, true);
            if fits_within(&points, x, y) {
                return None;
            }
            let around = rectangle_around(points);
            let sides = around.map_or((size.x.max(size.y), size.x.min(size.y)), |r| {
                (r.length, r.width)
            });
            Some((Length::from_mm(sides.0), Length::from_mm(sides.1)))
        };
        let needs = self
            .loads()
            .iter()
            .filter_map(beyond)
            .reduce(|a, b| if b.0 > a.0 { b } else { a })?;
        Some(ObstacleKind::BeyondTravel {
            needs,
            travel,
            machine: machine.name.clone(),
        })
    }

    /// The plate around what is cut with the shop's allowance, at the least what is cut itself.
    fn too_heavy(&self, machine: &Machine) -> Option<ObstacleKind> {
        let most = machine.heaviest_work()?;
        let material = self.library.material(&self.job.material)?;
        let around = match self.job.shop.blank {
            Blank::ByMass { allowance, .. } => allowance,
            Blank::NotCounted | Blank::Price(_) => Length::ZERO,
        };
        let mass = |load: &HashSet<usize>| {
            let mut bounds = Bounds::EMPTY;
            for (k, c) in cut_contours(self.job, self.profile) {
                if load.contains(&k) {
                    bounds.include_bounds(&c.bounds);
                }
            }
            let size = bounds.size();
            let side = |mm: f64| mm.max(0.0) + 2.0 * around.mm();
            let area = Area::from_mm2(side(size.x) * side(size.y));
            prism_mass(area, self.job.thickness, material.density())
        };
        let mass = self
            .loads()
            .iter()
            .map(mass)
            .fold(Mass::ZERO, |a, b| if b > a { b } else { a });
        (mass > most).then(|| ObstacleKind::TooHeavy {
            mass,
            most,
            machine: machine.name.clone(),
        })
    }
}
