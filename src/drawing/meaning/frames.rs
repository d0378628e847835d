//! Rectangles that frame something: borders, title blocks, the edge of a ground block.

use super::proposals::{Evidence, Proposal, ProposalKind, Reason};
use crate::drawing::joining::Status;
use crate::geometry::{Bounds, Contour, Point};
use crate::units::Length;

/// Corners this far from a right angle still are right, as a sine.
const RIGHT: f64 = 1e-3;
/// Frames within frames that are looked at.
const MOST_FRAMES: usize = 4;
/// Texts that make a rectangle beside the part a title block: one alone may be written on a part.
const TITLE_TEXTS: usize = 2;

/// Proposes frames from the outside inwards.
pub(crate) fn find(asked: &mut Evidence<'_>) {
    title_blocks(asked);
    for _ in 0..MOST_FRAMES {
        let Some(frame) = outermost(asked) else {
            return;
        };
        let n = loose_texts(asked, &frame);
        if n == 0 || !is_around_a_part(asked, &frame) {
            block_edge(asked, &frame);
            return;
        }
        let curves = asked.profile.contours()[frame.contour].curves.clone();
        let reason = Reason::FrameWithTexts(n);
        asked.propose(ProposalKind::Border, curves, reason);
        lines_beside_texts(asked, &frame);
    }
}

/// A rectangle that holds everything else.
struct Frame {
    contour: usize,
    bounds: Bounds,
    /// Boxes of the contours directly within it.
    within: Vec<Bounds>,
}

/// Contours that no proposal holds and whose surrounding ones all are held by one.
fn tops(asked: &Evidence<'_>) -> Vec<usize> {
    let contours = asked.profile.contours();
    let free: Vec<bool> = contours
        .iter()
        .map(|c| !asked.is_claimed(&c.curves))
        .collect();
    (0..contours.len())
        .filter(|&k| {
            let mut around = contours[k].parent;
            // Parents have fewer contours around them, so this ends.
            while let Some(p) = around {
                if free[p] {
                    return false;
                }
                around = contours[p].parent;
            }
            free[k]
        })
        .collect()
}

fn outermost(asked: &Evidence<'_>) -> Option<Frame> {
    let [top] = tops(asked)[..] else { return None };
    let contours = asked.profile.contours();
    let bounds = rectangle(&contours[top].shape)?;
    let within: Vec<Bounds> = contours
        .iter()
        .filter(|c| c.parent == Some(top) && !asked.is_claimed(&c.curves))
        .map(|c| c.shape.bounds())
        .collect();
    let mut loose = asked
        .profile
        .open()
        .iter()
        .filter(|o| !asked.is_claimed(&o.curves));
    let roomy = bounds.grown(1e-6 * bounds.diagonal());
    let inside = loose.all(|o| {
        o.segments
            .iter()
            .all(|s| roomy.contains(s.a) && roomy.contains(s.b))
    });
    (inside && !within.is_empty()).then_some(Frame {
        contour: top,
        bounds,
        within,
    })
}

/// Texts in a frame but in none of the contours directly within it.
fn loose_texts(asked: &Evidence<'_>, frame: &Frame) -> usize {
    asked
        .texts
        .iter()
        .take_while(|_| !asked.stops())
        .filter(|t| frame.bounds.contains(**t) && !frame.within.iter().any(|b| b.contains(**t)))
        .count()
}

/// Whether a contour directly within has openings of its own, or a title block lies beside: else the
/// rectangle may be the part, with its name written on it.
fn is_around_a_part(asked: &Evidence<'_>, frame: &Frame) -> bool {
    let contours = asked.profile.contours();
    let deep = contours[frame.contour].depth + 2;
    let lies_within = |p: &&Proposal| {
        p.kind == ProposalKind::TitleBlock && frame.bounds.contains(p.at - asked.profile.origin())
    };
    asked.found.iter().any(|p| lies_within(&p))
        || contours
            .iter()
            .any(|c| c.depth >= deep && !asked.is_claimed(&c.curves))
}

fn block_edge(asked: &mut Evidence<'_>, frame: &Frame) {
    let size = frame.bounds.size();
    let curves = asked.profile.contours()[frame.contour].curves.clone();
    let reason = Reason::Frame(Length::from_mm(size.x), Length::from_mm(size.y));
    asked.propose(ProposalKind::BlockEdge, curves, reason);
}

