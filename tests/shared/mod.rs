//! The drawings with independently measured answers that lie beside the project, when they do.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

/// The folder of shared drawings; `None`, and a line printed, when it is not there.
pub fn folder(name: &str) -> Option<PathBuf> {
    let root = std::env::var_os("KERFCAST_SHARED").map_or_else(
        || Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared"),
        PathBuf::from,
    );
    let folder = root.join("dxf").join(name);
    if folder.is_dir() {
        return Some(folder);
    }
    println!("skipped: {} is not there", folder.display());
    None
}

/// Rows of a CSV file by column name.
#[allow(dead_code, reason = "not every test has a table")]
pub fn rows(path: &Path) -> Vec<HashMap<String, String>> {
    let mut reader = csv::Reader::from_path(path).expect("the table of answers opens");
    let rows = reader.deserialize().collect::<Result<_, _>>();
    rows.expect("the table of answers is a table")
}
