//! Files that are either the old one or the new one, never half of one.

use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::Path;
use std::sync::atomic::{AtomicU32, Ordering};

/// Files saved so far by this program.
static COUNT: AtomicU32 = AtomicU32::new(0);

/// Writes a file so that a crash or a full disk leaves the old one in place: a temporary file beside it, synced,
/// then renamed over it.
///
/// # Errors
/// What the system says; the old file is then as it was.
pub fn save(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty());
    let folder = folder.unwrap_or_else(|| Path::new("."));
    let name = path
        .file_name()
        .ok_or_else(|| io::Error::new(io::ErrorKind::InvalidInput, "the path names no file"))?;
    // The process number keeps two running programs apart, the count two threads of one.
    let count = COUNT.fetch_add(1, Ordering::Relaxed);
    let mut temporary = std::ffi::OsString::from(".");
    temporary.push(name);
    temporary.push(format!(".{}-{count}.tmp", std::process::id()));
    let temporary = folder.join(temporary);
    let written = write_synced(&temporary, bytes).and_then(|()| fs::rename(&temporary, path));
    if written.is_err() {
        // What is left of the attempt helps nobody; the first error is the one to tell.
        let _ = fs::remove_file(&temporary);
    }
    written
}

fn write_synced(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = File::create(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn replaces_whole_files_and_leaves_nothing_beside_them() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.toml");
        save(&path, b"one").unwrap();
        save(&path, b"two").unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"two");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
        // A folder in its place cannot be replaced: the error is told, and no temporary file stays.
        let taken = folder.path().join("b");
        fs::create_dir(&taken).unwrap();
        assert!(save(&taken, b"three").is_err());
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2);
    }
}
