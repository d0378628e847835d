//! Marks of the import's findings where they lie, what an offer would change, and the parts.

use super::baked::Seen;
use super::gather::{Gathered, Place, gather, in_sight, nearest};
use super::ink::Ink;
use crate::drawing::{Fault, Offer, Severity};
use crate::gui::open_file::{OpenFile, Spot};
use crate::gui::scene::{Placement, near};
use crate::gui::state::{Pointed, View};
use crate::gui::theme::{SMALL, Tokens, strong_family};
use crate::words::System;
use crate::words::findings::sentence;
use egui::emath::{Align2, Pos2, Rect, Vec2, pos2, vec2};
use egui::{Color32, FontId, Painter, Shape, Stroke};

/// How near the pointer must come to a mark, points.
const REACH: f32 = 8.0;
/// More parts than this go without numbers on the drawing.
const MOST_PARTS: usize = 2000;
/// A part smaller than this on the screen goes without its number, points.
const LEAST_PART: f32 = 60.0;
/// Half the width of a mark, points.
const SIZE: f32 = 5.5;

/// Places that are marked: those of findings that want a look, and those of the one selected.
fn marked(file: &OpenFile) -> impl Iterator<Item = (Spot, Severity)> {
    let selected = file.spot.map(|s| s.finding);
    let findings = file.drawing.findings.iter().enumerate();
    findings
        // Parts carry their numbers.
        .filter(move |(k, f)| {
            (f.severity() != Severity::Note && f.fault != Fault::SeveralParts)
                || selected == Some(*k)
        })
        .flat_map(|(finding, f)| {
            (0..f.at.len()).map(move |place| (Spot { finding, place }, f.severity()))
        })
}

/// Marks within so many points of each other are one mark with their number.
pub const CLUSTER: f32 = 24.0;

/// Steps of the scale by which marks join, powers of two: so the distance is right within a tenth.
const STEP: f32 = 0.25;

/// Marks that lie together on the screen.
pub struct Cluster {
    /// Where the mark stands, mm about the model's centre.
    at: Pos2,
    severity: Severity,
    /// The heaviest first.
    spots: Vec<Spot>,
}

/// What the marks depend on, for one drawing: about how near to each other they lie, and the finding that is selected.
pub type ClusterKey = (f32, Option<usize>);

/// The key of the marks as they are seen.
pub fn cluster_key(file: &OpenFile, placement: Placement) -> ClusterKey {
    (stepped(placement.scale), file.spot.map(|s| s.finding))
}

/// A scale by steps, so that marks do not change their company at every turn of a wheel.
pub fn stepped(scale: f32) -> f32 {
    ((scale.log2() / STEP).round() * STEP).exp2()
}

/// Everything that is marked, those close together as one.
pub fn clusters(file: &OpenFile, (scale, _): ClusterKey) -> Vec<Cluster> {
    let wide = CLUSTER / scale;
    let mut all: Vec<_> = marked(file)
        .filter_map(|(spot, severity)| {
            let at = near(file.place_of(spot)?, file.model.centre);
            Some((spot, severity, Place { at, wide }))
        })
        .collect();
    // The heaviest first, and equal ones in the order of the report.
    all.sort_by_key(|m| std::cmp::Reverse(m.1));
    let places: Vec<Place> = all.iter().map(|m| m.2).collect();
    let cluster = |g: Gathered| Cluster {
        at: g.at,
        severity: all[g.places[0]].1,
        spots: g.places.iter().map(|k| all[*k].0).collect(),
    };
    gather(&places, wide).into_iter().map(cluster).collect()
}

/// Those in a part of the screen, and where they are seen.
fn seen(all: &[Cluster], view: Seen, sight: Rect) -> impl Iterator<Item = (&Cluster, Pos2)> {
    in_sight(all, view, sight, |c| c.at)
}

