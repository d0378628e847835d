//! What a shop brings of its own: its library, its rates and its finished cuts, as its window uses them.

use super::outcome::Failure;
use super::visible::tell_of;
use crate::calibration::{CutsRead, Day, Log, far_off, fit, latest_machine};
use crate::files::{self, Unread};
use crate::language::{Language, said};
use crate::library::{Library, UserLibrary};
use crate::shop_files::{MOST_BYTES, Rates, ShopFile, ShopFiles};
use crate::words;
use crate::words::library::file_fault;
use std::io;
use std::path::{Path, PathBuf};

/// How to go on where a file of the shop stands in the way.
const OR_WITHOUT: &str = key!("Mend it, or leave the shop's own files out with --no-shop.");

/// The finished cuts of a file.
///
/// # Errors
/// It cannot be read, or lacks columns: the message. Bad rows are in the result.
pub fn cuts(path: &Path, library: &Library, rates: &Rates) -> Result<CutsRead, String> {
    let bytes = bytes(path)?.ok_or_else(|| named(path, &say!("there is no such file.")))?;
    let log = Log::parse(&bytes).map_err(|e| named(path, &e))?;
    Ok(log.read(library, Day::latest(), rates.sign))
}

/// The bytes of a file; `None` where there is none.
fn bytes(path: &Path) -> Result<Option<Vec<u8>>, String> {
    match files::read(path, MOST_BYTES, || false) {
        Ok(bytes) => Ok(Some(bytes)),
        Err(Unread::System(e)) if e.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(Unread::System(e)) => Err(named(path, &e)),
        Err(other) => Err(named(path, &format!("{}.", other.reason()))),
    }
}

/// Arguments of a call that rests on the shop's own library and rates.
#[derive(Debug, clap::Args)]
pub struct ShopChoice {
    /// The shop's own library, laid over the built-in one, instead of the one that the window keeps.
    #[arg(long, value_name = "FILE")]
    library: Option<PathBuf>,
    /// Leave out what the window keeps for the shop: its library, its rates and its finished cuts.
    #[arg(long)]
    no_shop: bool,
}

/// What estimates of a call rest on.
pub struct Basis {
    /// The library, with what was learned.
    pub library: Library,
    /// The shop's rates and habits.
    pub rates: Rates,
    /// Files of the shop that are in it.
    pub files: Vec<PathBuf>,
}

impl ShopChoice {
    /// Where the shop's files lie; nowhere where they are left out.
    fn files(&self) -> ShopFiles {
        let folder = ShopFiles::usual_folder().filter(|_| !self.no_shop);
        ShopFiles::in_folder(folder.as_deref())
    }
    /// Library and rates, with nothing learned.
    ///
    /// # Errors
    /// A file is refused: which line, and why.
    pub fn basis(&self) -> Result<Basis, Failure> {
        let files = self.files();
        let mut used = Vec::new();
        let named_file = self.library.as_deref();
        let path = named_file.or(files.path(ShopFile::Library));
        let mut library = Library::built_in().clone();
        if let Some(path) = path.filter(|p| named_file.is_some() || p.exists()) {
            let own = UserLibrary::load(path).map_err(|e| {
                let hint = if named_file.is_some() {
                    ""
                } else {
                    said(OR_WITHOUT)
                };
                let text = format!("{} {hint}", named(path, &file_fault(&e)));
                Failure::Call(text.trim_end().to_owned())
            })?;
            library = own.over(&library);
            used.push(path.to_owned());
        }
        let mut rates = Rates::of_library(&library);
        if let Some(path) = files.path(ShopFile::Rates)
            && let Some(bytes) = bytes(path).map_err(Failure::Call)?
        {
            let refused = |reason: &str| {
                Failure::Call(format!("{}: {reason} {}", path.display(), said(OR_WITHOUT)))
            };
            let (read, faults) = Rates::parse(&bytes, &library)
                .map_err(|e| refused(&words::rates::file_fault(&e)))?;
            if let Some(fault) = faults.first() {
                return Err(refused(&words::rates::fault(fault)));
            }
            rates = read;
            used.push(path.to_owned());
        }
        Ok(Basis {
            library,
            rates,
            files: used,
        })
    }
}

/// Arguments of a call whose estimates rest on the shop's own figures.
#[derive(Debug, clap::Args)]
pub struct Own {
    #[command(flatten)]
    shop: ShopChoice,
    /// The shop's finished cuts, to learn from, instead of those that the window keeps.
    #[arg(long, value_name = "CUTS.csv")]
    learned: Option<PathBuf>,
    /// The machine of the job, one of the shop's: its limits, what is on hand for it, and what its finished cuts have
    /// taught. Default: the first of the shop's; without any, the one whose cuts the window learns from, else that of the
    /// latest cut.
    #[arg(long, value_name = "NAME")]
    machine: Option<String>,
}

