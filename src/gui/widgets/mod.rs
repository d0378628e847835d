//! Small parts that panels are made of; each returns its `Response`.

mod choice;
mod figure;
mod number_field;
mod time_bar;

pub use choice::{choice, swatch};
pub use figure::figure;
pub use number_field::{Entry, NumberField};
pub use time_bar::{Axis, TimeBar, paint_share, share_swatch};
