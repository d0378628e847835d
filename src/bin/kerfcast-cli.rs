//! Measures drawings and estimates jobs without a window; see `kerfcast::command_line`.

use std::process::ExitCode;

/// Just under the largest block for which the allocator of glibc learns (32 MiB, with its own head).
const LEARNT_BYTES: usize = (32 << 20) - (16 << 10);

fn main() -> ExitCode {
    keep_freed_memory();
    kerfcast::command_line::run(std::env::args_os())
}

/// Lets the allocator of glibc keep what is freed. It gives a large block back to the system and takes the next one anew,
/// page by page, but for blocks no larger than the largest that it has seen freed (`mallopt(3)`, "dynamic mmap threshold"):
/// a reading of 100 000 curves needs an eighth more of time without. Nothing is touched, so nothing is used; other
/// allocators are not concerned.
fn keep_freed_memory() {
    drop(std::hint::black_box(Vec::<u8>::with_capacity(LEARNT_BYTES)));
}
