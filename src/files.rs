//! The one reader of files: it stops when asked, whatever it waits for, and never takes more than a file may have.

use std::cell::Cell;
use std::fs::{File, FileType, Metadata};
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{RecvTimeoutError, Sender, channel};
use std::time::Duration;

/// Bytes taken between two looks whether to stop: about a millisecond's worth from memory.
const READ_AT_ONCE: u64 = 1 << 20;
/// Bytes of a file after which the thread that read it is not kept.
const MUCH: usize = 1 << 20;
/// How long is waited between two looks whether to stop: far below the tenth of a second in which someone
/// who cancels wants to see it, and far above what a look costs.
const LOOK_EVERY: Duration = Duration::from_millis(10);

/// Why a file was not read.
#[derive(Debug)]
pub enum Unread {
    /// The operating system will not give it.
    System(io::Error),
    /// It is a folder.
    Folder,
    /// It is a device or a socket, which has no end.
    NoFile,
    /// It has more bytes than such a file may have: how many at least.
    TooLarge(u64),
    /// It grew while it was read: somebody is still writing it.
    Growing,
    /// The reading was to stop.
    Stopped,
}

impl Unread {
    /// Why, to follow the name of the file and a colon; without a full stop.
    pub fn reason(&self) -> String {
        match self {
            Self::System(error) => plain_words(&error.to_string()),
            Self::Folder => say!("it is a folder").to_owned(),
            Self::NoFile => say!("it is a device, not a file").to_owned(),
            Self::TooLarge(_) => say!("it is far too large").to_owned(),
            Self::Growing => say!("it is still being written").to_owned(),
            Self::Stopped => say!("the reading was stopped").to_owned(),
        }
    }
}

/// What the system says of a file, without its number and in the words of a sentence.
pub fn plain_words(says: &str) -> String {
    let words = says.split(" (os error").next().unwrap_or(says);
    match words {
        "No such file or directory" | "The system cannot find the file specified." => {
            say!("there is no such file").to_owned()
        }
        "Permission denied" | "Access is denied." => say!("it is not allowed").to_owned(),
        "No space left on device" | "There is not enough space on the disk." => {
            say!("the disk is full").to_owned()
        }
        "Read-only file system" | "The media is write protected." => {
            say!("the disk can only be read").to_owned()
        }
        "Is a directory" => Unread::Folder.reason(),
        other => other.trim_end_matches('.').to_lowercase(),
    }
}

impl From<io::Error> for Unread {
    fn from(error: io::Error) -> Self {
        Self::System(error)
    }
}

/// The bytes of a file of at most so many bytes; `stop` is asked every hundredth of a second.
///
/// A share that hangs and a pipe into which nobody writes keep whoever reads them waiting inside the
/// operating system, where nothing can call them back. So another thread reads: who asked to stop goes
/// on at once, and that thread ends as soon as the system lets go of it; one that answers reads the next file, too.
///
/// # Errors
/// The file cannot be opened or read, is no file, is too large or still being written, or the reading was
/// to stop.
pub fn read(path: &Path, most: u64, mut stop: impl FnMut() -> bool) -> Result<Vec<u8>, Unread> {
    if stop() {
        return Err(Unread::Stopped);
    }
    let stopped = Arc::new(AtomicBool::new(false));
    let (answer, bytes) = channel();
    let wanted = Wanted {
        path: path.to_owned(),
        most,
        stopped: Arc::clone(&stopped),
        answer,
    };
    let reader = match READER.take() {
        Some(reader) => reader,
        None => new_reader()?,
    };
    if reader.send(wanted).is_err() {
        return Err(no_answer());
    }
    loop {
        match bytes.recv_timeout(LOOK_EVERY) {
            Ok(result) => {
                // Who has read much ends, so that what its allocator holds serves others.
                if result.as_ref().is_ok_and(|b| b.len() < MUCH) {
                    READER.set(Some(reader));
                }
                return result;
            }
            Err(RecvTimeoutError::Timeout) if stop() => {
                stopped.store(true, Ordering::Relaxed);
                return Err(Unread::Stopped);
            }
            Err(RecvTimeoutError::Timeout) => {}
            Err(RecvTimeoutError::Disconnected) => {
                return Err(no_answer());
            }
        }
    }
}

fn no_answer() -> Unread {
    io::Error::other(say!("the reading ended without an answer")).into()
}

/// A file to be read.
struct Wanted {
    path: PathBuf,
    most: u64,
    stopped: Arc<AtomicBool>,
    answer: Sender<Result<Vec<u8>, Unread>>,
}

thread_local! {
    /// Who reads for this thread; nobody yet, or no longer where a reading was left waiting.
    static READER: Cell<Option<Sender<Wanted>>> = const { Cell::new(None) };
}

/// A thread that reads one file after the other, until nobody asks any more.
fn new_reader() -> io::Result<Sender<Wanted>> {
    let (asking, asked) = channel::<Wanted>();
    let reads = move || {
        for wanted in asked {
            let stopped = || wanted.stopped.load(Ordering::Relaxed);
            let result = read_here(&wanted.path, wanted.most, stopped);
            // Nobody waits any more where the reading was stopped.
            let _ = wanted.answer.send(result);
        }
    };
    let thread = std::thread::Builder::new().name("file".into());
    thread.spawn(reads).map(|_| asking)
}

