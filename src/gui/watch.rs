//! Says when somebody else may have changed the shop's files, and when an open drawing changed on disk.

use crate::shop_files::{ShopFile, ShopFiles};
use notify::{RecommendedWatcher, RecursiveMode, Watcher as _};
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::SystemTime;

/// Looks at the folders of the files.
pub struct Watch {
    watcher: Option<RecommendedWatcher>,
    folders: Vec<(PathBuf, bool)>,
    changed: Arc<AtomicBool>,
}

impl Watch {
    /// Begins to look; `wake` is called when something may have changed.
    pub fn start(files: &ShopFiles, wake: impl Fn() + Send + 'static) -> Self {
        let changed = Arc::new(AtomicBool::new(false));
        let names: Vec<_> = ShopFile::ALL
            .into_iter()
            .filter_map(|f| files.path(f)?.file_name().map(std::ffi::OsStr::to_owned))
            .collect();
        let told = Arc::clone(&changed);
        let tell = move |event: notify::Result<notify::Event>| {
            let is_ours = |p: &PathBuf| p.file_name().is_some_and(|n| names.iter().any(|m| m == n));
            // Reading them is no change.
            if event.is_ok_and(|e| !e.kind.is_access() && e.paths.iter().any(is_ours)) {
                told.store(true, Ordering::Relaxed);
                wake();
            }
        };
        let mut folders: Vec<PathBuf> = Vec::new();
        for file in ShopFile::ALL {
            // A link is watched where it leads to: that is where the file changes.
            let real = files
                .path(file)
                .and_then(|p| crate::safe_file::behind_links(p).ok());
            let folder = real.as_deref().and_then(Path::parent).map(Path::to_owned);
            folders.extend(folder.filter(|f| !folders.contains(f)));
        }
        let mut out = Self {
            // Without it changes are seen when the window comes to the front.
            watcher: notify::recommended_watcher(tell).ok(),
            folders: folders.into_iter().map(|f| (f, false)).collect(),
            changed,
        };
        out.look_at_new_folders();
        out
    }
    /// A folder that was not there at the start may be by now.
    pub fn look_at_new_folders(&mut self) {
        let Some(watcher) = &mut self.watcher else {
            return;
        };
        for (folder, watched) in &mut self.folders {
            *watched = *watched || watcher.watch(folder, RecursiveMode::NonRecursive).is_ok();
        }
    }
    /// Whether something may have changed since the last call.
    pub fn has_changed(&self) -> bool {
        self.changed.swap(false, Ordering::Relaxed)
    }
}

/// When a file was written last, and its bytes.
type Stamp = (Option<SystemTime>, u64);

/// Looks at the drawings that are open.
pub struct DrawingWatch {
    wake: Arc<dyn Fn() + Send + Sync>,
    /// Begun with the first drawing.
    watcher: Option<RecommendedWatcher>,
    folders: Vec<PathBuf>,
    seen: Arc<Mutex<Seen>>,
}

#[derive(Default)]
struct Seen {
    stamps: HashMap<PathBuf, Stamp>,
    changed: Vec<PathBuf>,
}

fn stamp(path: &Path) -> Option<Stamp> {
    let data = std::fs::metadata(path).ok()?;
    Some((data.modified().ok(), data.len()))
}

impl Seen {
    /// Whether a file is another than it was; one that is empty is just being written.
    fn look(&mut self, path: &Path) -> bool {
        let Some(before) = self.stamps.get_mut(path) else {
            return false;
        };
        let Some(now) = stamp(path).filter(|s| s.1 > 0 && s != before) else {
            return false;
        };
        *before = now;
        self.changed.retain(|p| p != path);
        self.changed.push(path.to_owned());
        true
    }
}

impl DrawingWatch {
    /// Looks at nothing yet; `wake` is called when a drawing has changed.
    pub fn new(wake: impl Fn() + Send + Sync + 'static) -> Self {
        Self {
            wake: Arc::new(wake),
            watcher: None,
            folders: Vec::new(),
            seen: Arc::default(),
        }
    }
    /// From now on a drawing is looked at, as it lies there now.
    pub fn follow(&mut self, path: &Path) {
        let Ok(path) = std::path::absolute(path) else {
            return;
        };
        let (Some(now), Some(folder)) = (stamp(&path), path.parent().map(Path::to_owned)) else {
            return;
        };
        self.seen
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .stamps
            .insert(path, now);
        if self.folders.contains(&folder) {
            return;
        }
        if self.watcher.is_none() {
            let (seen, wake) = (Arc::clone(&self.seen), Arc::clone(&self.wake));
            let tell = move |event: notify::Result<notify::Event>| {
                // Reading it is no change.
                let Ok(event) = event
                    .map_err(drop)
                    .and_then(|e| if e.kind.is_access() { Err(()) } else { Ok(e) })
                else {
                    return;
                };
                let mut seen = seen.lock().unwrap_or_else(PoisonError::into_inner);
                let changed = event.paths.iter().filter(|p| seen.look(p)).count();
                drop(seen);
                if changed > 0 {
                    wake();
                }
            };
            self.watcher = notify::recommended_watcher(tell).ok();
        }
        let watched = self
            .watcher
            .as_mut()
            .is_some_and(|w| w.watch(&folder, RecursiveMode::NonRecursive).is_ok());
        if watched {
            self.folders.push(folder);
        }
    }
    /// Drawings that have changed since the last call.
    pub fn changed(&self) -> Vec<PathBuf> {
        let mut seen = self.seen.lock().unwrap_or_else(PoisonError::into_inner);
        std::mem::take(&mut seen.changed)
    }
}
