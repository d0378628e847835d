//! Files that a call writes: never over an input, over another only where that is asked for.

use super::outcome::Failure;
use crate::safe_file;
use std::path::{Path, PathBuf};

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
        let place = whole(output);
        if inputs.iter().any(|input| whole(input) == place) {
            return Err(Failure::Call(format!(
                "{} is an input of this call and is not written over. Give another name.",
                output.display()
            )));
        }
        if !self.force && output.exists() {
            return Err(Failure::Call(format!(
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
        .map_err(|e| format!("{}: it was not written: {e}.", output.display()))
}

/// Links and dots resolved, so that two names of one file are known as one.
fn whole(path: &Path) -> PathBuf {
    path.canonicalize().unwrap_or_else(|_| path.to_path_buf())
}
