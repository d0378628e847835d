//! What the canvas paints: polylines about a near centre in f32, made once per drawing and per path.

use super::equal;
use crate::estimate::Estimate;
use crate::geometry::boxes::Boxes;
use crate::geometry::{Bounds, Contour, Point};
use crate::process::PassNumber;
use crate::profile::Profile;
use egui::emath::{Pos2, Rect, pos2};

/// A chord may leave its arc by this share of the drawing's diagonal: invisible up to 20-fold zoom.
const SAGITTA: f64 = 2e-5;

/// Chords of a piece of a line, and from how many pieces on a line is asked piece by piece.
const PIECE: usize = 64;
const PIECES: usize = 4;

/// One chain of chords, mm about the model's centre, y up.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// At least two points; the first is repeated at the end of a closed one.
    pub points: Vec<Pos2>,
    /// Box around them.
    pub bounds: Rect,
    /// The highest of them, where its label stands.
    pub top: Pos2,
    /// Boxes around its pieces; none of a short line.
    pieces: Vec<Rect>,
}

impl Line {
    /// From points about the profile's origin.
    pub fn new(points: impl IntoIterator<Item = Point>, centre: Point) -> Self {
        let points: Vec<_> = points.into_iter().map(|p| near(p, centre)).collect();
        let bounds = Rect::from_points(&points);
        let top = points
            .iter()
            .copied()
            .max_by(|a, b| a.y.total_cmp(&b.y))
            .unwrap_or_default();
        let mut pieces = Vec::new();
        if points.len() > PIECE * PIECES {
            let from = (0..points.len() - 1).step_by(PIECE);
            pieces.extend(from.map(|k| Rect::from_points(piece(&points, k))));
        }
        Self {
            points,
            bounds,
            top,
            pieces,
        }
    }
    /// Its pieces one after the other, each with a box around it; the last point of one is the first of the next.
    pub fn pieces(&self) -> impl Iterator<Item = (Rect, &[Pos2])> {
        let whole = self
            .pieces
            .is_empty()
            .then(|| (self.bounds, &self.points[..]));
        let each = self.pieces.iter().enumerate();
        let each = each.map(|(k, b)| (*b, piece(&self.points, k * PIECE)));
        whole.into_iter().chain(each)
    }
    /// How far its box lies beside that of another, mm: of a line and its parallel, how far they lie apart.
    pub fn beside(&self, other: &Self) -> f32 {
        let (a, b) = (self.bounds, other.bounds);
        let (low, high) = ((a.min - b.min).abs(), (a.max - b.max).abs());
        low.max(high).max_elem()
    }
    /// From its beginning to its end, mm.
    pub fn length(&self) -> f32 {
        self.points.windows(2).map(|s| s[0].distance(s[1])).sum()
    }
    /// Longer side of the box around it, mm.
    pub fn size(&self) -> f32 {
        self.bounds.size().max_elem()
    }
}

fn piece(points: &[Pos2], from: usize) -> &[Pos2] {
    &points[from..(from + PIECE + 1).min(points.len())]
}

/// The drawing.
pub struct Model {
    /// What f32 coordinates are counted from, mm about the profile's origin.
    pub centre: Point,
    /// Closed contours, in the profile's order.
    pub contours: Vec<Line>,
    /// Nesting depth of each.
    pub depth: Vec<usize>,
    /// Open chains.
    pub open: Vec<Line>,
    /// Box around everything, mm about the centre.
    pub bounds: Rect,
    /// Largest distance of chord and arc, mm.
    pub sagitta: f64,
    /// Equal contours together, in the order of the profile.
    pub groups: Vec<Vec<usize>>,
    /// Contours, then open chains, by the boxes around them.
    places: Boxes,
    /// Contours from the largest to the smallest.
    by_size: Vec<usize>,
}

/// f64 about the profile's origin to f32 about the centre.
pub fn near(p: Point, centre: Point) -> Pos2 {
    let q = p - centre;
    pos2(q.x as f32, q.y as f32)
}

