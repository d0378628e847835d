//! The thread that reads and saves job files, so that a slow disk never holds up the window. It keeps what is not saved aside for
//! a crash, and a lock on what is open, so that two windows notice each other.

use super::saved::saved;
use crate::drawing::{self, Progress};
use crate::enquiry::{DrawingFile, Enquiry, Hash, list};
use crate::files;
use crate::library::Library;
use crate::safe_file;
use crate::words::{job_files, reading, saving};
use std::collections::HashSet;
use std::ffi::OsString;
use std::fs::{self, File, TryLockError};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::time::Duration;

/// Largest list that is read, bytes.
const LARGEST_LIST: u64 = 64 << 20;

/// What is to be done.
pub enum Errand {
    /// Open a job file.
    Load(PathBuf),
    /// Save one; the file that it replaces is kept beside it.
    Save {
        /// Where.
        path: PathBuf,
        /// What.
        enquiry: Box<Enquiry>,
        /// The revision that is saved.
        revision: u64,
        /// What may lie there and be replaced.
        known: Option<Hash>,
    },
    /// Keep what is not saved aside.
    PutAside {
        /// What.
        enquiry: Box<Enquiry>,
        /// Its revision.
        revision: u64,
    },
    /// Forget what was put aside: it is saved, or is not wanted.
    Forget,
    /// Open a file that was left behind, or forget it.
    Recover(PathBuf, bool),
    /// Take drawings in: of folders with all their folders, or files. Done beside all else, as one that hangs must not keep
    /// a job file from being saved.
    Collect(Vec<PathBuf>, Progress),
    /// Read a list of drawings.
    List(PathBuf, Arc<Library>),
    /// Read the drawing of an item again.
    Again(u64, PathBuf),
    /// Save bytes for others.
    Export(PathBuf, Vec<u8>),
}

/// A drawing that was taken in: its name, where it lies, and its bytes or why there are none.
pub struct Taken {
    /// As shown.
    pub name: String,
    /// Where it lies.
    pub path: PathBuf,
    /// What a list says of it.
    pub row: Option<crate::enquiry::ListRow>,
    /// Its bytes.
    pub file: Result<DrawingFile, String>,
}

/// What came of it.
pub enum Brought {
    /// A job file, or why there is none.
    Loaded {
        /// Where it lies; `None` for one that was left behind.
        path: Option<PathBuf>,
        /// What it holds, with the hash of its bytes.
        result: Result<(Box<Enquiry>, Hash), String>,
        /// Drawings that are others in their files now, by the hash they had.
        changed: HashSet<Hash>,
        /// Whether another window has it open.
        is_open_elsewhere: bool,
    },
    /// A file was saved, or why it was not.
    Saved {
        /// Where.
        path: PathBuf,
        /// The revision.
        revision: u64,
        /// What lies there now, and where the file went that someone else had written there.
        result: Result<(Hash, Option<PathBuf>), String>,
    },
    /// It was put aside, or why it was not.
    PutAside(u64, Result<(), String>),
    /// Drawings, and what told how far they are.
    Collected(Vec<Taken>, Progress),
    /// A list is refused: its name and why.
    NoList(String, String),
    /// A drawing as it lies in its file now.
    Again(u64, Result<DrawingFile, String>),
    /// A file for others was saved, or why it was not.
    Exported(Result<PathBuf, String>),
    /// Nothing to tell.
    Nothing,
}

/// The thread and its ends.
pub struct Keeper {
    /// `None` once it is to end.
    errands: Option<Sender<Errand>>,
    brought: Receiver<Brought>,
    out: usize,
    /// Closed once the thread has let go of its locks.
    ended: Receiver<()>,
}

/// What a window that closes waits at most for its locks to be taken away; a share that hangs must not keep it open.
const LETTING_GO: Duration = Duration::from_secs(1);

impl Drop for Keeper {
    fn drop(&mut self) {
        self.errands = None;
        // No lock file is left lying where the program ends at once.
        let _ = self.ended.recv_timeout(LETTING_GO);
    }
}

