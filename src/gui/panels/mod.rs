//! What surrounds the drawing. Panels look at a [`super::state::View`] and ask for actions.

pub mod add_wire;
pub mod answer;
pub mod banner;
pub mod contour;
pub mod contour_menu;
pub mod contours;
pub mod cuts;
pub mod difference;
pub mod findings;
pub mod limits;
pub mod menu;
pub mod order;
pub mod palette;
pub mod passes;
pub mod progress;
pub mod proposals;
pub mod reading;
pub mod sentence;
pub mod shop;
pub mod side;
pub mod slugs;
pub mod steps;
pub mod sweeps;
pub mod time;
pub mod why;
pub mod wires;
