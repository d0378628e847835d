//! One curve of the drawing as lines and arcs, with its true length and area.

use super::conic::Conic;
use super::frame::{Frame, add, cross, times, unit};
use super::quadrature::{Measure, joined};
use super::spline;
use crate::drawing::format::{
    Cancelled, Entity, Fault, FlatVertex, Hint, Kind, LARGEST_NUMBER, Progress, Shape, Vec3,
};
use crate::geometry::{Bounds, Point, Segment};
use std::sync::Arc;

/// A curve of the model space, its blocks expanded.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// The word in the file, such as LINE.
    pub kind: &'static str,
    /// Name of its layer; in a block, layer "0" is the layer of the insertion.
    pub layer: Arc<str>,
    /// Number of that layer in the drawing's list.
    pub layer_index: usize,
    /// Colour number: 1 to 255, 256 by layer, 0 by block.
    pub colour: i16,
    /// Line number of the entity in the file, or byte position in a binary one.
    pub at: usize,
    /// Lines and arcs in order, mm about the profile's origin. Empty when degenerate.
    pub segments: Vec<Segment>,
    /// How the segments make up pieces that may join others at their ends.
    pub(crate) pieces: Pieces,
    /// True length, mm, and area beyond the chord, mm².
    pub(crate) measure: Measure,
    /// Where it is an edge of what is no curve itself: that one's first curve.
    pub(crate) stands_in: Option<u32>,
    /// Hidden by its layer, by an insertion or by itself.
    pub hidden: bool,
    /// What its line type or the name of its block says it is for.
    pub(crate) hint: Hint,
}

impl Curve {
    /// True length of the drawn curve, mm, before any arc fitting.
    pub fn length(&self) -> f64 {
        self.measure.length
    }
    /// Signed area between the true curve and the chord from its start to its end, mm², positive to
    /// the right of a left turn: ½∮(x dy − y dx) over the curve closed by that chord.
    pub fn area_beyond_chord(&self) -> f64 {
        self.measure.area
    }
    /// Start and end; `None` when degenerate.
    pub fn ends(&self) -> Option<(Point, Point)> {
        Some((self.segments.first()?.a, self.segments.last()?.b))
    }
    /// Box around it, mm about the profile's origin.
    pub fn bounds(&self) -> Bounds {
        let mut b = Bounds::EMPTY;
        self.segments
            .iter()
            .for_each(|s| b.include_bounds(&s.bounds()));
        b
    }
    /// Takes its geometry away: it stays in the list, and counts as one without length.
    pub(crate) fn make_degenerate(&mut self) {
        self.segments = Vec::new();
        self.pieces = Pieces::One;
        self.measure = Measure::default();
    }
    /// Its pieces: range of segments and true measure of each.
    pub(crate) fn pieces(&self) -> Vec<Span> {
        match &self.pieces {
            Pieces::One => vec![Span {
                first: 0,
                count: self.segments.len(),
                measure: self.measure,
            }],
            Pieces::EachSegment => self
                .segments
                .iter()
                .enumerate()
                .map(|(first, s)| Span {
                    first,
                    count: 1,
                    measure: of_segment(s),
                })
                .collect(),
            Pieces::Listed(list) => list.clone(),
        }
    }
}

/// How segments make up pieces.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Pieces {
    /// All together are one.
    One,
    /// Each is one.
    EachSegment,
    /// As listed.
    Listed(Vec<Span>),
}

/// A run of segments between two possible joints.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Span {
    pub first: usize,
    pub count: usize,
    pub measure: Measure,
}

/// Measure of a line or arc, exact.
pub(crate) fn of_segment(s: &Segment) -> Measure {
    Measure {
        length: s.length(),
        area: s.area_beyond_chord(),
    }
}

/// Geometry of a curve, and what was noticed while making it.
pub(crate) struct Made {
    pub segments: Vec<Segment>,
    pub pieces: Pieces,
    pub measure: Measure,
    pub faults: Vec<Fault>,
}

