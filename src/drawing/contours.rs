//! Used curves → closed contours in their nesting, open chains, and what was noticed on the way.

use super::crossings::{self, Member};
use super::curve::Curve;
use super::duplicates::{self, Fate};
use super::edges::{Edge, Run};
use super::findings::{Fault, Findings};
use super::joining::{self, EXACT, Joined};
use super::offers::{self, Offer};
use super::progress::{Cancelled, Progress};
use super::sides::{self, Sides};
use super::{ReadOptions, Status};
use crate::geometry::arc_recovery::recover_arcs;
use crate::geometry::nesting::nest;
use crate::geometry::{Bounds, Contour, Point, Segment};
use crate::profile::{OpenChain, Profile, ProfileContour};
use crate::units::{Area, Length};
use std::collections::BTreeSet;
use std::sync::Arc;

/// Share of length² below which a closed chain encloses nothing.
const NO_AREA: f64 = 1e-9;

/// The contours of a drawing and what became of each curve.
pub(crate) struct Assembled {
    pub profile: Profile,
    pub status: Vec<Status>,
}

/// Joins, nests and checks.
pub(crate) fn assemble(
    curves: &Arc<[Curve]>,
    origin: Point,
    options: &ReadOptions,
    left_out: &BTreeSet<usize>,
    findings: &mut Findings,
    progress: &Progress,
) -> Result<Assembled, Cancelled> {
    let mut work = Work::new(curves, origin, options, left_out, findings);
    work.sort_out_closed(&options.accepted);
    progress.step(0.87)?;
    work.lay_duplicates_aside();
    progress.step(0.9)?;
    let mut joined = joining::join(&work.edges, curves, work.exact, work.gap);
    progress.step(0.92)?;
    let mut sides = Sides::of(&work.edges, &work.closed, curves);
    let tolerances = (work.exact, work.gap);
    let cut = sides::cut_at_ends(&work.edges, curves, &joined, &sides, tolerances);
    let mut junctions = Vec::new();
    if let Some(cut) = cut {
        if options.join_at_sides {
            work.edges = cut.edges;
            joined = cut.joined;
            junctions = cut.at;
            sides = Sides::of(&work.edges, &work.closed, curves);
        } else {
            let more = (cut.joined.loops.len() - joined.loops.len()) as f64;
            for at in cut.at {
                let place = Some(at + origin);
                work.findings
                    .add_sized(Fault::ClosesAtSides, more, place, None);
            }
        }
    }
    progress.step(0.93)?;
    work.report(&joined, &junctions, &sides);
    let rings = work.rings(joined.loops);
    let open = work.open_runs(joined.open, &rings);
    progress.step(0.95)?;
    let profile = work.profile(&rings, &open);
    progress.step(0.98)?;
    work.report_crossings(&rings, &open);
    progress.step(1.0)?;
    Ok(Assembled {
        profile,
        status: work.status,
    })
}

struct Work<'a> {
    curves: &'a [Curve],
    origin: Point,
    findings: &'a mut Findings,
    status: Vec<Status>,
    exact: f64,
    gap: f64,
    /// Edges of the graph; later the closed curves behind them.
    edges: Vec<Edge>,
    closed: Vec<Edge>,
}

/// A closed run that encloses something.
struct Ring {
    run: Run,
    length: f64,
    area: f64,
    segments: Vec<Segment>,
}

impl<'a> Work<'a> {
    fn new(
        curves: &'a [Curve],
        origin: Point,
        options: &ReadOptions,
        left_out: &BTreeSet<usize>,
        findings: &'a mut Findings,
    ) -> Self {
        let mut bounds = Bounds::EMPTY;
        let status: Vec<Status> = curves
            .iter()
            .enumerate()
            .map(|(k, c)| {
                if c.segments.is_empty() {
                    Status::Degenerate
                } else if c.hidden {
                    Status::Hidden
                } else if options.excluded_layers.contains(&*c.layer) {
                    findings.add_named(
                        Fault::ExcludedLayer,
                        &c.layer,
                        c.ends().map(|e| e.0 + origin),
                        Some(c.at),
                    );
                    Status::Excluded
                } else if left_out.contains(&k) {
                    let place = c.ends().map(|e| e.0 + origin);
                    findings.add(Fault::LeftOut, place, Some(c.at));
                    Status::LeftOut
                } else {
                    bounds.include_bounds(&c.bounds());
                    Status::Used
                }
            })
            .collect();
        let far = bounds.min.norm().max(bounds.max.norm());
        // Coordinates cannot be told apart below their rounding.
        let rounding = if far.is_finite() {
            16.0 * f64::EPSILON * far
        } else {
            0.0
        };
        let exact = (EXACT * bounds.diagonal()).max(rounding).max(1e-12);
        let gap = options.join_gap.mm().max(0.0);
        Self {
            curves,
            origin,
            findings,
            status,
            exact,
            gap,
            edges: Vec::new(),
            closed: Vec::new(),
        }
    }

