//! Used curves → closed contours in their nesting, open chains, and what was noticed on the way.

use super::box_index::BoxIndex;
use super::crossings::Member;
use super::duplicates::Fate;
use super::edges::{Edge, Run};
use super::ends::{EXACT, Joined};
use super::graph::End;
use super::offers::{Offer, OfferKind, takes_edges};
use super::sides::{Beside, Closing, Sides};
use super::{crossings, duplicates, ends, offers};
use crate::drawing::curves::{Curve, Span};
use crate::drawing::format::{Cancelled, Fault, Noticed, Progress};
use crate::geometry::arc_recovery::recover_arcs_unless;
use crate::geometry::{Bounds, Contour, Datum, Point, Segment};
use crate::profile::{DrawnContour, OpenChain, Profile};
use crate::units::{Area, Length};
use foldhash::HashSet;
use std::collections::BTreeSet;
use std::sync::Arc;

/// Ends nearer than this are the same point in a drawing of any size, mm: rounding of three decimals in inches
/// is a hundred times as much, and no machine places a wire so finely.
const LARGEST_EXACT: f64 = 2e-5;
/// Where everything lies on one spot, ends this near are the same point all the same, mm.
const LEAST_EXACT: f64 = 1e-12;
/// Share of length² below which a closed chain encloses nothing.
const NO_AREA: f64 = 1e-9;

/// With a join gap of this and more, mm, an end that lies on a contour was seen to lie beside a curve: by five times what
/// lying on it allows, and less than the gap is needed where bridging it moved the contour.
const KNOWN_BESIDE: f64 = 5e-3;

/// What became of a curve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    /// It is part of a contour or of an open chain.
    Used,
    /// Its layer, its insertion or itself is hidden.
    Hidden,
    /// The user switched its layer off.
    Excluded,
    /// The user answered that it is not cut.
    LeftOut,
    /// It lies on others, which count.
    Duplicate,
    /// It lies within the outer boundary of curves that branch, and is not counted.
    Inner,
    /// It has no length.
    Degenerate,
    /// An edge of a hatched area or a multiline, not taken as a curve until that is accepted.
    Offered,
}

/// The contours of a drawing and what became of each curve.
pub(crate) struct Assembled {
    pub profile: Profile,
    pub status: Vec<Status>,
    /// Changes that would mend what was noticed.
    pub offers: Vec<(Fault, Offer)>,
}

/// What the user decided about joining.
pub(crate) struct Rules<'a> {
    /// Loose ends up to this far apart are joined.
    pub gap: Length,
    pub excluded_layers: &'a BTreeSet<String>,
    /// Curves that are left out as answered.
    pub left_out: &'a BTreeSet<usize>,
    pub accepted: &'a [Offer],
    pub join_at_sides: bool,
    pub outline_at_sides: bool,
}