impl Keeper {
    /// Starts the thread; `folder` is where things are put aside, `wake` is called after each errand.
    pub fn start(folder: Option<PathBuf>, wake: impl Fn() + Send + Sync + 'static) -> Self {
        let (errands, incoming) = channel();
        let (outgoing, brought) = channel();
        let (ending, ended) = channel();
        let spawned = std::thread::Builder::new()
            .name("job files".to_owned())
            .spawn(move || {
                // Dropped after what holds the locks.
                let _ending: Sender<()> = ending;
                let mut keeping = Keeping::new(folder);
                let wake = Arc::new(wake);
                while let Ok(errand) = incoming.recv() {
                    if let Errand::Collect(paths, progress) = errand {
                        collect_beside(paths, progress, outgoing.clone(), Arc::clone(&wake));
                        continue;
                    }
                    if outgoing.send(keeping.run(errand)).is_err() {
                        return;
                    }
                    wake();
                }
            });
        if let Err(e) = spawned {
            eprintln!("kerfcast: no thread for job files: {e}");
        }
        Self {
            errands: Some(errands),
            brought,
            out: 0,
            ended,
        }
    }
    /// Asks for something.
    pub fn ask(&mut self, errand: Errand) -> bool {
        let sent = self.errands.as_ref();
        let sent = sent.is_some_and(|e| e.send(errand).is_ok());
        self.out += usize::from(sent);
        sent
    }
    /// What has come back, without waiting.
    pub fn brought(&mut self) -> Vec<Brought> {
        let all: Vec<_> = self.brought.try_iter().collect();
        self.out = self.out.saturating_sub(all.len());
        all
    }
    /// Waits for one errand; `None` after the time or when none is out.
    pub fn wait(&mut self, longest: Duration) -> Option<Brought> {
        if self.out == 0 {
            return None;
        }
        match self.brought.recv_timeout(longest) {
            Ok(brought) => {
                self.out -= 1;
                Some(brought)
            }
            Err(RecvTimeoutError::Timeout | RecvTimeoutError::Disconnected) => None,
        }
    }
    /// Whether no errand is out.
    pub fn is_idle(&self) -> bool {
        self.out == 0
    }
}

/// What the thread holds.
struct Keeping {
    /// Where this window puts things aside, and the lock that says it still runs.
    aside: Option<(PathBuf, File)>,
    folder: Option<PathBuf>,
    /// The lock on the job file that is open.
    lock: Option<(PathBuf, File)>,
}

fn with_ending(path: &Path, ending: &str) -> PathBuf {
    let mut name: OsString = path.as_os_str().to_owned();
    name.push(ending);
    name.into()
}

/// A lock beside a job file; `None` where another window holds it.
fn lock_beside(path: &Path) -> Option<(PathBuf, Option<File>)> {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let place = path.with_file_name(format!(".{name}.lock"));
    // Where nothing can be written there, nobody can save there either: no lock is needed.
    let Ok(file) = File::create(&place) else {
        return Some((place, None));
    };
    match file.try_lock() {
        Ok(()) => Some((place, Some(file))),
        Err(TryLockError::WouldBlock) => None,
        Err(TryLockError::Error(_)) => Some((place, None)),
    }
}

/// Files that a program left behind which runs no more, the latest first.
pub fn orphans(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let mut all: Vec<_> = entries
        .map(|e| e.path())
        .filter(|p| p.extension().is_some_and(|e| e == crate::enquiry::ENDING))
        .filter(|p| {
            let lock = File::open(with_ending(p, ".lock"));
            lock.is_ok_and(|f| f.try_lock().is_ok())
        })
        .filter_map(|p| Some((p.metadata().ok()?.modified().ok()?, p)))
        .collect();
    all.sort();
    all.into_iter().rev().map(|(_, p)| p).collect()
}

impl Keeping {
    fn new(folder: Option<PathBuf>) -> Self {
        Self {
            aside: None,
            folder,
            lock: None,
        }
    }

    fn run(&mut self, errand: Errand) -> Brought {
        match errand {
            Errand::Load(path) => self.load(path),
            Errand::Save {
                path,
                enquiry,
                revision,
                known,
            } => {
                let result = self.save(&path, &enquiry, known);
                Brought::Saved {
                    path,
                    revision,
                    result,
                }
            }
            Errand::PutAside { enquiry, revision } => {
                let result = self.put_aside(&enquiry);
                Brought::PutAside(revision, result)
            }
            Errand::Forget => {
                if let Some((path, _lock)) = self.aside.take() {
                    let _ = fs::remove_file(&path);
                    let _ = fs::remove_file(with_ending(&path, ".lock"));
                }
                Brought::Nothing
            }
            Errand::Recover(path, wanted) => {
                let loaded = wanted.then(|| read(&path));
                if !matches!(loaded, Some(Err(_))) {
                    let _ = fs::remove_file(&path);
                    let _ = fs::remove_file(with_ending(&path, ".lock"));
                }
                match loaded {
                    Some(result) => Brought::Loaded {
                        path: None,
                        changed: result
                            .as_ref()
                            .map_or_else(|_| HashSet::new(), |r| elsewhere(&r.0)),
                        result,
                        is_open_elsewhere: false,
                    },
                    None => Brought::Nothing,
                }
            }
            Errand::Collect(paths, progress) => {
                let taken = collected(&paths, &progress);
                Brought::Collected(taken, progress)
            }
            Errand::List(path, library) => listed(&path, &library),
            Errand::Again(id, path) => Brought::Again(id, bytes_of(&path, &Progress::default())),
            Errand::Export(path, bytes) => Brought::Exported(saved(path, &bytes)),
        }
    }

