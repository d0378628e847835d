//! Why a file could not be written or read, as the system has it, and what to do.

use crate::files::plain_words;
use std::fmt::Display;
use std::io;

/// What the system says, with nothing to add.
pub fn system_says(error: &dyn Display) -> String {
    let error = plain_words(&error.to_string());
    say!("The system says: {error}.")
}

/// Why no dialog is shown, and what brings one.
pub fn no_dialog() -> &'static str {
    if cfg!(target_os = "linux") {
        say!(
            "This desktop offers no file dialog; on Linux the package xdg-desktop-portal brings one."
        )
    } else {
        say!("This desktop offers no file dialog.")
    }
}

/// A file could not be saved where it was to go.
pub fn elsewhere(error: &io::Error) -> String {
    say!("{} Try another folder.", system_says(error))
}
