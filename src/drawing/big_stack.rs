//! Hostile drawings nest deeply: they are read where the stack is large.

use super::limits::STACK_BYTES;
use std::cell::Cell;
use std::panic::{AssertUnwindSafe, catch_unwind};

thread_local! {
    /// Whether this thread was begun with such a stack.
    static IS_LARGE: Cell<bool> = const { Cell::new(false) };
}

/// Says of the thread that calls it, at its beginning, that its stack has [`STACK_BYTES`] and something over: a thread of
/// many drawings need not begin another one for each.
pub fn is_large_here() {
    IS_LARGE.set(true);
}

/// Does work where the stack is large: here, or on a thread of its own. `None` where the work panics or there is no thread.
pub(super) fn on_big_stack<T: Send + 'static>(
    work: impl FnOnce() -> T + Send + 'static,
) -> Option<T> {
    if IS_LARGE.get() {
        return catch_unwind(AssertUnwindSafe(work)).ok();
    }
    let thread = std::thread::Builder::new()
        .name("drawing".into())
        .stack_size(STACK_BYTES)
        .spawn(work);
    thread.ok()?.join().ok()
}
