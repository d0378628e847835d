//! Centre lines, borders and title blocks by names and line types, and lines through centres of circles.

use super::proposals::{Evidence, ProposalKind, Reason};
use crate::drawing::format::{Cancelled, Hint};
use crate::drawing::joining::BoxIndex;
use crate::geometry::{Point, Segment};
use std::collections::BTreeMap;

/// By names of layers and blocks and by line types.
pub(crate) fn by_name(asked: &mut Evidence<'_>) {
    let mut of_layer: BTreeMap<usize, Hint> = BTreeMap::new();
    let mut hints = vec![(Hint::None, false); asked.curves.len()];
    let mut others = 0_usize;
    for (k, curve) in asked.curves.iter().enumerate() {
        if !asked.counts(k) {
            continue;
        }
        let layer = *of_layer
            .entry(curve.layer_index)
            .or_insert_with(|| Hint::of_name(&curve.layer));
        hints[k] = match (layer, curve.hint) {
            (Hint::None, own) => (own, false),
            (layer, _) => (layer, true),
        };
        others += usize::from(hints[k].0 == Hint::None);
    }
    // A drawing that lies on such a layer altogether is the part all the same.
    if others == 0 {
        return;
    }
    // A contour of mixed curves is no centre line: one of them was drawn in the wrong line type.
    for contour in asked.profile.contours() {
        if contour.curves.iter().any(|&c| hints[c].0 == Hint::None) {
            for &c in &contour.curves {
                hints[c].0 = Hint::None;
            }
        }
    }
    let mut groups: BTreeMap<(ProposalKind, usize, bool), Vec<usize>> = BTreeMap::new();
    for (k, (hint, by_layer)) in hints.into_iter().enumerate() {
        if let Some(kind) = ProposalKind::of_hint(hint) {
            let key = (kind, asked.curves[k].layer_index, by_layer);
            groups.entry(key).or_default().push(k);
        }
    }
    for ((kind, _, by_layer), list) in groups {
        let (curves, layer) = (list.len(), asked.curves[list[0]].layer.to_string());
        let reason = match (by_layer, kind) {
            (true, _) => Reason::LayerName { curves, layer },
            (false, ProposalKind::CentreLine) => Reason::LineType { curves, layer },
            (false, _) => Reason::BlockName(curves),
        };
        asked.propose(kind, list, reason);
    }
}

/// Loose straight lines that run through the centre of a circle.
pub(crate) fn through_centres(asked: &mut Evidence<'_>) -> Result<(), Cancelled> {
    let circles: Vec<(Point, f64)> = asked
        .profile
        .contours()
        .iter()
        .filter_map(|c| circle(&c.shape.segments().collect::<Vec<_>>()))
        .collect();
    let lines: Vec<usize> = asked
        .profile
        .open()
        .iter()
        .filter(|o| o.segments.len() == 1 && o.segments[0].is_straight())
        .filter_map(|o| o.curves.first().copied())
        .filter(|&c| !asked.claimed[c])
        .collect();
    let index = BoxIndex::of_points(circles.iter().map(|c| c.0), asked.progress)?;
    let mut groups: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for c in lines {
        asked.progress.check()?;
        let Some((a, b)) = asked.curves[c].ends() else {
            continue;
        };
        let line = Segment::line(a, b);
        let mut near = index.within(&line.bounds().grown(NEAR_CENTRE)).into_iter();
        if near.any(|k| runs_through(&line, circles[k])) {
            groups
                .entry(asked.curves[c].layer_index)
                .or_default()
                .push(c);
        }
    }
    for list in groups.into_values() {
        let reason = Reason::ThroughCentres {
            curves: list.len(),
            layer: asked.curves[list[0]].layer.to_string(),
        };
        asked.propose(ProposalKind::CentreLine, list, reason);
    }
    Ok(())
}

/// A line this near to a centre runs through it, mm; less for small circles.
const NEAR_CENTRE: f64 = 0.01;

/// Whether a line crosses a circle's centre and goes on for a good part of its radius either way.
fn runs_through(line: &Segment, (centre, radius): (Point, f64)) -> bool {
    let way = line.b - line.a;
    let length = way.norm();
    let off = (way.cross(centre - line.a) / length).abs();
    let along = way.dot(centre - line.a) / length;
    let beyond = 0.1 * radius;
    off <= NEAR_CENTRE.min(1e-3 * radius) && along > beyond && length - along > beyond
}

/// Centre and radius of a contour that is one circle.
fn circle(segments: &[Segment]) -> Option<(Point, f64)> {
    if segments.len() > 8 {
        return None;
    }
    let first = segments.first()?;
    let (centre, radius) = (first.centre()?, first.radius());
    let same = |s: &Segment| {
        s.centre()
            .is_some_and(|c| c.distance(centre) <= 1e-6 * radius)
    };
    segments.iter().all(same).then_some((centre, radius))
}
