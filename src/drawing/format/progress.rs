//! How far a reading is, and the way to stop it.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, AtomicU64, Ordering};

/// A cheap shared handle: the reader sets the fraction, the window may cancel.
#[derive(Debug, Clone, Default)]
pub struct Progress(Arc<State>);

#[derive(Debug, Default)]
struct State {
    cancelled: AtomicBool,
    millionths: AtomicU32,
    looks: AtomicU64,
    /// Number of the look that finds the reading cancelled; 0 for none.
    last_look: u64,
}

/// The user cancelled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cancelled;

impl Progress {
    /// One that cancels itself at its look of that number, from 1: so a test stops a reading anywhere.
    pub fn cancelling_at_look(number: u64) -> Self {
        Self(Arc::new(State {
            last_look: number,
            ..State::default()
        }))
    }
    /// Whether both are handles of one reading.
    pub fn is_same(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
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
    /// How often the reader has looked whether it is to stop.
    pub fn looks(&self) -> u64 {
        self.0.looks.load(Ordering::Relaxed)
    }
    /// An error when the work is to stop. Cheap enough for every turn of a loop that does something.
    pub(crate) fn check(&self) -> Result<(), Cancelled> {
        let look = 1 + self.0.looks.fetch_add(1, Ordering::Relaxed);
        if look == self.0.last_look {
            self.cancel();
        }
        if self.is_cancelled() {
            Err(Cancelled)
        } else {
            Ok(())
        }
    }
    /// Notes how far the work is; an error when it is to stop.
    pub(crate) fn step(&self, fraction: f64) -> Result<(), Cancelled> {
        self.0
            .millionths
            .store((fraction.clamp(0.0, 1.0) * 1e6) as u32, Ordering::Relaxed);
        self.check()
    }
}
