//! The shop's own files as this window keeps them: library, finished cuts and rates, each changed right after a change.
//!
//! A thread of its own saves them, so that nothing waits for an estimate. What could not be saved waits here and goes with
//! the next change, or with a last attempt at the end.

use crate::language::capitalised;
use crate::library::Library;
use crate::shop_files::{Change, Kept, ShopFile, ShopFiles, Unkept};
use std::path::Path;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

type Bytes = Arc<[u8]>;

/// One file.
#[derive(Debug, Default)]
struct Slot {
    /// Changes that are not in the file yet.
    waiting: Option<Change>,
    /// Whether changes are on their way into the file.
    under_way: bool,
    /// What lay there when it was last looked at.
    known: Option<Bytes>,
}

#[derive(Debug, Default)]
struct Slots([Slot; ShopFile::ALL.len()]);

impl Slots {
    fn of(&mut self, file: ShopFile) -> &mut Slot {
        &mut self.0[match file {
            ShopFile::Library => 0,
            ShopFile::Cuts => 1,
            ShopFile::Rates => 2,
            ShopFile::Quote => 3,
        }]
    }
}

/// The files, shared with the thread that saves them.
#[derive(Debug, Clone, Default)]
pub struct Shelf {
    files: ShopFiles,
    slots: Arc<Mutex<Slots>>,
}

impl Shelf {
    /// Files at these places.
    pub fn new(files: ShopFiles) -> Self {
        Self {
            files,
            slots: Arc::default(),
        }
    }
    fn slots(&self) -> MutexGuard<'_, Slots> {
        // Whoever failed while holding it left whole values behind.
        self.slots.lock().unwrap_or_else(PoisonError::into_inner)
    }
    /// Where they lie.
    pub fn files(&self) -> &ShopFiles {
        &self.files
    }
    /// Where one lies.
    pub fn path(&self, file: ShopFile) -> Option<&Path> {
        self.files.path(file)
    }
    /// What lies there; `None` where there is nothing yet.
    ///
    /// # Errors
    /// It cannot be read: why.
    pub fn read(&self, file: ShopFile) -> Result<Option<Bytes>, String> {
        let read = self
            .files
            .read(file)
            .map_err(|e| capitalised(&e.reason()))?;
        let bytes: Option<Bytes> = read.map(Into::into);
        self.slots().of(file).known.clone_from(&bytes);
        Ok(bytes)
    }
    /// Notes a change that is to be saved.
    pub fn change(&self, change: Change) {
        let mut slots = self.slots();
        let slot = slots.of(change.file());
        slot.waiting = Some(match slot.waiting.take() {
            Some(earlier) => earlier.then(change),
            None => change,
        });
    }
    /// Whether there is a file and every change lies in it.
    pub fn is_safe(&self, file: ShopFile) -> bool {
        let mut slots = self.slots();
        let slot = slots.of(file);
        self.path(file).is_some()
            && !slot.under_way
            && slot.waiting.is_none()
            && slot.known.is_some()
    }
    /// Whether a change is to be saved or being saved.
    pub fn is_changing(&self, file: ShopFile) -> bool {
        let mut slots = self.slots();
        let slot = slots.of(file);
        slot.under_way || slot.waiting.is_some()
    }
    /// Saves what waits for a file; `None` where nothing does, because an earlier request took it along.
    pub fn save(&self, file: ShopFile, library: &Library) -> Option<Result<Kept, Unkept>> {
        let (change, known) = {
            let mut slots = self.slots();
            let slot = slots.of(file);
            let change = slot.waiting.take()?;
            slot.under_way = true;
            (change, slot.known.clone())
        };
        let result = self.files.keep(&change, known.as_deref(), library);
        let mut slots = self.slots();
        let slot = slots.of(file);
        slot.under_way = false;
        match &result {
            Ok(kept) => slot.known = Some(Arc::clone(&kept.bytes)),
            Err(_) => {
                slot.waiting = Some(match slot.waiting.take() {
                    Some(later) => change.then(later),
                    None => change,
                });
            }
        }
        Some(result)
    }
    /// Files that somebody else has changed since they were last looked at, with what lies there now.
    pub fn look(&self) -> Vec<(ShopFile, Bytes)> {
        let mut out = Vec::new();
        for file in ShopFile::ALL {
            // What is saved next is merged with what lies there anyway.
            if self.is_changing(file) {
                continue;
            }
            if let Ok(Some(bytes)) = self.files.read(file) {
                let mut slots = self.slots();
                let slot = slots.of(file);
                if slot.known.as_deref() != Some(bytes.as_slice()) {
                    let bytes: Bytes = bytes.into();
                    slot.known = Some(Arc::clone(&bytes));
                    out.push((file, bytes));
                }
            }
        }
        out
    }
    /// Saves at once what is not saved yet: for the end of the program.
    pub fn flush(&self, library: &Library) {
        for file in ShopFile::ALL {
            // Nobody is left to be told.
            let _ = self.save(file, library);
        }
    }
}

