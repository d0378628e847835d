//! The table of texts, read once while a package is compiled.

use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// Where it lies from the top of the house.
const PLACE: &str = "assets/languages/german.toml";

/// What a text goes by: itself, and the sense where one is given.
pub(crate) fn key(english: &str, sense: Option<String>) -> String {
    match sense {
        Some(sense) => format!("{english} (in {sense})"),
        None => english.to_owned(),
    }
}

/// The German text.
pub(crate) fn german(key: &str) -> Option<&'static str> {
    static TABLE: OnceLock<HashMap<String, String>> = OnceLock::new();
    TABLE
        .get_or_init(|| read().unwrap_or_default())
        .get(key)
        .map(String::as_str)
}

/// `None` where there is no table that can be read; `tests/languages.rs` says why.
fn read() -> Option<HashMap<String, String>> {
    let package = PathBuf::from(std::env::var_os("CARGO_MANIFEST_DIR")?);
    let text = package
        .ancestors()
        .map(|folder: &Path| folder.join(PLACE))
        .find_map(|file| std::fs::read_to_string(file).ok())?;
    toml::from_str(&text).ok()
}
