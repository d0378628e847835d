//! What is said of inside radii and corners that a wire leaves larger than drawn.

use serde::{Deserialize, Serialize};

/// Whether inside radii smaller than a wire leaves have to come out as drawn. Sharp corners are radii of 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum TightRadii {
    /// Nobody has said: every wire has its figures, and those that leave a radius larger rank behind those that make it.
    #[default]
    Undecided,
    /// What the wires leave is good enough for this drawing.
    Accepted,
    /// They must come out as drawn: a wire that cannot make them cannot do the job.
    Required,
}
