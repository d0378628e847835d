//! A drawing that is to be read: where it comes from, how it is read, and what comes of it.

use super::scene::Model;
use crate::drawing::{Drawing, Progress, ReadOptions};
use crate::enquiry::DrawingFile;
use crate::notes::{Says, Vocabulary};
use crate::profile::Profile;
use std::borrow::Cow;
use std::path::PathBuf;
use std::sync::Arc;

/// Where a drawing comes from.
#[derive(Debug, Clone)]
pub enum Source {
    /// A file.
    Path(PathBuf),
    /// Bytes that are here already.
    Bytes(Cow<'static, [u8]>),
}

/// A drawing to be read, and how.
#[derive(Debug, Clone)]
pub struct Reading {
    /// As shown to the user.
    pub name: String,
    /// Where it lies, where it is a file.
    pub path: Option<PathBuf>,
    /// Its bytes or where to find them.
    pub source: Source,
    /// Unit, join gap and layers.
    pub options: ReadOptions,
    /// The drawing as it is open, where it only has to be joined anew.
    pub known: Option<Arc<Drawing>>,
    /// The open drawing whose place it takes, with its job.
    pub replaces: Option<u64>,
    /// The open drawing that it is held against once it is open: the same file as it was before.
    pub against: Option<u64>,
    /// The item of the enquiry that it is opened for.
    pub item: Option<u64>,
    /// How far it is, and the way to stop it.
    pub progress: Progress,
    /// What materials are called, to understand the drawing's notes.
    pub vocabulary: Arc<Vocabulary>,
}

/// A drawing as read.
pub struct Read {
    /// What was read.
    pub drawing: Arc<Drawing>,
    /// Its contours alone.
    pub profile: Arc<Profile>,
    /// Its bytes, where they were read from a file.
    pub file: Option<DrawingFile>,
    /// Its polylines.
    pub model: Model,
    /// What each of its notes says plainly.
    pub says: Arc<[Says]>,
}
