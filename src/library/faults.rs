//! What can be wrong with a library, as data; the sentences stand in `words`.

use super::thickness_curve::CurveError;

/// Part of a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// The number itself.
    Value,
    /// The lower end of its range.
    Low,
    /// The upper end of its range.
    High,
}

/// Why something cannot be as it is.
#[derive(Debug, Clone, PartialEq)]
pub enum Reason {
    /// A number out of the limits of its field, all in the unit of the field.
    Outside {
        /// The number or an end of its range.
        end: End,
        /// What stands there.
        number: f64,
        /// Least allowed.
        low: f64,
        /// Most allowed.
        high: f64,
        /// Unit; may be empty.
        unit: &'static str,
    },
    /// A range that does not hold its number.
    RangeHoldsNot {
        /// The number.
        number: f64,
        /// Lower end.
        low: Option<f64>,
        /// Upper end.
        high: Option<f64>,
        /// Unit; may be empty.
        unit: &'static str,
    },
    /// A range so wide that it says nothing.
    RangeTooWide {
        /// The number.
        number: f64,
        /// Farthest that an end may lie from it, as a factor.
        times: f64,
        /// Unit; may be empty.
        unit: &'static str,
    },
    /// A pair that is not low and high.
    NoPair {
        /// Most that the high end may be.
        most: f64,
        /// Unit.
        unit: &'static str,
    },
    /// A unit that cannot be turned into that of the field.
    Unit {
        /// As given.
        given: String,
        /// That of the field; empty for a ratio.
        needed: &'static str,
    },
    /// Something else than a number stands there.
    NoNumber,
    /// Something else than words stands there.
    NoWords,
    /// A word that is none of those possible.
    NoneOf(Vec<&'static str>),
    /// A key that is not known; those that are.
    UnknownKey(Vec<&'static str>),
    /// The key that a value needs is not there, or a part of it that must be.
    Missing,
    /// The built-in library has no entry of this name to copy.
    NothingToCopy(String),
    /// There is no such cell, or what should stand there does not fit.
    NoSuchCell,
    /// An entry without a name.
    NoName,
    /// A name that is empty, or begins or ends with a space.
    BadName,
    /// A name with the sign that stands between wire and diameter.
    NameWithAt,
    /// A name that is there twice in a file.
    NameTwice,
    /// A name that another entry has.
    NameTaken,
    /// Nothing can be added to this table.
    FixedSet,
    /// A diameter that is no number.
    NoDiameter,
    /// A diameter beyond what wires have.
    DiameterOutside,
    /// A pass that the built-in library does not have.
    NoSuchPass,
    /// The thickness curve.
    Curve(CurveError),
}

/// A cell that cannot be as it is.
#[derive(Debug, Clone, PartialEq)]
pub struct CellFault {
    /// "material", "wire", …, as in the file.
    pub table: &'static str,
    /// Name of the entry.
    pub entry: String,
    /// Which of its cells, as in the file.
    pub cell: String,
    /// What is wrong.
    pub reason: Reason,
}

/// Why a library file is refused. Nothing of it is then in force.
#[derive(Debug)]
pub enum LibraryFileError {
    /// Cannot be read or written.
    Io(std::io::Error),
    /// No UTF-8 text.
    NoText,
    /// No TOML.
    NoToml {
        /// Line, counted from 1.
        line: usize,
        /// What the reader of TOML says.
        reason: String,
    },
    /// No head.
    NoLibrary,
    /// Saved by a later program.
    Newer(i64),
    /// A cell that cannot be as it is.
    Cell {
        /// Line, counted from 1.
        line: usize,
        /// Which cell, and why.
        fault: Box<CellFault>,
    },
    /// A table that a whole library needs is not there.
    Lacks(&'static str),
}

impl From<std::io::Error> for LibraryFileError {
    fn from(e: std::io::Error) -> Self {
        Self::Io(e)
    }
}
