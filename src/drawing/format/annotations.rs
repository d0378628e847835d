//! Texts and dimensions as the file gives them: no curves, but what the drawing says.

use super::entity::Vec3;
use super::group_codes::Pair;
use super::record::{Record, first_text, first_whole};
use std::sync::Arc;

/// A text of the file.
#[derive(Debug, Clone, PartialEq)]
pub struct TextEntity {
    /// What it says, codes of form and all.
    pub raw: Arc<str>,
    /// Its codes are those of an MTEXT.
    pub paragraphs: bool,
    /// Name of an attribute.
    pub tag: Option<Arc<str>>,
    /// Where it stands, in the plane of the normal.
    pub at: Vec3,
    /// Height of its letters.
    pub height: f64,
    /// Number of its layer.
    pub layer: u32,
    /// Marked as invisible.
    pub invisible: bool,
    /// Line number or byte position.
    pub line: usize,
    /// Normal of its plane.
    pub normal: Vec3,
}

/// Which points a dimension is measured between.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Measuring {
    /// The distance of two points along a direction in the plane of the normal.
    Along(Vec3, Vec3, Vec3),
    /// The distance of two points.
    Between(Vec3, Vec3),
    /// The two ends of a diameter.
    Diameter(Vec3, Vec3),
    /// Centre and a point of the circle.
    Radius(Vec3, Vec3),
    /// Datum and point; the coordinate along x, else along y.
    Ordinate(Vec3, Vec3, bool),
    /// An angle, or something that has no length.
    NoLength,
}

/// A dimension of the file.
#[derive(Debug, Clone, PartialEq)]
pub struct DimensionEntity {
    /// What it measures.
    pub measuring: Measuring,
    /// The text typed instead of the measured value or around it (`<>`), as the file gives it.
    pub typed: Option<Arc<str>>,
    /// The block that holds its picture.
    pub picture: Option<u32>,
    /// By what what is drawn is multiplied.
    pub factor: f64,
    /// What the file says was measured; 0 where it says nothing.
    pub measured: f64,
    /// Where its text stands.
    pub at: Vec3,
    /// Number of its layer.
    pub layer: u32,
    /// Marked as invisible.
    pub invisible: bool,
    /// Line number or byte position.
    pub line: usize,
    /// Normal of its plane.
    pub normal: Vec3,
}

/// The texts in another block, shown at a place: the picture of a table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Picture {
    /// Number of the block.
    pub block: u32,
    /// Where.
    pub at: Vec3,
    /// Number of its layer.
    pub layer: u32,
}

/// What a block or the model space says.
#[derive(Debug, Clone, Default)]
pub struct Annotations {
    /// Its texts.
    pub texts: Vec<TextEntity>,
    /// Its dimensions.
    pub dimensions: Vec<DimensionEntity>,
    /// Its tables.
    pub pictures: Vec<Picture>,
}

/// Longest text that is kept, bytes.
const LONGEST: usize = 4000;

