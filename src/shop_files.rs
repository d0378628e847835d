//! The shop's own files: where they lie, how they are read, and how a change goes into them so that nothing is lost.
//!
//! A change is done to what lies in the file at that moment, under a lock: a cut by its record, rates and library by
//! their lines. So two windows, or a window and a person with an editor, never write over each other, and what this
//! program does not understand stays as it was. The formats belong to [`calibration::Log`](crate::calibration::Log),
//! [`library::UserLibrary`](crate::library::UserLibrary) and [`Rates`].

mod rates;

pub use rates::{Rates, RatesFault, RatesFaultKind, RatesFileError};

use crate::calibration::{CutsError, Day, Edit, Log};
use crate::files::{self, Unread};
use crate::library::{Library, UserLibrary};
use crate::safe_file;
use crate::toml_change;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Largest file that is read, bytes: a log of cuts over many years.
pub const MOST_BYTES: u64 = 256 << 20;
/// Most copies put aside beside one file.
const MOST_COPIES: usize = 1000;
/// What a file of letterhead and words begins with.
const QUOTE_HEAD: &str = "# Letterhead and standing words of the shop's quotes. A line that is not here stands at its usual value.\n\
     kerfcast_quote = 1\n";
/// Folder of the program's data among those of the user.
const APPLICATION: &str = "kerfcast";

/// One of the shop's files.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ShopFile {
    /// The shop's own library.
    Library,
    /// Its finished cuts.
    Cuts,
    /// Its rates and habits.
    Rates,
    /// Letterhead and standing words of its quotes.
    Quote,
}

impl ShopFile {
    /// All.
    pub const ALL: [Self; 4] = [Self::Library, Self::Cuts, Self::Rates, Self::Quote];
    /// Its name in the folder.
    pub fn name(self) -> &'static str {
        match self {
            Self::Library => "library.toml",
            Self::Cuts => "finished-cuts.csv",
            Self::Rates => "rates.toml",
            Self::Quote => "quote.toml",
        }
    }
}

/// A change to one of the files.
#[derive(Debug, Clone)]
pub enum Change {
    /// Cuts, one after the other.
    Cuts(Vec<Edit>),
    /// What makes one library of another.
    Library {
        /// As it was.
        from: Box<UserLibrary>,
        /// As it is to be.
        to: Box<UserLibrary>,
    },
    /// What makes other rates of the rates.
    Rates {
        /// As they were.
        from: Box<Rates>,
        /// As they are to be.
        to: Box<Rates>,
    },
    /// What makes other words of the words of quotes.
    Quote {
        /// Every key as it was, as TOML.
        from: String,
        /// As it is to be.
        to: String,
    },
}

impl Change {
    /// The file that it changes.
    pub fn file(&self) -> ShopFile {
        match self {
            Self::Cuts(_) => ShopFile::Cuts,
            Self::Library { .. } => ShopFile::Library,
            Self::Rates { .. } => ShopFile::Rates,
            Self::Quote { .. } => ShopFile::Quote,
        }
    }
    /// This change and then a later one of the same file.
    #[must_use]
    pub fn then(self, later: Self) -> Self {
        match (self, later) {
            (Self::Cuts(mut all), Self::Cuts(more)) => {
                all.extend(more);
                Self::Cuts(all)
            }
            (Self::Library { from, .. }, Self::Library { to, .. }) => Self::Library { from, to },
            (Self::Rates { from, .. }, Self::Rates { to, .. }) => Self::Rates { from, to },
            (Self::Quote { from, .. }, Self::Quote { to, .. }) => Self::Quote { from, to },
            (_, later) => later,
        }
    }
}

/// What came of a change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kept {
    /// The whole file as it lies there now.
    pub bytes: Arc<[u8]>,
    /// The copy of the file from before that was put aside, because not all of it was understood.
    pub aside: Option<PathBuf>,
    /// Lines that somebody else had changed meanwhile; this change came later and stands.
    pub overruled: Vec<String>,
    /// Cuts that were to be changed and are not in the file any more, as somebody else took or changed them.
    pub missed: usize,
}

/// Why a file is not changed.
#[derive(Debug)]
pub enum Unkept {
    /// There is no place for the shop's files.
    NoPlace,
    /// The system will not have it.
    System(io::Error),
    /// What lies there cannot be read: it is no file, or far too large.
    NoFile,
}

impl From<io::Error> for Unkept {
    fn from(e: io::Error) -> Self {
        Self::System(e)
    }
}

/// Where the shop's files lie.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ShopFiles {
    library: Option<PathBuf>,
    cuts: Option<PathBuf>,
    rates: Option<PathBuf>,
    quote: Option<PathBuf>,
}

