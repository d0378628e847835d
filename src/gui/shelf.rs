//! The shop's own files between starts: its library and its finished cuts, each saved right after a change.
//!
//! The worker saves them, in the order in which they were asked for, and so that a crash leaves the old file or the new one.
//! A file that was changed by someone else meanwhile, or that could not be read, is put aside under another name first.

use crate::safe_file;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::{fs, io};

/// What is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Shelved {
    /// The shop's own library.
    Library,
    /// Its finished cuts.
    Cuts,
}

impl Shelved {
    /// In a sentence.
    pub fn words(self) -> &'static str {
        match self {
            Self::Library => "Your library",
            Self::Cuts => "Your finished cuts",
        }
    }
}

type Bytes = Arc<[u8]>;

/// One file.
#[derive(Debug, Default)]
struct Slot {
    path: Option<PathBuf>,
    /// What lies there as far as this window knows.
    known: Option<Bytes>,
    /// What was last asked to be saved, with its number.
    wanted: Option<(u64, Bytes)>,
}

/// Both files.
#[derive(Debug, Default)]
pub struct Shelf {
    library: Slot,
    cuts: Slot,
    number: u64,
}

/// A file to be saved.
#[derive(Debug, Clone)]
pub struct Keeping {
    /// Which.
    pub what: Shelved,
    /// Number of the request.
    pub number: u64,
    path: PathBuf,
    bytes: Bytes,
    /// What may lie there and be replaced.
    known: [Option<Bytes>; 2],
}

impl Shelf {
    /// Files in a folder, the library elsewhere where that is asked for. Without a folder nothing is kept.
    pub fn new(folder: Option<&Path>, library: Option<PathBuf>) -> Self {
        let slot = |path| Slot {
            path,
            ..Slot::default()
        };
        Self {
            library: slot(library.or_else(|| folder.map(|f| f.join("library.toml")))),
            cuts: slot(folder.map(|f| f.join("finished-cuts.csv"))),
            number: 0,
        }
    }
    fn slot(&mut self, what: Shelved) -> &mut Slot {
        match what {
            Shelved::Library => &mut self.library,
            Shelved::Cuts => &mut self.cuts,
        }
    }
    /// Where it lies.
    pub fn path(&self, what: Shelved) -> Option<&Path> {
        match what {
            Shelved::Library => self.library.path.as_deref(),
            Shelved::Cuts => self.cuts.path.as_deref(),
        }
    }
    /// What lies there; `None` where there is nothing yet.
    ///
    /// # Errors
    /// It cannot be read: what the system says.
    pub fn read(&mut self, what: Shelved) -> Result<Option<Vec<u8>>, io::Error> {
        let slot = self.slot(what);
        let Some(path) = &slot.path else {
            return Ok(None);
        };
        match fs::read(path) {
            Ok(bytes) => {
                slot.known = Some(bytes.as_slice().into());
                Ok(Some(bytes))
            }
            Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(e) => Err(e),
        }
    }
    /// What lies there cannot be used, so it is put aside before anything is saved in its place.
    pub fn distrust(&mut self, what: Shelved) {
        self.slot(what).known = None;
    }
    /// Asks to save; `None` where it lies there already or nothing is kept.
    pub fn keep(&mut self, what: Shelved, bytes: &[u8]) -> Option<Keeping> {
        self.number += 1;
        let number = self.number;
        let slot = self.slot(what);
        let path = slot.path.clone()?;
        let last = slot.wanted.as_ref().map(|(_, b)| b).or(slot.known.as_ref());
        if last.is_some_and(|b| **b == *bytes) {
            return None;
        }
        let pending = slot.wanted.take().map(|(_, b)| b);
        let bytes: Bytes = bytes.into();
        slot.wanted = Some((number, Arc::clone(&bytes)));
        Some(Keeping {
            what,
            number,
            path,
            bytes,
            known: [slot.known.clone(), pending],
        })
    }
    /// Takes note that a request is done. One that failed stays wanted, to be tried again at the end.
    pub fn kept(&mut self, what: Shelved, number: u64, saved: bool) {
        let slot = self.slot(what);
        if saved && slot.wanted.as_ref().is_some_and(|(n, _)| *n == number) {
            slot.known = slot.wanted.take().map(|(_, b)| b);
        }
    }
    /// Whether what the window holds lies in its file.
    pub fn is_safe(&self, what: Shelved) -> bool {
        let slot = match what {
            Shelved::Library => &self.library,
            Shelved::Cuts => &self.cuts,
        };
        slot.path.is_some() && slot.wanted.is_none() && slot.known.is_some()
    }
    /// Saves at once what is not saved yet: for the end of the program, when the worker is still.
    pub fn flush(&mut self) {
        for what in [Shelved::Library, Shelved::Cuts] {
            let slot = self.slot(what);
            if let (Some(path), Some((_, bytes))) = (&slot.path, slot.wanted.take()) {
                // Nobody is left to be told.
                let _ = in_place(path, &bytes, &[slot.known.clone(), None]);
                slot.known = Some(bytes);
            }
        }
    }
}

