//! The lowest layer of the format: bytes to pairs of a group code and a value, text or binary.
//!
//! Tolerant on purpose: any line end, a byte order mark, UTF-16, leading blank lines, indentation,
//! comments. After damage it finds its way back to the next pair and says where it lost it.

use memchr::memchr;
use std::borrow::Cow;

/// The first bytes of a binary file, as the DXF reference has them.
const BINARY_SENTINEL: &[u8] = b"AutoCAD Binary DXF\r\n\x1a\0";

/// A value as it stands in the file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Value<'a> {
    /// Text, or a number written as text; blanks around it are cut off.
    Text(&'a [u8]),
    /// A whole number of a binary file.
    Whole(i64),
    /// A real number of a binary file.
    Real(f64),
}

/// Why a number could not be taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BadNumber {
    /// It is no number at all.
    Unreadable,
    /// It is infinite, undefined or too large.
    NotFinite,
}

/// A number and whether its spelling had to be repaired.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Number {
    /// The value.
    pub value: f64,
    /// A decimal comma or a D exponent stood in the file.
    pub repaired: bool,
}

impl<'a> Value<'a> {
    /// As a real number.
    pub fn number(self) -> Result<Number, BadNumber> {
        let plain = |value: f64| Number {
            value,
            repaired: false,
        };
        let number = match self {
            Value::Real(v) => plain(v),
            Value::Whole(v) => plain(v as f64),
            Value::Text(t) => {
                let text = std::str::from_utf8(t).map_err(|_| BadNumber::Unreadable)?;
                match text.parse() {
                    Ok(v) => plain(v),
                    Err(_) => Number {
                        value: respelled(text)?,
                        repaired: true,
                    },
                }
            }
        };
        if number.value.is_finite() {
            Ok(number)
        } else {
            Err(BadNumber::NotFinite)
        }
    }
    /// As a whole number; `4.0` counts as 4.
    pub fn whole(self) -> Option<i64> {
        match self {
            Value::Whole(v) => Some(v),
            Value::Text(t) => {
                let text = std::str::from_utf8(t).ok()?;
                text.parse().ok().or_else(|| from_real(text.parse().ok()?))
            }
            Value::Real(v) => from_real(v),
        }
    }
    /// As text; empty for the numbers of a binary file.
    pub fn text(self) -> &'a [u8] {
        match self {
            Value::Text(t) => t,
            _ => b"",
        }
    }
}

fn from_real(v: f64) -> Option<i64> {
    (v.fract() == 0.0 && v.abs() < 1e15).then_some(v as i64)
}

/// Decimal commas and D exponents of older languages; `1.#QNAN` and its like are not finite.
fn respelled(text: &str) -> Result<f64, BadNumber> {
    let lower = text.to_ascii_lowercase();
    if lower.contains("#ind") || lower.contains("#inf") || lower.contains("nan") {
        return Err(BadNumber::NotFinite);
    }
    lower
        .replace(',', ".")
        .replace('d', "e")
        .parse()
        .map_err(|_| BadNumber::Unreadable)
}

/// One pair of the file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair<'a> {
    /// The group code.
    pub code: i32,
    /// Its value.
    pub value: Value<'a>,
    /// Line number of the code (from 1), or byte position in a binary file.
    pub at: usize,
}

/// How the file is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Lines of text.
    Text,
    /// The binary form with group codes of this many bytes.
    Binary {
        /// 1 up to release 12, then 2.
        code_bytes: u8,
    },
}

/// Whether the bytes begin as a binary file.
pub fn is_binary(bytes: &[u8]) -> bool {
    bytes.starts_with(BINARY_SENTINEL)
}

/// UTF-16 as UTF-8 and the byte order mark cut off; other bytes as they are.
pub fn without_byte_order_mark(bytes: &[u8]) -> Cow<'_, [u8]> {
    match bytes {
        [0xEF, 0xBB, 0xBF, rest @ ..] => Cow::Borrowed(rest),
        [0xFF, 0xFE, rest @ ..] => Cow::Owned(
            encoding_rs::UTF_16LE
                .decode_without_bom_handling(rest)
                .0
                .into_owned()
                .into(),
        ),
        [0xFE, 0xFF, rest @ ..] => Cow::Owned(
            encoding_rs::UTF_16BE
                .decode_without_bom_handling(rest)
                .0
                .into_owned()
                .into(),
        ),
        _ => Cow::Borrowed(bytes),
    }
}

/// Walks through the pairs of a file.
pub struct Reader<'a> {
    bytes: &'a [u8],
    position: usize,
    line: usize,
    form: Form,
    line_end: u8,
    /// Where the reader lost its way (line or byte position).
    pub lost: Vec<usize>,
    /// How often it did; [`Self::lost`] keeps the first places only.
    pub lost_count: usize,
    /// The file ended in the middle of a pair.
    pub cut_off: bool,
}

/// Places of damage that are kept for the report.
const KEPT_PLACES: usize = 100;