impl ShopFiles {
    /// In a folder; nowhere without one.
    pub fn in_folder(folder: Option<&Path>) -> Self {
        let place = |file: ShopFile| folder.map(|f| f.join(file.name()));
        Self {
            library: place(ShopFile::Library),
            cuts: place(ShopFile::Cuts),
            rates: place(ShopFile::Rates),
            quote: place(ShopFile::Quote),
        }
    }
    /// The folder of this computer's user: `kerfcast` below `$XDG_DATA_HOME` or `~/.local/share` on Linux, and where
    /// data of programs lie on other systems. `None` where the user has no home.
    pub fn usual_folder() -> Option<PathBuf> {
        let folder = dirs::data_dir()?.join(APPLICATION);
        // As the toolkit of the window has it, which keeps its own things there.
        Some(if cfg!(windows) {
            folder.join("data")
        } else {
            folder
        })
    }
    /// With the library elsewhere.
    #[must_use]
    pub fn with_library(self, path: Option<PathBuf>) -> Self {
        Self {
            library: path.or(self.library),
            ..self
        }
    }
    /// With the cuts elsewhere.
    #[must_use]
    pub fn with_cuts(self, path: Option<PathBuf>) -> Self {
        Self {
            cuts: path.or(self.cuts),
            ..self
        }
    }
    /// Where a file lies.
    pub fn path(&self, file: ShopFile) -> Option<&Path> {
        match file {
            ShopFile::Library => self.library.as_deref(),
            ShopFile::Cuts => self.cuts.as_deref(),
            ShopFile::Rates => self.rates.as_deref(),
            ShopFile::Quote => self.quote.as_deref(),
        }
    }
    /// The bytes of a file; `None` where there is none yet.
    ///
    /// # Errors
    /// It is there and cannot be read.
    pub fn read(&self, file: ShopFile) -> Result<Option<Vec<u8>>, Unread> {
        self.path(file).map_or(Ok(None), there)
    }
    /// Copies that were put aside beside a file, "finished-cuts (2).csv" and so on.
    pub fn copies(&self, file: ShopFile) -> Vec<PathBuf> {
        self.path(file).map_or_else(Vec::new, copies)
    }

    /// Does a change to what lies in its file now, and saves that. `library` is the one that cuts and rates rest on.
    /// `known` is what lay there when it was last looked at: where the file is gone by now, it is made again from that.
    ///
    /// # Errors
    /// The file stays as it was.
    pub fn keep(
        &self,
        change: &Change,
        known: Option<&[u8]>,
        library: &Library,
    ) -> Result<Kept, Unkept> {
        let path = self.path(change.file()).ok_or(Unkept::NoPlace)?;
        let real = safe_file::behind_links(path)?;
        if let Some(folder) = real.parent().filter(|f| !f.as_os_str().is_empty()) {
            fs::create_dir_all(folder)?;
        }
        let _lock = safe_file::lock(path)?;
        let before = there(path).map_err(|e| match e {
            Unread::System(e) => Unkept::System(e),
            _ => Unkept::NoFile,
        })?;
        let done = done(change, before.as_deref().or(known), library);
        let aside = match (&before, &done.doubt) {
            (Some(before), Doubt::Whole) => put_aside(path, before, &[before])?,
            (Some(before), Doubt::Parts(parts)) => {
                let parts: Vec<&[u8]> = parts.iter().map(Vec::as_slice).collect();
                put_aside(path, before, &parts)?
            }
            _ => None,
        };
        if before.as_ref() != Some(&done.bytes) {
            safe_file::save(path, &done.bytes)?;
        }
        Ok(Kept {
            bytes: done.bytes.into(),
            aside,
            overruled: done.overruled,
            missed: done.missed,
        })
    }
}

fn there(path: &Path) -> Result<Option<Vec<u8>>, Unread> {
    match files::read(path, MOST_BYTES, || false) {
        Ok(bytes) => Ok(Some(bytes)),
        Err(Unread::System(e)) if e.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(e) => Err(e),
    }
}

/// How far a file was not understood before it is changed.
enum Doubt {
    None,
    /// These bytes of it.
    Parts(Vec<Vec<u8>>),
    Whole,
}

struct Done {
    bytes: Vec<u8>,
    doubt: Doubt,
    overruled: Vec<String>,
    missed: usize,
}

