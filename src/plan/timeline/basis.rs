//! What a timeline is built from.

use crate::plan::contour_plan::ContourPlan;
use crate::plan::schedule::PlannedStart;
use crate::plan::steps::Step;
use crate::profile::Profile;

/// What a timeline is built from: parts of an estimate.
#[derive(Clone, Copy)]
pub struct TimelineBasis<'a> {
    /// The profile that was estimated.
    pub profile: &'a Profile,
    /// Its steps.
    pub steps: &'a [Step],
    /// Where contours are begun.
    pub starts: &'a [PlannedStart],
    /// Conditions and passes.
    pub plans: &'a [ContourPlan],
}
