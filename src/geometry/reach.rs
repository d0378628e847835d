//! Where a round wire, kept on one side of a contour, cannot touch it.
//!
//! A point of the contour is reached if and only if it lies within the wire's reach of the centre path.
//! The centre path itself is the parallel curve at that reach, so sharp inside corners, fillets that are
//! too tight and slots that are too narrow all show up the same way.

use super::contour::Contour;
use super::path_index::{Around, PathIndex};
use super::point::{Bounds, Point};
use super::segment::Segment;
use super::walk::Walk;
use crate::progress::look;
use std::cell::OnceCell;

/// Depths below this are rounding and no uncut material, mm.
pub const REACH_TOLERANCE: f64 = 1e-3;
/// Arcs are about one centre where theirs are so near, mm: a thousandth of the tolerance.
const ONE_CENTRE: f64 = 1e-3 * REACH_TOLERANCE;
/// Distance between samples along lines, mm; corners and arcs are sampled more finely.
const STEP: f64 = 0.5;
/// Samples of one contour at most, but for two a segment: contours of many metres are sampled more coarsely.
const MOST_SAMPLES: f64 = 100_000.0;

/// A stretch of the contour that is left standing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unreached {
    /// The deepest point, mm.
    pub at: Point,
    /// Distance along the contour where it begins, mm; may be negative where it straddles vertex 0.
    pub from: f64,
    /// Distance along the contour where it ends, mm.
    pub to: f64,
    /// How far the contour lies beyond reach, mm; infinite where the wire cannot enter at all.
    pub depth: f64,
    /// Area left standing, mm².
    pub area: f64,
}

/// Whether a path's segment may be a parallel of a contour's: a line beside a line, or an arc about the same centre and
/// large enough that nothing about it lies across from the contour's.
fn runs_beside(s: &Segment, path: &Segment, reach: f64) -> bool {
    match (s.centre(), path.centre()) {
        (None, None) => true,
        (Some(c), Some(d)) => {
            let between = (s.radius() - path.radius()).abs();
            c.distance(d) <= ONE_CENTRE
                && between <= reach + 0.5 * REACH_TOLERANCE
                && path.radius() > 4.0 * (reach + REACH_TOLERANCE)
        }
        _ => false,
    }
}

/// Whether a parallel reaches a place.
fn reaches(path: &Segment, p: Point, reach: f64) -> bool {
    path.nearest_point(p).distance(p) - reach <= REACH_TOLERANCE
}

/// The path's segments in their order, where the parallel of a contour's next segment is mostly that of the last one's
/// neighbour: no index is asked, and none is made where nothing stands.
struct Beside {
    segments: Vec<Segment>,
    /// Place of the last parallel.
    at: usize,
    index: OnceCell<PathIndex>,
}

/// Neighbours looked at, nearest first: a path has arcs about outer corners, and lacks what an inner one takes.
const NEIGHBOURS: [isize; 6] = [1, 2, 0, 3, -1, -2];

impl Beside {
    fn of(path: &[Contour]) -> Self {
        Self {
            segments: path.iter().flat_map(Contour::segments).collect(),
            at: 0,
            index: OnceCell::new(),
        }
    }
    fn index(&self) -> &PathIndex {
        let new = || PathIndex::of(self.segments.iter().copied());
        self.index.get_or_init(new)
    }
    /// Whether a neighbour of the last parallel reaches all of a segment, of which these are places from its start on.
    fn reaches_all(&mut self, s: &Segment, places: &[Point], reach: f64) -> bool {
        let count = self.segments.len();
        for step in NEIGHBOURS {
            let at = (self.at + count).saturating_add_signed(step) % count.max(1);
            let Some(path) = self.segments.get(at) else {
                continue;
            };
            // The ends first: they tell most others apart.
            let all = |p: &Point| reaches(path, *p, reach);
            if places.iter().all(all) && runs_beside(s, path, reach) {
                self.at = at;
                return true;
            }
        }
        false
    }
}