impl Made {
    fn degenerate(fault: Fault) -> Self {
        let measure = Measure::default();
        Self {
            segments: Vec::new(),
            pieces: Pieces::One,
            measure,
            faults: vec![fault],
        }
    }
    fn one(segments: Vec<Segment>, measure: Measure) -> Self {
        Self {
            segments,
            pieces: Pieces::One,
            measure,
            faults: Vec::new(),
        }
    }
    /// Scales of nested blocks multiply: what ends beyond all bounds is no curve.
    fn within_bounds(self) -> Self {
        // A circle below the rounding of its place is a point.
        if !self.segments.is_empty() && self.segments.iter().all(|s| s.a == s.b) {
            return Self::degenerate(Fault::ZeroLength);
        }
        let inside = |p: Point| p.x.abs() <= LARGEST_NUMBER && p.y.abs() <= LARGEST_NUMBER;
        let good = |s: &Segment| inside(s.a) && inside(s.b) && s.bulge.is_finite();
        let measured = self.measure.length.is_finite() && self.measure.area.is_finite();
        if measured && self.segments.iter().all(good) {
            self
        } else {
            Self::degenerate(Fault::NotFinite)
        }
    }
    fn checked(mut self, tilted: bool) -> Self {
        if self.segments.is_empty() && self.faults.is_empty() {
            self.faults.push(Fault::ZeroLength);
        } else if tilted {
            self.faults.push(Fault::Tilted);
        }
        self
    }
}

/// The geometry of an entity in a frame; `None` for what is no single curve.
pub(crate) fn make(
    entity: &Entity,
    shape: &Shape,
    frame: &Frame,
    progress: &Progress,
) -> Result<Option<Made>, Cancelled> {
    let made = match shape {
        Shape::Insert(_) | Shape::Point(_) | Shape::Edges(_) => return Ok(None),
        Shape::Line(a, b) => chain([*a, *b], false, frame),
        Shape::Chain { vertices, closed } => chain(vertices.iter().copied(), *closed, frame),
        Shape::Arc {
            centre,
            radius,
            start,
            sweep,
            normal,
        } => {
            if *radius <= 0.0 {
                return Ok(Some(Made::degenerate(Fault::RadiusNotPositive)));
            }
            let frame = frame.after(&Frame::of_normal(*normal));
            conic(
                &Conic {
                    centre: frame.point(*centre),
                    u: frame.direction([*radius, 0.0, 0.0]),
                    v: frame.direction([0.0, *radius, 0.0]),
                    start: *start,
                    sweep: *sweep,
                },
                entity.kind == Kind::Circle,
            )
            .checked(frame.is_tilted())
        }
        Shape::Ellipse {
            centre,
            major,
            ratio,
            start,
            sweep,
            normal,
        } => {
            let normal = unit(*normal).unwrap_or([0.0, 0.0, 1.0]);
            let minor = times(cross(normal, *major), *ratio);
            conic(
                &Conic {
                    centre: frame.point(*centre),
                    u: frame.direction(*major),
                    v: frame.direction(minor),
                    start: *start,
                    sweep: *sweep,
                },
                false,
            )
        }
        Shape::Flat {
            vertices,
            closed,
            elevation,
            normal,
        } => {
            let frame = frame.after(&Frame::of_normal(*normal));
            flat(vertices, *closed, *elevation, &frame).checked(frame.is_tilted())
        }
        Shape::Spline(data) => match spline::cut(data, frame, progress)? {
            None => Made::degenerate(Fault::SplineUnusable),
            Some(made) => {
                let mut curve = Made::one(made.segments, made.measure);
                if made.repaired {
                    curve.faults.push(Fault::SplineRepaired);
                }
                if made.from_fit_points {
                    curve.faults.push(Fault::FitPointsOnly);
                }
                if curve.segments.is_empty() {
                    Made::degenerate(Fault::ZeroLength)
                } else {
                    curve
                }
            }
        },
    };
    Ok(Some(made.within_bounds()))
}

fn conic(conic: &Conic, whole: bool) -> Made {
    if !conic.is_within_bounds() {
        return Made::degenerate(Fault::NotFinite);
    }
    if conic.u.norm() == 0.0 || conic.v.norm() == 0.0 {
        return Made::degenerate(Fault::ZeroLength);
    }
    match conic.cut() {
        None => Made::degenerate(Fault::SeenEdgeOn),
        Some((segments, measure)) => {
            let mut made = Made::one(segments, measure);
            // A whole circle has no end of its own at angle zero.
            if whole
                && let (Some(a), Some(last)) =
                    (made.segments.first().map(|s| s.a), made.segments.last_mut())
            {
                last.b = a;
            }
            made
        }
    }
}

