//! Arcs that a drawing holds as chains of short lines become arcs again.
//!
//! Without this every facet would count as a corner, offsets would carry thousands of vertices and
//! times would be wrong. Vertices are walked once; from each the longest line or arc is taken whose
//! distance to the drawn vertices stays within [`VERTEX_TOLERANCE`].

use super::contour::{Contour, Vertex};
use super::point::Point;
use super::segment::Segment;

/// Farthest distance of a drawn vertex from the arc that replaces it, mm. Drawings write three
/// decimals of a millimetre or better.
pub const VERTEX_TOLERANCE: f64 = 1e-3;
/// Turns up to this are taken as facets of an arc, radians (16°: a full turn in 23 chords or more).
const SMOOTH_TURN: f64 = 16.0 * std::f64::consts::PI / 180.0;
/// Sharper turns up to this are facets too where the arc bulges less than [`FLAT_SAGITTA`] (46°:
/// small circles in 8 chords).
const FLAT_TURN: f64 = 46.0 * std::f64::consts::PI / 180.0;
/// Sagitta of a facet that no machinist would see, mm.
const FLAT_SAGITTA: f64 = 0.01;
/// Fewer chords than this could be anything.
const FEWEST_CHORDS: usize = 3;
/// Chords of a closed polygon from which it is taken as a full circle.
const FEWEST_CIRCLE_CHORDS: usize = 12;
/// One tessellated arc has chords of like length: the longest against the mean of the others.
const UNEVEN_CHORDS: f64 = 3.0;
/// Lines are merged where the vertex between them lies within this share of the tolerance.
const COLLINEAR_SHARE: f64 = 0.2;
/// A chord this many times as long as its neighbour is a line that facets meet, and the vertex between them ends both
/// (judgement).
const LONG_LINE: f64 = 4.0;
/// Where a long line goes on with less turn than this it is one line cut in two, radians: rounding moves its end by a
/// nanometre in 10 mm.
const NO_TURN: f64 = 1e-7;
/// Three points span a circle where twice their triangle's area is more than this, mm²; else they lie on one line, on one
/// spot, or are no numbers.
const NO_CIRCLE: f64 = 1e-12;
/// Once around a circle the chords turn by exactly a full turn, radians. What is no circle misses it by a whole turn, so
/// any width between rounding and that would do.
const AROUND_ONCE: f64 = 1e-6;
/// Between ends nearer than this there is no direction, mm.
const NO_CHORD: f64 = 1e-9;
/// A change of bulge moves a vertex at an end of the arc by nothing; by this, mm, where that has to be divided by.
const LEAST_MOVED: f64 = 1e-12;
/// Turns of a facet against its arc times the arc's bulge that are still rounding, radians.
const AGAINST_THE_ARC: f64 = 1e-6;

/// The contour with its chains of facets replaced by lines and arcs; drawn arcs stay as they are.
#[must_use]
pub fn recover_arcs(contour: &Contour) -> Contour {
    recover_arcs_unless(contour, &|| false).unwrap_or_else(|| contour.clone())
}

/// As [`recover_arcs`]; `None` as soon as `stop` says so.
pub fn recover_arcs_unless(contour: &Contour, stop: &dyn Fn() -> bool) -> Option<Contour> {
    if stop() {
        return None;
    }
    if contour.len() < 4 {
        return Some(contour.clone());
    }
    let breaks = break_points(contour);
    let start = match breaks.iter().position(|&b| b) {
        Some(first) => first,
        None => match full_circle(contour) {
            Some(circle) => return Some(circle),
            None => sharpest(contour),
        },
    };
    let chain = Chain::starting_at(contour, &breaks, start);
    let mut out = Vec::new();
    let mut i = 0;
    while i < contour.len() {
        if stop() {
            return None;
        }
        let (next, bulge) = chain.longest_from(i);
        out.push(Vertex {
            at: chain.at[i],
            bulge,
        });
        i = next;
    }
    Some(merge_lines(out))
}

