//! The drawing as a picture of lines and arcs (SVG 1.1, W3C Recommendation 2011), true to size: one user unit is a
//! millimetre, and y points downwards as the format has it.

use super::{Content, ExportError, Layer};
use crate::geometry::{Bounds, Contour, Point, Segment};
use crate::job::cut_contours;
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// Free around the drawing, a share of its longer side.
const MARGIN: f64 = 0.04;

/// The picture: a group a layer, the same layers as in the drawing for the next program.
///
/// # Errors
/// Nothing to draw, or paths of a wire that cannot cut it.
pub fn svg(content: &Content<'_>) -> Result<String, ExportError> {
    let mut groups: BTreeMap<Layer, String> = BTreeMap::new();
    let mut extent = Bounds::EMPTY;
    let mut add = |layer: Layer, bounds: Bounds, path: &dyn Fn(&mut String)| {
        extent.include_bounds(&bounds);
        path(groups.entry(layer).or_default());
    };
    let Content {
        profile,
        job,
        paths,
        ..
    } = *content;
    for (k, c) in cut_contours(job, profile) {
        let layer = Layer::of(job.role(profile, k));
        add(layer, c.shape.bounds(), &|d| closed(&c.shape, d));
    }
    for chain in profile.open() {
        let layer = if job.cuts_on_line(chain) {
            Layer::OnLine
        } else {
            Layer::Open
        };
        let mut bounds = Bounds::EMPTY;
        for s in &chain.segments {
            bounds.include_bounds(&s.bounds());
        }
        add(layer, bounds, &|d| along(&chain.segments, d));
    }
    if let Some(estimate) = paths {
        let figures = estimate.figures.as_ref().ok_or(ExportError::NoPaths)?;
        let rings = estimate.rings.iter().flat_map(|r| r.loops.iter());
        let rings = rings.map(|r| (Layer::BurnOut, r));
        let ways = estimate.paths.iter();
        let ways = ways.flat_map(|p| p.loops.iter().map(|r| (Layer::Path(p.pass.number()), r)));
        for (layer, ring) in rings.chain(ways) {
            add(layer, ring.bounds(), &|d| closed(ring, d));
        }
        for s in &figures.starts {
            let (hole, join) = (s.start.hole, s.start.join);
            if let Some(diameter) = s.hole {
                let circle = Contour::circle(hole, 0.5 * diameter.mm());
                add(Layer::StartHole, circle.bounds(), &|d| closed(&circle, d));
            }
            if hole != join {
                let line = [Segment::line(hole, join)];
                add(Layer::LeadIn, line[0].bounds(), &|d| along(&line, d));
            }
        }
    }
    if groups.is_empty() {
        return Err(ExportError::Nothing);
    }
    Ok(written(&groups, &extent))
}

fn written(groups: &BTreeMap<Layer, String>, extent: &Bounds) -> String {
    let size = extent.size();
    let margin = MARGIN * size.x.max(size.y).max(1.0);
    let (width, height) = (size.x + 2.0 * margin, size.y + 2.0 * margin);
    let mut out = String::new();
    // Writing to memory cannot fail.
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width:.3}mm\" height=\"{height:.3}mm\" \
         viewBox=\"{:.6} {:.6} {width:.6} {height:.6}\" fill=\"none\" stroke-linejoin=\"round\">",
        extent.min.x - margin,
        -extent.max.y - margin,
    );
    let hair = size.x.max(size.y).max(1.0) / 400.0;
    for (layer, d) in groups {
        let (stroke, width) = look(*layer);
        let _ = writeln!(
            out,
            "<path id=\"{}\" stroke=\"{stroke}\" stroke-width=\"{:.4}\" d=\"{}\"/>",
            layer.name(),
            width * hair,
            d.trim_end(),
        );
    }
    out.push_str("</svg>\n");
    out
}

/// Colour and width of a layer's lines, the width in hairlines.
fn look(layer: Layer) -> (&'static str, f64) {
    match layer {
        Layer::Outline => ("#181d21", 1.4),
        Layer::Opening => ("#181d21", 1.0),
        Layer::OnLine => ("#0a6c8f", 1.0),
        Layer::Open => ("#b3b8bb", 0.8),
        Layer::LowerEdge => ("#8a5aa8", 0.7),
        Layer::StartHole => ("#c22a18", 0.8),
        Layer::LeadIn | Layer::BurnOut => ("#c27a18", 0.6),
        Layer::Path(1) => ("#0a6c8f", 0.7),
        Layer::Path(_) => ("#62a9c4", 0.4),
        Layer::Note => ("#626c74", 0.6),
    }
}

fn put(command: char, p: Point, d: &mut String) {
    let _ = write!(d, "{command}{} {} ", p.x, -p.y);
}

fn step(s: &Segment, d: &mut String) {
    if s.is_straight() {
        put('L', s.b, d);
        return;
    }
    let (radius, sweep) = (s.radius(), s.sweep());
    // Counter-clockwise with y upwards is negative with y downwards.
    let (large, turn) = (
        u8::from(sweep.abs() > std::f64::consts::PI),
        u8::from(sweep < 0.0),
    );
    let _ = write!(
        d,
        "A{radius} {radius} 0 {large} {turn} {} {} ",
        s.b.x, -s.b.y
    );
}

fn along(segments: &[Segment], d: &mut String) {
    let Some(first) = segments.first() else {
        return;
    };
    put('M', first.a, d);
    segments.iter().for_each(|s| step(s, d));
}

fn closed(contour: &Contour, d: &mut String) {
    let segments: Vec<Segment> = contour.segments().collect();
    along(&segments, d);
    d.push_str("Z ");
}
