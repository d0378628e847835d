//! What surrounds the drawing. Panels look at a [`super::state::View`] and ask for actions.

pub mod add_wire;
pub mod answer;
pub mod banner;
pub mod contour_menu;
pub mod contours;
pub mod hints;
pub mod keys;
pub mod menu;
pub mod order;
pub mod palette;
pub mod parts;
pub mod passes;
pub mod progress;
pub mod sentence;
pub mod time;
pub mod unsaved;
pub mod wires;
