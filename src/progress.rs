//! How far long work is, and the way to stop it.
//!
//! Reading passes its [`Progress`] from loop to loop. An estimate is made of pure functions many calls deep; it runs
//! inside [`Progress::run`], and its loops [`look`]. A look that finds the work stopped unwinds to there: no figure of
//! half the work ever comes into being, and what is remembered (wire paths) is remembered whole or not at all.

use std::cell::{Cell, RefCell};
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::sync::atomic::{AtomicBool, AtomicU32, AtomicU64, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

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
    /// Where the stretch is one of several that are under way at once, and which.
    beside: Option<(Arc<Beside>, usize)>,
}

/// Pieces of one stretch that are done at the same time.
#[derive(Debug)]
struct Beside {
    of: Watched,
    /// How far each is, in millionths of it.
    each: Vec<AtomicU32>,
    /// Sum of all.
    sum: AtomicU64,
}

impl Watched {
    /// Notes how far the stretch under way is, from its own beginning to its own end.
    fn note(&self, fraction: f64) {
        let Some((all, k)) = &self.beside else {
            return self.progress.note(fraction);
        };
        let new = millionths(fraction);
        let old = all.each[*k].swap(new, Ordering::Relaxed);
        // What is added may be less than nothing: it wraps around, and so does the sum.
        let more = u64::from(new).wrapping_sub(u64::from(old));
        let sum = all
            .sum
            .fetch_add(more, Ordering::Relaxed)
            .wrapping_add(more);
        let of = &all.of;
        let share = sum as f64 / 1e6 / all.each.len() as f64;
        of.note(of.from + (of.to - of.from) * share);
    }
}

fn millionths(fraction: f64) -> u32 {
    (fraction.clamp(0.0, 1.0) * 1e6) as u32
}

thread_local! {
    static WATCHED: RefCell<Option<Watched>> = const { RefCell::new(None) };
    /// Whether this thread does some of several pieces.
    static SHARES_THE_CORES: Cell<bool> = const { Cell::new(false) };
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
            beside: None,
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
        self.0
            .millionths
            .store(millionths(fraction), Ordering::Relaxed);
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
    w.note(from);
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
        w.note(w.from + (w.to - w.from) * share.clamp(0.0, 1.0));
    }
}

/// What this thread works for.
fn watched() -> Option<Watched> {
    WATCHED.with_borrow(Clone::clone)
}

/// What this thread does from now on takes no other core: it is one of as many as there are cores, each with work of
/// its own.
pub(crate) fn on_one_core() {
    SHARES_THE_CORES.set(true);
}

/// Does `n` pieces of the work under way, on all cores; what they give stands in their order.
///
/// Pieces of a piece are done one after the other: the cores have work then.
pub(crate) fn side_by_side<T: Send>(n: usize, one: impl Fn(usize) -> T + Sync) -> Vec<T> {
    let threads = if SHARES_THE_CORES.get() {
        1
    } else {
        cores().min(n)
    };
    if threads < 2 {
        return (0..n).map(|k| piece(k, n, || one(k))).collect();
    }
    let whole = watched();
    let beside = whole.clone().map(|of| {
        Arc::new(Beside {
            of,
            each: (0..n).map(|_| AtomicU32::new(0)).collect(),
            sum: AtomicU64::new(0),
        })
    });
    let part = |k: usize| {
        let all = beside.clone()?;
        Some(Watched {
            progress: all.of.progress.clone(),
            from: 0.0,
            to: 1.0,
            beside: Some((all, k)),
        })
    };
    let next = AtomicUsize::new(0);
    let made: Mutex<Vec<(usize, T)>> = Mutex::new(Vec::with_capacity(n));
    let some = || {
        SHARES_THE_CORES.set(true);
        loop {
            let k = next.fetch_add(1, Ordering::Relaxed);
            if k >= n {
                return;
            }
            WATCHED.set(part(k));
            let own = one(k);
            reached(1.0);
            made.lock()
                .unwrap_or_else(PoisonError::into_inner)
                .push((k, own));
        }
    };
    std::thread::scope(|scope| {
        let threads = (0..threads).map(|_| {
            let whole = whole.clone();
            scope.spawn(|| help(whole, some))
        });
        let threads: Vec<_> = threads.collect();
        threads.into_iter().for_each(|thread| {
            if let Err(cause) = thread.join() {
                resume_unwind(cause);
            }
        });
    });
    // The threads end early where the work is to stop.
    look();
    let mut made = made.into_inner().unwrap_or_else(PoisonError::into_inner);
    made.sort_by_key(|m| m.0);
    made.into_iter().map(|(_, own)| own).collect()
}

/// Cores to work on; asked once, because the answer lies in files.
pub(crate) fn cores() -> usize {
    static CORES: OnceLock<usize> = OnceLock::new();
    *CORES.get_or_init(|| std::thread::available_parallelism().map_or(1, std::num::NonZero::get))
}

/// Does a part of another thread's work in this one; where that is cancelled it ends early, and the other one looks.
fn help(watched: Option<Watched>, work: impl FnOnce()) {
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
    fn pieces_done_at_once_look_for_the_same_work() {
        let progress = Progress::cancelling_at_look(3);
        let result = progress.run(|| {
            side_by_side(8, |_| {
                loop {
                    look();
                }
            })
        });
        let looks = progress.looks();
        assert_eq!(result, Err::<Vec<()>, _>(Cancelled));
        // Each of the threads, and the one that waits for them, looks once more at the most.
        assert!((3..=4 + cores() as u64).contains(&looks), "{looks}");
    }

    #[test]
    fn pieces_done_at_once_stand_in_their_order_and_add_up() {
        let progress = Progress::default();
        let result = progress.run(|| {
            piece(0, 2, || {
                side_by_side(100, |k| {
                    reached(0.5);
                    // Pieces of a piece, one after the other.
                    side_by_side(3, |j| 3 * k + j)
                })
            })
        });
        let told = result.expect("nobody stops it").concat();
        assert_eq!(told, (0..300).collect::<Vec<_>>());
        assert!((progress.fraction() - 0.5).abs() < 1e-6);
        let fault = catch_unwind(|| side_by_side(4, |k| assert_ne!(k, 2, "a fault")));
        assert!(fault.is_err());
    }
}
