//! Raw pairs of one entity → the canonical pairs that the `dxf` crate decodes.
//!
//! The crate refuses whole files for one odd value and drops entities without a word, so it is given
//! only what it needs, in its binary form: no text to parse twice, no layer or text to look up (both
//! are kept here; its look-ups are linear in the number of layers), numbers already checked.

use super::entity::Kind;
use super::group_codes::{BadNumber, Pair};
use super::limits::LARGEST_NUMBER;

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

/// What a code means for its entity.
#[derive(Clone, Copy, PartialEq)]
enum Need {
    /// Must be there and be a number.
    Must,
    /// Must be a number where it is given.
    Good,
    /// A height above the plane: left out when it is no number, with a finding.
    Height,
}

const NORMAL: [(i32, Need); 3] = [(210, Need::Good), (220, Need::Good), (230, Need::Good)];

/// The real-valued codes of the simple entities.
fn reals(kind: Kind) -> &'static [(i32, Need)] {
    use Need::{Good, Height, Must};
    match kind {
        Kind::Line => &[
            (10, Must),
            (20, Must),
            (30, Height),
            (11, Must),
            (21, Must),
            (31, Height),
        ],
        Kind::Circle => &[(10, Must), (20, Must), (30, Height), (40, Must)],
        Kind::Arc => &[
            (10, Must),
            (20, Must),
            (30, Height),
            (40, Must),
            (50, Must),
            (51, Must),
        ],
        Kind::Ellipse => &[
            (10, Must),
            (20, Must),
            (30, Height),
            (11, Must),
            (21, Must),
            (31, Height),
            (40, Must),
            (41, Good),
            (42, Good),
        ],
        Kind::Insert => &[
            (10, Good),
            (20, Good),
            (30, Height),
            (41, Good),
            (42, Good),
            (43, Good),
            (44, Good),
            (45, Good),
            (50, Good),
        ],
        Kind::Point => &[(10, Must), (20, Must), (30, Height)],
        Kind::Polyline => &[(30, Height)],
        Kind::LwPolyline | Kind::Spline => &[],
    }
}

/// Canonical pairs of many entities, ready for the crate.
#[derive(Debug, Default)]
pub struct Canonical {
    /// Pairs in binary form, without the frame of a file.
    pub bytes: Vec<u8>,
    /// Numbers whose spelling was repaired, with their places.
    pub repaired: Vec<usize>,
}

