//! The unit that the drawing is drawn in.

use crate::units::{Length, MM_PER_INCH};
use std::fmt;
use std::str::FromStr;

/// A unit of length that drawings use.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Unit {
    /// Millimetre.
    Millimetre,
    /// Inch.
    Inch,
    /// Foot.
    Foot,
    /// Centimetre.
    Centimetre,
    /// Metre.
    Metre,
    /// Micrometre.
    Micrometre,
    /// A thousandth of an inch.
    Thou,
    /// The drawing has none; taken as mm.
    None,
}

impl Unit {
    /// All of them, for lists to choose from.
    pub const ALL: [Self; 8] = [
        Self::Millimetre,
        Self::Inch,
        Self::Centimetre,
        Self::Metre,
        Self::Foot,
        Self::Thou,
        Self::Micrometre,
        Self::None,
    ];
    /// Millimetres in one.
    pub fn mm(self) -> f64 {
        match self {
            Self::Millimetre | Self::None => 1.0,
            Self::Inch => MM_PER_INCH,
            Self::Foot => 12.0 * MM_PER_INCH,
            Self::Centimetre => 10.0,
            Self::Metre => 1000.0,
            Self::Micrometre => 1e-3,
            Self::Thou => 1e-3 * MM_PER_INCH,
        }
    }
    /// The sign that is written and read: mm, in, ft, cm, m, µm, thou, none.
    pub fn sign(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Inch => "in",
            Self::Foot => "ft",
            Self::Centimetre => "cm",
            Self::Metre => "m",
            Self::Micrometre => "µm",
            Self::Thou => "thou",
            Self::None => "none",
        }
    }
    /// By `$INSUNITS` of the DXF reference; `None` for no unit and for those no workshop uses.
    pub fn from_header(code: i64) -> Option<Self> {
        Some(match code {
            1 => Self::Inch,
            2 => Self::Foot,
            4 => Self::Millimetre,
            5 => Self::Centimetre,
            6 => Self::Metre,
            9 => Self::Thou,
            13 => Self::Micrometre,
            _ => return None,
        })
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.sign())
    }
}

/// What a user types for a unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum UnitChoice {
    /// The header's unit, else a guess.
    #[default]
    Auto,
    /// This one, whatever the file says.
    Fixed(Unit),
}

impl FromStr for UnitChoice {
    type Err = String;
    fn from_str(text: &str) -> Result<Self, String> {
        let text = text.trim().to_lowercase();
        let unit = match text.as_str() {
            "auto" => return Ok(Self::Auto),
            "inch" | "\"" => Unit::Inch,
            "um" | "μm" => Unit::Micrometre,
            "mil" => Unit::Thou,
            _ => match Unit::ALL.into_iter().find(|u| u.sign() == text) {
                Some(unit) => unit,
                None => {
                    return Err(say!(
                        "unknown unit \"{text}\"; use auto, mm, in, ft, cm, m, um, thou or none"
                    ));
                }
            },
        };
        Ok(Self::Fixed(unit))
    }
}

/// Where the unit was taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum UnitSource {
    /// `$INSUNITS`.
    Header,
    /// A guess from size and `$MEASUREMENT`.
    Guess,
    /// The user said so.
    Option,
}

impl UnitSource {
    /// The word shown to a person, behind the unit.
    pub fn said(self) -> &'static str {
        match self {
            Self::Header => say!("header"),
            Self::Guess => say!("guess"),
            Self::Option => say!("option"),
        }
    }
    /// The word written in JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::Header => "header",
            Self::Guess => "guess",
            Self::Option => "option",
        }
    }
}

/// What the file's header says about the unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HeaderUnit {
    /// Nothing.
    Silent,
    /// That there is none.
    Unitless,
    /// This one.
    Is(Unit),
    /// A number that stands for no unit known here.
    Unknown(i64),
}

impl HeaderUnit {
    /// By `$INSUNITS`.
    pub(crate) fn of(code: Option<i64>) -> Self {
        match code {
            None => Self::Silent,
            Some(0) => Self::Unitless,
            Some(code) => Unit::from_header(code).map_or(Self::Unknown(code), Self::Is),
        }
    }
}

/// What `$MEASUREMENT` prefers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Prefers {
    /// mm and its kin.
    Metric,
    /// Inches and feet.
    English,
}

/// The unit of a drawing and why.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Units {
    /// The unit.
    pub used: Unit,
    /// Where it comes from.
    pub from: UnitSource,
    /// What the header says.
    pub header: HeaderUnit,
    /// What the header prefers.
    pub prefers: Option<Prefers>,
    /// Width and height of the visible curves.
    pub size: (Length, Length),
}

/// Below this size, in drawing units, a drawing that says nothing is more likely in inches: parts for
/// wire cutting are rarely smaller than 10 mm, often smaller than 10 in. Common practice, no source.
const LIKELY_INCHES: f64 = 10.0;

/// The unit that a drawing without one is most likely drawn in.
pub fn guess(width: f64, height: f64, prefers: Option<Prefers>) -> Unit {
    let small = width.max(height) < LIKELY_INCHES;
    match prefers {
        Some(Prefers::Metric) => Unit::Millimetre,
        _ if small && width.max(height) > 0.0 => Unit::Inch,
        _ => Unit::Millimetre,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_read_back() {
        for unit in Unit::ALL {
            assert_eq!(unit.sign().parse(), Ok(UnitChoice::Fixed(unit)));
        }
        assert!("furlong".parse::<UnitChoice>().is_err());
        assert!((Unit::Foot.mm() - 304.8).abs() < 1e-12);
    }
}
