//! What a call names as drawings: files, folders, patterns, and standard input.

use super::outcome::Failure;
use std::path::{Path, PathBuf};

/// Stands for standard input.
pub const STANDARD_INPUT: &str = "-";

/// The drawings that are meant, in the order given: a folder is its DXF files by name, a pattern (`*`, `?`, `**`) what it
/// matches where the shell left it as it is.
///
/// # Errors
/// A folder that cannot be read or holds no drawing, and a pattern that matches nothing.
pub fn drawings(named: &[PathBuf]) -> Result<Vec<PathBuf>, Failure> {
    let mut files = Vec::with_capacity(named.len());
    for path in named {
        if path.is_dir() {
            files.append(&mut of_folder(path)?);
        } else if is_pattern(path) && !path.exists() {
            files.append(&mut matching(path)?);
        } else {
            files.push(path.clone());
        }
    }
    Ok(files)
}

fn is_pattern(path: &Path) -> bool {
    path.to_string_lossy().contains(['*', '?', '['])
}

fn is_drawing(path: &Path) -> bool {
    path.extension()
        .is_some_and(|e| e.eq_ignore_ascii_case("dxf"))
}

fn of_folder(folder: &Path) -> Result<Vec<PathBuf>, Failure> {
    let unread = |e: std::io::Error| Failure::Call(format!("{}: {e}", folder.display()));
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(unread)? {
        let path = entry.map_err(unread)?.path();
        if is_drawing(&path) && !path.is_dir() {
            files.push(path);
        }
    }
    files.sort();
    some(files, || {
        say!("{}: the folder holds no DXF.", folder.display())
    })
}

fn matching(pattern: &Path) -> Result<Vec<PathBuf>, Failure> {
    let text = pattern.to_string_lossy();
    let found = glob::glob(&text).map_err(|e| Failure::Call(format!("{text}: {e}.")))?;
    // By name; what cannot be looked at is named when it is read.
    let files = found.map(|f| f.unwrap_or_else(|e| e.path().to_owned()));
    some(files.collect(), || say!("{text}: no file has such a name."))
}

fn some(files: Vec<PathBuf>, none: impl Fn() -> String) -> Result<Vec<PathBuf>, Failure> {
    if files.is_empty() {
        Err(Failure::Call(none()))
    } else {
        Ok(files)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    fn names(named: &[PathBuf]) -> Result<Vec<String>, String> {
        let files = drawings(named).map_err(|e| format!("{e:?}"))?;
        let name = |p: &PathBuf| {
            p.file_name()
                .unwrap_or_default()
                .to_string_lossy()
                .into_owned()
        };
        Ok(files.iter().map(name).collect())
    }

    #[test]
    fn folders_patterns_and_files_in_the_order_given() {
        let folder = tempfile::tempdir().unwrap();
        for name in ["b.dxf", "a.DXF", "note.txt", "c[1].dxf"] {
            fs::write(folder.path().join(name), "").unwrap();
        }
        fs::create_dir(folder.path().join("empty")).unwrap();
        let within = |name: &str| folder.path().join(name);
        assert_eq!(
            names(&[folder.path().into()]).unwrap(),
            ["a.DXF", "b.dxf", "c[1].dxf"]
        );
        assert_eq!(
            names(&[within("?.dxf"), within("a.DXF")]).unwrap(),
            ["b.dxf", "a.DXF"]
        );
        // A file may have the name of a pattern; one that is missing is told when it is read.
        assert_eq!(
            names(&[within("c[1].dxf"), within("none.dxf")]).unwrap(),
            ["c[1].dxf", "none.dxf"]
        );
        assert_eq!(names(&["-".into()]).unwrap(), ["-"]);
        assert!(
            names(&[within("z*.dxf")])
                .unwrap_err()
                .contains("no file has such a name")
        );
        assert!(
            names(&[within("empty")])
                .unwrap_err()
                .contains("holds no DXF")
        );
    }
}
