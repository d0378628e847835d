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

/// The German text, where the table has one.
///
/// # Errors
/// The table cannot be read, and why: without it everything would be English, and nobody would be told.
pub(crate) fn german(key: &str) -> Result<Option<&'static str>, &'static str> {
    static TABLE: OnceLock<Result<HashMap<String, String>, String>> = OnceLock::new();
    match TABLE.get_or_init(read) {
        Ok(table) => Ok(table.get(key).map(String::as_str)),
        Err(why) => Err(why),
    }
}

fn read() -> Result<HashMap<String, String>, String> {
    let package = std::env::var_os("CARGO_MANIFEST_DIR").map(PathBuf::from);
    let text = package
        .iter()
        .flat_map(|package| package.ancestors())
        .map(|folder: &Path| folder.join(PLACE))
        .find_map(|file| std::fs::read_to_string(file).ok())
        .ok_or_else(|| format!("{PLACE} is not there"))?;
    toml::from_str(&text).map_err(|e| format!("{PLACE}: {e}"))
}
