//! How far long work is, and the way to stop it.
//!
//! Reading passes its [`Progress`] from loop to loop. An estimate is made of pure functions many calls deep; it runs
//! inside [`Progress::run`], and its loops [`look`]. A look that finds the work stopped unwinds to there: no figure of
//! half the work ever comes into being, and what is remembered (wire paths) is remembered whole or not at all.

use std::cell::RefCell;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, AtomicU64, Ordering};

/// A cheap shared handle: the work sets the fraction, the window may cancel.
#[derive(Debug, Clone, Default)]
pub struct Progress(Arc<State>);

#[derive(Debug, Default)]
struct State {
    cancelled: AtomicBool,
    millionths: AtomicU32,
    looks: AtomicU64,
    /// Number of the look that finds the work cancelled; 0 for none.
    last_look: u64,
}

/// The user cancelled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cancelled;

/// The work of this thread, and which stretch of it is under way.
#[derive(Debug, Clone)]
pub(crate) struct Watched {
    progress: Progress,
    from: f64,
    to: f64,
}

thread_local! {
    static WATCHED: RefCell<Option<Watched>> = const { RefCell::new(None) };
}

impl Progress {
    /// One that cancels itself at its look of that number, from 1: so a test stops work anywhere.
    pub fn cancelling_at_look(number: u64) -> Self {
        Self(Arc::new(State {
            last_look: number,
            ..State::default()
        }))
    }
    /// Whether both are handles of one piece of work.
    pub fn is_same(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
    /// Share of the work that is done, 0 to 1.
    pub fn fraction(&self) -> f64 {
        f64::from(self.0.millionths.load(Ordering::Relaxed)) / 1e6
    }
    /// Asks the work to stop; it does within a tenth of a second.
    pub fn cancel(&self) {
        self.0.cancelled.store(true, Ordering::Relaxed);
    }
    /// Whether someone asked to stop.
    pub fn is_cancelled(&self) -> bool {
        self.0.cancelled.load(Ordering::Relaxed)
    }
    /// How often the work has looked whether it is to stop.
    pub fn looks(&self) -> u64 {
        self.0.looks.load(Ordering::Relaxed)
    }
    /// Does work whose loops [`look`]; the threads that it starts look, too.
    ///
    /// # Errors
    /// It was cancelled before it was done.
    pub fn run<T>(&self, work: impl FnOnce() -> T) -> Result<T, Cancelled> {
        let watched = Watched {
            progress: self.clone(),
            from: 0.0,
            to: 1.0,
        };
        within(Some(watched), work)
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
        self.note(fraction);
        self.check()
    }
    fn note(&self, fraction: f64) {
        let millionths = (fraction.clamp(0.0, 1.0) * 1e6) as u32;
        self.0.millionths.store(millionths, Ordering::Relaxed);
    }
}

/// Work of one thread under a handle, or under none.
fn within<T>(watched: Option<Watched>, work: impl FnOnce() -> T) -> Result<T, Cancelled> {
    let before = WATCHED.replace(watched);
    let result = catch_unwind(AssertUnwindSafe(work));
    WATCHED.set(before);
    result.map_err(|cause| {
        pass_on(cause);
        Cancelled
    })
}

/// Goes on unwinding with what is no cancelling.
fn pass_on(cause: Box<dyn std::any::Any + Send>) {
    if !cause.is::<Cancelled>() {
        resume_unwind(cause);
    }
}

/// Looks whether the work under way is to stop, and leaves it if so. Does nothing outside [`Progress::run`].
///
/// Every loop of an estimate that grows with the drawing looks. Not to be called by what is done while unwinding.
pub(crate) fn look() {
    let stopped = WATCHED.with_borrow(|w| w.as_ref().is_some_and(|w| w.progress.check().is_err()));
    if stopped {
        // No fault: nothing is told of it.
        resume_unwind(Box::new(Cancelled));
    }
}

/// Catches faults of `work`, but lets a cancelling go on to where the work was begun.
///
/// # Errors
/// The work failed.
pub(crate) fn caught<T>(work: impl FnOnce() -> T) -> std::thread::Result<T> {
    let result = catch_unwind(AssertUnwindSafe(work));
    if result.as_ref().is_err_and(|cause| cause.is::<Cancelled>()) {
        resume_unwind(Box::new(Cancelled));
    }
    result
}

/// The `k`-th of `n` pieces of the work under way, from 0, all taken as long.
pub(crate) fn piece<T>(k: usize, n: usize, work: impl FnOnce() -> T) -> T {
    look();
    let whole = watched();
    let Some(w) = &whole else {
        return work();
    };
    let at = |k: usize| w.from + (w.to - w.from) * k as f64 / n.max(1) as f64;
    let (from, to) = (at(k), at(k + 1));
    w.progress.note(from);
    WATCHED.set(Some(Watched {
        from,
        to,
        ..w.clone()
    }));
    // Left by unwinding, `within` sets what was before it.
    let result = work();
    WATCHED.set(whole);
    result
}

/// How far the piece under way is, 0 to 1.
pub(crate) fn reached(share: f64) {
    look();
    if let Some(w) = watched() {
        w.progress
            .note(w.from + (w.to - w.from) * share.clamp(0.0, 1.0));
    }
}

/// What this thread works for, to be handed to threads that it starts.
pub(crate) fn watched() -> Option<Watched> {
    WATCHED.with_borrow(Clone::clone)
}

/// Does a part of another thread's work in this one; where that is cancelled it ends early, and the other one looks.
pub(crate) fn help(watched: Option<Watched>, work: impl FnOnce()) {
    let _: Result<(), Cancelled> = within(watched, work);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_is_left_at_the_look_that_finds_it_stopped() {
        let progress = Progress::cancelling_at_look(7);
        let turns = std::cell::Cell::new(0);
        let result: Result<(), _> = progress.run(|| {
            loop {
                look();
                turns.set(turns.get() + 1);
            }
        });
        assert_eq!(
            (result, turns.get(), progress.looks()),
            (Err(Cancelled), 6, 7)
        );
        // Nothing is under way any more, and a look stops nothing.
        look();
        assert_eq!(progress.looks(), 7);
    }

    #[test]
    fn pieces_add_up_and_faults_are_no_cancelling() {
        let progress = Progress::default();
        let told = progress.run(|| {
            piece(1, 2, || {
                piece(1, 4, || reached(0.5));
                progress.fraction()
            })
        });
        // Half done, then a quarter and half a quarter of the other half.
        assert!((told.expect("nobody stops it") - (0.5 + 0.5 * 0.375)).abs() < 1e-6);
        let fault = catch_unwind(AssertUnwindSafe(|| {
            progress.run(|| resume_unwind(Box::new("a fault")))
        }));
        assert!(fault.is_err());
        // What catches faults lets a cancelling through.
        let progress = Progress::cancelling_at_look(1);
        let through = progress.run(|| caught(look).is_err());
        assert_eq!(through, Err(Cancelled));
    }

    #[test]
    fn a_helping_thread_looks_for_the_same_work() {
        let progress = Progress::cancelling_at_look(3);
        let result = progress.run(|| {
            let own = watched();
            std::thread::scope(|s| {
                s.spawn(|| {
                    help(own, || {
                        loop {
                            look();
                        }
                    });
                });
            });
            look();
        });
        assert_eq!((result, progress.looks()), (Err(Cancelled), 4));
    }
}
