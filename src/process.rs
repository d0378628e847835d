//! What erosion does: how fast, with what gap, how the corners slow it, and where each number is from.

pub mod corner_slowdown;
pub mod cutting_rate;
pub mod finish;
pub mod pass_number;
pub mod passes;
pub mod wire_run;

pub use finish::Finish;
pub use pass_number::PassNumber;
pub use wire_run::WireRun;
