//! The list for the drill: every start hole with its place, diameter and depth.

use super::Figures;
use crate::geometry::{DrawingPoint, Point};
use crate::job::{Candidate, Job};
use crate::plan::StepKind;
use crate::plan::start_holes::{least_width, smallest_hole};
use crate::profile::Profile;
use crate::units::Length;
use std::fmt::Write as _;

/// One start hole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrillHole {
    /// From 1, in the order of cutting.
    pub number: usize,
    /// Contour of the profile; `None` for a curve that is cut on its line.
    pub contour: Option<usize>,
    /// Middle in the drawing's own coordinates, mm.
    pub at: DrawingPoint,
    /// Diameter.
    pub diameter: Length,
    /// Thickness that it goes through.
    pub depth: Length,
}

/// Every hole of a part, in the order in which they are needed; one that goes with a curve cut on its line is the
/// narrowest that takes the wire.
pub fn drill_list(
    figures: &Figures,
    profile: &Profile,
    job: &Job,
    candidate: &Candidate,
) -> Vec<DrillHole> {
    let mut out: Vec<DrillHole> = Vec::new();
    let mut add = |contour, at: Point, diameter, plan: usize| {
        let depth = figures
            .plans
            .get(plan)
            .map_or(job.thickness, |p| p.thickness);
        let number = out.len() + 1;
        let at = at + profile.origin();
        out.push(DrillHole {
            number,
            contour,
            at,
            diameter,
            depth,
        });
    };
    let mut drilled = std::collections::HashSet::new();
    let least = smallest_hole(&job.shop.hole_sizes, candidate.diameter);
    for s in figures
        .steps
        .iter()
        .filter(|s| s.kind == StepKind::Threading)
    {
        if !drilled.insert((s.contour, s.open)) {
            continue;
        }
        if let Some(c) = s.contour {
            let start = figures.starts.iter().find(|x| x.contour == c);
            if let Some((start, hole)) = start.and_then(|x| Some((x.start, x.hole?))) {
                add(Some(c), start.hole, hole, s.plan);
            }
        } else if let Some(first) = s
            .open
            .and_then(|o| profile.open().get(o))
            .and_then(|c| c.segments.first())
        {
            let at = first.a;
            add(
                None,
                at,
                least.unwrap_or(least_width(candidate.diameter)),
                s.plan,
            );
        }
    }
    out
}

/// Millimetres to a tenth of a micrometre, without zeros at the end.
fn plain(length: Length) -> f64 {
    (length.mm() * 1e4).round() / 1e4
}

/// The list as comma-separated values with a head: number, x, y, diameter and depth, all in mm.
pub fn drill_csv(holes: &[DrillHole]) -> String {
    let mut text = "number,x_mm,y_mm,diameter_mm,depth_mm\n".to_owned();
    for h in holes {
        // Writing to a String cannot fail.
        let _ = writeln!(
            text,
            "{},{:.4},{:.4},{},{}",
            h.number,
            h.at.x(),
            h.at.y(),
            plain(h.diameter),
            plain(h.depth)
        );
    }
    text
}
