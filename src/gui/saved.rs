//! A file that goes out of the window to a place that somebody chose.

use crate::safe_file;
use crate::words::saving::elsewhere;
use std::path::PathBuf;

/// Saves it; the place, or why not and what to do.
pub fn saved(path: PathBuf, bytes: &[u8]) -> Result<PathBuf, String> {
    let result = safe_file::save(&path, bytes);
    result.map(|()| path).map_err(|e| elsewhere(&e))
}
