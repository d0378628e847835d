//! Files that are either the old one or the new one, never half of one.

use std::ffi::{OsStr, OsString};
use std::fs::{self, File, TryLockError};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::{PoisonError, RwLock, RwLockWriteGuard};
use std::time::{Duration, Instant};

/// Files saved so far by this program.
static COUNT: AtomicU32 = AtomicU32::new(0);
/// Most links that are followed, as operating systems do.
const MOST_LINKS: usize = 40;
/// Attempts at a file whose temporary file somebody took away.
const ATTEMPTS: usize = 5;
/// Longest that another program is waited for.
const LONGEST_WAIT: Duration = Duration::from_secs(10);

/// Held by every save, and by whoever ends the program between two of them.
static SAVING: RwLock<()> = RwLock::new(());

/// Waits until no save of this program is under way, and lets none begin until this is dropped.
pub fn hold_back() -> RwLockWriteGuard<'static, ()> {
    SAVING.write().unwrap_or_else(PoisonError::into_inner)
}

/// Writes a file so that a crash or a full disk leaves the old one in place: a temporary file beside it, synced,
/// renamed over it, and the folder synced.
///
/// A link stays a link, and the file behind it is written. Permissions stay as they are. What earlier attempts at the
/// same file left behind when they were killed is cleared away.
///
/// # Errors
/// What the system says, also that the file may only be read; the old file is then as it was.
pub fn save(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let _under_way = SAVING.read().unwrap_or_else(PoisonError::into_inner);
    let path = &behind_links(path)?;
    let (folder, name) = (folder_of(path), name_of(path)?);
    let before = match fs::metadata(path) {
        Ok(about) if about.permissions().readonly() => {
            return Err(io::Error::new(
                io::ErrorKind::PermissionDenied,
                say!("the file is marked as one that may only be read"),
            ));
        }
        Ok(about) => Some(about.permissions()),
        Err(_) => None,
    };
    clear_leftovers(folder, name);
    for _ in 1..ATTEMPTS {
        match attempt(path, folder, name, bytes, before.clone()) {
            // Another program took it for a leftover between its making and its lock.
            Err(e) if e.kind() == io::ErrorKind::NotFound && folder.exists() => {}
            done => return done,
        }
    }
    attempt(path, folder, name, bytes, before)
}

fn attempt(
    path: &Path,
    folder: &Path,
    name: &OsStr,
    bytes: &[u8],
    permissions: Option<fs::Permissions>,
) -> io::Result<()> {
    // The process number keeps two running programs apart, the count two threads of one.
    let count = COUNT.fetch_add(1, Ordering::Relaxed);
    let mut temporary = beginning_of_temporaries(name);
    temporary.push(format!("{}-{count}.tmp", std::process::id()));
    let temporary = folder.join(temporary);
    let written = write_synced(&temporary, bytes, permissions)
        .and_then(|_locked| fs::rename(&temporary, path));
    if written.is_err() {
        // What is left of the attempt helps nobody; the first error is the one to tell.
        let _ = fs::remove_file(&temporary);
    } else if let Ok(folder) = File::open(folder) {
        // The new name outlives a power cut only with its folder. Not every system syncs folders.
        let _ = folder.sync_all();
    }
    written
}

/// The file is locked for as long as it is open: it is nobody's leftover.
fn write_synced(
    path: &Path,
    bytes: &[u8],
    permissions: Option<fs::Permissions>,
) -> io::Result<File> {
    let mut file = File::create_new(path)?;
    // Where files cannot be locked, nothing is cleared away either.
    let _ = file.try_lock();
    file.write_all(bytes)?;
    if let Some(permissions) = permissions {
        file.set_permissions(permissions)?;
    }
    file.sync_all()?;
    Ok(file)
}

