//! Says when somebody else may have changed the shop's files.

use crate::shop_files::{ShopFile, ShopFiles};
use notify::{RecommendedWatcher, RecursiveMode, Watcher as _};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

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
