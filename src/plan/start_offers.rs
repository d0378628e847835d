//! Start holes that the drawing already shows: points, and circles inside a contour's waste.

use crate::geometry::{Bounds, Point};
use crate::job::{Job, contour_key};
use crate::profile::{Profile, Role};
use crate::progress::look;
use crate::units::Length;

/// More points than this outside every waste mean that points are something else in this drawing.
const MOST_STRAY_POINTS: usize = 12;
/// A start hole is at most this wide, mm (judgement).
const WIDEST_HOLE: f64 = 12.0;
/// Room between hole and contour, mm: the rough's path and the hole's wall fit in (judgement).
const CLEAR: f64 = 0.5;
/// A point outside an outline belongs to it up to this distance, mm (judgement).
const NEAR_OUTLINE: f64 = 15.0;
/// A contour is round where width, height and area agree to this share: above what a file of six decimals rounds.
const ROUND: f64 = 1e-6;

/// What the drawing shows there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shown {
    /// A POINT.
    Point,
    /// A circle, itself a contour of the profile: leave it out of the cut when the offer is taken.
    Circle {
        /// Its contour.
        contour: usize,
        /// Its diameter.
        diameter: Length,
    },
}

/// A start hole that could be taken for a contour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StartOffer {
    /// Contour of the profile.
    pub contour: usize,
    /// Where the wire would be threaded, mm about the profile's origin.
    pub hole: Point,
    /// What the drawing shows there.
    pub shown: Shown,
}

/// Start holes that points (mm about the profile's origin) and circles offer to the contours that are cut.
///
/// No layer is preset. A drawing with dozens of points outside every waste uses points for something else,
/// and none is offered then. Offers come in the order of the contours, the roomiest first.
pub fn start_offers(profile: &Profile, job: &Job, points: &[Point]) -> Vec<StartOffer> {
    let boxes: Vec<Bounds> = profile.contours().iter().map(|c| c.bounds).collect();
    let mut out: Vec<(f64, StartOffer)> = Vec::new();
    let mut stray = 0;
    for &p in points {
        look();
        match waste_of(profile, job, &boxes, p, None) {
            Some((contour, room)) if room >= CLEAR => out.push((
                room,
                StartOffer {
                    contour,
                    hole: p,
                    shown: Shown::Point,
                },
            )),
            _ => stray += 1,
        }
    }
    if stray > MOST_STRAY_POINTS && stray > out.len() {
        out.clear();
    }
    for (k, c) in profile.contours().iter().enumerate() {
        let size = boxes[k].size();
        let diameter = size.x;
        let round = (size.x - size.y).abs() < ROUND * diameter.max(1.0)
            && (c.shape.area() - std::f64::consts::PI / 4.0 * diameter * diameter).abs()
                < ROUND * diameter * diameter;
        if !round || diameter > WIDEST_HOLE {
            continue;
        }
        let centre = boxes[k].centre();
        if let Some((contour, room)) = waste_of(profile, job, &boxes, centre, Some(k))
            && room >= diameter / 2.0 + CLEAR
        {
            let shown = Shown::Circle {
                contour: k,
                diameter: Length::from_mm(diameter),
            };
            out.push((
                room,
                StartOffer {
                    contour,
                    hole: centre,
                    shown,
                },
            ));
        }
    }
    out.sort_by(|a, b| a.1.contour.cmp(&b.1.contour).then(b.0.total_cmp(&a.0)));
    out.into_iter().map(|(_, offer)| offer).collect()
}

/// Takes an offer: the hole is set, and a circle that shows it is no longer cut itself.
pub fn take_offer(profile: &Profile, job: &mut Job, offer: &StartOffer) {
    let Some(c) = profile.contours().get(offer.contour) else {
        return;
    };
    job.choose(contour_key(c), |choice| choice.hole = Some(offer.hole));
    if let Shown::Circle { contour, .. } = offer.shown
        && let Some(circle) = profile.contours().get(contour)
    {
        job.left_out.insert(contour_key(circle));
    }
}

/// The cut contour whose waste a point lies in, and its distance from it, mm. `but` is looked through.
fn waste_of(
    profile: &Profile,
    job: &Job,
    boxes: &[Bounds],
    p: Point,
    but: Option<usize>,
) -> Option<(usize, f64)> {
    let around = |k: usize| boxes[k].contains(p) && profile.contours()[k].shape.winding(p) != 0;
    let innermost = (0..boxes.len())
        .filter(|&k| Some(k) != but && around(k))
        .max_by_key(|&k| profile.contours()[k].depth);
    let room = |k: usize| {
        let near = profile.contours()[k].shape.nearest(p);
        near.map_or(f64::INFINITY, |n| n.distance)
    };
    let cut = |k: usize| job.cuts(&profile.contours()[k]);
    // Inside an opening: its own waste, unless an outline in the same waste lies nearer.
    let opening = innermost.filter(|&k| job.role(profile, k) == Role::Opening && cut(k));
    let waste_here = innermost.is_none_or(|k| job.role(profile, k) == Role::Opening);
    let outline = (0..boxes.len())
        .filter(|&k| {
            waste_here
                && Some(k) != but
                && profile.contours()[k].parent == innermost
                && job.role(profile, k) == Role::Outline
                && cut(k)
                && boxes[k].grown(NEAR_OUTLINE).contains(p)
        })
        .map(|k| (k, room(k)))
        .filter(|&(_, room)| room <= NEAR_OUTLINE)
        .min_by(|a, b| a.1.total_cmp(&b.1));
    match (opening.map(|k| (k, room(k))), outline) {
        (Some(a), Some(b)) => Some(if b.1 < a.1 { b } else { a }),
        (a, b) => a.or(b),
    }
}
