//! From contours and a job to the wire's path of every pass and the list of steps.

pub mod paths;
pub mod schedule;
pub mod sequence;
pub mod starts;
pub mod steps;

pub use paths::PathCache;
pub use steps::{Share, Step, StepKind};
