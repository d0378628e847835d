//! From a chain of the drawing to points of the screen: those that are in sight, and no more of them than one can see.

use super::baked::Seen;
use crate::gui::scene::Line;
use egui::emath::{Pos2, Rect, Vec2, vec2};

/// Points nearer than this on the screen are left out.
const THIN: f32 = 0.7;
/// So far a line may leave the points that lie between those that are kept, pixels: less than smoothed edges show, and
/// within the quarter of a pixel that painters of curves allow (Skia's flattening).
const LEAVES: f32 = 0.22;
/// How far beside the view a line may be out of sight: half of a wide line and the sharpest corner, points.
pub const BESIDE: f32 = 40.0;
/// From so many points on a line may be dense.
const MANY: usize = 256;

/// Screen points of a line as it is seen at so many points a pixel, or nothing when it is out of sight.
pub fn screen_points(line: &Line, (view, rect): Seen, pixel: f32) -> Option<Vec<Pos2>> {
    if line.points.is_empty() || !view.rect_to_screen(rect, line.bounds).intersects(rect) {
        return None;
    }
    Some(thinned(&line.points, (view, rect), pixel))
}

/// Screen points of a chain, without those that lie on their neighbours or on the straight line between two others, to
/// what one sees at so many points a pixel.
pub fn thinned(points: &[Pos2], (view, rect): Seen, pixel: f32) -> Vec<Pos2> {
    let (Some(first), Some(last)) = (points.first(), points.last()) else {
        return Vec::new();
    };
    let first = view.to_screen(rect, *first);
    let mut way = Way::from(first, points.len(), LEAVES * pixel);
    let mut before = first;
    for p in points.iter().skip(1) {
        let q = view.to_screen(rect, *p);
        if (q - before).length_sq() >= THIN * THIN {
            way.go_to(q);
            before = q;
        }
    }
    let end = view.to_screen(rect, *last);
    if points.len() > 1 && before != end {
        way.go_to(end);
    }
    way.end()
}

/// A way that is kept as few points: from the last one kept a straight line goes on for as long as one direction passes
/// all points since then near enough (Z. Zhao, A. Saalfeld, "Linear-time sleeve-fitting polyline simplification
/// algorithms", AutoCarto 13, 1997).
struct Way {
    kept: Vec<Pos2>,
    /// How far it may leave the points between.
    leaves: f32,
    /// The last point kept, and the last one of all.
    key: Pos2,
    last: Pos2,
    /// The directions that pass all points between, by their left and right end; how far the last point lies.
    sleeve: Option<(Vec2, Vec2)>,
    far: f32,
}

impl Way {
    fn from(first: Pos2, points: usize, leaves: f32) -> Self {
        let mut kept = Vec::with_capacity(points.min(1024));
        kept.push(first);
        Self {
            kept,
            leaves,
            key: first,
            last: first,
            sleeve: None,
            far: 0.0,
        }
    }
    fn go_to(&mut self, q: Pos2) {
        let d = q - self.key;
        let far = d.length_sq();
        let goes_on = |(left, right): (Vec2, Vec2)| {
            far >= self.far && cross(left, d) <= 0.0 && cross(right, d) >= 0.0
        };
        let narrowed = match self.sleeve {
            // A way that turns back begins anew there, so that its furthest point stays.
            Some(sleeve) if !goes_on(sleeve) => {
                self.kept.push(self.last);
                self.key = self.last;
                ends(q - self.key, self.leaves)
            }
            Some((left, right)) => ends(d, self.leaves).map(|(l, r)| {
                (
                    if cross(left, l) < 0.0 { l } else { left },
                    if cross(right, r) > 0.0 { r } else { right },
                )
            }),
            None => ends(d, self.leaves),
        };
        self.sleeve = narrowed;
        self.far = (q - self.key).length_sq();
        self.last = q;
    }
    fn end(mut self) -> Vec<Pos2> {
        if self.last != self.key {
            self.kept.push(self.last);
        }
        self.kept
    }
}

/// The directions, as seen from the last point kept, that pass a point at a distance near enough; any where it lies
/// nearer than that itself.
fn ends(d: Vec2, leaves: f32) -> Option<(Vec2, Vec2)> {
    let far = d.length_sq();
    if far <= leaves * leaves {
        return None;
    }
    // Sine and cosine of half the angle.
    let s = leaves / far.sqrt();
    let c = (1.0 - s * s).sqrt();
    let turned = |s: f32| vec2(d.x * c - d.y * s, d.x * s + d.y * c);
    Some((turned(s), turned(-s)))
}

fn cross(a: Vec2, b: Vec2) -> f32 {
    a.x * b.y - a.y * b.x
}

/// Whether a line of a width has corners nearer to each other than it is wide, or turns back on itself as near, and
/// that often: it is then seen as the ground that it covers.
pub fn is_dense(points: &[Pos2], width: f32) -> bool {
    let by_two = |s: &[Pos2]| (s[2] - s[0]).length();
    points.len() > MANY
        && points.windows(3).map(by_two).sum::<f32>() < 2.0 * width * points.len() as f32
}

