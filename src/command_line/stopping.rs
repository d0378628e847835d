//! Ctrl-C: a call ends between two files, never within one.

use super::visible::tell;
use crate::safe_file;
use std::sync::atomic::{AtomicBool, Ordering};

/// The exit status of a call that Ctrl-C ended, as shells write it: 128 and the number of the signal.
const STATUS: i32 = 130;
/// Whether Ctrl-C was pressed.
static PRESSED: AtomicBool = AtomicBool::new(false);
/// Whether the call under way looks for that itself.
static LOOKS: AtomicBool = AtomicBool::new(false);

/// From now on Ctrl-C ends the call once no file is being saved. Where no handler can be set the system ends it.
pub(super) fn heed() {
    let _ = ctrlc::set_handler(|| {
        let again = PRESSED.swap(true, Ordering::Relaxed);
        if again || !LOOKS.load(Ordering::Relaxed) {
            let _no_file_is_half = safe_file::hold_back();
            tell(say!("Stopped. No file was left half written."));
            std::process::exit(STATUS);
        }
    });
}

/// The call finishes what is under way and asks [`pressed`]; a second Ctrl-C ends it all the same.
pub(super) fn looks_itself() {
    LOOKS.store(true, Ordering::Relaxed);
}

/// Whether Ctrl-C was pressed.
pub(super) fn pressed() -> bool {
    PRESSED.load(Ordering::Relaxed)
}