impl<'a> Reader<'a> {
    /// Starts at the first pair. UTF-16 and byte order marks must be gone.
    pub fn new(bytes: &'a [u8]) -> Self {
        let binary = is_binary(bytes);
        let position = if binary { BINARY_SENTINEL.len() } else { 0 };
        let form = if binary {
            // The first pair is 0/SECTION or a comment (999): its second byte tells the width.
            let wide = matches!(bytes.get(position..), Some([0 | 0xE7, 0 | 3, ..]));
            Form::Binary {
                code_bytes: if wide { 2 } else { 1 },
            }
        } else {
            Form::Text
        };
        let line_end = if memchr(b'\n', bytes).is_some() {
            b'\n'
        } else {
            b'\r'
        };
        Self {
            bytes,
            position,
            line: 0,
            form,
            line_end,
            lost: Vec::new(),
            lost_count: 0,
            cut_off: false,
        }
    }
    /// Share of the file that has been read, 0 to 1.
    pub fn fraction(&self) -> f64 {
        self.position as f64 / self.bytes.len().max(1) as f64
    }
    /// The next pair; comments are passed over.
    pub fn next_pair(&mut self) -> Option<Pair<'a>> {
        loop {
            let pair = match self.form {
                Form::Text => self.text_pair(),
                Form::Binary { code_bytes } => self.binary_pair(code_bytes),
            }?;
            if pair.code != 999 {
                return Some(pair);
            }
        }
    }

    fn lose(&mut self, at: usize) {
        self.lost_count += 1;
        if self.lost.len() < KEPT_PLACES {
            self.lost.push(at);
        }
    }

    fn text_line(&mut self) -> Option<&'a [u8]> {
        if self.position >= self.bytes.len() {
            return None;
        }
        let rest = &self.bytes[self.position..];
        let length = memchr(self.line_end, rest).unwrap_or(rest.len());
        self.position += length + 1;
        self.line += 1;
        Some(rest[..length].trim_ascii())
    }

    fn text_pair(&mut self) -> Option<Pair<'a>> {
        let mut lost = false;
        loop {
            let line = self.text_line()?;
            let at = self.line;
            // Blank lines and the end-of-file byte of old systems stand between pairs at times.
            if line.is_empty() || line == b"\x1a" {
                continue;
            }
            let Some(code) = code_of(line) else {
                if !lost {
                    self.lose(at);
                    lost = true;
                }
                continue;
            };
            // After damage only a pair that begins something is a safe hold.
            if lost && !(code == 0 && self.keyword_follows()) {
                continue;
            }
            let Some(value) = self.text_line() else {
                self.cut_off = true;
                return None;
            };
            return Some(Pair {
                code,
                value: Value::Text(value),
                at,
            });
        }
    }

    fn keyword_follows(&self) -> bool {
        let rest = self.bytes.get(self.position..).unwrap_or_default();
        let length = memchr(self.line_end, rest).unwrap_or(rest.len());
        is_keyword(rest[..length].trim_ascii())
    }

    fn take(&mut self, count: usize) -> Option<&'a [u8]> {
        let taken = self
            .bytes
            .get(self.position..self.position.checked_add(count)?);
        if taken.is_some() {
            self.position += count;
        } else {
            self.cut_off = true;
            self.position = self.bytes.len();
        }
        taken
    }

    fn array<const N: usize>(&mut self) -> Option<[u8; N]> {
        self.take(N)?.try_into().ok()
    }

    fn binary_pair(&mut self, code_bytes: u8) -> Option<Pair<'a>> {
        loop {
            if self.position >= self.bytes.len() {
                return None;
            }
            let at = self.position;
            let code = if code_bytes == 2 {
                i32::from(i16::from_le_bytes(self.array()?))
            } else {
                match self.array::<1>()? {
                    [255] => i32::from(i16::from_le_bytes(self.array()?)),
                    [code] => i32::from(code),
                }
            };
            let Some(kind) = BinaryKind::of(code, code_bytes) else {
                self.lose(at);
                self.position = self.next_keyword(at + 1, code_bytes)?;
                continue;
            };
            let value = match kind {
                BinaryKind::Text => {
                    let rest = &self.bytes[self.position..];
                    let Some(length) = memchr(0, rest) else {
                        self.cut_off = true;
                        self.position = self.bytes.len();
                        return None;
                    };
                    self.position += length + 1;
                    Value::Text(rest[..length].trim_ascii())
                }
                BinaryKind::Real => Value::Real(f64::from_le_bytes(self.array()?)),
                BinaryKind::Whole1 => Value::Whole(i64::from(i8::from_le_bytes(self.array()?))),
                BinaryKind::Whole2 => Value::Whole(i64::from(i16::from_le_bytes(self.array()?))),
                BinaryKind::Whole4 => Value::Whole(i64::from(i32::from_le_bytes(self.array()?))),
                BinaryKind::Whole8 => Value::Whole(i64::from_le_bytes(self.array()?)),
                BinaryKind::Chunk => {
                    let [length] = self.array::<1>()?;
                    self.take(usize::from(length))?;
                    Value::Text(b"")
                }
            };
            if code == 0 && !is_keyword(value.text()) {
                self.lose(at);
                self.position = self.next_keyword(at + 1, code_bytes)?;
                continue;
            }
            return Some(Pair { code, value, at });
        }
    }

    /// Position of the next code 0 that a word of capitals follows.
    fn next_keyword(&self, from: usize, code_bytes: u8) -> Option<usize> {
        let mut position = from;
        loop {
            position += memchr(0, self.bytes.get(position..)?)?;
            let word = position + usize::from(code_bytes);
            let zero = self.bytes.get(position..word)?.iter().all(|&b| b == 0);
            let rest = self.bytes.get(word..)?;
            let length = memchr(0, &rest[..rest.len().min(64)]).unwrap_or(0);
            if zero && length >= 3 && is_keyword(&rest[..length]) {
                return Some(position);
            }
            position += 1;
        }
    }
}