impl Keeping {
    /// Saves it; the file that was put aside, if there was one.
    ///
    /// # Errors
    /// What the system says; the old file is then as it was.
    pub fn save(&self) -> io::Result<Option<PathBuf>> {
        in_place(&self.path, &self.bytes, &self.known)
    }
}

fn in_place(path: &Path, bytes: &[u8], known: &[Option<Bytes>]) -> io::Result<Option<PathBuf>> {
    if let Some(folder) = path.parent().filter(|f| !f.as_os_str().is_empty()) {
        fs::create_dir_all(folder)?;
    }
    let aside = match fs::read(path) {
        Err(e) if e.kind() == io::ErrorKind::NotFound => None,
        Err(e) => return Err(e),
        Ok(there) if there == bytes => return Ok(None),
        Ok(there) if known.iter().flatten().any(|k| **k == *there) => None,
        Ok(there) => {
            let aside = free_name(path);
            safe_file::save(&aside, &there)?;
            Some(aside)
        }
    };
    safe_file::save(path, bytes)?;
    Ok(aside)
}

/// "library (2).toml", or the first number that is free.
fn free_name(path: &Path) -> PathBuf {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let ending = path
        .extension()
        .map_or_else(String::new, |e| format!(".{}", e.to_string_lossy()));
    (2..100_000)
        .map(|k| path.with_file_name(format!("{stem} ({k}){ending}")))
        .find(|p| !p.exists())
        .unwrap_or_else(|| path.with_extension("aside"))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Saves something new; the file that was put aside for it.
    fn keep(shelf: &mut Shelf, what: Shelved, text: &str) -> Option<PathBuf> {
        let Some(keeping) = shelf.keep(what, text.as_bytes()) else {
            panic!("{text} is to be saved");
        };
        let aside = keeping.save().unwrap();
        shelf.kept(what, keeping.number, true);
        aside
    }

    #[test]
    fn what_someone_else_wrote_is_put_aside_and_never_lost() {
        let folder = tempfile::tempdir().unwrap();
        let below = folder.path().join("not there yet");
        let mut shelf = Shelf::new(Some(&below), None);
        assert_eq!(shelf.read(Shelved::Cuts).unwrap(), None);
        assert_eq!(keep(&mut shelf, Shelved::Cuts, "one"), None);
        assert!(shelf.keep(Shelved::Cuts, b"one").is_none(), "it is there");
        assert_eq!(keep(&mut shelf, Shelved::Cuts, "two"), None);
        assert!(shelf.is_safe(Shelved::Cuts) && !shelf.is_safe(Shelved::Library));
        let path = below.join("finished-cuts.csv");
        fs::write(&path, "of another window").unwrap();
        let aside = keep(&mut shelf, Shelved::Cuts, "three").unwrap();
        assert_eq!(fs::read_to_string(aside).unwrap(), "of another window");
        assert_eq!(fs::read_to_string(&path).unwrap(), "three");
        // What could not be used is not written over either.
        let mut next = Shelf::new(Some(&below), None);
        next.read(Shelved::Cuts).unwrap();
        next.distrust(Shelved::Cuts);
        assert!(keep(&mut next, Shelved::Cuts, "four").is_some());
        assert_eq!(fs::read_dir(&below).unwrap().count(), 3);
    }

    #[test]
    fn what_failed_is_tried_again_at_the_end() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a file").join("library.toml");
        // A file stands where the folder should be.
        fs::write(folder.path().join("a file"), "").unwrap();
        let mut shelf = Shelf::new(None, Some(path.clone()));
        let Some(keeping) = shelf.keep(Shelved::Library, b"x") else {
            panic!("asks to save");
        };
        assert!(keeping.save().is_err());
        shelf.kept(Shelved::Library, keeping.number, false);
        assert!(!shelf.is_safe(Shelved::Library));
        fs::remove_file(folder.path().join("a file")).unwrap();
        shelf.flush();
        assert_eq!(fs::read(&path).unwrap(), b"x");
    }
}