/// Which vertices no line or arc may pass: ends of drawn arcs, corners, and where a long line meets
/// short facets.
fn break_points(contour: &Contour) -> Vec<bool> {
    let v = contour.vertices();
    let n = v.len();
    (0..n)
        .map(|i| {
            let before = &v[(i + n - 1) % n];
            if v[i].bulge != 0.0 || before.bulge != 0.0 {
                return true;
            }
            let (u, w) = (v[i].at - before.at, v[(i + 1) % n].at - v[i].at);
            let turn = u.turn_to(w).abs();
            let (short, long) = (u.norm().min(w.norm()), u.norm().max(w.norm()));
            (long > LONG_LINE * short && turn > NO_TURN) || !is_facet(turn, short)
        })
        .collect()
}

/// Whether a turn beside a chord may belong to a tessellated arc.
fn is_facet(turn: f64, chord: f64) -> bool {
    let sagitta = chord / 2.0 * (turn / 4.0).tan();
    turn <= SMOOTH_TURN || (turn <= FLAT_TURN && sagitta <= FLAT_SAGITTA)
}

/// Where to start on a chain without corners: the vertex that bends most for its chords.
fn sharpest(contour: &Contour) -> usize {
    let v = contour.vertices();
    let n = v.len();
    let bend = |i: usize| {
        let (u, w) = (v[i].at - v[(i + n - 1) % n].at, v[(i + 1) % n].at - v[i].at);
        u.turn_to(w).abs() / (u.norm() + w.norm())
    };
    (0..n)
        .max_by(|&a, &b| bend(a).total_cmp(&bend(b)))
        .unwrap_or(0)
}

/// All vertices on one circle: that circle.
fn full_circle(contour: &Contour) -> Option<Contour> {
    let v = contour.vertices();
    let n = v.len();
    if n < FEWEST_CIRCLE_CHORDS {
        return None;
    }
    let a = v[0].at;
    let (u, w) = (v[n / 3].at - a, v[2 * n / 3].at - a);
    let d = 2.0 * u.cross(w);
    if d.abs() < NO_CIRCLE {
        return None;
    }
    let (uu, ww) = (u.dot(u), w.dot(w));
    let centre = a + Point::new(w.y * uu - u.y * ww, u.x * ww - w.x * uu) * (1.0 / d);
    let radius = v.iter().map(|p| p.at.distance(centre)).sum::<f64>() / n as f64;
    if v.iter()
        .any(|p| (p.at.distance(centre) - radius).abs() > VERTEX_TOLERANCE)
    {
        return None;
    }
    // A star that runs around several times or to and fro is no circle.
    let turned: f64 = (0..n)
        .map(|i| (v[i].at - centre).turn_to(v[(i + 1) % n].at - centre))
        .sum();
    if (turned.abs() - std::f64::consts::TAU).abs() > AROUND_ONCE {
        return None;
    }
    let circle = Contour::circle(centre, radius);
    Some(if turned > 0.0 {
        circle
    } else {
        circle.reversed()
    })
}

/// The contour cut open at a break, its first vertex repeated at the end.
struct Chain {
    at: Vec<Point>,
    bulge: Vec<f64>,
    /// For each vertex the next one that may not be passed.
    limit: Vec<usize>,
}

impl Chain {
    fn starting_at(contour: &Contour, breaks: &[bool], start: usize) -> Self {
        let n = contour.len();
        let v = contour.vertices();
        let mut limit = vec![n; n];
        for i in (0..n.saturating_sub(1)).rev() {
            limit[i] = if breaks[(start + i + 1) % n] {
                i + 1
            } else {
                limit[i + 1]
            };
        }
        Self {
            at: (0..=n).map(|k| v[(start + k) % n].at).collect(),
            bulge: (0..n).map(|k| v[(start + k) % n].bulge).collect(),
            limit,
        }
    }