/// Rectangles beside or within others that hold texts and nothing but lines.
fn title_blocks(asked: &mut Evidence<'_>) {
    if asked.texts.len() < TITLE_TEXTS {
        return;
    }
    let contours = asked.profile.contours();
    let boxes: Vec<Option<Bounds>> = contours.iter().map(|c| rectangle(&c.shape)).collect();
    let largest = contours
        .iter()
        .map(|c| c.drawn_area.mm2())
        .fold(0.0, f64::max);
    // A contour around anything but rectangles is no title block.
    let mut holds_more = vec![false; contours.len()];
    for (k, c) in contours.iter().enumerate() {
        if boxes[k].is_none() {
            let mut around = c.parent;
            while let Some(p) = around {
                if std::mem::replace(&mut holds_more[p], true) {
                    break;
                }
                around = contours[p].parent;
            }
        }
    }
    let candidates: Vec<(usize, Bounds)> = (0..contours.len())
        .filter(|&k| !holds_more[k] && contours[k].drawn_area.mm2() < largest)
        .filter(|&k| contours[k].depth <= 2 && !asked.is_claimed(&contours[k].curves))
        .filter_map(|k| Some((k, boxes[k]?)))
        .take(MOST_TITLES)
        .collect();
    for (k, bounds) in candidates {
        if asked.stops() {
            return;
        }
        let n = asked.texts.iter().filter(|t| bounds.contains(**t)).count();
        if n < TITLE_TEXTS || asked.is_claimed(&asked.profile.contours()[k].curves) {
            continue;
        }
        let roomy = bounds.grown(1e-6 * bounds.diagonal());
        let lies_in = |b: &Bounds| roomy.contains(b.min) && roomy.contains(b.max);
        let curves: Vec<usize> = (0..asked.curves.len())
            .take_while(|_| !asked.stops())
            .filter(|&c| asked.counts(c) && lies_in(&asked.curves[c].bounds()))
            .collect();
        let reason = Reason::TableOfTexts(n);
        asked.propose(ProposalKind::TitleBlock, curves, reason);
    }
}

/// Rectangles that are looked at as title blocks; more of them are a pattern of openings.
const MOST_TITLES: usize = 200;

/// Straight lines in a border beside the part: a table hung on the border's sides.
fn lines_beside_texts(asked: &mut Evidence<'_>, frame: &Frame) {
    let roomy = frame.bounds.grown(1e-6 * frame.bounds.diagonal());
    let beside = |p: Point| roomy.contains(p) && !frame.within.iter().any(|b| b.contains(p));
    let closed: std::collections::HashSet<usize> = asked
        .profile
        .contours()
        .iter()
        .flat_map(|c| c.curves.iter().copied())
        .collect();
    let curves: Vec<usize> = (0..asked.curves.len())
        .filter(|&c| asked.counts(c) && !asked.claimed[c])
        .filter(|c| asked.status[*c] == Status::Inner || !closed.contains(c))
        .filter(|&c| {
            let segments = &asked.curves[c].segments;
            segments
                .iter()
                .all(|s| s.is_straight() && beside(s.a) && beside(s.b))
        })
        .collect();
    let reason = Reason::InTheBorder(curves.len());
    asked.propose(ProposalKind::TitleBlock, curves, reason);
}

/// The box of a contour that is an upright rectangle with sharp corners; points along its sides aside.
fn rectangle(shape: &Contour) -> Option<Bounds> {
    if shape.len() < 4 || shape.segments().any(|s| !s.is_straight()) {
        return None;
    }
    let bounds = shape.bounds();
    let small = RIGHT * bounds.size().x.min(bounds.size().y);
    let on_side = |p: Point| {
        let dx = (p.x - bounds.min.x).min(bounds.max.x - p.x);
        let dy = (p.y - bounds.min.y).min(bounds.max.y - p.y);
        dx.min(dy) <= small
    };
    let filled = shape.area() >= (1.0 - RIGHT) * bounds.size().x * bounds.size().y;
    (filled && shape.segments().all(|s| on_side(s.a))).then_some(bounds)
}
