//! What the canvas paints: polylines about a near centre in f32, made once per drawing and per path.

use super::equal;
use crate::estimate::WirePath;
use crate::geometry::{Bounds, Point};
use crate::process::PassNumber;
use crate::profile::Profile;
use egui::emath::{Pos2, Rect, pos2};

/// A chord may leave its arc by this share of the drawing's diagonal: invisible up to 20-fold zoom.
const SAGITTA: f64 = 2e-5;

/// One chain of chords, mm about the model's centre, y up.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// At least two points; the first is repeated at the end of a closed one.
    pub points: Vec<Pos2>,
    /// Box around them.
    pub bounds: Rect,
    /// The highest of them, where its label stands.
    pub top: Pos2,
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
        Self {
            points,
            bounds,
            top,
        }
    }
}

/// The drawing.
#[derive(Debug, Clone, PartialEq)]
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
        Self {
            centre,
            depth: profile.contours().iter().map(|c| c.depth).collect(),
            contours,
            open,
            bounds,
            sagitta,
            groups: equal::groups(profile),
        }
    }
}

/// The wire paths of one candidate.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PathModel {
    /// Pass number and loop, the rough first.
    pub loops: Vec<(PassNumber, Line)>,
    /// Lower edges of what is cut with a taper.
    pub lower_edges: Vec<Line>,
    /// Places that the wire cannot reach.
    pub uncut: Vec<Pos2>,
    /// Obstacles that have a place, and whether they block.
    pub obstacles: Vec<(Pos2, bool)>,
}

impl PathModel {
    /// From an estimate, about a model's centre.
    pub fn new(estimate: &crate::estimate::Estimate, model: &Model) -> Self {
        let loops_of = |path: &WirePath| {
            path.loops
                .iter()
                .map(|l| {
                    (
                        path.pass,
                        Line::new(l.flattened(model.sagitta), model.centre),
                    )
                })
                .collect::<Vec<_>>()
        };
        Self {
            loops: estimate.paths.iter().flat_map(loops_of).collect(),
            lower_edges: estimate
                .lower_edges
                .iter()
                .flat_map(|e| e.loops.iter())
                .map(|l| Line::new(l.flattened(model.sagitta), model.centre))
                .collect(),
            uncut: estimate
                .uncut
                .iter()
                .map(|u| near(u.at, model.centre))
                .collect(),
            obstacles: estimate
                .obstacles
                .iter()
                .filter_map(|o| Some((near(o.at?, model.centre), o.blocks())))
                .collect(),
        }
    }
}