    fn load(&mut self, path: PathBuf) -> Brought {
        let result = read(&path);
        let mut is_open_elsewhere = false;
        if result.is_ok() {
            is_open_elsewhere = !self.take_lock(&path);
        }
        Brought::Loaded {
            changed: result
                .as_ref()
                .map_or_else(|_| HashSet::new(), |r| elsewhere(&r.0)),
            path: Some(path),
            result,
            is_open_elsewhere,
        }
    }

    /// Whether this window has it now; what was locked before is free again then.
    fn take_lock(&mut self, path: &Path) -> bool {
        let holds = self.lock.as_ref().is_some_and(|(of, _)| of == path);
        if holds {
            return true;
        }
        let Some((place, file)) = lock_beside(path) else {
            return false;
        };
        self.free();
        match file {
            Some(file) => self.lock = Some((path.to_owned(), file)),
            None => {
                let _ = fs::remove_file(place);
            }
        }
        true
    }

    fn free(&mut self) {
        if let Some((path, file)) = self.lock.take() {
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            let _ = fs::remove_file(path.with_file_name(format!(".{name}.lock")));
            drop(file);
        }
    }

    fn save(
        &mut self,
        path: &Path,
        enquiry: &Enquiry,
        known: Option<Hash>,
    ) -> Result<(Hash, Option<PathBuf>), String> {
        if !self.take_lock(path) {
            return Err(say!(
                "It is open in another window of Kerfcast. Save it under another name."
            )
            .to_owned());
        }
        let bytes = enquiry.to_bytes().map_err(|f| job_files::refused(&f))?;
        let mut aside = None;
        match fs::read(path) {
            Ok(old) if known == Some(Hash::of(&old)) => {
                safe_file::save(&with_ending(path, ".bak"), &old)
                    .map_err(|e| saving::elsewhere(&e))?;
            }
            Ok(old) => {
                // Somebody else wrote it, or it was there before: it is never lost.
                let other = free_name(path);
                safe_file::save(&other, &old).map_err(|e| saving::elsewhere(&e))?;
                aside = Some(other);
            }
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => {}
            Err(e) => return Err(saving::elsewhere(&e)),
        }
        safe_file::save(path, &bytes).map_err(|e| saving::elsewhere(&e))?;
        Ok((Hash::of(&bytes), aside))
    }

    fn put_aside(&mut self, enquiry: &Enquiry) -> Result<(), String> {
        let Some(folder) = &self.folder else {
            return Ok(());
        };
        let told = |e: std::io::Error| e.to_string();
        if self.aside.is_none() {
            fs::create_dir_all(folder).map_err(told)?;
            let (path, lock) = (0..1000)
                .find_map(|k| {
                    let name = format!("{}-{k}.{}", std::process::id(), crate::enquiry::ENDING);
                    let path = folder.join(name);
                    let lock = File::create(with_ending(&path, ".lock")).ok()?;
                    lock.try_lock().ok()?;
                    Some((path, lock))
                })
                .ok_or_else(|| say!("no file can be locked").to_owned())?;
            self.aside = Some((path, lock));
        }
        let Some((path, _)) = &self.aside else {
            return Ok(());
        };
        enquiry.save(path).map_err(|f| job_files::refused(&f))
    }
}

impl Drop for Keeping {
    fn drop(&mut self) {
        self.free();
    }
}

fn read(path: &Path) -> Result<(Box<Enquiry>, Hash), String> {
    let bytes = files::read(path, crate::enquiry::LARGEST, || false);
    let bytes = bytes.map_err(|e| job_files::refused(&e.into()))?;
    let enquiry = Enquiry::from_bytes(&bytes).map_err(|f| job_files::refused(&f))?;
    Ok((Box::new(enquiry), Hash::of(&bytes)))
}

/// Drawings that hold other bytes where they came from; what is gone or cannot be read counts as unchanged.
fn elsewhere(enquiry: &Enquiry) -> HashSet<Hash> {
    let changed = enquiry.items.iter().filter(|item| {
        let there = item.path.as_ref();
        let there = there.and_then(|p| bytes_of(Path::new(p), &Progress::default()).ok());
        there.is_some_and(|file| file.hash() != item.drawing.hash())
    });
    changed.map(|item| item.drawing.hash()).collect()
}

fn bytes_of(path: &Path, progress: &Progress) -> Result<DrawingFile, String> {
    let bytes = drawing::bytes_of(path, progress);
    bytes
        .map(DrawingFile::new)
        .map_err(|e| format!("{} {}", reading::problem(&e), reading::hint(&e)))
}

