//! What lies under the cursor.

use crate::gui::open_file::Target;
use crate::gui::scene::{Line, Model, Placement};
use egui::emath::{Pos2, Rect, Vec2};

/// How near the cursor must come to a curve, screen points.
pub const REACH: f32 = 8.0;

/// A contour larger than this share of the view is picked at its edge only: its inside is the ground on
/// which one works.
const LARGEST: f32 = 0.4;

/// The curve nearest to the cursor within reach; else the innermost contour around it, unless that
/// fills the view.
pub fn pick(model: &Model, placement: Placement, rect: Rect, cursor: Pos2) -> Option<Target> {
    let p = placement.to_drawing(rect, cursor);
    let reach = REACH / placement.scale;
    let (around, open) = model.meeting(Rect::from_center_size(p, Vec2::splat(2.0 * reach)));
    let contours = around
        .iter()
        .map(|i| (Target::Contour(*i), &model.contours[*i]));
    let open = open.iter().map(|i| (Target::Open(*i), &model.open[*i]));
    let nearest = contours
        .chain(open)
        .map(|(t, l)| (t, distance(l, p, reach)))
        .filter(|(_, d)| *d <= reach)
        .min_by(|a, b| a.1.total_cmp(&b.1));
    nearest.map(|(t, _)| t).or_else(|| {
        let line = |i: usize| &model.contours[i];
        around
            .into_iter()
            .filter(|i| line(*i).bounds.contains(p) && is_inside(line(*i), p))
            .max_by_key(|i| model.depth[*i])
            .filter(|i| line(*i).size() * placement.scale < LARGEST * rect.size().min_elem())
            .map(Target::Contour)
    })
}

/// How far a place lies from a line, where that is no more than `reach`.
fn distance(line: &Line, p: Pos2, reach: f32) -> f32 {
    let near = line
        .pieces()
        .filter(|(bounds, _)| bounds.expand(reach).contains(p));
    near.flat_map(|(_, points)| points.windows(2))
        .map(|s| {
            let (d, v) = (s[1] - s[0], p - s[0]);
            let l2 = d.length_sq();
            let t = if l2 > 0.0 {
                (v.dot(d) / l2).clamp(0.0, 1.0)
            } else {
                0.0
            };
            (v - d * t).length()
        })
        .fold(f32::INFINITY, f32::min)
}

fn is_inside(line: &Line, p: Pos2) -> bool {
    // What lies above, below or left of the place is not crossed on the way to the right.
    let level = line.pieces().filter(|(bounds, _)| {
        (bounds.top()..=bounds.bottom()).contains(&p.y) && bounds.right() >= p.x
    });
    level
        .flat_map(|(_, points)| points.windows(2))
        .filter(|s| {
            (s[0].y > p.y) != (s[1].y > p.y)
                && p.x < s[0].x + (p.y - s[0].y) / (s[1].y - s[0].y) * (s[1].x - s[0].x)
        })
        .count()
        % 2
        == 1
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Contour, Point};
    use crate::profile::Profile;
    use egui::emath::{pos2, vec2};

    /// A wheel of so many teeth that it is asked piece by piece finds what a look at all of it does.
    #[test]
    fn a_long_line_is_found_wherever_it_is() {
        let teeth: Vec<_> = (0..4000)
            .map(|k| (f64::from(k) * std::f64::consts::TAU / 4000.0, k % 2))
            .map(|(a, k)| {
                (
                    a.cos() * f64::from(40 + 5 * k),
                    a.sin() * f64::from(40 + 5 * k),
                )
            })
            .collect();
        let model = Model::new(&Profile::of_shapes([Contour::polygon(&teeth)]));
        let line = &model.contours[0];
        for k in 0..2000_u16 {
            let a = f32::from(k) * 0.7;
            let p = pos2(a.cos(), a.sin()) * (0.03 * f32::from(k));
            let whole = |s: &[Pos2]| {
                (s[0].y > p.y) != (s[1].y > p.y)
                    && p.x < s[0].x + (p.y - s[0].y) / (s[1].y - s[0].y) * (s[1].x - s[0].x)
            };
            let crossed = line.points.windows(2).filter(|s| whole(s)).count();
            assert_eq!(is_inside(line, p), crossed % 2 == 1, "{p}");
            let nearest = line.points.iter().map(|q| q.distance(p));
            let nearest = nearest.fold(f32::INFINITY, f32::min);
            if nearest < 1.0 {
                assert!(distance(line, p, 1.0) <= nearest, "{p}");
            }
        }
    }

    #[test]
    fn a_curve_is_found_before_what_it_surrounds() {
        let plate = Contour::polygon(&[(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)]);
        let hole = Contour::circle(Point::new(50.0, 50.0), 10.0);
        let model = Model::new(&Profile::of_shapes([plate, hole]));
        let rect = Rect::from_min_size(Pos2::ZERO, vec2(400.0, 400.0));
        let view = Placement::fit(model.bounds, rect.size(), 0.0);
        let at = |x: f32, y: f32| {
            let s = view.to_screen(rect, pos2(x - 50.0, y - 50.0));
            pick(&model, view, rect, s)
        };
        assert_eq!(at(50.0, 50.0), Some(Target::Contour(1)));
        assert_eq!(at(60.5, 50.0), Some(Target::Contour(1)));
        assert_eq!(at(20.0, 20.0), None);
        assert_eq!(at(100.0, 50.0), Some(Target::Contour(0)));
        assert_eq!(at(110.0, 50.0), None);
    }
}
