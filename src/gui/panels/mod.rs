//! What surrounds the drawing. Panels look at a [`super::state::View`] and ask for actions.

pub mod add_wire;
pub mod answer;
pub mod banner;
pub mod contours;
pub mod cuts;
pub mod difference;
pub mod findings;
pub mod menu;
pub mod palette;
pub mod proposals;
pub mod passes;
pub mod reading;
pub mod sentence;
pub mod shop;
pub mod side;
pub mod steps;
pub mod sweeps;
pub mod why;
pub mod wires;
