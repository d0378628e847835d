//! Files that a call writes: never over an input, over another only where that is asked for.

use super::outcome::Failure;
use crate::safe_file;
use std::path::Path;

/// Whether an existing file may be replaced.
#[derive(Debug, Clone, Copy, clap::Args)]
pub struct Overwrite {
    /// Replace a file that is already there. An input is never replaced.
    #[arg(long)]
    force: bool,
}

impl Overwrite {
    /// Whether the call may write there, asked before anything is computed.
    ///
    /// # Errors
    /// It is one of the call's own inputs, or a file is there and nobody said to replace it.
    pub fn check(self, output: &Path, inputs: &[&Path]) -> Result<(), Failure> {
        if inputs.iter().any(|input| is_same(input, output)) {
            return Err(Failure::Call(say!(
                "{} is an input of this call and is not written over. Give another name.",
                output.display()
            )));
        }
        // A link to nothing is there as well.
        if !self.force && output.symlink_metadata().is_ok() {
            return Err(Failure::Call(say!(
                "{} is already there. Give another name, or --force to replace it.",
                output.display()
            )));
        }
        Ok(())
    }
}

/// Writes a file that [`Overwrite::check`] allowed.
///
/// # Errors
/// What the system says, with the file's name.
pub fn write(output: &Path, bytes: &[u8]) -> Result<(), String> {
    safe_file::save(output, bytes)
        .map_err(|e| say!("{}: it was not written: {e}.", output.display()))
}

/// Whether two paths lead to one file: over links and dots, and by two names of the same file.
fn is_same(a: &Path, b: &Path) -> bool {
    let whole = |p: &Path| p.canonicalize().unwrap_or_else(|_| p.to_path_buf());
    whole(a) == whole(b) || is_same_node(a, b)
}

#[cfg(unix)]
fn is_same_node(a: &Path, b: &Path) -> bool {
    use std::os::unix::fs::MetadataExt as _;
    let node = |p: &Path| p.metadata().ok().map(|m| (m.dev(), m.ino()));
    node(a).is_some() && node(a) == node(b)
}

#[cfg(not(unix))]
fn is_same_node(_: &Path, _: &Path) -> bool {
    false
}
