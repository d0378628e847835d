//! `manual`: pages for `man` and completions for shells, for packages.

use super::outcome::{Failure, Outcome};
use clap::Command;
use clap_complete::{Shell, generate_to};
use clap_mangen::Man;
use std::fs;
use std::path::{Path, PathBuf};

/// Arguments of `manual`.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Folder to write into.
    #[arg(value_name = "FOLDER")]
    folder: PathBuf,
}

/// Writes a page for each program and each subcommand of the command, and completions of both for every shell.
///
/// # Errors
/// The folder cannot be written to.
pub fn run(arguments: &Arguments, command: Command, window: Command) -> Result<Outcome, Failure> {
    let folder = &arguments.folder;
    fs::create_dir_all(folder)?;
    for mut program in [command, window] {
        let name = program.get_name().to_owned();
        page(&program, &name, folder)?;
        for sub in program.get_subcommands().filter(|c| !c.is_hide_set()) {
            let name = format!("{name}-{}", sub.get_name());
            page(&sub.clone().display_name(name.clone()), &name, folder)?;
        }
        for shell in [Shell::Bash, Shell::Zsh, Shell::Fish, Shell::PowerShell] {
            generate_to(shell, &mut program, &name, folder)?;
        }
    }
    Ok(Outcome::Done)
}

fn page(command: &Command, name: &str, folder: &Path) -> Result<(), Failure> {
    let mut bytes = Vec::new();
    Man::new(command.clone()).render(&mut bytes)?;
    fs::write(folder.join(format!("{name}.1")), bytes)?;
    Ok(())
}