impl Model {
    /// From a profile.
    pub fn new(profile: &Profile) -> Self {
        let bounds: Bounds = profile.bounds();
        let centre = if bounds.is_empty() {
            Point::ORIGIN
        } else {
            bounds.centre()
        };
        let sagitta = (bounds.diagonal() * SAGITTA).max(1e-7);
        let contours: Vec<_> = profile
            .contours()
            .iter()
            .map(|c| Line::new(c.shape.flattened(sagitta), centre))
            .collect();
        let open: Vec<_> = profile
            .open()
            .iter()
            .map(|chain| {
                let mut points: Vec<_> = chain.segments.first().map(|s| s.a).into_iter().collect();
                chain
                    .segments
                    .iter()
                    .for_each(|s| s.flatten_into(sagitta, &mut points));
                Line::new(points, centre)
            })
            .collect();
        let bounds = contours
            .iter()
            .chain(&open)
            .fold(Rect::NOTHING, |b, l| b.union(l.bounds));
        let mut by_size: Vec<usize> = (0..contours.len()).collect();
        by_size.sort_by(|a, b| contours[*b].size().total_cmp(&contours[*a].size()));
        let depth: Vec<usize> = profile.contours().iter().map(|c| c.depth).collect();
        Self {
            centre,
            depth,
            places: Boxes::of(contours.iter().chain(&open).map(|l| wide(l.bounds))),
            by_size,
            contours,
            open,
            bounds,
            sagitta,
            groups: equal::groups(profile),
        }
    }
    /// Contours and open chains whose boxes meet one, by their numbers, ascending.
    pub fn meeting(&self, sight: Rect) -> (Vec<usize>, Vec<usize>) {
        if sight.contains_rect(self.bounds) {
            let all = |lines: &[Line]| (0..lines.len()).collect();
            return (all(&self.contours), all(&self.open));
        }
        let mut contours = self.places.meeting(&wide(sight));
        let mut open = contours.split_off(contours.partition_point(|k| *k < self.contours.len()));
        open.iter_mut().for_each(|k| *k -= self.contours.len());
        (contours, open)
    }
    /// Contours of at least a size, mm; nothing where they are so many that one looks at those in sight instead.
    pub fn few_from(&self, least: f32) -> Option<&[usize]> {
        const FEW: usize = 1000;
        let is_large = |k: &usize| self.contours[*k].size() >= least;
        let count = self.by_size.partition_point(is_large);
        (count <= FEW).then(|| &self.by_size[..count])
    }
    /// Contours of at least a size (mm) whose boxes meet one, ascending. Looks at no more than there are of that size,
    /// or lie there.
    pub fn large(&self, sight: Rect, least: f32) -> Vec<usize> {
        if let Some(few) = self.few_from(least) {
            let meets = |k: &usize| self.contours[*k].bounds.intersects(sight);
            let mut all: Vec<usize> = few.iter().copied().filter(meets).collect();
            all.sort_unstable();
            return all;
        }
        let mut all = self.meeting(sight).0;
        all.retain(|k| self.contours[*k].size() >= least);
        all
    }
}

/// Boxes around the start holes of an estimate and where their paths are joined.
fn begun_in(estimate: &Estimate, centre: Point) -> impl Iterator<Item = Rect> {
    let starts = estimate.figures.iter().flat_map(|f| &f.starts);
    starts.map(move |s| {
        let radius = s.hole.map_or(0.0, |d| 0.5 * d.mm() as f32);
        let hole = Rect::from_pos(near(s.start.hole, centre)).expand(radius);
        hole.union(Rect::from_pos(near(s.start.join, centre)))
    })
}

/// A box as the index of boxes takes it.
fn wide(b: Rect) -> Bounds {
    let point = |p: Pos2| Point::new(f64::from(p.x), f64::from(p.y));
    Bounds {
        min: point(b.min),
        max: point(b.max),
    }
}

/// A pass after the rough.
pub struct Skim {
    /// Which.
    pub pass: PassNumber,
    /// Its way.
    pub line: Line,
    /// How far it lies beside the rough, mm; infinite where the two cannot be held against each other.
    pub beside: f32,
    /// How far the pass before it does; nothing of the rough.
    pub before: f32,
}

/// The wire paths of one candidate.
pub struct PathModel {
    /// Loops of the rough.
    pub roughs: Vec<Line>,
    /// Those of the skims, one pass after the other.
    pub skims: Vec<Skim>,
    /// Lower edges of what is cut with a taper.
    pub lower_edges: Vec<Line>,
    /// Places that the wire cannot reach, in the order of the estimate, and the contour of each.
    pub uncut: Vec<(Pos2, usize)>,
    /// Obstacles that have a place, and whether they block.
    pub obstacles: Vec<(Pos2, bool)>,
    /// Contours whose rough is one loop, ascending, and which.
    rough_of: Vec<(usize, usize)>,
    /// Contours and the places of their starts in the order of cutting, ascending.
    starts: Vec<(usize, usize)>,
    /// Boxes around the lead-ins, in the order of cutting.
    lead_ins: Option<Boxes>,
    /// Box around everything of them: ways, start holes and what is marked; nothing where there is nothing, mm about
    /// the model's centre.
    pub bounds: Rect,
}

