//! How far a reading is, and the way to stop it.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};

/// A cheap shared handle: the reader sets the fraction, the window may cancel.
#[derive(Debug, Clone, Default)]
pub struct Progress(Arc<State>);

#[derive(Debug, Default)]
struct State {
    cancelled: AtomicBool,
    millionths: AtomicU32,
}

/// The user cancelled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cancelled;

impl Progress {
    /// Share of the work that is done, 0 to 1.
    pub fn fraction(&self) -> f64 {
        f64::from(self.0.millionths.load(Ordering::Relaxed)) / 1e6
    }
    /// Asks the reader to stop; it does within a tenth of a second.
    pub fn cancel(&self) {
        self.0.cancelled.store(true, Ordering::Relaxed);
    }
    /// Whether someone asked to stop.
    pub fn is_cancelled(&self) -> bool {
        self.0.cancelled.load(Ordering::Relaxed)
    }
    /// Notes how far the work is; an error when it is to stop.
    pub(crate) fn step(&self, fraction: f64) -> Result<(), Cancelled> {
        self.0
            .millionths
            .store((fraction.clamp(0.0, 1.0) * 1e6) as u32, Ordering::Relaxed);
        if self.is_cancelled() {
            Err(Cancelled)
        } else {
            Ok(())
        }
    }
}
