//! Whether a closed chain of lines and arcs meets itself: exact for lines, never a wrong yes for arcs.
//!
//! A stretch whose tangents all point forwards along one direction runs on and on along it and cannot come
//! back to itself. So the chain is cut into short blocks; a block, and two blocks in a row, need no more than
//! a look at their tangents. Only blocks whose boxes overlap elsewhere are compared segment by segment.

use super::contour::Contour;
use super::point::{Bounds, Point};
use super::segment::Segment;
use crate::progress::look;

/// Segments to a block: few enough to run one way, enough to keep the boxes few.
const BLOCK: usize = 8;
/// Two curves still not told apart after so many halvings count as meeting: they are nearer than rounding.
const MOST_HALVINGS: u32 = 60;
/// Nor do two that still run side by side after so many looks: arcs of 10 mm radius are told apart down to
/// some 0.1 µm, and two that lie on one another would be halved without end.
const MOST_LOOKS: u32 = 20_000;

/// A stretch of the chain.
struct Block {
    first: usize,
    /// One beyond its last segment.
    end: usize,
    bounds: Bounds,
}

/// Whether no two segments of a closed chain have a point in common but for the vertices that join them.
///
/// Arcs nearer to another segment than rounding count as meeting it. Chains of fewer than three segments
/// are not judged: the answer is no.
pub fn is_simple(chain: &Contour) -> bool {
    let n = chain.len();
    if n < 3 {
        return false;
    }
    if turns_left_once(chain) {
        return true;
    }
    let blocks: Vec<Block> = (0..n.div_ceil(BLOCK))
        .map(|k| {
            let (first, end) = (k * BLOCK, ((k + 1) * BLOCK).min(n));
            let mut bounds = Bounds::EMPTY;
            (first..end).for_each(|i| bounds.include_bounds(&box_of(&chain.segment(i))));
            Block { first, end, bounds }
        })
        .collect();
    near_blocks_are_simple(chain, &blocks) && distant_blocks_are_apart(chain, &blocks)
}

/// Whether a chain turns left all along, and once around in all: then it is convex and meets itself nowhere.
fn turns_left_once(chain: &Contour) -> bool {
    let Some(last) = chain.segments().last() else {
        return false;
    };
    let mut before = tangents(&last).1;
    let mut rounds = 0;
    for s in chain.segments() {
        let (out, back) = tangents(&s);
        // From one direction to the next it is less than a half turn: an arc has at most a quarter on either side of its chord.
        for next in [out, s.b - s.a, back] {
            let left = before.cross(next);
            if left < 0.0 || left == 0.0 && before.dot(next) <= 0.0 {
                return false;
            }
            rounds += u32::from(before.y < 0.0 && next.y >= 0.0);
            before = next;
        }
    }
    rounds == 1
}

/// Looks at every block by itself and at every two in a row.
fn near_blocks_are_simple(chain: &Contour, blocks: &[Block]) -> bool {
    let (n, count) = (chain.len(), blocks.len());
    let mut known_simple = false;
    for (k, block) in blocks.iter().enumerate() {
        look();
        let seam = k + 1 == count;
        let next = &blocks[(k + 1) % count];
        let end = next.end + if seam { n } else { 0 };
        if count > 1 && runs_one_way(chain, block.first, end) {
            // So does either block alone.
            known_simple = true;
            continue;
        }
        let alone = known_simple || runs_one_way(chain, block.first, block.end);
        if !alone && !is_simple_inside(chain, block) {
            return false;
        }
        // Two blocks in all are compared once.
        if count > 1 && (count > 2 || !seam) && blocks_meet(chain, block, next) {
            return false;
        }
        known_simple = false;
    }
    true
}

/// Whether every tangent of the segments points forwards along the chord from the first to the last;
/// numbers beyond the chain's own go on around.
fn runs_one_way(chain: &Contour, first: usize, end: usize) -> bool {
    let n = chain.len();
    let way = chain.segment((end - 1) % n).b - chain.segment(first).a;
    (first..end).all(|i| {
        let (out, back) = tangents(&chain.segment(i % n));
        out.dot(way) > 0.0 && back.dot(way) > 0.0
    })
}

/// Directions at start and end, of any length. Between them an arc of at most a half turn keeps within.
fn tangents(s: &Segment) -> (Point, Point) {
    let chord = s.b - s.a;
    // cos and sin of half the sweep, both times 1 + bulge².
    let (along, across) = (
        chord * (1.0 - s.bulge * s.bulge),
        chord.left() * (2.0 * s.bulge),
    );
    (along - across, along + across)
}