impl PathModel {
    /// From an estimate, about a model's centre; chords leave their arcs by `sagitta` at most, mm.
    pub fn new(estimate: &Estimate, centre: Point, sagitta: f64) -> Self {
        let line = |l: &Contour| Line::new(l.flattened(sagitta), centre);
        let (mut roughs, mut skims, mut rough_of) = (Vec::new(), Vec::new(), Vec::new());
        // The rough of a contour comes before its skims; how far the pass before lies beside it, loop by loop.
        let mut rough = (usize::MAX, 0..0);
        let mut before = Vec::new();
        for path in &estimate.paths {
            let lines = path.loops.iter().map(line);
            if path.pass.is_rough() {
                let from = roughs.len();
                roughs.extend(lines);
                if roughs.len() == from + 1 {
                    rough_of.push((path.contour, from));
                }
                rough = (path.contour, from..roughs.len());
                before = vec![0.0; rough.1.len()];
                continue;
            }
            let of_it = path.contour == rough.0 && path.loops.len() == rough.1.len();
            for (k, line) in lines.enumerate() {
                let beside = of_it.then(|| line.beside(&roughs[rough.1.start + k]));
                let last = beside.and_then(|b| Some(std::mem::replace(before.get_mut(k)?, b)));
                skims.push(Skim {
                    pass: path.pass,
                    line,
                    beside: beside.unwrap_or(f32::INFINITY),
                    before: last.unwrap_or(0.0),
                });
            }
        }
        rough_of.sort_unstable();
        // One pass after the other.
        skims.sort_by_key(|s: &Skim| s.pass);
        let figures = estimate.figures.iter();
        let starts = figures.flat_map(|f| f.starts.iter().enumerate());
        let mut starts: Vec<_> = starts.map(|(k, s)| (s.contour, k)).collect();
        starts.sort_unstable();
        let lead_ins = estimate.figures.as_ref().map(|f| {
            Boxes::of(f.starts.iter().map(|s| {
                let ends = [s.start.hole, s.start.join].map(|p| near(p, centre));
                wide(Rect::from_two_pos(ends[0], ends[1]))
            }))
        });
        let lower_edges = estimate.lower_edges.iter().flat_map(|e| e.loops.iter());
        let lower_edges: Vec<Line> = lower_edges.map(line).collect();
        let obstacles: Vec<(Pos2, bool)> = estimate
            .obstacles
            .iter()
            .filter_map(|o| Some((near(o.at?, centre), o.blocks())))
            .collect();
        let ways = roughs.iter().chain(&lower_edges).map(|l| l.bounds);
        let marked = obstacles.iter().map(|o| Rect::from_pos(o.0));
        let bounds = ways.chain(marked).chain(begun_in(estimate, centre));
        Self {
            bounds: bounds.fold(Rect::NOTHING, Rect::union),
            roughs,
            skims,
            lower_edges,
            rough_of,
            uncut: estimate
                .uncut
                .iter()
                .map(|u| (near(u.at, centre), u.contour))
                .collect(),
            obstacles,
            starts,
            lead_ins,
        }
    }
    /// The rough of a contour, where that is one loop.
    pub fn rough_of(&self, contour: usize) -> Option<&Line> {
        let place = self.rough_of.binary_search_by_key(&contour, |r| r.0);
        self.roughs.get(self.rough_of[place.ok()?].1)
    }
    /// Starts whose lead-ins meet a box, by their places in the order of cutting, ascending.
    pub fn starts_in(&self, sight: Rect) -> Vec<usize> {
        let all = self.lead_ins.as_ref();
        all.map_or_else(Vec::new, |l| l.meeting(&wide(sight)))
    }
    /// Where a contour is begun, by the places in the order of cutting.
    pub fn starts_of(&self, contour: usize) -> impl Iterator<Item = usize> {
        let from = self.starts.partition_point(|s| s.0 < contour);
        let own = self.starts[from..].iter();
        own.take_while(move |s| s.0 == contour).map(|s| s.1)
    }
}