/// The mark under the pointer; of several together the heaviest.
pub fn mark_at(all: &[Cluster], view: (Placement, Rect), at: Pos2) -> Option<Spot> {
    let around = Rect::from_center_size(at, egui::Vec2::splat(2.0 * REACH));
    let cluster = nearest(seen(all, view, around), at, REACH)?;
    cluster.spots.first().copied()
}

/// What a mark stands for.
pub fn words(file: &OpenFile, spot: Spot, system: System) -> String {
    let finding = file.drawing.findings.get(spot.finding);
    finding.map_or_else(String::new, |f| sentence(f, system))
}

/// What the signs of the marks depend on beside the view: the place that is selected, and the theme.
pub type SignKey = (ClusterKey, Option<Spot>, bool);

/// The signs of all marks in sight.
pub fn signs(
    all: &[Cluster],
    ink: &mut Ink,
    (placement, rect): Seen,
    spot: Option<Spot>,
    t: &Tokens,
) {
    for (c, at) in seen(all, (placement, rect), rect.expand(2.0 * SIZE)) {
        if spot.is_some_and(|spot| c.spots.contains(&spot)) {
            ink.ring(at, 3.0 * SIZE, Stroke::new(2.0, t.text));
        }
        for stroke in strokes(colour(c.severity, t), t.canvas) {
            ink.around(at, &DIAMOND, stroke);
        }
    }
}

/// How many are one mark, and what the pointer is on in the report. Where words lie, which nothing else may cover.
pub fn paint(
    painter: &Painter,
    all: &[Cluster],
    (placement, rect): (Placement, Rect),
    view: &View<'_>,
    t: &Tokens,
) -> Vec<Rect> {
    let file = view.file;
    let mut words = Vec::new();
    let several = seen(all, (placement, rect), rect.expand(2.0 * SIZE));
    for (c, at) in several.filter(|(c, _)| c.spots.len() > 1) {
        let at = at + vec2(SIZE + 4.0, 0.0);
        words.push(number(painter, at, c.spots.len(), colour(c.severity, t), t));
    }
    if let Some(spot) = file.spot {
        let finding = file.drawing.findings.get(spot.finding);
        for offer in finding.into_iter().flat_map(|f| &f.offers) {
            change(painter, offer, file, (placement, rect), (1.4, t.accent), t);
        }
    }
    match view.pointed.get() {
        Some(Pointed::Offers(one, other)) => {
            for offer in [Some(one), other].into_iter().flatten() {
                change(painter, &offer, file, (placement, rect), (2.6, t.accent), t);
            }
        }
        Some(Pointed::Part(_)) | None => {}
    }
    parts(painter, (placement, rect), &mut words, view, t);
    words
}

/// How many one mark stands for, beside it on a ground of its own; where it lies.
pub fn number(painter: &Painter, at: Pos2, count: usize, ink: Color32, t: &Tokens) -> Rect {
    let font = FontId::new(SMALL - 0.5, strong_family());
    let galley = painter.layout_no_wrap(count.to_string(), font, ink);
    let place = Align2::LEFT_CENTER.anchor_size(at, galley.size());
    painter.rect_filled(
        place.expand2(vec2(1.5, -1.0)),
        2,
        t.canvas.gamma_multiply(0.8),
    );
    painter.galley(place.min, galley, ink);
    place
}