/// Reads on this thread.
///
/// The size is looked at before, so that a file of many GB does not fill the memory first, and again with
/// every piece: a file may grow, and a pipe has no size.
fn read_here(path: &Path, most: u64, stop: impl Fn() -> bool) -> Result<Vec<u8>, Unread> {
    let said = expected(&std::fs::metadata(path)?, most)?;
    let mut file = File::open(path)?;
    let mut bytes = Vec::with_capacity(usize::try_from(said.unwrap_or(0)).unwrap_or(0));
    loop {
        if stop() {
            return Err(Unread::Stopped);
        }
        if file.by_ref().take(READ_AT_ONCE).read_to_end(&mut bytes)? == 0 {
            return Ok(bytes);
        }
        let read = bytes.len() as u64;
        if read > most {
            return Err(Unread::TooLarge(read));
        }
        if said.is_some_and(|said| read > said) {
            return Err(Unread::Growing);
        }
    }
}

/// How many bytes a file says it has; `None` where it does not know: a pipe, or what a system makes up as it
/// is read.
fn expected(about: &Metadata, most: u64) -> Result<Option<u64>, Unread> {
    if about.is_dir() {
        return Err(Unread::Folder);
    }
    if !about.is_file() {
        return if is_pipe(about.file_type()) {
            Ok(None)
        } else {
            Err(Unread::NoFile)
        };
    }
    if about.len() > most {
        return Err(Unread::TooLarge(about.len()));
    }
    Ok(Some(about.len()).filter(|len| *len > 0))
}

#[cfg(unix)]
fn is_pipe(kind: FileType) -> bool {
    use std::os::unix::fs::FileTypeExt;
    kind.is_fifo()
}

#[cfg(not(unix))]
fn is_pipe(_: FileType) -> bool {
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_written_or_a_reason() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a file");
        let written: Vec<u8> = (0..3_000_000_u32).map(|k| (k % 251) as u8).collect();
        std::fs::write(&path, &written).unwrap();
        assert_eq!(read(&path, 3_000_000, || false).unwrap(), written);
        assert!(matches!(
            read(&path, 2_999_999, || false),
            Err(Unread::TooLarge(3_000_000))
        ));
        assert!(matches!(
            read(&path, 3_000_000, || true),
            Err(Unread::Stopped)
        ));
        let mut looks = std::cell::Cell::new(0);
        let third = || {
            looks.set(looks.get() + 1);
            looks.get() == 3
        };
        assert!(matches!(
            read_here(&path, 3_000_000, third),
            Err(Unread::Stopped)
        ));
        assert_eq!(*looks.get_mut(), 3);
        assert!(matches!(
            read(folder.path(), 10, || false),
            Err(Unread::Folder)
        ));
        let missing = read(&folder.path().join("none"), 10, || false);
        assert!(matches!(missing, Err(Unread::System(e)) if e.kind() == io::ErrorKind::NotFound));
    }

    /// Devices never end; what a system makes up as it is read has no size beforehand.
    #[cfg(target_os = "linux")]
    #[test]
    fn a_device_is_no_file() {
        for device in ["/dev/zero", "/dev/urandom", "/dev/null"] {
            assert!(matches!(
                read(Path::new(device), 5_000_000, || false),
                Err(Unread::NoFile)
            ));
        }
        let made_up = read(Path::new("/proc/self/status"), 5_000_000, || false).unwrap();
        assert!(made_up.starts_with(b"Name:"));
    }

    /// A file that somebody appends to is told as such, and one that grows beyond the limit as too large.
    #[test]
    fn a_file_that_grows_is_not_taken_in_part() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("growing");
        std::fs::write(&path, vec![b'x'; 3 << 20]).unwrap();
        let append = || {
            use std::io::Write;
            let mut end = File::options().append(true).open(&path).unwrap();
            end.write_all(&vec![b'y'; 1 << 20]).unwrap();
            false
        };
        assert!(matches!(
            read_here(&path, 1 << 30, append),
            Err(Unread::Growing)
        ));
        let size = std::fs::metadata(&path).unwrap().len();
        assert!(matches!(
            read_here(&path, size, append),
            Err(Unread::TooLarge(_))
        ));
    }

    /// Nobody writes into the pipe: whoever stops waiting for it goes on at once, and whoever waits gets all.
    #[cfg(unix)]
    #[test]
    fn a_pipe_is_waited_for_until_asked_to_stop() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("pipe");
        let made = std::process::Command::new("mkfifo").arg(&path).status();
        assert!(made.unwrap().success());
        let mut looks = 0;
        let stopped = read(&path, 1 << 20, || {
            looks += 1;
            looks == 4
        });
        assert!(matches!(stopped, Err(Unread::Stopped)) && looks == 4);
        // The first reading's thread still waits: it is let go with an empty pipe.
        drop(File::options().write(true).open(&path).unwrap());
        let path = folder.path().join("another pipe");
        let made = std::process::Command::new("mkfifo").arg(&path).status();
        assert!(made.unwrap().success());
        let writer = {
            let path = path.clone();
            std::thread::spawn(move || std::fs::write(path, b"0\nEOF\n"))
        };
        assert_eq!(read(&path, 1 << 20, || false).unwrap(), b"0\nEOF\n");
        writer.join().unwrap().unwrap();
        // An endless one is too large, however little it says of its size.
        let writer = {
            let path = path.clone();
            std::thread::spawn(move || std::fs::write(path, vec![0; 8 << 20]))
        };
        let endless = read(&path, 1 << 20, || false);
        assert!(matches!(endless, Err(Unread::TooLarge(n)) if n <= 2 << 20));
        // The writer finds nobody reading any more.
        assert!(writer.join().unwrap().is_err());
    }
}
