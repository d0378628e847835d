//! Why a job file, or an item of it, is refused. The sentences are in `words::job_files`.

use crate::files::Unread;
use crate::job::JobFault;
use crate::library::LibraryFileError;
use crate::library::knowledge::KnowledgeError;

/// Why a job file is refused.
#[derive(Debug)]
pub enum FileFault {
    /// It cannot be read or written: what the system says.
    System(String),
    /// It is a folder.
    Folder,
    /// It has more bytes than are read.
    TooLarge(u64),
    /// It is no JSON, or lacks what every job file has: line, column, and what the reader says.
    Damaged {
        /// Line, counted from 1.
        line: usize,
        /// Column, counted from 1.
        column: usize,
        /// In the reader's words.
        reason: String,
    },
    /// It is JSON, but no job file.
    NoJobFile,
    /// It was saved by a later program: the file's version.
    Newer(u64),
    /// The library in it.
    Library(LibraryFileError),
    /// What was learned.
    Learned(KnowledgeError),
    /// An item, counted from 0.
    Item {
        /// Which.
        item: usize,
        /// Its name, where it has one.
        name: String,
        /// Why.
        fault: ItemFault,
    },
}

/// Why an item is refused.
#[derive(Debug, Clone, PartialEq)]
pub enum ItemFault {
    /// The bytes of the drawing are not written as base64.
    NoBase64,
    /// They are not those that were saved.
    OtherBytes,
    /// A word where one of a few is expected: which cell, and what stands there.
    NoSuchWord(&'static str, String),
    /// A number that cannot be: which cell, and the number.
    NoSuchNumber(&'static str, f64),
    /// The job cannot be estimated.
    Job(JobFault),
}

impl From<Unread> for FileFault {
    fn from(why: Unread) -> Self {
        match why {
            Unread::System(e) => Self::System(e.to_string()),
            Unread::Folder => Self::Folder,
            Unread::TooLarge(bytes) => Self::TooLarge(bytes),
            Unread::NoFile | Unread::Growing | Unread::Stopped => Self::System(why.reason()),
        }
    }
}