fn is_simple_inside(chain: &Contour, block: &Block) -> bool {
    (block.first..block.end).all(|i| (i + 1..block.end).all(|j| !segments_meet(chain, i, j)))
}

fn blocks_meet(chain: &Contour, a: &Block, b: &Block) -> bool {
    (a.first..a.end).any(|i| {
        box_of(&chain.segment(i)).meets(&b.bounds)
            && (b.first..b.end).any(|j| segments_meet(chain, i, j))
    })
}

/// Compares blocks that do not follow each other, by a sweep along the longer side of the chain's box.
fn distant_blocks_are_apart(chain: &Contour, blocks: &[Block]) -> bool {
    let mut all = Bounds::EMPTY;
    blocks.iter().for_each(|b| all.include_bounds(&b.bounds));
    let along_x = all.size().x >= all.size().y;
    let span = |b: &Bounds| {
        if along_x {
            (b.min.x, b.max.x)
        } else {
            (b.min.y, b.max.y)
        }
    };
    let count = blocks.len();
    let mut sorted: Vec<(f64, usize)> = blocks
        .iter()
        .enumerate()
        .map(|(k, b)| (span(&b.bounds).0, k))
        .collect();
    sorted.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
    for (place, &(_, k)) in sorted.iter().enumerate() {
        look();
        let block = &blocks[k];
        let until = span(&block.bounds).1;
        let later = sorted[place + 1..].iter().take_while(|o| o.0 <= until);
        for &(_, other) in later {
            let in_a_row = (k + 1) % count == other || (other + 1) % count == k;
            if !in_a_row
                && block.bounds.meets(&blocks[other].bounds)
                && blocks_meet(chain, block, &blocks[other])
            {
                return false;
            }
        }
    }
    true
}

/// A box that holds the segment: its ends, and for an arc where the tangents at its ends meet, or those at
/// the ends of its halves where it bends far.
fn box_of(s: &Segment) -> Bounds {
    let mut b = Bounds::EMPTY;
    b.include(s.a);
    b.include(s.b);
    if s.bulge.abs() > 0.5 {
        for half in halves(s) {
            b.include(half.a);
            b.include(tangents_meet(&half));
        }
    } else if s.bulge != 0.0 {
        b.include(tangents_meet(s));
    }
    b
}

/// Where the tangents at the ends of an arc meet.
fn tangents_meet(s: &Segment) -> Point {
    // tan of half the sweep is 2b/(1 − b²); they meet that far off half the chord.
    let chord = s.b - s.a;
    s.a + chord * 0.5 - chord.left() * (s.bulge / (1.0 - s.bulge * s.bulge))
}

/// A segment cut in the middle.
fn halves(s: &Segment) -> [Segment; 2] {
    // The middle of an arc lies b·chord/2 to the right of the chord's; tan(t/2) from t = tan.
    let chord = s.b - s.a;
    let middle = s.a + chord * 0.5 - chord.left() * (0.5 * s.bulge);
    let bulge = s.bulge / (1.0 + (1.0 + s.bulge * s.bulge).sqrt());
    [
        Segment::new(s.a, middle, bulge),
        Segment::new(middle, s.b, bulge),
    ]
}

/// Whether two segments of a closed chain, by number, have a point in common but for a vertex that joins them.
pub(super) fn segments_meet(chain: &Contour, i: usize, j: usize) -> bool {
    let n = chain.len();
    let (p, q) = (chain.segment(i), chain.segment(j));
    let mut looks = MOST_LOOKS;
    if (i + 1) % n == j {
        follower_meets(&p, &q, MOST_HALVINGS, &mut looks)
    } else if (j + 1) % n == i {
        follower_meets(&q, &p, MOST_HALVINGS, &mut looks)
    } else {
        meet(&p, &q, MOST_HALVINGS, &mut looks)
    }
}

/// Whether two segments without a common vertex meet, as far as so many halvings and looks tell.
fn meet(p: &Segment, q: &Segment, halvings: u32, looks: &mut u32) -> bool {
    let Some(left) = looks.checked_sub(1) else {
        return true;
    };
    *looks = left;
    let (around_p, around_q) = (box_of(p), box_of(q));
    if !around_p.meets(&around_q) {
        return false;
    }
    if p.bulge == 0.0 && q.bulge == 0.0 {
        return lines_meet(p, q);
    }
    let Some(halvings) = halvings.checked_sub(1) else {
        return true;
    };
    if around_p.diagonal() >= around_q.diagonal() {
        halves(p).iter().any(|h| meet(h, q, halvings, looks))
    } else {
        halves(q).iter().any(|h| meet(p, h, halvings, looks))
    }
}

