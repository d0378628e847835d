//! What a shop brings of its own: its library and its finished cuts.

use super::outcome::Failure;
use super::visible::tell_of;
use crate::calibration::{CutsRead, Day, fit, latest_machine, read_cuts};
use crate::library::{Library, UserLibrary};
use crate::words;
use crate::words::library::file_fault;
use std::path::{Path, PathBuf};

/// The built-in library, with the entries of a file over it.
///
/// # Errors
/// The file is refused: which line, and why.
pub fn library(own: Option<&Path>) -> Result<Library, Failure> {
    let built_in = Library::built_in();
    let Some(path) = own else {
        return Ok(built_in.clone());
    };
    let own = UserLibrary::load(path).map_err(|e| Failure::Call(named(path, &file_fault(&e))))?;
    Ok(own.over(built_in))
}

/// The finished cuts of a file.
///
/// # Errors
/// It cannot be read, or lacks columns: the message. Bad rows are in the result.
pub fn cuts(path: &Path, library: &Library) -> Result<CutsRead, String> {
    let bytes = std::fs::read(path).map_err(|e| named(path, &e))?;
    read_cuts(&bytes, library, Day::latest()).map_err(|e| named(path, &e))
}

/// Arguments of a call whose estimates rest on the shop's own figures.
#[derive(Debug, clap::Args)]
pub struct Own {
    /// The shop's own library, laid over the built-in one.
    #[arg(long, value_name = "FILE")]
    library: Option<PathBuf>,
    /// The shop's finished cuts, to learn from.
    #[arg(long, value_name = "CUTS.csv")]
    learned: Option<PathBuf>,
    /// The machine that estimates are for, where the cuts name several. Default: that of the latest cut.
    #[arg(long, value_name = "NAME", requires = "learned")]
    machine: Option<String>,
}

impl Own {
    /// The library that estimates rest on. Rows of the cuts that cannot be used are named on standard error.
    ///
    /// # Errors
    /// A file is refused, or has no cut of the machine asked for.
    pub fn library(&self) -> Result<Library, Failure> {
        let mut library = library(self.library.as_deref())?;
        let Some(path) = &self.learned else {
            return Ok(library);
        };
        let read = cuts(path, &library).map_err(Failure::Call)?;
        for fault in &read.faults {
            tell_of(path, &words::cuts::row(fault));
        }
        let fits = fit(&read.cuts, &library);
        let machine = self
            .machine
            .as_deref()
            .or_else(|| latest_machine(&read.cuts));
        if let Some(machine) = machine {
            let found = fits.iter().find(|f| f.machine == machine);
            let Some(found) = found else {
                let names: Vec<&str> = fits.iter().map(|f| f.machine.as_str()).collect();
                return Err(Failure::Call(format!(
                    "{}: no cut was made on “{machine}”. Machines: {}.",
                    path.display(),
                    names.join(", ")
                )));
            };
            // A log of nothing but outliers teaches nothing.
            library.learned = Some(found.knowledge.clone()).filter(|k| k.cuts > 0);
        }
        Ok(library)
    }
}

fn named(path: &Path, error: &dyn std::fmt::Display) -> String {
    format!("{}: {error}", path.display())
}
