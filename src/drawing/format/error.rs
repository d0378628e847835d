//! Why a file cannot be read at all; the sentences are in `words::reading`.

use super::group_codes::is_binary;
use super::limits::FILE_BYTES;
use crate::progress::Cancelled;

/// A file that is no readable drawing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ReadError {
    /// The operating system will not give it: what it says.
    CannotOpen(String),
    /// It is a folder.
    Folder,
    /// It is a device or a socket, which has no end.
    NoFile,
    /// It grew while it was read.
    Growing,
    /// No byte in it.
    Empty,
    /// It is a file of another kind.
    OtherKind(FileKind),
    /// Nothing like group codes in it.
    NotADrawing,
    /// A drawing cut off or damaged before its entities.
    NoEntities,
    /// Larger than [`super::limits::FILE_BYTES`]: how many MB it has.
    TooLarge(usize),
    /// The user cancelled.
    Cancelled,
    /// The reader itself failed.
    ReaderFailed,
}

/// What customers send instead of a DXF.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs, reason = "their names say what they are")]
pub enum FileKind {
    Dwg,
    Pdf,
    Step,
    Zip,
    Png,
    Jpeg,
    RichText,
    Xml,
    Svg,
    Stl,
    Job,
}

impl From<Cancelled> for ReadError {
    fn from(_: Cancelled) -> Self {
        Self::Cancelled
    }
}

/// Beginnings of files that customers send instead.
const OTHER_KINDS: [(&[u8], FileKind); 11] = [
    (b"AC10", FileKind::Dwg),
    (b"AC1.", FileKind::Dwg),
    (b"%PDF", FileKind::Pdf),
    (b"ISO-10303-21", FileKind::Step),
    (b"PK\x03\x04", FileKind::Zip),
    (b"\x89PNG", FileKind::Png),
    (b"\xFF\xD8\xFF", FileKind::Jpeg),
    (b"{\\rtf", FileKind::RichText),
    (b"<?xml", FileKind::Xml),
    (b"<svg", FileKind::Svg),
    (b"solid ", FileKind::Stl),
];

/// What a job file of this program begins with, after a brace and perhaps a line's end.
const JOB: &[u8] = b"\"kerfcast_job\"";

fn is_job(start: &[u8]) -> bool {
    let inside = start.strip_prefix(b"{");
    inside.is_some_and(|s| s.trim_ascii_start().starts_with(JOB))
}

/// Refuses what is no DXF by its first bytes.
pub(crate) fn check_form(bytes: &[u8]) -> Result<(), ReadError> {
    if bytes.len() > FILE_BYTES {
        return Err(ReadError::TooLarge(bytes.len() >> 20));
    }
    if bytes.trim_ascii().is_empty() {
        return Err(ReadError::Empty);
    }
    let start = bytes.trim_ascii_start();
    if is_job(start) {
        return Err(ReadError::OtherKind(FileKind::Job));
    }
    match OTHER_KINDS
        .iter()
        .find(|(magic, _)| start.starts_with(magic))
    {
        Some((_, kind)) => Err(ReadError::OtherKind(*kind)),
        None => Ok(()),
    }
}

/// Why pairs without entities are no drawing.
pub(crate) fn not_a_drawing(bytes: &[u8], pairs: usize) -> ReadError {
    if pairs >= 2 || is_binary(bytes) {
        ReadError::NoEntities
    } else {
        ReadError::NotADrawing
    }
}
