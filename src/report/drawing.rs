//! The drawing with the rough path of the wire shown, as SVG.

use super::Report;
use crate::geometry::{Bounds, Point};
use std::fmt::Write as _;

/// Width and height that the picture is fitted into, px.
const BOX: (f64, f64) = (460.0, 340.0);
/// Left free around the drawing, px.
const MARGIN: f64 = 12.0;
/// Chords may lie this far from the curve, px: finer than a printed dot.
const SAGITTA: f64 = 0.05;

/// The picture, or nothing where the drawing has no contour.
pub(super) fn svg(report: &Report<'_>) -> String {
    let profile = report.profile;
    let bounds = profile.bounds();
    let size = bounds.size();
    if bounds.is_empty() || size.x.max(size.y) <= 0.0 {
        return String::new();
    }
    let room = (BOX.0 - 2.0 * MARGIN, BOX.1 - 2.0 * MARGIN);
    let scale = (room.0 / size.x.max(1e-9)).min(room.1 / size.y.max(1e-9));
    let place = Placing {
        bounds,
        scale,
        height: size.y * scale + 2.0 * MARGIN,
    };
    let mut out = String::new();
    let (width, height) = (size.x * scale + 2.0 * MARGIN, place.height);
    let _ = write!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" aria-label=\"{}\" viewBox=\"0 0 {width:.1} \
         {height:.1}\" width=\"{width:.0}\" height=\"{height:.0}\">",
        say!("Drawing")
    );
    let sagitta = SAGITTA / scale;
    // One path for all contours: what lies inside an odd number of them is material that stays, or the reverse.
    let mut d = String::new();
    for (_, c) in crate::job::cut_contours(report.job, profile) {
        place.line(&c.shape.flattened(sagitta), true, &mut d);
    }
    let _ = write!(out, "<path class=\"part\" d=\"{d}\"/>");
    let mut d = String::new();
    for c in profile.contours().iter().filter(|c| !report.job.cuts(c)) {
        place.line(&c.shape.flattened(sagitta), true, &mut d);
    }
    for chain in profile.open() {
        let mut points = Vec::new();
        for s in &chain.segments {
            if points.is_empty() {
                points.push(s.a);
            }
            s.flatten_into(sagitta, &mut points);
        }
        place.line(&points, false, &mut d);
    }
    if !d.is_empty() {
        let _ = write!(out, "<path class=\"left\" d=\"{d}\"/>");
    }
    let shown = report.comparison.estimates.get(report.shown);
    let mut d = String::new();
    for path in shown
        .iter()
        .flat_map(|e| &e.paths)
        .filter(|p| p.pass.is_rough())
    {
        for l in path.loops.iter() {
            place.line(&l.flattened(sagitta), true, &mut d);
        }
    }
    if !d.is_empty() {
        let _ = write!(out, "<path class=\"wire\" d=\"{d}\"/>");
    }
    out.push_str("</svg>");
    out
}

/// From millimetres to the picture, y upwards to y downwards.
struct Placing {
    bounds: Bounds,
    scale: f64,
    height: f64,
}

impl Placing {
    fn line(&self, points: &[Point], closed: bool, out: &mut String) {
        for (k, p) in points.iter().enumerate() {
            let x = MARGIN + (p.x - self.bounds.min.x) * self.scale;
            let y = self.height - MARGIN - (p.y - self.bounds.min.y) * self.scale;
            let _ = write!(out, "{}{x:.2} {y:.2}", if k == 0 { "M" } else { "L" });
        }
        if closed && !points.is_empty() {
            out.push('Z');
        }
    }
}