impl Own {
    /// The machine that was asked for.
    pub fn machine(&self) -> Option<&str> {
        self.machine.as_deref()
    }
    /// The library that estimates rest on, with what was learned.
    ///
    /// # Errors
    /// As [`Self::basis`].
    pub fn library(&self) -> Result<Library, Failure> {
        Ok(self.basis()?.library)
    }
    /// Where the window keeps letterhead and words of the shop's quotes; nowhere where the shop's files are left out.
    pub fn stationery(&self) -> Option<PathBuf> {
        self.shop.files().path(ShopFile::Quote).map(Path::to_owned)
    }
    /// The shop's rates and habits.
    ///
    /// # Errors
    /// As [`ShopChoice::basis`].
    pub fn rates(&self) -> Result<Rates, Failure> {
        Ok(self.shop.basis()?.rates)
    }
    /// What estimates rest on. The window's own cuts count where its estimates use them. Rows of a named file of cuts
    /// that cannot be used are named on standard error.
    ///
    /// # Errors
    /// A file is refused, or has no cut of the machine asked for.
    pub fn basis(&self) -> Result<Basis, Failure> {
        let mut basis = self.shop.basis()?;
        let files = self.shop.files();
        let is_ours = |name: &str| basis.library.machine(name).is_some();
        let asked = self.machine.as_deref();
        // A name that only the cuts know asks for them.
        let by_cuts = asked.is_some_and(|name| !is_ours(name));
        let kept = files
            .path(ShopFile::Cuts)
            .filter(|p| (basis.rates.learns || by_cuts) && p.exists());
        let Some(path) = self.learned.as_deref().or(kept) else {
            if let Some(name) = asked.filter(|name| !is_ours(name)) {
                if !basis.library.machines.is_empty() {
                    return Err(Failure::Call(no_machine(name, &basis.library)));
                }
                let message = say!(
                    "There are no finished cuts to choose a machine from. Name them with --learned."
                );
                return Err(Failure::Call(message.to_owned()));
            }
            return Ok(basis);
        };
        let read = cuts(path, &basis.library, &basis.rates).map_err(|e| {
            let hint = if self.learned.is_some() {
                ""
            } else {
                said(OR_WITHOUT)
            };
            Failure::Call(format!("{e} {hint}").trim_end().to_owned())
        })?;
        if self.learned.is_some() {
            for fault in &read.faults {
                tell_of(path, &words::cuts::row(fault));
            }
        } else if !read.faults.is_empty() {
            let rows = words::style::count(read.faults.len(), say!("row"), say!("rows"));
            tell_of(
                path,
                &say!("{rows} cannot be used; `learn` on it names them."),
            );
        }
        let fits = fit(&read.cuts, &basis.library);
        doubt(path, far_off(&fits), read.cuts.len());
        let of = |name: &str| fits.iter().find(|f| f.machine == name);
        let only = basis.library.machines.len() == 1;
        // The cuts of a shop with one machine may well not name it.
        let of_machine = |name: &str| of(name).or_else(|| of("").filter(|_| only));
        let found = match self.machine.as_deref() {
            Some(machine) if is_ours(machine) => of_machine(machine),
            Some(machine) => Some(of(machine).ok_or_else(|| {
                let names: Vec<&str> = fits.iter().map(|f| f.machine.as_str()).collect();
                Failure::Call(say!(
                    "{}: no cut was made on “{machine}”. Machines: {}.",
                    path.display(),
                    names.join(", ")
                ))
            })?),
            None if !basis.library.machines.is_empty() => {
                of_machine(&basis.library.machines[0].name)
            }
            // As in the window.
            None => basis
                .rates
                .machine
                .as_deref()
                .filter(|_| self.learned.is_none())
                .and_then(of)
                .or_else(|| of(latest_machine(&read.cuts)?)),
        };
        // A log of nothing but outliers teaches nothing.
        basis.library.learned = found.map(|f| f.knowledge.clone()).filter(|k| k.cuts > 0);
        if basis.library.learned.is_some() {
            basis.files.push(path.to_owned());
        }
        Ok(basis)
    }
}

/// A machine that the shop does not have.
fn no_machine(name: &str, library: &Library) -> String {
    let names: Vec<&str> = library.machines.iter().map(|m| m.name.as_str()).collect();
    say!(
        "The shop has no machine “{name}”. Machines: {}.",
        names.join(", ")
    )
}

/// Says aloud that a table would teach nonsense.
pub fn doubt(path: &Path, far: usize, cuts: usize) {
    if far > 0 && 2 * far >= cuts {
        tell_of(
            path,
            &say!(
                "{far} of {cuts} cuts took more than three times what is expected, or less than a third. Are the times in \
                 minutes, and lengths and thicknesses in mm?"
            ),
        );
    }
}

fn named(path: &Path, error: &dyn std::fmt::Display) -> String {
    format!("{}: {error}", path.display())
}

/// The language that the shop has chosen, where its rates can be read.
pub(super) fn language() -> Option<Language> {
    let files = ShopFiles::in_folder(ShopFiles::usual_folder().as_deref());
    let bytes = bytes(files.path(ShopFile::Rates)?).ok()??;
    let (rates, _) = Rates::parse(&bytes, Library::built_in()).ok()?;
    rates.language
}