fn taken(path: PathBuf, row: Option<crate::enquiry::ListRow>, progress: &Progress) -> Taken {
    Taken {
        name: super::open_files::name_of(&path),
        file: bytes_of(&path, progress),
        path,
        row,
    }
}

/// Deepest folder that is looked into.
const DEEPEST: usize = 32;

fn drawings_in(folder: &Path, depth: usize, into: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let path = entry.path();
        let is_folder = entry.file_type().is_ok_and(|t| t.is_dir());
        if is_folder && depth < DEEPEST {
            drawings_in(&path, depth + 1, into);
        } else if path
            .extension()
            .is_some_and(|e| e.eq_ignore_ascii_case("dxf"))
        {
            into.push(path);
        }
    }
}

fn collected(paths: &[PathBuf], progress: &Progress) -> Vec<Taken> {
    let mut all = Vec::new();
    let mut none = Vec::new();
    for path in paths {
        if path.is_dir() {
            let mut within = Vec::new();
            drawings_in(path, 0, &mut within);
            if within.is_empty() {
                none.push(Taken {
                    name: super::open_files::name_of(path),
                    path: path.clone(),
                    row: None,
                    file: Err(say!("The folder holds no drawing (DXF).").to_owned()),
                });
            }
            within.sort();
            all.append(&mut within);
        } else {
            all.push(path.clone());
        }
    }
    let each = all.into_iter().map(|path| taken(path, None, progress));
    each.chain(none).collect()
}

/// On a thread of its own; without one on this.
fn collect_beside(
    paths: Vec<PathBuf>,
    progress: Progress,
    outgoing: Sender<Brought>,
    wake: Arc<impl Fn() + Send + Sync + 'static>,
) {
    let work = move || {
        let taken = collected(&paths, &progress);
        // Nobody waits any more where the window has closed.
        if outgoing.send(Brought::Collected(taken, progress)).is_ok() {
            wake();
        }
    };
    let spawned = std::thread::Builder::new()
        .name("drawings taken in".to_owned())
        .spawn(work);
    if let Err(e) = spawned {
        eprintln!("kerfcast: no thread to take drawings in: {e}");
    }
}

fn listed(path: &Path, library: &Library) -> Brought {
    let name = super::open_files::name_of(path);
    let refused = |why: String| Brought::NoList(name.clone(), why);
    let bytes = match files::read(path, LARGEST_LIST, || false) {
        Ok(bytes) => bytes,
        Err(e) => return refused(job_files::refused(&e.into())),
    };
    match list::read(&bytes, library) {
        Err(fault) => refused(job_files::list(&fault)),
        Ok(rows) => {
            let folder = path.parent().unwrap_or(Path::new(""));
            let rows = rows.into_iter();
            let progress = Progress::default();
            let taken = rows
                .map(|row| taken(folder.join(&row.drawing), Some(row), &progress))
                .collect();
            Brought::Collected(taken, progress)
        }
    }
}

/// "job (2).kerfcast", or the first number that is free.
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

    #[test]
    #[cfg(unix)]
    fn a_drawing_that_hangs_keeps_nothing_from_being_saved_and_can_be_given_up() {
        let folder = tempfile::tempdir().expect("a folder");
        let (drawing, pipe) = (folder.path().join("a.dxf"), folder.path().join("b.dxf"));
        let (empty, out) = (folder.path().join("none"), folder.path().join("table.csv"));
        fs::write(&drawing, b"0\nEOF\n").expect("written");
        fs::create_dir(&empty).expect("made");
        let made = std::process::Command::new("mkfifo").arg(&pipe).status();
        assert!(made.expect("it runs").success());
        let mut keeper = Keeper::start(None, || {});
        let progress = Progress::default();
        let paths = vec![drawing, pipe, empty];
        assert!(keeper.ask(Errand::Collect(paths, progress.clone())));
        assert!(keeper.ask(Errand::Export(out.clone(), b"all".to_vec())));
        let long = Duration::from_secs(30);
        assert!(matches!(keeper.wait(long), Some(Brought::Exported(Ok(_)))));
        assert_eq!(fs::read(&out).expect("there"), b"all");
        progress.cancel();
        let Some(Brought::Collected(taken, of)) = keeper.wait(long) else {
            panic!("what was taken in until then");
        };
        assert!(of.is_same(&progress) && keeper.is_idle());
        let read: Vec<_> = taken.iter().map(|t| t.file.is_ok()).collect();
        assert_eq!(read, [true, false, false]);
        // The folder without a drawing is told, not passed over.
        assert!(
            taken[2]
                .file
                .as_ref()
                .is_err_and(|why| why.contains("no drawing"))
        );
    }
}