fn chain(vertices: impl IntoIterator<Item = Vec3>, closed: bool, frame: &Frame) -> Made {
    let mut points: Vec<Point> = vertices.into_iter().map(|p| frame.point(p)).collect();
    if closed && let Some(&first) = points.first() {
        points.push(first);
    }
    let lines = points.windows(2).filter(|p| p[0] != p[1]);
    each_segment(lines.map(|p| Segment::line(p[0], p[1])).collect())
}

fn each_segment(segments: Vec<Segment>) -> Made {
    let measure = joined(segments.iter().map(|s| (s.a, s.b, of_segment(s))));
    let pieces = if segments.len() == 1 {
        Pieces::One
    } else {
        Pieces::EachSegment
    };
    Made {
        segments,
        pieces,
        measure,
        faults: Vec::new(),
    }
    .checked(false)
}

/// A polyline with bulges. In an uneven frame its arcs become parts of ellipses.
fn flat(vertices: &[FlatVertex], closed: bool, elevation: f64, frame: &Frame) -> Made {
    let similar = frame.similarity();
    let at = |v: &FlatVertex| frame.point([v.at[0], v.at[1], elevation]);
    let count = if closed {
        vertices.len()
    } else {
        vertices.len().saturating_sub(1)
    };
    let (mut segments, mut pieces) = (Vec::with_capacity(count), Vec::new());
    let mut plain = true;
    for i in 0..count {
        let (from, to) = (&vertices[i], &vertices[(i + 1) % vertices.len()]);
        let (a, b) = (at(from), at(to));
        if a == b {
            continue;
        }
        let first = segments.len();
        let straight = Segment::new(a, b, from.bulge).is_straight();
        let measure = match similar {
            _ if straight => {
                segments.push(Segment::line(a, b));
                of_segment(&segments[first])
            }
            Some(factor) => {
                let arc = Segment::new(a, b, from.bulge * factor.signum());
                let measure = of_segment(&arc);
                if arc.bulge.abs() <= 1.0 {
                    segments.push(arc);
                } else {
                    // More than a half turn: two halves, so that every bulge stays within 1.
                    plain = false;
                    let middle = arc.point_at(0.5 * arc.length());
                    let half = (arc.sweep() / 8.0).tan();
                    segments.push(Segment::new(a, middle, half));
                    segments.push(Segment::new(middle, b, half));
                }
                measure
            }
            None => {
                plain = false;
                let Some((mut arcs, measure)) = bulge_conic(from, to, elevation, frame).cut()
                else {
                    segments.push(Segment::line(a, b));
                    pieces.push(Span {
                        first,
                        count: 1,
                        measure: of_segment(&segments[first]),
                    });
                    continue;
                };
                if let Some(s) = arcs.first_mut() {
                    s.a = a;
                }
                if let Some(s) = arcs.last_mut() {
                    s.b = b;
                }
                segments.append(&mut arcs);
                measure
            }
        };
        pieces.push(Span {
            first,
            count: segments.len() - first,
            measure,
        });
    }
    if plain {
        return each_segment(segments);
    }
    let measure = joined(pieces.iter().map(|p| {
        (
            segments[p.first].a,
            segments[p.first + p.count - 1].b,
            p.measure,
        )
    }));
    Made {
        segments,
        pieces: Pieces::Listed(pieces),
        measure,
        faults: Vec::new(),
    }
    .checked(false)
}

/// The arc between two vertices, in its own plane, carried through the frame.
fn bulge_conic(from: &FlatVertex, to: &FlatVertex, elevation: f64, frame: &Frame) -> Conic {
    let own = |v: &FlatVertex| Point::new(v.at[0], v.at[1]);
    let arc = Segment::new(own(from), own(to), from.bulge);
    let centre = arc.centre().unwrap_or(arc.a);
    let radius = arc.radius();
    Conic {
        centre: frame.point(add([centre.x, centre.y, 0.0], [0.0, 0.0, elevation])),
        u: frame.direction([radius, 0.0, 0.0]),
        v: frame.direction([0.0, radius, 0.0]),
        start: (arc.a - centre).angle(),
        sweep: arc.sweep(),
    }
}
