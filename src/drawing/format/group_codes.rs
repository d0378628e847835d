//! The lowest layer of the format: bytes to pairs of a group code and a value, text or binary.
//!
//! Tolerant on purpose: any line end, a byte order mark, UTF-16, leading blank lines, indentation,
//! comments. After damage it finds its way back to the next pair and says where it lost it.

use super::binary_codes::BinaryKind;
use super::values::Value;
use crate::progress::{Cancelled, Progress};
use encoding_rs::Encoding;
use memchr::memchr;
use std::borrow::Cow;

/// The first bytes of a binary file, as the DXF reference has them.
const BINARY_SENTINEL: &[u8] = b"AutoCAD Binary DXF\r\n\x1a\0";

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

/// Bytes of UTF-16 that are decoded between two looks at the progress handle.
const DECODED_A_STEP: usize = 1 << 20;

/// UTF-16 as UTF-8 and the byte order mark cut off; other bytes as they are.
pub fn without_byte_order_mark<'a>(
    bytes: &'a [u8],
    progress: &Progress,
) -> Result<Cow<'a, [u8]>, Cancelled> {
    let decoded = |rest: &[u8], encoding: &'static Encoding| {
        let mut decoder = encoding.new_decoder_without_bom_handling();
        let mut text = String::new();
        for chunk in rest.chunks(DECODED_A_STEP) {
            progress.check()?;
            let room = decoder.max_utf8_buffer_length(chunk.len());
            text.reserve(room.unwrap_or(3 * chunk.len()));
            let (_, read, _) = decoder.decode_to_string(chunk, &mut text, false);
            debug_assert_eq!(read, chunk.len(), "there was room for all of it");
        }
        Ok(Cow::Owned(text.into_bytes()))
    };
    match bytes {
        [0xEF, 0xBB, 0xBF, rest @ ..] => Ok(Cow::Borrowed(rest)),
        [0xFF, 0xFE, rest @ ..] => decoded(rest, encoding_rs::UTF_16LE),
        [0xFE, 0xFF, rest @ ..] => decoded(rest, encoding_rs::UTF_16BE),
        _ => Ok(Cow::Borrowed(bytes)),
    }
}

/// Walks through the pairs of a file.
pub struct Reader<'a> {
    bytes: &'a [u8],
    progress: &'a Progress,
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

/// Lines, or places looked at in a damaged binary file, between two looks at the progress handle.
const LINES_A_LOOK: usize = 1 << 12;
/// Places of damage that are kept for the report.
const KEPT_PLACES: usize = 100;

impl<'a> Reader<'a> {
    /// Starts at the first pair. UTF-16 and byte order marks must be gone. A cancelled reader comes to
    /// its end early, also within damage that it passes over.
    pub fn new(bytes: &'a [u8], progress: &'a Progress) -> Self {
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
            progress,
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
        if self.line.is_multiple_of(LINES_A_LOOK) && self.progress.check().is_err() {
            self.position = self.bytes.len();
        }
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
        for turn in 1_usize.. {
            if turn.is_multiple_of(LINES_A_LOOK) && self.progress.check().is_err() {
                return None;
            }
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
        None
    }
}

fn code_of(line: &[u8]) -> Option<i32> {
    let text = std::str::from_utf8(line).ok()?;
    text.parse().ok().or_else(|| {
        let real: f64 = text.parse().ok()?;
        (real.fract() == 0.0 && real.abs() < 1e5).then_some(real as i32)
    })
}

/// A word that may follow code 0; a few begin with a digit, such as 3DFACE.
fn is_keyword(word: &[u8]) -> bool {
    (word.first().is_some_and(u8::is_ascii_alphabetic) || word.starts_with(b"3D"))
        && word
            .iter()
            .all(|b| b.is_ascii_alphanumeric() || matches!(b, b'_' | b'-' | b'$' | b'.'))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pairs(bytes: &[u8]) -> Vec<(i32, String)> {
        let progress = Progress::default();
        let mut reader = Reader::new(bytes, &progress);
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
        let progress = Progress::default();
        let mut reader = Reader::new(b"0\nLINE\n8\n0\nrubbish\n10\n0\n20\n0\nCIRCLE\n", &progress);
        let codes: Vec<i32> = std::iter::from_fn(|| reader.next_pair())
            .map(|p| p.code)
            .collect();
        assert_eq!(codes, [0, 8, 0]);
        assert_eq!(reader.lost, [5]);
    }
}