fn code_of(line: &[u8]) -> Option<i32> {
    let text = std::str::from_utf8(line).ok()?;
    text.parse().ok().or_else(|| {
        let real: f64 = text.parse().ok()?;
        (real.fract() == 0.0 && real.abs() < 1e5).then_some(real as i32)
    })
}

/// A word that may follow code 0.
fn is_keyword(word: &[u8]) -> bool {
    word.first().is_some_and(u8::is_ascii_alphabetic)
        && word
            .iter()
            .all(|b| b.is_ascii_alphanumeric() || matches!(b, b'_' | b'-' | b'$' | b'.'))
}

/// How a binary file stores the value of a group code.
enum BinaryKind {
    Text,
    Real,
    Whole1,
    Whole2,
    Whole4,
    Whole8,
    Chunk,
}

impl BinaryKind {
    /// By the table of group code ranges in the DXF reference.
    fn of(code: i32, code_bytes: u8) -> Option<Self> {
        Some(match code {
            0..=9
            | 100..=102
            | 105
            | 300..=309
            | 320..=369
            | 390..=399
            | 410..=419
            | 430..=439
            | 470..=481
            | 999..=1003
            | 1005..=1009 => Self::Text,
            10..=59 | 110..=149 | 210..=239 | 460..=469 | 1010..=1059 => Self::Real,
            60..=79 | 170..=179 | 270..=289 | 370..=389 | 400..=409 | 1060..=1070 => Self::Whole2,
            90..=99 | 420..=429 | 440..=459 | 1071 => Self::Whole4,
            160..=169 => Self::Whole8,
            290..=299 => {
                if code_bytes == 2 {
                    Self::Whole1
                } else {
                    Self::Whole2
                }
            }
            310..=319 | 1004 => Self::Chunk,
            _ => return None,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pairs(bytes: &[u8]) -> Vec<(i32, String)> {
        let mut reader = Reader::new(bytes);
        std::iter::from_fn(|| reader.next_pair())
            .map(|p| (p.code, String::from_utf8_lossy(p.value.text()).into_owned()))
            .collect()
    }

    #[test]
    fn every_line_end_reads_the_same() {
        let expected = vec![(0, "LINE".to_owned()), (8, "a b".to_owned())];
        for text in [
            "0\nLINE\n8\na b\n",
            "0\r\nLINE\r\n8\r\na b",
            "0\rLINE\r8\ra b\r",
            "\n\n  0\nLINE\n999\nx\n  8\n a b",
        ] {
            assert_eq!(pairs(text.as_bytes()), expected, "{text:?}");
        }
    }

    #[test]
    fn damage_is_passed_over_and_named() {
        let mut reader = Reader::new(b"0\nLINE\n8\n0\nrubbish\n10\n0\n20\n0\nCIRCLE\n");
        let codes: Vec<i32> = std::iter::from_fn(|| reader.next_pair())
            .map(|p| p.code)
            .collect();
        assert_eq!(codes, [0, 8, 0]);
        assert_eq!(reader.lost, [5]);
    }

    #[test]
    fn numbers_in_foreign_spelling() {
        assert_eq!(
            Value::Text(b"1,5").number(),
            Ok(Number {
                value: 1.5,
                repaired: true
            })
        );
        assert_eq!(
            Value::Text(b"1.5D+02").number(),
            Ok(Number {
                value: 150.0,
                repaired: true
            })
        );
        assert_eq!(Value::Text(b"nan").number(), Err(BadNumber::NotFinite));
        assert_eq!(Value::Text(b"1e999").number(), Err(BadNumber::NotFinite));
        assert_eq!(Value::Text(b"1.#QNAN").number(), Err(BadNumber::NotFinite));
        assert_eq!(Value::Text(b"abc").number(), Err(BadNumber::Unreadable));
        assert_eq!(Value::Text(b"4.0").whole(), Some(4));
    }
}