/// Joins, nests and checks.
pub(crate) fn assemble(
    curves: &Arc<[Curve]>,
    origin: Datum,
    rules: &Rules<'_>,
    noticed: &mut Noticed,
    progress: &Progress,
) -> Result<Assembled, Cancelled> {
    let mut work = Work::new(curves, origin, rules.gap, noticed, progress);
    work.sort(rules)?;
    work.sort_out_closed(rules.accepted)?;
    progress.step(0.87)?;
    work.lay_duplicates_aside()?;
    progress.step(0.9)?;
    let tolerances = (work.exact, work.gap);
    let mut joined = ends::join(&work.edges, curves, tolerances, progress)?;
    progress.step(0.92)?;
    // Only loose ends ask what runs beside them.
    let sides_of = |work: &Work<'_>, loose: &[End]| {
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
    let reach = work.gap.max(work.exact);
    let mut sides = sides_of(&work, &joined.loose)?;
    let mut beside = sides.beside(&work.edges, &joined, reach, progress)?;
    let closing = {
        let work = (&work.edges[..], &curves[..]);
        Closing::of(work, &joined, &beside, tolerances, progress)?
    };
    let mut junctions = Vec::new();
    if let Some(closing) = closing {
        let fault = if rules.join_at_sides {
            Fault::JoinedAtSides
        } else if rules.outline_at_sides && work.lacks_outline(&joined, &closing)? {
            Fault::OutlineAtSides
        } else {
            Fault::ClosesAtSides
        };
        let is_taken = fault != Fault::ClosesAtSides;
        let taken = if is_taken {
            closing.cut((&work.edges, curves), &joined, tolerances, progress)?
        } else {
            None
        };
        if is_taken == taken.is_some() {
            for &at in &closing.at {
                work.noticed
                    .add_number(fault, closing.more, Some(at + origin), None);
            }
        }
        if let Some((edges, again)) = taken {
            (work.edges, joined) = (edges, again);
            junctions = closing.at;
            sides = sides_of(&work, &joined.loose)?;
            beside = sides.beside(&work.edges, &joined, reach, progress)?;
        }
    }
    progress.step(0.93)?;
    work.report(&joined, &junctions, &sides, &beside)?;
    let off_sides: HashSet<End> = joined
        .loose
        .iter()
        .zip(&beside)
        .filter(|(_, beside)| !beside.on_other)
        .map(|(&end, _)| end)
        .collect();
    drop((sides, beside));
    let rings = work.rings(joined.loops)?;
    let open = work.open_runs(joined.open, &rings, &off_sides)?;
    progress.step(0.95)?;
    // What crosses is looked for while there is no profile yet: it takes the most memory of all.
    work.report_crossings(&rings, &open)?;
    progress.step(0.98)?;
    let profile = work.profile(&rings, &open)?;
    progress.step(1.0)?;
    Ok(Assembled {
        profile,
        status: work.status,
        offers: work.offers,
    })
}

/// A closed run that encloses something.
struct Ring {
    run: Run,
    length: f64,
    area: f64,
    segments: Vec<Segment>,
}

struct Work<'a> {
    curves: &'a [Curve],
    origin: Datum,
    noticed: &'a mut Noticed,
    progress: &'a Progress,
    status: Vec<Status>,
    offers: Vec<(Fault, Offer)>,
    exact: f64,
    gap: f64,
    /// Edges of the graph; later the closed curves behind them.
    edges: Vec<Edge>,
    closed: Vec<Edge>,
}

impl<'a> Work<'a> {
    fn new(
        curves: &'a [Curve],
        origin: Datum,
        gap: Length,
        noticed: &'a mut Noticed,
        progress: &'a Progress,
    ) -> Self {
        Self {
            curves,
            origin,
            noticed,
            progress,
            status: Vec::with_capacity(curves.len()),
            offers: Vec::new(),
            exact: 0.0,
            gap: gap.mm().max(0.0),
            edges: Vec::new(),
            closed: Vec::new(),
        }
    }

    /// What counts and what does not; how near two ends are the same point.
    fn sort(&mut self, rules: &Rules<'_>) -> Result<(), Cancelled> {
        let mut bounds = Bounds::EMPTY;
        for (k, curve) in self.curves.iter().enumerate() {
            self.progress.check()?;
            let (place, line) = (curve.ends().map(|e| e.0 + self.origin), Some(curve.at));
            let stands_in = curve.stands_in.map(|first| first as usize);
            let status = if curve.segments.is_empty() {
                Status::Degenerate
            } else if curve.hidden {
                Status::Hidden
            } else if stands_in.is_some_and(|f| !takes_edges(rules.accepted, f)) {
                Status::Offered
            } else if rules.excluded_layers.contains(&*curve.layer) {
                self.noticed
                    .add_named(Fault::ExcludedLayer, &curve.layer, place, line);
                Status::Excluded
            } else if rules.left_out.contains(&k) {
                self.noticed.add(Fault::LeftOut, place, line);
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
        self.exact = (EXACT * bounds.diagonal())
            .min(LARGEST_EXACT)
            .max(rounding)
            .max(LEAST_EXACT);
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
                let whole = Span {
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
                    self.noticed
                        .add_length(Fault::EndMoved, offer.by(), place, Some(curve.at));
                }
            }
        }
        Ok(())
    }