/// Temporary files of this name that no running program holds.
fn clear_leftovers(folder: &Path, name: &OsStr) {
    let beginning = beginning_of_temporaries(name);
    let Ok(there) = fs::read_dir(folder) else {
        return;
    };
    for entry in there.flatten() {
        let found = entry.file_name();
        let found = found.as_encoded_bytes();
        if !found.starts_with(beginning.as_encoded_bytes()) || !found.ends_with(b".tmp") {
            continue;
        }
        let held = File::open(entry.path()).and_then(|f| {
            let locked = f.try_lock();
            locked.map_err(io::Error::from).map(|()| f)
        });
        if held.is_ok() {
            // Left where it cannot be removed: it hurts nobody.
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// ".name." as all temporary files for a name begin.
fn beginning_of_temporaries(name: &OsStr) -> OsString {
    let mut out = OsString::from(".");
    out.push(name);
    out.push(".");
    out
}

fn folder_of(path: &Path) -> &Path {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty());
    folder.unwrap_or_else(|| Path::new("."))
}

fn name_of(path: &Path) -> io::Result<&OsStr> {
    path.file_name()
        .ok_or_else(|| io::Error::new(io::ErrorKind::InvalidInput, say!("the path names no file")))
}

/// The file that a path leads to over links, also where it is not there yet.
///
/// # Errors
/// Links that lead round in a circle.
pub fn behind_links(path: &Path) -> io::Result<PathBuf> {
    let mut path = path.to_owned();
    for _ in 0..MOST_LINKS {
        match fs::read_link(&path) {
            Ok(next) => path = folder_of(&path).join(next),
            Err(_) => return Ok(path),
        }
    }
    Err(io::Error::other("its links lead round in a circle"))
}

/// Nobody else who asks for it changes the file, until this is dropped.
#[derive(Debug)]
pub struct Lock(#[allow(dead_code, reason = "held, not used")] Option<File>);

/// Waits until no other program is changing a file. Asks the other programs of this kind only: the file
/// itself can be read and written all the same.
///
/// # Errors
/// The folder cannot be written in, or another program keeps the file for longer than ten seconds.
pub fn lock(path: &Path) -> io::Result<Lock> {
    let path = &behind_links(path)?;
    let mut name = OsString::from(".");
    name.push(name_of(path)?);
    name.push(".lock");
    let file = File::options()
        .create(true)
        .truncate(false)
        .write(true)
        .open(folder_of(path).join(name))?;
    let since = Instant::now();
    loop {
        match file.try_lock() {
            Ok(()) => return Ok(Lock(Some(file))),
            // A share of another computer may know no locks; then comparing before writing has to do.
            Err(TryLockError::Error(_)) => return Ok(Lock(None)),
            Err(TryLockError::WouldBlock) if since.elapsed() > LONGEST_WAIT => {
                return Err(io::Error::new(
                    io::ErrorKind::TimedOut,
                    say!("another program keeps the file locked"),
                ));
            }
            Err(TryLockError::WouldBlock) => std::thread::sleep(Duration::from_millis(5)),
        }
    }
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

    #[test]
    fn leftovers_of_the_same_file_go_and_those_in_use_stay() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.toml");
        let left = folder.path().join(".a.toml.77-0.tmp");
        let used = folder.path().join(".a.toml.78-0.tmp");
        let other = folder.path().join(".b.toml.77-0.tmp");
        for file in [&left, &used, &other] {
            fs::write(file, "half").unwrap();
        }
        let held = File::open(&used).unwrap();
        held.lock().unwrap();
        save(&path, b"one").unwrap();
        assert!(!left.exists() && used.exists() && other.exists());
    }

    #[cfg(unix)]
    #[test]
    fn links_and_permissions_stay() {
        use std::os::unix::fs::{PermissionsExt as _, symlink};
        let folder = tempfile::tempdir().unwrap();
        let real = folder.path().join("far").join("real.toml");
        fs::create_dir(folder.path().join("far")).unwrap();
        let link = folder.path().join("link.toml");
        symlink("far/real.toml", &link).unwrap();
        // A link to nothing yet makes the file that it names.
        save(&link, b"one").unwrap();
        fs::set_permissions(&real, fs::Permissions::from_mode(0o640)).unwrap();
        save(&link, b"two").unwrap();
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert_eq!(fs::read(&real).unwrap(), b"two");
        assert_eq!(
            fs::metadata(&real).unwrap().permissions().mode() & 0o777,
            0o640
        );
        fs::set_permissions(&real, fs::Permissions::from_mode(0o444)).unwrap();
        let refused = save(&link, b"three").unwrap_err();
        assert_eq!(refused.kind(), io::ErrorKind::PermissionDenied);
        assert_eq!(fs::read(&real).unwrap(), b"two");
        let circle = folder.path().join("circle");
        symlink("circle", &circle).unwrap();
        assert!(save(&circle, b"x").is_err());
    }

    #[test]
    fn one_after_the_other() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("count");
        fs::write(&path, "0").unwrap();
        std::thread::scope(|s| {
            for _ in 0..4 {
                s.spawn(|| {
                    for _ in 0..25 {
                        let _lock = lock(&path).unwrap();
                        let n: u32 = fs::read_to_string(&path).unwrap().parse().unwrap();
                        save(&path, (n + 1).to_string().as_bytes()).unwrap();
                    }
                });
            }
        });
        assert_eq!(fs::read_to_string(&path).unwrap(), "100");
    }
}
