//! One entity of the file, decoded, before any frame is applied.

/// A point or vector in the entity's own coordinates and the drawing's unit.
pub type Vec3 = [f64; 3];

/// The kinds of entity that a profile can be made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A straight line.
    Line,
    /// A circular arc.
    Arc,
    /// A circle.
    Circle,
    /// An ellipse or a part of one.
    Ellipse,
    /// A flat polyline with bulges.
    LwPolyline,
    /// The older polyline, flat with bulges or in space.
    Polyline,
    /// A spline.
    Spline,
    /// A reference to a block.
    Insert,
    /// A point.
    Point,
    /// A filled or hatched area, by its boundaries.
    Hatch,
    /// Parallel lines.
    MLine,
}

impl Kind {
    /// By the word in the file, in capitals.
    pub fn of(word: &[u8]) -> Option<Self> {
        Some(match word {
            b"LINE" => Self::Line,
            b"ARC" => Self::Arc,
            b"CIRCLE" => Self::Circle,
            b"ELLIPSE" => Self::Ellipse,
            b"LWPOLYLINE" => Self::LwPolyline,
            b"POLYLINE" => Self::Polyline,
            b"SPLINE" => Self::Spline,
            b"INSERT" => Self::Insert,
            b"POINT" => Self::Point,
            b"HATCH" => Self::Hatch,
            b"MLINE" => Self::MLine,
            _ => return None,
        })
    }
    /// The word in the file.
    pub fn word(self) -> &'static str {
        match self {
            Self::Line => "LINE",
            Self::Arc => "ARC",
            Self::Circle => "CIRCLE",
            Self::Ellipse => "ELLIPSE",
            Self::LwPolyline => "LWPOLYLINE",
            Self::Polyline => "POLYLINE",
            Self::Spline => "SPLINE",
            Self::Insert => "INSERT",
            Self::Point => "POINT",
            Self::Hatch => "HATCH",
            Self::MLine => "MLINE",
        }
    }
    /// Whether its edges are taken only where the drawing holds no curve, and only when accepted.
    pub fn stands_in(self) -> bool {
        matches!(self, Self::Hatch | Self::MLine)
    }
}

/// A vertex of a flat polyline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlatVertex {
    /// Position in the entity's plane.
    pub at: [f64; 2],
    /// Tangent of a quarter of the sweep to the next vertex.
    pub bulge: f64,
}

/// The geometry of an entity. Angles in radians; `normal` spans the entity's own plane.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// From one point to another.
    Line(Vec3, Vec3),
    /// Part of a circle, from `start` counter-clockwise through `sweep`.
    Arc {
        centre: Vec3,
        radius: f64,
        start: f64,
        sweep: f64,
        normal: Vec3,
    },
    /// Part of an ellipse by its parameter.
    Ellipse {
        centre: Vec3,
        major: Vec3,
        ratio: f64,
        start: f64,
        sweep: f64,
        normal: Vec3,
    },
    /// Lines and arcs in one plane.
    Flat {
        vertices: Vec<FlatVertex>,
        closed: bool,
        elevation: f64,
        normal: Vec3,
    },
    /// Lines in space.
    Chain { vertices: Vec<Vec3>, closed: bool },
    /// A spline as the file gives it.
    Spline(Box<SplineData>),
    /// A block set at a place.
    Insert(Box<InsertData>),
    /// A point.
    Point(Vec3),
    /// The edges of something that is no curve itself.
    Edges(Box<Edges>),
}

/// The edges of something that is no curve itself.
#[derive(Debug, Clone, PartialEq)]
pub struct Edges {
    /// Curves in the plane of the normal.
    pub shapes: Vec<Shape>,
    /// Normal of the plane.
    pub normal: Vec3,
}

/// A spline as the file gives it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SplineData {
    /// Degree as written; may disagree with the knots.
    pub degree: usize,
    /// Knots as written.
    pub knots: Vec<f64>,
    /// Control points.
    pub control: Vec<Vec3>,
    /// One a control point, or none.
    pub weights: Vec<f64>,
    /// Points that the curve passes through.
    pub fit: Vec<Vec3>,
    /// Direction at the start, for splines given by fit points alone; zero when not given.
    pub start_tangent: Vec3,
    /// Direction at the end.
    pub end_tangent: Vec3,
    /// Flag 1.
    pub closed: bool,
}

/// A block set at a place, possibly in rows and columns.
#[derive(Debug, Clone, PartialEq)]
pub struct InsertData {
    /// Number of the block in the list of blocks.
    pub block: u32,
    /// Where, in the plane of the normal.
    pub at: Vec3,
    /// Factors along the axes.
    pub scale: Vec3,
    /// Angle, radians.
    pub rotation: f64,
    /// Number of columns, at least 1.
    pub columns: u32,
    /// Number of rows, at least 1.
    pub rows: u32,
    /// Distance of the columns and rows.
    pub spacing: [f64; 2],
    /// Normal of the plane.
    pub normal: Vec3,
}

/// An entity with what is said about it.
#[derive(Debug, Clone)]
pub struct Entity {
    /// What it is.
    pub kind: Kind,
    /// Number of its layer.
    pub layer: u32,
    /// Colour number; 256 by layer, 0 by block.
    pub colour: i16,
    /// Line number or byte position of its beginning.
    pub at: usize,
    /// Marked as invisible by itself (code 60).
    pub invisible: bool,
    /// Whether its line type is dashed and dotted; `None` where its layer decides.
    pub dash_dot: Option<bool>,
    /// Its geometry.
    pub shape: Shape,
}

/// Angles nearer than this are the same, radians: the rounding of degrees as text.
const NO_TURN: f64 = 1e-12;

/// A curve that ends where it starts runs all the way round.
pub fn sweep(turned: f64) -> f64 {
    if turned < NO_TURN {
        std::f64::consts::TAU
    } else {
        turned
    }
}
