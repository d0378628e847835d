//! Used curves → closed contours in their nesting, open chains, and what was noticed on the way.

mod report;
mod rings;

use super::box_index::BoxIndex;
use super::duplicates::Fate;
use super::edges::{Edge, Run};
use super::ends::{EXACT, Joined};
use super::offers::{Offer, OfferKind};
use super::sides::{CutEdges, Sides};
use super::{duplicates, ends, offers, sides};
use crate::drawing::curves::{Curve, Piece};
use crate::drawing::format::{Cancelled, Progress};
use crate::drawing::meaning::{Fault, Findings, stand_ins};
use crate::drawing::{ReadOptions, Status};
use crate::geometry::{Bounds, Point};
use crate::profile::Profile;
use std::collections::{BTreeSet, HashSet};
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
    let mut work = Work::new(curves, origin, options, findings, progress);
    work.sort(options, left_out)?;
    work.sort_out_closed(&options.accepted)?;
    progress.step(0.87)?;
    work.lay_duplicates_aside()?;
    progress.step(0.9)?;
    let tolerances = (work.exact, work.gap);
    let mut joined = ends::join(&work.edges, curves, tolerances, progress)?;
    progress.step(0.92)?;
    // Only loose ends ask what runs beside them.
    let sides_of = |work: &Work<'_>, loose: &[usize]| {
        let (edges, closed) = (&work.edges[..], &work.closed[..]);
        Sides::of(
            if loose.is_empty() {
                (&[], &[])
            } else {
                (edges, closed)
            },
            curves,
            progress,
        )
    };
    let mut sides = sides_of(&work, &joined.loose)?;
    let cut = sides::cut_at_ends(&work.edges, curves, &joined, &sides, tolerances, progress)?;
    let mut junctions = Vec::new();
    if let Some(cut) = cut {
        let more = (cut.joined.loops.len() - joined.loops.len()) as f64;
        let fault = if options.join_at_sides {
            Fault::JoinedAtSides
        } else if options.outline_at_sides && work.lacks_outline(&joined, &cut)? {
            Fault::OutlineAtSides
        } else {
            Fault::ClosesAtSides
        };
        for &at in &cut.at {
            work.findings
                .add_sized(fault, more, Some(at + origin), None);
        }
        if fault != Fault::ClosesAtSides {
            work.edges = cut.edges;
            joined = cut.joined;
            junctions = cut.at;
            sides = sides_of(&work, &joined.loose)?;
        }
    }
    progress.step(0.93)?;
    work.report(&joined, &junctions, &sides)?;
    drop(sides);
    let rings = work.rings(joined.loops)?;
    let open = work.open_runs(joined.open, &rings)?;
    progress.step(0.95)?;
    let profile = work.profile(&rings, &open)?;
    progress.step(0.98)?;
    work.report_crossings(&rings, &open)?;
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
    progress: &'a Progress,
    status: Vec<Status>,
    exact: f64,
    gap: f64,
    /// Edges of the graph; later the closed curves behind them.
    edges: Vec<Edge>,
    closed: Vec<Edge>,
}

impl<'a> Work<'a> {
    fn new(
        curves: &'a [Curve],
        origin: Point,
        options: &ReadOptions,
        findings: &'a mut Findings,
        progress: &'a Progress,
    ) -> Self {
        Self {
            curves,
            origin,
            findings,
            progress,
            status: Vec::with_capacity(curves.len()),
            exact: 0.0,
            gap: options.join_gap.mm().max(0.0),
            edges: Vec::new(),
            closed: Vec::new(),
        }
    }

