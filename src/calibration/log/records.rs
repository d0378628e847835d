//! The bytes of a table cut into records and cells, so that every byte belongs to exactly one record.
//!
//! A reader of tables gives the text of cells, and what it does not understand is gone. A log that is changed record by
//! record needs the place of each cell in the file, so it is cut up here; `tests/shop_files.rs` holds the text of the cells
//! against the `csv` crate.

use std::ops::Range;

/// Longest quoted cell, bytes: a quotation mark that is closed later than that is a stray one.
const LONGEST_QUOTED: usize = 100_000;

/// How characters lie in the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Encoding {
    /// UTF-8; a byte that is none is read as Windows-1252, as older spreadsheets write.
    Bytes,
    /// Two bytes, the low one first.
    Utf16Le,
    /// Two bytes, the high one first.
    Utf16Be,
}

impl Encoding {
    /// By the mark at the beginning, else by where the zeros lie; with the length of the mark.
    pub fn of(bytes: &[u8]) -> (Self, usize) {
        match bytes {
            [0xef, 0xbb, 0xbf, ..] => (Self::Bytes, 3),
            [0xff, 0xfe, ..] => (Self::Utf16Le, 2),
            [0xfe, 0xff, ..] => (Self::Utf16Be, 2),
            [low, 0, ..] if *low != 0 => (Self::Utf16Le, 0),
            [0, low, ..] if *low != 0 => (Self::Utf16Be, 0),
            _ => (Self::Bytes, 0),
        }
    }
    /// The character at a place and how many bytes it takes; `None` at the end.
    pub fn char_at(self, bytes: &[u8], at: usize) -> Option<(char, usize)> {
        let rest = bytes.get(at..).filter(|r| !r.is_empty())?;
        if self == Self::Bytes {
            if rest[0].is_ascii() {
                return Some((char::from(rest[0]), 1));
            }
            let four = &rest[..rest.len().min(4)];
            let valid = match std::str::from_utf8(four) {
                Ok(text) => text,
                Err(e) => std::str::from_utf8(&four[..e.valid_up_to()]).unwrap_or(""),
            };
            return Some(
                valid
                    .chars()
                    .next()
                    .map_or_else(|| (windows_1252(rest[0]), 1), |c| (c, c.len_utf8())),
            );
        }
        let unit = |k: usize| -> Option<u16> {
            let pair = [*rest.get(2 * k)?, *rest.get(2 * k + 1)?];
            Some(match self {
                Self::Utf16Be => u16::from_be_bytes(pair),
                _ => u16::from_le_bytes(pair),
            })
        };
        let Some(first) = unit(0) else {
            return Some((char::REPLACEMENT_CHARACTER, 1));
        };
        let units = [Some(first), unit(1)].into_iter().flatten();
        Some(match char::decode_utf16(units).next() {
            Some(Ok(c)) => (c, 2 * c.len_utf16()),
            _ => (char::REPLACEMENT_CHARACTER, 2),
        })
    }
    /// A text as it lies in the file.
    pub fn encoded(self, text: &str) -> Vec<u8> {
        match self {
            Self::Bytes => text.as_bytes().to_vec(),
            Self::Utf16Le => text.encode_utf16().flat_map(u16::to_le_bytes).collect(),
            Self::Utf16Be => text.encode_utf16().flat_map(u16::to_be_bytes).collect(),
        }
    }
}

fn windows_1252(byte: u8) -> char {
    let (text, _, _) = encoding_rs::WINDOWS_1252.decode(std::slice::from_ref(&byte));
    text.chars().next().unwrap_or(char::REPLACEMENT_CHARACTER)
}

/// A cell of a record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Cell {
    /// Without quotation marks and the spaces around it.
    pub text: String,
    /// Where it lies in the record, quotation marks included.
    pub at: Range<usize>,
}

/// A record at the beginning of some bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Taken {
    /// Its bytes, with the end of its last line.
    pub bytes: usize,
    /// Ends of lines in it.
    pub lines: u64,
    /// Its cells; one empty cell on an empty line.
    pub cells: Vec<Cell>,
    /// Whether a quotation mark in it is never closed, or closed where no cell ends: then it is this one line, so
    /// that the rows below it are rows again.
    pub stray: bool,
}

/// Takes a record off the beginning of bytes that are not empty.
pub(super) fn record(bytes: &[u8], encoding: Encoding, delimiter: char) -> Taken {
    let taken = Taking {
        bytes,
        encoding,
        delimiter,
        at: 0,
        lines: 0,
    };
    let quoted = taken.clone().take(true);
    quoted.unwrap_or_else(|| {
        let line = taken.take(false).unwrap_or(Taken {
            bytes: bytes.len(),
            lines: 0,
            cells: Vec::new(),
            stray: true,
        });
        Taken {
            stray: true,
            ..line
        }
    })
}

#[derive(Clone)]
struct Taking<'a> {
    bytes: &'a [u8],
    encoding: Encoding,
    delimiter: char,
    at: usize,
    lines: u64,
}

