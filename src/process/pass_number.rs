//! Which pass: the rough or one of the skims.

use std::fmt;

/// The number of a pass. The rough is 1, the first skim 2.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PassNumber(usize);

impl PassNumber {
    /// The first of every plan.
    pub const ROUGH: Self = Self(1);

    /// The pass at a place of a plan's list, from 0.
    pub fn at(place: usize) -> Self {
        Self(place + 1)
    }
    /// All passes of a plan with so many, the rough first.
    pub fn all(count: usize) -> impl DoubleEndedIterator<Item = Self> {
        (0..count).map(Self::at)
    }
    /// Its place in a plan's list, from 0.
    pub fn place(self) -> usize {
        self.0 - 1
    }
    /// As written in JSON and tables: 1 is the rough.
    pub fn number(self) -> usize {
        self.0
    }
    /// Whether it is the rough.
    pub fn is_rough(self) -> bool {
        self == Self::ROUGH
    }
}

/// "rough", "skim 1".
impl fmt::Display for PassNumber {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.place() {
            0 => f.write_str(say!("rough")),
            skim => write!(f, "{}", say!("skim {skim}")),
        }
    }
}
