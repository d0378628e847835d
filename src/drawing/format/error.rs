//! Why a file cannot be read at all, and what to do.

use super::group_codes::is_binary;
use super::limits::FILE_BYTES;
use super::progress::Cancelled;
use thiserror::Error;

/// A file that is no readable drawing.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ReadError {
    /// The operating system will not give it.
    #[error("The file cannot be opened: {0}.")]
    CannotOpen(String),
    /// No byte in it.
    #[error("The file is empty.")]
    Empty,
    /// It is a file of another kind, named.
    #[error("This is {0}, not a DXF drawing.")]
    OtherKind(&'static str),
    /// Nothing like group codes in it.
    #[error("This is not a DXF drawing: no group codes were found.")]
    NotADrawing,
    /// A drawing cut off or damaged before its entities.
    #[error("The drawing holds no entities: it is cut off or damaged before them.")]
    NoEntities,
    /// Larger than [`super::limits::FILE_BYTES`].
    #[error("The file has {0} MB; files up to {limit} MB are read.", limit = FILE_BYTES >> 20)]
    TooLarge(usize),
    /// The user cancelled.
    #[error("Reading was cancelled.")]
    Cancelled,
    /// The reader itself failed.
    #[error("The reader failed on this file.")]
    ReaderFailed,
}

impl ReadError {
    /// What to do about it.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::CannotOpen(_) => "Check its name, and that you may read it.",
            Self::Empty => "Ask for the file again, or export it once more.",
            Self::OtherKind(_) => "Open it in the program it comes from and save it as DXF.",
            Self::NotADrawing => "Check that the right file was chosen, and export it as DXF.",
            Self::NoEntities => "Ask for the file again; a complete one ends with EOF.",
            Self::TooLarge(_) => "Ask for a drawing of the part alone.",
            Self::Cancelled => "Open it again to read it.",
            Self::ReaderFailed => "Export the drawing once more, possibly as an older DXF version.",
        }
    }
}

impl From<Cancelled> for ReadError {
    fn from(_: Cancelled) -> Self {
        Self::Cancelled
    }
}

/// Beginnings of files that customers send instead.
const OTHER_KINDS: [(&[u8], &str); 11] = [
    (b"AC10", "a DWG drawing"),
    (b"AC1.", "a DWG drawing"),
    (b"%PDF", "a PDF document"),
    (b"ISO-10303-21", "a STEP model"),
    (b"PK\x03\x04", "a ZIP archive"),
    (b"\x89PNG", "a PNG picture"),
    (b"\xFF\xD8\xFF", "a JPEG picture"),
    (b"{\\rtf", "a text document"),
    (b"<?xml", "an XML file"),
    (b"<svg", "an SVG drawing"),
    (b"solid ", "an STL model"),
];

/// Refuses what is no DXF by its first bytes.
pub(crate) fn check_form(bytes: &[u8]) -> Result<(), ReadError> {
    if bytes.len() > FILE_BYTES {
        return Err(ReadError::TooLarge(bytes.len() >> 20));
    }
    if bytes.trim_ascii().is_empty() {
        return Err(ReadError::Empty);
    }
    let start = bytes.trim_ascii_start();
    match OTHER_KINDS
        .iter()
        .find(|(magic, _)| start.starts_with(magic))
    {
        Some((_, kind)) => Err(ReadError::OtherKind(kind)),
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