    /// Whether joining at sides leaves every closed contour as it is and puts a new one around each: then
    /// the outline was drawn with lines that end on each other's sides.
    fn lacks_outline(&self, joined: &Joined, closing: &Closing) -> Result<bool, Cancelled> {
        if !closing.keeps_all {
            return Ok(false);
        }
        let new: Vec<Bounds> = closing.around.iter().map(|b| b.grown(self.gap)).collect();
        let index = BoxIndex::of(new.iter().copied(), self.progress)?;
        let closed = self.closed.iter().map(|e| e.roomy_box(self.curves));
        let loops = joined.loops.iter();
        let loops = loops.map(|run| run.roomy_box(&self.edges, self.curves));
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
                    self.noticed.add(Fault::Duplicate, at, line);
                    dropped.push(edge.curve);
                }
                Fate::Covered => {
                    self.noticed.add(Fault::Overlap, at, line);
                    dropped.push(edge.curve);
                }
                Fate::Trimmed(rest) => {
                    self.noticed.add(Fault::Overlap, at, line);
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

    /// Bridges, branches and loose ends.
    fn report(
        &mut self,
        joined: &Joined,
        junctions: &[Point],
        sides: &Sides,
        beside: &[Beside],
    ) -> Result<(), Cancelled> {
        for bridge in &joined.bridges {
            let size = bridge.from.distance(bridge.to);
            let at = bridge.from.lerp(bridge.to, 0.5) + self.origin;
            self.noticed
                .add_length(Fault::GapBridged, Length::from_mm(size), Some(at), None);
        }
        let inner: f64 = joined
            .inner
            .iter()
            .map(|&e| self.edges[e].measure.length)
            .sum();
        let reach = self.gap.max(self.exact);
        let cut = BoxIndex::of_points(junctions.iter().copied(), self.progress)?;
        for &at in &joined.branches {
            self.progress.check()?;
            let around = Bounds { min: at, max: at }.grown(reach);
            let mut near = cut.within(&around).into_iter();
            if near.any(|k| junctions[k].distance(at) <= reach) {
                continue;
            }
            self.noticed.add_length(
                Fault::Branch,
                Length::from_mm(inner),
                Some(at + self.origin),
                None,
            );
        }
        for &e in &joined.inner {
            self.status[self.edges[e].curve] = Status::Inner;
        }
        self.report_loose_ends(&joined.loose, sides, beside)
    }

    /// A loose end on the side of another curve is a T, elsewhere it is open.
    fn report_loose_ends(
        &mut self,
        loose: &[End],
        sides: &Sides,
        beside: &[Beside],
    ) -> Result<(), Cancelled> {
        let mut open = Vec::new();
        for (&end, beside) in loose.iter().zip(beside) {
            self.progress.check()?;
            let (at, edge) = (ends::end_point(&self.edges, end), end.edge());
            let fault = if beside.on_other {
                Fault::TJunction
            } else {
                open.push(end);
                Fault::OpenEnd
            };
            let line = self.curves[self.edges[edge].curve].at;
            self.noticed.add(fault, Some(at + self.origin), Some(line));
        }
        let work = (&self.edges[..], self.curves);
        for offer in offers::extensions(work, &open, sides, self.origin, self.progress)? {
            self.offers.push((Fault::OpenEnd, offer));
        }
        Ok(())
    }

    /// Where chains cross, and the trims that would mend it.
    fn report_crossings(&mut self, rings: &[Ring], open: &[Run]) -> Result<(), Cancelled> {
        let mut chains: Vec<(usize, &[Segment])> = Vec::new();
        chains.extend(rings.iter().map(|r| &r.segments[..]).enumerate());
        for (k, run) in open.iter().enumerate() {
            for &(edge, _) in &run.steps {
                chains.push((rings.len() + k, self.edges[edge].segments(self.curves)));
            }
        }
        let mut members = Vec::with_capacity(chains.iter().map(|c| c.1.len()).sum());
        for (chain, segments) in chains {
            members.extend(segments.iter().map(|segment| Member { segment, chain }));
        }
        let crossings = crossings::find(&members, self.progress)?;
        drop(members);
        let mut trims = Vec::new();
        for crossing in crossings {
            let (p, q) = crossing.chains;
            let fault = if p >= rings.len() || q >= rings.len() {
                Fault::Crossing
            } else if p == q {
                Fault::SelfCrossing
            } else {
                Fault::ContoursCross
            };
            self.noticed
                .add(fault, Some(crossing.at + self.origin), None);
            for chain in [p, q] {
                if let Some(run) = chain.checked_sub(rings.len()).and_then(|k| open.get(k)) {
                    let work = (&self.edges[..], self.curves);
                    offers::trims(work, run, crossing.at, self.origin, &mut trims);
                }
            }
        }
        for offer in trims {
            self.offers.push((Fault::Crossing, offer));
        }
        Ok(())
    }

    /// Loops and closed curves as counter-clockwise rings, each once, in the order of the drawing.
    fn rings(&mut self, loops: Vec<Run>) -> Result<Vec<Ring>, Cancelled> {
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
                self.noticed.add(Fault::ZeroLength, None, line);
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
            self.noticed.add(Fault::DuplicateContour, at, line);
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

    /// Open runs without what lies on a contour altogether; a run of which an end is on no side of another curve does not.
    fn open_runs(
        &mut self,
        runs: Vec<Run>,
        rings: &[Ring],
        off_sides: &HashSet<End>,
    ) -> Result<Vec<Run>, Cancelled> {
        let may_lie =
            |run: &&Run| self.gap < KNOWN_BESIDE || !run.ends().any(|e| off_sides.contains(&e));
        let asked = runs.iter().filter(may_lie);
        let open: Vec<usize> = asked.flat_map(|r| r.steps.iter().map(|s| s.0)).collect();
        if open.is_empty() || rings.is_empty() {
            return Ok(runs);
        }
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
                self.noticed
                    .add(Fault::Overlap, at, Some(self.curves[curve].at));
            }
        }
        Ok(kept)
    }