    /// Closed curves are loops at once and never part of the graph; the others become edges.
    fn sort_out_closed(&mut self, accepted: &[Offer]) {
        for (i, curve) in self.curves.iter().enumerate() {
            if self.status[i] != Status::Used {
                continue;
            }
            let Some((a, b)) = curve.ends() else { continue };
            let encloses = curve.measure.area.abs() > NO_AREA * curve.length() * curve.length();
            if a.distance(b) <= self.exact && encloses {
                let whole = super::curve::Piece {
                    first: 0,
                    count: curve.segments.len(),
                    measure: curve.measure,
                };
                self.closed.push(Edge::of_piece(i, self.curves, &whole));
            } else {
                let pieces = curve.pieces();
                let from = self.edges.len();
                self.edges
                    .extend(pieces.iter().map(|p| Edge::of_piece(i, self.curves, p)));
                for offer in accepted.iter().filter(|o| o.curve == i) {
                    offers::apply(&mut self.edges[from..], self.curves, offer, self.origin);
                    let place = Some(offer.to);
                    self.findings
                        .add_sized(Fault::EndMoved, offer.by(), place, Some(curve.at));
                }
            }
        }
    }

    /// Edges that lie on others are dropped or cut.
    fn lay_duplicates_aside(&mut self) {
        let fates = duplicates::fates(&self.edges, self.curves);
        let mut left = vec![0_usize; self.curves.len()];
        let mut kept = Vec::with_capacity(self.edges.len());
        let edges = std::mem::take(&mut self.edges);
        let mut dropped = Vec::new();
        for (edge, fate) in edges.into_iter().zip(fates) {
            let (at, line) = (Some(edge.a + self.origin), Some(self.curves[edge.curve].at));
            match fate {
                Fate::Kept => {
                    left[edge.curve] += 1;
                    kept.push(edge);
                }
                Fate::Duplicate => {
                    self.findings.add(Fault::Duplicate, at, line);
                    dropped.push(edge.curve);
                }
                Fate::Covered => {
                    self.findings.add(Fault::Overlap, at, line);
                    dropped.push(edge.curve);
                }
                Fate::Trimmed(rest) => {
                    self.findings.add(Fault::Overlap, at, line);
                    left[edge.curve] += rest.len();
                    kept.extend(rest);
                }
            }
        }
        for curve in dropped {
            if left[curve] == 0 {
                self.status[curve] = Status::Duplicate;
            }
        }
        self.edges = kept;
    }

    fn report(&mut self, joined: &Joined, junctions: &[Point], sides: &Sides) {
        for bridge in &joined.bridges {
            let size = bridge.from.distance(bridge.to);
            let at = bridge.from.lerp(bridge.to, 0.5) + self.origin;
            self.findings
                .add_sized(Fault::GapBridged, size, Some(at), None);
        }
        let inner: f64 = joined
            .inner
            .iter()
            .map(|&e| self.edges[e].measure.length)
            .sum();
        for &at in junctions {
            self.findings
                .add(Fault::TJunction, Some(at + self.origin), None);
        }
        let reach = self.gap.max(self.exact);
        for &at in &joined.branches {
            if junctions.iter().any(|j| j.distance(at) <= reach) {
                continue;
            }
            self.findings
                .add_sized(Fault::Branch, inner, Some(at + self.origin), None);
        }
        for &e in &joined.inner {
            self.status[self.edges[e].curve] = Status::Inner;
        }
        self.report_loose_ends(&joined.loose, sides);
    }

    /// A loose end on the side of another curve is a T, elsewhere it is open.
    fn report_loose_ends(&mut self, loose: &[usize], sides: &Sides) {
        let reach = self.gap.max(self.exact);
        let mut open = Vec::new();
        for &end in loose {
            let (at, edge) = (joining::end_point(&self.edges, end), end / 2);
            let on_side = sides.at(at, reach).iter().any(|(other, _)| *other != edge);
            let fault = if on_side {
                Fault::TJunction
            } else {
                open.push(end);
                Fault::OpenEnd
            };
            let line = self.curves[self.edges[edge].curve].at;
            self.findings.add(fault, Some(at + self.origin), Some(line));
        }
        let work = (&self.edges[..], self.curves);
        for offer in offers::extensions(work, &open, sides, self.origin) {
            self.findings.offer(Fault::OpenEnd, offer);
        }
    }

