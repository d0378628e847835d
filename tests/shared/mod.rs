//! The drawings with independently measured answers that lie beside the project, when they do.
//!
//! Tests that need them are ignored with the words "needs ../shared"; `.ci/run` runs them where the folder is there.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

/// A folder of the shared drawings, in `$KERFCAST_SHARED` or beside the project.
///
/// # Panics
/// When it is not there: a test that was asked for must not pass without its drawings.
pub fn folder(name: &str) -> PathBuf {
    let root = std::env::var_os("KERFCAST_SHARED").map_or_else(
        || Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared"),
        PathBuf::from,
    );
    let folder = root.join("dxf").join(name);
    assert!(
        folder.is_dir(),
        "{} is not there: set KERFCAST_SHARED to the folder of shared drawings",
        folder.display()
    );
    folder
}

/// Rows of a CSV file by column name.
#[allow(dead_code, reason = "not every test has a table")]
pub fn rows(path: &Path) -> Vec<HashMap<String, String>> {
    let mut reader = csv::Reader::from_path(path).expect("the table of answers opens");
    let rows = reader.deserialize().collect::<Result<_, _>>();
    rows.expect("the table of answers is a table")
}