/// The last of samples from one on, up to the last of all, that a parallel reaches, when it reaches all between.
///
/// The distance from a line grows to both sides, so what it reaches of another line is one stretch; of two arcs of at
/// most a half turn about one centre it is one, too, unless they lie across from each other, and then the middle is out.
fn reached_by_parallel(first: usize, last: usize, is_reached: impl Fn(usize) -> bool) -> usize {
    let mut to = last;
    if !is_reached(last) {
        let (mut near, mut far) = (first, last);
        while far - near > 1 {
            let middle = near.midpoint(far);
            if is_reached(middle) {
                near = middle;
            } else {
                far = middle;
            }
        }
        to = near;
    }
    if is_reached(first.midpoint(to)) {
        to
    } else {
        first
    }
}

/// Stretches of `contour` farther than `reach` mm from the wire centre's path.
pub fn unreached(contour: &Contour, path: &[Contour], reach: f64) -> Vec<Unreached> {
    if path.is_empty() {
        return vec![Unreached {
            at: contour.vertices().first().map_or(Point::ORIGIN, |v| v.at),
            from: 0.0,
            to: contour.length(),
            depth: f64::INFINITY,
            area: contour.area(),
        }];
    }
    if let ([only], Some(drawn)) = (path, contour.as_circle())
        && only.as_circle().is_some_and(|p| lies_at(drawn, p, reach))
    {
        return Vec::new();
    }
    let mut beside = Beside::of(path);
    let walk = Walk::new(contour);
    let mut spans = raw_spans(&walk, &mut beside, reach);
    if spans.is_empty() {
        return spans;
    }
    let index = beside.index();
    let total = walk.length();
    // A span that ends at the seam and one that begins there are one.
    if spans.len() > 1 {
        let last = spans[spans.len() - 1];
        if spans[0].from <= 0.0 && last.to >= total {
            let first = &mut spans[0];
            first.from = last.from - total;
            if last.depth > first.depth {
                first.depth = last.depth;
                first.at = last.at;
            }
            spans.pop();
        }
    }
    for s in &mut spans {
        look();
        let mut place = Bounds::EMPTY;
        walk.parts(s.from, s.to)
            .for_each(|(_, part)| place.include_bounds(&part.bounds()));
        // No place of the span is farther from the path than its deepest sample and the way to there.
        let within = reach + s.depth + (s.to - s.from);
        let around = index.around(&place, (within, within));
        let mut centre = around.nearest(s.at);
        if !centre.is_some_and(|c| is_deepest_in_corner(&walk, s, c)) {
            find_deepest(&walk, s, &|p| around.distance(p) - reach);
            centre = around.nearest(s.at);
        }
        s.area = centre.map_or(0.0, |c| uncut_area(&walk, s, c, reach));
    }
    spans
}

/// Whether the deepest sample of a span is its deepest place, where its path is nearest at `centre`: of straight lines no
/// place is farther from one than the farther of two ends, and from the path none is farther than from there.
fn is_deepest_in_corner(walk: &Walk, span: &Unreached, centre: Point) -> bool {
    let farthest = span.at.distance(centre);
    let near = |p: Point| p.distance(centre) <= farthest;
    let mut parts = walk.parts(span.from, span.to);
    parts.all(|(_, part)| part.is_straight() && near(part.a) && near(part.b))
}

/// Looks between the samples: on a fillet the deepest point is its middle, which no sample need hit.
fn find_deepest(walk: &Walk, span: &mut Unreached, beyond: &dyn Fn(Point) -> f64) {
    const SAMPLES: usize = 16;
    /// Steps of a ternary search: 40 times two thirds leave less than a ten-millionth, a nanometre of any spot.
    const THIRDS: usize = 40;
    let step = (span.to - span.from) / SAMPLES as f64;
    let depth_at = |along: f64| {
        let at = walk.point_at(along);
        (beyond(at), at)
    };
    let mut best = (span.depth, span.at);
    let mut around = None;
    for i in 0..=SAMPLES {
        let along = span.from + step * i as f64;
        let found = depth_at(along);
        if found.0 > best.0 {
            best = found;
            around = Some(along);
        }
    }
    let Some(middle) = around else { return };
    let (mut low, mut high) = (middle - step, middle + step);
    for _ in 0..THIRDS {
        let (a, b) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
        let (at_a, at_b) = (depth_at(a), depth_at(b));
        for found in [at_a, at_b] {
            if found.0 > best.0 {
                best = found;
            }
        }
        if at_a.0 < at_b.0 {
            low = a;
        } else {
            high = b;
        }
    }
    (span.depth, span.at) = best;
}