    /// Loops and closed curves as counter-clockwise rings, each once, in the order of the drawing.
    fn rings(&mut self, loops: Vec<Run>) -> Vec<Ring> {
        let first_closed = self.edges.len();
        self.edges.append(&mut self.closed);
        let single = (first_closed..self.edges.len()).map(|e| Run {
            steps: vec![(e, true)],
        });
        let mut runs: Vec<Run> = loops.into_iter().chain(single).collect();
        runs.sort_by_key(|r| r.steps.iter().map(|&(e, _)| self.edges[e].curve).min());
        let rings: Vec<Ring> = runs
            .into_iter()
            .map(|mut run| {
                let mut area = run.area(&self.edges);
                if area < 0.0 {
                    run.reverse();
                    area = -area;
                }
                let length = run.length(&self.edges);
                let mut segments = run.segments(&self.edges, self.curves, true);
                segments.retain(|s| s.a != s.b);
                Ring {
                    run,
                    length,
                    area,
                    segments,
                }
            })
            .collect();
        let shapes: Vec<(Bounds, f64, f64)> = rings
            .iter()
            .map(|r| {
                let mut b = Bounds::EMPTY;
                r.segments
                    .iter()
                    .for_each(|s| b.include_bounds(&s.bounds()));
                (b, r.length, r.area)
            })
            .collect();
        let repeated = duplicates::repeated(&shapes);
        rings
            .into_iter()
            .zip(repeated)
            .filter_map(|(ring, repeats)| {
                if repeats.is_none() {
                    return Some(ring);
                }
                let at = ring.segments.first().map(|s| s.a + self.origin);
                let list = ring.run.curves(&self.edges);
                self.findings.add(
                    Fault::DuplicateContour,
                    at,
                    list.first().map(|&c| self.curves[c].at),
                );
                for curve in list {
                    self.status[curve] = Status::Duplicate;
                }
                None
            })
            .collect()
    }

    /// Open runs without what lies on a contour altogether.
    fn open_runs(&mut self, runs: Vec<Run>, rings: &[Ring]) -> Vec<Run> {
        if runs.is_empty() || rings.is_empty() {
            return runs;
        }
        let open: Vec<usize> = runs
            .iter()
            .flat_map(|r| r.steps.iter().map(|s| s.0))
            .collect();
        let mut together: Vec<Edge> = rings
            .iter()
            .enumerate()
            .flat_map(|(k, r)| {
                r.segments
                    .iter()
                    .filter_map(move |s| Edge::own(k, vec![*s]))
            })
            .collect();
        let first_open = together.len();
        together.extend(open.iter().map(|&e| self.edges[e].clone()));
        let on_contour = duplicates::lying_on(&together, first_open, self.curves);
        let covered: std::collections::HashSet<usize> = open
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
        kept
    }

    fn profile(&self, rings: &[Ring], open: &[Run]) -> Profile {
        let shapes: Vec<Contour> = rings
            .iter()
            .map(|r| recover_arcs(&Contour::from_segments(&r.segments)))
            .collect();
        let layer = |curves: &[usize]| {
            curves
                .iter()
                .min()
                .map(|&c| self.curves[c].layer.to_string())
                .unwrap_or_default()
        };
        let contours = rings
            .iter()
            .zip(nest(&shapes))
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
        let open = open
            .iter()
            .map(|run| {
                let curves = run.curves(&self.edges);
                OpenChain {
                    segments: run.segments(&self.edges, self.curves, false),
                    drawn_length: Length::from_mm(run.length(&self.edges)),
                    layer: layer(&curves),
                    curves,
                }
            })
            .collect();
        Profile {
            origin: self.origin,
            contours,
            open,
        }
    }

    fn report_crossings(&mut self, rings: &[Ring], open: &[Run]) {
        let mut members = Vec::new();
        for (chain, ring) in rings.iter().enumerate() {
            members.extend(
                ring.segments
                    .iter()
                    .map(|&segment| Member { segment, chain }),
            );
        }
        for (k, run) in open.iter().enumerate() {
            for &(edge, _) in &run.steps {
                let segments = self.edges[edge].segments(self.curves);
                members.extend(segments.iter().map(|&segment| Member {
                    segment,
                    chain: rings.len() + k,
                }));
            }
        }
        let mut trims = Vec::new();
        for crossing in crossings::find(&members) {
            let (p, q) = crossing.chains;
            let fault = if p >= rings.len() || q >= rings.len() {
                Fault::Crossing
            } else if p == q {
                Fault::SelfCrossing
            } else {
                Fault::ContoursCross
            };
            self.findings
                .add(fault, Some(crossing.at + self.origin), None);
            for chain in [p, q] {
                if let Some(run) = chain.checked_sub(rings.len()).and_then(|k| open.get(k)) {
                    let work = (&self.edges[..], self.curves);
                    offers::trims(work, run, crossing.at, self.origin, &mut trims);
                }
            }
        }
        for offer in trims {
            self.findings.offer(Fault::Crossing, offer);
        }
    }
}