impl Canonical {
    /// Adds one entity under a number that comes back as its handle. On rejection nothing is added.
    ///
    /// `block` is the number of the block of an INSERT: it stands for the name.
    pub fn add(
        &mut self,
        kind: Kind,
        number: u64,
        block: u32,
        at: usize,
        pairs: &[Pair<'_>],
    ) -> Result<(), Rejected> {
        let start = self.bytes.len();
        self.text(0, kind.word());
        self.text(5, &format!("{number:X}"));
        let added = match kind {
            Kind::LwPolyline => self.flat_polyline(at, pairs),
            Kind::Spline => self.spline(at, pairs),
            _ => self.simple(kind, block, at, pairs),
        };
        if added.is_err() {
            self.bytes.truncate(start);
        }
        added
    }
    /// Adds a vertex of the POLYLINE that was added last.
    pub fn add_vertex(&mut self, at: usize, pairs: &[Pair<'_>]) -> Result<(), Rejected> {
        use Need::{Good, Height, Must};
        self.text(0, "VERTEX");
        self.whole(70, find_whole(pairs, 70, at)?);
        self.reals(
            at,
            pairs,
            &[(10, Must), (20, Must), (30, Height), (42, Good)],
        )
    }
    /// Ends the vertices of a POLYLINE.
    pub fn end_vertices(&mut self) {
        self.text(0, "SEQEND");
    }

    fn text(&mut self, code: i16, text: &str) {
        self.bytes.extend_from_slice(&code.to_le_bytes());
        self.bytes.extend_from_slice(text.as_bytes());
        self.bytes.push(0);
    }
    fn real(&mut self, code: i32, value: f64) {
        self.bytes.extend_from_slice(&(code as i16).to_le_bytes());
        self.bytes.extend_from_slice(&value.to_le_bytes());
    }
    fn whole(&mut self, code: i16, value: i64) {
        let value = value.clamp(i64::from(i16::MIN), i64::from(i16::MAX)) as i16;
        self.bytes.extend_from_slice(&code.to_le_bytes());
        self.bytes.extend_from_slice(&value.to_le_bytes());
    }
    /// A number that must be good; its repair is noted.
    fn number(&mut self, pair: &Pair<'_>) -> Result<f64, Rejected> {
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

    fn simple(
        &mut self,
        kind: Kind,
        block: u32,
        at: usize,
        pairs: &[Pair<'_>],
    ) -> Result<(), Rejected> {
        match kind {
            Kind::Insert => {
                self.text(2, &block.to_string());
                for code in [70, 71] {
                    let count = find_whole(pairs, code, at)?;
                    self.whole(code as i16, count.max(1));
                }
            }
            Kind::Polyline => self.whole(70, find_whole(pairs, 70, at)?),
            _ => {}
        }
        self.reals(at, pairs, reals(kind))?;
        self.reals(at, pairs, &NORMAL)
    }

    fn reals(
        &mut self,
        at: usize,
        pairs: &[Pair<'_>],
        wanted: &[(i32, Need)],
    ) -> Result<(), Rejected> {
        for &(code, need) in wanted {
            // The last one counts, as it does for most readers.
            match (pairs.iter().rev().find(|p| p.code == code), need) {
                (None, Need::Must) => {
                    return Err(Rejected {
                        why: Rejection::Incomplete,
                        at,
                    });
                }
                (None, _) => {}
                (Some(pair), Need::Height)
                    if pair
                        .value
                        .number()
                        .is_ok_and(|n| n.value.abs() > LARGEST_NUMBER)
                        || pair.value.number().is_err() =>
                {
                    self.repaired.push(pair.at);
                }
                (Some(pair), _) => {
                    let value = self.number(pair)?;
                    self.real(code, value);
                }
            }
        }
        Ok(())
    }

    fn flat_polyline(&mut self, at: usize, pairs: &[Pair<'_>]) -> Result<(), Rejected> {
        self.whole(70, find_whole(pairs, 70, at)?);
        self.reals(at, pairs, &[(38, Need::Height)])?;
        self.reals(at, pairs, &NORMAL)?;
        // Widths (40, 41) before the first vertex make the crate refuse the file: left out.
        let mut open: Option<(f64, Option<f64>, f64)> = None;
        for pair in pairs {
            match (pair.code, &mut open) {
                (10, _) => {
                    self.flush_vertex(open, at)?;
                    open = Some((self.number(pair)?, None, 0.0));
                }
                (20, Some(vertex)) => vertex.1 = Some(self.number(pair)?),
                (42, Some(vertex)) => vertex.2 = self.number(pair)?,
                _ => {}
            }
        }
        self.flush_vertex(open, at)
    }

    fn flush_vertex(
        &mut self,
        vertex: Option<(f64, Option<f64>, f64)>,
        at: usize,
    ) -> Result<(), Rejected> {
        let Some((x, y, bulge)) = vertex else {
            return Ok(());
        };
        let y = y.ok_or(Rejected {
            why: Rejection::Incomplete,
            at,
        })?;
        self.real(10, x);
        self.real(20, y);
        if bulge != 0.0 {
            self.real(42, bulge);
        }
        Ok(())
    }

    /// Points are written whole: the crate loses control points without a third coordinate.
    fn spline(&mut self, at: usize, pairs: &[Pair<'_>]) -> Result<(), Rejected> {
        for code in [70, 71] {
            self.whole(code as i16, find_whole(pairs, code, at)?);
        }
        self.reals(at, pairs, &NORMAL)?;
        let mut i = 0;
        while let Some(pair) = pairs.get(i) {
            i += 1;
            match pair.code {
                40 | 41 => {
                    let value = self.number(pair)?;
                    self.real(pair.code, value);
                }
                10..=13 => {
                    let x = self.number(pair)?;
                    let y = pairs.get(i).filter(|p| p.code == pair.code + 10);
                    let y = self.number(y.ok_or(Rejected {
                        why: Rejection::Incomplete,
                        at,
                    })?)?;
                    let z = pairs.get(i + 1).filter(|p| p.code == pair.code + 20);
                    let z = z
                        .and_then(|p| p.value.number().ok())
                        .map_or(0.0, |n| n.value);
                    i += 1;
                    for (code, value) in [(pair.code, x), (pair.code + 10, y), (pair.code + 20, z)]
                    {
                        self.real(code, value);
                    }
                }
                _ => {}
            }
        }
        Ok(())
    }
}

/// A whole number, 0 when it is not given.
fn find_whole(pairs: &[Pair<'_>], code: i32, at: usize) -> Result<i64, Rejected> {
    match pairs.iter().rev().find(|p| p.code == code) {
        None => Ok(0),
        Some(p) => p.value.whole().ok_or(Rejected {
            why: Rejection::Unreadable,
            at: p.at.max(at),
        }),
    }
}

impl From<BadNumber> for Rejection {
    fn from(bad: BadNumber) -> Self {
        match bad {
            BadNumber::Unreadable => Self::Unreadable,
            BadNumber::NotFinite => Self::NotFinite,
        }
    }
}