/// Whether a circle is a parallel of another one, so that a wire that runs there reaches all of it.
fn lies_at((centre, radius): (Point, f64), (c, r): (Point, f64), reach: f64) -> bool {
    (radius - r).abs() + centre.distance(c) <= reach + 0.5 * REACH_TOLERANCE
}

fn raw_spans(walk: &Walk, beside: &mut Beside, reach: f64) -> Vec<Unreached> {
    let near = reach + 2.0 * REACH_TOLERANCE;
    // In a square corner the contour lies √2 times the reach from the path.
    let within = 1.5 * reach + 2.0 * REACH_TOLERANCE;
    let mut out = Vec::new();
    let mut open: Option<Unreached> = None;
    let mut start = 0.0;
    let coarsest = STEP.max(walk.length() / MOST_SAMPLES);
    for s in walk.segments() {
        look();
        let length = s.length();
        let step = if s.is_straight() {
            coarsest
        } else {
            coarsest.min(s.radius() / 4.0)
        };
        let n = ((length / step).ceil() as usize).clamp(2, 4000);
        let place = |i: usize| length * i as f64 / n as f64;
        // What a parallel reaches of a line or arc need not be sampled: it is most of a contour.
        let ends = [0, n - 1, (n - 1) / 2].map(|i| s.point_at(place(i)));
        if beside.reaches_all(s, &ends, reach) {
            if let Some(mut span) = open.take() {
                span.to = start;
                out.push(span);
            }
            start += length;
            continue;
        }
        let around = beside.index().around(&s.bounds(), (near, within));
        let beyond = &|p: Point| around.distance(p) - reach;
        let mut next = 0;
        while next < n {
            let i = next;
            next += 1;
            let along = place(i);
            let p = s.point_at(along);
            let depth = beyond(p);
            if depth > REACH_TOLERANCE {
                let span = open.get_or_insert_with(|| {
                    let from = if i == 0 {
                        start
                    } else {
                        let reached = place(i - 1);
                        start + edge(s, reached, along, &around, reach)
                    };
                    Unreached {
                        at: p,
                        from,
                        to: start + along,
                        depth,
                        area: 0.0,
                    }
                });
                span.to = start + along;
                if depth > span.depth {
                    span.depth = depth;
                    span.at = p;
                }
            } else {
                if let Some(mut span) = open.take() {
                    let was = if i == 0 { 0.0 } else { place(i - 1) };
                    span.to = start + edge(s, along, was, &around, reach);
                    out.push(span);
                }
                if i + 2 < n
                    && let Some(path) = around
                        .nearest_of_few(p)
                        .filter(|t| runs_beside(s, t, reach))
                {
                    let is_reached = |k: usize| reaches(path, s.point_at(place(k)), reach);
                    next = 1 + reached_by_parallel(i, n - 1, is_reached);
                }
            }
        }
        start += length;
    }
    if let Some(mut span) = open {
        span.to = start;
        out.push(span);
    }
    if !out.is_empty() {
        widen_to_vertices(walk, &mut out, beside.index(), reach);
    }
    out
}

/// A span that begins or ends exactly at a vertex reaches back along the neighbouring segment: find how far.
fn widen_to_vertices(walk: &Walk, spans: &mut [Unreached], index: &PathIndex, reach: f64) {
    let (segments, starts) = (walk.segments(), walk.starts());
    let n = segments.len();
    for span in spans {
        let Ok(k) = starts.binary_search_by(|s| s.total_cmp(&span.from)) else {
            continue;
        };
        let before = &segments[(k + n - 1) % n];
        let length = before.length();
        let step = STEP.min(length / 2.0);
        let place = before.part(length - step, length).bounds();
        // The vertex stands no deeper than the span, and the rest of the way no deeper by more than the way.
        let within = reach + span.depth + step;
        let around = index.around(&place, (within, within));
        let beyond = &|p: Point| around.distance(p) - reach;
        if beyond(before.point_at(length - step)) <= REACH_TOLERANCE {
            let inside = length - step;
            span.from = starts[k] - (length - edge(before, inside, length, &around, reach));
        }
    }
}