/// Numbers of several parts, and a box around the one that the pointer is on in the list.
fn parts(
    painter: &Painter,
    (placement, rect): (Placement, Rect),
    words: &mut Vec<Rect>,
    view: &View<'_>,
    t: &Tokens,
) {
    let file = view.file;
    let parts = &file.drawing.parts;
    if !(2..=MOST_PARTS).contains(&parts.len()) {
        return;
    }
    let taken = file.part_taken();
    let mut named = Vec::new();
    for (k, part) in parts.iter().enumerate() {
        let corner = |p| near(p, file.model.centre);
        let bounds = Rect::from_two_pos(corner(part.bounds.min), corner(part.bounds.max));
        let seen = placement.rect_to_screen(rect, bounds).expand(6.0);
        let pointed = view.pointed.get() == Some(Pointed::Part(k));
        if !seen.intersects(rect) || !(pointed || seen.width().max(seen.height()) > LEAST_PART) {
            continue;
        }
        let colour = if pointed || taken == Some(k) {
            t.text
        } else if taken.is_some() {
            t.left_out
        } else {
            t.text_soft
        };
        if pointed {
            let stroke = Stroke::new(1.5, t.text);
            painter.rect_stroke(seen, 3, stroke, egui::StrokeKind::Outside);
        }
        let at = pos2(
            seen.right().min(rect.right() - 8.0),
            seen.top().max(rect.top() + 18.0),
        );
        let font = FontId::new(SMALL + 0.5, strong_family());
        let text = say!("part {}", k + 1);
        let galley = painter.layout_no_wrap(text, font, colour);
        let place = Align2::RIGHT_BOTTOM.anchor_size(at, galley.size());
        if pointed || taken == Some(k) || !named.iter().any(|n: &Rect| n.intersects(place)) {
            painter.galley(place.min, galley, colour);
            named.push(place);
        }
    }
    words.extend(named);
}

fn colour(severity: Severity, t: &Tokens) -> Color32 {
    match severity {
        Severity::Note => t.text_soft,
        Severity::Check => t.warn,
        Severity::Refuse => t.fault,
    }
}

/// A hollow diamond, seen on any ground.
pub fn mark(painter: &Painter, at: Pos2, colour: Color32, ground: Color32) {
    let corners = DIAMOND.map(|d| at + d).to_vec();
    let diamond = |stroke| Shape::closed_line(corners.clone(), stroke);
    painter.extend(strokes(colour, ground).map(diamond));
}

const DIAMOND: [Vec2; 4] = [
    vec2(0.0, -SIZE),
    vec2(SIZE, 0.0),
    vec2(0.0, SIZE),
    vec2(-SIZE, 0.0),
];

fn strokes(colour: Color32, ground: Color32) -> [Stroke; 2] {
    [(4.0, ground), (1.8, colour)].map(|(width, colour)| Stroke::new(width, colour))
}

/// From where an end lies to where it would lie: an arrow, long enough to be seen.
fn change(
    painter: &Painter,
    offer: &Offer,
    file: &OpenFile,
    (placement, rect): (Placement, Rect),
    (width, colour): (f32, Color32),
    t: &Tokens,
) {
    let place = |p| placement.to_screen(rect, near(p - file.profile.origin(), file.model.centre));
    let (from, to) = (place(offer.from), place(offer.to));
    if !rect.expand(20.0).contains(to) && !rect.expand(20.0).contains(from) {
        return;
    }
    let way = to - from;
    let stroke = Stroke::new(width, colour);
    if way.length() > 1.0 {
        painter.line_segment([from, to], Stroke::new(width + 3.0, t.canvas));
        painter.line_segment([from, to], stroke);
        let along = way.normalized();
        let side = vec2(-along.y, along.x);
        if way.length() > 10.0 {
            for s in [side, -side] {
                painter.line_segment([to, to - along * 7.0 + s * 4.0], stroke);
            }
        }
        painter.line_segment([from - side * 5.0, from + side * 5.0], stroke);
    }
    painter.circle(to, 3.0 + width, t.canvas, stroke);
    painter.circle_filled(to, 1.5, colour);
}

/// The word for a mark in the legend of line styles.
pub fn legend_words(file: &OpenFile) -> Option<String> {
    let n = marked(file).count();
    (n > 0)
        .then(|| crate::words::style::count(n, say!("place to look at"), say!("places to look at")))
}

/// Colour of the heaviest finding that is marked.
pub fn legend_colour(file: &OpenFile, t: &Tokens) -> Color32 {
    let heaviest = marked(file).map(|m| m.1).max();
    heaviest.map_or(t.text_soft, |s| colour(s, t))
}