/// The points of a line without those that are beyond one side of the view together with all before and after them:
/// what is seen stays as it is, however far in one has zoomed.
pub fn in_sight(points: &[Pos2], rect: Rect) -> Vec<Pos2> {
    let sight = rect.expand(BESIDE);
    let sides = |p: &Pos2| {
        u8::from(p.x < sight.left())
            | u8::from(p.x > sight.right()) << 1
            | u8::from(p.y < sight.top()) << 2
            | u8::from(p.y > sight.bottom()) << 3
    };
    let mut out = Vec::with_capacity(points.len().min(4096));
    // Sides beyond which everything lies since the last point that was kept, and the last point of that.
    let (mut beyond, mut left_out) = (0, None);
    for p in points {
        let s = sides(p);
        if beyond & s != 0 {
            beyond &= s;
            left_out = Some(*p);
        } else {
            out.extend(left_out.take());
            out.push(*p);
            beyond = s;
        }
    }
    out.extend(left_out);
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::gui::scene::Placement;
    use egui::emath::pos2;
    use proptest::prelude::*;

    fn distance(p: Pos2, line: &[Pos2]) -> f32 {
        let to = |s: &[Pos2]| {
            let (d, v) = (s[1] - s[0], p - s[0]);
            let along = (v.dot(d) / d.length_sq().max(1e-12)).clamp(0.0, 1.0);
            (v - d * along).length()
        };
        line.windows(2).map(to).fold(f32::INFINITY, f32::min)
    }

    proptest! {
        /// Whatever way a chain takes, no point of it lies further from what is painted than is left out; it begins and
        /// ends where it does, and every point painted is one of its own.
        #[test]
        fn what_is_painted_of_a_chain_passes_all_its_points(
            turns in prop::collection::vec((-0.4_f32..0.4, 0.05_f32..6.0), 2..300),
            sharp in prop::collection::vec(-3.2_f32..3.2, 0..8),
        ) {
            let mut chain = vec![pos2(250.0, 250.0)];
            let mut direction = 0.0_f32;
            for (k, (turn, step)) in turns.iter().enumerate() {
                direction += turn + sharp.get(k / 40).filter(|_| k % 40 == 7).unwrap_or(&0.0);
                chain.push(chain[k] + *step * Vec2::angled(direction));
            }
            let rect = Rect::from_min_max(pos2(0.0, 0.0), pos2(500.0, 500.0));
            let view = Placement { scale: 1.0, middle: pos2(0.0, 0.0) };
            let on_screen: Vec<_> = chain.iter().map(|p| view.to_screen(rect, *p)).collect();
            let painted = thinned(&chain, (view, rect), 1.0);
            prop_assert_eq!((painted.first(), painted.last()), (on_screen.first(), on_screen.last()));
            for p in &on_screen {
                let d = distance(*p, &painted);
                // Rounding of single precision apart.
                prop_assert!(d <= THIN + LEAVES + 1e-3, "{p} lies {d} beside");
            }
            prop_assert!(painted.iter().all(|p| on_screen.contains(p)));
        }

        /// Of a line on its way anywhere every stretch that crosses the view is there as it was, in its order, and no
        /// other stretch crosses the view.
        #[test]
        fn what_is_seen_of_a_line_stays_when_the_rest_is_left_out(
            way in prop::collection::vec((-400.0_f32..900.0, -400.0_f32..900.0), 2..60),
        ) {
            let rect = Rect::from_min_max(pos2(0.0, 0.0), pos2(500.0, 500.0));
            let points: Vec<_> = way.into_iter().map(Pos2::from).collect();
            let beside = |s: &&[Pos2]| {
                let both = |of: &dyn Fn(Pos2) -> bool| of(s[0]) && of(s[1]);
                both(&|p| p.x < -BESIDE) || both(&|p| p.x > 500.0 + BESIDE)
                    || both(&|p| p.y < -BESIDE) || both(&|p| p.y > 500.0 + BESIDE)
            };
            let crossing = |line: &[Pos2]| -> Vec<[Pos2; 2]> {
                line.windows(2).filter(|s| !beside(s)).map(|s| [s[0], s[1]]).collect()
            };
            let kept = in_sight(&points, rect);
            prop_assert_eq!(crossing(&kept), crossing(&points));
            prop_assert_eq!((kept.first(), kept.last()), (points.first(), points.last()));
        }
    }

    /// A circle needs as many chords as keep within a tolerance of it: π / acos(1 - tolerance / radius).
    #[test]
    fn a_circle_is_painted_with_the_chords_that_its_size_needs() {
        let rect = Rect::from_min_max(pos2(0.0, 0.0), pos2(500.0, 500.0));
        let view = Placement {
            scale: 1.0,
            middle: pos2(0.0, 0.0),
        };
        let circle: Vec<_> = (0..=2000)
            .map(|k| std::f32::consts::TAU * k as f32 / 2000.0)
            .map(|a| pos2(100.0 * a.cos(), 100.0 * a.sin()))
            .collect();
        let painted = thinned(&circle, (view, rect), 1.0).len() as f32;
        // The points lie on the circle and no chord further from it than twice what is allowed on either side.
        let least = std::f32::consts::PI / (1.0 - 2.0 * LEAVES / 100.0).acos();
        assert!(
            painted >= least && painted < 3.0 * least,
            "{painted} {least}"
        );
    }

    #[test]
    fn of_a_line_far_outside_little_is_left() {
        let rect = Rect::from_min_max(pos2(0.0, 0.0), pos2(500.0, 500.0));
        let around: Vec<_> = (0..4000)
            .map(|k| std::f32::consts::TAU * k as f32 / 4000.0)
            .map(|a| pos2(250.0 + 9000.0 * a.cos(), 250.0 + 9000.0 * a.sin()))
            .collect();
        // Four sides and the corners between them.
        assert!(in_sight(&around, rect).len() <= 20);
    }
}
