//! The one reader of files: it stops when asked and never takes more than a file may have.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

/// Bytes taken between two looks whether to stop: a slow disk must not keep a cancelled reading waiting.
const READ_AT_ONCE: u64 = 1 << 20;

/// Why a file was not read.
#[derive(Debug)]
pub enum Unread {
    /// The operating system will not give it.
    System(io::Error),
    /// It is a folder.
    Folder,
    /// It has more bytes than such a file may have: how many at least.
    TooLarge(u64),
    /// The reading was to stop.
    Stopped,
}

impl From<io::Error> for Unread {
    fn from(error: io::Error) -> Self {
        Self::System(error)
    }
}

/// The bytes of a file of at most so many bytes; `stop` is asked between pieces.
///
/// The size is looked at before, so that a file of many GB does not fill the memory first, and again while
/// it is read: a file may grow, and what is no file proper has no size.
///
/// # Errors
/// The file cannot be opened or read, is a folder or too large, or the reading was to stop.
pub fn read(path: &Path, most: u64, mut stop: impl FnMut() -> bool) -> Result<Vec<u8>, Unread> {
    let about = std::fs::metadata(path)?;
    if about.is_dir() {
        return Err(Unread::Folder);
    }
    if about.len() > most {
        return Err(Unread::TooLarge(about.len()));
    }
    let mut file = File::open(path)?;
    let mut bytes = Vec::with_capacity(usize::try_from(about.len()).unwrap_or(0));
    loop {
        if stop() {
            return Err(Unread::Stopped);
        }
        if file.by_ref().take(READ_AT_ONCE).read_to_end(&mut bytes)? == 0 {
            return Ok(bytes);
        }
        if bytes.len() as u64 > most {
            return Err(Unread::TooLarge(bytes.len() as u64));
        }
    }
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
        let mut looks = 0;
        let third = || {
            looks += 1;
            looks == 3
        };
        assert!(matches!(
            read(&path, 3_000_000, third),
            Err(Unread::Stopped)
        ));
        assert!(matches!(
            read(folder.path(), 10, || false),
            Err(Unread::Folder)
        ));
        let missing = read(&folder.path().join("none"), 10, || false);
        assert!(matches!(missing, Err(Unread::System(e)) if e.kind() == io::ErrorKind::NotFound));
    }

    /// What is no file proper has no size beforehand and never ends.
    #[cfg(target_os = "linux")]
    #[test]
    fn an_endless_file_is_too_large() {
        let zeros = read(Path::new("/dev/zero"), 5_000_000, || false);
        assert!(matches!(zeros, Err(Unread::TooLarge(n)) if n < 8_000_000));
    }
}