    /// The farthest vertex that one line or arc reaches from vertex `i`, and its bulge.
    ///
    /// Tries spans that double in length, then halves the last step.
    fn longest_from(&self, i: usize) -> (usize, f64) {
        if self.bulge[i] != 0.0 {
            return (i + 1, self.bulge[i]);
        }
        let limit = self.limit[i];
        let mut best = (i + 1, 0.0);
        for span in [2, FEWEST_CHORDS, FEWEST_CHORDS + 1] {
            if i + span <= limit
                && let Some(bulge) = self.fit(i, i + span)
            {
                best = (i + span, bulge);
            }
        }
        let mut step = 1;
        while best.0 < limit {
            let reach = (best.0 + step).min(limit);
            if let Some(bulge) = self.fit(i, reach) {
                best = (reach, bulge);
                step *= 2;
                continue;
            }
            let mut too_far = reach;
            while too_far - best.0 > 1 {
                let middle = usize::midpoint(best.0, too_far);
                match self.fit(i, middle) {
                    Some(bulge) => best = (middle, bulge),
                    None => too_far = middle,
                }
            }
            break;
        }
        best
    }

    /// Bulge of the line or arc through vertices `i` and `j` that passes all in between.
    fn fit(&self, i: usize, j: usize) -> Option<f64> {
        let chord = self.at[j] - self.at[i];
        if j == i + 1 {
            return Some(0.0);
        }
        if chord.norm() < NO_CHORD {
            return None;
        }
        if self.is_line(i, j, chord) {
            return Some(0.0);
        }
        if j - i < FEWEST_CHORDS {
            return None;
        }
        let bulge = self.middle_bulge(i, j, chord)?;
        let arc = Segment::new(self.at[i], self.at[j], bulge);
        (self.is_near(i, j, &arc) && self.turns_one_way(i, j, bulge) && self.is_even(i, j, &arc))
            .then_some(bulge)
    }

    fn is_line(&self, i: usize, j: usize, chord: Point) -> bool {
        let length = chord.norm();
        let mut last = 0.0;
        self.at[i + 1..j].iter().all(|&p| {
            let q = p - self.at[i];
            let along = q.dot(chord) / length;
            let forward = along >= last;
            last = along;
            forward && (chord.cross(q) / length).abs() <= VERTEX_TOLERANCE
        })
    }

    /// The middle of the bulges that pass every vertex within the tolerance.
    ///
    /// A vertex seen from both ends under an angle implies the bulge of the arc through it (inscribed
    /// angle); its tolerance on the bulge follows from how far a change of bulge moves the arc there.
    fn middle_bulge(&self, i: usize, j: usize, chord: Point) -> Option<f64> {
        let length = chord.norm();
        let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
        for &p in &self.at[i + 1..j] {
            let (u, w) = (p - self.at[i], self.at[j] - p);
            let implied = (u.turn_to(w) / 2.0).tan();
            let along = (u.dot(chord) / (length * length)).clamp(0.0, 1.0);
            let moved = (2.0 * along * (1.0 - along) * length).max(LEAST_MOVED);
            let moved = moved.min(2.0 * u.norm().min(w.norm())).max(LEAST_MOVED);
            low = low.max(implied - VERTEX_TOLERANCE / moved);
            high = high.min(implied + VERTEX_TOLERANCE / moved);
            if low > high {
                return None;
            }
        }
        let bulge = 0.5 * (low + high);
        (bulge.is_finite() && bulge.abs() <= 1.0).then_some(bulge)
    }

    fn is_near(&self, i: usize, j: usize, arc: &Segment) -> bool {
        self.at[i + 1..j]
            .iter()
            .all(|&p| arc.nearest_point(p).distance(p) <= VERTEX_TOLERANCE)
    }

