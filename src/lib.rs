//! Kerfcast: how long a wire EDM job runs, how much wire it uses and what it costs.
//!
//! The map of the house, in reading order:
//!
//! 1. [`units`]: lengths, feeds, minutes and money that cannot be mixed up.
//! 2. [`geometry`]: lines, arcs, contours, offsets, corners, reach; pure mathematics in mm.
//! 3. [`profile`]: what is to be cut.

pub mod drawing;
pub mod geometry;
pub mod profile;
pub mod units;