/// In a sentence.
pub fn words(file: ShopFile) -> &'static str {
    match file {
        ShopFile::Library => say!("Your library"),
        ShopFile::Cuts => say!("Your finished cuts"),
        ShopFile::Rates => say!("Your rates"),
        ShopFile::Quote => say!("The words of your quotes"),
    }
}

/// Why a change was not saved.
pub fn why_unkept(error: &Unkept) -> String {
    match error {
        Unkept::NoPlace => say!("this user has no folder for data of programs").to_owned(),
        Unkept::System(e) => e.to_string(),
        Unkept::NoFile => say!("what lies there is no file that can be read").to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibration::{Edit, Log};
    use std::fs;

    const HEADER: &str = "date,machine,material,wire,diameter_mm,thickness_mm,flushing,passes,cut_length_mm,cutting_minutes\n";
    const ROW: &str =
        "2024-03-01,left,cold-work tool steel,hard plain brass,0.25,40,close,4,512,300\n";

    fn add(minutes: &str) -> Change {
        let text = format!("{HEADER}{}", ROW.replace(",300", &format!(",{minutes}")));
        let log = Log::parse(text.as_bytes()).unwrap();
        let cut = log.read(Library::built_in(), crate::calibration::Day::latest(), None);
        Change::Cuts(vec![Edit::Add(Box::new(cut.cuts[0].clone()))])
    }

    #[test]
    fn two_windows_lose_nothing_of_each_other() {
        let library = Library::built_in();
        let folder = tempfile::tempdir().unwrap();
        let below = folder.path().join("not there yet");
        let shelf = || Shelf::new(ShopFiles::in_folder(Some(&below)));
        let (a, b) = (shelf(), shelf());
        for (k, window) in [&a, &b, &b, &a].into_iter().enumerate() {
            window.change(add(&format!("{}", 301 + k)));
            assert!(!window.is_safe(ShopFile::Cuts));
            let kept = window.save(ShopFile::Cuts, library).unwrap().unwrap();
            assert_eq!((kept.aside, kept.missed), (None, 0));
            assert!(window.is_safe(ShopFile::Cuts));
        }
        assert!(a.look().is_empty(), "it saved last");
        let [(ShopFile::Cuts, seen)] = &b.look()[..] else {
            panic!("b sees what a saved");
        };
        let text = String::from_utf8(seen.to_vec()).unwrap();
        for minutes in 301..=304 {
            assert!(text.contains(&format!(",{minutes},")), "{text}");
        }
        assert!(b.look().is_empty());
    }

    #[test]
    fn what_failed_goes_with_the_next_change_and_a_file_that_was_taken_away_comes_back() {
        let library = Library::built_in();
        let folder = tempfile::tempdir().unwrap();
        let below = folder.path().join("a file");
        // A file stands where the folder should be.
        fs::write(&below, "").unwrap();
        let shelf = Shelf::new(ShopFiles::in_folder(Some(&below)));
        shelf.change(add("301"));
        assert!(shelf.save(ShopFile::Cuts, library).unwrap().is_err());
        assert!(!shelf.is_safe(ShopFile::Cuts));
        fs::remove_file(&below).unwrap();
        shelf.change(add("302"));
        shelf.flush(library);
        let path = below.join("finished-cuts.csv");
        let text = fs::read_to_string(&path).unwrap();
        assert!(text.contains(",301,") && text.contains(",302,"), "{text}");
        fs::remove_file(&path).unwrap();
        shelf.change(add("303"));
        shelf.flush(library);
        assert_eq!(fs::read_to_string(&path).unwrap().lines().count(), 4);
    }
}
