//! Places where nothing can be saved: a full disk, a disk that is read-only, a folder that is a file. What lay there
//! stays, nothing is left behind, and what waits can be saved later.
//!
//! Permissions do not bind an administrator, so a read-only place is a mount. Tests that mount need the right to and
//! are run by `cargo test --test window disks -- --include-ignored`; they fail where they may not mount.

use kerfcast::enquiry::Enquiry;
use kerfcast::library::Library;
use kerfcast::shop_files::{ShopFile, ShopFiles, Unkept};
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::Arc;

use crate::calling::{command, sample};
use crate::shop_files::{change_to, numbers_in};

/// A file system of its own in memory, gone at the end.
struct Mounted(tempfile::TempDir);

impl Mounted {
    fn of_kilobytes(size: u32) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let options = format!("size={size}k");
        mount(&["-t", "tmpfs", "-o", &options, "tmpfs"], folder.path());
        Self(folder)
    }
    fn path(&self) -> &Path {
        self.0.path()
    }
    fn set_read_only(&self, read_only: bool) {
        let way = if read_only {
            "remount,ro"
        } else {
            "remount,rw"
        };
        mount(&["-o", way], self.path());
    }
    /// Writes until nothing more fits.
    fn fill(&self) -> PathBuf {
        let path = self.path().join("ballast");
        let mut file = fs::File::create(&path).expect("created");
        while file.write_all(&[0; 512]).is_ok() {}
        path
    }
}

impl Drop for Mounted {
    fn drop(&mut self) {
        let done = Command::new("umount").arg("-l").arg(self.path()).status();
        assert!(std::thread::panicking() || done.is_ok_and(|s| s.success()));
    }
}

fn mount(options: &[&str], at: &Path) {
    let done = Command::new("mount").args(options).arg(at).status();
    let done = done.expect("mount starts");
    assert!(done.success(), "it may not mount at {}", at.display());
}