impl Taking<'_> {
    fn peek(&self) -> Option<char> {
        self.encoding.char_at(self.bytes, self.at).map(|(c, _)| c)
    }
    fn next(&mut self) -> Option<char> {
        let (c, n) = self.encoding.char_at(self.bytes, self.at)?;
        self.at += n;
        Some(c)
    }
    /// Steps over the end of a line, if one is here.
    fn end_of_line(&mut self) -> bool {
        match self.peek() {
            Some('\n') => {
                self.next();
            }
            Some('\r') => {
                self.next();
                if self.peek() == Some('\n') {
                    self.next();
                }
            }
            _ => return false,
        }
        self.lines += 1;
        true
    }
    /// `None` where a quotation mark is a stray one.
    fn take(mut self, quotes: bool) -> Option<Taken> {
        let mut cells = Vec::new();
        loop {
            let start = self.at;
            let text = if quotes && self.peek() == Some('"') {
                self.quoted()?
            } else {
                self.plain()
            };
            cells.push(Cell {
                text: text.trim().to_owned(),
                at: start..self.at,
            });
            if self.peek() == Some(self.delimiter) {
                self.next();
                continue;
            }
            self.end_of_line();
            return Some(Taken {
                bytes: self.at,
                lines: self.lines,
                cells,
                stray: false,
            });
        }
    }
    fn ends_cell(&self) -> bool {
        self.peek()
            .is_none_or(|c| c == self.delimiter || c == '\n' || c == '\r')
    }
    fn plain(&mut self) -> String {
        let mut text = String::new();
        while !self.ends_cell() {
            text.extend(self.next());
        }
        text
    }
    fn quoted(&mut self) -> Option<String> {
        let start = self.at;
        self.next();
        let (mut text, lines) = (String::new(), self.lines);
        loop {
            if self.at - start > LONGEST_QUOTED {
                return None;
            }
            match self.peek()? {
                '"' => {
                    self.next();
                    if self.peek() != Some('"') {
                        break;
                    }
                    text.extend(self.next());
                }
                '\r' | '\n' => {
                    let from = self.at;
                    self.end_of_line();
                    text.push_str(if self.at - from > 1 && self.encoding == Encoding::Bytes {
                        "\r\n"
                    } else {
                        "\n"
                    });
                }
                _ => text.extend(self.next()),
            }
        }
        let behind = self.at;
        while !self.ends_cell() && matches!(self.peek(), Some(' ' | '\t')) {
            self.next();
        }
        if !self.ends_cell() {
            if self.lines > lines {
                return None;
            }
            // "3" mm: odd, but plainly one cell of one line.
            self.at = behind;
            text.push_str(&self.plain());
        }
        Some(text)
    }
}

/// A text as one cell: in quotation marks where it needs them.
pub(super) fn cell_text(text: &str, delimiter: char) -> String {
    let needs = |c: char| c == delimiter || matches!(c, '"' | '\r' | '\n' | ',' | ';' | '\t');
    if text.contains(needs) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(text: &str) -> (Vec<String>, usize, bool) {
        let taken = record(text.as_bytes(), Encoding::Bytes, ',');
        let cells = taken.cells.into_iter().map(|c| c.text).collect();
        (cells, taken.bytes, taken.stray)
    }

    #[test]
    fn a_stray_quotation_mark_costs_its_own_line_only() {
        assert_eq!(
            texts("a,\"b\nc\",d\ne"),
            (vec!["a".into(), "b\nc".into(), "d".into()], 10, false)
        );
        // Never closed.
        assert_eq!(texts("a,\"b\nc,d\n").1, 5);
        // Closed in a later row, where no cell ends.
        let (cells, bytes, stray) = texts("a,\"b,c\nd,e,\"f\n");
        assert_eq!((cells.len(), bytes, stray), (3, 7, true));
        // Odd, but plainly one line.
        assert_eq!(
            texts("\"3\" mm,b\n"),
            (vec!["3 mm".into(), "b".into()], 9, false)
        );
        assert_eq!(
            texts("a,\"\",\"x\"\"y\" ,\r\nb"),
            (
                vec!["a".into(), String::new(), "x\"y".into(), String::new()],
                15,
                false
            )
        );
    }

    #[test]
    fn every_encoding_gives_the_same_cells() {
        let text = "Größe,\"zwei\nZeilen\",𝄞\r\n";
        for encoding in [Encoding::Bytes, Encoding::Utf16Le, Encoding::Utf16Be] {
            let bytes = encoding.encoded(text);
            let taken = record(&bytes, encoding, ',');
            assert_eq!(taken.bytes, bytes.len());
            let cells: Vec<_> = taken.cells.iter().map(|c| c.text.as_str()).collect();
            assert_eq!(cells, ["Größe", "zwei\nZeilen", "𝄞"]);
        }
        // 0xF6 is ö where it is no UTF-8.
        let taken = record(b"Gr\xf6\xdfe,b", Encoding::Bytes, ',');
        assert_eq!(taken.cells[0].text, "Größe");
    }
}