/// Distance along `s` at which reach ends between a reached and an unreached place, to less than a nanometre.
///
/// False position with the Illinois rule (G. Dahlquist, Å. Björck, Numerical Methods, 1974, 6.3), with a halving in
/// between so that it ends whatever the line is like.
fn edge(s: &Segment, reached: f64, unreached: f64, around: &Around<'_>, reach: f64) -> f64 {
    /// Close enough, mm: of the place, and of the depth, which grows by a tenth of the way at the least.
    const WIDTH: f64 = 5e-10;
    const DEPTH: f64 = 1e-11;
    let over = |along: f64| around.distance(s.point_at(along)) - reach - REACH_TOLERANCE;
    let is_it =
        |along: &f64| (along - reached) * (along - unreached) < 0.0 && over(*along).abs() <= DEPTH;
    if let Some(along) = where_the_wire_turns(s, unreached, around, reach)
        .into_iter()
        .flatten()
        .find(is_it)
    {
        return along;
    }
    let (mut a, mut b) = (reached, unreached);
    let (mut at_a, mut at_b) = (over(a), over(b));
    let mut kept = 0;
    for step in 0..60 {
        if (b - a).abs() <= WIDTH {
            break;
        }
        let straight = (a * at_b - b * at_a) / (at_b - at_a);
        let is_between = (straight - a) * (straight - b) < 0.0;
        let middle = if step % 3 == 2 || !is_between {
            0.5 * (a + b)
        } else {
            straight
        };
        let here = over(middle);
        if here.abs() <= DEPTH {
            return middle;
        }
        // What stays twice counts half, or the other end would hardly move.
        if here > 0.0 {
            (b, at_b) = (middle, here);
            if kept == 1 {
                at_a *= 0.5;
            }
            kept = 1;
        } else {
            (a, at_a) = (middle, here);
            if kept == -1 {
                at_b *= 0.5;
            }
            kept = -1;
        }
    }
    0.5 * (a + b)
}

/// Where a line leaves what the wire reaches from the place of its path that is nearest to an unreached one: in a corner
/// that place is where it turns, and the answer. Nothing for arcs, and where too much is near.
fn where_the_wire_turns(
    s: &Segment,
    unreached: f64,
    around: &Around<'_>,
    reach: f64,
) -> [Option<f64>; 2] {
    let p = s.point_at(unreached);
    let Some(path) = around.nearest_of_few(p).filter(|_| s.is_straight()) else {
        return [None; 2];
    };
    let from = path.nearest_point(p) - s.a;
    let foot = from.dot(s.direction_at(0.0));
    let squared = (reach + REACH_TOLERANCE).powi(2) - (from.dot(from) - foot * foot);
    let half = (squared > 0.0).then(|| squared.sqrt());
    [half.map(|h| foot + h), half.map(|h| foot - h)]
}

/// Where the wire at `centre` touches the contour ahead of a place or behind it, as a distance along: what stands
/// runs on to there, thinner than [`REACH_TOLERANCE`]. The place itself where the wire touches nowhere near.
fn touching(walk: &Walk, along: f64, centre: Point, reach: f64, ahead: bool) -> f64 {
    /// Segments looked at: a stretch this thin is short.
    const NEAR: usize = 64;
    /// Rounding of a path's distance from its contour, mm.
    const ROUNDING: f64 = 1e-6;
    // Beside a line the gap opens as x²/2r, beside a bend towards the wire more slowly.
    let limit = 4.0 * (2.0 * reach * REACH_TOLERANCE).sqrt();
    let segments = walk.segments();
    let n = segments.len();
    let (mut k, mut into) = walk.place(along);
    let mut walked = 0.0;
    for _ in 0..NEAR {
        let Some(s) = segments.get(k).filter(|_| walked <= limit) else {
            break;
        };
        let (p, at) = s.nearest(centre);
        let away = if ahead { at - into } else { into - at };
        if away >= -ROUNDING && (p.distance(centre) - reach).abs() <= ROUNDING {
            let away = walked + away;
            return if ahead { along + away } else { along - away };
        }
        if ahead {
            walked += s.length() - into;
            (k, into) = ((k + 1) % n, 0.0);
        } else {
            walked += into;
            k = (k + n - 1) % n;
            into = segments[k].length();
        }
    }
    along
}