fn names(folder: &Path) -> Vec<String> {
    let list = fs::read_dir(folder).expect("it lists").flatten();
    let mut names: Vec<String> = list
        .map(|e| e.file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

/// A report of a sample drawing, over one that is there.
fn report_to(path: &Path) -> Output {
    command()
        .args([
            "estimate",
            &sample("latch-cam"),
            "--thickness",
            "40",
            "--force",
            "--report",
        ])
        .arg(path)
        .output()
        .expect("the command starts")
}

/// Every kind of file of the shop, a job file and a report: `block` lets nothing be saved, `free` lets it again.
fn nothing_is_lost(at: &Path, block: impl Fn(), free: impl Fn()) {
    let files = ShopFiles::in_folder(Some(at));
    for file in ShopFile::ALL {
        let change = change_to(file, 1.0, 2.0);
        files
            .keep(&change, None, Library::built_in())
            .expect("saved");
    }
    let job = at.join("a.kerfcast");
    let enquiry = Enquiry::new(Arc::new(Library::built_in().clone()));
    enquiry.save(&job).expect("saved");
    let report = at.join("a.html");
    assert!(report_to(&report).status.success());
    let before = |path: &Path| fs::read(path).expect("it is there");
    let all: Vec<PathBuf> = ShopFile::ALL
        .iter()
        .map(|f| files.path(*f).expect("a place").to_owned())
        .chain([job.clone(), report.clone()])
        .collect();
    let lay: Vec<Vec<u8>> = all.iter().map(|p| before(p)).collect();
    block();
    let there = names(at);
    for file in ShopFile::ALL {
        let kept = files.keep(&change_to(file, 2.0, 3.0), None, Library::built_in());
        assert!(matches!(kept, Err(Unkept::System(_))), "{file:?}: {kept:?}");
    }
    assert!(enquiry.save(&job).is_err());
    let out = report_to(&report);
    assert_eq!(out.status.code(), Some(1), "{out:?}");
    let told = String::from_utf8_lossy(&out.stderr).into_owned();
    assert!(told.contains("a.html"), "{told}");
    for (path, bytes) in all.iter().zip(&lay) {
        assert_eq!(before(path), *bytes, "{}", path.display());
    }
    assert_eq!(names(at), there, "nothing is left behind");
    free();
    for file in ShopFile::ALL {
        let change = change_to(file, 2.0, 3.0);
        files
            .keep(&change, None, Library::built_in())
            .expect("saved");
        assert_eq!(numbers_in(&files, file).last(), Some(&3.0));
    }
    enquiry.save(&job).expect("saved");
    assert!(report_to(&report).status.success());
}

#[cfg(target_os = "linux")]
#[test]
#[ignore = "needs the right to mount"]
fn a_full_disk_loses_nothing() {
    let disk = Mounted::of_kilobytes(1024);
    let ballast = disk.path().join("ballast");
    nothing_is_lost(
        disk.path(),
        || drop(disk.fill()),
        || fs::remove_file(&ballast).expect("removed"),
    );
}

#[cfg(target_os = "linux")]
#[test]
#[ignore = "needs the right to mount"]
fn a_read_only_disk_loses_nothing() {
    let disk = Mounted::of_kilobytes(4096);
    nothing_is_lost(
        disk.path(),
        || disk.set_read_only(true),
        || disk.set_read_only(false),
    );
}

#[test]
fn where_the_folder_is_a_file_nothing_is_saved_and_that_is_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let no_folder = folder.path().join("shop");
    fs::write(&no_folder, "a file").expect("written");
    let files = ShopFiles::in_folder(Some(&no_folder));
    for file in ShopFile::ALL {
        let kept = files.keep(&change_to(file, 1.0, 2.0), None, Library::built_in());
        assert!(matches!(kept, Err(Unkept::System(_))), "{file:?}: {kept:?}");
    }
    let enquiry = Enquiry::new(Arc::new(Library::built_in().clone()));
    assert!(enquiry.save(&no_folder.join("a.kerfcast")).is_err());
    let out = report_to(&no_folder.join("a.html"));
    assert_eq!(out.status.code(), Some(1), "{out:?}");
    assert!(String::from_utf8_lossy(&out.stderr).contains("a.html"));
    assert_eq!(names(folder.path()), ["shop"]);
    assert_eq!(fs::read(&no_folder).expect("there"), b"a file");
}

/// Cut off, zeroed by a crash, or something else altogether: the command says which file it is, and the file stays.
#[test]
fn a_damaged_job_file_is_refused_and_stays() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("torn.kerfcast");
    let made = command()
        .args(["job", "new"])
        .arg(&path)
        .args([&sample("latch-cam"), "--thickness", "40"])
        .output()
        .expect("the command starts");
    assert!(made.status.success(), "{made:?}");
    let whole = fs::read(&path).expect("read");
    let cut_off = whole.len() / 3;
    let mut zeros = whole.clone();
    zeros[cut_off..].fill(0);
    let text = String::from_utf8(whole.clone()).expect("UTF-8");
    // One letter of the drawing inside: it is no longer the drawing whose hash stands beside it.
    let at = text.find("base64").expect("the drawing") + 40;
    let mut other = whole.clone();
    other[at] = if other[at] == b'A' { b'B' } else { b'A' };
    for damaged in [
        whole[..cut_off].to_vec(),
        zeros,
        other,
        Vec::new(),
        b"\x00\xff\xfe\x01 no job".to_vec(),
        vec![b'['; 100_000],
    ] {
        fs::write(&path, &damaged).expect("written");
        let out = command()
            .args(["job", "show"])
            .arg(&path)
            .output()
            .expect("the command starts");
        let told = String::from_utf8_lossy(&out.stderr).into_owned();
        // A job file that is none is a wrong call, as everywhere in `job`.
        assert_eq!(out.status.code(), Some(2), "{told}");
        assert!(told.contains("torn.kerfcast"), "{told}");
        assert_eq!(fs::read(&path).expect("there"), damaged);
    }
    fs::write(&path, &whole).expect("written");
    let shown = command().args(["job", "show"]).arg(&path).status();
    assert!(shown.expect("the command starts").success());
}
