//! Texts and dimensions in their places, through the insertions around them.

use super::frame::Frame;
use crate::drawing::format::{
    DimensionEntity, LARGEST_NUMBER, Measuring, TextEntity, Vec3, plain_line, plain_paragraphs,
};
use crate::geometry::{Datum, DrawingPoint};
use std::sync::Arc;

/// A text in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedText {
    /// What it says, without codes of form.
    pub text: String,
    /// Name of an attribute.
    pub tag: Option<Arc<str>>,
    /// Where, absolute mm.
    pub at: DrawingPoint,
    /// Height of its letters, mm.
    pub height: f64,
    /// Its layer.
    pub layer: Arc<str>,
    /// It stands in a layout.
    pub in_layout: bool,
    /// Line number or byte position.
    pub line: usize,
}

impl PlacedText {
    /// A text of the file, seen through a frame about an origin; `None` where it says nothing.
    pub fn of(text: &TextEntity, frame: &Frame, origin: Datum, layer: &Arc<str>) -> Option<Self> {
        let plane = frame.after(&Frame::of_normal(text.normal));
        let at = plane.point(text.at) + origin;
        let says = plain(text);
        (is_near(at) && !says.is_empty()).then(|| Self {
            text: says,
            tag: text.tag.clone(),
            at,
            height: height_in(&plane, text),
            layer: layer.clone(),
            in_layout: false,
            line: text.line,
        })
    }
}

/// Height of a text's letters through a frame, mm; 0 where it is none.
fn height_in(frame: &Frame, text: &TextEntity) -> f64 {
    let height = frame.direction([0.0, text.height, 0.0]).norm();
    if height <= LARGEST_NUMBER {
        height
    } else {
        0.0
    }
}

/// Whether a place can be shown at all.
fn is_near(at: DrawingPoint) -> bool {
    at.is_finite() && at.distance(DrawingPoint::default()) <= LARGEST_NUMBER
}

fn plain(text: &TextEntity) -> String {
    let plain = if text.paragraphs {
        plain_paragraphs(&text.raw)
    } else {
        plain_line(&text.raw)
    };
    plain.trim().to_owned()
}

/// A dimension in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedDimension {
    /// What it measures.
    pub measuring: Measuring,
    /// Distance that it is measured over, mm; 0 where it has none.
    pub drawn_mm: f64,
    /// The text typed for it, without codes of form.
    pub typed: Option<String>,
    /// The text in its picture.
    pub shown: Option<String>,
    /// By what what is drawn is multiplied.
    pub factor: f64,
    /// What the file says was measured, drawing units; 0 where it says nothing.
    pub measured: f64,
    /// Where its text stands, absolute mm.
    pub at: DrawingPoint,
    /// Height of the letters in its picture, mm; 0 where there is none.
    pub height: f64,
    /// Its layer.
    pub layer: Arc<str>,
    /// Line number or byte position.
    pub line: usize,
}

impl PlacedDimension {
    /// A dimension of the file with the text in its picture, seen through a frame about an origin.
    pub fn of(
        dimension: &DimensionEntity,
        shown: Option<&TextEntity>,
        (frame, origin): (&Frame, Datum),
        layer: &Arc<str>,
    ) -> Option<Self> {
        let plane = frame.after(&Frame::of_normal(dimension.normal));
        let at = plane.point(dimension.at) + origin;
        let away = |a: Vec3, b: Vec3| frame.point(b) - frame.point(a);
        let along = |a: Vec3, b: Vec3, way: Vec3| {
            let way = plane.direction(way);
            away(a, b).dot(way).abs() / way.norm()
        };
        let drawn_mm = match dimension.measuring {
            Measuring::Along(a, b, way) => along(a, b, way),
            Measuring::Between(a, b) | Measuring::Diameter(a, b) | Measuring::Radius(a, b) => {
                away(a, b).norm()
            }
            Measuring::Ordinate(a, b, x) => {
                along(a, b, if x { [1.0, 0.0, 0.0] } else { [0.0, 1.0, 0.0] })
            }
            Measuring::NoLength => 0.0,
        };
        (is_near(at) && drawn_mm.is_finite()).then(|| Self {
            measuring: dimension.measuring,
            drawn_mm,
            typed: dimension
                .typed
                .as_ref()
                .map(|t| plain_paragraphs(t).trim().to_owned()),
            shown: shown.map(plain),
            factor: dimension.factor,
            measured: dimension.measured,
            at,
            height: shown.map_or(0.0, |t| height_in(frame, t)),
            layer: layer.clone(),
            line: dimension.line,
        })
    }
}