    /// No facet turns against the arc by more than rounding explains.
    fn turns_one_way(&self, i: usize, j: usize, bulge: f64) -> bool {
        (i + 1..j).all(|k| {
            let (u, w) = (self.at[k] - self.at[k - 1], self.at[k + 1] - self.at[k]);
            let turn = u.turn_to(w);
            // Both ends of both chords may lie off by the tolerance: together four times it across the shorter one.
            turn * bulge >= -AGAINST_THE_ARC
                || u.norm().min(w.norm()) * turn.abs() <= 4.0 * VERTEX_TOLERANCE
        })
    }

    /// Chords of one length, and the longest of them still a facet of this arc.
    fn is_even(&self, i: usize, j: usize, arc: &Segment) -> bool {
        let chords = (i..j).map(|k| self.at[k].distance(self.at[k + 1]));
        let (longest, sum) = chords.fold((0.0_f64, 0.0), |(m, s), c| (m.max(c), s + c));
        let others = (sum - longest) / (j - i - 1) as f64;
        let turn = 2.0 * (longest / (2.0 * arc.radius())).min(1.0).asin();
        longest <= UNEVEN_CHORDS * others && is_facet(turn, longest)
    }
}

/// Neighbouring lines that continue each other become one, over the start of the chain too.
fn merge_lines(chain: Vec<Vertex>) -> Contour {
    let mut kept: Vec<Vertex> = Vec::with_capacity(chain.len());
    let passes = |a: &Vertex, b: &Vertex, c: Point| {
        if a.bulge != 0.0 || b.bulge != 0.0 {
            return false;
        }
        let (u, w) = (b.at - a.at, c - a.at);
        let length = w.norm();
        let along = u.dot(w) / length;
        (u.cross(w) / length).abs() < COLLINEAR_SHARE * VERTEX_TOLERANCE
            && along > 0.0
            && along < length
    };
    for v in chain {
        while let [.., a, b] = kept[..]
            && passes(&a, &b, v.at)
        {
            kept.pop();
        }
        kept.push(v);
    }
    if let [first, second, _, .., last] = kept[..] {
        if passes(&last, &first, second.at) {
            kept.remove(0);
        } else if let [.., before, last] = kept[..]
            && passes(&before, &last, first.at)
        {
            kept.pop();
        }
    }
    Contour::new(kept)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{FRAC_PI_2, TAU};

    fn chords(n: usize, radius: f64) -> Vec<(f64, f64)> {
        (0..n)
            .map(|k| {
                let p = Point::at_angle(TAU * k as f64 / n as f64) * radius;
                (p.x, p.y)
            })
            .collect()
    }

    #[test]
    fn a_circle_in_chords_becomes_two_half_circles() {
        for n in [36, 72, 360] {
            let c = recover_arcs(&Contour::polygon(&chords(n, 20.0)));
            assert_eq!(c.len(), 2, "{n} chords");
            assert!((c.length() - 40.0 * std::f64::consts::PI).abs() < 1e-6);
        }
    }

    #[test]
    fn a_rounded_rectangle_in_chords_becomes_four_lines_and_four_arcs() {
        let mut p = Vec::new();
        for (k, (x, y)) in [(40.0, 20.0), (5.0, 20.0), (5.0, 5.0), (40.0, 5.0)]
            .into_iter()
            .enumerate()
        {
            for step in 0..=9 {
                let angle = FRAC_PI_2 * (k as f64 + f64::from(step) / 9.0);
                let q = Point::new(x, y) + Point::at_angle(angle) * 5.0;
                p.push((q.x, q.y));
            }
        }
        let c = recover_arcs(&Contour::polygon(&p));
        assert_eq!(c.len(), 8);
        assert_eq!(c.segments().filter(|s| !s.is_straight()).count(), 4);
        assert!(
            c.segments()
                .filter(|s| !s.is_straight())
                .all(|s| (s.radius() - 5.0).abs() < 2e-3)
        );
    }

    #[test]
    fn corners_stay() {
        let square = Contour::polygon(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]);
        assert_eq!(recover_arcs(&square), square);
        let hexagon = Contour::polygon(&chords(6, 10.0));
        assert_eq!(recover_arcs(&hexagon).len(), 6);
    }
}