    /// The contours in their nesting, and the open chains.
    fn profile(&self, rings: &[Ring], open: &[Run]) -> Result<Profile, Cancelled> {
        let stop = || self.progress.check().is_err();
        let shapes: Vec<Contour> = rings
            .iter()
            .map(|r| {
                recover_arcs_unless(&Contour::from_segments(&r.segments), &stop).ok_or(Cancelled)
            })
            .collect::<Result<_, _>>()?;
        let layer = |curves: &[usize]| {
            let first = curves.iter().min();
            first.map_or_else(String::new, |&c| self.curves[c].layer.to_string())
        };
        let drawn = rings.iter().zip(shapes).map(|(ring, shape)| {
            let curves = ring.run.curves(&self.edges);
            DrawnContour {
                shape,
                length: Length::from_mm(ring.length),
                area: Area::from_mm2(ring.area),
                layer: layer(&curves),
                curves,
            }
        });
        let drawn = drawn.collect();
        let chain = |run: &Run| {
            let curves = run.curves(&self.edges);
            OpenChain {
                segments: run.segments(&self.edges, self.curves, false),
                drawn_length: Length::from_mm(run.length(&self.edges)),
                layer: layer(&curves),
                curves,
            }
        };
        let open = open.iter().map(chain).collect();
        Profile::of_unless(self.origin, drawn, open, &stop).ok_or(Cancelled)
    }
}