fn number(pairs: &[Pair<'_>], code: i32) -> Option<f64> {
    let pair = pairs.iter().find(|p| p.code == code)?;
    pair.value.number().ok().map(|n| n.value)
}

/// A point by the code of its x.
pub fn point(pairs: &[Pair<'_>], code: i32) -> Option<Vec3> {
    Some([
        number(pairs, code)?,
        number(pairs, code + 10)?,
        number(pairs, code + 20).unwrap_or(0.0),
    ])
}

fn normal(pairs: &[Pair<'_>]) -> Vec3 {
    point(pairs, 210).unwrap_or([0.0, 0.0, 1.0])
}

/// What a TEXT, MTEXT, ATTRIB or MULTILEADER says, before any decoding; empty for nothing.
fn raw_text(record: &Record<'_>) -> Vec<u8> {
    let pairs = &record.pairs;
    let mut raw = Vec::new();
    match record.word.as_slice() {
        b"MTEXT" => {
            for code in [3, 1] {
                for pair in pairs.iter().filter(|p| p.code == code) {
                    raw.extend_from_slice(pair.value.text());
                }
            }
        }
        b"MULTILEADER" | b"MLEADER" => {
            // The same code opens groups, with a brace.
            let text = pairs
                .iter()
                .filter(|p| p.code == 304)
                .map(|p| p.value.text())
                .find(|t| !t.ends_with(b"{"));
            raw.extend_from_slice(text.unwrap_or_default());
        }
        _ => raw.extend_from_slice(first_text(pairs, 1)),
    }
    raw.truncate(LONGEST);
    raw
}

/// The text of a record, with a decoder for its bytes; `None` where it says nothing or stands nowhere.
pub fn text_entity(
    record: &Record<'_>,
    layer: u32,
    decoded: &mut dyn FnMut(&[u8]) -> String,
) -> Option<TextEntity> {
    let pairs = &record.pairs;
    let raw = raw_text(record);
    if raw.iter().all(u8::is_ascii_whitespace) {
        return None;
    }
    let leader = record.word.ends_with(b"LEADER");
    let in_plane = matches!(record.word.as_slice(), b"TEXT" | b"ATTRIB");
    // Bit 1 of an attribute (DXF reference): invisible.
    let hidden = record.word == b"ATTRIB" && first_whole(pairs, 70).is_some_and(|f| f & 1 != 0);
    let tag = first_text(pairs, 2);
    Some(TextEntity {
        raw: decoded(&raw).into(),
        paragraphs: !in_plane,
        tag: (record.word == b"ATTRIB" && !tag.is_empty()).then(|| decoded(tag).into()),
        at: if leader {
            point(pairs, 12).or_else(|| point(pairs, 10))?
        } else {
            point(pairs, 10)?
        },
        height: number(pairs, if leader { 41 } else { 40 })
            .unwrap_or(0.0)
            .abs(),
        layer,
        invisible: hidden || first_whole(pairs, 60) == Some(1),
        line: record.at,
        normal: if in_plane {
            normal(pairs)
        } else {
            [0.0, 0.0, 1.0]
        },
    })
}

/// A dimension's own values for its style, among the extended data: `DSTYLE`, then pairs of a variable's group
/// code and its value (DXF reference, "Extended data"). Here that of code 144, DIMLFAC.
pub fn own_factor(pairs: &[Pair<'_>]) -> Option<f64> {
    let begin = pairs
        .iter()
        .position(|p| p.code == 1000 && p.value.text().eq_ignore_ascii_case(b"DSTYLE"))?;
    let mut list = pairs[begin + 1..]
        .iter()
        .filter(|p| p.code != 1002)
        .take_while(|p| p.code != 1001 && p.code != 1000);
    while let (Some(variable), Some(value)) = (list.next(), list.next()) {
        if variable.code == 1070 && variable.value.whole() == Some(144) {
            return value.value.number().ok().map(|n| n.value);
        }
    }
    None
}

/// By what a style multiplies what is drawn: DIMLFAC. A negative one counts in layouts only.
pub fn style_factor(pairs: &[Pair<'_>]) -> f64 {
    usable_factor(number(pairs, 144))
}

/// A factor that can be meant, else 1.
pub fn usable_factor(factor: Option<f64>) -> f64 {
    factor
        .filter(|f| f.is_finite() && (1e-6..=1e6).contains(f))
        .unwrap_or(1.0)
}

/// A dimension of a record.
pub fn dimension_entity(
    record: &Record<'_>,
    (layer, picture, factor): (u32, Option<u32>, f64),
    decoded: &mut dyn FnMut(&[u8]) -> String,
) -> Option<DimensionEntity> {
    let pairs = &record.pairs;
    let flags = first_whole(pairs, 70).unwrap_or(0);
    let at = |code| point(pairs, code);
    let both = |a: i32, b: i32| Some((at(a)?, at(b)?));
    // Code 70 (DXF reference): 0 turned, 1 aligned, 2 and 5 angles, 3 diameter, 4 radius, 6 ordinate; 64 along x.
    let measuring = match flags & 7 {
        0 => both(13, 14).map(|(a, b)| {
            let turn = number(pairs, 50).unwrap_or(0.0).to_radians();
            Measuring::Along(a, b, [turn.cos(), turn.sin(), 0.0])
        }),
        1 => both(13, 14).map(|(a, b)| Measuring::Between(a, b)),
        3 => both(10, 15).map(|(a, b)| Measuring::Diameter(a, b)),
        4 => both(10, 15).map(|(a, b)| Measuring::Radius(a, b)),
        6 => both(10, 13).map(|(a, b)| Measuring::Ordinate(a, b, flags & 64 != 0)),
        _ => None,
    };
    let typed = first_text(pairs, 1);
    Some(DimensionEntity {
        measuring: measuring.unwrap_or(Measuring::NoLength),
        typed: (!typed.is_empty()).then(|| decoded(&typed[..typed.len().min(LONGEST)]).into()),
        picture,
        factor,
        measured: number(pairs, 42).unwrap_or(0.0),
        at: at(11).or_else(|| at(10))?,
        layer,
        invisible: first_whole(pairs, 60) == Some(1),
        line: record.at,
        normal: normal(pairs),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::format::values::Value;

    #[test]
    fn the_factor_among_extended_data() {
        let pair = |code, value| Pair { code, value, at: 0 };
        let list = [
            pair(1001, Value::Text(b"ACAD")),
            pair(1000, Value::Text(b"DSTYLE")),
            pair(1002, Value::Text(b"{")),
            pair(1070, Value::Text(b"40")),
            pair(1040, Value::Text(b"2.5")),
            pair(1070, Value::Text(b"144")),
            pair(1040, Value::Real(0.1)),
            pair(1002, Value::Text(b"}")),
        ];
        assert_eq!(own_factor(&list), Some(0.1));
        assert_eq!(own_factor(&list[..5]), None);
        assert_eq!(usable_factor(Some(-2.0)), 1.0);
    }
}
