//! When the program fails: a report beside the shop's files, and a word about it at the next start.
//!
//! A report holds the version, the place in the program and how it came there. It holds nothing of a drawing.

use std::backtrace::Backtrace;
use std::fs;
use std::panic::{self, PanicHookInfo};
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

/// Begins the name of every report.
const PREFIX: &str = "failure-";
/// Ends the name of one that was told.
const TOLD: &str = "-told.txt";
/// More are not kept: a fault that comes again at each start must not fill the folder.
const MOST: usize = 20;

/// Whether a window was opened: before that nothing has failed, it only could not begin.
static OPENED: AtomicBool = AtomicBool::new(false);
/// What the last failure said, for a start that comes to nothing.
static LAST: Mutex<Option<String>> = Mutex::new(None);

/// From now on a failure of the window, or of our own code anywhere, leaves a report in the folder.
///
/// Failures of geometry libraries in background work are expected there and caught; they leave none.
pub fn watch(folder: PathBuf) {
    let before = panic::take_hook();
    panic::set_hook(Box::new(move |info| {
        let told = told_by(info);
        if let Ok(mut last) = LAST.lock() {
            *last = Some(told.clone());
        }
        let opened = OPENED.load(Ordering::Relaxed);
        if opened && concerns_us(info) {
            // Where even that fails nobody can be told; the message on standard error follows all the same.
            let _ = write(&folder, &told);
        }
        // A toolkit that fails before there is a window is told in words, by what it lacks.
        if opened || is_ours(info) {
            before(info);
        }
    }));
}

/// A window is there.
pub fn window_is_open() {
    OPENED.store(true, Ordering::Relaxed);
}

/// What the last failure said.
pub fn last() -> Option<String> {
    LAST.lock().ok()?.clone()
}

/// The report that nobody was told of yet, the latest; it counts as told from now on.
pub fn untold(folder: &Path) -> Option<PathBuf> {
    let mut found = reports(folder);
    found.retain(|p| !p.to_string_lossy().ends_with(TOLD));
    let latest = found.pop()?;
    let mut told = None;
    for path in found.into_iter().chain([latest]) {
        let name = path.file_name()?.to_string_lossy().replace(".txt", TOLD);
        let to = path.with_file_name(name);
        told = Some(fs::rename(&path, &to).map_or(path, |()| to));
    }
    told
}

/// Reports in the folder, the oldest first.
fn reports(folder: &Path) -> Vec<PathBuf> {
    let Ok(entries) = fs::read_dir(folder) else {
        return Vec::new();
    };
    let is_report = |p: &PathBuf| {
        p.file_name()
            .is_some_and(|n| n.to_string_lossy().starts_with(PREFIX))
    };
    let mut found: Vec<_> = entries
        .flatten()
        .map(|e| e.path())
        .filter(is_report)
        .collect();
    found.sort();
    found
}

fn told_by(info: &PanicHookInfo<'_>) -> String {
    let text = info.payload_as_str().unwrap_or("no message");
    let place = info.location().map(ToString::to_string).unwrap_or_default();
    format!("{text} ({place})")
}

/// Whether it ends the window or lies in our own code.
fn concerns_us(info: &PanicHookInfo<'_>) -> bool {
    let of_the_window = std::thread::current().name() == Some("main");
    of_the_window || is_ours(info)
}

fn is_ours(info: &PanicHookInfo<'_>) -> bool {
    info.location()
        .is_some_and(|l| Path::new(l.file()).is_relative() && l.file().starts_with("src"))
}

fn write(folder: &Path, told: &str) -> std::io::Result<()> {
    fs::create_dir_all(folder)?;
    let mut there = reports(folder);
    while there.len() >= MOST {
        fs::remove_file(there.remove(0))?;
    }
    let now = jiff::Zoned::now();
    let text = format!(
        "Kerfcast {}\n{} {}\n{now}\n\n{told}\n\n{}\n",
        crate::gui::version::version(),
        std::env::consts::OS,
        std::env::consts::ARCH,
        Backtrace::force_capture()
    );
    let name = format!("{PREFIX}{}.txt", now.strftime("%Y-%m-%d-%H%M%S-%3f"));
    fs::write(folder.join(name), text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_report_is_told_once_and_old_ones_go() {
        let folder = tempfile::tempdir().unwrap();
        assert_eq!(untold(folder.path()), None);
        for k in 0..MOST + 5 {
            write(folder.path(), &format!("failure {k}")).unwrap();
            std::thread::sleep(std::time::Duration::from_millis(2));
        }
        assert_eq!(reports(folder.path()).len(), MOST);
        let told = untold(folder.path()).unwrap();
        let text = fs::read_to_string(told).unwrap();
        assert!(
            text.contains(&format!("failure {}", MOST + 4)),
            "the latest is told"
        );
        assert!(text.starts_with("Kerfcast 0."));
        assert_eq!(untold(folder.path()), None);
        assert_eq!(reports(folder.path()).len(), MOST);
    }
}