fn done(change: &Change, before: Option<&[u8]>, library: &Library) -> Done {
    match change {
        Change::Cuts(edits) => {
            let (mut log, doubt) = match before.map(Log::parse) {
                None | Some(Err(CutsError::Empty)) => (Log::default(), Doubt::None),
                Some(Err(_)) => (Log::default(), Doubt::Whole),
                Some(Ok(log)) => {
                    let parts = log.not_understood(library, Day::latest());
                    let parts: Vec<Vec<u8>> = parts.into_iter().map(<[u8]>::to_vec).collect();
                    let doubt = if parts.is_empty() {
                        Doubt::None
                    } else {
                        Doubt::Parts(parts)
                    };
                    (log, doubt)
                }
            };
            let missed = edits.iter().filter(|e| log.apply(e).is_none()).count();
            Done {
                bytes: log.bytes(),
                doubt,
                overruled: Vec::new(),
                missed,
            }
        }
        Change::Library { from, to } => {
            let whole = |doubt| Done {
                bytes: to.to_toml().into_bytes(),
                doubt,
                overruled: Vec::new(),
                missed: 0,
            };
            let Some(before) = before.filter(|b| !b.trim_ascii().is_empty()) else {
                return whole(Doubt::None);
            };
            let Ok(own) = UserLibrary::from_bytes(before) else {
                return whole(Doubt::Whole);
            };
            let text = std::str::from_utf8(before).unwrap_or("");
            let carried = to.carried_over(from, text).filter(|c| {
                // Written over by hand in a way that this cannot follow: then the whole is written anew.
                let now = UserLibrary::parse(&c.text);
                now.is_ok_and(|now| own != **from || now == **to)
            });
            match carried {
                Some(c) => Done {
                    bytes: c.text.into_bytes(),
                    doubt: Doubt::None,
                    overruled: c.overruled,
                    missed: 0,
                },
                None => whole(Doubt::Whole),
            }
        }
        Change::Quote { from, to } => quote_done(from, to, before),
        Change::Rates { from, to } => {
            let read = before
                .filter(|b| !b.trim_ascii().is_empty())
                .map(|b| (b, Rates::parse(b, library)));
            let (text, doubt) = match &read {
                None => (None, Doubt::None),
                Some((b, Ok((_, faults)))) => {
                    let doubt = if faults.is_empty() {
                        Doubt::None
                    } else {
                        Doubt::Whole
                    };
                    (std::str::from_utf8(b).ok(), doubt)
                }
                Some((_, Err(_))) => (None, Doubt::Whole),
            };
            let carried = to.carried_over(from, text, library);
            let (carried, doubt) = match carried {
                Some(c) => (Some(c), doubt),
                None => (
                    to.carried_over(&Rates::of_library(library), None, library),
                    Doubt::Whole,
                ),
            };
            let (text, overruled) =
                carried.map_or_else(|| (to.to_toml(), Vec::new()), |c| (c.text, c.overruled));
            Done {
                bytes: text.into_bytes(),
                doubt,
                overruled,
                missed: 0,
            }
        }
    }
}

/// Key by key, so that what a person wrote beside it, and keys of later programs, stay.
fn quote_done(from: &str, to: &str, before: Option<&[u8]>) -> Done {
    let before = before.filter(|b| !b.trim_ascii().is_empty());
    let text = before.map_or(Some(QUOTE_HEAD), |b| std::str::from_utf8(b).ok());
    // A text without any line that such a file has is none, though it may be read as one without a line.
    let keys = |text: &str| -> Option<Vec<String>> {
        let table: toml_edit::DocumentMut = text.parse().ok()?;
        Some(table.iter().map(|(key, _)| key.to_owned()).collect())
    };
    let known = keys(to).unwrap_or_default();
    let text = text.filter(|t| keys(t).is_some_and(|own| own.iter().any(|k| known.contains(k))));
    match text.and_then(|t| toml_change::carry_over(t, from, to, &|_| None)) {
        Some(c) => Done {
            bytes: c.text.into_bytes(),
            doubt: Doubt::None,
            overruled: c.overruled,
            missed: 0,
        },
        None => Done {
            bytes: to.as_bytes().to_vec(),
            doubt: Doubt::Whole,
            overruled: Vec::new(),
            missed: 0,
        },
    }
}

/// Puts a copy beside a file, unless one of the copies there holds these parts of it already.
fn put_aside(path: &Path, bytes: &[u8], parts: &[&[u8]]) -> io::Result<Option<PathBuf>> {
    let holds_all = |copy: &PathBuf| {
        let there = files::read(copy, MOST_BYTES, || false).unwrap_or_default();
        parts
            .iter()
            .all(|p| memchr::memmem::find(&there, p).is_some())
    };
    if copies(path).iter().any(holds_all) {
        return Ok(None);
    }
    let aside = (2..).take(MOST_COPIES).map(|k| numbered(path, k));
    let free = |p: &PathBuf| fs::symlink_metadata(p).is_err();
    let Some(aside) = aside.into_iter().find(free) else {
        return Err(io::Error::other(say!(
            "too many copies of it lie beside it"
        )));
    };
    safe_file::save(&aside, bytes)?;
    Ok(Some(aside))
}

/// "library (2).toml".
fn numbered(path: &Path, k: usize) -> PathBuf {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let ending = path
        .extension()
        .map_or_else(String::new, |e| format!(".{}", e.to_string_lossy()));
    path.with_file_name(format!("{stem} ({k}){ending}"))
}

fn copies(path: &Path) -> Vec<PathBuf> {
    // Somebody may have thrown one of them away.
    const GAP: usize = 8;
    let mut out = Vec::new();
    let mut missing = 0;
    for k in (2..).take(MOST_COPIES) {
        let copy = numbered(path, k);
        if copy.is_file() {
            out.push(copy);
            missing = 0;
        } else {
            missing += 1;
            if missing > GAP {
                break;
            }
        }
    }
    out
}
