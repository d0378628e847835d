//! From contours and a job to the wire's path of every pass and the list of steps.

pub mod steps;

pub use steps::{Share, Step, StepKind};
