//! From contours and a job to the wire's path of every pass and the list of steps.

pub mod contour_paths;
pub mod contour_plan;
pub mod erosion;
pub mod holding;
pub mod links;
pub mod paths;
pub mod pieces;
mod remembered;
pub mod schedule;
pub mod sequence;
pub mod start_holes;
pub mod start_offers;
pub mod starts;
pub mod steps;
pub mod timeline;
pub mod visits;

pub use contour_plan::{ContourPlan, Plans};
pub use paths::PathCache;
pub use starts::Start;
pub use steps::{Share, Step, StepKind};
