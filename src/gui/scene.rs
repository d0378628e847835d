//! The scene: the drawing as polylines, how it lies in the window, the wire's course and the moment shown.
//!
//! Plain data, made of a profile and its estimate. The canvas paints it; what the user asks and what is open
//! lies above, so that nothing here knows a panel, a page or an action.

pub mod clock;
pub mod course;
mod equal;
mod ghost;
mod model;
mod placement;

pub use equal::is_circle;
pub use ghost::{Ghost, GhostMark, Stretch};
pub use model::{Line, Model, PathModel, Skim, near};
pub use placement::{Camera, Placement, round_length};
