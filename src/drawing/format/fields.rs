//! The values of one entity's pairs, checked: what is missing, no number or beyond any drawing is named
//! with its place in the file, and what only a repair made readable is noted.

use super::entity::Vec3;
use super::group_codes::Pair;
use super::limits::LARGEST_NUMBER;
use super::values::BadNumber;

/// Why an entity cannot be taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rejection {
    /// A number that matters is none.
    Unreadable,
    /// A number that matters is infinite or undefined.
    NotFinite,
    /// A value is missing without which there is no curve.
    Incomplete,
}

/// A rejection and where in the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rejected {
    /// Why.
    pub why: Rejection,
    /// Line number or byte position.
    pub at: usize,
}

impl From<BadNumber> for Rejection {
    fn from(bad: BadNumber) -> Self {
        match bad {
            BadNumber::Unreadable => Self::Unreadable,
            BadNumber::NotFinite => Self::NotFinite,
        }
    }
}

/// The pairs of one entity, or a part of them.
pub struct Fields<'a, 'p> {
    /// In the order of the file.
    pub pairs: &'a [Pair<'p>],
    /// Where the entity begins.
    pub at: usize,
    /// Places of numbers whose spelling was repaired.
    pub repaired: &'a mut Vec<usize>,
}

impl<'p> Fields<'_, 'p> {
    /// A value is missing.
    pub fn incomplete(&self) -> Rejected {
        Rejected {
            why: Rejection::Incomplete,
            at: self.at,
        }
    }
    /// The last pair of a code: it counts, as it does for most readers.
    fn last(&self, code: i32) -> Option<Pair<'p>> {
        self.pairs.iter().rev().find(|p| p.code == code).copied()
    }
    /// The number of a pair.
    pub fn number(&mut self, pair: &Pair<'_>) -> Result<f64, Rejected> {
        let number = pair.value.number().map_err(|bad| Rejected {
            why: bad.into(),
            at: pair.at,
        })?;
        if number.value.abs() > LARGEST_NUMBER {
            return Err(Rejected {
                why: Rejection::NotFinite,
                at: pair.at,
            });
        }
        if number.repaired {
            self.repaired.push(pair.at);
        }
        Ok(number.value)
    }
    /// A number that must be there.
    pub fn must(&mut self, code: i32) -> Result<f64, Rejected> {
        let pair = self.last(code).ok_or_else(|| self.incomplete())?;
        self.number(&pair)
    }
    /// A number that may be missing.
    pub fn good(&mut self, code: i32, default: f64) -> Result<f64, Rejected> {
        self.last(code)
            .map_or(Ok(default), |pair| self.number(&pair))
    }
    /// A height above the plane: taken as 0 where it is no number, with a finding.
    pub fn height(&mut self, code: i32) -> f64 {
        let Some(pair) = self.last(code) else {
            return 0.0;
        };
        self.number(&pair).unwrap_or_else(|_| {
            self.repaired.push(pair.at);
            0.0
        })
    }
    /// A point that must be there, by the code of its x.
    pub fn point(&mut self, code: i32) -> Result<Vec3, Rejected> {
        Ok([
            self.must(code)?,
            self.must(code + 10)?,
            self.height(code + 20),
        ])
    }
    /// The normal of the entity's plane; upwards where it is not given.
    pub fn normal(&mut self) -> Result<Vec3, Rejected> {
        Ok([
            self.good(210, 0.0)?,
            self.good(220, 0.0)?,
            self.good(230, 1.0)?,
        ])
    }
    /// A whole number of two bytes, 0 when it is not given; what is beyond counts as the bound.
    pub fn whole(&self, code: i32) -> Result<i64, Rejected> {
        let Some(pair) = self.last(code) else {
            return Ok(0);
        };
        let value = pair.value.whole().ok_or(Rejected {
            why: Rejection::Unreadable,
            at: pair.at.max(self.at),
        })?;
        Ok(value.clamp(i64::from(i16::MIN), i64::from(i16::MAX)))
    }
    /// A point whose coordinates follow each other; many writers leave out a third one of 0.
    pub fn triple(&mut self, first: usize) -> Result<Vec3, Rejected> {
        let pairs = self.pairs;
        let code = pairs[first].code;
        let x = self.number(&pairs[first])?;
        let y = pairs.get(first + 1).filter(|p| p.code == code + 10);
        let y = self.number(y.ok_or_else(|| self.incomplete())?)?;
        let z = pairs.get(first + 2).filter(|p| p.code == code + 20);
        let z = z.and_then(|p| p.value.number().ok());
        Ok([x, y, z.map_or(0.0, |n| n.value)])
    }
}
