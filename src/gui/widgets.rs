//! Small parts that panels are made of; each returns its `Response`.

mod axis_labels;
mod belief;
mod choice;
pub mod corner;
pub mod curve_chart;
mod elided;
mod figure;
pub mod finish_chart;
mod material_list;
mod number_field;
pub mod off_chart;
pub mod plan_chart;
pub mod range_chart;
pub mod scatter;
mod search_list;
pub mod stacked;
mod time_bar;
mod within;

pub use axis_labels::AxisLabels;
pub use belief::{Belief, belief};
pub use choice::{choice, dot_before, swatch};
pub use elided::{elided, shortened, shortened_at_end, shortened_to};
pub use figure::{figure, figure_sensing};
pub use material_list::material_list;
pub use number_field::set_decimal_sign;
pub use number_field::{Entry, NumberField};
pub use scatter::scatter;
pub use search_list::{Item, search_list};
pub use time_bar::{Axis, TimeBar, paint_share, share_swatch};
pub use within::within;
