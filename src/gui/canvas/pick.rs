//! What lies under the cursor.

use crate::gui::open_file::Target;
use crate::gui::scene::{Line, Model, Placement};
use egui::emath::{Pos2, Rect};

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
    let contours = model.contours.iter().enumerate();
    let open = model.open.iter().enumerate();
    let nearest = contours
        .map(|(i, l)| (Target::Contour(i), l))
        .chain(open.map(|(i, l)| (Target::Open(i), l)))
        .filter(|(_, l)| l.bounds.expand(reach).contains(p))
        .map(|(t, l)| (t, distance(l, p)))
        .filter(|(_, d)| *d <= reach)
        .min_by(|a, b| a.1.total_cmp(&b.1));
    nearest.map(|(t, _)| t).or_else(|| {
        model
            .contours
            .iter()
            .enumerate()
            .filter(|(_, l)| l.bounds.contains(p) && is_inside(l, p))
            .max_by_key(|(i, _)| model.depth[*i])
            .filter(|(_, l)| {
                l.bounds.size().max_elem() * placement.scale < LARGEST * rect.size().min_elem()
            })
            .map(|(i, _)| Target::Contour(i))
    })
}

fn distance(line: &Line, p: Pos2) -> f32 {
    line.points
        .windows(2)
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
    line.points
        .windows(2)
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