    /// What counts and what does not; how near two ends are the same point.
    fn sort(&mut self, options: &ReadOptions, left_out: &BTreeSet<usize>) -> Result<(), Cancelled> {
        let mut bounds = Bounds::EMPTY;
        for (k, curve) in self.curves.iter().enumerate() {
            self.progress.check()?;
            let (place, line) = (curve.ends().map(|e| e.0 + self.origin), Some(curve.at));
            let stands_in = curve.stands_in.map(|first| first as usize);
            let status = if curve.segments.is_empty() {
                Status::Degenerate
            } else if curve.hidden {
                Status::Hidden
            } else if stands_in.is_some_and(|f| !stand_ins::are_taken(&options.accepted, f)) {
                Status::Offered
            } else if options.excluded_layers.contains(&*curve.layer) {
                self.findings
                    .add_named(Fault::ExcludedLayer, &curve.layer, place, line);
                Status::Excluded
            } else if left_out.contains(&k) {
                self.findings.add(Fault::LeftOut, place, line);
                Status::LeftOut
            } else {
                bounds.include_bounds(&curve.bounds());
                Status::Used
            };
            self.status.push(status);
        }
        let far = bounds.min.norm().max(bounds.max.norm());
        // Coordinates cannot be told apart below their rounding.
        let rounding = if far.is_finite() {
            16.0 * f64::EPSILON * far
        } else {
            0.0
        };
        self.exact = (EXACT * bounds.diagonal()).max(rounding).max(1e-12);
        Ok(())
    }

    /// Closed curves are loops at once and never part of the graph; the others become edges.
    fn sort_out_closed(&mut self, accepted: &[Offer]) -> Result<(), Cancelled> {
        for (i, curve) in self.curves.iter().enumerate() {
            self.progress.check()?;
            if self.status[i] != Status::Used {
                continue;
            }
            let Some((a, b)) = curve.ends() else { continue };
            let encloses = curve.measure.area.abs() > NO_AREA * curve.length() * curve.length();
            if a.distance(b) <= self.exact && encloses {
                let whole = Piece {
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
                let moves = |o: &&Offer| o.curve == i && o.kind != OfferKind::TakeEdges;
                for offer in accepted.iter().filter(moves) {
                    offers::apply(&mut self.edges[from..], self.curves, offer, self.origin);
                    let place = Some(offer.to);
                    self.findings
                        .add_sized(Fault::EndMoved, offer.by(), place, Some(curve.at));
                }
            }
        }
        Ok(())
    }

    /// Whether joining at sides leaves every closed contour as it is and puts a new one around each: then
    /// the outline was drawn with lines that end on each other's sides.
    fn lacks_outline(&self, joined: &Joined, cut: &CutEdges) -> Result<bool, Cancelled> {
        let edges_of = |run: &Run| -> Vec<usize> {
            let mut list: Vec<usize> = run.steps.iter().map(|s| s.0).collect();
            list.sort_unstable();
            list
        };
        let before: HashSet<Vec<usize>> = joined.loops.iter().map(edges_of).collect();
        let (kept, new): (Vec<&Run>, Vec<&Run>) = cut
            .joined
            .loops
            .iter()
            .partition(|run| before.contains(&edges_of(run)));
        if kept.len() < before.len() {
            return Ok(false);
        }
        let around = |edges: &[Edge], run: &Run| {
            let mut b = Bounds::EMPTY;
            let boxes = run.steps.iter().map(|s| edges[s.0].roomy_box(self.curves));
            boxes.for_each(|e| b.include_bounds(&e));
            b
        };
        let new: Vec<Bounds> = new
            .into_iter()
            .map(|run| around(&cut.edges, run).grown(self.gap))
            .collect();
        let index = BoxIndex::of(new.iter().copied(), self.progress)?;
        let closed = self.closed.iter().map(|e| e.roomy_box(self.curves));
        let loops = joined.loops.iter().map(|run| around(&self.edges, run));
        for inner in closed.chain(loops) {
            self.progress.check()?;
            let mut near = index.within(&inner).into_iter();
            if !near.any(|k| new[k].contains(inner.min) && new[k].contains(inner.max)) {
                return Ok(false);
            }
        }
        Ok(true)
    }

    /// Edges that lie on others are dropped or cut.
    fn lay_duplicates_aside(&mut self) -> Result<(), Cancelled> {
        let fates = duplicates::fates(&self.edges, self.curves, self.progress)?;
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
        Ok(())
    }
}