/// Area between the contour and the wire where it turns back.
///
/// Exact where one position of the wire bounds the spot, which is so in every corner and fillet: the
/// contour from end to end, closed over the wire centre, less the wire's sector.
fn uncut_area(walk: &Walk, span: &Unreached, centre: Point, reach: f64) -> f64 {
    let from = touching(walk, span.from, centre, reach, false);
    let to = touching(walk, span.to, centre, reach, true);
    let mut doubled = 0.0;
    let mut ends: Option<(Point, Point)> = None;
    for (_, part) in walk.parts(from, to) {
        doubled += (part.a - centre).cross(part.b - centre) + 2.0 * part.area_beyond_chord();
        ends = Some((ends.map_or(part.a, |e| e.0), part.b));
    }
    let Some((first, last)) = ends else {
        return 0.0;
    };
    let angle = (first - centre).turn_to(last - centre).abs();
    (0.5 * doubled.abs() - 0.5 * reach * reach * angle).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Vertex;
    use crate::geometry::offset::{Side, offset};
    use std::f64::consts::{FRAC_PI_4, FRAC_PI_8, SQRT_2};

    #[test]
    fn a_sharp_corner_leaves_what_theory_says() {
        // 90° and radius r: depth r(√2 − 1), area r²(1 − π/4).
        let square = Contour::polygon(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]);
        for r in [0.131, 0.155, 0.3] {
            let path = offset(&square, Side::Inside, r).loops;
            let spots = unreached(&square, &path, r);
            assert_eq!(spots.len(), 4, "{spots:?}");
            for s in &spots {
                assert!((s.depth - r * (SQRT_2 - 1.0)).abs() < 1e-9, "{s:?}");
                assert!((s.area - r * r * (1.0 - FRAC_PI_4)).abs() < 1e-9, "{s:?}");
            }
        }
    }

    #[test]
    fn outside_of_a_convex_outline_everything_is_reached() {
        let square = Contour::polygon(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]);
        let path = offset(&square, Side::Outside, 0.131).loops;
        assert!(unreached(&square, &path, 0.131).is_empty());
    }

    #[test]
    fn a_tight_fillet_is_found_and_a_wide_one_is_not() {
        let rounded = |r: f64| {
            let q = FRAC_PI_8.tan();
            let v = |x, y, bulge| Vertex {
                at: Point::new(x, y),
                bulge,
            };
            Contour::new(vec![
                v(r, 0.0, 0.0),
                v(9.0 - r, 0.0, q),
                v(9.0, r, 0.0),
                v(9.0, 9.0 - r, q),
                v(9.0 - r, 9.0, 0.0),
                v(r, 9.0, q),
                v(0.0, 9.0 - r, 0.0),
                v(0.0, r, q),
            ])
        };
        let reach = 0.131;
        let tight = rounded(0.1);
        let spots = unreached(&tight, &offset(&tight, Side::Inside, reach).loops, reach);
        assert_eq!(spots.len(), 4);
        // The fillet's middle lies (R − r)(√2 − 1) beyond reach.
        assert!(
            spots
                .iter()
                .all(|s| (s.depth - 0.031 * (SQRT_2 - 1.0)).abs() < 1e-6),
            "{spots:?}"
        );
        // A corner rounded by ρ stands (r² − ρ²)(1 − π/4) large.
        let area = (reach * reach - 0.01) * (1.0 - FRAC_PI_4);
        assert!(
            spots.iter().all(|s| (s.area - area).abs() < 1e-9),
            "{spots:?}"
        );
        let wide = rounded(0.2);
        assert!(unreached(&wide, &offset(&wide, Side::Inside, reach).loops, reach).is_empty());
    }

    #[test]
    fn no_path_means_the_wire_cannot_enter() {
        let slot = Contour::polygon(&[(0.0, 0.0), (9.0, 0.0), (9.0, 0.2), (0.0, 0.2)]);
        assert!(unreached(&slot, &[], 0.131)[0].depth.is_infinite());
    }

    /// Against a look from every place at every segment of the path: rough stars, with and without arcs, on either side.
    #[test]
    fn spans_are_what_a_look_at_everything_finds() {
        let mut state = 7_u64;
        let mut random = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            (state >> 11) as f64 / (1_u64 << 53) as f64
        };
        let (mut looked, mut beyond) = (0, 0);
        for case in 0..60 {
            let corners = 5 + case % 23;
            let vertices = (0..corners).map(|k| {
                let turn = std::f64::consts::TAU * f64::from(k) / f64::from(corners);
                let bulge = if case % 2 == 0 {
                    0.0
                } else {
                    0.3 * (random() - 0.5)
                };
                Vertex {
                    at: Point::at_angle(turn) * (3.0 + 2.0 * random()),
                    bulge,
                }
            });
            let contour = Contour::new(vertices.collect());
            let side = [Side::Inside, Side::Outside][usize::from(case % 3 == 0)];
            let reach = 0.1 + 0.3 * random();
            let path = offset(&contour, side, reach).loops;
            if path.is_empty() {
                continue;
            }
            let spans = unreached(&contour, &path, reach);
            let walk = Walk::new(&contour);
            let all: Vec<Segment> = path.iter().flat_map(Contour::segments).collect();
            let total = walk.length();
            for k in 0..2000 {
                let along = total * f64::from(k) / 2000.0;
                let p = walk.point_at(along);
                let away = all.iter().map(|s| s.nearest(p).0.distance(p));
                let depth = away.fold(f64::INFINITY, f64::min) - reach;
                // What is just as deep as the tolerance, or shorter than a step between two looks, may go either way.
                if (depth - REACH_TOLERANCE).abs() < 0.1 * REACH_TOLERANCE {
                    continue;
                }
                let within = |s: &Unreached| {
                    [along, along - total]
                        .iter()
                        .any(|a| (s.from..=s.to).contains(a))
                };
                let found = spans.iter().find(|s| within(s));
                assert_eq!(
                    found.is_some(),
                    depth > REACH_TOLERANCE,
                    "case {case} at {along}: {depth} {spans:?}"
                );
                assert!(
                    found.is_none_or(|s| s.depth >= depth - 1e-9),
                    "case {case}: {depth} {found:?}"
                );
                looked += 1;
                beyond += usize::from(depth > REACH_TOLERANCE);
            }
        }
        assert!(looked > 50_000 && beyond > 500, "{looked} {beyond}");
    }

    /// A path that runs along the lower half of a circle and straight back: the upper half lies across from its arc.
    #[test]
    fn an_arc_across_from_the_path_is_not_taken_for_its_parallel() {
        let circle = Contour::circle(Point::ORIGIN, 5.0);
        let path = Contour::from_segments(&[
            Segment::new(Point::new(-4.8, 0.0), Point::new(4.8, 0.0), 1.0),
            Segment::line(Point::new(4.8, 0.0), Point::new(-4.8, 0.0)),
        ]);
        let spans = unreached(&circle, &[path], 0.2);
        let [span] = spans[..] else {
            panic!("{spans:?}")
        };
        // From its top straight down to the path it is the radius, less the reach.
        assert!((span.depth - 4.8).abs() < 1e-3, "{span:?}");
        assert!(span.at.distance(Point::new(0.0, 5.0)) < 0.05, "{span:?}");
        let half = std::f64::consts::PI * 5.0;
        assert!((span.to - span.from - half).abs() < 0.2, "{span:?}");
    }
}
