//! All cores of the machine, for calls with many drawings.

use super::outcome::Failure;
use crate::drawing::is_large_here;
use crate::drawing::limits::STACK_BYTES;
use crate::progress::{cores, on_one_core};
use rayon::{ThreadPool, ThreadPoolBuilder};

/// Bytes of a stack that the pool and the call itself have, before a drawing is read.
const FOR_THE_POOL: usize = 4 << 20;

/// A thread a core for so many drawings, each with the stack that hostile drawings need.
///
/// Where every core has a drawing of its own, none is divided further.
///
/// # Errors
/// The system gives no threads.
pub(super) fn pool(drawings: usize) -> Result<ThreadPool, Failure> {
    let each_has_one = drawings >= cores();
    let begun = move |_| {
        is_large_here();
        if each_has_one {
            on_one_core();
        }
    };
    let pool = ThreadPoolBuilder::new()
        .stack_size(STACK_BYTES + FOR_THE_POOL)
        .start_handler(begun)
        .build();
    pool.map_err(|e| Failure::Call(say!("No threads can be started: {e}.")))
}
