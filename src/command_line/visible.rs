//! What a terminal takes for an order is shown, not obeyed.
//!
//! Names of files and layers come from strangers. An escape sequence among them could clear the screen, set
//! the title or forge a line above; here its control characters become visible signs. Line ends and tabs
//! stay. JSON writes no control characters, so nothing changes there.

use std::io::{self, Write};
use std::path::Path;

/// First byte of the control characters U+0080 to U+009F in UTF-8; the second one lies in 0x80 to 0x9F.
const C1_LEAD: u8 = 0xC2;
/// The replacement character, for control characters of one byte (ECMA-48, C0) and of two (C1).
const SHOWN: &[u8] = "\u{FFFD}".as_bytes();

/// Passes text on with its control characters replaced.
pub(super) struct Visible<W> {
    inner: W,
    /// The last byte of what was written before, where it may begin a control character.
    lead: bool,
}

impl<W: Write> Visible<W> {
    pub(super) fn new(inner: W) -> Self {
        Self { inner, lead: false }
    }
}

fn is_order(byte: u8) -> bool {
    byte == 0x7F || byte < 0x20 && !matches!(byte, b'\n' | b'\r' | b'\t')
}

impl<W: Write> Write for Visible<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        // Many bytes are looked at together, which is faster than stopping at the first.
        let needs_care = |some: &[u8]| {
            let looked_at = some.iter().map(|b| is_order(*b) || *b == C1_LEAD);
            looked_at.fold(false, |before, own| before | own)
        };
        if !self.lead && !bytes.chunks(256).any(needs_care) {
            self.inner.write_all(bytes)?;
            return Ok(bytes.len());
        }
        let mut out = Vec::with_capacity(bytes.len() + 16);
        let mut rest = bytes;
        while let Some((&byte, after)) = rest.split_first() {
            // Whole runs without any care at once: most of a text.
            let run = if self.lead {
                0
            } else {
                let careful = |b: &u8| is_order(*b) || *b == C1_LEAD;
                rest.iter().position(careful).unwrap_or(rest.len())
            };
            if run > 0 {
                out.extend_from_slice(&rest[..run]);
                rest = &rest[run..];
                continue;
            }
            rest = after;
            let after_lead = std::mem::replace(&mut self.lead, byte == C1_LEAD);
            if after_lead && (0x80..0xA0).contains(&byte) {
                out.extend_from_slice(SHOWN);
                continue;
            }
            if after_lead {
                out.push(C1_LEAD);
            }
            if is_order(byte) {
                out.extend_from_slice(SHOWN);
            } else if byte != C1_LEAD {
                out.push(byte);
            }
        }
        self.inner.write_all(&out)?;
        Ok(bytes.len())
    }
    fn flush(&mut self) -> io::Result<()> {
        if std::mem::take(&mut self.lead) {
            self.inner.write_all(&[C1_LEAD])?;
        }
        self.inner.flush()
    }
}

/// A message with its control characters replaced.
fn visible(message: &str) -> String {
    let shown = |c: char| {
        if c.is_control() && !matches!(c, '\n' | '\r' | '\t') {
            char::REPLACEMENT_CHARACTER
        } else {
            c
        }
    };
    message.chars().map(shown).collect()
}

/// Says something beside the output, on the error stream.
pub(super) fn tell(message: &str) {
    eprintln!("{}", visible(message));
}

/// Says something about a file on the error stream.
pub(super) fn tell_of(path: &Path, message: &str) {
    tell(&format!("{}: {message}", path.display()));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn through(pieces: &[&[u8]]) -> String {
        let mut out = Visible::new(Vec::new());
        for piece in pieces {
            out.write_all(piece).unwrap();
        }
        out.flush().unwrap();
        String::from_utf8(out.inner).unwrap()
    }

    #[test]
    fn orders_are_shown_and_text_stays() {
        for plain in ["Ø 12 µm × 3 °, naïve\r\n\ttab", "", "\u{A0}\u{C2}"] {
            assert_eq!(through(&[plain.as_bytes()]), plain);
            assert_eq!(visible(plain), plain);
        }
        // Clear the screen, set a title, and the one-character form of the same introducer (ECMA-48, 5.4).
        for hostile in [
            "a\u{1b}[2Jb",
            "a\u{1b}]0;title\u{7}b",
            "a\u{9b}2Jb",
            "a\u{7f}\u{8}b",
        ] {
            let shown = through(&[hostile.as_bytes()]);
            assert!(!shown.chars().any(char::is_control), "{shown:?}");
            assert_eq!(shown, visible(hostile));
            // Wherever it is cut into pieces.
            for cut in 0..=hostile.len() {
                let (a, b) = hostile.as_bytes().split_at(cut);
                assert_eq!(through(&[a, b]), shown);
            }
        }
    }
}
