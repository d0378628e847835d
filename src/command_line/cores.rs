//! All cores of the machine, for calls with many drawings.

use super::outcome::Failure;
use crate::drawing::limits::STACK_BYTES;
use rayon::{ThreadPool, ThreadPoolBuilder};

/// A thread a core, each with the stack that hostile drawings need.
///
/// # Errors
/// The system gives no threads.
pub(super) fn pool() -> Result<ThreadPool, Failure> {
    let pool = ThreadPoolBuilder::new().stack_size(STACK_BYTES).build();
    pool.map_err(|e| Failure::Call(say!("No threads can be started: {e}.")))
}
