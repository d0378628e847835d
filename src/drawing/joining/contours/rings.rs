//! Closed runs → contours, each once, nested; what is left of the open ones.

use super::Work;
use crate::drawing::Status;
use crate::drawing::format::Cancelled;
use crate::drawing::joining::duplicates;
use crate::drawing::joining::edges::{Edge, Run};
use crate::drawing::meaning::Fault;
use crate::geometry::arc_recovery::recover_arcs_unless;
use crate::geometry::nesting::nest_unless;
use crate::geometry::{Bounds, Contour, Segment};
use crate::profile::{OpenChain, Profile, ProfileContour};
use crate::units::{Area, Length};
use std::collections::HashSet;

/// A closed run that encloses something.
pub(crate) struct Ring {
    pub run: Run,
    pub length: f64,
    pub area: f64,
    pub segments: Vec<Segment>,
}

impl Work<'_> {
    /// Loops and closed curves as counter-clockwise rings, each once, in the order of the drawing.
    pub(crate) fn rings(&mut self, loops: Vec<Run>) -> Result<Vec<Ring>, Cancelled> {
        let first_closed = self.edges.len();
        self.edges.append(&mut self.closed);
        let single = (first_closed..self.edges.len()).map(|e| Run {
            steps: vec![(e, true)],
        });
        let mut runs: Vec<Run> = loops.into_iter().chain(single).collect();
        runs.sort_by_cached_key(|r| r.steps.iter().map(|&(e, _)| self.edges[e].curve).min());
        let mut rings: Vec<Ring> = runs
            .into_iter()
            .map(|run| self.ring(run))
            .collect::<Result<_, _>>()?;
        rings.retain(|ring| {
            let is_point = ring.segments.is_empty();
            for curve in ring
                .run
                .curves(&self.edges)
                .into_iter()
                .filter(|_| is_point)
            {
                self.status[curve] = Status::Degenerate;
                let line = Some(self.curves[curve].at);
                self.findings.add(Fault::ZeroLength, None, line);
            }
            !is_point
        });
        let shapes: Vec<(Bounds, f64, f64)> = rings
            .iter()
            .map(|r| {
                let mut b = Bounds::EMPTY;
                r.segments
                    .iter()
                    .for_each(|s| b.include_bounds(&s.bounds()));
                self.progress.check()?;
                Ok((b, r.length, r.area))
            })
            .collect::<Result<_, _>>()?;
        let repeated = duplicates::repeated(&shapes, self.progress)?;
        let mut once = Vec::with_capacity(rings.len());
        for (ring, repeats) in rings.into_iter().zip(repeated) {
            if repeats.is_none() {
                once.push(ring);
                continue;
            }
            let at = ring.segments.first().map(|s| s.a + self.origin);
            let list = ring.run.curves(&self.edges);
            let line = list.first().map(|&c| self.curves[c].at);
            self.findings.add(Fault::DuplicateContour, at, line);
            for curve in list {
                self.status[curve] = Status::Duplicate;
            }
        }
        Ok(once)
    }

    fn ring(&self, mut run: Run) -> Result<Ring, Cancelled> {
        self.progress.check()?;
        let mut area = run.area(&self.edges);
        if area < 0.0 {
            run.reverse();
            area = -area;
        }
        let length = run.length(&self.edges);
        let mut segments = run.segments(&self.edges, self.curves, true);
        segments.retain(|s| s.a != s.b);
        Ok(Ring {
            run,
            length,
            area,
            segments,
        })
    }

    /// Open runs without what lies on a contour altogether.
    pub(crate) fn open_runs(
        &mut self,
        runs: Vec<Run>,
        rings: &[Ring],
    ) -> Result<Vec<Run>, Cancelled> {
        if runs.is_empty() || rings.is_empty() {
            return Ok(runs);
        }
        let open: Vec<usize> = runs
            .iter()
            .flat_map(|r| r.steps.iter().map(|s| s.0))
            .collect();
        let edges: Vec<&Edge> = open.iter().map(|&e| &self.edges[e]).collect();
        let sides: Vec<&Segment> = rings.iter().flat_map(|r| &r.segments).collect();
        let on_contour = duplicates::lying_on(&edges, &sides, self.curves, self.progress)?;
        let covered: HashSet<usize> = open
            .iter()
            .zip(on_contour)
            .filter(|(_, on)| *on)
            .map(|(&e, _)| e)
            .collect();
        let (dropped, kept): (Vec<Run>, Vec<Run>) = runs
            .into_iter()
            .partition(|r| r.steps.iter().all(|s| covered.contains(&s.0)));
        for run in dropped {
            for curve in run.curves(&self.edges) {
                self.status[curve] = Status::Duplicate;
                let at = self.curves[curve].ends().map(|e| e.0 + self.origin);
                self.findings
                    .add(Fault::Overlap, at, Some(self.curves[curve].at));
            }
        }
        Ok(kept)
    }

    /// The contours in their nesting, and the open chains.
    pub(crate) fn profile(&self, rings: &[Ring], open: &[Run]) -> Result<Profile, Cancelled> {
        let stop = || self.progress.check().is_err();
        let shapes: Vec<Contour> = rings
            .iter()
            .map(|r| {
                recover_arcs_unless(&Contour::from_segments(&r.segments), &stop).ok_or(Cancelled)
            })
            .collect::<Result<_, _>>()?;
        let nesting = nest_unless(&shapes, &stop).ok_or(Cancelled)?;
        let layer = |curves: &[usize]| {
            let first = curves.iter().min();
            first.map_or_else(String::new, |&c| self.curves[c].layer.to_string())
        };
        let contours = rings
            .iter()
            .zip(nesting)
            .zip(shapes)
            .map(|((ring, nesting), shape)| {
                let curves = ring.run.curves(&self.edges);
                ProfileContour {
                    shape,
                    drawn_length: Length::from_mm(ring.length),
                    drawn_area: Area::from_mm2(ring.area),
                    depth: nesting.depth,
                    parent: nesting.parent,
                    layer: layer(&curves),
                    curves,
                }
            })
            .collect();
        let chain = |run: &Run| {
            let curves = run.curves(&self.edges);
            OpenChain {
                segments: run.segments(&self.edges, self.curves, false),
                drawn_length: Length::from_mm(run.length(&self.edges)),
                layer: layer(&curves),
                curves,
            }
        };
        self.progress.check()?;
        Ok(Profile {
            origin: self.origin,
            contours,
            open: open.iter().map(chain).collect(),
        })
    }
}