/// Whether the second segment, which begins where the first ends, meets it elsewhere too.
fn follower_meets(p: &Segment, q: &Segment, halvings: u32, looks: &mut u32) -> bool {
    if p.bulge == 0.0 && q.bulge == 0.0 {
        let (u, w) = (p.b - p.a, q.b - q.a);
        return u.cross(w) == 0.0 && u.dot(w) < 0.0;
    }
    // The direction between the two at their joint: both run along it there, whatever their lengths.
    let (p_way, q_way) = (tangents(p), tangents(q));
    let way = p_way.1.unit() + q_way.0.unit();
    let forwards = [p_way.0, p_way.1, q_way.0, q_way.1]
        .iter()
        .all(|t| t.dot(way) > 0.0);
    if forwards {
        return false;
    }
    let Some(halvings) = halvings.checked_sub(1) else {
        return true;
    };
    let ([a, b], [c, d]) = (halves(p), halves(q));
    follower_meets(&b, &c, halvings, looks)
        || meet(&a, &c, halvings, looks)
        || meet(&a, &d, halvings, looks)
        || meet(&b, &d, halvings, looks)
}

fn lines_meet(p: &Segment, q: &Segment) -> bool {
    let side = |s: &Segment, x: Point| (s.b - s.a).cross(x - s.a);
    let (a, b) = (side(p, q.a), side(p, q.b));
    let (c, d) = (side(q, p.a), side(q, p.b));
    // Touching counts; boxes overlap, so four zeros mean that they lie on one another.
    !(a * b > 0.0 || c * d > 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Vertex;
    use std::f64::consts::TAU;

    fn chain(v: &[(f64, f64, f64)]) -> Contour {
        let vertex = |&(x, y, bulge): &(f64, f64, f64)| Vertex {
            at: Point::new(x, y),
            bulge,
        };
        Contour::new(v.iter().map(vertex).collect())
    }

    #[test]
    fn what_turns_left_once_is_convex() {
        let square = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)];
        assert!(turns_left_once(&Contour::polygon(&square)));
        // The other way round it turns right, and is simple all the same.
        let other = Contour::polygon(&square).reversed();
        assert!(!turns_left_once(&other) && is_simple(&other));
        // A slot of two half circles, and one of them bent in.
        let slot = |bulge: f64| {
            chain(&[
                (0.0, 0.0, 0.0),
                (5.0, 0.0, bulge),
                (5.0, 2.0, 0.0),
                (0.0, 2.0, 1.0),
            ])
        };
        assert!(turns_left_once(&slot(1.0)) && !turns_left_once(&slot(-1.0)));
        // A star of five points turns left all along, and twice around.
        let at = |k: u32| {
            let p = Point::at_angle(f64::from(2 * k % 5) * TAU / 5.0);
            (p.x, p.y)
        };
        let star = Contour::polygon(&[0, 1, 2, 3, 4].map(at));
        assert!(!turns_left_once(&star) && !is_simple(&star));
        // There and back again turns by a half turn.
        let back = [(0.0, 0.0), (4.0, 0.0), (2.0, 0.0)];
        assert!(!turns_left_once(&Contour::polygon(&back)));
    }

    #[test]
    fn simple_chains_are_simple() {
        assert!(is_simple(&Contour::polygon(&[
            (0.0, 0.0),
            (4.0, 0.0),
            (0.0, 3.0)
        ])));
        // An obround, a lens with a flat, a crescent whose arcs nest.
        assert!(is_simple(&chain(&[
            (0.0, 0.0, 0.0),
            (9.0, 0.0, 1.0),
            (9.0, 2.0, 0.0),
            (0.0, 2.0, 1.0)
        ])));
        assert!(is_simple(&chain(&[
            (0.0, 0.0, 0.3),
            (5.0, 0.0, 0.0),
            (5.0, 1.0, 0.3)
        ])));
        assert!(is_simple(&chain(&[
            (-5.0, 0.0, 1.0),
            (5.0, 0.0, 0.0),
            (4.9, 0.0, -0.99),
            (-4.9, 0.0, 0.0)
        ])));
        // A star of many points.
        let star: Vec<(f64, f64)> = (0..2000)
            .map(|k| {
                let (t, r) = (
                    TAU * f64::from(k) / 2000.0,
                    if k % 2 == 0 { 9.0 } else { 3.0 },
                );
                (r * t.cos(), r * t.sin())
            })
            .collect();
        assert!(is_simple(&Contour::polygon(&star)));
    }

    #[test]
    fn crossings_touches_and_folds_are_found() {
        let eight = [(0.0, 0.0), (4.0, 4.0), (4.0, 0.0), (0.0, 4.0)];
        assert!(!is_simple(&Contour::polygon(&eight)));
        let touching = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (2.0, 0.0), (0.0, 4.0)];
        assert!(!is_simple(&Contour::polygon(&touching)));
        let folded = [(0.0, 0.0), (4.0, 0.0), (2.0, 0.0), (2.0, 3.0)];
        assert!(!is_simple(&Contour::polygon(&folded)));
        // An arc that goes out through the line which it begins at, and one through a line elsewhere.
        assert!(!is_simple(&chain(&[
            (0.0, 0.0, 0.0),
            (5.0, 0.0, -1.0),
            (3.0, 0.0, 0.0),
            (3.0, 4.0, 0.0)
        ])));
        assert!(!is_simple(&chain(&[
            (0.0, 0.0, 0.0),
            (6.0, 0.0, 0.0),
            (6.0, 4.0, 0.0),
            (4.0, 4.0, 1.0),
            (2.0, -0.1, 0.0),
            (0.0, 4.0, 0.0)
        ])));
        // Far apart along a long chain, 20 000 vertices on: one tooth reaches through another.
        let mut comb: Vec<(f64, f64)> = Vec::new();
        for k in 0..5000 {
            let x = f64::from(k);
            comb.extend([(x, 0.0), (x + 0.2, 0.0), (x + 0.2, 5.0), (x + 0.8, 5.0)]);
        }
        comb.extend([(5000.0, 9.0), (0.0, 9.0)]);
        assert!(is_simple(&Contour::polygon(&comb)));
        comb[12_002] = (2998.0, 2.0);
        assert!(!is_simple(&Contour::polygon(&comb)));
    }

    #[test]
    fn arcs_on_one_another_are_not_halved_without_end() {
        // Out along the arc of a circle of a metre and nearly the same way back: 2⁶⁰ halves lie on one another.
        let t = |deg: f64| (deg.to_radians().cos() * 1e3, deg.to_radians().sin() * 1e3);
        let bulge = |deg: f64| (deg.to_radians() / 4.0).tan();
        let (a, b, c, d) = (t(0.0), t(170.0), t(160.0), t(10.0));
        assert!(!is_simple(&chain(&[
            (a.0, a.1, bulge(170.0)),
            (b.0, b.1, 0.0),
            (c.0, c.1, -bulge(150.0)),
            (d.0, d.1, 0.0)
        ])));
    }

    #[test]
    fn it_agrees_with_every_pair_of_random_arcs() {
        // Against the offset library's own intersection of two segments, pair by pair.
        use cavalier_contours::polyline::{PlineSegIntr, PlineVertex, pline_seg_intr};
        let mut state = 7_u64;
        let mut next = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            (state >> 33) as f64 / 2.0_f64.powi(31)
        };
        let (mut simple, mut crossed) = (0, 0);
        for round in 0..3000 {
            let n = 3 + round % 12;
            let v: Vec<(f64, f64, f64)> = (0..n)
                .map(|k| {
                    let t = TAU * k as f64 / n as f64;
                    let r = 3.0 + 4.0 * next();
                    (r * t.cos(), r * t.sin(), 1.4 * (next() - 0.5))
                })
                .collect();
            let c = chain(&v);
            let vertex = |k: usize| {
                let v = c.vertices()[k % n];
                PlineVertex::new(v.at.x, v.at.y, v.bulge)
            };
            let at_a_joint = |x: f64, y: f64, i: usize, j: usize| {
                let shared = match (((i + 1) % n) == j, ((j + 1) % n) == i) {
                    (true, false) => j,
                    (false, true) => i,
                    _ => return false,
                };
                c.vertices()[shared].at.distance(Point::new(x, y)) < 1e-6
            };
            let mut meets = false;
            for i in 0..n {
                for j in i + 1..n {
                    let points = match pline_seg_intr(
                        vertex(i),
                        vertex(i + 1),
                        vertex(j),
                        vertex(j + 1),
                        1e-9,
                    ) {
                        PlineSegIntr::NoIntersect => vec![],
                        PlineSegIntr::OneIntersect { point: p }
                        | PlineSegIntr::TangentIntersect { point: p } => {
                            vec![p]
                        }
                        PlineSegIntr::TwoIntersects { point1, point2 }
                        | PlineSegIntr::OverlappingArcs { point1, point2 }
                        | PlineSegIntr::OverlappingLines { point1, point2 } => vec![point1, point2],
                    };
                    meets |= points.iter().any(|p| !at_a_joint(p.x, p.y, i, j));
                }
            }
            assert_eq!(is_simple(&c), !meets, "{v:?}");
            if meets {
                crossed += 1;
            } else {
                simple += 1;
            }
        }
        assert!(simple > 300 && crossed > 300, "{simple} {crossed}");
    }
}
